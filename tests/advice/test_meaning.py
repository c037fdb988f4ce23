"""Over random mixtures, with pressure, limits and wishes drawn at random: every printed line follows from the state it is
said of.

CHOOSEMETHOD_RANDOM sets how many (10,000 for all); each kind of fault is looked for in every answer.
"""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Iterator
from functools import cache

import pytest

from choosemethod.advice.answer import Advice, PlanStep, gravity
from choosemethod.advice.compose import Composer
from choosemethod.advice.plan import Plan
from choosemethod.mixture import Question
from choosemethod.properties import Properties
from choosemethod.rulebook import Rulebook, open_rulebook
from choosemethod.show.words import render_words
from choosemethod.table.table import Table, open_table

from .invariants import final_components
from .random_mixtures import random_questions

COUNT = int(os.environ.get("CHOOSEMETHOD_RANDOM", "48"))
BLOCK = 24
DEGREES = re.compile(r"(-?\d+(?:\.\d+)?) °C")
# what a text of a step says when it uses something; words after it that name another way
USES = {
    "fume-cupboard": r"fume cupboard(?! \(without one| or (?:a|in a) (?:very )?well)",
    "electricity": r"\belectric(?:ally|ity)?\b|\bmantle\b|hot plate",
    "open-flame": r"\bburner\b(?! in the room)|small flame",
    "heat": r"^(?:Heat|Boil|Warm|Bring to the boil)\b",
    "magnet": r"\bmagnet\b",
    "vacuum": r"\bwith suction\b|\bBüchner|\b(?:water|vacuum) pump\b",
    "centrifuge": r"\bcentrifuge tubes?\b|\brotor\b",
    "separating-funnel": r"\bseparating funnel\b",
    "fractionating-column": r"\bfractionating column\b",
    "distillation-apparatus": r"\bstill head\b",
}
NEGATED = re.compile(r"\b(?:[Nn]ever|[Nn]o|[Nn]ot|without|instead of|in place of)\b[^.;:]*$")

OTHERWISE = re.compile(r"\bor [^.;:]*$")  # the second of two ways


@cache
def opened() -> tuple[Table, Rulebook]:
    table = open_table()
    return table, open_rulebook(table)


@cache
def questions() -> list[Question]:
    half = COUNT // 2
    return [
        *random_questions(*opened(), half, seed=81, sizes=(2, 2)),
        *random_questions(*opened(), COUNT - half, seed=82, sizes=(3, 5)),
    ]


def boiling_temperatures(composer: Composer, advice: Advice) -> Iterator[str]:
    """What boils, or comes over, at another temperature than the table and the pressure give it."""
    table, question = composer.table, composer.question
    known = Properties(table, composer.book.limits, question.setting.pressure)
    points = {}
    for component in question.mixture.components:
        found = known.boiling_point(table.substance(component.substance))
        if found is not None:
            points[table.substance(component.substance).name] = found[0] - 273.15
    for step in advice.plan:
        for text in (*step.steps, *step.seen, *step.reasons):
            for name, point in points.items():
                for said in re.finditer(
                    rf"(?:^|[\s(]){re.escape(name)} (?:boils|comes over) (?:at|as low as) (?:about )?{DEGREES.pattern}"
                    rf"|(?:stays (?:at|near)|again,? at) (?:about )?{DEGREES.pattern}[^.]*?(?:collect|while) {re.escape(name)}\b",
                    text,
                    re.IGNORECASE,
                ):
                    value = float(said[1] or said[2])
                    if abs(value - point) > 0.06:
                        yield f"{name} boils at {point:.2f} °C here: {text}"


def begins_to_boil(step: PlanStep) -> Iterator[str]:
    """A mixture that begins to boil at two temperatures, or that stays at that of one of its parts while it climbs."""
    told = {
        said
        for text in (*step.steps, *step.seen)
        for said in re.findall(rf"(?:begins to boil at|comes over from) about {DEGREES.pattern}", text)
    }
    if len(told) > 1:
        yield f"begins to boil at {sorted(told)}"


