"""Conditions given beside a question: what they rule out. The expected readings are common practice, no source."""

from __future__ import annotations

import pytest

from choosemethod.reading.lexicon import lexicon
from choosemethod.reading.question import read_limit
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
    assert set(read_limit(words, TABLE, lexicon())[0]) == keys


@pytest.mark.parametrize("words", ["must be quick", "must be cheap", "only a magnet", "school lab", "only a hot plate"])
def test_a_wish_rules_nothing_out(words: str) -> None:
    keys, _, understood = read_limit(words, TABLE, lexicon())
    assert understood and not keys


def test_pressure_level_and_amount() -> None:
    assert read_limit("at 2500 m", TABLE, lexicon())[1].altitude == 2500
    assert read_limit("84 kPa", TABLE, lexicon())[1].pressure == 84_000
    assert read_limit("primary class", TABLE, lexicon())[1].level == "primary"
    assert read_limit("small scale", TABLE, lexicon())[1].small


def test_what_is_denied_but_not_known_is_not_understood() -> None:
    assert not read_limit("no flux capacitor", TABLE, lexicon())[2]
