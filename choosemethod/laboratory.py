"""The laboratory: columns, pumps, glassware, rules of thumb, and what the forecasts are worked out and said with.

Kept in rules/columns.yaml, conventions.yaml, pumps.yaml, vessels.yaml and forecasts.yaml and read by
`choosemethod.load_laboratory`. All numbers are in SI units.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, NamedTuple

__all__ = ["BASES", "KINDS", "LINES", "NUMBERS", "VESSELS", "Column", "Convention", "Laboratory", "Pump", "Vessels"]

PLACE = re.compile(r"\{([a-z_]+)\}")

# The forecasts there are.
KINDS = (
    "distillation",
    "distillation-column",
    "distillation-instead",
    "reduced-pressure",
    "steam",
    "layers",
    "extraction",
    "dissolving",
    "crystallisation",
    "evaporation",
    "fractional-crystallisation",
    "settling",
    "spinning",
    "sublimation",
    "gases",
)
# The numbers they need, with the dimension of each ("viscosity" is in mPa s).
NUMBERS: Mapping[str, str] = {
    "purity": "fraction",
    "first-fraction": "fraction",
    "later-fraction": "fraction",
    "basis-volume": "volume",
    "basis-mass": "mass",
    "basis-solvent": "mass",
    "ice": "temperature",
    "basis-little": "mass",
    "much-solvent": "mass",
    "room": "temperature",
    "hot": "temperature",
    "below-decomposition": "temperature difference",
    "below-boiling": "temperature difference",
    "hot-at-least": "temperature difference",
    "portions": "pure number",
    "portion-share": "fraction",
    "depth": "length",
    "spin-radius": "length",
    "spin-speed": "frequency",
    "spin-depth": "length",
    "viscosity": "viscosity",
}
# What an equilibrium can rest on; each needs an uncertainty.
BASES = ("published", "ideal", "fitted", "estimated", "assumed")
VESSELS = ("flask", "funnel")
# The sentences, and the words in braces each may hold.
LINES: Mapping[str, tuple[str, ...]] = {
    key: tuple(places.split())
    for key, places in {
        "basis": "amounts mole first pressure label",
        "first-fraction": "drop rich tenth purity mass recovery",
        "plain-still": "drop rich tenth purity mass recovery",
        "by-mass": "mass",
        "equal-moles": "",
        "later-fraction": "share purity rich recovery",
        "plates": "target first plates",
        "plates-doubt": "low high fenske",
        "plates-few": "target first",
        "no-plates-needed": "target first",
        "column": "column length least most verdict",
        "no-column": "target rich column reached limit",
        "azeotrope": "kind mass first mole temperature how top bottom",
        "shifted-azeotrope": "known mass first pressure mole",
        "conventions": "gap simple fractional verdict",
        "convention": "limits",
        "no-convention": "",
        "verdict-azeotrope": "target rich",
        "verdict-no-column": "target rich",
        "verdict-starts": "target",
        "verdict-simple": "target",
        "verdict-few": "target",
        "verdict-more": "plates target",
        "verdict-fractional": "plates target",
        "suffices-yes": "",
        "suffices-perhaps": "",
        "suffices-no": "",
        "azeotrope-ignored": "",
        "could-change": "plates column",
        "model-note": "note",
        "not-worked-out": "reason",
        "order": "order",
        "cut": "low high gap verdict",
        "cut-plates": "plates target column suffices how",
        "cut-azeotrope": "limit",
        "cut-apart": "low high kind at",
        "cut-limit": "mole rich",
        "flask": "volume size vessel filled roomy",
        "flask-portions": "volume portions size vessel filled",
        "most-product": "mass name volume",
        "steam": "name carrier temperature how ratio",
        "steam-amount": "mass name water carrier",
        "steam-measured": "at",
        "reduced": "name normal pressure low pump temperature how",
        "reduced-safe": "spoils safe_at safe_pressure reach",
        "layer-order": "order",
        "layer-gap": "upper lower gap risk",
        "emulsion": "",
        "which-layer": "",
        "layer-mutual": "first second first_in second_in at",
        "layer-mutual-one": "first second first_in at",
        "layer-amounts": "first_mass first second_mass second rich poor lost",
        "layer-one": "",
        "funnel": "volume size vessel filled most",
        "funnel-portions": "volume portions size vessel filled most",
        "extraction": "name into from ratio portion left list once",
        "extraction-hardly": "name into from ratio",
        "extraction-volumes": "volume portions portion into",
        "solvent-needed": "mass name cold solvent room hot",
        "solvent-hot": "mass hot",
        "solvent-stays": "mass name liquid solvent dissolved room",
        "cooling": "solute name solvent_mass solvent hot crystals cold recovery",
        "cooling-hydrate": "solute name solvent_mass solvent hot crystals hydrate cold recovery",
        "cooling-none": "hot cold solvent at_hot at_cold name",
        "evaporated": "mass name",
        "evaporated-hydrate": "mass name hydrate_mass hydrate loses",
        "saturated": "room solvent_mass solvent mass name",
        "two-salts": "first_mass first second_mass second solvent_mass solvent hot leader begins pure recovery ends",
        "two-salts-note": "",
        "settling": "name size depth liquid time law",
        "settling-rises": "name size depth liquid time law",
        "settling-never": "name size",
        "settling-fast": "name size",
        "spinning": "speed radius force depth time",
        "spinning-force": "speed radius force",
        "sublimes-triple": "name triple_temperature triple_pressure local",
        "sublimes-outright": "name temperature local",
        "gas-order": "pressure order",
        "gas-boils": "order",
    }.items()
}


class Column(NamedTuple):
    """A fractionating column: the least and most theoretical plates it gives."""

    name: str
    length: str
    least: float
    most: float
    source: str


class Convention(NamedTuple):
    """A rule of thumb: the boiling gap (K) from which it says that simple distillation does."""

    gap: float
    source: str


class Pump(NamedTuple):
    """A pump and the lowest pressure (Pa) it reaches."""

    name: str
    reaches: float
    source: str


class Vessels(NamedTuple):
    """Sizes (m3) of one kind of glassware, and the shares of it that are filled at least and at most."""

    name: str
    sizes: tuple[float, ...]
    least: float
    most: float


class Laboratory(NamedTuple):
    """What the bench has and how forecasts are worked out and said; made by `read_laboratory` or `from_plain`."""

    columns: tuple[Column, ...]
    conventions: tuple[Convention, ...]
    pumps: tuple[Pump, ...]
    vessels: Mapping[str, Vessels]
    techniques: Mapping[str, tuple[str, ...]]  # technique -> kinds of forecast
    numbers: Mapping[str, float]
    sources: Mapping[str, str]  # of the numbers
    uncertainty: Mapping[str, float]
    lines: Mapping[str, str]
    short: tuple[str, ...] = ()  # sentences that a short answer gives as well

    def plain(self) -> tuple[Any, ...]:
        """As `marshal` writes it."""
        return tuple(
            dict(part) if isinstance(part, Mapping) else part
            for part in (
                tuple(map(tuple, self.columns)),
                tuple(map(tuple, self.conventions)),
                tuple(map(tuple, self.pumps)),
                {key: tuple(vessels) for key, vessels in self.vessels.items()},
                *self[4:],
            )
        )

    @staticmethod
    def from_plain(plain: tuple[Any, ...]) -> Laboratory:
        """The inverse of `plain`."""
        columns, conventions, pumps, vessels, *rest = plain
        return Laboratory(
            tuple(Column(*one) for one in columns),
            tuple(Convention(*one) for one in conventions),
            tuple(Pump(*one) for one in pumps),
            {key: Vessels(*one) for key, one in vessels.items()},
            *rest,
        )

    def say(self, key: str, **places: str) -> str:
        """A sentence with its words filled in."""
        return PLACE.sub(lambda match: places[match[1]], self.lines[key])
