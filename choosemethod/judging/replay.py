"""Judge: whether a given sequence of techniques answers a question, and why.

The answer is replayed on the mixture: each step must be one that some rule proposes for a product that is there at that
point, or a helper step that rules/judging.yaml lets pass. What the steps reach is compared with the best plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from choosemethod.advice.compose import Composer
from choosemethod.advice.plan import Plan
from choosemethod.advice.wording import joined
from choosemethod.judging.case import Case
from choosemethod.judging.ends import Ends
from choosemethod.judging.failing import Failing
from choosemethod.judging.rules import Judging
from choosemethod.judging.steps import Given, Judgement, State, Taken
from choosemethod.judging.walk import Walk
from choosemethod.judging.ways import Ways

__all__ = ["Given", "Judge", "Judgement", "Taken", "judge"]


class Judge(Case):
    """Judges answers to one question; the mixtures looked at are kept from answer to answer."""

    def __init__(self, composer: Composer, rules: Judging | None = None) -> None:
        super().__init__(composer, rules)
        ways = Ways(self)
        self.ends, self.failing = Ends(self, ways), Failing(self, ways)
        self.walk = Walk(self, ways, self.ends, self.failing)

    def judge(self, steps: Sequence[Given | str], status: str = "") -> Judgement:
        """Judge an answer.

        steps: its techniques in order (slugs will do); status: what it says instead of techniques (see STATUSES), ""
        if nothing.
        """
        given = [self._in_solution(step) if isinstance(step, Given) else Given((step,)) for step in steps]
        found = self._judge(given, status)
        return replace(found, best=self.best, stands=self.stands)

    def _in_solution(self, step: Given) -> Given:
        """A step with the solutions of what it names as brought in (who shakes with NaOH uses its solution), without the
        solids the question names ("steam through the flowers")."""
        named = {*(c.substance for c in self.start), *self.said}
        there = {one for one in named if self.composer.table.substance(one).phase == "solid"}
        also = [other for add in step.adds for other in self.rules.solutions.get(add, ())]
        return replace(step, adds=tuple(one for one in dict.fromkeys((*step.adds, *also)) if one not in there))

    def _judge(self, given: Sequence[Given], status: str) -> Judgement:
        reasons = rule = source = ""
        if self.plan is None:
            refusal = self.advice.refusal
            reasons = " ".join(refusal.reasons[:2]) if refusal is not None else ""
            deciding = next((entry for entry in self.advice.trace if entry.stage == "rejection"), None)
            rule, source = (deciding.rule, deciding.source) if deciding is not None else ("", "")
        if not given:
            return self._judge_status(status, reasons, rule, source)
        if self.stands == "unknown":
            return Judgement("cannot tell", self._not_known())
        if self.stands == "unsafe":
            return Judgement("unsafe", reasons, rule, source)
        really = self.composer.question.mixture.really
        chemical = any(slug in self.rules.chemical for step in given for slug in step.slugs)
        elements = self.stands == "nothing-to-separate" and self.said - set(self.composer.question.mixture.substances)
        if chemical and self.stands != "answered" and (really in self.rules.chemical_of or elements):
            text = f"This takes a chemical change, not a separation. {reasons}"
            return Judgement("acceptable", text.strip(), rule, source)
        if self.stands == "nothing-to-separate" and self._parts_the_forms(given):
            text = f"This parts the solid from the liquid, though it is one and the same substance. {reasons}"
            return Judgement("acceptable", text, rule, source)
        if self.stands == "nothing-to-separate" or (self.stands == "not-separable" and rule):
            return Judgement("wrong", reasons or "There is nothing to separate.", rule, source)
        replay = self.walk.replay(given)
        end = min(replay.ends, key=lambda one: (one.rank, one.total)) if replay.ends else None
        state = (
            end.state if end is not None else replay.failed[1] if replay.failed is not None else State((self.start,))
        )
        if end is not None:
            return replace(self.ends.reached(end, given), acted=state.acted)
        assert replay.failed is not None
        found = self.failing.failed(given, *replay.failed)
        if self.stands == "ask" and found.verdict == "wrong" and not self.nothing_said():
            text = f"{found.reason} Yet more would have to be known to decide: {self.missing_text()}"
            found = replace(found, verdict="cannot tell", reason=text, missing=self.missing())
        return replace(found, acted=state.acted)

    def _parts_the_forms(self, given: Sequence[Given]) -> bool:
        """Whether an answer parts a substance from itself in another form (ice from water)."""
        components = self.composer.question.mixture.components
        forms = {component.form for component in components}
        alike = len({component.substance for component in components}) == 1 and len(forms) > 1
        return alike and all(slug in self.rules.two_forms for step in given for slug in step.slugs)

    def _not_known(self) -> str:
        unknown = [words for words, _ in self.advice.unknown]
        if unknown:
            near = [name for _, names in self.advice.unknown for name in names][:3]
            hint = f" Is {joined(near)} meant?" if near else ""
            return f"Not known here: {joined(unknown)}.{hint}"
        return "The mixture was not understood."

    def _judge_status(self, status: str, reasons: str, rule: str, source: str) -> Judgement:
        if not status:
            return Judgement("cannot tell", "The answer names no technique that is known here.")
        stands = self.stands
        if stands == "answered" and self.composer.question.given:
            stands = "described"
        verdict = self.rules.status_verdicts[stands][status]
        if stands == "unknown":
            return Judgement(verdict, self._not_known())
        if stands in ("answered", "described"):
            text = (
                f"{self._begin(self.plan)} It can be done: {self.names(self.best)}."
                if verdict == "wrong"
                else (f"More could be asked about what is only described; with what is said: {self.names(self.best)}.")
            )
            return Judgement(verdict, text.strip())
        if stands == "ask":
            return Judgement(verdict, "More would have to be known: " + self.missing_text(), missing=self.missing())
        return Judgement(verdict, reasons, rule, source)

    def _begin(self, plan: Plan | None) -> str:
        """The reason of a plan's first step."""
        if plan is None or not plan.steps:
            return ""
        step = plan.steps[0]
        return next(iter(self.composer.reasons(step.look, step.proposal.firings[:1])), "")


def judge(composer: Composer, steps: Sequence[Given | str], status: str = "") -> Judgement:
    """Judge one answer to the question of a composer; see `Judge.judge`. Several answers: make one `Judge`."""
    return Judge(composer).judge(steps, status)
