"""Boiling points from 1 kPa to 1 MPa against the reference equations of state.

Source: I. H. Bell et al., Ind. Eng. Chem. Res. 53 (2014) 2498 (CoolProp), asked live. CHOOSEMETHOD_RANDOM=all asks every
substance at thirteen pressures; by default every fifth at four.
"""

from __future__ import annotations

import os

import pytest

from choosemethod.advice.ask import opened
from choosemethod.chemistry.fluids import covers, fluid_boiling_point
from choosemethod.chemistry.vapour_pressure import OutOfRange
from choosemethod.properties import Properties

PRESSURES = [10 ** (3 + k / 4) for k in range(13)]
ALL = os.environ.get("CHOOSEMETHOD_RANDOM") == "all"


def test_boiling_points_agree_with_the_reference_equations() -> None:
    table, book = opened()
    named = [table.substance(ident) for ident in table.substance_ids()]
    fluids = [substance for substance in named if substance.cas and covers(substance.cas)]
    assert len(fluids) > 50
    asked = answered = 0
    off = []
    for pressure in PRESSURES if ALL else PRESSURES[::4]:
        known = Properties(table, book.limits, pressure)
        for substance in fluids if ALL else fluids[::5]:
            try:
                live = fluid_boiling_point(substance.cas, pressure)
            except OutOfRange:
                continue  # it does not boil there, or the equation does not reach
            asked += 1
            found = known.boiling_point(substance)
            if found is not None:
                answered += 1
                if abs(found[0] - live) > 1.0:
                    off.append((substance.id, pressure, live, found[0]))
    assert answered >= 0.95 * asked, f"{answered} of {asked}"
    assert len(off) <= 0.005 * asked, off


@pytest.mark.parametrize("pressure", [2e4, 1e6])
def test_no_rule_of_thumb_far_from_its_range(pressure: float) -> None:
    """Trouton's rule holds to a few kelvin between 50 and 110 kPa only (Atkins, de Paula): elsewhere it is not used."""
    table, book = opened()
    known = Properties(table, book.limits, pressure)
    for ident in table.substance_ids()[::7]:
        found = known.boiling_point(table.substance(ident))
        assert found is None or "Trouton" not in found[1].note


def test_water_at_one_megapascal() -> None:
    """179.9 °C: IAPWS steam tables, saturation at 1 MPa."""
    table, book = opened()
    found = Properties(table, book.limits, 1e6).boiling_point(table.substance(book.limits.water))
    assert found is not None and abs(found[0] - 273.15 - 179.9) < 0.1
