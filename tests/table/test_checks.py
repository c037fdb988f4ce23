"""Values that cannot both be right are noticed when the table is read: one seeded fault for each check."""

from __future__ import annotations

import csv
import math
import re
from pathlib import Path

import pytest

from choosemethod.places import substances_folder
from choosemethod.properties import Properties
from choosemethod.rulebook import open_rulebook
from choosemethod.table import open_table
from choosemethod.table.contents import read_contents
from choosemethod.yamltext import read_yaml

OWN = """{id}:
  name: {id}
  kind: organic
  phase: {phase}
{more}"""
BOILS = "  boiling_point: {is: 90 °C, source: memory}\n"
# What is stated of a substance, its phase, the rows of pairs, and what is said of it ({id}: the substance).
CASES = [
    ("  melting_point: {is: 95 °C, source: memory}\n" + BOILS, "solid", "", "melts at 95 °C and boils at"),
    ("  melting_point: {is: 60 °C, source: memory}\n", "liquid", "", "a liquid at 20 °C, melts at 60 °C"),
    ("  boiling_point: {is: 4 °C, source: memory}\n", "liquid", "", "a liquid at 20 °C, boils at 4 °C"),
    ("  density: {is: 0.8 g/cm3, source: memory}\n", "gas", "", "a gas, has a density of 0.8 g/cm3"),
    (
        "  classes: [flammable liquid]\n  hazards: {is: [H225], source: memory}\n"
        "  flash_point: {is: 61 °C, source: memory}\n", "liquid", "", "is H225 and its flash point is 61 °C",
    ),
    ("  hazards: {is: [H225], source: memory}\n", "liquid", "", "is no flammable liquid and holds one of"),
    ("  classes: [flammable liquid]\n  hazards: {is: [], source: memory}\n", "liquid", "", "and holds none of"),
    ("  melting_point: {is: 4 °C, source: memory}\n", "solid", "", "a solid at 20 °C, melts at 4 °C"),
    ("  melting_point: {is: 60 °C, source: memory}\n", "gas", "", "a gas at 20 °C, melts at 60 °C"),
    (BOILS, "gas", "", "a gas at 20 °C, boils at 90 °C"),
    ("  density: {is: 0.001 g/cm3, source: memory}\n", "liquid", "", "a liquid, has a density of 0.001 g/cm3"),
    ("  density: {is: 30 g/cm3, source: memory}\n", "solid", "", "a solid, has a density of 30 g/cm3"),
    (
        "  classes: [flammable liquid]\n  hazards: {is: [H226], source: memory}\n"
        "  flash_point: {is: 4 °C, source: memory}\n", "liquid", "", "is H226 and its flash point is 4 °C",
    ),
    (
        "  classes: [flammable liquid]\n  hazards: {is: [H226], source: memory}\n"
        "  flash_point: {is: 99 °C, source: memory}\n", "liquid", "", "is H226 and its flash point is 99 °C",
    ),
    ("  classes: [flammable gas]\n  hazards: {is: [], source: memory}\n", "gas", "", "and holds none of H220"),
    (
        BOILS, "liquid",
        "  azeotropes:\n    - {first: {id}, second: water, kind: minimum, at: 95 °C, source: memory}\n",
        "the minimum azeotrope of {id} and water at 95 °C",
    ),
    (
        BOILS, "liquid",
        "  azeotropes:\n    - {first: {id}, second: water, kind: maximum, at: 95 °C, source: memory}\n",
        "the maximum azeotrope of {id} and water at 95 °C",
    ),
    (
        BOILS, "liquid",
        "  azeotropes:\n    - {first: {id}, second: water, kind: heterogeneous, at: 95 °C, source: memory}\n",
        "the heterogeneous azeotrope of {id} and water at 95 °C",
    ),
    (
        BOILS, "liquid",
        "  estimates:\n    - {first: {id}, second: water, layers: 1, azeotrope: minimum, at: 89.8 °C, "
        "estimate: modified UNIFAC (Dortmund)}\n", "the minimum azeotrope of {id} and water at 89.8 °C is not 0.9 K",
    ),
    (
        BOILS, "liquid",
        "  estimates:\n    - {first: {id}, second: water, layers: 1, azeotrope: none, estimate: by {id}}\n",
        "nothing says how far the estimate 'by {id}' is off",
    ),
    (
        "  solubility:\n    water: {curve: {20 °C: 2, 60 °C: 9}, unit: g/100 g, source: memory}\n", "liquid",
        "  miscibility:\n    - {first: {id}, second: water, mixes: partly, first_in_second: 8 mass %, at: 20 °C, "
        "source: memory}\n",
        "{id} in water is 2 g/100 g at 20 °C, but the row of the two says first_in_second: 8 mass %",
    ),
    (
        "  solubility:\n    water: {is: insoluble, source: memory}\n", "liquid",
        "  miscibility:\n    - {first: {id}, second: water, mixes: fully, source: memory}\n",
        "{id} in water is insoluble, but the row of the two says mixes: fully",
    ),
    (
        "  solubility:\n    water: {is: miscible, source: memory}\n", "liquid",
        "  miscibility:\n    - {first: water, second: {id}, mixes: partly, source: memory}\n",
        "{id} in water is miscible, but the row of the two says mixes: partly",
    ),
    (
        "  solubility:\n    water: {is: 5 g/100 g, at: 20 °C, source: memory}\n", "liquid",
        "  miscibility:\n    - {first: {id}, second: water, mixes: fully, source: memory}\n",
        "{id} in water is 5 g/100 g, but the row of the two says mixes: fully",
    ),
    (
        "  solubility:\n    water: {is: 5 g/100 g, at: 20 °C, source: memory}\n", "liquid",
        '  miscibility:\n    - {first: {id}, second: water, mixes: "no", source: memory}\n',
        "{id} in water is 5 g/100 g, but the row of the two says mixes: no",
    ),
    (
        "  solubility:\n    water: {is: 2 g/100 g, at: 20 °C, source: memory}\n", "liquid",
        "  miscibility:\n    - {first: water, second: {id}, mixes: partly, second_in_first: 8 mass %, at: 20 °C, "
        "source: memory}\n",
        "{id} in water is 2 g/100 g at 20 °C, but the row of the two says second_in_first: 8 mass %",
    ),
]  # fmt: skip
AGREES = (
    "  classes: [flammable liquid]\n  melting_point: {is: -20 °C, source: memory}\n" + BOILS
    + "  density: {is: 0.8 g/cm3, source: memory}\n  hazards: {is: [H225], source: memory}\n"
    "  flash_point: {is: 4 °C, source: memory}\n"
)  # fmt: skip
AGREED = "  azeotropes:\n    - {first: {id}, second: water, kind: minimum, at: 80 °C, source: memory}\n"


