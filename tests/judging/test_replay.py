"""The judge: verdicts on sequences of techniques, each question from a published source or marked common practice."""

from __future__ import annotations

from functools import cache

import pytest

from choosemethod.advice.ask import opened
from choosemethod.advice.compose import Composer
from choosemethod.judging.replay import Given, Judge
from choosemethod.judging.rules import VERDICTS, judging
from choosemethod.reading import given_substances, read_words


@cache
def judge_of(words: str, want: str = "", without: str = "", level: str = "") -> Judge:
    table, book = opened()
    question = read_words(
        words, table, want=(want,) if want else (), without=(without,) if without else (), level=level
    )
    given = given_substances(question)
    return Judge(Composer(table.with_given(given) if given else table, book, question))


# NCERT Science class 9, chapter Is Matter Around Us Pure, unless another source is named.
@pytest.mark.parametrize(
    ("words", "want", "steps", "verdicts"),
    [
        ("salt and sand", "", "dissolving filtration evaporation", "right acceptable"),
        (
            "salt and sand",
            "",
            "filtration evaporation",
            "right acceptable",
        ),  # the dissolving is left unsaid: common practice
        ("salt and sand", "", "dissolving filtration crystallisation", "right acceptable"),
        ("salt and sand", "", "dissolving", "incomplete"),
        ("salt and sand", "", "dissolving filtration", "incomplete"),
        ("salt and sand", "", "filtration", "wrong"),
        ("salt and sand", "", "magnetic-separation", "wrong"),
        ("salt and sand", "", "dissolving evaporation", "wrong incomplete"),  # the sand is still in it
        ("salt and sand", "", "evaporation filtration dissolving", "wrong"),  # the right steps, the wrong way round
        ("sand and water", "", "filtration", "right"),
        ("sand and water", "", "sedimentation decantation", "right acceptable"),
        ("kerosene and water", "", "separating-funnel", "right"),
        (
            "kerosene and water",
            "",
            "separating-funnel drying-agent",
            "right acceptable",
        ),  # drying is free: common practice
        ("kerosene and water", "", "filtration", "wrong"),
        ("acetone and water", "", "simple-distillation", "right"),
        ("acetone and water", "", "separating-funnel", "wrong"),
        ("ethanol and water", "", "fractional-distillation", "right"),
        ("ethanol and water", "", "simple-distillation", "wrong"),
        ("ammonium chloride and sodium chloride", "", "sublimation", "right"),
        ("salt water", "water", "simple-distillation", "right"),
        (
            "salt water",
            "water",
            "evaporation condensation",
            "right acceptable",
        ),  # spelt-out distillation: common practice
        ("salt water", "water", "evaporation", "wrong"),
        ("salt water", "salt", "filtration", "wrong"),
        ("iron filings and sulfur", "", "magnetic-separation", "right"),
        ("black ink dyes", "", "paper-chromatography", "right"),
    ],
)
def test_verdicts(words: str, want: str, steps: str, verdicts: str) -> None:
    found = judge_of(words, want).judge(steps.split())
    assert found.verdict in verdicts.split(), found
    assert found.reason


def test_each_verdict_is_one_of_the_six() -> None:
    judge = judge_of("salt and sand")
    for slug in judge.book.techniques:
        assert judge.judge([slug]).verdict in VERDICTS


def test_a_wrong_answer_gives_the_rule_that_says_so_and_the_best_plan() -> None:
    found = judge_of("acetone and water").judge(["separating-funnel"])
    assert found.rule in judge_of("acetone and water").book.rules
    assert found.source
    assert found.best == ("simple-distillation",)
    assert found.rejects == "separating-funnel"


def test_an_incomplete_answer_says_what_is_left() -> None:
    found = judge_of("salt and sand").judge(["dissolving", "filtration"])
    assert found.left[0] in ("evaporation", "crystallisation")


def test_what_each_step_was_taken_as_is_told() -> None:
    found = judge_of("salt and sand").judge(["vacuum-filtration", "evaporation"])
    assert [(step.said, step.technique, step.note) for step in found.steps][:2] == [
        ("", "dissolving", "left unsaid"),
        ("vacuum-filtration", "filtration", "counts as"),
    ]


