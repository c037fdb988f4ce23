"""The reader of data: a specification converts, checks, finds every fault at once, and describes itself."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from choosemethod.data import (
    FAULTY,
    SOURCE,
    Either,
    Entry,
    Flag,
    Listed,
    Names,
    Number,
    Plain,
    Problems,
    Reading,
    Record,
    Ref,
    Span,
    Table,
    Text,
    Word,
    read_file,
    read_node,
)
from choosemethod.errors import DataError
from choosemethod.yamltext import parse_yaml


def order(one: Entry) -> None:
    if one["reaches"] is not FAULTY and one["fails"] is not FAULTY and one["fails"] and one["reaches"] > one["fails"]:
        one.fault("fails", "fails below what it reaches", "fails: a higher pressure")


PUMP = Record(
    "a pump",
    {
        "name": Text(example="water pump"),
        "kind": Word(["water", "oil"]),
        "reaches": Number("pressure", example="2 kPa"),
        "fails?": Number("pressure"),
        "plates?": Span("pure number"),
        "uses?": Listed(Ref("technique")),
        "loud?": Flag(),
        "steps?": Plain(whole=True, empty=1),
        "note?": Either(text=Text(), block=Record("a note", {"says": Text()})),
        "source": SOURCE,
    },
    check=order,
)
KNOWN = {"technique": Names(["filtration", "distillation"]), "source": Names(["memory"])}
GOOD = """\
tap:
  name: water   jet
  kind: water
  reaches: 2 kPa
  plates: 2 to 3
  uses: filtration
  loud: "yes"
  note: {says: wet}
  source: memory
