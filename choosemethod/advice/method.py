"""Answers about a technique itself: what a described process is called.

The planner answers what to do with a mixture. Where a question names none (or asks what the described process is called),
what it describes is recognised by rules/reading/signs.yaml.
"""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.advice.answer import Advice, Caution, PlanStep, SourceShown, TechniqueAdvice
from choosemethod.advice.wording import joined
from choosemethod.interpretation.described import (
    Described,
    asks_how,
    asks_name,
    asks_purpose,
    asks_several,
    asks_whether,
    asks_which,
    described,
    says,
)
from choosemethod.mixture import Question
from choosemethod.reading.lexicon import lexicon
from choosemethod.rulebook.book import Rulebook
from choosemethod.rulebook.technique import PLACE, Line, Technique
from choosemethod.table.names import spaced
from choosemethod.table.table import Table

__all__ = ["answered_as_told", "answered_by_method", "by_description", "is_dangerous"]

_SURE = 3  # weight from which a description outranks a plan, where the name of what is described is asked for
_CERTAIN = 5  # weight from which it does so anyhow
_ENOUGH = 2  # weight that is enough where nothing else answers
_LISTED = 3  # techniques named beside one another
_BLANK = "__"  # a word is to be filled in
_MOST = 3  # techniques of one description


def _plain(lines: Sequence[Line]) -> tuple[str, ...]:
    """The lines that hold for any mixture: without conditions and without places to fill."""
    return tuple(line.text for line in lines if not line.when and not PLACE.search(line.text))


def _step(technique: Technique, number: int, reason: str) -> PlanStep:
    cautions = tuple(Caution(text, "care", technique.id, "", technique.source) for text in _plain(technique.cautions))
    return PlanStep(
        number, technique.id, technique.name, (), "", (), (reason,), (), technique.principle, _plain(technique.apparatus),
        _plain(technique.steps), _plain(technique.seen), cautions, _plain(technique.limits), _plain(technique.residues), (),
        technique.source,
    )  # fmt: skip


def _is_open(asked: str) -> bool:
    """Whether a sentence is left for a word to be filled in: "is separated by ____", "is purified by"."""
    last = asked.split()[-1:]
    return _BLANK in asked or any("by" in lexicon().cues(word) or "be" in lexicon().cues(word) for word in last)


def is_dangerous(question: Question, table: Table) -> bool:
    """Whether something in the question is such that no technique is named for it without a plan."""
    there = [table.substance(ident) for ident in question.mixture.substances if table.has(ident)]
    return any("explosive" in one.classes for one in there)


def _carried_out_with(advice: Advice, question: Question) -> bool:
    """Whether the question says what to use, and it is the technique or the apparatus of a step ("using a separating funnel")."""
    needed = " ".join([line for step in advice.plan for line in (step.technique, *step.apparatus)]).replace("-", " ")
    return any(slug.replace("-", " ") in needed for slug in question.techniques.required)


def answered_by_method(advice: Advice, question: Question, table: Table, book: Rulebook) -> Advice:
    """The answer, with what the question describes taken into account; the same answer where nothing is."""
    text = spaced(question.asked)
    if says("order", text) or (advice.refusal is not None and advice.refusal.kind in ("unsafe", "blocked")):
        return advice  # an order of steps is no single technique that the words describe
    told = {ident for ident in question.mixture.substances if ident not in question.given}
    for_what = asks_purpose(text)
    if told and (question.mixture.really or question.wish.want) and advice.refusal is not None and not for_what:
        return advice  # what no technique takes apart, or out of what it is wanted, none does that is described
    named, which = asks_name(text) or _is_open(question.asked) or for_what, asks_which(text)
    barred = {*question.techniques.tried, *question.techniques.excluded}
    listed = {*question.techniques.asked_about, *question.techniques.required}
    if len(listed) >= _LISTED:
        barred |= listed  # a list of names describes nothing
    if asks_whether(question.asked):
        barred |= {*question.techniques.asked_about}
    hints = [one for one in described(text) if one.technique not in barred]
    if is_dangerous(question, table) or not hints:
        return advice
    if advice.status == "answered" and _carried_out_with(advice, question):
        return advice  # what is done with what it names is no riddle
    plan = [step.technique for step in advice.plan]
    best = hints[0]
    weak = bool(advice.techniques) and advice.techniques[0].strength == "possible"  # what is left where nothing is usual
    if advice.status == "answered" and len(told) > 1 and not (weak or named or which or asks_how(text)):
        return advice  # no technique is asked for: what to do with what is named is the planner's
    enough = _SURE if named else _SURE + 1 if which or weak else _CERTAIN
    clear = len(hints) < 2 or hints[1].weight < best.weight
    several = asks_several(question.asked) and not for_what
    if best.technique not in plan and best.weight >= enough and (clear or several):
        return by_description(advice, _told(hints, several), book)
    if len(told) > 1 and not named:
        return advice  # what to do with what is named is the planner's
    empty = not question.mixture.components
    silent = advice.status in ("needs-information", "nothing-to-separate") or (advice.status == "unknown" and empty)
    least = _SURE if advice.unknown else _ENOUGH
    if silent and best.weight >= least and (clear or several) and not question.mixture.really:
        return by_description(advice, _told(hints, several), book)
    return advice


def answered_as_told(advice: Advice, question: Question, book: Rulebook) -> Advice:
    """Where no plan is sure and the question itself says by what the mixture is parted ("when you use centrifugation to purify
    ..."), the answer is about that technique."""
    required = question.techniques.required
    unsure = advice.status == "needs-information" and not advice.unknown and advice.refusal is None
    if not unsure or len(required) != 1 or required[0] in question.techniques.excluded or asks_whether(question.asked):
        return advice
    told = Described(required[0], _SURE, (required[0].replace("-", " "),), 0)
    return by_description(advice, [told], book)


def _told(hints: Sequence[Described], several: bool) -> list[Described]:
    """The technique told of surest; where several are asked for, all that are as sure, in the order they are described."""
    if not several:
        return list(hints[:1])
    sure = [one for one in hints if one.weight >= max(_SURE, hints[0].weight - 1)] or list(hints[:1])
    out: list[Described] = []
    for one in sure[:_MOST]:
        if not any(set(one.words) <= set(other.words) or one.place == other.place for other in out):
            out.append(one)
    return sorted(out or [hints[0]], key=lambda one: one.place)


def by_description(
    advice: Advice, told: Sequence[Described], book: Rulebook, because: str = "", source: SourceShown | None = None
) -> Advice:
    """The answer that names what is told of, each with its own texts. because: the reason, if it is not what was said; source:
    of that reason (common practice if left out)."""
    techniques, steps = [], []
    for number, one in enumerate(told, 1):
        technique = book.techniques[one.technique]
        reason = f"The question describes it: {joined(one.words)}." if one.words else because if number == 1 else ""
        reason = f"{reason} {technique.principle}".strip()
        steps.append(_step(technique, number, reason))
        slugs = tuple(other.technique for other in told)
        principles = (technique.principle,)
        techniques.append(TechniqueAdvice(one.technique, technique.name, "best", (reason,), (), principles, slugs))
    cautions = tuple(dict.fromkeys(caution for step in steps for caution in step.cautions))
    sources = (source or SourceShown("common-practice", "Common practice, no source"),)
    return advice._replace(
        status="answered", techniques=tuple(techniques), plan=tuple(steps), cautions=cautions, products=(), alternatives=(),
        missing=(), contrast="", refusal=None, sources=sources, left_together=(), about="technique",
    )  # fmt: skip
