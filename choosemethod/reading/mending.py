"""Mending of misspelt words: only what is neither English nor a name, and only where one reading is near and no other is."""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.reading.lattice import Piece
from choosemethod.reading.lexicon import Lexicon
from choosemethod.reading.spelling import distance, mended_name, recased
from choosemethod.table import Table, normalise

__all__ = ["mend"]

_SHORTEST = 5  # letters of a word of the lexicon that a misspelling may be read as
_TRIES = 8  # stretches looked up in one reading
_SURE = ("yl", "ide", "ate", "ite")  # endings of names of compounds, which mean what they say


def _word(word: str, words: Lexicon) -> str:
    """The one word of the lexicon a misspelt word can be read as, "" if none."""
    if len(word) < _SHORTEST or not word.isalpha():
        return ""
    near: dict[int, list[str]] = {}
    most = 1 if len(word) < 8 else 2
    for other in words.mendable:
        if len(other) >= _SHORTEST and other[0] == word[0] and abs(len(other) - len(word)) <= 2:
            wrong = distance(word, other)
            if wrong <= most:
                near.setdefault(wrong, []).append(other)
    for wrong in sorted(near):
        found = near[wrong]
        stem = min(found, key=len)
        if len(found) == 1 or all(other.startswith(stem[:5]) for other in found):
            return min(found, key=lambda other: (abs(len(other) - len(word)), other))
        return ""
    return ""


def _sure(written: str, name: str) -> bool:
    """Whether mending would turn one compound into another: "tetroxide" is no "peroxide"."""
    for mine, its in zip(normalise(written).split(), normalise(name).split(), strict=False):
        if mine != its and mine.endswith(_SURE) and distance(mine, its) > 1:
            return True
    return False


def mend(text: str, pieces: Sequence[Piece], table: Table, words: Lexicon) -> tuple[str, tuple[str, str]] | None:
    """The text with one misspelling mended, and (written, read as); None if nothing can be mended for sure."""
    tried = 0
    seen: set[str] = set()
    for place, piece in enumerate(pieces):
        if piece.kind != "unknown" or piece.text in seen:
            continue
        beside = [pieces[other] for other in (place - 1, place + 1) if 0 <= other < len(pieces)]
        listed = any(one.mark or one.has("join", "from", "in", "of", "light") for one in beside) and len(piece.norm) > 3
        if len(piece.norm) < 5 and not listed and not any(sign.isdigit() for sign in piece.norm) and len(pieces) > 3:
            continue  # a short word is another word
        if piece.text.isupper() and piece.text.isalpha():
            continue  # an abbreviation
        seen.add(piece.text)
        runs = []
        for start, end in ((place - 1, place + 2), (place - 1, place + 1), (place, place + 2), (place, place + 1)):
            run = pieces[max(0, start) : end]
            if (
                start >= 0
                and end <= len(pieces)
                and all(one.kind in ("unknown", "name", "word", "class") for one in run)
            ):
                runs.append(run)
        for run in runs:
            tried += 1
            if tried > _TRIES:
                return None
            first, last = run[0], run[-1]
            written = text[first.start : last.end]
            formula = recased(written, table) if len(run) == 1 else ""
            name = formula or mended_name(written, table)
            kept = all(one.norm in normalise(name) for one in run if one.kind in ("name", "class"))
            changed = bool(formula) or normalise(name) != normalise(written)
            if name and changed and kept and not (_sure(written, name) and not formula):
                return text[: first.start] + name + text[last.end :], (written, name)
        word = _word(piece.norm, words)
        if word and word != piece.norm:
            return text[: piece.start] + word + text[piece.end :], (piece.text, word)
    return None
