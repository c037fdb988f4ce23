"""Where a question offers answers to choose from: the places of their letters, in any style, or of a bare list of them."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable
from typing import NamedTuple

__all__ = ["Label", "find_options"]

_ROMAN = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii")
_ALPHABETS = ("ABCDEFGH", "abcdefgh", "12345678", _ROMAN, tuple(one.upper() for one in _ROMAN))
# How a letter is set off, with the fewest that count in this style, and whether it must follow a mark.
_STYLES = (
    (r"\({}\)", 2, False), (r"(?<![\w(]){}\.?\)", 2, False), (r"(?<!\w){}\.(?=\s)", 2, True), (r"(?<!\w){}\.(?=\s)", 4, False),
    (r"(?<!\S){}(?=\s)", 3, True),
)  # fmt: skip
_MARKS = "?:;.,_-–—\n)"
_SENTENCE_END = re.compile(r"[.?!](?=\s+[A-Z(])|\n\s*\n")
_ITEM = re.compile(r"\s*(?:,|;|/|\bor\b|\band\b)\s*(?:\bor\b\s*|\band\b\s*)?")
_BRACKETS = re.compile(r"\((?:[^():]*:)?([^():]*)\)")  # "(methods: sieving, decanting)"
_JOINS = ("and", "or", "&")
_FEWEST, _LONGEST_ITEM = 3, 6  # of a list without letters: items, and words of one


class Label(NamedTuple):
    """A place where an answer offered begins. start, end: of its letter in the text (the same for an item of a bare list);
    letter: as shown, "" where the last answer ends and the question goes on."""

    start: int
    end: int
    letter: str


def _run(text: str, letters: tuple[str, ...], style: str, marked: bool) -> list[Label]:
    """The letters of an alphabet from its first on, each the next after the one before."""
    found: list[Label] = []
    place = 0
    for letter in letters:
        for match in re.compile(style.format(letter) + r"\s*").finditer(text, place):
            before = text[: match.start()].rstrip()[-1:]
            if found or not marked or (before and before in _MARKS):
                break
        else:
            break
        found.append(Label(match.start(), match.end(), letter.upper() if letters[0] == "a" else letter))
        place = match.end()
    return found


def _closed(text: str, labels: list[Label]) -> list[Label]:
    """The labels, with the end of the last answer if more of the question follows it."""
    ends = [match.start() for match in _SENTENCE_END.finditer(text, labels[-1].end)]
    inner = any(_SENTENCE_END.search(text, one.end, other.start) for one, other in itertools.pairwise(labels))
    if not ends or inner:
        return labels
    return [*labels, Label(ends[0] + 1, ends[0] + 1, "")]


def _items(text: str, begin: int, end: int) -> list[tuple[int, int]]:
    """Where the items of a list stand between two places."""
    items: list[tuple[int, int]] = []
    place = begin
    for match in [*(m for m in _ITEM.finditer(text, begin, end) if m[0].strip() not in ("and",)), None]:
        stop = match.start() if match else end
        start = place + len(text[place:stop]) - len(text[place:stop].lstrip())
        if text[start:stop].strip():
            items.append((start, stop))
        place = match.end() if match else end
    return items


def _listed(
    text: str, is_answer: Callable[[str], bool], offers: Callable[[str, bool], bool], tried: Callable[[str], bool]
) -> list[Label]:
    """Answers without letters: the items of a list at the end, of which one is known for an answer, after "which ...?"; or
    of a list in brackets, most of which are, and which no sentence says were tried."""
    begin = max(text[:-1].rfind("?"), text.rfind(":")) + 1
    if text[begin:].lstrip().startswith("("):
        begin = text.find("(", begin) + 1
    bracket = min((at for at in (text.find("(", begin), text.find(")", begin)) if at > 0), default=0)
    end = bracket if bracket > 0 else len(text.rstrip(" .?!"))
    cut = _SENTENCE_END.search(text, begin)
    end = min(end, cut.start()) if cut else end
    inner = [(one.start(1), one.end(1)) for one in _BRACKETS.finditer(text)]
    for start, stop in [*inner, (begin, end)]:
        items = _items(text, start, stop)
        if len(items) < _FEWEST or any(len(text[one:other].split()) > _LONGEST_ITEM for one, other in items):
            continue
        between = [text[one[1] : other[0]] for one, other in itertools.pairwise(items)]
        known = sum(is_answer(text[one:other]) for one, other in items)
        slashed = all("/" in one for one in between)
        last = re.split(r"[.?!]\s", text[:start].rstrip(" ?:("))[-1]  # the sentence the list belongs to
        most = slashed or 2 * known >= len(items)
        chosen = known > 1 and (slashed or " or " in f" {between[-1]} ")
        if (start, stop) in inner and (start, stop) != (begin, end):
            said_so = 2 * known >= len(items) and not tried(last)
        else:
            said_so = begin > 0 and (offers(last, most) or chosen)
        if said_so:
            labels = [Label(one, one, text[one:other].strip()) for one, other in items]
            return [*labels, Label(stop, stop, "")] if text[stop:].strip(" .?!") else labels
    return []


def find_options(
    text: str, is_answer: Callable[[str], bool], offers: Callable[[str, bool], bool], tried: Callable[[str], bool]
) -> tuple[Label, ...]:
    """The labels of the answers offered in a text, none if it offers none.

    is_answer: whether words name what could only be an answer (a technique); offers: whether a sentence says that a choice
    follows ("which of the following"), told whether most of it is known for answers; tried: whether it says what was tried.
    """
    best: list[Label] = []
    for alphabet in _ALPHABETS:
        for style, fewest, marked in _STYLES:
            found = _run(text, tuple(alphabet), style, marked)
            if len(found) >= fewest and len(found) > len(best):
                best = found
    between = [text[one.end : other.start] for one, other in itertools.pairwise(best)]
    if any("?" in words or words.strip(" ,").lower() in _JOINS for words in between):
        return ()  # parts of the question, or letters of substances ("liquids (A) and (B)"), not answers
    return tuple(_closed(text, best) if best else _listed(text, is_answer, offers, tried))
