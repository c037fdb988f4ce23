"""Sublimation: triple points of the handbooks."""

from __future__ import annotations

import pytest

from choosemethod.chemistry.sublimation import (
    clausius_clapeyron,
    enthalpy_between,
    melts_before,
    ratio_to_triple_point,
    usable_vapour_pressure,
)
from choosemethod.chemistry.vapour_pressure import OutOfRange

# Triple-point pressures (Pa): iodine (CRC sublimation pressures), naphthalene (D. Ambrose 1975), camphor (handbooks),
# all from memory; carbon dioxide (R. Span, W. Wagner 1996).
TRIPLE = {"iodine": 12_100.0, "naphthalene": 1_000.0, "camphor": 51_000.0, "carbon dioxide": 517_950.0}


def test_only_carbon_dioxide_sublimes_at_one_atmosphere_before_it_melts() -> None:
    assert {name: melts_before(triple, 101_325.0) for name, triple in TRIPLE.items()} == {
        "iodine": True, "naphthalene": True, "camphor": True, "carbon dioxide": False,
    }  # fmt: skip


def test_naphthalene() -> None:
    # 11 Pa at 25 °C, about 1000 Pa at the triple point, 80.3 °C: enthalpy of sublimation about 72.6 kJ/mol (D. Ambrose
    # 1975, from memory).
    enthalpy = enthalpy_between(11.0, 298.15, 1000.0, 353.43)
    assert enthalpy == pytest.approx(72_600, rel=0.03)
    assert clausius_clapeyron(1000.0, 353.43, enthalpy, 298.15) == pytest.approx(11.0, rel=1e-9)
    assert ratio_to_triple_point(11.0, 1000.0) == pytest.approx(0.011)
    assert usable_vapour_pressure(500.0, 100.0)
    assert not usable_vapour_pressure(1.0, 100.0)


def test_refusals() -> None:
    for call in (
        lambda: clausius_clapeyron(1000.0, 353.0, 7e4, 200.0),
        lambda: clausius_clapeyron(0.0, 353.0, 7e4, 350.0),
        lambda: enthalpy_between(10.0, 300.0, 20.0, 300.0),
        lambda: melts_before(0.0, 101_325.0),
        lambda: ratio_to_triple_point(2000.0, 1000.0),
        lambda: usable_vapour_pressure(1.0, 0.0),
    ):
        with pytest.raises(OutOfRange):
            call()
