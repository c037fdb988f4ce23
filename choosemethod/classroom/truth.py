"""What is true of a mixture to ask about: what serves, what is wrong and why, by the same rules that give advice."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations

from choosemethod.advice.answer import PlanStep
from choosemethod.advice.ask import opened
from choosemethod.advice.compose import Composer
from choosemethod.advice.plan import Look, Plan, Proposal
from choosemethod.classroom.materials import materials
from choosemethod.facts import Fact
from choosemethod.judging.replay import Judge, Judgement
from choosemethod.mixture import Component, Question
from choosemethod.places import user_files
from choosemethod.reading import given_substances, read_words
from choosemethod.rulebook import Rulebook
from choosemethod.rulebook.engine import Firing
from choosemethod.rulebook.technique import Technique
from choosemethod.table.table import Table

__all__ = ["Truth", "Wrong", "truth_of"]

_SENTENCE = re.compile(r"([.?!] )([a-z])")
_MOST_ORDERED = 5  # steps whose every order is tried


@dataclass(frozen=True, slots=True)
class Wrong:
    """A technique that is wrong for the mixture: the reason a rule gives, the rule's id and its source key."""

    technique: Technique
    reason: str
    rule: str
    source: str


class Truth:
    """A mixture worked out: its proposals and plans, its rejections, and what a marker would call wrong.

    words: as asked; want: names asked for; done: the plans that leave nothing together, best first.
    """

    def __init__(self, words: str, want: tuple[str, ...] = (), question: Question | None = None) -> None:
        table, book = opened()
        self.words = words
        self.want = want
        self.question = question or read_words(words, table, want=want)
        given = given_substances(self.question)
        self.table: Table = table.with_given(given) if given else table
        self.book: Rulebook = book
        self.composer = Composer(self.table, book, self.question)
        self.planner = self.composer.planner
        self.known = not self.question.unknown and bool(self.question.mixture.components)
        self.look: Look | None = None
        self._judge: Judge | None = None
        self._judgements: dict[tuple[str, ...], Judgement] = {}
        self._wrong: dict[str, Wrong] | None = None
        self.plans: list[tuple[Proposal, Plan]] = []
        if self.known:
            self.look = self.planner.look(self.planner.start())
            if not self.look.refusals:
                self.plans = self.planner.plans()
        self.done = [item for item in self.plans if not item[1].together]

    @property
    def settled(self) -> bool:
        """Whether a whole plan is known, so that a question has an answer."""
        return bool(self.done)

    @property
    def best(self) -> Plan:
        """The best plan; IndexError if there is none."""
        return (self.done or self.plans)[0][1]

    @property
    def first(self) -> Proposal:
        """The first step of the best plan; IndexError if there is none."""
        return (self.done or self.plans)[0][0]

    def prefer(self, plan: Plan) -> None:
        """Take another of the plans as the best from now on."""
        for listed in (self.done, self.plans):
            listed.sort(key=lambda item: item[1] is not plan)

    def slugs(self, plan: Plan | None = None) -> tuple[str, ...]:
        """The techniques of a plan (the best one), in order."""
        return tuple(step.proposal.technique.id for step in (plan or self.best).steps)

    def reason(self, proposal: Proposal) -> str:
        """Why a proposal for the whole mixture fits, in the words of its strongest rule."""
        assert self.look is not None
        same = [firing for firing in proposal.firings if firing.rule.id == proposal.firings[0].rule.id]
        return self._told(same)

    def _told(self, firings: Sequence[Firing]) -> str:
        """The reason of the one firing, among those of a rule, that is about what matters most in the mixture."""
        look = self.look
        assert look is not None

        def weight(firing: Firing) -> tuple[int, int, float]:
            facts = [fact.slots for fact in look.roles(firing).values() if fact.kind == "component"]
            shares = [
                share for slots in facts if isinstance(share := slots["share"], float) and slots["form"] != "liquid"
            ]
            return (
                -any(slots["asked_for"] == "yes" for slots in facts),
                -any(slots["role"] == "main" for slots in facts),
                -max(shares, default=0.0),
            )

        found = self.composer.reasons(look, [min(firings, key=weight)])
        return _SENTENCE.sub(lambda match: match[1] + match[2].upper(), found[0]) if found else ""

    def steps(self, plan: Plan | None = None) -> tuple[PlanStep, ...]:
        """The steps of a plan (the best one) with their texts."""
        return self.composer.plan_steps(plan or self.best)

    def serving(self) -> set[str]:
        """Every technique that serves at the start or in any plan, complete or not, or would if it were available."""
        if self.look is None:
            return set()
        found = {p.technique.id for p in (*self.look.proposals, *self.look.blocked)}
        for _, plan in self.plans:
            found.update(self.slugs(plan))
        return found

    def wrong(self) -> dict[str, Wrong]:
        """Techniques that a marker would call wrong, by slug.

        No rule proposes them at the start or in any plan, nor anything akin to them; a rule rejects them, and not only
        by degree. Whether the judge agrees is asked for those that are used: see `judged_wrong`.
        """
        if self._wrong is None:
            self._wrong = self._find_wrong()
        return self._wrong

    def judged_wrong(self, slug: str) -> bool:
        """Whether the judge of answers calls the technique, as the whole answer, wrong or unsafe."""
        return self._judgement((slug,)).verdict in ("wrong", "unsafe")

    def _judgement(self, slugs: tuple[str, ...]) -> Judgement:
        if self._judge is None:
            self._judge = Judge(self.composer)
        found = self._judgements.get(slugs)
        if found is None:
            found = self._judgements[slugs] = self._judge.judge(slugs)
        return found

    def _find_wrong(self) -> dict[str, Wrong]:
        if self.look is None:
            return {}
        loose = materials().degree
        spared = self._spared()
        found = {}
        for slug, firings in sorted(self.look.rejections.items()):
            if slug in spared or slug not in self.book.techniques:
                continue
            sharp = [firing for firing in firings if firing.rule.id not in loose]
            if sharp:
                rule = sharp[0].rule
                told = self._told([firing for firing in sharp if firing.rule.id == rule.id])
                found[slug] = Wrong(self.book.techniques[slug], told, rule.id, rule.source)
        return found

    def _spared(self) -> set[str]:
        """What is never called wrong: what serves, what is akin to it or goes with it, and what is disputed."""
        assert self.look is not None
        data = materials()
        serving = self.serving()
        spared = set(serving)
        for group in data.kin:
            if serving.intersection(group):
                spared.update(group)
        fits = {p.technique.id for p in self.look.proposals if p.firings[0].rule.strength in ("best", "good")}
        for slug in sorted(fits.union(self.slugs() if self.plans else ())):
            spared.update(data.companions.get(slug, ()))
        for fact in self.components():
            spared.update(data.disputed.get(str(fact.slots["substance"]), ()))
        return spared

    def components(self) -> list[Fact]:
        """The component facts of the mixture, traces left out."""
        if self.look is None:
            return []
        return [fact for fact in self.look.facts["component"] if fact.slots["trace"] == "no"]

    # ---- orders of steps -----------------------------------------------------------------------------------------

    def works(self, slugs: tuple[str, ...]) -> bool:
        """Whether techniques done in this order, each on a mixture that is then at hand, separate everything."""
        return self._works((self.planner.start(),), slugs)

    def _works(self, pending: tuple[tuple[Component, ...], ...], slugs: tuple[str, ...]) -> bool:
        open_ones = tuple(mixture for mixture in pending if not self.planner.finished(mixture))
        if not slugs:
            return not open_ones
        for index, mixture in enumerate(open_ones):
            rest = open_ones[:index] + open_ones[index + 1 :]
            for proposal in self.planner.look(mixture).proposals:
                if proposal.technique.id != slugs[0]:
                    continue
                outcome = proposal.outcome
                after = tuple(
                    product.components
                    for product in outcome.products
                    if not (product.part.lost or product.part.done or product.part.shown)
                )
                if not outcome.products:
                    after = (outcome.whole,)
                if self._works((*rest, *after), slugs[1:]):
                    return True
        return False

    def orders(self) -> tuple[tuple[str, ...], ...]:
        """Every order of the best plan's techniques that works, its own first; empty if that is not sure."""
        own = self.slugs()
        if len(own) > _MOST_ORDERED or len(set(own)) < len(own) or not self.works(own):
            return ()
        found = [order for order in permutations(own) if self.works(order)]
        if any((order in found) != self._judged_right(order) for order in permutations(own)):
            return ()  # replaying and judging do not agree: which orders a marker would accept is not sure
        return (own, *[order for order in found if order != own])

    def _judged_right(self, order: tuple[str, ...]) -> bool:
        """Whether the judge lets the order pass with every step taken for what it is, and none added or left over."""
        found = self._judgement(order)
        loose = any(taken.note in ("left unsaid", "not needed", "counts as") for taken in found.steps)
        return found.verdict in ("right", "acceptable") and not loose


_KEPT: dict[tuple[object, ...], Truth] = {}
_MOST_KEPT = 400


def truth_of(words: str, want: tuple[str, ...] = ()) -> Truth:
    """What is true of a mixture in words; worked out once a process for the same table files."""
    key = (words, want, user_files())
    found = _KEPT.get(key)
    if found is None:
        if len(_KEPT) >= _MOST_KEPT:
            _KEPT.pop(next(iter(_KEPT)))
        found = _KEPT[key] = Truth(words, want)
    return found
