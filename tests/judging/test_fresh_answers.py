"""Answers drawn from published keys and examiners' reports, their verdicts frozen before the first run: floors, not marks.

answers.yaml: the first run agreed with 212 of the 300 (70.7 %), 15 false passes; every third row is run here.
answers-2.yaml: the first run agreed with 90 of the 100, 4 false passes and 1 false alarm among 52; every second row.
What mends by class reached since is what the floors below guard.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, NamedTuple

import pytest
import yaml

from choosemethod.classroom.worksheet import Asked, Checker

GOOD, BAD = {"right", "acceptable"}, {"wrong", "unsafe"}
FLAGGED = "right with a claim reported false"
SETS = {"answers.yaml": (3, 90), "answers-2.yaml": (2, 47)}  # every how many, how many must agree


class Judged(NamedTuple):
    row: dict[str, Any]
    verdict: str
    flagged: bool


@pytest.fixture(scope="module")
def checker() -> Checker:
    return Checker()


@pytest.fixture(scope="module", params=SETS)
def judged(request: pytest.FixtureRequest, checker: Checker) -> tuple[int, list[Judged]]:
    every, floor = SETS[request.param]
    out = []
    for row in yaml.safe_load((Path(__file__).parent / request.param).read_text("utf-8"))[::every]:
        texts = {key: row.get(key) or "" for key in ("mixture", "answer", "reason", "wish", "level")}
        found = checker.check(Asked(**texts))
        out.append(Judged(row, found.verdict, any(claim.verdict == "false" for claim in found.claims)))
    return floor, out


def test_agreement(judged: tuple[int, list[Judged]]) -> None:
    floor, rows = judged
    other = [
        one.row["id"]
        for one in rows
        if one.verdict not in one.row["allowed"]
        and not (FLAGGED in one.row["allowed"] and one.verdict in GOOD and one.flagged)
    ]
    assert len(rows) - len(other) >= floor, other


# Whether a salt dissolves in an organic liquid that is not named is not judged, so its false reason is told as not known.
NOT_YET = {"a247"}


def test_no_wrong_answer_passes(judged: tuple[int, list[Judged]]) -> None:
    passed = [
        one.row["id"]
        for one in judged[1]
        if one.verdict in GOOD
        and not GOOD & set(one.row["allowed"])
        and not (FLAGGED in one.row["allowed"] and one.flagged)
    ]
    assert set(passed) <= NOT_YET


def test_few_right_answers_are_refused(judged: tuple[int, list[Judged]]) -> None:
    refused = [one.row["id"] for one in judged[1] if set(one.row["allowed"]) <= GOOD and one.verdict in BAD]
    assert len(refused) <= 2, refused
