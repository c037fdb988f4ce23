"""Reactions: what reacts, or is dangerous, among the substances of a mixture, derived from the rows of the table.

A row speaks of substances, classes, kinds or groups, so a foil, a powder and a dilute acid take part in what their class
takes part in. One fact comes out for each set of components that react: how bad it is, what sets it off, what it gives.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import NamedTuple

from choosemethod.table.model import Danger, Group, Substance
from choosemethod.table.table import Table

__all__ = ["DANGERS", "Held", "Part", "Reactions", "cation_of", "salt_name"]

DANGERS = ("none", "caution", "no-acid", "no-heat", "reacts", "refuse")  # the least first
_WETTING = ("liquid", "dissolved", "suspended", "emulsified", "colloidal")
_SPECIFIC = {"substance": 2, "group": 1, "class": 1, "kind": 0}
_SALT = "{salt}"
_OF_IONS = ("ionic", "oxide", "hydroxide", "carbonate", "hydrogencarbonate", "sulfide")


class Part(NamedTuple):
    """A component as reactions see it: its key, what it is, its form ("" for any), and whether only an organic liquid
    wets it."""

    key: str
    substance: Substance
    form: str = ""
    dry: bool = False


class Held(NamedTuple):
    """A row that holds: its number, the row with its places filled, the keys it holds between, how bad it is as things are.

    severity: a word of DANGERS; triggers: what sets it off; now: it goes on as they are, and needs no more water.
    """

    number: int
    row: Danger
    between: tuple[str, ...]
    severity: str
    triggers: tuple[str, ...]
    now: bool

    @property
    def rank(self) -> tuple[int, int, int, int]:
        """The worst first; of equally bad ones that of most members, then the one that names most, then the table's order."""
        members = (self.row.first, *([self.row.second] if self.row.second is not None else []), *self.row.more)
        named = sum(_SPECIFIC[how] for how, _ in members)
        return -DANGERS.index(self.severity), -len(self.between), -named, self.number


def _called(substance: Substance) -> tuple[tuple[str, str], ...]:
    """What a row or group may call a substance by; a foil or a dilute acid also goes by what it is a form of."""
    ids = (substance.id, substance.like) if substance.like else (substance.id,)
    classes = (("class", word) for word in substance.classes)
    return (*(("substance", id) for id in ids), ("kind", substance.kind), *classes)


