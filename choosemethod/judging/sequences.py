"""Techniques that were found in an answer, in the order in which they are meant."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from choosemethod.judging.phrases import STRONG, Hit, Phrases, Word
from choosemethod.judging.steps import Given

__all__ = ["Sequences"]


class Sequences:
    """Puts the techniques of an answer in order: what comes after what, what is one step, what are alternatives."""

    def __init__(self, book: Phrases) -> None:
        self.book = book

    def _given(self, words: Sequence[Word], hit: Hit) -> Given:
        written = " ".join(dict.fromkeys(word.raw for word in words[hit.first : hit.last + 1]))
        if hit.adds and hit.kind == "general":
            written += " " + ", ".join(add.lstrip("*").replace("-", " ") for add in hit.adds)
        if hit.kind == "general":
            general = self.book.rules.general[int(hit.value)]
            if general.every:
                return Given(general.kinds, (), tuple(hit.adds), written)
            return Given(general.kinds[:1], general.kinds[1:], tuple(hit.adds), written)
        return Given((hit.value,), (), tuple(hit.adds), written)

    def choices(self, words: Sequence[Word], hits: Sequence[Hit]) -> tuple[tuple[Given, ...], ...]:
        sequences: list[list[list[Given]]] = [[]]  # whole alternatives, each a list of places with their alternatives
        previous: Hit | None = None
        for hit in hits:
            given = self._given(words, hit)
            between = words[previous.last + 1 : hit.first] if previous is not None else words[: hit.first]
            places = sequences[-1]
            if previous is not None and self._has(between, self.book.or_words, "/"):
                if any(word.mark and word.mark in STRONG for word in between):
                    sequences.append([[given]])
                else:
                    places[-1].append(given)
            elif places and any(one.slugs == given.slugs for one in places[-1]):
                places[-1] = [self._joined(one, given) for one in places[-1]]
            elif (
                places
                and len(places[-1]) == 1
                and self._same_step(places[-1][0], given, between, self.book.is_told(words, hit))
            ):
                before = places[-1][0]
                more = given if set(given.slugs) <= {*before.kinds, *before.slugs} else before
                places[-1] = [replace(more, adds=tuple(dict.fromkeys((*before.adds, *given.adds))))]
            elif places and previous is not None and self._is_what_is_added(previous, hit, between):
                places[-1] = [given]
            elif previous is not None and self._goes_before(words, hits, previous, hit):
                places.insert(len(places) - 1, [given])
            else:
                places.append([given])
            previous = hit
        out: list[tuple[Given, ...]] = []
        for places in sequences:
            one: list[tuple[Given, ...]] = [()]
            for alternatives in places:
                one = [(*steps, given) for steps in one for given in alternatives][:8]
            out += [steps for steps in one if steps]
        return tuple(dict.fromkeys(out))[:8]

    def _is_what_is_added(self, previous: Hit, hit: Hit, between: Sequence[Word]) -> bool:
        """Whether a technique is named by what the verb before it adds ("add a drying agent")."""
        adding = previous.kind == "general" and self.book.rules.general[int(previous.value)].added
        return adding and all(not word.mark and word.norm in self.book.skipped for word in between)

    @staticmethod
    def _same_step(one: Given, other: Given, between: Sequence[Word], told: bool = False) -> bool:
        """Whether a general word and the precise one beside it are one step ("distil with a fractionating column").

        told: the later tells what happens in the step before it ("add water, the salt dissolves").
        """
        if told and len(one.slugs) > 1 and set(other.slugs) < set(one.slugs):
            return True
        if any(word.mark or word.norm in ("then", "next", "after", "before") for word in between):
            return False
        return set(other.slugs) <= set(one.kinds) or set(one.slugs) <= set(other.kinds)

    @staticmethod
    def _joined(one: Given, other: Given) -> Given:
        """One step said twice ("filtration: filter the sand off"): the more precise word, all that is added."""
        kinds = one.kinds if len(one.kinds) <= len(other.kinds) else other.kinds
        return replace(one, kinds=kinds, adds=tuple(dict.fromkeys((*one.adds, *other.adds))))

    def _has(self, between: Sequence[Word], phrases: frozenset[str], mark: str = "") -> bool:
        return any(
            (mark and word.mark == mark) or (not word.mark and self.book.found(between, place, phrases))
            for place, word in enumerate(between)
        )

    def _goes_before(self, words: Sequence[Word], hits: Sequence[Hit], previous: Hit, hit: Hit) -> bool:
        """Whether the later hit comes first in time: "evaporate after filtering", "before evaporating, filter"."""
        between = words[previous.last + 1 : hit.first]
        if any(word.mark and word.mark in STRONG for word in between):
            return False
        if self._has(between, self.book.after_words):
            return not any(word.mark == "," for word in between)
        start = previous.first
        while start and not (words[start - 1].mark and words[start - 1].mark in STRONG):
            start -= 1
        lead = words[start : previous.first]
        return self._has(lead, self.book.before_words) and any(word.mark == "," for word in between)
