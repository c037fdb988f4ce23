"""Wording: fill the places of a rule's or technique's text with what the facts hold."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence

from choosemethod.facts import KINDS, UNKNOWN, Fact, SlotValue
from choosemethod.quantity import show
from choosemethod.rulebook.technique import PLACE, Line

__all__ = ["fill", "joined", "lines_filled", "shown_slot", "slot_label"]

NOT_KNOWN = "not known"
ROLE_SLOT = re.compile(r"\{([a-z][a-z0-9_]*)\.([a-z][a-z0-9_]*)\}")  # the places of a rule's reason


def joined(names: Iterable[str]) -> str:
    """Names as a sentence lists them: "a, b and c"."""
    unique = list(dict.fromkeys(names))
    if len(unique) < 2:
        return "".join(unique)
    return ", ".join(unique[:-1]) + " and " + unique[-1]


def shown_slot(fact: Fact, slot: str, names: Callable[[str], str]) -> str | None:
    """A slot's value as text; None if it is not known. `names` turns a component key into its name."""
    value: SlotValue = fact.slots.get(slot)
    if value is None or value == UNKNOWN:
        return None
    if isinstance(value, tuple):
        return joined(names(key) for key in value) or None
    if isinstance(value, float):
        kind = KINDS[fact.kind].get(slot)
        dimension = kind.dimension if kind is not None and kind.dimension else "pure number"
        if dimension == "temperature difference":
            value = abs(value)
        return show(value, dimension)
    if slot in ("host", "first", "second", "about", "other", "dries") and value:
        return names(value)
    return value


def slot_label(slot: str) -> str:
    """A slot's name in words: "boiling point"."""
    return slot.removeprefix("first_").removeprefix("second_").replace("_", " ")


def fill(text: str, roles: Mapping[str, Fact], names: Callable[[str], str], parts: Mapping[str, str] | None = None) -> tuple[str, bool]:
    """Text with its places filled, and whether everything was known (what is not reads "not known").

    A place is {role.slot}, or {part} for the names of what a part holds.
    """
    known = True
    out: list[str] = []
    end = 0
    for match in PLACE.finditer(text):
        out.append(text[end : match.start()])
        end = match.end()
        role, slot = match.groups()
        found: str | None
        if slot is None:
            found = (parts or {}).get(role) or None
        else:
            fact = roles.get(role)
            found = None if fact is None else shown_slot(fact, slot, names)
        if found is None:
            known = False
            found = NOT_KNOWN
        out.append(found)
    out.append(text[end:])
    return sentence("".join(out)), known


def sentence(text: str) -> str:
    """Text with a capital at its beginning."""
    return text[:1].upper() + text[1:]


def lines_filled(
    lines: Sequence[Line],
    roles: Mapping[str, Fact],
    present: Sequence[Fact],
    names: Callable[[str], str],
    parts: Mapping[str, str],
) -> tuple[str, ...]:
    """The lines whose conditions hold, filled; a line with a place that is not known is left out.

    present: the component facts `any` may stand for.
    """
    out = []
    for line in lines:
        fits = True
        any_tests = [test for role, tests in line.when if role == "any" for test in tests]
        if any_tests and not any(all(test(fact.slots.get(test.slot)) for test in any_tests) for fact in present):
            fits = False
        for role, tests in line.when:
            if role != "any":
                fact = roles.get(role)
                fits = fits and fact is not None and all(test(fact.slots.get(test.slot)) for test in tests)
        if fits:
            text, known = fill(line.text, roles, names, parts)
            if known and text not in out:
                out.append(text)
    return tuple(out)
