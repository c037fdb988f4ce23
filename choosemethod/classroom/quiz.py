"""Make a quiz: from mixtures, topics, techniques or a level, and a seed; the same request gives the same questions."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TypeVar

from choosemethod.classroom.items import KINDS, Item
from choosemethod.classroom.levels import Level, level_of
from choosemethod.classroom.materials import TopicMixture, materials
from choosemethod.classroom.numbers import ask_boiling_gap, ask_rcf, ask_rf, ask_yield, asked_at
from choosemethod.classroom.questions import (
    ask_choose,
    ask_first_over,
    ask_layer,
    ask_mistake,
    ask_order,
    ask_procedure,
    ask_why_not,
    mistakes_of,
    wrong_options,
)
from choosemethod.classroom.truth import Truth, truth_of
from choosemethod.errors import ChooseMethodError, UsageError

__all__ = ["MOST", "Quiz", "QuizRequest", "UnknownMixture", "make_quiz"]

MOST = 2000  # questions of one quiz
_ROUNDS = 12  # times a kind of question is tried anew on a mixture with other options
_TITLE = "Separating mixtures"


class UnknownMixture(ChooseMethodError):
    """A mixture that is not known, or that cannot be separated: there is nothing to ask about it."""

    exit_code = 3


@dataclass(frozen=True, slots=True)
class QuizRequest:
    """What is wanted: mixtures in words (none: those of the topics), topics, techniques by slug, kinds, count, seed."""

    mixtures: tuple[str, ...] = ()
    topics: tuple[str, ...] = ()
    techniques: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    level: str = ""
    count: int = 10
    seed: int = 1
    title: str = ""


@dataclass(frozen=True, slots=True)
class Quiz:
    """A quiz as made. wanted: how many questions were asked for; items may be fewer."""

    title: str
    level: str
    seed: int
    wanted: int
    items: tuple[Item, ...]

    @property
    def marks(self) -> int:
        """Marks for the whole quiz."""
        return sum(item.marks for item in self.items)


Thing = TypeVar("Thing")
Maker = Callable[[random.Random], Item | None]


def _asked(request: QuizRequest, level: Level) -> list[TopicMixture]:
    """The mixtures to ask about; UsageError or UnknownMixture for what is not known."""
    topics = {topic.id: topic for topic in materials().topics}
    for name in request.topics:
        if name not in topics:
            raise UsageError(f"{name!r} is no topic; the topics are {', '.join(topics)}")
    out: list[TopicMixture] = []
    for words in request.mixtures:
        truth = truth_of(words)
        if not truth.known:
            unknown = "; ".join(
                name + (f" (did you mean {', '.join(near)}?)" if near else "") for name, near in truth.question.unknown
            )
            raise UnknownMixture(f"{words!r} is not known: {unknown or 'no substance was recognised in it'}")
        if not truth.settled:
            raise UnknownMixture(f"no whole separation of {words!r} is known, so there is nothing to ask about it")
        out.append(TopicMixture(words, (), level.name or "primary", "", "given"))
    if request.mixtures and not request.topics:
        return out
    for topic in topics.values():
        if not request.topics or topic.id in request.topics:
            out.extend(one for one in topic.mixtures if level.reaches(one.level))
    return out


def _fits(truth: Truth, request: QuizRequest) -> bool:
    return truth.settled and (not request.techniques or any(slug in request.techniques for slug in truth.slugs()))


def _makers(kind: str, asked: TopicMixture, level: Level, request: QuizRequest, rng: random.Random) -> Iterator[Maker]:
    """Ways to ask one kind of question about a mixture, which is worked out when the first is used."""
    truth = truth_of(asked.words, asked.want)
    if not _fits(truth, request):
        return
    if kind == "choose":
        for _ in range(_ROUNDS):
            yield lambda rng: ask_choose(truth, asked, level, rng)
    elif kind == "order":
        for _ in range(2):
            yield lambda rng: ask_order(truth, asked, level, rng)
            yield lambda rng: ask_procedure(truth, asked, level, rng)
    elif kind == "layer":
        for _ in range(2):
            yield lambda rng: ask_layer(truth, asked, level, rng)
    elif kind == "first-over":
        for _ in range(2):
            yield lambda rng: ask_first_over(truth, asked, level, rng)
    elif kind == "mistake":
        for which in _shuffled(mistakes_of(truth, level), rng):
            yield lambda rng, which=which: ask_mistake(truth, asked, level, rng, which)  # type: ignore[misc]
    elif kind == "why-not":
        for wrong in _shuffled(wrong_options(truth, level, truth.slugs()[0])[:_ROUNDS], rng):
            yield lambda rng, wrong=wrong: ask_why_not(truth, asked, level, wrong)  # type: ignore[misc]
    elif kind == "compute" and asked_at("boiling-gap", level):
        yield lambda rng: ask_boiling_gap(truth, asked, level)


def _shuffled(things: list[Thing], rng: random.Random) -> list[Thing]:
    rng.shuffle(things)
    return things


def _drawn_makers(request: QuizRequest, level: Level) -> list[Maker]:
    """Ways to ask for a number that needs no mixture."""
    from choosemethod.advice.ask import opened

    table = opened()[0]
    makers: list[Maker] = []

    def wanted(*slugs: str) -> bool:
        return not request.techniques or any(slug in request.techniques for slug in slugs)

    def on(topic: str) -> bool:
        return not request.mixtures and (not request.topics or topic in request.topics)

    if asked_at("rf", level) and wanted("paper-chromatography", "thin-layer-chromatography") and on("colours"):
        makers.append(lambda rng: ask_rf(level, rng))
    if asked_at("rcf", level) and wanted("centrifugation") and on("fine-and-colloidal"):
        makers.append(lambda rng: ask_rcf(level, rng))
    if (
        asked_at("yield", level)
        and wanted("crystallisation", "recrystallisation", "fractional-crystallisation")
        and on("solutions")
    ):
        for words in materials().numbers["yield"]["substances"]:
            makers.append(lambda rng, words=words: ask_yield(table, words, level, rng))  # type: ignore[misc]
    return makers


class _Source:
    """The questions of one kind, one after the other: each mixture once before any is asked about again."""

    def __init__(
        self, kind: str, asked: list[TopicMixture], level: Level, request: QuizRequest, rng: random.Random
    ) -> None:
        self.rng = rng
        order = list(asked)
        rng.shuffle(order)
        self._rows = [_makers(kind, one, level, request, rng) for one in order]
        self._drawn = _drawn_makers(request, level) if kind == "compute" else []
        self._misses = 0

    def next(self) -> Item | None:
        """The next question; None if there are no more."""
        while self._rows or self._drawn:
            if self._drawn and (not self._rows or self.rng.random() < 0.5):
                item = self.rng.choice(self._drawn)(self.rng)
                self._misses = 0 if item is not None else self._misses + 1
                if item is not None:
                    return item
                if self._misses > 50:
                    self._drawn = []
                continue
            row = self._rows.pop(0)
            maker = next(row, None)
            if maker is None:
                continue
            self._rows.append(row)
            item = maker(self.rng)
            if item is not None:
                return item
        return None


def make_quiz(request: QuizRequest) -> Quiz:
    """Make the quiz. Raises UsageError for an unknown topic, kind, level or count, UnknownMixture for a mixture."""
    level = level_of(request.level)
    for kind in request.kinds:
        if kind not in KINDS:
            raise UsageError(f"{kind!r} is no kind of question; the kinds are {', '.join(KINDS)}")
    if not 1 <= request.count <= MOST:
        raise UsageError(f"a quiz has 1 to {MOST} questions")
    kinds = [kind for kind in (request.kinds or KINDS) if kind in level.kinds]
    asked = _asked(request, level)
    rng = random.Random(request.seed)
    sources = {kind: _Source(kind, asked, level, request, random.Random(rng.getrandbits(64))) for kind in kinds}
    items: dict[str, Item] = {}
    seen: set[object] = set()
    turn = list(kinds)
    rng.shuffle(turn)
    repeats: dict[str, int] = dict.fromkeys(kinds, 0)
    while turn and len(items) < request.count:
        kind = turn.pop(0)
        item = sources[kind].next()
        if item is None:
            continue  # this kind has nothing more to ask
        content: object = (item.stem, frozenset((*item.lines, *(choice.text for choice in item.choices))))
        if item.kind in ("layer", "first-over"):
            content = (item.kind, item.data)
        if item.id in items or content in seen:
            repeats[kind] += 1
            if repeats[kind] < 400:
                turn.insert(0, kind)
            continue
        seen.add(content)
        items[item.id] = item
        turn.append(kind)
    if not items:
        raise UsageError(
            "no question can be asked about that at this level; choose other mixtures, topics, techniques or kinds"
        )
    return Quiz(request.title or _TITLE, level.name, request.seed, request.count, tuple(items.values()))
