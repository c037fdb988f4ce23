"""What to expect of a distillation with steam, and of one at reduced pressure."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from choosemethod.advice.forecast import Scene
from choosemethod.advice.forecast_words import grams
from choosemethod.chemistry.reduced_pressure import boiling_point_estimate, pressure_estimate, pumps_that_reach
from choosemethod.chemistry.steam import steam_distillation, water_to_carry_over
from choosemethod.chemistry.vapour_pressure import OutOfRange
from choosemethod.mixture import Component
from choosemethod.quantity import show
from choosemethod.vle import Law, NotKnown, boiling_law

__all__ = ["TELLERS"]

_REACH = 20.0  # K, how far a vapour-pressure law is followed beyond its range, as the calculation `steam` does


def steam(scene: Scene) -> None:
    """Temperature and mass ratio of each substance that comes over with steam."""
    carrier = scene.substance(scene.water)
    over = {c.substance: c for product in scene.products[:1] for c in product if c.substance != carrier.id}
    for ident, component in sorted(over.items()):
        substance = scene.substance(ident)
        measured = next(
            (
                row
                for row in scene.table.pairs("steam-distillation")
                if row.get("substance") == ident and not row.get("pressure") and not row.get("estimate")
            ),
            None,
        )
        try:
            laws = boiling_law(carrier), boiling_law(substance)
            weights = scene.property(carrier.id, "molar_mass"), scene.property(ident, "molar_mass")
            if weights[0] is None or weights[1] is None:
                continue
            found = steam_distillation(
                scene.pressure, laws[0].antoine, laws[1].antoine, weights[0], weights[1], reach=_REACH
            )
        except (OutOfRange, NotKnown):
            if measured is not None:
                scene.say("steam-measured", at=f"{substance.name} at {measured['at']}")
                scene.cite(measured.get("source", ""))
            continue
        how = "estimated" if "estimated" in (laws[0].how, laws[1].how) or found.beyond > 1.0 else "computed"
        scene.say(
            "steam",
            name=substance.name,
            carrier=carrier.name,
            temperature=show(found.temperature, "temperature"),
            how=how,
            ratio=f"{found.mass_ratio:.2g}",
        )
        scene.cite(*laws[0].sources, *laws[1].sources)
        source = laws[1].sources[0]
        scene.number(
            f"temperature of the distillation of {substance.name} with steam",
            found.temperature,
            "temperature",
            how,
            source,
        )
        scene.number(
            f"mass of {substance.name} per mass of {carrier.name} distilled",
            found.mass_ratio,
            "pure number",
            how,
            source,
        )
        if measured is not None:
            scene.say("steam-measured", at=f"{measured['at']} at 101 kPa")
            scene.cite(measured.get("source", ""))
        mass = scene.mass(component)
        if mass is not None:
            scene.say(
                "steam-amount",
                mass=grams(mass),
                name=substance.name,
                carrier=carrier.name,
                water=grams(water_to_carry_over(mass, found.mass_ratio)),
            )


def _boiling(law: Law, normal: float | None, pressure: float) -> tuple[float, str]:
    """Boiling temperature (K) at a reduced pressure (Pa) and how it was obtained."""
    try:
        return law.antoine.boiling_point(pressure), law.how
    except OutOfRange:
        if normal is None:
            raise
        return boiling_point_estimate(normal, pressure), "estimated"


def reduced(scene: Scene) -> None:
    """Boiling temperature of each liquid at what a pump reaches, and the pressure that keeps it from decomposing."""
    for component in scene.liquids():
        _reduced(scene, component)


def _reduced(scene: Scene, component: Component) -> None:
    substance = scene.substance(component.substance)
    pump = scene.laboratory.pumps[0]
    normal = scene.property(substance.id, "boiling_point")
    try:
        law = boiling_law(substance)
        here, _ = _boiling(law, normal, scene.pressure)
        temperature, how = _boiling(law, normal, pump.reaches)
    except (OutOfRange, NotKnown):
        return
    scene.say(
        "reduced",
        name=substance.name,
        normal=show(here, "temperature"),
        pressure=show(scene.pressure, "pressure"),
        low=show(pump.reaches, "pressure"),
        pump=pump.name,
        temperature=show(temperature, "temperature"),
        how=how,
    )
    scene.cite(*law.sources, *(one.source for one in scene.laboratory.pumps))
    scene.number(
        f"boiling point of {substance.name} at {show(pump.reaches, 'pressure')}",
        temperature,
        "temperature",
        how,
        law.sources[0],
    )
    spoils = scene.property(substance.id, "decomposes_at")
    if spoils is None:
        return
    safe = spoils - scene.value("below-decomposition")
    try:
        pressure = law.antoine.pressure(safe)
    except OutOfRange:
        if normal is None or safe >= normal:
            return
        try:
            pressure = pressure_estimate(normal, safe)
        except OutOfRange:
            return
    if pressure >= scene.pressure:
        return
    pumps = pumps_that_reach(pressure, [(one.name, one.reaches) for one in scene.laboratory.pumps])
    reach = f"a {' or a '.join(pumps)} reaches" if pumps else "no pump of the bench reaches"
    scene.say(
        "reduced-safe",
        spoils=show(spoils, "temperature"),
        safe_at=show(safe, "temperature"),
        safe_pressure=show(pressure, "pressure"),
        reach=reach,
    )


TELLERS: Mapping[str, Callable[[Scene], None]] = {"steam": steam, "reduced-pressure": reduced}
