"""Everyday materials: an unknown word before one says of which plant it is, and nothing named vanishes from a question.

That oils of seeds float on water and do not mix with it, and that seeds do not dissolve, is common practice, no source.
"""

from __future__ import annotations

import pytest

from choosemethod import advise


@pytest.mark.parametrize(
    ("words", "technique", "taken"),
    [
        ("neem oil and water", "separating-funnel", "neem oil is not in the table: taken as vegetable oil"),
        ("moringa seeds and salt", "sieving", "moringa seeds is not in the table: taken as seeds"),
        ("neem leaves and water", "filtration", "neem leaves is not in the table: taken as leaves"),
    ],
)
def test_the_noun_of_a_material_decides_and_it_is_said(words: str, technique: str, taken: str) -> None:
    told = advise(words).as_dict()
    assert [step["technique"] for step in told["plan"]] == [technique]
    assert taken in told["mixture"]["understood"]


@pytest.mark.parametrize("words", ["zorbyl oil and water", "neem chloride and water", "zorb acid and sand"])
def test_a_word_that_may_be_of_a_compound_stays_unknown(words: str) -> None:
    assert advise(words).as_dict()["status"] == "unknown"


@pytest.mark.parametrize("verb", ["pour", "spill", "drop"])
def test_an_adverb_before_a_verb_leaves_it_a_verb(verb: str) -> None:
    told = advise(f"You accidentally {verb} olive oil into some water. How can you separate them again?").as_dict()
    assert [step["technique"] for step in told["plan"]] == ["separating-funnel"]


@pytest.mark.parametrize(
    ("words", "asked"), [("separate the boys and sand", "boys"), ("ring in a sack of flour", "ring"), ("sand and stuffs", "stuffs")]
)
def test_nothing_is_left_to_separate_only_where_nothing_is_left_over(words: str, asked: str) -> None:
    told = advise(words).as_dict()
    assert told["status"] == "needs-information"
    assert any(asked in one["what"] for one in told["missing"])


def test_a_list_goes_on_past_a_tool_and_numbers_that_tell_nothing_are_told() -> None:
    told = advise("petroleum ether 60-80, beakers and water").as_dict()
    assert [one["name"] for one in told["mixture"]["components"]] == ["petroleum ether", "water"]
    assert any(one["text"] == "60-80" for one in told["mixture"]["not_used"])


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        ("bark and pine needles", ["bark", "pine needles"]),
        ("hay, grass and sand", ["hay", "grass", "sand"]),
        ("sea sand and river sand", ["sand"]),
        ("rice with stones, how are the rocks removed?", ["rice", "stones"]),
    ],
)
def test_two_names_of_one_everyday_kind_in_a_list_are_two_things(words: str, parts: list[str]) -> None:
    assert [one["name"] for one in advise(words).as_dict()["mixture"]["components"]] == parts


@pytest.mark.parametrize(
    ("words", "forms"),
    [
        ("alum crystals in a mother liquor", {"potassium alum": "suspended", "water": "liquid"}),
        ("alum crystals wanted from a solution", {"potassium alum": "dissolved", "water": "liquid"}),
        ("dichloromethane extract of clove oil", {"dichloromethane": "liquid", "eugenol": "dissolved"}),
        ("iodine (I) and carbon (C)", {"iodine": "solid", "carbon": "solid"}),
        ("35Cl and 37Cl", {"chlorine 35": "gas", "chlorine 37": "gas"}),
    ],
)
def test_what_is_there_and_in_what_form(words: str, forms: dict[str, str]) -> None:
    assert {one["name"]: one["form"] for one in advise(words).as_dict()["mixture"]["components"]} == forms


def test_what_is_named_to_be_added_and_no_step_uses_is_told() -> None:
    assert any(one["text"] == "sucrose" for one in advise("put sugar into tea").as_dict()["mixture"]["not_used"])


def test_what_a_process_separates_is_not_what_it_is_done_with() -> None:
    told = advise("Name the process by which water is separated from rice and pulses after washing them.").as_dict()
    assert [step["technique"] for step in told["plan"]] == ["filtration"]


def test_grain_is_sieved_out_of_something_much_finer() -> None:
    told = advise("Rice grains are separated from common salt by __________.").as_dict()
    assert [step["technique"] for step in told["plan"]] == ["sieving"]


def test_an_amount_after_a_dash_is_of_what_stands_before_it() -> None:
    shown = advise("sand - 20 g and salt -5 g").as_dict()["mixture"]["understood"]
    assert any("20 g" in line and "5 g" in line for line in shown)
