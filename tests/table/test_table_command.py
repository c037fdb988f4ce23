"""`choosemethod table`: what is known and how, what is wrong in a file, an entry to fill in, and the lists of words."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from choosemethod.cli import main
from choosemethod.places import substances_folder


def said(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main([*words])
    out, err = capsys.readouterr()
    return code, out, err


def test_coverage_is_shown_by_property_and_by_how_it_is_known(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = said(capsys, "table", "--format", "json")
    found = json.loads(out)["coverage"]
    assert code == 0 and found["melting point"]["measured"] > 600 and found["magnetic"]["by class"] > 600


def test_a_substance_shows_how_source_row_second_source_and_rules(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = said(capsys, "table", "acetone", "--format", "words")
    assert code == 0
    assert "nist-webbook agrees" in out  # the boiling point, in two tables
    assert "row 606-001-00-8" in out  # CLP, Annex VI: acetone
    assert "by class" in out
    assert "Rules that ask for it" in out and "Boiling point: " in out


def test_a_new_entry_is_sound_as_printed_and_with_every_remark_taken_away(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = said(capsys, "table", "--new", "strontium tungstate")
    assert code == 0 and out.startswith("#") and "strontium-tungstate:" in out
    own = tmp_path / "own.yaml"
    own.write_text(out, "utf-8")
    assert said(capsys, "table", "--check", str(own))[0] == 0
    code, _, err = said(capsys, "table", "--new", "acetone")
    assert code == 2 and "already has" in err


def test_every_fault_of_a_file_is_said_at_once_and_what_is_unsure_is_asked_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "own.yaml"
    own.write_text(
        "gadget:\n  name: gadget\n  kind: sald\n  phase: solid\n  density: {is: 2.2, source: memory}\n"
        "widget:\n  name: widget\n  kind: salt\n  phase: solid\n  melting_point: {is: 295 C, source: memory}\n"
        "  boiling_point: {is: 90 °C, source: memory}\n",
        "utf-8",
    )
    code, _, err = said(capsys, "table", "--check", str(own))
    assert code == 5
    assert "'sald' is no kind" in err and "needs a unit" in err
    assert "295 C is in degrees Celsius or in kelvin" in err and "295 °C, or 295 K" in err
    assert "melts at 295 C and boils at 90 °C, below that" in err
    mended = own.read_text("utf-8").replace("sald", "salt").replace("2.2,", "2.2 g/cm3,").replace("295 C", "295 °C")
    own.write_text(mended.replace("90 °C", "690 °C"), "utf-8")
    code, out, _ = said(capsys, "table", "--check", str(own))
    assert code == 0 and "2 entries" in out


@pytest.mark.parametrize(
    ("file", "said_of_it"),
    [
        ("substances/pairs/azeotropes.yaml", "entries"),
        ("substances/incompatibles.yaml", "entries"),
        ("rules/caution/health/methanol.yaml", "tests/rules -k methanol"),
        ("rules/reading/cues.yaml", "nothing is wrong"),
    ],
)
def test_a_file_of_the_program_is_checked_by_its_kind(
    capsys: pytest.CaptureFixture[str], file: str, said_of_it: str
) -> None:
    code, out, _ = said(capsys, "table", "--check", str(substances_folder().parent / file))
    assert code == 0 and said_of_it in out


@pytest.mark.parametrize(
    ("what", "word"),
    [("kinds", "salt"), ("properties", "boiling_point"), ("sources", "clp-annex-vi")],
)
def test_the_words_there_are_can_be_listed(capsys: pytest.CaptureFixture[str], what: str, word: str) -> None:
    code, out, _ = said(capsys, "table", "--list", what, "--format", "json")
    assert code == 0 and json.loads(out)[what][word]


@pytest.mark.parametrize("command", [["rules"], ["handout", "sand and gadget"]])
def test_every_command_takes_a_table_of_the_users_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], command: list[str]
) -> None:
    own = tmp_path / "own.yaml"
    own.write_text(
        "gadget:\n  name: gadget\n  kind: salt\n  phase: solid\n"
        "  solubility: {water: {is: freely soluble, source: memory}}\n",
        "utf-8",
    )
    before, *_ = said(capsys, *command)  # what was opened without the file is not what is asked with it
    code, out, err = said(capsys, *command, "--table", str(own))
    assert code == 0 and out, err
    assert before == (3 if "gadget" in command[-1] else 0) == said(capsys, *command)[0]
