"""Reads a question from a YAML file: components with amounts and properties, the wish, and the setting."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from choosemethod import data
from choosemethod.data import FAULTY, Either, Listed, Number, Own, Reading, Record, Span, Spec, Text, Word
from choosemethod.data import Table as TableOf
from choosemethod.data import read_node as _read
from choosemethod.errors import UsageError
from choosemethod.mixture import AIMS, FORMS, HIGHEST_PRESSURE, LEVELS, LOWEST_PRESSURE, Question
from choosemethod.places import substances_folder
from choosemethod.quantity import Quantity, QuantityError, parse_number
from choosemethod.reading.amounts import pressure_at
from choosemethod.reading.forms import Entry
from choosemethod.reading.given import SOLUBILITY, substances_of
from choosemethod.reading.lexicon import level_of, without_keys_of
from choosemethod.reading.question import question_of, read_words
from choosemethod.table import Table
from choosemethod.table.schema import PROPERTIES, Property
from choosemethod.yamltext import Node, parse_yaml, read_yaml

__all__ = ["question_file", "read_file"]

ROLES = ("main", "impurity", "product")
PHASES = ("solid", "liquid", "gas")


class _By(Text):
    """A text as a function takes it; the ValueError that it raises says what is wrong."""

    def __init__(self, take: Callable[[str], Any], **words: Any) -> None:
        super().__init__(**words)
        self.take = take

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        try:
            return self.take(text)
        except ValueError as error:
            return file.fault(line, str(error), f"{what}: {self.example}")


class _Name(Text):
    """The name of something the table knows, as its id."""

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        found = file.context["table"].name(text)
        return found.id if found else _unknown(text, line, what, file)


class _AsTold(Spec):
    """The text of a value that can be read by a form."""

    def __init__(self, form: Spec) -> None:
        super().__init__(example=form.example, meaning=form.meaning)
        self.form = form

    def read(self, node: Node, line: int, what: str, file: Reading) -> Any:
        return FAULTY if self.form.read(node, line, what, file) is FAULTY else " ".join(str(node).split())

    def schema(self) -> dict[str, Any]:
        return self.form.schema()


def _unknown(name: str, line: int, key: str, file: Reading, or_else: str = "") -> Any:
    near = [found for found, _, _ in file.context["table"].suggest(name, 1)]
    mend = near[0] if near else "the name of a substance of the table"
    return file.fault(line, f"{name!r} is not known", f"{key}: {mend}{or_else}")


def _amount(text: str) -> Quantity:
    for dimension in ("mass", "volume", "fraction"):
        try:
            value = parse_number(text, dimension)
        except QuantityError:
            continue
        if value <= 0 or (dimension == "fraction" and value > 1):
            raise ValueError(f"{text}: an amount is above 0 (and at most 100 %)")
        return Quantity(value, dimension, "given", "given")
    raise ValueError(f"{text!r} is no amount")


def _within(dimension: str, low: float, high: float, wrong: str) -> Callable[[str], float]:
    """Takes a number above 0 within bounds."""

    def taken(text: str) -> float:
        value = parse_number(text, dimension)
        if not (low <= value <= high and value > 0):
            raise ValueError(wrong)
        return value

    return taken


_pressure = _within("pressure", LOWEST_PRESSURE, HIGHEST_PRESSURE, "the pressure must lie between 0.1 kPa and 10 MPa")
_purity = _within("fraction", 0.0, 1.0, "a purity is above 0 and at most 100 %")
_front = _within("length", 0.0, math.inf, "the distance of the solvent front is above 0")


def _level(text: str) -> str:
    found = text if text in LEVELS else level_of(text)
    if not found:
        raise ValueError(f"{text!r} is no level")
    return found


def _limit(text: str) -> str:
    if not without_keys_of(text):
        raise ValueError(f"{text!r} names nothing that could be missing")
    return text


def _told(prop: Property) -> Spec:
    """The form of a property that is stated of a component."""
    if prop.form == "number":
        return _AsTold(Number(prop.dimension, meaning=prop.meaning))
    if prop.form == "range":
        return _AsTold(Span(prop.dimension, meaning=prop.meaning))
    if prop.form == "word":
        return Word(prop.words, noun=f"value of {prop.name}", meaning=prop.meaning)
    if prop.form == "solubility":

        def much(text: str) -> str:
            if text not in prop.words:
                try:
                    parse_number(text, "solubility")
                except QuantityError:
                    raise ValueError(f"{text!r} is no solubility") from None
            return text

        example = f"{' or '.join(prop.words)}, or 35 g/100 g"
        return TableOf(_By(much, example=example), key=_Name(), example="{water: insoluble}", meaning=prop.meaning)
    if prop.form in ("text", "words"):
        return Text(meaning=prop.meaning)
    write = "the substance in a file of the table, see --table"
    return Own(lambda _node, line, what, file: file.fault(line, f"{what} cannot be given here", write))


# Components.


def _entry(name: str, told: dict[str, Any], line: int, file: Reading) -> Any:
    """A component by its name: what the table knows, or what properties beside the name describe."""
    table: Table = file.context["table"]
    if not told:
        found = table.name(name) or table.formula(name)
        beside = ", or properties beside the name, such as phase: liquid"
        return Entry(found.id, found.kind) if found else _unknown(name, line, "name", file, beside)
    id = "-".join(name.lower().split())
    solubility = told.pop("solubility", None) or {}
    sound = {key: value for key, value in told.items() if value is not FAULTY}
    file.context["given"][id] = {
        "name": name, **sound, **{SOLUBILITY + liquid: text for liquid, text in solubility.items()},
    }  # fmt: skip
    return Entry(id)


def _component(one: data.Entry, told: Sequence[str]) -> None:
    """Make the component of a record, and keep it there for `make`."""
    if one["name"] is FAULTY:
        return
    one.values["entry"] = _entry(one["name"], {key: one[key] for key in told if key in one}, one.at("name"), one.file)


def _whole(one: data.Entry) -> tuple[Entry, int]:
    entry: Entry = one["entry"]
    entry.form, entry.role, entry.host, entry.size = one.pick("form", "role", "in", "size")
    amount: Quantity | None = one["amount"]
    if amount is not None:
        entry.mass, entry.volume, entry.share = (
            amount.value if amount.dimension == dimension else None for dimension in ("mass", "volume", "fraction")
        )
        one.file.context["amounts"][entry.id] = amount
    return entry, one.at("in")


def _components(found: tuple[tuple[Entry, int], ...], line: int, what: str, file: Reading) -> Any:
    """Check that what holds a component is another one, and is not held by it in turn."""
    if not found:
        return file.fault(line, f"{what} must be a list", f"{what}: [salt, sand]")
    entries = [entry for entry, _ in found]
    hosts = {entry.id: entry.host for entry in entries}
    mixtures = any(entry.kind == "mixture" for entry in entries)
    before = len(file.problems)
    for entry, at in found:
        seen, host = {entry.id}, entry.host
        if host and host not in hosts and not mixtures:
            file.fault(at, f"{host} is no component here", f"in: one of {', '.join(hosts)}, or {host} among them")
        while host and host not in seen:
            seen.add(host)
            host = hosts.get(host, "")
        if host:
            file.fault(at, f"{entry.id} cannot be held by itself", "in: another component, such as water")
    return entries if len(file.problems) == before else FAULTY


# The whole.


def _checked(one: data.Entry) -> None:
    """Check what concerns several keys of a question."""
    if ("mixture" in one) == ("components" in one):
        one.fault("", "a question has either mixture or components", "mixture: sand and salt")
    elif "mixture" in one and one["mixture"] == "":
        one.fault("mixture", "mixture says nothing", "mixture: sand and salt")
    elif "components" in one and one["components"] == ():
        one.fault("components", "components must be a list", "components: [salt, sand]")
    if one["pressure"] is not None and one["altitude"] is not None:
        one.fault("altitude", "pressure and altitude are both given", "one of them only")
    front, spots = one.pick("front", "spots")
    if spots and "front" not in one:
        one.fault("spots", "spots need the distance of the solvent front", "front: 80 mm beside them")
    elif spots and front and any(not 0 <= spot <= front for spot in spots):
        one.fault("spots", "a spot lies between the start and the solvent front", "spots: [30 mm, 45 mm]")
    context = one.file.context
    view = context["table"].with_given(substances_of(context["given"]))
    names = one["remove"] or ()
    one.values["remove"] = [
        found.id if (found := view.name(name)) else _unknown(name, one.at("remove"), "remove", one.file)
        for name in names
    ]


def _question(one: data.Entry) -> Any:
    context = one.file.context
    table, given = context["table"], context["given"]
    want = context["want"] or one["want"]
    limits = (*one["without"], *context["without"])
    local = next((p for p in (context["pressure"], *one.pick("pressure", "altitude")) if p is not None), None)
    level = context["level"] or one["level"]
    if one["components"]:
        question = question_of(one["components"], given, context["amounts"], table, want, limits, local, level)
    else:
        try:
            question = read_words(one["mixture"], table, want, limits, local, level)
        except UsageError as error:
            return one.fault("mixture", str(error), "mixture: sand and salt")
    told = {"remove": tuple(one["remove"]), **{key: one[key] for key in ("aim", "form", "purity")}}
    wish = replace(question.wish, **{key: value for key, value in told.items() if value})
    small = question.setting.small if not one["small"] else one["small"] == "yes"
    front = question.front if one["front"] is None else one["front"]
    setting = replace(question.setting, small=small)
    return replace(question, wish=wish, setting=setting, front=front, spots=one["spots"] or question.spots)


@lru_cache(maxsize=1)
def question_file() -> Record:
    """The form of a mixture file; a component may state every property of substances/properties.yaml."""
    properties: dict[str, Property] = data.read_file(substances_folder() / "properties.yaml", PROPERTIES)
    told: dict[str, Spec] = {"phase?": Word(PHASES, empty="", meaning="of something the table does not know")}
    told |= {f"{key}?": _told(prop) for key, prop in properties.items()}
    component = Record(
        "a component",
        {
            "name": Text(
                example="sand",
                lacking="a component has no name",
                meaning="a substance or mixture the table knows, or any name with properties beside it",
            ),
            "form?": Word(tuple(FORMS), empty="", meaning="the form it is in"),
            "in?": _Name(example="water", meaning="the component it is dissolved, dispersed or embedded in"),
            "amount?": _By(_amount, empty=None, example="5 g (or 50 mL, or 10 %)"),
            "size?": Span("length", example="0.2 to 0.6 mm", meaning="size of its pieces"),
            "role?": Word(ROLES, empty=""),
            **told,
        },
        check=lambda one: _component(one, [key.rstrip("?") for key in told]),
        make=_whole,
        blanks=True,
    )
    alone = Own(lambda node, line, _, file: FAULTY if (one := _entry(str(node), {}, line, file)) is FAULTY else (one, line),
                {"type": "string"}, example="sand")  # fmt: skip
    length = _By(lambda text: parse_number(text, "length"), example="30 mm")
    return Record(
        "a question",
        {
            "mixture?": Text(example="sand and salt", one="one value", meaning="in plain words, instead of components"),
            "components?": Listed(Either(text=alone, block=component), alone=False, make=_components, empty=()),
            "want?": Listed(Text(example="salt"), meaning="what is wanted"),
            "remove?": Listed(Text(example="sand"), meaning="what only has to go"),
            "aim?": Word(AIMS, empty="", meaning="obtain the components, or show what is in it"),
            "form?": Text(example="crystals", meaning="how the product is wanted: crystals, pure, dry"),
            "purity?": _By(_purity, empty=None, example="95 %", meaning="how pure it is wanted"),
            "pressure?": _By(_pressure, empty=None, example="84 kPa", meaning="local pressure"),
            "altitude?": _By(
                lambda text: pressure_at(parse_number(text, "length")),
                empty=None,
                example="1600 m",
                meaning="altitude instead of a pressure",
            ),
            "without?": Listed(_By(_limit, example="no heating"), meaning="what is missing or not allowed"),
            "level?": _By(_level, example=", ".join(LEVELS), meaning="of whom it is for, or words for it (year 7)"),
            "small?": Word(("yes", "no"), empty="", meaning="whether there is only a little of it"),
            "front?": _By(_front, empty=None, example="80 mm", meaning="how far the solvent front moved"),
            "spots?": Listed(length, meaning="how far the spots moved"),
        },
        check=_checked,
        make=_question,
        blanks=True,
        shape=("a question is a mapping", "components: [salt, sand]"),
    )


def read_file(
    source: Path | str,
    table: Table,
    want: Sequence[str] = (),
    without: Sequence[str] = (),
    pressure: float | None = None,
    level: str = "",
) -> Question:
    """A question from a YAML file (a Path, or text that names one) or from YAML text (with a line break or colon).

    want, without, pressure (Pa) and level go before those of the file (without is added). Raises DataError with every
    fault of the file, each with line and mend.
    """
    if isinstance(source, Path):
        shown, node = str(source), read_yaml(source)
    elif "\n" not in source and not source.rstrip().endswith("}") and ": " not in source:
        shown, node = source, read_yaml(Path(source))
    else:
        shown, node = "question", parse_yaml(source, "question")
    asked = {"want": tuple(want), "without": without, "pressure": pressure, "level": level}
    file = Reading(shown, context={"table": table, "given": {}, "amounts": {}, **asked})
    found: Question = _read(node, question_file(), file, line=1 if isinstance(node, str) else node.line)
    data.raise_all(file.problems)
    return found
