"""Reactions a question tells of: what it says reacted and what was formed, and an acid, what it acted on and their salt;
and salts whose ions it names besides."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from choosemethod.precipitants import ions_in
from choosemethod.reactions import salt_name
from choosemethod.reading.roles import Part
from choosemethod.reading.utterance import Utterance
from choosemethod.table import Table, normalise

__all__ = ["named_twice", "salt_makers", "told_reaction"]

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


def salt_makers(parts: Sequence[Part], table: Table) -> Mapping[int, str]:
    """Place of a part -> acid, solid or salt, where an acid, a solid it acts on and the salt of both are all named."""
    named = [
        (part, table.substance(part.name.id)) for part in parts if part.name is not None and table.has(part.name.id)
    ]
    told = table.reactivity()
    anions, cations = dict(told.anions), dict(told.cations)
    acids = [(part, one) for part, one in named if one.id in anions]
    solids = [(part, one) for part, one in named if one.phase == "solid"] if acids else []
    found: dict[int, str] = {}
    for part, acid in acids:
        for other, solid in solids:
            plain = table.substance(solid.like) if solid.like else solid
            name = normalise(salt_name([acid, plain], anions, cations))
            salts = [one for one, salt in named if name and salt.id != solid.id and normalise(salt.name) == name]
            if salts:
                found.update({part.place: "acid", other.place: "solid", **{one.place: "salt" for one in salts}})
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
