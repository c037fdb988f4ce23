"""Columns, conventions, pumps, glassware and forecasts: the installed files, and faults with file, line and mend."""

from __future__ import annotations

import marshal
from pathlib import Path
from shutil import copy

import pytest

from choosemethod.errors import DataError
from choosemethod.laboratory import LINES, Laboratory
from choosemethod.load_laboratory import read_laboratory
from choosemethod.places import rules_folder
from choosemethod.rulebook import open_rulebook
from choosemethod.table import open_table

FILES = ("columns", "conventions", "pumps", "vessels", "forecasts")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    rules = tmp_path / "rules"
    rules.mkdir()
    for name in FILES:
        copy(rules_folder() / f"{name}.yaml", rules)
    return rules


def test_installed_files_are_read_once_and_kept() -> None:
    table = open_table()
    book = open_rulebook(table)
    read = read_laboratory(rules_folder(), set(table.source_keys()), set(book.techniques))
    assert book.laboratory == read
    assert dict(book.forecasts) == dict(read.techniques)
    assert Laboratory.from_plain(marshal.loads(marshal.dumps(read.plain()))) == read


def test_values_of_the_installed_files() -> None:
    # Rules of thumb of 25, 40, 70, 80 and 100 K are in print (see the sources of rules/conventions.yaml); 15 mmHg is
    # what a good water pump reaches (practical instructions), 2.0 kPa.
    read = read_laboratory(rules_folder())
    assert [rule.gap for rule in read.conventions] == [25.0, 40.0, 70.0, 80.0, 100.0]
    assert read.pumps[0].reaches == pytest.approx(15 * 133.322, rel=0.01)
    assert read.pumps[-1].reaches < read.pumps[0].reaches
    # Common practice: a flask half to two thirds full, a funnel at most two thirds.
    assert (read.vessels["flask"].least, read.vessels["flask"].most) == (0.5, pytest.approx(2 / 3, abs=0.001))
    assert read.vessels["funnel"].most == pytest.approx(2 / 3, abs=0.001)
    for source in (*read.sources.values(), *(one.source for one in (*read.columns, *read.conventions, *read.pumps))):
        assert open_table().source(source).title


@pytest.mark.parametrize(
    ("name", "old", "new", "wrong", "write"),
    [
        ("columns", "plates: 2 to 3", "plates: 3 to 2", "lower end comes first", "plates"),
        ("columns", "plates: 2 to 3", "plats: 2 to 3", "'plats' is no key", "plates"),
        ("columns", "source: memory", "source: hearsay", "'hearsay' is no source", "sources.yaml"),
        ("conventions", "gap: 25 K", "gap: 25", "in K", "25 K"),
        ("conventions", "{gap: 25 K, source: leadbeater-distillation}", "25 K", "must be a mapping", "{gap: 25 K"),
        ("pumps", "reaches: 2 kPa", "reaches: 2 g", "pressure is wanted", "2 kPa"),
        ("vessels", "sizes: [25 mL, 50 mL", "sizes: [50 mL, 25 mL", "sizes must rise", "50 mL, 100 mL"),
        ("vessels", "least: 50 %", "least: 80 %", "least must lie below most", "least"),
        ("vessels", "least: 50 %", "least: 150 %", "more than the whole", "fraction"),
        ("forecasts", "steam: [steam-distillation]", "steam: [steaming]", "'steaming' is no technique", "techniques"),
        ("forecasts", "steam: [steam-distillation]", "vapour: [steam-distillation]", "no kind of forecast", "steam"),
        ("forecasts", "purity: {is: 95 %", "purity: {is: ninety", "no number", "95 %"),
        (
            "forecasts",
            "viscosity: {is: 1.0016 mPa s",
            "viscosity: {is: 1 s",
            "a viscosity is wanted, for example in mPa s",
            "1.5 mPa s",
        ),
        ("forecasts", "  fitted: {is: 3 %", "  guessed: {is: 3 %", "no number of uncertainty", "fitted"),
        ("forecasts", 'gas-boils: "On warming', 'gas-boils: "On {heating}', "{heating} cannot be filled in", "{order}"),
        ("forecasts", "  gas-boils:", "  gas-boil:", "no sentence of a forecast", "gas-boils"),
    ],
)
def test_faults_name_file_and_line(folder: Path, name: str, old: str, new: str, wrong: str, write: str) -> None:
    path = folder / f"{name}.yaml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    line = text[: text.index(old)].count("\n") + 1
    with pytest.raises(DataError) as caught:
        read_laboratory(
            folder, set(open_table().source_keys()), {path.stem for path in (rules_folder() / "techniques").glob("*")}
        )
    assert caught.value.file == f"rules/{name}.yaml"
    assert caught.value.line == line
    assert wrong in caught.value.wrong
    assert write in caught.value.write


def test_a_missing_sentence_is_a_fault(folder: Path) -> None:
    path = folder / "forecasts.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(
        "".join(line for line in text.splitlines(True) if not line.startswith("  gas-boils:")), encoding="utf-8"
    )
    with pytest.raises(DataError, match="gas-boils is missing"):
        read_laboratory(folder)


def test_a_teacher_can_change_a_sentence(folder: Path) -> None:
    path = folder / "forecasts.yaml"
    text = path.read_text(encoding="utf-8").replace(
        "On warming the liquid they boil off in the order {order}.", "First {order}."
    )
    path.write_text(text, encoding="utf-8")
    assert read_laboratory(folder).say("gas-boils", order="nitrogen and oxygen") == "First nitrogen and oxygen."


def test_every_sentence_can_be_said() -> None:
    read = read_laboratory(rules_folder())
    for key, places in LINES.items():
        assert "{" not in read.say(key, **dict.fromkeys(places, "x")), key
