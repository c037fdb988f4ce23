"""The standard atmosphere: air pressure from altitude and back.

Source: ISO 2533:1975 and U.S. Standard Atmosphere 1976 (identical below 11 km).
"""

from __future__ import annotations

from choosemethod.chemistry.vapour_pressure import STANDARD_PRESSURE, OutOfRange

__all__ = ["pressure_at_altitude"]

SEA_LEVEL = 288.15  # K
LAPSE = 0.0065  # K/m, of geopotential altitude
EARTH = 6_356_766.0  # m, the radius the standard uses
EXPONENT = 9.80665 * 0.0289644 / (8.31432 * LAPSE)  # g M / (R L), with the constants of the standard
LOWEST, HIGHEST = -500.0, 9000.0  # m


def pressure_at_altitude(altitude: float) -> float:
    """Pressure (Pa) of the standard atmosphere at an altitude (m above sea level, from -500 to 9000).

    Real weather moves it by up to about 4 %. Raises OutOfRange outside these altitudes.
    """
    if not LOWEST <= altitude <= HIGHEST:
        raise OutOfRange(f"altitude {altitude:.0f} m: give one from {LOWEST:.0f} m to {HIGHEST:.0f} m")
    geopotential = EARTH * altitude / (EARTH + altitude)
    return float(STANDARD_PRESSURE * (1.0 - LAPSE * geopotential / SEA_LEVEL) ** EXPONENT)
