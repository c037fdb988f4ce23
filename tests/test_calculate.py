"""The calculations by name: worked examples of textbooks, and clear refusals."""

from __future__ import annotations

import pytest

from choosemethod.calculate import (
    CALCULATIONS,
    Calculation,
    CalculationError,
    NotKnown,
    UnknownSubstance,
    calculate,
)
from choosemethod.errors import ChooseMethodError
from choosemethod.facts import weakest
from choosemethod.table import Table, open_table


@pytest.fixture(scope="module")
def table() -> Table:
    return open_table()


def numbers(answer: Calculation) -> list[float]:
    return [quantity.value for quantity in answer.quantities]


# One sound question for each calculation.
SOUND: dict[str, dict[str, str]] = {
    "altitude": {"altitude": "3000 m"},
    "azeotrope": {"first": "ethanol", "second": "water"},
    "boiling-point": {"substance": "water", "pressure": "84 kPa"},
    "extraction": {"ratio": "5", "volume": "50 mL", "portion": "15 mL", "portions": "3"},
    "hydrate-mass": {"substance": "copper(II) sulfate", "mass": "57 g", "water": "100 g", "temperature": "20 °C"},
    "plates": {"first": "benzene", "second": "toluene"},
    "rayleigh": {"alpha": "2.16", "charge": "0.5", "distilled": "60 %"},
    "rcf": {"radius": "5 cm", "speed": "10000 rpm"},
    "resolution": {"first": "8.36 min", "second": "9.54 min", "first-width": "0.96 min", "second-width": "0.64 min"},
    "rf": {"spot": "3.2 cm", "front": "8.0 cm"},
    "steam": {"substance": "aniline"},
    "stokes": {
        "diameter": "2 µm", "particle-density": "2.65 g/cm3", "liquid-density": "water", "viscosity": "1.002 mPa s",
        "depth": "10 cm",
    },
    "yield-on-cooling": {
        "substance": "potassium nitrate", "mass": "100 g", "solvent-mass": "100 g", "hot": "80 °C", "cold": "20 °C",
    },
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(CALCULATIONS))
def test_every_calculation_answers_with_its_formula_filled_in(table: Table, name: str) -> None:
    answer = calculate(name, SOUND[name], table)
    assert answer.name == name
    assert answer.results
    assert all(str(quantity) for quantity in answer.quantities)  # each can be shown
    assert any(letter.isdigit() for letter in answer.formula)
    assert weakest(answer.how, "computed") == answer.how  # nothing worked out counts as measured
    for key in answer.sources:
        assert table.source(key).title


@pytest.mark.parametrize(
    ("name", "index", "value", "within"),
    [
        ("altitude", 0, 70_121, 1),  # U.S. Standard Atmosphere 1976
        ("azeotrope", 0, 78.15 + 273.15, 0.5),  # CRC Handbook, 97th ed., sec. 6
        ("azeotrope", 1, 0.894, 0.02),
        ("boiling-point", 0, 94.82 + 273.15, 0.1),  # IAPWS-95
        ("extraction", 1, 0.064, 1e-9),  # Harvey, Modern Analytical Chemistry (2000), example 7.15
        ("hydrate-mass", 1, 0.0652, 2e-4),  # balance on CRC solubilities
        ("rayleigh", 1, 0.614, 0.003),  # Treybal, illustration 9.7, from memory
        ("rayleigh", 2, 0.33, 0.005),
        ("rcf", 0, 5590, 5),  # formula sheets of centrifuge makers
        ("resolution", 0, 1.48, 0.01),  # Harvey, example 12.2
        ("rf", 0, 0.40, 1e-9),  # IUPAC definition
        ("steam", 0, 98.5 + 273.15, 0.5),  # Vogel, 5th ed., sec. 2.25
        ("steam", 1, 0.309, 0.03),
        ("stokes", 1, 8.0 * 3600, 0.4 * 3600),  # ISO 11277
        ("yield-on-cooling", 0, 0.0681, 1e-4),  # CRC Handbook, 98th ed., sec. 5: 31.9 g/100 g at 20 °C
    ],
)
def test_values(table: Table, name: str, index: int, value: float, within: float) -> None:
    assert numbers(calculate(name, SOUND[name], table))[index] == pytest.approx(value, abs=within)


def test_altitude_stands_for_a_pressure(table: Table) -> None:
    # Water boils at 90.0 °C at 3000 m (U.S. Standard Atmosphere 1976 and IAPWS-95).
    answer = calculate("boiling-point", {"substance": "water", "altitude": "3000 m"}, table)
    assert numbers(answer)[0] - 273.15 == pytest.approx(89.98, abs=0.1)
    with pytest.raises(CalculationError, match="not both"):
        calculate("boiling-point", {"substance": "water", "altitude": "3000 m", "pressure": "80 kPa"}, table)


