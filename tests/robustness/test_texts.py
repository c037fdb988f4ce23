"""Any text is answered or refused in one sentence: nothing but the documented errors leaves `advise`."""

from __future__ import annotations

import json
import time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from choosemethod import advise
from choosemethod.errors import ChooseMethodError
from choosemethod.show.jsontext import json_text
from choosemethod.show.markdown import render_markdown
from choosemethod.show.page import page
from choosemethod.show.terminal import terminal_text

from .texts import GASES, LIQUIDS, grammar_made, random_text, times

SLOWEST = 2.0  # s an answer may take
STATUSES = {"answered", "unknown", "refused", "nothing-to-separate", "needs-information"}


def asked(text: str, level: str = "") -> None:
    """Ask, and show what comes in every form; the errors are one sentence and come in time."""
    begun = time.process_time()
    said = "answered"
    try:
        answer = advise(text, level=level)
    except ChooseMethodError as error:
        said = str(error)
    else:
        assert answer.status in STATUSES
        assert json.loads(json_text(answer.as_dict()))["status"] == answer.status
        assert render_markdown(answer, full=True, trace=True)
        assert terminal_text(page(answer, full=True, trace=True), "never", 80)
    assert 0 < len(said) < 1000 and "\n" not in said
    assert time.process_time() - begun < SLOWEST, text


@settings(
    max_examples=times("texts", 300) // 2,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=list(HealthCheck),
)
@given(grammar_made(), st.sampled_from(["", "primary", "undergraduate"]))
def test_questions_made_by_a_grammar(text: str, level: str) -> None:
    asked(text, level)


@settings(
    max_examples=times("texts", 300) // 2,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=list(HealthCheck),
)
@given(random_text())
def test_characters_at_random(text: str) -> None:
    asked(text)


@pytest.mark.parametrize("gas", GASES[:3])
@pytest.mark.parametrize("liquid", LIQUIDS[:2])
def test_what_floats_in_a_gas_beside_a_liquid(gas: str, liquid: str) -> None:
    for text in (f"dust in {gas} and {liquid}", f"dust in {liquid} and {gas}", f"{gas} in dust and {liquid}"):
        answer = advise(text)
        hosts = {component.id: component for component in answer.components}
        assert answer.status in STATUSES and len(hosts) == 3, text
