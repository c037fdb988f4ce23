"""Checked worksheets written back into a copy of the file they came in: columns added to an .xlsx, comments to a .docx."""

from __future__ import annotations

import io
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from choosemethod.classroom.readers import Sheet, needs
from choosemethod.classroom.worksheet import ADDED, Checked, Columns, Marked, Summary
from choosemethod.classroom.writers import counted_rows, marks_of, neutral, unique_headings
from choosemethod.errors import UsageError
from choosemethod.show.output import Out

__all__ = ["write_docx", "write_xlsx"]

_AUTHOR = "choosemethod"


def write_xlsx(checked: Iterable[Checked], sheet: Sheet, columns: Columns, out: Out, file: Path) -> Summary:
    """The workbook with the columns of ADDED (and marks earned) behind those of its sheet; nothing else is changed."""
    summary = Summary()
    book = needs("openpyxl", "openpyxl").load_workbook(file)
    earned = ("marks earned",) if "marks" in columns.roles else ()
    head = unique_headings(sheet.headings, (*ADDED, *earned))
    first = True
    for one in counted_rows(checked, summary):
        page = book.worksheets[one.row.at[0]]
        if first:
            _fill(page, one.row.at[1] - one.row.number, len(sheet.headings), head)
            first = False
        if one.found is not None:
            added = [*one.found.added(one.row.place), *((marks_of(one.found),) if earned else ())]
            _fill(page, one.row.at[1], len(sheet.headings), added)
    buffer = io.BytesIO()
    book.save(buffer)
    out(buffer.getvalue())  # type: ignore[arg-type]
    return summary


def _fill(page: Any, row: int, before: int, cells: Iterable[str]) -> None:
    for place, cell in enumerate(cells, before + 1):
        if row:  # a sheet without headings gets none
            page.cell(row, place, neutral(cell))


def write_docx(checked: Iterable[Checked], sheet: Sheet, columns: Columns, out: Out, file: Path) -> Summary:
    """The document with a comment at each answer; nothing else is changed."""
    summary = Summary()
    document = needs("python-docx", "docx").Document(str(file))
    if not hasattr(document, "add_comment"):
        raise UsageError("comments need python-docx 1.2 or later: pip install 'choosemethod[office]'")
    paragraphs = list(document.paragraphs)
    rows = {number: list(table.rows) for number, table in enumerate(document.tables, 1)}
    column = columns.roles["answer"]
    for one in counted_rows(checked, summary):
        if one.found is None:
            continue
        table, line = one.row.at
        answer = columns.cell(one.row.cells, "answer")
        if table:
            cells = rows[table][line - 1].cells
            near = cells[min(column, len(cells) - 1)].paragraphs
        else:
            near = paragraphs[line - 1 :]
        begin = answer.splitlines()[0].strip() if answer else ""
        paragraph = next((p for p in near if begin and begin in p.text), near[0])
        runs = paragraph.runs or [paragraph.add_run("")]
        document.add_comment([runs[0], runs[-1]], text=_comment(one.found), author=_AUTHOR, initials="cm")
    buffer = io.BytesIO()
    document.save(buffer)
    out(buffer.getvalue())  # type: ignore[arg-type]
    return summary


def _comment(found: Marked) -> str:
    marks = f" ({marks_of(found)} of {found.most:g})" if found.marks is not None and found.most is not None else ""
    lines = [f"{found.verdict}{marks}", f"{found.reason} {found.remark}".strip()]
    lines += [f"Read as: {found.understood}"] if found.understood else []
    lines += [award.shown() for award in found.awarded if award.given != "awarded"]
    lines += [f"Best: {found.best}"] if found.best and found.verdict != "right" else []
    return "\n".join(line for line in lines if line)
