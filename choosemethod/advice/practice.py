"""Answers from what is done in practice, where the rules find nothing surer for the mixture."""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.advice.answer import Advice, Caution, SourceShown
from choosemethod.advice.method import by_description
from choosemethod.advice.plan import Planner
from choosemethod.advice.wording import joined
from choosemethod.interpretation.described import Described, asked_besides, asks_name, asks_several, asks_whether
from choosemethod.mixture import Question, Unused
from choosemethod.rulebook.book import Rulebook
from choosemethod.rulebook.practice import Fact
from choosemethod.table.names import spaced
from choosemethod.table.table import Table

__all__ = ["allowed", "as_done", "by_practice", "told_whole"]

_SILENT = ("needs-information", "unknown", "nothing-to-separate")
_FULLY = 4  # terms said, from which a fact is surely what is told of, where it is asked what that is
_OVERRULED = ("nothing-to-separate", "not-separable")  # kinds of refusal of which practice may know better


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
    """The answer; or, where there is none or only a weak one, what is done in practice."""
    weak = advice.status == "answered" and advice.about != "technique" and advice.techniques[0].strength != "best"
    known_better = advice.refusal is None or advice.refusal.kind in _OVERRULED
    if weak and question.setting.without:
        return advice  # what is missing has decided the answer, and practice does not know of it
    named = asks_name(spaced(question.asked)) and not asks_several(question.asked)
    called = named and advice.status == "answered" and bool(facts) and facts[0].rank[0] >= _FULLY
    if not (weak or called or advice.status in _SILENT or advice.refusal is not None) or not known_better:
        return advice
    left = allowed(facts, question, planner, book)
    if not left or left[0].by[0] in [step.technique for step in advice.plan]:
        return advice
    return as_done(advice, left[0], table, book)


def told_whole(
    advice: Advice, facts: Sequence[Fact], question: Question, planner: Planner, table: Table, book: Rulebook
) -> Advice:
    """The answer; where more than one thing is asked and it is only some of what is done in practice, all of that; and what
    is asked besides the one technique named is said."""
    besides = asked_besides(question.asked)
    if advice.status != "answered" or not (besides or asks_several(question.asked)):
        return advice
    steps = [step.technique for step in advice.plan]
    whole = next((one for one in allowed(facts, question, planner, book) if _within(steps, one.by)), None)
    if whole is not None:
        more = as_done(advice, whole, table, book)
        return more._replace(cautions=tuple(dict.fromkeys((*more.cautions, *advice.cautions))))
    if not besides or len(steps) != 1:
        return advice
    because = f"asked besides; the answer names {advice.plan[0].name} alone, and the rest was not understood"
    return advice._replace(not_used=(*advice.not_used, Unused(besides, "technique", because)))


def _within(some: Sequence[str], steps: Sequence[str]) -> bool:
    """Whether some steps are a part of others, in their order, and not all of them."""
    rest = iter(steps)
    return len(some) < len(steps) and all(one in rest for one in some)


def as_done(advice: Advice, fact: Fact, table: Table, book: Rulebook) -> Advice:
    """The answer that a fact gives, with its reason, what else does it, its danger and its source."""
    one = fact.practice
    others = [book.techniques[slug].name for slug in (*one.by[:1], *one.also) if slug not in fact.by]
    told_by = joined([f"“{word}”" for word in fact.words])
    because = f"{one.because} This is known practice, told by {told_by}."
    because += f" Also done by: {joined(others)}." if others else ""
    told = [Described(slug, 0, (), 0) for slug in fact.by]
    source = SourceShown(one.source, table.source(one.source).title)
    found = by_description(advice, told, book, because, source)
    if one.mind:
        mind = Caution(one.mind, "danger", fact.by[0], "", one.source)
        found = found._replace(cautions=(mind, *found.cautions))
    return found