@pytest.mark.parametrize("level", ["primary", "lower-secondary", "upper-secondary", "undergraduate"])
def test_a_level_does_not_change_the_truth_of_wrong_answers(level: str) -> None:
    assert judge_of("acetone and water", "", "", level).judge(["separating-funnel"]).verdict == "wrong"
    assert judge_of("ethanol and water", "", "", level).judge(["fractional-distillation"]).verdict == "right"


def test_order_of_the_components_does_not_matter() -> None:
    one, other = judge_of("salt, sand and iron filings"), judge_of("iron filings, sand and salt")
    for steps in (
        ["magnetic-separation"],
        ["magnetic-separation", "dissolving", "filtration", "evaporation"],
        ["sublimation"],
    ):
        first, second = one.judge(steps), other.judge(steps)
        assert (first.verdict, first.rule, first.best) == (second.verdict, second.rule, second.best)


def test_verdicts_do_not_depend_on_what_was_judged_before() -> None:
    steps = ["dissolving", "filtration", "evaporation"]
    judge_of.cache_clear()
    fresh = judge_of("salt and sand").judge(steps)
    judge_of.cache_clear()
    used = judge_of("salt and sand")
    for slug in used.book.techniques:
        used.judge([slug])
    assert used.judge(steps) == fresh


# Prudent Practices in the Laboratory, incompatible chemicals: chlorates with sulfur.
def test_any_technique_is_unsafe_where_the_mixture_is() -> None:
    judge = judge_of("potassium chlorate and sulfur")
    for slug in judge.book.techniques:
        assert judge.judge([slug]).verdict == "unsafe", slug
    assert judge.judge([], "unsafe").verdict == "right"
    assert judge.judge([], "nothing-to-separate").verdict == "wrong"


# Royal Society of Chemistry / Nuffield, Iron and sulfur reaction: the two react when heated (from memory).
def test_heating_what_reacts_on_heating_is_unsafe() -> None:
    assert judge_of("iron filings and sulfur").judge(["sublimation"]).verdict == "unsafe"


def test_what_is_added_counts() -> None:
    """Sulfur is insoluble in water, soluble in organic liquids (CRC Handbook, inorganic compounds)."""
    judge = judge_of("sulfur and sand")
    steps = (Given(("filtration",)), Given(("evaporation",)))
    found = judge.judge([Given(("dissolving",), (), ("water",)), *steps])
    assert found.verdict == "wrong"
    assert "water" in found.reason.lower()
    assert judge.judge([Given(("dissolving",), (), ("*organic",)), *steps]).verdict in ("right", "acceptable")


def test_a_general_word_that_is_not_precise_enough_is_incomplete() -> None:
    vague = Given(("simple-distillation",), ("fractional-distillation",))
    found = judge_of("ethanol and water").judge([vague])
    assert found.verdict == "incomplete"
    assert "fractional distillation" in found.reason
    assert judge_of("acetone and water").judge([vague]).verdict == "right"


def test_what_is_not_available_is_wrong() -> None:
    assert judge_of("chalk dust in water", "", "no filter paper").judge(["filtration"]).verdict == "wrong"
    assert judge_of("chalk dust in water", "", "no filter paper").judge(["decantation"]).verdict in (
        "right",
        "acceptable",
    )


@pytest.mark.parametrize(
    ("words", "status", "verdict"),
    [
        ("acetone and water", "not-separable", "wrong"),
        ("acetone and water", "unsafe", "wrong"),
        ("acetone and water", "ask", "wrong"),
        ("chlorine-35 and chlorine-37", "not-separable", "right"),
        ("separate compound X and compound Y", "ask", "right"),
        ("frobnicol and water", "not-separable", "cannot tell"),
    ],
)
def test_answers_that_say_how_things_stand(words: str, status: str, verdict: str) -> None:
    assert judge_of(words).judge([], status).verdict == verdict


def test_what_is_not_known_is_not_judged() -> None:
    found = judge_of("frobnicol and water").judge(["filtration"])
    assert found.verdict == "cannot tell"
    assert "frobnicol" in found.reason
    assert judge_of("salt and sand").judge([]).verdict == "cannot tell"


def test_every_technique_of_the_judging_rules_is_one_of_the_catalogue() -> None:
    rules, techniques = judging(), opened()[1].techniques
    named = [*rules.includes, *rules.before, *rules.anywhere, *rules.techniques, *rules.drives_off]
    named += [slug for values in (*rules.includes.values(), *rules.before.values()) for slug in values]
    named += [slug for same in rules.same for slug in (same.said, *same.others)]
    assert set(named) <= set(techniques)
