"""Rows about two substances (azeotropes, miscibility, partition) and about liquid families, from YAML to plain rows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from choosemethod.table.load import Reader
from choosemethod.table.schema import nearest, text_of
from choosemethod.yamltext import Block, Items, Node

__all__ = ["Families", "PairRow", "read_families", "read_pairs"]

# Keys of a row that hold an id, in the order in which they make the pair a row is found by.
ID_KEYS = ("first", "second", "from", "into", "solute", "substance")
# Keys of a row that hold one id or a list of ids besides the pair.
MORE_ID_KEYS = ("third", "with", "salt")
AZEOTROPES = ("minimum", "maximum", "heterogeneous", "none")
MIXES = ("fully", "partly", "no")  # how two liquids mix, in miscibility.yaml and by family
# Keys of a row that hold a number with its unit.
QUANTITIES = {
    "at": "temperature",
    "upper_critical": "temperature",
    "lower_critical": "temperature",
    "pressure": "pressure",
    "first_mass": "fraction",
    "first_in_second": "fraction",
    "second_in_first": "fraction",
}


@dataclass(frozen=True, slots=True)
class PairRow:
    """One row: its kind, the ids it is found by (in the row's order), and its texts as written."""

    kind: str
    ids: tuple[str, ...]
    row: dict[str, str]


@dataclass(slots=True)
class Families:
    """Liquid families: id of a substance -> family, and (family, family) in both orders -> how they mix."""

    of: dict[str, str] = field(default_factory=dict)
    mixes: dict[tuple[str, str], str] = field(default_factory=dict)


def _rows(node: Node, line: int) -> Iterator[tuple[Node, int]]:
    """Rows of a file: a list, or a mapping whose values are rows or lists of rows."""
    if isinstance(node, Items):
        for index, item in enumerate(node):
            yield from _rows(item, node.at(index)) if isinstance(item, Items) else ((item, node.at(index)),)
    elif isinstance(node, Block) and not any(key in node for key in ID_KEYS):
        for key, value in node.items():
            yield from _rows(value, node.at(key))
    else:
        yield node, line


def _flat(node: Node) -> str:
    """A value of a row as text: lists joined by commas, mappings as "key: value" joined by semicolons."""
    if isinstance(node, Items):
        return ", ".join(_flat(item) for item in node)
    if isinstance(node, Block):
        return "; ".join(f"{key}: {_flat(value)}" for key, value in node.items())
    return node


def read_pairs(reader: Reader, kind: str, node: Node) -> list[PairRow]:
    """Rows of one kind; every row names known ids and a source (or says it is an estimate)."""
    found: list[PairRow] = []
    for row, line in _rows(node, 1):
        if not isinstance(row, Block):
            reader.fault(line, "a row must be a mapping", "- {first: ID, second: ID, source: KEY}")
            continue
        before = len(reader.problems)
        texts = {key: _flat(value) for key, value in row.items()}
        ids: list[str] = []
        for key in ID_KEYS:
            if key in row:
                texts[key] = reader.reference(text_of(row[key]), row.at(key), key)
                ids.append(texts[key])
        if not ids:
            reader.fault(line, "a row names no substance", "first: ID, second: ID")
        for key in MORE_ID_KEYS:
            if key in row:
                texts[key] = ", ".join(reader.reference(id, row.at(key), key) for id in reader.texts(row, key))
        for key, dimension in QUANTITIES.items():
            if key in row:
                span = reader.range(texts[key], dimension, row.at(key), key)
                if span is not None and dimension == "fraction" and span[1] > 1:
                    reader.fault(row.at(key), f"{key}: {texts[key]} is more than the whole", f"{key}: at most 100 %")
        if row.get("first") and texts["first"] == texts.get("second"):
            reader.fault(
                row.at("second"), f"{texts['first']} makes no pair with itself", "second: ID of another substance"
            )
        if kind == "azeotropes" and "kind" in row:
            reader.word(row, "kind", AZEOTROPES)
        if "mixes" in row:
            reader.word(row, "mixes", MIXES)
        if row.get("source"):
            reader.source(row, f"a row of {kind}")
        elif not row.get("estimate"):
            reader.fault(line, f"a row of {kind} has no source", "source: KEY (or estimate: HOW it was estimated)")
        if len(reader.problems) == before:
            found.append(PairRow(kind, tuple(ids), texts))
    return found


def read_families(reader: Reader, node: Block) -> Families:
    """Liquid families (families: NAME -> ids) and how they mix (rows with first, second, mixes)."""
    found = Families()
    groups = node.get("families")
    if isinstance(groups, Block):
        for name, entry in groups.items():
            members = entry.get("members") if isinstance(entry, Block) else entry
            for index, item in enumerate(members if isinstance(members, Items) else ()):
                id, line = text_of(item), members.at(index) if isinstance(members, Items) else groups.at(name)
                id = reader.reference(id, line, f"family {name}")
                if not id:
                    continue
                if id in found.of:
                    reader.fault(line, f"{id} is already in the family {found.of[id]}", "each liquid in one family")
                found.of[id] = name
    names = set(groups) if isinstance(groups, Block) else set()
    for key, value in node.items():
        if key == "families":
            continue
        for row, line in _rows(value, node.at(key)):
            if not isinstance(row, Block):
                reader.fault(
                    line, "a row must be a mapping", "- {first: FAMILY, second: FAMILY, mixes: fully, source: KEY}"
                )
                continue
            first, second = text_of(row.get("first")), text_of(row.get("second"))
            for family in (first, second):
                if family not in names:
                    reader.fault(line, f"{family!r} is no family", nearest(family, names) or "a name under families:")
            if not row.get("estimate"):
                reader.source(row, "a row of families")
            how = reader.word(row, "mixes", MIXES)
            found.mixes[first, second] = found.mixes[second, first] = how
    return found
