"""Answers that are not the best but part the mixture, answers in pupils' words, and answers that stay wrong or unsafe.

Each question has the source where it, or the chemistry that decides it, is published. "Common practice, no source":
a fact of the trade. The wordings are such as pupils write: common practice, no source.
"""

from __future__ import annotations

import pytest

from choosemethod.advice.ask import opened
from choosemethod.classroom.worksheet import Asked, Checker
from choosemethod.errors import DataError
from choosemethod.judging.answers import TechniqueReader
from choosemethod.judging.rules import judging

GOOD = ("right", "acceptable")
BAD = ("wrong", "unsafe")


@pytest.fixture(scope="module")
def checker() -> Checker:
    return Checker()


@pytest.mark.parametrize(
    ("mixture", "want", "without", "answer"),
    [
        # undergraduate analytical experiment on cobalt and nickel; from memory
        ("cobalt(II) and nickel(II) chlorides in solution", "", "", "solvent extraction"),
        # industrial inorganic chemistry: potash flotation with an amine; from memory
        ("potassium chloride from sylvinite (KCl + NaCl)", "potassium chloride", "", "froth flotation"),
        # Practical Organic Chemistry, note on ethyl acetoacetate, p. 268
        ("ethyl acetoacetate crude product", "ethyl acetoacetate", "no vacuum", "fractional distillation"),
        # benzoic acid 2.7 g/L at 18 °C: Wikipedia, Benzoic acid
        ("benzoic acid and table salt", "", "", "recrystallisation"),
        # solubility of salicylic acid and sucrose in water and ether; from memory
        ("salicylic acid plus table sugar", "salicylic acid", "", "solvent extraction"),
        ("salicylic acid plus table sugar", "salicylic acid", "", "acid-base extraction"),
        ("salicylic acid plus table sugar", "salicylic acid", "", "recrystallisation"),
        # both sublime, and both are volatile enough for a gas chromatograph; from memory
        ("camphor and naphthalene together", "", "", "gas chromatography"),
        ("camphor and naphthalene together", "", "", "thin-layer chromatography"),
        # handbook boiling points; from memory
        ("chloroform and benzene", "", "", "gas chromatography"),
        # NCERT Science class 6, chapter Separation of Substances; from memory
        ("tea leaves left in the pot, I just want to drink the tea", "tea", "", "use a tea strainer"),
        ("muddy water", "clear water", "", "leave it to settle, then filter"),
        ("polystyrene beads and sand", "", "", "float the polystyrene off with water"),
        ("pebbles and rice", "", "", "hand picking"),
        # NCERT Chemistry class 12, Surface chemistry; from memory
        ("soot particles from chimney smoke", "", "", "gas absorption"),
        # OCR A-level Biology practical PAG 6.1 (chromatography of plant pigments)
        ("chlorophyll and carotene from leaves", "", "", "grind with propanone and run a paper chromatogram"),
        # common practice, no source
        ("carbon dioxide and oxygen", "", "", "pass the gas through lime water"),
        ("benzoic acid and naphthalene dissolved in ether", "", "", "shake with NaOH then separate layers, acidify and filter"),
        ("caffeine from tea", "caffeine", "", "shake the tea with dichloromethane, separate the layers, evaporate the solvent"),
        ("aniline and toluene", "", "", "extract with hydrochloric acid"),
        ("salt water", "pure water", "", "boil it and condense the steam"),
        ("ethanol and water", "", "", "distil with a fractionating column"),
        ("oil and water", "", "", "seperating funnel"),
        ("oil and water", "", "", "let it settle and pour the oil off the top"),
    ],
)  # fmt: skip
def test_what_parts_the_mixture_is_accepted(
    checker: Checker, mixture: str, want: str, without: str, answer: str
) -> None:
    found = checker.check(Asked(mixture, answer, wish=want, constraint=without))
    assert found.verdict in GOOD, found.reason


