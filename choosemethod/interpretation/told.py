"""Reactions a question tells of: what it says reacted and what was formed, and an acid, what it acted on and their salt;
and salts whose ions it names besides."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

from choosemethod.chemistry.ions import counts
from choosemethod.precipitants import ions_in
from choosemethod.reactions import cation_of, salt_name
from choosemethod.reading.precipitates import exchanged
from choosemethod.reading.roles import Part
from choosemethod.reading.utterance import Utterance
from choosemethod.table import Table, normalise
from choosemethod.table.model import Substance

__all__ = ["named_twice", "salt_makers", "told_reaction"]

_ALKALI = "strong base"
_MANY = 8  # salts: a question with more tells of no single preparation
_REACT, _FORM = ("react", "reacted", "reacting"), ("form", "forming", "give", "giving", "make", "making", "produce")


def told_reaction(utterance: Utterance) -> Mapping[int, str]:
    """Place of a part -> start or product, in a sentence that says that this reacts to form that."""
    found: dict[int, str] = {}
    pieces = utterance.pieces
    for place, piece in enumerate(pieces):
        if piece.norm.split(" ")[0] not in _REACT:
            continue
        later = [n for n in range(place, len(pieces)) if pieces[n].sentence == piece.sentence and pieces[n].norm in _FORM]
        inside = [part for part in utterance.parts if part.sentence == piece.sentence and part.meanings]
        starts = [part for part in inside if later and part.place < later[0]]
        found.update({part.place: "start" for part in starts})
        formed = [part for part in inside if starts and part.place > later[0] and part.clause == starts[-1].clause]
        found.update({part.place: "product" for part in formed})
    return found if {"start", "product"} <= set(found.values()) else {}


def _solute(part: Part, table: Table) -> Substance | None:
    """The substance a part names; of a solution that is a named mixture what is dissolved in it."""
    if part.name is None or table.has(part.name.id):
        return table.substance(part.name.id) if part.name is not None else None
    inside = [one for one in table.mixture(part.name.id).components if one.form == "dissolved"]
    return table.substance(inside[0].substance) if len(inside) == 1 else None


def salt_makers(parts: Sequence[Part], table: Table) -> Mapping[int, str]:
    """Place of a part -> acid, solid (or alkali) or salt, where an acid, a solid it acts on and the salt of both are all
    named; partner, partner and precipitate, where two salts and one they make by exchanging their ions are; or start and
    precipitate, where a metal or a compound of it and another of its salts are."""
    named = [(part, one) for part in parts if (one := _solute(part, table)) is not None]
    told = table.reactivity()
    anions, cations = dict(told.anions), dict(told.cations)
    acids = [(part, one) for part, one in named if one.id in anions]
    solids = [(part, one) for part, one in named if one.phase == "solid" or one.id in cations] if acids else []
    found: dict[int, str] = {}
    for part, acid in acids:
        for other, solid in solids:
            plain = table.substance(solid.like) if solid.like else solid
            name = normalise(salt_name([acid, plain], anions, cations))
            salts = [one for one, salt in named if name and salt.id != solid.id and normalise(salt.name) == name]
            if salts:
                kind = "alkali" if _ALKALI in plain.classes else "solid"
                found.update({part.place: "acid", other.place: kind, **{one.place: "salt" for one in salts}})
    ionic = [(part, one) for part, one in named if counts(one.formula) is not None and "ionic" in one.classes]
    for (part, first), (other, second) in combinations(ionic if not found and len(ionic) < _MANY else [], 2):
        made = exchanged(first.formula, second.formula, table) or ()
        here = [one.place for one, salt in ionic if salt.id in made]
        if here:
            found.update({part.place: "partner", other.place: "partner", **dict.fromkeys(here, "precipitate")})
    for part, salt in [pair for pair in named if pair[1].kind == "salt" and not found]:
        for other, start in named:
            if start is not salt and salt.name.rpartition(" ")[0] == cation_of(start, cations):
                found.update({part.place: "precipitate", other.place: "start"})
    return found


def named_twice(parts: Sequence[Part], table: Table) -> Mapping[int, str]:
    """Place of a part -> salt, where an ion that only it holds is named besides, of each of several salts; else ion, where a
    salt named besides holds it."""
    named = [
        (part, table.substance(part.name.id))
        for part in parts
        if part.name is not None and table.has(part.name.id) and part.role in ("component", "wanted", "removed", "host", "source")
    ]
    loose = {one.id for _, one in named if one.kind == "ion"}
    if not loose:
        return {}
    held = {one.id: {ion.id for ion in ions_in(one, table)} for _, one in named if one.kind != "ion"}
    held = {id: ions for id, ions in held.items() if ions}
    own = {id: ions - set[str]().union(*[other for key, other in held.items() if key != id]) for id, ions in held.items()}
    if len(held) > 1 and all(ions & loose for ions in own.values()):
        return {part.place: "salt" for part, one in named if one.id in held}
    return {part.place: "ion" for part, one in named if any(one.id in ions for ions in held.values())}
