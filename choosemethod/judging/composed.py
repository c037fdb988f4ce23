"""Answers offered that are made of the letters of others: orders of steps ("4, 1, 2") and selections ("1 and 3 only").

An order is judged as the steps its letters stand for; a selection is right if it holds every part that is right and no other.
"""

from __future__ import annotations

from collections.abc import Callable

from choosemethod.advice.wording import joined
from choosemethod.judging.answers import TechniqueReader, bringing_in
from choosemethod.judging.offer import FITS, SERVES, Offer, Weighed
from choosemethod.judging.replay import Judge
from choosemethod.judging.rules import judging
from choosemethod.mixture import OfferedOption

__all__ = ["best_order", "best_selection"]

# Notes on steps that an exact answer has none of, and how they are told.
_NOT_EXACT = {"left unsaid": "would have to be added", "helper step": "is not needed", "not needed": "is not needed"}


def best_order(offer: Offer, judge: Judge) -> tuple[Weighed | None, list[Weighed]]:
    """The order that does it with the fewest steps to be added or passed over, if it is one alone; and all, weighed."""
    reader = TechniqueReader(offer.table, judging(), bringing_in(offer.book))
    weighed, loose = [], []
    for option in offer.options:
        steps = reader.read(", then ".join([text for _, text, _ in option.parts])).choices
        verdict = judge.judge(steps[0]) if steps else None
        fit = FITS.get(verdict.verdict) if verdict is not None else None
        taken = verdict.steps if verdict is not None else ()
        extra = [one for one in taken if one.note in _NOT_EXACT]
        loose.append((-(fit or 0), len(extra)))
        why = verdict.reason if verdict is not None and not fit else ""
        told = joined([f"{offer.book.techniques[one.technique].name} {_NOT_EXACT[one.note]}" for one in extra])
        weighed.append(Weighed(option, fit, why or (f"In it {told}." if told else "")))
    best = weighed[loose.index(min(loose))]
    alone = loose.count(min(loose)) == 1 and (best.fit or 0) >= SERVES
    return (best if alone else None), weighed


def best_selection(offer: Offer, weigh: Callable[[OfferedOption], Weighed]) -> tuple[
    Weighed | None, list[Weighed], list[Weighed]
]:
    """The selection of all that is right and nothing else, if one alone can be it; its parts that are right; and all
    selections, weighed with what is against them. weigh: judges one part by itself."""
    parts = {part[0]: weigh(OfferedOption(*part)) for option in offer.options for part in option.parts}
    right = {letter for letter, one in parts.items() if one.fit is not None and (one.fit >= SERVES) != offer.excepts}
    wrong = {letter for letter, one in parts.items() if one.fit is not None and (one.fit < SERVES) != offer.excepts}
    weighed = []
    for option in offer.options:
        held = {letter for letter, _, _ in option.parts}
        against = [f"{letter}, {parts[letter].option.text}: {parts[letter].why}" for letter in sorted(held & wrong)]
        against += [f"{letter}, {parts[letter].option.text}, is right too." for letter in sorted(right - held)]
        weighed.append(Weighed(option, 0 if against or not held else SERVES, " ".join(against)))
    fits = [one for one in weighed if one.fit]
    return (fits[0] if len(fits) == 1 and right else None), [parts[letter] for letter in sorted(right)], weighed