def test_an_azeotrope_stops_the_column(table: Table) -> None:
    answer = calculate("plates", {"first": "ethanol", "second": "water", "charge": "10 %"}, table)
    assert answer.results[-1].name.startswith("no column")
    assert answer.results[-1].quantity.value == pytest.approx(0.894, abs=0.02)


def test_retrograde_salt_gives_nothing_on_cooling(table: Table) -> None:
    asked = {"substance": "sodium sulfate", "mass": "30 g", "solvent-mass": "100 g", "hot": "80 °C", "cold": "40 °C"}
    answer = calculate("yield-on-cooling", asked, table)
    assert numbers(answer)[0] == 0.0
    assert any("falls on warming" in note for note in answer.notes)


@pytest.mark.oracle
def test_beyond_the_stored_constants_the_reference_equation_answers(table: Table) -> None:
    pytest.importorskip("CoolProp")
    answer = calculate("boiling-point", {"substance": "water", "pressure": "10 bar"}, table)
    # IAPWS-95: 179.88 °C at 1 MPa.
    assert numbers(answer)[0] - 273.15 == pytest.approx(179.88, abs=0.05)
    assert answer.sources == ("bell-2014",)


@pytest.mark.parametrize(
    ("name", "arguments", "error", "says"),
    [
        ("plate", {}, CalculationError, "did you mean plates"),
        ("rcf", {"radius": "5 cm"}, CalculationError, "still needs speed"),
        ("rcf", {"radios": "5 cm", "speed": "100 rpm"}, CalculationError, "did you mean radius"),
        ("rcf", {"radius": "5", "speed": "100 rpm"}, CalculationError, "needs a unit"),
        ("rcf", {"radius": "5 g", "speed": "100 rpm"}, CalculationError, "that is a mass"),
        ("rcf", {"radius": "wide", "speed": "100 rpm"}, CalculationError, "no number"),
        ("rf", {"spot": "9 cm", "front": "8 cm"}, CalculationError, "between the start line and the front"),
        ("rf", {"spot": "3 cm", "front": "80 mm"}, CalculationError, "one unit"),
        ("altitude", {"altitude": "30 km"}, CalculationError, "-500 m to 9000 m"),
        ("rayleigh", {"alpha": "2", "charge": "0.5", "distilled": "100 %"}, CalculationError, "never boiled dry"),
        ("rayleigh", {"alpha": "2", "charge": "0.5"}, CalculationError, "one of them"),
        ("rayleigh", {"charge": "0.5", "distilled": "0.5"}, CalculationError, "two liquids"),
        ("plates", {"first": "hexane", "second": "water"}, NotKnown, "two layers"),
        ("plates", {"first": "benzene", "second": "toluene", "purity": "1.5"}, CalculationError, "between 0 and 1"),
        ("boiling-point", {"substance": "ethanl"}, UnknownSubstance, "did you mean"),
        ("boiling-point", {"substance": "dry ice"}, NotKnown, "sublimes"),
        ("boiling-point", {"substance": "petrol"}, NotKnown, "no one boiling point"),
        ("steam", {"substance": "ethanol"}, CalculationError, "not steam distillation"),
        ("extraction", {"ratio": "5", "volume": "50 mL", "portion": "15 mL", "portions": "2.5"},
         CalculationError, "whole"),
        ("yield-on-cooling", {**SOUND["yield-on-cooling"], "hot": "180 °C"}, CalculationError, "not known"),
        ("stokes", {**SOUND["stokes"], "viscosity": "1 kg"}, CalculationError, "viscosity needs one of the units"),
    ],
)  # fmt: skip
def test_refusals(
    table: Table, name: str, arguments: dict[str, str], error: type[ChooseMethodError], says: str
) -> None:
    with pytest.raises(error, match=says):
        calculate(name, arguments, table)


def test_what_must_not_be_heated_together_is_refused(table: Table) -> None:
    pairs = [
        (danger.first[1], danger.second[1])
        for danger in table.dangers()
        if danger.second is not None
        and danger.severity in ("refuse", "no-heat")
        and danger.first[0] == danger.second[0] == "substance"
        and all(
            table.has(word) and table.substance(word).phase == "liquid" for _, word in (danger.first, danger.second)
        )
    ]
    for first, second in pairs:
        with pytest.raises(CalculationError, match="must not be heated"):
            calculate("plates", {"first": first, "second": second}, table)
    if not table.dangers():
        pytest.skip("the table lists no dangers yet")
