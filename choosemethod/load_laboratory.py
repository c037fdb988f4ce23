"""What the files of the laboratory hold (rules/columns.yaml, conventions, pumps, vessels, forecasts), and its reading."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any

from choosemethod.data import (
    SOURCE,
    Entry,
    Listed,
    Names,
    Number,
    Own,
    Problems,
    Reading,
    Record,
    Ref,
    Span,
    Table,
    Text,
    Word,
    raise_all,
    read_file,
)
from choosemethod.laboratory import BASES, KINDS, LINES, NUMBERS, VESSELS, Column, Convention, Laboratory, Pump, Vessels
from choosemethod.yamltext import Node

__all__ = ["COLUMNS", "CONVENTIONS", "FORECASTS", "PUMPS", "VESSEL_SIZES", "read_laboratory"]

COLUMNS = Table(
    Record(
        "a column",
        {
            "name": Text(),
            "length": Text(),
            "plates": Span("pure number", low=0.0, example="2 to 3"),
            "source": SOURCE,
            "note?": Text(),
        },
        make=lambda one: Column(one["name"], one["length"], one["plates"][0], one["plates"][1], one["source"]),
    ),
    least=1,
)
CONVENTIONS = Table(
    Record(
        "a convention",
        {"gap": Number("temperature difference", low=0.0), "source": SOURCE, "note?": Text()},
        make=lambda one: Convention(one["gap"], one["source"]),
    ),
    least=1,
)
PUMPS = Table(
    Record(
        "a pump",
        {"name": Text(), "reaches": Number("pressure", low=1e-9, example="2 kPa"), "source": SOURCE, "note?": Text()},
        make=lambda one: Pump(one["name"], one["reaches"], one["source"]),
    ),
    least=1,
)


def _rising(sizes: tuple[float, ...], line: int, what: str, file: Reading) -> Any:
    if list(sizes) != sorted(set(sizes)) or sizes[0] <= 0:
        return file.fault(line, f"{what} must rise", f"{what}: [50 mL, 100 mL, 250 mL]")
    return sizes


def _vessels(one: Entry) -> Any:
    if one["least"] >= one["most"]:
        return one.fault("least", "least must lie below most", "least: 50 %, most: 66.7 %")
    return Vessels(*one.pick("name", "sizes", "least", "most"))


_SIZES = Record(
    "a kind of vessel",
    {
        "name": Text(),
        "sizes": Listed(Number("volume", example="50 mL"), alone=False, least=1, make=_rising),
        "least": Number("fraction"),
        "most": Number("fraction"),
        "source": SOURCE,
    },
    make=_vessels,
)
VESSEL_SIZES = Record("this file", dict.fromkeys(VESSELS, _SIZES), noun="kind of vessel")


def _number(dimension: str) -> Record:
    least = None if dimension.startswith("temperature") else 1e-12
    return Record("a number", {"is": Number(dimension, low=least), "meaning": Text(), "source": SOURCE})


def _sentence(places: tuple[str, ...]) -> Own:
    text = Text(kept=True, example='"..."')

    def read(node: Node, line: int, what: str, file: Reading) -> Any:
        found = text.read(node, line, what, file)
        wrong = [place for place in re.findall(r"\{([^}]*)\}?", found or "") if place not in places]
        if wrong:
            may = "one of {" + "}, {".join(places) + "}" if places else "the sentence without braces"
            return file.fault(line, f"{{{wrong[0]}}} cannot be filled in here", may)
        return found

    return Own(read, text.schema(), example='"..."')


FORECASTS = Record(
    "this file",
    {
        "techniques": Table(
            Listed(Ref("technique", mend="the slug of a file of rules/techniques"), least=1),
            key=Word(KINDS, noun="kind of forecast"),
        ),
        "numbers": Record(
            "the numbers", {key: _number(dimension) for key, dimension in NUMBERS.items()}, noun="number"
        ),
        "uncertainty": Record("uncertainty", dict.fromkeys(BASES, _number("fraction")), noun="number"),
        "lines": Record("a forecast", {key: _sentence(places) for key, places in LINES.items()}, noun="sentence"),
        "short": Listed(Word(LINES, noun="sentence")),
    },
)


def read_laboratory(
    folder: Path,
    sources: Collection[str] | None = None,
    slugs: Collection[str] | None = None,
    problems: Problems | None = None,
) -> Laboratory:
    """Read and check the files of a folder of the form of rules/.

    sources: keys of sources there are; slugs: the techniques there are (None: not checked). Raises DataError with all
    faults; with `problems` they are noted there, and an empty laboratory is given if there are any.
    """
    known: Mapping[str, Names] = {
        sort: Names(words) for sort, words in (("source", sources), ("technique", slugs)) if words is not None
    }
    faults = Problems()

    def part(name: str, spec: Table | Record) -> Any:
        return read_file(folder / f"{name}.yaml", spec, f"{folder.name}/{name}.yaml", known, faults)

    columns, conventions = part("columns", COLUMNS), part("conventions", CONVENTIONS)
    pumps, vessels, forecasts = part("pumps", PUMPS), part("vessels", VESSEL_SIZES), part("forecasts", FORECASTS)
    if problems is None:
        raise_all(faults)
    elif faults:
        problems += faults
        return Laboratory((), (), (), {}, {}, {}, {}, {}, {})
    techniques: dict[str, tuple[str, ...]] = {}
    for kind, named in forecasts["techniques"].items():
        for slug in named:
            techniques[slug] = (*techniques.get(slug, ()), kind)
    numbers = forecasts["numbers"]
    return Laboratory(
        tuple(columns.values()),
        tuple(sorted(conventions.values())),
        tuple(pumps.values()),
        vessels,
        techniques,
        {key: entry["is"] for key, entry in numbers.items()},
        {key: entry["source"] for key, entry in numbers.items()},
        {key: entry["is"] for key, entry in forecasts["uncertainty"].items()},
        forecasts["lines"],
        forecasts["short"],
    )