def dissolved_or_not(step: PlanStep) -> Iterator[str]:
    """What is said not to dissolve in the liquid that has dissolved it."""
    inside = {(c.name.lower(), c.host.lower()) for c in (*step.before, *step.after) if c.form == "dissolved"}
    for text in (*step.reasons, *step.steps, *step.seen, *step.limits):
        for head, liquid in re.findall(r"([^.;:]*?) do(?:es)? not dissolve in ([^,.;:]+)", text):
            for name, host in inside:
                if re.search(rf"\b{re.escape(name)}\b", head.lower()) and liquid.lower().strip().startswith(host):
                    yield f"{name} is dissolved in {host}: {text}"


def taken_away(composer: Composer, advice: Advice, plans: list[Plan]) -> Iterator[str]:
    """A step, a text or an alternative that uses what a limit took."""
    lacking = set(composer.bench.lacking)
    for plan in plans:
        for planned in plan.steps:
            used = lacking & set(planned.proposal.technique.needs)
            if used:
                yield f"{planned.proposal.technique.id} needs {sorted(used)}"
    for step in advice.plan:
        texts = (*step.apparatus, *step.steps, *(caution.text for caution in step.cautions), *step.residues)
        for limit in lacking & USES.keys():
            for text in texts:
                for found in re.finditer(USES[limit], text):
                    if not NEGATED.search(text[: found.start()]) and not OTHERWISE.search(text[: found.start()]):
                        yield f"without {limit}: {text}"


def wanted(composer: Composer, plans: list[Plan]) -> Iterator[str]:
    """A plan or an alternative in which a part is lost or twice there, or that does not give what is wanted as it was."""
    start = composer.planner.start()
    begins = Counter(c.substance for c in start)
    for plan in plans:
        slugs = [step.proposal.technique.id for step in plan.steps]
        ends = final_components(start, plan)
        if Counter(c.substance for c in ends) != begins:
            yield f"{slugs}: lost or doubled"
        given = [product for step in plan.steps for product in step.products if not product.part.lost]
        for want in composer.question.wish.want:
            if not any(c.substance == want for product in given for c in product.components):
                yield f"{slugs}: {want} is wanted and thrown away"
            if any(c.substance == want and c.reacted for c in ends):
                yield f"{slugs}: {want} is wanted and has become something else"


def cautions(advice: Advice) -> Iterator[str]:
    """Cautions out of order, or told twice on the page, in the same words or of fewer substances in the same words."""
    for step in advice.plan:
        if list(step.cautions) != sorted(step.cautions, key=gravity):
            yield f"step {step.number}: cautions out of order"
    said = re.findall(r"^DANGER: (.*)$", render_words(advice), flags=re.MULTILINE)
    plain = [re.sub(r" \(steps? [^)]*\)$", "", text) for text in said]
    yield from (f"twice: {text}" for text, times in Counter(plain).items() if times > 1)


def faults(question: Question) -> list[str]:
    table, book = opened()
    composer = Composer(table, book, question)
    advice = composer.answer()
    if not advice.plan:
        return []
    shown = {tuple(step.technique for step in advice.plan), *(ref.techniques for ref in advice.alternatives)}
    plans = [p for _, p in composer.planner.plans() if tuple(s.proposal.technique.id for s in p.steps) in shown]
    found = [
        *boiling_temperatures(composer, advice),
        *taken_away(composer, advice, plans[:3]),
        *wanted(composer, plans[:1]),
    ]
    found += cautions(advice)
    for step in advice.plan:
        found += [*begins_to_boil(step), *dissolved_or_not(step)]
    return found


@pytest.mark.parametrize("block", range(0, COUNT, BLOCK))
def test_every_line_is_true_of_its_step(block: int) -> None:
    found = {question.mixture: faults(question) for question in questions()[block : block + BLOCK]}
    assert not {mixture: wrong for mixture, wrong in found.items() if wrong}
