"""The command that checks a worksheet, for the command line to plug in.

    parser = ArgumentParser(...); add_arguments(parser); code = run(parser.parse_args(words))

`add_arguments(parser)` adds the options, `run(namespace)` does the work and returns the exit code: 0 every answer is
right or acceptable and no claim is false (or, when comparing, nothing changes), 1 otherwise. What cannot be read raises
UsageError (exit code 2), a faulty table or rule file DataError (5). Standard output carries the answer; the progress
bar, and the summary of CSV output, go to standard error.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING

from choosemethod.classroom.readers import FORMATS as INPUTS
from choosemethod.classroom.readers import Row, Sheet, open_sheet
from choosemethod.classroom.writers import FORMATS
from choosemethod.ending import forget, undo_on_signal
from choosemethod.errors import UsageError
from choosemethod.show.output import ReaderGone, output_to, refuse_output, say

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from choosemethod.classroom.worksheet import Checker, Columns, Summary
    from choosemethod.show.output import Out

__all__ = ["add_arguments", "run", "run_check"]

_OFFICE = ("xlsx", "docx")
_OF_SUFFIX = {".csv": "csv", ".md": "markdown", ".jsonl": "jsonl", ".xlsx": "xlsx", ".docx": "docx"}
_LONG = 200  # rows from which a progress bar is worth showing
_REFRESH = 0.1  # s between two states of the bar


def add_arguments(parser: ArgumentParser) -> None:
    """Add the options of `check` to a parser."""
    add = parser.add_argument
    add("file", metavar="FILE", help="the worksheet: .csv .yaml .json .jsonl .md .xlsx .docx, or - for standard input")
    add(
        "--format",
        choices=FORMATS,
        default="",
        help="form of the output (told by the name of --output, else terminal); csv, xlsx: the input with added columns; "
        "docx: the input with comments; class: what the answers show together",
    )
    add(
        "--columns",
        action="append",
        default=[],
        metavar="ROLE=HEADING,...",
        help="which column is which, by heading or number: mixture=Q,answer=A (also reason, wish, constraint, level, "
        "marks, front, spot, claims)",
    )
    add("--output", metavar="FILE", help="write to this file instead of standard output")
    add("--level", default="", metavar="LEVEL", help="level of rows that name none (adds remarks, changes no verdict)")
    add("--table", action="append", default=[], metavar="FILE", help="a table file of your own substances (repeatable)")
    add(
        "--scheme", metavar="FILE", help="your own marking scheme (YAML): accepted and refused answers, required points"
    )
    add("--write-scheme", action="store_true", help="write such a scheme for the questions of FILE, to change")
    add("--compare-table", metavar="FILE", help="show which verdicts change when this table file is added")
    add("--compare-rules", metavar="FOLDER", help="show which verdicts change with this rules folder")
    add("--input", choices=INPUTS, default="", dest="kind", help="form of the worksheet, if its name does not tell")
    add("--no-headings", action="store_true", help="the first row is already an answer; name columns by number")
    add("--jobs", type=int, default=0, metavar="N", help="processes to use (0: as many as there are cores, at most 4)")
    add(
        "--color",
        choices=("auto", "always", "never"),
        default="auto",
        help="colours in the terminal (auto honours NO_COLOR)",
    )
    add("--width", type=int, metavar="N", help="columns of the terminal")


def run(options: Namespace) -> int:
    """Check the worksheet the options name; the exit code (see the head of this module)."""
    return run_check(
        options.file,
        format=options.format,
        columns=options.columns,
        output=options.output,
        level=options.level,
        table=options.table,
        compare_table=options.compare_table,
        compare_rules=options.compare_rules,
        scheme=options.scheme,
        write_scheme=options.write_scheme,
        kind=options.kind,
        headings=not options.no_headings,
        jobs=options.jobs,
        color=options.color,
        width=options.width,
    )


def _named(options: Iterable[str]) -> dict[str, str]:
    """The columns named by option: "mixture=Q,answer=A"."""
    out: dict[str, str] = {}
    for option in options:
        for part in option.split(","):
            role, equals, heading = part.partition("=")
            if not equals or not heading.strip():
                raise UsageError(f"--columns: {part!r} names no column; write for example mixture=Q,answer=A")
            out[role.strip().lower()] = heading.strip()
    return out


def _same(file: str | Path, output: str | Path) -> bool:
    """Whether the output is the worksheet itself, by another name or through a link."""
    with suppress(OSError, ValueError):
        return str(file) != "-" and os.path.isfile(output) and os.path.samefile(file, output)
    return False


def run_check(
    file: str | Path,
    *,
    format: str = "",
    columns: Iterable[str] = (),
    output: str | Path | None = None,
    level: str = "",
    table: Iterable[str | Path] = (),
    compare_table: str | Path | None = None,
    compare_rules: str | Path | None = None,
    scheme: str | Path | None = None,
    write_scheme: bool = False,
    kind: str = "",
    headings: bool = True,
    jobs: int = 0,
    color: str = "auto",
    width: int | None = None,
) -> int:
    """Check a worksheet and write what was found; see `add_arguments` for the arguments. Returns the exit code."""
    from choosemethod.classroom.worksheet import Checker, columns_of, compare
    from choosemethod.classroom.writers import changes_text

    format = format or _OF_SUFFIX.get(Path(str(output or "")).suffix.lower(), "terminal")
    if format in _OFFICE and (output is None or str(file) == "-"):
        raise UsageError(f"--format {format} writes into a copy of the worksheet: name the worksheet and --output FILE")
    refuse_output(output)
    if output is not None and _same(file, output):
        raise UsageError("the output would overwrite the worksheet; write to another file")
    extra = tuple(Path(name) for name in table)
    checker = Checker(extra, None, level, Path(scheme) if scheme is not None else None)
    named = _named(columns)

    def known(heads: list[str] | tuple[str, ...]) -> int:
        plain = {heading.strip().lower() for heading in heads}
        return checker.known(heads) + sum(heading.lower() in plain for heading in named.values())

    summary: Summary | None = None
    with suppress(ReaderGone), open_sheet(file, known, kind, headings) as sheet:  # type: ignore[arg-type]
        for remark in sheet.remarks:
            say(remark)
        if format in _OFFICE and format != sheet.kind:
            raise UsageError(f"--format {format} needs a worksheet of that kind; this one is {sheet.kind}")
        chosen = columns_of(
            sheet.headings, checker.rules, named, ("mixture",) if write_scheme else ("mixture", "answer")
        )
        with output_to(output) as out:
            if write_scheme:
                out(checker.written_scheme(sheet.rows, chosen))
                return 0
            if compare_table is not None or compare_rules is not None:
                more = (Path(compare_table),) if compare_table is not None else ()
                folder = Path(compare_rules) if compare_rules is not None else None
                other = Checker((*extra, *more), folder, level)
                with _progress(sheet) as seen:
                    return 1 if changes_text(compare(seen(sheet.rows), chosen, checker, other), chosen, out) else 0
            with _progress(sheet) as seen:
                summary = _written(
                    sheet, seen, chosen, checker, format, out, jobs, color, width, output is None, Path(file)
                )
    if summary is not None and checker.schemes:
        idle = [text for text in checker.schemes if text not in summary.schemes]
        if idle:
            say(f"no row asks what the scheme has: {'; '.join(idle)}")
    if summary is None:  # nobody reads on: what the rest of the rows would be is not known
        return 1
    if format in ("csv", *_OFFICE) and sys.stderr is not None:
        say(summary.text)
    return 1 if summary.wrong else 0


def _written(
    sheet: Sheet,
    seen: Seen,
    columns: Columns,
    checker: Checker,
    format: str,
    out: Out,
    jobs: int,
    color: str,
    width: int | None,
    on_screen: bool,
    file: Path,
) -> Summary:
    from choosemethod.classroom.workers import check_in_parallel
    from choosemethod.classroom.worksheet import Summary
    from choosemethod.classroom.writers import counted_rows, write_csv, write_jsonl, write_markdown, write_terminal

    checked = check_in_parallel(seen(sheet.rows), columns, checker, jobs)
    if format == "csv":
        return write_csv(checked, sheet, columns, out)
    if format == "jsonl":
        return write_jsonl(checked, sheet, columns, out)
    if format == "markdown":
        return write_markdown(checked, sheet, columns, out)
    if format in _OFFICE:
        from choosemethod.classroom.office import write_docx, write_xlsx

        return (write_xlsx if format == "xlsx" else write_docx)(checked, sheet, columns, out, file)
    if format == "class":
        from choosemethod.classroom.class_set import ClassSet

        counted = Summary()
        out(ClassSet().add(counted_rows(checked, counted), columns).text + counted.text + "\n")
        return counted
    from choosemethod.show.terminal import open_console

    console = open_console(color if on_screen else "never", width)
    return write_terminal(checked, sheet, columns, out, console)


class Seen:
    """Passes rows on and tells the progress bar."""

    def __init__(self, tell: object = None) -> None:
        self.tell = tell

    def __call__(self, rows: Iterable[Row]) -> Iterator[Row]:
        for row in rows:
            if callable(self.tell):
                self.tell()
            yield row


@contextmanager
def _progress(sheet: Sheet) -> Iterator[Seen]:
    """A progress bar on standard error for long worksheets, if somebody can see it."""
    if sys.stderr is None or not sys.stderr.isatty() or (sheet.count or 0) < _LONG:
        yield Seen()
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    console = Console(stderr=True)
    with Progress(
        TextColumn("checking"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
        console=console,
        transient=True,
        auto_refresh=False,  # no thread beside the processes that are made
    ) as bar:
        task = bar.add_task("rows", total=sheet.count)
        number = undo_on_signal(lambda: console.show_cursor(True))
        shown = 0.0

        def tell() -> None:
            nonlocal shown
            bar.advance(task)
            if time.monotonic() - shown > _REFRESH:
                shown = time.monotonic()
                bar.refresh()

        yield Seen(tell)
        forget(number)
