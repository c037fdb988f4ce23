"""What to expect of dissolving, evaporating and crystallising: masses of solvent, yields, hydrates, first crops."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from choosemethod.advice.forecast import Scene
from choosemethod.advice.forecast_words import grams, percent
from choosemethod.chemistry.solubility import (
    Points,
    at_temperature,
    crystallise_on_cooling,
    crystallise_two_by_cooling,
    hydrate_from_anhydrous,
    hydrate_on_cooling,
    solvent_needed,
)
from choosemethod.mixture import Component
from choosemethod.quantity import show
from choosemethod.table.model import Solubility

__all__ = ["TELLERS"]


def _entry(scene: Scene, solute: str, solvent: str) -> Solubility | None:
    entry = scene.substance(solute).solubility.get(solvent)
    if entry is None or not entry.points or not any(value > 0 for _, value in entry.points):
        return None
    scene.cite(entry.source)
    return entry


def _hot(scene: Scene, points: Points, solute: str, solvent: str) -> float | None:
    """Temperature (K) of a hot solution: the usual one, below the solvent's boiling point and where it is known."""
    ends = [scene.value("hot"), points[-1][0]]
    boils = scene.fact(solvent, "boiling_point")
    if boils is not None:
        ends.append(boils - scene.value("below-boiling"))
    spoils = scene.property(solute, "decomposes_at")
    if spoils is not None:
        ends.append(spoils - scene.value("below-boiling"))
    hot = min(ends)
    return hot if hot > scene.value("room") + scene.value("hot-at-least") and at_temperature(points, hot) else None


def _name(scene: Scene, ident: str, entry: Solubility) -> str:
    """Name of the solute as its solubility is stated: anhydrous or as the hydrate."""
    formula = scene.substance(ident).values.get("hydrate_formula")
    name = scene.name(ident)
    if entry.of == "hydrate" and formula is not None:
        return f"{name} (as {formula.text})"
    return name


def dissolving(scene: Scene) -> None:
    """Least solvent for each solid that goes into solution, cold and hot."""
    room = scene.value("room")
    was = {c.substance for c in scene.before if c.form == "dissolved"}
    for component in sorted(scene.during, key=lambda c: c.substance):
        if component.form != "dissolved" or component.substance in was:
            continue
        entry = _entry(scene, component.substance, component.host)
        if entry is None:
            continue
        mass = scene.mass(component)
        taken = mass if mass is not None else scene.value("basis-mass")
        if at_temperature(entry.points, room) is None:
            continue
        cold = solvent_needed(entry.points, taken, room)
        if mass is None and cold > scene.value("much-solvent"):
            taken = scene.value("basis-little")
            cold = solvent_needed(entry.points, taken, room)
        hot_at = _hot(scene, entry.points, component.substance, component.host)
        hot = ""
        if hot_at is not None:
            needed = solvent_needed(entry.points, taken, hot_at)
            hot = scene.laboratory.say("solvent-hot", mass=grams(needed), hot=show(hot_at, "temperature"))
        name, solvent = _name(scene, component.substance, entry), scene.name(component.host)
        scene.say(
            "solvent-needed",
            mass=grams(taken),
            name=name,
            cold=grams(cold),
            solvent=solvent,
            room=show(room, "temperature"),
            hot=hot,
        )
        scene.number(
            f"least {solvent} for {grams(taken)} of {name} at {show(room, 'temperature')}",
            cold,
            "mass",
            "computed",
            entry.source,
        )


def _crystals(scene: Scene) -> Component | None:
    """The solute that comes out as the first product."""
    dissolved = {c.substance: c for c in scene.before if c.form == "dissolved"}
    dissolved.update({c.substance: c for c in scene.during if c.form == "dissolved"})
    for product in scene.products[:1]:
        for component in sorted(product, key=lambda c: (c.role == "impurity", c.substance)):
            if component.added:
                continue
            if component.substance in dissolved:
                return dissolved[component.substance]
            if scene.added:  # it is dissolved in what the step brings in, and comes out of it again
                return replace(component, form="dissolved", host=scene.added)
    return None


