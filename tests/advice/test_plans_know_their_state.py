"""What a step leaves behind is what the next one finds, and a plan uses nothing that a question takes away.

Common practice, no source, unless a source is named at the test.
"""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from choosemethod import advise
from choosemethod.advice.ask import answer, opened
from choosemethod.mixture import OfferedOption, Question, Techniques
from choosemethod.reading import read_words


def read(words: str) -> Question:
    return read_words(words, opened()[0])


def test_acid_base_and_neutral_are_each_had_as_they_were() -> None:
    """Vogel, Practical Organic Chemistry: separation of an acid, a base and a neutral compound by extraction."""
    plan = advise("benzoic acid, aniline and naphthalene").plan
    products = [p for step in plan for p in step.gives if p.fate == "product"]
    assert sorted(p.components for p in products) == [("aniline",), ("benzoic acid",), ("naphthalene",)]
    assert not [p for step in plan for p in step.gives if p.fate == "recovered"], (
        "a reagent that has reacted is not used again"
    )
    assert [step.technique for step in plan].count("evaporation") == 1
    for step in plan:
        for reason in step.reasons:
            assert "does not dissolve in sodium" not in reason, "it is in there as its salt"


@pytest.mark.parametrize(
    "words",
    [
        "benzoic acid, 2-naphthol and naphthalene",
        "sand, salt and iron filings",
        "caffeine from tea",
        "zinc and copper powder",
    ],
)
def test_what_a_step_leaves_the_next_one_finds(words: str) -> None:
    plan = advise(words).plan
    assert all(step.before and step.after for step in plan)
    for step in plan:
        for number in {p.number for p in step.gives if p.fate == "continues"}:
            taken = plan[number - 1].before
            assert set(taken) <= set(step.after), (step.technique, taken, step.after)
    for step, following in itertools.pairwise(plan):
        if not step.gives:
            assert set(following.before) == set(step.after)


def test_a_neutralised_liquid_is_a_salt_solution() -> None:
    plan = advise("benzoic acid and naphthalene").plan
    spent = [p.components for step in plan for p in step.gives if p.fate == "spent"]
    assert spent and not [p for step in plan for p in step.gives if p.fate == "recovered"], "the reagent has reacted"


def test_without_a_fume_cupboard_nothing_fumes() -> None:
    found = advise("iodine and sand", without="fume cupboard")
    assert [step.technique for step in found.plan] == ["dissolving", "filtration"]
    assert all("sublimation" not in ref.techniques for ref in found.alternatives)
    assert advise("bromine and water", without="fume cupboard").refusal is not None


def test_the_azeotrope_is_that_of_the_place() -> None:
    """Ethanol and water at 1600 m (83.5 kPa, ISO 2533): 73.3 °C, from the model fitted to the measured equilibrium."""
    step = advise("ethanol and water", altitude="1600 m").plan[0]
    assert any("73.3 °C" in line for line in step.steps)
    assert not any("78.2 °C" in line for line in (*step.steps, *step.seen))


def test_a_mixture_begins_to_boil_at_a_temperature_of_its_own() -> None:
    """Acetone and water in equal volumes: between 62 and 65 °C (boiling diagram, Perry's handbook, section 13)."""
    step = advise("acetone and water").plan[0]
    assert any("begins to boil at about 6" in line for line in (*step.steps, *step.seen))
    assert not any("stays near 56" in line for line in (*step.steps, *step.seen))


def test_hydrochloric_acid_is_distilled_up_to_its_azeotrope() -> None:
    """20.2 % and 108.6 °C: from memory of azeotrope tables."""
    found = advise("hydrochloric acid and water")
    assert found.plan[0].technique == "simple-distillation"
    assert "108.6 °C" in found.plan[0].reasons[0] and "20.2 %" in found.plan[0].reasons[0]


def test_absolute_ethanol_takes_a_column_and_then_a_drying_agent() -> None:
    plan = advise("absolute ethanol from ethanol and water").plan
    assert [step.technique for step in plan] == ["fractional-distillation", "drying-agent"]
    assert {c.name for c in plan[1].before} == {"ethanol", "water"}


def test_no_rule_is_not_the_same_as_impossible() -> None:
    found = advise("hydrazine and water")
    assert found.refusal is None or found.refusal.kind != "not-separable"


@pytest.mark.parametrize(
    ("words", "excluded"), [("salt and sand", "filtration"), ("acetone and water", "simple-distillation")]
)
def test_an_excluded_technique_is_nowhere_used(words: str, excluded: str) -> None:
    question = replace(read(words), techniques=Techniques(excluded=(excluded,)))
    found = answer(*opened(), question)
    assert all(step.technique != excluded for step in found.plan)
    assert all(excluded not in ref.techniques for ref in found.alternatives)


def test_among_those_offered_only_these_are_ranked() -> None:
    offered = (OfferedOption("A", "decantation", ("decantation",)), OfferedOption("B", "sublimation", ("sublimation",)))
    question = replace(read("sand and water"), techniques=Techniques(offered=offered))
    found = answer(*opened(), question)
    assert found.plan[0].technique == "decantation"
    assert {t.technique for t in found.techniques} == {"decantation"}


def test_a_crude_solid_is_recrystallised() -> None:
    """Vogel, Practical Organic Chemistry: acetanilide and benzoic acid are recrystallised from water."""
    for words in ("impure acetanilide with a coloured impurity", "crude benzoic acid"):
        assert [step.technique for step in advise(words).plan] == ["recrystallisation"], words


def test_salt_crystallises_before_sugar() -> None:
    """For equal amounts: 39 g of salt, but 487 g of sugar dissolve in 100 g of boiling water (CRC Handbook)."""
    step = advise("sugar and salt").plan[0]
    assert step.gives[0].components == ("sodium chloride",)


def test_alternatives_yield_what_is_wanted() -> None:
    """Iodine that alkali has turned into iodide and iodate is no longer iodine; distilling ink does not show its dyes."""
    assert all("chemical-reaction" not in ref.techniques for ref in advise("iodine and sand").alternatives)
    assert all("simple-distillation" not in ref.techniques for ref in advise("red and blue ink").alternatives)
