"""Where `--output` goes, what becomes of it when something goes wrong, and pipes that always end."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import pytest

import choosemethod
from choosemethod.cli import main
from choosemethod.show.output import output_to

from .texts import times

ROOT = Path(choosemethod.__file__).parents[1]
QUIZ = ("quiz", "sand and salt", "--count", "1", "--format", "csv")
COMMANDS = {"quiz": QUIZ, "handout": ("handout", "sand and salt"), "check": ("check", "SHEET", "--format", "markdown")}
NAMES = "sand,salt,sugar,chalk,iron filings,iodine,copper sulfate,water,ethanol,oil,hexane,acetone".split(",")  # noqa: SIM905
PAIRS = [f"{one} and {other}" for one in NAMES for other in NAMES if one < other][:50]


def _sheet(folder: Path, count: int) -> str:
    path = folder / "sheet.csv"
    answers = ["filtration", "distillation", "use a magnet", "separating funnel"]
    rows = [f"{pair},{answers[number % 4]}\n" for number, pair in enumerate(PAIRS[:count])]
    path.write_text("Mixture,Answer\n" + "".join(rows))
    return str(path)


@pytest.fixture
def fifty(tmp_path: Path) -> str:
    """A worksheet of 50 different questions."""
    return _sheet(tmp_path, 50)


@pytest.fixture
def sheet(tmp_path: Path) -> str:
    """A worksheet of a few questions, for what does not hang on how many there are."""
    return _sheet(tmp_path, 6)


def environment(**more: str) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")]), **more}


def process(*argv: str, **how: Any) -> subprocess.CompletedProcess[bytes]:
    how.setdefault("stdout", subprocess.PIPE)
    variables = environment(**how.pop("variables", {}))
    command = [sys.executable, "-m", "choosemethod", *argv]
    return subprocess.run(command, env=variables, stderr=subprocess.PIPE, timeout=120, check=False, **how)


def words_of(name: str, sheet: str) -> list[str]:
    return [sheet if word == "SHEET" else word for word in COMMANDS[name]]


@pytest.mark.parametrize("name", COMMANDS)
@pytest.mark.parametrize("output", ["", " ", ".", "/", "FOLDER", "FOLDER/", "nowhere/a.txt", "a/\0b", "file.txt/"])
def test_what_is_no_file(
    home: Path, sheet: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], name: str, output: str
) -> None:
    monkeypatch.chdir(home)
    (home / "folder").mkdir()
    before = {path for path in home.rglob("*") if path.name != "__pycache__"}
    assert main([*words_of(name, sheet), "--output", output.replace("FOLDER", "folder")]) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1
    assert {path for path in home.rglob("*") if path.name != "__pycache__"} == before


@pytest.mark.parametrize("name", COMMANDS)
def test_links_are_followed_and_permissions_stay(home: Path, sheet: str, name: str) -> None:
    (home / "real").mkdir()
    file, link, further = home / "real" / "file.txt", home / "link.txt", home / "further.txt"
    file.write_text("before")
    file.chmod(0o640)
    link.symlink_to(file)
    further.symlink_to("link.txt")
    code = main([*words_of(name, sheet), "--output", str(further)])
    assert code in (0, 1) and link.is_symlink() and further.is_symlink()
    assert len(file.read_text()) > 50
    assert file.stat().st_mode & 0o777 == 0o640
    dangling = home / "dangling.txt"
    dangling.symlink_to(home / "real" / "new.txt")
    assert main([*words_of(name, sheet), "--output", str(dangling)]) == code
    assert dangling.is_symlink() and (home / "real" / "new.txt").read_text() == file.read_text()
    assert sorted(path.name for path in (home / "real").iterdir()) == ["file.txt", "new.txt"]


@pytest.mark.parametrize("name", COMMANDS)
def test_a_pipe_with_a_name_and_devices_stay_what_they_are(home: Path, sheet: str, name: str) -> None:
    pipe = home / "pipe"
    os.mkfifo(pipe)
    read: list[bytes] = []
    reader = threading.Thread(target=lambda: read.append(pipe.read_bytes()))
    reader.start()
    assert main([*words_of(name, sheet), "--output", str(pipe)]) in (0, 1)
    reader.join(30)
    assert pipe.is_fifo() and len(read[0]) > 50
    assert main([*words_of(name, sheet), "--output", os.devnull]) in (0, 1)
    assert Path(os.devnull).is_char_device()


def test_standard_output_by_its_name(home: Path) -> None:
    plain = process(*QUIZ)
    named = process(*QUIZ, "--output", "/dev/stdout")
    assert named.stdout.replace(b"\r", b"") == plain.stdout.replace(b"\r", b"") and named.returncode == 0
    file = home / "all.txt"
    file.write_text("first\n")
    with open(file, "ab") as end:  # as a shell's >> does
        assert process(*QUIZ, "--output", "/dev/stdout", stdout=end).returncode == 0
    assert file.read_bytes() == b"first\n" + named.stdout


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no such device")
@pytest.mark.parametrize("name", COMMANDS)
def test_a_full_disk(home: Path, sheet: str, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    for how in ("output", "standard output"):
        with open("/dev/full", "wb") as full:
            more = ["--output", "/dev/full"] if how == "output" else []
            done = process(*words_of(name, sheet), *more, stdout=full if how != "output" else subprocess.PIPE)
        assert done.returncode == 74 and done.stderr.count(b"\n") == 1 and b"No space" in done.stderr
    kept = home / "kept.txt"
    kept.write_text("before")

    def full_now(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full_now)
    assert main([*words_of(name, sheet), "--output", str(kept)]) == 74
    assert kept.read_text() == "before"
    assert sorted(path.name for path in home.iterdir() if not path.name.startswith(".c")) == ["kept.txt", "sheet.csv"]


def test_what_fails_half_way_leaves_the_file_as_it_was(home: Path) -> None:
    file = home / "a.txt"
    file.write_text("before")
    with pytest.raises(ZeroDivisionError), output_to(file) as out:
        out("half" * (1 // 0))
    assert file.read_text() == "before" and [path.name for path in home.iterdir()] == ["a.txt"]


@pytest.mark.parametrize("argv", [("advise", "sand and water"), ("table",), ("rules",), ("check", "SHEET"), QUIZ])
def test_a_reader_that_goes_away(home: Path, sheet: str, argv: tuple[str, ...]) -> None:
    read, written = os.pipe()
    os.close(read)
    with os.fdopen(written, "wb") as gone:
        done = process(*[sheet if word == "SHEET" else word for word in argv], stdout=gone)
    assert done.returncode in (0, 1) and done.stderr == b""


@pytest.mark.parametrize("where", ["read-only", "missing", "a file", "unset"])
def test_a_home_that_cannot_be_written(home: Path, where: str) -> None:
    place = home / "home"
    if where == "a file":
        place.write_text("no folder")
    elif where == "read-only":
        place.mkdir(mode=0o500)
    variables = {"HOME": str(place), "XDG_CACHE_HOME": "", "XDG_CONFIG_HOME": "", "TMPDIR": str(home)}
    if where == "unset":
        variables["HOME"] = ""
    done = process("advise", "acetone and water", "--format", "json", variables=variables)
    assert done.returncode == 0 and done.stderr == b"" and b'"status": "answered"' in done.stdout


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_a_pipe_always_ends(home: Path, fifty: str, jobs: str) -> None:
    """Until the last process that holds it has ended, a pipe does not: `tail` would wait for ever."""
    for _ in range(times("pipelines", 2)):
        done = process("check", fifty, "--format", "csv", "--jobs", jobs)
        assert done.returncode == 1 and done.stdout.count(b"\n") == 51
