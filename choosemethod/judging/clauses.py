"""Clauses: the text of an answer cut into words, names, numbers and marks, and these into the clauses of its sentences."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from choosemethod.judging.lexicon import Lexicon
from choosemethod.quantity import UNITS

__all__ = ["Names", "Token", "segments", "tokens"]

Names = Callable[[str], str]  # id of what is called so, "" if nothing is

_LONGEST_NAME = 5
_POINTS = ("it", "they", "the", "this", "these", "both")  # after "as": a reason follows
_UNIT_WORDS = {
    "°c": "°C", "ºc": "°C", "℃": "°C", "c": "°C", "degrees": "°C", "degree": "°C", "deg": "°C", "celsius": "°C", "°": "°C",
    "k": "K", "kelvin": "K", "°f": "°F", "f": "°F", "g/cm3": "g/cm3", "g/cm³": "g/cm3", "g/ml": "g/mL", "kg/m3": "kg/m3",
    "kg/m³": "kg/m3", "g/cm^3": "g/cm3", "kg/m^3": "kg/m3", "%": "%", "percent": "%", "g": "g", "mm": "mm", "cm": "cm",
    "µm": "µm", "um": "µm", "ml": "mL", "cm3": "cm3", "cm³": "cm3", "grams": "g", "g/l": "g/L", "gcm-3": "g/cm3", "kgm-3": "kg/m3",
}  # fmt: skip
_NUMBER = r"[-−–]?\d+(?:[ \u00a0\u202f]\d{3})*(?:[.,]\d+)?(?![\w])|[-−–]?\d+(?:[.,]\d+)?"
_TOKENS = re.compile(
    r"(?P<unit>(?:k?g)\s?(?:cm|m)\s?(?:⁻³|-3|−3|\^-3)|k?g\s?/\s?(?:c?m\^?[3³]|m[lL]|[lL])|°\s?[CFKcf]?|º\s?C|℃|%)"
    rf"|(?P<number>(?<![\w.]){_NUMBER})"
    r"|(?P<word>[^\W\d_][^\W_]*(?:['’\-][^\W_]+)*(?:\([IVX]+\))?)"
    r"|(?P<mark>[.;:!?,\n()=→]|->|=>)"
)
_ENDING = ("s", "es", "ed", "d", "ing", "er", "r")


class Token(NamedTuple):
    """A word, name, number or mark. kind: word, name, number, mark; base: the word without its ending; id: of a name."""

    kind: str
    text: str
    base: str
    start: int
    end: int
    id: str = ""
    value: float = 0.0
    unit: str = ""


def _base(word: str, lexicon: Lexicon) -> str:
    """The word of the lexicon this is a form of; the word itself if none."""
    word = word.lower().replace("’", "'")
    found = lexicon.irregular.get(word)
    if found is not None:
        return found
    if word in lexicon.words:
        return word
    for ending in _ENDING:
        if word.endswith(ending) and len(word) >= len(ending) + 2:
            stem = word[: -len(ending)]
            for form in (
                stem,
                f"{stem}e",
                stem[:-1] if stem[-1:] == stem[-2:-1] else stem,
                f"{stem[:-1]}y" if stem.endswith("i") else stem,
            ):
                if form in lexicon.words:
                    return form
    return word


def tokens(text: str, lexicon: Lexicon, names: Names) -> list[Token]:
    """The tokens of a text: names as long as they are known, numbers with their units."""
    plain: list[Token] = []
    for match in _TOKENS.finditer(text):
        kind, raw = str(match.lastgroup), match[0]
        if kind == "number":
            value = float(re.sub(r"[ \u00a0\u202f]", "", raw).replace(",", ".").replace("−", "-").replace("–", "-"))
            plain.append(Token("number", raw, raw, match.start(), match.end(), value=value))
        elif kind == "unit":
            unit = re.sub(r"\s", "", raw.lower()).replace("⁻³", "-3").replace("−3", "-3").replace("^", "")
            plain.append(Token("unit", raw, unit, match.start(), match.end()))
        elif kind == "word":
            raw = raw.replace("’", "'")
            owner = raw.endswith("'s")
            core = raw[:-2] if owner else raw
            plain.append(Token("word", raw, _base(core, lexicon), match.start(), match.end()))
        else:
            plain.append(Token("mark", raw, raw, match.start(), match.end()))
    return list(_joined(plain, text, lexicon, names))


def _joined(plain: Sequence[Token], text: str, lexicon: Lexicon, names: Names) -> Iterator[Token]:
    place = 0
    while place < len(plain):
        token = plain[place]
        after = plain[place + 1] if place + 1 < len(plain) else None
        if token.kind == "number":
            unit = _UNIT_WORDS.get(after.base if after is not None and after.kind == "unit" else "", "")
            if after is not None and after.kind == "word" and after.text.lower() in _UNIT_WORDS:
                unit = _UNIT_WORDS[after.text.lower()]
            taken = 2 if unit else 1
            nearby = plain[place + 2] if place + 2 < len(plain) else None
            if unit == "°C" and nearby is not None and nearby.text.lower() in ("c", "celsius", "k", "f", "centigrade"):
                taken, unit = 3, _UNIT_WORDS.get(nearby.text.lower(), "°C")
            last = plain[place + taken - 1]
            yield token._replace(unit=unit, end=last.end, text=text[token.start : last.end])
            place += taken
            continue
        if token.kind == "word":
            size, found = _name(plain, place, lexicon, names, text)
            if found:
                last = plain[place + size - 1]
                while place + size < len(plain) and plain[place + size].base in lexicon.tails:
                    size += 1
                yield Token("name", text[token.start : last.end], token.base, token.start, last.end, found)
                place += size
                continue
        yield token
        place += 1


def _name(plain: Sequence[Token], place: int, lexicon: Lexicon, names: Names, text: str) -> tuple[int, str]:
    """Number of words of the longest name that begins at a place, and its id; (0, "") if there is none."""
    if plain[place].text.lower() in lexicon.small or plain[place].base in lexicon.tails:
        return 0, ""
    for size in range(min(_LONGEST_NAME, len(plain) - place), 0, -1):
        run = plain[place : place + size]
        if any(one.kind not in ("word", "number") for one in run) or run[-1].text.lower() in lexicon.small:
            continue
        words = text[run[0].start : run[-1].end].replace("’", "'")
        words = words[:-2] if words.endswith("'s") else words
        if size == 1 and plain[place].base in lexicon.heads_of_relations and names(words) == "":
            return 0, ""
        found = names(words)
        if found:
            following = plain[place + size] if place + size < len(plain) else None
            if following is not None and following.base in lexicon.heads and not names(f"{words} {following.text}"):
                return 0, ""  # "the salt solution" is not the salt
            return size, found
    return 0, ""


def segments(found: Sequence[Token], lexicon: Lexicon) -> Iterator[list[Token]]:
    """The clauses of a text: between marks and the small words that begin a clause; the break stays with what follows."""
    current: list[Token] = []
    for place, token in enumerate(found):
        if token.kind == "mark" and token.text not in "()=":
            if current:
                yield current
            current = [token] if token.text in ".;!?\n" else []
            continue
        following = found[place + 1] if place + 1 < len(found) else None
        numbers = (
            bool(current) and current[-1].kind == "number" and following is not None and following.kind == "number"
        )
        why = token.base == "as" and following is not None and (following.kind == "name" or following.text in _POINTS)
        if token.kind == "word" and (token.base in lexicon.breaks or why) and current and not numbers:
            yield current
            current = []
        current.append(token)
    if current:
        yield current


assert all(unit in UNITS or unit == "%" for unit in _UNIT_WORDS.values())
