"""Checked worksheets written row by row: a terminal table, Markdown, CSV (the input with added columns), JSON lines."""

from __future__ import annotations

import csv
import io
import json
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict
from itertools import islice
from typing import TYPE_CHECKING

from choosemethod.advice.answer import SCHEMA_VERSION
from choosemethod.classroom.readers import Row, Sheet
from choosemethod.classroom.worksheet import ADDED, Checked, Columns, Marked, Summary
from choosemethod.show.markdown import escape
from choosemethod.show.output import Out

if TYPE_CHECKING:
    from rich.box import Box
    from rich.console import Console

__all__ = [
    "FORMATS",
    "changes_text",
    "counted_rows",
    "marks_of",
    "neutral",
    "unique_headings",
    "write_csv",
    "write_jsonl",
    "write_markdown",
    "write_terminal",
]

FORMATS = ("terminal", "markdown", "csv", "jsonl", "xlsx", "docx", "class")
_AT_ONCE = 200  # rows of one piece of the terminal table
_STYLES = {
    "right": "green",
    "acceptable": "green",
    "incomplete": "yellow",
    "wrong": "red",
    "unsafe": "bold red",
    "cannot tell": "bold",
}


def neutral(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula: what begins with = + - @ gets an apostrophe, numbers excepted."""
    head = cell.lstrip(" ")[:1] if cell[:1] == " " else cell[:1]
    if head not in ("=", "+", "-", "@", "\t", "\r"):
        return cell
    try:
        float(cell)
    except ValueError:
        return "'" + cell
    return cell


def unique_headings(headings: Sequence[str], added: Sequence[str]) -> list[str]:
    """The added headings, none like one of the input."""
    out: list[str] = []
    for name in added:
        unique, count = name, 2
        while unique in headings or unique in out:
            unique, count = f"{name} ({count})", count + 1
        out.append(unique)
    return out


def counted_rows(checked: Iterable[Checked], summary: Summary) -> Iterator[Checked]:
    """The rows, counted in a summary as they pass."""
    for one in checked:
        if one.found is not None:
            summary.add(one.found, one.row.place)
        yield one


def _earned(columns: Columns) -> bool:
    return "marks" in columns.roles


def marks_of(found: Marked) -> str:
    return "" if found.marks is None else f"{found.marks:g}"


# ---- CSV -------------------------------------------------------------------------------------------------------------


def write_csv(checked: Iterable[Checked], sheet: Sheet, columns: Columns, out: Out) -> Summary:
    """The input's cells in their order with the columns of ADDED (and marks earned) behind; blank rows stay blank."""
    summary = Summary()
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer, delimiter=sheet.delimiter, lineterminator="\n")
    earned = ("marks earned",) if _earned(columns) else ()
    head = [*sheet.headings, *unique_headings(sheet.headings, (*ADDED, *earned))]
    writer.writerow([neutral(cell) for cell in head])
    if sheet.bom:
        out("\ufeff")
    for one in counted_rows(checked, summary):
        cells = list(one.row.cells)
        if one.found is not None:
            cells += one.found.added(one.row.place)
            cells += [marks_of(one.found)] if earned else []
        else:
            cells += [""] * (len(head) - len(cells))
        writer.writerow([neutral(cell) for cell in cells])
        out(buffer.getvalue())
        buffer.seek(0)
        buffer.truncate()
    out(buffer.getvalue())
    return summary


# ---- JSON lines ------------------------------------------------------------------------------------------------------


def write_jsonl(checked: Iterable[Checked], sheet: Sheet, columns: Columns, out: Out) -> Summary:
    """One object a row, and one with the summary at the end; fields are only ever added within a schema version."""
    summary = Summary()
    for one in counted_rows(checked, summary):
        if one.found is None:
            continue
        found = asdict(one.found)
        claims = [asdict(claim) for claim in one.found.claims]
        whole = {
            "schema_version": SCHEMA_VERSION,
            "kind": "row",
            "row": one.row.number,
            "place": one.row.place,
            "input": dict(zip(sheet.headings, one.row.cells, strict=False)),
            **found,
            "claims": claims,
            "awarded": [award._asdict() for award in one.found.awarded],
        }
        out(json.dumps(whole, ensure_ascii=False) + "\n")
    last = {
        "schema_version": SCHEMA_VERSION,
        "kind": "summary",
        "rows": summary.rows,
        "verdicts": summary.verdicts,
        "claims": summary.claims,
        "marks": summary.marks,
        "most": summary.most,
        "right": not summary.wrong,
        "review": summary.review,
    }
    out(json.dumps(last, ensure_ascii=False) + "\n")
    return summary


# ---- Markdown --------------------------------------------------------------------------------------------------------


