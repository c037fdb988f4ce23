"""Whether the values of the table agree with each other: boiling points and azeotropes, flash points and hazards, phases,
densities, classes, and how liquids mix. The bounds stand in substances/checks.yaml.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from choosemethod.data import FAULTY, Flag, Listed, Number, Problems, Reading, Record, Ref, Table, Text, Word
from choosemethod.quantity import ROOM_TEMPERATURE, QuantityError, parse_number, show
from choosemethod.table.load import PHASES
from choosemethod.table.load_pairs import MIXES, PairRow
from choosemethod.table.model import Substance, Value
from choosemethod.yamltext import Node

__all__ = ["CHECKS", "check_values"]

_HAZARDS = Listed(Ref("statement"), alone=False, least=1)
_TEMPERATURE = Number("temperature")
_SPAN = {"from?": Number("density"), "to?": Number("density")}
_PHASE = Word(PHASES)
_DIFFERENCE = Number("temperature difference")
CHECKS = Record(
    "checks.yaml",
    {
        "azeotrope": Record(
            "the check of azeotropes",
            {
                "measured": _DIFFERENCE,
                "pressure": Number("pressure"),
                "pressure_within": Number("pressure"),
            },
        ),
        "estimate": Table(Record("a method of estimation", {"at": _DIFFERENCE, "error": Text()})),
        "amount": Record("the check of amounts", {"factor": Number("pure number"), "within": _DIFFERENCE}),
        "flash_point": Listed(
            Record("a check of flash points", {"hazards": _HAZARDS, "from?": _TEMPERATURE, "below": _TEMPERATURE})
        ),
        "flash_point_within": _DIFFERENCE,
        "phase": Table(
            Record(
                "the check of a phase",
                {f"{key}?": _TEMPERATURE for key in ("melts_from", "melts_to", "boils_from", "boils_to")},
            ),
            key=_PHASE,
        ),
        "density": Table(Record("the check of densities", _SPAN), key=_PHASE),
        "class": Listed(
            Record(
                "a check of classes",
                {"class": Ref("class"), "phase": _PHASE, "hazards": _HAZARDS, "both_ways": Flag()},
            )
        ),
        "mixes": Table(Listed(Text()), key=Word(MIXES)),
        "mixes_amount": Table(
            Record("the check of a number", {"from?": Number("solubility"), "to?": Number("solubility")}), key=Word(MIXES)
        ),
    },
)


class _At(NamedTuple):
    file: str
    line: int


def check_values(
    node: Node,
    file: Reading,
    substances: Mapping[str, Substance],
    pairs: Mapping[str, Sequence[PairRow]],
    problems: Problems,
) -> None:
    """Note what does not agree, each on the line of the value that is to be looked at; give each estimate its error."""
    rules = CHECKS.read(node, 1, "the file", file)
    if rules is FAULTY:
        return
    for substance in substances.values():
        for at, wrong, write in _of_one(substance, rules):
            problems.add(at.file, at.line, wrong, write)
    for rows in pairs.values():
        for row in rows:
            _estimate(row, rules["estimate"], problems)
    for kind in ("azeotropes", "estimates"):
        for row in pairs.get(kind, ()):
            _azeotrope(row, rules, substances, problems)
    for row in pairs.get("miscibility", ()):
        _mixing(row, rules, substances, problems)
        _amount(row, rules["amount"], substances, problems)


def _number(value: Value | None) -> tuple[float, float] | None:
    """The range (SI) of a value that states a number."""
    if value is None or value.number is None or value.high is None:
        return None
    return value.number, value.high


def _of_one(one: Substance, rules: Mapping[str, Any]) -> Iterator[tuple[_At, str, str]]:
    melting, boiling = one.values.get("melting_point"), one.values.get("boiling_point")
    melts, boils = _number(melting), _number(boiling)
    if melting is not None and melts and boils and melts[0] > boils[1] and "sublimes_at" not in one.values:
        wrong = f"{one.id} melts at {melting.text} and boils at {show(boils[1], 'temperature')}, below that"
        yield _At(melting.file, melting.line), wrong, "the right one, or sublimes_at: if it never melts"
    bounds = rules["phase"].get(one.phase, {})
    for value, span, low, high in (
        (melting, melts, "melts_from", "melts_to"),
        (boiling, boils, "boils_from", "boils_to"),
    ):
        if value is None or span is None:
            continue
        least, most = bounds.get(low), bounds.get(high)
        if (least is not None and span[1] < least) or (most is not None and span[0] > most):
            wrong = f"{one.id}, a {one.phase} at {show(ROOM_TEMPERATURE, 'temperature')}, {low.split('_')[0]} at {value.text}"
            yield _At(value.file, value.line), wrong, "phase: the one it has at 20 °C, or the right temperature"
    density = one.values.get("density")
    dense, span = _number(density), rules["density"].get(one.phase)
    if density is not None and dense and span is not None and not (span["from"] <= dense[0] and dense[1] <= span["to"]):
        wrong = f"{one.id}, a {one.phase}, has a density of {density.text}"
        yield _At(density.file, density.line), wrong, f"a density up to {show(span['to'], 'density')}, with its unit"
    yield from _hazards(one, rules)


def _hazards(one: Substance, rules: Mapping[str, Any]) -> Iterator[tuple[_At, str, str]]:
    hazards, flash = one.values.get("hazards"), one.values.get("flash_point")
    if hazards is None or not hazards.line:
        return
    held, flashes = set(hazards.words), _number(flash)
    within = rules["flash_point_within"]
    if flash is not None and flashes and one.phase == "liquid":
        for rule in rules["flash_point"]:
            found = held.intersection(rule["hazards"])
            low = rule["from"]
            if found and (flashes[0] >= rule["below"] + within or (low is not None and flashes[1] < low - within)):
                wrong = f"{one.id} is {', '.join(sorted(found))} and its flash point is {flash.text}"
                yield _At(flash.file, flash.line), wrong, "the statement and the flash point that belong together"
    for rule in rules["class"]:
        is_one, has = rule["class"] in one.classes, bool(held.intersection(rule["hazards"]))
        if one.phase == rule["phase"] and is_one != has and (is_one or rule["both_ways"]):
            said = "holds none" if is_one else "holds one"
            wrong = f"{one.id} is {'' if is_one else 'no '}{rule['class']} and {said} of {', '.join(rule['hazards'])}"
            yield (
                _At(hazards.file, hazards.line),
                wrong,
                f"classes: with or without {rule['class']}, as its hazards say",
            )


def _parsed(row: PairRow, key: str, dimension: str) -> float | None:
    try:
        return parse_number(row.row[key], dimension) if key in row.row else None
    except QuantityError:
        return None  # a range


def _estimate(row: PairRow, methods: Mapping[str, Any], problems: Problems) -> None:
    """Say with an estimate how far its method is off."""
    method = row.row.get("estimate", "")
    if method in methods:
        row.row.setdefault("error", methods[method]["error"])
    elif method and "error" not in row.row:
        wrong = f"nothing says how far the estimate {method!r} is off"
        problems.add(row.file, row.line, wrong, "error: HOW FAR, or a method of checks.yaml")


def _azeotrope(row: PairRow, rules: Mapping[str, Any], substances: Mapping[str, Substance], problems: Problems) -> None:
    rule = rules["azeotrope"]
    sort, at = row.row.get("kind") or row.row.get("azeotrope", "none"), _parsed(row, "at", "temperature")
    pressure = _parsed(row, "pressure", "pressure")
    if sort == "none" or at is None or len(row.ids) < 2:
        return
    if pressure is not None and abs(pressure - rule["pressure"]) > rule["pressure_within"]:
        return
    boil = [_number(substances[id].values.get("boiling_point")) for id in row.ids[:2] if id in substances]
    points = [span[0] for span in boil if span is not None and span[0] == span[1]]
    if len(points) < 2:
        return
    outside = at - max(points) if sort == "maximum" else min(points) - at
    method = rules["estimate"].get(row.row.get("estimate", ""))
    least = rule["measured"] if method is None else method["at"]
    if outside < least - 1e-6:
        where = "above both boiling points" if sort == "maximum" else "below both boiling points"
        wrong = f"the {sort} azeotrope of {' and '.join(row.ids[:2])} at {row.row['at']} is not {least:g} K {where}"
        problems.add(row.file, row.line, wrong, "the right temperature, or no azeotrope where it is within the error")


def _mixing(row: PairRow, rules: Mapping[str, Any], substances: Mapping[str, Substance], problems: Problems) -> None:
    mixes, words = row.row.get("mixes", ""), rules["mixes"]
    span = rules["mixes_amount"].get(mixes, {"from": None, "to": None})
    for solute, solvent in (row.ids[:2], row.ids[1::-1]):
        entry = substances[solute].solubility.get(solvent) if solute in substances else None
        if entry is None or not entry.line or entry.file.endswith("defaults.yaml"):
            continue
        said = entry.word if entry.word and entry.word not in words.get(mixes, (entry.word,)) else ""
        for _, taken in entry.points:
            if (span["from"] is not None and taken < span["from"]) or (span["to"] is not None and taken > span["to"]):
                said = show(taken, "solubility")
        if said:
            wrong = f"{solute} in {solvent} is {said}, but the row of the two says mixes: {mixes} ({row.file})"
            problems.add(entry.file, entry.line, wrong, f"one of {', '.join(words[mixes])}, or another row")


def _share(row: PairRow, key: str) -> float | None:
    """The mass fraction a row states, None for none or a range."""
    try:
        return parse_number(row.row[key].replace("mass", "").strip(), "fraction") if key in row.row else None
    except QuantityError:
        return None


def _amount(row: PairRow, rule: Mapping[str, float], substances: Mapping[str, Substance], problems: Problems) -> None:
    at = _parsed(row, "at", "temperature")
    for (solute, solvent), key in ((row.ids[:2], "first_in_second"), (row.ids[1::-1], "second_in_first")):
        entry, share = substances[solute].solubility.get(solvent) if solute in substances else None, _share(row, key)
        if entry is None or share is None or at is None:
            continue
        for kelvin, taken in entry.points:
            there = share / (1 - share)
            if abs(kelvin - at) <= rule["within"] and not 1 / rule["factor"] <= taken / there <= rule["factor"]:
                said = f"{solute} in {solvent} is {show(taken, 'solubility')} at {show(kelvin, 'temperature')}"
                wrong = f"{said}, but the row of the two says {key}: {row.row[key]} ({row.file})"
                problems.add(entry.file, entry.line, wrong, "the right one in both")
