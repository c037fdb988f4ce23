"""The words in which answers state things: rules/classroom/statements.yaml, compiled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from choosemethod.data import Flag, Listed, Plain, Problems, Reading, Record, Table, Text, raise_all, read_file
from choosemethod.places import rules_folder
from choosemethod.quantity import UNITS

if TYPE_CHECKING:
    from choosemethod.judging.clauses import Token

__all__ = ["Lexicon", "Misconception", "Quantity", "Relation", "UnsafeAct", "lexicon"]

FILE, ACTS = "classroom/statements.yaml", "classroom/unsafe.yaml"
_GAP = 4  # words that "..." may stand for
_LISTS = ("not", "both", "neither", "only", "it", "their", "other", "more", "less", "than", "links", "breaks", "reasons",
          "tails", "heads", "gap", "same", "hints", "articles", "prepositions", "auxiliaries")  # fmt: skip
SIDES, ENDS = ("goes", "stays", "removes"), ("top", "bottom")


class Quantity(NamedTuple):
    """A quantity that is told or compared: its dimension, its words, and the adjectives that say more or less of it."""

    key: str
    dimension: str
    words: tuple[tuple[str, ...], ...]
    more: frozenset[str]
    less: frozenset[str]


class Relation(NamedTuple):
    """What a verb or noun says of its subject.

    says: slot, dissolves, mixes, azeotrope, layer, order or part; side: goes, stays, removes or any, of the techniques
    `of` (all where there are none); place: top, bottom, first, last; acts_on: what follows is what it happens to.
    """

    key: str
    says: str
    denied: bool = False
    place: str = ""
    side: str = ""
    of: tuple[str, ...] = ()
    acts_on: bool = False


class UnsafeAct(NamedTuple):
    """An act that must not be done: lists of words of which each must be said, and when it counts (see unsafe.yaml)."""

    key: str
    words: tuple[frozenset[str], ...]
    unless: frozenset[str]
    heats: str
    boils: bool
    any: Mapping[str, tuple[str, ...]]
    danger: tuple[str, ...]
    because: str
    verdict: str = "unsafe"
    denied: bool = False
    sort: str = ""


class Misconception(NamedTuple):
    """A general statement that is not so: lists of words of which each must be said in one clause (in order, if so)."""

    key: str
    of: tuple[str, ...]
    words: tuple[frozenset[str], ...]
    ordered: bool
    because: str


class Lexicon(NamedTuple):
    """The compiled words; `wordings` the longest first, each with the gap it allows between its words."""

    relations: Mapping[str, Relation]
    wordings: tuple[tuple[tuple[str, ...], int, Relation], ...]
    quantities: Mapping[str, Quantity]
    parts: Mapping[str, Mapping[str, tuple[str, ...]]]
    matters: Mapping[str, frozenset[str]]
    irregular: Mapping[str, str]
    relative: Mapping[str, float]
    groups: Mapping[str, frozenset[str]]
    words: frozenset[str]
    no: frozenset[str]
    it: frozenset[str]
    their: frozenset[str]
    more: frozenset[str]
    less: frozenset[str]
    than: frozenset[str]
    links: frozenset[str]
    breaks: frozenset[str]
    reasons: frozenset[str]
    tails: frozenset[str]
    heads: frozenset[str]
    gap: frozenset[str]
    small: frozenset[str]
    hints: frozenset[str]
    articles: frozenset[str]
    prepositions: frozenset[str]
    heads_of_relations: frozenset[str]
    same: frozenset[str]
    acts: tuple[UnsafeAct, ...] = ()
    misconceptions: tuple[Misconception, ...] = ()
    auxiliaries: frozenset[str] = frozenset()
    sides: Mapping[str, frozenset[str]] = {}
    denial: frozenset[str] = frozenset()
    after_denial: tuple[tuple[str, ...], ...] = ()
    heat: frozenset[str] = frozenset()
    before_verbs: frozenset[str] = frozenset()
    before_nouns: frozenset[str] = frozenset()

    def quantity_at(self, run: Sequence[Token], place: int) -> str:
        """The quantity that is named from a place on, "" if none."""
        for key, quantity in self.quantities.items():
            for words in quantity.words:
                part = run[place : place + len(words)]
                if tuple(token.base for token in part) == words and all(token.kind == "word" for token in part):
                    return key
        return ""

    def quantities_in(self, run: Sequence[Token]) -> tuple[str, ...]:
        """The quantities whose names stand in a text ("a different melting point", "it melts")."""
        return tuple(dict.fromkeys(key for place in range(len(run)) if (key := self.quantity_at(run, place))))

    def fits(self, key: str, unit: str) -> bool:
        """Whether a number with this unit ("" for none) can be of a quantity."""
        dimension = self.quantities[key].dimension
        if dimension == "solubility":
            return unit == "g"
        return not unit or (unit in UNITS and UNITS[unit][0] == dimension)


class _Lower(Text):
    """A text in small letters."""

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        return text.lower()


_WORDS = Listed(_Lower(), alone=False)
_ALL = Listed(Listed(_Lower(), alone=False, make=lambda words, *_: frozenset(words)), alone=False)
_LISTS_OF_WORDS = Table(_WORDS)
_ACT = Record(
    "an act",
    {
        "all": _ALL,
        "unless?": _WORDS,
        "heats?": Text(),
        "boils?": Flag(),
        "any?": _LISTS_OF_WORDS,
        "danger?": _WORDS,
        "because": Text(),
        "verdict?": Text(empty="unsafe"),
        "denied?": Flag(),
        "verb?": Flag(),
        "noun?": Flag(),
        "state?": Flag(),
    },
    make=lambda one: UnsafeAct(
        one.what,
        one["all"],
        frozenset(one["unless"]),
        *one.pick("heats", "boils", "any", "danger", "because", "verdict", "denied"),
        *[sort for sort in ("verb", "noun", "state") if one[sort]][:1],
    ),
)
UNSAFE = Record(
    "this file",
    {
        "source": Text(),
        "acts": Table(_ACT),
        **dict.fromkeys(("denial", "after-denial", "heat", "before-verbs", "before-nouns"), _WORDS),
    },
)
_MISCONCEPTION = Record(
    "a misconception",
    {"of": _WORDS, "all": _ALL, "ordered?": Flag(), "because": Text()},
    make=lambda one: Misconception(one.what, *one.values.values()),
)
_QUANTITY = Record(
    "a quantity",
    {"of?": Text(), "words": _WORDS, "more?": _WORDS, "less?": _WORDS},
    make=lambda one: Quantity(
        one.what,
        one["of"],
        tuple(tuple(words.split()) for words in sorted(one["words"], key=len, reverse=True)),
        *(frozenset(words) for words in one.pick("more", "less")),
    ),
)
_RELATION = Record(
    "a relation",
    {
        "says": Text(example="part"),
        "denied?": Flag(),
        "place?": Text(),
        "side?": Text(),
        "of?": _WORDS,
        "acts-on?": Flag(),
        "words": _WORDS,
    },
    make=lambda one: (Relation(one.what, *[*one.values.values()][:-1]), one["words"]),
)
_PART = Record(
    "the parts of a technique",
    dict.fromkeys(SIDES, _WORDS) | {f"{end}?": _WORDS for end in ENDS},
    make=lambda one: {key: words for key, words in one.values.items() if key in one},
)
STATEMENTS = Record(
    "this file",
    {
        "source": Text(),
        "irregular": Table(Text()),
        "quantities": Table(_QUANTITY),
        "relative": Table(Plain()),
        "relations": Table(_RELATION),
        "parts": Table(_PART),
        **dict.fromkeys(("matters", "sides"), _LISTS_OF_WORDS),
        "misconceptions": Table(_MISCONCEPTION),
        **dict.fromkeys(_LISTS, _WORDS),
    },
)


def _sets(lists: Mapping[str, Sequence[str]]) -> dict[str, frozenset[str]]:
    return {key: frozenset(words) for key, words in lists.items()}


@lru_cache(maxsize=2)
def lexicon(folder: Path | None = None) -> Lexicon:
    """The words as the file says them. DataError names the line of every fault."""
    problems = Problems()
    where = folder or rules_folder()
    said, unsafe = (
        read_file(where / name, form, f"rules/{name}", problems=problems)
        for name, form in ((FILE, STATEMENTS), (ACTS, UNSAFE))
    )
    raise_all(problems)
    acts, believed = tuple(unsafe["acts"].values()), tuple(said["misconceptions"].values())
    quantities: dict[str, Quantity] = said["quantities"]
    wordings = [
        (tuple(wording.replace("...", " ").split()), _GAP if "..." in wording else 0, relation)
        for relation, words in said["relations"].values()
        for wording in words
    ]
    wordings.sort(key=lambda item: (-len(item[0]), item[2].key))
    bases = {word for wording, _, _ in wordings for word in wording}
    bases |= {word for q in quantities.values() for words in (*q.words, q.more, q.less) for word in words}
    bases |= {word for one in (*acts, *believed) for words in one.words for word in words}
    bases |= {word for act in acts for word in act.unless}
    bases |= {*unsafe["denial"], *unsafe["heat"], *(w for words in unsafe["after-denial"] for w in words.split())}
    sets = _sets({key: said[key] for key in _LISTS})
    groups = {key: sets[key] for key in ("both", "neither", "only", "other")}
    small = ("not", "both", "neither", "only", "it", "their", "more", "less", "than", "links", "breaks")
    return Lexicon(
        relations={key: relation for key, (relation, _) in said["relations"].items()},
        wordings=tuple(wordings),
        quantities=quantities,
        parts=said["parts"],
        matters=_sets(said["matters"]),
        irregular=said["irregular"],
        relative=said["relative"],
        groups=groups,
        words=frozenset(bases | sets["tails"] | sets["heads"] | sets["gap"]),
        no=sets["not"],
        small=frozenset().union(*(sets[key] for key in small)),
        heads_of_relations=frozenset(wording[0] for wording, _, _ in wordings),
        acts=acts,
        misconceptions=believed,
        sides=_sets(said["sides"]),
        denial=frozenset(unsafe["denial"]),
        after_denial=tuple(tuple(words.split()) for words in unsafe["after-denial"]),
        heat=frozenset(unsafe["heat"]),
        before_verbs=frozenset(unsafe["before-verbs"]),
        before_nouns=frozenset(unsafe["before-nouns"]),
        **{key: sets[key] for key in _LISTS if key not in ("not", *groups)},
    )
