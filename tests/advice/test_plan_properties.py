"""Over random mixtures: a plan, a refusal or a named missing fact; nothing lost; no constraint broken; always the same.

CHOOSEMETHOD_RANDOM sets the number of mixtures (tests/benchmarks/run_random.sh runs 10,000).
"""

from __future__ import annotations

import os
import random
import time
from collections import Counter
from dataclasses import replace
from functools import lru_cache

import pytest

from choosemethod.advice.compose import Composer
from choosemethod.advice.plan import Plan, Planner
from choosemethod.describe import Bench
from choosemethod.mixture import Component, Mixture, Question
from choosemethod.reading import read_words
from choosemethod.rulebook import Rulebook, open_rulebook
from choosemethod.table.table import Table, open_table

from .random_mixtures import random_questions

COUNT = int(os.environ.get("CHOOSEMETHOD_RANDOM", "150"))
SLOWEST = 30.0  # s, a bound no plan may come near even on a busy machine


@lru_cache(maxsize=1)
def opened() -> tuple[Table, Rulebook]:
    table = open_table()
    return table, open_rulebook(table)


def planner(question: Question) -> Planner:
    table, book = opened()
    return Planner(Bench(table, book.limits, question), book, question)


def final_components(components: tuple[Component, ...], plan: Plan) -> list[Component]:
    """Components of the question in the mixtures no step takes on."""
    open_mixtures = [components]
    for step in plan.steps:
        assert step.look.components in open_mixtures, "a step acts on a mixture that is there"
        open_mixtures.remove(step.look.components)
        if step.products:
            open_mixtures.extend(product.components for product in step.products)
        else:
            open_mixtures.append(step.proposal.outcome.whole)
    return [c for mixture in open_mixtures for c in mixture if not c.trace and not c.added]


QUESTIONS = list(random_questions(*opened(), COUNT, seed=20261125))


@pytest.mark.parametrize("block", range(0, COUNT, 50))
def test_conservation_constraints_and_safety(block: int) -> None:
    table, _book = opened()
    for question in QUESTIONS[block : block + 50]:
        began = time.perf_counter()
        maker = planner(question)
        start = maker.start()
        look = maker.look(start)
        if look.refusals:
            continue
        for _, plan in maker.plans()[:2]:
            found = Counter(c.substance for c in final_components(start, plan))
            assert found == Counter(c.substance for c in start), (start, [s.proposal.technique.id for s in plan.steps])
            for step in plan.steps:
                assert not maker.why_blocked(step.proposal.technique, step.proposal.outcome)
                added = step.proposal.outcome.added
                for component in step.look.components:
                    if added and component.substance != added:
                        danger = maker.bench.danger(table.substance(added), table.substance(component.substance))
                        assert danger is None or danger.severity not in ("refuse", "no-acid"), (added, component)
                if "heats" in step.proposal.technique.traits:
                    assert step.look.facts["mixture"][0].slots["heat_danger"] == "no", (
                        start,
                        step.proposal.technique.id,
                    )
        assert time.perf_counter() - began < SLOWEST


@pytest.mark.parametrize("index", range(0, COUNT, 15))
def test_the_answer_is_complete_and_does_not_hang_on_the_order_of_the_components(index: int) -> None:
    table, book = opened()
    question = QUESTIONS[index]
    answer = Composer(table, book, question).answer()
    assert answer.status in ("answered", "refused", "needs-information", "nothing-to-separate")
    if answer.status == "needs-information":
        assert answer.missing
    if answer.status == "refused":
        assert answer.refusal is not None
        assert answer.refusal.reasons
    components = list(question.mixture.components)
    random.Random(index).shuffle(components)
    other = Composer(table, book, replace(question, mixture=Mixture(tuple(components)))).answer()
    assert [s.technique for s in other.plan] == [s.technique for s in answer.plan]
    assert other.status == answer.status


@pytest.mark.parametrize("index", range(0, COUNT, 6))
def test_the_texts_of_a_plan_keep_people_safe(index: int) -> None:
    """No flame near a flammable, nothing heated closed, funnels vented, nothing distilled to dryness, waste named."""
    table, book = opened()
    composer = Composer(table, book, QUESTIONS[index])
    answer = composer.answer()
    for step in answer.plan:
        technique = book.techniques[step.technique]
        cautions = " ".join(c.text for c in step.cautions).lower()
        everything = " ".join((cautions, *step.steps, *step.limits)).lower()
        if "heats" in technique.traits and step.technique != "liquation":
            names = set(step.acts_on) | ({step.adds} if step.adds else set())
            flammable = [
                ident
                for ident in table.substance_ids()
                if table.substance(ident).name in names and composer.bench.pure(ident)[0]["flammable"] == "yes"
            ]
            if flammable:
                assert "flame" in cautions, (step.technique, flammable)
        if step.technique == "separating-funnel":
            assert "vent" in everything
            assert "stopper" in everything
        if "distillation" in step.technique and "gas" not in step.technique:
            assert "dryness" in everything
            assert "closed" in everything or "vacuum" in technique.traits
        assert step.residues, step.technique


def test_masses_balance_over_the_products() -> None:
    """What the question gave by mass comes out again, each gram in one product."""
    table, book = opened()
    for words in (
        "10 g sand and 5 g salt",
        "4 g iron filings, 6 g sulfur and 2 g salt",
        "20 g copper sulfate and 3 g sulfur",
    ):
        question = read_words(words, table)
        given = {table.substance(c.substance).name: c.mass for c in question.mixture.components}
        answer = Composer(table, book, question).answer()
        ends = [p for step in answer.plan for p in step.gives if p.fate != "continues"]
        found: dict[str, float] = {}
        for product in ends:
            for name, amount, dimension in product.amounts:
                assert dimension == "mass"
                found[name] = found.get(name, 0.0) + amount
        assert found.keys() == given.keys()
        for name, mass in given.items():
            assert mass is not None
            assert abs(found[name] - mass) <= 1e-9 * mass
