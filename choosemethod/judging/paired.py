"""Two lists to be paired, mixtures or descriptions with techniques: every pair is weighed, and the pairs that fit best together
are named, or the answer offered that says so."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence

from choosemethod.advice.answer import Advice
from choosemethod.advice.method import by_description
from choosemethod.interpretation.described import Described, described
from choosemethod.judging.offer import FITS, Offer, Weighed
from choosemethod.judging.replay import Given, Judge
from choosemethod.mixture import OfferedOption
from choosemethod.reading import read_words
from choosemethod.table.names import spaced

__all__ = ["pairs"]

_PLANNED = 1  # counted for a technique of the plan
_MOST = 4  # what a description counts at most, as much as a right answer
_MOST_ITEMS = 6


def _row(offer: Offer, item: OfferedOption) -> list[Weighed]:
    """How well each technique offered fits one item of the other list."""
    question = read_words(item.text, offer.table)
    composer = offer.composer(question)
    known = bool(question.mixture.components) and not question.unknown
    judge = Judge(composer) if known else None
    plan = [step.technique for step in composer.answer(()).plan] if known else []
    out = []
    for option in offer.options:
        steps = offer.means(option)
        if not steps:
            out.append(Weighed(option, None))
            continue
        hint = next(iter(described(spaced(item.text), steps[0])), None)
        fit = float(min(_MOST, hint.weight)) if hint is not None else 0.0
        why = f"The words describe it: {', '.join(hint.words)}." if hint is not None else ""
        if judge is not None:
            verdict = judge.judge([Given(step) for step in steps])
            judged = FITS.get(verdict.verdict, 0) + (_PLANNED if set(plan) & set(steps[0]) else 0)
            fit, why = (float(judged), verdict.reason) if judged >= fit else (fit, why)
        out.append(Weighed(option, fit, why, hint))
    return out


def _coded(offer: Offer) -> Iterator[tuple[OfferedOption | None, tuple[int, ...]]]:
    """Each way to pair the lists: that of each answer offered, or else every one there is."""
    items, options = offer.question.techniques.paired, offer.options
    left, right = [one.letter for one in items], [one.letter for one in options]
    for code in offer.question.techniques.codes:
        said = {}
        for first, second in re.findall(r"(\w+)\s*[-–—:→>]+\s*(\w+)", code.text):
            one, other = (first, second) if first in left else (second, first)
            if one in left and other in right:
                said[one] = right.index(other)
        if len(said) == len(left):
            yield code, tuple(said[one] for one in left)
    if not offer.question.techniques.codes and len(left) <= len(right) <= _MOST_ITEMS:
        yield from ((None, way) for way in itertools.permutations(range(len(right)), len(left)))


def pairs(offer: Offer) -> Advice:
    """The pairs that fit best, if one way to pair is better than all others; nothing is guessed otherwise."""
    offer.advice = offer.advice._replace(status="answered", components=(), unknown=())  # "Match List I ..." tells nothing
    items = offer.question.techniques.paired
    grid = [_row(offer, item) for item in items]

    def worth(way: Sequence[int]) -> float:
        return sum(grid[row][place].fit or 0 for row, place in enumerate(way))

    ways = sorted(_coded(offer), key=lambda one: -worth(one[1]))
    if not ways or (len(ways) > 1 and worth(ways[0][1]) == worth(ways[1][1])):
        return offer.undecided()
    code, way = ways[0]
    chosen = [grid[row][place] for row, place in enumerate(way)]
    if sum(not one.fit for one in chosen) > 1:
        return offer.undecided()  # one may be left over, not more
    told = [Described(offer.means(one.option)[0][0], 0, (), 0) for one in chosen]
    advice = by_description(offer.advice, told, offer.book)
    plan = tuple(
        step._replace(reasons=(f"{item.letter}, {item.text}: {one.why}".strip(),))
        for step, item, one in zip(advice.plan, items, chosen, strict=True)
    )
    said = "; ".join(f"{item.letter}-{one.option.letter}" for item, one in zip(items, chosen, strict=True))
    option = f"{code.letter}: {code.text}" if code is not None else said
    return advice._replace(plan=plan, option=option)
