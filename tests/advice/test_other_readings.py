"""Other readings: where two answers are possible both are told. The wordings are common practice, no source."""

from __future__ import annotations

import pytest

from choosemethod import advise


def test_what_is_usually_only_shown_may_be_wanted() -> None:
    advice = advise("ink and water")
    assert [step.technique for step in advice.plan] == ["paper-chromatography"]
    assert any("simple distillation" in one.text and one.tells_apart for one in advice.readings)


@pytest.mark.parametrize("question", ["which dyes are in black ink?", "sand and water", "salt from sea water"])
def test_what_is_said_has_no_second_reading(question: str) -> None:
    assert not advise(question).readings


@pytest.mark.parametrize(
    ("statement", "verdict", "technique"),
    [
        ("True or false: sand and water can be separated by filtration", "true", "filtration"),
        ("A mixture of salt and water can be separated by filtration. True or false?", "false", "evaporation"),
        ("A mixture of oil and water can be separated by decantation. True or false?", "true", "decantation"),
    ],
)
def test_a_statement_is_judged(statement: str, verdict: str, technique: str) -> None:
    advice = advise(statement)
    assert (advice.option, advice.plan[0].technique) == (verdict, technique)


def test_a_statement_about_no_technique_is_not_judged() -> None:
    assert not advise("True or false: sand and water is a mixture").option
