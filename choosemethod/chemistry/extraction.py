"""Extraction with a second liquid: what stays after n portions, portions for a target.

Source: D. Harvey, Modern Analytical Chemistry, 1st ed. (2000), chapter 7 (liquid-liquid extractions).
Ratios are concentration in the extracting liquid over concentration in the liquid extracted; volumes in m3.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, log

from choosemethod.chemistry.vapour_pressure import OutOfRange

__all__ = [
    "Stage",
    "fraction_left",
    "portions_for",
    "stages",
]


@dataclass(frozen=True, slots=True)
class Stage:
    """One shaking: amount (as given) taken into the extracting liquid, amount left, both after this portion."""

    taken: float
    left: float


def _check(ratio: float, volume: float, portion: float) -> None:
    if ratio < 0 or volume <= 0 or portion <= 0:
        raise OutOfRange("the distribution ratio is not below zero, and both volumes are above zero")


def fraction_left(ratio: float, volume: float, portion: float, portions: int = 1) -> float:
    """Fraction (0 to 1) left in `volume` (m3) after `portions` extractions with `portion` (m3) each.

    (V / (V + D v))^n. Holds where the two liquids do not take each other up and D does not change with concentration.
    """
    _check(ratio, volume, portion)
    if portions < 0:
        raise OutOfRange("the number of portions is not below zero")
    return float((volume / (volume + ratio * portion)) ** portions)


def portions_for(ratio: float, volume: float, portion: float, target: float) -> int:
    """Least number of portions (`portion`, m3) that leaves at most the fraction `target` in `volume` (m3).

    Raises OutOfRange if the ratio is zero, target lies outside 0 to 1, or more than 1000 portions would be needed.
    """
    _check(ratio, volume, portion)
    if not 0.0 < target < 1.0 or ratio == 0:
        raise OutOfRange("a target between 0 and 1 and a distribution ratio above zero are needed")
    needed = ceil(log(target) / log(volume / (volume + ratio * portion)) - 1e-9)
    if needed > 1000:
        raise OutOfRange("more than 1000 portions would be needed")
    return needed


def stages(amount: float, ratio: float, volume: float, portion: float, portions: int) -> tuple[Stage, ...]:
    """What each portion takes and what is left after it, of `amount` (in any unit); they add up at each stage."""
    _check(ratio, volume, portion)
    if amount < 0 or portions < 0:
        raise OutOfRange("amount and number of portions are not below zero")
    out, left = [], amount
    for _ in range(portions):
        after = left * volume / (volume + ratio * portion)
        out.append(Stage(left - after, after))
        left = after
    return tuple(out)
