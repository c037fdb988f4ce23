"""Substances and named mixtures as plain tuples and back, so that a cache can keep them compactly."""

from __future__ import annotations

import zlib
from typing import Any

from choosemethod.table.model import (
    Danger,
    Group,
    MixturePart,
    NamedMixture,
    Reactivity,
    ReagentEntry,
    Solubility,
    Substance,
    Value,
    VapourPressure,
)

__all__ = [
    "pack_danger",
    "pack_mixture",
    "pack_reactivity",
    "pack_substance",
    "text_hash",
    "unpack_danger",
    "unpack_mixture",
    "unpack_reactivity",
    "unpack_substance",
]


def _fields(thing: Any) -> tuple[Any, ...]:
    return tuple(thing)


def text_hash(text: str) -> int:
    """The number a text is looked up by; several texts may share one."""
    return zlib.crc32(text.encode("utf-8", "surrogatepass"))


def pack_substance(substance: Substance) -> tuple[Any, ...]:
    """One substance as a plain tuple."""
    vapour = substance.vapour_pressure
    return (
        substance.id,
        substance.name,
        substance.phase,
        substance.kind,
        substance.also,
        substance.formula,
        substance.cas,
        substance.classes,
        [_fields(value) for value in substance.values.values()],
        [_fields(entry) for entry in substance.solubility.values()],
        None if vapour is None else _fields(vapour),
        {key: [_fields(entry) for entry in entries] for key, entries in substance.reagents.items()},
        substance.given,
        substance.file,
        substance.line,
        substance.like,
    )


def unpack_substance(plain: tuple[Any, ...]) -> Substance:
    """The substance of `pack_substance`; ValueError or TypeError if the tuple is not its."""
    id, name, phase, kind, also, formula, cas, classes, values, solubility, vapour, reagents, *rest = plain
    return Substance(
        id,
        name,
        phase,
        kind,
        also,
        formula,
        cas,
        classes,
        {entry[0]: Value(*entry) for entry in values},
        {entry[0]: Solubility(*entry) for entry in solubility},
        None if vapour is None else VapourPressure(*vapour),
        {key: tuple(ReagentEntry(*entry) for entry in entries) for key, entries in reagents.items()},
        *rest,
    )


def pack_mixture(mixture: NamedMixture) -> tuple[Any, ...]:
    """One named mixture as a plain tuple."""
    parts = tuple(_fields(part) for part in mixture.components)
    return tuple(parts if name == "components" else getattr(mixture, name) for name in NamedMixture._fields)


def unpack_mixture(plain: tuple[Any, ...]) -> NamedMixture:
    """The mixture of `pack_mixture`; ValueError or TypeError if the tuple is not its."""
    id, name, source, also, parts, *rest = plain
    return NamedMixture(id, name, source, also, tuple(MixturePart(*part) for part in parts), *rest)


def pack_danger(danger: Danger) -> tuple[Any, ...]:
    """One danger as a plain tuple."""
    return _fields(danger)


def unpack_danger(plain: tuple[Any, ...]) -> Danger:
    """The danger of `pack_danger`."""
    return Danger(*plain)


def pack_reactivity(reactivity: Reactivity) -> tuple[Any, ...]:
    """Groups, ions and triggers as a plain tuple."""
    return tuple(_fields(group) for group in reactivity.groups), *reactivity[1:]


def unpack_reactivity(plain: tuple[Any, ...]) -> Reactivity:
    """The reactivity of `pack_reactivity`."""
    groups, *rest = plain
    return Reactivity(tuple(Group(*group) for group in groups), *rest)
