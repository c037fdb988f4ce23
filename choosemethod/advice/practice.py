"""Answers from what is done in practice, where the rules find nothing surer for the mixture."""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.advice.answer import Advice, Caution, Refusal, SourceShown
from choosemethod.advice.method import by_description, is_dangerous
from choosemethod.advice.plan import Planner
from choosemethod.advice.wording import joined
from choosemethod.interpretation.described import Described, asks_name, asks_whether, asks_which
from choosemethod.mixture import Question
from choosemethod.rulebook.book import Rulebook
from choosemethod.rulebook.practice import Fact
from choosemethod.table.names import spaced
from choosemethod.table.table import Table

__all__ = ["allowed", "as_done", "by_practice", "only_named"]

_SILENT = ("needs-information", "unknown", "nothing-to-separate")
_UNSAFE = "unsafe"
_OVERRULED = {"nothing-to-separate": ("", "alloy"), "not-separable": ("alloy",)}  # refusals, by why it is no mixture


def allowed(facts: Sequence[Fact], question: Question, planner: Planner, book: Rulebook) -> list[Fact]:
    """The facts whose techniques can be used here, of those nothing says twice over in another way: [] if two are as sure."""
    named = question.techniques
    barred = {*named.tried, *named.excluded, *(named.asked_about if asks_whether(question.asked) else ())}
    left = [
        one
        for one in facts
        if not barred & set(one.by) and not any(planner.why_blocked(book.techniques[slug]) for slug in one.by)
    ]
    tie = len(left) > 1 and left[1].rank == left[0].rank and left[1].by[0] != left[0].by[0]
    return [] if tie else left


def by_practice(
    advice: Advice, facts: Sequence[Fact], question: Question, planner: Planner, table: Table, book: Rulebook
) -> Advice:
    """The answer; or, where there is none or only a weak one, what is done in practice.

    What is too dangerous to be told how to do is named where its name is asked for, with the danger and no steps.
    """
    text = spaced(question.asked)
    if advice.refusal is not None and advice.refusal.kind == _UNSAFE and (asks_name(text) or asks_which(text)):
        left = [] if is_dangerous(question, table) else allowed(facts, question, planner, book)
        return only_named(as_done(advice, left[0], table, book), advice.refusal) if left else advice
    weak = advice.status == "answered" and advice.about != "technique" and advice.techniques[0].strength != "best"
    really = question.mixture.really
    known_better = advice.refusal is None or really in _OVERRULED.get(advice.refusal.kind, ())
    if weak and question.setting.without:
        return advice  # what is missing has decided the answer, and practice does not know of it
    if not (weak or advice.status in _SILENT or advice.refusal is not None) or not known_better:
        return advice
    left = allowed(facts, question, planner, book)
    if advice.refusal is not None:  # what was named has been judged
        named = {*question.techniques.required, *question.techniques.asked_about}
        left = [one for one in left if not named & set(one.by)]
    if not left or left[0].by[0] in [step.technique for step in advice.plan]:
        return advice
    return as_done(advice, left[0], table, book)


def as_done(advice: Advice, fact: Fact, table: Table, book: Rulebook) -> Advice:
    """The answer that a fact gives, with its reason, what else does it, and its source; with a danger, no steps to follow."""
    one = fact.practice
    others = [book.techniques[slug].name for slug in (*one.by[:1], *one.also) if slug not in fact.by]
    told_by = joined([f"“{word}”" for word in fact.words])
    because = f"{one.because} This is known practice, told by {told_by}."
    because += f" Also done by: {joined(others)}." if others else ""
    told = [Described(slug, 0, (), 0) for slug in fact.by]
    source = SourceShown(one.source, table.source(one.source).title)
    found = by_description(advice, told, book, because, source)
    if one.mind:
        return _named_only(found, (Caution(one.mind, "danger", fact.by[0], "", one.source),))
    return found


def only_named(advice: Advice, refusal: Refusal) -> Advice:
    """An answer about what is not to be done: the danger first, the techniques by name, and nothing to follow."""
    return _named_only(advice, tuple([Caution(reason, "danger") for reason in refusal.reasons]))


def _named_only(advice: Advice, dangers: tuple[Caution, ...]) -> Advice:
    plan = [
        step._replace(apparatus=(), steps=(), seen=(), cautions=(), limits=(), residues=()) for step in advice.plan
    ]
    return advice._replace(plan=tuple(plan), cautions=(*dangers, *advice.cautions))
