"""Settling and spinning: speed and time of fall of a particle, relative centrifugal force, spin time.

Sources: G. G. Stokes, Trans. Camb. Phil. Soc. 9 (1851) 8; L. Schiller, A. Naumann, Z. VDI 77 (1935) 318 (drag above
Stokes' range); ISO 13317-1 (Stokes' law for Reynolds numbers up to 0.25). Spheres, singly, in a liquid at rest; sizes
in m, densities in kg/m3, viscosity in Pa s.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log, pi

from choosemethod.chemistry.vapour_pressure import OutOfRange

__all__ = [
    "GRAVITY",
    "Fall",
    "relative_centrifugal_force",
    "reynolds",
    "settling_velocity",
    "spin_time",
]

GRAVITY = 9.80665  # m/s2, standard
STOKES_LIMIT = 0.25  # Reynolds number
DRAG_LIMIT = 800.0


@dataclass(frozen=True, slots=True)
class Fall:
    """velocity (m/s, above zero downwards), Reynolds number, law: Stokes or Schiller-Naumann."""

    velocity: float
    reynolds: float
    law: str


def _check(diameter: float, viscosity: float, *densities: float) -> None:
    if diameter <= 0 or viscosity <= 0 or min(densities) <= 0:
        raise OutOfRange("diameter, viscosity and densities must be above zero")


def reynolds(velocity: float, diameter: float, density: float, viscosity: float) -> float:
    """Reynolds number of a sphere in a liquid of this density and viscosity."""
    _check(diameter, viscosity, density)
    return abs(velocity) * diameter * density / viscosity


def _stokes(diameter: float, particle: float, liquid: float, viscosity: float, gravity: float) -> float:
    return (particle - liquid) * gravity * diameter * diameter / (18.0 * viscosity)


def settling_velocity(diameter: float, particle: float, liquid: float, viscosity: float) -> Fall:
    """Speed of fall by Stokes' law, or with the drag of Schiller and Naumann up to a Reynolds number of 800.

    The latter is good to about 5 % for spheres; grains of sand fall up to a third more slowly. OutOfRange above 800.
    """
    _check(diameter, viscosity, particle, liquid)
    ideal = _stokes(diameter, particle, liquid, viscosity, GRAVITY)
    number = reynolds(ideal, diameter, liquid, viscosity)
    if number <= STOKES_LIMIT:
        return Fall(ideal, number, "Stokes")
    low, high = 0.0, abs(ideal)
    for _ in range(80):  # v (1 + 0.15 Re^0.687) = v_Stokes rises with v
        middle = 0.5 * (low + high)
        if middle * (1.0 + 0.15 * reynolds(middle, diameter, liquid, viscosity) ** 0.687) < abs(ideal):
            low = middle
        else:
            high = middle
    number = reynolds(high, diameter, liquid, viscosity)
    if number > DRAG_LIMIT:
        raise OutOfRange(f"Reynolds number {number:.3g}: above {DRAG_LIMIT:g} it falls at once; no speed is worked out")
    return Fall(high if ideal > 0 else -high, number, "Schiller-Naumann")


def relative_centrifugal_force(radius: float, frequency: float) -> float:
    """Force of a centrifuge in multiples of gravity: (2 pi f)^2 r / g, radius in m, frequency in 1/s (rpm / 60).

    The same as 1.118e-5 r(cm) rpm^2. OutOfRange for values below zero.
    """
    if radius < 0 or frequency < 0:
        raise OutOfRange("radius and speed are not below zero")
    return (2.0 * pi * frequency) ** 2 * radius / GRAVITY


def spin_time(
    inner: float, outer: float, frequency: float, diameter: float, particle: float, liquid: float, viscosity: float
) -> float:
    """Time (s) for a particle to move from radius `inner` to `outer` (m) at `frequency` (1/s), by Stokes' law.

    t = 18 eta ln(outer/inner) / ((2 pi f)^2 d^2 (rho_p - rho_l)). Raises OutOfRange unless 0 < inner < outer, the
    particle is denser than the liquid, and the Reynolds number at the outer radius stays below 0.25.
    """
    _check(diameter, viscosity, particle, liquid)
    if not 0 < inner < outer or frequency <= 0 or particle <= liquid:
        raise OutOfRange(
            "inner radius below the outer, speed above zero and a particle denser than the liquid are needed"
        )
    square = (2.0 * pi * frequency) ** 2
    number = reynolds(_stokes(diameter, particle, liquid, viscosity, square * outer), diameter, liquid, viscosity)
    if number > STOKES_LIMIT:
        raise OutOfRange(f"Reynolds number {number:.3g}: Stokes' law does not hold, it moves out within seconds")
    return 18.0 * viscosity * log(outer / inner) / (square * diameter * diameter * (particle - liquid))
