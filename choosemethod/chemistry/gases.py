"""Cooling gases: the order in which they condense.

Source: the one with the highest condensation temperature turns liquid first; any physical chemistry text.
"""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.chemistry.vapour_pressure import OutOfRange

__all__ = ["order_of_condensation"]


def order_of_condensation(temperatures: Sequence[float]) -> tuple[int, ...]:
    """Indices of gases with these condensation temperatures (K), first to condense on cooling (the highest) first."""
    if any(temperature <= 0 for temperature in temperatures):
        raise OutOfRange("condensation temperatures are above zero kelvin")
    return tuple(sorted(range(len(temperatures)), key=lambda index: (-temperatures[index], index)))
