"""What an answer reached: how it compares with the best plan, and what is left."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from choosemethod.advice.plan import Look, Plan, Proposal
from choosemethod.advice.wording import joined, sentence
from choosemethod.judging.case import Case
from choosemethod.judging.steps import ACCEPTABLE, INCOMPLETE, RIGHT, WRONG, Components, End, Given, Judgement, State
from choosemethod.judging.ways import Ways

__all__ = ["Ends"]

_NAMED = ("right", "acceptable", "incomplete", "wrong")


class Ends:
    """Weighs what replays of answers to one question reach."""

    def __init__(self, case: Case, ways: Ways) -> None:
        self.case, self.ways = case, ways

    def end(self, state: State, adds: Sequence[str] = ()) -> End:
        """What a replay reached; adds: ids of what the answer says is brought in."""
        total = state.score
        left: list[tuple[Components, Plan]] = []
        said = [slug for taken in state.taken for slug in (taken.said, taken.technique)]
        # "shake with alkali" names no technique, so nothing that the name of one would cover is said with it
        loose = {taken.technique for taken in state.taken if taken.described}
        named = {slug for slug in said if slug not in loose}
        stuck = 0
        for components in state.open:
            plan = self.case.planner.solve(components)
            total += plan.score
            if self._as_named(components):
                continue
            stuck += len(plan.together)
            if not self._recovered(components, plan, said, named, adds):
                left.append((components, plan))
        best = self.case.plan.score if self.case.plan is not None else float("inf")
        allowed = len(self.case.plan.together) if self.case.plan is not None else 0
        acted = any(taken.note in ("", "counts as") for taken in state.taken)
        if not acted or stuck > allowed:
            rank = WRONG
        elif not left:
            rank = RIGHT if total <= best + self.case.rules.margins["nearly"] and not state.extra else ACCEPTABLE
            if rank == ACCEPTABLE and not state.extra and self._gets_more(state):
                rank = RIGHT
            if not state.named:
                rank = INCOMPLETE
        else:
            rank = INCOMPLETE if total <= best + self.case.rules.margins["detour"] else WRONG
        owing = () if sum(t.described for t in state.taken) > 1 else self._owing(state, named, loose)
        return End(max(rank, INCOMPLETE) if owing else rank, total, state, tuple(left), owing)

    def _owing(self, state: State, named: Collection[str], loose: Collection[str]) -> tuple[str, ...]:
        """Steps of which one has to be said, for a technique that is only described (once) and gives something wanted."""
        wanted = self.case.composer.question.wish.want
        for _, proposal in state.acted:
            part, steps = self.case.rules.owes.get(proposal.technique.id, ("", ()))
            got = {c.substance for p in proposal.outcome.products if p.part.key == part for c in p.asked}
            if got and proposal.technique.id in loose and not set(steps) & set(named) and (not wanted or got & set(wanted)):
                return steps
        return ()

    def _gets_more(self, state: State) -> bool:
        """Whether an answer recovers all that the best plan does, and something that plan lets go."""

        def lost(proposals: Sequence[Proposal]) -> set[str]:
            lost = [p for one in proposals for p in one.outcome.products if p.part.lost]
            return {c.substance for product in lost for c in product.components if not c.trace and not c.added}

        return self.case.plan is not None and lost([p for _, p in state.acted]) < lost(
            [s.proposal for s in self.case.plan.steps]
        )

    def _as_named(self, components: Components) -> bool:
        """Whether a product may stay as it is: a thing the question names, or a liquid in which only the finest dirt floats."""
        wanted = set(self.case.composer.question.wish.want)
        asked = [c for c in components if not c.added and not c.trace]
        there = {c.substance for c in asked}
        if len(asked) < len([c for c in components if not c.trace]):
            return False
        hosts = {c.host for c in self.case.start if c.substance in there and c.host}
        if not wanted & there and hosts <= there and any(there <= thing for thing in self.case.things):
            return True
        dust = {c.substance for c in self.case.start if c.form == "airborne"}
        if there <= dust and not there & wanted:
            return True  # what is caught out of a gas together
        fine = {c.substance for c in asked if c.form == "colloidal" and self._is_dirt(c.substance)}
        return bool(fine) and len(there - fine) == 1 and not fine & wanted

    def _is_dirt(self, substance: str) -> bool:
        """Whether a substance is of the dirt of natural water (mud, clay)."""
        return bool(self.case.classes(substance) & set(self.case.planner.bench.limits.dirt))

    def _is_gas(self, substance: str) -> bool:
        return self.case.composer.table.substance(substance).phase == "gas"

    def _recovered(
        self, components: Components, plan: Plan, said: Sequence[str], named: Collection[str], adds: Sequence[str]
    ) -> bool:
        """Whether what is left to do with a product is free at the end of an answer. named: techniques said by name."""
        if not plan.steps:
            return True  # nothing more can be done with it, or it stays together in the best plan too
        held = [c for c in components if not c.added and not c.trace]
        wanted = self.case.composer.question.wish.want
        if len({c.substance for c in held}) == 1 and all(c.reacted and c.substance not in wanted for c in held):
            return True  # what a reagent took away is not usually asked for again
        if len(wanted) == 1 and len(held) > 1 and wanted[0] in {c.substance for c in held}:
            kin = [self.case.classes(c.substance) & set(self.case.rules.kin) for c in held]
            if set.intersection(*kin):
                return True  # one of a kind was asked for, and the whole kind was got
        dry = self.case.composer.question.wish.form == "dry"
        if len(held) == 1 and self._is_gas(held[0].substance) and not (dry and held[0].substance in wanted):
            return True  # nor is a gas that a liquid or a solid took up
        covered = {slug for one in named for slug in self.case.rules.includes.get(one, ())}
        again = [slug for slug in said[-1:] if slug in self.case.rules.repeated]
        for step in plan.steps:
            slug = step.proposal.technique.id
            now = step.look.components
            alone = len({c.substance for c in now if not c.added and not c.trace}) == 1
            repeats = slug in again and (not adds or self.ways.brings(step.look, step.proposal, adds))
            if slug in self.case.rules.anywhere or slug in covered or repeats or (alone and slug in said):
                continue
            liquids = [c for c in now if c.form == "liquid" and not c.trace]
            drives_off = slug in self.case.rules.drives_off and liquids and all(c.added for c in liquids)
            if alone and drives_off and not any(self.case.is_sort(c.substance, "ordinary") for c in liquids):
                continue
            return False
        return True

    def reached(self, end: End, given: Sequence[Given]) -> Judgement:
        state = end.state
        verdict = _NAMED[end.rank]
        rule, source, reason = "", "", ""
        main = self._deciding(state)
        if main is not None:
            look, proposal = main
            reason = next(iter(self.case.composer.reasons(look, proposal.firings[:1])), "")
            rule, source = proposal.firings[0].rule.id, proposal.firings[0].rule.source
        steps = state.taken
        if end.rank == RIGHT:
            return Judgement(verdict, reason, rule, source, steps=steps)
        if end.rank == ACCEPTABLE:
            why = self._dearer(state)
            return Judgement(verdict, f"{reason}{why}".strip(), rule, source, steps=steps)
        if not state.named and not end.left:
            kind = self.case.name(state.acted[-1][1].technique.id)
            return Judgement(verdict, f"The kind has to be named: {kind}. {reason}".strip(), rule, source, steps=steps)
        if end.owing and not end.left:
            text = f"A right beginning, but not the whole answer. Still to do: {self.case.name(end.owing[0])}. {reason}"
            return Judgement(verdict, text.strip(), rule, source, steps=steps, left=end.owing[:1])
        needed = tuple(dict.fromkeys(s.proposal.technique.id for _, plan in end.left for s in plan.steps))
        together = self._together(end)
        if end.rank == INCOMPLETE:
            first = end.left[0][1].steps[0]
            why = next(iter(self.case.composer.reasons(first.look, first.proposal.firings[:1])), "")
            text = f"A right beginning, but not the whole answer: {together}. Still to do: {self.case.names(needed)}. {why}"
            firing = first.proposal.firings[0]
            return Judgement(verdict, text.strip(), firing.rule.id, firing.rule.source, steps=steps, left=needed)
        said = self.case.names([step.slugs[0] for step in given])
        text = f"After {said} {together}"
        text += f", and what would still be needed ({self.case.names(needed)}) is a long way round." if needed else "."
        return Judgement(verdict, sentence(text), rule, source, steps=steps, left=needed, rejects=given[0].slugs[0])

    def _deciding(self, state: State) -> tuple[Look, Proposal] | None:
        """The step that first parts something, else the first."""
        parting = [one for one in state.acted if one[1].outcome.products]
        return next(iter(parting or state.acted), None)

    def _together(self, end: End) -> str:
        """What an answer leaves mixed, in words."""
        out = []
        for components, _ in end.left or tuple((c, Plan(0.0)) for c in end.state.open):
            names = [self.case.composer.name(c.substance) for c in components if not c.trace]
            verb = "is left as it was" if len(set(names)) == 1 else "are still together"
            out.append(f"{joined(names)} {verb}")
        return "; ".join(dict.fromkeys(out)) or "nothing has been separated"

    def _dearer(self, state: State) -> str:
        """Why an acceptable answer is not the best."""
        mine = [proposal.technique for _, proposal in state.acted]
        used = tuple(dict.fromkeys(technique.id for technique in mine))
        if not self.case.best or used == self.case.best:
            return ""
        theirs = [self.case.book.techniques[slug] for slug in self.case.best]
        more = [
            f"more {word}"
            for index, word in enumerate(("work", "time", "danger", "loss"))
            if sum(t.cost[index] for t in mine) > sum(t.cost[index] for t in theirs)
        ]
        return f" The first choice is {self.case.names(self.case.best)}" + (
            f" (this means {joined(more)})." if more else "."
        )
