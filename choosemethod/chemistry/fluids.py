"""Live reference equations of state, for what the stored constants do not cover.

The only module that calls CoolProp, and only inside its functions: importing it costs more than a second, so nothing on
the way of an ordinary answer may. Source: I. H. Bell et al., Ind. Eng. Chem. Res. 53 (2014) 2498.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from choosemethod.chemistry.vapour_pressure import OutOfRange

__all__ = ["covers", "fluid_boiling_point"]


@cache
def _library() -> Any:
    try:
        import CoolProp.CoolProp as library
    except ImportError as fault:
        raise OutOfRange("the reference equations of state (CoolProp) are not installed") from fault
    return library


def _limit(fluid: str, what: str) -> float:
    try:
        return float(_library().PropsSI(what, fluid))
    except ValueError as fault:
        raise OutOfRange(f"there is no reference equation of state for {fluid!r}") from fault


def covers(fluid: str) -> bool:
    """Whether there is a reference equation for this fluid (a CAS registry number or a name the library knows)."""
    try:
        return _limit(fluid, "Tcrit") > 0
    except OutOfRange:
        return False


def fluid_boiling_point(fluid: str, pressure: float) -> float:
    """Boiling temperature (K) at `pressure` (Pa), from the triple to the critical point; else OutOfRange."""
    start = max(_limit(fluid, "Ttriple"), _limit(fluid, "Tmin"))
    low, high = float(_library().PropsSI("P", "T", start, "Q", 0.0, fluid)), _limit(fluid, "pcrit")
    if not low <= pressure <= high:
        raise OutOfRange(
            f"{pressure / 1000:.4g} kPa: the liquid boils between {low / 1000:.3g} and {high / 1000:.4g} kPa"
        )
    return float(_library().PropsSI("T", "P", pressure, "Q", 0.0, fluid))
