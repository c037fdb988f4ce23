"""Activity coefficients of two liquids, and constants fitted to one measured azeotrope.

Sources: H. Renon, J. M. Prausnitz, AIChE J. 14 (1968) 135 (NRTL); G. M. Wilson, J. Am. Chem. Soc. 86 (1964) 127;
J. J. van Laar, Z. phys. Chem. 72 (1910) 723; M. Margules, Sitzungsber. Akad. Wiss. Wien 104 (1895) 1243;
B. E. Poling, J. M. Prausnitz, J. P. O'Connell, The Properties of Gases and Liquids, 5th ed., chapter 8 (all forms).

Mole fractions are of the first liquid, temperatures in K. A model says nothing about its own range: the caller states
where its constants were determined.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import exp, log
from typing import NamedTuple, Protocol

from choosemethod.chemistry.vapour_pressure import OutOfRange

__all__ = [
    "NRTL",
    "Ideal",
    "Margules",
    "Model",
    "VanLaar",
    "Wilson",
    "fit_margules",
    "fit_to_azeotrope",
    "fit_van_laar",
    "from_parameters",
]


class Model(Protocol):
    """Anything that gives activity coefficients of two liquids."""

    def ln_gammas(self, x: float, temperature: float) -> tuple[float, float]:
        """Natural logarithms of both activity coefficients at mole fraction `x` (0 to 1) of the first, at K."""
        ...  # pragma: no cover


def _check(x: float, temperature: float) -> None:
    if not 0.0 <= x <= 1.0:
        raise OutOfRange(f"mole fraction {x:g}: it lies between 0 and 1")
    if temperature <= 0:
        raise OutOfRange(f"temperature {temperature:g} K: it must be above zero")


class Ideal:
    """Raoult's law: both activity coefficients are 1."""

    __slots__ = ()

    def ln_gammas(self, x: float, temperature: float) -> tuple[float, float]:
        _check(x, temperature)
        return 0.0, 0.0


class NRTL(NamedTuple):
    """NRTL: tau12 = a12/T, tau21 = a21/T (a in K), G = exp(-alpha tau)."""

    a12: float
    a21: float
    alpha: float

    def ln_gammas(self, x: float, temperature: float) -> tuple[float, float]:
        _check(x, temperature)
        t12, t21 = self.a12 / temperature, self.a21 / temperature
        g12, g21 = exp(-self.alpha * t12), exp(-self.alpha * t21)
        z = 1.0 - x
        d1, d2 = x + z * g21, z + x * g12
        first = z * z * (t21 * (g21 / d1) ** 2 + t12 * g12 / (d2 * d2))
        second = x * x * (t12 * (g12 / d2) ** 2 + t21 * g21 / (d1 * d1))
        return first, second


class Wilson(NamedTuple):
    """Wilson: ln L12 = c12 + a12/T, ln L21 = c21 + a21/T (a in K). It cannot describe two liquid layers."""

    c12: float
    a12: float
    c21: float
    a21: float

    def ln_gammas(self, x: float, temperature: float) -> tuple[float, float]:
        _check(x, temperature)
        l12, l21 = exp(self.c12 + self.a12 / temperature), exp(self.c21 + self.a21 / temperature)
        z = 1.0 - x
        d1, d2 = x + l12 * z, z + l21 * x
        shared = l12 / d1 - l21 / d2
        return -log(d1) + z * shared, -log(d2) - x * shared


class VanLaar:
    """Van Laar: ln gamma1 = a / (1 + a x1 / (b x2))^2, ln gamma2 = b / (1 + b x2 / (a x1))^2; a and b of one sign."""

    __slots__ = ("a", "b")

    def __init__(self, a: float, b: float) -> None:
        if a * b <= 0:
            raise OutOfRange("both van Laar constants must have the same sign and differ from zero")
        self.a = a
        self.b = b

    def ln_gammas(self, x: float, temperature: float) -> tuple[float, float]:
        _check(x, temperature)
        z = 1.0 - x
        whole = self.a * x + self.b * z
        return self.a * (self.b * z / whole) ** 2, self.b * (self.a * x / whole) ** 2


