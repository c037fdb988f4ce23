"""Load the laboratory from its YAML files and check it; every fault names file, line and mend."""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Mapping
from pathlib import Path
from typing import Any

from choosemethod.errors import DataError
from choosemethod.laboratory import BASES, KINDS, LINES, NUMBERS, VESSELS, Column, Convention, Laboratory, Pump, Vessels
from choosemethod.quantity import QuantityError, parse_number, parse_range
from choosemethod.yamltext import Block, Items, Node, read_mapping

__all__ = ["read_laboratory"]

_PARTS = ("columns", "conventions", "pumps", "vessels", "forecasts")


class _File:
    """One file; every fault names the line and what to write."""

    def __init__(self, folder: Path, name: str, sources: Container[str] | None) -> None:
        self.shown = f"{folder.name}/{name}.yaml"
        self.sources = sources
        self.root = read_mapping(folder / f"{name}.yaml", self.shown)

    def fault(self, line: int, wrong: str, write: str) -> DataError:
        return DataError(self.shown, line, wrong, write)

    def keys(self, block: Block, needed: tuple[str, ...], also: tuple[str, ...] = ()) -> None:
        for key in block:
            if key not in needed and key not in also:
                raise self.fault(block.at(key), f"{key!r} is no key here", "one of " + ", ".join((*needed, *also)))
        for key in needed:
            if key not in block:
                raise self.fault(block.line, f"{key} is missing", f"{key}: ...")

    def blocks(self, block: Block, needed: tuple[str, ...], also: tuple[str, ...] = ()) -> list[tuple[str, Block]]:
        out = []
        for key, node in block.items():
            if not isinstance(node, Block):
                raise self.fault(block.at(key), f"{key} must be a mapping", f"{key}: {{{needed[0]}: ...}}")
            self.keys(node, needed, also)
            if "source" in needed:
                self.source(node)
            out.append((key, node))
        if not out:
            raise self.fault(block.line, "there is no entry", f"KEY: {{{needed[0]}: ...}}")
        return out

    def source(self, block: Block) -> str:
        found = self.text(block, "source")
        if self.sources is not None and found not in self.sources:
            raise self.fault(block.at("source"), f"{found!r} is no source", "source: a key of substances/sources.yaml")
        return found

    def text(self, block: Block, key: str) -> str:
        node = block.get(key)
        if not isinstance(node, str) or not node.strip():
            raise self.fault(block.at(key), f"{key} must be one text", f"{key}: TEXT")
        return node

    def part(self, key: str) -> Block:
        node = self.root.get(key)
        if not isinstance(node, Block):
            raise self.fault(self.root.at(key), f"{key} must be a mapping", f"{key}: {{KEY: ...}}")
        return node

    def words(self, node: Node | None, line: int, what: str) -> tuple[str, ...]:
        if not isinstance(node, Items) or not node or not all(isinstance(item, str) for item in node):
            raise self.fault(line, f"{what} must be a list of words", f"{what}: [one, another]")
        return tuple(str(item) for item in node)

    def number(self, block: Block, key: str, dimension: str, low: float, high: float = float("inf")) -> float:
        text = self.text(block, key)
        found: float = self.read(lambda: _number(text, dimension), block.at(key), key)
        if not low <= found <= high:
            raise self.fault(block.at(key), f"{key}: {text} is outside the possible", f"{key}: a possible {dimension}")
        return found

    def read(self, work: Callable[[], Any], line: int, key: str) -> Any:
        try:
            return work()
        except QuantityError as error:
            raise self.fault(line, f"{key}: {error}", f"{key}: NUMBER UNIT") from None


def _number(text: str, dimension: str) -> float:
    if dimension != "viscosity":
        return parse_number(text, dimension)
    number, _, unit = text.partition(" ")
    if unit != "mPa s":
        raise QuantityError(f"{text!r}: a viscosity is written in mPa s, for example 1.0 mPa s")
    return parse_number(number, "pure number") * 1e-3


def _vessels(file: _File) -> dict[str, Vessels]:
    out = {}
    for key, block in file.blocks(file.root, ("name", "sizes", "least", "most", "source")):
        if key not in VESSELS:
            raise file.fault(file.root.at(key), f"{key!r} is no kind of vessel", "one of " + ", ".join(VESSELS))
        line = block.at("sizes")
        sizes = [
            file.read(lambda word=word: parse_number(word, "volume"), line, "sizes")  # type: ignore[misc]
            for word in file.words(block["sizes"], line, "sizes")
        ]
        if sizes != sorted(set(sizes)) or sizes[0] <= 0:
            raise file.fault(line, "sizes must rise", "sizes: [50 mL, 100 mL, 250 mL]")
        least, most = (file.number(block, end, "fraction", 0.0, 1.0) for end in ("least", "most"))
        if least >= most:
            raise file.fault(block.at("least"), "least must lie below most", "least: 50 %, most: 66.7 %")
        out[key] = Vessels(file.text(block, "name"), tuple(sizes), least, most)
    missing = [key for key in VESSELS if key not in out]
    if missing:
        raise file.fault(1, f"{missing[0]} is missing", f"{missing[0]}: {{name: ..., sizes: [...]}}")
    return out