def _hydrate(scene: Scene, ident: str) -> tuple[str, float, float] | None:
    """Formula and molar masses (kg/mol) of the substance and its hydrate."""
    formula = scene.substance(ident).values.get("hydrate_formula")
    plain, whole = scene.property(ident, "molar_mass"), scene.property(ident, "hydrate_molar_mass")
    return None if formula is None or plain is None or whole is None else (formula.text, plain, whole)


def crystallisation(scene: Scene) -> None:
    """What a hot solution gives on cooling, for the amounts given or for one that is saturated hot."""
    solute = _crystals(scene)
    entry = _entry(scene, solute.substance, solute.host) if solute is not None else None
    if solute is None or entry is None:
        return
    points, room = entry.points, scene.value("room")
    host = next((c for c in (*scene.before, *scene.during) if c.substance == solute.host and c.form == "liquid"), None)
    hot = _hot(scene, points, solute.substance, solute.host)
    at_room = at_temperature(points, room)
    if hot is None or at_room is None:
        return
    at_hot = at_temperature(points, hot) or 0.0
    mass, liquid = scene.mass(solute), scene.mass(host) if host is not None else None
    if mass is None and liquid is None:
        liquid = scene.value("basis-solvent")
    name, solvent = _name(scene, solute.substance, entry), scene.name(solute.host)
    if mass is not None:
        saturated = mass / at_room
        if liquid is None or saturated < liquid:
            scene.say(
                "saturated",
                room=show(room, "temperature"),
                solvent_mass=grams(saturated),
                solvent=solvent,
                mass=grams(mass),
                name=name,
            )
        liquid = min(liquid, mass / at_hot) if liquid is not None else mass / at_hot  # boiled down until saturated hot
    assert liquid is not None
    taken = at_hot * liquid if mass is None else min(mass, at_hot * liquid)
    hydrate = _hydrate(scene, solute.substance) if entry.of == "anhydrous" and solute.host == scene.water else None
    ends = {"solvent": solvent, "hot": show(hot, "temperature"), "cold": show(room, "temperature"), "name": name}
    if hydrate is not None:
        found = hydrate_on_cooling(points, taken, liquid, room, hydrate[1], hydrate[2])
    else:
        found = crystallise_on_cooling(points, taken, liquid, hot, room)
    if found.crystals <= 0:
        scene.say("cooling-none", at_hot=show(at_hot, "solubility"), at_cold=show(at_room, "solubility"), **ends)
        return
    places = {
        "solute": grams(taken),
        "solvent_mass": grams(liquid),
        "crystals": grams(found.crystals),
        "recovery": percent(found.recovery),
    }
    if hydrate is not None:
        scene.say("cooling-hydrate", hydrate=hydrate[0], **places, **ends)
    else:
        scene.say("cooling", **places, **ends)
    note = f"linear between measured solubilities; {grams(taken)} in {grams(liquid)} of {solvent}"
    scene.number(
        f"crystals of {hydrate[0] if hydrate else name} on cooling to {ends['cold']}",
        found.crystals,
        "mass",
        "computed",
        entry.source,
        note,
    )
    scene.number(
        f"recovery of {name} on cooling to {ends['cold']}", found.recovery, "fraction", "computed", entry.source, note
    )


