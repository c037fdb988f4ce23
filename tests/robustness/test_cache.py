"""Whatever lies in the cache folder, and whoever put it there, the answer is the one of the YAML files."""

from __future__ import annotations

import marshal
import os
import random
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import pytest

from choosemethod import cache, places
from choosemethod.cache import stored
from choosemethod.table import open_table
from choosemethod.table.table import Table

from .texts import times

Bounded = Callable[[], AbstractContextManager[None]]
ROOT = Path(places.__file__).parents[1]
SOMEBODY = 54_321  # id of a user that need not exist
LONG_AGO = time.time() - 3600
owners = pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root can act as another user")

SMALL = {
    "properties.yaml": "boiling_point: {form: range, dimension: temperature, meaning: boiling point}\n",
    "sources.yaml": "memory: {title: From memory, kind: memory}\n",
    "classes.yaml": "metal: a metal\n",
    "kinds.yaml": "liquid: a liquid\n",
    "hazard-statements.yaml": "H225: {text: Flammable, pictogram: flame, source: memory}\n",
    "incompatibles.yaml": "[]\n",
    "liquids/common.yaml": "acetone:\n  name: acetone\n  also: [propanone]\n  kind: liquid\n  phase: liquid\n"
    "  boiling_point: {is: 56.1 °C, source: memory}\n",
}


