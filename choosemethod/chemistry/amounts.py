"""Amounts: fractions by mass and mole, volumes, and vessels that are neither too full nor too empty.

Source of the vessel rules: common practice (a boiling flask half to two thirds full, a separating funnel at most two
thirds full with both liquids in it). Masses in kg, volumes in m3, densities in kg/m3, molar masses in kg/mol.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from choosemethod.chemistry.vapour_pressure import OutOfRange

__all__ = ["Vessel", "boiling_flask", "mass_fraction", "mole_fraction", "separating_funnel"]

FULLEST = 2.0 / 3.0
EMPTIEST = 0.5


class Vessel(NamedTuple):
    """volume: of the vessel (m3); portions: in how many batches; filled: fraction of it filled per batch (0 to 2/3);
    roomy: less than half full (the next smaller one would be too full, or there is none)."""

    volume: float
    portions: int
    filled: float
    roomy: bool


def mole_fraction(mass_fraction: float, first: float, second: float) -> float:
    """Mole fraction of the first from its mass fraction (0 to 1) and both molar masses (kg/mol)."""
    _fraction(mass_fraction, first, second)
    moles = mass_fraction / first
    return moles / (moles + (1.0 - mass_fraction) / second)


def mass_fraction(mole_fraction: float, first: float, second: float) -> float:
    """Mass fraction of the first from its mole fraction (0 to 1) and both molar masses (kg/mol)."""
    _fraction(mole_fraction, first, second)
    mass = mole_fraction * first
    return mass / (mass + (1.0 - mole_fraction) * second)


def _fraction(fraction: float, first: float, second: float) -> None:
    if not 0.0 <= fraction <= 1.0 or min(first, second) <= 0:
        raise OutOfRange("a fraction between 0 and 1 and molar masses above zero are needed")


def _vessel(volume: float, sizes: Sequence[float], most: float, least: float) -> Vessel:
    if volume <= 0 or not sizes or min(sizes) <= 0:
        raise OutOfRange("a volume above zero and sizes of vessels above zero are needed")
    if not 0.0 <= least < most < 1.0:
        raise OutOfRange("a vessel is filled in part: the least share lies below the most, and both below 1")
    for size in sorted(sizes):
        if volume <= most * size * (1.0 + 1e-9):
            return Vessel(size, 1, volume / size, volume < least * size)
    largest = max(sizes)
    portions = 1
    while volume / portions > most * largest * (1.0 + 1e-9):
        portions += 1
        if portions > 1000:
            raise OutOfRange("more than 1000 portions: these vessels are too small for such an amount")
    return Vessel(largest, portions, volume / portions / largest, volume / portions < least * largest)


def boiling_flask(volume: float, sizes: Sequence[float], most: float = FULLEST, least: float = EMPTIEST) -> Vessel:
    """The smallest flask of `sizes` (m3) that `volume` (m3) of liquid fills at most to `most`; in portions if need be.

    `roomy` says that it is then filled less than `least`. Raises OutOfRange for values not above zero.
    """
    return _vessel(volume, sizes, most, least)


def separating_funnel(
    liquid: float, added: float, sizes: Sequence[float], most: float = FULLEST, least: float = EMPTIEST
) -> Vessel:
    """The smallest funnel of `sizes` (m3) that both liquids (m3) fill at most to `most`: room to shake and vent.

    In portions if the largest is too small. Raises OutOfRange for values not above zero.
    """
    if liquid <= 0 or added < 0:
        raise OutOfRange("volumes must be above zero")
    return _vessel(liquid + added, sizes, most, least)
