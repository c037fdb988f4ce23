"""How forecasts write numbers, amounts and vessels."""

from __future__ import annotations

from choosemethod.advice.forecast import Scene
from choosemethod.advice.wording import joined
from choosemethod.chemistry.amounts import Vessel, boiling_flask, separating_funnel
from choosemethod.quantity import show

__all__ = ["duration", "flask", "funnel", "grams", "joined", "length", "millilitres", "mole_percent", "percent"]


def percent(share: float) -> str:
    """A share as a percentage: three digits near the ends, where they tell, and whole per cents else."""
    value = 100.0 * share
    if value >= 99.95 or value < 0.05:
        return f"{value:.3g} %" if value < 0.05 else f"{min(value, 99.99):.2f} %" if value < 100.0 else "100 %"
    return f"{value:.1f} %" if value >= 90.0 or value < 10.0 else f"{value:.0f} %"


def mole_percent(share: float) -> str:
    """As `percent`, without its sign."""
    return percent(share).removesuffix(" %")


def grams(mass: float) -> str:
    """A mass (kg) in g, or kg from 10 kg up."""
    return f"{mass:.3g} kg" if mass >= 10.0 else f"{1000 * mass:.3g} g" if mass < 1.0 else f"{1000 * mass:.0f} g"


def millilitres(volume: float) -> str:
    """A volume (m3) in mL, or L from 10 L up."""
    return f"{1e3 * volume:.3g} L" if volume >= 0.01 else show(volume, "volume")


def length(metres: float) -> str:
    """A length in cm between 1 cm and 1 m, else as `show` writes it."""
    return f"{100 * metres:.3g} cm" if 0.01 <= metres < 1.0 else show(metres, "length")


def duration(seconds: float) -> str:
    """A time in the unit that suits it."""
    for unit, size in (("s", 1.0), ("min", 60.0), ("h", 3600.0), ("days", 86_400.0)):
        if seconds < 100.0 * size or unit == "days":
            return f"{seconds / size:.2g} {unit}" if seconds / size < 10 else f"{seconds / size:.0f} {unit}"
    raise AssertionError("days take any length")


def _vessel(scene: Scene, key: str, volume: float, found: Vessel) -> None:
    kind = scene.laboratory.vessels[key]
    places = {
        "volume": millilitres(volume),
        "size": millilitres(found.volume),
        "vessel": kind.name,
        "filled": percent(found.filled),
    }
    if key == "funnel":
        places["most"] = percent(kind.most)
    elif found.portions == 1:
        places["roomy"] = " (the next smaller one would be too full)" if found.roomy else ""
    if found.portions > 1:
        scene.say(f"{key}-portions", portions=str(found.portions), **places)
    else:
        scene.say(key, **places)


def flask(scene: Scene, volume: float) -> None:
    """Say which flask a volume (m3) of liquid is boiled in."""
    kind = scene.laboratory.vessels["flask"]
    _vessel(scene, "flask", volume, boiling_flask(volume, kind.sizes, kind.most, kind.least))


def funnel(scene: Scene, liquid: float, added: float = 0.0) -> None:
    """Say which separating funnel two volumes (m3) go into."""
    kind = scene.laboratory.vessels["funnel"]
    _vessel(scene, "funnel", liquid + added, separating_funnel(liquid, added, kind.sizes, kind.most, kind.least))
