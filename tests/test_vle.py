"""Equilibria of pairs of the table against published measurements."""

from __future__ import annotations

import pytest

from choosemethod.chemistry.distillation import first_fraction, plates_for
from choosemethod.table import Table, open_table
from choosemethod.vle import Equilibrium, NotKnown, boiling_law, equilibrium_of


@pytest.fixture(scope="module")
def table() -> Table:
    return open_table()


def of(table: Table, first: str, second: str, pressure: float = 101_325.0) -> Equilibrium:
    return equilibrium_of(table, table.substance(first), table.substance(second), pressure)


# CRC Handbook, 97th ed., sec. 6, Lange's Handbook: °C and mass fraction of the first; molar masses in g/mol.
AZEOTROPES = [
    ("ethanol", "water", 78.15, 0.9557, 46.068, 18.015),
    ("propan-2-ol", "water", 80.37, 0.879, 60.095, 18.015),
    ("propan-1-ol", "water", 87.72, 0.7169, 60.095, 18.015),
    ("ethyl-acetate", "ethanol", 71.8, 0.6902, 88.105, 46.068),
    ("ethanol", "toluene", 76.7, 0.68, 46.068, 92.139),
    ("ethanol", "cyclohexane", 64.9, 0.305, 46.068, 84.159),
    ("ethanol", "benzene", 68.24, 0.3237, 46.068, 78.112),
    ("ethanol", "hexane", 58.65, 0.21, 46.068, 86.175),
    ("chloroform", "methanol", 53.5, 0.875, 119.378, 32.042),
    ("chloroform", "ethanol", 59.4, 0.93, 119.378, 46.068),
    ("methanol", "benzene", 58.34, 0.3955, 32.042, 78.112),
    ("acetone", "chloroform", 64.7, 0.21, 58.079, 119.378),
]


@pytest.mark.parametrize("row", AZEOTROPES, ids=lambda row: f"{row[0]} and {row[1]}")
def test_azeotropes(table: Table, row: tuple[str, str, float, float, float, float]) -> None:
    first, second, celsius, share, one, two = row
    found = of(table, first, second)
    assert found.azeotrope is not None
    moles = share / one / (share / one + (1 - share) / two)
    ours = found.azeotrope.x if found.first.id == first else 1 - found.azeotrope.x
    assert found.azeotrope.temperature - 273.15 == pytest.approx(celsius, abs=0.5)
    assert ours == pytest.approx(moles, abs=0.02)


def test_order_of_the_names_does_not_matter(table: Table) -> None:
    for first, second in (
        ("ethanol", "water"),
        ("acetone", "hexane"),
        ("benzene", "toluene"),
        ("pentane", "cyclohexane"),
    ):
        here, there = of(table, first, second), of(table, second, first)
        assert here.first == there.first
        assert here.curve.vapour(0.3) == there.curve.vapour(0.3)


def test_methanol_and_water_as_measured(table: Table) -> None:
    # Perry's Chemical Engineers' Handbook, 8th ed., table 13-1, from memory.
    curve = of(table, "methanol", "water").curve
    for x, y in ((0.1, 0.418), (0.3, 0.665), (0.5, 0.779), (0.8, 0.915)):
        assert curve.vapour(x) == pytest.approx(y, abs=0.015)


def test_ethanol_and_water_as_measured(table: Table) -> None:
    # The same table, from memory: liquid, vapour and °C.
    found = of(table, "ethanol", "water")
    assert found.basis.endswith("fitted to the measured vapour compositions and the azeotrope")
    for x, y, celsius in (
        (0.0966, 0.4375, 86.7), (0.1661, 0.5089, 84.1), (0.2337, 0.5445, 82.7), (0.3273, 0.5826, 81.5),
        (0.5079, 0.6564, 79.8), (0.6763, 0.7385, 78.74), (0.8943, 0.8943, 78.15),
    ):  # fmt: skip
        assert found.curve.vapour(x) == pytest.approx(y, abs=0.015)
        assert found.curve.temperature(x) - 273.15 == pytest.approx(celsius, abs=0.3)


def test_purity_and_plates_of_seven_pairs(table: Table) -> None:
    """Order of difficulty as every practical text has it; the azeotropes stand in the way of three."""
    plates = {}
    for pair in (("acetone", "water"), ("methanol", "ethanol"), ("benzene", "toluene"), ("hexane", "heptane")):
        found = of(table, *pair)
        assert found.azeotrope is None
        assert 0.5 < first_fraction(found.curve, 0.5).distillate < 0.95
        plates[pair] = plates_for(found.curve, 0.5, 0.95)
    assert max(plates, key=lambda pair: plates[pair]) == ("methanol", "ethanol")
    assert plates["benzene", "toluene"] == pytest.approx(2.2, abs=0.2)
    for pair in (("ethanol", "water"), ("ethyl-acetate", "ethanol"), ("methanol", "toluene")):
        assert of(table, *pair).azeotrope is not None


def test_liquids_in_layers_are_refused(table: Table) -> None:
    for pair in (("hexane", "water"), ("ethyl-acetate", "water"), ("toluene", "water")):
        with pytest.raises(NotKnown, match="two layers"):
            of(table, *pair)


def test_what_is_estimated_says_so(table: Table) -> None:
    found = of(table, "acetone", "hexane")
    assert found.how == "memory"  # that the two mix is remembered, and the weakest word counts
    assert "fitted to the measured azeotrope" in found.basis
    assert found.notes
    assert of(table, "methanol", "water", 50_000.0).how == "estimated"
    assert of(table, "methanol", "water").how == "computed"
    assert of(table, "ethanol", "water").how == "estimated"  # the author's own fit


def test_refusals(table: Table) -> None:
    with pytest.raises(NotKnown, match="named twice"):
        of(table, "water", "water")
    with pytest.raises(NotKnown, match="not a liquid"):
        of(table, "water", "sodium-chloride")
    with pytest.raises(NotKnown, match="not known"):
        boiling_law(table.substance("sand"))
