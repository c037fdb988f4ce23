"""The rule language: what a rule is made of, and the tests its conditions are built from.

A rule looks for facts in named roles, tests their slots, and says what follows. Rules are plain data: every class here
turns into nested tuples and back (`plain`, `from_plain`), so checked rules can be kept in the cache.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from choosemethod.facts import UNKNOWN, SlotValue

__all__ = ["HARMS", "HEADS", "OPERATORS", "PLACE", "STAGES", "Deed", "Example", "Pattern", "Rule", "Test"]

# A place of a sentence of a rule: role and slot.
PLACE = re.compile(r"\{([a-z][a-z0-9_]*)\.([a-z][a-z0-9_]*)\}")
# What a rule may say (its head) and the stage it belongs to.
HEADS: Mapping[str, str] = {
    "concludes": "interpretation",
    "proposes": "selection",
    "rejects": "rejection",
    "refuses": "rejection",
    "warns": "caution",
}
STAGES = ("interpretation", "selection", "rejection", "caution")
# What a caution guards against, the worst for a person first; "loss" hurts only the work or the glass.
HARMS = ("explosion", "lethal", "lasting", "fire", "bursting", "burns", "poison", "irritation", "loss")


def _known(value: SlotValue) -> bool:
    return value is not None and value != UNKNOWN


def _is(value: SlotValue, wanted: Any) -> bool:
    return bool(value == wanted)


def _not(value: SlotValue, wanted: Any) -> bool:
    return bool(value != wanted)  # unknown included: "not known to be"


def _below(value: SlotValue, wanted: Any) -> bool:
    return isinstance(value, float) and value < wanted


def _above(value: SlotValue, wanted: Any) -> bool:
    return isinstance(value, float) and value > wanted


def _at_least(value: SlotValue, wanted: Any) -> bool:
    return isinstance(value, float) and value >= wanted - 1e-9


def _at_most(value: SlotValue, wanted: Any) -> bool:
    return isinstance(value, float) and value <= wanted + 1e-9


def _between(value: SlotValue, wanted: Any) -> bool:
    return isinstance(value, float) and wanted[0] <= value <= wanted[1]


def _one_of(value: SlotValue, wanted: Any) -> bool:
    return bool(value in wanted)


def _none_of(value: SlotValue, wanted: Any) -> bool:
    return _known(value) and value not in wanted


def _has(value: SlotValue, wanted: Any) -> bool:
    return isinstance(value, tuple) and wanted in value


def _has_any(value: SlotValue, wanted: Any) -> bool:
    return isinstance(value, tuple) and any(word in value for word in wanted)


def _lacks(value: SlotValue, wanted: Any) -> bool:
    return isinstance(value, tuple) and not any(word in value for word in wanted)


def _unknown(value: SlotValue, wanted: Any) -> bool:
    return bool((not _known(value)) == wanted)


# The closed table of word operators.
OPERATORS: Mapping[str, Callable[[SlotValue, Any], bool]] = {
    "is": _is,
    "not": _not,
    "below": _below,
    "above": _above,
    "at_least": _at_least,
    "at_most": _at_most,
    "between": _between,
    "one_of": _one_of,
    "none_of": _none_of,
    "has": _has,
    "has_any": _has_any,
    "lacks": _lacks,
    "unknown": _unknown,
}


class Test(NamedTuple):
    """A condition on one slot; value in SI units or words; text as the author wrote it."""

    slot: str
    operator: str
    value: Any
    text: str = ""

    def __call__(self, value: SlotValue) -> bool:
        return OPERATORS[self.operator](value, self.value)

    def plain(self) -> tuple[Any, ...]:
        return self.slot, self.operator, self.value, self.text


class Pattern(NamedTuple):
    """What one fact must be. joins: slot -> role whose key it must equal; differs: roles whose key it must not equal.

    binds: slot -> role that this pattern gives a key to (a merged pair binds first and second).
    """

    role: str
    kind: str
    tests: tuple[Test, ...] = ()
    joins: tuple[tuple[str, str], ...] = ()
    differs: tuple[tuple[str, str], ...] = ()

    def accepts(self, slots: Mapping[str, SlotValue]) -> bool:
        """Whether a fact's slots pass all tests (joins aside)."""
        return all(OPERATORS[test.operator](slots.get(test.slot), test.value) for test in self.tests)

    def plain(self) -> tuple[Any, ...]:
        return self.role, self.kind, tuple(test.plain() for test in self.tests), self.joins, self.differs


