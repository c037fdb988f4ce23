"""Reading worksheets: encodings, delimiters, quoted line breaks, empty rows, and every format with the same content."""

from __future__ import annotations

import csv
import io
import json
import sys
import zipfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from choosemethod.classroom.readers import LONGEST_CELL, Row, open_sheet
from choosemethod.classroom.worksheet import known_headings
from choosemethod.errors import UsageError
from choosemethod.judging.rules import judging

ROWS = [("salt and sand", "dissolve, filter, evaporate"), ("acetone and water", "distil it"), ("blei + käse", "fällen")]


def known(headings: object) -> int:
    return known_headings(list(headings), judging())  # type: ignore[call-overload]


def read(path: Path, kind: str = "", headings: bool = True) -> tuple[tuple[str, ...], list[Row]]:
    with open_sheet(path, known, kind, headings) as sheet:
        return sheet.headings, list(sheet.rows)


def cells(path: Path, kind: str = "") -> list[tuple[str, ...]]:
    return [row.cells for row in read(path, kind)[1]]


def written(folder: Path, text: str, encoding: str = "utf-8", name: str = "a.csv") -> Path:
    path = folder / name
    path.write_bytes(text.encode(encoding))
    return path


CSV = "Mixture,Answer\n" + "".join(f'"{a}","{b}"\n' for a, b in ROWS)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1", "cp1252", "utf-16"])
def test_encodings(tmp_path: Path, encoding: str) -> None:
    assert cells(written(tmp_path, CSV, encoding)) == ROWS


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_delimiters_and_line_ends(tmp_path: Path, delimiter: str, end: str) -> None:
    buffer = io.StringIO(newline="")
    csv.writer(buffer, delimiter=delimiter, lineterminator=end).writerows([("Mixture", "Answer"), *ROWS])
    assert cells(written(tmp_path, buffer.getvalue())) == ROWS


def test_a_line_that_names_the_delimiter(tmp_path: Path) -> None:
    assert cells(written(tmp_path, "sep=;\nMixture;Answer\nsalt, sand;filter\n")) == [("salt, sand", "filter")]


def test_quoted_line_breaks_and_places(tmp_path: Path) -> None:
    path = written(tmp_path, 'Mixture,Answer\n"salt\nand sand","filter, ""then""\nevaporate"\nice,melt\n')
    found = read(path)[1]
    assert [row.cells for row in found] == [("salt\nand sand", 'filter, "then"\nevaporate'), ("ice", "melt")]
    assert [row.place for row in found] == ["line 2", "line 5"]


def test_empty_and_ragged_rows(tmp_path: Path) -> None:
    headings, rows = read(written(tmp_path, "\nMixture,Answer\n\nsalt\n,,\nsand,sieve,extra\n"))
    assert headings == ("Mixture", "Answer", "column 3")
    assert [row.cells for row in rows] == [("", "", ""), ("salt", "", ""), ("", "", ""), ("sand", "sieve", "extra")]
    assert [row.blank for row in rows] == [True, False, True, False]


def test_headings_twice_and_empty(tmp_path: Path) -> None:
    assert read(written(tmp_path, "Mixture,Answer,Answer,\na,b,c,d\n"))[0] == (
        "Mixture",
        "Answer",
        "Answer (2)",
        "column 4",
    )


def test_without_headings(tmp_path: Path) -> None:
    headings, rows = read(written(tmp_path, "salt and sand,filter\n"), headings=False)
    assert (headings, [row.cells for row in rows]) == (("1", "2"), [("salt and sand", "filter")])


CELL = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"], exclude_characters="\0\r"), max_size=12)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(CELL, CELL), min_size=1, max_size=5), st.sampled_from([",", ";", "\t"]))
def test_any_cells_come_through(tmp_path: Path, rows: list[tuple[str, str]], delimiter: str) -> None:
    buffer = io.StringIO(newline="")
    csv.writer(buffer, delimiter=delimiter).writerows([("Mixture", "Answer"), *rows])
    path = tmp_path / "any.csv"
    path.write_bytes(buffer.getvalue().encode())
    assert cells(path) == rows


# ---- the other formats -----------------------------------------------------------------------------------------------


