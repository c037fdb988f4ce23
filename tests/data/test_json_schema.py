"""The JSON Schemas made from the specifications: the program's own files hold by them, and a wrong key does not."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from choosemethod.cli import main
from choosemethod.data import KINDS, json_schema, kind_of
from choosemethod.places import rules_folder, substances_folder

FILES = [
    (path.relative_to(folder.parent).as_posix(), path)
    for folder in (rules_folder(), substances_folder())
    for path in sorted(folder.rglob("*.yaml"))
]
OWN = {  # of a user's own
    "mixture file": """\
components:
  - {name: liquid A, phase: liquid, boiling_point: 60 °C, solubility: {water: insoluble}, amount: 50 mL}
  - water
want: liquid A
without: [no flame]
level: year 7
""",
    "marking scheme": "- {mixture: sand and salt, accept: [filtration], points: [dissolve / add water], reasons: {x: y}}",
}
# Files with a reader of their own.
APART: tuple[str, ...] = ()


def validator(kind: str) -> Any:
    schema = json_schema(kind)
    # The published meta-schema of draft 2020-12 (json-schema.org), as the jsonschema package holds it.
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize("kind", KINDS)
def test_the_files_of_a_kind_hold_by_its_schema(kind: str) -> None:
    checker = validator(kind)
    files = {path.name: path for name, path in FILES if kind_of(name) == kind}
    texts = {name: path.read_text(encoding="utf-8") for name, path in [*files.items()][:: max(1, len(files) // 25)]}
    if kind in OWN:
        texts = {"a file of a user's own": OWN[kind]}
    assert texts
    for name, text in texts.items():
        # As text, as the program reads it, and with the types an editor sees.
        for loader in (yaml.CBaseLoader, yaml.CSafeLoader):
            tree = yaml.load(text, Loader=loader)
            found = [f"{name}: {'/'.join(map(str, one.path))}: {one.message}" for one in checker.iter_errors(tree)]
            assert found == []


@pytest.mark.parametrize("kind", KINDS)
def test_a_schema_refuses_a_list_of_numbers(kind: str) -> None:
    assert not validator(kind).is_valid([1, 2])


def test_every_file_has_a_kind() -> None:
    assert [name for name, _ in FILES if not kind_of(name) and not name.startswith(APART)] == []


def test_a_schema_says_what_is_wrong(tmp_path: Path) -> None:
    checker = validator("pumps")
    good = {"tap": {"name": "water jet", "reaches": "2 kPa", "source": "memory"}}
    assert checker.is_valid(good)
    for key, value in (("reech", "2 kPa"), ("name", ["a"])):
        assert not checker.is_valid({"tap": {**good["tap"], key: value}})
    assert not checker.is_valid({"tap": {"name": "water jet", "source": "memory"}})


def test_the_command_prints_the_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["table", "--schema", "rule"]) == 0
    assert json.loads(capsys.readouterr().out) == json_schema("rule")
    assert main(["table", "--schema", "rules/pumps.yaml"]) == 0
    assert json.loads(capsys.readouterr().out) == json_schema("pumps")


def test_an_unknown_kind_names_the_kinds(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["table", "--schema", "rules"]) == 2
    assert "hazard-groups" in capsys.readouterr().err
