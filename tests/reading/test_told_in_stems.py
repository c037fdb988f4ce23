"""What a stem tells before it asks: properties by denial, what is at hand, how the mixture came to be, what is added and why.

The wordings are those of exam papers and worksheets; the readings are common practice, no source.
"""

from __future__ import annotations

import pytest

from choosemethod import advise
from choosemethod.mixture import Question
from choosemethod.reading import read_words
from choosemethod.table import open_table

TABLE = open_table()


def read(text: str) -> Question:
    return read_words(text, TABLE)


def test_the_liquid_a_thing_does_not_dissolve_in() -> None:
    told = read("X dissolves in water but not in hexane, Y in hexane and not in water, Z dissolves in neither.").given
    assert told["substance-x"]["solubility: water"] == "soluble"
    assert told["substance-x"]["solubility: hexane"] == "insoluble"
    assert told["substance-z"]["solubility: water"] == told["substance-z"]["solubility: hexane"] == "insoluble"


def test_both_are_the_liquids_told_of_before() -> None:
    told = read("Solid P is soluble in ethanol and insoluble in water. Solid Q is soluble in both. Separate P and Q.").given
    assert told["solid-q"]["solubility: water"] == told["solid-q"]["solubility: ethanol"] == "soluble"


@pytest.mark.parametrize("kit", ["You have water, hexane and filter paper.", "You are given a beaker, water and hexane."])
def test_what_stands_in_a_list_with_apparatus_is_at_hand(kit: str) -> None:
    question = read(f"X dissolves in water, Y dissolves in hexane. {kit} Separate X and Y.")
    assert set(question.mixture.substances) == {"substance-x", "substance-y"}


def test_letters_in_brackets_are_no_answers_offered() -> None:
    question = read("Two liquids (A) and (B) boil at 60 °C and 110 °C. Which of the liquids comes over first?")
    assert not question.techniques.offered
    assert question.mixture.substances == ("liquid-a", "liquid-b")


def test_an_azeotropic_mixture_has_the_composition_of_the_azeotrope() -> None:
    """95.6 % by mass: CRC Handbook, azeotropic data (as in the table)."""
    first = read("an azeotropic mixture of ethanol and water").mixture.components[0]
    assert first.share == pytest.approx(0.956, abs=0.002)
    assert read("ethanol and water form an azeotrope").mixture.components[0].share is None


def test_the_first_drops_say_nothing_of_the_amount() -> None:
    assert not read("ethanol and butan-1-ol are distilled; the first few drops are thrown away").setting.small
    assert read("a few drops of ethanol and butan-1-ol").setting.small


def test_what_is_told_to_be_of_no_use_is_no_answer() -> None:
    told = "Acetone and chloroform cannot be separated from each other by fractional distillation."
    assert read(f"{told} What can be done?").techniques.excluded == ("fractional-distillation",)
    assert not read("Which liquids cannot be parted from each other by fractional distillation?").techniques.excluded


@pytest.mark.parametrize(
    ("text", "slug"),
    [
        ("Why was anhydrous magnesium sulfate added to the organic layer?", "drying-agent"),
        ("What is the purpose of the charcoal that is added to the brown solution?", "adsorption"),
        ("The ether layer is washed with sodium hydrogencarbonate. Why is it washed?", "acid-base-extraction"),
        ("What is the purpose of adding alum to the muddy water?", "coagulation"),
        ("Why is cold ethanol added to the filtrate of strawberry DNA?", "precipitation"),
        ("What is the purpose of adding sodium chloride before an organic layer is taken off?", "salting-out"),
    ],
)
def test_what_is_added_for_a_purpose_names_the_technique(text: str, slug: str) -> None:
    assert [step.technique for step in advise(text).plan][:1] == [slug]


def test_labels_in_a_series_are_no_formulas() -> None:
    question = read("Four proteins: P1: Mr = 12000, P2: Mr = 62000, P3: Mr = 28000, P4: Mr = 9000. Separate them.")
    assert "white-phosphorus" not in question.mixture.substances
    assert "white-phosphorus" in read("P4 and sand").mixture.substances


@pytest.mark.parametrize("text", ["A hospital measures lead in water.", "A colander holds rice and water.", "Tube A holds rice."])
def test_an_article_and_a_label_of_a_vessel_stand_for_no_substance(text: str) -> None:
    assert "substance-a" not in read(text).mixture.substances


def test_a_row_of_a_table_in_words_tells_of_what_stands_before_the_colon() -> None:
    text = "Separate water, oil and nickel. Water: clear liquid. Vegetable oil: pale yellow liquid. Nickel: grey solid filings."
    question = read(text)
    assert set(question.mixture.substances) == {"water", "vegetable-oil", "nickel"} and not question.wish.remove


def test_what_a_mixture_acts_as_is_no_part_of_it() -> None:
    question = read("A mixture of oil and water acts as both a coolant and a lubricant. Separate the oil and the water.")
    assert set(question.mixture.substances) == {"vegetable-oil", "water"}


def test_an_alloy_beside_other_parts_is_a_metal_of_its_own() -> None:
    assert set(read("Remove the steel from the brass filings.").mixture.substances) == {"steel", "brass-pieces"}


def test_parts_of_a_question_are_no_answers_offered() -> None:
    assert not read("Salt water is heated. (i) Name the method. (ii) Which gas escapes? (iii) State its use.").techniques.offered


def test_heating_of_what_was_distilled_is_no_reaction() -> None:
    told = "A mixture of acetone and toluene was distilled. On heating it the temperature stayed at 56 °C."
    assert not read(told).mixture.really


def test_the_technique_that_is_told_of_is_answered_where_no_plan_is_sure() -> None:
    """Caesium chloride gradients of plasmid DNA: common practice, no source."""
    text = "Why do you add ethidium bromide when you use CsCl density gradient centrifugation to purify plasmid DNA?"
    assert [step.technique for step in advise(text).plan] == ["centrifugation"]
    assert advise("Separate flurb from sand by filtration.").status == "unknown"


def test_proteins_alike_in_size_are_told_apart_by_their_charge() -> None:
    stem = "Two proteins have the same mass and isoelectric points of 5 and 9. Which technique separates them?"
    assert advise(f"{stem} A) gel filtration B) ion exchange C) dialysis").option.startswith("B")
