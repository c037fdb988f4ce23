"""Physical quantities: a number in SI units with the unit it is shown in, how it was obtained, and its source."""

from __future__ import annotations

import re
from dataclasses import dataclass

__all__ = [
    "DIMENSIONS",
    "ROOM_TEMPERATURE",
    "STANDARD_PRESSURE",
    "Quantity",
    "QuantityError",
    "number_in",
    "parse_number",
    "parse_range",
    "show",
    "temperature_or_none",
]

ROOM_TEMPERATURE = 293.15  # K, the 20 °C that solubilities and densities are given for
STANDARD_PRESSURE = 101_325.0  # Pa, the standard atmosphere

# Unit word -> (dimension, factor, offset): SI value = number * factor + offset.
UNITS: dict[str, tuple[str, float, float]] = {
    "°C": ("temperature", 1.0, 273.15),
    "K": ("temperature", 1.0, 0.0),
    "°F": ("temperature", 5 / 9, 255.3722222222222),
    "g/cm3": ("density", 1000.0, 0.0),
    "g/mL": ("density", 1000.0, 0.0),
    "kg/m3": ("density", 1.0, 0.0),
    "g/L": ("density", 1.0, 0.0),
    "g/mol": ("molar mass", 1e-3, 0.0),
    "kg/mol": ("molar mass", 1.0, 0.0),
    "Pa": ("pressure", 1.0, 0.0),
    "hPa": ("pressure", 100.0, 0.0),
    "mbar": ("pressure", 100.0, 0.0),
    "kPa": ("pressure", 1000.0, 0.0),
    "MPa": ("pressure", 1e6, 0.0),
    "bar": ("pressure", 1e5, 0.0),
    "atm": ("pressure", 101325.0, 0.0),
    "mmHg": ("pressure", 133.322387415, 0.0),
    "Torr": ("pressure", 101325.0 / 760.0, 0.0),
    "nm": ("length", 1e-9, 0.0),
    "µm": ("length", 1e-6, 0.0),
    "mm": ("length", 1e-3, 0.0),
    "cm": ("length", 1e-2, 0.0),
    "m": ("length", 1.0, 0.0),
    "km": ("length", 1000.0, 0.0),
    "ft": ("length", 0.3048, 0.0),
    "mg": ("mass", 1e-6, 0.0),
    "g": ("mass", 1e-3, 0.0),
    "kg": ("mass", 1.0, 0.0),
    "t": ("mass", 1000.0, 0.0),
    "µL": ("volume", 1e-9, 0.0),
    "mL": ("volume", 1e-6, 0.0),
    "cm3": ("volume", 1e-6, 0.0),
    "dm3": ("volume", 1e-3, 0.0),
    "L": ("volume", 1e-3, 0.0),
    "m3": ("volume", 1.0, 0.0),
    "g/100 g": ("solubility", 0.01, 0.0),
    "mass %": ("fraction", 0.01, 0.0),
    "%": ("fraction", 0.01, 0.0),
    "s": ("time", 1.0, 0.0),
    "min": ("time", 60.0, 0.0),
    "h": ("time", 3600.0, 0.0),
    "rpm": ("frequency", 1 / 60.0, 0.0),
    "mPa s": ("viscosity", 1e-3, 0.0),
    "kJ/mol": ("molar energy", 1000.0, 0.0),
    "mol": ("amount", 1.0, 0.0),
    "mol/L": ("concentration", 1000.0, 0.0),
}
# The unit in which a dimension is shown (design vocabulary) and its number of digits after the point.
SHOWN: dict[str, str] = {
    "temperature": "°C",
    "temperature difference": "K",
    "density": "g/cm3",
    "molar mass": "g/mol",
    "pressure": "kPa",
    "length": "mm",
    "mass": "g",
    "volume": "mL",
    "solubility": "g/100 g",
    "fraction": "%",
    "time": "min",
    "frequency": "rpm",
    "viscosity": "mPa s",
}
DIMENSIONS = frozenset(dimension for dimension, _, _ in UNITS.values()) | {"pure number", "temperature difference"}
SPELLINGS = {
    "C": "°C",
    "ºC": "°C",
    "deg C": "°C",
    "um": "µm",
    "μm": "µm",
    "ml": "mL",
    "l": "L",
    "cm³": "cm3",
    "g/cm³": "g/cm3",
    "kg/m³": "kg/m3",
    "g/ml": "g/mL",
    "torr": "Torr",
    "dm³": "dm3",
}
NUMBER = r"[-+−]?\d+(?:[.]\d+)?"
# Compiled when first used (re keeps them): an ordinary question reads no quantity.
_ONE = rf"\s*({NUMBER}(?:e[-−]?\d+)?)\s*(.*?)\s*\Z"
_TWO = rf"\s*({NUMBER})\s*([^\d\s]*)\s*(?:to|–|—)\s*({NUMBER})\s*(.*?)\s*\Z"


