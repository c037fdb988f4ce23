"""How a value is known is the word of its source, never a better one: over all evidence of substances, pairs, answers.

CHOOSEMETHOD_RANDOM sets how many pairs are asked; without it a few hundred, spread evenly over all of them.
"""

from __future__ import annotations

import itertools
import os
import random
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from choosemethod import advise
from choosemethod.advice.wording import reason
from choosemethod.facts import HOW, Evidence, Fact, SlotValue, how_said, weakest
from choosemethod.properties import Properties
from choosemethod.rulebook import open_rulebook
from choosemethod.table import Table, open_table
from choosemethod.yamltext import read_yaml

PAIRS = int(os.environ.get("CHOOSEMETHOD_RANDOM", "300"))
QUESTIONS = Path(__file__).parents[1] / "questions"


@pytest.fixture(scope="module")
def table() -> Table:
    return open_table()


def known(table: Table, pressure: float = 101_325.0) -> Properties:
    return Properties(table, open_rulebook(table).limits, pressure)


def better_than_its_source(table: Table, evidence: Iterable[tuple[str, Evidence]]) -> Iterator[str]:
    """What is shown as better known than its source is, or in a word that is none of HOW."""
    for what, shown in evidence:
        if not shown.how and not shown.source:
            continue
        if shown.how not in HOW:
            yield f"{what}: {shown.how!r} is no word for how a value is known"
        elif shown.source and weakest(shown.how, table.how(shown.source)) != shown.how:
            yield f"{what}: {shown.how}, but {shown.source} is {table.how(shown.source)}"


@pytest.mark.parametrize("pressure", [101_325.0, 84_000.0, 2_000.0])
def test_no_value_of_a_substance_is_shown_as_better_known_than_its_source(table: Table, pressure: float) -> None:
    at = known(table, pressure)
    shown = [(f"{id}, {slot}", one) for id in table.substance_ids() for slot, one in at.pure(id)[1].items()]
    assert len(shown) > 10_000
    assert list(better_than_its_source(table, shown)) == []
    assert {one.how for _, one in shown} > {"measured", "memory", "common practice"}


def test_no_value_of_two_substances_is_shown_as_better_known_than_its_source(table: Table) -> None:
    at = known(table)
    pairs = {
        tuple(row[key] for key in ("first", "second"))
        for kind in table.pair_kinds()
        for row in table.pairs(kind)
        if "first" in row and "second" in row
    }
    liquids = [id for id in table.substance_ids() if table.substance(id).phase == "liquid"]
    pairs.update(random.Random(7).sample(list(itertools.permutations(liquids, 2)), PAIRS))
    pairs.update(random.Random(8).sample(list(itertools.permutations(table.substance_ids(), 2)), PAIRS))
    shown = [
        (f"{a} and {b}, {slot}", one)
        for a, b in sorted(pairs)
        if table.has(a) and table.has(b)
        for slot, one in at.between(a, b)[1].items()
    ]
    assert len(shown) > 1000
    assert list(better_than_its_source(table, shown)) == []


def test_no_number_of_an_answer_is_shown_as_better_known_than_its_source(table: Table) -> None:
    """Of forty questions, of all of them where CHOOSEMETHOD_ROBUST is set."""
    questions = [
        item["question"]
        for path in sorted(QUESTIONS.glob("*.yaml"))
        for item in read_yaml(path)
        if isinstance(item, dict)
    ]
    shown = traced = 0
    asked = questions if os.environ.get("CHOOSEMETHOD_ROBUST") else random.Random(9).sample(questions, 40)
    for question in asked:
        answer = advise(str(question)).as_dict()
        for number in [*answer["numbers"], *(one for step in answer["plan"] for one in step.get("numbers", ()))]:
            shown += 1
            evidence = Evidence(number["name"], number["how"], number["source"])
            assert list(better_than_its_source(table, [(str(question), evidence)])) == []
        for fact in (fact for firing in answer["trace"] for fact in firing["facts"]):
            for slot, text, how, source in fact["slots"]:
                traced += bool(source)
                word = next((one for one in HOW if how_said(one) == how), how)
                found = better_than_its_source(table, [(f"{question}: {slot}", Evidence(text, word, source))])
                assert list(found) == []
    assert shown > 40 and traced > 400


def test_what_is_worked_out_from_a_remembered_value_is_no_better_known_than_that(tmp_path: Path) -> None:
    own = tmp_path / "own.yaml"
    own.write_text(
        "gadgetine:\n  name: gadgetine\n  kind: organic\n  phase: liquid\n"
        "  boiling_point: {is: 90 °C, source: memory}\n  density: {is: 0.9 g/cm3, source: common-practice}\n",
        "utf-8",
    )
    told = open_table([own])
    shown = known(told).between("gadgetine", "acetone")[1]
    assert (shown["boiling_gap"].how, shown["boiling_gap"].source) == ("memory", "memory")
    assert (shown["density_gap"].how, shown["density_gap"].source) == ("common practice", "common-practice")
    assert known(told).between("acetone", "toluene")[1]["boiling_gap"].how == "computed"


@pytest.mark.parametrize(
    ("how", "said"),
    [
        ("measured", "Anisole boils at 153.8 °C."),
        ("memory", "Anisole boils at 153.8 °C (from memory)."),
        ("estimated", "Anisole boils at 153.8 °C (estimated)."),
    ],
)
def test_a_number_that_is_no_measurement_says_so_in_the_reason(how: str, said: str) -> None:
    slots: dict[str, SlotValue] = {"name": "anisole", "boiling_point": 426.9}
    fact = Fact("component", "anisole", slots, {"boiling_point": Evidence("153.8 °C", how, "some-source")})
    assert reason("{low.name} boils at {low.boiling_point}.", {"low": fact}, str) == said


def test_a_source_names_author_and_year_and_no_program(table: Table) -> None:
    assert table.source_keys()
    for key in table.source_keys():
        source = table.source(key)
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", key), key
        said = source.title.lower()
        assert not re.search(r"\b(library|software|program|package|video|version \d)\b", said), source
        if source.kind not in ("memory", "practice", "given", "class") and "definition" not in said:
            dated = re.search(r"\b(1[5-9]|20)\d\d\b", source.title) or "undated" in said or "same entry" in said
            assert dated, f"{key}: when was it published?"
