"""Any text is answered or refused in a sentence: nothing but the documented errors leaves `advise`."""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from choosemethod import advise
from choosemethod.errors import ChooseMethodError, DataError
from choosemethod.show.jsontext import json_text
from choosemethod.show.markdown import render_markdown
from choosemethod.show.page import page
from choosemethod.show.terminal import terminal_text

from .texts import GASES, LIQUIDS, grammar_made, own_words, question_files, random_text, times

STATUSES = {"answered", "unknown", "refused", "nothing-to-separate", "needs-information"}
Bounded = Callable[[], AbstractContextManager[None]]


def many(what: str, share: float = 1.0, most: int | None = None) -> Any:
    return settings(
        max_examples=max(1, int(times(what, most) * share)),
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )


def asked(text: str, **options: Any) -> None:
    """Ask, and show what comes in every form; what is refused is refused in a sentence (or one for each fault)."""
    try:
        answer = advise(text, **options)
    except ChooseMethodError as error:
        said = error.lines() if isinstance(error, DataError) else [str(error)]
        assert all(0 < len(line) < 1000 and "\n" not in line for line in said)
        return
    assert answer.status in STATUSES
    assert json.loads(json_text(answer.as_dict()))["status"] == answer.status
    assert render_markdown(answer, full=True, trace=True)
    assert terminal_text(page(answer, full=True, trace=True), "never", 80)


@many("texts", 0.5, 300)
@given(text=grammar_made(), level=st.sampled_from(["", "primary", "undergraduate"]))
def test_questions_made_by_a_grammar(bounded: Bounded, text: str, level: str) -> None:
    with bounded():
        asked(text, level=level)


@many("texts", 0.2, 300)
@given(text=own_words())
def test_words_of_the_program_in_any_order(bounded: Bounded, text: str) -> None:
    with bounded():
        asked(text)


@many("texts", 0.2, 300)
@given(text=random_text())
def test_characters_at_random(bounded: Bounded, text: str) -> None:
    with bounded():
        asked(text)


@many("texts", 0.1, 300)
@given(
    text=grammar_made(),
    options=st.fixed_dictionaries(
        {},
        optional={
            key: st.one_of(random_text(), st.sampled_from(words))
            for key, words in {
                "want": ["water", "the salt", ""],
                "without": ["heating", "open flame", "water"],
                "pressure": ["84 kPa", "0", "1e400 Pa", "-1 bar"],
                "altitude": ["1600 m", "-5 km"],
                "level": ["primary"],
                "why_not": ["filtration"],
                "front": ["80 mm"],
                "spots": ["30 mm, 45 mm", ",,"],
            }.items()
        },
    ),
)
def test_options_at_random(bounded: Bounded, text: str, options: dict[str, str]) -> None:
    with bounded():
        asked(text, **options)


@many("files", 1.0, 200)
@given(text=question_files())
def test_question_files(bounded: Bounded, text: str) -> None:
    with bounded():
        asked(text)


@pytest.mark.parametrize(
    "text", ["Na2SO4\ud800", "sand and \uda03H2O", "CuSO4\udc00.5H2O in water", "(\ud800)2", "salt\udfff"]
)
def test_half_a_character_in_what_may_be_a_formula(text: str) -> None:
    asked(text)


@pytest.mark.parametrize("gas", GASES[:3])
@pytest.mark.parametrize("liquid", LIQUIDS[:2])
def test_what_floats_in_a_gas_beside_a_liquid(gas: str, liquid: str) -> None:
    for text in (f"dust in {gas} and {liquid}", f"dust in {liquid} and {gas}", f"{gas} in dust and {liquid}"):
        answer = advise(text)
        assert answer.status in STATUSES and len(answer.components) == 3, text