def evaporation(scene: Scene) -> None:
    """What is left when the solvent has gone, and the hydrate that slow crystallisation would give."""
    solute = _crystals(scene)
    if solute is None:
        return
    mass, name = scene.mass(solute), scene.name(solute.substance)
    hydrate = _hydrate(scene, solute.substance) if solute.host == scene.water else None
    loses = scene.property(solute.substance, "loses_water_at")
    if hydrate is not None and loses is not None:
        taken = mass if mass is not None else scene.value("basis-mass")
        whole = hydrate_from_anhydrous(taken, hydrate[1], hydrate[2])
        scene.say(
            "evaporated-hydrate",
            mass=grams(taken),
            name=name,
            hydrate_mass=grams(whole),
            hydrate=hydrate[0],
            loses=show(loses, "temperature"),
        )
        scene.number(f"{hydrate[0]} from {grams(taken)} of {name}", whole, "mass", "computed", "iupac-atomic-weights")
    elif mass is not None:
        scene.say("evaporated", mass=grams(mass), name=name)
    entry = _entry(scene, solute.substance, solute.host)
    room = scene.value("room")
    solubility = at_temperature(entry.points, room) if entry is not None else None
    if mass is not None and solubility:
        scene.say(
            "saturated",
            room=show(room, "temperature"),
            solvent_mass=grams(mass / solubility),
            solvent=scene.name(solute.host),
            mass=grams(mass),
            name=name,
        )


def fractional_crystallisation(scene: Scene) -> None:
    """The first crop of two solutes from a hot solution with just enough solvent to keep the other dissolved cold."""
    crop = _crystals(scene)
    dissolved = sorted(
        {c.substance: c for c in scene.during if c.form == "dissolved"}.values(), key=lambda c: c.substance
    )
    others = [c for c in dissolved if crop is not None and c.substance != crop.substance and c.host == crop.host]
    if crop is None or len(others) != 1:
        return
    other = others[0]
    entries = _entry(scene, crop.substance, crop.host), _entry(scene, other.substance, crop.host)
    if entries[0] is None or entries[1] is None:
        return
    curves, room = (entries[0].points, entries[1].points), scene.value("room")
    ice = scene.value("ice")
    cold = ice if all(curve[0][0] <= ice for curve in curves) else room
    tops = [_hot(scene, curve, c.substance, crop.host) for curve, c in zip(curves, (crop, other), strict=True)]
    if tops[0] is None or tops[1] is None:
        return
    hot = min(tops[0], tops[1])
    given = scene.mass(crop), scene.mass(other)
    if given[0] is not None and given[1] is not None:
        masses = given[0], given[1]
    else:
        masses = (scene.value("basis-mass"),) * 2
    solvent = max(
        solvent_needed(curves[1], masses[1], cold),
        solvent_needed(curves[0], masses[0], hot),
        solvent_needed(curves[1], masses[1], hot),
    )
    found = crystallise_two_by_cooling(curves[0], masses[0], curves[1], masses[1], solvent, cold)
    rise = (at_temperature(curves[0], hot) or 0.0) / (at_temperature(curves[0], room) or 1.0)
    if found is None or found.first != 0 or rise < scene.limits["crystallising-rise"]:
        return  # it is boiled down and filtered hot: cooling gives little of it
    names = _name(scene, crop.substance, entries[0]), _name(scene, other.substance, entries[1])
    ends = f"; {names[1]} stays dissolved down to {show(cold, 'temperature')}" if found.ends is None else ""
    if found.ends is not None:
        ends = f", at {show(found.ends, 'temperature')}"
    scene.say(
        "two-salts",
        first_mass=grams(masses[0]),
        first=names[0],
        second_mass=grams(masses[1]),
        second=names[1],
        solvent_mass=grams(solvent),
        solvent=scene.name(crop.host),
        hot=show(hot, "temperature"),
        leader=names[0],
        begins=show(found.begins, "temperature"),
        pure=grams(found.pure),
        recovery=percent(found.recovery),
        ends=ends,
    )
    scene.say("two-salts-note")
    scene.number(
        f"first crop of {names[0]}",
        found.pure,
        "mass",
        "estimated",
        entries[0].source,
        f"{grams(masses[0])} with {grams(masses[1])} of {names[1]} in {grams(solvent)}",
    )


TELLERS: Mapping[str, Callable[[Scene], None]] = {
    "dissolving": dissolving,
    "crystallisation": crystallisation,
    "evaporation": evaporation,
    "fractional-crystallisation": fractional_crystallisation,
}
