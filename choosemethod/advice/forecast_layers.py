"""What to expect of liquid layers and of an extraction: order, purity of the layers, what is left, the funnel."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import combinations, pairwise

from choosemethod.advice.forecast import Scene
from choosemethod.advice.forecast_words import funnel, grams, joined, millilitres, percent
from choosemethod.chemistry.extraction import fraction_left
from choosemethod.chemistry.layers import order_by_density, two_layers
from choosemethod.mixture import Component
from choosemethod.quantity import QuantityError, parse_number, show

__all__ = ["TELLERS"]


def _densities(scene: Scene, liquids: list[Component]) -> list[tuple[float, float]] | None:
    out = []
    for component in liquids:
        value = scene.substance(component.substance).values.get("density")
        if value is None or value.number is None:
            return None
        scene.cite(value.source)
        out.append((value.number, value.high if value.high is not None else value.number))
    return out


def layers(scene: Scene) -> None:
    """Order of the layers, how hard they part, and what each takes up of the other."""
    found = {c.substance: c for c in scene.during if c.form == "liquid"}
    liquids = [found[key] for key in sorted(found)]
    if len(liquids) < 2:
        return
    densities = _densities(scene, liquids)
    numbers = [number for c in liquids if (number := scene.fact(c.substance, "layer")) is not None]
    if densities is not None and len(set(numbers)) == len(numbers):  # liquids that share a layer have no order
        small = scene.limits["density-gap-for-layers"]
        order = order_by_density(densities, small)
        said = joined(
            f"{scene.name(liquids[layer.index].substance)} ({show(layer.density, 'density')})"
            for layer in reversed(order)
        )
        scene.say("layer-order", order=said)
        for below, layer in pairwise(order):
            upper, lower = (scene.name(liquids[one.index].substance) for one in (layer, below))
            risk = ""
            if layer.emulsion:
                risk = scene.laboratory.say("emulsion")
            elif not layer.sure:
                risk = scene.laboratory.say("which-layer")
            scene.say("layer-gap", upper=upper, lower=lower, gap=show(layer.above or 0.0, "density"), risk=risk)
    for first, second in combinations(liquids, 2):
        _mutual(scene, first, second)
    volumes = [scene.volume(c) for c in liquids]
    if all(volume is not None for volume in volumes):
        funnel(scene, sum(volume for volume in volumes if volume is not None))


def _mutual(scene: Scene, one: Component, other: Component) -> None:
    row = scene.table.pair("miscibility", one.substance, other.substance)
    if row is None or not (row.get("first_in_second") or row.get("second_in_first")):
        return
    first, second = (other, one) if row["swapped"] == "yes" else (one, other)
    names = scene.name(first.substance), scene.name(second.substance)
    texts = row.get("first_in_second", ""), row.get("second_in_first", "")
    at = row.get("at", "near 20 °C")
    scene.cite(row.get("source", ""))
    if not (texts[0] and texts[1]):
        inner, outer = (names[0], names[1]) if texts[0] else (names[1], names[0])
        scene.say("layer-mutual-one", first=inner, second=outer, first_in=_share(texts[0] or texts[1]), at=at)
        return
    scene.say(
        "layer-mutual", first=names[0], second=names[1], first_in=_share(texts[0]), second_in=_share(texts[1]), at=at
    )
    masses = scene.mass(first), scene.mass(second)
    if masses[0] is None or masses[1] is None:
        return
    try:
        shares = [parse_number(text, "fraction") for text in texts]
    except QuantityError:
        return
    split = two_layers(masses[0], masses[1], shares[0], shares[1])
    if split is None:
        scene.say("layer-one")
        return
    scene.say(
        "layer-amounts",
        first_mass=grams(masses[0]),
        first=names[0],
        second_mass=grams(masses[1]),
        second=names[1],
        rich=grams(split.rich_in_first),
        poor=grams(split.rich_in_second),
        lost=grams(split.first_in_poor),
    )


def _share(text: str) -> str:
    return text.replace("mass %", "%")


def extraction(scene: Scene) -> None:
    """What one, two and three portions leave of each solute whose partition coefficient is known."""
    into = scene.added
    if not into:
        return
    rows = scene.table.pairs("partition")
    hosts: dict[str, Component] = {c.substance: c for c in scene.before if c.form == "liquid"}
    portions, portion = round(scene.value("portions")), scene.value("portion-share")
    for component in sorted(scene.before, key=lambda c: c.substance):
        if component.form != "dissolved":
            continue
        row = next(
            (
                row
                for row in rows
                if (row.get("solute"), row.get("from"), row.get("into")) == (component.substance, component.host, into)
            ),
            None,
        )
        if row is None:
            continue
        scene.cite(row.get("source", ""))
        names = {"name": scene.name(component.substance), "into": scene.name(into), "from": scene.name(component.host)}
        if not row.get("ratio"):
            scene.say("extraction-hardly", ratio=row.get("ratio_below", "not known"), **names)
            continue
        ratio = float(row["ratio"])
        left = [fraction_left(ratio, 1.0, portion, count) for count in range(1, portions + 1)]
        once = fraction_left(ratio, 1.0, portion * portions, 1)
        counted = ", ".join(
            f"{count} portion{'s' if count > 1 else ''}: {percent(share)}" for count, share in enumerate(left, 1)
        )
        scene.say(
            "extraction",
            ratio=row["ratio"],
            portion=percent(portion),
            left=percent(left[-1]),
            list=counted,
            once=percent(once),
            **names,
        )
        scene.number(
            f"{names['name']} left after {portions} portions of {names['into']}",
            left[-1],
            "fraction",
            "computed",
            row.get("source", ""),
            f"(1 / (1 + D v/V))^{portions} with D = {row['ratio']}",
        )
        host = hosts.get(component.host)
        volume = scene.volume(host) if host is not None else None
        if volume is not None:
            scene.say(
                "extraction-volumes",
                volume=millilitres(volume),
                portions=str(portions),
                portion=millilitres(portion * volume),
                into=names["into"],
            )
            funnel(scene, volume, portion * volume)


TELLERS: Mapping[str, Callable[[Scene], None]] = {"layers": layers, "extraction": extraction}
