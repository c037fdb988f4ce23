"""Limits in two hundred phrasings: each is obeyed, or it is told that it was not understood; none is broken silently.

The phrasings are composed, our own. A frame stands with every thing of its row; after the thing comes the key of
rules/setting/without.yaml, the id of a substance or the slug of a technique that may then not be used.
"""

from __future__ import annotations

import pytest

from choosemethod.reading import read_words, without_implied
from choosemethod.table import Table

MIXTURE = "Separate sand from salt"
APPARATUS = {
    "filter paper": "filter-paper", "centrifuge": "centrifuge", "magnet": "magnet", "sieve": "sieve", "Bunsen burner": "burner",
    "separating funnel": "separating-funnel", "hot plate": "hot-plate", "vacuum pump": "vacuum-pump",
}  # fmt: skip
APPARATUS_FRAMES = (
    "{mixture} without a {thing}.", "{mixture}; there is no {thing}.", "{mixture}, but the school has no {thing}.",
    "{mixture}. We do not have a {thing}.", "{mixture}. I don't have any {thing}.", "{mixture}. The {thing} is broken.",
    "{mixture}. No {thing} is available.", "{mixture}. A {thing} is not available.", "{mixture}. Our {thing} has gone missing.",
    "{mixture} when you have no {thing} at hand.", "{mixture}. You may not use a {thing}.", "{mixture}. Do not use the {thing}.",
    "{mixture} with neither a {thing} nor a desiccator.", "{mixture} by any method except with a {thing}.",
    "{mixture}. The lab lacks a {thing}.", "Without using a {thing}, {mixture}.", "With no {thing}, {mixture}.",
    "{mixture}. Using the {thing} is forbidden.", "{mixture}, avoiding the {thing}.",
    "{mixture}. The {thing} cannot be used today.", "{mixture}; a {thing} may not be used.",
    "{mixture}, a {thing} being forbidden here.",
    "{mixture}. We have run out of {thing}.", "{mixture}. Nobody brought a {thing}.", "{mixture} in the absence of a {thing}.",
)  # fmt: skip
DEEDS = {
    "heating": "heat", "filtration": "filter-paper", "distillation": "distillation-apparatus",
    "chromatography": "chromatography",
}  # fmt: skip
DEED_FRAMES = (
    "{mixture} without {thing}.", "{mixture} without any {thing}.", "{mixture} other than by {thing}.",
    "{mixture}. {thing} is not allowed.", "{mixture} and do it without {thing}.", "{mixture} if {thing} is not possible.",
    "{mixture}, no {thing} please.", "{mixture}. Avoid {thing}.", "{mixture} by a method that is not {thing}.",
    "{mixture} instead of {thing}.", "{mixture}. {thing} must not be used.", "{mixture} with anything but {thing}.",
)  # fmt: skip
REAGENTS = {
    "water": "water", "acid": "acids", "organic solvents": "organic-solvents", "chemicals": "chemicals", "ethanol": "ethanol",
}  # fmt: skip
REAGENT_FRAMES = (
    "{mixture} without {thing}.", "{mixture} without adding {thing}.", "{mixture}. Do not add {thing}.",
    "{mixture}. No {thing} allowed.",
    "{mixture}; you cannot use {thing}.", "{mixture}. We have no {thing} left.", "{mixture} and never use {thing}.",
)  # fmt: skip
WHOLE = {
    "{mixture}. Only water may be used.": "organic-solvents",
    "{mixture} with water as the only solvent.": "organic-solvents",
    "{mixture}. The salt must be kept dry.": "water",
    "{mixture}. It must not get wet.": "water",
    "{mixture}. Nothing may be heated.": "heat",
    "{mixture}. It must stay cold.": "heat",
    "{mixture} at room temperature only.": "heat",
    "{mixture}. The power is off.": "electricity",
    "{mixture} where there is no electricity.": "electricity",
    "{mixture} with no naked flame in the room.": "open-flame",
    "{mixture}. The fume cupboard is out of order.": "fume-cupboard",
    "{mixture}. Keep away from flames.": "open-flame",
    "{mixture} in a kitchen.": "laboratory",
    "{mixture} at home.": "laboratory",
    "{mixture} with simple equipment only.": "expensive-equipment",
    "{mixture} by physical methods only.": "chemicals",
    "{mixture}. Ethanol is not allowed in our school.": "ethanol",
    "{mixture}. Propanone may not be used here.": "acetone",
}
PHRASINGS = (
    [(frame, thing, key) for n, frame in enumerate(APPARATUS_FRAMES) for thing, key in list(APPARATUS.items())[n % 2 :: 2]]
    + [(frame, thing, key) for frame in DEED_FRAMES for thing, key in DEEDS.items()]
    + [(frame, thing, key) for frame in REAGENT_FRAMES for thing, key in REAGENTS.items()]
    + [(frame, "", key) for frame, key in WHOLE.items()]
)
LEAST_OBEYED = 0.9  # of the first run 0.82, with 29 broken silently


def _read(table: Table, frame: str, thing: str, key: str) -> str:
    """obeyed, reported or broken."""
    words = frame.format(mixture=MIXTURE, thing=thing)
    question = read_words(words[:1].upper() + words[1:], table)
    if key in without_implied(question.setting.without) or question.techniques.excluded:
        return "obeyed"
    told = [one.text for one in question.not_used if one.kind == "limit"] + [text for text, _ in question.unknown]
    return "reported" if told else "broken"


@pytest.mark.parametrize(("frame", "thing", "key"), PHRASINGS)
def test_a_limit_is_obeyed_or_told(table: Table, frame: str, thing: str, key: str) -> None:
    assert _read(table, frame, thing, key) != "broken"


def test_most_limits_are_obeyed(table: Table) -> None:
    obeyed = sum(_read(table, *phrasing) == "obeyed" for phrasing in PHRASINGS)
    assert len(PHRASINGS) >= 200
    assert obeyed >= LEAST_OBEYED * len(PHRASINGS)
