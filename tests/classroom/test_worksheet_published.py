"""Worksheets of published questions: what a marker accepts is right or acceptable, what a marker calls wrong is not.

The questions, their answers and where they are published stand in published_questions.yaml. The scopes "any",
"as-first-step" and "as-only-step" are tested as the whole answer; "to-dryness", "in-water" and "in-named-reagent" are
worded in the answer.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from choosemethod.classroom.worksheet import Asked, Checker, Marked
from choosemethod.yamltext import read_yaml

QUESTIONS: Any = read_yaml(Path(__file__).with_name("published_questions.yaml"))
# Fewest of the answers, as a share, that must be judged as the marker does.
SHARE = 0.97


@pytest.fixture(scope="module")
def checker() -> Checker:
    return Checker()


def judged(checker: Checker, item: Any, answer: str) -> Marked:
    return checker.check(Asked(item["mixture"], answer, wish=item.get("want", ""), constraint=item.get("setting", "")))


def test_every_question_names_its_source() -> None:
    assert len(QUESTIONS) == 100
    assert all(item["source"] for item in QUESTIONS)


def test_accepted_answers_are_right_or_acceptable(checker: Checker) -> None:
    rows = [(item, answer) for item in QUESTIONS for answer in item["accept"]]
    found = [(item["id"], answer, judged(checker, item, answer)) for item, answer in rows]
    others = [
        f"{ident}: {answer}: {marked.verdict}: {marked.reason}"
        for ident, answer, marked in found
        if marked.verdict not in ("right", "acceptable")
    ]
    assert 1 - len(others) / len(found) >= SHARE, f"{len(others)} of {len(found)}:\n" + "\n".join(others)


def test_wrong_answers_are_wrong_or_unsafe(checker: Checker) -> None:
    rows = [(item, wrong) for item in QUESTIONS for wrong in item["wrong"]]
    found = [(item["id"], wrong, judged(checker, item, wrong["answer"])) for item, wrong in rows]
    others = [
        f"{ident}: {wrong['answer']} ({wrong['scope']}): {marked.verdict}: {marked.reason}"
        for ident, wrong, marked in found
        if marked.verdict not in ("wrong", "unsafe")
    ]
    assert 1 - len(others) / len(found) >= SHARE, f"{len(others)} of {len(found)}:\n" + "\n".join(others)


def test_no_wrong_answer_is_called_right(checker: Checker) -> None:
    """A few may be called incomplete or not known; none may be praised."""
    rows = [(item, wrong) for item in QUESTIONS for wrong in item["wrong"]]
    praised = [
        (item["id"], wrong["answer"])
        for item, wrong in rows
        if judged(checker, item, wrong["answer"]).verdict == "right"
    ]
    assert not praised


def test_every_unsafe_question_makes_any_technique_unsafe(checker: Checker) -> None:
    refused = [item for item in QUESTIONS if item["accept"] == ["not safe"]]
    assert refused
    for item in refused:
        for wrong in item["wrong"]:
            assert judged(checker, item, wrong["answer"]).verdict == "unsafe", item["id"]
