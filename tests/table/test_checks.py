"""Values that cannot both be right are noticed when the table is read: one seeded fault for each check."""

from __future__ import annotations

import re

import pytest

from choosemethod.places import substances_folder
from choosemethod.table.contents import read_contents

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
        "  estimates:\n    - {first: {id}, second: water, layers: 1, azeotrope: minimum, at: 89.8 °C, "
        "estimate: seeded}\n", "the minimum azeotrope of {id} and water at 89.8 °C is not 0.5 K",
    ),
    (
        "  solubility:\n    water: {is: insoluble, source: memory}\n", "liquid",
        "  miscibility:\n    - {first: {id}, second: water, mixes: fully, source: memory}\n",
        "{id} in water is insoluble, but the row of the two says mixes: fully",
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
