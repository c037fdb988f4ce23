"""What a still gives: simple (Rayleigh), with a column, and how many plates a purity needs.

Sources: Lord Rayleigh, Phil. Mag. 4 (1902) 521; M. R. Fenske, Ind. Eng. Chem. 24 (1932) 482; W. L. McCabe,
E. W. Thiele, Ind. Eng. Chem. 17 (1925) 605. All mole fractions are of the first liquid of the curve; "plates" are
theoretical plates of the column, "stages" count the boiling flask too.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, exp, log
from typing import NamedTuple

from choosemethod.chemistry.equilibrium import Curve
from choosemethod.chemistry.vapour_pressure import OutOfRange

__all__ = [
    "Cut",
    "Fraction",
    "columns_that_suffice",
    "fenske",
    "first_drop",
    "first_fraction",
    "gap_conventions",
    "order_of_fractions",
    "plates_for",
    "rayleigh",
    "rayleigh_to",
    "stages_at_total_reflux",
]

MOST_DISTILLED = 0.95  # a still is never boiled dry
_STEPS = 60
_MOST_STAGES = 200


class Fraction(NamedTuple):
    """What a still gives after distilling part of its charge, per mole charged.

    distilled: moles; distillate, residue: mole fractions of the first; recovery: share of the first that came over.
    """

    distilled: float
    distillate: float
    residue: float
    recovery: float


class Cut(NamedTuple):
    """One cut of a distillation: index of the liquid that comes before and after it, and the gap (K) between them."""

    before: int
    after: int
    gap: float


def _fraction(x: float, what: str) -> None:
    if not 0.0 < x < 1.0:
        raise OutOfRange(f"{what} {x:g}: a mole fraction between 0 and 1 is wanted, the ends left out")


def _rise(curve: Curve, x: float, plates: int) -> float:
    """Vapour that leaves a column of `plates` plates at total reflux over a liquid of mole fraction `x`."""
    y = curve.vapour(x)
    for _ in range(plates):
        y = curve.vapour(y)
    return y


def _plates(plates: int) -> None:
    if plates < 0 or plates > _MOST_STAGES:
        raise OutOfRange(f"{plates} plates: give a number from 0 to {_MOST_STAGES}")


def first_drop(curve: Curve, charge: float, plates: int = 0) -> float:
    """Mole fraction of the first drop over a charge `charge`, through `plates` plates at total reflux."""
    _fraction(charge, "charge")
    _plates(plates)
    return _rise(curve, charge, plates)


def rayleigh(curve: Curve, charge: float, distilled: float, plates: int = 0) -> Fraction:
    """Composition of distillate and residue when the share `distilled` (0 to 0.95, by moles) has come over.

    dx/d ln W = y - x, integrated by the fourth-order Runge-Kutta method; the distillate is the difference, so both
    components balance exactly. With plates: a column of that many plates at total reflux, holding back nothing.
    Raises OutOfRange above 0.95: a still is never boiled dry.
    """
    _fraction(charge, "charge")
    _plates(plates)
    if not 0.0 <= distilled <= MOST_DISTILLED:
        raise OutOfRange(
            f"{100 * distilled:g} % distilled: from 0 to {100 * MOST_DISTILLED:g} %, since a still is never boiled dry"
        )
    if distilled == 0.0:
        return Fraction(0.0, _rise(curve, charge, plates), charge, 0.0)
    h = log(1.0 - distilled) / _STEPS
    x = charge
    low, high = curve.xs[0], curve.xs[-1]

    def slope(at: float) -> float:
        inside = min(max(at, low), high)
        if abs(inside - at) > 1e-6 and 0.0 <= at <= 1.0:
            curve.vapour(at)  # off the known part: raises
        return _rise(curve, inside, plates) - inside

    for _ in range(_STEPS):
        k1 = slope(x)
        k2 = slope(x + 0.5 * h * k1)
        k3 = slope(x + 0.5 * h * k2)
        k4 = slope(x + h * k3)
        x = min(max(x + h * (k1 + 2.0 * k2 + 2.0 * k3 + k4) / 6.0, 0.0), 1.0)
    distillate = (charge - (1.0 - distilled) * x) / distilled
    # Rounding and the step may leave a hair outside 0 to 1; take it from the residue, so that the balance holds.
    distillate = min(max(distillate, 0.0), 1.0)
    residue = min(max((charge - distilled * distillate) / (1.0 - distilled), 0.0), 1.0)
    return Fraction(distilled, distillate, residue, min(distilled * distillate / charge, 1.0))


def first_fraction(curve: Curve, charge: float, distilled: float = 0.1, plates: int = 0) -> Fraction:
    """The first fraction, by default the first tenth; as `rayleigh`."""
    return rayleigh(curve, charge, distilled, plates)


def rayleigh_to(curve: Curve, charge: float, residue: float) -> Fraction:
    """How much has come over when the residue has reached mole fraction `residue`: ln(F/W) = integral of dx/(y - x).

    Simpson's rule with 400 intervals. Raises OutOfRange if that residue is not reached: it lies past an azeotrope, or
    on the side of the charge to which the residue does not move, or more than 95 % would have to come over.
    """
    _fraction(charge, "charge")
    _fraction(residue, "residue")
    if residue == charge:
        return Fraction(0.0, curve.vapour(charge), charge, 0.0)
    n = 400
    total, sign = 0.0, 0.0
    for step in range(n + 1):
        x = residue + (charge - residue) * step / n
        difference = curve.vapour(x) - x
        if abs(difference) < 1e-9 or sign * difference < 0:
            raise OutOfRange(f"an azeotrope lies between the charge ({charge:g}) and the residue ({residue:g})")
        sign = difference
        total += (1.0 if step in (0, n) else 4.0 if step % 2 else 2.0) / difference
    logarithm = total * (charge - residue) / n / 3.0
    if logarithm < 0:
        raise OutOfRange(f"the residue of a charge of {charge:g} moves away from {residue:g}, not towards it")
    left = exp(-logarithm)
    if 1.0 - left > MOST_DISTILLED:
        raise OutOfRange("more than 95 % would have to be distilled, and a still is never boiled dry")
    distillate = min(max((charge - left * residue) / (1.0 - left), 0.0), 1.0)
    return Fraction(1.0 - left, distillate, residue, min((1.0 - left) * distillate / charge, 1.0))


def fenske(alpha: float, top: float, bottom: float) -> float:
    """Least number of stages (with the flask) from `bottom` to `top` (mole fractions) at relative volatility `alpha`.

    N = ln[(top/(1-top)) ((1-bottom)/bottom)] / ln alpha. Holds for a constant relative volatility (or the geometric
    mean of the ends) at total reflux. Raises OutOfRange unless alpha > 1 and top > bottom.
    """
    _fraction(top, "top")
    _fraction(bottom, "bottom")
    if alpha <= 1.0:
        raise OutOfRange(f"relative volatility {alpha:g}: above 1 is needed for a separation")
    if top < bottom:
        raise OutOfRange("the top must be richer than the bottom")
    return log(top / (1.0 - top) * (1.0 - bottom) / bottom) / log(alpha)


def _no_pinch(curve: Curve, low: float, high: float) -> None:
    for pinch in curve.pinches():
        if low <= pinch <= high:
            raise OutOfRange(
                f"an azeotrope at mole fraction {pinch:.3f} lies between {low:g} and {high:g}: no column passes it"
            )


def stages_at_total_reflux(curve: Curve, top: float, bottom: float) -> float:
    """Stages (with the flask) from `bottom` to `top` at total reflux, stepped on the curve; the last one in part.

    The part is measured in ln(y/(1-y)), so that at constant volatility it is Fenske's number. OutOfRange if an
    azeotrope lies between, the first is not the more volatile, or 200 stages are not enough.
    """
    _fraction(top, "top")
    _fraction(bottom, "bottom")
    if top < bottom:
        raise OutOfRange("the top must be richer than the bottom")
    _no_pinch(curve, bottom, top)
    x, stages = bottom, 0
    while x < top:
        y = curve.vapour(x)
        if y <= x or stages >= _MOST_STAGES:
            raise OutOfRange("the vapour is not richer than the liquid: no number of plates gives this purity")
        if y >= top:
            ends = log(x / (1.0 - x)), log(top / (1.0 - top))
            if y >= 1.0:
                return float(stages + 1)
            return stages + (ends[1] - ends[0]) / (log(y / (1.0 - y)) - ends[0])
        x, stages = y, stages + 1
    return float(stages)


def plates_for(curve: Curve, charge: float, purity: float) -> float:
    """Theoretical plates of a column that give a first drop of `purity` over a charge of mole fraction `charge`.

    At total reflux, so the least number; 0 when simple distillation does it. Errors as stages_at_total_reflux.
    """
    return max(stages_at_total_reflux(curve, purity, charge) - 1.0, 0.0)


def columns_that_suffice(plates: float, columns: Sequence[tuple[str, float, float]]) -> tuple[tuple[str, str], ...]:
    """For each column (name, least and most plates it gives) whether it suffices: "yes", "perhaps" or "no".

    plates: needed at total reflux, so a column that only just has them is "perhaps" in practice.
    """
    if plates < 0:
        raise OutOfRange("a number of plates is not below zero")
    out = []
    for name, least, most in columns:
        if least > most or least < 0:
            raise OutOfRange(f"{name}: the least number of plates comes first")
        needed = plates if plates < 1e-9 else ceil(plates * 10 - 1e-9) / 10
        out.append((name, "yes" if least >= needed else "perhaps" if most >= needed else "no"))
    return tuple(out)


def gap_conventions(gap: float, conventions: Sequence[tuple[str, float]]) -> tuple[tuple[str, str], ...]:
    """What each rule of thumb (name, least boiling gap in K for simple distillation) says of a gap (K).

    "simple" when the gap reaches the limit, else "fractional". A rule of thumb knows nothing of azeotropes.
    """
    if gap < 0:
        raise OutOfRange("a boiling gap is not below zero")
    return tuple((name, "simple" if gap >= limit else "fractional") for name, limit in conventions)


def order_of_fractions(boiling_points: Sequence[float]) -> tuple[Cut, ...]:
    """The cuts between liquids of these boiling points (K), in the order they come over; indices of the given list.

    For liquids without azeotropes among them.
    """
    if any(temperature <= 0 for temperature in boiling_points):
        raise OutOfRange("boiling points are above zero kelvin")
    order = sorted(range(len(boiling_points)), key=lambda index: (boiling_points[index], index))
    return tuple(Cut(a, b, boiling_points[b] - boiling_points[a]) for a, b in pairwise(order))
