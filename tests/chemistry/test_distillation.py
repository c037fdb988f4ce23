"""Distillation against textbook examples (recalled from memory, each checked by hand), and its balances."""

from __future__ import annotations

from math import log

import pytest
from hypothesis import given
from hypothesis import strategies as st
from published_liquids import MODELS, pair

from choosemethod.chemistry.distillation import (
    columns_that_suffice,
    fenske,
    first_drop,
    first_fraction,
    gap_conventions,
    order_of_fractions,
    plates_for,
    rayleigh,
    rayleigh_to,
    stages_at_total_reflux,
)
from choosemethod.chemistry.equilibrium import Curve, constant_volatility, curve_of
from choosemethod.chemistry.vapour_pressure import OutOfRange


def curve_through(points: list[tuple[float, float]]) -> Curve:
    """The curve through measured points (x, y); beyond the first and last the volatility of that point is taken."""
    values = [log(y / (1.0 - y)) - log(x / (1.0 - x)) for x, y in points]
    return Curve([0.0, *(x for x, _ in points), 1.0], [values[0], *values, values[-1]])


# Geankoplis, Transport Processes and Unit Operations, table 11.1-1 (benzene and toluene, 101.32 kPa) and the table of
# example 11.3-2 (pentane and heptane).
BENZENE_TOLUENE = curve_through([(0.130, 0.261), (0.258, 0.456), (0.411, 0.632), (0.581, 0.777), (0.780, 0.900)])
PENTANE_HEPTANE = curve_through(
    [(0.059, 0.271), (0.145, 0.521), (0.254, 0.701), (0.398, 0.836), (0.594, 0.925), (0.867, 0.984)]
)
CURVES = {names: curve_of(pair(*names)) for names in sorted(MODELS)}


def test_rayleigh_pentane_heptane() -> None:
    # Geankoplis, example 11.3-2: 40 of 100 mol of an equal mixture distilled: x = 0.277 left, distillate 0.835.
    found = rayleigh(PENTANE_HEPTANE, 0.5, 0.4)
    assert found.residue == pytest.approx(0.277, abs=0.004)
    assert found.distillate == pytest.approx(0.835, abs=0.005)


def test_rayleigh_heptane_octane() -> None:
    # Treybal, Mass-Transfer Operations, illustration 9.7: alpha 2.16, 60 % of an equal mixture: 0.33 left, 0.614 over.
    found = rayleigh(constant_volatility(2.16), 0.5, 0.6)
    assert found.residue == pytest.approx(0.33, abs=0.005)
    assert found.distillate == pytest.approx(0.614, abs=0.003)


def test_rayleigh_batch_still_of_ethanol_and_water() -> None:
    # A worked batch still (equilibrium of Perry's Handbook, 8th ed., table 13-1): 100 mol from 18 to 6 mol %: 70.0 mol
    # left, distillate 0.46.
    found = rayleigh_to(CURVES["ethanol", "water"], 0.18, 0.06)
    assert 100 * (1 - found.distilled) == pytest.approx(70.0, abs=1.5)
    assert found.distillate == pytest.approx(0.46, abs=0.02)


def test_rayleigh_at_constant_volatility_has_a_closed_form() -> None:
    # ln(F/W) = [ln(x0 (1-x)/(x (1-x0)))]/(a-1) + ln((1-x)/(1-x0)), any text on batch distillation.
    from math import exp, log

    for alpha in (1.3, 2.5, 9.0):
        ratio = exp(log(0.5 * 0.8 / (0.2 * 0.5)) / (alpha - 1) + log(0.8 / 0.5))
        if 1 - 1 / ratio <= 0.95:
            assert rayleigh_to(constant_volatility(alpha), 0.5, 0.2).distilled == pytest.approx(1 - 1 / ratio, abs=1e-6)
            assert rayleigh(constant_volatility(alpha), 0.5, 1 - 1 / ratio).residue == pytest.approx(0.2, abs=1e-6)


@given(st.sampled_from(sorted(CURVES)), st.floats(0.01, 0.99), st.floats(0.0, 0.95), st.integers(0, 4))
def test_balances(names: tuple[str, str], charge: float, distilled: float, plates: int) -> None:
    found = rayleigh(CURVES[names], charge, distilled, plates)
    assert 0.0 <= found.distillate <= 1.0
    assert 0.0 <= found.residue <= 1.0
    assert 0.0 <= found.recovery <= 1.0
    over, left = distilled * found.distillate, (1 - distilled) * found.residue
    assert over + left == pytest.approx(charge, abs=1e-9)
    assert distilled * (1 - found.distillate) + (1 - distilled) * (1 - found.residue) == pytest.approx(
        1 - charge, abs=1e-9
    )


