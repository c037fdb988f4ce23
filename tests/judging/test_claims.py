"""Claims checked against values outside the project: the `chemicals` library, and textbook facts with their source."""

from __future__ import annotations

from functools import cache

import chemicals
import pytest

from choosemethod.advice.ask import opened
from choosemethod.advice.compose import Composer
from choosemethod.judging.claims import Claims
from choosemethod.judging.rules import judging
from choosemethod.reading import given_substances, read_words

TABLE, BOOK = opened()


@cache
def claims_of(mixture: str, without: str = "") -> Claims:
    question = read_words(mixture, TABLE, without=(without,) if without else ())
    given = given_substances(question)
    return Claims(Composer(TABLE.with_given(given) if given else TABLE, BOOK, question), judging())


def verdicts(mixture: str, text: str) -> list[str]:
    return [claim.verdict for claim in claims_of(mixture).check(text)]


# CAS number, name. Boiling and melting points are those of the `chemicals` library (its Tb and Tm).
LIQUIDS = [
    ("67-64-1", "acetone"),
    ("64-17-5", "ethanol"),
    ("67-56-1", "methanol"),
    ("108-88-3", "toluene"),
    ("71-43-2", "benzene"),
    ("110-54-3", "hexane"),
    ("141-78-6", "ethyl acetate"),
    ("67-66-3", "chloroform"),
    ("60-29-7", "diethyl ether"),
]


@pytest.mark.parametrize(("cas", "name"), LIQUIDS)
def test_boiling_points_agree_with_the_chemicals_library(cas: str, name: str) -> None:
    celsius = chemicals.Tb(cas) - 273.15
    mixture = f"{name} and water"
    assert verdicts(mixture, f"{name} boils at {celsius:.0f} °C") == ["true"]
    assert verdicts(mixture, f"the boiling point of {name} is {celsius:.1f} °C") == ["true"]
    assert verdicts(mixture, f"{name} boils at {celsius + 12:.0f} °C") == ["false"]
    assert verdicts(mixture, f"{name} (b.p. {celsius - 12:.0f} °C)") == ["false"]
    assert verdicts(mixture, f"{name} boils at {celsius + 273.15:.0f} K") == ["true"]


@pytest.mark.parametrize(
    ("cas", "name"), [("91-20-3", "naphthalene"), ("65-85-0", "benzoic acid"), ("7704-34-9", "sulfur")]
)
def test_melting_points_agree_with_the_chemicals_library(cas: str, name: str) -> None:
    celsius = chemicals.Tm(cas) - 273.15
    mixture = f"{name} and sand"
    assert verdicts(mixture, f"{name} melts at {celsius + 20:.0f} °C") == ["false"]
    if name != "sulfur":  # two forms melt at different temperatures, libraries differ on which is meant
        assert verdicts(mixture, f"{name} melts at {celsius:.0f} °C") == ["true"]


@pytest.mark.parametrize(("a", "b"), [(LIQUIDS[0], LIQUIDS[3]), (LIQUIDS[4], LIQUIDS[7]), (LIQUIDS[1], LIQUIDS[2])])
def test_gaps_agree_with_the_chemicals_library(a: tuple[str, str], b: tuple[str, str]) -> None:
    gap = abs(chemicals.Tb(a[0]) - chemicals.Tb(b[0]))
    mixture = f"{a[1]} and {b[1]}"
    assert verdicts(mixture, f"they differ by less than {gap + 4:.0f} °C") == ["true"]
    assert verdicts(mixture, f"they differ by less than {gap - 4:.0f} °C") == ["false"]
    assert verdicts(mixture, f"the boiling points differ by more than {gap - 4:.0f} °C") == ["true"]
    lower, higher = sorted((a, b), key=lambda one: chemicals.Tb(one[0]))
    assert verdicts(mixture, f"{lower[1]} comes over first") == ["true"]
    assert verdicts(mixture, f"{higher[1]} has a lower boiling point than {lower[1]}") == ["false"]


