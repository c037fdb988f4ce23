"""Vessels and fractions."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from choosemethod.chemistry.amounts import (
    boiling_flask,
    mass_fraction,
    mole_fraction,
    separating_funnel,
)
from choosemethod.chemistry.vapour_pressure import OutOfRange

MILLI = 1e-6
FLASKS = [size * MILLI for size in (50, 100, 250, 500, 1000)]


def test_fractions() -> None:
    # Ethanol and water azeotrope: 95.57 % by mass is 0.894 by moles (CRC Handbook, 97th ed., sec. 6).
    assert mole_fraction(0.9557, 0.046068, 0.018015) == pytest.approx(0.894, abs=0.001)


@given(st.floats(0.0, 1.0))
def test_there_and_back(fraction: float) -> None:
    assert mass_fraction(mole_fraction(fraction, 0.046, 0.018), 0.046, 0.018) == pytest.approx(fraction, abs=1e-12)


@given(st.floats(1.0, 5000.0))
def test_no_vessel_is_more_than_two_thirds_full(millilitres: float) -> None:
    flask = boiling_flask(millilitres * MILLI, FLASKS)
    assert flask.filled <= 2 / 3 + 1e-6
    assert flask.filled * flask.volume * flask.portions == pytest.approx(millilitres * MILLI)
    assert flask.roomy == (flask.filled < 0.5)


def test_vessels() -> None:
    # Common practice, no source: a boiling flask half to two thirds full, a funnel at most two thirds.
    assert boiling_flask(60 * MILLI, FLASKS).volume == pytest.approx(100 * MILLI)
    assert boiling_flask(150 * MILLI, FLASKS).volume == pytest.approx(250 * MILLI)
    funnel = separating_funnel(100 * MILLI, 50 * MILLI, FLASKS)
    assert (funnel.volume, funnel.portions) == (pytest.approx(250 * MILLI), 1)
    assert separating_funnel(1000 * MILLI, 500 * MILLI, FLASKS).portions == 3


def test_refusals() -> None:
    for call in (
        lambda: boiling_flask(0.0, FLASKS),
        lambda: boiling_flask(1.0, []),
        lambda: boiling_flask(10.0, [1e-6]),
        lambda: separating_funnel(0.0, 1.0, FLASKS),
        lambda: mole_fraction(1.5, 0.02, 0.04),
    ):
        with pytest.raises(OutOfRange):
            call()
