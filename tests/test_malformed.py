"""Malformed input of every kind ends with one clear message and the documented exit code, and never with a traceback.

Exit codes: 2 usage, 3 not known, 4 refused, 5 faulty data or rule file. A message stands on one line of standard error; for
a data file it names the file and the line and says what to write instead. What is not known and what is refused are
answers, so they stand on standard output. Numbers are those of the worksheets in this file: made up to be wrong.
"""

# ruff: noqa: E501  (one fault to a line can be compared with the next; broken lines cannot)

from __future__ import annotations

import io
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from choosemethod import places
from choosemethod.cli import main

ROOT = Path(__file__).resolve().parent.parent
FAULT = re.compile(r"choosemethod: (?P<file>.+?), line (?P<line>\d+): (?P<wrong>.+)\. Write instead: (?P<mend>.+)\n\Z")


@pytest.fixture(autouse=True)
def no_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("NO_COLOR", "FORCE_COLOR", "COLUMNS", "CHOOSEMETHOD_DEBUG"):
        monkeypatch.delenv(name, raising=False)


def clean(text: str) -> bool:
    """Whether a text could be shown on any terminal: no control characters but line breaks, no traceback."""
    return "Traceback" not in text and not any(
        (sign < " " and sign != "\n") or "\x7f" <= sign < "\xa0" for sign in text
    )


def said(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str, str]:
    code = main(argv)
    out, err = capsys.readouterr()
    assert clean(out), out
    assert clean(err), err
    return code, out, err


def one_message(found: tuple[int, str, str], code: int) -> str:
    """The message, after checking that it is the only one."""
    assert found[:2] == (code, ""), found
    message = found[2]
    assert message.startswith("choosemethod: "), message
    assert message.count("\n") == 1, message
    assert message.endswith("\n")
    assert 20 < len(message) < 700, message
    assert "fault of the program" not in message
    return message


def faulty(found: tuple[int, str, str], file: str, line: int, words: str) -> None:
    """A message about a data file: exit code 5, the file, the line, what is wrong and the mend.

    Every fault of a file is shown, one to a line; the fault looked for is the first of them, and what follows from it
    (a role that is named wrongly is not found elsewhere) may stand below.
    """
    first, *more = found[2].splitlines(keepends=True)
    match = FAULT.match(one_message((found[0], found[1], first), 5))
    assert match is not None, found[2]
    assert all(FAULT.match(other) for other in more), found[2]
    assert match["file"].endswith(file), match["file"]
    assert int(match["line"]) == line, found[2]
    assert words in match["wrong"] + " | " + match["mend"], found[2]


# ---- questions in words ------------------------------------------------------------------------------------------

EMPTY = {"nothing": "", "blanks": "   ", "line breaks": "\n\n", "tabs": "\t \t"}

NOT_KNOWN = {
    "emoji": "😀",
    "emoji beside a name": "sand and 😀",
    "two emoji": "😀 and 💧",
    "right-to-left text": "مخلوط ماء و رمل",
    "right-to-left name beside a name": "sand and ماء",
    "another script": "песок",
    "markup": "[bold]xyzzium[/bold]",
    "closing markup": "[/bold] xyzzium",
    "markup with a link": "[link=http://example.org]qwerty[/link]",
    "HTML": "<script>alert(1)</script>",
    "braces": "{low.name}",
    "format signs": "%s%n%x",
    "SQL": "'; DROP TABLE names; --",
    "a path": "../../etc/passwd",
    "gibberish": "asdfghjkl qwertyuiop",
    "an unknown name beside a known one": "sand and xyzzium",
    "two unknown names": "flurb and blarg",
    "a formula of no substance": "XyZ3",
    "only numbers": "1 2 3",
    "only an amount": "50 mL",
    "only amounts": "50 mL and 20 g",
    "only stop words": "the of and with from",
    "only a verb": "how do I separate",
    "only marks": "?!...",
    "a mark": ".",
    "a very long word": "x" * 3000,
    "a very long word beside a name": "sand and " + "x" * 3000,
    "a long chain": "a-" * 3000,
    "open brackets": "(" * 5000,
    "closing brackets": ")" * 5000 + " xyzzium",
    "a long ratio": "1:" * 2000 + "1",
    "2000 words": "word " * 2000,
    "YAML words": "null",
    "an apostrophe": "'",
    "zero-width signs": "\u200b\u200b",
    "a byte order mark": "\ufeff",
    "a lone surrogate": "\ud800 and xyzzium",
    "control characters": "\x01\x02 xyzzium \x7f",
    "terminal codes": "\x1b[31mxyzzium\x1b[0m",
    "a direction override": "\u202exyzzium",
    "combining marks": "x\u0301\u0302\u0303yzz",
    "another language": "¿arena y agua?",
    "not a mixture": "separate my parents",
}

UNCLEAR = {
    "a negative amount": "-5 g sand and water",
    "a negative volume": "sand and -5 mL of water",
    "no amount at all": "0 g of sand and water",
    "more than the whole": "150 % sand and water",
    "a negative pressure": "sand and water at -3 kPa",
    "no pressure": "acetone and water at 0 kPa",
    "an enormous pressure": "acetone and water at 5000 MPa",
    "an altitude in space": "acetone and water at 100 km altitude",
    "10,000 words": "word " * 10_000,
    "10,000 times a name": "water " * 10_000,
    "60,000 letters": "sand and " + "a" * 60_000,
    "70,000 letters": "a" * 70_000,
}

