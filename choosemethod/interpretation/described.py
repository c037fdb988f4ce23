"""Techniques that a question describes rather than asks to find: recognised by the words textbooks define them with.

The words are data: rules/reading/signs.yaml. A question that names no mixture ("which process uses a resin?"), or asks what
a described process is called, is answered from them; of a multiple choice only what is offered is weighed.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from choosemethod.cache import stored
from choosemethod.places import rules_folder
from choosemethod.table.names import normalise

__all__ = ["Described", "Signs", "asks_name", "asks_several", "asks_whether", "asks_which", "described", "sign_file", "signs"]

_FILE = "reading/signs.yaml"
_HEAVIEST = 5
Pattern = tuple[tuple[str, ...], ...]  # one of each list must be said


class Described(NamedTuple):
    """A technique that the words point to. weight: sum of its signs; words: those that did; place: of the first, in words."""

    technique: str
    weight: int
    words: tuple[str, ...]
    place: int


class Signs(NamedTuple):
    """The compiled file: technique -> (pattern, weight); family word -> techniques; patterns that ask for a
    name; words that begin a question for yes or no; patterns
    that ask for a technique; words that ask for several."""

    techniques: Mapping[str, tuple[tuple[Pattern, int], ...]]
    families: Mapping[str, tuple[str, ...]]
    naming: tuple[Pattern, ...]
    doubting: tuple[str, ...]
    asking: tuple[Pattern, ...]
    several: tuple[str, ...]


def sign_file() -> Any:
    """The form of the file."""
    from choosemethod.data import Listed, Plain, Record, Ref, Table, Text

    def word(texts: tuple[str, ...], *_: Any) -> tuple[str, ...]:
        return tuple(normalise(text.rstrip("*")) + "*" * text.endswith("*") for text in texts)

    pattern = Listed(Listed(Text(), alone=False, make=word), alone=False, least=1, example="[[resin, zeolite], [hard*]]")
    sign = Record(
        "a sign",
        {"say": pattern, "weight": Plain(whole=True, low=1, high=_HEAVIEST)},
        make=lambda one: (one["say"], one["weight"]),
    )
    slug = Ref("technique", mend="the slug of a file of rules/techniques")
    patterns = Listed(pattern, alone=False)
    words = Listed(Text(), make=lambda texts, *_: tuple(map(normalise, texts)))
    return Record(
        "this file",
        {
            "source": Text(),
            "naming": patterns,
            "asking": patterns,
            "several": words,
            "doubting": words,
            "families": Table(Listed(slug, least=1)),
            "signs": Table(Listed(sign, alone=False), key=slug),
        },
        make=lambda one: {
            "techniques": one["signs"],
            **{key: one[key] for key in ("families", "naming", "asking", "doubting", "several")},
        },
    )


def _compiled(folder: Path) -> dict[str, Any]:
    from choosemethod.data import Names, read_file

    known = {"technique": Names({path.stem for path in (folder / "techniques").glob("*.yaml")})}
    found: dict[str, Any] = read_file(folder / _FILE, sign_file(), f"rules/{_FILE}", known)
    return found


@cache
def signs(folder: Path | None = None) -> Signs:
    """The signs as the file says them, kept in the cache while it is unchanged. DataError names the line of a fault."""
    where = folder or rules_folder()
    return Signs(**stored("signs", [where / _FILE, Path(__file__)], lambda: _compiled(where)))


def _said(sign: str, text: str) -> int:
    """Where a sign stands in a text of normalised words with a space at either end; -1 if nowhere."""
    return text.find(f" {sign[:-1]}") if sign.endswith("*") else text.find(f" {sign} ")


def _match(pattern: Pattern, text: str) -> tuple[int, tuple[str, ...]] | None:
    """The first place and the signs found, if one of every list of a pattern is said."""
    found: list[tuple[int, str]] = []
    for words in pattern:
        taken = {at for at, _ in found}
        hit = next(((at, word) for word in words if (at := _said(word, text)) >= 0 and at not in taken), None)
        if hit is None:
            return None
        found.append(hit)
    return min(found)[0], tuple(word.rstrip("*") for _, word in found)


def asks_name(text: str) -> bool:
    """Whether a question asks what a described process is called, or what a thing is used for."""
    plain = f" {normalise(text)} "
    return any(_match(pattern, plain) is not None for pattern in signs().naming)


def asks_which(text: str) -> bool:
    """Whether a question asks for a technique."""
    plain = f" {normalise(text)} "
    return any(_match(pattern, plain) is not None for pattern in signs().asking)


def asks_several(text: str) -> bool:
    """Whether a question asks for more than one technique."""
    words = set(normalise(text).split()) | set(text.lower().split())
    return any(word in words for word in signs().several)


def asks_whether(text: str) -> bool:
    """Whether a sentence of a question asks for yes or no ("can it be distilled?")."""
    sentences = (normalise(one).split() for one in text.replace("?", ".").replace("!", ".").split("."))
    return any(words[:1] and words[0] in signs().doubting for words in sentences)


def described(text: str, among: Collection[str] = (), without: Sequence[str] = ()) -> tuple[Described, ...]:
    """The techniques that the words of a question point to, the surest first.

    among: slugs that alone are weighed (the options offered), none for all; without: texts that are no part of the
    description (the options themselves).
    """
    plain = f" {normalise(text)} "
    for part in without:
        plain = plain.replace(f" {normalise(part)} ", " ")
    known = signs()
    family = next((slugs for word, slugs in known.families.items() if _said(word, plain) >= 0), ())
    found: list[Described] = []
    for slug, rows in known.techniques.items():
        if among and slug not in among:
            continue
        hits = [(match, weight) for pattern, weight in rows if (match := _match(pattern, plain)) is not None]
        if not hits:
            continue
        weight = sum(weight for _, weight in hits) + (1 if slug in family else 0)
        words = tuple(dict.fromkeys(word for (_, said), _ in hits for word in said))
        found.append(
            Described(
                slug,
                weight if not family or slug in family or among else weight - 1,
                words,
                min(at for (at, _), _ in hits),
            )
        )
    return tuple(sorted(found, key=lambda one: (-one.weight, one.place, one.technique)))
