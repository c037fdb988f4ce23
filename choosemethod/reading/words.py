"""A question's text cut into words, numbers and marks."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from choosemethod.table.model import Name
from choosemethod.table.names import normalise

__all__ = ["Word", "cut"]

# Signs that NFKC or the writer may have put for others.
_SIGNS = str.maketrans(
    {
        "º": "°",
        "℃": "C",
        "’": "'",
        "‘": "'",
        "“": '"',
        "”": '"',
        "μ": "µ",
        "⋅": "·",
        "•": "·",
        "−": "-",
        "‐": "-",
        "‑": "-",
    }
)
_ARROW = r"-{1,3}>|={1,2}>|→|⇒|⟶|➔"
_TOKEN = re.compile(
    rf"""
      (?P<arrow>{_ARROW})
    | (?P<dash>--+|[–—])
    | (?P<ratio>\d+(?:\.\d+)?(?:\s*:\s*\d+(?:\.\d+)?)+(?![\d.]))
    | (?P<locant>(?:[DL]-)?(?:\([EZRS+±-]\)-)?(?:\(?\d+[a-zA-Z]?(?:,\d+[a-zA-Z]?)*\)?'*(?:,\d+'*)*-
            |(?<=\([EZRS+±-]\)-))[A-Za-z](?:[\w'(),-]|\[[\w.(),-]*\])*[\w)\]]
        | [NOS](?:,[NOS])*-[a-z][\w'-]*\w | [DL]-\([+-]\)-[a-z][\w-]*)
    | (?P<number>\d{{1,3}}(?:,\d{{3}})+(?:\.\d+)?|\d+(?:\.\d+)?)(?![A-Za-z]*\d[A-Za-z]|[BR]\b)
    | (?P<word>(?:[A-Za-z]\.){{2,}}[a-z]?\.?
        | (?<![^\s(])[A-Z]\.\ [a-z]{{4,}} | F?D&C\b | \d{{1,2}}[BR]\b | \[\d+\][a-z]+ | (?i:dil|conc|sat|approx)\.(?=\ *[A-Za-z])
        | poly\([^()\n]*\) | \([a-z]+(?:methyl|ethyl)\)[a-z]+
        | [^\W_]+(?:'[^\W\d_]+|\((?:[IVXivx]{{1,4}}(?:,[IVXivx]{{1,4}})*|\d[+-]?|[+-])\)[^\W_]*|\[\d+(?:\.\d+)+\][^\W_]*
            |-\d+(?:,\d+)+(?=-[a-z])|-(?=[^\W_])[^\W_]+)*)
    | (?P<unit>%|°\s?[CFK]?\b|°)
    | (?P<mark>[-+&/,;:.?!()\[\]"=·*|~<>…\n])
    """,
    re.VERBOSE,
)
_STATE = re.compile(r"\((aq|s|l|g)\)\Z")
_BREAKS = ".?!"
_RANGE = re.compile(r"(?<=\d)-(?=\d+(?:\.\d+)?(?![\d.-]))")  # 40-60 °C, but not 1-4-dioxane
_PICTURES = "\U0001f000"  # from here on: emoji, which stand for something nobody can be sure of


@dataclass(slots=True)
class Word:
    """One word, number or mark.

    raw: as written; norm: normalised ("" for a mark); kind: word, number, ratio or mark; start, end: place in the text;
    mark: for a mark one of: , ; : . ? ! ( ) + / - (dash) > (arrow); formula: the substance if it is one's formula;
    state: s, l, g or aq if the formula carried one; plural: written with an s that the normalised word has not.
    """

    raw: str
    norm: str
    kind: str
    start: int
    end: int
    mark: str = ""
    formula: Name | None = None
    state: str = ""
    joined: bool = False  # belongs to the same written word as the one before it ("propan-2-ol")


def _balanced(text: str) -> str:
    """Text without brackets that are not closed or opened in it."""
    while text and text[0] in "([" and text.count("(") + text.count("[") > text.count(")") + text.count("]"):
        text = text[1:]
    while text and text[-1] in ")]" and text.count("(") + text.count("[") < text.count(")") + text.count("]"):
        text = text[:-1]
    return text


def _formula_like(text: str) -> bool:
    """Whether a chunk could be a formula: it starts with a capital or bracket, and has no run of small letters."""
    return (
        len(text) < 40
        and (text[0].isupper() or text[0] in "([")
        and any(sign.isupper() for sign in text)
        and re.search(r"[a-z]{3}", text) is None
    )


def cut(text: str, formula: Callable[[str], Name | None]) -> list[Word]:
    """Words, numbers and marks of a text, in order. formula: looks up a formula as written, upper and lower case."""
    text = text.translate(_SIGNS)
    found: list[Word] = []
    place = 0
    for chunk in re.finditer(r"\S+|\n", text):
        if chunk.start() < place:
            continue
        raw = chunk[0]
        if raw in "-–—" and raw:
            found.append(Word(raw, "", "mark", chunk.start(), chunk.end(), "-"))
            place = chunk.end()
            continue
        place = _chunk(text, chunk.start(), raw, formula, found)
    return found


def _chunk(text: str, start: int, raw: str, formula: Callable[[str], Name | None], found: list[Word]) -> int:
    """Cut one run without blanks; returns the place in the text after it."""
    core = raw.rstrip(',;:.?!"')
    core = _balanced(core.lstrip('"'))
    if (core and core != raw) or _formula_like(raw):
        offset = raw.find(core)
        if (
            core
            and _formula_like(core)
            and len(core) > 1
            and ("(" in core or "." in core or "·" in core or "*" in core)
        ):
            state = _STATE.search(core)
            bare = core[: state.start()] if state else core
            known = formula(bare.replace("·", ".").replace("*", "."))
            if known is not None:
                if offset:
                    _scan(text, start, start + offset, formula, found)
                first = start + offset
                letters = Word(bare, normalise(bare), "word", first, first + len(core), formula=known)
                letters.state = state[1] if state else ""
                found.append(letters)
                return _scan(text, first + len(core), start + len(raw), formula, found)
    return _scan(text, start, start + len(raw), formula, found)


def _scan(text: str, start: int, end: int, formula: Callable[[str], Name | None], found: list[Word]) -> int:
    place = start
    while place < end:
        match = _TOKEN.match(text, place)
        if match is None:
            if text[place] >= _PICTURES:
                found.append(Word(text[place], _code(text[place]), "word", place, place + 1))
            place += 1
            continue
        kind = str(match.lastgroup)
        raw = match[0]
        first, place = place, match.end()
        if kind in ("arrow", "dash"):
            found.append(Word(raw, "", "mark", first, place, ">" if kind == "arrow" else "-"))
        elif kind == "mark":
            mark = raw
            if raw == "-":  # a hyphen that joins nothing
                mark = "-" if first == 0 or text[first - 1].isspace() or _RANGE.match(text, first) else ""
            elif raw == "\n" or raw == "…":
                mark = "."
            elif raw == "[":
                mark = "("
            elif raw == "]":
                mark = ")"
            elif raw in '"=·*|~<>':
                mark = ""
            if mark:
                found.append(Word(raw, "", "mark", first, place, mark))
        elif kind in ("number", "ratio"):
            found.append(Word(raw, raw.replace(",", ""), kind, first, place))
        elif kind == "unit":
            found.append(Word(raw, normalise(raw) or raw, "word", first, place))
        else:
            place = _word(text, first, place, raw, formula, found)
    return max(place, end) if place > end else place


def _code(raw: str) -> str:
    """Normal form of what has none (another script, a picture), so that it is not known rather than passed over."""
    return "u" + "".join([f"{ord(sign):x}" for sign in raw])


def _word(text: str, first: int, place: int, raw: str, formula: Callable[[str], Name | None], found: list[Word]) -> int:
    known = formula(raw) if len(raw) > 1 and _formula_like(raw) else None
    if known is None and len(raw) == 1 and raw.isupper():
        known = formula(raw)
    state = ""
    if known is not None:
        follows = re.compile(r"\((aq|s|l|g)\)").match(text, place)
        if follows:
            state, place = follows[1], follows.end()
        found.append(Word(raw, normalise(raw), "word", first, place, formula=known, state=state))
        return place
    parts = normalise(raw).split() or [_code(raw)]
    for index, part in enumerate(parts):
        found.append(Word(raw, part, "word", first, place, joined=index > 0))
    return place