class QuantityError(ValueError):
    """A quantity that cannot be read; the message says what to write instead."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its dimension, how it was obtained and its source.

    value: in SI units (K, kg/m3, Pa, m, kg, m3, kg/mol; solubility as kg per kg of solvent; fractions 0 to 1).
    how: a word of facts.HOW.
    """

    value: float
    dimension: str
    how: str = "measured"
    source: str = ""
    note: str = ""

    def __str__(self) -> str:
        return show(self.value, self.dimension)


def _convert(number: str, unit: str, dimension: str) -> float:
    amount = float(number.replace("−", "-"))
    if dimension == "pure number":
        if unit:
            raise QuantityError(f"{number} {unit}: a plain number is wanted here, without a unit")
        return amount
    known = SPELLINGS.get(unit, unit)
    if dimension == "temperature difference":
        if known not in ("K", "°C"):
            raise QuantityError(f"{number} {unit}: a temperature difference is written in K, for example 25 K")
        return amount
    found = UNITS.get(known)
    usual = SHOWN.get(dimension, "its unit")
    if found is None:
        raise QuantityError(f"{number} {unit}".rstrip() + f": a {dimension} needs a unit, for example {number} {usual}")
    if found[0] != dimension:
        raise QuantityError(f"{number} {unit}: that is a {found[0]}; a {dimension} is wanted, for example in {usual}")
    return amount * found[1] + found[2]


def parse_number(text: str, dimension: str) -> float:
    """Read one number with its unit ("56.1 °C") as an SI value of the dimension; QuantityError says what is wrong."""
    match = re.match(_ONE, text)
    if match is None:
        raise QuantityError(f"{text!r} is no number with a unit, such as 12.5 {SHOWN.get(dimension, '')}".rstrip())
    return _convert(match[1], match[2], dimension)


def temperature_or_none(text: str) -> float | None:
    """Read a temperature with its unit as K; None for text that is none."""
    try:
        return parse_number(text, "temperature")
    except QuantityError:
        return None


def number_in(text: str) -> float | None:
    """The number a text begins with, whatever its unit; None for text that begins with none."""
    try:
        return float(text.split()[0]) if text else None
    except ValueError:
        return None


def parse_range(text: str, dimension: str) -> tuple[float, float]:
    """Read "LOW to HIGH UNIT" (or one number) as two SI values, low first; QuantityError says what is wrong."""
    match = re.match(_TWO, text)
    if match is None:
        single = parse_number(text, dimension)
        return single, single
    unit = match[4] or match[2]
    low, high = _convert(match[1], match[2] or unit, dimension), _convert(match[3], unit, dimension)
    if low > high:
        raise QuantityError(f"{text!r}: the lower end comes first")
    return low, high


def show(value: float, dimension: str) -> str:
    """Write an SI value in the unit this project shows for its dimension, for example 329.23 K as "56.1 °C"."""
    if dimension == "pure number":
        return f"{value:.4g}"
    if dimension == "temperature difference":
        return f"{value:.0f} K" if value >= 1 or value <= -1 else f"{value:.1f} K"
    if dimension == "length":
        for unit, scale in (("µm", 1e-6), ("mm", 1e-3), ("cm", 1e-2), ("m", 1.0)):
            if abs(value) < 1000 * scale or unit == "m":
                return f"{value / scale:.3g} {unit}"
    unit = SHOWN.get(dimension, "")
    _, factor, offset = UNITS[unit]
    amount = float(
        f"{(value - offset) / factor:.12g}"
    )  # 78.15 °C is not to become 78.1 for a crumb lost on the way from K
    if dimension == "temperature":
        return f"{amount:.0f} {unit}" if abs(amount) >= 300 else f"{amount:.1f} {unit}".replace(".0 ", " ")
    if dimension == "density":
        return f"{amount:.2f} {unit}" if amount >= 0.01 else f"{amount:.3g} {unit}"
    return f"{amount:.3g} {unit}" if abs(amount) < 1000 else f"{amount:.0f} {unit}"
