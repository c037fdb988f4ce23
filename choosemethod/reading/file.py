"""Reads a question from a YAML file: components with amounts and properties, the wish, and the setting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from choosemethod import data
from choosemethod.data import nearest
from choosemethod.errors import DataError, UsageError
from choosemethod.mixture import AIMS, FORMS, HIGHEST_PRESSURE, LEVELS, LOWEST_PRESSURE, Question, Wish
from choosemethod.places import substances_folder
from choosemethod.quantity import Quantity, QuantityError, parse_number, parse_range
from choosemethod.reading.amounts import pressure_at
from choosemethod.reading.forms import Entry
from choosemethod.reading.given import SOLUBILITY, substances_of
from choosemethod.reading.lexicon import level_of, without_keys_of
from choosemethod.reading.question import question_of, read_words
from choosemethod.table import Table
from choosemethod.table.schema import PROPERTIES, Property
from choosemethod.yamltext import Block, Items, Node, parse_yaml, read_yaml

__all__ = ["COMPONENT_KEYS", "KEYS", "read_file"]

KEYS: dict[str, str] = {
    "mixture": 'the mixture in plain words, instead of components ("sand and salt")',
    "components": "a list of names, or of {name: ..., and keys of a component}",
    "want": "a name or a list of names of what is wanted",
    "remove": "a name or a list of names of what only has to go",
    "aim": "separate (obtain the components) or identify (show what is in it)",
    "form": "how the product is wanted: crystals, pure, dry",
    "purity": "how pure it is wanted, for example 95 %",
    "pressure": "local pressure, for example 84 kPa",
    "altitude": "altitude instead of a pressure, for example 1600 m",
    "without": "a phrase or a list of phrases: what is missing or not allowed (no fume cupboard)",
    "level": "primary, lower-secondary, upper-secondary or undergraduate, or words for it (year 7)",
    "small": '"yes" if there is only a little of it',
    "front": "chromatogram: distance the solvent front moved, for example 80 mm",
    "spots": "chromatogram: list of distances the spots moved",
}
COMPONENT_KEYS: dict[str, str] = {
    "name": "name of a substance or of a mixture the table knows, or any name with properties beside it",
    "form": "one of " + ", ".join(FORMS),
    "in": "name of the component it is dissolved, dispersed or embedded in",
    "amount": "for example 5 g, 50 mL or 10 %",
    "size": "size of its pieces, for example 0.2 to 0.6 mm",
    "role": "main or impurity",
    "phase": "solid, liquid or gas, for something the table does not know",
}
ROLES = ("main", "impurity", "product")
PHASES = ("solid", "liquid", "gas")


@lru_cache(maxsize=1)
def _properties() -> dict[str, Property]:
    found: dict[str, Property] = data.read_file(substances_folder() / "properties.yaml", PROPERTIES)
    return found


class _File:
    def __init__(self, block: Block, shown: str, table: Table) -> None:
        self.block = block
        self.shown = shown
        self.table = table
        self.given: dict[str, dict[str, str]] = {}
        self.amounts: dict[str, Quantity] = {}

    def fault(self, line: int, wrong: str, write: str) -> DataError:
        return DataError(self.shown, line, wrong, write)

    def keys(self, block: Block, known: Sequence[str], what: str) -> None:
        for key in block:
            if key not in known:
                near = nearest(key, known)
                raise self.fault(
                    block.at(key), f"{key!r} is no key of {what}", f"{near}:" if near else "one of " + ", ".join(known)
                )

    def text(self, block: Block, key: str, example: str) -> str:
        node = block.get(key, "")
        if not isinstance(node, str):
            raise self.fault(block.at(key), f"{key} must be one value", f"{key}: {example}")
        return node.strip()

    def texts(self, key: str, example: str) -> list[str]:
        node = self.block.get(key, "")
        if isinstance(node, str):
            return [node.strip()] if node.strip() else []
        if isinstance(node, Items):
            found = []
            for index, item in enumerate(node):
                if not isinstance(item, str):
                    raise self.fault(node.at(index), f"{key} must be a name or a list of names", f"{key}: [{example}]")
                found.append(item.strip())
            return found
        raise self.fault(self.block.at(key), f"{key} must be a name or a list of names", f"{key}: [{example}]")

    def number(self, block: Block, key: str, dimension: str, example: str) -> float | None:
        text = self.text(block, key, example)
        if not text:
            return None
        try:
            return parse_number(text, dimension)
        except QuantityError as error:
            raise self.fault(block.at(key), str(error), f"{key}: {example}") from None

    def word(self, block: Block, key: str, words: Sequence[str]) -> str:
        text = self.text(block, key, words[0])
        if text and text not in words:
            raise self.fault(
                block.at(key), f"{text!r} is no {key}", f"{key}: " + (nearest(text, words) or " or ".join(words))
            )
        return text

    # Components.

    def components(self) -> list[Entry]:
        node = self.block.get("components", "")
        line = self.block.at("components")
        if not isinstance(node, Items) or not node:
            raise self.fault(line, "components must be a list", "components: [salt, sand]")
        entries = [self.component(item, node.at(index)) for index, item in enumerate(node)]
        for index, (item, entry) in enumerate(zip(node, entries, strict=True)):
            if entry.host:
                self.held(entry, entries, item.at("in") if isinstance(item, Block) else node.at(index))
        return entries

    def held(self, entry: Entry, entries: list[Entry], line: int) -> None:
        """Check that what holds a component is another one, and is not held by it in turn."""
        hosts = {other.id: other.host for other in entries}
        seen, host = {entry.id}, entry.host
        mixtures = any(other.kind == "mixture" for other in entries)
        if host not in hosts and not mixtures:
            raise self.fault(
                line, f"{host} is no component here", f"in: one of {', '.join(hosts)}, or {host} among them"
            )
        while host:
            if host in seen:
                raise self.fault(line, f"{entry.id} cannot be held by itself", "in: another component, such as water")
            seen.add(host)
            host = hosts.get(host, "")

    def component(self, node: Node, line: int) -> Entry:
        if isinstance(node, str):
            block = Block(line)
            block["name"], block.lines["name"] = node, line
        elif isinstance(node, Block):
            block = node
        else:
            raise self.fault(line, "a component is a name or a mapping", "- {name: sand, amount: 5 g}")
        self.keys(block, (*COMPONENT_KEYS, *_properties()), "a component")
        name = self.text(block, "name", "sand")
        if not name:
            raise self.fault(line, "a component has no name", "name: sand")
        entry = self.entry(block, name)
        entry.form = self.word(block, "form", tuple(FORMS))
        entry.role = self.word(block, "role", ROLES)
        held = self.text(block, "in", "water")
        if held:
            found = self.table.name(held)
            if found is None:
                raise self.fault(block.at("in"), f"{held!r} is not known", f"in: {self.near(held)}")
            entry.host = found.id
        size = self.text(block, "size", "0.2 to 0.6 mm")
        if size:
            try:
                entry.size = parse_range(size, "length")
            except QuantityError as error:
                raise self.fault(block.at("size"), str(error), "size: 0.2 to 0.6 mm") from None
        self.amount(block, entry)
        return entry

    def entry(self, block: Block, name: str) -> Entry:
        told = {key: node for key, node in block.items() if key in _properties() or key == "phase"}
        found = self.table.name(name) or self.table.formula(name)
        if found is not None and not told:
            return Entry(found.id, found.kind)
        if not told:
            raise self.fault(
                block.at("name"),
                f"{name!r} is not known",
                f"name: {self.near(name)}, or properties beside the name, such as phase: liquid",
            )
        id = "-".join(name.lower().split())
        description = {"name": name}
        for key in told:
            if key == "phase":
                description["phase"] = self.word(block, "phase", PHASES)
            elif key == "solubility":
                description.update(self.solubilities(block))
            else:
                description[key] = self.value(block, key)
        self.given[id] = description
        return Entry(id)

    def near(self, name: str) -> str:
        written = [found for found, _, _ in self.table.suggest(name, 1)]
        return written[0] if written else "the name of a substance of the table"

    def value(self, block: Block, key: str) -> str:
        prop = _properties()[key]
        text = self.text(block, key, "VALUE")
        try:
            if prop.form == "number":
                parse_number(text, prop.dimension)
            elif prop.form == "range":
                parse_range(text, prop.dimension)
        except QuantityError as error:
            raise self.fault(block.at(key), str(error), f"{key}: a number with its unit") from None
        if prop.form == "word" and text not in prop.words:
            raise self.fault(
                block.at(key),
                f"{text!r} is no value of {key}",
                f"{key}: " + " or ".join(f'"{word}"' for word in prop.words),
            )
        if prop.form not in ("number", "range", "word", "text", "words"):
            raise self.fault(
                block.at(key), f"{key} cannot be given here", "the substance in a file of the table, see --table"
            )
        return text

    def solubilities(self, block: Block) -> dict[str, str]:
        node = block.get("solubility", "")
        if not isinstance(node, Block):
            raise self.fault(
                block.at("solubility"), "solubility must name the liquids", "solubility: {water: insoluble}"
            )
        words = _properties()["solubility"].words
        found: dict[str, str] = {}
        for liquid, value in node.items():
            name = self.table.name(liquid)
            if name is None:
                raise self.fault(node.at(liquid), f"{liquid!r} is not known", f"{self.near(liquid)}: insoluble")
            text = value if isinstance(value, str) else ""
            if text not in words:
                try:
                    parse_number(text, "solubility")
                except QuantityError:
                    raise self.fault(
                        node.at(liquid),
                        f"{text!r} is no solubility",
                        f"{liquid}: one of {', '.join(words)}, or 35 g/100 g",
                    ) from None
            found[SOLUBILITY + name.id] = text
        return found

    def amount(self, block: Block, entry: Entry) -> None:
        text = self.text(block, "amount", "5 g")
        if not text:
            return
        for dimension in ("mass", "volume", "fraction"):
            try:
                value = parse_number(text, dimension)
            except QuantityError:
                continue
            if value <= 0 or (dimension == "fraction" and value > 1):
                raise self.fault(block.at("amount"), f"{text}: an amount is above 0 (and at most 100 %)", "amount: 5 g")
            if dimension == "mass":
                entry.mass = value
            elif dimension == "volume":
                entry.volume = value
            else:
                entry.share = value
            self.amounts[entry.id] = Quantity(value, dimension, "given", "given")
            return
        raise self.fault(block.at("amount"), f"{text!r} is no amount", "amount: 5 g (or 50 mL, or 10 %)")

    # The whole.

    def question(self, want: Sequence[str], without: Sequence[str], pressure: float | None, level: str) -> Question:
        block = self.block
        self.keys(block, tuple(KEYS), "a question")
        if ("mixture" in block) == ("components" in block):
            raise self.fault(block.line, "a question has either mixture or components", "mixture: sand and salt")
        want = tuple(want) or tuple(self.texts("want", "salt"))
        phrases = self.texts("without", "no fume cupboard")
        for phrase in phrases:
            if not without_keys_of(phrase):
                line = self.block.at("without")
                raise self.fault(
                    line, f"{phrase!r} names nothing that could be missing", "without: [no heating, no filter paper]"
                )
        if pressure is None:
            pressure = self.number(block, "pressure", "pressure", "84 kPa")
            if pressure is not None and not LOWEST_PRESSURE <= pressure <= HIGHEST_PRESSURE:
                raise self.fault(
                    block.at("pressure"), "the pressure must lie between 0.1 kPa and 10 MPa", "pressure: 84 kPa"
                )
            altitude = self.number(block, "altitude", "length", "1600 m")
            if altitude is not None:
                if pressure is not None:
                    raise self.fault(block.at("altitude"), "pressure and altitude are both given", "one of them only")
                try:
                    pressure = pressure_at(altitude)
                except ValueError as error:
                    raise self.fault(block.at("altitude"), str(error), "altitude: 1600 m") from None
        level = level or self.level()
        limits = (*phrases, *without)
        if "mixture" in block:
            words = self.text(block, "mixture", "sand and salt")
            if not words:
                raise self.fault(block.at("mixture"), "mixture says nothing", "mixture: sand and salt")
            try:
                question = read_words(words, self.table, want, limits, pressure, level)
            except UsageError as error:
                raise self.fault(block.at("mixture"), str(error), "mixture: sand and salt") from None
        else:
            entries = self.components()
            question = question_of(entries, self.given, self.amounts, self.table, want, limits, pressure, level)
        return self.finished(question)

    def level(self) -> str:
        text = self.text(self.block, "level", "lower-secondary")
        if not text:
            return ""
        found = text if text in LEVELS else level_of(text)
        if not found:
            raise self.fault(self.block.at("level"), f"{text!r} is no level", "level: " + ", ".join(LEVELS))
        return found

    def finished(self, question: Question) -> Question:
        block = self.block
        wish = question.wish
        remove = []
        view = self.table.with_given(substances_of(question.given)) if question.given else self.table
        for name in self.texts("remove", "sand"):
            found = view.name(name)
            if found is None:
                raise self.fault(block.at("remove"), f"{name!r} is not known", f"remove: {self.near(name)}")
            remove.append(found.id)
        aim = self.word(block, "aim", AIMS) or wish.aim
        form = self.text(block, "form", "crystals") or wish.form
        purity = self.number(block, "purity", "fraction", "95 %")
        if purity is not None and not 0 < purity <= 1:
            raise self.fault(block.at("purity"), "a purity is above 0 and at most 100 %", "purity: 95 %")
        wish = Wish(wish.want, tuple(remove) or wish.remove, aim, form, purity or wish.purity, wish.said)
        small = self.word(block, "small", ("yes", "no"))
        setting = replace(question.setting, small=question.setting.small if not small else small == "yes")
        spots = []
        for text in self.texts("spots", "30 mm"):
            try:
                spots.append(parse_number(text, "length"))
            except QuantityError as error:
                raise self.fault(block.at("spots"), str(error), "spots: [30 mm, 45 mm]") from None
        front = self.number(block, "front", "length", "80 mm")
        if front is not None and front <= 0:
            raise self.fault(block.at("front"), "the distance of the solvent front is above 0", "front: 80 mm")
        if spots and front is None:
            raise self.fault(
                block.at("spots"), "spots need the distance of the solvent front", "front: 80 mm beside them"
            )
        if front is not None and any(not 0 <= spot <= front for spot in spots):
            raise self.fault(
                block.at("spots"), "a spot lies between the start and the solvent front", "spots: [30 mm, 45 mm]"
            )
        return replace(
            question,
            wish=wish,
            setting=setting,
            front=question.front if front is None else front,
            spots=tuple(spots) or question.spots,
        )


def read_file(
    source: Path | str,
    table: Table,
    want: Sequence[str] = (),
    without: Sequence[str] = (),
    pressure: float | None = None,
    level: str = "",
) -> Question:
    """A question from a YAML file (a Path, or text that names one) or from YAML text (with a line break or colon).

    The keys are KEYS and COMPONENT_KEYS; a component may also state any property of substances/properties.yaml, which
    makes it a substance described in the question. want, without, pressure (Pa) and level go before those of the file
    (without is added). Raises DataError with file, line and mend.
    """
    if isinstance(source, Path):
        shown, node = str(source), read_yaml(source)
    elif "\n" not in source and not source.rstrip().endswith("}") and ": " not in source:
        shown, node = source, read_yaml(Path(source))
    else:
        shown, node = "question", parse_yaml(source, "question")
    if not isinstance(node, Block):
        line = node.line if isinstance(node, Items) else 1
        raise DataError(shown, line, "a question is a mapping", "components: [salt, sand]")
    return _File(node, shown, table).question(want, without, pressure, level)
