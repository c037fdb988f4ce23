"""Answers drawn from published keys and examiners' reports, their verdicts frozen before the first run: floors, not marks.

The first run of this machinery agreed with 212 of the 300 (70.7 %), 15 false passes; what mends by class reached since is
what the floors below guard, on every third row.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from choosemethod.classroom.worksheet import Asked, Checker

ROWS: list[dict[str, Any]] = yaml.safe_load((Path(__file__).parent / "answers.yaml").read_text("utf-8"))[::3]
GOOD, BAD = {"right", "acceptable"}, {"wrong", "unsafe"}
FLAGGED = "right with a claim reported false"
FLOOR = 86


@pytest.fixture(scope="module")
def judged() -> list[tuple[dict[str, Any], str, bool]]:
    checker = Checker()
    out = []
    for row in ROWS:
        texts = {key: row.get(key) or "" for key in ("mixture", "answer", "reason", "wish", "level")}
        found = checker.check(Asked(**texts))
        out.append((row, found.verdict, any(claim.verdict == "false" for claim in found.claims)))
    return out


def test_agreement(judged: list[tuple[dict[str, Any], str, bool]]) -> None:
    good = [
        verdict in row["allowed"] or (FLAGGED in row["allowed"] and verdict in GOOD and flagged)
        for row, verdict, flagged in judged
    ]
    assert len(good) == 100
    assert sum(good) >= FLOOR, [row["id"] for (row, *_), yes in zip(judged, good, strict=True) if not yes]


def test_no_wrong_answer_passes(judged: list[tuple[dict[str, Any], str, bool]]) -> None:
    passed = [
        row["id"]
        for row, verdict, flagged in judged
        if verdict in GOOD and not GOOD & set(row["allowed"]) and not (FLAGGED in row["allowed"] and flagged)
    ]
    assert passed in ([], ["a057"])  # whether a breeze parts flour from sugar is told of the substances


def test_few_right_answers_are_refused(judged: list[tuple[dict[str, Any], str, bool]]) -> None:
    refused = [row["id"] for row, verdict, _ in judged if set(row["allowed"]) <= GOOD and verdict in BAD]
    assert len(refused) <= 5, refused