REFUSED = {
    "bleach with ammonia": "bleach and ammonia",
    "bleach with acid": "bleach and hydrochloric acid",
    "sodium in water": "sodium and water",
    "nitric acid with a solvent": "nitric acid and acetone",
}


@pytest.mark.parametrize("words", EMPTY.values(), ids=EMPTY)
def test_an_empty_question(capsys: pytest.CaptureFixture[str], words: str) -> None:
    assert "empty" in one_message(said(capsys, words), 2)


@pytest.mark.parametrize("words", NOT_KNOWN.values(), ids=NOT_KNOWN)
def test_what_is_not_known_is_said_and_nothing_is_guessed(capsys: pytest.CaptureFixture[str], words: str) -> None:
    code, out, err = said(capsys, words)
    assert (code, err) == (3, "")
    assert "no guess is made" in out
    assert "Not understood" in out or "No substance or mixture was recognised" in out
    assert "Best technique" not in out


@pytest.mark.parametrize("words", UNCLEAR.values(), ids=UNCLEAR)
def test_a_question_that_cannot_be(capsys: pytest.CaptureFixture[str], words: str) -> None:
    one_message(said(capsys, words), 2)


@pytest.mark.parametrize("words", REFUSED.values(), ids=REFUSED)
def test_what_is_dangerous_is_refused(capsys: pytest.CaptureFixture[str], words: str) -> None:
    code, out, err = said(capsys, words)
    assert (code, err) == (4, "")
    assert "DANGER" in out
    assert "Best technique" not in out


# ---- options -----------------------------------------------------------------------------------------------------

OPTIONS = {
    "an unknown option": ("--flurb",),
    "half an option": ("--wa", "sand"),
    "an option without its value": ("--pressure",),
    "pressure without a unit": ("--pressure", "84"),
    "pressure with another unit": ("--pressure", "84 mm"),
    "pressure in words": ("--pressure", "low"),
    "pressure 0": ("--pressure", "0 kPa"),
    "pressure below 0": ("--pressure=-1 kPa",),
    "pressure not a number": ("--pressure", "nan kPa"),
    "pressure without end": ("--pressure", "inf kPa"),
    "pressure with a comma": ("--pressure", "84,0 kPa"),
    "altitude 100 km": ("--altitude", "100 km"),
    "altitude under the earth": ("--altitude=-2 km",),
    "altitude without a unit": ("--altitude", "1600"),
    "pressure and altitude": ("--pressure", "84 kPa", "--altitude", "1600 m"),
    "an unknown level": ("--level", "wizard"),
    "an unknown form": ("--format", "yaml"),
    "no width": ("--width", "0"),
    "an enormous width": ("--width", "9" * 500),
    "width in other digits": ("--width", "٨٠"),
    "why not what is no technique": ("--why-not", "magic"),
    "why not nothing": ("--why-not", ""),
    "why not markup": ("--why-not", "[red]filtration[/red]"),
    "a front without spots": ("--front", "150 mm"),
    "spots without a front": ("--spots", "90 mm"),
    "a spot beyond the front": ("--front", "100 mm", "--spots", "90 mm, 120 mm"),
    "a spot below the line": ("--front", "100 mm", "--spots=-5 mm"),
    "a front of nothing": ("--front", "0 mm", "--spots", "0 mm"),
    "spots without a unit": ("--front", "100 mm", "--spots", "50"),
    "spots of another unit": ("--front", "100 mm", "--spots", "50 g"),
    "a front in words": ("--front", "far", "--spots", "50 mm"),
    "colour in words": ("--color", "pink"),
}


@pytest.mark.parametrize("options", OPTIONS.values(), ids=OPTIONS)
def test_options_that_cannot_be(capsys: pytest.CaptureFixture[str], options: tuple[str, ...]) -> None:
    one_message(said(capsys, "sand and water", *options), 2)


