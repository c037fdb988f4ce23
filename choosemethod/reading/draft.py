"""A question while it is being read: what was named, what is wanted, and what was not understood."""

from __future__ import annotations

from dataclasses import dataclass, field

from choosemethod.quantity import Quantity
from choosemethod.reading.forms import Entry
from choosemethod.reading.grammar import Slot
from choosemethod.reading.items import Item

__all__ = ["Draft", "Term", "elements"]


@dataclass(slots=True)
class Term:
    """A slot of a wish; origin: whether it came with a "from" (then it belongs to the mixture)."""

    slot: Slot
    origin: bool = False
    said: str = ""
    out: bool = False  # "out of": a gas got out of a liquid only has to go


@dataclass(slots=True)
class Draft:
    """A question while it is being read."""

    entries: list[Entry] = field(default_factory=list)
    want: list[Term] = field(default_factory=list)
    remove: list[Term] = field(default_factory=list)
    aim: str = "separate"
    form: str = ""
    purify: bool = False
    reacted: bool = False
    alloy: bool = False
    one: bool = False  # the same substance named twice with different origins
    into: bool = False
    unknown: list[list[Item]] = field(default_factory=list)
    loose: list[list[Item]] = field(default_factory=list)  # unknown words in a clause without any name
    groups: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    amounts: dict[str, Quantity] = field(default_factory=dict)
    share_by: str = ""


def elements(formula: str) -> set[str]:
    """Symbols of the elements in a formula."""
    found: set[str] = set()
    for place, sign in enumerate(formula):
        if sign.isupper():
            follows = formula[place + 1 : place + 2]
            found.add(sign + follows if follows.islower() else sign)
    return found
