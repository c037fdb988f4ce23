"""Extraction against worked examples of D. Harvey, Modern Analytical Chemistry, 1st ed. (2000), chapter 7."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from choosemethod.chemistry.extraction import (
    fraction_left,
    portions_for,
    stages,
)
from choosemethod.chemistry.vapour_pressure import OutOfRange

MILLI = 1e-6  # m3 per mL


def test_harvey() -> None:
    # Examples 7.14 and 7.15: D = 5, 50 mL of water, portions of 15 mL of chloroform.
    assert fraction_left(5, 50 * MILLI, 15 * MILLI) == pytest.approx(0.400, abs=1e-12)
    assert 1 - fraction_left(5, 50 * MILLI, 15 * MILLI, 2) == pytest.approx(0.840, abs=1e-12)
    assert 1 - fraction_left(5, 50 * MILLI, 15 * MILLI, 3) == pytest.approx(0.936, abs=1e-12)
    assert portions_for(5, 50 * MILLI, 15 * MILLI, 0.001) == 8


@given(st.floats(0.0, 100.0), st.floats(1e-6, 1.0), st.floats(1e-6, 1.0), st.integers(0, 10))
def test_stages_balance(ratio: float, volume: float, portion: float, count: int) -> None:
    done = stages(1.0, ratio, volume, portion, count)
    left = done[-1].left if done else 1.0
    assert sum(stage.taken for stage in done) + left == pytest.approx(1.0, abs=1e-9)
    assert left == pytest.approx(fraction_left(ratio, volume, portion, count), abs=1e-9)
    assert 0.0 <= left <= 1.0


def test_several_small_portions_beat_one_large() -> None:
    assert fraction_left(5, 1.0, 0.1, 3) < fraction_left(5, 1.0, 0.3, 1)


def test_refusals() -> None:
    for call in (
        lambda: fraction_left(-1, 1.0, 1.0),
        lambda: fraction_left(1, 0.0, 1.0),
        lambda: fraction_left(1, 1.0, 1.0, -1),
        lambda: portions_for(0.0, 1.0, 1.0, 0.1),
        lambda: portions_for(1e-6, 1.0, 1e-3, 0.001),
        lambda: stages(-1.0, 1.0, 1.0, 1.0, 1),
    ):
        with pytest.raises(OutOfRange):
            call()
