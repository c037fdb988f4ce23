"""Plan: the sequence of separations that takes a mixture to its products.

The rules say what applies to each mixture on the way; the search combines those steps and keeps the plan with the
lowest score (steps, work, time, hazard, loss, and what stays mixed), in the order of the trade where scores are equal.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from choosemethod.advice.operation import Outcome, Product, carry_out, tidy
from choosemethod.describe import Bench
from choosemethod.facts import Fact
from choosemethod.mixture import LEVELS, Component, Mixture, Question
from choosemethod.rulebook.book import Rulebook
from choosemethod.rulebook.engine import Firing
from choosemethod.rulebook.technique import Technique

__all__ = ["Look", "Plan", "Planner", "Proposal", "Step", "sound", "with_implied_wish"]

DEEPEST = 12  # steps one after the other
WIDEST = (4, 3, 2)  # proposals followed up for the first mixture, its products, and all later ones
_UNRANKED = 100.0  # place of a reagent that the list of liquids does not hold
MOST_WORK = 3_000  # pairs of components looked at, after which only the best proposal is followed up
FEWEST = 2  # plans looked for even then
_SEPARATE_FORMS = ("solid", "liquid", "gas")


def with_implied_wish(question: Question) -> Question:
    """A question that names a main part and its impurities, and no wish, asks for the main part."""
    wish = question.wish
    mains = tuple(c.substance for c in question.mixture.components if c.role == "main")
    impure = {c.substance for c in question.mixture.components if c.role == "impurity"}
    if not mains or not impure or wish.want or not impure.issuperset(wish.remove) or wish.aim != "separate":
        return question
    return replace(question, wish=replace(wish, want=mains))


class Proposal:
    """A technique that rules propose for a mixture, with what it would do.

    firings: the proposing firings, strongest first; blocked: why it cannot be used here although it would fit.
    """

    __slots__ = ("blocked", "firings", "outcome", "rank", "score", "technique")

    def __init__(
        self, technique: Technique, firings: list[Firing], outcome: Outcome, score: float, rank: float = 0.0
    ) -> None:
        self.technique = technique
        self.firings = firings
        self.outcome = outcome
        self.score = score
        self.rank = rank  # place of what is added in the list of liquids to try
        self.blocked = ""

    @property
    def order(self) -> tuple[float, float, str, float, str]:
        """What proposals are sorted by: score, trade order, id, what is added."""
        return self.score, self.technique.order, self.technique.id, self.rank, self.outcome.added


class Look:
    """What the rules say of one mixture: its facts, what was proposed, rejected, refused and not available."""

    __slots__ = ("blocked", "by_key", "components", "facts", "proposals", "refusals", "rejections")

    def __init__(self, components: tuple[Component, ...], facts: dict[str, list[Fact]]) -> None:
        self.components = components
        self.facts = facts
        self.by_key = {(kind, fact.key): fact for kind, some in facts.items() for fact in some}
        self.proposals: list[Proposal] = []
        self.rejections: dict[str, list[Firing]] = {}
        self.refusals: list[Firing] = []
        self.blocked: list[Proposal] = []

    def roles(self, firing: Firing) -> dict[str, Fact]:
        """The facts a firing bound, by role."""
        kinds = {pattern.role: pattern.kind for pattern in (*firing.rule.find, *firing.rule.matched)}
        return {
            role: fact
            for role, key in firing.roles.items()
            if (fact := self.by_key.get((kinds.get(role, ""), key))) is not None
        }


class Step(NamedTuple):
    """One step of a plan: the mixture it acts on (as looked at), the proposal followed, and its products."""

    look: Look
    proposal: Proposal
    products: tuple[Product, ...]


class Plan(NamedTuple):
    """Steps in the order they are done, the final products, and what stayed together."""

    score: float
    steps: Sequence[Step] = ()
    products: Sequence[Product] = ()
    together: Sequence[Look] = ()


class Planner:
    """Plans for the mixtures of one question."""

    def __init__(self, bench: Bench, book: Rulebook, question: Question) -> None:
        self.bench = bench
        self.book = book
        self.question = question
        self.looks: dict[tuple[Component, ...], Look] = {}  # kept by their components; may be shared by planners
        self._plans: dict[tuple[Component, ...], Plan] = {}
        self._work = 0  # pairs of components looked at while searching
        self._lacking = bench.lacking = self._closed(question.setting.without)

    def _closed(self, without: Iterable[str]) -> frozenset[str]:
        """What is lacking with everything that implies."""
        found: set[str] = set()
        todo = list(without)
        while todo:
            key = todo.pop()
            if key not in found:
                found.add(key)
                todo.extend(self.book.without.get(key, ("", ()))[1])
        return frozenset(found)

    # ---- what the rules say of one mixture -----------------------------------------------------------------------

    def look(self, components: tuple[Component, ...]) -> Look:
        """Run the rules over a mixture."""
        found = self.looks.get(components)
        if found is None:
            found = self.looks[components] = self._look(components)
        return found

    def _look(self, components: tuple[Component, ...]) -> Look:
        question = self.question
        mixture = question.mixture if set(components) == set(question.mixture.components) else Mixture(components)
        facts = {kind: list(some) for kind, some in self.bench.facts(components, mixture).items()}
        look = Look(components, facts)
        grouped: dict[tuple[object, ...], Proposal] = {}
        singles = {fact.key: fact for fact in facts["component"]}
        ranks = {solvent.id: solvent.order for solvent in self.bench.limits.solvents}
        for firing in self.book.run("selection", facts):
            technique = self.book.techniques[firing.rule.says[0]]
            roles = look.roles(firing)
            outcome = self.carried_out(technique, components, singles, roles)
            if (
                outcome is None
                or self.gives_up_wanted(outcome)
                or not self.may_meet(technique, roles, outcome, components)
            ):
                continue
            known = (
                technique.id,
                outcome.added,
                outcome.whole,
                tuple((p.part.key, p.components) for p in outcome.products),
            )
            score = self._score(technique, firing)
            if known in grouped:
                grouped[known].firings.append(firing)
                grouped[known].score = min(grouped[known].score, score)
            else:
                grouped[known] = Proposal(
                    technique, [firing], outcome, score, ranks.get(outcome.added, _UNRANKED if outcome.added else 0.0)
                )
        self._reject(look, {proposal.technique.id for proposal in grouped.values()})
        strength = self.book.ranking.strength
        for proposal in grouped.values():
            if len(proposal.firings) > 1:
                proposal.firings.sort(
                    key=lambda f: (strength[f.rule.strength], not _of_its_reagent(look, f), -_most(look, f), f.order)
                )
            proposal.blocked = self.why_blocked(proposal.technique, proposal.outcome) or self._limited(look, proposal)
            if proposal.blocked:
                look.blocked.append(proposal)
            elif proposal.technique.id not in look.rejections:
                look.proposals.append(proposal)
        look.proposals.sort(key=lambda p: p.order)
        look.blocked.sort(key=lambda p: p.order)
        return look

    def _limited(self, look: Look, proposal: Proposal) -> str:
        """What is lacking here that a rejection of this technique rests on; "" if it is rejected in itself, or not at all."""
        firings = look.rejections.get(proposal.technique.id, [])
        keys = []
        for firing in firings:
            tests = [test for pattern in firing.rule.matched if pattern.kind == "mixture" for test in pattern.tests]
            lacking = [str(test.value) for test in tests if test.slot == "without" and test.operator == "has"]
            if not lacking:
                return ""
            keys += lacking
        return "; ".join(dict.fromkeys(self.book.without[key][0] for key in keys if key in self.book.without))

    def carried_out(
        self,
        technique: Technique,
        components: tuple[Component, ...],
        singles: Mapping[str, Fact],
        roles: Mapping[str, Fact],
    ) -> Outcome | None:
        """What a technique does to a mixture with what the bench has; None if it does nothing."""
        organic = ""
        if any(change.host == "organic" for change in technique.changes):
            reagent = roles.get(technique.adds)
            organic = self._to_shake_with(components, str(reagent.slots["id"]) if reagent is not None else "")
        return carry_out(technique, components, singles, roles, self.bench.limits.water, organic)

    def _to_shake_with(self, components: tuple[Component, ...], reagent: str) -> str:
        """The first liquid of the list for shaking out with that may be used here; "" if none may."""
        bench = self.bench
        own = bench.table.substance(reagent).classes if reagent and bench.table.has(reagent) else ()
        for solvent in bench.limits.solvents:
            if "shaking out" not in solvent.use or any(word in solvent.not_with for word in own):
                continue
            if not bench.table.has(solvent.id) or solvent.id in self._lacking:
                continue
            if any(key in self._lacking for key in self._refused_by(solvent.id)):
                continue
            here = bench.table.substance(solvent.id)
            others = [bench.table.substance(c.substance) for c in components if c.substance != solvent.id]
            dangers = [bench.known.danger(here, other) for other in others]
            if not any(danger is not None and danger.severity != "caution" for danger in dangers):
                return solvent.id
        return ""

    def _reject(self, look: Look, proposed: set[str]) -> None:
        """Run the rejection stage: all of it for the question's mixture, later only what bears on a proposal."""
        whole = set(look.components) == set(self.question.mixture.components)
        for firing in self.book.run("rejection", look.facts, None if whole else proposed):
            if firing.rule.head == "refuses":
                look.refusals.append(firing)
            else:
                for slug in firing.rule.says:
                    look.rejections.setdefault(slug, []).append(firing)

    def _score(self, technique: Technique, firing: Firing) -> float:
        score = self.book.ranking.cost(technique) + self.book.ranking.strength[firing.rule.strength]
        level = self.question.setting.level
        if level:
            above = LEVELS.index(technique.level) - LEVELS.index(level)
            score += 6.0 * max(0, above)
        return score

    def why_blocked(self, technique: Technique, outcome: Outcome | None = None) -> str:
        """Why a technique cannot be used in this setting; "" if it can."""
        if technique.id in self.question.techniques.excluded:
            return f"the question rules {technique.name} out"
        for need in technique.needs:
            options = need.split(" or ")
            if all(option in self._lacking for option in options):
                meanings = [self.book.without[option][0] for option in options if option in self.book.without]
                return "; ".join(meanings) or f"no {options[0]}"
        if outcome is not None and outcome.added:
            if outcome.added in self._lacking:
                return f"no {self.bench.known.pure(outcome.added)[0]['name']}"
            for key in self._refused_by(outcome.added):
                if key in self._lacking:
                    return self.book.without[key][0]
        return ""

    def _refused_by(self, added: str) -> list[str]:
        """Keys of the setting that would rule out adding this substance."""
        keys = []
        slots = self.bench.known.pure(added)[0]
        classes = self.bench.table.substance(added).classes
        if slots["toxic_vapour"] == slots["toxic"] == "yes" and slots["phase"] in ("liquid", "gas"):
            keys.append("fume-cupboard")
        if slots["ordinary"] == "yes":
            keys.append("water")
        elif "organic" in classes and slots["phase"] == "liquid":
            keys.append("organic-solvents")
            if slots["flammable"] == "yes":
                keys.append("flammable-solvents")
            if "halogenated solvent" in classes:
                keys.append("chlorinated-solvents")
            if "yes" in (slots["toxic"], slots["carcinogenic"]):
                keys.append("toxic-solvents")
        else:
            keys.append("chemicals")
            if "acid" in classes:
                keys.append("acids")
            if "base" in classes:
                keys.append("alkalis")
        return keys

    def gives_up_wanted(self, outcome: Outcome) -> bool:
        """Whether an operation loses, or only shows, something that is wanted."""
        wish = self.question.wish
        for product in outcome.products:
            for component in product.asked:
                if component.substance in wish.want and (
                    (product.part.shown and wish.aim != "identify")
                    # what a membrane lets through is had in solution
                    or (product.part.done and not product.part.each and not product.part.state)
                ):
                    return True
                if (
                    product.part.done
                    and not product.part.each
                    and component.substance in wish.want
                    and any(other.substance not in wish.want for other in product.asked)
                ):
                    return True  # what is wanted goes with something else, and no step parts them
                if product.part.lost and (
                    component.substance in wish.want
                    # with nothing said only a liquid, or an impurity, may be given up
                    or (
                        not wish.want
                        and component.form != "liquid"
                        and component.role != "impurity"
                        and component.substance != self.bench.limits.water
                        and component.substance not in wish.remove
                    )
                ):
                    return True
        return False

    def may_meet(
        self,
        technique: Technique,
        roles: Mapping[str, Fact],
        outcome: Outcome,
        components: tuple[Component, ...],
    ) -> bool:
        """Whether what a step brings in may meet what is there: nothing dangerous, nothing that sets a danger off, and
        no reaction but the one a reagent is added for."""
        if not outcome.added:
            return True
        bench = self.bench
        reactions = bench.known.reactions
        added = bench.table.substance(outcome.added)
        groups = reactions.groups(added, technique.adds_form)
        before = bench.dangers(components)
        supplied = {trigger for trigger, group in reactions.adding.items() if group in groups}
        if any(supplied & set(held.triggers) for held in before):
            return False
        meeting = (*components, Component(added.id, technique.adds_form, added=True))
        if any(
            held.severity in ("refuse", "no-acid") and added.id in _substances(held.between)
            for held in bench.dangers(meeting)
        ):
            return False
        going_on = {held.number for held in before if held.now}
        meant = self._meant(technique, roles)
        for held in bench.dangers(outcome.whole):
            ids = _substances(held.between)
            if added.id not in ids:
                starts = held.now and held.number not in going_on
                if starts and (held.severity in ("refuse", "reacts") or held.row.reaction):
                    return False  # the liquid added sets it off
                continue
            unmeant = meant is None or bool(meant and not ids & meant)
            if held.severity == "reacts" and unmeant:
                return False
        return True

    @staticmethod
    def _meant(technique: Technique, roles: Mapping[str, Fact]) -> set[str] | None:
        """The components (ids) a reagent is added to react with, empty if any; None if nothing is to react."""
        if "adds reagent" not in technique.traits:
            return None
        fact = roles.get(technique.adds)
        found = (fact.slots.get("dissolves") or fact.slots.get("takes") or ()) if fact is not None else ()
        return _substances(found) if isinstance(found, tuple) else set()

    # ---- the search ----------------------------------------------------------------------------------------------

    def finished(self, components: tuple[Component, ...]) -> bool:
        """Whether a product needs nothing more: it is one substance by itself, or the wish is met without it."""
        wish = self.question.wish
        asked = [c for c in components if not c.added and not c.trace]
        if not asked:
            return True
        present = {c.substance for c in asked}
        ions = all(self._is_ion(c) for c in asked if c.form != "liquid")
        # what a reagent leaves in the solution of an ion only stands for its ions of the other charge
        others = [c for c in components if c.added and not c.trace and not (ions and c.reacted)]
        if wish.remove and not wish.want:
            lesser = {c.substance for c in asked if c.role == "impurity"}  # goes out with what is to be removed
            return not (present & set(wish.remove)) or present <= lesser.union(wish.remove)
        if wish.want:
            wanted = present & set(wish.want)
            if not wanted:
                return True
            if wish.form == "clear" and not others and all(c.form in ("dissolved", "liquid") for c in asked):
                return True  # clear water may hold dissolved salts
            rest = [c for c in asked if c.substance not in wish.want]
            colloids = [c for c in asked if c.substance in wanted and self._stays_in_its_liquid(c)]
            if colloids and {c.substance for c in rest} <= {c.host for c in colloids} and not others:
                return len(wanted) == 1
            if rest:
                return False
            if len(wanted) > 1:
                return wish.form in ("solution", "liquid", "drink", "clear") and not others
        elif len(present) > 1:
            if not others and any(present <= group for group in self.question.mixture.as_one):
                return True
            hosts = {c.host for c in asked if self._stays_in_its_liquid(c)}
            guests = [c for c in asked if c.substance not in hosts]
            return len(hosts) == 1 and len(guests) == 1 and not others and self._stays_in_its_liquid(guests[0])
        if others:
            return False
        return all(c.form in _SEPARATE_FORMS and (ions or not c.reacted) for c in asked)

    def _is_ion(self, component: Component) -> bool:
        return self.bench.table.substance(component.substance).kind == "ion"

    def _stays_in_its_liquid(self, component: Component) -> bool:
        """Whether a component is a product while still in its liquid: a sol, or a large molecule in solution."""
        slots = self.bench.known.pure(component.substance)[0]
        classes = self.bench.table.substance(component.substance).classes
        if component.trace or any(word in self.bench.limits.dirt for word in classes):
            return False
        stays = slots["molecule_size"] == "large" or self._is_ion(component)
        return component.form == "colloidal" or (component.form == "dissolved" and stays)

    def solve(
        self, components: tuple[Component, ...], depth: int = 0, path: frozenset[tuple[Component, ...]] = frozenset()
    ) -> Plan:
        """The best plan for a mixture."""
        if self.finished(components):
            return Plan(0.0)
        known = self._plans.get(components)
        if known is not None:
            return known
        if depth >= DEEPEST or components in path:
            return self._given_up(components)
        look = self.look(components)
        self._work += len(components) ** 2
        best: Plan | None = None
        inside = path | {components}
        for proposal in _different(look.proposals, WIDEST[min(depth, 2)]):
            if best is not None and self._work > MOST_WORK:
                break
            plan = self.follow(look, proposal, depth, inside, best.score + 1e-6 if best is not None else float("inf"))
            if plan is not None and (best is None or _before(plan, best)):
                best = plan
        given_up = self._given_up(components)
        if best is None or given_up.score <= best.score:
            best = given_up
        if not path or not best.together or self._work > MOST_WORK:
            self._plans[components] = best
        return best

    def follow(
        self,
        look: Look,
        proposal: Proposal,
        depth: int,
        path: frozenset[tuple[Component, ...]],
        bound: float = float("inf"),
    ) -> Plan | None:
        """The best plan that begins with a proposal; None if its score is not below the bound."""
        score = proposal.score
        step = Step(look, proposal, proposal.outcome.products)
        if not proposal.outcome.products:
            after = self.solve(proposal.outcome.whole, depth + 1, path)
            if not after.steps:
                return None  # a change that leads nowhere is no step
            return Plan(score + after.score, [step, *after.steps], after.products, after.together)
        parts: list[tuple[Product, Plan]] = []
        for product in proposal.outcome.products:
            if product.part.lost or product.part.done or product.part.shown:
                parts.append((product, Plan(0.0)))
                continue
            plan = self.solve(product.components, depth + 1, path)
            score += plan.score
            if score >= bound:
                return None
            parts.append((product, plan))
        steps = [step]
        products: list[Product] = []
        together: list[Look] = []
        # what needs fewest further steps is finished first
        for product, plan in sorted(parts, key=lambda item: len(item[1].steps)):
            steps.extend(plan.steps)
            products.extend(plan.products if plan.steps else [product])
            together.extend(plan.together)
        return Plan(score, steps, products, together)

    def _given_up(self, components: tuple[Component, ...]) -> Plan:
        """The plan that leaves a mixture as it is."""
        asked = {c.substance for c in components if not c.added and not c.trace}
        if len(asked) > 1:
            score = self.book.ranking.left_together * (len(asked) - 1)
            return Plan(score, together=[self.look(components)])
        # one thing by itself in what was added: a salt held by a reagent counts less than one never taken out, and a gas
        # that a liquid has taken up is where it is kept
        gases = [c for c in components if c.host and self.bench.known.pure(c.substance)[0]["phase"] == "gas"]
        share = 16 if gases else 8 if any(c.reacted for c in components) else 4
        return Plan(self.book.ranking.left_together / share)

    def start(self) -> tuple[Component, ...]:
        """The question's components in an order that does not depend on how they were named."""
        return tidy(self.question.mixture.components)

    def plans(self) -> list[tuple[Proposal, Plan]]:
        """Every proposal for the whole mixture with the best plan beginning with it, best first."""
        start = self.start()
        look = self.look(start)
        out: list[tuple[Proposal, Plan]] = []
        for proposal in look.proposals:
            if self._work > MOST_WORK and len(out) >= FEWEST:
                break  # a very large mixture: the first choices of the rules have been followed to the end
            plan = self.follow(look, proposal, 1, frozenset({start}))
            if plan is not None:
                out.append((proposal, plan))
        out.sort(key=lambda item: (round(item[1].score, 6), *item[0].order[1:]))
        return self._among_those_named(out)

    def _among_those_named(self, plans: list[tuple[Proposal, Plan]]) -> list[tuple[Proposal, Plan]]:
        """Only the plans that use what the question offers to choose from, or requires; all of them if none does."""
        named = self.question.techniques
        offered = {slug for option in named.offered for slug in option.techniques}

        def used(plan: Plan) -> set[str]:
            return {step.proposal.technique.id for step in plan.steps}

        if named.required:
            plans = [item for item in plans if used(item[1]) >= set(named.required)] or plans
        if offered:
            plans = [item for item in plans if used(item[1]) & offered] or plans
        return plans


