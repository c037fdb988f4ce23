"""Extraction against worked examples of D. Harvey, Modern Analytical Chemistry, 1st ed. (2000), chapter 7."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from choosemethod.chemistry.extraction import (
    distribution_of_acid,
    distribution_of_base,
    fraction_left,
    ph_for_acid,
    ph_for_base,
    portions_for,
    stages,
    volume_for,
)
from choosemethod.chemistry.vapour_pressure import OutOfRange

MILLI = 1e-6  # m3 per mL


def test_harvey() -> None:
    # Examples 7.14 and 7.15: D = 5, 50 mL of water, portions of 15 mL of chloroform.
    assert fraction_left(5, 50 * MILLI, 15 * MILLI) == pytest.approx(0.400, abs=1e-12)
    assert 1 - fraction_left(5, 50 * MILLI, 15 * MILLI, 2) == pytest.approx(0.840, abs=1e-12)
    assert 1 - fraction_left(5, 50 * MILLI, 15 * MILLI, 3) == pytest.approx(0.936, abs=1e-12)
    assert portions_for(5, 50 * MILLI, 15 * MILLI, 0.001) == 8
    assert volume_for(5, 50 * MILLI, 0.001) / MILLI == pytest.approx(9990.0)


@given(st.floats(0.0, 100.0), st.floats(1e-6, 1.0), st.floats(1e-6, 1.0), st.integers(0, 10))
def test_stages_balance(ratio: float, volume: float, portion: float, count: int) -> None:
    done = stages(1.0, ratio, volume, portion, count)
    left = done[-1].left if done else 1.0
    assert sum(stage.taken for stage in done) + left == pytest.approx(1.0, abs=1e-9)
    assert left == pytest.approx(fraction_left(ratio, volume, portion, count), abs=1e-9)
    assert 0.0 <= left <= 1.0


def test_several_small_portions_beat_one_large() -> None:
    assert fraction_left(5, 1.0, 0.1, 3) < fraction_left(5, 1.0, 0.3, 1)


def test_acids_and_bases() -> None:
    # Half the acid is neutral at pH = pKa; benzoic acid, pKa 4.20 (CRC Handbook), log P 1.87 (Sangster 1989).
    partition = 10**1.87
    assert distribution_of_acid(partition, 4.20, 4.20) == pytest.approx(partition / 2)
    assert distribution_of_acid(partition, 1.0, 4.20) == pytest.approx(partition, rel=1e-3)
    assert distribution_of_acid(partition, 9.0, 4.20) < 0.01
    # Aniline, pKa of its cation 4.60 (CRC Handbook): goes into dilute acid, stays out of dilute alkali.
    assert distribution_of_base(8.0, 1.0, 4.60) < 0.01
    assert distribution_of_base(8.0, 9.0, 4.60) == pytest.approx(8.0, rel=1e-3)
    assert distribution_of_acid(partition, ph_for_acid(partition, 4.2, 0.1), 4.2) == pytest.approx(0.1)
    assert distribution_of_base(8.0, ph_for_base(8.0, 4.6, 0.1), 4.6) == pytest.approx(0.1)


def test_refusals() -> None:
    for call in (
        lambda: fraction_left(-1, 1.0, 1.0),
        lambda: fraction_left(1, 0.0, 1.0),
        lambda: fraction_left(1, 1.0, 1.0, -1),
        lambda: portions_for(0.0, 1.0, 1.0, 0.1),
        lambda: portions_for(1e-6, 1.0, 1e-3, 0.001),
        lambda: volume_for(5, 1.0, 0.0),
        lambda: stages(-1.0, 1.0, 1.0, 1.0, 1),
        lambda: distribution_of_acid(10.0, 20.0, 4.0),
        lambda: ph_for_acid(10.0, 4.0, 20.0),
        lambda: ph_for_base(10.0, 4.0, 0.0),
    ):
        with pytest.raises(OutOfRange):
            call()
