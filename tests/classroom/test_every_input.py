"""The same sixty questions in every form of worksheet: the same verdicts, and nothing of the input lost.

The questions and answers are every fifth row of tests/judging/answers.yaml (each names its published source there).
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import docx
import openpyxl
import pytest
import yaml

from choosemethod.classroom.command import run_check
from choosemethod.classroom.readers import open_sheet
from choosemethod.classroom.worksheet import Asked, Checker, asked_of, columns_of

HEADS = ("mixture", "answer", "level")
ROWS: list[dict[str, Any]] = yaml.safe_load((Path(__file__).parents[1] / "judging" / "answers.yaml").read_text("utf-8"))
SIXTY = [tuple(" ".join(str(row.get(key) or "").split()) for key in HEADS) for row in ROWS[::5]]


@pytest.fixture(scope="module")
def checker() -> Checker:
    return Checker()


@pytest.fixture(scope="module")
def verdicts(checker: Checker) -> list[tuple[str, str]]:
    found = [checker.check(Asked(mixture, answer, level=level)) for mixture, answer, level in SIXTY]
    return [(one.verdict, one.reason) for one in found]


def _csv(path: Path) -> None:
    buffer = io.StringIO(newline="")
    csv.writer(buffer).writerows([HEADS, *SIXTY])
    path.write_text(buffer.getvalue(), "utf-8")


def _xlsx(path: Path) -> None:
    book = openpyxl.Workbook()
    for row in (HEADS, *SIXTY):
        book.active.append(row)
    book.save(path)


def _docx_table(path: Path) -> None:
    document = docx.Document()
    document.add_paragraph("Worksheet 4")
    table = document.add_table(0, len(HEADS))
    for row in (HEADS, *SIXTY):
        for cell, text in zip(table.add_row().cells, row, strict=True):
            cell.text = text
    document.save(str(path))


def _prose(mixture: str, answer: str, level: str) -> list[str]:
    return [f"Question: {mixture}", f"Answer: {answer}", *([f"Level: {level}"] if level else [])]


def _docx_prose(path: Path) -> None:
    document = docx.Document()
    document.add_paragraph("Worksheet 4")
    for row in SIXTY:
        for text in _prose(*row):
            document.add_paragraph(text)
    document.save(str(path))


def _markdown_table(path: Path) -> None:
    rows = [HEADS, ("---",) * len(HEADS), *SIXTY]
    path.write_text("".join(f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in row)} |\n" for row in rows), "utf-8")


def _markdown_prose(path: Path) -> None:
    path.write_text("# Worksheet 4\n\n" + "".join("\n\n".join(_prose(*row)) + "\n\n" for row in SIXTY), "utf-8")


def _mappings() -> list[dict[str, str]]:
    return [{key: cell for key, cell in zip(HEADS, row, strict=True) if cell} for row in SIXTY]


def _yaml(path: Path) -> None:
    path.write_text(yaml.safe_dump(_mappings(), allow_unicode=True, sort_keys=False), "utf-8")


def _json(path: Path) -> None:
    path.write_text(json.dumps(_mappings(), ensure_ascii=False), "utf-8")


def _jsonl(path: Path) -> None:
    path.write_text("".join(json.dumps(one, ensure_ascii=False) + "\n" for one in _mappings()), "utf-8")


FORMS: dict[str, tuple[str, Callable[[Path], None]]] = {
    "csv": (".csv", _csv),
    "xlsx": (".xlsx", _xlsx),
    "docx table": (".docx", _docx_table),
    "docx prose": (".docx", _docx_prose),
    "markdown table": (".md", _markdown_table),
    "markdown prose": (".md", _markdown_prose),
    "yaml": (".yaml", _yaml),
    "json": (".json", _json),
    "jsonl": (".jsonl", _jsonl),
}


@pytest.mark.parametrize("form", FORMS)
def test_same_verdicts_and_nothing_lost(
    form: str, checker: Checker, verdicts: list[tuple[str, str]], tmp_path: Path
) -> None:
    suffix, write = FORMS[form]
    path = tmp_path / f"sixty{suffix}"
    write(path)
    with open_sheet(path, checker.known) as sheet:
        columns = columns_of(sheet.headings, checker.rules)
        rows = list(sheet.rows)
    asked = [asked_of(row.cells, columns) for row in rows]
    assert [(one.mixture, one.answer, one.level) for one in asked] == SIXTY
    assert sheet.remarks == ()
    found = [checker.checked(row, columns).found for row in rows]
    assert [(one.verdict, one.reason) for one in found if one is not None] == verdicts


def test_verdicts_go_back_as_columns_of_the_workbook(tmp_path: Path) -> None:
    path, marked = tmp_path / "a.xlsx", tmp_path / "marked.xlsx"
    book = openpyxl.Workbook()
    asked = [("sand and salt", "sieve it", "=1+1"), ("sand and iron filings", "use a magnet", "x")]
    for row in (("Mixture", "Answer", "Note"), *asked):
        book.active.append(row)
    book.create_sheet("Names").append(["somebody"])
    book.save(path)
    assert run_check(path, output=marked, jobs=1) == 1
    back = openpyxl.load_workbook(marked)
    assert back.sheetnames == book.sheetnames
    rows = [[cell.value for cell in row] for row in back.active.iter_rows()]
    assert rows[0][:4] == ["Mixture", "Answer", "Note", "verdict"]
    assert [row[:4] for row in rows[1:]] == [
        ["sand and salt", "sieve it", "=1+1", "wrong"],
        ["sand and iron filings", "use a magnet", "x", "right"],
    ]


@pytest.mark.parametrize("prose", [True, False])
def test_verdicts_go_back_as_comments_of_the_document(tmp_path: Path, prose: bool) -> None:
    path, marked = tmp_path / "a.docx", tmp_path / "marked.docx"
    document = docx.Document()
    asked = [("sand and salt", "sieve it"), ("sand and iron filings", "use a magnet")]
    if prose:
        for mixture, answer in asked:
            document.add_paragraph(f"Question: {mixture}")
            document.add_paragraph(f"Answer: {answer}")
    else:
        table = document.add_table(0, 2)
        for row in (("Mixture", "Answer"), *asked):
            for cell, text in zip(table.add_row().cells, row, strict=True):
                cell.text = text
    document.save(str(path))
    assert run_check(path, output=marked, jobs=1) == 1
    back = docx.Document(str(marked))
    assert [one.text for one in back.paragraphs] == [one.text for one in document.paragraphs]
    assert [one.text.splitlines()[0] for one in back.comments] == ["wrong", "right"]
    body = back.element.body.xml
    assert body.index("sieve it") < body.index('commentReference w:id="0"') < body.index("use a magnet")


def test_lines_of_another_encoding_are_read_and_told(checker: Checker, tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes("mixture,answer\nsand and salt,à la filter\n".encode() + "iron and sulfur,use a ½ magnet\n".encode("cp1252"))
    with open_sheet(path, checker.known) as sheet:
        assert [row.cells[1] for row in sheet.rows] == ["à la filter", "use a ½ magnet"]
        assert "mixed encodings: line 3" in sheet.remarks[0]


def test_what_is_no_row_is_told(checker: Checker, tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    book = openpyxl.Workbook()
    book.active.append(["mixture", "answer"])
    book.active.append(["sand and salt", "sieve"])
    book.create_sheet("More").append(["oil and water"])
    book.save(path)
    with open_sheet(path, checker.known) as sheet:
        assert "sheet 'More'" in sheet.remarks[0]
