"""Mending of misspelt words: only what is neither English nor a name, and only where one reading is near and no other is."""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.reading.lattice import Piece
from choosemethod.reading.lexicon import Lexicon
from choosemethod.table import Name, Table, normalise
from choosemethod.table.names import letters_apart

__all__ = ["mend", "suggestions"]

_SHORTEST = 5  # letters of a word of the lexicon that a misspelling may be read as
_TRIES = 8  # stretches looked up in one reading
_SURE = ("yl", "ide", "ate", "ite")  # endings of names of compounds, which mean what they say
_MOST_WORDS = 5
_LONGEST_FORMULA = 14  # signs of a formula whose case may be mended
_LONGEST_NAME = 80  # letters
_ALIKE = tuple(set(pair) for pair in ("ck", "cs", "sz", "gj", "ae", "ei", "ou", "ao", "qk", "vw", "iy", "fp"))
_LONGEST_TRIED = 8  # letters of a word for which every spelling one letter off is looked up


def _allowed(word: str) -> int:
    """Letters that may be wrong in a word of this length."""
    if not word.isalpha() or len(word) < 4:
        return 0
    return 1 if len(word) < 8 else 2


def _same_start(word: str, other: str) -> bool:
    """Whether two words begin alike: the first letter is seldom wrong, but for one that sounds the same or swapped ones.

    "kamphor" may be camphor, but "handle" is no candle.
    """
    if word[0] == other[0] or len(word) > 7:
        return True
    swapped = word[1:2] == other[0] or other[1:2] == word[0]
    return len(word) > 5 and (swapped or {word[0], other[0]} in _ALIKE)


def _errors(written: str, name: str) -> int:
    """Wrong letters between normalised words and a normalised name; a large number if they are too far apart."""
    if written.replace(" ", "") == name.replace(" ", ""):
        return 0
    mine, its = written.split(), name.split()
    if len(mine) != len(its):
        joined, whole = written.replace(" ", ""), name.replace(" ", "")
        if abs(len(mine) - len(its)) == 1 and len(joined) >= 8:
            wrong = letters_apart(joined, whole)
            return wrong if wrong <= 1 else 99
        return 99
    total = 0
    for word, other in zip(mine, its, strict=True):
        wrong = 0 if word == other else letters_apart(word, other)
        if wrong == 2 and len(word) > 5 and sorted(word) == sorted(other):
            wrong = 1  # two letters in each other's place ("vinager")
        # beside a word that fits, a long word may be further off
        longest = word if len(mine) == 1 else max(word, other, key=len)
        if wrong > _allowed(longest) or (wrong and not _same_start(word, other)):
            return 99
        total += wrong
    return total


def recased(written: str, table: Table) -> str:
    """The one formula of the table that letters of the wrong case stand for ("kno3": KNO3); "" if there is not one."""
    signs = all(sign.isascii() and (sign.isalnum() or sign in "().") for sign in written)
    if not signs or not 2 <= len(written) <= _LONGEST_FORMULA:
        return ""
    found: dict[str, str] = {}
    for formula in _casings(written.lower()):
        name = table.formula(formula)
        if name is not None:
            found[name.id] = formula
    return next(iter(found.values())) if len(found) == 1 else ""


def _casings(letters: str) -> list[str]:
    """Every way to cut letters into symbols of one or two letters, each with its capital; other signs stay."""
    ways = [[""], *[[] for _ in letters]]
    for place, sign in enumerate(letters):
        for start in ways[place]:
            ways[place + 1].append(start + sign.upper())
            follows = letters[place + 1 : place + 2]
            if sign.isalpha() and follows.isalpha():
                ways[place + 2].append(start + sign.upper() + follows)
    return ways[-1]


