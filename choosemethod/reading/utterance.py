"""A question as it was said: its parts with their roles, what is told, the limits, the wish words. One frozen value."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from choosemethod.mixture import NO_TECHNIQUES, Techniques
from choosemethod.reading.amounts import Whole
from choosemethod.reading.lattice import Piece
from choosemethod.reading.limits import Limits
from choosemethod.reading.properties import Told
from choosemethod.reading.roles import Part

__all__ = ["PARTS", "WISHED", "Extra", "Utterance"]

# Roles of what is there, and of what a wish is about.
PARTS = ("component", "host", "source", "wanted", "removed", "impurity", "purified", "dried", "looked for", "measured")
WISHED = ("wanted", "removed", "purified", "dried", "looked for", "measured")


class Extra(NamedTuple):
    """A component that nobody named and an interpretation rule adds. substance: id; form: "" to be worked out; host: id;
    role: "", "main" or "impurity"."""

    substance: str
    form: str = ""
    host: str = ""
    role: str = ""


class Utterance(NamedTuple):
    """What was said.

    text: as mended; pieces: all of it; parts: names with roles (a rule may change meanings, roles, states, or drop one);
    used: piece -> (role, because) of all that is no part; limits, whole, told: see their modules; techniques: by what is
    said of them; words: every normalised word, for rules that ask for one; aim: separate or identify; purpose: a key of
    mixture.PURPOSES; form: condition wanted of the product; flags: purify, reacted, alloy, into, apart;
    unknown: stretches not understood that may be parts; loose: others not understood; aside: ordinary words beside a part or
    in the place of one, with the part; extras: components added by rules;
    forms: part (its place) -> form a rule gave it; settled: parts whose role a rule gave; notes: sentences about what was
    inferred; inferred: (rule, sentence).
    """

    text: str
    pieces: tuple[Piece, ...]
    parts: tuple[Part, ...]
    used: Mapping[int, tuple[str, str]]
    limits: Limits
    whole: Whole
    told: Told
    techniques: Techniques = NO_TECHNIQUES
    words: tuple[str, ...] = ()
    aim: str = "separate"
    purpose: str = ""
    form: str = ""
    flags: frozenset[str] = frozenset()
    unknown: tuple[str, ...] = ()
    loose: tuple[str, ...] = ()
    aside: tuple[tuple[str, str], ...] = ()
    extras: tuple[Extra, ...] = ()
    forms: Mapping[int, str] = {}
    settled: frozenset[int] = frozenset()
    notes: tuple[str, ...] = ()
    inferred: tuple[tuple[str, str], ...] = ()

    def there(self) -> tuple[Part, ...]:
        """The parts that are in the mixture, named or described."""
        return tuple([part for part in self.parts if part.role in PARTS and (part.meanings or part.given)])
