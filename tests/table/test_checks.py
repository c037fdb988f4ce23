"""Values that cannot both be right are noticed when the table is read: one seeded fault for each check."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from choosemethod.places import substances_folder
from choosemethod.table.contents import check_all


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return Path(shutil.copytree(substances_folder(), tmp_path_factory.mktemp("checks") / "substances"))


OWN = "{id}:\n  name: {id}\n  kind: organic\n  phase: {phase}\n{more}"


def faults(folder: Path, more: str, phase: str = "liquid", pairs: str = "") -> list[str]:
    """What is said of a table with one more substance, and rows of pairs if given."""
    own = folder.parent / "own.yaml"
    block = OWN.format(id="seeded-liquid", phase=phase, more=more)
    text = "substances:\n" + re.sub("(?m)^", "  ", block) + (f"\npairs:\n{pairs}" if pairs else "")
    own.write_text(text, "utf-8")
    return [str(error) for error in check_all(folder, [own])]


BOILS = "  boiling_point: {is: 90 °C, source: memory}\n"


@pytest.mark.parametrize(
    ("more", "phase", "pairs", "said"),
    [
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
            "  azeotropes:\n    - {first: seeded-liquid, second: water, kind: minimum, at: 95 °C, source: memory}\n",
            "the minimum azeotrope of seeded-liquid and water at 95 °C",
        ),
        (
            BOILS, "liquid",
            "  azeotropes:\n    - {first: seeded-liquid, second: water, kind: maximum, at: 95 °C, source: memory}\n",
            "the maximum azeotrope of seeded-liquid and water at 95 °C",
        ),
        (
            BOILS, "liquid",
            "  estimates:\n    - {first: seeded-liquid, second: water, layers: 1, azeotrope: minimum, at: 89.8 °C, "
            "estimate: seeded}\n", "the minimum azeotrope of seeded-liquid and water at 89.8 °C is not 0.5 K",
        ),
        (
            "  solubility:\n    water: {is: insoluble, source: memory}\n", "liquid",
            "  miscibility:\n    - {first: seeded-liquid, second: water, mixes: fully, source: memory}\n",
            "seeded-liquid in water is insoluble, but the row of the two says mixes: fully",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_with_file_and_line(folder: Path, more: str, phase: str, pairs: str, said: str) -> None:
    found = faults(folder, more, phase, pairs)
    assert any("own.yaml, line" in one and said in one and "Write instead" in one for one in found), found[:3]


def test_what_agrees_is_let_pass(folder: Path) -> None:
    more = (
        "  classes: [flammable liquid]\n  melting_point: {is: -20 °C, source: memory}\n" + BOILS
        + "  density: {is: 0.8 g/cm3, source: memory}\n  hazards: {is: [H225], source: memory}\n"
        "  flash_point: {is: 4 °C, source: memory}\n"
    )  # fmt: skip
    pairs = "  azeotropes:\n    - {first: seeded-liquid, second: water, kind: minimum, at: 80 °C, source: memory}\n"
    assert faults(folder, more, "liquid", pairs) == []
