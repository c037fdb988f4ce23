"""What is done in practice: every fact is taken when all its terms are said, and silent when one is not."""

from __future__ import annotations

import pytest

from choosemethod.advice.ask import opened
from choosemethod.rulebook.practice import Practice, practised
from choosemethod.table.names import spaced

FACTS = opened()[1].practice


def said(*words: str) -> str:
    return spaced(". ".join(word.rstrip("*") for word in words))


@pytest.mark.parametrize("fact", FACTS, ids=lambda fact: fact.id)
def test_a_fact_fires_by_its_terms_and_by_nothing_less(fact: Practice) -> None:
    for term in fact.of:
        for word in term:  # each word that may stand for a term
            words = [word if other is term else other[0] for other in fact.of]
            assert any(one.practice == fact for one in practised(FACTS, said(*words))), words
    for left_out in fact.of if len(fact.of) > 1 else ():
        rest = [term[0] for term in fact.of if term is not left_out]
        text = said(*rest)
        if not any(f" {word.rstrip('*')}" in text for word in left_out):  # a word of another term may be one of this
            assert all(one.practice != fact for one in practised(FACTS, text)), rest
    for word in (word for term in fact.unless for word in term):
        assert not practised([fact], said(*(term[0] for term in fact.of), word)), word
    assert not practised([fact], said("sand", "salt"))


def test_words_in_one_place_count_once() -> None:
    fact = Practice(
        "x", (("oil",), ("crude oil", "oil")), (), (), ("filtration",), ("decantation",), "", "", "common-practice"
    )
    assert not practised([fact], said("oil"))
    assert practised([fact], said("oil", "oil"))[0].by == ("filtration",)
    assert practised([fact], said("oil", "oil"), ("decantation",))[0].by == ("decantation",)
    assert not practised([fact], said("oil", "oil"), ("sublimation",))
