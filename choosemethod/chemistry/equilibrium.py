"""Vapour-liquid equilibrium of two liquids: bubble point, relative volatility, T-x-y, layers, azeotropes.

Modified Raoult's law, y_i P = x_i gamma_i p_i, with an ideal vapour: good to about 1 % up to 2 bar for substances that
do not associate in the vapour (carboxylic acids do).
Source: J. M. Smith, H. C. Van Ness, M. M. Abbott, Introduction to Chemical Engineering Thermodynamics, chapters on
vapour-liquid equilibrium; liquid layers by the lower convex hull of the energy of mixing and equal activities.
Mole fractions are of the first liquid throughout.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from math import cos, exp, log, pi
from typing import NamedTuple

from choosemethod.chemistry.activity import Model
from choosemethod.chemistry.vapour_pressure import Antoine, OutOfRange, antoine_boiling_point, antoine_pressure

__all__ = [
    "Azeotrope",
    "Boiling",
    "Curve",
    "Pair",
    "TwoLayers",
    "boiling_as_two_layers",
    "bubble_point",
    "constant_volatility",
    "curve_of",
    "find_azeotrope",
    "layers",
]

_LN10 = log(10.0)
# The energy of mixing is scanned at these mole fractions, close to both ends too (1e-6).
_SCAN = tuple(1.0 / (1.0 + exp(-step / 5.0)) for step in range(-70, 71))
_NODES = 40


class Pair:
    """Two liquids at a pressure (Pa): their vapour-pressure laws and their activity model.

    reach: how far (K) a law may be used outside its range; what is used is reported as `beyond`.
    one_layer: the liquids are known to be one layer when they boil, whatever the model makes of it.
    """

    __slots__ = ("first", "model", "one_layer", "pressure", "reach", "second")

    def __init__(
        self,
        first: Antoine,
        second: Antoine,
        model: Model,
        pressure: float,
        reach: float = 60.0,
        one_layer: bool = False,
    ) -> None:
        if pressure <= 0:
            raise OutOfRange("the pressure must be above zero")
        self.first = first
        self.second = second
        self.model = model
        self.pressure = pressure
        self.reach = reach
        self.one_layer = one_layer


class Boiling(NamedTuple):
    """A boiling liquid: its mole fraction x, the vapour's y, temperature and extrapolation (K), relative volatility."""

    x: float
    y: float
    temperature: float
    volatility: float
    beyond: float


class TwoLayers(NamedTuple):
    """Two layers boiling together: temperature (K), their mole fractions (low < high), and the vapour's y."""

    temperature: float
    low: float
    high: float
    y: float


class Azeotrope(NamedTuple):
    """kind: minimum, maximum or heterogeneous; x: mole fraction of the first in the vapour; temperature in K."""

    kind: str
    x: float
    temperature: float


def _logit(x: float) -> float:
    return log(x / (1.0 - x))


def layers(model: Model, temperature: float) -> tuple[float, float] | None:
    """Mole fractions of the two liquid layers the model predicts at `temperature` (K), lower first; None for one layer.

    Layers that differ by less than 0.02 are not told from one.
    """
    points: list[tuple[float, float]] = []
    for x in _SCAN:
        first, second = model.ln_gammas(x, temperature)
        points.append((x, x * (log(x) + first) + (1.0 - x) * (log(1.0 - x) + second)))
    hull: list[int] = []
    for index, (x, g) in enumerate(points):
        while len(hull) > 1:
            (x0, g0), (x1, g1) = points[hull[-2]], points[hull[-1]]
            if (g1 - g0) * (x - x0) >= (g - g0) * (x1 - x0) - 1e-15:
                hull.pop()
            else:
                break
        hull.append(index)
    gaps = [(points[b][0] - points[a][0], points[a][0], points[b][0]) for a, b in pairwise(hull) if b - a > 1]
    if not gaps:
        return None
    _, low, high = max(gaps)
    low, high = _equal_activities(model, temperature, low, high)
    return (low, high) if high - low > 0.02 else None


