"""What holds for every substance of a kind or class unless its own entry says otherwise (substances/defaults.yaml).

A row names the substances (kind, class, phase, unless), what holds for them, the reason and the source. A property a
substance states itself is never touched; of several rows that fit, the first counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from choosemethod.table.load import PHASES, Reader
from choosemethod.table.model import ReagentEntry, Solubility, Substance, Value
from choosemethod.table.schema import text_of
from choosemethod.yamltext import Block, Items, Node

__all__ = ["Default", "read_defaults", "with_defaults"]

ROW_KEYS = ("of", "states", "solubility", "because", "source")
OF_KEYS = ("kind", "class", "phase", "unless")


class Default(NamedTuple):
    """One row. kinds, classes: any of them (empty: every); unless: classes it does not hold for."""

    kinds: tuple[str, ...]
    classes: tuple[str, ...]
    phases: tuple[str, ...]
    unless: tuple[str, ...]
    values: dict[str, Value]
    solubility: dict[str, Solubility]
    reagents: dict[str, tuple[ReagentEntry, ...]]

    def fits(self, substance: Substance) -> bool:
        """Whether the row speaks of this substance."""
        has = {*substance.classes, substance.kind}
        return (
            (not self.kinds or substance.kind in self.kinds)
            and (not self.classes or bool(has.intersection(self.classes)))
            and (not self.phases or substance.phase in self.phases)
            and not has.intersection(self.unless)
        )


def with_defaults(substance: Substance, rows: Sequence[Default]) -> Substance:
    """The substance with what its kind and classes imply added to what its own entry states."""
    values, solubility, reagents = substance.values, substance.solubility, substance.reagents
    for row in rows:
        if row.fits(substance):
            values = {**row.values, **values}
            solubility = {**row.solubility, **solubility}
            reagents = {**row.reagents, **reagents}
    solubility = {key: entry for key, entry in solubility.items() if key != substance.id}
    return substance._replace(values=values, solubility=solubility, reagents=reagents)


def read_defaults(reader: Reader, node: Node) -> list[Default]:
    """The rows of defaults.yaml; faults are noted and their rows left out."""
    if not isinstance(node, Items):
        reader.fault(1, "the defaults must be a list", "- {of: {kind: salt}, states: {sublimes: ...}, because: ...}")
        return []
    found = []
    for index, row in enumerate(node):
        line = node.at(index)
        before = len(reader.problems)
        if not isinstance(row, Block):
            reader.fault(line, "a default must be a mapping", "- of: {kind: salt}")
            continue
        reader.keys(row, ROW_KEYS, "a default")
        reason, source = reader.text(row, "because", "THE REASON"), reader.source(row, "a default")
        of = row.get("of")
        if not isinstance(of, Block) or not of:
            reader.fault(row.at("of"), "a default names no kind or class", "of: {kind: salt}")
            continue
        reader.keys(of, OF_KEYS, "what a default is of")
        one = _row(reader, of, row, line, reason, source)
        if len(reader.problems) == before:
            found.append(one)
    return found


def _words(reader: Reader, of: Block, key: str, known: frozenset[str]) -> tuple[str, ...]:
    found = reader.texts(of, key)
    for word in found:
        if known and word not in known:
            reader.fault(of.at(key), f"{word!r} is no {key}", "a word of classes.yaml or kinds.yaml")
    return found


def _row(reader: Reader, of: Block, row: Block, line: int, reason: str, source: str) -> Default:
    schema = reader.schema
    both = schema.kinds | schema.classes
    values: dict[str, Value] = {}
    solubility: dict[str, Solubility] = {}
    reagents: dict[str, tuple[ReagentEntry, ...]] = {}
    states, dissolves = row.get("states", Block()), row.get("solubility", Block())
    if not isinstance(states, Block) or not isinstance(dissolves, Block) or not (states or dissolves):
        reader.fault(line, "a default states nothing", "states: {PROPERTY: WORD} or solubility: {LIQUID: WORD}")
        states = dissolves = Block()
    for name, said in states.items():
        prop, at = schema.properties.get(name), states.at(name)
        if prop is not None and prop.form == "by_reagent" and isinstance(said, Block):
            reagents[name] = _reagents(reader, said, name, prop.words, reason, source)
            continue
        words = tuple(text_of(word) for word in said) if isinstance(said, Items) else (text_of(said),)
        listed = prop.words if prop is not None and prop.form == "word" else tuple(schema.statements)
        if prop is None or prop.form not in ("word", "words") or any(word not in listed for word in words):
            reader.fault(at, f"{name}: {', '.join(words)} is no default", "a property of words, with one of its words")
            continue
        values[name] = Value(name, ", ".join(words), source, words=words, note=reason, file=reader.file, line=at)
    scale = schema.properties["solubility"].words if "solubility" in schema.properties else ()
    for liquid, said in dissolves.items():
        at, word = dissolves.at(liquid), text_of(said)
        ident = reader.reference(liquid, at, "solubility")
        if word not in scale:
            reader.fault(at, f"{word!r} is no word of solubility", " | ".join(scale))
        elif ident:
            solubility[ident] = Solubility(ident, word, source, note=reason, file=reader.file, line=at)
    kinds, classes = _words(reader, of, "kind", schema.kinds), _words(reader, of, "class", both)
    phases, unless = reader.texts(of, "phase"), _words(reader, of, "unless", both)
    if any(phase not in PHASES for phase in phases):
        reader.fault(of.at("phase"), f"{', '.join(phases)} is no phase", f"phase: {' | '.join(PHASES)}")
    return Default(kinds, classes, phases, unless, values, solubility, reagents)


def _reagents(
    reader: Reader, said: Block, name: str, words: Sequence[str], reason: str, source: str
) -> tuple[ReagentEntry, ...]:
    found = []
    for reagent, entry in said.items():
        at = said.at(reagent)
        note = ""
        if isinstance(entry, Block):
            reader.keys(entry, ("is", "note"), f"an entry of {name}")
            note, entry = reader.text(entry, "note"), entry.get("is", "")
        if text_of(entry) not in words:
            reader.fault(at, f"{name}, {reagent}: {text_of(entry)!r} is no word for it", " | ".join(words))
        ident = reader.reference(reagent, at, name)
        if ident:
            found.append(ReagentEntry(ident, text_of(entry) == words[0], source, note=note or reason))
    return tuple(found)
