"""The rulebook: all rules, techniques and limits of rules/, checked, compiled and kept in the cache."""

from __future__ import annotations

import marshal
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from choosemethod.facts import Fact
from choosemethod.properties import Limits, Reaction, Solvent
from choosemethod.rulebook.engine import Engine, Firing
from choosemethod.rulebook.language import Rule, from_plain
from choosemethod.rulebook.practice import Practice
from choosemethod.rulebook.technique import Technique, technique_from_plain

if TYPE_CHECKING:
    from choosemethod.laboratory import Laboratory

__all__ = ["Ranking", "Rulebook"]


class Ranking(NamedTuple):
    """The numbers of rules/ranking.yaml."""

    strength: Mapping[str, float]
    weight: Mapping[str, float]
    left_together: float
    step: float

    def cost(self, technique: Technique) -> float:
        """Score of one use of a technique."""
        work, minutes, hazard, loss = technique.cost
        weight = self.weight
        return (
            self.step
            + work * weight["work"]
            + minutes * weight["minutes"]
            + hazard * weight["hazard"]
            + loss * weight["loss"]
        )


class _Techniques(Mapping[str, Technique]):
    """Techniques by id, in order of id; each is unpacked when first asked for."""

    def __init__(self, packed: Mapping[str, bytes]) -> None:
        self._packed = dict(sorted(packed.items()))
        self._known: dict[str, Technique] = {}

    def __getitem__(self, ident: str) -> Technique:
        found = self._known.get(ident)
        if found is None:
            found = self._known[ident] = technique_from_plain(marshal.loads(self._packed[ident]))
        return found

    def __contains__(self, ident: object) -> bool:
        return ident in self._packed  # without unpacking it

    def __iter__(self) -> Iterator[str]:
        return iter(self._packed)

    def __len__(self) -> int:
        return len(self._packed)


class _Rules(Mapping[str, Rule]):
    """Rules by id, in order of id; each is unpacked when first asked for. `stages` and `families` tell where one
    belongs, `speaking` which rules speak of a technique (or say a word).
    """

    def __init__(self, packed: Sequence[tuple[str, str, str, tuple[str, ...], tuple[Any, ...], bytes]]) -> None:
        self._packed = {ident: rule for ident, _, _, _, _, rule in sorted(packed)}
        self.stages = {ident: stage for ident, stage, _, _, _, _ in packed}
        self.speaking: dict[str, list[str]] = {}
        self.families: dict[tuple[str, str], list[tuple[str, tuple[Any, ...]]]] = {}
        for ident, stage, family, says, matched, _ in sorted(packed):
            for word in says:
                self.speaking.setdefault(word, []).append(ident)
            self.families.setdefault((stage, family), []).append((ident, matched))
        self._known: dict[str, Rule] = {}

    def __getitem__(self, ident: str) -> Rule:
        found = self._known.get(ident)
        if found is None:
            found = self._known[ident] = from_plain(marshal.loads(self._packed[ident]))
        return found

    def __iter__(self) -> Iterator[str]:
        return iter(self._packed)

    def __len__(self) -> int:
        return len(self._packed)


class Rulebook:
    """Rules by id, techniques by id, and the limits.

    A family is a folder of rules that look at the same sort of mixture; each has an engine of its own, which holds
    only the rules that some mixture so far could fire.
    """

    def __init__(self, plain: Mapping[str, Any]) -> None:
        self.rules = _Rules(plain["rules"])
        self.techniques = _Techniques(dict(plain["techniques"]))
        self.limits = Limits(
            dict(plain["limits"]),
            tuple([Solvent(*one) for one in plain["solvents"]]),
            {group: frozenset(codes) for group, codes in plain["hazard_groups"]},
            plain["water"],
            dict(plain["inert"]),
            plain["scale"],
            plain["granular"],
            plain["dirt"],
            {word: tuple([Reaction(*one) for one in rows]) for word, rows in plain["characters"]},
        )
        strength, weight, together, step = plain["ranking"]
        self.ranking = Ranking(dict(strength), dict(weight), together, step)
        self.rivals: Mapping[str, tuple[str, ...]] = dict(plain["rivals"])  # technique -> what it is often taken for
        self.without: Mapping[str, tuple[str, tuple[str, ...]]] = dict(plain["without"])
        self.forecasts: Mapping[str, tuple[str, ...]] = dict(plain["forecasts"])  # technique -> kinds of forecast
        self.related: Mapping[str, tuple[str, ...]] = dict(plain["related"])  # relation -> names that lead to it
        self._laboratory: bytes | Laboratory = plain["laboratory"]
        self._practice: bytes | tuple[Practice, ...] = plain["practice"]
        self._engines = {
            key: Engine(members, self.rules.__getitem__) for key, members in sorted(self.rules.families.items())
        }

    @property
    def laboratory(self) -> Laboratory:
        """Columns, pumps, glassware and what forecasts are worked out with; unpacked when first asked for."""
        if isinstance(self._laboratory, bytes):
            from choosemethod.laboratory import Laboratory

            self._laboratory = Laboratory.from_plain(marshal.loads(self._laboratory))
        return self._laboratory

    @property
    def practice(self) -> tuple[Practice, ...]:
        """What is done in practice; unpacked when first asked for."""
        if isinstance(self._practice, bytes):
            self._practice = tuple([Practice(*one) for one in marshal.loads(self._practice)])
        return self._practice

    def stage(self, name: str) -> list[Rule]:
        """All rules of a stage, by id."""
        return [self.rules[ident] for ident in self.rules if self.rules.stages[ident] == name]

    def run(
        self, stage: str, facts: Mapping[str, Sequence[Fact]], about: Collection[str] | None = None
    ) -> list[Firing]:
        """Fire the rules of one stage over facts; in the order of rule id and bindings.

        about: only rules that speak of one of these techniques need to be run.
        """
        wanted = None if about is None else {ident for slug in about for ident in self.rules.speaking.get(slug, ())}
        firings: list[Firing] = []
        for (of, _), engine in self._engines.items():
            if of == stage:
                firings.extend(engine.run(facts, wanted))
        return sorted(firings, key=lambda firing: firing.order)