def _equal_activities(model: Model, temperature: float, low: float, high: float) -> tuple[float, float]:
    """Newton's method in ln(x/(1-x)) on the equality of both activities, from the ends found on the hull."""

    def unequal(u: float, v: float) -> tuple[float, float]:
        xa, xb = 1.0 / (1.0 + exp(-u)), 1.0 / (1.0 + exp(-v))
        (a1, a2), (b1, b2) = model.ln_gammas(xa, temperature), model.ln_gammas(xb, temperature)
        return log(xa) + a1 - log(xb) - b1, log(1.0 - xa) + a2 - log(1.0 - xb) - b2

    u, v, h = _logit(low), _logit(high), 1e-5
    for _ in range(12):
        f, g = unequal(u, v)
        if abs(f) + abs(g) < 1e-11:
            break
        fu, gu = unequal(u + h, v)
        fv, gv = unequal(u, v + h)
        j11, j12, j21, j22 = (fu - f) / h, (fv - f) / h, (gu - g) / h, (gv - g) / h
        determinant = j11 * j22 - j12 * j21
        if determinant == 0.0:
            break
        du, dv = (f * j22 - g * j12) / determinant, (g * j11 - f * j21) / determinant
        if abs(du) > 0.4 or abs(dv) > 0.4:  # more than two steps of the scan: it runs away, keep the hull
            return low, high
        u, v = u - du, v - dv
    return 1.0 / (1.0 + exp(-u)), 1.0 / (1.0 + exp(-v))


def boiling_as_two_layers(pair: Pair) -> TwoLayers | None:
    """Temperature and vapour of two layers boiling together, or None if there is only one layer at the boil.

    Raises OutOfRange if a vapour-pressure law would be used too far outside its range.
    """
    if pair.one_layer:
        return None
    a, b = pair.first, pair.second
    temperature = min(antoine_boiling_point(pair.pressure, law.a, law.b, law.c) for law in (a, b)) - 5.0
    found = layers(pair.model, temperature)
    for _ in range(30):
        if found is None:
            return None
        low = found[0]
        one, two = pair.model.ln_gammas(low, temperature)
        p1 = low * exp(one) * antoine_pressure(temperature, a.a, a.b, a.c)
        p2 = (1.0 - low) * exp(two) * antoine_pressure(temperature, b.a, b.b, b.c)
        slope = _LN10 * (p1 * a.b / (temperature + a.c) ** 2 + p2 * b.b / (temperature + b.c) ** 2) / (p1 + p2)
        change = log((p1 + p2) / pair.pressure) / slope
        if abs(change) < 1e-6:
            _beyond(pair, temperature)
            return TwoLayers(temperature, low, found[1], p1 / (p1 + p2))
        temperature -= max(-20.0, min(20.0, change))
        found = layers(pair.model, temperature)
    return None


def _beyond(pair: Pair, temperature: float) -> float:
    beyond = max(pair.first.beyond(temperature), pair.second.beyond(temperature))
    if beyond > pair.reach:
        law = max((pair.first, pair.second), key=lambda law: law.beyond(temperature))
        law.pressure(temperature, pair.reach)  # raises
    return beyond


def _one_layer(pair: Pair, x: float) -> Boiling:
    """The bubble point of one liquid layer."""
    a, b, model = pair.first, pair.second, pair.model
    t1, t2 = (antoine_boiling_point(pair.pressure, law.a, law.b, law.c) for law in (a, b))
    temperature = x * t1 + (1.0 - x) * t2
    for _ in range(60):
        one, two = model.ln_gammas(x, temperature)
        k1 = exp(one) * antoine_pressure(temperature, a.a, a.b, a.c)
        k2 = exp(two) * antoine_pressure(temperature, b.a, b.b, b.c)
        p1, p2 = x * k1, (1.0 - x) * k2
        slope = _LN10 * (p1 * a.b / (temperature + a.c) ** 2 + p2 * b.b / (temperature + b.c) ** 2) / (p1 + p2)
        change = log((p1 + p2) / pair.pressure) / slope
        if abs(change) < 1e-8:
            return Boiling(x, p1 / (p1 + p2), temperature, k1 / k2, _beyond(pair, temperature))
        temperature -= max(-30.0, min(30.0, change))
    raise OutOfRange(f"no bubble point was found at mole fraction {x:g}")


