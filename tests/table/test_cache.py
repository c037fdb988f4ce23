"""What is kept of the data files: used while they are unchanged, built anew when they or the kept thing are not."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from choosemethod import cache, places
from choosemethod.cache import stored
from choosemethod.table import DataError, Table, build, open_table

ROOT = Path(places.__file__).parents[1]
LONG_AGO = time.time() - 3600


def age(folder: Path, when: float = LONG_AGO) -> None:
    """Give every file of a folder an old time stamp, so that the stamp alone can be trusted."""
    for path in folder.rglob("*.yaml"):
        os.utime(path, (when, when))


@pytest.fixture
def builds(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Counts how often a table is built, in a file or in memory; what the code depends on counts as old."""
    made: list[str] = []
    in_file, in_memory = build.build_file, build.build_memory

    def counted_file(*given: object) -> object:
        made.append("file")
        return in_file(*given)  # type: ignore[arg-type]

    def counted_memory(*given: object) -> object:
        made.append("memory")
        return in_memory(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(build, "build_file", counted_file)
    monkeypatch.setattr(build, "build_memory", counted_memory)
    return made


def boiling(table: Table) -> str:
    return table.substance("acetone").values["boiling_point"].text


def database_file(tmp_path: Path) -> Path:
    (found,) = (tmp_path / "cache" / "choosemethod").glob("table-*.sqlite")
    return found


def test_an_unchanged_table_is_built_once(folder: Path, builds: list[str]) -> None:
    first, second = open_table(folder=folder), open_table(folder=folder)
    assert builds == ["file"]
    assert first.substance("acetone") == second.substance("acetone")
    assert first.mixture("soil") == second.mixture("soil") and first.dangers() == second.dangers()


def test_a_touched_file_is_no_changed_file(folder: Path, builds: list[str]) -> None:
    open_table(folder=folder)
    age(folder)
    open_table(folder=folder)
    assert builds == ["file"]


def test_a_changed_added_or_removed_file_counts(folder: Path, builds: list[str]) -> None:
    age(folder)
    assert boiling(open_table(folder=folder)) == "56.1 °C"
    path = folder / "liquids/common.yaml"
    path.write_text(path.read_text().replace("56.1 °C", "56.3 °C"))
    assert boiling(open_table(folder=folder)) == "56.3 °C"
    (folder / "new").mkdir()
    (folder / "new/gold.yaml").write_text("gold: {name: gold, kind: metal, phase: solid}\n")
    assert open_table(folder=folder).has("gold")
    (folder / "new/gold.yaml").unlink()
    assert not open_table(folder=folder).has("gold")
    assert builds == ["file"] * 3  # the last state is the second one again


def test_a_change_within_the_grain_of_the_time_stamp_is_seen(folder: Path) -> None:
    path = folder / "liquids/common.yaml"
    now = path.stat()
    assert boiling(open_table(folder=folder)) == "56.1 °C"
    path.write_text(path.read_text().replace("56.1 °C", "56.3 °C"))
    os.utime(path, ns=(now.st_atime_ns, now.st_mtime_ns))  # same size, same time
    assert boiling(open_table(folder=folder)) == "56.3 °C"


def cut_short(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 3])


def overwrite(path: Path) -> None:
    path.write_bytes(b"nothing of use")


def empty(path: Path) -> None:
    path.write_bytes(b"")


def turn_bits(path: Path) -> None:
    raw = bytearray(path.read_bytes())
    for place in range(40, len(raw), 97):
        raw[place] ^= 0xFF
    path.write_bytes(bytes(raw))


def remove(path: Path) -> None:
    path.unlink()


@pytest.mark.parametrize("harm", [cut_short, overwrite, empty, turn_bits, remove])
@pytest.mark.parametrize("pattern", ["table-*.sqlite", "table-*.kept"])
def test_damage_is_mended(
    folder: Path, tmp_path: Path, builds: list[str], pattern: str, harm: Callable[[Path], None]
) -> None:
    open_table(folder=folder)
    (path,) = (tmp_path / "cache" / "choosemethod").glob(pattern)
    harm(path)
    assert boiling(open_table(folder=folder)) == "56.1 °C"
    assert builds == ["file", "file"]
    assert boiling(open_table(folder=folder)) == "56.1 °C"
    assert builds == ["file", "file"]


@pytest.mark.parametrize("harm", [cut_short, overwrite, turn_bits])
def test_damage_that_shows_only_when_asked_is_mended(
    folder: Path, tmp_path: Path, builds: list[str], harm: Callable[[Path], None]
) -> None:
    age(folder)
    open_table(folder=folder)
    path = database_file(tmp_path)
    before, size = path.stat(), path.stat().st_size
    harm(path)
    with open(path, "ab") as file:
        file.truncate(size)
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))  # as it was, to all appearances
    table = open_table(folder=folder)
    assert boiling(table) == "56.1 °C"
    assert table.name("aqua") is not None and table.pair("azeotropes", "water", "acetone") is not None
    assert builds == ["file", "file"]


