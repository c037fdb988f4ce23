"""Activity models: published forms against thermo, thermodynamic consistency, and the fit to an azeotrope."""

from __future__ import annotations

from math import exp, log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from choosemethod.chemistry.activity import (
    NRTL,
    Ideal,
    Margules,
    VanLaar,
    Wilson,
    fit_margules,
    fit_to_azeotrope,
    fit_van_laar,
    from_parameters,
)
from choosemethod.chemistry.vapour_pressure import OutOfRange

MODELS = [
    NRTL(-29.17, 624.87, 0.2937), Wilson(-1.4078, -221.24, 1.4078, -707.27), VanLaar(1.68, 0.92), Margules(0.7, 1.3),
]  # fmt: skip


@pytest.mark.parametrize("model", MODELS, ids=lambda model: type(model).__name__)
@given(x=st.floats(0.02, 0.98), temperature=st.floats(280, 400))
def test_gibbs_duhem(model: NRTL, x: float, temperature: float) -> None:
    """x1 d(ln gamma1) + x2 d(ln gamma2) = 0 at constant temperature and pressure."""
    step = 1e-5
    low, high = model.ln_gammas(x - step, temperature), model.ln_gammas(x + step, temperature)
    assert x * (high[0] - low[0]) + (1 - x) * (high[1] - low[1]) == pytest.approx(0.0, abs=1e-8)


def test_ends() -> None:
    for model in MODELS:
        assert model.ln_gammas(1.0, 350.0)[0] == pytest.approx(0.0, abs=1e-12)
        assert model.ln_gammas(0.0, 350.0)[1] == pytest.approx(0.0, abs=1e-12)
    assert VanLaar(1.68, 0.92).ln_gammas(0.0, 300.0)[0] == pytest.approx(1.68)
    assert Margules(0.7, 1.3).ln_gammas(1.0, 300.0)[1] == pytest.approx(1.3)
    assert Ideal().ln_gammas(0.3, 300.0) == (0.0, 0.0)


@given(st.floats(0.05, 0.95), st.floats(0.05, 1.5), st.floats(0.05, 1.5))
def test_fitted_constants_give_the_point_back(x: float, first: float, second: float) -> None:
    fitted = fit_van_laar(x, first, second), fit_margules(x, first, second), fit_van_laar(x, -first, -second)
    for model in fitted:
        sign = -1.0 if isinstance(model, VanLaar) and model.a < 0 else 1.0
        assert model.ln_gammas(x, 300.0) == pytest.approx((sign * first, sign * second), rel=1e-9)


def test_van_laar_constants_of_a_textbook() -> None:
    # Ethanol and water, azeotrope at x = 0.8943 and 78.15 °C (CRC Handbook): pure vapour pressures there 100.5 and
    # 43.9 kPa. Van Laar constants listed in Perry's Handbook, 8th ed., table 13-4: 1.6798 and 0.9227.
    model = fit_to_azeotrope(0.8943, 101_325, 100_500, 43_900)
    assert isinstance(model, VanLaar)
    assert model.b == pytest.approx(0.9227, abs=0.06)
    assert model.a == pytest.approx(1.6798, abs=0.35)


def test_fit_to_azeotrope_gives_equal_volatilities() -> None:
    for x, first, second in ((0.66, 90_000.0, 80_000.0), (0.36, 130_000.0, 110_000.0), (0.5, 120_000.0, 90_000.0)):
        model = fit_to_azeotrope(x, 101_325, first, second)
        one, two = model.ln_gammas(x, 340.0)
        assert first * exp(one) == pytest.approx(101_325)
        assert second * exp(two) == pytest.approx(101_325)
        assert one == pytest.approx(log(101_325 / first))


def test_refusals() -> None:
    for x in (-0.1, 1.1):
        for model in [*MODELS, Ideal()]:
            with pytest.raises(OutOfRange):
                model.ln_gammas(x, 350.0)
    with pytest.raises(OutOfRange):
        VanLaar(1.0, -1.0)
    with pytest.raises(OutOfRange):
        fit_van_laar(0.0, 1.0, 1.0)
    with pytest.raises(OutOfRange, match="too near a pure liquid"):
        fit_to_azeotrope(0.999, 101_325, 100_000, 20_000)
    with pytest.raises(OutOfRange, match="no activity model"):
        from_parameters("uniquac", {})
    with pytest.raises(OutOfRange, match="needs alpha"):
        from_parameters("nrtl", {"a12": 1.0, "a21": 2.0})
    assert from_parameters("nrtl", {"a12": 1.0, "a21": 2.0, "alpha": 0.3}) == NRTL(1.0, 2.0, 0.3)


@pytest.mark.oracle
def test_against_thermo() -> None:
    nrtl = pytest.importorskip("thermo.nrtl")
    wilson = pytest.importorskip("thermo.wilson")
    for x in (0.1, 0.5, 0.85):
        theirs = nrtl.NRTL(
            T=351.0, xs=[x, 1 - x], tau_as=[[0, 0], [0, 0]], tau_bs=[[0, -29.17], [624.87, 0]],
            alpha_cs=[[0, 0.2937], [0.2937, 0]],
        ).gammas()  # fmt: skip
        assert NRTL(-29.17, 624.87, 0.2937).ln_gammas(x, 351.0) == pytest.approx([log(g) for g in theirs], rel=1e-9)
        theirs = wilson.Wilson(
            T=351.0, xs=[x, 1 - x], lambda_as=[[0, -1.4078], [1.4078, 0]], lambda_bs=[[0, -221.24], [-707.27, 0]]
        ).gammas()
        ours = Wilson(-1.4078, -221.24, 1.4078, -707.27).ln_gammas(x, 351.0)
        assert ours == pytest.approx([log(g) for g in theirs], rel=1e-9)
