"""Crystallisation on curves of the CRC Handbook, 98th ed., sec. 5, Aqueous Solubility of Inorganic Compounds."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from choosemethod.chemistry.solubility import (
    at_temperature,
    crystallise_on_cooling,
    crystallise_two_by_cooling,
    hydrate_from_anhydrous,
    hydrate_on_cooling,
    saturation_temperature,
    solvent_needed,
    trend,
)
from choosemethod.chemistry.vapour_pressure import OutOfRange


def curve(*grams: tuple[float, float]) -> list[tuple[float, float]]:
    """Points (°C, g/100 g) as (K, kg/kg)."""
    return [(celsius + 273.15, amount / 100) for celsius, amount in grams]


KNO3 = curve((0, 13.6), (20, 31.9), (40, 62.9), (60, 109.2), (80, 170.3), (100, 242.5))
NACL = curve((0, 35.6), (20, 35.9), (40, 36.4), (60, 37.0), (80, 37.9), (100, 39.0))
CUSO4 = curve((0, 14.2), (20, 20.0), (40, 28.5), (60, 40.4), (80, 57.0), (100, 77.0))
# Mass per cent in the source: Na2SO4 29.22 at 30 °C and 29.67 at 100 °C with a maximum near 33.2 at 32.4 °C; CaSO4 0.21
# at 40 °C, 0.163 at 100 °C.
NA2SO4 = curve((0, 4.5), (20, 19.1), (30, 41.28), (32.4, 49.7), (60, 45.3), (100, 42.19))
CASO4 = curve((40, 0.2104), (100, 0.1633))
COLD, HOT = 293.15, 353.15


def test_potassium_nitrate_from_80_to_20() -> None:
    # 170.3 g dissolve in 100 g of water at 80 °C, 31.9 g stay at 20 °C.
    full = crystallise_on_cooling(KNO3, 0.1703, 0.1, HOT, COLD)
    assert full.crystals == pytest.approx(0.1384, abs=1e-6)
    assert full.recovery == pytest.approx(0.8127, abs=1e-4)
    part = crystallise_on_cooling(KNO3, 0.100, 0.1, HOT, COLD)
    assert part.crystals == pytest.approx(0.0681, abs=1e-6)
    over = crystallise_on_cooling(KNO3, 0.200, 0.1, HOT, COLD)
    assert over.undissolved == pytest.approx(0.0297, abs=1e-6)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(273.15, 373.15), st.floats(273.15, 373.15))
def test_crystallisation_balances(solute: float, solvent: float, one: float, other: float) -> None:
    for points in (KNO3, NACL, NA2SO4):
        found = crystallise_on_cooling(points, solute, solvent, max(one, other), min(one, other))
        assert found.crystals + found.dissolved + found.undissolved == pytest.approx(solute, abs=1e-9)
        assert 0.0 <= found.recovery <= 1.0
        assert min(found.crystals, found.dissolved, found.undissolved) >= 0.0


def test_copper_sulfate_pentahydrate() -> None:
    # 57.0 g of CuSO4 in 100 g of water at 80 °C, cooled to 20 °C: h = (57 - 20)/(0.6392 - 0.2 x 0.3608) = 65.2 g.
    found = hydrate_on_cooling(CUSO4, 0.057, 0.1, COLD, 0.15961, 0.24969)
    assert found.crystals == pytest.approx(0.0652, abs=2e-4)
    water_left = 0.1 - found.crystals * (1 - 0.15961 / 0.24969)
    assert found.dissolved / water_left == pytest.approx(0.20, abs=1e-9)
    assert found.crystals * 0.15961 / 0.24969 + found.dissolved == pytest.approx(0.057, abs=1e-12)
    # 16.0 g of CuSO4 is in 25.0 g of the pentahydrate (molar masses of IUPAC 2021).
    assert hydrate_from_anhydrous(0.016, 0.15961, 0.24969) == pytest.approx(0.02503, abs=1e-5)
    assert hydrate_on_cooling(CUSO4, 0.01, 0.1, COLD, 0.15961, 0.24969).crystals == 0.0


@given(st.floats(0.0, 0.077), st.floats(273.15, 373.15))
def test_hydrate_balances(anhydrous: float, cold: float) -> None:
    found = hydrate_on_cooling(CUSO4, anhydrous, 0.1, cold, 0.15961, 0.24969)
    assert found.crystals * 0.15961 / 0.24969 + found.dissolved == pytest.approx(anhydrous, abs=1e-9)
    assert 0.0 <= found.recovery <= 1.0


def test_trends() -> None:
    assert trend(KNO3) == "rising"
    assert trend(NACL) == "flat"
    assert trend(CASO4) == "falling"
    assert trend(NA2SO4) == "maximum"
    assert trend(KNO3[:1]) == "unknown"
    # Retrograde: a saturated solution gives nothing on cooling from 100 to 40 °C.
    assert crystallise_on_cooling(CASO4, 0.001633, 1.0, 373.15, 313.15).crystals == 0.0
    assert crystallise_on_cooling(NA2SO4, 0.4219, 1.0, 373.15, 313.15).crystals == 0.0


def test_solvent_and_evaporation() -> None:
    assert solvent_needed(KNO3, 0.100, COLD) == pytest.approx(0.3135, abs=1e-4)
    # 62.9 g/100 g is saturated at 40 °C.
    assert saturation_temperature(KNO3, 0.629) == pytest.approx(313.15)
    assert saturation_temperature(KNO3, 0.05) is None
    assert saturation_temperature(NA2SO4, 0.4128) == pytest.approx(303.15)


def test_two_salts_by_cooling() -> None:
    # 80 g of potassium nitrate and 20 g of sodium chloride in 100 g of water: the nitrate begins between 40 and 60 °C,
    # the chloride stays dissolved, and 80 - 31.9 = 48.1 g come out pure at 20 °C.
    found = crystallise_two_by_cooling(KNO3, 0.08, NACL, 0.02, 0.1, COLD)
    assert found is not None
    assert (found.first, found.ends) == (0, None)
    assert 313.15 < found.begins < 333.15
    assert found.pure == pytest.approx(0.0481, abs=1e-6)
    assert found.recovery == pytest.approx(0.601, abs=1e-3)
    assert crystallise_two_by_cooling(KNO3, 0.01, NACL, 0.02, 0.1, COLD) is None
    both = crystallise_two_by_cooling(KNO3, 0.08, NACL, 0.0362, 0.1, COLD)
    assert both is not None
    assert both.ends is not None
    assert both.pure < found.pure


@pytest.mark.parametrize("temperature", [200.0, 400.0])
def test_nothing_is_extrapolated(temperature: float) -> None:
    assert at_temperature(KNO3, temperature) is None
    with pytest.raises(OutOfRange, match="not known"):
        solvent_needed(KNO3, 0.1, temperature)
    with pytest.raises(OutOfRange, match="not known"):
        hydrate_on_cooling(CUSO4, 0.05, 0.1, temperature, 0.15961, 0.24969)


def test_refusals() -> None:
    for call in (
        lambda: crystallise_on_cooling(KNO3, -0.1, 0.1, HOT, COLD),
        lambda: crystallise_on_cooling(KNO3, 0.1, 0.1, COLD, HOT),
        lambda: hydrate_on_cooling(CUSO4, 0.05, 0.1, COLD, 0.25, 0.16),
        lambda: hydrate_on_cooling(CUSO4, 0.05, 0.005, COLD, 0.15961, 0.24969),
        lambda: hydrate_from_anhydrous(0.1, 0.25, 0.16),
        lambda: saturation_temperature(KNO3, 9.0),
        lambda: crystallise_two_by_cooling(KNO3, 0.1, NACL, 0.1, 0.0, COLD),
        lambda: solvent_needed([(293.15, 0.0)], 0.1, 293.15),
    ):
        with pytest.raises(OutOfRange):
            call()