def bubble_point(pair: Pair, x: float) -> Boiling:
    """Boiling temperature and vapour of a liquid of mole fraction `x` (0 to 1); two layers are tested for.

    Raises OutOfRange for a mole fraction outside 0 to 1 or a temperature too far outside a vapour-pressure law.
    """
    found = _one_layer(pair, x)
    if 0.0 < x < 1.0 and not pair.one_layer and (gap := layers(pair.model, found.temperature)) and gap[0] < x < gap[1]:
        two = boiling_as_two_layers(pair)
        if two is not None and two.low < x < two.high:
            volatility = two.y / (1.0 - two.y) * (1.0 - x) / x
            return Boiling(x, two.y, two.temperature, volatility, _beyond(pair, two.temperature))
    return found


class Curve:
    """Equilibrium curve y(x): ln relative volatility, linear between nodes, on the part of 0 to 1 that is known.

    xs: rising mole fractions of the liquid; ln_volatilities: at them; temperatures: boiling points (K), if known.
    beyond: the largest extrapolation (K) of a vapour-pressure law in it.
    """

    __slots__ = ("beyond", "ln_volatilities", "temperatures", "xs")

    def __init__(
        self,
        xs: Sequence[float],
        ln_volatilities: Sequence[float],
        temperatures: Sequence[float] = (),
        beyond: float = 0.0,
    ) -> None:
        if len(xs) < 2 or len(xs) != len(ln_volatilities) or any(a >= b for a, b in pairwise(xs)):
            raise OutOfRange("an equilibrium curve needs at least two points in rising mole fraction")
        if xs[0] < 0.0 or xs[-1] > 1.0:
            raise OutOfRange("the mole fractions of an equilibrium curve lie between 0 and 1")
        self.xs = tuple(xs)
        self.ln_volatilities = tuple(ln_volatilities)
        self.temperatures = tuple(temperatures)
        self.beyond = beyond

    def _between(self, x: float, values: Sequence[float]) -> float:
        xs = self.xs
        if not xs[0] - 1e-12 <= x <= xs[-1] + 1e-12:
            raise OutOfRange(
                f"mole fraction {x:.3g}: the equilibrium is known only from {xs[0]:.3g} to {xs[-1]:.3g}"
                if 0.0 <= x <= 1.0
                else f"mole fraction {x:g}: it lies between 0 and 1"
            )
        index = min(max(bisect_right(xs, x), 1), len(xs) - 1)
        low, high = xs[index - 1], xs[index]
        return values[index - 1] + (values[index] - values[index - 1]) * (x - low) / (high - low)

    def volatility(self, x: float) -> float:
        """Relative volatility of the first over the second at liquid mole fraction `x`; OutOfRange off the curve."""
        return exp(self._between(x, self.ln_volatilities))

    def vapour(self, x: float) -> float:
        """Mole fraction of the vapour over a liquid of mole fraction `x`; OutOfRange off the curve."""
        alpha = exp(self._between(x, self.ln_volatilities))
        return min(alpha * x / (1.0 + (alpha - 1.0) * x), 1.0)

    def temperature(self, x: float) -> float:
        """Boiling temperature (K) at liquid mole fraction `x`; OutOfRange if the curve has none."""
        if not self.temperatures:
            raise OutOfRange("this equilibrium curve holds no temperatures")
        return self._between(x, self.temperatures)

    def liquid(self, y: float) -> float:
        """Mole fraction of the liquid in equilibrium with a vapour `y` (bisection); OutOfRange off the curve."""
        low, high = self.xs[0], self.xs[-1]
        if not self.vapour(low) - 1e-12 <= y <= self.vapour(high) + 1e-12:
            raise OutOfRange(f"no liquid of the known part of the curve has a vapour of mole fraction {y:.3g}")
        for _ in range(60):
            middle = 0.5 * (low + high)
            if self.vapour(middle) < y:
                low = middle
            else:
                high = middle
        return 0.5 * (low + high)

    def swapped(self) -> Curve:
        """The same equilibrium in mole fractions of the second liquid."""
        return Curve(
            [1.0 - x for x in reversed(self.xs)],
            [-value for value in reversed(self.ln_volatilities)],
            self.temperatures[::-1],
            self.beyond,
        )

    def pinches(self) -> tuple[float, ...]:
        """Mole fractions inside the curve at which vapour and liquid are alike (azeotropes), rising."""
        found = []
        for index in range(len(self.xs) - 1):
            a, b = self.ln_volatilities[index : index + 2]
            if a * b < 0 or (a == 0.0 and index > 0):
                found.append(self.xs[index] + (self.xs[index + 1] - self.xs[index]) * (a / (a - b) if a != b else 0.0))
        return tuple(found)


