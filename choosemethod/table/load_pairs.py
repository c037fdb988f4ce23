"""What the files of pairs/ hold: rows about two substances (azeotropes, miscibility, partition), and liquid families."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from choosemethod.data import (
    SOURCE,
    Either,
    Entry,
    Listed,
    Names,
    Plain,
    Reading,
    Record,
    Ref,
    Span,
    Spec,
    Table,
    Text,
    Word,
    nearest,
)
from choosemethod.table.load import SUBSTANCE
from choosemethod.yamltext import Block, Items, Node

__all__ = ["FAMILIES", "ROWS", "Families", "PairRow", "read_families", "read_pairs"]

# Keys of a row that hold an id, in the order in which they make the pair a row is found by.
ID_KEYS = ("first", "second", "from", "into", "solute", "substance")
AZEOTROPES = ("minimum", "maximum", "heterogeneous", "none")
MIXES = ("fully", "partly", "no")  # how two liquids mix, in miscibility.yaml and by family


@dataclass(frozen=True, slots=True)
class PairRow:
    """One row: its kind, the ids it is found by (in the row's order), and its texts as written."""

    kind: str
    ids: tuple[str, ...]
    row: dict[str, str]
    file: str = ""
    line: int = 0


@dataclass(slots=True)
class Families:
    """Liquid families: id of a substance -> family, and (family, family) in both orders -> how they mix."""

    of: dict[str, str] = field(default_factory=dict)
    mixes: dict[tuple[str, str], str] = field(default_factory=dict)


def _flat(node: Node) -> str:
    """A value of a row as text: lists joined by commas, mappings as "key: value" joined by semicolons."""
    if isinstance(node, Items):
        return ", ".join(_flat(item) for item in node)
    if isinstance(node, Block):
        return "; ".join(f"{key}: {_flat(value)}" for key, value in node.items())
    return node


def _sourced(row: Entry, what: str) -> None:
    if "source" not in row and "estimate" not in row:
        row.fault("source", f"a row of {what} has no source", "source: KEY (or estimate: HOW it was estimated)")


def _row(row: Entry, kind: str) -> Any:
    ids = tuple(row[key] for key in ID_KEYS if key in row.block)
    if not ids:
        return row.fault("", "a row names no substance", "first: ID, second: ID")
    if row["first"] and row["first"] == row["second"]:
        wrong = f"{row['first']} makes no pair with itself"
        return row.fault("second", wrong, "second: ID of another substance")
    texts = {key: _flat(value) for key, value in row.block.items()}
    for key in texts:
        if key in ID_KEYS:
            texts[key] = row[key]
        elif key in ("third", "with", "salt"):
            texts[key] = ", ".join(row[key])
    return PairRow(kind, ids, texts, row.file.shown, row.line)


# What a row of each kind says besides what all may; a key without "?" must be there.
_FURTHER: dict[str, dict[str, Spec]] = {
    "azeotrope-breaking": {"by": Text()},
    "azeotropes": {"kind": Word(AZEOTROPES)},
    "estimates": {
        "layers": Plain(low=1, high=2),
        "azeotrope?": Word(AZEOTROPES),
        "first_mole?": Plain(),
        "alpha_first_in_equal?": Plain(),
    },
    "miscibility": {"mixes": Word(MIXES)},
    "non-azeotropes": {},
    "octanol-water": {"log_p": Plain()},
    "partition": {"ratio?": Plain(), "ratio_below?": Plain()},
    "solubility-effects": {},
    "steam-distillation": {"at": Span("temperature"), "mass_per_water?": Plain()},
    "vle-parameters": {
        "model": Text(),
        **{f"{key}?": Text() for key in ("a12", "a21", "alpha", "c12", "c21", "fitted", "checked")},
    },
}


def _row_spec(kind: str) -> Record:
    """A row of a kind; of a kind that there is not, one with the keys of all."""
    every = {f"{key.rstrip('?')}?": spec for more in _FURTHER.values() for key, spec in more.items()}
    further = _FURTHER.get(kind, every)
    ids = {f"{key}?": SUBSTANCE for key in ID_KEYS} | {
        f"{key}?": Listed(SUBSTANCE) for key in ("third", "with", "salt")
    }
    return Record(
        f"a row of {kind}",
        ids
        | {
            "at?": Span("temperature"),
            "upper_critical?": Span("temperature"),
            "lower_critical?": Span("temperature"),
            "pressure?": Span("pressure"),
            "first_mass?": Span("fraction"),
            "first_in_second?": Span("fraction"),
            "second_in_first?": Span("fraction"),
            "estimate?": Text(),
            "error?": Text(),
            "note?": Text(),
            "source?": SOURCE,
        }
        | further,
        check=lambda row: _sourced(row, kind),
        make=lambda row: _row(row, kind),
        shape=("a row must be a mapping", "- {first: ID, second: ID, source: KEY}"),
    )


class _Rows(Listed):
    """Rows of a file: a list, or a mapping whose values are rows or lists of rows; the sound ones."""

    def read(self, node: Node, line: int, what: str, file: Reading) -> Any:
        if isinstance(node, Block) and node and not any(key in node for key in ID_KEYS):
            return tuple(row for key, part in node.items() for row in self.read(part, node.at(key), what, file) or ())
        return super().read(node, line, what, file)


def ROWS(kind: str = "pairs") -> Listed:
    """The form of a file of rows of one kind."""
    return _Rows(_row_spec(kind), partly=True)


def read_pairs(file: Reading, kind: str, node: Node) -> list[PairRow]:
    """Rows of one kind; every row names known ids and a source (or says it is an estimate)."""
    if kind not in _FURTHER:
        line = node.line if isinstance(node, (Block, Items)) else 1
        near = nearest(kind, _FURTHER)
        file.fault(line, f"{kind!r} is no kind of pairs", f"{near}:" if near else f"one of {', '.join(_FURTHER)}")
        return []
    found = ROWS(kind).read(node, node.line if isinstance(node, (Block, Items)) else 1, kind, file)
    return list(found or ())


_MEMBERS = Listed(SUBSTANCE, partly=True, alone=False)
_FAMILY = Ref("family", mend="a name under families:")
FAMILIES = Record(
    "this file",
    {
        "families": Table(
            Either(items=_MEMBERS, block=Record("a family", {"members": _MEMBERS, "note?": Text()})),
        ),
        "rows?": Listed(
            Record(
                "a row of families",
                {
                    "first": _FAMILY,
                    "second": _FAMILY,
                    "mixes": Word(MIXES),
                    "estimate?": Text(),
                    "note?": Text(),
                    "source?": SOURCE,
                },
                check=lambda row: _sourced(row, "families"),
                shape=("a row must be a mapping", "- {first: FAMILY, second: FAMILY, mixes: fully, source: KEY}"),
            ),
            partly=True,
        ),
    },
)


def read_families(file: Reading, node: Block) -> Families:
    """Liquid families (families: NAME -> ids) and how they mix (rows with first, second, mixes)."""
    groups = node.get("families")
    names = Names(groups if isinstance(groups, Block) else ())
    inner = Reading(file.shown, {**file.known, "family": names}, file.problems)
    read = FAMILIES.read(node, node.line, "the file", inner)
    found = Families()
    for name, entry in (read or {"families": {}})["families"].items():
        for id in entry["members"] if isinstance(entry, dict) else entry:
            if id in found.of:
                line = groups.at(name) if isinstance(groups, Block) else 1
                file.fault(line, f"{id} is already in the family {found.of[id]}", "each liquid in one family")
            found.of[id] = name
    for row in read["rows"] if read else ():
        found.mixes[row["first"], row["second"]] = found.mixes[row["second"], row["first"]] = row["mixes"]
    return found
