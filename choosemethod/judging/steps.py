"""Steps of an answer, what they were taken as, and what a replay of them holds on its way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from choosemethod.advice.plan import Look, Plan, Proposal
from choosemethod.mixture import Component

__all__ = [
    "ACCEPTABLE",
    "INCOMPLETE",
    "RIGHT",
    "WRONG",
    "Components",
    "End",
    "Given",
    "Judgement",
    "Meant",
    "Replay",
    "State",
    "Taken",
    "place_of",
]

RIGHT, ACCEPTABLE, INCOMPLETE, WRONG = range(4)
Components = tuple[Component, ...]


@dataclass(frozen=True, slots=True)
class Given:
    """One step of an answer.

    slugs: the technique (several: any of them is meant); kinds: others the word may stand for, which would have to be
    named; adds: ids of what the answer says is brought in, or *organic, *acid, *base; words: as written.
    """

    slugs: tuple[str, ...]
    kinds: tuple[str, ...] = ()
    adds: tuple[str, ...] = ()
    words: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """What a step of the answer was taken as.

    said: slug said ("" for one left unsaid); technique: slug it counts as; note: "", "counts as", "left unsaid",
    "helper step" or "not needed"; rule: the rule that proposes it; described: not named, only told by what is done.
    """

    said: str
    technique: str
    note: str = ""
    rule: str = ""
    described: bool = False


@dataclass(frozen=True, slots=True)
class Judgement:
    """A verdict (see choosemethod.judging.rules.VERDICTS) with its reason.

    rule, source: what decides, "" if no rule does; best: slugs of the best plan; stands: how the question stands (see
    STANDS); steps: what the answer's steps were taken as; left: slugs of what is still to be done; missing: what would
    have to be known; rejects: the technique that fails, "" if none does; acted: what each step was carried out on.
    """

    verdict: str
    reason: str
    rule: str = ""
    source: str = ""
    best: tuple[str, ...] = ()
    stands: str = "answered"
    steps: tuple[Taken, ...] = ()
    left: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    rejects: str = ""
    acted: tuple[tuple[Look, Proposal], ...] = field(default=(), compare=False, repr=False)


def place_of(components: Components) -> tuple[tuple[str, ...], ...]:
    return tuple((c.substance, c.form, c.host, str(c.added), str(c.trace), c.reacted) for c in components)


@dataclass(frozen=True, slots=True)
class State:
    """Where a replay stands: products to be worked on and finished ones, what the steps scored and were taken as."""

    open: tuple[Components, ...]
    done: tuple[Components, ...] = ()
    score: float = 0.0
    taken: tuple[Taken, ...] = ()
    acted: tuple[tuple[Look, Proposal], ...] = ()
    extra: bool = False  # a step was not needed
    named: bool = True  # no general word had to be read as another kind


@dataclass(frozen=True, slots=True)
class Meant:
    """A proposal a step of an answer may be. named: the word said is precise; weaker: it is acceptable at best."""

    proposal: Proposal
    slug: str
    named: bool = True
    weaker: bool = False


@dataclass(slots=True)
class End:
    """A replay that came to the end of the answer. owing: steps of which one had to be said too."""

    rank: int
    total: float
    state: State
    left: tuple[tuple[Components, Plan], ...]
    owing: tuple[str, ...] = ()


@dataclass(slots=True)
class Replay:
    """One answer on its way through the states."""

    given: Sequence[Given]
    tries: int
    seen: set[object] = field(default_factory=set)
    ends: list[End] = field(default_factory=list)
    failed: tuple[int, State] | None = None
    danger: tuple[int, State] | None = None  # where what a step brings in would meet something it must not
