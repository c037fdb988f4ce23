"""What holds for every substance of a kind or class unless its own entry says otherwise (substances/defaults.yaml).

A row names the substances (kind, class, phase, unless), what holds for them, the reason and the source. A property a
substance states itself is never touched; of several rows that fit, the first counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from choosemethod.data import FAULTY, SOURCE, Either, Entry, Listed, Reading, Record, Ref, Spec, Table, Text, Word
from choosemethod.table.load import PHASES, SUBSTANCE
from choosemethod.table.model import ReagentEntry, Solubility, Substance, Value
from choosemethod.table.schema import Property, Schema
from choosemethod.yamltext import Node

__all__ = ["Default", "read_defaults", "with_defaults"]


class Default(NamedTuple):
    """One row. kinds, classes: any of them (empty: every); unless: kinds and classes it does not hold for."""

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


def read_defaults(schema: Schema, node: Node, file: Reading) -> list[Default]:
    """The rows of defaults.yaml; faults are noted in the file and their rows left out."""
    found = _rows(schema).read(node, 1, "the list of defaults", file)
    return [] if found is FAULTY else list(found)


def _stated(prop: Property) -> Spec | None:
    """What a default may state of a property; None for one of numbers, which no class shares."""
    word = Word(prop.words, noun=f"word for {prop.name}") if prop.words else Ref("statement")
    if prop.form == "word":
        return word
    if prop.form == "words":
        return Listed(word, example="[]")
    if prop.form == "by_reagent":
        noted = Record(f"an entry of {prop.name}", {"is": word, "note?": Text(empty="")})
        return Table(Either(text=word, block=noted), key=SUBSTANCE)
    return None


def _rows(schema: Schema) -> Listed:
    states = {f"{name}?": spec for name, prop in schema.properties.items() if (spec := _stated(prop)) is not None}
    dissolves = schema.properties.get("solubility")
    scale = Word(dissolves.words if dissolves is not None else (), noun="word of solubility")
    of = {
        "kind?": Listed(Ref("kind", mend="a word of kinds.yaml")),
        "class?": Listed(Ref("class", mend="a word of classes.yaml")),
        "phase?": Listed(Word(PHASES)),
        "unless?": Listed(Text()),
    }
    return Listed(
        Record(
            "a default",
            {
                "of": Record("what a default is of", of, make=lambda one: one.values, example="{kind: salt}"),
                "states?": Record("what a default states", states, make=lambda one: one, empty=None),
                "solubility?": Table(scale, key=SUBSTANCE),
                "because": Text(example="THE REASON"),
                "source": SOURCE,
            },
            make=lambda one: _default(one, schema),
        ),
        alone=False,
        partly=True,
    )


def default_file() -> Listed:
    """The form of defaults.yaml, by the program's own properties."""
    from choosemethod.data import read_file
    from choosemethod.places import substances_folder
    from choosemethod.table.schema import PROPERTIES

    return _rows(Schema(read_file(substances_folder() / "properties.yaml", PROPERTIES)))


def _default(one: Entry, schema: Schema) -> Any:
    of, stated, reason, source = one["of"], one["states"], one["because"], one["source"]
    if not (of["kind"] or of["class"]):
        return one.fault("of", "a default names no kind or class", "of: {kind: salt}")
    if any(word not in schema.classes | schema.kinds for word in of["unless"]):
        return one.fault(
            "of", f"unless: {', '.join(of['unless'])}: no class or kind", "words of classes.yaml, kinds.yaml"
        )
    values: dict[str, Value] = {}
    reagents: dict[str, tuple[ReagentEntry, ...]] = {}
    for name in stated.block if stated is not None else ():
        said, at = stated[name], stated.at(name)
        if schema.properties[name].form == "by_reagent":
            reagents[name] = _reagents(said, schema.properties[name].words[0], source, reason)
        else:
            words = said if isinstance(said, tuple) else (said,)
            values[name] = Value(name, ", ".join(words), source, words=words, note=reason, file=one.file.shown, line=at)
    solubility = {
        liquid: Solubility(liquid, word, source, note=reason, file=one.file.shown, line=one.at("solubility"))
        for liquid, word in one["solubility"].items()
    }
    if not (values or reagents or solubility):
        return one.fault("of", "a default states nothing", "states: {PROPERTY: WORD} or solubility: {LIQUID: WORD}")
    return Default(of["kind"], of["class"], of["phase"], of["unless"], values, solubility, reagents)


def _reagents(said: dict[str, Any], yes: str, source: str, reason: str) -> tuple[ReagentEntry, ...]:
    found = []
    for reagent, entry in said.items():
        word, note = (entry["is"], entry["note"]) if isinstance(entry, dict) else (entry, "")
        found.append(ReagentEntry(reagent, word == yes, source, note=note or reason))
    return tuple(found)