@pytest.mark.parametrize(
    ("mixture", "want", "answer"),
    [
        # NCERT Science class 9, chapter Is Matter Around Us Pure; from memory
        (
            "salt and sand",
            "",
            "recrystallisation",
        ),  # salt dissolves hardly better hot: CRC Handbook, solubility of NaCl
        ("salt and sand", "", "solvent extraction"),
        ("salt and sugar", "", "sieving"),
        ("sand and water", "", "use a sieve"),  # grains below 1 mm pass a kitchen sieve
        ("alcohol and water", "", "separating funnel"),
        ("acetone and water", "", "seperating funnel"),
        ("salt water", "", "gas chromatography"),
        ("salt water", "water", "fractional distillation, filtration"),
        ("copper(II) sulfate solution", "copper sulfate crystals", "evaporate to dryness"),
        # a wanted gas is not led through what holds it back: common practice, no source
        ("moist ammonia", "dry ammonia", "gas absorption"),
        # an organic solvent is no reagent: common practice, no source
        ("benzoic acid and naphthalene, no organic solvents", "", "solvent extraction"),
        ("something in a bag", "", "filtration"),
    ],
)
def test_what_does_not_part_it_stays_wrong(checker: Checker, mixture: str, want: str, answer: str) -> None:
    found = checker.check(Asked(mixture, answer, wish=want))
    assert found.verdict not in GOOD, found.reason


# Bretherick's Handbook of Reactive Chemical Hazards; from memory. Flames and closed vessels: common practice, no source.
@pytest.mark.parametrize(
    ("mixture", "answer"),
    [
        ("bleach and salt", "add hydrochloric acid"),
        ("bleach and salt", "add acid, then evaporate"),
        ("calcium carbide and sand", "add water and filter"),
        ("ammonium nitrate and sand", "dissolve, filter and heat the solution to dryness over a bunsen"),
        ("potassium chlorate and manganese dioxide", "dissolve, filter, evaporate"),
        ("iodine, iron filings and sand", "sublimation, then magnetic separation"),
        ("hydrogen and oxygen", "gas chromatography"),
        ("arsenic trioxide and sand", "sublimation"),
        ("ethanol and water", "boil the alcohol off over a naked flame"),
        ("toluene and water", "heat in a sealed flask and distil"),
    ],
)
def test_a_wider_judge_is_no_less_safe(checker: Checker, mixture: str, answer: str) -> None:
    found = checker.check(Asked(mixture, answer))
    assert found.verdict == "unsafe", found.reason


def test_dilute_acid_meant_by_the_bare_name_is_not_called_dangerous(checker: Checker) -> None:
    """Zinc is dissolved away from copper with dilute sulfuric acid: common practice, no source."""
    assert checker.check(Asked("copper and zinc powder", "add sulfuric acid, filter off the copper")).verdict in GOOD


def reader() -> TechniqueReader:
    table, book = opened()
    return TechniqueReader(table, judging(), [t.id for t in book.techniques.values() if t.adds])


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("pour the oil off the top", "decantation"),
        ("boil all of the water away", "evaporation"),
        ("let the sand sink then tip the water off", "sedimentation decantation"),
        ("use a sepparating funnel", "separating-funnel"),
        ("let the wind blow away the husk", "winnowing"),
        ("run a paper chromatogram", "paper-chromatography"),
        ("put a spot on paper and stand it in water", "paper-chromatography"),
        ("they boil at different temperatures", ""),
        ("pour and then switch the burner off", ""),
    ],
)
def test_phrases_in_two_parts_and_misspelt_names(text: str, expected: str) -> None:
    said = reader().read(text)
    assert [" ".join(step.slugs[0] for step in steps) for steps in said.choices] == ([expected] if expected else [])


def test_shaking_with_something_takes_up_what_it_is_shaken_with() -> None:
    (steps,) = reader().read("shake the tea with ether").choices
    assert steps[0].adds == ("diethyl-ether",)
    assert reader().read("shake the tea with great care").choices == ()


def test_one_technique_said_twice_over_is_one_step() -> None:
    (steps,) = reader().read("distil with a fractionating column").choices
    assert [step.slugs for step in steps] == [("fractional-distillation",)]
    (steps,) = reader().read("distil, then use a fractionating column").choices
    assert len(steps) == 2


def test_rules_of_judging_name_techniques_and_rules_that_exist() -> None:
    _, book = opened()
    rules = judging()
    assert set(rules.danger_rules) <= set(book.rules)
    for instead in rules.instead:
        assert {instead.said, *instead.steps} <= set(book.techniques)


def test_a_faulty_entry_is_refused_with_its_line(tmp_path: object) -> None:
    from pathlib import Path
    from shutil import copytree

    from choosemethod.places import rules_folder

    folder = Path(str(tmp_path)) / "rules"
    copytree(rules_folder(), folder)
    path = folder / "judging.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("off: organic}", "off: yellow}", 1), encoding="utf-8")
    with pytest.raises(DataError, match="yellow"):
        judging(folder)