def test_first_fraction_and_a_column() -> None:
    curve = constant_volatility(2.5)
    assert first_drop(curve, 0.5) == pytest.approx(2.5 / 3.5)
    # n plates and the flask multiply the ratio of mole fractions by alpha^(n+1) (Fenske).
    assert first_drop(curve, 0.5, plates=2) == pytest.approx(2.5**3 / (1 + 2.5**3))
    assert first_fraction(curve, 0.5).distillate < first_drop(curve, 0.5)
    assert first_fraction(curve, 0.5, plates=2).distillate > first_fraction(curve, 0.5).distillate


def test_a_still_is_never_boiled_dry() -> None:
    with pytest.raises(OutOfRange, match="never boiled dry"):
        rayleigh(constant_volatility(2.0), 0.5, 1.0)
    with pytest.raises(OutOfRange, match="never boiled dry"):
        rayleigh_to(constant_volatility(2.0), 0.5, 1e-6)


def test_fenske() -> None:
    # Coulson and Richardson's Chemical Engineering, vol. 2, ch. 11: xD 0.95, xB 0.10, alpha 2.4 gives 5.87 stages.
    assert fenske(2.4, 0.95, 0.10) == pytest.approx(5.87, abs=0.02)
    assert fenske(2.5, 0.95, 0.05) == pytest.approx(6.43, abs=0.02)
    for arguments in ((1.0, 0.9, 0.1), (0.5, 0.9, 0.1), (2.0, 0.1, 0.9), (2.0, 1.0, 0.1)):
        with pytest.raises(OutOfRange):
            fenske(*arguments)


@given(st.floats(1.2, 9.0), st.floats(0.02, 0.45), st.floats(0.55, 0.98))
def test_stepping_at_constant_volatility_is_fenske(alpha: float, bottom: float, top: float) -> None:
    assert stages_at_total_reflux(constant_volatility(alpha), top, bottom) == pytest.approx(fenske(alpha, top, bottom))


def test_total_reflux_on_measured_equilibrium() -> None:
    # Geankoplis, example 11.4-3: 5.8 steps between 0.10 and 0.95.
    assert stages_at_total_reflux(BENZENE_TOLUENE, 0.95, 0.10) == pytest.approx(5.8, abs=0.17)
    assert stages_at_total_reflux(CURVES["benzene", "toluene"], 0.95, 0.10) == pytest.approx(5.8, abs=0.17)


def test_no_column_passes_an_azeotrope() -> None:
    curve = CURVES["ethanol", "water"]
    with pytest.raises(OutOfRange, match="azeotrope"):
        plates_for(curve, 0.2, 0.95)
    assert plates_for(curve, 0.2, 0.5) == 0.0
    assert 1.0 < plates_for(curve, 0.1, 0.8) < 20.0
    with pytest.raises(OutOfRange, match="azeotrope"):
        rayleigh_to(curve, 0.95, 0.3)
    with pytest.raises(OutOfRange, match="moves away"):
        rayleigh_to(constant_volatility(2.0), 0.4, 0.6)


def test_columns_conventions_and_cuts() -> None:
    columns = [("one", 2.0, 3.0), ("two", 5.0, 9.0)]
    assert columns_that_suffice(0.0, columns) == (("one", "yes"), ("two", "yes"))
    assert columns_that_suffice(2.5, columns) == (("one", "perhaps"), ("two", "yes"))
    assert columns_that_suffice(12.0, columns) == (("one", "no"), ("two", "no"))
    assert gap_conventions(46.0, [("25 K", 25.0), ("80 K", 80.0)]) == (("25 K", "simple"), ("80 K", "fractional"))
    cuts = order_of_fractions([383.7, 329.2, 373.1])
    assert [(cut.before, cut.after) for cut in cuts] == [(1, 2), (2, 0)]
    assert [cut.gap for cut in cuts] == pytest.approx([43.9, 10.6])
    for call in (
        lambda: columns_that_suffice(-1.0, columns),
        lambda: columns_that_suffice(1.0, [("bad", 3.0, 2.0)]),
        lambda: gap_conventions(-1.0, []),
        lambda: order_of_fractions([300.0, 0.0]),
        lambda: first_drop(constant_volatility(2.0), 1.0),
        lambda: rayleigh(constant_volatility(2.0), 0.5, 0.1, plates=-1),
    ):
        with pytest.raises(OutOfRange):
            call()
