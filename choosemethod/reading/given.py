"""Substances described in a question, as the table would hold them."""

from __future__ import annotations

import re

from choosemethod.mixture import Question
from choosemethod.quantity import ROOM_TEMPERATURE, QuantityError, parse_number, parse_range
from choosemethod.table import Substance, Value
from choosemethod.table.model import Solubility

__all__ = ["SOLUBILITY", "given_substances", "substances_of"]

SOLUBILITY = "solubility: "  # a key "solubility: water" of a description holds a word of the solubility scale
UNKNOWN = "unknown"
_NUMBERS = (
    "boiling_point",
    "melting_point",
    "decomposes_at",
    "sublimes_at",
    "density",
    "particle_size",
    "flash_point",
    "pka",
)
_DIMENSION = {"density": "density", "particle_size": "length", "pka": "pure number"}


def _value(property: str, text: str, source: str) -> Value | None:
    dimension = _DIMENSION.get(property, "temperature")
    if property not in _NUMBERS:
        return Value(property, text, source, words=(text,))
    try:
        low, high = (parse_number(text, dimension),) * 2 if dimension == "pure number" else parse_range(text, dimension)
    except QuantityError:
        return None
    return Value(property, text, source, number=low, high=high)


def substances_of(given: dict[str, dict[str, str]]) -> dict[str, Substance]:
    """Substances for descriptions (id -> property -> value text); every value has the source "given", or the one told.
    What is only said to be "like" another of the table has that one's values in it (Table.with_given)."""
    found: dict[str, Substance] = {}
    for id, told in given.items():
        values: dict[str, Value] = {}
        source = told.get("source", "given")
        solubility: dict[str, Solubility] = {}
        for property, text in told.items():
            if property.startswith(SOLUBILITY):
                liquid = property[len(SOLUBILITY) :]
                try:
                    much = parse_number(text, "solubility")
                    solubility[liquid] = Solubility(liquid, "", source, ((ROOM_TEMPERATURE, much),))
                except QuantityError:
                    solubility[liquid] = Solubility(liquid, text, source)
            elif property not in ("name", "phase", "kind", "classes", "formula", "source", "like"):
                value = _value(property, text, source)
                if value is not None:
                    values[property] = value
        classes = tuple(word for word in re.split(r",\s*", told.get("classes", "")) if word)
        found[id] = Substance(
            id=id,
            name=told.get("name", id.replace("-", " ")),
            phase=told.get("phase", UNKNOWN),
            kind=told.get("kind", ""),
            formula=told.get("formula", ""),
            classes=classes,
            values=values,
            solubility=solubility,
            given=True,
            like=told.get("like", ""),
        )
    return found


def given_substances(question: Question) -> dict[str, Substance]:
    """The substances a question describes, as the table would hold them, each value with the source "given"."""
    return substances_of(question.given)
