"""Doubt: an answer that rests on too little of its question is not given; the question is asked back instead.

What counts how much stands in rules/doubt.yaml. What was understood, what was not and what the answer would be "if it is
only ..." are told, so that the asker can say it in other words.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from choosemethod.advice.answer import Advice, MissingFact
from choosemethod.advice.wording import joined
from choosemethod.cache import stored
from choosemethod.interpretation.described import described, namesakes
from choosemethod.mixture import Question, Unused
from choosemethod.places import rules_folder
from choosemethod.table.names import spaced

__all__ = ["doubted", "weighed"]

_FILE = "doubt.yaml"
_HINTS = 3  # techniques that a description may point to, the surest first
_HINTED = 2  # weight from which it does
_SHOWN = 6  # words told of one kind
_PARTS = ("component", "host", "wanted", "removed")
_LEFT = ("words", "strange", "told-before", "reagents", "names", "limits", "nouns", "offered")


class Weight(NamedTuple):
    """points: for each; most: so many count; per: so many make one; least: fewer do not count; says: what is told."""

    points: int
    most: int
    per: int
    least: int
    says: str


class Doubt(NamedTuple):
    """The compiled file."""

    asks_from: int
    strict: tuple[str, ...]
    weights: Mapping[str, Weight]


def _compiled(path: Path) -> dict[str, Any]:
    from choosemethod.advice.load_doubt import DOUBT
    from choosemethod.data import read_file

    found: dict[str, Any] = read_file(path, DOUBT, f"rules/{_FILE}")
    return found


@cache
def _doubt(folder: Path) -> Doubt:
    path = folder / _FILE
    files = [path, Path(__file__), Path(__file__).with_name("load_doubt.py")]
    kept: dict[str, Any] = stored("doubt", files, lambda: _compiled(path))
    weights = {key: Weight(*one) for key, one in kept["weights"].items()}
    return Doubt(kept["asks_from"], tuple(kept["strict"]), weights)


def _found(advice: Advice, question: Question, done: Collection[str]) -> Iterator[tuple[str, Sequence[str]]]:
    """What counts, as (key of rules/doubt.yaml, the words it is)."""
    left, answered = question.left, advice.status == "answered"
    plan = {step.technique for step in advice.plan}
    kind = advice.refusal.kind if advice.refusal is not None else ""
    parts = question.mixture.substances
    yes = ("",)
    whole = question.mixture.really and (question.mixture.named or kind == "nothing-to-separate" or len(parts) == 1)
    if not whole:
        yield kind, yes  # what is known of the whole is no guess
    if advice.techniques and advice.techniques[0].strength != "best":
        yield "weak-technique", yes
    if advice.left_together:
        yield "left-together", yes
    brings = bool(advice.plan and advice.plan[0].adds) and not advice.left_together  # then what dissolves in what is no matter
    if advice.missing or (question.missing and not brings):
        yield "missing", yes
    yield "many-parts" if len(parts) > 1 else "one-part", parts or yes
    yield "words", left.words
    yield "strange", left.strange
    yield "told-before", left.told
    yield "names", left.names
    yield "limits", left.limits
    yield "nouns", left.nouns
    yield "offered", [option.text for option in question.techniques.offered]
    if not any(step.adds for step in advice.plan):
        yield "reagents", _idle(advice, question)
    named = {*question.techniques.asked_about, *question.techniques.required}
    tools = " ".join([line for step in advice.plan for line in step.apparatus])
    if named and not (whole and kind) and not any(  # what is one substance no technique takes apart
        slug in plan or namesakes(slug.split("-")[-1], plan) or slug.replace("-", " ") in tools for slug in named
    ):
        yield "techniques", sorted(named)
    hints = [one.technique for one in described(spaced(question.asked))[:_HINTS] if one.weight >= _HINTED]
    if advice.option or plan & {*done, *(hints[:-1] if len(hints) == _HINTS else hints)}:
        yield "confirmed", yes
    elif answered and hints and not plan & set(hints):
        yield "described", hints[:1]
    yield "length", yes * left.length


def _idle(advice: Advice, question: Question) -> list[str]:
    """What is named as something to add or to use, and is neither in the mixture nor added by a step."""
    used = " ".join([line for step in advice.plan for line in (step.adds, *step.apparatus, *step.steps)]).lower()
    there = {*question.mixture.substances, question.mixture.named}
    named = zip(advice.reagents, dict.fromkeys(question.reagents), strict=False)
    return [name for name, id in named if id not in there and name.lower() not in used]


def weighed(advice: Advice, question: Question, done: Collection[str] = ()) -> tuple[int, tuple[str, ...]]:
    """The points an answer has against it, and what is told of those that count."""
    return _weighed(_doubt(rules_folder()), _found(advice, question, done))


def _weighed(doubt: Doubt, counts: Iterable[tuple[str, Sequence[str]]]) -> tuple[int, tuple[str, ...]]:
    total, said = 0, []
    for key, found in counts:
        weight = doubt.weights.get(key)
        count = len(found) if weight is not None else 0
        if weight is None or count < max(1, weight.least):
            continue
        points = weight.points * min(weight.most, count // weight.per)
        total += points
        if points > 0:
            words = [f"“{one}”" for one in dict.fromkeys(found) if one][:_SHOWN]
            said.append(weight.says.replace("{found}", joined(words).replace("-", " ")))
    return total, tuple(said)


def _tentative(advice: Advice) -> str:
    """What the answer would be, in words."""
    names = [one.name for one in advice.components if not one.added]
    if not names:
        return ""
    if advice.plan:
        steps = ", then ".join(step.name for step in advice.plan)
        return f"If it is only {joined(names)}, with nothing else to mind: {steps}"
    return f"If it is only {joined(names)}: {advice.refusal.reasons[0]}" if advice.refusal and advice.refusal.reasons else ""


def _only_named(advice: Advice, question: Question) -> bool:
    """Whether what describes the technique is no more than the names of what is in the mixture."""
    parts = [one.text for one in question.mentions if one.meanings and one.role in _PARTS]
    names = set(spaced(" ".join(parts)).split())
    hints = [one for one in described(spaced(question.asked)) if one.technique == advice.plan[0].technique]
    return bool(hints) and names.issuperset(" ".join(hints[0].words).split())


def doubted(advice: Advice, question: Question, planned: Advice, done: Collection[str] = ()) -> Advice:
    """The answer, or the question back where too much is left over to be sure of it.

    planned: the planner's answer; done: techniques that are used for it in practice.
    """
    sure = planned.status == "answered" and planned.techniques[0].strength == "best"
    if advice.about == "technique" and not advice.option and sure and _only_named(advice, question):
        advice = planned
    kind = advice.refusal.kind if advice.refusal is not None else ""
    if advice.about == "technique" or not (advice.status == "answered" or kind in ("nothing-to-separate", "not-separable")):
        return advice
    doubt = _doubt(rules_folder())
    counts = tuple(_found(advice, question, done))
    points, said = _weighed(doubt, counts)
    left = any(found for key, found in counts if key in _LEFT)
    strict = left and kind in doubt.strict and not question.mixture.really
    if points < doubt.asks_from and not strict:
        because = "named as something to add or to use, and no step uses it"
        idle = [Unused(name, "substance", because) for name in _idle(advice, question)]
        return advice._replace(not_used=tuple(dict.fromkeys((*advice.not_used, *idle)))) if idle else advice
    told = {one.text for one in advice.not_used}
    unused = tuple(Unused(text, "word", "") for text in dict.fromkeys(question.left.words) if text not in told)
    return advice._replace(
        status="needs-information", doubt=said, tentative=_tentative(advice), plan=(), techniques=(), refusal=None,
        products=(), alternatives=(), left_together=(), contrast="", not_used=(*advice.not_used, *unused), option="",
        missing=(MissingFact("which of what you wrote is in the mixture, and what is wanted of it", ""), *advice.missing),
        cautions=tuple(caution for caution in advice.cautions if caution.degree == "danger"), numbers=(),
    )  # fmt: skip
