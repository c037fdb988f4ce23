"""A question to judge answers to, worked out once: its plan, how it stands, what it names, what is dangerous."""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.advice.answer import Advice
from choosemethod.advice.compose import Composer
from choosemethod.advice.plan import Look, Plan
from choosemethod.advice.wording import joined
from choosemethod.facts import Fact
from choosemethod.judging.rules import Judging, judging
from choosemethod.judging.steps import Components
from choosemethod.table.names import normalise

__all__ = ["Case"]

_LONGEST_THING = 4  # words of the name of a mixture inside a question


class Case:
    """A question worked out; the mixtures looked at are kept from answer to answer."""

    def __init__(self, composer: Composer, rules: Judging | None = None) -> None:
        self.composer = composer
        self.rules = rules or judging()
        self.planner = composer.planner
        self.book = composer.book
        self.advice: Advice = composer.answer(brief=True)
        self.start: Components = self.planner.start()
        self.stands = self._stands()
        plans = [plan for _, plan in self.planner.plans()] if self.stands == "answered" else []
        self.plan: Plan | None = next(iter([plan for plan in plans if not plan.together] or plans), None)
        self.things = self._named_things()

    def _stands(self) -> str:
        advice = self.advice
        if advice.status == "refused":
            return advice.refusal.kind if advice.refusal is not None else "not-separable"
        return "ask" if advice.status == "needs-information" else advice.status

    def _named_things(self) -> tuple[frozenset[str], ...]:
        """Ids of what makes up each mixture that the question names beside something else ("the sea water" of an oil spill)."""
        table = self.composer.table
        words = normalise(self.composer.question.asked).split()
        whole = set(self.composer.question.mixture.substances)
        found: dict[frozenset[str], None] = {}
        runs = [
            " ".join(words[first:last])
            for first in range(len(words))
            for last in range(first + 1, min(first + _LONGEST_THING, len(words)) + 1)
        ]
        self.said = apart = {name.id for run in runs if (name := table.name(run, "substance")) is not None}
        for run in runs:
            name = table.name(run, "mixture")
            if name is not None:
                parts = frozenset(part.substance for part in table.mixture(name.id).components)
                rest = parts if whole - parts else parts - apart
                if len(rest) > 1 and whole - rest:
                    found.setdefault(rest)
        return tuple(found)

    @property
    def best(self) -> tuple[str, ...]:
        """Slugs of the best plan; empty if there is none."""
        return tuple(step.proposal.technique.id for step in self.plan.steps) if self.plan is not None else ()

    def name(self, slug: str) -> str:
        """A technique's name."""
        technique = self.book.techniques.get(slug)
        return technique.name if technique is not None else slug

    def names(self, slugs: Sequence[str]) -> str:
        """Techniques in their order, in words."""
        return ", then ".join(self.name(slug) for slug in slugs)

    def best_text(self) -> str:
        """The best answer in words: the best plan, or how the question stands."""
        if self.best:
            return self.names(self.best)
        return {
            "unsafe": "not safe to separate",
            "not-separable": "cannot be separated",
            "nothing-to-separate": "nothing to separate",
            "blocked": "not with what is available",
            "ask": "more information is needed",
        }.get(self.stands, "")

    def missing(self) -> tuple[str, ...]:
        return tuple(fact.what for fact in self.advice.missing)

    def missing_text(self) -> str:
        missing = self.missing()
        return (joined(missing) if missing else "what the components are") + "."

    def is_danger(self, rule: object) -> bool:
        """Whether a rejecting rule looks at a danger."""
        if getattr(rule, "id", "") in self.rules.danger_rules:
            return True
        for pattern in getattr(rule, "find", ()):
            if pattern.kind in self.rules.danger_kinds:
                return True
            if any(test.slot in self.rules.danger_slots and test.value not in ("no", "none") for test in pattern.tests):
                return True
        return False

    def nothing_said(self) -> bool:
        """Whether the question only gives names that mean nothing, with no property."""
        question = self.composer.question
        substances = question.mixture.substances
        return any(s in question.given and not set(question.given[s]) - {"name"} for s in substances)

    def is_sort(self, added: str, sort: str) -> bool:
        """Whether what is brought in is of a sort: organic (liquid), ordinary (solvent) or reagent."""
        if not self.planner.bench.table.has(added):  # nothing, or a named mixture
            return False
        slots = self.planner.bench.known.pure(added)[0]
        classes = slots["classes"] if isinstance(slots["classes"], tuple) else ()
        ordinary = slots["ordinary"] == "yes"
        organic = "organic" in classes and slots["phase"] == "liquid"
        return {"ordinary": ordinary, "organic": organic, "reagent": not ordinary and not organic}.get(
            sort, sort in classes
        )

    def blocked(self, slug: str) -> str:
        """Why a technique is not available here; "" if it is."""
        return self.planner.why_blocked(self.book.techniques[slug])

    def classes(self, substance: str) -> set[str]:
        return set(self.composer.table.substance(substance).classes)

    def dangerous(self, look: Look, slug: str) -> bool:
        """Whether a technique is rejected here because it is dangerous."""
        return any(self.is_danger(firing.rule) for firing in look.rejections.get(slug, ()))

    @staticmethod
    def has(slots: Sequence[tuple[str, tuple[str, ...]]], facts: Sequence[Fact], every: bool = False) -> bool:
        """Whether some (or every) of these facts has one of the words in each of the slots."""

        def holds(fact: Fact, slot: str, words: tuple[str, ...]) -> bool:
            value = fact.slots.get(slot)
            return any(word in words for word in value) if isinstance(value, tuple) else value in words

        test = all if every else any
        return all(test(holds(fact, slot, words) for fact in facts) for slot, words in slots)
