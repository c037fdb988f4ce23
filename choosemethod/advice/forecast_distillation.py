"""What a distillation of miscible liquids gives: purity and recovery, plates, columns, azeotrope, rules of thumb."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from choosemethod.advice.forecast import Scene
from choosemethod.advice.forecast_words import flask, grams, joined, millilitres, mole_percent, percent
from choosemethod.chemistry.amounts import mass_fraction
from choosemethod.chemistry.distillation import (
    columns_that_suffice,
    fenske,
    first_drop,
    gap_conventions,
    order_of_fractions,
    plates_for,
    rayleigh,
)
from choosemethod.chemistry.equilibrium import Curve
from choosemethod.chemistry.vapour_pressure import OutOfRange
from choosemethod.errors import ChooseMethodError
from choosemethod.facts import SlotValue, how_said
from choosemethod.mixture import STANDARD_PRESSURE, Component
from choosemethod.quantity import QuantityError, parse_number, show
from choosemethod.table.model import Substance
from choosemethod.vle import Equilibrium, NotKnown, equilibrium_of

__all__ = ["TELLERS", "boiling"]


class _Side(NamedTuple):
    """A charge seen from the liquid the vapour is richer in: its name, curve and mole fraction in the flask."""

    rich: Substance
    other: Substance
    curve: Curve
    charge: float
    pinch: float | None  # mole fraction above the charge that no plate passes


def tell(scene: Scene) -> None:
    """Say what distilling the liquids of the mixture gives; nothing if they must not be heated together."""
    _tell(scene, True)


def instead(scene: Scene) -> None:
    """As `tell`, where a column or another technique is advised: what a plain still gives is said as of it."""
    _tell(scene, False)


def _tell(scene: Scene, plain: bool) -> None:
    liquids = scene.liquids()
    given = [scene.volume(c) for c in liquids]
    if scene.boils and liquids and all(volume is not None for volume in given):
        flask(scene, sum(volume for volume in given if volume is not None))
    if len(liquids) < 2:
        return
    # whatever is reckoned below is about boiling them together
    if scene.dangerous:
        return
    if len(liquids) == 2:
        _two(scene, liquids[0], liquids[1], plain)
    else:
        _several(scene, liquids)
    _products(scene)


def boiling(scene: Scene) -> dict[str, SlotValue]:
    """How the two liquids of a mixture begin to boil: slots of a mixture fact; empty if that cannot be worked out."""
    liquids = scene.liquids()
    if len(liquids) != 2 or scene.dangerous:
        return {}
    try:
        one, other = liquids
        found = equilibrium_of(
            scene.table, scene.substance(one.substance), scene.substance(other.substance), scene.pressure
        )
        x, _ = _charge(scene, found, one, other)
        side = _side(found, x)
        slots: dict[str, SlotValue] = {
            "first_drop": first_drop(side.curve, side.charge), "comes_first": side.rich.name,
        }  # fmt: skip
        if found.curve.temperatures:
            slots["begins_to_boil"] = found.curve.temperature(x)
    except (OutOfRange, ChooseMethodError):
        return {}
    return slots


def _products(scene: Scene) -> None:
    for product in scene.products:
        for component in product:
            mass, volume = scene.mass(component), scene.volume(component)
            if len(product) == 1 and component.form == "liquid" and mass is not None:
                more = f" ({millilitres(volume)})" if volume is not None else ""
                scene.say("most-product", mass=grams(mass), name=scene.name(component.substance), volume=more)


def _charge(scene: Scene, found: Equilibrium, one: Component, other: Component) -> tuple[float, str]:
    """Mole fraction of the first liquid in the flask, and the amounts it is reckoned for."""
    first, second = (one, other) if one.substance == found.first.id else (other, one)
    masses = scene.mass(first), scene.mass(second)
    weights = [scene.property(c.substance, "molar_mass") for c in (first, second)]
    if weights[0] is None or weights[1] is None:
        return 0.5, scene.laboratory.say("equal-moles")
    if masses[0] is not None and masses[1] is not None:
        amounts = f"{scene.amount(first)} with {scene.amount(second)}"
        kilograms = masses[0], masses[1]
    else:
        densities = [scene.property(c.substance, "density") for c in (first, second)]
        share = first.share if first.share is not None else None if second.share is None else 1.0 - second.share
        by_volume = share is None or scene.mixture.share_by == "volume"
        part = 0.5 if share is None else share
        if by_volume and densities[0] is not None and densities[1] is not None:
            kilograms = part * densities[0], (1.0 - part) * densities[1]
            amounts = f"{percent(part)} of {found.first.name} by volume"
            if share is None:
                amounts = f"equal volumes ({show(scene.value('basis-volume'), 'volume')} of each)"
        else:
            kilograms = part, 1.0 - part
            amounts = f"{percent(part)} of {found.first.name} by mass"
            if share is None:
                amounts = f"equal masses ({show(scene.value('basis-mass'), 'mass')} of each)"
    moles = kilograms[0] / weights[0], kilograms[1] / weights[1]
    return moles[0] / (moles[0] + moles[1]), amounts


def _by_mass(scene: Scene, mole: float, first: Substance, second: Substance) -> str:
    """A mole fraction as a mass fraction, in words; "" if a molar mass is not known."""
    weights = scene.property(first.id, "molar_mass"), scene.property(second.id, "molar_mass")
    if weights[0] is None or weights[1] is None:
        return ""
    return scene.laboratory.say("by-mass", mass=percent(mass_fraction(mole, weights[0], weights[1])))


def _side(found: Equilibrium, x: float) -> _Side:
    rising = found.curve.vapour(x) >= x
    curve = found.curve if rising else found.curve.swapped()
    charge = x if rising else 1.0 - x
    above = [pinch for pinch in curve.pinches() if pinch > charge]
    rich, other = (found.first, found.second) if rising else (found.second, found.first)
    return _Side(rich, other, curve, charge, above[0] if above else None)


def _shifted(curve: Curve, by: float) -> Curve:
    return Curve(curve.xs, [value + by for value in curve.ln_volatilities], curve.temperatures, curve.beyond)


def _spread(scene: Scene, found: Equilibrium, curve: Curve) -> float:
    """How far ln(relative volatility) may be off, from the uncertainty of the vapour over an equal mixture."""
    middle = min(max(0.5, curve.xs[0]), curve.xs[-1])
    y = curve.vapour(middle)
    return scene.laboratory.uncertainty[found.kind] / max(y * (1.0 - y), 0.01)


def _plates(curve: Curve, charge: float, target: float) -> float | None:
    """Theoretical plates for a mole fraction at the top, None if no number of plates gives it."""
    try:
        return plates_for(curve, charge, target) if charge < target else 0.0
    except OutOfRange:
        return None


def _two(scene: Scene, one: Component, other: Component, plain: bool) -> None:
    found = equilibrium_of(
        scene.table, scene.substance(one.substance), scene.substance(other.substance), scene.pressure
    )
    x, amounts = _charge(scene, found, one, other)
    side = _side(found, x)
    target = scene.value("purity")
    first = rayleigh(side.curve, side.charge, scene.value("first-fraction"))
    later = rayleigh(side.curve, side.charge, scene.value("later-fraction"))
    scene.say(
        "basis",
        amounts=amounts,
        mole=mole_percent(x),
        first=found.first.name,
        pressure=show(scene.pressure, "pressure"),
        label=f"{how_said(found.how)}: {found.basis}",
    )
    scene.say(
        "first-fraction" if plain else "plain-still",
        drop=mole_percent(first_drop(side.curve, side.charge)),
        rich=side.rich.name,
        tenth=percent(first.distilled),
        purity=mole_percent(first.distillate),
        mass=_by_mass(scene, first.distillate, side.rich, side.other),
        recovery=percent(first.recovery),
    )
    scene.say(
        "later-fraction",
        share=percent(later.distilled),
        purity=mole_percent(later.distillate),
        rich=side.rich.name,
        recovery=percent(later.recovery),
    )
    source = found.sources[-1] if found.sources else ""
    scene.cite(*found.sources)
    note = f"{found.basis}; {amounts}"
    scene.number(
        f"{side.rich.name} in the first fraction without a column (mole fraction)",
        first.distillate,
        "fraction",
        found.how,
        source,
        note,
    )
    if found.azeotrope is not None:
        _azeotrope(scene, found, side)
    verdict = _column(scene, found, side, target, first.distillate >= target, note, source)
    _conventions(scene, found, verdict)
    for text in found.notes:
        scene.say("model-note", note=text)


def _column(scene: Scene, found: Equilibrium, side: _Side, target: float, simple: bool, note: str, source: str) -> str:
    """Say how many plates the purity needs and which column has them; the verdict in words."""
    columns = scene.laboratory.columns
    listed = [(c.name, c.least, c.most) for c in columns]
    common = columns[0]
    goal = f"{100 * target:g}"
    needed = _plates(side.curve, side.charge, target)
    scene.cite(*(column.source for column in columns))
    if needed is None:
        reached = first_drop(side.curve, side.charge, round(common.most))
        limit = side.pinch if side.pinch is not None else reached
        scene.say(
            "no-column",
            target=goal,
            rich=side.rich.name,
            column=common.name,
            reached=mole_percent(reached),
            limit=mole_percent(limit),
        )
        return scene.laboratory.say(
            "verdict-azeotrope" if side.pinch else "verdict-no-column", target=goal, rich=side.rich.name
        )
    if needed == 0.0:
        scene.say("no-plates-needed", target=goal, first=side.rich.name)
        return scene.laboratory.say("verdict-simple" if simple else "verdict-starts", target=goal)
    if needed < 1.0:
        scene.say("plates-few", target=goal, first=side.rich.name)
        return scene.laboratory.say("verdict-simple" if simple else "verdict-few", target=goal)
    spread = _spread(scene, found, side.curve)
    low, high = (_plates(_shifted(side.curve, by), side.charge, target) for by in (spread, -spread))
    least = 0.0 if low is None else low
    mean = (side.curve.volatility(side.charge) * side.curve.volatility(min(target, side.curve.xs[-1]))) ** 0.5
    counted = f"{fenske(mean, target, side.charge) - 1.0:.1f}" if mean > 1.0 else "nothing"
    ends = f"{least:.1f}", "no limit" if high is None else f"{high:.1f}"
    scene.say("plates", target=goal, first=side.rich.name, plates=f"{needed:.1f}")
    scene.say("plates-doubt", low=ends[0], high=ends[1], fenske=counted)
    scene.number(
        f"theoretical plates of a column for {goal} mol % {side.rich.name}",
        round(needed, 1),
        "pure number",
        found.how,
        source,
        note,
    )
    scene.cite("fenske-1932")
    verdicts = dict(columns_that_suffice(needed, listed))
    scene.say(
        "column",
        column=common.name,
        length=common.length,
        least=f"{common.least:g}",
        most=f"{common.most:g}",
        verdict=scene.laboratory.say(f"suffices-{verdicts[common.name]}"),
    )
    better = next((c for c in columns if verdicts[c.name] == "yes"), None)
    if better is not None and better is not common:
        scene.say(
            "column",
            column=better.name,
            length=better.length,
            least=f"{better.least:g}",
            most=f"{better.most:g}",
            verdict=scene.laboratory.say("suffices-yes"),
        )
    ends_verdict = [
        "no" if plates is None else dict(columns_that_suffice(plates, listed))[common.name] for plates in (least, high)
    ]
    if len(set(ends_verdict)) > 1:
        scene.say(
            "could-change",
            plates=f"{ends[0]} to {ends[1]} plates" if high is not None else f"{ends[0]} plates or more",
            column=common.name,
        )
    if simple:
        return scene.laboratory.say("verdict-simple", target=goal)
    key = "verdict-more" if better is None else "verdict-fractional"
    return scene.laboratory.say(key, plates=f"{needed:.1f}", target=goal)


def _azeotrope(scene: Scene, found: Equilibrium, side: _Side) -> None:
    azeotrope = found.azeotrope
    assert azeotrope is not None
    first, second = found.first, found.second
    weights = scene.property(first.id, "molar_mass"), scene.property(second.id, "molar_mass")
    if weights[0] is None or weights[1] is None:
        return
    row = scene.table.pair("azeotropes", first.id, second.id)
    mole, temperature, how = azeotrope.x, azeotrope.temperature, found.how
    mass = mass_fraction(mole, weights[0], weights[1])
    if row is not None and row.get("first_mass") and row.get("at"):
        try:
            measured = parse_number(row["first_mass"], "fraction")
            at = parse_number(row["at"], "temperature")
            known = parse_number(row["pressure"], "pressure") if row.get("pressure") else STANDARD_PRESSURE
        except QuantityError:
            known = 0.0
        if abs(known - scene.pressure) < 0.02 * scene.pressure:
            mass, temperature = (1.0 - measured if row["swapped"] == "yes" else measured), at
            mole = mass / weights[0] / (mass / weights[0] + (1.0 - mass) / weights[1])
            how = scene.table.how(row.get("source", ""))
            scene.cite(row.get("source", ""))
        elif known:
            was = 1.0 - measured if row["swapped"] == "yes" else measured
            scene.say(
                "shifted-azeotrope",
                known=show(known, "pressure"),
                mass=percent(was),
                first=first.name,
                pressure=show(scene.pressure, "pressure"),
                mole=mole_percent(mole),
            )
    if side.pinch is not None:
        top, bottom = "the azeotrope", side.other.name
    else:
        top, bottom = side.rich.name, "the azeotrope"
    scene.say(
        "azeotrope",
        kind=azeotrope.kind,
        mass=percent(mass),
        first=first.name,
        mole=mole_percent(mole),
        temperature=show(temperature, "temperature"),
        how=how,
        top=top,
        bottom=bottom,
    )
    name = f"azeotrope of {first.name} and {second.name}"
    source = row.get("source", "") if row is not None and how != found.how else ""
    scene.number(f"{name}: boiling point", temperature, "temperature", how, source)
    scene.number(f"{name}: {first.name} by mass", mass, "fraction", how, source)


def _gap(scene: Scene, first: str, second: str) -> float | None:
    ends = scene.fact(first, "boiling_point"), scene.fact(second, "boiling_point")
    return None if ends[0] is None or ends[1] is None else abs(ends[1] - ends[0])


def _conventions(scene: Scene, found: Equilibrium, verdict: str) -> None:
    gap = _gap(scene, found.first.id, found.second.id)
    if gap is None:
        return
    rules = scene.laboratory.conventions
    said = gap_conventions(gap, [(f"{rule.gap:g}", rule.gap) for rule in rules])
    scene.cite(*(rule.source for rule in rules))

    def limits(call: str) -> str:
        found = joined(name for name, word in said if word == call)
        return scene.laboratory.say("convention", limits=found) if found else scene.laboratory.say("no-convention")

    scene.say(
        "conventions",
        gap=show(gap, "temperature difference"),
        simple=limits("simple"),
        fractional=limits("fractional"),
        verdict=verdict,
    )
    if found.azeotrope is not None:
        scene.say("azeotrope-ignored")


def _several(scene: Scene, liquids: list[Component]) -> None:
    """Order of the fractions and what each cut needs, taking neighbours two by two."""
    points = [scene.fact(c.substance, "boiling_point") for c in liquids]
    known = [(c, point) for c, point in zip(liquids, points, strict=True) if point is not None]
    if len(known) < len(liquids):
        lacking = joined(scene.name(c.substance) for c, point in zip(liquids, points, strict=True) if point is None)
        raise NotKnown(f"the boiling point of {lacking} is not known")
    cuts = order_of_fractions([point for _, point in known])
    order = [cuts[0].before, *(cut.after for cut in cuts)]
    scene.say(
        "order",
        order=joined(f"{scene.name(known[i][0].substance)} ({show(known[i][1], 'temperature')})" for i in order),
    )
    target, columns = scene.value("purity"), scene.laboratory.columns
    faults: dict[str, None] = {}
    for cut in cuts:
        low, high = (scene.substance(known[i][0].substance) for i in (cut.before, cut.after))
        if "liquid" not in (low.phase, high.phase):
            continue  # liquefied gases: only their order is known
        try:
            verdict = _cut(scene, equilibrium_of(scene.table, low, high, scene.pressure), target)
        except (OutOfRange, ChooseMethodError) as fault:
            faults.setdefault(str(fault).rstrip("."))
            continue
        gap = show(cut.gap, "temperature difference")
        scene.say("cut", low=low.name, high=high.name, gap=gap, verdict=verdict)
    neighbours = {frozenset((cut.before, cut.after)) for cut in cuts}
    for place, here in enumerate(order):
        for there in order[place + 1 :]:
            row = scene.table.pair("azeotropes", known[here][0].substance, known[there][0].substance)
            if row is None or frozenset((here, there)) in neighbours:
                continue
            names = scene.name(known[here][0].substance), scene.name(known[there][0].substance)
            at = f" at {row['at']}" if row.get("at") and scene.pressure == STANDARD_PRESSURE else ""
            scene.say("cut-apart", low=names[0], high=names[1], kind=row["kind"], at=at)
            scene.cite(row.get("source", ""))
    if faults:
        scene.say("not-worked-out", reason=next(iter(faults)))
    scene.cite(*(column.source for column in columns))


def _cut(scene: Scene, found: Equilibrium, target: float) -> str:
    common = scene.laboratory.columns[0]
    low, high = found.first, found.second
    scene.cite(*found.sources)
    side = _side(found, 0.5)
    needed = _plates(side.curve, 0.5, target)
    if needed is None:
        if side.pinch is None:
            return scene.laboratory.say("verdict-no-column", target=f"{100 * target:g}", rich=side.rich.name)
        limit = scene.laboratory.say("cut-limit", mole=mole_percent(side.pinch), rich=side.rich.name)
        return scene.laboratory.say("cut-azeotrope", limit=limit)
    listed = [(common.name, common.least, common.most)]
    suffices = scene.laboratory.say(f"suffices-{columns_that_suffice(needed, listed)[0][1]}")
    scene.number(
        f"theoretical plates between {low.name} and {high.name}",
        round(needed, 1),
        "pure number",
        found.how,
        found.sources[-1] if found.sources else "",
        found.basis,
    )
    return scene.laboratory.say(
        "cut-plates",
        plates=f"{needed:.1f}",
        target=f"{100 * target:g}",
        column=common.name,
        suffices=suffices,
        how=found.how,
    )


TELLERS: Mapping[str, Callable[[Scene], None]] = {
    "distillation": tell, "distillation-column": instead, "distillation-instead": instead
}  # fmt: skip
