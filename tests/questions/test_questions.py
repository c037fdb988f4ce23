"""Published and generally accepted questions, asked in plain words: the plan must be one that a marker accepts.

Each YAML file beside this one is a list of questions:
  id, question, accept (orders of techniques, any one will do), wrong (technique: why a marker would mark it wrong),
  status (instead of accept: refused, nothing-to-separate, unknown, needs-information), want, without, pressure, source,
  not_yet: why the program does not answer it acceptably so far (the test then insists that it still does not).
An accepted order matches when it stands in the plan as an ordered subsequence; helper steps between are free.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest

from choosemethod import advise
from choosemethod.yamltext import read_yaml

HERE = Path(__file__).parent
ONE_OF = {"evaporation", "crystallisation"}
FILTERS = {"vacuum-filtration": "filtration", "hot-filtration": "filtration"}


def _load() -> list[Any]:
    out = []
    for path in sorted(HERE.glob("*.yaml")):
        node: Any = read_yaml(path)
        for item in node:
            marks = [pytest.mark.xfail(reason=item["not_yet"], strict=True)] if "not_yet" in item else []
            out.append(pytest.param(item, id=f"{path.stem}-{item['id']}", marks=marks))
    return out


@cache
def _plan(
    question: str, want: tuple[str, ...], without: tuple[str, ...], pressure: str | None
) -> tuple[str, tuple[str, ...]]:
    advice = advise(question, want=want, without=without, pressure=pressure)
    return advice.status, tuple(step.technique for step in advice.plan)


def in_order(accepted: list[str], plan: tuple[str, ...]) -> bool:
    """Whether the accepted order stands in the plan as a subsequence."""
    rest = iter(plan)
    return all(any(step == wanted for step in rest) for wanted in accepted)


@pytest.mark.parametrize("item", _load())
def test_question(item: Any) -> None:
    want = item.get("want", [])
    without = item.get("without", [])
    status, plan = _plan(
        item["question"],
        (want,) if isinstance(want, str) else tuple(want),
        (without,) if isinstance(without, str) else tuple(without),
        item.get("pressure"),
    )
    assert item.get("source"), "every question names its source"
    if "status" in item:
        allowed = [item["status"]] if isinstance(item["status"], str) else list(item["status"])
        if status in allowed:
            return
        assert "accept" in item, f"status {status}, plan {plan}"
    assert status == "answered", f"status {status}"
    accept = [[order] if isinstance(order, str) else list(order) for order in item["accept"]]
    assert any(in_order(order, plan) for order in accept), f"plan {plan}, accepted {accept}"
    wrong = item.get("wrong", {})
    named = set(wrong) if isinstance(wrong, (dict, list)) else {wrong}
    assert not named & set(plan), f"plan {plan} holds {named & set(plan)}"