def test_a_kept_file_of_another_program_version_is_not_used(
    folder: Path, builds: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    open_table(folder=folder)
    monkeypatch.setattr(cache, "HEAD", b"choosemethod another\n")
    assert boiling(open_table(folder=folder)) == "56.1 °C"
    assert builds == ["file", "file"]


def test_the_temporary_folder_serves_where_the_home_cannot_be_written(
    folder: Path, tmp_path: Path, builds: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("no folder")
    (tmp_path / "temporary").mkdir()
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temporary"))
    for _ in range(2):
        assert boiling(open_table(folder=folder)) == "56.1 °C"
    assert builds == ["file"]
    (own,) = (tmp_path / "temporary").iterdir()
    assert own.stat().st_mode & 0o077 == 0  # nobody else may read or write it


def test_memory_serves_where_nothing_can_be_written(
    folder: Path, tmp_path: Path, builds: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "file"))
    table = open_table(folder=folder)
    assert places.cache_folder() is None
    assert boiling(table) == "56.1 °C" and table.suggest("acetonn")[0][1].id == "acetone"
    assert builds == ["memory"]


def test_a_disk_that_is_full_does_no_harm(
    folder: Path, tmp_path: Path, builds: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    assert boiling(open_table(folder=folder)) == "56.1 °C"
    assert builds == ["file", "memory"]
    assert list((tmp_path / "cache" / "choosemethod").iterdir()) == []


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="folders have no owner here")
def test_somebody_elses_folder_is_not_trusted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert places.cache_folder() == tmp_path / "cache" / "choosemethod"
    other = os.geteuid() + 1
    monkeypatch.setattr(os, "geteuid", lambda: other)
    assert places.cache_folder() is None


def test_old_caches_are_removed_and_nothing_else(folder: Path, tmp_path: Path) -> None:
    kept = tmp_path / "cache" / "choosemethod"
    kept.mkdir(parents=True, mode=0o700)
    for number in range(60):
        path = kept / f"table-{number:024x}.sqlite"
        path.write_bytes(b"x")
        os.utime(path, (LONG_AGO - number, LONG_AGO - number))
    ours = kept / "rules-00000000.kept", kept / ".choosemethod-new-1-0123456789ab"
    others = [
        kept / name for name in ("letter.txt", "rules-old.kept", "table-1.sqlite", ".new-abcdefgh", "thesis.kept")
    ]
    for path in (*ours, *others):
        path.write_bytes(b"x")
        os.utime(path, (LONG_AGO - 40 * 86_400, LONG_AGO - 40 * 86_400))
    open_table(folder=folder)
    left = {path.name for path in kept.iterdir()}
    assert left >= {path.name for path in others}
    assert len(left - {path.name for path in others}) <= cache.MOST + 1  # the note of the new database comes on top
    assert f"table-{0:024x}.sqlite" in left and f"table-{59:024x}.sqlite" not in left
    assert not left & {path.name for path in ours}


def test_a_fault_is_not_kept(folder: Path) -> None:
    path = folder / "liquids/common.yaml"
    good = path.read_text()
    path.write_text(good.replace("56.1 °C", "56.1"))
    for _ in range(2):
        with pytest.raises(DataError):
            open_table(folder=folder)
    path.write_text(good)
    assert boiling(open_table(folder=folder)) == "56.1 °C"


ASK = """
import sys
from pathlib import Path
from choosemethod.table import open_table
table = open_table(folder=Path(sys.argv[1]))
names = [table.name("propanone"), table.name("Brine"), table.formula("Fe")]
print(table.substance(names[0].id).values["boiling_point"].text, names[1].id, names[2].id)
slow = {"yaml", "numpy", "CoolProp", "experta", "rich", "hashlib", "choosemethod.table.build"}
print(*sorted(slow & set(sys.modules)))
"""


def ask(folder: Path) -> subprocess.Popen[str]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1", "PYTHONIOENCODING": "utf-8"}
    return subprocess.Popen(
        [sys.executable, "-c", ASK, str(folder)], env=environment, stdout=subprocess.PIPE, encoding="utf-8"
    )


def test_several_processes_at_once_and_then_one_that_loads_nothing(folder: Path, tmp_path: Path) -> None:
    age(folder)
    crowd = [ask(folder) for _ in range(3)]
    said = [process.communicate(timeout=60)[0].splitlines() for process in crowd]
    assert [lines[0] for lines in said] == ["56.1 °C salt-water iron"] * 3
    assert [process.returncode for process in crowd] == [0] * 3
    assert not list((tmp_path / "cache" / "choosemethod").glob(".new-*"))
    # Modules the code consists of may have been changed seconds ago; only then are the contents hashed.
    lines = ask(folder).communicate(timeout=60)[0].splitlines()
    assert set(lines[1].split()) <= {"hashlib"}


def test_the_database_is_opened_read_only(folder: Path) -> None:
    table = open_table(folder=folder)
    with pytest.raises(sqlite3.OperationalError, match="readonly"):
        table._database.execute("DELETE FROM names")


# The general store, which the rules use as well.


def test_stored(tmp_path: Path) -> None:
    files = [tmp_path / "a.yaml", tmp_path / "b.yaml"]
    files[0].write_text("one")
    made: list[int] = []

    def make() -> dict[str, list[int]]:
        made.append(len(made))
        return {"made": list(made)}

    assert stored("rules", files, make) == {"made": [0]}  # b.yaml is missing and takes part as missing
    assert stored("rules", files, make) == {"made": [0]}
    assert stored("other", files, make) == {"made": [0, 1]}
    files[1].write_text("two")
    assert stored("rules", files, make) == {"made": [0, 1, 2]}
    assert stored("rules", files, make) == {"made": [0, 1, 2]}
    assert stored("rules", files, make, anew=True) == {"made": [0, 1, 2, 3]}
    files[1].write_text("2.0")
    assert stored("rules", files, make) == {"made": [0, 1, 2, 3, 4]}


def test_stored_tells_what_cannot_be_kept_and_passes_errors_on(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="unmarshallable"):
        stored("rules", [tmp_path], lambda: object())

    def fail() -> object:
        raise DataError("f.yaml", 1, "wrong", "right")

    with pytest.raises(DataError):
        stored("rules", [tmp_path / "x"], fail)


def test_what_changes_while_it_is_built_is_not_kept(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("one")

    def make() -> str:
        text = path.read_text()
        path.write_text("two")
        return text

    assert stored("rules", [path], make) == "one"
    assert stored("rules", [path], path.read_text) == "two"
