"""Names: every way of writing one meets the table's; nearest names for what is misspelt."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from choosemethod.table import Name, normalise, open_table
from choosemethod.table.names import similarity, singular

SAME = [
    # IUPAC name, and the same in older, American, typographic or plural writing
    ("copper(II) sulfate", "Copper II Sulphate", "copper(ii)sulphate", "copper (II) sulfates"),
    ("iron(III) oxide", "iron III oxide", "IRON(Ⅲ) OXIDE"),
    ("propan-2-ol", "propan 2 ol", "Propan‑2‑ol", "propan–2–ol"),
    ("2,4-dinitrophenol", "2 4 dinitrophenol", "2,4 dinitrophenol"),
    ("aluminium", "aluminum", "Aluminium "),
    ("caesium chloride", "cesium chloride"),
    ("sulfuric acid", "sulphuric acid", "Sulfuric  Acid"),
    ("glass fibre", "glass fibers", "glass-fiber"),
    ("food colouring", "food coloring", "food-colourings"),
    ("grey paper", "gray papers"),
    ("Fe2O3", "Fe₂O₃", "fe²o³"),
    ("baker's yeast", "bakers yeast", "bakers' yeast", "baker’s yeast"),
    ("iron filings", "Iron Filing", "iron-filings"),
    ("tea leaves", "tea leaf"),
    ("gas", "gases"),
    ("crystal", "crystals"),
    ("berry", "berries"),
    ("cookie", "cookies"),
    ("ash", "ashes"),
    ("glass", "glasses"),
    ("box", "boxes"),
    ("potato", "potatoes"),
    ("water vapour", "water vapor"),
    ("crème", "creme"),
    ("α-pinene", "alpha-pinene"),
    ("95 % ethanol", "95% ethanol"),
    ("(+)-limonene", "(+) limonene"),
    ("salt, sand", "salt sand"),
]


@pytest.mark.parametrize("written", SAME, ids=[same[0] for same in SAME])
def test_the_ways_of_writing_a_name_meet(written: tuple[str, ...]) -> None:
    assert {normalise(text) for text in written} == {normalise(written[0])}


DIFFERENT = [
    ("propan-1-ol", "propan-2-ol"),
    ("iron(II) chloride", "iron(III) chloride"),
    ("gas", "ga"),
    ("brass", "bras"),
    ("phosphorus", "phosphoru"),
    ("sulfate", "sulfite"),
    ("95.5 % ethanol", "95 5 % ethanol"),
    ("(+)-carvone", "(-)-carvone"),
    ("1,2-xylene", "1,3-xylene"),
]


@pytest.mark.parametrize(("first", "second"), DIFFERENT)
def test_different_names_stay_apart(first: str, second: str) -> None:
    assert normalise(first) != normalise(second)


@given(st.text(max_size=40))
def test_normalising_twice_is_normalising_once(text: str) -> None:
    once = normalise(text)
    assert normalise(once) == once
    assert once == once.strip() and "  " not in once


@given(st.lists(st.sampled_from(["Iron", "filings", "copper(II)", "sulphate", "95.5", "leaves", "Fe₂O₃", "aluminum"])))
def test_normalising_word_by_word_is_normalising_the_whole(words: list[str]) -> None:
    assert " ".join(filter(None, (normalise(word) for word in words))) == normalise(" ".join(words))


@pytest.mark.parametrize(
    # plural and singular as in a dictionary of English (common knowledge, no source)
    ("plural", "one"),
    [("crystals", "crystal"), ("leaves", "leaf"), ("gases", "gas"), ("dyes", "dye"), ("olives", "olive")]
    + [("matches", "match"), ("axes", "axe"), ("alloys", "alloy"), ("daisies", "daisy"), ("pies", "pie")],
)
def test_singular(plural: str, one: str) -> None:
    assert singular(plural) == one
    assert singular(one) == one


def test_similarity_counts_changed_letters() -> None:
    # Damerau's four kinds of error (Communications of the ACM 7, 171, 1964), one of each in a word of eight letters.
    for wrong in ("soltions", "soolutions"[:9], "salution", "soultion"):
        assert similarity("solution", wrong) > 70
    assert similarity("solution", "soultion") == 100 * (1 - 1 / 8)  # neighbours changed places
    assert similarity("solution", "soltion") == 100 * (1 - 1 / 8)
    assert similarity("solution", "salution") == 100 * (1 - 1 / 8)
    assert similarity("solution", "soluttion") == pytest.approx(100 * (1 - 1 / 9))
    assert similarity("a", "b") == 0 and similarity("", "") == 100


def test_look_up(folder: Path) -> None:
    table = open_table(folder=folder)
    assert table.name("Table-Salts") == Name("substance", "sodium-chloride", "table salt")
    assert table.name("sodium  chloride") == Name("substance", "sodium-chloride", "sodium chloride")
    assert table.name("sodium-chloride") == table.name("sodium chloride")
    assert table.name("BRINE") == Name("mixture", "salt-water", "brine")
    assert table.name("gold") is None and table.name("") is None
    assert table.longest_name() == 3  # "piece of iron"


def test_a_word_for_a_substance_and_a_mixture(folder: Path) -> None:
    table = open_table(folder=folder)
    soil = table.name("soil")
    assert soil is not None and soil.kind == "mixture"  # the own name of both
    assert table.name("soil", "substance") == Name("substance", "soil", "soil")
    aqua = table.name("aqua")
    assert aqua is not None and aqua.kind == "mixture"  # a further name of both
    earth = table.name("earth", "mixture")
    assert earth is None


def test_formulae_are_told_apart_by_case_and_ambiguous_ones_are_not_guessed(folder: Path) -> None:
    table = open_table(folder=folder)
    assert table.formula("NaCl") == Name("substance", "sodium-chloride", "NaCl")
    assert table.formula("NACL") is None and table.formula("nacl") is None
    assert table.formula("C3H6O") is None  # acetone and propanal (isomers)
    assert [name.id for name in table.formulae("C3H6O")] == ["acetone", "propanal"]
    assert table.formulae("Xx") == ()


def test_a_formula_means_the_compound_and_not_its_mineral_or_its_dried_form(folder: Path) -> None:
    (folder / "x").mkdir()
    (folder / "x/y.yaml").write_text(
        "halite: {name: halite, formula: NaCl, kind: mineral, phase: solid}\n"
        "dry-salt: {name: dried sodium chloride, formula: NaCl, kind: salt, phase: solid}\n"
        "calcite: {name: calcite, formula: CaCO3, kind: mineral, phase: solid}\n"
    )
    table = open_table(folder=folder)
    found = table.formula("NaCl")
    assert found is not None and found.id == "sodium-chloride"
    assert [name.id for name in table.formulae("NaCl")] == ["sodium-chloride", "dry-salt", "halite"]
    only = table.formula("CaCO3")
    assert only is not None and only.id == "calcite"


WORDS = """\
kerosene: {name: kerosene, also: [paraffin oil], kind: organic, phase: liquid}
copper-ii-sulfate: {name: copper(II) sulfate, also: [copper sulfate, copper sulfate crystals], kind: salt, phase: solid}
sugar-syrup: {name: sugar solution, kind: organic, phase: liquid}
rock-crystal: {name: crystal, kind: salt, phase: solid}
"""


@pytest.mark.parametrize(
    ("wrong", "id"),
    [
        ("kerosine", "kerosene"),
        ("watter", "water"),
        ("wter", "water"),
        ("soltion", "sugar-syrup"),
        ("cristals", "rock-crystal"),
        ("sulphat", "copper-ii-sulfate"),
        ("copper sulphat", "copper-ii-sulfate"),
        ("coper sulfate cristals", "copper-ii-sulfate"),
        ("acetonn", "acetone"),
        ("iron fillings", "iron"),
        ("sodium cloride", "sodium-chloride"),
        ("sodiumchloride", "sodium-chloride"),
        ("salt watre", "salt-water"),
    ],
)
def test_suggestions(folder: Path, wrong: str, id: str) -> None:
    (folder / "x").mkdir()
    (folder / "x/y.yaml").write_text(WORDS)
    table = open_table(folder=folder)
    found = table.suggest(wrong)
    assert found and found[0][1].id == id, found
    assert 0 < len(found) <= 3 and all(60 <= score <= 100 for _, _, score in found)
    assert [score for _, _, score in found] == sorted((score for _, _, score in found), reverse=True)
    assert open_table(folder=folder).suggest(wrong) == found


def test_nothing_near_gives_no_suggestion(folder: Path) -> None:
    table = open_table(folder=folder)
    assert table.suggest("zzzzqqqq") == ()
    assert table.suggest("") == ()
    assert table.suggest("water", most=0) == ()