def test_a_wish_that_is_not_known_is_said(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "question.yaml"
    path.write_text("components: [sand, salt]\nwant: xyzzium\n", encoding="utf-8")
    for argv in (("sand and water", "--want", "xyzzium"), (str(path),)):
        _, out, err = said(capsys, *argv)
        assert err == ""
        assert "xyzzium" in out
        assert "ot understood" in out


def test_a_limit_that_rules_nothing_out_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = said(capsys, "sand and water", "--without", "purple")
    assert (code, err) == (0, "")
    assert "set aside: “purple”" in out


COMMANDS = {
    "no command at all": ((), 2),
    "a missing file": (("no-such-mixture.yaml",), 2),
    "a folder for a file": (("advise", "/"), 3),
    "an unknown technique": (("techniques", "magic"), 2),
    "an unknown rule": (("rules", "no-such-rule"), 2),
    "an unknown calculation": (("calculate", "alchemy"), 2),
    "a value without a name": (("calculate", "rf", "=3 cm"), 2),
    "a value that is missing": (("calculate", "rf", "spot=3 cm"), 2),
    "a value of another unit": (("calculate", "rf", "spot=3 g", "front=8 cm"), 2),
    "a spot beyond the front": (("calculate", "rf", "spot=9 cm", "front=8 cm"), 2),
    "a missing worksheet": (("check", "no-such-worksheet.yaml"), 2),
}


@pytest.mark.parametrize("argv, code", COMMANDS.values(), ids=COMMANDS)
def test_commands_that_cannot_be(capsys: pytest.CaptureFixture[str], argv: tuple[str, ...], code: int) -> None:
    found = said(capsys, *argv)
    assert found[0] == code, found
    if code != 3:
        one_message(found, code)


def test_a_name_the_table_does_not_have(capsys: pytest.CaptureFixture[str]) -> None:
    assert "xyzzium" in one_message(said(capsys, "table", "xyzzium"), 3)
    assert "no such" in one_message(said(capsys, "sand and water", "--table", "/no such/own.yaml"), 5)


# ---- standard input ----------------------------------------------------------------------------------------------

INPUT = {
    "nothing": (b"", 2),
    "blanks": (b" \n \t\n", 2),
    "binary": (b"\x7fELF\x02\x01\x01\x00\x00", 2),
    "a picture": (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", 2),
    "Latin-1": "s\xe4nd and w\xe4ter".encode("latin-1"),
    "UTF-16": ("sand and water".encode("utf-16"), 2),
    "NUL bytes": (b"sand\x00and\x00water", 2),
    "terminal codes": (b"sand \x1b[2J and water", 2),
    "3 MB": (b"sand " * 600_000, 2),
    "10,000 words": (b"word " * 10_000, 2),
    "an unknown name": (b"sand and xyzzium\n", 3),
    "a faulty YAML question": (b"components: [sand\n", 5),
    "YAML with a tag": (b"mixture: !!python/object/apply:os.system [echo]\n", 5),
}


@pytest.mark.parametrize("case", INPUT.values(), ids=INPUT)
def test_standard_input(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, case: bytes | tuple[bytes, int]
) -> None:
    raw, code = case if isinstance(case, tuple) else (case, 2)
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw), encoding="utf-8"))
    found = said(capsys, "-")
    if code == 3:
        assert found[0] == 3
        assert "no guess is made" in found[1]
    else:
        one_message(found, code)


# ---- questions as YAML files -------------------------------------------------------------------------------------

