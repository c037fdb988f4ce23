"""Dissolving and crystallising: solubility between the points of a measured curve, and the balances it gives.

Solubility curves are points (K, kg of anhydrous solute per kg of solvent) in rising temperature, measured; nothing is
extrapolated. The balances are those of any general chemistry text: what a saturated solution cannot hold comes out.
Two solutes are taken not to influence each other's solubility (no common ion, no double salt): an estimate.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from choosemethod.chemistry.vapour_pressure import OutOfRange

__all__ = [
    "Crystals",
    "FirstCrystals",
    "Points",
    "at_temperature",
    "crystallise_on_cooling",
    "crystallise_two_by_cooling",
    "hydrate_from_anhydrous",
    "hydrate_on_cooling",
    "saturation_temperature",
    "solvent_needed",
    "trend",
]

Points = Sequence[tuple[float, float]]


def at_temperature(points: Points, temperature: float) -> float | None:
    """Solubility (kg solute per kg solvent) at `temperature` (K) from points (K, kg/kg) in rising temperature.

    Linear between points; None outside the measured range (nothing is extrapolated). A single point answers only
    within 7 K of its temperature.
    """
    if not points:
        return None
    if len(points) == 1:
        return points[0][1] if abs(points[0][0] - temperature) <= 7.0 else None
    if not points[0][0] - 1e-9 <= temperature <= points[-1][0] + 1e-9:
        return None
    for (low, at_low), (high, at_high) in pairwise(points):
        if temperature <= high + 1e-9:
            return at_low if high == low else at_low + (at_high - at_low) * (temperature - low) / (high - low)
    return points[-1][1]


class Crystals(NamedTuple):
    """What cooling gives (kg): crystals; dissolved: solute left in solution; undissolved: solute that had not dissolved
    hot; recovery: crystals over the solute that had dissolved (0 to 1)."""

    crystals: float
    dissolved: float
    undissolved: float
    recovery: float


class FirstCrystals(NamedTuple):
    """Which of two solutes crystallises first (0 or 1), and how far it does so alone.

    begins, ends: where the first and the second become saturated (kg of solvent left on evaporation, or K on cooling;
    ends is None when the second does not become saturated); pure: kg of the first that has come out alone by then
    (or by the end); recovery: share of it.
    """

    first: int
    begins: float
    ends: float | None
    pure: float
    recovery: float


def _celsius(temperature: float) -> str:
    return f"{temperature - 273.15:.1f} °C"


def _solubility(points: Points, temperature: float) -> float:
    found = at_temperature(points, temperature)
    if found is None:
        span = f"{_celsius(points[0][0])} to {_celsius(points[-1][0])}" if points else "nowhere"
        raise OutOfRange(f"the solubility at {_celsius(temperature)} is not known (measured: {span})")
    return found


def _masses(*masses: float) -> None:
    if any(mass < 0 for mass in masses):
        raise OutOfRange("masses are not below zero")


def trend(points: Points) -> str:
    """How solubility goes with temperature: rising, falling (retrograde), maximum (rises, then falls), flat, unknown.

    flat: it changes by less than a fifth over the measured range and by less than 5 % against its course.
    """
    if len(points) < 2:
        return "unknown"
    values = [value for _, value in points]
    top = max(values)
    if top <= 0:
        return "unknown"
    if max(values) - min(values) < 0.2 * top and values[-1] >= 0.95 * top:
        return "flat"
    if values[-1] >= 0.95 * top:
        return "rising"
    return "falling" if values[0] >= 0.95 * top else "maximum"


def solvent_needed(points: Points, mass: float, temperature: float) -> float:
    """Least mass (kg) of solvent that dissolves `mass` (kg) of solute at `temperature` (K); OutOfRange if not known."""
    _masses(mass)
    solubility = _solubility(points, temperature)
    if solubility <= 0:
        raise OutOfRange("it does not dissolve at this temperature")
    return mass / solubility


def crystallise_on_cooling(points: Points, solute: float, solvent: float, hot: float, cold: float) -> Crystals:
    """What `solute` in `solvent` (kg), dissolved at `hot` (K) as far as it dissolves, gives on cooling to `cold` (K).

    For a solute that crystallises without water (see hydrate_on_cooling). What does not dissolve hot is filtered off.
    Where solubility falls on warming, cooling gives nothing. OutOfRange if a solubility is not known, or cold > hot.
    """
    _masses(solute, solvent)
    if cold > hot:
        raise OutOfRange("the cold temperature lies above the hot one")
    taken = min(solute, _solubility(points, hot) * solvent)
    crystals = max(taken - _solubility(points, cold) * solvent, 0.0)
    return Crystals(crystals, taken - crystals, solute - taken, crystals / taken if taken > 0 else 0.0)


def hydrate_on_cooling(
    points: Points, anhydrous: float, water: float, cold: float, molar_mass: float, hydrate_molar_mass: float
) -> Crystals:
    """Mass (kg) of hydrate from `anhydrous` solute in `water` (kg, all dissolved) on cooling to `cold` (K).

    The crystals take water with them: h w = anhydrous in them with w = M/M(hydrate), and what stays is saturated,
    anhydrous - h w = s (water - h (1 - w)). Molar masses in kg/mol (per mole of anhydrous solute in the hydrate).
    crystals: of the hydrate; dissolved: anhydrous left in solution; recovery: of the anhydrous solute.
    Raises OutOfRange if the solubility is not known, the molar masses are wrong, or all the water would be taken up.
    """
    _masses(anhydrous, water)
    if not 0 < molar_mass < hydrate_molar_mass:
        raise OutOfRange("the hydrate has the larger molar mass")
    share = molar_mass / hydrate_molar_mass
    solubility = _solubility(points, cold)
    surplus = anhydrous - solubility * water
    if surplus <= 0:
        return Crystals(0.0, anhydrous, 0.0, 0.0)
    ratio = share - solubility * (1.0 - share)
    hydrate = surplus / ratio if ratio > 0 else float("inf")
    if hydrate * share > anhydrous + 1e-12 or hydrate * (1.0 - share) > water + 1e-12:
        raise OutOfRange("the hydrate would take up all the water: there is too little for a solution to be left")
    return Crystals(hydrate, anhydrous - hydrate * share, 0.0, hydrate * share / anhydrous)


def hydrate_from_anhydrous(mass: float, molar_mass: float, hydrate_molar_mass: float) -> float:
    """Mass (kg) of hydrate that holds `mass` (kg) of the anhydrous substance; molar masses in kg/mol."""
    _masses(mass)
    if not 0 < molar_mass < hydrate_molar_mass:
        raise OutOfRange("the hydrate has the larger molar mass")
    return mass * hydrate_molar_mass / molar_mass


def saturation_temperature(points: Points, ratio: float) -> float | None:
    """Temperature (K) at which a solution of `ratio` (kg/kg) becomes saturated on cooling, on the measured curve.

    None if it is not saturated at the coldest point; OutOfRange if it is above the whole curve, so never dissolves.
    The hottest crossing counts, so a curve with a maximum is read on its rising side from the top down.
    """
    if ratio < 0 or not points:
        raise OutOfRange("a ratio not below zero and a measured curve are needed")
    top = max(range(len(points)), key=lambda index: points[index][1])
    if ratio > points[top][1] + 1e-12:
        raise OutOfRange("so much does not dissolve at any measured temperature")
    for index in range(top, 0, -1):
        (low, at_low), (high, at_high) = points[index - 1], points[index]
        if at_low <= ratio <= at_high + 1e-12:
            return high if at_high == at_low else low + (high - low) * (ratio - at_low) / (at_high - at_low)
    return None


def crystallise_two_by_cooling(
    first: Points, first_mass: float, second: Points, second_mass: float, solvent: float, cold: float
) -> FirstCrystals | None:
    """Which of two solutes (kg) crystallises first when their hot solution in `solvent` (kg) is cooled to `cold` (K).

    begins, ends: K at which the first and the second become saturated (ends None: the second stays dissolved down to
    cold). None if neither comes out. Raises OutOfRange if a solubility is not known or so much never dissolves.
    """
    if min(first_mass, second_mass, solvent) <= 0:
        raise OutOfRange("masses must be above zero")
    curves, masses = (first, second), (first_mass, second_mass)
    for points in curves:
        _solubility(points, cold)
    marks = [saturation_temperature(points, mass / solvent) for points, mass in zip(curves, masses, strict=True)]
    reached = [mark if mark is not None and mark > cold else None for mark in marks]
    if reached[0] is None and reached[1] is None:
        return None
    leader = 0 if reached[1] is None or (reached[0] is not None and reached[0] >= reached[1]) else 1
    begins, ends = reached[leader], reached[1 - leader]
    assert begins is not None
    stop = cold if ends is None else ends
    pure = max(masses[leader] - _solubility(curves[leader], stop) * solvent, 0.0)
    return FirstCrystals(leader, begins, ends, pure, pure / masses[leader])
