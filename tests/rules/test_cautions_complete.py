"""No safety advice is lost between the caution rules and the techniques: what every step of a kind must be told.

What must be said is common practice; the hazard classes come from each substance's own hazard statements (Regulation
(EC) No 1272/2008, Annex III) and the usual list of peroxide formers (Prudent Practices in the Laboratory, National
Research Council 2011, chapter 6).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache

import pytest

from choosemethod.advice.answer import Advice, PlanStep
from choosemethod.advice.compose import Composer
from choosemethod.describe import Bench
from choosemethod.facts import Fact
from choosemethod.reading import read_words
from choosemethod.rulebook import Rulebook, open_rulebook
from choosemethod.table import Table, open_table

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
    "nitrobenzene and water", "phenol and water", "ethyl acetate and water", "cyclohexane and toluene",
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


def said(step: PlanStep) -> str:
    """All that a reader of the step is told to beware of."""
    return " ".join(caution.text for caution in step.cautions).lower()


def traits(step: PlanStep) -> tuple[str, ...]:
    """Traits of the step's technique."""
    return BOOK.techniques[step.technique].traits


Case = Callable[[PlanStep, Fact], bool]

# what is the case, and what must then be among the cautions of that step
OF_A_SUBSTANCE: dict[str, tuple[Case, tuple[str, ...]]] = {
    "a flammable liquid is heated": (
        lambda step, fact: (
            "heats" in traits(step) and fact.slots["phase"] == "liquid" and fact.slots["flammable"] == "yes"
        ),
        (r"no (naked )?flame", r"mantle|water bath"),
    ),
    "a flammable liquid stands open or is shaken": (
        lambda step, fact: fact.slots["phase"] == "liquid" and fact.slots["flammable"] == "yes",
        (r"flame",),
    ),
    "a flammable gas": (lambda _, fact: fact.slots["phase"] == "gas" and fact.slots["flammable"] == "yes", (r"flame",)),
    "a peroxide former is heated": (
        lambda step, fact: "heats" in traits(step) and fact.slots["peroxide_former"] == "yes",
        (r"test it for peroxides", r"dryness"),
    ),
    "a peroxide former is not heated": (
        lambda step, fact: "heats" not in traits(step) and fact.slots["peroxide_former"] == "yes",
        (r"peroxides", r"fresh or tested"),
    ),
    "a harmful vapour is driven off": (
        lambda step, fact: "heats" in traits(step) and fact.slots["toxic_vapour"] == "yes",
        (r"fume cupboard",),
    ),
    "a volatile harmful liquid": (
        lambda _, fact: fact.slots["phase"] in ("liquid", "gas") and fact.slots["toxic_vapour"] == "yes",
        (r"fume cupboard",),
    ),
    "a toxic substance": (lambda _, fact: fact.slots["toxic"] == "yes", (r"toxic|poison",)),
    "a carcinogen": (lambda _, fact: fact.slots["carcinogenic"] == "yes", (r"cancer",)),
    "a corrosive substance": (lambda _, fact: fact.slots["corrosive"] == "yes", (r"corrosive", r"goggles")),
    "an oxidising solid": (
        lambda _, fact: fact.slots["oxidising"] == "yes" and fact.slots["phase"] == "solid",
        (r"oxidising",),
    ),
    "not used in schools": (lambda _, fact: fact.slots["school_use"] == "not in schools", (r"not used in schools",)),
}  # fmt: skip
OF_A_STEP: dict[str, tuple[Callable[[PlanStep], bool], tuple[str, ...]]] = {
    "boiling from a flask": (lambda step: "boils" in traits(step), (r"dryness",)),
    "boiling in the open apparatus": (lambda step: "open to air" in traits(step), (r"open to the air", r"bursts")),
    "vacuum": (lambda step: "vacuum" in traits(step), (r"implode", r"screen", r"goggles")),
    "a funnel is shaken": (
        lambda step: "closed while shaking" in traits(step),
        (r"\bvent", r"away from people", r"stopper out"),
    ),
    "a solution is boiled down": (
        lambda step: step.technique in ("evaporation", "crystallisation"),
        (r"spits|spoil", r"dry|stop"),
    ),
    "anything at all": (lambda step: step.technique != "churning", (r"eye protection", r"local safety rules")),
}


def _looked_for(text: str, wanted: tuple[str, ...]) -> list[str]:
    return [pattern for pattern in wanted if not re.search(pattern, text)]


@pytest.mark.parametrize("words", MIXTURES)
def test_every_hazard_is_warned_of(words: str) -> None:
    """Each step's cautions name each hazard of what is in the vessel and of the technique."""
    _, steps = answer(words)
    lacking = []
    for step, present in steps:
        text = said(step)
        for name, (holds, wanted) in OF_A_SUBSTANCE.items():
            for fact in present:
                if holds(step, fact):
                    lacking += [
                        f"{step.technique}: {name}: {fact.slots['name']}: {p}" for p in _looked_for(text, wanted)
                    ]
        for name, (does, wanted) in OF_A_STEP.items():
            if does(step):
                lacking += [f"{step.technique}: {name}: {p}" for p in _looked_for(text, wanted)]
    assert not lacking, f"{words}: not warned of: {lacking}"


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
    steps = [(step, present) for words in MIXTURES for step, present in answer(words)[1]]
    met = {
        name
        for name, (holds, _) in OF_A_SUBSTANCE.items()
        for step, present in steps
        if any(holds(step, f) for f in present)
    }
    met |= {name for name, (does, _) in OF_A_STEP.items() for step, _ in steps if does(step)}
    assert met == {*OF_A_SUBSTANCE, *OF_A_STEP}
