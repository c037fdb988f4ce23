"""An answer replayed: its steps carried out one after the other on whatever is there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from choosemethod.advice.plan import Look
from choosemethod.judging.case import Case
from choosemethod.judging.ends import Ends
from choosemethod.judging.failing import Failing
from choosemethod.judging.steps import RIGHT, Components, Given, Meant, Replay, State, Taken, place_of
from choosemethod.judging.ways import Ways

__all__ = ["Walk"]


class Walk:
    """Replays answers to one question."""

    def __init__(self, case: Case, ways: Ways, ends: Ends, failing: Failing) -> None:
        self.case, self.ways, self.ends, self.failing = case, ways, ends, failing

    def replay(self, given: Sequence[Given]) -> Replay:
        replay = Replay(given, int(self.case.rules.margins["tries"]))
        self._walk(replay, 0, State((self.case.start,)))
        if not replay.ends:
            replay.failed = replay.danger or replay.failed or (0, State((self.case.start,)))
        return replay

    def _walk(self, replay: Replay, place: int, state: State) -> None:
        """Go on with the answer's step at `place`; ends and failures are kept in the replay."""
        if replay.tries <= 0 or any(end.rank == RIGHT for end in replay.ends):
            return
        key = (
            place,
            tuple(place_of(c) for c in state.open),
            tuple((t.technique, t.note) for t in state.taken),
            state.named,
            state.extra,
        )
        if key in replay.seen:
            return
        replay.seen.add(key)
        replay.tries -= 1
        if place == len(replay.given):
            replay.ends.append(self.ends.end(state, tuple(add for step in replay.given for add in step.adds)))
            return
        adds = replay.given[place].adds
        if adds and any(self.failing.meets(self.case.planner.look(c), adds) for c in (*state.open, *state.done)):
            replay.danger = replay.danger or (place, state)
            return  # whatever else it may be, this must not be done
        before = len(replay.ends)
        moved = False
        for after, length in self._moves(replay, place, state):
            moved = True
            self._walk(replay, place + length, after)
        if not moved and len(replay.ends) == before and (replay.failed is None or replay.failed[0] < place):
            replay.failed = (place, state)

    def _moves(self, replay: Replay, place: int, state: State) -> Iterator[tuple[State, int]]:
        """Every state the answer's step at `place` can lead to, with how many steps of the answer that takes."""
        given = replay.given
        step = given[place]
        said = step.slugs[0]
        for slug, spelled in self.case.rules.spelled:
            part = given[place : place + len(spelled)]
            if len(part) == len(spelled) and all(one in other.slugs for one, other in zip(spelled, part, strict=True)):
                whole = Given((slug,), (), tuple(add for other in part for add in other.adds), step.words)
                for after in self._applied(state, whole, "counts as" if slug != said else ""):
                    yield after, len(spelled)
                for after in self._after_instead(state, whole):
                    yield after, len(spelled)
        note = self._free(given, place, state)
        proposed = {p.technique.id for c in state.open for p in self.case.planner.look(c).proposals}
        if note == "helper step" and not proposed & set(step.slugs):
            yield replace(state, taken=(*state.taken, Taken(said, said, note))), 1
        for after in self._applied(state, step, "", len(given) == 1):
            yield after, 1
        for after in self._after_unsaid(state, step, len(given) == 1):
            yield after, 1
        for after in self._after_instead(state, step):
            yield after, 1
        if note:
            taken = Taken(said, said, note)
            extra = state.extra or note == "not needed"
            yield replace(state, taken=(*state.taken, taken), extra=extra), 1

    def _applied(self, state: State, step: Given, note: str = "", alone: bool = False) -> Iterator[State]:
        """The step carried out on each product it can be carried out on, those still to be worked on first."""
        for where, components in [*((True, c) for c in state.open), *((False, c) for c in state.done)]:
            if not where and sum(not c.trace for c in components) < 2:
                continue
            look = self.case.planner.look(components)
            for meant in self.ways.ways_of(look, step, alone):
                how = note or ("counts as" if meant.proposal.technique.id != meant.slug else "")
                rule = meant.proposal.firings[0].rule.id
                taken = Taken(step.slugs[0], meant.proposal.technique.id, how, rule, len(step.slugs) > 1)
                yield self._after(state, look, components, meant, taken)

    def _after(self, state: State, look: Look, acted_on: Components, meant: Meant, taken: Taken) -> State:
        proposal, outcome = meant.proposal, meant.proposal.outcome
        fresh = [p.components for p in outcome.products if not (p.part.lost or p.part.done or p.part.shown)]
        if not outcome.products:
            fresh = [outcome.whole]
        # what parts nothing (dissolving) keeps its product open
        finished = [c for c in fresh if outcome.products and self.case.planner.finished(c)]
        still = [c for c in fresh if c not in finished]
        remaining = [c for c in state.open if c != acted_on]
        return State(
            tuple(sorted([*remaining, *still], key=place_of)),
            tuple(sorted([*(c for c in state.done if c != acted_on), *finished], key=place_of)),
            state.score + proposal.score,
            (*state.taken, taken),
            (*state.acted, (look, proposal)),
            state.extra or meant.weaker,
            state.named and meant.named,
        )

    def _after_unsaid(self, state: State, step: Given, alone: bool, depth: int = 2) -> Iterator[State]:
        """The step carried out after one or two that common practice leaves unsaid. alone: nothing else is said."""
        for implied in self.case.rules.implied:
            said_here = [said for said in step.slugs if said in implied.before]
            if alone > implied.alone or not said_here:
                continue
            if implied.after and not any(t.said in implied.after or t.technique in implied.after for t in state.taken):
                continue
            for components in state.open:
                look = self.case.planner.look(components)
                later = tuple(s for s in said_here if not any(s == p.technique.id for p in look.proposals))
                if not later:
                    continue  # it can be done as it is
                meant_step = replace(step, slugs=later)
                unsaid = self.ways.ways_of(look, Given((implied.step,), (), step.adds), True)
                if step.adds and not unsaid:  # what is said to be brought in belongs to the later step
                    unsaid = self.ways.ways_of(look, Given((implied.step,)), True)
                for meant in unsaid:
                    proposal = meant.proposal
                    taken = Taken("", proposal.technique.id, "left unsaid", proposal.firings[0].rule.id)
                    middle = self._after(state, look, components, meant, taken)
                    if not middle.open:
                        last = Taken(step.slugs[0], step.slugs[0], "not needed")
                        yield replace(middle, taken=(*middle.taken, last), extra=True)
                    yield from self._applied(middle, meant_step)
                    if depth > 1:
                        yield from self._after_unsaid(middle, meant_step, alone, depth - 1)

    def _after_instead(self, state: State, step: Given) -> Iterator[State]:
        """The step carried out as the sequence of others whose work it does, where it cannot be carried out itself."""
        for instead in self.case.rules.instead:
            if instead.said not in step.slugs or self.case.blocked(instead.said):
                continue
            for components in state.open:
                look = self.case.planner.look(components)
                if any(p.technique.id == instead.said for p in look.proposals) or self.case.dangerous(
                    look, instead.said
                ):
                    continue
                facts = [fact for fact in look.facts["component"] if fact.slots["added"] == "no"]
                rises = [fact.slots.get("solubility_rise") for fact in facts]
                if not self.case.has(instead.some, facts) or not any(
                    isinstance(rise, float) and rise >= instead.rises for rise in (rises if instead.rises else [1.0])
                ):
                    continue
                states = [replace(state, extra=True)]
                for slug in instead.steps:
                    one = Given((slug,), (), (), step.words)
                    states = [
                        replace(after, taken=(*after.taken[:-1], replace(after.taken[-1], said=step.slugs[0])))
                        for before in states
                        for after in self._applied(before, one, "counts as", True)
                    ][: int(self.case.rules.margins["choice"])]
                yield from states

    def _free(self, given: Sequence[Given], place: int, state: State) -> str:
        """Why a step may pass without doing anything: "helper step", "not needed", or "" if it may not."""
        step = given[place]
        rules = self.case.rules
        reagent = len(step.slugs) > 1 and not all(
            add[1:] == "organic" or (add[0] != "*" and any(self.case.is_sort(add, s) for s in ("ordinary", "organic")))
            for add in step.adds
        )  # it does something
        if any(slug in rules.anywhere for slug in step.slugs) and len(given) > 1:
            return "helper step"
        for slug in step.slugs:
            if any(
                slug in rules.includes.get(earlier, ())
                for taken in state.taken
                for earlier in (taken.said, taken.technique)
            ):
                return "helper step"
            following = given[place + 1 :] if not reagent else ()
            ready = rules.before.get(slug, ())
            for later in following:
                if any(other in ready for other in later.slugs):
                    return "helper step"
                if not any(set(rules.before.get(other, ())) for other in later.slugs):
                    break  # only other helper steps may stand between
        if state.taken and not state.open:
            return "not needed"
        return ""
