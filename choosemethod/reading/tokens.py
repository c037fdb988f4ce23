"""First stage of reading: a question's text cut into words, numbers, marks and brackets, with their places in the text."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import NamedTuple

from choosemethod.reading.options import Label
from choosemethod.table.model import Name
from choosemethod.table.names import normalise

__all__ = ["Token", "shown", "tokenise"]

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
_RANGE = re.compile(r"(?<=\d)-(?=\d+(?:\.\d+)?(?![\d.-]))")  # 40-60 °C, but not 1-4-dioxane
_PICTURES = "\U0001f000"  # from here on: emoji, which stand for something nobody can be sure of
_CHUNK = re.compile(r"\S+|\n")
_NUMBERED = re.compile(r"\d{1,2}[.)]|[-*•·]")  # at the start of a line
_ENUMERATOR = re.compile(r"\((?:i{1,3}|iv|vi?|[a-f])\)")  # "(i) the chalk and (ii) pure water"
# "don't", "dont": the word and its "not". "I've", "it's": the word alone.
_NOT = {"dont": "do", "doesnt": "does", "didnt": "did", "isnt": "is", "arent": "are", "wasnt": "was", "havent": "have",
        "hasnt": "has", "cant": "can", "cannot": "can", "wont": "will", "couldnt": "could", "shouldnt": "should",
        "wouldnt": "would", "mustnt": "must"}  # fmt: skip
_SHORT = re.compile(r"'(?:s|re|ve|ll|d|m)\Z", re.I)


class Token(NamedTuple):
    """One word, number or mark.

    text: as written; norm: normalised ("" for a mark); kind: word, number, ratio, mark or option (the letter of an
    answer offered, "" where the last of them ends); start, end: place in the text, in characters; mark: one of
    , ; : . ? ! ( ) + & / - > (arrow) and a line break; name: the substance if it is a formula; state: s, l, g or aq if the
    formula carried one; joined: belongs to the same written word as the token before it ("propan-2-ol"); sentence: number
    of the sentence, from 0; depth: how many brackets it stands in.
    """

    text: str
    norm: str
    kind: str
    start: int
    end: int
    mark: str = ""
    name: Name | None = None
    state: str = ""
    joined: bool = False
    sentence: int = 0
    depth: int = 0


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


class _Cutter:
    def __init__(self, text: str, formula: Callable[[str], Name | None]) -> None:
        self.text = text
        self.formula = formula
        self.found: list[Token] = []

    def cut(self, options: Sequence[Label]) -> list[Token]:
        place = 0
        for label in options:
            self.stretch(place, label.start)
            self.found.append(Token(self.text[label.start : label.end], label.letter, "option", label.start, label.end))
            place = label.end
        self.stretch(place, len(self.text))
        return self.found

    def stretch(self, place: int, end: int) -> None:
        """Cut a part of the text that holds no letter of an answer."""
        for chunk in _CHUNK.finditer(self.text, place, end):
            raw = chunk[0]
            if _ENUMERATOR.fullmatch(raw) or (_NUMBERED.fullmatch(raw) and self.line_starts(chunk.start())):
                self.found.append(Token(raw, "", "mark", chunk.start(), chunk.end(), ","))
            elif raw in "-–—":
                self.found.append(Token(raw, "", "mark", chunk.start(), chunk.end(), "-"))
            elif chunk.start() >= place:
                place = self.chunk(chunk.start(), raw)

    def line_starts(self, start: int) -> bool:
        """Whether a line begins here."""
        return "\n" in self.text and not self.text[:start].rpartition("\n")[2].strip()

    def chunk(self, start: int, raw: str) -> int:
        """Cut one run without blanks; returns the place in the text after it."""
        core = _balanced(raw.rstrip(',;:.?!"').lstrip('"'))
        if (core and core != raw) or _formula_like(raw):
            offset = raw.find(core)
            bracketed = any(sign in core for sign in "(.·*")
            if core and len(core) > 1 and bracketed and _formula_like(core):
                state = _STATE.search(core)
                bare = core[: state.start()] if state else core
                known = self.formula(bare.replace("·", ".").replace("*", "."))
                if known is not None:
                    if offset:
                        self.scan(start, start + offset)
                    first = start + offset
                    end = first + len(core)
                    self.found.append(
                        Token(bare, normalise(bare), "word", first, end, name=known, state=state[1] if state else "")
                    )
                    return self.scan(end, start + len(raw))
        return self.scan(start, start + len(raw))

    def scan(self, place: int, end: int) -> int:
        text = self.text
        while place < end:
            match = _TOKEN.match(text, place)
            if match is None:
                if text[place] >= _PICTURES:
                    self.found.append(Token(text[place], _code(text[place]), "word", place, place + 1))
                place += 1
                continue
            kind, raw = str(match.lastgroup), match[0]
            first, place = place, match.end()
            if kind in ("arrow", "dash"):
                self.found.append(Token(raw, "", "mark", first, place, ">" if kind == "arrow" else "-"))
            elif kind == "mark":
                self.mark(raw, first, place)
            elif kind in ("number", "ratio"):
                self.found.append(Token(raw, raw.replace(",", ""), kind, first, place))
            elif kind == "unit":
                self.found.append(Token(raw, normalise(raw) or raw, "word", first, place))
            else:
                place = self.word(first, place, raw)
        return max(place, end)

    def mark(self, raw: str, first: int, place: int) -> None:
        mark = raw
        if raw == "-":  # a hyphen that joins nothing
            mark = "-" if first == 0 or self.text[first - 1].isspace() or _RANGE.match(self.text, first) else ""
        elif raw == "…":
            mark = "."
        elif raw in "[]":
            mark = "(" if raw == "[" else ")"
        elif raw in '"=·*|~<>':
            mark = "," if raw == "|" else ""
        if mark:
            self.found.append(Token(raw, "", "mark", first, place, mark))

    def word(self, first: int, place: int, raw: str) -> int:
        likely = (len(raw) > 1 and _formula_like(raw)) or (len(raw) == 1 and raw.isupper())
        known = self.formula(raw) if likely else None
        if known is not None:
            state = re.compile(r"\((aq|s|l|g)\)").match(self.text, place)
            end = state.end() if state else place
            self.found.append(
                Token(raw, normalise(raw), "word", first, end, name=known, state=state[1] if state else "")
            )
            return end
        lower = raw.lower()
        if lower in _NOT or lower.endswith("n't"):
            base = _NOT.get(lower) or _NOT.get(lower.replace("'", "")) or lower[:-3]
            self.found.append(Token(raw, base, "word", first, place))
            self.found.append(Token(raw, "not", "word", first, place, joined=True))
            return place
        kept = _SHORT.sub("", raw) if "'" in raw else raw
        parts = normalise(kept).split() or [_code(raw)]
        for index, part in enumerate(parts):
            self.found.append(Token(raw, part, "word", first, place, joined=index > 0))
        return place


def _code(raw: str) -> str:
    """Normal form of what has none (another script, a picture), so that it is not known rather than passed over."""
    return "u" + "".join([f"{ord(sign):x}" for sign in raw])


def tokenise(text: str, formula: Callable[[str], Name | None], options: Sequence[Label] = ()) -> tuple[Token, ...]:
    """The tokens of a text, in order. formula: looks up a formula as written, upper and lower case ("KNO3"); options: where
    the answers offered begin."""
    sentence = depth = 0
    done: list[Token] = []
    for token in _Cutter(text.translate(_SIGNS), formula).cut(options):
        if token.mark == ")":
            depth = max(0, depth - 1)
        if sentence or depth:
            token = token._replace(sentence=sentence, depth=depth)
        done.append(token)
        if token.mark == "(":
            depth += 1
        elif token.mark and token.mark in ".?!" and not depth:
            sentence += 1
    return tuple(done)


def shown(tokens: tuple[Token, ...]) -> str:
    """The tokens, a line each: place, kind, as written, normalised."""
    return "\n".join(f"{token.start:5} {token.kind:6} {token.text!r} {token.norm or token.mark}" for token in tokens)
