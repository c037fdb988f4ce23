"""Misspelt words of an answer, mended by letters or by ear; never a word that is English or a name of the table."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import cached_property, lru_cache

from choosemethod.reading.english import english
from choosemethod.table.names import letters_apart

__all__ = ["Mender", "sound"]

_KEPT = 4096  # words whose meaning is kept
_SHORTEST = 5  # letters of a word that is mended
_LONG = 8  # letters of a word in which two may be wrong
_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)?")
_SPELLINGS = (
    (r"(?:[tsc]i|sh)[aou]n", "1"), (r"ph", "f"), (r"ch(?=r)", "k"), (r"ck", "k"), (r"c(?=[eiy])", "s"), (r"[cq]", "k"), (r"z", "s"),
    (r"x", "ks"), (r"^kn", "n"), (r"^wr", "r"), (r"gh", ""), (r"(?<=.)[aeiouyhw]", ""), (r"(.)\1+", r"\1"),
)  # fmt: skip
_ENDINGS = ("", "s", "es", "ed", "d", "ing", "er")


def sound(word: str) -> str:
    """What an English word sounds like, roughly: its consonants, those that sound alike as one."""
    for pattern, plain in _SPELLINGS:
        word = re.sub(pattern, plain, word)
    return word


class Mender:
    """Mends the words of answers to a given vocabulary."""

    def __init__(self, words: Iterable[str], is_name: Callable[[str], bool]) -> None:
        """words: lower case, as answers use them; is_name: whether something is called so."""
        self.is_name = is_name
        self.meant = lru_cache(maxsize=_KEPT)(self._meant)
        self.words: set[str] = set()
        self.short: dict[str, str] = {}  # "doesnt" -> "doesn't"
        for word in words:
            if "'" in word:
                self.short[word.replace("'", "")] = word
            elif word.isalpha() and word.isascii() and len(word) >= _SHORTEST - 1:
                self.words.add(word)

    @cached_property
    def forms(self) -> dict[str, set[str]]:
        """The words in all their endings, by how they sound; made when the first misspelt word comes."""
        forms: dict[str, set[str]] = {}
        for word in self.words:
            for ending in _ENDINGS:
                form = (word[:-1] if word.endswith("e") and ending[:1] in ("e", "i") else word) + ending
                if not ending or english(form):
                    forms.setdefault(sound(form), set()).add(form)
        return forms

    def _meant(self, word: str) -> str:
        """The word that a misspelt one stands for; "" if it is none, or it is not clear which."""
        plain = word.lower().replace("’", "'")
        if plain in self.short and english(plain) != "common":
            return self.short[plain]
        if len(plain) < _SHORTEST or not plain.isalpha() or plain in self.words:
            return ""
        if english(plain) in ("common", "rare") or (plain.endswith("s") and english(plain[:-1])) or self.is_name(plain):
            return ""
        heard = sound(plain)
        near = {(letters_apart(plain, form), form) for form in self.forms.get(heard, ()) if form[0] == plain[0]}
        near = {one for one in near if one[0] <= max(2, len(plain) // 2 - 1)}
        if not near:
            most = 2 if len(plain) >= _LONG else 1
            letters = set(plain)  # each wrong letter adds one at most, and takes one away
            every = (
                form
                for forms in self.forms.values()
                for form in forms
                if abs(len(form) - len(plain)) <= most and len(letters.symmetric_difference(form)) <= 2 * most
            )
            near = {(wrong, form) for form in every if (wrong := letters_apart(plain, form)) <= most}
        best = sorted(one for one in near if one[0] == min(near)[0])
        return best[0][1] if len(best) == 1 else ""

    def mend(self, text: str) -> tuple[str, tuple[tuple[str, str], ...]]:
        """The text with its misspelt words mended, and what was mended as (written, read as)."""
        mended: list[tuple[str, str]] = []

        def one(match: re.Match[str]) -> str:
            meant = self.meant(match[0])
            before, after = text[: match.start()].split()[-1:], text[match.end() :].split()[:1]
            if not meant or any(self.is_name(" ".join(run)) for run in ([*before, match[0]], [match[0], *after])):
                return match[0]  # "carbon disulfide"
            mended.append((match[0], meant))
            return meant.capitalize() if match[0][0].isupper() else meant

        return _WORD.sub(one, text), tuple(dict.fromkeys(mended))