def test_yaml(tmp_path: Path) -> None:
    text = "- {mixture: salt and sand, answer: [dissolve, filter]}\n- mixture: acetone and water\n  answer: no\n"
    headings, rows = read(written(tmp_path, text, name="a.yaml"))
    assert headings == ("mixture", "answer")
    assert [row.cells for row in rows] == [("salt and sand", "dissolve, then filter"), ("acetone and water", "no")]
    assert [row.place for row in rows] == ["line 1", "line 2"]
    inner = written(tmp_path, "rows:\n  - {mixture: a, answer: b}\n", name="b.yaml")
    assert cells(inner) == [("a", "b")]


def test_json_and_json_lines(tmp_path: Path) -> None:
    data = [{"mixture": a, "answer": b} for a, b in ROWS]
    assert cells(written(tmp_path, json.dumps(data), name="a.json")) == ROWS
    assert cells(written(tmp_path, json.dumps({"rows": data}), name="b.json")) == ROWS
    lines = "\n".join(json.dumps(item) for item in data) + "\n"
    assert cells(written(tmp_path, lines, name="a.jsonl")) == ROWS
    bad = read(written(tmp_path, '{"mixture": "a", "answer": "b"}\n{oops\n[1]\n', name="c.jsonl"))[1]
    assert [bool(row.fault) for row in bad] == [False, True, True]
    assert bad[1].place == "line 2"


def test_markdown(tmp_path: Path) -> None:
    text = (
        "# A worksheet\n\n| No | Other |\n|----|-------|\n| 1 | x |\n\ntext | with a bar\n\n"
        "| Mixture | Answer |\n|:--|--:|\n| salt \\| sand | filter<br>evaporate |\n| ice | melt\n"
    )
    headings, rows = read(written(tmp_path, text, name="a.md"))
    assert headings == ("Mixture", "Answer")
    assert [row.cells for row in rows] == [("salt | sand", "filter\nevaporate"), ("ice", "melt")]
    assert rows[0].place == "line 11"


def test_xlsx(tmp_path: Path) -> None:
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    book.active.append(["notes"])
    sheet = book.create_sheet("Answers")
    for row in [
        ["Worksheet 3"],
        [],
        ["Mixture", "Answer", "Marks"],
        ["salt and sand", "filter", 2],
        [],
        ["ice", "melt", 1.5],
    ]:
        sheet.append(row)
    book.save(tmp_path / "a.xlsx")
    headings, rows = read(tmp_path / "a.xlsx")
    assert headings == ("Mixture", "Answer", "Marks")
    assert [row.cells for row in rows] == [("salt and sand", "filter", "2"), ("", "", ""), ("ice", "melt", "1.5")]
    assert rows[0].place == "sheet 'Answers', row 4"


def test_docx(tmp_path: Path) -> None:
    docx = pytest.importorskip("docx")
    document = docx.Document()
    document.add_paragraph("A worksheet")
    for rows in ([("a", "b")], [("Mixture", "Answer"), *ROWS]):
        table = document.add_table(rows=0, cols=2)
        for row in rows:
            for cell, text in zip(table.add_row().cells, row, strict=True):
                cell.text = text
    document.save(str(tmp_path / "a.docx"))
    headings, found = read(tmp_path / "a.docx")
    assert headings == ("Mixture", "Answer")
    assert [row.cells for row in found] == ROWS
    assert found[0].place == "table 2, row 2"


