"""Substance entries from YAML to the table's model; every fault is noted with its file, line and mend."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from choosemethod.quantity import SHOWN, QuantityError, parse_number, parse_range
from choosemethod.table.model import ReagentEntry, Solubility, Source, Substance, Value, VapourPressure
from choosemethod.table.names import normalise
from choosemethod.table.schema import Problems, Property, Schema, nearest, text_of
from choosemethod.yamltext import Block, Items, Node

__all__ = ["Known", "Reader", "merged"]

ENTRY_KEYS = ("name", "also", "formula", "cas", "kind", "classes", "phase")
PHASES = ("solid", "liquid", "gas")
OF = ("anhydrous", "hydrate")
MOST_NAMED = 14  # keys named in a message
ROOM_TEMPERATURE = 293.15  # K, what a solubility without a temperature holds at (properties.yaml: about 20 °C)
EXAMPLES = {"temperature": "56.1 °C", "density": "0.79 g/cm3", "length": "1.5 mm", "pressure": "84 kPa"}


@dataclass(frozen=True, slots=True)
class Known:
    """Substances that may be referred to: their ids, and the id each normalised name stands for."""

    ids: frozenset[str] = frozenset()
    names: Mapping[str, str] = field(default_factory=dict)

    def find(self, text: str) -> str:
        """The id a text stands for, itself if it is one; "" if none."""
        return text if text in self.ids else self.names.get(normalise(text), "")


@dataclass
class Reader:
    """Reads the entries of one file.

    file: the name errors give; schema: what may be said; sources: known keys; known: the substances that may be
    referred to; problems: where faults are noted.
    """

    file: str
    schema: Schema
    sources: Collection[str]
    known: Known
    problems: Problems = field(default_factory=Problems)

    def fault(self, line: int, wrong: str, write: str) -> None:
        """Note a fault in this file."""
        self.problems.add(self.file, line, wrong, write)

    # Small parts shared by substances, mixtures, pairs and dangers.

    def keys(self, entry: Block, known: Collection[str], what: str) -> None:
        """Note every key of the entry that is not known, with the nearest that is."""
        for key in entry:
            if key not in known:
                near = nearest(key, known)
                write = f"{near}:" if near else "one of " + ", ".join(list(known)[:MOST_NAMED])
                write += "" if near or len(known) <= MOST_NAMED else " or another key of substances/properties.yaml"
                if entry[key] == "" and (not near or " " in key):
                    write = "the text before it in quotes, if this is a part of it that follows a comma"
                self.fault(entry.at(key), f"{key!r} is no key of {what}", write)

    def text(self, entry: Block, key: str, needed: str = "") -> str:
        """The text of a key. needed: an example to show if the key is missing or empty; "" if it may be left out."""
        node = entry.get(key)
        if isinstance(node, str) and node:
            return node
        if node is not None or needed:
            wrong = (
                f"{key} is missing"
                if node is None
                else f"{key} is empty"
                if node == ""
                else f"{key} must be plain text"
            )
            self.fault(entry.at(key), wrong, f"{key}: {needed or 'TEXT'}")
        return ""

    def texts(self, entry: Block, key: str) -> tuple[str, ...]:
        """The texts of a list; one text stands for a list of one."""
        node = entry.get(key)
        if node is None or node == "":
            return ()
        if isinstance(node, str):
            return (node,)
        if not isinstance(node, Items) or not all(isinstance(item, str) and item for item in node):
            self.fault(entry.at(key), f"{key} must be a list of texts", f"{key}: [one, another]")
            return ()
        return tuple(text_of(item) for item in node)

    def word(self, entry: Block, key: str, words: Collection[str], needed: bool = True) -> str:
        """A text that must be one of the words."""
        text = self.text(entry, key, " | ".join(words) if needed else "")
        if text and text not in words:
            self.fault(entry.at(key), f"{text!r} is no {key}", f"{key}: {nearest(text, words) or ' | '.join(words)}")
            return ""
        return text

    def source(self, entry: Block, what: str) -> str:
        """The source key of a value, which must be there and be known."""
        node = entry.get("source")
        if node is None or node == "":
            self.fault(
                entry.at("source"),
                f"{what} has no source",
                "source: KEY, a key of sources.yaml (source: memory if remembered)",
            )
            return ""
        key = text_of(node)
        if key not in self.sources:
            near = nearest(key, self.sources) or "memory"
            self.fault(
                entry.at("source"),
                f"the source {key or node!r} is not known",
                f"source: {near}, or add {key} to the sources",
            )
            return ""
        return key

    def number(self, text: str, dimension: str, line: int, what: str) -> float | None:
        """A number with its unit in SI, or None with the fault noted."""
        found = self.range(text, dimension, line, what, single=True)
        return None if found is None else found[0]

    def range(
        self, text: str, dimension: str, line: int, what: str, single: bool = False
    ) -> tuple[float, float] | None:
        """LOW to HIGH in SI, or None with the fault noted."""
        try:
            if single:
                low = high = parse_number(text, dimension)
            else:
                low, high = parse_range(text, dimension)
        except QuantityError as error:
            unit = SHOWN.get(dimension, "")
            example = EXAMPLES.get(dimension, f"1.5 {unit}".rstrip())
            self.fault(line, f"{what}: {error}", f"a {dimension} such as {example}")
            return None
        if dimension == "temperature" and low < 0:
            self.fault(line, f"{what}: {text} lies below absolute zero", "a temperature above -273.15 °C (0 K)")
            return None
        if low < 0 and dimension not in ("temperature", "temperature difference", "pure number"):
            self.fault(line, f"{what}: a {dimension} cannot be negative", text.replace("-", "").replace("−", ""))
            return None
        return low, high

    def reference(self, text: str, line: int, what: str) -> str:
        """The id of the substance that goes by this id or name; "" with the fault noted if there is none."""
        id = self.known.find(text)
        if not id:
            near = nearest(text, self.known.ids)
            write = near or f"the id of a substance of the table, or add {text}"
            self.fault(line, f"{what}: no substance has the id or name {text!r}", write)
        return id

    # Sources.

    def read_sources(self, block: Block) -> dict[str, Source]:
        """Sources of a mapping key -> {title, kind}."""
        found: dict[str, Source] = {}
        for key, entry in block.items():
            if not isinstance(entry, Block):
                self.fault(
                    block.at(key), f"the source {key} has no title", f'{key}: {{title: "FULL ENTRY", kind: handbook}}'
                )
                continue
            self.keys(entry, ("title", "kind", "note"), "a source")
            title = self.text(entry, "title", '"author, title, edition or year"')
            kinds = (
                "handbook",
                "paper",
                "book",
                "standard",
                "dataset",
                "web",
                "computation",
                "estimate",
                "class",
                "practice",
                "memory",
                "given",
            )
            kind = self.word(entry, "kind", kinds)
            if title and kind:
                found[key] = Source(key, title, kind)
        return found

    # Substances.

    def substance(self, id: str, entry: Node, line: int, base: Substance | None = None) -> Substance | None:
        """One substance; None with faults noted if it cannot be read. base: the built-in substance it overrides."""
        if not isinstance(entry, Block):
            self.fault(line, f"{id} has no entry", f"{id}: followed by indented keys such as name: and phase:")
            return None
        if not id or normal_id(id) != id:
            self.fault(
                line, f"{id!r} is no id", normal_id(id) or "an id of lower-case letters, digits and single hyphens"
            )
        known = (*ENTRY_KEYS, *self.schema.properties)
        self.keys(entry, known, "a substance")
        needed = base is None
        name = self.text(entry, "name", id.replace("-", " ") if needed else "")
        phase = self.word(entry, "phase", PHASES, needed)
        kind = self.text(entry, "kind", "KIND" if needed else "")
        if kind and self.schema.kinds and kind not in self.schema.kinds:
            self.fault(
                entry.at("kind"),
                f"{kind!r} is no kind of substance",
                f"kind: {nearest(kind, self.schema.kinds) or 'a word of kinds.yaml'}",
            )
        classes = self.texts(entry, "classes")
        for word in classes:
            if self.schema.classes and word not in self.schema.classes:
                near = nearest(word, self.schema.classes)
                self.fault(entry.at("classes"), f"{word!r} is no class", near or "a class of classes.yaml")
        cas = self.text(entry, "cas")
        if cas and not cas_holds(cas):
            self.fault(entry.at("cas"), f"the check digit of the CAS number {cas} does not hold", right_cas(cas))
        values: dict[str, Value] = {}
        solubility: dict[str, Solubility] = {}
        vapour: VapourPressure | None = None
        reagents: dict[str, tuple[ReagentEntry, ...]] = {}
        for key, node in entry.items():
            prop = self.schema.properties.get(key)
            if prop is None:
                continue
            at = entry.at(key)
            if not isinstance(node, Block):
                written = node if isinstance(node, str) and node else "VALUE"
                self.fault(at, f"{key} has no source", f"{key}: {{is: {written}, source: KEY}}")
            elif prop.form == "solubility":
                solubility = self._solubilities(prop, node)
            elif prop.form == "vapour_pressure":
                vapour = self._vapour_pressure(node)
            elif prop.form == "by_reagent":
                reagents[key] = self._by_reagent(prop, node)
            elif (value := self._value(prop, node, at)) is not None:
                values[key] = value
        return Substance(
            id=id,
            name=name or (base.name if base else id),
            phase=phase or (base.phase if base else ""),
            kind=kind or (base.kind if base else ""),
            also=self.texts(entry, "also"),
            formula=self.text(entry, "formula"),
            cas=cas,
            classes=classes,
            values=values,
            solubility=solubility,
            vapour_pressure=vapour,
            reagents=reagents,
            file=self.file,
            line=line,
        )

    def _is(self, node: Block, what: str, example: str) -> str:
        return self.text(node, "is", example) if "is" in node else self._missing(node, what, example)

    def _missing(self, node: Block, what: str, example: str) -> str:
        self.fault(node.line, f"{what} has no value", f"{what}: {{is: {example}, source: KEY}}")
        return ""

    def _at(self, node: Block, what: str) -> float | None:
        text = self.text(node, "at")
        if not text:
            return None
        try:
            parse_number(text, "pressure")
        except QuantityError:
            return self.number(text, "temperature", node.at("at"), f"{what}, at")
        return self.number(text, "pressure", node.at("at"), f"{what}, at")

    def _note(self, node: Block, prop: Property) -> str:
        note = self.text(node, "note")
        spread = self.text(node, "plus_minus")
        if spread:
            dimension = "temperature difference" if prop.dimension == "temperature" else prop.dimension
            if dimension and self.number(spread, dimension, node.at("plus_minus"), f"{prop.name}, plus_minus") is None:
                return note
            note = f"{note}; ± {spread}" if note else f"± {spread}"
        return note

    def _value(self, prop: Property, node: Block, line: int) -> Value | None:
        what = prop.name
        self.keys(node, ("is", "source", "row", "agrees", "besides", "at", "of", "note", "plus_minus"), "a value")
        before = len(self.problems)
        source, at, note = self.source(node, what), self._at(node, what), self._note(node, prop)
        of = self.word(node, "of", OF, needed=False)
        row, agrees = self.text(node, "row"), self._agrees(node, source)
        number: float | None = None
        high: float | None = None
        words: tuple[str, ...] = ()
        besides: tuple[tuple[str, tuple[str, ...]], ...] = ()
        if prop.form == "words":
            if "is" not in node:
                self._missing(node, what, "[]")
            besides = self._besides(node, what)
            words = tuple(dict.fromkeys((*self.texts(node, "is"), *(word for _, more in besides for word in more))))
            text = ", ".join(words)
            listed = prop.words or self._listed(prop)
            for word in words:
                if listed and word not in listed:
                    self.fault(
                        node.at("is"), f"{word!r} is no word for {what}", f"one of {', '.join(_some(word, listed))}"
                    )
        elif prop.form == "word":
            text = self._is(node, what, prop.words[0])
            words = (text,)
            if text and text not in prop.words:
                near = nearest(text, prop.words)
                write = near or " | ".join(prop.words)
                self.fault(
                    node.at("is"), f"{text!r} is no word for {what}", f"{what}: {{is: {_quoted(write)}, source: ...}}"
                )
        else:
            text = self._is(node, what, EXAMPLES.get(prop.dimension, "TEXT"))
            if text and prop.form in ("number", "range"):
                found = self.range(text, prop.dimension, node.at("is"), what, single=prop.form == "number")
                if found is not None:
                    number, high = found
        if len(self.problems) > before:
            return None
        return Value(what, text, source, number, high, words, at, of, note, self.file, line, row, agrees, besides)

    def _agrees(self, node: Block, source: str) -> tuple[str, ...]:
        """Further sources that state the same as the one cited."""
        found = self.texts(node, "agrees")
        for key in found:
            if key not in self.sources or key == source:
                wrong = f"{key!r} is no second source" if key in self.sources else f"the source {key!r} is not listed"
                near = nearest(key, self.sources) if key not in self.sources else "a source other than the first"
                self.fault(node.at("agrees"), wrong, f"agrees: {near or 'a key of sources.yaml'}")
        return found

    def _besides(self, node: Block, what: str) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """Words that other sources add: besides: {SOURCE: [WORD, ...]}."""
        found = node.get("besides")
        if found is None:
            return ()
        if not isinstance(found, Block) or not found:
            self.fault(node.at("besides"), f"{what}: besides must name a source", "besides: {KEY: [WORD]}")
            return ()
        for key in found:
            if key not in self.sources:
                write = f"{nearest(key, self.sources) or 'a key of sources.yaml'}: [...]"
                self.fault(found.at(key), f"the source {key!r} is not listed", write)
        return tuple((key, self.texts(found, key)) for key in found)

    def _listed(self, prop: Property) -> Collection[str]:
        """A property of form words without a list of its own takes the hazard statements' codes."""
        return self.schema.statements

    def _solubilities(self, prop: Property, node: Block) -> dict[str, Solubility]:
        found: dict[str, Solubility] = {}
        for solvent, entry in node.items():
            line = node.at(solvent)
            what = f"solubility in {solvent}"
            if not isinstance(entry, Block):
                written = entry if isinstance(entry, str) and entry else "WORD"
                self.fault(line, f"the {what} has no source", f"{solvent}: {{is: {written}, source: KEY}}")
                continue
            self.keys(entry, ("is", "curve", "unit", "at", "of", "note", "source", "row", "agrees"), "a solubility")
            before = len(self.problems)
            solvent = self.reference(solvent, line, "solubility")
            if solvent in found:
                self.fault(line, f"the {what} is already given", "each liquid once")
            source = self.source(entry, f"the {what}")
            word, points = "", self._points(entry, what)
            if "is" not in entry and "curve" not in entry:
                self._missing(entry, solvent, prop.words[0])
            text = self.text(entry, "is")
            if text in prop.words:
                word = text
            elif text and not text.lstrip("-").split(".")[0].split(" ")[0].isdigit():
                near = nearest(text, prop.words) or " | ".join(prop.words)
                self.fault(entry.at("is"), f"{text!r} is no word of solubility", near)
            elif text:
                amount = self.number(text, "solubility", entry.at("is"), what)
                at = (
                    self.number(text_of(entry["at"]), "temperature", entry.at("at"), f"{what}, at")
                    if "at" in entry
                    else ROOM_TEMPERATURE
                )
                if amount is not None and at is not None:
                    points = (*points, (at, amount))
            of, note = self.word(entry, "of", OF, needed=False), self.text(entry, "note")
            if len(self.problems) == before:
                row, agrees = self.text(entry, "row"), self._agrees(entry, source)
                found[solvent] = Solubility(solvent, word, source, points, of, note, self.file, line, row, agrees)
        return found

    def _points(self, entry: Block, what: str) -> tuple[tuple[float, float], ...]:
        curve = entry.get("curve")
        if curve is None:
            return ()
        example = "curve: {0 °C: 13.6, 20 °C: 31.9}, unit: g/100 g"
        if not isinstance(curve, Block) or not curve:
            self.fault(entry.at("curve"), f"the curve of the {what} has no points", example)
            return ()
        unit = self.text(entry, "unit", "g/100 g")
        points: list[tuple[float, float]] = []
        for temperature, amount in curve.items():
            line = curve.at(temperature)
            first = self.number(temperature, "temperature", line, f"{what}, curve")
            second = self.number(f"{text_of(amount)} {unit}", "solubility", line, f"{what}, curve") if unit else None
            if first is not None and second is not None:
                points.append((first, second))
        for (low, _), (high, _) in itertools.pairwise(points):
            if low >= high:
                self.fault(entry.at("curve"), f"the temperatures of the {what} do not rise", example)
        return tuple(points)

    def _vapour_pressure(self, node: Block) -> VapourPressure | None:
        keys = ("equation", "A", "B", "C", "from", "to", "source", "note")
        self.keys(node, keys, "a vapour pressure")
        before = len(self.problems)
        source = self.source(node, "vapour_pressure")
        if self.text(node, "equation", "antoine") not in ("antoine", ""):
            self.fault(node.at("equation"), f"{node['equation']!r} is no vapour-pressure equation", "equation: antoine")
        numbers: list[float] = []
        for key, example in (("A", "9.2"), ("B", "1210.6"), ("C", "-43.5"), ("from", "-10 °C"), ("to", "80 °C")):
            text = self.text(node, key, example)
            dimension = "temperature" if key in ("from", "to") else "pure number"
            number = self.number(text, dimension, node.at(key), f"vapour_pressure, {key}") if text else None
            if number is not None:
                numbers.append(number)
        if len(numbers) == 5 and numbers[3] > numbers[4]:
            self.fault(
                node.at("from"),
                "vapour_pressure: from lies above to",
                f"from: {text_of(node['to'])}, to: {text_of(node['from'])}",
            )
        if len(self.problems) > before:
            return None
        a, b, c, low, high = numbers
        return VapourPressure(a, b, c, low, high, source, self.text(node, "note"))

    def _by_reagent(self, prop: Property, node: Block) -> tuple[ReagentEntry, ...]:
        found: list[ReagentEntry] = []
        for reagent, entry in node.items():
            line = node.at(reagent)
            if not isinstance(entry, Block):
                self.fault(line, f"{prop.name}, {reagent} has no source", f'{reagent}: {{is: "yes", source: KEY}}')
                continue
            self.keys(entry, ("is", "gives", "gas", "note", "source"), f"an entry of {prop.name}")
            before = len(self.problems)
            reagent = self.reference(reagent, line, prop.name)
            source = self.source(entry, f"{prop.name}, {reagent}")
            says = self.text(entry, "is", '"yes"')
            if says and says not in prop.words:
                self.fault(
                    entry.at("is"),
                    f"{says!r} is no word for {prop.name}",
                    " | ".join(_quoted(word) for word in prop.words),
                )
            gas = self.text(entry, "gas")
            if gas:
                gas = self.reference(gas, entry.at("gas"), f"{prop.name}, gas")
            gives, note = self.text(entry, "gives"), self.text(entry, "note")
            if len(self.problems) == before:
                found.append(ReagentEntry(reagent, says == prop.words[0], source, gives, gas, note))
        return tuple(found)


