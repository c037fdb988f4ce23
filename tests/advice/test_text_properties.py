"""Over random mixtures: what an answer says is in order, said once, and in the words of the trade.

CHOOSEMETHOD_RANDOM sets the number of random mixtures.
"""

from __future__ import annotations

import os
import re
from itertools import pairwise

import pytest

from choosemethod.advice.answer import Advice, gravity
from choosemethod.advice.compose import Composer
from choosemethod.facts import KINDS
from choosemethod.rulebook import Rulebook, open_rulebook
from choosemethod.rulebook.language import OPERATORS
from choosemethod.show.words import render_words
from choosemethod.table.table import Table, open_table

from .random_mixtures import random_questions

COUNT = int(os.environ.get("CHOOSEMETHOD_RANDOM", "120"))
TABLE: Table = open_table()
BOOK: Rulebook = open_rulebook(TABLE)
QUESTIONS = [
    *random_questions(TABLE, BOOK, COUNT // 2, seed=71, sizes=(2, 2)),
    *random_questions(TABLE, BOOK, COUNT - COUNT // 2, seed=72, sizes=(3, 4)),
]
# names of slots and operators with an underscore, which no sentence holds; and places that were not filled
ENGINE = re.compile(
    "|".join(
        [rf"\b{word}\b" for slots in KINDS.values() for word in slots if "_" in word]
        + [rf"\b{word}\b" for word in OPERATORS if "_" in word]
        + [r"\{", r"\}", r"\bnone_of\b", r"role of", r"but found:", r"\bunknown: yes\b"]
    )
)
# conditions the reader would have to resolve, where the program knows the answer
UNRESOLVED = re.compile(
    r"only if nothing|if nothing here|if it is plant material|if anything here is|if the gas is harmful|if the solvent is flammable"
    r"|if coloured impurities|as long as nothing else|if it is wanted|if the other liquid|spoiled by heat and what",
    re.IGNORECASE,
)


@pytest.fixture(scope="module")
def answers() -> list[Advice]:
    return [Composer(TABLE, BOOK, question).answer(("drying-agent",)) for question in QUESTIONS]


def test_cautions_are_in_the_order_of_what_they_can_do(answers: list[Advice]) -> None:
    for advice in answers:
        for cautions in (advice.cautions, *(step.cautions for step in advice.plan)):
            assert list(cautions) == sorted(cautions, key=gravity)
            assert all(caution.harm for caution in cautions)


def test_no_caution_is_given_twice(answers: list[Advice]) -> None:
    for advice in answers:
        for step in advice.plan:
            texts = [re.sub(r"[^a-z0-9 ]", "", caution.text.lower()) for caution in step.cautions]
            assert len(set(texts)) == len(texts), texts


@pytest.mark.parametrize("full", [False, True])
def test_a_page_speaks_of_chemistry(answers: list[Advice], full: bool) -> None:
    wrong = {}
    for advice in answers:
        said, _, _ = render_words(advice, full=full).partition("\nSources")
        said = re.sub(r"\[rule [^\]]*\]|^Rules?: .*$|^Source: .*$", "", said, flags=re.M)
        for pattern in (ENGINE, UNRESOLVED):
            found = pattern.search(said)
            if found is not None:
                wrong[advice.name] = said[max(0, found.start() - 80) : found.end() + 80]
    assert not wrong


def test_every_danger_stands_on_the_ordinary_page(answers: list[Advice]) -> None:
    for advice in answers:
        said = " ".join(render_words(advice).split()).lower()
        for caution in advice.cautions:
            if caution.degree == "danger":
                # its beginning: a level may have another word for something later in it; or with what it is told of as well
                head, _, told = " ".join(caution.text.split()).lower().partition(":")
                alone = f"{head}:{told}"[:40] in said
                assert alone or (
                    told[:40] in said and re.split(" is | are | can ", head)[0].rsplit(" of ")[-1] in said
                ), caution


def test_no_heading_stands_without_what_follows_it(answers: list[Advice]) -> None:
    for advice in answers:
        lines = [line for line in render_words(advice).split("\n") if line.strip()]
        assert not [line for line in lines[-1:] if line.endswith(":")]
        assert not [a for a, b in pairwise(lines) if a.endswith("as it is:") and b.endswith(":")]
