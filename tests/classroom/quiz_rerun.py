"""The key of a quiz question worked out once more, by other ways than the ones that made it.

What is asked of the engine goes through the public `advise` and through the judge of answers; what is a value is taken
from outside the project (`chemicals`, handbook densities) or worked out from the numbers printed in the question.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import lru_cache
from itertools import permutations

from chemicals import Tb

from choosemethod import advise
from choosemethod.advice.answer import Advice
from choosemethod.advice.ask import opened
from choosemethod.advice.compose import Composer
from choosemethod.classroom.items import Item
from choosemethod.classroom.levels import Level
from choosemethod.classroom.materials import materials
from choosemethod.judging.replay import Judge
from choosemethod.reading import given_substances, read_words

# Densities in g/cm3 at 20 to 25 °C. CRC Handbook of Chemistry and Physics, 95th ed., section 3 (organic compounds) and
# section 6 (water); petrol, kerosene and fatty oils float on water: common practice, no source.
DENSITY = {
    "water": 0.998,
    "hexane": 0.661,
    "cyclohexane": 0.774,
    "heptane": 0.684,
    "toluene": 0.867,
    "dichloromethane": 1.327,
    "chloroform": 1.479,
    "ethyl-acetate": 0.900,
    "diethyl-ether": 0.714,
    "chlorobenzene": 1.106,
}
FLOATS = ("vegetable-oil", "olive-oil", "petrol", "kerosene")


@lru_cache(maxsize=500)
def advice_for(words: str, want: tuple[str, ...]) -> Advice:
    """The public answer to the mixture of a question."""
    return advise(words, want=want)


@lru_cache(maxsize=200)
def judge_for(words: str, want: tuple[str, ...]) -> Judge:
    """The judge of answers to the mixture of a question."""
    table, book = opened()
    question = read_words(words, table, want=want)
    given = given_substances(question)
    return Judge(Composer(table.with_given(given) if given else table, book, question))


def _density(substance: str) -> float:
    return 0.9 if substance in FLOATS else DENSITY[substance]


def _all_used(advice: Advice) -> set[str]:
    used = {step.technique for step in advice.plan}
    for technique in advice.techniques:
        used.update((technique.technique, *technique.plan))
    for other in advice.alternatives:
        used.update(other.techniques)
    return used


def check_item(item: Item) -> None:
    """Assert that the key is right, that no wrong choice is acceptable, and that no two choices are the same."""
    texts = [choice.text.lower() for choice in item.choices]
    assert len(texts) == len(set(texts)), f"{item.id}: two choices are the same"
    assert len({choice.id for choice in item.choices}) == len(item.choices)
    assert item.answer, item.id
    assert item.points, item.id
    assert item.marks >= 1
    if not item.orders and item.choices:
        assert len([choice for choice in item.choices if choice.right]) == 1, item.id
    checks = {
        "choose": _choose,
        "order": _order,
        "layer": _layer,
        "first-over": _first_over,
        "mistake": _mistake,
        "why-not": _why_not,
        "compute": _compute,
    }
    checks[item.kind](item)


def _choose(item: Item) -> None:
    advice = advice_for(item.mixture, item.want)
    judge = judge_for(item.mixture, item.want)
    used = _all_used(advice)
    rejected = {one.technique for one in advice.rejected}
    for choice in item.choices:
        if choice.right:
            assert choice.technique == advice.plan[0].technique, item.id
        else:
            assert choice.technique not in used, f"{item.id}: {choice.technique} is in a plan"
            assert choice.technique in rejected, f"{item.id}: {choice.technique} is not rejected"
            assert judge.judge([choice.technique]).verdict in ("wrong", "unsafe"), f"{item.id}: {choice.technique}"
            assert choice.reason, item.id


def _order(item: Item) -> None:
    advice = advice_for(item.mixture, item.want)
    if item.choices[0].technique:
        judge = judge_for(item.mixture, item.want)
        slug = {choice.id: choice.technique for choice in item.choices}
        for order in permutations(slug) if len(slug) <= 4 else item.orders:
            found = judge.judge([slug[one] for one in order])
            passes = found.verdict in ("right", "acceptable")
            if order in item.orders:
                assert passes, f"{item.id}: {order} is {found.verdict}"
            elif passes:  # the judge reads a step into it, or passes over one: not this order
                assert any(taken.note not in ("", "helper step") for taken in found.steps), f"{item.id}: {order}"
        return
    steps = next(step.steps for step in advice.plan if step.technique == item.technique)
    level = Level(item.level)
    within = {level.say(text): fragment for text, fragment in materials().orders[item.technique].steps}
    text = {choice.id: choice.text for choice in item.choices}
    places = [next(i for i, line in enumerate(steps) if within[text[one]] in line) for one in item.orders[0]]
    assert places == sorted(set(places)), item.id


def _layer(item: Item) -> None:
    data = dict(item.data)
    right, other = _density(data["right"]), _density(data["other"])
    assert (right > other) if data["place"] == "lower" else (right < other), item.id
    assert data["place"] in item.stem


def _first_over(item: Item) -> None:
    table = opened()[0]
    data = dict(item.data)
    right, other = (Tb(table.substance(data[key]).cas) for key in ("right", "other"))
    assert right is not None
    assert other is not None
    assert right + 3.0 < other, item.id


def _mistake(item: Item) -> None:
    level = Level(item.level)
    advice = advice_for(item.mixture, item.want)
    own = {level.say(line) for step in advice.plan if step.technique == item.technique for line in step.steps}
    foreign = [place for place, line in enumerate(item.lines) if line not in own]
    assert foreign == [item.choices.index(next(c for c in item.choices if c.right))], item.id
    assert dict(item.data)["right step"] in own, item.id


def _why_not(item: Item) -> None:
    advice = advise(item.mixture, want=item.want, why_not=item.technique)
    assert advice.why_not[0].verdict == "rejected", f"{item.id}: {advice.why_not[0]}"
    assert item.technique not in _all_used(advice), item.id
    assert judge_for(item.mixture, item.want).judge([item.technique]).verdict in ("wrong", "unsafe"), item.id


def _compute(item: Item) -> None:
    data = dict(item.data)
    numbers = [float(text) for text in re.findall(r"\d+(?:\.\d+)?", item.stem)]
    assert item.value is not None
    if data["calculation"] == "rf":
        expected = float(Fraction(data["spot"]) / Fraction(data["front"]))
        assert 0.0 < expected < 1.0
        assert float(data["spot"]) in numbers
    elif data["calculation"] == "rcf":
        # centrifugal acceleration over g = 9.80665 m/s2 (standard gravity, ISO 80000-3)
        turns = 2.0 * math.pi * float(data["speed"]) / 60.0
        expected = turns * turns * float(data["radius"]) / 100.0 / 9.80665
    elif data["calculation"] == "boiling-gap":
        table = opened()[0]
        points = [Tb(table.substance(data[key]).cas) for key in ("first", "second")]
        expected = abs(points[0] - points[1])
        assert abs(item.value - expected) <= 2.0, item.id
        return
    else:
        mass, water, hot, cold = numbers[0], numbers[1], numbers[5], numbers[7]
        assert mass <= hot * water / 100.0 + 0.5, f"{item.id}: not all of it dissolves"
        expected = mass - cold * water / 100.0
    assert abs(item.value - expected) <= item.tolerance, f"{item.id}: {item.value} and not {expected}"