# NCERT Science class 9, chapter Is Matter Around Us Pure (oil floats on water; camphor and iodine sublime; iron is
# magnetic), and CRC Handbook, Aqueous Solubility of Inorganic Compounds (sodium chloride dissolves in water).
@pytest.mark.parametrize(
    ("mixture", "text", "verdict"),
    [
        ("olive oil and water", "the oil is the lower layer", "false"),
        ("olive oil and water", "the oil is the upper layer", "true"),
        ("olive oil and water", "water is denser than oil", "true"),
        ("olive oil and water", "oil floats on water", "true"),
        ("olive oil and water", "they do not mix", "true"),
        ("olive oil and water", "oil and water are miscible", "false"),
        ("chloroform and water", "chloroform is the lower layer", "true"),
        ("acetone and water", "acetone is the upper layer", "false"),
        ("salt and sand", "salt dissolves in water", "true"),
        ("salt and sand", "salt does not dissolve in alcohol", "true"),
        ("salt and sand", "sand is insoluble in water", "true"),
        ("salt and sand", "sand is soluble in water", "false"),
        ("salt and sand", "water dissolves salt", "true"),
        ("iodine and sand", "iodine sublimes when heated", "true"),
        ("iron filings and sulfur", "iron is magnetic", "true"),
        ("iron filings and sulfur", "sulfur is attracted to a magnet", "false"),
        ("iron filings and sulfur", "sulfur is not magnetic", "true"),
        ("ethanol and water", "ethanol is flammable", "true"),
        ("ethanol and water", "water is highly flammable", "false"),
        ("ethanol and water", "ethanol and water mix", "true"),
    ],
)
def test_facts_of_the_textbooks(mixture: str, text: str, verdict: str) -> None:
    assert verdicts(mixture, text) == [verdict]


def test_a_claim_tells_the_value_the_source_and_the_tolerance() -> None:
    claim = claims_of("acetone and water").check("acetone boils at 66 °C")[0]
    assert claim.verdict == "false"
    assert "56" in claim.found
    assert claim.source in TABLE.source_keys()
    assert claim.tolerance == "2 K"


def test_several_claims_in_one_text() -> None:
    text = "Acetone boils at 56 °C and water at 100 °C; they differ by less than 25 °C because acetone is flammable."
    assert verdicts("acetone and water", text) == ["true", "true", "false", "true"]


def test_what_is_not_known_is_neither_true_nor_false() -> None:
    assert verdicts("acetone and water", "frobnicol boils at 30 °C") == ["not known"]
    assert verdicts("acetone and water", "we like chemistry") == []


def test_a_boiling_point_at_altitude_may_be_the_local_or_the_normal_one() -> None:
    """Water boils near 94.6 °C at 83.5 kPa, the standard atmosphere at 1600 m (ICAO Doc 7488 and steam tables)."""
    checker = claims_of("salt water at 1600 m")
    assert [claim.verdict for claim in checker.check("water boils at 95 °C")] == ["true"]
    assert [claim.verdict for claim in checker.check("water boils at 100 °C")] == ["true"]
    assert [claim.verdict for claim in checker.check("water boils at 90 °C")] == ["false"]


# IUPAC Gold Book, retardation factor: distance of the spot over distance of the front; by arithmetic.
@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("Rf = 0.60", "true"),
        ("the Rf value is 0.6", "true"),
        ("Rf = 0.67", "false"),
        ("Rf = 0.45 (45 mm / 100 mm)", "true"),
        ("Rf = 0.45 (4.5 cm / 9 cm)", "false"),
        ("Rf = 0.8 (100 mm / 45 mm)", "false"),
    ],
)
def test_retention_from_distances(text: str, verdict: str) -> None:
    assert [c.verdict for c in claims_of("red and blue ink").check(text, 0.150, (0.090,))] == [verdict]


def test_an_rf_without_distances_is_not_known() -> None:
    assert verdicts("red and blue ink", "Rf = 0.5") == ["not known"]


def test_columns_of_claims() -> None:
    claims = claims_of("acetone and water")
    assert [c.verdict for c in claims.column("boiling_point", "acetone", "56 °C")] == ["true"]
    assert [c.verdict for c in claims.column("boiling_point", "", "acetone: 56 °C; water: 90 °C")] == ["true", "false"]
    assert [c.verdict for c in claims_of("olive oil and water").column("lower", "", "water")] == ["true"]
    assert [c.verdict for c in claims.column("rf", "", "0.6", 0.1, (0.06,))] == ["true"]
    assert claims.column("boiling_point", "acetone", "") == ()
