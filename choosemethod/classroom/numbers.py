"""Questions that ask for a number: Rf, the gap between boiling points, the yield on cooling, the centrifugal force."""

from __future__ import annotations

import random

from choosemethod.advice.ask import opened
from choosemethod.chemistry.chromatography import retardation_factor
from choosemethod.chemistry.settling import relative_centrifugal_force
from choosemethod.chemistry.solubility import at_temperature, crystallise_on_cooling
from choosemethod.classroom.items import Item, Point, fill, identifier
from choosemethod.classroom.levels import Level, sentence
from choosemethod.classroom.materials import TopicMixture, materials
from choosemethod.classroom.questions import source_titles
from choosemethod.classroom.truth import Truth
from choosemethod.quantity import show
from choosemethod.table.table import Table

__all__ = ["ask_boiling_gap", "ask_rcf", "ask_rf", "ask_yield", "asked_at"]


def asked_at(name: str, level: Level) -> bool:
    """Whether this calculation is asked for at the level."""
    return not level.name or level.name in materials().numbers[name]["levels"]


def _drawn(name: str, key: str, rng: random.Random) -> int:
    least, most, step = materials().numbers[name][key]
    return rng.randrange(least, most + 1, step)


def _item(
    name: str,
    stem: str,
    value: float,
    digits: int,
    unit: str,
    tolerance: float,
    formula: str,
    level: Level,
    topic: str,
    mixture: str,
    sources: tuple[tuple[str, str], ...],
    data: dict[str, str],
    technique: str,
) -> Item:
    text = materials().questions["compute"]
    rounded = round(value, digits)
    shown = f"{rounded:.{digits}f}"
    points = (
        Point(fill(text["formula"], formula=formula)),
        Point(fill(text["result"], value=shown, unit=unit).strip()),
    )
    return Item(
        identifier(f"compute-{name}", stem),
        "compute",
        stem,
        f"{formula} = {shown} {unit}".strip(),
        points,
        level.name,
        topic,
        mixture,
        value=rounded,
        tolerance=tolerance,
        unit=unit,
        technique=technique,
        sources=sources,
        data=(("calculation", name), *data.items()),
    )


def ask_rf(level: Level, rng: random.Random) -> Item:
    """Rf from the distances of a spot and of the front (whole millimetres, drawn)."""
    front = _drawn("rf", "front", rng)
    spot = max(1, round(front * _drawn("rf", "share", rng) / 100))
    value = retardation_factor(spot / 1000.0, front / 1000.0)
    stem = fill(materials().questions["compute"]["rf"], front=str(front), spot=str(spot))
    formula = f"Rf = {spot} mm / {front} mm"
    return _item(
        "rf",
        stem,
        value,
        2,
        "",
        0.01,
        formula,
        level,
        "colours",
        "",
        _source("rf"),
        {"spot": str(spot), "front": str(front)},
        "paper-chromatography",
    )


def ask_rcf(level: Level, rng: random.Random) -> Item:
    """The relative centrifugal force from radius and speed (drawn)."""
    radius, speed = _drawn("rcf", "radius", rng), _drawn("rcf", "speed", rng)
    value = relative_centrifugal_force(radius / 100.0, speed / 60.0)
    stem = fill(materials().questions["compute"]["rcf"], radius=str(radius), speed=str(speed))
    formula = f"RCF = 4 x pi^2 x {radius / 100:g} m x ({speed / 60:.5g} /s)^2 / 9.80665 m/s2"
    # half a percent is left for the rounding of pi and of the turns per second
    return _item(
        "rcf",
        stem,
        value,
        0,
        "",
        max(1.0, 0.005 * value),
        formula,
        level,
        "fine-and-colloidal",
        "",
        _source("rcf"),
        {"radius": str(radius), "speed": str(speed)},
        "centrifugation",
    )


