"""Where a question offers answers to choose from: the places of their letters, in any style, or of a bare list of them."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Container, Sequence
from typing import NamedTuple

__all__ = ["Label", "find_options", "grouped", "made_of"]

_ROMAN = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii")
_ALPHABETS = ("ABCDEFGH", "abcdefgh", "12345678", _ROMAN, tuple(one.upper() for one in _ROMAN), "PQRSTU", "pqrstu")
# How a letter is set off, with the fewest that count in this style, and whether it must follow a mark.
_STYLES = (
    (r"\({}\)", 2, False), (r"\[{}\]\.?", 2, False),
    (r"(?<![\w(]){}\.?\)", 2, False), (r"(?<!\w){}\.(?=\s)", 2, True), (r"(?<!\w){}\.(?=\s)", 4, False),
    (r"(?<!\S){}(?=\s)", 3, True),
)  # fmt: skip
_MARKS = "?:;.,_-–—\n)(["
_SENTENCE_END = re.compile(r"[.?!](?=\s+[A-Z(])|\n\s*\n")
_ITEM = re.compile(r"\s*(?:,|;|/|\bor\b|\band\b)\s*(?:\bor\b\s*|\band\b\s*)?")
_BRACKETS = re.compile(r"\((?:[^():]*:)?([^():]*)\)")  # "(methods: sieving, decanting)"
_JOINS = ("and", "or", "&")
_FEWEST, _LONGEST_ITEM = 3, 6  # of a list without letters: items, and words of one
_DOTTED, _LEADING = r"(?<!\w){}\.", (["by"], ["with"], ["using"], ["is"], ["are"])
_LEAST = 2  # letters that an answer made of letters must be able to choose from
_GLUE = frozenset(
    ["and", "only", "or", "then", "to", "stage", "stages", "step", "steps", "both", "followed", "by", "are", "is", "correct"]
)  # fmt: skip
_FIRST = frozenset(alphabet[0].upper() if alphabet[0] == "a" else alphabet[0] for alphabet in _ALPHABETS)
_BETWEEN_LISTS = re.compile(r"[.?!](?=\s+[A-Z(])|\s(?:with|and) (?:the|list|column)\b|\s(?:column|list)\b", re.IGNORECASE)
_LEFT_OUT = re.compile(r"\(?\b(?:omit\w*|without|skip\w*)\b[^)]*\)?", re.IGNORECASE)


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
            if style.startswith(_DOTTED) and text[: match.start()].lower().split()[-1:] in _LEADING:
                break  # "is separated by A. a sieve B. a magnet"
        else:
            break
        found.append(Label(match.start(), match.end(), letter.upper() if letters[0] == "a" else letter))
        place = match.end()
    return found


def _told_of(text: str, labels: Sequence[Label]) -> bool:
    """Whether the letters stand for what was told of before ("a mixture of P, Q and R ... P insoluble, Q soluble, ...")."""
    listed = r"\W+(?:(?:and|or)\W+)?".join([one.letter for one in labels])
    return re.search(rf"\b{listed}\b", text[: labels[0].start]) is not None


def made_of(text: str, letters: Container[str]) -> tuple[str, ...]:
    """The letters that an answer is made of and nothing else ("2 and 3 only", "IV, II, I"), in their order."""
    words = [word for word in re.findall(r"\w+", _LEFT_OUT.sub(" ", text)) if word.lower() not in _GLUE]
    if words and len(words[0]) > 1 and words == words[:1] and words[0] not in letters:
        words = list(words[0])  # "4132"
    return tuple(words) if all(word in letters for word in words) else ()


def grouped(letters: Sequence[str]) -> list[int]:
    """Where the letters of one list after the other begin: places of the first letters of alphabets."""
    return [place for place, one in enumerate(letters) if one in _FIRST and (not place or one != letters[place - 1])]


def _paired(text: str) -> list[Label]:
    """The labels of two lists to be paired, and of the answers that say how, in this order; none without a second list."""
    lists: list[list[Label]] = []
    for alphabet in _ALPHABETS:
        runs = [_run(text, tuple(alphabet), style, False) for style, _, _ in _STYLES[:-1]]
        lists.append(max(runs, key=len))
    lists = sorted((one for one in lists if len(one) >= _LEAST), key=lambda one: one[0].start)
    out: list[Label] = []
    taken: set[str] = set()
    for place, one in enumerate(lists):
        if taken & {label.letter for label in one} or (out and one[0].start < out[-1].end):
            continue
        taken |= {label.letter for label in one}
        follows = min((other[0].start for other in lists[place + 1 :] if other[0].start > one[-1].end), default=len(text))
        ends = [match.start() for match in _BETWEEN_LISTS.finditer(text, one[-1].end, follows)]
        out += [*one, *([Label(ends[0], ends[0], "")] if ends and follows < len(text) else [])]
    return out if len([one for one in out if one.letter in _FIRST]) > 1 else []


def _texts(text: str, labels: Sequence[Label]) -> list[str]:
    """What stands at each letter, the last up to the end of its sentence."""
    ends = [other.start for other in labels[1:]]
    return [text[one.end : end] for one, end in zip(labels, [*ends, len(text)], strict=False) if one.letter]


def _nested(text: str, labels: Sequence[Label]) -> list[Label]:
    """The labels that answers made of letters stand for ("1. filter 2. add water ... A 2,1 B 1,2"), none if they are not."""
    texts = _texts(text, labels)
    for alphabet in _ALPHABETS:
        letters = tuple(alphabet)
        named = [made_of(one, letters) for one in texts]
        if sum(map(bool, named)) < max(_LEAST, len(texts) - 1) or letters[0] == labels[0].letter:
            continue
        count = 1 + max(letters.index(one) for many in named for one in many)
        best: list[Label] = []
        for style in (*(one for one, _, _ in _STYLES), r"(?<!\w){}\.?(?=\s)"):
            found = _run(text[: labels[0].start], letters[:count], style, False)
            best = found if len(found) > len(best) else best
        if len(best) == count >= _LEAST:
            end = _SENTENCE_END.search(text, best[-1].end, labels[0].start)
            return [*best, Label(end.start() + 1, end.start() + 1, "")] if end else best
    return []


def _closed(text: str, labels: list[Label]) -> list[Label]:
    """The labels, with the end of the last answer if more of the question follows it."""
    front = text[: labels[0].start]
    bracket = text.find(")", labels[-1].end) if front.count("(") > front.count(")") else -1
    if bracket > 0:
        return [*labels, Label(bracket, bracket, "")]  # "(A. filtration B. evaporation), choose ..."
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
    whole = bracket <= 0 or text.count(";", bracket) > 1  # "the carbonyl (nickel) process; ..."
    end = len(text.rstrip(" .?!")) if whole else bracket
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
            parted = all(one.strip().startswith(";") for one in between)  # nobody parts a plain list so
            said_so = begin > 0 and (offers(last, most or parted) or chosen or (parted and known > 0))
        if said_so:
            labels = [Label(one, one, text[one:other].strip()) for one, other in items]
            return [*labels, Label(stop, stop, "")] if text[stop:].strip(" .?!") else labels
    return []


def find_options(
    text: str,
    is_answer: Callable[[str], bool],
    offers: Callable[[str, bool], bool],
    tried: Callable[[str], bool],
    asks: Callable[[str], bool],
    matching: bool = False,
) -> tuple[Label, ...]:
    """The labels of the answers offered in a text, none if it offers none.

    is_answer: whether words name what could only be an answer (a technique); offers: whether a sentence says that a choice
    follows ("which of the following"), told whether most of it is known for answers; tried: whether it says what was tried;
    asks: whether it begins as a question or an order does; matching: whether two lists are to be paired.
    """
    pairs = _paired(text) if matching else []
    if pairs:
        return tuple(pairs)
    best: list[Label] = []
    for alphabet in _ALPHABETS:
        for style, fewest, marked in _STYLES:
            found = _run(text, tuple(alphabet), style, marked)
            if len(found) < fewest or (style == _STYLES[-1][0] and _told_of(text, found)):
                continue
            inner = _nested(text, found)
            if inner:
                return (*inner, *_closed(text, found))
            if len(found) > len(best):
                best = found
    between = [text[one.end : other.start] for one, other in itertools.pairwise(best)]
    if len(best) > 1 and all(asks(words) for words in [*between, text[best[-1].end :]]):
        return ()
    if any("?" in words or words.strip(" ,").lower() in _JOINS for words in between):
        return ()  # parts of the question, or letters of substances ("liquids (A) and (B)"), not answers
    return tuple(_closed(text, best) if best else _listed(text, is_answer, offers, tried))
