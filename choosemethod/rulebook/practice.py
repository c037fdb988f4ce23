"""What is done in practice (rules/practice): facts of the trade that no property of a substance tells.

A fact is known by terms that must all be said; that is all there is to it, so that anybody can see why it was taken.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import NamedTuple

__all__ = ["Fact", "Practice", "practised"]

_FAR = 160  # letters between terms: farther apart they are of different things of a long question
Term = tuple[str, ...]  # normalised words for the same; one that ends in * stands for all that begin so


class Practice(NamedTuple):
    """A fact. of: terms that must all be said; helps: terms that need not; unless: terms of which none may be said; by:
    techniques, in order; also: others that do it; because: the reason; mind: the danger; source: its key."""

    id: str
    of: tuple[Term, ...]
    helps: tuple[Term, ...]
    unless: tuple[Term, ...]
    by: tuple[str, ...]
    also: tuple[str, ...]
    because: str
    mind: str
    source: str


class Fact(NamedTuple):
    """A fact whose terms are all said. by: its techniques, or the one of `also` that was sought; words: those said; rank: how
    much of it was said."""

    practice: Practice
    by: tuple[str, ...]
    words: tuple[str, ...]
    rank: tuple[int, int]


def _said(term: Term, text: str, taken: Collection[int]) -> tuple[int, str] | None:
    """The first place where a word of a term stands that nothing else has taken, and that word."""
    for word in term:
        sought = f" {word[:-1]}" if word.endswith("*") else f" {word} "
        at = text.find(sought)
        while at in taken:
            at = text.find(sought, at + 1)
        if at >= 0:
            return at, word.rstrip("*")
    return None


def _told(one: Practice, text: str) -> tuple[str, ...] | None:
    """The words of the terms that are said, if all are that must be, near one another, and none that may not."""
    if any(_said(term, text, ()) is not None for term in one.unless):
        return None
    taken: dict[int, str] = {}
    for term in one.of:
        hit = _said(term, text, taken)
        if hit is None:
            return None
        taken[hit[0]] = hit[1]
    if max(taken) - min(taken) > _FAR:
        return None
    for term in one.helps:
        hit = _said(term, text, taken)
        if hit is not None:
            taken[hit[0]] = hit[1]
    return tuple(taken.values())


def practised(facts: Iterable[Practice], text: str, among: Collection[str] = ()) -> tuple[Fact, ...]:
    """The facts that a text tells of, as `choosemethod.table.names.spaced` gives it, the one with most said first.

    among: slugs of which a fact must have one (the answers offered), none for all.
    """
    found = []
    for one in facts:
        by = one.by if not among or one.by[0] in among else next(((slug,) for slug in one.also if slug in among), ())
        words = _told(one, text) if by else None
        if words is not None:
            found.append(Fact(one, by, words, (len(words), sum(map(len, words)))))
    return tuple(sorted(found, key=lambda fact: fact.rank, reverse=True))