def _substances(keys: Iterable[str]) -> set[str]:
    """Ids of the substances of component keys."""
    return {key.split("|")[0].rstrip("+") for key in keys}


def _most(look: Look, firing: Firing) -> float:
    """The largest share given of a component that a firing speaks of and that holds no other."""
    shares = [
        share
        for fact in look.roles(firing).values()
        if fact.kind == "component"
        and fact.slots["carrier"] == "no"
        and isinstance(share := fact.slots["share"], float)
    ]
    return max(shares, default=0.0)


def _of_its_reagent(look: Look, firing: Firing) -> bool:
    """Whether a firing that brings in a reagent or solvent speaks of something that this takes and of something it leaves."""
    facts = look.roles(firing).values()
    keys = {fact.key for fact in facts if fact.kind == "component"}
    lists = [(fact.slots[slot] or ()) for fact in facts for slot in ("dissolves", "leaves") if slot in fact.slots]
    return all(isinstance(listed, tuple) and (not listed or keys & set(listed)) for listed in lists)


def sound(plan: Plan, best: Plan, want: Sequence[str]) -> bool:
    """Whether a plan is a real alternative to the best one: it yields as much of what is wanted in the form it was in, and
    is not the best plan with more steps about it. want: ids of what is wanted, empty for all."""
    slugs = [step.proposal.technique.id for step in plan.steps]
    wanted = [ident for ident in _had(best) if not want or ident in want]
    if not _had(plan).issuperset(wanted):
        return False
    rest = iter(slugs)
    inside = all(step.proposal.technique.id in rest for step in best.steps)
    return not inside or len(slugs) <= len(best.steps)


