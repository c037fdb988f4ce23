"""Techniques that a question describes rather than asks to find: recognised by the words textbooks define them with.

The words are data: rules/reading/signs.yaml. A question that names no mixture ("which process uses a resin?"), or asks what
a described process is called, is answered from them; of a multiple choice only what is offered is weighed.
All functions take a text as `choosemethod.table.names.spaced` gives it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from choosemethod.cache import stored
from choosemethod.places import rules_folder
from choosemethod.table.names import normalise

__all__ = [
    "Described", "Signs", "asked_besides", "asks_how", "asks_name", "asks_purpose", "asks_several", "asks_whether", "asks_which",
    "described", "namesakes", "says", "signs",
]  # fmt: skip

_FILE = "reading/signs.yaml"
_NEAR = 60  # letters between ideas joined by ~
Sign = tuple[str, ...]  # ideas that must all be said


class Described(NamedTuple):
    """A technique that the words point to. weight: sum of its signs; words: those that did; place: of the first, in letters;
    fits: whether words of an answer offered are among them."""

    technique: str
    weight: int
    words: tuple[str, ...]
    place: int
    fits: bool = False


class Signs(NamedTuple):
    """The compiled file: technique -> (sign, weight); idea -> its words; family word -> techniques; signs that ask for a
    name, for a technique, how, or what a thing is added for; lists: plain words by what they do (several, besides,
    doubting, except, none, all, mixed, pure, order); impure_with: what is taken to make a substance impure."""

    techniques: Mapping[str, tuple[tuple[Sign, int], ...]]
    ideas: Mapping[str, tuple[str, ...]]
    families: Mapping[str, tuple[str, ...]]
    naming: tuple[Sign, ...]
    asking: tuple[Sign, ...]
    wondering: tuple[Sign, ...]
    serving: tuple[Sign, ...]
    lists: Mapping[str, tuple[str, ...]]
    impure_with: str


@cache
def signs(folder: Path | None = None) -> Signs:
    """The signs as the file says them, kept in the cache while it is unchanged. DataError names the line of a fault."""
    where = folder or rules_folder()

    def build() -> dict[str, Any]:
        from choosemethod.interpretation.load_signs import compile_signs

        return compile_signs(where, _FILE)

    return Signs(**stored("signs", [where / _FILE, Path(__file__).with_name("load_signs.py")], build))


def namesakes(word: str, known: Collection[str]) -> tuple[str, ...]:
    """The techniques known whose names end in a word ("distillation")."""
    return tuple(slug for slug in known if slug.split("-")[-1] == word)


def _places(word: str, text: str) -> list[int]:
    """Where a word stands in a spaced text; one that ends in * stands for all that begin so."""
    sought = f" {word[:-1]}" if word.endswith("*") else f" {word} "
    found, at = [], text.find(sought)
    while at >= 0:
        found.append(at)
        at = text.find(sought, at + 1)
    return found


class _Heard:
    """The ideas of a text, each looked for once."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.said: dict[str, list[tuple[int, str]]] = {}

    def places(self, idea: str) -> list[tuple[int, str]]:
        if idea not in self.said:
            words = signs().ideas[idea]
            self.said[idea] = [(at, word.rstrip("*")) for word in words for at in _places(word, self.text)]
        return self.said[idea]

    def match(self, sign: Sign) -> tuple[int, tuple[str, ...]] | None:
        """The first place and the words found, if every idea of a sign is said in a place of its own."""
        found: dict[int, str] = {}
        for idea in sign:
            if "~" in idea:
                first, second = (self.places(one) for one in idea.split("~"))
                pairs = [(one, other) for one in first for other in second if 0 < abs(one[0] - other[0]) <= _NEAR]
                if not pairs:
                    return None
                found.update(dict(pairs[-1]))
                continue
            hit = next(((at, word) for at, word in self.places(idea) if at not in found), None)
            if hit is None:
                return None
            found[hit[0]] = hit[1]
        return min(found), tuple(found.values())


def _asks(ways: Sequence[Sign], text: str) -> bool:
    heard = _Heard(text)
    return any(heard.match(sign) is not None for sign in ways)


def asks_name(text: str) -> bool:
    """Whether a question asks what a described process is called, or what a thing is used for."""
    return _asks(signs().naming, text)


def asks_purpose(text: str) -> bool:
    """Whether a question asks what something is added for ("why was charcoal added?")."""
    return _asks(signs().serving, text)


def asks_which(text: str) -> bool:
    """Whether a question asks for a technique."""
    return _asks(signs().asking, text)


def asks_how(text: str) -> bool:
    """Whether a question asks how something is done."""
    return _asks(signs().wondering, text)


def says(what: str, text: str) -> bool:
    """Whether a text holds a word of one of the plain lists (several, except, none, all, mixed, pure, order)."""
    text = text.replace(" in order to ", " to ")  # which asks for no order
    return any(f" {word} " in text for word in signs().lists[what])


def asks_several(text: str) -> bool:
    """Whether a question, as written, asks for more than one technique."""
    return not set(text.lower().split()).isdisjoint(signs().lists["several"])


def asked_besides(text: str) -> str:
    """What a question, as written, asks besides ("and how is the acid got back?"), "" where it asks one thing."""
    found = (re.search(rf"\b{one}\b", text, re.I) for one in signs().lists["besides"])
    start = min([one.start() for one in found if one is not None], default=0)
    return text[start:].strip() if start else ""


def asks_whether(text: str) -> bool:
    """Whether a sentence of a question, as written, asks for yes or no ("can it be distilled?")."""
    sentences = (normalise(one).split() for one in text.replace("?", ".").replace("!", ".").split("."))
    return any(words[:1] and words[0] in signs().lists["doubting"] for words in sentences)


def described(text: str, among: Collection[str] = (), own: str = "") -> tuple[Described, ...]:
    """The techniques that the words of a text point to, the surest first.

    among: slugs that alone are weighed (the options offered), none for all; own: the words of an answer offered, which
    count where they fit something in the text, not by themselves.
    """
    known, heard, asked, mine = signs(), _Heard(text + own[1:]), _Heard(text), _Heard(own)
    family = next((slugs for word, slugs in known.families.items() if _places(word, text)), ())
    found: list[Described] = []
    for slug, rows in known.techniques.items():
        if among and slug not in among:
            continue
        hits, fits = [], False
        for sign, weight in rows:
            match = heard.match(sign)
            if match is None or (own and mine.match(sign) and not asked.match(sign)):
                continue
            hits.append((match, weight))
            fits = fits or any(mine.places(idea) for near in sign for idea in near.split("~"))
        if hits:
            weight = sum(weight for _, weight in hits)
            kin = 0 if not family else 1 if slug in family else 0 if among else -1
            words = tuple(dict.fromkeys(word for (_, said), _ in hits for word in said))
            found.append(Described(slug, weight + kin, words, min(at for (at, _), _ in hits), fits))
    return tuple(sorted(found, key=lambda one: (-one.weight, one.place, one.technique)))
