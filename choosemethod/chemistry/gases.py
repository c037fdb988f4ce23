"""Cooling gases: the order in which they condense, and where one of them begins to.

Source: dew point of a component of an ideal gas mixture (Dalton's and Raoult's laws); any physical chemistry text.
"""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.chemistry.vapour_pressure import Antoine, OutOfRange

__all__ = ["condensation_begins", "fraction_condensed", "order_of_condensation"]


def order_of_condensation(temperatures: Sequence[float]) -> tuple[int, ...]:
    """Indices of gases with these condensation temperatures (K), first to condense on cooling (the highest) first."""
    if any(temperature <= 0 for temperature in temperatures):
        raise OutOfRange("condensation temperatures are above zero kelvin")
    return tuple(sorted(range(len(temperatures)), key=lambda index: (-temperatures[index], index)))


def condensation_begins(law: Antoine, pressure: float, fraction: float) -> float:
    """Temperature (K) at which a gas of mole fraction `fraction` at total `pressure` (Pa) begins to condense.

    Where its vapour pressure falls to its partial pressure. OutOfRange for a fraction outside 0 to 1 or off the law.
    """
    if not 0.0 < fraction <= 1.0 or pressure <= 0:
        raise OutOfRange("a mole fraction above 0 and up to 1 and a pressure above zero are needed")
    return law.boiling_point(pressure * fraction)


def fraction_condensed(law: Antoine, pressure: float, fraction: float, temperature: float) -> float:
    """Share (0 to 1) of a gas that has condensed at `temperature` (K) from one that stays gaseous, at pressure (Pa).

    Condensate of the pure component; what stays in the gas phase has the saturation pressure. OutOfRange off the law.
    """
    if not 0.0 < fraction < 1.0 or pressure <= 0:
        raise OutOfRange("a mole fraction between 0 and 1 and a pressure above zero are needed")
    saturated = law.pressure(temperature)
    if saturated >= pressure * fraction:
        return 0.0
    stays = saturated / (pressure - saturated) * (1.0 - fraction)  # mol per mol of gas at the start
    return 1.0 - stays / fraction