QUESTIONS: dict[str, tuple[str | bytes, int, str]] = {
    "a duplicate key": ("mixture: sand and salt\nmixture: sand and water\n", 2, "already given on line 1"),
    "an anchor": ("components: &all [sand, salt]\nwant: salt\n", 1, "anchor"),
    "an alias": ("components: [sand, salt]\nwant: *all\n", 2, "alias"),
    "a tag": ("mixture: !!str sand and salt\n", 1, "tag"),
    "a Python tag": ("mixture: !!python/object/apply:os.system [echo]\n", 1, "tag"),
    "a tab": ("components:\n\t- sand\n", 2, "tab"),
    "NUL bytes": (b"mixture: sand\x00 and salt\n", 1, "control character"),
    "a control character": ("mixture: sand\n# \x07\n", 2, "control character"),
    "binary": (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\xff\xfe", 1, "UTF-8"),
    "Latin-1": ("mixture: s\xe4nd\n".encode("latin-1"), 1, "UTF-8"),
    "3 MB": (b"# " + b"x" * 3_000_000 + b"\nmixture: sand\n", 1, "2 MB"),
    "deep nesting": ("components: " + "[" * 400 + "]" * 400 + "\n", 1, "nested"),
    "deep mappings": ("components: " + "{a: " * 400 + "1" + "}" * 400 + "\n", 1, "nested"),
    "an open bracket": ("components: [sand, salt\nwant: salt\n", 2, "bracket"),
    "an open quote": ('mixture: "sand and salt\nwant: salt\n', 1, "quotation mark"),
    "a colon in plain text": ("mixture: sand: fine\n", 1, "quotes"),
    "a wrong indent": ("components:\n  - sand\n - salt\n", 3, "indent"),
    "two documents": ("mixture: sand and salt\n---\nmixture: water\n", 2, "second document"),
    "a list for a mapping": ("- sand\n- salt\n", 1, "mapping"),
    "plain text": ("sand and salt\n", 1, "mapping"),
    "an empty file": ("", 1, "either mixture or components"),
    "only a comment": ("# nothing\n", 1, "either mixture or components"),
    "a list as a key": ("[a, b]: sand\n", 1, "plain text"),
    "an unknown key": ("mixture: sand and salt\nwnat: salt\n", 2, "want:"),
    "a markup key": ("mixture: sand and salt\n'[red]want[/red]': salt\n", 2, "[red]want[/red]"),
    "neither mixture nor components": ("want: salt\n", 1, "either mixture or components"),
    "both mixture and components": ("mixture: sand\ncomponents: [sand]\n", 1, "either mixture or components"),
    "no components": ("components: []\n", 1, "components must be a list"),
    "a component in itself": ("components:\n  - water\n  - {name: salt, form: dissolved, in: salt}\n", 3, "itself"),
    "components in one another": (
        "components:\n  - {name: salt, form: dissolved, in: sugar}\n  - {name: sugar, form: dissolved, in: salt}\n",
        2,
        "in",
    ),
    "a component in none of the others": (
        "components:\n  - {name: salt, form: dissolved, in: acetone}\n  - water\n",
        2,
        "acetone",
    ),
    "an unknown component": ("components: [sand, xyzzium]\n", 1, "'xyzzium' is not known"),
    "an unknown form": ("components:\n  - {name: sand, form: lumpy}\n", 2, "'lumpy' is no form"),
    "an unknown role": ("components:\n  - {name: sand, role: king}\n", 2, "king"),
    "an unknown host": ("components:\n  - {name: sand, in: xyzzium}\n", 2, "'xyzzium' is not known"),
    "a negative amount": ("components:\n  - {name: sand, amount: -5 g}\n", 2, "above 0"),
    "an amount in words": ("components:\n  - {name: sand, amount: much}\n", 2, "'much' is no amount"),
    "an amount without a unit": ("components:\n  - {name: sand, amount: 5}\n", 2, "no amount"),
    "an amount of another kind": ("components:\n  - {name: sand, amount: 5 kPa}\n", 2, "no amount"),
    "more than the whole": ("components:\n  - {name: sand, amount: 150 %}\n", 2, "100 %"),
    "a size without a unit": ("components:\n  - {name: sand, size: 3}\n", 2, "unit"),
    "a size from large to small": ("components:\n  - {name: sand, size: 3 to 1 mm}\n", 2, "lower end"),
    "a boiling point without a unit": ("components:\n  - water\n  - {name: X, boiling_point: 60}\n", 3, "unit"),
    "a boiling point of another unit": (
        "components:\n  - water\n  - {name: X, boiling_point: 60 g}\n",
        3,
        "that is a mass",
    ),
    "a density in words": ("components:\n  - water\n  - {name: X, density: heavy}\n", 3, "no number"),
    "a word that is none": ("components:\n  - {name: X, magnetic: very}\n", 2, "'very' is no value"),
    "pressure without a unit": ("mixture: sand and salt\npressure: 84\n", 2, "unit"),
    "pressure 0": ("mixture: sand and salt\npressure: 0 kPa\n", 2, "0.1 kPa"),
    "pressure below 0": ("mixture: sand and salt\npressure: -84 kPa\n", 2, "0.1 kPa"),
    "altitude 100 km": ("mixture: sand and salt\naltitude: 100 km\n", 2, "between"),
    "pressure and altitude": ("mixture: sand and salt\npressure: 84 kPa\naltitude: 1 km\n", 3, "both given"),
    "an unknown level": ("mixture: sand and salt\nlevel: wizard\n", 2, "'wizard' is no level"),
    "an unknown aim": ("mixture: sand and salt\naim: guess\n", 2, "'guess' is no aim"),
    "an unknown limit": ("mixture: sand and salt\nwithout: [purple]\n", 2, "'purple'"),
    "a spot beyond the front": ("mixture: black ink\nfront: 80 mm\nspots: [90 mm]\n", 3, "front"),
    "spots without a front": ("mixture: black ink\nspots: [90 mm]\n", 2, "front"),
    "a front below 0": ("mixture: black ink\nfront: -80 mm\nspots: [30 mm]\n", 2, "above 0"),
    "spots without a unit": ("mixture: black ink\nfront: 80 mm\nspots: [30]\n", 3, "unit"),
    "a list for a text": ("mixture: [sand, salt]\n", 1, "one value"),
    "an empty mixture": ('mixture: ""\n', 1, "says nothing"),
    "a mixture of 10,000 words": ("mixture: " + "word " * 10_000 + "\n", 1, "2000 words"),
    "a nameless component": ("components:\n  - {amount: 5 g}\n", 2, "no name"),
    "purity above the whole": ("mixture: sand and salt\npurity: 120 %\n", 2, "100 %"),
    "purity without a unit": ("mixture: sand and salt\npurity: high\n", 2, "no number"),
}


@pytest.mark.parametrize("text, line, words", QUESTIONS.values(), ids=QUESTIONS)
def test_a_faulty_question_file(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, text: str | bytes, line: int, words: str
) -> None:
    path = tmp_path / "question.yaml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    faulty(said(capsys, str(path)), "question.yaml", line, words)


# ---- rule, technique and substance files -------------------------------------------------------------------------

FEW = """\
water: {name: water, also: [aqua], formula: H2O, kind: oxide, phase: liquid, boiling_point: {is: 100 °C, source: memory}}
sand: {name: sand, kind: mineral, phase: solid}
salt: {name: salt, kind: salt, phase: solid}
"""


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The data folders with all techniques, no rules, and three substances: quickly read anew for every fault."""
    top = tmp_path_factory.mktemp("house")
    stages = [(ROOT / "rules" / stage) for stage in ("interpretation", "selection", "rejection", "caution")]
    shutil.copytree(ROOT / "rules", top / "rules", ignore=lambda at, _: os.listdir(at) if Path(at) in stages else [])
    (top / "substances" / "few").mkdir(parents=True)
    shutil.copytree(ROOT / "substances" / "sources", top / "substances" / "sources")
    for name in ("properties", "sources", "classes", "kinds", "hazard-statements"):
        shutil.copy(ROOT / "substances" / f"{name}.yaml", top / "substances")
    (top / "substances" / "few" / "few.yaml").write_text(FEW, encoding="utf-8")
    return top


@pytest.fixture
def at_home(house: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(house / "cache"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setattr(places, "PACKAGE", house / "choosemethod")
    return house


@pytest.fixture
def put(at_home: Path) -> Iterator[object]:
    """Put one file in its place; it is gone, or as before, after the test."""
    done: list[tuple[Path, bytes | None]] = []

    def put(name: str, text: str | bytes) -> None:
        path = at_home / name
        path.parent.mkdir(parents=True, exist_ok=True)
        done.append((path, path.read_bytes() if path.exists() else None))
        path.write_bytes(text if isinstance(text, bytes) else text.encode())

    yield put
    for path, before in done:
        if before is None:
            path.unlink()
        else:
            path.write_bytes(before)


RULE = """\
id: a-rule
proposes: magnetic-separation
strength: best
find:
  picked: {is: component, form: solid, magnetic: strongly}
  rest: {is: component, form: solid, magnetic: "no", other_than: picked}
because: "A magnet picks up {picked.name} and leaves {rest.name}."
principle: "a magnet attracts some metals only"
source: common-practice
goes_wrong_when: ["grains cling together"]
examples:
  - {name: one, mixture: "iron filings and sulfur", expect: fires}
  - {name: two, mixture: "salt and sand", expect: silent}
"""

# what is tried: line of RULE, what it is replaced by, line of the fault, words of the message
RULES: dict[str, tuple[int, str, int, str]] = {
    "an unknown key": (3, "strenght: best", 3, "strength"),
    "a duplicate key": (3, "strength: best\nstrength: good", 4, "already given"),
    "an alias": (8, "principle: *p", 8, "alias"),
    "an anchor": (8, "principle: &p text", 8, "anchor"),
    "a tag": (8, "principle: !!str text", 8, "tag"),
    "a tab": (8, "principle:\ttext", 8, "tab"),
    "a control character": (8, "principle: \x07", 8, "control"),
    "an id that is not the file's": (1, "id: another-rule", 1, "a-rule"),
    "no id": (1, "# id", 2, "id"),
    "an unknown technique": (2, "proposes: magnetic-seperation", 2, "'magnetic-seperation' is no technique"),
    "two heads": (2, "proposes: magnetic-separation\nrejects: filtration", 1, "exactly one thing"),
    "no head": (2, "# nothing", 1, "proposes"),
    "an unknown strength": (3, "strength: superb", 3, "best"),
    "no strength": (3, "# strength", 1, "strength"),
    "a strength that is a list": (3, "strength: [best]", 3, "strength"),
    "an unknown kind of fact": (5, "  picked: {is: compnent, form: solid}", 5, "component"),
    "a pattern without a kind": (5, "  picked: {form: solid}", 5, "is:"),
    "a pattern that is a text": (5, "  picked: solid", 5, "mapping"),
    "an unknown slot": (5, "  picked: {is: component, from: solid}", 5, "form"),
    "an unknown word": (5, "  picked: {is: component, form: sold}", 5, "never 'sold'"),
    "an unknown operator": (5, "  picked: {is: component, melting_point: {over: 20 °C}}", 5, "'over' is no operator"),
    "a missing unit": (5, "  picked: {is: component, melting_point: {above: 20}}", 5, "unit"),
    "a wrong unit": (5, "  picked: {is: component, melting_point: {above: 20 kPa}}", 5, "that is a pressure"),
    "a number for a word": (5, "  picked: {is: component, form: {above: 3}}", 5, "compares numbers"),
    "a list without an operator": (5, "  picked: {is: component, form: [solid, liquid]}", 5, "one_of"),
    "an operator without a list": (5, "  picked: {is: component, form: {one_of: solid}}", 5, "list"),
    "between the wrong way round": (
        5,
        "  picked: {is: component, melting_point: {between: [30 °C, 20 °C]}}",
        5,
        "lower first",
    ),
    "contradictory numbers": (
        5,
        "  picked: {is: component, melting_point: {above: 90 °C, below: 20 °C}}",
        5,
        "melting_point",
    ),
    "contradictory words": (5, "  picked: {is: component, form: {is: solid, not: solid}}", 5, "form"),
    "a role that is not there": (6, "  rest: {is: component, other_than: pickd}", 6, "pickd"),
    "a role in capitals": (5, "  Picked: {is: component}", 5, "Picked"),
    "an empty reason": (7, 'because: ""', 7, "because"),
    "no reason": (7, "# because", 1, "because"),
    "an unknown role in the reason": (7, 'because: "{iron.name} sticks."', 7, "'iron'"),
    "an unknown slot in the reason": (7, 'because: "{picked.nme} sticks."', 7, "name"),
    "a stray brace in the reason": (7, 'because: "{picked} sticks."', 7, "because"),
    "Python in the reason": (7, 'because: "{picked.name.__class__} sticks."', 7, "because"),
    "no principle": (8, "# principle", 1, "principle"),
    "no source": (9, "# source", 1, "source"),
    "an unknown source": (9, "source: hearsay", 9, "hearsay"),
    "an empty goes_wrong_when": (10, "goes_wrong_when:", 10, "goes_wrong_when"),
    "no examples": (11, "# examples:\nexamplse:", 12, "examples"),
    "no example that fires": (12, '  - {name: one, mixture: "salt and sand", expect: silent}', 11, "fires"),
    "no example that stays silent": (
        13,
        '  - {name: two, mixture: "iron filings and sulfur", expect: fires}',
        11,
        "silent",
    ),
    "an example that does neither": (13, "  - {name: two, mixture: salt and sand, expect: perhaps}", 13, "perhaps"),
    "an example without a mixture": (13, "  - {name: two, expect: silent}", 13, "mixture"),
    "an example with an unknown key": (13, "  - {name: two, mixtur: salt, expect: silent}", 13, "mixture"),
}


@pytest.mark.parametrize("at, instead, line, words", RULES.values(), ids=RULES)
def test_a_faulty_rule_file(
    capsys: pytest.CaptureFixture[str], put: object, at: int, instead: str, line: int, words: str
) -> None:
    lines = RULE.splitlines()
    lines[at - 1] = instead
    put("rules/selection/test/a-rule.yaml", "\n".join(lines) + "\n")  # type: ignore[operator]
    faulty(said(capsys, "rules"), "rules/selection/test/a-rule.yaml", line, words)


def test_the_rule_without_a_fault_is_taken(capsys: pytest.CaptureFixture[str], put: object) -> None:
    put("rules/selection/test/a-rule.yaml", RULE)  # type: ignore[operator]
    code, out, err = said(capsys, "rules")
    assert (code, err) == (0, "")
    assert "a-rule" in out


WHOLE_RULES = {
    "find is no mapping": (re.sub("find:\n.*\n.*\n", "find: everything\n", RULE).encode(), 4, "find"),
    "examples that are a text": (re.sub("examples:\n.*\n.*\n", "examples: none\n", RULE).encode(), 11, "examples"),
    "an empty file": (b"", 1, ""),
    "a list": (b"- a-rule\n", 1, "KEY: VALUE"),
    "binary": (b"\x89PNG\xff\xfe\x00", 1, "UTF-8"),
    "NUL bytes": (RULE.replace("best", "be\x00st").encode(), 3, "control character"),
    "3 MB": (RULE.encode() + b"#" * 3_000_000, 1, "2 MB"),
    "deep nesting": (RULE.replace("find:", "find: " + "{a: " * 100 + "}" * 100 + "\nfine:").encode(), 4, "nested"),
    "in the folder of another stage": (
        RULE.replace("proposes: magnetic-separation\nstrength: best", "rejects: filtration").encode(),
        1,
        "rules/rejection",
    ),
}


@pytest.mark.parametrize("text, line, words", WHOLE_RULES.values(), ids=WHOLE_RULES)
def test_a_file_that_is_no_rule(
    capsys: pytest.CaptureFixture[str], put: object, text: bytes, line: int, words: str
) -> None:
    put("rules/selection/test/a-rule.yaml", text)  # type: ignore[operator]
    faulty(said(capsys, "rules"), "rules/selection/test/a-rule.yaml", line, words)


# what is tried: text of magnetic-separation.yaml, what it is replaced by, words of the message
FACT = """\
a-fact:
  of: [crude oil / petroleum, tower ?, fraction*]
  by: fractional-distillation
  because: The parts boil at different temperatures.
  source: common-practice
"""
FACTS = {
    "one word alone": (2, "  of: [petroleum, tower ?]", "one word alone is no fact"),
    "an empty word": (2, "  of: [crude oil / , fraction*]", "empty word"),
    "no terms": (2, "  off: [crude oil]", "'off'"),
    "an unknown technique": (3, "  by: fractional-destillation", "fractional-destillation"),
    "no reason": (4, "  note: x", "'note'"),
    "an unknown source": (5, "  source: hearsay", "hearsay"),
}


@pytest.mark.parametrize("at, instead, words", FACTS.values(), ids=FACTS)
def test_a_faulty_fact_of_practice(
    capsys: pytest.CaptureFixture[str], put: object, at: int, instead: str, words: str
) -> None:
    lines = FACT.splitlines()
    lines[at - 1] = instead
    put("rules/practice/test.yaml", "\n".join(lines) + "\n")  # type: ignore[operator]
    faulty(said(capsys, "rules"), "rules/practice/test.yaml", at, words)


def test_the_same_fact_twice(capsys: pytest.CaptureFixture[str], put: object) -> None:
    put("rules/practice/one.yaml", FACT)  # type: ignore[operator]
    put("rules/practice/two.yaml", FACT)  # type: ignore[operator]
    faulty(said(capsys, "rules"), "rules/practice/two.yaml", 1, "also that of another fact")


TECHNIQUES = {
    "an unknown key": ("verb: ", "vreb: ", "verb"),
    "an id that is not the file's": ("id: magnetic-separation", "id: magnet", "magnetic-separation"),
    "an unknown level": ("level: primary", "level: wizard", "primary"),
    "an unknown need": ("needs: [magnet]", "needs: [wand]", "wand"),
    "an unknown kind of fact": ("picked: component,", "picked: compnent,", "kind of fact"),
    "a cost in words": ("cost: {work: 1,", "cost: {work: little,", "number"),
    "an unknown cost": ("cost: {work: 1,", "cost: {sweat: 1,", "sweat"),
    "a missing cost": ("cost: {work: 1, ", "cost: {", "work"),
    "an order in words": ("order: 12", "order: last", "number"),
    "an unknown source": ("source: common-practice", "source: hearsay", "hearsay"),
    "an unknown slot": ("magnetic: {is: picked.magnetic}", "magnetism: {is: picked.magnetic}", "magnetic"),
    "an unknown role": ("magnetic: {is: picked.magnetic}", "magnetic: {is: pickd.magnetic}", "magnetic"),
    "an unknown form": ("form: solid}\n    left", "form: sold}\n    left", "'sold'"),
    "an unknown part in a text": ("Left behind: {left}", "Left behind: {lft}", "lft"),
    "an unknown role in a text": ("{picked.name} jumps", "{pickd.name} jumps", "pickd"),
    "an unknown slot in a text": ("{picked.name} jumps", "{picked.nmae} jumps", "nmae"),
    "a stray brace in a text": ("Spread the mixture thinly on the paper", "Spread { the mixture", "brace"),
    "Python in a text": ("Spread the mixture thinly on the paper", "Spread {mixture.__class__}", ""),
    "an unknown condition": ("{any.form: solid,", "{any.frm: solid,", "frm"),
    "an unknown word in a condition": ("{any.form: solid,", "{any.form: sold,", "'sold'"),
    "a condition without a role": ("{any.form: solid,", "{form: solid,", "form"),
    "no operation": ("operation:", "operations:", "operation"),
    "no steps": ("steps:", "stpes:", "steps"),
    "no cautions": ("cautions:", "caution:", "cautions"),
    "a duplicate key": ("order: 12", "order: 12\norder: 13", "already given"),
    "a tag": ("order: 12", "order: !!int 12", "tag"),
    "a tab": ("order: 12", "order:\t12", "tab"),
}


@pytest.mark.parametrize("text, instead, words", TECHNIQUES.values(), ids=TECHNIQUES)
def test_a_faulty_technique_file(
    capsys: pytest.CaptureFixture[str], put: object, text: str, instead: str, words: str
) -> None:
    name = "rules/techniques/magnetic-separation.yaml"
    good = (ROOT / name).read_text(encoding="utf-8")
    assert text in good
    bad = good.replace(text, instead, 1)
    changed = next(
        number
        for number, (one, other) in enumerate(zip(good.split("\n"), bad.split("\n"), strict=False), 1)
        if one != other
    )
    put(name, bad)  # type: ignore[operator]
    found = said(capsys, "techniques")
    first, *more = found[2].splitlines(keepends=True)
    match = FAULT.match(one_message((found[0], found[1], first), 5))
    assert match is not None and all(FAULT.match(other) for other in more), found[2]
    assert match["file"] == name
    assert abs(int(match["line"]) - changed) <= 1 or int(match["line"]) <= 1, (match["line"], changed)
    assert words in found[2]


# what is tried: file below substances/, its text, line of the fault, words of the message
SUBSTANCES = {
    "a duplicate key": (
        "few/more.yaml",
        "chalk: {name: chalk, kind: mineral, phase: solid}\nchalk: {}\n",
        2,
        "already given",
    ),
    "an alias": ("few/more.yaml", "chalk: *few\n", 1, "alias"),
    "a tag": ("few/more.yaml", "chalk: !!map {}\n", 1, "tag"),
    "a tab": ("few/more.yaml", "chalk:\n\tname: chalk\n", 2, "tab"),
    "NUL bytes": ("few/more.yaml", b"chalk: \x00\n", 1, "control"),
    "binary": ("few/more.yaml", b"\xff\xd8\xff\xe0\x00\x10JFIF", 1, "UTF-8"),
    "3 MB": ("few/more.yaml", b"# " + b"x" * 3_000_000, 1, "2 MB"),
    "deep nesting": ("few/more.yaml", "chalk: " + "{a: " * 50 + "}" * 50 + "\n", 1, "nested"),
    "an unknown key": (
        "few/more.yaml",
        "chalk: {name: chalk, kind: mineral, phase: solid, color: {is: white, source: memory}}\n",
        1,
        "colour",
    ),
    "a missing unit": (
        "few/more.yaml",
        "chalk: {name: chalk, kind: mineral, phase: solid, melting_point: {is: 825, source: memory}}\n",
        1,
        "unit",
    ),
    "a wrong unit": (
        "few/more.yaml",
        "chalk: {name: chalk, kind: mineral, phase: solid, melting_point: {is: 825 kPa, source: memory}}\n",
        1,
        "pressure",
    ),
    "a missing source": (
        "few/more.yaml",
        "chalk: {name: chalk, kind: mineral, phase: solid, melting_point: {is: 825 °C}}\n",
        1,
        "source",
    ),
    "below absolute zero": (
        "few/more.yaml",
        "chalk: {name: chalk, kind: mineral, phase: solid, melting_point: {is: -825 °C, source: memory}}\n",
        1,
        "absolute zero",
    ),
    "a name that is taken": (
        "few/more.yaml",
        "chalk: {name: aqua, kind: mineral, phase: solid}\n",
        1,
        "already stands for water",
    ),
    "a mixture in itself": (
        "mixtures/some.yaml",
        "mud: {name: mud, source: memory, components: [{substance: sand, form: suspended, in: sand}, {substance: water, form: liquid}]}\n",
        1,
        "sand",
    ),
    "mixture parts in one another": (
        "mixtures/some.yaml",
        "mud: {name: mud, source: memory, components: [{substance: salt, form: dissolved, in: sand}, {substance: sand, form: dissolved, in: salt}]}\n",
        1,
        "in",
    ),
    "a mixture of nothing": ("mixtures/some.yaml", "mud: {name: mud, source: memory}\n", 1, "components"),
    "a mixture of the unknown": (
        "mixtures/some.yaml",
        "mud: {name: mud, source: memory, components: [{substance: sadn, form: solid}, {substance: water, form: liquid}]}\n",
        1,
        "sand",
    ),
    "a share of more than the whole": (
        "mixtures/some.yaml",
        "mud: {name: mud, source: memory, components: [{substance: sand, form: solid, share: 120 %}, {substance: water, form: liquid}]}\n",
        1,
        "100 %",
    ),
    "a pair with the unknown": (
        "pairs/azeotropes.yaml",
        "- {first: water, second: sprit, kind: none, source: memory}\n",
        1,
        "'sprit'",
    ),
    "a pair of one": (
        "pairs/azeotropes.yaml",
        "- {first: water, second: water, kind: none, source: memory}\n",
        1,
        "water",
    ),
    "a pair without a source": ("pairs/azeotropes.yaml", "- {first: water, second: sand, kind: none}\n", 1, "source"),
    "a pair in words": ("pairs/azeotropes.yaml", "- water and sand\n", 1, "mapping"),
    "a danger of the unknown": (
        "incompatibles.yaml",
        "- {between: [substance: wter], danger: x, severity: refuse, source: memory}\n",
        1,
        "water",
    ),
    "a danger without a reason": (
        "incompatibles.yaml",
        "- {between: [substance: water], severity: refuse, source: memory}\n",
        1,
        "danger",
    ),
    "a danger of unknown severity": (
        "incompatibles.yaml",
        "- {between: [substance: water], danger: x, severity: deadly, source: memory}\n",
        1,
        "refuse",
    ),
}


@pytest.mark.parametrize("name, text, line, words", SUBSTANCES.values(), ids=SUBSTANCES)
def test_a_faulty_file_of_the_table(
    capsys: pytest.CaptureFixture[str], put: object, name: str, text: str | bytes, line: int, words: str
) -> None:
    put(f"substances/{name}", text)  # type: ignore[operator]
    faulty(said(capsys, "table"), f"substances/{name}", line, words)


OWN = {
    "an unknown part": (
        "substances:\n  chalk: {name: chalk, kind: mineral, phase: solid}\nmixture:\n  mud: {}\n",
        3,
        "mixtures:",
    ),
    "a list": ("- chalk\n", 1, "KEY: VALUE"),
    "a substance without a kind": ("chalk: {name: chalk, phase: solid}\n", 1, "kind"),
    "a value without a source": (
        "chalk:\n  name: chalk\n  kind: mineral\n  phase: solid\n  density: {is: 2.7 g/cm3}\n",
        5,
        "source",
    ),
    "a value in the wrong unit": ("water: {boiling_point: {is: 100 g, source: memory}}\n", 1, "that is a mass"),
    "a pair of the unknown": (
        "pairs:\n  azeotropes:\n    - {first: water, second: sprit, kind: none, source: memory}\n",
        3,
        "'sprit'",
    ),
    "a mixture of the unknown": (
        "mixtures:\n  mud:\n    name: mud\n    source: memory\n    components: [{substance: sadn, form: solid}, {substance: water, form: liquid}]\n",
        5,
        "sand",
    ),
}


@pytest.mark.parametrize("text, line, words", OWN.values(), ids=OWN)
def test_a_faulty_table_file_of_ones_own(
    capsys: pytest.CaptureFixture[str], at_home: Path, tmp_path: Path, text: str, line: int, words: str
) -> None:
    path = tmp_path / "own.yaml"
    path.write_text(text, encoding="utf-8")
    faulty(said(capsys, "table", "water", "--table", str(path)), "own.yaml", line, words)
    folder = tmp_path / "config" / "choosemethod"  # the same file in the user's own folder
    folder.mkdir(parents=True)
    shutil.move(path, folder / "own.yaml")
    faulty(said(capsys, "table", "water"), "choosemethod/own.yaml", line, words)


# ---- as a process ------------------------------------------------------------------------------------------------

PROCESSES = {
    "nothing": (("",), b"", 2),
    "an unknown name": (("sand and xyzzium",), b"", 3),
    "emoji": (("😀",), b"", 3),
    "a danger": (("bleach and ammonia",), b"", 4),
    "bytes that are no text": ((b"sand \xff\xfe and water",), b"", None),
    "binary input": (("-",), b"\x00\x01\xff", 2),
    "a pressure of 0": (("sand and water", "--pressure", "0 kPa"), b"", 2),
    "a table that is binary": (("sand and water", "--table", sys.executable), b"", 5),
    "a folder as a table": (("sand and water", "--table", str(ROOT)), b"", 5),
}


@pytest.mark.parametrize("argv, given, code", PROCESSES.values(), ids=PROCESSES)
def test_as_a_process(argv: tuple[str | bytes, ...], given: bytes, code: int | None) -> None:
    path = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    command = [sys.executable, "-m", "choosemethod", *argv]
    environment = {**os.environ, "PYTHONPATH": path, "PYTHONUTF8": "1"}
    done = subprocess.run(command, input=given, capture_output=True, env=environment, timeout=120, check=False)
    assert done.returncode == code or (code is None and done.returncode in (0, 2, 3)), done
    assert b"Traceback" not in done.stdout + done.stderr
    if done.returncode in (2, 5):
        assert done.stdout == b""
        assert done.stderr.count(b"\n") == 1


def test_there_are_at_least_a_hundred_inputs() -> None:
    cases = [
        EMPTY,
        NOT_KNOWN,
        UNCLEAR,
        REFUSED,
        OPTIONS,
        COMMANDS,
        INPUT,
        QUESTIONS,
        RULES,
        WHOLE_RULES,
        TECHNIQUES,
        SUBSTANCES,
        OWN,
        PROCESSES,
    ]
    assert sum(len(part) for part in cases) >= 300
