"""What must hold of every answer, whatever the mixture: checked over every pair of substances and over random mixtures.

What each step must be told is in safety.py with its sources; here it is asked of any plan.
"""

from __future__ import annotations

import json
import time
from collections import Counter
from dataclasses import replace
from itertools import combinations

from choosemethod.advice.compose import Composer
from choosemethod.advice.plan import Plan, Planner, Proposal
from choosemethod.describe import Bench
from choosemethod.mixture import Component, Mixture, Question
from choosemethod.reading import read_words
from choosemethod.rulebook import Rulebook
from choosemethod.table.table import Table

from .safety import leaves_waste, missed

SLOWEST = 30.0  # s of the processor, a bound no answer may come near
FORBIDDEN = ("refuse", "no-acid")  # dangers for which a step's own liquid or reagent may not meet a component


def planner(table: Table, book: Rulebook, question: Question) -> Planner:
    """A planner for a question, with nothing remembered of another."""
    return Planner(Bench(table, book.limits, question), book, question)


def final_components(components: tuple[Component, ...], plan: Plan) -> list[Component]:
    """Components of the question in the mixtures no step takes on; AssertionError if a step acts on what is not there."""
    open_mixtures = [components]
    for step in plan.steps:
        assert step.look.components in open_mixtures, "a step acts on a mixture that is not there"
        open_mixtures.remove(step.look.components)
        if step.products:
            open_mixtures.extend(product.components for product in step.products)
        else:
            open_mixtures.append(step.proposal.outcome.whole)
    return [c for mixture in open_mixtures for c in mixture if not c.trace and not c.added]


def plan_faults(table: Table, maker: Planner, plan: Plan) -> list[str]:
    """Faults of a plan: something lost or twice, a constraint broken, a danger brought about."""
    start = maker.start()
    found = []
    ends, begins = Counter(c.substance for c in final_components(start, plan)), Counter(c.substance for c in start)
    if ends != begins:
        found.append(f"lost or doubled: {sorted((ends - begins) + (begins - ends))}")
    for step in plan.steps:
        technique, outcome = step.proposal.technique, step.proposal.outcome
        if blocked := maker.why_blocked(technique, outcome):
            found.append(f"{technique.id} in spite of: {blocked}")
        for component in step.look.components:
            if outcome.added and component.substance != outcome.added:
                danger = maker.bench.known.danger(table.substance(outcome.added), table.substance(component.substance))
                if danger is not None and danger.severity in FORBIDDEN:
                    found.append(f"{technique.id} brings {outcome.added} to {component.substance}: {danger.danger}")
        if "heats" in technique.traits and step.look.facts["mixture"][0].slots["heat_danger"] == "yes":
            found.append(f"{technique.id} heats what must not be heated")
        if "boils" in technique.traits and not {"open to air", "vacuum"} & set(technique.traits):
            found.append(f"{technique.id} boils in an apparatus that is neither open nor pumped")
    return found


def step_faults(composer: Composer, plan: Plan, seen: set[tuple[str, str, str]] | None = None) -> list[str]:
    """Faults of the texts of a plan: a hazard not warned of, no waste named.

    seen: (technique, substance, form) already looked at; a plan with nothing new is passed over.
    """
    if seen is not None:
        met = {(step.proposal.technique.id, c.substance, c.form) for step in plan.steps for c in step.look.components}
        met |= {
            (step.proposal.technique.id, c.substance, c.form)
            for step in plan.steps
            for c in step.proposal.outcome.whole
        }
        if met <= seen:
            return []
        seen |= met
    found = []
    for step, shown in zip(plan.steps, composer.plan_steps(plan), strict=True):
        whole = step.proposal.outcome.whole if step.proposal.outcome.added else step.look.components
        present = composer.bench.facts(whole)["component"]
        lacking = (*composer.bench.lacking, composer.question.setting.level)
        found += missed(composer.book, shown, present, lacking)
        if not shown.residues and any(leaves_waste(fact) for fact in present):
            found.append(f"{shown.technique}: no word of where the waste goes")
    return found


def shuffled(question: Question, order: list[int]) -> Question:
    """The same question with its components named in another order."""
    components = question.mixture.components
    return replace(question, mixture=replace(question.mixture, components=tuple(components[i] for i in order)))


def order_faults(
    table: Table, book: Rulebook, question: Question, maker: Planner, plans: list[tuple[Proposal, Plan]]
) -> list[str]:
    """Whether another plan comes of naming the components the other way round.

    A planner that starts from the same components in the same order is the same planner: it is not asked again.
    """
    other = planner(table, book, shuffled(question, list(range(len(question.mixture.components)))[::-1]))
    if other.start() == maker.start():
        return []
    turned = other.plans()
    ways = [[step.proposal.technique.id for step in some[0][1].steps] if some else [] for some in (plans, turned)]
    return [] if ways[0] == ways[1] else [f"another plan for another order: {ways[0]} and {ways[1]}"]


def faults(
    table: Table, book: Rulebook, question: Question, seen: set[tuple[str, str, str]] | None = None
) -> list[str]:
    """Everything wrong with the answer to a question as understood; see `step_faults` for `seen`."""
    began = time.process_time()
    composer = Composer(table, book, question)
    maker = composer.planner
    look = maker.look(maker.start())
    refused = bool(look.refusals)
    found = []
    if not refused:
        plans = maker.plans()
        for _, plan in plans[:2]:
            found += plan_faults(table, maker, plan)
        found += order_faults(table, book, question, maker, plans)
        if plans:
            found += step_faults(composer, plans[0][1], seen)
    if refused or not plans:
        advice = composer.answer()
        said = advice.status in ("refused", "nothing-to-separate") and advice.refusal is not None
        if refused and not (said and advice.refusal is not None and advice.refusal.reasons):
            found.append(f"refused by the rules, but the answer is {advice.status}")
        if not refused and advice.status not in ("needs-information", "refused", "nothing-to-separate"):
            found.append(f"no plan, and the answer is {advice.status}")
        if advice.status == "needs-information" and not advice.missing:
            found.append("no plan, and no word of what is missing")
    taken = time.process_time() - began
    if taken > SLOWEST:
        found.append(f"took {taken:.1f} s")
    return found


def same_twice(table: Table, book: Rulebook, question: Question) -> bool:
    """Whether the same question gives the same bytes."""
    texts = {json.dumps(Composer(table, book, question).answer().as_dict(), sort_keys=True) for _ in range(2)}
    return len(texts) == 1


def pairs(table: Table) -> list[tuple[str, str]]:
    """Every pair of substances of the table of which the state is known, in a fixed order."""
    return list(combinations(sorted(ident for ident in table.substance_ids() if table.substance(ident).phase), 2))


def question_of_pair(table: Table, first: str, second: str) -> Question:
    """Two substances of the table as a pupil asks of them, "A and B".

    Where those words stand for more than the two ("bleach" for what is in it), the two side by side as they are.
    """
    question = read_words(f"{table.substance(first).name} and {table.substance(second).name}", table)
    if {c.substance for c in question.mixture.components} == {first, second} and not question.unknown:
        return question
    forms = {"liquid": "liquid", "gas": "gas"}
    return Question(
        Mixture(tuple(Component(ident, forms.get(table.substance(ident).phase, "solid")) for ident in (first, second)))
    )
