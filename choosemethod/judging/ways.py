"""The proposals that a step of an answer may be: what it names, what counts as that, what is second best."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice

from choosemethod.advice.plan import Look, Proposal
from choosemethod.facts import Fact
from choosemethod.judging.case import Case
from choosemethod.judging.rules import Same
from choosemethod.judging.steps import Components, Given, Meant
from choosemethod.rulebook.engine import Firing
from choosemethod.rulebook.language import Rule

__all__ = ["BRINGS", "Ways", "bindings"]

BRINGS = ("solvent", "extractant", "reagent", "absorbent", "dryer")  # kinds of fact about what a step could bring in
_MOST_BINDINGS = 24  # ways in which a rule finds its facts that are looked at


class Ways:
    """Finds what a step may be in a state of the mixture."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self._second: dict[tuple[Components, str], list[Proposal]] = {}
        self._held_back: dict[str, list[Rule]] = {}
        for rule in case.book.stage("selection"):
            relaxed = self.relaxed(rule)
            better = bool(rule.unless) and all(pattern.kind in BRINGS for pattern in rule.unless)
            if relaxed is not rule or better:
                self._held_back.setdefault(rule.says[0], []).append(relaxed)
        self.same: dict[str, list[Same]] = {}
        for same in case.rules.same:
            self.same.setdefault(same.said, []).append(same)

    def relaxed(self, rule: Rule) -> Rule:
        """A rule without the conditions that say what is preferred; the rule itself if it has none."""
        wished = bool(self.case.composer.question.wish.want)
        find = []
        for pattern in rule.find:
            slots = self.case.rules.preferences.get(pattern.kind, ())
            # what is asked for is no mere preference where something is
            tests = tuple(t for t in pattern.tests if t.slot not in slots or (wished and t.slot == "asked_for"))
            find.append(pattern._replace(tests=tests) if len(tests) < len(pattern.tests) else pattern)
        return rule._replace(find=tuple(find)) if tuple(find) != rule.find else rule

    def ways_of(self, look: Look, step: Given, alone: bool = False) -> list[Meant]:
        """Proposals that are this step, those of the technique said first."""
        out: list[Meant] = []
        known: set[object] = set()
        for slug, named in [*((s, True) for s in step.slugs), *((s, False) for s in step.kinds)]:
            meant = [Meant(p, slug, named) for p in look.proposals if p.technique.id == slug]
            vetoes = {firing.rule.id for firing in look.rejections.get(slug, ())}
            if vetoes <= set(self.case.rules.words["degree"]):
                meant += [Meant(p, slug, named, True) for p in self._second_best(look, slug, bool(vetoes))]
            for same in self.same.get(slug, ()):
                barred = not vetoes <= set(self.case.rules.words["degree"]) and (
                    not same.despite or self.case.dangerous(look, slug)
                )
                if barred or (alone and not same.alone) or (same.named and not step.adds) or self.case.blocked(slug):
                    continue
                others = [p for p in look.proposals if p.technique.id in same.others and self._fits(same, look, p)]
                meant += [Meant(p, slug, named, same.weaker) for p in others]
                second = [p for other in same.others for p in self._second_best(look, other)]
                meant += [Meant(p, slug, named, True) for p in second if self._fits(same, look, p)]
            if step.adds and len(step.slugs) > 1:  # "shake with alkali" is nothing that brings nothing in
                meant = [one for one in meant if one.proposal.technique.id == slug or self._brought(look, one.proposal)]
            for one in meant:
                effect = self._effect(one.proposal)
                if effect in known or (step.adds and not self.brings(look, one.proposal, step.adds)):
                    continue
                known.add(effect)
                out.append(one)
        return out[: int(self.case.rules.margins["choice"]) * max(1, len(step.slugs))]

    def _second_best(self, look: Look, slug: str, every: bool = False) -> list[Proposal]:
        """Proposals of a technique that the rules hold back only because something better could be brought in.

        every: all its rules, where what rejects it is a matter of degree.
        """
        key = (look.components, slug)
        if key not in self._second:
            technique = self.case.book.techniques[slug]
            found: list[Proposal] = []
            singles = {fact.key: fact for fact in look.facts["component"]}
            rules = (
                [r for r in self.case.book.stage("selection") if r.says[0] == slug]
                if every
                else self._held_back.get(slug, ())
            )
            for rule in rules:
                barring = [pattern for pattern in rule.unless if pattern.kind not in BRINGS]
                if any(p.accepts(fact.slots) for p in barring for fact in look.facts.get(p.kind, ())):
                    continue
                for roles in bindings(rule, look):
                    outcome = self.case.planner.carried_out(technique, look.components, singles, roles)
                    if outcome is None or self.case.planner.why_blocked(technique, outcome):
                        continue
                    if self.case.planner.gives_up_wanted(outcome):
                        continue
                    if not self.case.planner.may_meet(technique, roles, outcome, look.components):
                        continue
                    firing = Firing(rule, {role: fact.key for role, fact in roles.items()})
                    score = self.case.book.ranking.cost(technique) + self.case.book.ranking.strength[rule.strength]
                    found.append(Proposal(technique, [firing], outcome, score))
            self._second[key] = sorted(found, key=lambda proposal: proposal.order)
        return self._second[key]

    def _fits(self, same: Same, look: Look, proposal: Proposal) -> bool:
        """Whether the conditions of an equivalence hold for a proposal."""
        if same.adds and not self.case.is_sort(proposal.outcome.added, same.adds):
            return False
        there = [f for f in look.facts["component"] if f.slots["added"] == "no" and f.key not in self._clinging(look)]
        if not self.case.has(same.some, there) or not self.case.has(same.each, there, True):
            return False
        if same.coarser and not self._coarser(there, proposal, same.coarser, same.pieces_from):
            return False
        if same.off:
            first = [product.components for product in proposal.outcome.products][:1] or [()]
            if not any(self.case.is_sort(c.substance, same.off) for c in first[0]):
                return False
        for least, slot in ((0.0 if same.coarser else same.pieces_from, "size_low"), (same.pieces_to, "size_high")):
            sizes = [fact.slots.get(slot) for fact in look.facts["component"] if fact.slots["form"] == "suspended"]
            if least and not all(isinstance(size, float) and size >= least for size in sizes):
                return False
        if same.boils_from:
            points = [
                fact.slots.get("boiling_point") for fact in look.facts["component"] if fact.slots["form"] == "liquid"
            ]
            if not any(isinstance(point, float) and point >= same.boils_from for point in points):
                return False
        if same.gives_off:
            off, *rest = [product.components for product in proposal.outcome.products] or [()]
            wanted = self.case.composer.question.wish.want
            if len({c.substance for components in rest for c in components if not c.added and not c.trace}) != 1:
                return False
            if not off or any(c.substance in wanted or not self.case.is_sort(c.substance, same.gives_off) for c in off):
                return False
        return True

    @staticmethod
    def _clinging(look: Look) -> frozenset[str]:
        """Keys of the components of which only a trace clings."""
        traces = {c.substance for c in look.components if c.trace} - {
            c.substance for c in look.components if not c.trace
        }
        return frozenset(f.key for f in look.facts["component"] if f.slots["substance"] in traces)

    @staticmethod
    def _coarser(facts: Sequence[Fact], proposal: Proposal, times: float, least: float) -> bool:
        """Whether the pieces of one product are usually so many times larger than those of the other, and not small (m)."""
        sizes = {str(f.slots["substance"]): (f.slots.get("size_low"), f.slots.get("size_high")) for f in facts}
        groups: list[tuple[float, float]] = []
        for product in proposal.outcome.products:
            low, high = [], []
            for component in product.components:
                one = sizes.get(component.substance, (None, None))
                if not isinstance(one[0], float) or not isinstance(one[1], float):
                    return False
                low.append(one[0])
                high.append(one[1])
            if low:
                groups.append((min(low), max(high)))
        if len(groups) != 2:
            return False
        fine, coarse = sorted(groups, key=lambda group: group[1])
        return coarse[1] >= max(times * fine[1], least) and coarse[0] >= fine[0]

    def _effect(self, proposal: Proposal) -> object:
        """What a proposal does, liquids of the same use taken as one."""
        products = [p.components for p in proposal.outcome.products] or [proposal.outcome.whole]
        parted = sorted(tuple(sorted((c.substance, c.form) for c in part if not c.added)) for part in products)
        return proposal.technique.id, self.case.is_sort(proposal.outcome.added, "ordinary"), tuple(parted)

    def _brought(self, look: Look, proposal: Proposal) -> set[str]:
        """Ids of what a proposal brings in, as far as it is known."""
        if proposal.outcome.added:
            return {proposal.outcome.added}
        facts = look.roles(proposal.firings[0]).values()
        return {str(fact.slots["with"]) for fact in facts if fact.slots.get("with")} | {
            str(fact.slots["id"]) for fact in facts if fact.kind in BRINGS
        }

    def brings(self, look: Look, proposal: Proposal, adds: Sequence[str]) -> bool:
        """Whether a proposal brings in one of what the answer names; yes if nothing is known of what it brings in."""
        brought = self._brought(look, proposal)
        return not brought or any(
            add in brought or (add.startswith("*") and any(self.case.is_sort(one, add[1:]) for one in brought))
            for add in adds
        )


def bindings(rule: Rule, look: Look) -> Iterator[dict[str, Fact]]:
    """Every way a rule finds its facts in a look, whatever its `unless` says."""
    patterns = sorted(rule.find, key=lambda pattern: pattern.kind == "pair")

    def go(place: int, roles: dict[str, Fact]) -> Iterator[dict[str, Fact]]:
        if place == len(patterns):
            if all(
                all(roles[role].key == roles[p.role].slots.get(slot) for slot, role in p.joins if role in roles)
                and all(roles[role].key != roles[p.role].slots.get(slot) for slot, role in p.differs if role in roles)
                for p in patterns
            ):
                yield dict(roles)
            return
        pattern = patterns[place]
        for fact in look.facts.get(pattern.kind, ()):
            if pattern.accepts(fact.slots):
                yield from go(place + 1, {**roles, pattern.role: fact})

    yield from islice(go(0, {}), _MOST_BINDINGS)