@pytest.mark.parametrize("kind", ["csv", "json", "markdown", "yaml"])
def test_standard_input_tells_its_format(tmp_path: Path, kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    texts = {
        "csv": "Mixture,Answer\na,b\n",
        "json": '[{"Mixture": "a", "Answer": "b"}]',
        "markdown": "| Mixture | Answer |\n|---|---|\n| a | b |\n",
        "yaml": "- Mixture: a\n  Answer: b\n",
    }
    stream = io.TextIOWrapper(io.BytesIO(texts[kind].encode()))
    monkeypatch.setattr(sys, "stdin", stream)
    with open_sheet("-", known) as sheet:
        assert (sheet.kind, [row.cells for row in sheet.rows]) == (kind, [("a", "b")])


# ---- hostile files ---------------------------------------------------------------------------------------------------


def refused(path: Path, words: str, kind: str = "") -> None:
    with pytest.raises(UsageError, match=words):
        read(path, kind)


def test_missing_and_empty_files(tmp_path: Path) -> None:
    refused(tmp_path / "none.csv", "cannot be read")
    refused(tmp_path, "cannot be read", "csv")
    refused(written(tmp_path, ""), "nothing in it")
    refused(written(tmp_path, "[]", name="a.json"), "list of mappings")
    refused(written(tmp_path, "just words", name="a.md"), "no table")
    refused(written(tmp_path, "just words", name="a.yaml"), "list of mappings")


def test_huge_cells_and_open_quotes(tmp_path: Path) -> None:
    refused(written(tmp_path, f"Mixture,Answer\na,{'x' * (LONGEST_CELL + 1)}\n"), "line 2: a cell is longer")
    refused(written(tmp_path, 'Mixture,Answer\na,"' + "never closed\n" * 20_000), "quotation mark")
    refused(written(tmp_path, json.dumps([{"mixture": "x" * (LONGEST_CELL + 1)}]), name="a.json"), "a cell is longer")
    refused(written(tmp_path, "| Mixture |\n|---|\n| " + "x" * (LONGEST_CELL + 1) + " |\n", name="a.md"), "longer")
    refused(written(tmp_path, "Mixture" + ",x" * 300 + "\n"), "more than 200 cells")


def test_binary_and_broken_text(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"Mixture,Answer\na\0b,c\n")
    refused(path, "zero bytes")
    refused(written(tmp_path, "[" * 100_000, name="a.json"), "nested too deeply|no JSON")
    refused(written(tmp_path, '{"a": ' + "9" * 5000 + "}", name="b.json"), "no JSON|list of mappings|objects")


def test_yaml_bombs(tmp_path: Path) -> None:
    bomb = "a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n"
    refused(written(tmp_path, bomb, name="a.yaml"), "anchor")
    refused(written(tmp_path, "- " * 200 + "x\n", name="b.yaml"), "deep")
    refused(written(tmp_path, "- {mixture: !!python/name:os.system a}\n", name="c.yaml"), "tag")
    refused(written(tmp_path, "x" * 2_100_000, name="d.yaml"), "larger than 2 MB")


def package(path: Path, parts: dict[str, bytes]) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        for name, content in parts.items():
            file.writestr(name, content)
    return path


@pytest.mark.parametrize("name", ["a.xlsx", "a.docx"])
def test_zip_bombs_are_refused(tmp_path: Path, name: str) -> None:
    refused(package(tmp_path / name, {"xl/sheet.xml": b"<a>" + b"0" * 120_000_000}), "unpacks to more|packed more")
    refused(package(tmp_path / name, {"xl/sheet.xml": b"<a>" + b"0" * 5_000_000}), "packed more than")
    many = {f"{number}.bin": b"" for number in range(6_000)}
    refused(package(tmp_path / name, many), "parts")


def test_a_declared_size_that_lies_is_found(tmp_path: Path) -> None:
    """The sizes in the directory are patched to 10 bytes; what comes out is more."""
    path = package(tmp_path / "a.xlsx", {"xl/sheet.xml": b"<a>" + bytes(range(1, 200)) * 4_000})
    raw = bytearray(path.read_bytes())
    for mark, offset in ((b"PK\x01\x02", 24), (b"PK\x03\x04", 22)):
        place = raw.find(mark)
        raw[place + offset : place + offset + 4] = (10).to_bytes(4, "little")
    path.write_bytes(bytes(raw))
    refused(path, "damaged|no XML|cannot be read")


BILLION = (
    b'<?xml version="1.0"?><!DOCTYPE lolz [<!ENTITY lol "lol"><!ENTITY lol1 "&lol;&lol;&lol;">]><lolz>&lol1;</lolz>'
)


@pytest.mark.parametrize("name", ["a.xlsx", "a.docx"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_entities_are_refused(tmp_path: Path, name: str, encoding: str) -> None:
    content = BILLION.decode().encode(encoding)
    refused(package(tmp_path / name, {"[Content_Types].xml": content}), "document type or entities")


def test_entities_behind_a_long_comment_are_refused(tmp_path: Path) -> None:
    late = b"<!--" + b"x" * 70_000 + b"-->" + BILLION.removeprefix(b'<?xml version="1.0"?>')
    refused(package(tmp_path / "a.docx", {"word/document.xml": late}), "no element|document type")


def test_damaged_and_locked_packages(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    path.write_bytes(b"PK\x03\x04 nothing")
    refused(path, "damaged")
    path.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"0" * 600)
    refused(path, "old binary format or locked")
    refused(package(tmp_path / "b.xlsx", {"hello.txt": b"hello"}), "cannot be read as a spreadsheet")
    refused(package(tmp_path / "b.docx", {"hello.txt": b"hello"}), "cannot be read as a document")


def test_an_unknown_format(tmp_path: Path) -> None:
    refused(written(tmp_path, "a"), "no format of a worksheet", "pdf")
