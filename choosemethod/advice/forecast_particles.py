"""What to expect of settling and spinning, of subliming, and of cooling gases."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from choosemethod.advice.forecast import Scene
from choosemethod.advice.forecast_words import duration, joined, length
from choosemethod.chemistry.gases import order_of_condensation
from choosemethod.chemistry.settling import relative_centrifugal_force, settling_velocity, spin_time
from choosemethod.chemistry.sublimation import melts_before
from choosemethod.chemistry.vapour_pressure import OutOfRange
from choosemethod.facts import Fact
from choosemethod.mixture import STANDARD_PRESSURE, Component
from choosemethod.quantity import show

__all__ = ["TELLERS"]


def _solids(scene: Scene) -> list[tuple[Component, Fact]]:
    """Suspended or loose solids in the ordinary solvent, whose viscosity is known."""
    liquids = {c.substance for c in scene.during if c.form == "liquid"}
    if scene.water not in liquids or len(liquids) > 1:
        return []
    out = []
    for fact in scene.facts.values():
        for component in scene.during:
            if (
                component.substance == fact.slots.get("substance")
                and component.form == fact.slots.get("form")
                and component.form in ("solid", "suspended", "colloidal")
            ):
                out.append((component, fact))
    return sorted(out, key=lambda pair: pair[0].substance)


def settling(scene: Scene) -> None:
    """Time the smallest grains take to fall through the usual depth, and in a centrifuge."""
    liquid = scene.property(scene.water, "density")
    viscosity, depth = scene.value("viscosity"), scene.value("depth")
    solids = _solids(scene)
    if liquid is None or not solids:
        return
    for component, fact in solids:
        name = scene.name(component.substance)
        size, density = fact.slots.get("size_low"), fact.slots.get("density")
        if not isinstance(size, float) or not isinstance(density, float) or abs(density - liquid) < 1e-6:
            continue
        grain = show(size, "length")
        if size < scene.limits["colloid-size"]:
            scene.say("settling-never", name=name, size=grain)
            continue
        try:
            fall = settling_velocity(size, density, liquid, viscosity)
        except OutOfRange:
            scene.say("settling-fast", name=name, size=grain)
            continue
        law = "Stokes' law" if fall.law == "Stokes" else f"drag after {fall.law}"
        seconds = depth / abs(fall.velocity)
        scene.say(
            "settling" if fall.velocity > 0 else "settling-rises",
            name=name,
            size=grain,
            depth=length(depth),
            liquid=scene.name(scene.water),
            time=duration(seconds),
            law=law,
        )
        scene.cite("stokes-1851", scene.laboratory.sources["viscosity"])
        scene.number(
            f"time for {grain} grains of {name} through {length(depth)}",
            seconds,
            "time",
            "computed",
            "stokes-1851",
            "single spheres in a liquid at rest",
        )


def spinning(scene: Scene) -> None:
    """The force of the usual centrifuge, and the time it takes for the smallest grains."""
    liquid = scene.property(scene.water, "density")
    radius, speed, way = scene.value("spin-radius"), scene.value("spin-speed"), scene.value("spin-depth")
    places = {
        "speed": show(speed, "frequency"),
        "radius": length(radius),
        "force": f"{relative_centrifugal_force(radius, speed):.0f}",
    }
    times = []
    for _, fact in _solids(scene):
        size, density = fact.slots.get("size_low"), fact.slots.get("density")
        if liquid is not None and isinstance(size, float) and isinstance(density, float):
            try:
                times.append(spin_time(radius - way, radius, speed, size, density, liquid, scene.value("viscosity")))
            except OutOfRange:
                continue
    scene.number(
        "relative centrifugal force",
        relative_centrifugal_force(radius, speed),
        "pure number",
        "computed",
        "centrifugal-force",
        f"{places['radius']} at {places['speed']}",
    )
    if times:
        scene.say("spinning", depth=length(way), time=duration(max(times)), **places)
    else:
        scene.say("spinning-force", **places)


def sublimation(scene: Scene) -> None:
    """Whether the solid melts before its vapour pressure reaches the local pressure."""
    for component in (c for product in scene.products[:1] for c in product):
        ident = component.substance
        triple = scene.property(ident, "triple_point_pressure")
        temperature = scene.property(ident, "triple_point_temperature")
        outright = scene.property(ident, "sublimes_at")
        name = scene.name(ident)
        if outright is not None and (triple is None or not melts_before(triple, scene.pressure)):
            scene.say(
                "sublimes-outright",
                name=name,
                temperature=show(outright, "temperature"),
                local=show(STANDARD_PRESSURE, "pressure"),
            )
            scene.number(
                f"{name} sublimes at", outright, "temperature", "measured", _source(scene, ident, "sublimes_at")
            )
        elif triple is not None and temperature is not None and melts_before(triple, scene.pressure):
            scene.say(
                "sublimes-triple",
                name=name,
                triple_temperature=show(temperature, "temperature"),
                triple_pressure=show(triple, "pressure"),
                local=show(scene.pressure, "pressure"),
            )
            scene.number(
                f"triple-point pressure of {name}",
                triple,
                "pressure",
                "measured",
                _source(scene, ident, "triple_point_pressure"),
            )


def _source(scene: Scene, ident: str, prop: str) -> str:
    value = scene.substance(ident).values.get(prop)
    return "" if value is None else value.source


def gases(scene: Scene) -> None:
    """Order in which the gases condense on cooling and boil off on warming."""
    found = []
    for ident in sorted({c.substance for c in scene.before if c.form in ("gas", "airborne", "liquid")}):
        point = scene.fact(ident, "boiling_point")
        if point is not None:
            found.append((ident, point))
    if len(found) < 2:
        return
    order = order_of_condensation([point for _, point in found])
    said = [f"{scene.name(found[i][0])} ({show(found[i][1], 'temperature')})" for i in order]
    scene.say("gas-order", pressure=show(scene.pressure, "pressure"), order=joined(said))
    scene.say("gas-boils", order=joined(reversed(said)))


TELLERS: Mapping[str, Callable[[Scene], None]] = {
    "settling": settling,
    "spinning": spinning,
    "sublimation": sublimation,
    "gases": gases,
}
