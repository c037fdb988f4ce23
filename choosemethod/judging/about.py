"""What an answer's statements are about: the parts of the question's mixture, and what words name."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from choosemethod.advice.compose import Composer
from choosemethod.advice.plan import Look, Proposal
from choosemethod.facts import Evidence, Fact
from choosemethod.judging.lexicon import Lexicon
from choosemethod.table.model import Substance
from choosemethod.table.names import normalise

__all__ = ["About", "Acted", "Found", "source_of"]

Acted = Sequence[tuple[Look, Proposal]]


class Found(NamedTuple):
    """Whether a statement is true (None: not known here), the value or fact it was held against, source, tolerance."""

    true: bool | None
    words: str
    source: str = ""
    tolerance: str = ""


def source_of(evidence: Evidence | None) -> str:
    return evidence.source if evidence is not None else ""


class About:
    """One question's mixture, as statements speak of it."""

    def __init__(self, composer: Composer, lexicon: Lexicon, tolerances: dict[str, float]) -> None:
        self.composer = composer
        self.lexicon = lexicon
        self.tolerances = tolerances
        self.table = composer.table
        self.known = composer.bench.known
        self.water = composer.bench.limits.water
        self.components = composer.question.mixture.components
        self._start: list[Fact] | None = None
        self._names: dict[str, str] = {
            normalise(one.text): one.meanings[0]
            for one in composer.question.mentions
            if one.meanings and one.meanings[0] in self.everything
        }  # a name means what the question means by it

    @property
    def everything(self) -> tuple[str, ...]:
        """Ids of what is in the mixture; a lone ordinary solvent that only holds the rest counts too."""
        return tuple(dict.fromkeys(c.substance for c in self.components))

    def named(self, words: str) -> str:
        """Id of what words name: a part of the mixture first; "*" and the id for a named mixture; "" for nothing."""
        plain = normalise(words)
        if plain not in self._names:
            self._names[plain] = self._look_up(plain, words)
        return self._names[plain]

    def _look_up(self, plain: str, words: str) -> str:
        name = self.table.name(plain, "substance") if plain else None
        mine = self.everything
        if name is not None and name.id in mine:
            return name.id
        mixture = self.table.name(plain, "mixture") if plain else None
        if mixture is not None:
            return f"*{mixture.id}"
        held = [ident for ident in mine if self._is_called(ident, plain, exact=name is not None)]
        if len(held) == 1:
            return held[0]
        if name is None and words[:1].isupper():
            name = self.table.formula(words)
        return name.id if name is not None else ""

    def _is_called(self, ident: str, plain: str, exact: bool) -> bool:
        """Whether words are part of a name of a component; of its own name's end only, if they name something themselves."""
        one = self.substance(ident)
        if one is not None and exact:
            return set(plain.split()) < set(normalise(one.name).split())
        names = [one.name, *one.also] if one is not None else [ident.replace("-", " ")]
        return any(set(plain.split()) <= set(normalise(name).split()) for name in names)

    def facts(self) -> list[Fact]:
        """The component facts of the question's mixture."""
        if self._start is None:
            self._start = self.composer.planner.look(self.composer.planner.start()).facts["component"]
        return self._start

    def substance(self, ident: str) -> Substance | None:
        """The substance of an id, None if there is none."""
        return self.table.substance(ident) if ident and self.table.has(ident) else None
