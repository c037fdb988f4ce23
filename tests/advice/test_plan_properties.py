"""Over random mixtures and over pairs of substances: a plan, a refusal or a named missing fact; nothing lost; no
constraint broken; nobody put in danger; always the same.

CHOOSEMETHOD_RANDOM sets the number of random mixtures; tests/benchmarks/every_pair.py runs all pairs on all cores.
"""

from __future__ import annotations

import os
import random
from functools import lru_cache

import pytest

from choosemethod.advice.compose import Composer
from choosemethod.reading import read_words
from choosemethod.rulebook import Rulebook, open_rulebook
from choosemethod.table.table import Table, open_table

from .invariants import faults, pairs, question_of_pair, same_twice, shuffled
from .random_mixtures import random_questions

COUNT = int(os.environ.get("CHOOSEMETHOD_RANDOM", "150"))
PAIRS = 400  # of all pairs, spread evenly


@lru_cache(maxsize=1)
def opened() -> tuple[Table, Rulebook]:
    table = open_table()
    return table, open_rulebook(table)


QUESTIONS = list(random_questions(*opened(), COUNT, seed=20261125))


@pytest.mark.parametrize("block", range(0, COUNT, 50))
def test_random_mixtures_of_three_to_six(block: int) -> None:
    found = {question.mixture: faults(*opened(), question) for question in QUESTIONS[block : block + 50]}
    assert not {mixture: wrong for mixture, wrong in found.items() if wrong}


@pytest.mark.parametrize("block", range(8))
def test_pairs_of_substances(block: int) -> None:
    table, book = opened()
    every = pairs(table)
    some = every[block :: len(every) // PAIRS * 8 + 1]
    found = {pair: faults(table, book, question_of_pair(table, *pair)) for pair in some}
    assert not {pair: wrong for pair, wrong in found.items() if wrong}


@pytest.mark.parametrize("index", range(0, COUNT, 15))
def test_the_answer_is_the_same_each_time_and_in_any_order_of_the_components(index: int) -> None:
    table, book = opened()
    question = QUESTIONS[index]
    assert same_twice(table, book, question)
    order = list(range(len(question.mixture.components)))
    random.Random(index).shuffle(order)
    one, other = (Composer(table, book, asked).answer() for asked in (question, shuffled(question, order)))
    assert [s.technique for s in other.plan] == [s.technique for s in one.plan]
    assert other.status == one.status


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
