"""Conditions given beside a question: what they rule out. The expected readings are common practice, no source."""

from __future__ import annotations

import pytest

from choosemethod.reading.condition import read_condition
from choosemethod.reading.language import language
from choosemethod.table import open_table

TABLE = open_table()


@pytest.mark.parametrize(
    "words, keys",
    [
        ("no heating, no electricity", {"heat", "electricity"}),
        ("fume cupboard", {"fume-cupboard"}),
        ("the centrifuge is broken", {"centrifuge"}),
        ("only kitchen equipment", {"laboratory"}),
        ("must stay dry", {"water"}),
        ("heat-sensitive", {"strong-heat"}),
        ("nothing but water", {"organic-solvents"}),
    ],
)
def test_what_is_missing(words: str, keys: set[str]) -> None:
    assert set(read_condition(words, TABLE, language()).without) == keys


@pytest.mark.parametrize("words", ["must be quick", "must be cheap", "only a magnet", "school lab", "only a hot plate"])
def test_a_wish_rules_nothing_out(words: str) -> None:
    found = read_condition(words, TABLE, language())
    assert found.understood and found.only_wishes and not found.without


def test_pressure_level_and_amount() -> None:
    assert read_condition("at 2500 m", TABLE, language()).altitude == 2500
    assert read_condition("84 kPa", TABLE, language()).pressure == 84_000
    assert read_condition("primary class", TABLE, language()).level == "primary"
    assert read_condition("small scale", TABLE, language()).small


def test_what_is_denied_but_not_known_is_not_understood() -> None:
    assert not read_condition("no flux capacitor", TABLE, language()).understood
