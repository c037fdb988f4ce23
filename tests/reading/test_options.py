"""Where answers to choose from stand in a question. The stems are those of question banks: common practice, no source."""

from __future__ import annotations

import pytest

from choosemethod.reading import read_words
from choosemethod.table import open_table


def offered(text: str) -> list[tuple[str, str, tuple[str, ...]]]:
    """Letter, words and techniques of the answers offered in a question."""
    return [tuple(one[:3]) for one in read_words(text, open_table()).techniques.offered]  # type: ignore[misc]


@pytest.mark.parametrize(
    "style",
    [
        "A) {} B) {} C) {}",
        "(a) {} (b) {} (c) {}",
        "a.) {} b.) {} c.) {}",
        "A. {} B. {} C. {}",
        "A {} B {} C {}",
        "1. {} 2. {} 3. {}",
        "i) {} ii) {} iii) {}",
        "(i) {} (ii) {} (iii) {}",
        "1 {} 2 {} 3 {}",
        "I. {} II. {} III. {}",
    ],
)
def test_letters_in_any_style(style: str) -> None:
    found = offered("Sand is got out of water by: " + style.format("filtration", "a separating funnel", "distillation"))
    assert [(text, techniques) for _, text, techniques in found] == [
        ("filtration", ("filtration",)),
        ("a separating funnel", ("separating-funnel",)),
        ("distillation", ("simple-distillation",)),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Butter is got from curd by: winnowing, churning, sieving or threshing?",
        "Which method separates gold from sand? (sieving, decanting, gravity separation, magnetic separation)",
        "Select from the list the way to part two liquids: filtration, evaporation, distillation, using a separating funnel.",
        "An oil is purified in this way: filtration / crystallisation / distillation / steam distillation",
        "Which ore is concentrated with a magnet? Haematite / Magnetite / Bauxite / Galena",
        "Choose for each: a) sugar from sultanas (methods: sieving, decanting, filtration, chromatography)",
        "From the box (sieving, decanting, filtration, chromatography): sugar from sultanas",
        "Which of the following is separated by sublimation: sand and salt, camphor and salt, sugar and water, oil and water?",
    ],
)
def test_a_bare_list_after_a_choice(text: str) -> None:
    found = offered(text)
    assert len(found) == 4
    assert all(letter == words for letter, words, _ in found)


@pytest.mark.parametrize(
    "text",
    [
        "Separate this mixture: sand, salt, and iron filings",
        "Which method separates the following: sand, salt, iron filings?",
        "How do you separate sand and salt? You have: a magnet, a sieve, filter paper and water.",
        "Liquid A boils at 60 °C. Liquid B boils at 100 °C. How are they separated?",
        "I have tried everything (filtration, decantation, sieving) to get mud out of water.",
        "Separate a mixture of three solids (sand, salt, iron filings).",
        "Air is passed through sodium hydroxide. (i) Which gas is removed? (ii) Why must it be removed?",
    ],
)
def test_what_offers_no_answers(text: str) -> None:
    assert offered(text) == []


def test_what_follows_the_last_answer_is_no_part_of_it() -> None:
    text = "Which is no mixture? A) air B) mercury C) milk. How could it be separated?"
    question = read_words(text, open_table())
    assert [one.text for one in question.techniques.offered] == ["air", "mercury", "milk"]
    assert question.stem.split() == ["Which", "is", "no", "mixture?", "How", "could", "it", "be", "separated?"]


def test_an_order_of_techniques_is_one_answer_and_a_principle_is_none() -> None:
    found = offered("Which order? A) winnowing followed by sieving B) filtration, then evaporation C) sublimation")
    assert [techniques for _, _, techniques in found] == [
        ("winnowing", "sieving"),
        ("filtration", "evaporation"),
        ("sublimation",),
    ]
    found = offered("Distillation needs liquids that differ in A) solubility B) melting point C) boiling point")
    assert [techniques for _, _, techniques in found] == [(), (), ()]


@pytest.mark.parametrize(
    "text",
    [
        "Steps: 1. filter 2. evaporate the filtrate 3. add water. What order is right? A 1, 2, 3 B 3, 1, 2 C 2, 3, 1",
        "To get the salt one can I filter, II evaporate the filtrate, III add water. In what sequence? A) I, II, III B) III, I, II",
        "Steps: (i) filter (ii) evaporate the filtrate (iii) add water. Which order is right? (a) i, ii, iii (b) iii, i, ii",
    ],
)
def test_letters_that_stand_for_other_letters(text: str) -> None:
    found = read_words(text, open_table()).techniques.offered
    words = [[words.split()[0] for _, words, _ in one.parts] for one in found]
    assert ["add", "filter", "evaporate"] in words
    assert all(words) and len(found) in (2, 3)  # the parts themselves are not to be chosen