@pytest.fixture
def small(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A table of one substance, with old time stamps, and an empty home."""
    for name, text in SMALL.items():
        path = tmp_path / "substances" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        os.utime(path, (LONG_AGO, LONG_AGO))
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    return tmp_path / "substances"


def boiling(folder: Path) -> str:
    table: Table = open_table(folder=folder)
    named = table.name("Propanone")
    assert named is not None
    return table.substance(named.id).values["boiling_point"].text


def kept_in(folder: Path) -> list[Path]:
    return sorted(path for path in folder.iterdir() if path.is_file())


# ---- what somebody has planted -----------------------------------------------------------------------------------------


def test_a_folder_that_is_a_link_is_left_alone(small: Path, tmp_path: Path) -> None:
    mine = tmp_path / "thesis"
    mine.mkdir()
    for number in range(40):
        (mine / f"table-{number:024x}.sqlite").write_text("my own")
        os.utime(mine / f"table-{number:024x}.sqlite", (1, 1))
    (tmp_path / "cache").mkdir()
    (tmp_path / "cache" / "choosemethod").symlink_to(mine)
    assert boiling(small) == "56.1 °C"
    cache.forget_old(tmp_path / "cache" / "choosemethod")
    assert len(list(mine.iterdir())) == 40


def test_only_files_of_own_names_are_deleted_and_no_link_is_followed(small: Path, tmp_path: Path) -> None:
    letter = tmp_path / "letter"
    letter.write_text("dear")
    folder = tmp_path / "cache" / "choosemethod"
    assert boiling(small) == "56.1 °C"
    (folder / "letter").write_text("dear")
    (folder / f"table-{0:024x}.sqlite").symlink_to(letter)
    (folder / f"table-{1:024x}.sqlite").mkdir()
    for path in (folder / "letter", letter):
        os.utime(path, (1, 1))
    cache.forget_old(folder)
    assert letter.read_text() == (folder / "letter").read_text() == "dear"
    assert (folder / f"table-{1:024x}.sqlite").is_dir()


@pytest.mark.parametrize("pattern", ["table-*.kept", "table-*.sqlite"])
@pytest.mark.parametrize("what", ["link", "folder", "fifo", "open to all", "hard link"])
def test_a_planted_file_is_not_used(small: Path, tmp_path: Path, pattern: str, what: str) -> None:
    assert boiling(small) == "56.1 °C"
    (path,) = (tmp_path / "cache" / "choosemethod").glob(pattern)
    raw = path.read_bytes().replace(b"56.1", b"96.1")
    path.unlink()
    elsewhere = tmp_path / "elsewhere"
    elsewhere.write_bytes(raw)
    if what == "link":
        path.symlink_to(elsewhere)
    elif what == "folder":
        path.mkdir()
    elif what == "fifo":
        os.mkfifo(path)
    elif what == "hard link":
        path.hardlink_to(elsewhere)
    else:
        path.write_bytes(raw)
        path.chmod(0o666)
    assert boiling(small) == "56.1 °C"
    assert boiling(small) == "56.1 °C"
    assert elsewhere.read_bytes() == raw


@pytest.mark.parametrize("mode", [0o777, 0o770, 0o1777, 0o722])
def test_a_folder_that_others_can_write_is_not_used(small: Path, tmp_path: Path, mode: int) -> None:
    folder = tmp_path / "cache" / "choosemethod"
    folder.mkdir(parents=True)
    folder.chmod(mode)
    assert boiling(small) == "56.1 °C"
    assert list(folder.iterdir()) == []
    assert places.cache_folder() != folder


ASK = """
import os, sys, tempfile
from pathlib import Path
import yaml, choosemethod.table.build, choosemethod.table.load  # before another user is, who may not be able to read them
from choosemethod.table import open_table
b"x".decode("utf-8-sig")  # loads the codec
uid = int(sys.argv[2])
if uid:
    os.setgroups([]); os.setgid(uid); os.setuid(uid)
print(open_table(folder=Path(sys.argv[1])).substance("acetone").values["boiling_point"].text)
"""


def ask(folder: Path, cached: Path, uid: int = 0) -> subprocess.CompletedProcess[str]:
    path = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    variables = {"PYTHONPATH": path, "PYTHONDONTWRITEBYTECODE": "1", "PYTHONUTF8": "1", "XDG_CACHE_HOME": str(cached)}
    return subprocess.run(
        [sys.executable, "-c", ASK, str(folder), str(uid)],
        env={**os.environ, **variables},
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
    )


@pytest.fixture
def shared_place(small: Path) -> Iterator[Path]:
    """A folder that every user can reach, with the table in it."""
    with tempfile.TemporaryDirectory(dir="/tmp") as name:
        os.chmod(name, 0o755)
        shutil.copytree(small, Path(name, "substances"))
        for path in Path(name).rglob("*"):
            path.chmod(0o755)
            os.utime(path, (LONG_AGO, LONG_AGO))
        yield Path(name)


@owners
@pytest.mark.parametrize("shared", ["cache", "cache/choosemethod"])
def test_what_another_user_leaves_in_a_shared_folder_is_not_used(shared_place: Path, shared: str) -> None:
    place, table = shared_place, shared_place / "substances"
    (place / "cache").mkdir()
    (place / shared).mkdir(exist_ok=True)
    (place / shared).chmod(0o777)
    path = table / "liquids/common.yaml"
    good = path.read_text(encoding="utf-8")
    path.write_text(good.replace("56.1", "96.1"), encoding="utf-8")
    os.utime(path, (LONG_AGO, LONG_AGO))
    theirs = ask(table, place / "cache", SOMEBODY)
    assert theirs.stdout == "96.1 °C\n", theirs.stderr
    planted = [one for one in place.rglob("table-*") if one.stat().st_uid == SOMEBODY]
    assert planted or shared == "cache/choosemethod"  # a folder open to all is not even written
    path.write_text(good, encoding="utf-8")
    os.utime(path, (LONG_AGO, LONG_AGO))
    stamps = [one.stat().st_mtime_ns for one in planted]
    for _ in range(2):
        mine = ask(table, place / "cache")
        assert mine.stdout == "56.1 °C\n", mine.stderr
    assert [one.stat().st_mtime_ns for one in planted] == stamps


@owners
def test_a_file_of_another_user_in_ones_own_folder_is_not_used(small: Path, tmp_path: Path) -> None:
    assert boiling(small) == "56.1 °C"
    for pattern in ("table-*.kept", "table-*.sqlite"):
        (path,) = (tmp_path / "cache" / "choosemethod").glob(pattern)
        os.chown(path, SOMEBODY, SOMEBODY)
        assert boiling(small) == "56.1 °C"
        assert path.stat().st_uid == 0  # made anew


# ---- any bytes -----------------------------------------------------------------------------------------------------------


def forged(thing: Any) -> bytes:
    """A kept file whose head and hash are right, whatever is in it."""
    body = marshal.dumps(thing, 4)
    return cache.HEAD + cache.blake2b(body, digest_size=cache.HASHED).digest() + body


def test_any_bytes_as_what_is_kept(small: Path, tmp_path: Path, bounded: Bounded) -> None:
    chance = random.Random(11)
    folder = tmp_path / "cache" / "choosemethod"
    assert boiling(small) == "56.1 °C"
    for number in range(times("caches")):
        path = chance.choice(kept_in(folder))
        raw = bytearray(path.read_bytes())
        kind = number % 6
        if kind == 0:
            raw = raw[: chance.randrange(len(raw) + 1)]
        elif kind == 1:
            for _ in range(chance.randint(1, 40)):
                raw[chance.randrange(len(raw))] = chance.randrange(256)
        elif kind == 2:
            raw = bytearray(chance.randbytes(chance.randrange(5000)))
        elif kind == 3:
            raw = raw.replace(b"56.1", b"96.1")
        elif kind == 4:
            thing = chance.choice(
                [(), ("", "", True, ()), None, {"rules": 1}, ("a", "b", True, ("../x", 1, 1, 1, True))]
            )
            raw = bytearray(forged(thing))
        else:
            head = len(cache.HEAD) + cache.HASHED
            known, key, _, thing = marshal.loads(
                (path.read_bytes() if path.suffix == ".kept" else forged(("", "", 1, 1)))[head:]
            )
            other = chance.choice(
                [None, (), 7, ("x",), ("table-0.sqlite", 1, 1, 1, True), ("/etc/passwd", 1, 1, 1, True)]
            )
            raw = bytearray(forged((known, key, True, other)))
        stamps = path.stat()
        path.write_bytes(bytes(raw))
        if chance.random() < 0.5:  # as it was, to all appearances
            os.utime(path, ns=(stamps.st_atime_ns, stamps.st_mtime_ns))
        with bounded():
            assert boiling(small) == "56.1 °C", (number, kind, path)


def test_what_fits_the_hash_but_not_the_form_is_built_anew(tmp_path: Path, home: Path) -> None:
    def make(thing: dict[str, int]) -> int:
        return thing["wanted"]

    data = tmp_path / "a.yaml"
    data.write_text("a")
    stored("rules", [data], lambda: {"other": 1})
    assert stored("rules", [data], lambda: {"wanted": 2}, make=make) == 2
    assert stored("rules", [data], lambda: {"wanted": 3}, make=make) == 2


# ---- several at once -----------------------------------------------------------------------------------------------------


def test_two_versions_share_a_cache(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for _ in range(3):
        for head in (b"choosemethod one\n", b"choosemethod another\n"):
            monkeypatch.setattr(cache, "HEAD", head)
            assert boiling(small) == "56.1 °C"


def test_files_edited_while_others_ask(small: Path) -> None:
    path = small / "liquids/common.yaml"
    good = path.read_text()
    over = threading.Event()

    def edit() -> None:
        number = 0
        while not over.is_set():
            number += 1
            other = path.with_suffix(".new")
            other.write_text(good.replace("56.1", f"56.{number % 10}"))
            other.replace(path)
            time.sleep(0.005)

    editor = threading.Thread(target=edit)
    editor.start()
    try:
        found = [boiling(small) for _ in range(40)]
    finally:
        over.set()
        editor.join()
    assert all(text.startswith("56.") for text in found)
    path.write_text(good)
    assert boiling(small) == "56.1 °C"
