"""The closed table of properties (substances/properties.yaml) as objects: names, forms, dimensions and words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from choosemethod.data import Either, Entry, Flag, Listed, Plain, Record, Table, Text, Word
from choosemethod.quantity import DIMENSIONS
from choosemethod.yamltext import Node

__all__ = ["PROPERTIES", "Property", "Schema", "text_of"]

FORMS = ("number", "range", "word", "words", "text", "solubility", "vapour_pressure", "by_reagent")
_WITH_WORDS = ("word", "solubility", "by_reagent")  # forms whose words the property must list


@dataclass(frozen=True, slots=True)
class Property:
    """One property: the form its value takes, its dimension (numbers) or its words, and what it means.

    bounds: for the words that stand for amounts, (word, at least, below) in g/100 g, None where there is no bound.
    """

    name: str
    form: str
    meaning: str
    dimension: str = ""
    words: tuple[str, ...] = ()
    bounds: tuple[tuple[str, float | None, float | None], ...] = ()
    of_shape: bool = False  # belongs to the pieces and not to what they are made of


@dataclass(frozen=True, slots=True)
class Schema:
    """What substance files may say: properties by name, classes, kinds and hazard statements (empty: any word)."""

    properties: Mapping[str, Property]
    classes: frozenset[str] = frozenset()
    kinds: frozenset[str] = frozenset()
    statements: frozenset[str] = frozenset()


def text_of(node: Node | None) -> str:
    """The text of a scalar; "" for anything else."""
    return node if isinstance(node, str) else ""


def _property(one: Entry) -> Any:
    form, dimension, words = one["form"], one["dimension"], one["words"]
    if form in ("number", "range") and not dimension:
        return one.fault("dimension", f"{one.what} has no dimension", "dimension: temperature")
    if form in _WITH_WORDS and not words:
        return one.fault("words", f"{one.what} lists no words", "words: [one, another]")
    bounds = words if isinstance(words, dict) else {}
    scale = tuple((word, grade["at_least"], grade["below"]) for word, grade in bounds.items())
    return Property(one.what, form, one["meaning"], dimension, tuple(words), scale, one["of_shape"])


_GRADE = Record("a word of a property", {"meaning?": Text(), "at_least?": Plain(), "below?": Plain()})
PROPERTIES = Table(
    Record(
        "a property",
        {
            "form": Word(FORMS, noun="form of a value"),
            "dimension?": Word(sorted(DIMENSIONS), noun="dimension"),
            "words?": Either(items=Listed(Text(), alone=False), block=Table(_GRADE)),
            "meaning": Text(),
            "note?": Text(),
            "of_shape?": Flag(),
        },
        make=_property,
        shape=("{what} has no form", "{what}: {form: text, meaning: WHAT IT MEANS}"),
    )
)
