"""Settling and centrifuging."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from choosemethod.chemistry.settling import (
    relative_centrifugal_force,
    reynolds,
    settling_velocity,
    spin_time,
)
from choosemethod.chemistry.vapour_pressure import OutOfRange

QUARTZ, WATER, VISCOSITY = 2650.0, 998.2, 1.002e-3  # kg/m3, kg/m3 and Pa s at 20 °C (CRC Handbook)


def test_quartz_in_water() -> None:
    found = settling_velocity(10e-6, QUARTZ, WATER, VISCOSITY)
    assert found.velocity == pytest.approx(9.0e-5, abs=2e-6) and found.law == "Stokes"
    assert settling_velocity(10e-6, 900.0, WATER, VISCOSITY).velocity < 0


def test_coarse_grains() -> None:
    found = settling_velocity(500e-6, QUARTZ, WATER, VISCOSITY)
    # Quartz sand of 0.5 mm falls at about 7 cm/s, spheres slightly faster (sediment tables; R. I. Ferguson, M. Church,
    # J. Sediment. Res. 74 (2004) 933).
    assert found.velocity == pytest.approx(0.075, abs=0.012)
    assert found.law == "Schiller-Naumann"
    assert found.reynolds == pytest.approx(reynolds(found.velocity, 500e-6, WATER, VISCOSITY))
    assert settling_velocity(500e-6, 500.0, WATER, VISCOSITY).velocity < 0
    with pytest.raises(OutOfRange):
        settling_velocity(0.02, QUARTZ, WATER, VISCOSITY)


@given(st.floats(1e-7, 1e-3), st.floats(1.01, 1.5))
def test_larger_falls_faster(diameter: float, factor: float) -> None:
    small = settling_velocity(diameter, QUARTZ, WATER, VISCOSITY)
    large = settling_velocity(diameter * factor, QUARTZ, WATER, VISCOSITY)
    if small.law == large.law:
        assert large.velocity > small.velocity


def test_centrifuge() -> None:
    # Formula sheets of centrifuge makers: RCF = 1.118e-5 r(cm) rpm2; 5 cm at 10 000 rpm gives 5590.
    assert relative_centrifugal_force(0.05, 10_000 / 60) == pytest.approx(5590, abs=5)
    assert relative_centrifugal_force(0.01, 1 / 60) == pytest.approx(1.118e-5, abs=1e-8)


def test_refusals() -> None:
    for call in (
        lambda: settling_velocity(0.0, QUARTZ, WATER, VISCOSITY),
        lambda: relative_centrifugal_force(-0.1, 1.0),
        lambda: spin_time(0.2, 0.1, 50.0, 1e-6, QUARTZ, WATER, VISCOSITY),
        lambda: spin_time(0.1, 0.2, 500.0, 1e-4, QUARTZ, WATER, VISCOSITY),
    ):
        with pytest.raises(OutOfRange):
            call()
