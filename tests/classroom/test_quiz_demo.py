"""The demonstration: its worksheet can be read, and its quiz and sheet are made as its text says."""

from __future__ import annotations

import csv
import shlex
from argparse import ArgumentParser
from pathlib import Path

import pytest

from choosemethod.classroom import handout_command, quiz_command

DEMO = Path(__file__).resolve().parent.parent / "demo"


def _commands() -> list[list[str]]:
    lines = [line.strip() for line in (DEMO / "README.md").read_text(encoding="utf-8").splitlines()]
    return [shlex.split(line)[1:] for line in lines if line.startswith("choosemethod ")]


def test_worksheet_has_a_mixture_and_an_answer_in_every_row() -> None:
    with open(DEMO / "harbour-museum-worksheet.csv", encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 12
    assert all(row["Mixture"] and row["Answer"] and row["Level"] for row in rows)


@pytest.mark.parametrize(("name", "module"), [("quiz", quiz_command), ("handout", handout_command)])
def test_commands_of_the_demonstration_work(name: str, module: object, tmp_path: Path) -> None:
    words = next(words for words in _commands() if words[0] == name)[1:]
    if "--output" in words:
        words = words[: words.index("--output")]
    parser = ArgumentParser()
    module.add_arguments(parser)  # type: ignore[attr-defined]
    file = tmp_path / "made"
    assert module.run(parser.parse_intermixed_args([*words, "--output", str(file)])) == 0  # type: ignore[attr-defined]
    made = file.read_text(encoding="utf-8")
    assert ("Harbour museum" in made) if name == "quiz" else ("separating funnel" in made)
