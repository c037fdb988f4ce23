"""Boiling at reduced pressure against the vapour-pressure tables of Stull, Ind. Eng. Chem. 39 (1947) 517."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from published_liquids import LAWS

from choosemethod.chemistry.reduced_pressure import (
    boiling_point_estimate,
    pressure_estimate,
    pumps_that_reach,
)
from choosemethod.chemistry.vapour_pressure import OutOfRange

MMHG = 133.322387415
# Normal boiling point (CRC Handbook) and boiling points (°C) at mmHg by Stull, from memory.
STULL = [
    ("aniline", 184.1, [(10, 69.4), (20, 82.0), (100, 119.9)]),
    ("nitrobenzene", 210.7, [(10, 84.9), (20, 99.3), (100, 139.9)]),
    ("benzaldehyde", 178.7, [(10, 62.0), (100, 112.5)]),
    ("naphthalene", 218.0, [(10, 85.8), (100, 145.5)]),
    ("toluene", 110.6, [(10, 6.4), (20, 18.4), (100, 51.9)]),
]


@pytest.mark.parametrize(("name", "normal", "points"), STULL)
def test_estimate(name: str, normal: float, points: list[tuple[float, float]]) -> None:
    for mmhg, celsius in points:
        within = 4.0 if mmhg >= 75 else 8.0
        assert boiling_point_estimate(normal + 273.15, mmhg * MMHG) - 273.15 == pytest.approx(celsius, abs=within), mmhg


def test_a_water_pump_lowers_a_boiling_point_by_about_100_kelvin() -> None:
    # Practical organic texts: a liquid that boils at 250 °C boils near 150 °C at about 15 mmHg.
    assert boiling_point_estimate(523.15, 15 * MMHG) - 273.15 == pytest.approx(150.0, abs=30.0)


@given(st.floats(330, 560), st.floats(150, 101_000), st.floats(4.5, 6.5))
def test_there_and_back(normal: float, pressure: float, phi: float) -> None:
    at = boiling_point_estimate(normal, pressure, phi)
    assert pressure_estimate(normal, at, phi) == pytest.approx(pressure, rel=1e-6)
    assert at <= normal


def test_pressure_for_a_temperature() -> None:
    assert LAWS["toluene"].pressure(51.9 + 273.15) / MMHG == pytest.approx(100.0, rel=0.01)
    assert pumps_that_reach(1500.0, [("aspirator", 2000.0), ("pump", 100.0)]) == ("pump",)


def test_refusals() -> None:
    for call in (
        lambda: boiling_point_estimate(400.0, 50.0),
        lambda: boiling_point_estimate(400.0, 1e6),
        lambda: boiling_point_estimate(400.0, 1000.0, 9.0),
        lambda: boiling_point_estimate(-1.0, 1000.0),
        lambda: pressure_estimate(600.0, 60.0),
        lambda: pressure_estimate(600.0, 300.0),
        lambda: pumps_that_reach(0.0, []),
    ):
        with pytest.raises(OutOfRange):
            call()
