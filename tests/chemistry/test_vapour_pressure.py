"""Vapour pressures and boiling points against published tables and against independent libraries."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from choosemethod.chemistry.vapour_pressure import (
    Antoine,
    OutOfRange,
    boiling_point_by_trouton,
    law_by_trouton,
)

MMHG = 133.322387415
# Constants as published: water fitted to IAPWS-95 (1 to 200 kPa); toluene and acetic acid, B. E. Poling, J. M.
# Prausnitz, J. P. O'Connell, The Properties of Gases and Liquids, 5th ed., appendix A (converted to Pa and K).
WATER = Antoine(10.168875, 1715.7769, -40.8128, 280.15, 393.35)


@pytest.mark.parametrize(
    ("kilopascals", "celsius"),
    # IAPWS-95: normal boiling point 99.974 °C; 20 mmHg 22.1 °C; and at the pressures of the U.S. Standard
    # Atmosphere 1976 at 1000, 2000, 3000 and 4000 m.
    [(101.325, 99.974), (2.66645, 22.1), (89.876, 96.65), (79.501, 93.32), (70.121, 89.98), (61.660, 86.63)],
)
def test_water_boils_as_the_steam_tables_say(kilopascals: float, celsius: float) -> None:
    assert WATER.boiling_point(1000 * kilopascals) - 273.15 == pytest.approx(celsius, abs=0.1)


def test_a_law_is_not_extrapolated_silently() -> None:
    with pytest.raises(OutOfRange, match=r"hold from .* to 200 kPa"):
        WATER.boiling_point(500_000)
    with pytest.raises(OutOfRange, match=r"the constants hold from 7\.0 °C to 120\.2 °C"):
        WATER.pressure(450.0)
    assert WATER.beyond(403.35) == pytest.approx(10.0)
    assert WATER.pressure(403.35, reach=10.0) > WATER.pressure(393.35)


def test_faulty_constants_are_refused() -> None:
    for constants in (
        (10.0, -5.0, 0.0, 280, 300),
        (10.0, 1700.0, 0.0, 300, 280),
        (float("nan"), 1700.0, 0.0, 280, 300),
    ):
        with pytest.raises(OutOfRange):
            Antoine(*constants)
    with pytest.raises(OutOfRange):
        law_by_trouton(-1.0)


def test_trouton_agrees_with_a_liquid_it_suits() -> None:
    # Toluene boils at 383.7 K and, by Stull, Ind. Eng. Chem. 39 (1947) 517, at 89.5 °C under 400 mmHg.
    assert boiling_point_by_trouton(383.7, 400 * MMHG) - 273.15 == pytest.approx(89.5, abs=1.5)
    law = law_by_trouton(383.7)
    assert law.estimated
    assert law.boiling_point(400 * MMHG) == pytest.approx(boiling_point_by_trouton(383.7, 400 * MMHG))
    with pytest.raises(OutOfRange):
        law.boiling_point(10 * MMHG)


@given(st.floats(280.2, 393.3), st.floats(0.01, 50.0))
def test_vapour_pressure_rises_with_temperature(temperature: float, step: float) -> None:
    warmer = min(temperature + step, 393.35)
    if warmer > temperature:
        assert WATER.pressure(warmer) > WATER.pressure(temperature)
    assert WATER.boiling_point(WATER.pressure(temperature)) == pytest.approx(temperature, abs=1e-6)


@pytest.mark.oracle
def test_against_the_reference_equation() -> None:
    library = pytest.importorskip("CoolProp.CoolProp")
    for temperature in (290.0, 320.0, 350.0, 373.15, 390.0):
        assert WATER.pressure(temperature) == pytest.approx(
            library.PropsSI("P", "T", temperature, "Q", 0, "Water"), rel=0.003
        )
