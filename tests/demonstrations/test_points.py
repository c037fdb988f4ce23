"""Every point of the standard demonstrations (points.yaml beside this file) is told, and nothing that would be wrong."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from choosemethod import advise
from choosemethod.advice.answer import Advice
from choosemethod.show.words import render_words

POINTS: list[dict[str, Any]] = yaml.safe_load(Path(__file__).with_name("points.yaml").read_text(encoding="utf-8"))


@cache
def _asked(index: int) -> tuple[Advice, str]:
    one = POINTS[index]
    advice = advise(one["question"], **one.get("options", {}))
    return advice, " ".join(render_words(advice, full=True).lower().split())


MUST = [(index, point) for index, one in enumerate(POINTS) for point in one["must"]]
MUST_NOT = [(index, point) for index, one in enumerate(POINTS) for point in one.get("must_not", ())]


def _name(given: object) -> str:
    return POINTS[given]["question"] if isinstance(given, int) else str(given["means"])  # type: ignore[index]


@pytest.mark.parametrize("index", range(len(POINTS)), ids=_name)
def test_the_technique(index: int) -> None:
    one = POINTS[index]
    assert _asked(index)[0].plan[0].technique in (one["technique"], *one.get("also", ()))


@pytest.mark.parametrize(("index", "point"), MUST, ids=_name)
def test_what_must_be_told(index: int, point: dict[str, Any]) -> None:
    said = _asked(index)[1]
    assert any(re.search(words, said) for words in point["any"]), f"{point['means']} ({point['source']}): {said}"


@pytest.mark.parametrize(("index", "point"), MUST_NOT, ids=_name)
def test_what_must_not_be_said(index: int, point: dict[str, Any]) -> None:
    said = _asked(index)[1]
    assert not [words for words in point["any"] if re.search(words, said)], point["means"]


@pytest.mark.parametrize("index", [i for i, one in enumerate(POINTS) if "first_danger" in one], ids=_name)
def test_the_worst_comes_first(index: int) -> None:
    dangers = re.findall(r"danger: ([^.]*)", _asked(index)[1])
    assert re.search(POINTS[index]["first_danger"], dangers[0]), dangers


@pytest.mark.parametrize("index", [i for i, one in enumerate(POINTS) if "dangers" in one], ids=_name)
def test_no_more_dangers_than_there_are(index: int) -> None:
    assert len([c for c in _asked(index)[0].cautions if c.degree == "danger"]) <= POINTS[index]["dangers"]
