"""Condensing gases."""

from __future__ import annotations

import pytest
from published_liquids import LAWS

from choosemethod.chemistry.gases import condensation_begins, fraction_condensed, order_of_condensation
from choosemethod.chemistry.vapour_pressure import OutOfRange


def test_air() -> None:
    # Boiling points (CRC Handbook): nitrogen 77.36 K, oxygen 90.19 K, argon 87.30 K: oxygen condenses first.
    assert order_of_condensation([77.36, 90.19, 87.30]) == (1, 2, 0)
    with pytest.raises(OutOfRange):
        order_of_condensation([0.0])


def test_dew_point() -> None:
    # Air with 2.339 kPa of water vapour is saturated at 20 °C (steam tables).
    assert condensation_begins(LAWS["water"], 101_325, 2339 / 101_325) - 273.15 == pytest.approx(20.0, abs=0.1)
    # Cooled to 10 °C (1.228 kPa): 1.228 (101.325 - 2.339)/((101.325 - 1.228) 2.339) of it stays.
    stays = 1.228 * (101.325 - 2.339) / ((101.325 - 1.228) * 2.339)
    assert fraction_condensed(LAWS["water"], 101_325, 2339 / 101_325, 283.15) == pytest.approx(1 - stays, abs=0.005)
    assert fraction_condensed(LAWS["water"], 101_325, 0.01, 300.0) == 0.0
    for call in (
        lambda: condensation_begins(LAWS["water"], 101_325, 0.0),
        lambda: condensation_begins(LAWS["water"], 101_325, 1e-5),
        lambda: fraction_condensed(LAWS["water"], 101_325, 1.0, 300.0),
    ):
        with pytest.raises(OutOfRange):
            call()
