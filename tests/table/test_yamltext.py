"""Strict reading of YAML: what the YAML 1.1 rules would make of a text is set beside what we keep of it."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest
import yaml  # type: ignore[import-untyped]

from choosemethod import yamltext
from choosemethod.errors import ChooseMethodError, DataError
from choosemethod.yamltext import DEEPEST, LARGEST, Block, Items, parse_yaml, read_mapping, read_yaml


@pytest.mark.parametrize(
    "text", ["no", "NO", "on", "yes", "~", "null", "1e3", "2:30", "0x1F", "010", "2024-01-01", "1_000", ".inf"]
)
def test_scalars_stay_text(text: str) -> None:
    # YAML 1.1 (yaml.org/type) turns each of these into something that is not this text.
    node = parse_yaml(f"key: {text}\n", "f.yaml")
    assert node == {"key": text}


def test_an_empty_value_is_empty_text_and_an_empty_file_an_empty_block() -> None:
    assert parse_yaml("key:\n", "f.yaml") == {"key": ""}
    assert parse_yaml("", "f.yaml") == {}
    assert parse_yaml("# nothing\n", "f.yaml") == {}


def test_every_key_and_item_knows_its_line() -> None:
    text = "# head\na: {b: 1,\n  c: 2}\nlist:\n  - x\n\n  - {y: z}\nlast: |\n  long\n  text\nend: e\n"
    node = parse_yaml(text, "f.yaml")
    assert isinstance(node, Block)
    assert (node.line, node.lines) == (2, {"a": 2, "list": 4, "last": 8, "end": 11})
    a, items = node["a"], node["list"]
    assert isinstance(a, Block) and isinstance(items, Items)
    assert a.lines == {"b": 2, "c": 3}
    assert items.lines == [5, 7]
    assert a.at("missing") == 2 and items.at(9) == items.line


FAULTY = [
    ("a: 1\nb: 2\na: 3\n", 3, "already given on line 1", "each key once"),
    ("a: {x: 1, y: 2, x: 3}\n", 1, "already given on line 1", "each key once"),
    ("a: &mark 1\nb: 2\n", 1, "anchor &mark", "the value itself"),
    ("a: &mark 1\nb: *mark\n", 1, "anchor &mark", "the value itself"),
    ("b: *mark\n", 1, "mark", "the value itself"),
    ("a: !!python/object:os.system x\n", 1, "tag", "without a tag"),
    ("a: !!int 3\n", 1, "tag", "without a tag"),
    ("a: 1\n\tb: 2\n", 2, "tab character", "spaces"),
    ("a: x\ty\n", 1, "tab character", "spaces"),
    ("a: 1\n---\nb: 2\n", 2, "second document", "one document"),
    ("? [a, b]\n: 1\n", 1, "key must be plain text", "quotes"),
    ("{a: 1}: 2\n", 1, "key must be plain text", "quotes"),
    ("a: 1\nb: two: three\n", 2, "no YAML", "quotes"),
    ("a: {x: 1\nb: 2\n", 2, "no YAML", "closing brace"),
    ("a: [x, y\nb: 2\n", 2, "no YAML", "closing bracket"),
    ("a: 1\n b: 2\n", 2, "no YAML", "quotes"),
    ("a:\n  b: 1\n c: 2\n", 3, "no YAML", "indent"),
    ("a: 'open\nb: 2\n", 1, "no YAML", "quotation mark"),
    ("a: @x\n", 1, "no YAML", "quotes"),
    ("a: x\nb: y\x07z\n", 2, "control character", "without it"),
    ("a: 1\nplain words\nb: 1\n", 2, "no YAML", "colon and a space"),
    ("a: " + "[" * (DEEPEST + 1) + "]" * (DEEPEST + 1) + "\n", 1, "deep", "flatter"),
]


@pytest.mark.parametrize("loader", [yaml.BaseLoader, getattr(yaml, "CBaseLoader", yaml.BaseLoader)])
@pytest.mark.parametrize(("text", "line", "wrong", "mend"), FAULTY)
def test_faults_name_line_and_mend(
    text: str, line: int, wrong: str, mend: str, loader: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Both parsers of the library, the one in C and the one in Python, must lead to the same advice.
    monkeypatch.setattr(yamltext, "_Loader", loader)
    with pytest.raises(DataError) as caught:
        parse_yaml(text, "groups/f.yaml")
    error = caught.value
    assert (error.file, error.line) == ("groups/f.yaml", line)
    assert wrong in error.wrong
    assert mend in error.write
    said = str(error)
    assert said == f"groups/f.yaml, line {error.line}: {error.wrong}. Write instead: {error.write}"
    assert "\n" not in said


def test_depth_of_the_limit_is_read() -> None:
    text = "[" * DEEPEST + "]" * DEEPEST
    assert isinstance(parse_yaml(text, "f.yaml"), Items)


def test_alias_explosion_is_stopped_at_its_first_anchor() -> None:
    # The "billion laughs" pattern (CVE-2003-1564, there for XML).
    lines = ["a: &a [x, x, x, x, x, x, x, x, x]"]
    lines += [f"{b}: &{b} [{', '.join(['*' + a] * 9)}]" for a, b in zip("abcdefgh", "bcdefghi", strict=True)]
    with pytest.raises(DataError, match="line 1: the anchor &a"):
        parse_yaml("\n".join(lines), "f.yaml")


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(DataError, match="cannot be read"):
        read_yaml(tmp_path / "missing.yaml")
    big = tmp_path / "big.yaml"
    big.write_bytes(b"a: " + b"x" * LARGEST)
    with pytest.raises(DataError, match="larger than 2 MB"):
        read_yaml(big)
    latin = tmp_path / "latin.yaml"
    latin.write_bytes("a: b\nc: 20 °C\n".encode("latin-1"))
    with pytest.raises(DataError, match="line 2: this line is not UTF-8"):
        read_yaml(latin)
    rows = tmp_path / "list.yaml"
    rows.write_text("# head\n- a\n")
    with pytest.raises(DataError, match="line 2: the file must hold KEY: VALUE pairs"):
        read_mapping(rows)


def test_a_byte_order_mark_and_windows_line_ends_do_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "f.yaml"
    path.write_bytes("\ufeffa: 20 °C\r\nb: 2\r\n".encode())
    assert read_mapping(path) == {"a": "20 °C", "b": "2"}
    assert read_mapping(path).lines == {"a": 1, "b": 2}


def test_the_error_ends_with_code_5_and_survives_pickling() -> None:
    error = DataError("f.yaml", 3, "wrong\n  thing.", "right\nthing")
    assert isinstance(error, ChooseMethodError)
    assert error.exit_code == 5
    assert str(pickle.loads(pickle.dumps(error))) == str(error)
    assert str(error) == "f.yaml, line 3: wrong thing. Write instead: right thing"
