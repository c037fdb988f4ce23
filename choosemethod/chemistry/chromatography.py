"""Numbers of chromatography: retardation factor, resolution, plates, plate height.

Source: IUPAC, Nomenclature for chromatography, Pure Appl. Chem. 65 (1993) 819; worked in D. Harvey, Modern Analytical
Chemistry, 1st ed. (2000), chapter 12. Times in s and lengths in m (only their ratios count).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import sqrt

from choosemethod.chemistry.vapour_pressure import OutOfRange

__all__ = [
    "part_of_spots",
    "plate_height",
    "plates_for_resolution",
    "plates_from_base_width",
    "plates_from_half_width",
    "resolution",
    "resolution_after",
    "retardation_factor",
    "retention_factor",
    "selectivity",
]


def retardation_factor(spot: float, front: float) -> float:
    """Rf: distance of the spot's centre over distance of the solvent front, both from the start line; 0 to 1.

    Raises OutOfRange if the front has not moved, or the spot lies beyond it.
    """
    if front <= 0 or not 0 <= spot <= front:
        raise OutOfRange("the front must have moved, and the spot lie between the start line and the front")
    return spot / front


def part_of_spots(factors: Sequence[float]) -> float:
    """Smallest difference between neighbouring Rf values; OutOfRange for fewer than two or values outside 0 to 1."""
    if len(factors) < 2 or any(not 0 <= value <= 1 for value in factors):
        raise OutOfRange("at least two Rf values between 0 and 1 are needed")
    ordered = sorted(factors)
    return min(b - a for a, b in pairwise(ordered))


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


def plates_from_half_width(retention: float, width: float) -> float:
    """N = 5.545 (t/w)^2 from retention time and width at half height, in one unit (8 ln 2 = 5.545)."""
    return plates_from_base_width(retention, width) * 5.545177444479562 / 16.0


def plate_height(length: float, plates: float) -> float:
    """Height (m) equivalent to a theoretical plate, of a column `length` (m) long."""
    if length <= 0 or plates <= 0:
        raise OutOfRange("length and number of plates must be above zero")
    return length / plates


def retention_factor(retention: float, dead: float) -> float:
    """k = (t - t0) / t0 from retention time and dead time, in one unit; OutOfRange unless t >= t0 > 0."""
    if dead <= 0 or retention < dead:
        raise OutOfRange("the dead time is above zero and not above the retention time")
    return (retention - dead) / dead


def selectivity(first: float, second: float) -> float:
    """Selectivity: the larger over the smaller of two retention factors; OutOfRange unless both are above zero."""
    if min(first, second) <= 0:
        raise OutOfRange("both retention factors must be above zero")
    return max(first, second) / min(first, second)


def plates_for_resolution(wanted: float, factor: float, ratio: float) -> float:
    """Plates for a resolution: N = [4 Rs (a/(a-1)) ((1+k)/k)]^2 k `factor` of the later peak, a `ratio` above 1."""
    if wanted <= 0 or factor <= 0 or ratio <= 1:
        raise OutOfRange("resolution and retention factor above zero and a selectivity above 1 are needed")
    root = 4.0 * wanted * ratio / (ratio - 1.0) * (1.0 + factor) / factor
    return root * root


def resolution_after(present: float, lengthening: float) -> float:
    """Resolution when the column is made `lengthening` times longer: it grows with the square root."""
    if present < 0 or lengthening <= 0:
        raise OutOfRange("resolution not below zero and lengthening above zero are needed")
    return present * sqrt(lengthening)
