"""No safety advice is lost between the caution rules and the techniques: what every step of a kind must be told.

What must be said, with its sources, is in safety.py beside this file.
"""

from __future__ import annotations

import re
from functools import cache

import pytest

from choosemethod.advice.answer import Advice, PlanStep
from choosemethod.advice.compose import Composer
from choosemethod.describe import Bench
from choosemethod.facts import Fact
from choosemethod.reading import read_words
from choosemethod.rulebook import Rulebook, open_rulebook
from choosemethod.table import Table, open_table

from .safety import OF_A_STEP, OF_A_SUBSTANCE, met, missed

TABLE: Table = open_table()
BOOK: Rulebook = open_rulebook(TABLE)

# real mixtures of the schoolroom and the first-year laboratory, so that every technique that can hurt is met
MIXTURES = (
    "acetone and water", "ethanol and water", "methanol and ethanol", "hexane and octane", "acetone and toluene",
    "chloroform and benzene", "diethyl ether and hexane", "tetrahydrofuran and water", "propan-2-ol and water",
    "salt water", "copper sulfate solution", "sugar solution", "sea water", "sulfur and sand", "sulfur and salt",
    "salt and sand", "iodine and sand", "ammonium chloride and salt", "camphor and sand", "naphthalene and sand",
    "iron filings and sulfur", "vegetable oil and water", "hexane and water", "dichloromethane and water",
    "carbon tetrachloride and water", "kerosene and water", "toluene and water", "diethyl ether and water",
    "benzoic acid and naphthalene", "ethyl acetoacetate and benzyl benzoate", "glycerol and water",
    "iodine dissolved in water", "caffeine from tea bags", "orange peel", "aniline and water", "milk", "blood",
    "chlorophyll and carotene in propanone", "felt-tip ink", "glycine and leucine solution", "crude oil", "antifreeze",
    "hydrogen chloride and nitrogen", "methane and carbon dioxide", "nitrogen and oxygen", "copper and zinc powder",
    "lead iodide and sand", "sodium hydroxide and sand", "acetic acid and water", "potassium nitrate and sand",
    "nitrobenzene and water", "sodium and kerosene", "phenol and water", "ethyl acetate and water", "cyclohexane and toluene",
    "bromine and water",
)  # fmt: skip


@cache
def answer(words: str) -> tuple[Advice, tuple[tuple[PlanStep, tuple[Fact, ...]], ...]]:
    """The answer, and each step with the facts of what is in the vessel during it."""
    question = read_words(words, TABLE)
    assert not question.unknown, f"{words!r}: not understood: {question.unknown}"
    composer = Composer(TABLE, BOOK, question)
    advice = composer.answer()
    if not advice.plan:
        return advice, ()
    plan = (composer.planner.plans() or [])[0][1]
    bench = Bench(TABLE, BOOK.limits, question)
    present = []
    for step, shown in zip(plan.steps, advice.plan, strict=True):
        whole = step.proposal.outcome.whole if step.proposal.outcome.added else step.look.components
        present.append((shown, tuple(bench.facts(whole)["component"])))
    return advice, tuple(present)


@pytest.mark.parametrize("words", MIXTURES)
def test_every_hazard_is_warned_of(words: str) -> None:
    """Each step's cautions name each hazard of what is in the vessel and of the technique."""
    found = [fault for step, present in answer(words)[1] for fault in missed(BOOK, step, present)]
    assert not found, f"{words}: not warned of: {found}"


@pytest.mark.parametrize("words", MIXTURES)
def test_nothing_is_said_twice(words: str) -> None:
    """No caution of a step is contained in another caution of it."""
    _, steps = answer(words)
    for step, _ in steps:
        texts = [re.sub(r"[^a-z0-9 ]", "", caution.text.lower()) for caution in step.cautions]
        doubled = [a for i, a in enumerate(texts) for j, b in enumerate(texts) if i != j and a in b]
        assert not doubled, f"{words}: {step.technique}: {doubled}"


def test_every_kind_of_hazard_is_met() -> None:
    """The mixtures above meet each case at least once, so that no case passes unseen."""
    seen = {
        case.split(": ")[0]
        for words in MIXTURES
        for step, present in answer(words)[1]
        for case in met(BOOK, step, present)
    }
    assert seen == {*OF_A_SUBSTANCE, *OF_A_STEP}