def constant_volatility(alpha: float) -> Curve:
    """The curve of a constant relative volatility `alpha` (above 0) of the first over the second."""
    if alpha <= 0:
        raise OutOfRange("a relative volatility is above zero")
    return Curve((0.0, 1.0), (log(alpha), log(alpha)))


def curve_of(pair: Pair) -> Curve:
    """The equilibrium curve of a pair, two liquid layers included.

    A part where a vapour-pressure law would reach too far outside its range is left out. OutOfRange if none is left.
    """
    two = boiling_as_two_layers(pair)
    wanted = {0.5 * (1.0 - cos(pi * step / _NODES)) for step in range(_NODES + 1)}
    if two is not None:
        wanted |= {two.low, two.high}
    runs: list[list[Boiling]] = [[]]
    for x in sorted(wanted):
        try:
            if two is not None and two.low <= x <= two.high:
                volatility = two.y / (1.0 - two.y) * (1.0 - x) / x
                runs[-1].append(Boiling(x, two.y, two.temperature, volatility, _beyond(pair, two.temperature)))
            else:
                runs[-1].append(_one_layer(pair, x))
        except OutOfRange:
            runs.append([])
    best = max(runs, key=len)
    if len(best) < 2:
        raise OutOfRange("the vapour-pressure laws do not reach the boiling points of these mixtures")
    return Curve(
        [point.x for point in best],
        [log(point.volatility) for point in best],
        [point.temperature for point in best],
        max(point.beyond for point in best),
    )


def find_azeotrope(pair: Pair, curve: Curve | None = None) -> Azeotrope | None:
    """The azeotrope of a pair at its pressure, or None; two liquid layers are tested for first.

    curve: that of the same pair if it is at hand. Of several azeotropes the one of lowest mole fraction is given.
    Raises OutOfRange as curve_of.
    """
    two = boiling_as_two_layers(pair)
    if two is not None and two.low < two.y < two.high:
        return Azeotrope("heterogeneous", two.y, two.temperature)
    known = curve or curve_of(pair)
    values = known.ln_volatilities
    for index in range(len(values) - 1):
        if values[index] * values[index + 1] >= 0:
            continue
        low, high, rising = known.xs[index], known.xs[index + 1], values[index] < 0
        for _ in range(50):
            x = 0.5 * (low + high)
            if (_one_layer(pair, x).volatility > 1.0) == rising:
                high = x
            else:
                low = x
            if high - low < 1e-9:
                break
        found = _one_layer(pair, 0.5 * (low + high))
        return Azeotrope("maximum" if rising else "minimum", found.x, found.temperature)
    return None