class Reactions:
    """The reactions and dangers of a table.

    water: id of the ordinary solvent, which wets what needs water to react.
    """

    def __init__(self, table: Table, water: str) -> None:
        self.table = table
        self.water = water
        told = table.reactivity()
        self.rows: tuple[Danger, ...] = (*table.dangers(), *table.dangers_between_several())
        self.adding: Mapping[str, str] = dict(told.adding)
        self._all: Mapping[str, Group] = {group.name: group for group in told.groups}
        self._anions, self._cations = dict(told.anions), dict(told.cations)
        self._named: dict[tuple[str, str], list[tuple[int, int]]] = {}
        for number, row in enumerate(self.rows):
            for place, who in enumerate(_members(row)):
                self._named.setdefault(who, []).append((number, place))
        self._groups: dict[tuple[str, str], tuple[str, ...]] = {}
        self._members: dict[tuple[str, str], frozenset[tuple[int, int]]] = {}

    # ---- one substance -------------------------------------------------------------------------------------------

    def groups(self, substance: Substance, form: str = "") -> tuple[str, ...]:
        """The groups a substance belongs to in a form ("" for any form), in the order of the table."""
        found = self._groups.get((substance.id, form))
        if found is None:
            mine = set(_called(substance))
            names = [name for name in self._all if self._belongs(name, mine, form, ())]
            found = self._groups[substance.id, form] = tuple(names)
        return found

    def _belongs(self, name: str, mine: Collection[tuple[str, str]], form: str, above: tuple[str, ...]) -> bool:
        group = self._all.get(name)
        if group is None or name in above or (group.forms and form and form not in group.forms):
            return False

        def has(who: tuple[str, str]) -> bool:
            how, word = who
            return self._belongs(word, mine, form, (*above, name)) if how == "group" else who in mine

        return any(has(who) for who in group.of) and not any(has(who) for who in group.but)

    def members(self, substance: Substance, form: str = "") -> frozenset[tuple[int, int]]:
        """Which member of a row (its number, place in it) a substance can be in a form ("" for any)."""
        found = self._members.get((substance.id, form))
        if found is None:
            names = [*_called(substance), *(("group", name) for name in self.groups(substance, form))]
            places = frozenset(place for name in names for place in self._named.get(name, ()))
            found = self._members[substance.id, form] = places
        return found

    # ---- several -------------------------------------------------------------------------------------------------

    def between(self, a: Substance, b: Substance) -> Danger | None:
        """The worst row of two substances whatever their forms, wet or dry; None if there is none."""
        if a.id == b.id:
            return None
        held = self.held((Part("a", a), Part("b", b)), wet=True)
        return next((one.row._replace(severity=one.severity) for one in held if len(one.between) > 1), None)

    def held(self, parts: Sequence[Part], wet: bool | None = None) -> list[Held]:
        """What reacts or is dangerous among these, the worst first; one for each set of components.

        wet: whether there is water about; None to see it from the parts.
        """
        found: dict[int, dict[int, list[str]]] = {}
        by_key = {part.key: part for part in parts}
        for part in parts:
            for number, place in self.members(part.substance, part.form):
                found.setdefault(number, {}).setdefault(place, []).append(part.key)
        soaked = wet is None and any(part.substance.id == self.water and part.form in ("", "liquid") for part in parts)
        best: dict[frozenset[str], Held] = {}
        triggers: dict[frozenset[str], dict[str, None]] = {}
        for number in sorted(found):
            row = self.rows[number]
            size = len(_members(row))
            if len(found[number]) < size:
                continue
            for chosen in _assigned([sorted(found[number][place]) for place in range(size)], by_key):
                damp = (
                    soaked or any(by_key[key].form in _WETTING and not by_key[key].dry for key in chosen)
                    if wet is None
                    else wet
                )
                now = row.when == "" or (damp if row.when == "wet" else not soaked)
                severity = row.severity if now else "caution"
                sets_off = (*row.triggers, "water") if row.when == "wet" and not now else row.triggers
                one = Held(number, self._filled(row, chosen, by_key), tuple(chosen), severity, sets_off, now)
                key = frozenset(chosen)
                triggers.setdefault(key, {}).update(dict.fromkeys(sets_off))
                if key not in best or one.rank < best[key].rank:
                    best[key] = one
        whole = [one._replace(triggers=tuple(triggers[key])) for key, one in best.items()]
        return sorted(whole, key=lambda one: (one.rank, one.between))

    def _filled(self, row: Danger, chosen: Sequence[str], parts: Mapping[str, Part]) -> Danger:
        if _SALT not in row.gives + row.then + row.danger:
            return row
        salt = self.salt([parts[key].substance for key in chosen]) or "a salt"
        return row._replace(
            gives=row.gives.replace(_SALT, salt),
            then=row.then.replace(_SALT, salt),
            danger=row.danger.replace(_SALT, salt),
        )

    def salt(self, substances: Sequence[Substance]) -> str:
        """Name of the salt of an acid and a metal or base among these; "" if it is not known."""
        plain = [self.table.substance(one.like) if one.like else one for one in substances]
        return salt_name(plain, self._anions, self._cations)


def cation_of(substance: Substance, cations: Mapping[str, str]) -> str:
    """The first part of the name of the salts a metal or a compound of it gives; "" if it gives none."""
    cation = cations.get(substance.id, "")
    if not cation and "metal" in substance.classes:
        return substance.name
    if not cation and any(word in _OF_IONS for word in substance.classes) and " " in substance.name:
        return substance.name.rpartition(" ")[0]
    return cation


def salt_name(substances: Sequence[Substance], anions: Mapping[str, str], cations: Mapping[str, str]) -> str:
    """The same, by what an acid and a metal or base give to a salt's name (substances/reactivity.yaml)."""
    acid = next((one for one in substances if one.id in anions), None)
    if acid is None:
        return ""
    for other in substances:
        cation = cation_of(other, cations)
        if other is not acid and cation:
            return f"{cation} {anions[acid.id]}"
    return ""


def _members(row: Danger) -> tuple[tuple[str, str], ...]:
    return (row.first, *([row.second] if row.second is not None else []), *row.more)


def _assigned(fitting: Sequence[Sequence[str]], parts: Mapping[str, Part]) -> Iterator[tuple[str, ...]]:
    """Every set of components that fills the places of a row, no substance twice; each set once."""
    seen: set[frozenset[str]] = set()

    def place(chosen: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
        if len(chosen) == len(fitting):
            if frozenset(chosen) not in seen:
                seen.add(frozenset(chosen))
                yield chosen
            return
        for key in fitting[len(chosen)]:
            if all(parts[key].substance.id != parts[other].substance.id for other in chosen):
                yield from place((*chosen, key))

    yield from place(())