class Example(NamedTuple):
    """A mixture in words on which the rule must fire or stay silent."""

    name: str
    mixture: str
    fires: bool
    want: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    pressure: str = ""


class Deed(NamedTuple):
    """One thing a conclusion changes in what was said.

    verb: reads (a mention), adds (a substance nobody named), asks (what is wanted to be known) or says (a flag);
    of: the mention's role in the rule, the name added, the aim or the flag; related: a key of rules/related.yaml, by
    which the mention's own name leads to what it is read as; name: or the name it is read as; form: of the component;
    host: role in the rule of the mention it is in; role: what part it plays.
    """

    verb: str
    of: str
    related: str = ""
    name: str = ""
    form: str = ""
    host: str = ""
    role: str = ""


class Rule(NamedTuple):
    """One rule as checked.

    head: proposes, rejects, refuses, concludes, warns; says: technique slugs, or the word concluded or refused;
    find: the patterns to be found, as written; matched: the same, merged for the engine; unless: patterns that must
    not be found; because: the reason with {role.slot} places; strength: of a proposal.
    Of a caution: harm, a word of HARMS; several: the text for several components at once, in which each place but a name is
    that of the component with the least value of the slot `least` (role, slot), called {least.name} there; replaces: ids of
    cautions that need not be given of a component this one is given of; kept: a short answer never leaves it out. Of a
    conclusion: does, what it changes.
    """

    id: str
    head: str
    says: tuple[str, ...]
    find: tuple[Pattern, ...]
    matched: tuple[Pattern, ...]
    unless: tuple[Pattern, ...]
    because: str
    principle: str
    source: str
    strength: str = ""
    about: str = ""
    other: str = ""
    goes_wrong_when: tuple[str, ...] = ()
    examples: tuple[Example, ...] = ()
    file: str = ""
    line: int = 0
    harm: str = ""
    several: str = ""
    least: tuple[str, str] = ("", "")
    replaces: tuple[str, ...] = ()
    kept: bool = False
    does: tuple[Deed, ...] = ()

    @property
    def stage(self) -> str:
        """The stage the rule belongs to."""
        return HEADS[self.head]

    def plain(self) -> tuple[Any, ...]:
        """As nested tuples of text and numbers."""
        return (
            self.id, self.head, self.says,
            tuple(p.plain() for p in self.find), tuple(p.plain() for p in self.matched), tuple(p.plain() for p in self.unless),
            self.because, self.principle, self.source, self.strength, self.about, self.other, self.goes_wrong_when,
            tuple((e.name, e.mixture, e.fires, e.want, e.without, e.pressure) for e in self.examples), self.file, self.line,
            self.harm, self.several, self.least, self.replaces, self.kept,
            tuple(tuple(deed) for deed in self.does),
        )  # fmt: skip


def _pattern(plain: tuple[Any, ...]) -> Pattern:
    role, kind, tests, joins, differs = plain
    return Pattern(role, kind, tuple([Test(*test) for test in tests]), joins, differs)


def from_plain(plain: tuple[Any, ...]) -> Rule:
    """The rule that `Rule.plain` wrote."""
    ident, head, says, find, matched, unless, *rest = plain
    rest[7] = tuple([Example(*example) for example in rest[7]])
    rest[-1] = tuple([Deed(*deed) for deed in rest[-1]])
    patterns = [tuple([_pattern(p) for p in group]) for group in (find, matched, unless)]
    return Rule(ident, head, says, patterns[0], patterns[1], patterns[2], *rest)
