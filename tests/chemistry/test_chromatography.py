"""Chromatography against worked examples of D. Harvey, Modern Analytical Chemistry, 1st ed. (2000), chapter 12."""

from __future__ import annotations

import pytest

from choosemethod.chemistry.chromatography import (
    plates_from_base_width,
    resolution,
    retardation_factor,
)
from choosemethod.chemistry.vapour_pressure import OutOfRange


def test_harvey() -> None:
    # Example 12.2: limonene and terpinene, 8.36 and 9.54 min, widths 0.96 and 0.64 min: Rs = 1.48.
    assert resolution(8.36, 9.54, 0.96, 0.64) == pytest.approx(1.48, abs=0.01)
    # Example 12.3: dieldrin, 8.68 min, width 0.29 min, column of 2.0 m: about 14 300 plates of 0.14 mm.
    plates = plates_from_base_width(8.68, 0.29)
    assert plates == pytest.approx(14_300, abs=100)


def test_definitions() -> None:
    # IUPAC, Pure Appl. Chem. 65 (1993) 819: Rf; base width is 1.699 half widths of a Gaussian.
    assert retardation_factor(0.032, 0.080) == pytest.approx(0.40)


def test_refusals() -> None:
    for call in (
        lambda: retardation_factor(9.0, 8.0),
        lambda: retardation_factor(1.0, 0.0),
        lambda: retardation_factor(-1.0, 8.0),
        lambda: resolution(1.0, 2.0, 0.0, 0.1),
        lambda: plates_from_base_width(1.0, 0.0),
    ):
        with pytest.raises(OutOfRange):
            call()
