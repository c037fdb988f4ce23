"""What rules/classroom holds: levels, mixtures to ask about, mistakes, orders of steps, wording, amounts, drawings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from choosemethod.errors import DataError
from choosemethod.mixture import LEVELS
from choosemethod.places import rules_folder
from choosemethod.yamltext import Block, Items, Node, read_mapping

__all__ = ["Materials", "Mistake", "Order", "Picture", "Sheet", "Topic", "TopicMixture", "materials"]

FILES = ("levels", "mixtures", "mistakes", "orders", "confusions", "questions", "numbers", "sheets", "pictures")
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


class _Reader:
    """One file being read: every fault names it and the line."""

    def __init__(self, folder: Path, name: str) -> None:
        self.shown = f"rules/classroom/{name}.yaml"
        self.block = read_mapping(folder / f"{name}.yaml", self.shown)

    def fault(self, line: int, wrong: str, write: str) -> DataError:
        return DataError(self.shown, line, wrong, write)

    def mapping(self, block: Block, key: str) -> Block:
        node = block.get(key)
        if not isinstance(node, Block):
            raise self.fault(block.at(key), f"{key!r} must be a mapping", f"{key}: {{KEY: VALUE}}")
        return node

    def text(self, block: Block, key: str, usual: str | None = None) -> str:
        node = block.get(key, usual)
        if not isinstance(node, str) or (not node.strip() and usual is None):
            raise self.fault(block.at(key), f"{key!r} must be a text", f'{key}: "words"')
        return node

    def texts(self, block: Block, key: str, required: bool = True) -> tuple[str, ...]:
        node: Node | None = block.get(key)
        if node is None and not required:
            return ()
        if isinstance(node, str):
            return (node,)
        if not isinstance(node, Items) or not all(isinstance(item, str) for item in node):
            raise self.fault(block.at(key), f"{key!r} must be a list of texts", f"{key}: [first, second]")
        return tuple(str(item) for item in node)

    def blocks(self, block: Block, key: str) -> list[Block]:
        node = block.get(key)
        if not isinstance(node, Items):
            raise self.fault(
                block.at(key), f"{key!r} must be a list", f"{key}: a list, each item beginning with a hyphen"
            )
        out = []
        for index, item in enumerate(node):
            if not isinstance(item, Block):
                raise self.fault(node.at(index), f"an item of {key!r} must be a mapping", "{KEY: VALUE}")
            out.append(item)
        return out

    def numbers(self, block: Block, key: str) -> tuple[float, ...]:
        out = []
        for text in self.texts(block, key):
            try:
                out.append(float(text))
            except ValueError:
                raise self.fault(block.at(key), f"{text!r} is no number", f"{key}: [10, 20]") from None
        return tuple(out)

    def level(self, block: Block) -> str:
        level = self.text(block, "level")
        if level not in LEVELS:
            raise self.fault(block.at("level"), f"{level!r} is no level", "one of " + ", ".join(LEVELS))
        return level

    def all(self) -> list[tuple[str, Block]]:
        return [(key, self.mapping(self.block, key)) for key in self.block if not key.startswith("_")]

    def known(self, block: Block, keys: tuple[str, ...]) -> None:
        for key in block:
            if key not in keys:
                raise self.fault(block.at(key), f"{key!r} is no key here", "one of " + ", ".join(keys))


def _levels(file: _Reader) -> dict[str, dict[str, Any]]:
    out: dict[str, dict[str, Any]] = {}
    for level, block in file.all():
        file.known(block, ("title", "bench", "names", "words", "kinds", "choices", "shows", "headings"))
        out[level] = {
            "title": file.text(block, "title"),
            "bench": {key: str(value) for key, value in file.mapping(block, "bench").items()},
            "names": {key: str(value) for key, value in file.mapping(block, "names").items()},
            "words": {key: str(value) for key, value in file.mapping(block, "words").items()},
            "kinds": file.texts(block, "kinds"),
            "choices": int(file.text(block, "choices")),
            "shows": file.texts(block, "shows"),
            "headings": {key: str(value) for key, value in file.mapping(block, "headings").items()},
        }
    if tuple(out) != LEVELS:
        raise file.fault(1, "the levels must be " + ", ".join(LEVELS), "each of them once, in this order")
    return out


def _topics(file: _Reader) -> tuple[Topic, ...]:
    out = []
    for topic, block in file.all():
        file.known(block, ("title", "source", "mixtures"))
        source = file.text(block, "source")
        mixtures = []
        for item in file.blocks(block, "mixtures"):
            file.known(item, ("mixture", "want", "level"))
            mixtures.append(
                TopicMixture(
                    file.text(item, "mixture"), file.texts(item, "want", False), file.level(item), topic, source
                )
            )
        out.append(Topic(topic, file.text(block, "title"), tuple(mixtures)))
    return tuple(out)


def _mistakes(file: _Reader) -> dict[str, tuple[Mistake, ...]]:
    out = {}
    for technique, block in file.all():
        file.known(block, ("source", "mistakes"))
        source = file.text(block, "source")
        found = []
        for item in file.blocks(block, "mistakes"):
            file.known(item, ("step", "instead", "why", "danger", "if"))
            found.append(
                Mistake(
                    technique,
                    file.text(item, "step"),
                    file.text(item, "instead"),
                    file.text(item, "why"),
                    file.text(item, "danger", "no") == "yes",
                    file.texts(item, "if", False),
                    source,
                )
            )
        out[technique] = tuple(found)
    return out


def _orders(file: _Reader) -> dict[str, Order]:
    out = {}
    for technique, block in file.all():
        file.known(block, ("because", "steps"))
        steps = tuple((file.text(item, "says"), file.text(item, "in")) for item in file.blocks(block, "steps"))
        out[technique] = Order(technique, steps, file.text(block, "because"))
    return out


def _pictures(file: _Reader) -> dict[str, Picture]:
    out: dict[str, Picture] = {}
    for technique, block in file.all():
        file.known(block, ("title", "shapes", "labels", "text", "same"))
        if "same" in block:
            other = file.text(block, "same")
            if other not in out:
                raise file.fault(
                    block.at("same"), f"{other!r} is no drawing above", "a technique that stands further up"
                )
            out[technique] = out[other]
            continue
        shapes = []
        for item in file.blocks(block, "shapes"):
            kinds = [key for key in item if key in SHAPES]
            if len(kinds) != 1:
                raise file.fault(item.line, "a shape is a line, an area, a circle or a box", "{line: [10, 10, 50, 50]}")
            kind = kinds[0]
            file.known(item, (kind, "fill"))
            numbers = file.numbers(item, kind)
            exact = kind in ("circle", "box")
            if (
                len(numbers) < SHAPES[kind]
                or (exact and len(numbers) != SHAPES[kind])
                or (not exact and len(numbers) % 2)
            ):
                raise file.fault(item.line, f"a {kind} cannot have {len(numbers)} numbers", f"at least {SHAPES[kind]}")
            fill = file.text(item, "fill", "")
            if fill not in FILLS:
                raise file.fault(item.at("fill"), f"{fill!r} is no fill", "one of " + ", ".join(FILLS[1:]))
            shapes.append((kind, numbers, fill))
        labels = []
        for item in file.blocks(block, "labels"):
            file.known(item, ("at", "to", "text", "product"))
            at, to = file.numbers(item, "at"), file.numbers(item, "to")
            if len(at) != 2 or len(to) != 2:
                raise file.fault(
                    item.line, "at and to are two numbers each", "{at: [10, 20], to: [30, 40], text: flask}"
                )
            labels.append((*at, *to, file.text(item, "text"), file.text(item, "product", "")))
        picture = Picture(file.text(block, "title"), tuple(shapes), tuple(labels), file.text(block, "text"))
        out[technique] = picture
    return out


def _numbers(file: _Reader) -> dict[str, dict[str, Any]]:
    out: dict[str, dict[str, Any]] = {}
    for name, block in file.all():
        entry: dict[str, Any] = {"source": file.text(block, "source"), "levels": file.texts(block, "levels")}
        for key in block:
            if key == "substances":
                entry[key] = file.texts(block, key)
            elif key not in entry:
                drawn = tuple(int(number) for number in file.numbers(block, key))
                if len(drawn) != 3 or drawn[2] < 1 or drawn[0] >= drawn[1]:
                    raise file.fault(
                        block.at(key), f"{key} needs the least, the most and the step", f"{key}: [10, 100, 5]"
                    )
                entry[key] = drawn
        out[name] = entry
    return out


def _lists(file: _Reader, key: str) -> dict[str, tuple[str, ...]]:
    block = file.mapping(file.block, key)
    return {name: file.texts(block, name) for name in block}


def read_materials(folder: Path) -> Materials:
    """Read and check a folder of the form of rules/classroom; DataError names file, line, fault and mend."""
    files = {name: _Reader(folder, name) for name in FILES}
    confusions = files["confusions"]
    kin = confusions.block.get("_kin", Items())
    groups = (
        tuple(tuple(str(slug) for slug in group) for group in kin if isinstance(group, Items))
        if isinstance(kin, Items)
        else ()
    )
    return Materials(
        _levels(files["levels"]),
        _topics(files["mixtures"]),
        _mistakes(files["mistakes"]),
        _orders(files["orders"]),
        {key: confusions.texts(confusions.block, key) for key in confusions.block if not key.startswith("_")},
        groups,
        frozenset(confusions.texts(confusions.block, "_degree")),
        _lists(confusions, "_companions"),
        _lists(confusions, "_disputed"),
        {kind: {key: str(value) for key, value in block.items()} for kind, block in files["questions"].all()},
        _numbers(files["numbers"]),
        {
            key: Sheet(files["sheets"].texts(block, "amounts"), files["sheets"].texts(block, "results"))
            for key, block in files["sheets"].all()
        },
        _pictures(files["pictures"]),
    )


@lru_cache(maxsize=1)
def materials() -> Materials:
    """The installed classroom data, read once a process."""
    return read_materials(rules_folder() / "classroom")