def _named(file: _File, part: str, names: Mapping[str, str]) -> tuple[dict[str, float], dict[str, str]]:
    """Numbers of a part of forecasts.yaml, all of `names` (name -> dimension), with their sources."""
    block = file.part(part)
    numbers, sources = {}, {}
    for key, entry in file.blocks(block, ("is", "meaning", "source")):
        if key not in names:
            raise file.fault(block.at(key), f"{key!r} is no number of {part}", "one of " + ", ".join(names))
        low = -273.15 if names[key].startswith("temperature") else 1e-12
        numbers[key] = file.number(entry, "is", names[key], low)
        sources[key] = file.text(entry, "source")
    for key in names:
        if key not in numbers:
            raise file.fault(
                block.line, f"{key} is missing from {part}", f"{key}: {{is: ..., meaning: ..., source: KEY}}"
            )
    return numbers, sources


def _lines(file: _File) -> dict[str, str]:
    block = file.part("lines")
    out = {}
    for key in block:
        if key not in LINES:
            raise file.fault(block.at(key), f"{key!r} is no sentence of a forecast", "one of " + ", ".join(LINES))
        text = file.text(block, key)
        wrong = [place for place in re.findall(r"\{([^}]*)\}?", text) if place not in LINES[key]]
        if wrong:
            raise file.fault(
                block.at(key), f"{{{wrong[0]}}} cannot be filled in here", "one of {" + "}, {".join(LINES[key]) + "}"
            )
        out[key] = text
    for key in LINES:
        if key not in out:
            raise file.fault(block.line, f"the sentence {key} is missing", f'{key}: "..."')
    return out


def _short(file: _File) -> tuple[str, ...]:
    keys = file.words(file.root.get("short"), file.root.at("short"), "short")
    for key in keys:
        if key not in LINES:
            raise file.fault(file.root.at("short"), f"{key!r} is no sentence", "a key of lines:")
    return tuple(keys)


def read_laboratory(
    folder: Path, sources: Container[str] | None = None, slugs: Container[str] | None = None
) -> Laboratory:
    """Read and check the files of a folder of the form of rules/.

    sources: keys of sources there are; slugs: the techniques there are (None: not checked). DataError for a fault.
    """
    files = {name: _File(folder, name, sources) for name in _PARTS}
    columns = []
    file = files["columns"]
    for key, block in file.blocks(file.root, ("name", "length", "plates", "source"), ("note",)):
        text, line = file.text(block, "plates"), block.at("plates")
        least, most = file.read(lambda text=text: parse_range(text, "pure number"), line, f"plates of {key}")  # type: ignore[misc]
        if least < 0:
            raise file.fault(line, "plates are not below zero", "plates: 2 to 3")
        columns.append(Column(file.text(block, "name"), file.text(block, "length"), least, most, str(block["source"])))
    file = files["conventions"]
    conventions = [
        Convention(file.number(block, "gap", "temperature difference", 0.0), str(block["source"]))
        for _, block in file.blocks(file.root, ("gap", "source"), ("note",))
    ]
    file = files["pumps"]
    pumps = [
        Pump(file.text(block, "name"), file.number(block, "reaches", "pressure", 1e-9), str(block["source"]))
        for _, block in file.blocks(file.root, ("name", "reaches", "source"), ("note",))
    ]
    file = files["forecasts"]
    file.keys(file.root, ("techniques", "numbers", "uncertainty", "lines", "short"))
    techniques: dict[str, tuple[str, ...]] = {}
    block = file.part("techniques")
    for kind, node in block.items():
        if kind not in KINDS:
            raise file.fault(block.at(kind), f"{kind!r} is no kind of forecast", "one of " + ", ".join(KINDS))
        for slug in file.words(node, block.at(kind), kind):
            if slugs is not None and slug not in slugs:
                raise file.fault(block.at(kind), f"{slug!r} is no technique", "the slug of a file of rules/techniques")
            techniques[slug] = (*techniques.get(slug, ()), kind)
    numbers, of = _named(file, "numbers", NUMBERS)
    uncertainty, _ = _named(file, "uncertainty", dict.fromkeys(BASES, "fraction"))
    return Laboratory(
        tuple(columns),
        tuple(sorted(conventions)),
        tuple(pumps),
        _vessels(files["vessels"]),
        techniques,
        numbers,
        of,
        uncertainty,
        _lines(file),
        _short(file),
    )