def ask_boiling_gap(truth: Truth, asked: TopicMixture, level: Level) -> Item | None:
    """How far two liquids boil apart; None unless both boiling points of two liquids are measured."""
    facts = truth.components()
    if len(facts) != 2 or any(fact.slots["form"] != "liquid" for fact in facts):
        return None
    points = [fact.slots["boiling_point"] for fact in facts]
    one, two = points
    if not isinstance(one, float) or not isinstance(two, float) or abs(one - two) < 1.0:
        return None
    if any(fact.evidence["boiling_point"].how not in ("measured", "computed") for fact in facts):
        return None
    names = [str(fact.slots["name"]) for fact in facts]
    shown = [show(point, "temperature") for point in (one, two)]
    told = [float(text.split()[0]) for text in shown]
    stem = fill(
        materials().questions["compute"]["boiling-gap"],
        first=sentence(names[0]),
        first_boiling=shown[0],
        second=names[1],
        second_boiling=shown[1],
    )
    value = abs(told[0] - told[1])
    formula = f"{max(told):g} °C - {min(told):g} °C"
    sources = source_titles(truth, [fact.evidence["boiling_point"].source for fact in facts])
    ids = {"first": str(facts[0].slots["substance"]), "second": str(facts[1].slots["substance"])}
    return _item(
        "boiling-gap",
        stem,
        value,
        0,
        "K",
        1.0,
        formula,
        level,
        asked.topic,
        asked.words,
        sources,
        ids,
        truth.slugs()[0],
    )


def ask_yield(table: Table, words: str, level: Level, rng: random.Random) -> Item | None:
    """Crystals on cooling between two measured points of a solubility curve; None without such a curve."""
    name = table.name(words, "substance")
    if name is None:
        return None
    substance = table.substance(name.id)
    water = next((solvent for solvent in substance.solubility if table.substance(solvent).id == _ordinary()), "")
    entry = substance.solubility.get(water)
    if entry is None or "hydrate_formula" in substance.values or len(entry.points) < 3 or entry.of == "hydrate":
        return None
    points = [point for point in entry.points if abs(point[0] - 273.15 - round(point[0] - 273.15)) < 0.01]
    pairs = [(c, h) for c in points for h in points if h[0] >= c[0] + 30.0 and h[1] > 1.2 * c[1] and h[0] < 372.0]
    if not pairs:
        return None
    cold, hot = rng.choice(pairs)
    water_mass = _drawn("yield", "water", rng)
    whole = hot[1] * water_mass
    least = cold[1] * water_mass * 1.1
    mass = rng.randint(int(least) + 1, max(int(least) + 1, int(whole)))
    if mass > whole:
        return None
    found = crystallise_on_cooling(entry.points, mass / 1000.0, water_mass / 1000.0, hot[0], cold[0])
    told = [f"{100 * point[1]:.4g}" for point in (hot, cold)]
    warm, cool = (f"{point[0] - 273.15:.0f} °C" for point in (hot, cold))
    stem = fill(
        materials().questions["compute"]["yield"],
        mass=str(mass),
        substance=substance.name,
        water=str(water_mass),
        hot=warm,
        cold=cool,
        hot_solubility=told[0],
        cold_solubility=told[1],
    )
    formula = f"{mass} g - {told[1]} g x {water_mass} / 100"
    assert at_temperature(entry.points, cold[0]) is not None
    title = table.source(entry.source).title if entry.source in table.source_keys() else entry.source
    return _item(
        "yield",
        stem,
        1000.0 * found.crystals,
        1,
        "g",
        0.2,
        formula,
        level,
        "solutions",
        "",
        ((entry.source, title),),
        {"substance": substance.id, "mass": str(mass), "water": str(water_mass), "hot": warm, "cold": cool},
        "crystallisation",
    )


def _ordinary() -> str:
    return opened()[1].limits.water


def _source(name: str) -> tuple[tuple[str, str], ...]:
    key = str(materials().numbers[name]["source"])
    table = opened()[0]
    return ((key, table.source(key).title),) if key in table.source_keys() else ()
