"""The closed table of properties (substances/properties.yaml) as objects: names, forms, dimensions and words."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from choosemethod.errors import DataError
from choosemethod.quantity import DIMENSIONS
from choosemethod.yamltext import Block, Items, Node

__all__ = ["Problems", "Property", "Schema", "nearest", "read_properties", "text_of"]

FORMS = ("number", "range", "word", "words", "text", "solubility", "vapour_pressure", "by_reagent")


class Problems(list[DataError]):
    """Faults found while reading, in the order met."""

    def add(self, file: str, line: int, wrong: str, write: str) -> None:
        """Note a fault: where, what is wrong, what to write instead."""
        self.append(DataError(file, line, wrong, write))


@dataclass(frozen=True, slots=True)
class Property:
    """One property: the form its value takes, its dimension (numbers) or its words, and what it means."""

    name: str
    form: str
    meaning: str
    dimension: str = ""
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Schema:
    """What substance files may say: properties by name, classes, kinds and hazard statements (empty: any word)."""

    properties: Mapping[str, Property]
    classes: frozenset[str] = frozenset()
    kinds: frozenset[str] = frozenset()
    statements: frozenset[str] = frozenset()


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word most like this one, or "" if none is near."""
    return _nearest(word, frozenset(known))


@lru_cache(maxsize=1024)
def _nearest(word: str, known: frozenset[str]) -> str:
    found = difflib.get_close_matches(word, sorted(known), n=1, cutoff=0.6)
    return found[0] if found else ""


def text_of(node: Node | None) -> str:
    """The text of a scalar; "" for anything else."""
    return node if isinstance(node, str) else ""


def read_properties(block: Block, file: str, problems: Problems) -> dict[str, Property]:
    """Properties from the mapping of properties.yaml; faults in it are noted in problems and left out."""
    found: dict[str, Property] = {}
    for name, entry in block.items():
        line = block.at(name)
        if not isinstance(entry, Block):
            problems.add(file, line, f"{name} has no form", f"{name}: {{form: text, meaning: WHAT IT MEANS}}")
            continue
        for key in entry:
            if key not in ("form", "dimension", "words", "meaning", "note"):
                problems.add(
                    file, entry.at(key), f"{key!r} is no key of a property", "form, dimension, words, meaning or note"
                )
        form, dimension = text_of(entry.get("form")), text_of(entry.get("dimension"))
        if form not in FORMS:
            problems.add(file, entry.at("form"), f"{form!r} is no form of a value", "form: one of " + ", ".join(FORMS))
            continue
        if form in ("number", "range") and dimension not in DIMENSIONS:
            near = nearest(dimension, DIMENSIONS) or "temperature"
            problems.add(file, entry.at("dimension"), f"{dimension!r} is no dimension", f"dimension: {near}")
            continue
        listed = entry.get("words", Items())
        words = tuple(listed) if isinstance(listed, Block) else tuple(text_of(word) for word in listed)
        if form in ("word", "solubility", "by_reagent") and not words:
            problems.add(file, line, f"{name} lists no words", "words: [one, another]")
            continue
        found[name] = Property(name, form, text_of(entry.get("meaning")), dimension, words)
    return found
