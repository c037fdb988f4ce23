"""The forms of one text: free text, closed words, yes or no, numbers with units, references."""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import Any

from choosemethod.data.reading import FAULTY, Reading, nearest
from choosemethod.errors import DataError
from choosemethod.quantity import SHOWN, UNITS, QuantityError, parse_number, parse_range
from choosemethod.yamltext import Node

__all__ = ["FileId", "Flag", "Number", "Own", "Plain", "Ref", "Span", "Spec", "Text", "Word", "listed", "quoted"]

MOST_NAMED = 14  # words named in a message
EXAMPLES = {
    "temperature": "56.1 °C",
    "temperature difference": "25 K",
    "density": "0.79 g/cm3",
    "length": "1.5 mm",
    "pressure": "84 kPa",
    "fraction": "95 %",
    "solubility": "35.9 g/100 g",
    "pure number": "1.5",
}
_SIGNED = ("temperature", "temperature difference", "pure number")  # dimensions that may be below zero
SCALAR = {"type": ["string", "number", "boolean"]}


def quoted(word: str) -> str:
    """A word as it is written in YAML: yes and no only in quotes."""
    return f'"{word}"' if word in ("yes", "no") else word


def listed(words: Collection[str], more: str = "others") -> str:
    """The words for "one of ...", cut after a while."""
    few = [word or "''" for word in words][:MOST_NAMED]
    return "one of " + ", ".join(few) + ("" if len(words) <= MOST_NAMED else f" or {more}")


class Spec:
    """What a value may be. empty: the value of a key left out; example: for messages; meaning: for the JSON Schema.

    lacking: what is wrong if a needed one is missing, with {key} and {what} (the thing that should have it); give: what
    to write then, instead of the example.
    """

    mapping = False  # whether a file of this form must hold a mapping

    def __init__(
        self, *, empty: Any = None, example: str = "TEXT", lacking: str = "", give: str = "", meaning: str = ""
    ) -> None:
        self.empty = empty
        self.example = example
        self.lacking = lacking or "{key} is missing"
        self.give = give or "{key}: " + example
        self.meaning = meaning

    def read(self, node: Node, line: int, what: str, file: Reading) -> Any:
        """The value of a node, or FAULTY with the faults noted in the file. what: its name in messages."""
        raise NotImplementedError

    def missing(self, line: int, key: str, what: str, file: Reading) -> None:
        """Note that it is needed and not there."""
        wrong, write = (text.replace("{key}", key).replace("{what}", what) for text in (self.lacking, self.give))
        file.fault(line, wrong, write)

    def schema(self) -> dict[str, Any]:
        """As a JSON Schema."""
        raise NotImplementedError


class Text(Spec):
    """Free text, its white space folded. The other scalars refine `convert`.

    may_be_empty: "" is as good as any; kept: white space stays as it is written; one: what a list should have been.
    """

    def __init__(
        self, *, may_be_empty: bool = False, kept: bool = False, one: str = "one text", empty: Any = "", **words: Any
    ) -> None:
        super().__init__(empty=empty, **words)
        self.may_be_empty = may_be_empty
        self.kept = kept
        self.one = one

    def read(self, node: Node, line: int, what: str, file: Reading) -> Any:
        if not isinstance(node, str):
            return file.fault(line, f"{what} must be {self.one}", f"{what}: {self.example}")
        text = node if self.kept or node.isalnum() else " ".join(node.split())
        if not text and not self.may_be_empty:
            return file.fault(line, f"{what} is empty", f"{what}: {self.example}")
        return self.convert(text, line, what, file)

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        """The value of the text."""
        return text

    def schema(self) -> dict[str, Any]:
        return dict(SCALAR)


class Word(Text):
    """One of a closed list of words. noun: what it is said not to be ("'sold' is no form"), else the key.

    mend: what to write if no word is near; put: how it is written.
    """

    def __init__(
        self, words: Collection[str], *, noun: str = "", mend: str = "", put: str = "{what}: {word}", **more: Any
    ) -> None:
        more.setdefault("example", " | ".join(map(quoted, list(words)[:MOST_NAMED])))
        super().__init__(may_be_empty="" in words, **more)
        self.words = words
        self.noun = noun
        self.mend = mend
        self.put = put

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        if text in self.words:
            return text
        near = quoted(nearest(text, self.words)) or self.mend or listed([quoted(word) for word in self.words])
        write = self.put.replace("{word}", near).replace("{what}", what)
        return file.fault(line, f"{text!r} is no {self.noun or what}", write)

    def schema(self) -> dict[str, Any]:
        return {"enum": list(self.words)}


class Flag(Word):
    """yes or no, as True or False; False if left out."""

    def __init__(self, *, empty: bool = False, **more: Any) -> None:
        super().__init__(("yes", "no"), empty=empty, noun="answer to yes or no", **more)

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        found = super().convert(text, line, what, file)
        return found if found is FAULTY else found == "yes"

    def schema(self) -> dict[str, Any]:
        return {"enum": ["yes", "no", True, False]}


