"""What a kind or class implies: added where an entry says nothing, never over what it says, and shown as such."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from choosemethod.places import substances_folder
from choosemethod.properties import Properties
from choosemethod.reactions import Reactions
from choosemethod.rulebook import open_rulebook
from choosemethod.table import open_table
from choosemethod.table.contents import read_contents


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(substances_folder(), tmp_path / "substances"))


def test_a_substance_takes_what_its_kind_implies_and_says_so() -> None:
    table = open_table()
    glass = table.substance("sodium-sulfate").values["magnetic"]
    assert glass.words == ("no",) and table.how(glass.source) == "by class" and glass.note
    known = Properties(table, open_rulebook(table).limits, 101_325.0)
    word, _, shown = known.grade(table.substance("calcite"), table.substance("toluene"))
    assert word == "insoluble" and shown is not None and shown.how == "by class"
    assert "lattice" in shown.note


def test_what_an_entry_states_counts_before_what_its_kind_implies() -> None:
    table = open_table()
    iron = table.substance("iron").values["magnetic"]
    assert iron.words == ("strongly",) and table.how(iron.source) != "by class"
    # common practice: calcium sulfate is a little soluble, castor oil mixes with ethanol, unlike their kind
    castor = table.substance("castor-oil").solubility["ethanol"]
    assert castor.word == "miscible" and table.how(castor.source) != "by class"
    assert table.substance("gypsum").solubility["water"].word != "insoluble"


def test_a_form_shares_what_it_does_not_state_with_what_it_is_a_form_of(tmp_path: Path) -> None:
    own = tmp_path / "own.yaml"
    own.write_text(
        "zinc-shavings:\n  name: zinc shavings\n  kind: metal\n  classes: [metal]\n  phase: solid\n  like: zinc\n"
        "  hazards: {is: [], source: memory}\n",
        "utf-8",
    )
    table = open_table([own])
    zinc, shavings = table.substance("zinc"), table.substance("zinc-shavings")
    assert shavings.values["melting_point"] == zinc.values["melting_point"]
    assert shavings.reagents == zinc.reagents and not shavings.cas
    assert shavings.values["hazards"].words == () != zinc.values["hazards"].words
    assert "particle_size" in zinc.values and "particle_size" not in shavings.values
    known = Reactions(table, "water")
    assert known.groups(shavings) == known.groups(zinc)
    acid = table.substance("dilute-hydrochloric-acid")
    assert known.between(shavings, acid) == known.between(zinc, acid) is not None


def test_a_form_of_a_form_is_refused(tmp_path: Path) -> None:
    own = tmp_path / "own.yaml"
    own.write_text("wire-ends:\n  name: wire ends\n  kind: metal\n  phase: solid\n  like: copper-wire\n", "utf-8")
    said = [str(error) for error in read_contents(substances_folder(), [own]).problems]
    assert any("own.yaml" in one and "itself a form of copper" in one and "like: copper" in one for one in said), said


def test_a_users_own_substance_takes_it_too(tmp_path: Path) -> None:
    own = tmp_path / "own.yaml"
    own.write_text("strontium-tungstate:\n  name: strontium tungstate\n  kind: salt\n  phase: solid\n", "utf-8")
    substance = open_table([own]).substance("strontium-tungstate")
    assert substance.values["magnetic"].words == ("no",)
    assert "heat_sensitive" not in substance.values  # nobody can say so of every salt


def test_nothing_is_taken_for_granted_of_what_a_question_leaves_unnamed() -> None:
    table = open_table()
    for ident in table.substance_ids():
        substance = table.substance(ident)
        if "unspecified" in substance.classes:
            taken = [key for key, value in substance.values.items() if value.file.endswith("defaults.yaml")]
            assert not taken, (ident, taken)


def test_no_liquid_is_said_to_dissolve_itself() -> None:
    table = open_table()
    assert not [id for id in table.substance_ids() if id in table.substance(id).solubility]


@pytest.mark.parametrize(
    ("row", "wrong", "write"),
    [
        ("- of: {kind: sald}\n  states: {magnetic: x}\n  because: b\n  source: by-class", "'sald' is no kind", "kinds"),
        (
            '- of: {kind: salt}\n  states: {magnetic: "maybe"}\n  because: b\n  source: by-class',
            "maybe",
            "one of strongly",
        ),
        (
            "- of: {kind: salt}\n  solubility: {hexane: wet}\n  because: b\n  source: by-class",
            "'wet' is no",
            "insoluble",
        ),
        ("- of: {kind: salt}\n  solubility: {hexone9: insoluble}\n  because: b\n  source: by-class", "hexone9", "id"),
        ("- of: {kind: salt}\n  because: b\n  source: by-class", "states nothing", "states:"),
        ("- of: {kind: salt}\n  solubility: {hexane: insoluble}\n  source: by-class", "because is missing", "because:"),
        ("- of: {kind: salt}\n  solubility: {hexane: insoluble}\n  because: b", "has no source", "source:"),
        ("- {states: {}, because: b, source: by-class}", "of is missing", "of:"),
        ("- of: {phase: solid}\n  solubility: {hexane: insoluble}\n  because: b\n  source: by-class", "no kind", "of:"),
        (
            "- of: {kind: salt, phase: wet}\n  solubility: {hexane: insoluble}\n  because: b\n  source: by-class",
            "wet",
            "phase",
        ),
    ],
)
def test_a_faulty_default_is_reported_with_file_line_and_mend(folder: Path, row: str, wrong: str, write: str) -> None:
    (folder / "defaults.yaml").write_text(f"{row}\n", "utf-8")
    said = [str(error) for error in read_contents(folder).problems]
    assert any("defaults.yaml" in one and wrong in one and write in one for one in said), said[:3]