class Margules(NamedTuple):
    """Two-constant Margules: ln gamma1 = x2^2 (a + 2 (b - a) x1), ln gamma2 = x1^2 (b + 2 (a - b) x2)."""

    a: float
    b: float

    def ln_gammas(self, x: float, temperature: float) -> tuple[float, float]:
        _check(x, temperature)
        z = 1.0 - x
        return z * z * (self.a + 2.0 * (self.b - self.a) * x), x * x * (self.b + 2.0 * (self.a - self.b) * z)


def _inside(x: float) -> None:
    if not 0.0 < x < 1.0:
        raise OutOfRange(
            f"mole fraction {x:g}: constants are fitted at a mole fraction between 0 and 1, not at its ends"
        )


def fit_van_laar(x: float, ln_gamma1: float, ln_gamma2: float) -> VanLaar:
    """Van Laar constants that give these ln activity coefficients at mole fraction `x`; OutOfRange if none do."""
    _inside(x)
    if ln_gamma1 * ln_gamma2 <= 0:
        raise OutOfRange("van Laar's equation needs both activity coefficients above 1, or both below")
    z = 1.0 - x
    a = ln_gamma1 * (1.0 + z * ln_gamma2 / (x * ln_gamma1)) ** 2
    b = ln_gamma2 * (1.0 + x * ln_gamma1 / (z * ln_gamma2)) ** 2
    return VanLaar(a, b)


def fit_margules(x: float, ln_gamma1: float, ln_gamma2: float) -> Margules:
    """Margules constants that give these ln activity coefficients at mole fraction `x` (between 0 and 1)."""
    _inside(x)
    z = 1.0 - x
    a = ln_gamma1 * (z - x) / (z * z) + 2.0 * ln_gamma2 / x
    b = ln_gamma2 * (x - z) / (x * x) + 2.0 * ln_gamma1 / z
    return Margules(a, b)


def fit_to_azeotrope(x: float, pressure: float, pure1: float, pure2: float) -> VanLaar | Margules:
    """A model that puts a homogeneous azeotrope at mole fraction `x` of the first, at `pressure` (Pa).

    pure1, pure2: vapour pressures (Pa) of the pure liquids at the temperature of the azeotrope. At an azeotrope x = y,
    so each activity coefficient is pressure over vapour pressure. Van Laar where it can, Margules otherwise.
    One point fixes both constants, so an error of the point goes undiluted into the rest of the curve: an estimate away
    from the azeotrope. OutOfRange if |ln gamma| at infinite dilution would exceed 7, which no such mixture has.
    """
    if min(pressure, pure1, pure2) <= 0:
        raise OutOfRange("pressures must be above zero")
    first, second = log(pressure / pure1), log(pressure / pure2)
    model: VanLaar | Margules
    model = fit_van_laar(x, first, second) if first * second > 0 else fit_margules(x, first, second)
    if max(abs(model.a), abs(model.b)) > 7.0:
        raise OutOfRange("the azeotrope lies too near a pure liquid to fit an activity model to it")
    return model


def from_parameters(model: str, parameters: Mapping[str, float]) -> Model:
    """A model from its name (ideal, nrtl, wilson, van-laar, margules) and its constants by name (a12 ... in K).

    Raises OutOfRange for an unknown model or a missing constant.
    """
    names: Mapping[str, tuple[str, ...]] = {
        "ideal": (),
        "nrtl": ("a12", "a21", "alpha"),
        "wilson": ("c12", "a12", "c21", "a21"),
        "van-laar": ("a", "b"),
        "margules": ("a", "b"),
    }
    if model not in names:
        raise OutOfRange(f"{model!r} is no activity model; there are: {', '.join(names)}")
    missing = [name for name in names[model] if name not in parameters]
    if missing:
        raise OutOfRange(f"the model {model} needs {' and '.join(missing)}")
    constants = [parameters[name] for name in names[model]]
    kinds: Mapping[str, type[Ideal | NRTL | Wilson | VanLaar | Margules]] = {
        "ideal": Ideal, "nrtl": NRTL, "wilson": Wilson, "van-laar": VanLaar, "margules": Margules,
    }  # fmt: skip
    return kinds[model](*constants)