class Ref(Text):
    """The name of something known ("technique", "source"): whatever the reading knows by that sort.

    own: words that are taken as they are besides; noun: for messages; mend: what to write if no name is near, with {text}.
    """

    def __init__(self, sort: str, *, own: Collection[str] = (), noun: str = "", mend: str = "", **more: Any) -> None:
        super().__init__(**more)
        self.sort = sort
        self.own = own
        self.noun = noun or sort
        self.mend = mend or f"the id of a {sort} that is there"

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        if text in self.own:
            return text
        known = file.known.get(self.sort)
        if known is None:  # not checked in this reading
            return text
        found = known.find(text)
        if found:
            return found
        near, mend = nearest(text, (*known.words, *self.own)), self.mend.replace("{text}", text)
        key = what.rpartition(", ")[2]
        return file.fault(line, f"{what}: {text!r} is no {self.noun}", f"{key}: {near}, or {mend}" if near else mend)

    def schema(self) -> dict[str, Any]:
        return {**SCALAR, "description": self.meaning or f"the id of a {self.noun}"}


class FileId(Text):
    """The id of a file that describes one thing: the file's name without its ending."""

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        if text == file.title:
            return text
        return file.fault(line, f"the id {text!r} is not the file's name", f"id: {file.title}")


class Number(Text):
    """A number with its unit as an SI value of one of some dimensions. low, high: the least and the most, in SI.

    Without low, a temperature lies above absolute zero and what cannot be negative is not; a fraction is at most 1.
    """

    def __init__(
        self, *dimensions: str, low: float | None = None, high: float | None = None, empty: Any = None, **more: Any
    ) -> None:
        more.setdefault("example", EXAMPLES.get(dimensions[0], f"1.5 {SHOWN.get(dimensions[0], '')}".rstrip()))
        super().__init__(empty=empty, **more)
        self.dimensions = dimensions
        self.low = low
        self.high = high

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        found = self.parsed(text, line, what, file)
        return found if found is FAULTY else found[1]

    def parsed(self, text: str, line: int, what: str, file: Reading) -> Any:
        """(dimension, low, high) of a text, in SI."""
        error: QuantityError | None = None
        for dimension in self.dimensions:
            try:
                low, high = self._read(text, dimension)
            except QuantityError as wrong:
                error = wrong
                continue
            if dimension == "temperature" and text.endswith("C") and text[:-1].rstrip()[-1:].isdigit():  # no degree sign
                unsure = f"{what}: say whether {text} is in degrees Celsius or in kelvin"
                plain = text[:-1].rstrip()
                file.problems.asked.append(DataError(file.shown, line, unsure, f"{what}: {plain} °C, or {plain} K"))
            return self._bounded(text, dimension, low, high, line, what, file)
        sort = " or ".join(self.dimensions)
        return file.fault(line, f"{what}: {error}", f"{what}: {self.example} (a {sort})")

    def _read(self, text: str, dimension: str) -> tuple[float, float]:
        number = parse_number(text, dimension)
        return number, number

    def _bounded(self, text: str, dimension: str, low: float, high: float, line: int, what: str, file: Reading) -> Any:
        if dimension == "temperature" and low < 0:
            return file.fault(line, f"{what}: {text} lies below absolute zero", "a temperature above -273.15 °C (0 K)")
        if low < 0 and dimension not in _SIGNED:
            plain = text.replace("-", "").replace("−", "")
            return file.fault(line, f"{what}: a {dimension} cannot be negative", f"{what}: {plain}")
        if dimension == "fraction" and high > 1:
            return file.fault(line, f"{what}: {text} is more than the whole", f"{what}: a fraction of at most 100 %")
        if (self.low is not None and low < self.low) or (self.high is not None and high > self.high):
            return file.fault(
                line, f"{what}: {text} is outside the possible", f"{what}: {self.example} (a {dimension})"
            )
        return dimension, low, high

    def schema(self) -> dict[str, Any]:
        units = sorted(unit for unit, (dimension, _, _) in UNITS.items() if dimension in self.dimensions)
        if {"pure number", "temperature difference"}.intersection(self.dimensions):
            units += ["K"] if "temperature difference" in self.dimensions else []
        shown = f"a {' or '.join(self.dimensions)}" + (f" in {', '.join(units)}" if units else "")
        return {"type": ["string", "number"], "description": self.meaning or shown}


class Span(Number):
    """ "`LOW to HIGH UNIT`, or one number, as (low, high) in SI."""

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        found = self.parsed(text, line, what, file)
        return found if found is FAULTY else found[1:]

    def _read(self, text: str, dimension: str) -> tuple[float, float]:
        return parse_range(text, dimension)


class Plain(Number):
    """A plain number. whole: as int."""

    def __init__(self, *, whole: bool = False, **more: Any) -> None:
        super().__init__("pure number", example=more.pop("example", "1"), **more)
        self.whole = whole

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        found = super().convert(text, line, what, file)
        if found is FAULTY or not self.whole:
            return found
        return int(found) if found == int(found) else file.fault(line, f"{what}: {text} is not whole", f"{what}: 1")

    def schema(self) -> dict[str, Any]:
        return {"type": ["string", "integer" if self.whole else "number"]}


class Own(Spec):
    """Read by a function of the loader's own, (node, line, what, file) -> value or FAULTY; shape: its JSON Schema."""

    def __init__(
        self, reader: Callable[[Node, int, str, Reading], Any], shape: dict[str, Any] | None = None, **words: Any
    ) -> None:
        super().__init__(**words)
        self.reader = reader
        self.shape = shape or {}

    def read(self, node: Node, line: int, what: str, file: Reading) -> Any:
        return self.reader(node, line, what, file)

    def schema(self) -> dict[str, Any]:
        return dict(self.shape)