def _id(number: int) -> str:
    return f"seeded-{number}-liquid"


@pytest.fixture(scope="module")
def faults(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """What is said, in one reading, of a table with a substance for each case and one that agrees in itself."""
    rows: dict[str, str] = {}
    own = ""
    for number, (more, phase, pairs, _) in enumerate([*CASES, (AGREES, "liquid", AGREED, "")]):
        own += re.sub("(?m)^", "  ", OWN.format(id=_id(number), phase=phase, more=more)).rstrip() + "\n"
        for block in re.split(r"(?m)^(?=  \w)", pairs):
            kind, _, row = block.partition("\n")
            rows[kind] = rows.get(kind, "") + row.replace("{id}", _id(number))
    path = tmp_path_factory.mktemp("checks") / "own.yaml"
    pairs = "".join(f"{kind}\n{row}" for kind, row in rows.items() if kind)
    path.write_text(f"substances:\n{own}pairs:\n{pairs}", "utf-8")
    return [str(error) for error in read_contents(substances_folder(), [path]).problems]


@pytest.mark.parametrize("number", range(len(CASES)), ids=[said for *_, said in CASES])
def test_what_cannot_be_is_said_with_file_and_line(faults: list[str], number: int) -> None:
    said = CASES[number][-1].replace("{id}", _id(number))
    found = [one for one in faults if _id(number) in one]
    assert any("own.yaml, line" in one and said in one and "Write instead" in one for one in found), found or faults


def test_what_agrees_is_let_pass(faults: list[str]) -> None:
    assert [one for one in faults if _id(len(CASES)) in one] == []
    assert all("own.yaml" in one for one in faults)


def test_the_error_stated_of_a_method_is_what_it_was_off_by() -> None:
    """reference/dortmund.csv: what the method says of 42 pairs beside what was measured, with the source of each."""
    with Path(__file__).with_name("reference").joinpath("dortmund.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))

    def off(ours: str, theirs: str) -> list[tuple[float, float]]:
        return [(float(row[ours]), float(row[theirs])) for row in rows if row[ours] and row[theirs]]

    kelvin = [a - b for a, b in off("estimated_celsius", "celsius")]
    alphas = [math.log(a / b) for a, b in off("estimated_alpha", "published_alpha")]
    layers = [a == b for a, b in off("estimated_layers", "layers")]
    checks = read_yaml(substances_folder() / "checks.yaml")
    assert isinstance(checks, dict)
    stated = checks["estimate"]["modified UNIFAC (Dortmund)"]
    rms = math.sqrt(sum(one * one for one in kelvin) / len(kelvin))
    assert (stated["at"], len(kelvin)) == (f"{rms:.1f} K", 36)
    assert f"by {100 * math.sqrt(sum(one * one for one in alphas) / len(alphas)):.0f} %" in stated["error"]
    assert f"layers right in {sum(layers)} of {len(layers)} pairs" in stated["error"]


def test_every_estimate_is_shown_with_its_error() -> None:
    table = open_table()
    estimates = [row for kind in table.pair_kinds() for row in table.pairs(kind) if row.get("estimate")]
    assert len(estimates) > 1400 and all(row["error"] for row in estimates)
    known = Properties(table, open_rulebook(table).limits, 101_325.0)
    shown = known.between("methanol", "diisopropyl-ether")[1]["azeotrope"]
    assert shown.how == "estimated" and "off by 0.9 K" in shown.note
