"""Quiz items: what one question holds, with its key, its marking points and its sources."""

from __future__ import annotations

import hashlib
from dataclasses import asdict, dataclass
from typing import Any

__all__ = ["KINDS", "Choice", "Item", "Point", "fill", "identifier"]

KINDS = ("choose", "order", "layer", "first-over", "mistake", "why-not", "compute")


@dataclass(frozen=True, slots=True)
class Choice:
    """One choice, or one step to be put in order. id: A, B, C ...; reason: why it is right or wrong; rule: says so."""

    id: str
    text: str
    right: bool = False
    reason: str = ""
    rule: str = ""
    technique: str = ""


@dataclass(frozen=True, slots=True)
class Point:
    """A marking point: what the answer must say or show, and its marks."""

    text: str
    marks: int = 1


@dataclass(frozen=True, slots=True)
class Item:
    """One question.

    id: made from its content; kind: one of KINDS; level, topic: "" if none; mixture, want: what it is about;
    lines: numbered lines under the stem; choices: empty for an open question; orders: accepted orders of choice ids;
    answer: the key in words; value, tolerance, unit: of a number asked for; technique: slug the key rests on;
    sources: (key, title) pairs; data: what an independent rerun of the key needs.
    """

    id: str
    kind: str
    stem: str
    answer: str
    points: tuple[Point, ...]
    level: str = ""
    topic: str = ""
    mixture: str = ""
    want: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    orders: tuple[tuple[str, ...], ...] = ()
    value: float | None = None
    tolerance: float = 0.0
    unit: str = ""
    technique: str = ""
    sources: tuple[tuple[str, str], ...] = ()
    data: tuple[tuple[str, str], ...] = ()

    @property
    def marks(self) -> int:
        """Marks for the whole question."""
        return sum(point.marks for point in self.points)

    @property
    def key(self) -> tuple[str, ...]:
        """Ids of the right choices; for an order, the ids in the first accepted order."""
        return self.orders[0] if self.orders else tuple(choice.id for choice in self.choices if choice.right)

    def as_dict(self) -> dict[str, Any]:
        """The item as plain lists and mappings, with its marks and key."""
        plain = asdict(self)
        plain["sources"] = [{"key": key, "title": title} for key, title in self.sources]
        plain["data"] = dict(self.data)
        return {**plain, "key": list(self.key), "marks": self.marks}


def identifier(kind: str, *content: str) -> str:
    """An id that only depends on the content: kind and twelve hexadecimal digits; also a valid XML name."""
    digest = hashlib.blake2b("\0".join(content).encode(), digest_size=6).hexdigest()
    return f"{kind}-{digest}"


def fill(text: str, **places: str) -> str:
    """Text with {name} put in; a place that is not given stays as it is."""
    for name, value in places.items():
        text = text.replace("{" + name + "}", value)
    return text
