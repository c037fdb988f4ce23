"""The words in which answers state things: rules/classroom/statements.yaml, compiled."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from choosemethod.errors import DataError
from choosemethod.places import rules_folder
from choosemethod.quantity import UNITS
from choosemethod.yamltext import Block, Items, Node, read_mapping

if TYPE_CHECKING:
    from choosemethod.judging.statements import Token

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


class _File:
    def __init__(self, folder: Path, name: str) -> None:
        self.shown = f"rules/{name}"
        self.root = read_mapping(folder / name, self.shown)

    def fault(self, line: int, wrong: str, write: str) -> DataError:
        return DataError(self.shown, line, wrong, write)

    def words(self, node: Node | None, line: int, key: str) -> tuple[str, ...]:
        if not isinstance(node, Items) or not all(isinstance(item, str) for item in node):
            raise self.fault(line, f"{key} must be a list of words", f"{key}: [word, another word]")
        return tuple(str(item).lower() for item in node)

    def block(self, key: str, of: Block | None = None) -> Block:
        node = (self.root if of is None else of).get(key)
        if not isinstance(node, Block):
            raise self.fault(
                (self.root if of is None else of).at(key), f"{key} must hold KEY: VALUE pairs", f"{key}: {{...}}"
            )
        return node


def _acts(file: _File) -> Iterator[UnsafeAct]:
    block = file.block("acts")
    for key in block:
        one, line = file.block(key, block), block.at(key)
        lists = one.get("all")
        if not isinstance(lists, Items):
            raise file.fault(line, f"{key}: all must be a list of lists of words", "all: [[pour, tip], [sink]]")
        because = one.get("because")
        if not isinstance(because, str):
            raise file.fault(line, f"{key} gives no reason", 'because: "..."')
        slots = (
            {slot: file.words(node, line, slot) for slot, node in file.block("any", one).items()}
            if "any" in one
            else {}
        )
        yield UnsafeAct(
            key, tuple(frozenset(file.words(words, line, "all")) for words in lists),
            frozenset(file.words(one["unless"], line, "unless") if "unless" in one else ()), str(one.get("heats", "")),
            one.get("boils") == "yes", slots, file.words(one["danger"], line, "danger") if "danger" in one else (), because,
            str(one.get("verdict", "unsafe")), one.get("denied") == "yes",
            next((sort for sort in ("verb", "noun", "state") if sort in one), ""),
        )  # fmt: skip


def _misconceptions(file: _File) -> Iterator[Misconception]:
    block = file.block("misconceptions")
    for key in block:
        one, line = file.block(key, block), block.at(key)
        lists, because = one.get("all"), one.get("because")
        if not isinstance(lists, Items) or not isinstance(because, str):
            raise file.fault(
                line, f"{key} needs all (lists of words) and because", 'all: [[hotter], [top]], because: "..."'
            )
        yield Misconception(
            key, file.words(one.get("of"), line, "of"), tuple(frozenset(file.words(w, line, "all")) for w in lists),
            one.get("ordered") == "yes", because,
        )  # fmt: skip


@lru_cache(maxsize=2)
def lexicon(folder: Path | None = None) -> Lexicon:
    """The words as the file says them. DataError names the line of a fault."""
    file, unsafe = (_File(folder or rules_folder(), name) for name in (FILE, ACTS))
    acts = tuple(_acts(unsafe))
    believed = tuple(_misconceptions(file))
    denial, heat, verbs, nouns, after = (
        unsafe.words(unsafe.root.get(key), unsafe.root.at(key), key)
        for key in ("denial", "heat", "before-verbs", "before-nouns", "after-denial")
    )
    lists = {key: file.words(file.root.get(key), file.root.at(key), key) for key in _LISTS}
    irregular = {key: str(value) for key, value in file.block("irregular").items()}
    quantities: dict[str, Quantity] = {}
    block = file.block("quantities")
    for key in block:
        one = file.block(key, block)
        words = file.words(one.get("words"), block.at(key), "words")
        adjectives = [
            frozenset(file.words(one[w], block.at(key), w)) if w in one else frozenset() for w in ("more", "less")
        ]
        quantities[key] = Quantity(
            key,
            str(one.get("of", "")),
            tuple(tuple(w.split()) for w in sorted(words, key=len, reverse=True)),
            *adjectives,
        )
    relations: dict[str, Relation] = {}
    wordings: list[tuple[tuple[str, ...], int, Relation]] = []
    block = file.block("relations")
    for key in block:
        one = file.block(key, block)
        of = file.words(one["of"], block.at(key), "of") if "of" in one else ()
        says = str(one.get("says", ""))
        if not says:
            raise file.fault(block.at(key), f"the relation {key} does not say what it states", "says: part")
        relation = Relation(
            key,
            says,
            one.get("denied") == "yes",
            str(one.get("place", "")),
            str(one.get("side", "")),
            of,
            one.get("acts-on") == "yes",
        )
        relations[key] = relation
        for wording in file.words(one.get("words"), block.at(key), "words"):
            gap = _GAP if "..." in wording else 0
            wordings.append((tuple(wording.replace("...", " ").split()), gap, relation))
    wordings.sort(key=lambda item: (-len(item[0]), item[2].key))
    parts: dict[str, Mapping[str, tuple[str, ...]]] = {}
    block = file.block("parts")
    for slug in block:
        one = file.block(slug, block)
        parts[slug] = {
            side: file.words(one.get(side), block.at(slug), side) for side in (*SIDES, *(s for s in ENDS if s in one))
        }
    matters = file.block("matters")
    bases = {word for wording, _, _ in wordings for word in wording}
    bases |= {word for q in quantities.values() for words in q.words for word in words}
    bases |= {word for q in quantities.values() for word in (*q.more, *q.less)}
    small = {
        word
        for key in ("not", "both", "neither", "only", "it", "their", "more", "less", "than", "links", "breaks")
        for word in lists[key]
    }
    sets = {key: frozenset(word for word in words) for key, words in lists.items()}
    said = {w for act in acts for words in (*act.words, act.unless) for w in words}
    said |= {w for one in believed for words in one.words for w in words}
    said |= {*denial, *heat, *(w for words in after for w in words.split())}
    groups = {key: sets[key] for key in ("both", "neither", "only", "other")}
    plain = {key: sets[key] for key in _LISTS if key not in ("not", *groups)}
    return Lexicon(
        relations=relations,
        wordings=tuple(wordings),
        quantities=quantities,
        parts=parts,
        matters={slug: frozenset(file.words(node, matters.at(slug), slug)) for slug, node in matters.items()},
        irregular=irregular,
        relative={key: float(str(value)) for key, value in file.block("relative").items()},
        groups=groups,
        words=frozenset(bases | said | sets["tails"] | sets["heads"] | sets["gap"]),
        no=sets["not"],
        small=frozenset(small),
        heads_of_relations=frozenset(wording[0] for wording, _, _ in wordings),
        acts=acts,
        misconceptions=believed,
        sides={key: frozenset(file.words(node, 0, key)) for key, node in file.block("sides").items()},
        denial=frozenset(denial),
        after_denial=tuple(tuple(words.split()) for words in after),
        heat=frozenset(heat),
        before_verbs=frozenset(verbs),
        before_nouns=frozenset(nouns),
        **plain,
    )
