"""What reacts or is dangerous together: refused, named as a reaction, or separated without what sets it off.

The pairs and their sources stand in pairs.yaml; the look-alikes that must not be refused in look_alikes.yaml. What a
technique supplies is common practice, no source.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from choosemethod.advice.compose import Composer
from choosemethod.reading import read_words
from choosemethod.rulebook import Rulebook, open_rulebook
from choosemethod.table.table import Table, open_table
from choosemethod.yamltext import Block, Items, read_yaml

HERE = Path(__file__).parent
SUPPLIES = {"heats": "heat", "high voltage": "spark", "dusty": "friction", "spins": "shock"}


@cache
def opened() -> tuple[Table, Rulebook]:
    table = open_table()
    return table, open_rulebook(table)


def _pairs() -> list[tuple[str, str]]:
    rows = read_yaml(HERE / "pairs.yaml")
    assert isinstance(rows, Items)
    return [(str(row["question"]), str(row["expect"])) for row in rows if isinstance(row, Block)]


def _look_alikes() -> list[str]:
    rows = read_yaml(HERE / "look_alikes.yaml")
    assert isinstance(rows, Items)
    return [str(row) for row in rows]


def asked(question: str) -> Composer:
    table, book = opened()
    return Composer(table, book, read_words(question, table))


@pytest.mark.parametrize(("question", "expect"), _pairs(), ids=[question for question, _ in _pairs()])
def test_dangerous_pair(question: str, expect: str) -> None:
    composer = asked(question)
    advice = composer.answer()
    reasons = " ".join(advice.refusal.reasons) if advice.refusal is not None else ""
    if expect == "refuse":
        assert advice.refusal is not None
        assert advice.refusal.kind == "unsafe", reasons
    elif expect == "react-first":
        assert advice.status == "refused"
        assert " react" in reasons or (advice.refusal is not None and advice.refusal.kind == "unsafe"), reasons
    else:
        assert advice.status == "answered", reasons
        assert any(caution.degree == "danger" for caution in advice.cautions)
        planner = composer.planner
        _, plan = planner.plans()[0]
        for step in plan.steps:
            supplied = {SUPPLIES[trait] for trait in step.proposal.technique.traits if trait in SUPPLIES}
            for held in composer.bench.dangers(step.look.components):
                assert not supplied & set(held.triggers), f"{step.proposal.technique.id}: {held.row.danger}"


@pytest.mark.parametrize("question", _look_alikes())
def test_look_alike_is_not_refused(question: str) -> None:
    advice = asked(question).answer()
    assert advice.status == "answered", advice.refusal


@pytest.mark.parametrize(
    ("question", "named"),
    [
        ("bleach and ammonia", "leave the room"),  # common practice, no source: what to do at once
        ("bleach and vinegar", "chlorine"),
        ("sodium hypochlorite and methanol", "methyl hypochlorite"),  # Bretherick's, see pairs.yaml
        ("zinc and hydrochloric acid", "zinc chloride"),
        ("calcium and water", "calcium hydroxide and hydrogen"),
        ("sodium thiosulfate and hydrochloric acid", "sulfur is filtered off"),
        ("marble and hydrochloric acid", "calcium chloride"),
        ("dilute nitric acid and copper", "copper(II) nitrate"),
        ("potassium permanganate and flumstix", "not known here"),
        ("concentrated sulfuric acid and arsenic trioxide", "nothing is known"),
    ],
)
def test_the_right_danger_and_products_are_named(question: str, named: str) -> None:
    advice = asked(question).answer()
    assert advice.refusal is not None
    assert named in " ".join(advice.refusal.reasons)
