"""Techniques recognised by their description. The descriptions are those of textbooks: common practice, no source."""

from __future__ import annotations

import pytest

from choosemethod import advise
from choosemethod.interpretation.described import asks_name, asks_whether, described, signs
from choosemethod.rulebook import open_rulebook
from choosemethod.table import open_table
from choosemethod.table.names import spaced


def test_every_technique_has_signs() -> None:
    assert set(signs().techniques) == set(open_rulebook(open_table()).techniques)


@pytest.mark.parametrize(
    ("text", "slug"),
    [
        ("Which process passes hard water over a resin that takes up calcium ions?", "ion-exchange"),
        (
            "A gel lies between two electrodes and charged molecules move along it. What is this technique called?",
            "electrophoresis",
        ),
        (
            "The change of a solid directly into vapour without melting is used for purification. Name it.",
            "sublimation",
        ),
        (
            "Ore particles stick to bubbles of a froth made with pine oil. What is the process called?",
            "froth-flotation",
        ),
        ("A bag of cellophane keeps the protein back and lets the salts through. Which technique is this?", "dialysis"),
        ("What is the name of the process in which milk is spun very fast?", "centrifugation"),
    ],
)
def test_a_described_technique_is_named(text: str, slug: str) -> None:
    assert described(spaced(text))[0].technique == slug
    advice = advise(text)
    assert advice.status == "answered"
    assert slug in [step.technique for step in advice.plan]


def test_a_question_without_a_mixture_is_about_the_technique() -> None:
    advice = advise("The change of a solid directly into vapour without melting is used for purification. Name it.")
    assert advice.about == "technique"


@pytest.mark.parametrize(
    ("question", "asked_about", "verdict", "plan"),
    [
        ("Can salt be separated from water by filtration?", "filtration", "rejected", ["evaporation"]),
        ("Could sand be separated from water by filtration?", "filtration", "chosen", ["filtration"]),
        # what an azeotrope leaves needs another way: common practice
        ("Is it possible to obtain pure (200-proof) ethanol by distillation?", "simple-distillation", "rejected", ["drying-agent"]),
    ],
)
def test_whether_a_technique_does_it_is_answered_for_it(question: str, asked_about: str, verdict: str, plan: list[str]) -> None:
    found = advise(question)
    assert [(one.technique, one.verdict) for one in found.why_not] == [(asked_about, verdict)]
    assert [step.technique for step in found.plan] == plan


def test_a_technique_that_is_asked_about_is_not_taken_as_described() -> None:
    assert asks_whether("Can it be distilled in a vacuum?")
    assert not asks_whether("What is distilled in a vacuum?")


def test_a_question_about_a_mixture_is_left_to_the_planner() -> None:
    assert not asks_name(spaced("sand and salt"))
    assert advise("sand and water").about == "mixture"
    assert [step.technique for step in advise("iron filings and sand").plan] == ["magnetic-separation"]


@pytest.mark.parametrize(
    ("question", "plan"),
    [  # common practice, no source
        (
            "Bauxite is digested with hot sodium hydroxide. The alumina dissolves; iron oxide does not. "
            "How is the red mud taken away and how is the aluminium hydroxide got back from the liquor?",
            ["chemical-reaction", "filtration", "precipitation"],
        ),
        (
            "Why is charcoal added in a recrystallization to remove coloured impurities? Name the two operations.",
            ["adsorption", "hot-filtration"],
        ),
    ],
)
def test_what_is_done_is_told_whole_where_more_than_one_thing_is_asked(question: str, plan: list[str]) -> None:
    assert [step.technique for step in advise(question).plan] == plan


def test_what_is_asked_besides_and_not_answered_is_said() -> None:
    asked = "A resin swaps the calcium ions of hard water for sodium ions. Which process is this, "
    said = [one.text for one in advise(f"{asked}and how is the resin made ready again?").not_used if "besides" in one.because]
    assert said == ["and how is the resin made ready again?"]
    assert not [one for one in advise(asked.strip(", ") + "?").not_used if "besides" in one.because]
