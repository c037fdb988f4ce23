"""Mixtures out of published lists of what must not meet, and harmless look-alikes, with what was expected of each before
the first run (lists.yaml names the list beside each).

A mixture expected to be refused is refused as unsafe; one that reacts is named as a reaction (or refused); one that can be
parted with care carries a danger. A separation offered where a refusal was expected is the one thing that must not happen.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from choosemethod import advise
from choosemethod.advice.answer import Advice
from choosemethod.yamltext import Block, Items, read_yaml

HERE = Path(__file__).parent
_SAID = re.compile(r"react|precipit|neutralis")


@cache
def _rows(part: str) -> list[tuple[str, frozenset[str]]]:
    lists = read_yaml(HERE / "lists.yaml")
    assert isinstance(lists, Block)
    rows = lists[part]
    assert isinstance(rows, Items)
    out = []
    for row in rows:
        assert isinstance(row, Block)
        also = row.get("also", Items())
        assert isinstance(also, Items)
        out.append((str(row["question"]), frozenset([str(row.get("expect", "")), *map(str, also)])))
    return out


def _outcome(advice: Advice) -> str:
    """refuse, react, warn, or the status and the kind of refusal."""
    kind = advice.refusal.kind if advice.refusal is not None else ""
    if kind == "unsafe":
        return "refuse"
    said = " ".join([*(advice.refusal.reasons if advice.refusal is not None else ()), advice.note]).lower()
    if _SAID.search(said):
        return "react"
    if advice.status == "answered" and any(caution.degree == "danger" for caution in advice.cautions):
        return "warn"
    return f"{advice.status} {kind}".strip()


def _judged(part: str) -> tuple[list[str], list[str]]:
    """What is not as expected, and what was separated where a refusal was expected."""
    other, unsafe = [], []
    for question, expected in _rows(part):
        advice = advise(question)
        outcome = _outcome(advice)
        if outcome in expected or outcome == "refuse":
            continue
        other.append(f"{question}: {outcome}, expected {', '.join(sorted(expected))}")
        if "refuse" in expected and advice.status == "answered":
            unsafe.append(question)
    return other, unsafe


def test_dangers_of_published_lists_are_as_expected() -> None:
    other, unsafe = _judged("dangers")
    assert unsafe == []
    assert len(_rows("dangers")) == 150
    assert len(other) <= 1, other


def test_further_dangers_of_published_lists_are_as_expected() -> None:
    other, unsafe = _judged("spare")
    assert unsafe == []
    assert len(_rows("spare")) == 47
    assert other == []


def test_harmless_look_alikes_are_not_called_unsafe() -> None:
    advices = {question: advise(question) for question, _ in _rows("harmless")}
    assert len(advices) == 100
    refused = [q for q, a in advices.items() if a.refusal is not None and a.refusal.kind == "unsafe"]
    assert refused == []
    assert sum(advice.status == "answered" for advice in advices.values()) >= 95
