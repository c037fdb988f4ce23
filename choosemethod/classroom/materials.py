"""What rules/classroom holds: levels, mixtures to ask about, mistakes, orders of steps, wording, amounts, drawings."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from choosemethod.data import (
    Entry,
    Flag,
    Listed,
    Names,
    Plain,
    Problems,
    Reading,
    Record,
    Ref,
    Spec,
    Table,
    Text,
    Word,
    raise_all,
    read_file,
)
from choosemethod.mixture import LEVELS
from choosemethod.places import rules_folder
from choosemethod.yamltext import Block

__all__ = ["Materials", "Mistake", "Order", "Picture", "Sheet", "Topic", "TopicMixture", "materials"]

SHAPES = {
    "line": 4,
    "area": 6,
    "circle": 3,
    "box": 4,
}  # the least count of numbers; circle and box take exactly that many
FILLS = ("", "liquid", "solid", "paper", "metal", "heat")


@dataclass(frozen=True, slots=True)
class TopicMixture:
    """A mixture to ask about: its words, what is wanted (empty: everything), the lowest level, topic and source key."""

    words: str
    want: tuple[str, ...]
    level: str
    topic: str
    source: str


@dataclass(frozen=True, slots=True)
class Topic:
    """A topic with its mixtures."""

    id: str
    title: str
    mixtures: tuple[TopicMixture, ...]


@dataclass(frozen=True, slots=True)
class Mistake:
    """A step put in a wrong form. step: words that find the right one; needs: slots a component must have as "yes"."""

    technique: str
    step: str
    instead: str
    why: str
    danger: bool
    needs: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Order:
    """A procedure whose steps have one order. steps: (said in short, words of the technique's own step)."""

    technique: str
    steps: tuple[tuple[str, str], ...]
    because: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """For the handout of a technique: usual amounts, and the columns of its table of results."""

    amounts: tuple[str, ...]
    results: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing. shapes: (kind, numbers, fill); labels: (x, y, to x, to y, text, product or ""); text: in letters."""

    title: str
    shapes: tuple[tuple[str, tuple[float, ...], str], ...]
    labels: tuple[tuple[float, float, float, float, str, str], ...]
    text: str


@dataclass(frozen=True, slots=True)
class Materials:
    """Everything of rules/classroom; `levels`, `questions` and `numbers` by their keys, as text."""

    levels: Mapping[str, Mapping[str, Any]]
    topics: tuple[Topic, ...]
    mistakes: Mapping[str, tuple[Mistake, ...]]
    orders: Mapping[str, Order]
    confusions: Mapping[str, tuple[str, ...]]
    kin: tuple[tuple[str, ...], ...]
    degree: frozenset[str]
    companions: Mapping[str, tuple[str, ...]]
    disputed: Mapping[str, tuple[str, ...]]
    questions: Mapping[str, Mapping[str, str]]
    numbers: Mapping[str, Mapping[str, Any]]
    sheets: Mapping[str, Sheet]
    pictures: Mapping[str, Picture]


_WORDS = Table(Text())
_TECHNIQUES = Listed(Ref("technique"), alone=False)
_LEVEL = Word(LEVELS, noun="level")
_SOURCE = Text(example="common-practice")


def _by_technique(value: Spec, make: Callable[[dict[str, Any], Block, Reading], Any] | None = None) -> Table:
    return Table(value, key=Ref("technique"), make=make)


def _all_levels(found: dict[str, Any], block: Block, file: Reading) -> Any:
    if tuple(block) != LEVELS:
        file.fault(block.line, "the levels must be " + ", ".join(LEVELS), "each of them once, in this order")
    return found


LEVELS_FILE = Table(
    Record(
        "a level",
        {
            "title": Text(),
            "bench": _WORDS,
            "names": _WORDS,
            "words": _WORDS,
            "kinds": Listed(Text()),
            "choices": Plain(whole=True),
            "shows": Listed(Text()),
            "headings": _WORDS,
        },
    ),
    make=_all_levels,
)
_TOPIC_MIXTURE = Record("a mixture", {"mixture": Text(), "want?": Listed(Text()), "level": _LEVEL})
TOPICS = Table(
    Record(
        "a topic",
        {"title": Text(), "source": _SOURCE, "mixtures": Listed(_TOPIC_MIXTURE, alone=False)},
        make=lambda one: Topic(
            one.what,
            one["title"],
            tuple(TopicMixture(*(*mixture.values(), one.what, one["source"])) for mixture in one["mixtures"]),
        ),
    )
)
_MISTAKE = Record(
    "a mistake", {"step": Text(), "instead": Text(), "why": Text(), "danger?": Flag(), "if?": Listed(Text())}
)
MISTAKES = _by_technique(
    Record(
        "the mistakes of a technique",
        {"source": _SOURCE, "mistakes": Listed(_MISTAKE, alone=False)},
        make=lambda one: tuple(Mistake(*(one.what, *each.values(), one["source"])) for each in one["mistakes"]),
    )
)
_STEP = Record("a step", {"says": Text(), "in": Text()}, make=lambda one: (one["says"], one["in"]))
ORDERS = _by_technique(
    Record(
        "an order",
        {"because": Text(), "steps": Listed(_STEP, alone=False)},
        make=lambda one: Order(one.what, one["steps"], one["because"]),
    )
)
CONFUSIONS = Record(
    "this file",
    {
        "_kin": Listed(_TECHNIQUES, alone=False),
        "_degree": Listed(Text()),
        "_companions": _by_technique(_TECHNIQUES),
        "_disputed": Table(_TECHNIQUES),
    },
    other=_TECHNIQUES,
)
QUESTIONS = Table(Table(Text(kept=True)))
SHEETS = _by_technique(
    Record(
        "a sheet",
        {"amounts": Listed(Text()), "results": Listed(Text())},
        make=lambda one: Sheet(one["amounts"], one["results"]),
    )
)


def _drawn(numbers: tuple[int, ...], line: int, what: str, file: Reading) -> Any:
    if len(numbers) == 3 and numbers[0] < numbers[1] and numbers[2] >= 1:
        return numbers
    return file.fault(line, f"{what} needs the least, the most and the step", f"{what}: [10, 100, 5]")


NUMBERS = Table(
    Record(
        "a sum",
        {"source": _SOURCE, "levels": Listed(_LEVEL), "substances?": Listed(Text(), empty=None)},
        other=Listed(Plain(whole=True), alone=False, make=_drawn),
        make=lambda one: {key: value for key, value in one.values.items() if value is not None},
    )
)


def _shape(one: Entry) -> Any:
    kinds = [kind for kind in SHAPES if kind in one]
    if len(kinds) != 1:
        return one.fault("", "a shape is a line, an area, a circle or a box", "{line: [10, 10, 50, 50]}")
    kind, numbers = kinds[0], one[kinds[0]]
    count, least = len(numbers), SHAPES[kind]
    if count < least or (count != least if kind in ("circle", "box") else count % 2):
        return one.fault(kind, f"a {kind} cannot have {count} numbers", f"at least {least}")
    return kind, numbers, one["fill"]


_PLACE = Listed(
    Plain(),
    alone=False,
    make=lambda numbers, line, what, file: (
        numbers if len(numbers) == 2 else file.fault(line, f"{what} is two numbers", f"{what}: [10, 20]")
    ),
)
_LABEL = Record(
    "a label",
    {"at": _PLACE, "to": _PLACE, "text": Text(), "product?": Text()},
    make=lambda one: (*one["at"], *one["to"], one["text"], one["product"]),
)
_SHAPE = Record(
    "a shape (a line, an area, a circle or a box)",
    {**{f"{kind}?": Listed(Plain(), alone=False) for kind in SHAPES}, "fill?": Word(FILLS[1:], empty="")},
    make=_shape,
)
_DRAWING = {
    "title": Text(),
    "shapes": Listed(_SHAPE, alone=False),
    "labels": Listed(_LABEL, alone=False),
    "text": Text(kept=True),
}


def _picture(one: Entry) -> Any:
    if one["same"]:
        return one["same"]
    for key in _DRAWING:
        if key not in one:
            return one.fault(key, f"{key} is missing", f"{key}: {_DRAWING[key].example}")
    return Picture(*one.pick(*_DRAWING))


def _drawings(found: dict[str, Any], block: Block, file: Reading) -> dict[str, Picture]:
    """The drawings, each that is the same as another one in its place."""
    out: dict[str, Picture] = {}
    for technique, picture in found.items():
        if isinstance(picture, str) and picture not in out:
            wrong = f"{picture!r} is no drawing above"
            file.fault(block.at(technique), wrong, "a technique that stands further up")
        else:
            out[technique] = out[picture] if isinstance(picture, str) else picture
    return out


PICTURES = _by_technique(
    Record("a drawing", {**{f"{key}?": form for key, form in _DRAWING.items()}, "same?": Text()}, make=_picture),
    make=_drawings,
)
FILES: dict[str, Spec] = {
    "levels": LEVELS_FILE,
    "mixtures": TOPICS,
    "mistakes": MISTAKES,
    "orders": ORDERS,
    "confusions": CONFUSIONS,
    "questions": QUESTIONS,
    "numbers": NUMBERS,
    "sheets": SHEETS,
    "pictures": PICTURES,
}


def read_materials(folder: Path) -> Materials:
    """Read and check a folder of the form of rules/classroom; DataError names all faults with file, line and mend."""
    known = {"technique": Names({path.stem for path in (rules_folder() / "techniques").glob("*.yaml")})}
    problems = Problems()
    read = {
        name: read_file(folder / f"{name}.yaml", form, f"rules/classroom/{name}.yaml", known, problems)
        for name, form in FILES.items()
    }
    raise_all(problems)
    confused = {key: value for key, value in read["confusions"].items() if not key.startswith("_")}
    apart = [read["confusions"][key] for key in ("_kin", "_degree", "_companions", "_disputed")]
    kin, degree, companions, disputed = apart
    return Materials(
        read["levels"],
        tuple(read["mixtures"].values()),
        read["mistakes"],
        read["orders"],
        confused,
        kin,
        frozenset(degree),
        companions,
        disputed,
        *(read[name] for name in ("questions", "numbers", "sheets", "pictures")),
    )


@lru_cache(maxsize=1)
def materials() -> Materials:
    """The installed classroom data, read once a process."""
    return read_materials(rules_folder() / "classroom")
