"""Other readings of a question: where two parts of the program come to different techniques, both answers are told."""

from __future__ import annotations

from dataclasses import replace

from choosemethod.advice.answer import Advice
from choosemethod.advice.compose import Composer
from choosemethod.advice.wording import joined
from choosemethod.mixture import OtherReading, Question
from choosemethod.rulebook.book import Rulebook
from choosemethod.table.table import Table

__all__ = ["with_other_readings"]


def _told(advice: Advice, wanted: str = "") -> str:
    """A plan in words, with what it is for."""
    names = joined([one.name for one in advice.components if not one.added])
    steps = ", then ".join(step.name for step in advice.plan)
    return f"{wanted} is to be obtained: {steps}" if wanted else f"{names} are to be parted: {steps}"


def with_other_readings(advice: Advice, question: Question, planned: Advice, table: Table, book: Rulebook) -> Advice:
    """The answer, with what it would be where something else is meant. planned: the planner's answer."""
    if advice.status != "answered" or advice.option or len(planned.components) < 2:
        return advice
    wanted = ""
    slugs = {step.technique for step in advice.plan}
    if advice.about == "technique" and planned.status == "answered" and planned.techniques[0].strength == "best":
        others, apart = planned, "It hangs on whether a name for what is described is asked for, or how to part what is named"
    elif question.wish.usual and question.wish.aim == "identify":
        liquids = tuple(dict.fromkeys(c.substance for c in question.mixture.components if c.form == "liquid"))
        wish = replace(question.wish, want=liquids, aim="separate", purpose="recover one", usual=False)
        if len(liquids) != 1:
            return advice
        others = Composer(table, book, replace(question, wish=wish)).answer(())
        wanted = table.substance(liquids[0]).name
        apart = "It hangs on whether what is in it is only to be shown, or to be obtained"
    else:
        return advice
    if others.status != "answered" or slugs & {step.technique for step in others.plan}:
        return advice
    return advice._replace(readings=(*advice.readings, OtherReading(_told(others, wanted), apart)))
