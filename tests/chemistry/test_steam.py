"""Steam distillation against measured ones, with vapour pressures as published."""

from __future__ import annotations

import pytest
from published_liquids import LAWS

from choosemethod.chemistry.steam import steam_distillation, water_to_carry_over
from choosemethod.chemistry.vapour_pressure import Antoine, OutOfRange

MMHG = 133.322387415
WATER = LAWS["water"]
# Chlorobenzene: constants of the NIST Chemistry WebBook, 335 to 405 K, from memory; there in bar, so 5 is added for Pa.
CHLOROBENZENE = Antoine(9.11083, 1435.675, -55.124, 335.0, 405.0)


def test_chlorobenzene_as_young_measured_it() -> None:
    # S. Young, Distillation Principles and Processes (1922): 90.3 °C at 740.2 mmHg, 210.1 mmHg and 530.1 mmHg.
    found = steam_distillation(740.2 * MMHG, WATER, CHLOROBENZENE, 0.018015, 0.11256)
    assert found.temperature - 273.15 == pytest.approx(90.3, abs=0.25)
    assert found.substance / MMHG == pytest.approx(210.1, rel=0.012)
    assert found.carrier / MMHG == pytest.approx(530.1, rel=0.006)
    assert found.carrier + found.substance == pytest.approx(740.2 * MMHG, rel=1e-9)
    assert found.mass_ratio == pytest.approx(210.1 * 112.56 / (530.1 * 18.015), rel=0.02)


@pytest.mark.oracle
@pytest.mark.parametrize(
    ("number", "molar_mass", "celsius", "ratio", "within"),
    [
        # Vogel's Textbook of Practical Organic Chemistry, 5th ed., sec. 2.25: aniline 98.5 °C, 43 + 717 mmHg.
        ("62-53-3", 0.09313, 98.5, 0.309, 0.03),
        # From memory (Vogel): nitrobenzene 99.3 °C, bromobenzene 95.3 °C with 16.2 g per 10 g of water.
        ("98-95-3", 0.12311, 99.3, 0.19, 0.0214),
        ("108-86-1", 0.15701, 95.3, 1.62, 0.11),
        # From memory (steam tables of practical books): octan-1-ol 99.4 °C.
        ("111-87-5", 0.13023, 99.4, 0.18, 0.021),
    ],
)
def test_substances_with_vapour_pressures_of_thermo(
    number: str, molar_mass: float, celsius: float, ratio: float, within: float
) -> None:
    thermo = pytest.importorskip("thermo")
    from math import log10

    pressure = thermo.VaporPressure(CASRN=number)
    # Two-constant law through thermo's vapour pressures at 90 and 101 °C.
    low, high = 363.15, 374.15
    b = log10(pressure(high) / pressure(low)) / (1 / low - 1 / high)
    law = Antoine(log10(pressure(low)) + b / low, b, 0.0, low, high)
    found = steam_distillation(101_325, WATER, law, 0.018015, molar_mass)
    assert found.temperature - 273.15 == pytest.approx(celsius, abs=0.5)
    assert found.mass_ratio == pytest.approx(ratio, abs=within)


def test_refusals() -> None:
    with pytest.raises(OutOfRange):
        steam_distillation(5e6, WATER, CHLOROBENZENE, 0.018, 0.11)
    with pytest.raises(OutOfRange, match="do not reach"):
        steam_distillation(5_000.0, WATER, CHLOROBENZENE, 0.018, 0.11)
    with pytest.raises(OutOfRange):
        steam_distillation(101_325, WATER, CHLOROBENZENE, 0.0, 0.11)
    assert water_to_carry_over(0.010, 1.62) == pytest.approx(0.00617, abs=1e-5)
    with pytest.raises(OutOfRange):
        water_to_carry_over(0.01, 0.0)