def mended_name(words: str, table: Table) -> str:
    """The one name that misspelt words can be read as, as the table writes it; "" if none or more than one is near."""
    normal = normalise(words)
    if not 4 <= len(normal) <= _LONGEST_NAME or len(normal.split()) > _MOST_WORDS:
        return ""
    if " " not in normal and len(normal) <= _LONGEST_TRIED:
        found = _one_letter_off(normal, table)
        if len(found) > 1 or (found and _anagrams(normal, table, found[0][1])):
            return ""
        if found:
            return found[0][0]
    best: list[tuple[int, str, Name]] = []
    for written, name, _ in table.suggest(normal, 6):
        wrong = _errors(normal, normalise(written))
        if wrong < 4:
            best.append((wrong, written, name))
    if not best:
        return ""
    best.sort(key=lambda found: found[0])
    letters = sorted(normal)
    near = [name for wrong, written, name in best if wrong == best[0][0] or sorted(normalise(written)) == letters]
    ids = {(name.kind, name.id) for name in near}
    if len({normalise(written) for wrong, written, _ in best if wrong == best[0][0]}) == 1 and len(near) == sum(
        wrong == best[0][0] for wrong, _, _ in best
    ):
        return best[0][1]  # one spelling, whatever it names: a substance and a mixture of it
    return best[0][1] if len(ids) == 1 else ""


def _one_letter_off(word: str, table: Table) -> list[tuple[str, Name]]:
    """Names one letter away from a word (each substance or mixture once), neighbours swapped counting as one."""
    tried: dict[str, None] = {}
    for place in range(len(word) + 1):
        head, tail = word[:place], word[place:]
        if len(tail) > 1:
            tried[head + tail[1] + tail[0] + tail[2:]] = None
        if tail and (place or len(word) > 4):  # a short word without its first letter is another word ("pair": air)
            tried[head + tail[1:]] = None
        for letter in "abcdefghijklmnopqrstuvwxyz":
            if place and tail and len(word) > 4:  # the first letter is seldom wrong; four letters leave too much open
                tried[head + letter + tail[1:]] = None
            tried[head + letter + tail] = None
    found: dict[tuple[str, str], tuple[str, Name]] = {}
    for other in tried:
        name = table.name(other) if other != word and len(other) > 2 else None
        if name is not None:
            found.setdefault((name.kind, name.id), (name.written, name))
    return list(found.values())


def _anagrams(word: str, table: Table, but: Name) -> bool:
    """Whether another name has the same letters ("ethonal": ethanol, though ethanal is nearer)."""
    letters = sorted(word)
    for written, name, _ in table.suggest(word, 6):
        if sorted(normalise(written)) == letters and (name.kind, name.id) != (but.kind, but.id):
            return True
    return False


def suggestions(words: str, table: Table) -> tuple[str, ...]:
    """Up to three names that look like words that are not known; none for what is far longer than a name."""
    if len(words) > _LONGEST_NAME:
        return ()
    found = [written for written, _, _ in table.suggest(words, 3) if normalise(written) != normalise(words)]
    return tuple(dict.fromkeys(found))


def _word(word: str, words: Lexicon) -> str:
    """The one word of the lexicon a misspelt word can be read as, "" if none."""
    if len(word) < _SHORTEST or not word.isalpha():
        return ""
    near: dict[int, list[str]] = {}
    most = 1 if len(word) < 8 else 2
    for other in words.mendable:
        if word.startswith(other):
            continue  # "thingy" is no "thing"
        if len(other) >= _SHORTEST and other[0] == word[0] and abs(len(other) - len(word)) <= 2:
            wrong = letters_apart(word, other)
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
        if mine != its and mine.endswith(_SURE) and letters_apart(mine, its) > 1:
            return True
        if mine != its and mine.endswith(its) and len(mine) > len(its) + 1:
            return True  # "disodium" is no sodium
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
        if (piece.text.isupper() and piece.text.isalpha()) or "-" in piece.text:
            continue  # an abbreviation, or words made one
        seen.add(piece.text)
        word = _word(piece.norm, words)
        slip = bool(word) and letters_apart(piece.norm, word) == 1  # "componet": no name that is further off
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
            further = slip and not formula and letters_apart(normalise(written), normalise(name)) > 1
            if name and changed and kept and not further and not (_sure(written, name) and not formula):
                return text[: first.start] + name + text[last.end :], (written, name)
        if word and word not in (piece.norm, piece.text.lower()):
            return text[: piece.start] + word + text[piece.end :], (piece.text, word)
    return None
