"""Carry out an operation of a technique on a mixture: which component ends in which product, and in what state."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from choosemethod.describe import keys_of
from choosemethod.facts import Fact, SlotValue
from choosemethod.mixture import Component
from choosemethod.rulebook.technique import Change, Part, Takes, Technique

__all__ = ["Outcome", "Product", "carry_out", "tidy"]

_DISPERSED = ("dissolved", "suspended", "colloidal", "emulsified", "airborne")


class Product(NamedTuple):
    """One product of a step: the part of the operation it is, its components, and what that part says of it."""

    part: Part
    components: tuple[Component, ...]

    @property
    def asked(self) -> tuple[Component, ...]:
        """The components that belong to the question (not added, no mere traces)."""
        return tuple(c for c in self.components if not c.added and not c.trace)


class Outcome(NamedTuple):
    """What a step does: the mixture after its changes (`whole`) and the products it parts into (none: it parts nothing)."""

    whole: tuple[Component, ...]
    products: tuple[Product, ...]
    added: str = ""
    organic: str = ""  # the liquid for shaking out with that comes in beside what is added


class _Scene:
    """The facts an operation looks at: its components with their slots, and the facts bound to the roles."""

    def __init__(
        self, components: Sequence[Component], facts: Mapping[str, Fact], roles: Mapping[str, Fact], added: str
    ) -> None:
        self.keys = keys_of(components)
        self.slots: dict[str, dict[str, SlotValue]] = {
            key: facts[key].slots if key in facts else {} for key in self.keys
        }
        self.roles = roles
        self.added = added

    def takes(self, takes: Takes, key: str, component: Component, forms: Mapping[str, str]) -> bool:
        """Whether a component is taken; `forms` holds the forms changed so far."""
        slots = self.slots[key]
        for test in takes.tests:
            value: SlotValue = forms.get(key, component.form) if test.slot == "form" else slots.get(test.slot)
            if not test(value):
                return False
        if takes.roles and not any(self._is_role(role, key, component) for role in takes.roles):
            return False
        for role, slot in takes.within:
            listed = self._listed(role, slot)
            if listed is None or key not in listed:
                return False
        for role, slot in takes.outside:
            listed = self._listed(role, slot)
            if listed is not None and key in listed:
                return False
        for own, operator, role, slot in takes.compare:
            fact = self.roles.get(role)
            if fact is None or not _compared(slots.get(own), operator, fact.slots.get(slot)):
                return False
        return True

    def _is_role(self, role: str, key: str, component: Component) -> bool:
        if role == "added":
            return (
                component.added and component.substance == self.added and component.form in ("liquid", "solid", "gas")
            )
        fact = self.roles.get(role)
        return fact is not None and fact.key == key

    def _listed(self, role: str, slot: str) -> tuple[str, ...] | None:
        fact = self.roles.get(role)
        if fact is None:
            return None
        value = fact.slots.get(slot)
        return value if isinstance(value, tuple) else (str(value),) if value is not None else None


def _compared(mine: SlotValue, operator: str, other: SlotValue) -> bool:
    if operator == "is":
        return mine is not None and mine == other
    if not isinstance(mine, float) or not isinstance(other, float):
        return False
    return {
        "at_least": mine >= other - 1e-9,
        "at_most": mine <= other + 1e-9,
        "above": mine > other,
        "below": mine < other,
    }[operator]


def carry_out(
    technique: Technique,
    components: tuple[Component, ...],
    facts: Mapping[str, Fact],
    roles: Mapping[str, Fact],
    ordinary: str,
    organic: str = "",
) -> Outcome | None:
    """Carry a technique out on a mixture.

    components: the mixture; facts: its component facts by key; roles: the facts bound by the proposing rule; ordinary:
    id of the ordinary solvent; organic: id of the liquid for shaking out with that may be used here, "" for none.
    None if the technique would change nothing, or part nothing.
    """
    added = ""
    if technique.adds:
        if technique.adds == "ordinary":
            added = ordinary
        elif technique.adds in roles:
            slots = roles[technique.adds].slots
            added = str(slots.get("substance") or slots["id"])
    scene = _Scene(components, facts, roles, added)
    forms: dict[str, str] = {}
    changed: dict[str, Component] = {}
    before = dict(zip(scene.keys, components, strict=True))
    lent = False  # whether the liquid for shaking out with comes in
    for change in technique.changes:
        if change.host == "organic" and not organic:
            continue
        for key, component in before.items():
            if key not in changed and any(scene.takes(takes, key, component, forms) for takes in change.takes):
                changed[key] = _changed(key, component, change, added, organic, ordinary, roles)
                forms[key] = changed[key].form
                lent |= change.host == "organic"
    now = {key: changed.get(key, component) for key, component in before.items()}
    if lent and not any(c.substance == organic for c in components):
        now[f"{organic}|organic"] = Component(organic, "liquid", added=True)
        scene.slots[f"{organic}|organic"] = {"added": "yes", "form": "liquid", "ordinary": "no", "phase": "liquid"}
    if added and not any(c.substance == added and c.added for c in components):
        key = f"{added}|added"
        now[key] = Component(added, technique.adds_form, added=True)
        scene.slots[key] = {
            "added": "yes",
            "form": technique.adds_form,
            "ordinary": "yes" if added == ordinary else "no",
        }
        for change in technique.changes:  # what the reaction makes of the reagent itself
            if changed and any("added" in takes.roles for takes in change.takes):
                now[key] = _changed(key, now[key], change, added, organic, ordinary, roles)
    now = _rehosted(before, now)
    if technique.changes and not changed and (added or not technique.adds):
        return None  # what would be added is there already if no rule names it: crystallising from a solution
    if not technique.parts:
        return Outcome(tidy(now.values()), (), added)
    products = _parted(technique, now, scene, forms)
    whole = tidy(now.values())
    filled = [product for product in products if product.components]
    if changed and technique.adds in roles and roles[technique.adds].slots.get("wets"):
        return Outcome(
            whole, (), added
        )  # the solid goes with the liquid it is now suspended in: the next step parts them
    with_asked = [product for product in filled if any(not c.added for c in product.components)]
    if len(with_asked) < 2 and not (len(filled) >= 2 and changed):
        live = [product for product in with_asked if product.asked]
        # parting off only what was added before is progress too: evaporating an added solvent
        if not (len(filled) >= 2 and live and any(c.added for p in filled for c in p.components)):
            return None
    return Outcome(whole, tuple(filled), added, organic if lent else "")


def _rehosted(before: Mapping[str, Component], now: dict[str, Component]) -> dict[str, Component]:
    """The same with what a liquid holds told to be in the liquid it has become."""
    turned = {
        before[key].substance: c.substance
        for key, c in now.items()
        if key in before and c.substance != before[key].substance
    }
    if not turned:
        return now
    return {key: replace(c, host=turned.get(c.host, c.host)) for key, c in now.items()}


def _changed(
    key: str,
    component: Component,
    change: Change,
    added: str,
    organic: str,
    ordinary: str,
    roles: Mapping[str, Fact],
) -> Component:
    host = component.host
    if change.host == "added":
        host = added or component.host
    elif change.host == "organic":
        host = organic
    elif change.host == "none":
        host = ""
    elif change.host != "keep" and change.host in roles:
        host = str(roles[change.host].slots["substance"])
    reacted = component.reacted
    if change.reacted == "none":
        reacted = ""
    elif change.reacted:
        role, _, slot = change.reacted.partition(".")
        fact = roles.get(role)
        given = fact.slots.get(slot) if fact is not None and slot else change.reacted
        if isinstance(given, tuple):  # one for each component of the list it stands in
            listed = next((fact.slots.get(s) for t in change.takes for r, s in t.within if r == role and fact), ())
            given = dict(zip(listed, given, strict=True)).get(key) if isinstance(listed, tuple) else ""
        reacted = str(given or "")
        gas = str(fact.slots.get("gas") or "").replace("-", " ") if fact is not None else ""
        if gas and reacted.endswith(gas):  # the gas has left: "zinc chloride solution and hydrogen"
            reacted = reacted.rpartition(" and ")[0] or reacted
    form = change.form or component.form
    substance = ordinary if change.becomes else component.substance
    return replace(component, substance=substance, form=form, host=host, reacted=reacted)


def _parted(
    technique: Technique, now: Mapping[str, Component], scene: _Scene, forms: Mapping[str, str]
) -> list[Product]:
    taken: dict[str, int] = {}
    groups: list[tuple[Part, list[str]]] = []
    substances = {c.substance: key for key, c in now.items() if c.form in ("liquid", "solid", "gas", "suspended")}
    for part in technique.parts:
        if part.takes[0].rest or (part.carries and part.carries not in scene.roles):
            continue
        mine = [
            key
            for key, component in now.items()
            if key not in taken and any(scene.takes(takes, key, component, forms) for takes in part.takes)
        ]
        for key in mine:
            taken[key] = 1
        if part.with_held:
            held = [k for k, c in now.items() if k not in taken and c.host and substances.get(c.host) in mine]
            for key in held:
                taken[key] = 1
            mine += held
        if part.each:
            groups.extend((part, [key]) for key in mine)
        elif part.each_layer:
            groups.extend(_by_layer(part, mine, now, scene))
        else:
            groups.append((part, mine))
    rest = [key for key in now if key not in taken]
    for part in technique.parts:
        if part.takes[0].rest:
            groups.append((part, rest))
    products = []
    for part, members in groups:
        parted: list[Component] = []
        inside = {now[key].substance for key in members}
        for key in members:
            component = now[key]
            if part.form:
                component = replace(component, form=part.form)
            if part.host == "none":
                component = replace(component, host="")
            parted.append(component)
        cling = [now[k] for k in now if k not in members and now[k].form == "liquid"] if part.keeps == "liquid" else []
        kept = {c.substance for c in cling}
        phases = [str(scene.slots[key].get("phase", "")) for key in members]
        settled = [_without_host(c, inside, kept, phase) for c, phase in zip(parted, phases, strict=True)]
        if settled and part.keeps == "liquid":
            needed = {c.host for c in settled if c.form in _DISPERSED}
            settled += [replace(c, trace=True, added=True) for c in cling if c.substance in needed]
        if part.carries and settled:
            along = str(scene.roles[part.carries].slots["substance"])
            settled.append(Component(along, "liquid", role="impurity", added=True))
        products.append(Product(part, tidy(settled)))
    return products


def _by_layer(
    part: Part, mine: Sequence[str], now: Mapping[str, Component], scene: _Scene
) -> list[tuple[Part, list[str]]]:
    layers: dict[float, list[str]] = {}
    for key in mine:
        layer = scene.slots[key].get("layer")
        host = next((k for k, c in now.items() if c.substance == now[key].host and c.form == "liquid"), "")
        if not isinstance(layer, float) and host:
            layer = scene.slots[host].get("layer")
        layers.setdefault(layer if isinstance(layer, float) else 1.0, []).append(key)
    return [(part, layers[number]) for number in sorted(layers)]


def _without_host(component: Component, inside: set[str], kept: set[str], phase: str) -> Component:
    """A component whose liquid went elsewhere: still wet with a trace of it, or left as it is by itself."""
    if not component.host or component.host in inside or component.form == "embedded":
        return component
    if component.form in _DISPERSED and component.host in kept:
        return component
    form = "solid" if component.form in ("dissolved", "suspended", "colloidal", "airborne") else component.form
    if component.form == "emulsified":
        form = "liquid"
    if component.form == "dissolved" and phase in ("liquid", "gas"):
        form = phase
    return replace(component, form=form, host="")


def tidy(components: Iterable[Component]) -> tuple[Component, ...]:
    """Components in an order that does not depend on how they were named in the question."""
    return tuple(sorted(components, key=lambda c: (c.added, c.trace, c.substance, c.form, c.host)))
