"""An answer that rests on too little of its question is asked back, with what was left over and what it would be."""

from __future__ import annotations

import pytest

from choosemethod import advise
from choosemethod.advice.ask import opened
from choosemethod.advice.doubt import weighed
from choosemethod.advice.load_doubt import DOUBT
from choosemethod.data import read_file
from choosemethod.errors import DataError
from choosemethod.reading import read_words

# source: composed, own. Only one substance is recognised, and something else is said beside it.
LEFT_OVER = (
    "how do sugar makers turn brown raw sugar into white crystals",
    "Frobnicated water that somebody boiled with a glimmering residue: separate it",
    "The cook dropped a wobbling trinket among the flour",
    "What takes the pyridine away from my amine product?",
)
# One substance and nothing else, or one substance under two names: there is nothing to ask.
NOTHING_ELSE = ("sodium chloride", "pure water", "a mix of aspirin and acetylsalicylic acid", "ice and water")
SURE = ("sand and salt", "How can salt be separated from sea water?", "iron filings and sulfur powder", "ethanol and water")


@pytest.mark.parametrize("words", LEFT_OVER)
def test_nothing_to_separate_is_never_said_with_something_left_over(words: str) -> None:
    advice = advise(words)
    known = advice.status == "answered" and advice.about == "technique"  # from what is done in practice
    assert known or (advice.status in ("needs-information", "unknown") and not advice.plan)
    assert advice.refusal is None


@pytest.mark.parametrize("words", NOTHING_ELSE)
def test_one_substance_alone_is_still_one_substance(words: str) -> None:
    assert advise(words).status == "nothing-to-separate"


@pytest.mark.parametrize("words", SURE)
def test_a_plain_question_is_in_no_doubt(words: str) -> None:
    advice = advise(words)
    assert advice.status == "answered" and not advice.doubt and not advice.tentative


def test_what_is_left_over_is_told_with_the_question_back() -> None:
    advice = advise(LEFT_OVER[0])
    assert {"makers", "turn"} <= {one.text for one in advice.not_used}
    assert advice.doubt and advice.tentative.startswith("If it is only")


def test_more_left_over_never_weighs_less() -> None:
    table, _ = opened()
    plain = "Salt and sand are in a bucket. How are they separated?"
    longer = plain.replace("bucket.", "bucket with a wobbly handle that granny painted yesterday morning.")
    points = [weighed(advise(words), read_words(words, table))[0] for words in (plain, longer)]
    assert points[0] < points[1]


def test_a_faulty_file_is_refused_with_its_line(tmp_path: object) -> None:
    from pathlib import Path

    path = Path(str(tmp_path)) / "doubt.yaml"
    path.write_text("asks_from: 18\npoints:\n  wordz: {points: 1, says: x}\n", encoding="utf-8")
    with pytest.raises(DataError, match="wordz"):
        read_file(path, DOUBT, "rules/doubt.yaml")
