"""Free-text answers read as techniques. The wordings are such as pupils write: common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from choosemethod.advice.ask import opened
from choosemethod.judging.answers import Said, TechniqueReader
from choosemethod.judging.rules import judging

TABLE, BOOK = opened()
READER = TechniqueReader(TABLE, judging(), [t.id for t in BOOK.techniques.values() if t.adds])
NAMES = {slug: technique.name for slug, technique in BOOK.techniques.items()}


def slugs(said: Said) -> list[str]:
    return [" ".join(step.slugs[0] for step in steps) for steps in said.choices]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("use a sep. funnel", "separating-funnel"),
        ("filter then evaporate", "filtration evaporation"),
        ("distil it", "simple-distillation"),
        ("Distillation.", "simple-distillation"),
        ("fractional distillation", "fractional-distillation"),
        ("dissolve in water, filter, then crystallise", "dissolving filtration crystallisation"),
        ("dissolving -> filtration -> crystallisation", "dissolving filtration crystallisation"),
        ("dissolving → filtration → crystallisation", "dissolving filtration crystallisation"),
        ("1. dissolve\n2. filter\n3. evaporate", "dissolving filtration evaporation"),
        ("1) Dissolve 2) Filter 3) Evaporate", "dissolving filtration evaporation"),
        ("dissolve + filter + evaporate", "dissolving filtration evaporation"),
        ("evaporate after filtering", "filtration evaporation"),
        ("Before evaporating, filter it.", "filtration evaporation"),
        ("filter before evaporating", "filtration evaporation"),
        (
            "Use a magnet to take out the iron, add water, filter and evaporate",
            "magnetic-separation dissolving filtration evaporation",
        ),
        ("magnet", "magnetic-separation"),
        ("TLC", "thin-layer-chromatography"),
        ("pour off the water", "decantation"),
        ("leave it to settle and pour off the liquid", "decantation"),
        ("leave it in the sun until the water has gone", "evaporation"),
        ("boil off the water and condense the steam", "evaporation condensation"),
        ("separating-funnel", "separating-funnel"),
        ("sep\nfunnel", "separating-funnel"),
        ("filtration: filter the sand off", "filtration"),  # one step said twice
        ("tip it through filter paper", "filtration"),
    ],
)
def test_steps_in_order(text: str, expected: str) -> None:
    assert slugs(READER.read(text)) == [expected]


@pytest.mark.parametrize(
    ("text", "expected", "denied"),
    [
        ("Do not filter; distil", "simple-distillation", ("filtration",)),
        (
            "It cannot be separated by filtration, use fractional distillation",
            "fractional-distillation",
            ("filtration",),
        ),
        ("filter it, no need to distil", "filtration", ("simple-distillation",)),
        ("filtration instead of sieving", "filtration", ("sieving",)),
        ("sand does not dissolve so add water and filter", "dissolving filtration", ()),
        ("dissolve in distilled water", "dissolving", ()),
        ("the salt dissolves, the sand doesn't: filter", "filtration", ()),
    ],
)
def test_words_that_are_not_meant(text: str, expected: str, denied: tuple[str, ...]) -> None:
    said = READER.read(text)
    assert slugs(said) == [expected]
    assert said.denied == denied


@pytest.mark.parametrize(
    ("text", "status"),
    [
        ("It is not safe.", "unsafe"),
        ("too dangerous", "unsafe"),
        ("They cannot be separated", "not-separable"),
        ("It's one substance", "nothing-to-separate"),
        ("no separation needed", "nothing-to-separate"),
        ("I need more information", "ask"),
    ],
)
def test_answers_that_name_no_technique(text: str, status: str) -> None:
    said = READER.read(text)
    assert (said.choices, said.status) == ((), status)


def test_a_technique_goes_before_a_status() -> None:
    assert READER.read("dangerous with a flame, so distil on a water bath").status == ""


@pytest.mark.parametrize(
    ("text", "adds"),
    [
        ("dissolve in water", ("water",)),
        ("dissolve the salt in hot water", ("water",)),
        ("dissolve the sulfur in carbon disulfide", ("carbon-disulfide",)),
        ("dissolve in an organic solvent", ("*organic",)),
        ("add water", ("water",)),
        ("filter through paper", ()),
    ],
)
def test_what_is_added(text: str, adds: tuple[str, ...]) -> None:
    assert READER.read(text).choices[0][0].adds == adds


def test_general_words_mean_any_kind_or_the_first() -> None:
    chromatography = READER.read("chromatography").choices[0][0]
    assert {"paper-chromatography", "thin-layer-chromatography", "gas-chromatography"} <= set(chromatography.slugs)
    distillation = READER.read("distil it").choices[0][0]
    assert distillation.slugs == ("simple-distillation",)
    assert "fractional-distillation" in distillation.kinds
    assert READER.read("simple distillation").choices[0][0].kinds == ()


def test_alternatives_are_kept_apart() -> None:
    assert slugs(READER.read("filtration or decantation")) == ["filtration", "decantation"]
    assert slugs(READER.read("dissolve, filter, then evaporate or crystallise")) == [
        "dissolving filtration evaporation",
        "dissolving filtration crystallisation",
    ]
    assert slugs(READER.read("filter; or distil it")) == ["filtration", "simple-distillation"]


def test_misspellings_are_mended_and_shown() -> None:
    said = READER.read("crystalization and chromatogrphy")
    assert slugs(said)[0].startswith("crystallisation")
    assert [written for written, _ in said.mended] == ["crystalization", "chromatogrphy"]
    assert "read as" in said.shown(NAMES)


def test_unknown_steps_are_told() -> None:
    assert READER.read("filter, frobnicate, evaporate").unknown == ("frobnicate",)
    assert READER.read("wobble").unknown == ("wobble",)
    assert READER.read("filter, stir, evaporate").unknown == ()  # stirring is a helper step
    assert READER.read("").choices == ()


def test_the_reason_is_set_apart() -> None:
    said = READER.read("Filtration, because sand does not dissolve in water")
    assert slugs(said) == ["filtration"]
    assert said.reason == "because sand does not dissolve in water"


def test_every_name_and_slug_of_the_catalogue_is_understood() -> None:
    for technique in BOOK.techniques.values():
        for words in (technique.id, technique.name, technique.name.upper()):
            choices = READER.read(words).choices
            assert choices, words
            assert technique.id in choices[0][0].slugs, words


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=200))
def test_any_text_can_be_read(text: str) -> None:
    said = READER.read(text)
    assert all(step.slugs for steps in said.choices for step in steps)
