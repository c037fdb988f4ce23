"""Liquid layers: their order by density, emulsion risk, how much of each (lever rule), and salting out.

Sources: lever rule: P. Atkins, J. de Paula, Physical Chemistry, chapter on phase diagrams; salting out: J. Setschenow,
Z. phys. Chem. 4 (1889) 117.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from choosemethod.chemistry.vapour_pressure import OutOfRange

__all__ = [
    "Layer",
    "Split",
    "lever",
    "order_by_density",
    "two_layers",
]


@dataclass(frozen=True, slots=True)
class Layer:
    """index: of the given list; density (kg/m3, the middle of its range); above: difference (kg/m3) to the layer below
    (None for the bottom one); sure: the ranges of the two do not overlap; emulsion: the difference is small."""

    index: int
    density: float
    above: float | None
    sure: bool
    emulsion: bool


@dataclass(frozen=True, slots=True)
class Split:
    """Two layers from two liquids (kg): mass of each layer and of the first liquid in each."""

    rich_in_first: float
    rich_in_second: float
    first_in_rich: float
    first_in_poor: float


def order_by_density(densities: Sequence[tuple[float, float]], small: float) -> tuple[Layer, ...]:
    """Layers from bottom to top for liquids with densities (low, high) in kg/m3.

    small: difference (kg/m3) below which two neighbouring layers part slowly and tend to an emulsion.
    Raises OutOfRange for densities that are not above zero.
    """
    if any(not 0 < low <= high for low, high in densities):
        raise OutOfRange("densities are above zero, the lower end first")
    order = sorted(range(len(densities)), key=lambda index: (-sum(densities[index]) / 2.0, index))
    out: list[Layer] = []
    for place, index in enumerate(order):
        low, high = densities[index]
        middle = (low + high) / 2.0
        if place == 0:
            out.append(Layer(index, middle, None, True, False))
            continue
        below = densities[order[place - 1]]
        difference = sum(below) / 2.0 - middle
        out.append(Layer(index, middle, difference, below[0] > high, difference < small))
    return tuple(out)


def lever(overall: float, low: float, high: float) -> tuple[float, float]:
    """Shares (of the `low` layer, of the `high` layer) into which a mixture of fraction `overall` parts.

    All three are fractions of the same component (mass or mole, 0 to 1). OutOfRange if overall lies outside the gap:
    there is then one layer.
    """
    if not 0.0 <= low < high <= 1.0:
        raise OutOfRange("the two layers need fractions between 0 and 1, the lower first")
    if not low <= overall <= high:
        raise OutOfRange(f"a fraction of {overall:g} lies outside {low:g} to {high:g}: there is one layer")
    share = (overall - low) / (high - low)
    return 1.0 - share, share


def two_layers(first: float, second: float, first_in_second: float, second_in_first: float) -> Split | None:
    """What `first` and `second` (kg of two liquids) give; None if they make one layer.

    first_in_second: mass fraction of the first in the layer rich in the second; second_in_first: the reverse.
    Raises OutOfRange for masses or fractions that cannot be.
    """
    if first <= 0 or second <= 0:
        raise OutOfRange("both masses must be above zero")
    if not (0.0 <= first_in_second < 1.0 and 0.0 <= second_in_first < 1.0 and first_in_second + second_in_first < 1.0):
        raise OutOfRange("mutual solubilities are mass fractions that leave a gap between the layers")
    whole = first + second
    overall = first / whole
    if not first_in_second <= overall <= 1.0 - second_in_first:
        return None
    poor, rich = (share * whole for share in lever(overall, first_in_second, 1.0 - second_in_first))
    return Split(rich, poor, rich * (1.0 - second_in_first), poor * first_in_second)
