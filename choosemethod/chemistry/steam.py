"""Distillation with steam: two liquids that do not mix boil together below either boiling point.

Each exerts its own vapour pressure; the sum reaches the pressure of the still; the vapour holds them in the ratio of
their vapour pressures. Source: S. Young, Distillation Principles and Processes (1922), chapter on immiscible liquids.
Holds for liquids that dissolve in each other only slightly.
"""

from __future__ import annotations

from dataclasses import dataclass

from choosemethod.chemistry.vapour_pressure import Antoine, OutOfRange

__all__ = ["Steam", "steam_distillation", "water_to_carry_over"]


@dataclass(frozen=True, slots=True)
class Steam:
    """temperature (K); carrier, substance: vapour pressures (Pa); mass_ratio: kg of substance per kg of carrier over;
    beyond: how far (K) a vapour-pressure law was used outside its range."""

    temperature: float
    carrier: float
    substance: float
    mass_ratio: float
    beyond: float


def steam_distillation(
    pressure: float,
    carrier: Antoine,
    substance: Antoine,
    carrier_molar_mass: float,
    substance_molar_mass: float,
    reach: float = 0.0,
) -> Steam:
    """Temperature (K) and mass ratio of the distillate at `pressure` (Pa); molar masses in kg/mol.

    reach: how far (K) the substance's law may be used outside its range; the carrier's law is not extrapolated.
    Raises OutOfRange if a law does not reach the boiling temperature.
    """
    if min(pressure, carrier_molar_mass, substance_molar_mass) <= 0:
        raise OutOfRange("pressure and molar masses must be above zero")
    low, high = 150.0, carrier.boiling_point(pressure)
    low = max(carrier.low, substance.low - reach, low)

    def total(temperature: float) -> float:
        return carrier.pressure(temperature) + substance.pressure(temperature, reach)

    high = min(high, substance.high + reach)
    if low >= high or total(low) > pressure or total(high) < pressure:
        raise OutOfRange("the vapour-pressure laws do not reach the temperature at which the two boil together")
    for _ in range(80):
        middle = 0.5 * (low + high)
        if total(middle) < pressure:
            low = middle
        else:
            high = middle
    temperature = 0.5 * (low + high)
    one, two = carrier.pressure(temperature), substance.pressure(temperature, reach)
    ratio = two * substance_molar_mass / (one * carrier_molar_mass)
    return Steam(temperature, one, two, ratio, substance.beyond(temperature))


def water_to_carry_over(mass: float, mass_ratio: float) -> float:
    """Mass (kg) of carrier that comes over with `mass` (kg) of the substance at the mass ratio of the distillate.

    The least: real steam is not saturated with the substance. OutOfRange unless both are above zero.
    """
    if mass <= 0 or mass_ratio <= 0:
        raise OutOfRange("mass and mass ratio must be above zero")
    return mass / mass_ratio