"""


def read(text: str) -> tuple[object, Problems]:
    problems = Problems()
    found = read_node(parse_yaml(text, "pumps.yaml"), Table(PUMP), Reading("pumps.yaml", KNOWN, problems))
    return found, problems


def test_values_are_converted_and_what_is_left_out_has_its_empty_value() -> None:
    found, problems = read(GOOD)
    assert problems == []
    assert found == {
        "tap": {
            "name": "water jet", "kind": "water", "reaches": 2000.0, "fails": None, "plates": (2.0, 3.0),
            "uses": ("filtration",), "loud": True, "steps": 1, "note": {"says": "wet"}, "source": "memory",
        }
    }  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "line", "wrong", "write"),
    [
        ("name: water   jet", "nmae: jet", 2, "'nmae' is no key of a pump", "name:"),
        ("name: water   jet", "# gone", 3, "name is missing", "name: water pump"),
        ("name: water   jet", "name:", 2, "name is missing", "name: water pump"),
        ("name: water   jet", "name: [jet]", 2, "name must be one text", "name: water pump"),
        ("kind: water", "kind: watr", 3, "'watr' is no kind", "kind: water"),
        ("kind: water", "kind: steam", 3, "'steam' is no kind", "one of water, oil"),
        ("2 kPa", "2", 4, "a pressure needs a unit", "reaches: 2 kPa (a pressure)"),
        ("2 kPa", "2 g", 4, "that is a mass", "2 kPa"),
        ("2 kPa", "-2 kPa", 4, "a pressure cannot be negative", "reaches: 2 kPa"),
        ("2 kPa", "2 kPa\n  fails: 1 kPa", 5, "fails below what it reaches", "higher"),
        ("2 to 3", "3 to 2", 5, "lower end comes first", "plates"),
        ("uses: filtration", "uses: filtraton", 6, "'filtraton' is no technique", "filtration"),
        ("uses: filtration", "uses: [filtration, {a: b}]", 6, "uses must be one text", "uses:"),
        ('"yes"', "loudly", 7, "'loudly' is no answer to yes or no", 'loud: one of "yes", "no"'),
        ("loud: ", "steps: 1.5 #", 7, "1.5 is not whole", "steps: 1"),
        ("{says: wet}", "[wet]", 8, "note cannot be a list", "note: TEXT or {says: TEXT"),
        ("source: memory", "source: hearsay", 9, "'hearsay' is no source that is known", "source: KEY"),
        ("source: memory", "loud: \"yes\"", None, "already given", ""),
    ],
)  # fmt: skip
def test_a_fault_names_line_and_mend(old: str, new: str, line: int | None, wrong: str, write: str) -> None:
    assert old in GOOD
    text = GOOD.replace(old, new, 1)
    if line is None:  # what YAML itself refuses is a DataError as before
        with pytest.raises(DataError, match=wrong):
            read(text)
        return
    found, problems = read(text)
    assert [(one.file, one.line) for one in problems] == [("pumps.yaml", line)] or (
        "missing" in wrong and [one.line for one in problems] == [2]
    )
    assert wrong in problems[0].wrong
    assert write in problems[0].write
    assert found == {}  # what is faulty is not used


def test_all_faults_of_a_file_are_raised_at_once(tmp_path: Path) -> None:
    path = tmp_path / "pumps.yaml"
    text = GOOD.replace("2 kPa", "2 g").replace("kind: water", "kind: steam").replace("source: memory", "sorce: memory")
    path.write_text(text + "oil: 5\n", encoding="utf-8")
    with pytest.raises(DataError) as caught:
        read_file(path, Table(PUMP), "pumps.yaml", KNOWN)
    error = caught.value
    assert [one.line for one in error.faults] == [3, 4, 9, 10]
    assert (error.line, error.exit_code) == (3, 5)
    assert str(error).count("\n") == 3
    assert all(line.startswith("pumps.yaml, line ") and "Write instead" in line for line in str(error).split("\n"))
    assert str(pickle.loads(pickle.dumps(error))) == str(error)


def test_a_message_does_not_grow_without_end() -> None:
    error = DataError.of([DataError("a.yaml", line, "wrong", "right") for line in range(1, 101)])
    assert len(error.lines()) == DataError.most_shown + 1
    assert error.lines()[-1] == "and 50 more faults like these"


def test_all_faults_of_a_rule_and_of_a_technique_are_shown_at_once(tmp_path: Path) -> None:
    from choosemethod.rulebook.load import load_rule
    from choosemethod.rulebook.load_technique import load_technique

    rule = tmp_path / "a-rule.yaml"
    rule.write_text(
        "id: another-rule\nproposes: filtraton\nstrength: superb\nfind:\n  low: {is: component, form: sold}\n"
        "  high: {is: component, boiling_point: {over: 20 °C, above: 20 kPa}, other_than: lwo}\n"
        'because: "{low.nme} and {hgh.name}"\nprinciple: none\nsource: hearsay\n'
        "examples:\n  - {name: one, mixtur: salt, expect: perhaps}\n",
        encoding="utf-8",
    )
    with pytest.raises(DataError) as caught:
        load_rule(rule, "a-rule.yaml", KNOWN)
    assert [one.line for one in caught.value.faults] == [1, 2, 3, 5, 6, 6, 6, 7, 7, 9, 11, 11]
    technique = tmp_path / "wash.yaml"
    technique.write_text(
        "id: wash\nname: washing\nverb: wash\nprinciple: none\nroles: {dirt: compnent}\nlevel: wizard\norder: last\n"
        "cost: {work: little, minutes: 1, hazard: 1, loss: 1}\noperation: {parts: {rest: {name: x, takes: {form: sold}}}}\n"
        'apparatus: [{must: "{lft}"}]\nsteps: [{must: "a {"}]\nseen: [{when: {any.frm: solid}, may: x}]\n'
        "cautions: [{may: y}]\nsource: memory\n",
        encoding="utf-8",
    )
    with pytest.raises(DataError) as caught:
        load_technique(technique, "wash.yaml", KNOWN)
    assert [one.line for one in caught.value.faults] == [5, 6, 7, 8, 9, 10, 11, 12, 13]