def _had(plan: Plan) -> set[str]:
    """Ids of what a plan yields as it was, and not in something that was added."""
    found: set[str] = set()
    for product in plan.products:
        part = product.part
        added = any(c.added and not c.trace for c in product.components)
        if part.lost or (added and not part.done and not part.shown):
            continue
        found.update(c.substance for c in product.asked if not c.reacted)
    return found


def _before(plan: Plan, best: Plan) -> bool:
    """Whether a plan is better: a lower score, or the same with a first step that the trade does earlier."""
    if abs(plan.score - best.score) > 1e-9 or not plan.steps or not best.steps:
        return plan.score < best.score - 1e-9
    return plan.steps[0].proposal.technique.order < best.steps[0].proposal.technique.order


def _different(proposals: Iterable[Proposal], most: int) -> list[Proposal]:
    """The first few proposals, without those that do the same as an earlier one with another liquid or reagent."""
    found: dict[tuple[object, ...], Proposal] = {}
    for proposal in proposals:
        added = proposal.outcome.added
        products = tuple((p.part.key, _shape(p.components, added)) for p in proposal.outcome.products)
        found.setdefault((proposal.technique.id, _shape(proposal.outcome.whole, added), products), proposal)
        if len(found) == most:
            break
    return list(found.values())


def _shape(components: Iterable[Component], added: str) -> tuple[tuple[str, str, bool], ...]:
    """What is in which form, leaving out what a step added."""
    return tuple([(c.substance, c.form, c.trace) for c in components if c.substance != added])
