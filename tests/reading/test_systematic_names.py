"""Names the table does not have, taken apart: what their make-up tells of the class, and what it does not tell.

The classes are those of the IUPAC rules for substitutive names (Nomenclature of Organic Chemistry, 2013, P-4: seniority of
classes); that a carboxylic acid dissolves in hydrogencarbonate and a phenol only in hydroxide is common practice, no source.
"""

from __future__ import annotations

import pytest

from choosemethod import advise
from choosemethod.reading.coined import coined
from choosemethod.reading.lexicon import lexicon
from choosemethod.table import open_table

TABLE, WORDS = open_table(), lexicon()


def character(name: str) -> str:
    found = coined(f"{name} and naphthalene", TABLE, WORDS).given
    return next(iter(found.values()))["acid_base"] if found else ""


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("2-iodo-3-methylbenzoic acid", "carboxylic acid"),
        ("4-ethoxyaniline", "amine"),
        ("4-amino-2-methylphenol", "amphoteric"),
        ("3-ethoxyphenol", "phenol"),
        ("1-bromo-4-ethoxybenzene", "neutral"),
        ("ethyl 4-ethoxybenzoate", "neutral"),
        ("ethyl 3-amino-4-methylbenzoate", "amine"),
        ("undecanoic acid", "carboxylic acid"),
        ("4-ethoxybenzaldehyde", "neutral"),
        ("3-hydroxy-4-methylacetophenone", "phenol"),
        ("para ethoxy aniline", "amine"),
    ],
)
def test_a_name_tells_its_class(name: str, told: str) -> None:
    assert TABLE.name(name) is None, "the table has it now"
    assert character(name) == told


@pytest.mark.parametrize(
    "name",
    [
        "2,4-dinitroxylene",  # an explosive may be among such
        "2-nitro-4-ethoxyaniline",  # so weak a base that dilute acid may not take it
        "4-nitro-3-ethylphenol",  # may be strong enough for hydrogencarbonate
        "2,6-dibutyl-4-methylphenol",  # may be too crowded for hydroxide
        "N-phenyl-4-methylaniline",
        "sodium 4-ethoxybenzoate",
        "4-ethoxyphenylboronic acid",
        "4-azidoaniline",
        "2-chlorobutanoic acid",  # dissolves in water
    ],
)
def test_a_name_that_tells_too_little_stays_unknown(name: str) -> None:
    assert character(name) == ""


def test_the_plan_takes_base_acid_and_neutral_compound_apart() -> None:
    told = advise("2-chlorobenzoic acid, 4-ethoxyaniline and 1-bromo-4-ethoxybenzene dissolved in ether").as_dict()
    steps = [step["technique"] for step in told["plan"]]
    assert steps.count("acid-base-extraction") == 2
    assert any("only the class is used" in line for line in told["mixture"]["understood"])


@pytest.mark.parametrize(
    "mixture", ["4-ethoxyaniline and 4-chloroaniline", "4-ethoxyaniline hydrochloride and biphenyl"]
)
def test_where_the_class_does_not_decide_the_name_is_unknown(mixture: str) -> None:
    assert advise(mixture).as_dict()["status"] == "unknown"


def test_a_place_and_a_name_parted_by_a_comma_are_no_name() -> None:
    assert not coined("benzoic acid (pKa = 4.2), phenol and naphthalene", TABLE, WORDS).given
