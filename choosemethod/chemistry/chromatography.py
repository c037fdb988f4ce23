"""Numbers of chromatography: retardation factor, resolution, plates, plate height.

Source: IUPAC, Nomenclature for chromatography, Pure Appl. Chem. 65 (1993) 819; worked in D. Harvey, Modern Analytical
Chemistry, 1st ed. (2000), chapter 12. Times in s and lengths in m (only their ratios count).
"""

from __future__ import annotations

from choosemethod.chemistry.vapour_pressure import OutOfRange

__all__ = [
    "plates_from_base_width",
    "resolution",
    "retardation_factor",
]


def retardation_factor(spot: float, front: float) -> float:
    """Rf: distance of the spot's centre over distance of the solvent front, both from the start line; 0 to 1.

    Raises OutOfRange if the front has not moved, or the spot lies beyond it.
    """
    if front <= 0 or not 0 <= spot <= front:
        raise OutOfRange("the front must have moved, and the spot lie between the start line and the front")
    return spot / front


def resolution(first: float, second: float, first_width: float, second_width: float) -> float:
    """Rs = 2 |t2 - t1| / (w1 + w2) from retention times (or distances) and widths at the base, in one unit.

    1.5 is baseline separation. OutOfRange unless the widths are above zero and the times not below zero.
    """
    if min(first_width, second_width) <= 0 or min(first, second) < 0:
        raise OutOfRange("widths must be above zero and retention times not below zero")
    return 2.0 * abs(second - first) / (first_width + second_width)


def plates_from_base_width(retention: float, width: float) -> float:
    """N = 16 (t/w)^2 from retention time and width at the base, in one unit."""
    if retention < 0 or width <= 0:
        raise OutOfRange("the width must be above zero and the retention time not below zero")
    return 16.0 * (retention / width) ** 2
