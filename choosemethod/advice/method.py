"""Answers about a technique itself: what a described process is called, which of the options offered it is.

The planner answers what to do with a mixture. Where a question names none (or asks what the described process is called, or
offers answers to choose from), what it describes is recognised by rules/reading/signs.yaml.
"""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.advice.answer import Advice, Caution, PlanStep, SourceShown, TechniqueAdvice
from choosemethod.advice.wording import joined
from choosemethod.interpretation.described import (
    Described,
    asks_name,
    asks_several,
    asks_whether,
    asks_which,
    described,
)
from choosemethod.mixture import OfferedOption, Question
from choosemethod.rulebook.book import Rulebook
from choosemethod.rulebook.technique import PLACE, Line, Technique
from choosemethod.table.names import normalise
from choosemethod.table.table import Table

__all__ = ["answered_by_method"]

_SURE = 3  # weight from which a description outranks a plan, where the name of what is described is asked for
_CERTAIN = 5  # weight from which it does so anyhow
_ENOUGH = 2  # weight that is enough where nothing else answers
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


def _chosen(options: Sequence[OfferedOption], plan: Sequence[str], hints: Sequence[Described]) -> OfferedOption | None:
    """The option that the plan carries out, the longest such order first; of single ones the one the plan meets first."""
    fits: list[tuple[int, int, OfferedOption]] = []
    for option in options:
        rest = iter(plan)
        if option.techniques and all(any(one == slug for one in rest) for slug in option.techniques):
            hinted = any(hint.technique in option.techniques for hint in hints[:1])
            fits.append((-len(option.techniques) - 2 * hinted, plan.index(option.techniques[0]), option))
    return min(fits, key=lambda item: item[:2])[2] if fits else None


def _dangerous(question: Question, table: Table) -> bool:
    """Whether something in the question is such that no technique is named for it without a plan."""
    there = [table.substance(ident) for ident in question.mixture.substances if table.has(ident)]
    return any("explosive" in one.classes for one in there)


def answered_by_method(advice: Advice, question: Question, table: Table, book: Rulebook) -> Advice:
    """The answer, with what the question describes or offers taken into account; the same answer where nothing is."""
    if advice.refusal is not None and advice.refusal.kind in ("unsafe", "blocked"):
        return advice
    options = [option for option in question.techniques.offered if option.techniques]
    offered = {slug for option in options for slug in option.techniques}
    texts = [option.text for option in question.techniques.offered]
    barred = {*question.techniques.tried, *question.techniques.excluded}
    if asks_whether(question.asked):
        barred |= {*question.techniques.asked_about}
    hints = [one for one in described(question.asked, offered, texts) if one.technique not in barred - offered]
    plan = [step.technique for step in advice.plan]
    if _dangerous(question, table):
        return advice
    if len(texts) > 1:
        return _among(advice, question, options, hints, plan, book)
    if not hints:
        return advice
    best = hints[0]
    told = {ident for ident in question.mixture.substances if ident not in question.given}
    if (
        advice.status == "answered"
        and len(told) > 1
        and not asks_name(question.asked)
        and not asks_which(question.asked)
    ):
        return advice  # no technique is asked for: what to do with what is named is the planner's
    enough = _SURE if asks_name(question.asked) else _SURE + 1 if asks_which(question.asked) else _CERTAIN
    if best.technique not in plan and best.weight >= enough:
        return _method(advice, _told(hints, asks_several(question.asked)), book)
    empty = not question.mixture.components
    if len(told) > 1 and not asks_name(question.asked):
        return advice  # what to do with what is named is the planner's
    silent = advice.status in ("needs-information", "nothing-to-separate") or (advice.status == "unknown" and empty)
    if silent and best.weight >= (_SURE if advice.unknown else _ENOUGH) and not question.mixture.really:
        return _method(advice, _told(hints, asks_several(question.asked)), book)
    return advice


def _among(
    advice: Advice, question: Question, options: Sequence[OfferedOption], hints: Sequence[Described],
    plan: Sequence[str], book: Rulebook,
) -> Advice:  # fmt: skip
    """The answer to a multiple choice: what the plan does of what is offered, else what the question describes."""
    fit = _chosen(options, plan, hints) if advice.status == "answered" else None
    sure = (
        bool(options and hints)
        and hints[0].weight >= _SURE
        and (fit is None or hints[0].technique not in fit.techniques)
    )
    if fit is not None and not sure:
        return advice._replace(option=f"{fit.letter}: {fit.text}")
    if hints and options:
        option = next(one for one in options if hints[0].technique in one.techniques)
        return _method(advice, hints[:1], book, f"{option.letter}: {option.text}")
    # an option in words that are no technique's name: "boiling", "loading"
    for one in described(question.asked):
        for option in question.techniques.offered:
            said = f" {normalise(option.text)} "
            if one.weight >= _SURE and not option.techniques and any(f" {word}" in said for word in one.words):
                return _method(advice, [one], book, f"{option.letter}: {option.text}")
    return advice


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


def _method(advice: Advice, told: Sequence[Described], book: Rulebook, option: str = "") -> Advice:
    techniques, steps = [], []
    for number, one in enumerate(told, 1):
        technique = book.techniques[one.technique]
        reason = f"The question describes it: {joined(one.words)}. {technique.principle}"
        steps.append(_step(technique, number, reason))
        slugs = tuple(other.technique for other in told)
        principles = (technique.principle,)
        techniques.append(TechniqueAdvice(one.technique, technique.name, "best", (reason,), (), principles, slugs))
    cautions = tuple(dict.fromkeys(caution for step in steps for caution in step.cautions))
    key = "common-practice"
    sources = tuple(source for source in advice.sources if source.key == key) or (
        SourceShown(key, "Common practice, no source"),
    )
    return advice._replace(
        status="answered", techniques=tuple(techniques), plan=tuple(steps), cautions=cautions, products=(), alternatives=(),
        missing=(), contrast="", refusal=None, sources=sources, left_together=(), option=option, about="technique",
    )  # fmt: skip
