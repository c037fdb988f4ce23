"""Faulty classroom data are refused with file, line and mend."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from choosemethod.classroom.materials import FILES, read_materials
from choosemethod.errors import DataError
from choosemethod.places import rules_folder

FAULTS = [
    ("levels", "title: Primary", "titel: Primary", "no key"),
    ("mixtures", "level: primary}", "level: nursery}", "no level"),
    ("mistakes", 'why: "The solid', 'because: "The solid', "no key"),
    ("orders", "in: Fold the filter paper", "at: Fold the filter paper", "in"),
    ("pictures", "{line: [215, 20, 175, 68]}", "{line: [215, 20, 175]}", "numbers"),
    ("pictures", "fill: paper", "fill: gold", "no fill"),
    ("pictures", "{circle: [70, 165, 32]}", "{disc: [70, 165, 32]}", "a line, an area, a circle or a box"),
    ("numbers", "front: [60, 150, 2]", "front: [150, 60, 2]", "least"),
]


@pytest.mark.parametrize(("name", "good", "bad", "said"), FAULTS)
def test_faults_name_file_and_line(name: str, good: str, bad: str, said: str, tmp_path: Path) -> None:
    source = rules_folder() / "classroom"
    for file in FILES:
        shutil.copy(source / f"{file}.yaml", tmp_path)
    path = tmp_path / f"{name}.yaml"
    text = path.read_text(encoding="utf-8")
    assert good in text
    path.write_text(text.replace(good, bad, 1), encoding="utf-8")
    with pytest.raises(DataError, match=said) as caught:
        read_materials(tmp_path)
    assert caught.value.file == f"rules/classroom/{name}.yaml"
    assert caught.value.line >= 1
    assert caught.value.write


def test_every_fault_is_said_at_once(tmp_path: Path) -> None:
    for file in FILES:
        text = (rules_folder() / "classroom" / f"{file}.yaml").read_text(encoding="utf-8")
        for name, good, bad, _ in FAULTS:
            text = text.replace(good, bad, 1) if name == file else text
        (tmp_path / f"{file}.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(DataError) as caught:
        read_materials(tmp_path)
    assert len({(one.file, one.line) for one in caught.value.faults}) >= len(FAULTS)


def test_installed_data_are_whole() -> None:
    data = read_materials(rules_folder() / "classroom")
    assert sum(len(topic.mixtures) for topic in data.topics) >= 70
    assert set(data.sheets) >= set(data.orders)
