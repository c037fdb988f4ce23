"""Things are spoken of by the names the question gives them.

Names: IUPAC, Nomenclature of Organic Chemistry 2013 (propanone and acetone, P-64.2.2.1); common practice, no source
(common salt is sodium chloride).
"""

from __future__ import annotations

import re

import pytest

from choosemethod import advise
from choosemethod.show.words import render_words


@pytest.mark.parametrize(
    ("asked", "said", "here"),
    [
        ("common salt and sand", "common salt", "sodium chloride"),
        ("propanone and water", "propanone", "acetone"),
        ("alcohol and water", "alcohol", "ethanol"),
    ],
)
def test_the_words_of_the_question_are_used(asked: str, said: str, here: str) -> None:
    advice = advise(asked)
    assert (here, said) in advice.called
    before, _, after = re.sub(r"\s+", " ", render_words(advice)).partition("Left out here")
    assert f"{said} ({here})" in before.lower(), "both names where it says what was understood"
    assert len(re.findall(rf"\b{here}\b", before.lower())) == 1
    assert said in before.lower().partition(f"({here})")[2]
    assert after


@pytest.mark.parametrize(
    "asked", ["sodium chloride and sand", "acetone and water", "iron filings and sulfur", "NaCl and sand"]
)
def test_a_name_is_kept_where_nothing_better_is_asked(asked: str) -> None:
    """The name of the table itself, a plural that the sentences are not made for, a formula."""
    assert advise(asked).called == ()
