"""Vapour pressure and boiling point of a pure liquid from the constants of a vapour-pressure equation.

Source of the equation: C. Antoine, Comptes Rendus 107 (1888) 681; the form log10(p/Pa) = a - b / (T/K + c).
"""

from __future__ import annotations

from math import isfinite, log, log10

from choosemethod.quantity import STANDARD_PRESSURE

__all__ = [
    "STANDARD_PRESSURE",
    "Antoine",
    "OutOfRange",
    "antoine_boiling_point",
    "antoine_pressure",
    "boiling_point_by_trouton",
    "law_by_trouton",
]

GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018
_LN10 = log(10.0)


class OutOfRange(ValueError):
    """A number outside the range in which a calculation holds, or one that would be unsafe; the message says which."""


def antoine_pressure(temperature: float, a: float, b: float, c: float) -> float:
    """Vapour pressure in Pa at `temperature` (K) from Antoine constants in the Pa/K form.

    Raises OutOfRange when the equation has no physical value there (T + c <= 0).
    """
    if temperature + c <= 0:
        raise OutOfRange(f"{temperature:.1f} K lies outside the vapour-pressure equation")
    return float(10.0 ** (a - b / (temperature + c)))


def antoine_boiling_point(pressure: float, a: float, b: float, c: float) -> float:
    """Boiling temperature in K at `pressure` (Pa) from Antoine constants; OutOfRange for a pressure it cannot reach."""
    if pressure <= 0 or log10(pressure) >= a:
        raise OutOfRange(f"{pressure:.0f} Pa lies outside the vapour-pressure equation")
    return b / (a - log10(pressure)) - c


def boiling_point_by_trouton(normal: float, pressure: float, entropy: float = 88.0) -> float:
    """Boiling temperature (K) at `pressure` (Pa) from the normal boiling point (K) when no constants are known.

    Clausius-Clapeyron with a constant entropy of vaporisation (Trouton's rule, 88 J/(mol K); about 109 for liquids
    that hydrogen-bond). An estimate: say so where it is shown. Holds to a few kelvin between 50 and 110 kPa.
    Source: P. Atkins, J. de Paula, Physical Chemistry, chapter "The Second and Third Laws" (Trouton's rule).
    """
    if pressure <= 0 or normal <= 0:
        raise OutOfRange("pressure and boiling point must be above zero")
    # ln(p/p0) = -(H/R)(1/T - 1/T0) with H = entropy * T0
    return 1.0 / (
        1.0 / normal - GAS_CONSTANT / (entropy * normal) * (log10(pressure / STANDARD_PRESSURE) * 2.302585092994046)
    )


def _celsius(temperature: float) -> str:
    return f"{temperature - 273.15:.1f} °C"


class Antoine:
    """A vapour-pressure law: log10(p/Pa) = a - b / (T/K + c), valid from `low` to `high` (K).

    estimated: made from the boiling point alone (`law_by_trouton`), not from measured vapour pressures.
    """

    __slots__ = ("a", "b", "c", "estimated", "high", "low")

    def __init__(self, a: float, b: float, c: float, low: float, high: float, estimated: bool = False) -> None:
        if not all(map(isfinite, (a, b, c, low, high))) or b <= 0:
            raise OutOfRange("a vapour-pressure law needs finite constants with b above zero")
        if not 0 < low < high or low + c <= 0:
            raise OutOfRange("the range of a vapour-pressure law must be above zero and lie where it is defined")
        self.a, self.b, self.c = a, b, c
        self.low, self.high = low, high
        self.estimated = estimated

    def beyond(self, temperature: float) -> float:
        """How far (K) a temperature (K) lies outside the range; 0 inside it."""
        return max(self.low - temperature, temperature - self.high, 0.0)

    def pressure(self, temperature: float, reach: float = 0.0) -> float:
        """Vapour pressure (Pa) at `temperature` (K); OutOfRange if that is more than `reach` (K) outside the range."""
        if self.beyond(temperature) > reach + 1e-6:
            raise OutOfRange(
                f"vapour pressure at {_celsius(temperature)}: the constants hold from {_celsius(self.low)} to "
                f"{_celsius(self.high)}"
            )
        return antoine_pressure(temperature, self.a, self.b, self.c)

    def boiling_point(self, pressure: float, reach: float = 0.0) -> float:
        """Boiling temperature (K) at `pressure` (Pa); OutOfRange if more than `reach` (K) outside the range."""
        found = antoine_boiling_point(pressure, self.a, self.b, self.c)
        if self.beyond(found) > reach + 1e-6:
            least, most = (antoine_pressure(end, self.a, self.b, self.c) / 1000 for end in (self.low, self.high))
            raise OutOfRange(
                f"boiling point at {pressure / 1000:.4g} kPa: the constants hold from {least:.3g} to {most:.3g} kPa "
                f"({_celsius(self.low)} to {_celsius(self.high)})"
            )
        return found

def law_by_trouton(normal: float, entropy: float = 88.0) -> Antoine:
    """An estimated vapour-pressure law from the normal boiling point (K), as boiling_point_by_trouton.

    entropy: of vaporisation, J/(mol K); about 109 for liquids that hydrogen-bond. Range: 40 to 120 kPa.
    Raises OutOfRange for a boiling point or an entropy that is not above zero.
    """
    if normal <= 0 or entropy <= 0:
        raise OutOfRange("boiling point and entropy of vaporisation must be above zero")
    b = entropy * normal / (GAS_CONSTANT * _LN10)
    a = log10(STANDARD_PRESSURE) + b / normal
    low, high = (boiling_point_by_trouton(normal, pressure, entropy) for pressure in (40_000.0, 120_000.0))
    return Antoine(a, b, 0.0, low, high, estimated=True)