def _cell(text: str) -> str:
    return "<br>".join(escape(line) for line in text.strip().splitlines())


def write_markdown(checked: Iterable[Checked], sheet: Sheet, columns: Columns, out: Out) -> Summary:
    """A table with the row's place, mixture and answer, the verdict, the reason, the best answer and the claims."""
    summary = Summary()
    earned = ["marks"] if _earned(columns) else []
    head = ["place", "mixture", "answer", "verdict", "reason", "best answer", "claims", "rule", "source", *earned]
    out("| " + " | ".join(head) + " |\n|" + " --- |" * len(head) + "\n")
    for one in counted_rows(checked, summary):
        if one.found is None:
            continue
        found = one.found
        cells = [
            one.row.place,
            columns.cell(one.row.cells, "mixture"),
            columns.cell(one.row.cells, "answer"),
            found.verdict,
            f"{found.reason} {found.remark}",
            found.best,
            "\n".join(claim.shown() for claim in found.claims),
            found.rule,
            found.source,
            *([f"{marks_of(found)} of {found.most:g}" if found.most is not None else ""] if earned else []),
        ]
        out("| " + " | ".join(_cell(cell) for cell in cells) + " |\n")
    out(f"\n{summary.text}\n")
    return summary


# ---- terminal --------------------------------------------------------------------------------------------------------


def write_terminal(checked: Iterable[Checked], sheet: Sheet, columns: Columns, out: Out, console: Console) -> Summary:
    """A table of the console's width, printed in pieces; cells wrap and nothing is cut."""
    from rich.table import Table
    from rich.text import Text

    summary = Summary()
    source = counted_rows(checked, summary)
    width = console.width
    first_width = 12
    rest = max(width - first_width - 8, 24)
    shares = (rest // 4, rest // 4, rest - 2 * (rest // 4))
    first = True
    while block := list(islice(source, _AT_ONCE)):
        table = Table(show_header=first, width=width, pad_edge=False, show_lines=True, box=_box(console))
        for name, size in zip(("verdict", "mixture", "answer", "why"), (first_width, *shares), strict=True):
            table.add_column(Text(name), width=size, overflow="fold")
        for one in block:
            found = one.found
            if found is None:
                continue
            why = Text(found.reason)
            if found.remark:
                why.append(f" {found.remark}")
            if found.verdict != "right" and found.best:
                why.append(f"\nBest: {found.best}")
            for claim in found.claims:
                why.append(f"\nClaim: {claim.shown()}")
            if found.rule or found.source:
                why.append(f"\n({', '.join(part for part in (found.rule, found.source) if part)})", style="dim")
            cells = columns.cell(one.row.cells, "mixture"), columns.cell(one.row.cells, "answer")
            if found.understood and found.understood.lower() != cells[1].lower():
                why.append(f"\nRead as: {found.understood}", style="dim")
            word = Text.assemble((found.verdict, _STYLES[found.verdict]), f"\n{one.row.place}")
            if found.most is not None and found.marks is not None:
                word.append(f"\n{marks_of(found)} of {found.most:g}")
            table.add_row(word, Text(cells[0]), Text(cells[1]), why)
        with console.capture() as captured:
            console.print(table)
        out("".join(f"{line.rstrip()}\n" for line in captured.get().splitlines()))
        first = False
    out(textwrap.fill(summary.text, width, break_long_words=False, break_on_hyphens=False) + "\n")
    return summary


def _box(console: Console) -> Box:
    from rich import box

    return box.ASCII if console.options.ascii_only else box.SIMPLE


# ---- comparing -------------------------------------------------------------------------------------------------------


def changes_text(changed: Iterable[tuple[Row, Marked, Marked]], columns: Columns, out: Out) -> int:
    """What changes between two tables or rule sets, a line each; returns how many rows change."""
    numbers = []
    for row, before, after in changed:
        numbers.append(str(row.number))
        asked = " - ".join(columns.cell(row.cells, role) for role in ("mixture", "answer"))
        out(f"row {row.number} ({row.place}): {asked}\n")
        if before.verdict != after.verdict:
            out(f"  {before.verdict} -> {after.verdict}\n  before: {before.reason}\n  after:  {after.reason}\n")
        old = {claim.text: claim for claim in before.claims}
        for claim in after.claims:
            earlier = old.get(claim.text)
            if earlier is not None and earlier.verdict != claim.verdict:
                out(f"  claim {claim.text!r}: {earlier.verdict} ({earlier.found}) -> {claim.verdict} ({claim.found})\n")
    if not numbers:
        out("No verdict changes.\n")
    else:
        out(f"{len(numbers)} {'row changes' if len(numbers) == 1 else 'rows change'}: {', '.join(numbers)}\n")
    return len(numbers)
