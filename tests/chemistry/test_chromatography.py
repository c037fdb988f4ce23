"""Chromatography against worked examples of D. Harvey, Modern Analytical Chemistry, 1st ed. (2000), chapter 12."""

from __future__ import annotations

import pytest

from choosemethod.chemistry.chromatography import (
    part_of_spots,
    plate_height,
    plates_for_resolution,
    plates_from_base_width,
    plates_from_half_width,
    resolution,
    resolution_after,
    retardation_factor,
    retention_factor,
    selectivity,
)
from choosemethod.chemistry.vapour_pressure import OutOfRange


def test_harvey() -> None:
    # Example 12.2: limonene and terpinene, 8.36 and 9.54 min, widths 0.96 and 0.64 min: Rs = 1.48.
    assert resolution(8.36, 9.54, 0.96, 0.64) == pytest.approx(1.48, abs=0.01)
    # Example 12.3: dieldrin, 8.68 min, width 0.29 min, column of 2.0 m: about 14 300 plates of 0.14 mm.
    plates = plates_from_base_width(8.68, 0.29)
    assert plates == pytest.approx(14_300, abs=100)
    assert plate_height(2.0, plates) == pytest.approx(0.14e-3, abs=0.001e-3)


def test_definitions() -> None:
    # IUPAC, Pure Appl. Chem. 65 (1993) 819: Rf, k, separation factor; base width is 1.699 half widths of a Gaussian.
    assert retardation_factor(0.032, 0.080) == pytest.approx(0.40)
    assert retention_factor(6.0, 1.5) == pytest.approx(3.0)
    assert selectivity(2.0, 3.0) == pytest.approx(1.5)
    assert plates_from_half_width(10.0, 0.5) == pytest.approx(5.545 * 400, rel=1e-4)
    assert plates_from_base_width(10.0, 0.5 * 4 / 2.354820045) == pytest.approx(
        plates_from_half_width(10.0, 0.5), rel=1e-6
    )
    assert part_of_spots([0.2, 0.7, 0.35]) == pytest.approx(0.15)
    assert plates_for_resolution(1.5, 4.0, 1.1) == pytest.approx((4 * 1.5 * 11 * 5 / 4) ** 2)
    assert resolution_after(1.0, 4.0) == pytest.approx(2.0)


def test_refusals() -> None:
    for call in (
        lambda: retardation_factor(9.0, 8.0),
        lambda: retardation_factor(1.0, 0.0),
        lambda: retardation_factor(-1.0, 8.0),
        lambda: part_of_spots([0.3]),
        lambda: part_of_spots([0.3, 1.3]),
        lambda: resolution(1.0, 2.0, 0.0, 0.1),
        lambda: plates_from_base_width(1.0, 0.0),
        lambda: plate_height(0.0, 10.0),
        lambda: retention_factor(1.0, 2.0),
        lambda: selectivity(0.0, 1.0),
        lambda: plates_for_resolution(1.5, 4.0, 1.0),
        lambda: resolution_after(1.0, 0.0),
    ):
        with pytest.raises(OutOfRange):
            call()
