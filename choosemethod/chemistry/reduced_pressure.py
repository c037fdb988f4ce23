"""Boiling at reduced pressure: the pressure that boils a liquid at a chosen temperature, and estimates.

Source of the estimate: H. B. Hass, R. F. Newton, "Correction of boiling points to standard pressure", CRC Handbook of
Chemistry and Physics (as printed through the 20th-century editions; formula from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import log10

from choosemethod.chemistry.vapour_pressure import STANDARD_PRESSURE, OutOfRange

__all__ = [
    "boiling_point_estimate",
    "pressure_estimate",
    "pumps_that_reach",
]

LOWEST, HIGHEST = 100.0, 110_000.0  # Pa, where the estimate is used


def _check(pressure: float, phi: float) -> float:
    """Decades below the standard pressure."""
    if not LOWEST <= pressure <= HIGHEST:
        raise OutOfRange(f"{pressure / 1000:.4g} kPa: the estimate holds from 0.1 to 110 kPa")
    if not 4.0 <= phi <= 7.0:
        raise OutOfRange(f"phi = {phi:g}: it lies between 4.0 and 7.0")
    return log10(STANDARD_PRESSURE / pressure)


def boiling_point_estimate(normal: float, pressure: float, phi: float = 4.9) -> float:
    """Boiling point (K) at `pressure` (Pa, 100 to 110 000) from the normal one (K), by Hass and Newton.

    phi: entropy of vaporisation over 19.14 J/(mol K): about 4.6 to 5.1 for most liquids, to 6.5 with hydrogen bonds.
    An estimate, to about 3 K at 10 kPa and 8 K at 1 kPa. OutOfRange outside these ranges.
    """
    decades = _check(pressure, phi)
    if normal <= 0:
        raise OutOfRange("a boiling point is above zero kelvin")
    return normal / (1.0 + decades / (phi + 0.15 * decades))


def pressure_estimate(normal: float, temperature: float, phi: float = 4.9) -> float:
    """Pressure (Pa) that boils a liquid of this normal boiling point (K) at `temperature` (K), by Hass and Newton.

    OutOfRange if that is outside 100 to 110 000 Pa.
    """
    if normal <= 0 or temperature <= 0:
        raise OutOfRange("temperatures are above zero kelvin")
    ratio = normal / temperature - 1.0
    if 1.0 - 0.15 * ratio <= 0:
        raise OutOfRange(f"{temperature - 273.15:.0f} °C is too far below the normal boiling point for an estimate")
    pressure = STANDARD_PRESSURE / 10.0 ** (ratio * phi / (1.0 - 0.15 * ratio))
    _check(pressure, phi)
    return float(pressure)


def pumps_that_reach(pressure: float, pumps: Sequence[tuple[str, float]]) -> tuple[str, ...]:
    """Names of the pumps (name, lowest pressure in Pa it reaches) that reach `pressure` (Pa), in the given order."""
    if pressure <= 0:
        raise OutOfRange("the pressure must be above zero")
    return tuple(name for name, reached in pumps if reached <= pressure)
