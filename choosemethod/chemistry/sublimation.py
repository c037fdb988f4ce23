"""Sublimation: whether a solid turns to vapour before it melts, and its vapour pressure at a working temperature.

Source: P. Atkins, J. de Paula, Physical Chemistry, chapter on phase transitions (Clausius-Clapeyron, triple point).
Pressures in Pa, temperatures in K, enthalpies in J/mol.
"""

from __future__ import annotations

from math import exp, log

from choosemethod.chemistry.vapour_pressure import GAS_CONSTANT, OutOfRange

__all__ = ["clausius_clapeyron", "enthalpy_between", "melts_before", "ratio_to_triple_point", "usable_vapour_pressure"]


def clausius_clapeyron(
    pressure: float, temperature: float, enthalpy: float, other: float, reach: float = 80.0
) -> float:
    """Vapour pressure (Pa) at `other` (K) from that at `temperature` (K) and the enthalpy of the transition (J/mol).

    For one and the same phase: do not cross the melting point. OutOfRange if the temperatures lie more than `reach` (K)
    apart, where a constant enthalpy is no longer a fair assumption.
    """
    if min(pressure, temperature, enthalpy, other) <= 0:
        raise OutOfRange("pressure, temperatures and enthalpy must be above zero")
    if abs(other - temperature) > reach:
        raise OutOfRange(
            f"{abs(other - temperature):.0f} K from the known point: more than {reach:.0f} K is not estimated"
        )
    return pressure * exp(-enthalpy / GAS_CONSTANT * (1.0 / other - 1.0 / temperature))


def enthalpy_between(first: float, first_at: float, second: float, second_at: float) -> float:
    """Enthalpy (J/mol) of vaporisation or sublimation from two vapour pressures (Pa) at two temperatures (K)."""
    if min(first, first_at, second, second_at) <= 0 or first_at == second_at:
        raise OutOfRange("two pressures and two different temperatures above zero are needed")
    return -GAS_CONSTANT * log(second / first) / (1.0 / second_at - 1.0 / first_at)


def melts_before(triple_pressure: float, pressure: float) -> bool:
    """Whether a solid heated at `pressure` (Pa) melts before its vapour pressure reaches it.

    True when the pressure lies above the triple point's: it can still be sublimed, below its melting point, slowly.
    """
    if min(triple_pressure, pressure) <= 0:
        raise OutOfRange("pressures must be above zero")
    return pressure > triple_pressure


def ratio_to_triple_point(vapour_pressure: float, triple_pressure: float) -> float:
    """Vapour pressure at the working temperature over that at the triple point; OutOfRange above 1 (it has melted)."""
    if min(vapour_pressure, triple_pressure) <= 0:
        raise OutOfRange("pressures must be above zero")
    ratio = vapour_pressure / triple_pressure
    if ratio > 1.0 + 1e-9:
        raise OutOfRange("above the triple point the solid has melted: it boils and no longer sublimes")
    return ratio


def usable_vapour_pressure(vapour_pressure: float, least: float) -> bool:
    """Whether a vapour pressure (Pa) suffices to sublime at a useful rate: at least `least` (Pa, passed in)."""
    if vapour_pressure < 0 or least <= 0:
        raise OutOfRange("the vapour pressure is not below zero and the limit above zero")
    return vapour_pressure >= least
