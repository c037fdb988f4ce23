"""Selective precipitation: the classical scheme of qualitative analysis, as the steps of a plan.

What each group reagent brings down is that of the scheme in any text of qualitative inorganic analysis (common practice).
"""

from __future__ import annotations

import pytest

from choosemethod import advise


def _steps(words: str) -> list[tuple[str, str]]:
    """(technique, what it adds) of the plan for a question."""
    plan = advise(words).as_dict()["plan"]
    return [(step["technique"], step.get("adds") or "") for step in plan]


@pytest.mark.parametrize(
    ("words", "steps"),
    [
        ("Ag+ and Al3+ ions in solution", 1),
        ("Pb2+ and Bi3+ ions, by selective precipitation", 1),
        ("How can I separate Zn2+, Cu2+, and Al3+ using precipitation?", 2),
        ("Prepare a separation scheme for Ba2+, Al3+, Ag+, and Fe3+.", 3),
        ("separate chloride and iodide ions in solution", 1),
        ("separate Ca2+ and Mg2+ ions in solution", 1),
        ("separate Ba2+ and Sr2+ ions", 1),
        ("Fe3+ and Al3+ ions in solution", 1),
        ("Mn2+ and Zn2+ ions in solution", 1),
    ],
)
def test_ions_are_brought_down_one_after_the_other(words: str, steps: int) -> None:
    assert [technique for technique, _ in _steps(words)] == ["precipitation", "filtration"] * steps


@pytest.mark.parametrize("words", ["Na+ and K+ ions in solution", "sodium and potassium ions in a drop of sweat, measured"])
def test_what_nothing_brings_down_goes_over_a_resin(words: str) -> None:
    assert [technique for technique, _ in _steps(words)] == ["ion-exchange"]


@pytest.mark.parametrize("words", ["salt and sand", "salt water", "sugar and sand in water", "sodium chloride solution"])
def test_precipitation_is_not_for_what_holds_no_ions_to_part(words: str) -> None:
    assert "precipitation" not in [technique for technique, _ in _steps(words)]


def test_ammonia_is_never_added_while_silver_is_there() -> None:
    found = advise("Ag+, Cu2+ and Fe3+ ions in solution").as_dict()
    silver = True
    for step in found["plan"]:
        told = str(step)
        assert not (silver and step["technique"] == "precipitation" and "adding aqueous ammonia" in told)
        silver = silver and "silver chloride" not in told


def test_salts_are_parted_by_their_ions_where_precipitation_is_asked_for() -> None:
    """Silver and sodium nitrate: chloride takes the silver (solubility rules of any general chemistry text)."""
    asked = "an aqueous mixture of NaNO3 and AgNO3: how could you use a precipitation reaction to separate the two metals?"
    assert [step[0] for step in _steps(asked)][:2] == ["precipitation", "filtration"]
    assert "precipitation" not in [step[0] for step in _steps("sodium nitrate and potassium nitrate solution")]


def test_a_salt_and_its_ions_are_counted_once() -> None:
    asked = "A solution contains barium nitrate and lead(II) nitrate. How are the lead ions parted from the barium ions?"
    assert [step[0] for step in _steps(asked)] == ["precipitation", "filtration"]


@pytest.mark.parametrize("words", ["Al3+, Ba2+, Cu2+, Ni2+ ions in solution", "Ag+, Fe3+, Cu2+ and Ni2+ ions in solution"])
def test_coloured_ions_that_reagents_part_are_not_left_to_paper(words: str) -> None:
    """The mildest reagents first, sulfide last (the scheme of any text of qualitative inorganic analysis)."""
    plan = [technique for technique, _ in _steps(words)]
    assert plan == ["precipitation", "filtration"] * 3
    assert "Hydrogen sulfide" not in str(advise(words).as_dict()["plan"][0])


def test_what_is_named_as_a_reagent_is_used() -> None:
    steps = advise("separate Al3+ and Zn2+ ions using NH3").as_dict()["plan"]
    assert "aqueous ammonia" in str(steps[0]).lower()


def test_a_solubility_product_told_is_said_to_be_unused() -> None:
    found = advise("Cl- and I- ions in solution. Ksp(AgCl) = 1.8e-10 and Ksp of AgI = 8.5 x 10^-17. How are they separated?")
    told = str(found.as_dict())
    assert [step["technique"] for step in found.as_dict()["plan"]] == ["precipitation", "filtration"]
    assert "'Ksp(AgCl) = 1.8e-10', 'kind': 'property'" in told
    assert "'Ksp of AgI = 8.5 x 10^-17', 'kind': 'property'" in told
