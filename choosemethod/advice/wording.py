"""Wording: fill the places of a rule's or technique's text with what the facts hold."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence

from choosemethod.facts import KINDS, UNKNOWN, Fact, SlotValue, how_said
from choosemethod.quantity import show
from choosemethod.rulebook.technique import PLACE, Line

__all__ = ["fill", "joined", "lines_filled", "reason", "shown_slot", "slot_label"]

NOT_KNOWN = "not known"
_LABELS = {
    "decomposes_at": "decomposition temperature",
    "size_low": "smallest usual particle size",
    "size_high": "largest usual particle size",
    "magnetic": "answer to a magnet",
    "in_water": "solubility in water",
    "hot_solubility": "solubility when hot",
    "solubility_rise": "hot over cold solubility",
    "solubility_ratio": "ratio of the rises in solubility",
}
_DOUBTFUL = ("memory", "estimated", "common practice")
_WORKED_OUT = ("_gap", "_ratio")  # numbers out of two others, behind which it is said where it is true of one of them
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
    name = slot.removeprefix("first_").removeprefix("second_")
    return _LABELS.get(name, name.replace("_", " "))


def reason(text: str, roles: Mapping[str, Fact], names: Callable[[str], str]) -> str:
    """The reason of a rule with its places filled; a number that was remembered or estimated says so behind it."""
    said = fill(text, roles, names, doubts="stated")[0]
    if not any(f" ({how_said(word)})" in said for word in _DOUBTFUL):
        said = fill(text, roles, names, doubts="all")[0]
    for word in _DOUBTFUL:  # said once, behind the last number it is true of
        doubt = f" ({how_said(word)})"
        said = said.replace(doubt, "", said.count(doubt) - 1) if said.count(doubt) > 1 else said
        said = re.sub(rf"(\([^()]*){re.escape(doubt)}\)", rf"\1, {doubt[2:-1]})", said)  # no brackets in brackets
    return said


def _doubt(fact: Fact, slot: str, doubts: str) -> str:
    """What is said behind a number that no published source states; "" for other slots and numbers."""
    kind, shown = KINDS[fact.kind].get(slot), fact.evidence.get(slot)
    if doubts == "stated" and slot.endswith(_WORKED_OUT):
        return ""
    if kind is None or not kind.dimension or shown is None or shown.how not in _DOUBTFUL:
        return ""
    return f" ({how_said(shown.how)})"


def fill(
    text: str,
    roles: Mapping[str, Fact],
    names: Callable[[str], str],
    parts: Mapping[str, str] | None = None,
    whole: bool = True,
    doubts: str = "",
) -> tuple[str, bool]:
    """Text with its places filled, and whether everything was known (what is not reads "not known").

    A place is {role.slot}, or {part} for the names of what a part holds. doubts: a number says if it is no measurement
    ("all", or only what is "stated" and not worked out).
    """
    known = True
    out: list[str] = []
    end = 0
    several = False
    for match in PLACE.finditer(text):
        between = text[end : match.start()]
        out.append(agreeing(between) if several else between)
        end = match.end()
        role, slot = match.groups()
        found: str | None
        listed = False
        if slot is None:
            found = (parts or {}).get(role) or None
        else:
            fact = roles.get(role)
            found = None if fact is None else shown_slot(fact, slot, names)
            listed = fact is not None and isinstance(fact.slots.get(slot), tuple)
            if doubts and fact is not None and found is not None:
                found += _doubt(fact, slot, doubts)
        if found is None:
            known = False
            found = NOT_KNOWN
        before = "".join(out)
        out.append(sentence(found) if before.endswith((". ", "! ", "? ")) else found)
        # in "the vapour of {x.name} is" the verb belongs to the vapour
        named = slot is None or listed or slot.endswith("name") or " and " in found
        several = named and is_plural(found) and not _GENITIVE.search(before)
    out.append(agreeing(text[end:]) if several else text[end:])
    said = "".join(out)
    return sentence(said) if whole else said, known


_GENITIVE = re.compile(r"\b(?:vapour|solution|dust|rest|little|most|part|presence) of $", re.IGNORECASE)
_SINGULAR_ENDINGS = ("ss", "us", "is", "os", "gas", "lens")
_PLURALS = frozenset({"bacteria", "algae", "fungi"})  # plurals that do not end in s
_VERBS = {"is": "are", "does": "do", "has": "have", "was": "were", "goes": "go", "carries": "carry", "is,": "are,"}
# "do not react and stays out": a second verb of the same subject, known by the little word behind it
_SECOND_VERB = re.compile(
    r" and ([a-z]{2,}[^s\W]s)(?= (?:out|off|to|in|into|behind|with|on|over|down|up|away|not|through)\b)"
)
_FIRST_WORD = re.compile(r"( )([a-z]+)(?=[ ,;:.)]|$)")
# words that end in s and follow a name without being its verb
_NO_VERBS = frozenset(
    {"as", "its", "this", "less", "always", "gas", "mass", "across", "towards", "whereas", "plus", "thus", "perhaps"}
)


def is_plural(name: str) -> bool:
    """Whether a name takes a plural verb: several names, or a plural noun."""
    if " and " in name:
        return True
    last = name.split(" ")[-1].lower()
    if last in _PLURALS:
        return True
    return last.endswith("s") and len(last) > 3 and not last.endswith(_SINGULAR_ENDINGS)


def agreeing(after: str) -> str:
    """The text that follows a plural name, its verb made plural: " does not dissolve" -> " do not dissolve"."""
    match = _FIRST_WORD.match(after)
    if match is None:
        return after
    word = match[2]
    if word in _VERBS:
        plural = _VERBS[word]
    elif word.endswith("s") and not word.endswith("ss") and word not in _NO_VERBS and len(word) > 3:
        plural = word[:-2] if word.endswith(("sses", "shes", "ches", "xes")) else word[:-1]
    else:
        return after
    rest = after[match.end() :]
    end = min([place for place in (rest.find(mark) for mark in (".", ";", ":")) if place >= 0], default=len(rest))
    return match[1] + plural + _SECOND_VERB.sub(_plural_verb, rest[:end]) + rest[end:]


def _plural_verb(match: re.Match[str]) -> str:
    word = match[1]
    return f" and {_VERBS.get(word, word[:-1])}"


def sentence(text: str) -> str:
    """Text with a capital at its beginning."""
    return text[:1].upper() + text[1:]


def lines_filled(
    lines: Sequence[Line],
    roles: Mapping[str, Fact],
    present: Sequence[Fact],
    names: Callable[[str], str],
    parts: Mapping[str, str],
    whole: bool = True,
) -> tuple[tuple[str, Line], ...]:
    """The lines whose conditions hold, filled, each with the line; one with a place that is not known is left out.

    whole: each is a sentence, and begins with a capital.

    present: the component facts `any` may stand for, one that fits all tests; each test of `none` may hold for no one of them.
    """
    out: dict[str, Line] = {}
    for line in lines:
        fits = True
        wanted = [test for role, tests in line.when if role == "any" for test in tests]
        if wanted and not any(all(test(fact.slots.get(test.slot)) for test in wanted) for fact in present):
            fits = False
        for role, tests in line.when:
            if role == "none" and any(all(test(fact.slots.get(test.slot)) for test in tests) for fact in present):
                fits = False
            if role not in ("any", "none"):
                fact = roles.get(role)
                fits = fits and fact is not None and all(test(fact.slots.get(test.slot)) for test in tests)
        if fits:
            text, known = fill(line.text, roles, names, parts, whole)
            if known:
                out.setdefault(text, line)
    return tuple(out.items())