def _some(word: str, listed: Collection[str]) -> list[str]:
    near = nearest(word, listed)
    return [near] if near else sorted(listed)[:8]


def _quoted(word: str) -> str:
    return f'"{word}"' if word in ("yes", "no") else word


def normal_id(id: str) -> str:
    """The id in kebab case: lower-case letters, digits and single hyphens."""
    signs = [sign if sign.isascii() and (sign.islower() or sign.isdigit()) else "-" for sign in id.lower()]
    return "-".join(part for part in "".join(signs).split("-") if part)


def _check_digit(digits: str) -> int:
    return sum(place * int(digit) for place, digit in enumerate(reversed(digits), 1)) % 10


def cas_holds(cas: str) -> bool:
    """Whether a CAS Registry Number has its form (2 to 7 digits, 2 digits, check digit) and its check digit holds."""
    parts = cas.split("-")
    if len(parts) != 3 or not all(part.isascii() and part.isdigit() for part in parts):
        return False
    if not 2 <= len(parts[0]) <= 7 or len(parts[1]) != 2 or len(parts[2]) != 1:
        return False
    return _check_digit(parts[0] + parts[1]) == int(parts[2])


def right_cas(cas: str) -> str:
    """What the CAS number would be if only its check digit were wrong; else its form."""
    parts = cas.split("-")
    if len(parts) == 3 and parts[0].isdecimal() and parts[1].isdecimal() and len(parts[1]) == 2:
        return f"cas: {parts[0]}-{parts[1]}-{_check_digit(parts[0] + parts[1])} if the other digits are right"
    return "cas: 7647-14-5 (digits, hyphen, two digits, hyphen, check digit)"


def merged(base: Substance, over: Substance) -> Substance:
    """The base substance with everything the other one states in place of, or beside, its own."""
    return over._replace(
        also=tuple(dict.fromkeys(base.also + over.also)),
        formula=over.formula or base.formula,
        cas=over.cas or base.cas,
        classes=over.classes or base.classes,
        values={**base.values, **over.values},
        solubility={**base.solubility, **over.solubility},
        vapour_pressure=over.vapour_pressure or base.vapour_pressure,
        reagents={key: _reagents(base, over, key) for key in {**base.reagents, **over.reagents}},
    )


def _reagents(base: Substance, over: Substance, key: str) -> tuple[ReagentEntry, ...]:
    entries = {entry.reagent: entry for part in (base, over) for entry in part.reagents.get(key, ())}
    return tuple(entries.values())
