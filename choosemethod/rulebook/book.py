"""The rulebook: all rules, techniques and limits of rules/, checked, compiled and kept in the cache."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from choosemethod.describe import Limits, Solvent
from choosemethod.facts import Fact
from choosemethod.rulebook.engine import Engine, Firing
from choosemethod.rulebook.language import Rule, from_plain
from choosemethod.rulebook.technique import Technique, technique_from_plain

__all__ = ["Ranking", "Rulebook", "rulebook_from_plain"]


@dataclass(frozen=True, slots=True)
class Ranking:
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
            self.step + work * weight["work"] + minutes * weight["minutes"] + hazard * weight["hazard"] + loss * weight["loss"]
        )


class Rulebook:
    """Rules by stage and family with an engine for each family, techniques by id, and the limits.

    A family is a folder of rules that look at the same sort of mixture; its engine is built when first needed.
    """

    def __init__(
        self,
        rules: Sequence[tuple[str, Rule]],
        techniques: Sequence[Technique],
        limits: Limits,
        ranking: Ranking,
        without: Mapping[str, tuple[str, tuple[str, ...]]],
    ) -> None:
        self.rules: dict[str, Rule] = {rule.id: rule for _, rule in rules}
        self.techniques = {technique.id: technique for technique in sorted(techniques, key=lambda t: t.id)}
        self.limits = limits
        self.ranking = ranking
        self.without = without
        families: dict[tuple[str, str], list[Rule]] = {}
        for family, rule in rules:
            families.setdefault((rule.stage, family), []).append(rule)
        self._engines = {key: Engine(members) for key, members in sorted(families.items())}

    def stage(self, name: str) -> list[Rule]:
        """All rules of a stage, by id."""
        return sorted((rule for rule in self.rules.values() if rule.stage == name), key=lambda rule: rule.id)

    def run(self, stage: str, facts: Mapping[str, Sequence[Fact]]) -> list[Firing]:
        """Fire the rules of one stage over facts; in the order of rule id and bindings."""
        firings: list[Firing] = []
        for (of, _), engine in self._engines.items():
            if of == stage:
                firings.extend(engine.run(facts))
        return sorted(firings, key=lambda firing: firing.order)

    def conclude(self, facts: dict[str, list[Fact]]) -> list[Firing]:
        """Run the inference stage and add its findings to the facts; the later stages read them. Returns the firings."""
        firings = self.run("inference", facts)
        for firing in firings:
            rule = firing.rule
            about, other = firing.roles.get(rule.about, ""), firing.roles.get(rule.other, "")
            key = f"{rule.says[0]}: {about} {other}".strip()
            if not any(fact.key == key for fact in facts["finding"]):
                facts["finding"].append(Fact("finding", key, {"id": key, "word": rule.says[0], "about": about, "other": other}))
        return firings


def rulebook_from_plain(plain: Mapping[str, Any]) -> Rulebook:
    """The rulebook that `choosemethod.rulebook.gather.gather` wrote as plain tuples."""
    limits = Limits(
        dict(plain["limits"]),
        tuple([Solvent(ident, order, use) for ident, order, use in plain["solvents"]]),
        {group: frozenset(codes) for group, codes in plain["hazard_groups"]},
        plain["water"],
        dict(plain["inert"]),
        plain["scale"],
        plain["granular"],
    )
    strength, weight, together, step = plain["ranking"]
    return Rulebook(
        [(family, from_plain(rule)) for family, rule in plain["rules"]],
        [technique_from_plain(technique) for technique in plain["techniques"]],
        limits,
        Ranking(dict(strength), dict(weight), together, step),
        dict(plain["without"]),
    )


def shown_path(path: Path, folder: Path) -> str:
    """A file's name as messages show it: from the data folder on."""
    return str(Path(folder.name) / path.relative_to(folder)).replace("\\", "/")
