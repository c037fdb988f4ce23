"""Forecast: what to expect of a step, in numbers: purities, yields, temperatures, times, vessels.

Each kind of forecast has a module of its own, loaded when a step needs it. What is not known is left out or said to be
not worked out; nothing is guessed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib import import_module

from choosemethod.advice.answer import Forecast, NumberShown
from choosemethod.chemistry.vapour_pressure import OutOfRange
from choosemethod.errors import ChooseMethodError
from choosemethod.facts import Fact, weakest
from choosemethod.laboratory import Laboratory
from choosemethod.mixture import Component, Mixture
from choosemethod.quantity import show
from choosemethod.table.model import Substance
from choosemethod.table.table import Table

__all__ = ["Scene", "forecast"]

_MODULES = {
    "distillation": "distillation",
    "distillation-column": "distillation",
    "distillation-instead": "distillation",
    "reduced-pressure": "heat",
    "steam": "heat",
    "layers": "layers",
    "extraction": "layers",
    "dissolving": "solutions",
    "crystallisation": "solutions",
    "evaporation": "solutions",
    "fractional-crystallisation": "solutions",
    "settling": "particles",
    "spinning": "particles",
    "sublimation": "particles",
    "gases": "particles",
}


class Scene:
    """One step as forecasts see it, and what they say of it.

    before, during: components before the step and after its changes; products: components of each product; added: id
    of what the step brings in; facts: component facts during the step, by key; boils: whether the step boils liquids;
    dangerous: its components must not be heated together.
    """

    def __init__(
        self,
        table: Table,
        laboratory: Laboratory,
        pressure: float,
        water: str,
        mixture: Mixture,
        before: Sequence[Component],
        during: Sequence[Component],
        products: Sequence[Sequence[Component]],
        added: str,
        facts: Mapping[str, Fact],
        boils: bool,
        dangerous: bool,
        limits: Mapping[str, float],
    ) -> None:
        self.table = table
        self.laboratory = laboratory
        self.pressure = pressure
        self.water = water
        self.mixture = mixture
        self.before = [c for c in before if not c.trace]
        self.during = [c for c in during if not c.trace]
        self.products = [[c for c in product if not c.trace] for product in products]
        self.added = added
        self.facts = facts
        self.boils = boils
        self.dangerous = dangerous
        self.limits = limits
        self.lines: list[str] = []
        self.optional: list[str] = []
        self.numbers: list[NumberShown] = []
        self.sources: dict[str, None] = {}

    # ---- what is said --------------------------------------------------------------------------------------------

    def say(self, key: str, **places: str) -> None:
        """Add a sentence."""
        text = self.laboratory.say(key, **places)
        text = text[:1].upper() + text[1:]
        self.lines.append(text)
        if key not in self.laboratory.short:
            self.optional.append(text)

    def number(self, name: str, value: float, dimension: str, how: str, source: str = "", note: str = "") -> None:
        """Add a number (SI) with its name and how it was obtained."""
        how = weakest(how, self.table.how(source))
        text = show(value, dimension)
        unit = text.rpartition(" ")[2] if " " in text else ""
        self.numbers.append(NumberShown(name, text, value, unit, how, source, note))
        self.cite(source)

    def cite(self, *keys: str) -> None:
        """Note sources that were used."""
        for key in keys:
            if key:
                self.sources.setdefault(key)

    # ---- what is known -------------------------------------------------------------------------------------------

    def value(self, name: str) -> float:
        """A number of rules/forecasts.yaml in SI units."""
        return self.laboratory.numbers[name]

    def substance(self, ident: str) -> Substance:
        """A substance of the table."""
        return self.table.substance(ident)

    def name(self, ident: str) -> str:
        """Name of a substance."""
        return self.table.substance(ident).name

    def property(self, ident: str, prop: str) -> float | None:
        """A numeric property (SI), the middle of a range; None if it is not known."""
        value = self.table.substance(ident).values.get(prop)
        if value is None or value.number is None:
            return None
        self.cite(value.source)
        return value.number if value.high is None else (value.number + value.high) / 2

    def fact(self, ident: str, slot: str) -> float | None:
        """A number the facts hold of a component; None if it is not known."""
        for fact in self.facts.values():
            value = fact.slots.get(slot)
            if fact.slots.get("substance") == ident and isinstance(value, float):
                return value
        return None

    def liquids(self) -> list[Component]:
        """The liquids of the mixture, each substance once, in order of id."""
        found = {c.substance: c for c in self.before if c.form == "liquid"}
        return [found[key] for key in sorted(found)]

    def mass(self, component: Component) -> float | None:
        """Mass (kg) if the question gives it, or gives a volume of known density."""
        if component.mass is not None or component.volume is None:
            return component.mass
        density = self.property(component.substance, "density")
        return None if density is None else component.volume * density

    def volume(self, component: Component) -> float | None:
        """Volume (m3) if the question gives it, or gives a mass of known density."""
        if component.volume is not None or component.mass is None:
            return component.volume
        density = self.property(component.substance, "density")
        return None if density is None else component.mass / density

    def amount(self, component: Component) -> str:
        """The amount as the question gives it, with the name; "" if it gives none."""
        if component.mass is not None:
            return f"{show(component.mass, 'mass')} of {self.name(component.substance)}"
        if component.volume is not None:
            return f"{show(component.volume, 'volume')} of {self.name(component.substance)}"
        return ""


def forecast(kinds: Sequence[str], scene: Scene) -> Forecast:
    """What to expect of a step by these kinds of forecast."""
    for kind in kinds:
        module = import_module(f"choosemethod.advice.forecast_{_MODULES[kind]}")
        try:
            module.TELLERS[kind](scene)
        except (OutOfRange, ChooseMethodError) as fault:
            if kind in ("distillation", "distillation-column"):
                scene.say("not-worked-out", reason=str(fault).rstrip("."))
    return Forecast(
        tuple(dict.fromkeys(scene.lines)), tuple(scene.numbers), tuple(scene.sources), tuple(scene.optional)
    )
