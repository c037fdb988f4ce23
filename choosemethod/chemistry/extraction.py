"""Extraction with a second liquid: what stays after n portions, portions for a target, acids and bases by pH.

Source: D. Harvey, Modern Analytical Chemistry, 1st ed. (2000), chapter 7 (liquid-liquid extractions).
Ratios are concentration in the extracting liquid over concentration in the liquid extracted; volumes in m3.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, log, log10

from choosemethod.chemistry.vapour_pressure import OutOfRange

__all__ = [
    "Stage",
    "distribution_of_acid",
    "distribution_of_base",
    "fraction_left",
    "ph_for_acid",
    "ph_for_base",
    "portions_for",
    "stages",
    "volume_for",
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


def volume_for(ratio: float, volume: float, target: float) -> float:
    """Volume (m3) of one single portion that leaves the fraction `target` in `volume` (m3); errors as portions_for."""
    _check(ratio, volume, 1.0)
    if not 0.0 < target < 1.0 or ratio == 0:
        raise OutOfRange("a target between 0 and 1 and a distribution ratio above zero are needed")
    return volume * (1.0 / target - 1.0) / ratio


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


def distribution_of_acid(partition: float, ph: float, pka: float) -> float:
    """Distribution ratio of a weak acid at this pH: D = K / (1 + 10^(pH - pKa)); only the neutral acid is extracted.

    partition: coefficient of the neutral acid. pH from -1 to 15. Without ion pairs, or pairs in the organic liquid.
    """
    _ph(partition, ph)
    return float(partition / (1.0 + 10.0 ** (ph - pka)))


def distribution_of_base(partition: float, ph: float, pka: float) -> float:
    """Distribution ratio of a weak base at this pH: D = K / (1 + 10^(pKa - pH)), pKa that of its conjugate acid."""
    _ph(partition, ph)
    return float(partition / (1.0 + 10.0 ** (pka - ph)))


def _ph(partition: float, ph: float) -> None:
    if partition < 0 or not -1.0 <= ph <= 15.0:
        raise OutOfRange("a partition coefficient not below zero and a pH from -1 to 15 are needed")


def ph_for_acid(partition: float, pka: float, ratio: float) -> float:
    """pH at which the distribution ratio of a weak acid is `ratio` (above 0, below the partition coefficient)."""
    if not 0 < ratio < partition:
        raise OutOfRange("the distribution ratio lies between zero and the partition coefficient")
    return pka + log10(partition / ratio - 1.0)


def ph_for_base(partition: float, pka: float, ratio: float) -> float:
    """pH at which the distribution ratio of a weak base is `ratio` (above 0, below the partition coefficient)."""
    if not 0 < ratio < partition:
        raise OutOfRange("the distribution ratio lies between zero and the partition coefficient")
    return pka - log10(partition / ratio - 1.0)
