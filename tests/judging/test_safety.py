"""Unsafe acts in an answer. That they are unsafe is common practice, no source (school laboratory rules)."""

from __future__ import annotations

import pytest

from choosemethod.classroom.worksheet import Asked, Checker

CHECKER = Checker()


def verdict(mixture: str, answer: str) -> str:
    return CHECKER.check(Asked(mixture, answer)).verdict


@pytest.mark.parametrize(
    ("mixture", "answer"),
    [
        ("acetone and water", "Simple distillation over a Bunsen burner"),
        ("acetone and water", "distil it in a sealed flask"),
        ("acetone and water", "distil until the flask is dry"),
        ("sand and salt", "dissolve, filter, evaporate, then taste the salt"),
        ("sand and salt", "dissolve, filter and evaporate; pipette the solution with your mouth"),
        ("ammonia and air", "smell it at the mouth of the tube, then bubble it through water"),
        ("mercury and water", "use a separating funnel and pour the mercury down the sink"),
        ("hexane and water", "shake in a separating funnel without venting it, then run off the lower layer"),
        ("acetone and water", "distil it and add the boiling chips when it is already boiling"),
        ("petrol and water", "warm it in an airtight flask until the petrol evaporates"),
    ],
)
def test_what_must_not_be_done_is_unsafe_whatever_the_technique(mixture: str, answer: str) -> None:
    assert verdict(mixture, answer) == "unsafe"


@pytest.mark.parametrize(
    ("mixture", "answer"),
    [
        ("acetone and water", "distil it on a water bath, never over a naked flame"),
        ("acetone and water", "Simple distillation with an electric heater instead of a Bunsen burner"),
        ("acetone and water", "simple distillation; all flames must be put out first"),
        ("acetone and water", "simple distillation, and stop before it boils dry"),
        ("sand and salt", "dissolve, filter, evaporate. Do not taste the salt."),
        ("iodine and sand", "sublimation under a loosely fitting cover; do not seal the beaker"),
        ("petrol and water", "separating funnel. Petrol is never poured down the sink."),
        ("salt water", "evaporate it over a Bunsen burner"),
    ],
)
def test_a_denied_act_and_one_that_is_harmless_here_are_not_unsafe(mixture: str, answer: str) -> None:
    assert verdict(mixture, answer) in ("right", "acceptable")


# Cambridge IGCSE Chemistry 0620, section 12.4: hydrated crystals are not heated to dryness.
def test_a_hydrate_heated_to_dryness_is_wrong() -> None:
    assert (
        verdict("copper sulfate crystals from copper sulfate solution", "evaporate the solution to dryness") == "wrong"
    )
