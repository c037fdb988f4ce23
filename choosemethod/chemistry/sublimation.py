"""Sublimation: whether a solid turns to vapour before it melts.

Source: P. Atkins, J. de Paula, Physical Chemistry, chapter on phase transitions (triple point).
Pressures in Pa.
"""

from __future__ import annotations

from choosemethod.chemistry.vapour_pressure import OutOfRange

__all__ = ["melts_before"]


def melts_before(triple_pressure: float, pressure: float) -> bool:
    """Whether a solid heated at `pressure` (Pa) melts before its vapour pressure reaches it.

    True when the pressure lies above the triple point's: it can still be sublimed, below its melting point, slowly.
    """
    if min(triple_pressure, pressure) <= 0:
        raise OutOfRange("pressures must be above zero")
    return pressure > triple_pressure
