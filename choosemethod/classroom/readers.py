"""Worksheets read row by row: CSV, YAML, JSON, JSON lines, Markdown tables, .xlsx and .docx.

A file is checked before its first row is given out, so what is hostile or broken is refused with a message (UsageError)
and not found half-way: bombs, document types with entities, cells or rows without end.
"""

from __future__ import annotations

import codecs
import csv
import io
import json
import os
import re
import struct
import sys
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import IO, Any
from xml.parsers import expat

from choosemethod.classroom.prose import read_prose
from choosemethod.errors import ChooseMethodError, DataError, UsageError
from choosemethod.yamltext import LARGEST as LARGEST_YAML
from choosemethod.yamltext import Block, Items, Node, parse_yaml

__all__ = ["FORMATS", "Row", "Sheet", "needs", "open_sheet"]

FORMATS = ("csv", "yaml", "json", "jsonl", "markdown", "xlsx", "docx")
_SUFFIXES = {
    ".csv": "csv",
    ".tsv": "csv",
    ".txt": "csv",
    ".yaml": "yaml",
    ".yml": "yaml",
    ".json": "json",
    ".jsonl": "jsonl",
    ".ndjson": "jsonl",
    ".md": "markdown",
    ".markdown": "markdown",
    ".xlsx": "xlsx",
    ".xlsm": "xlsx",
    ".docx": "docx",
}
LONGEST_CELL = 100_000  # characters
MOST_COLUMNS = 200
LARGEST_INPUT = 100_000_000  # bytes of a worksheet
LARGEST_JSON = 50_000_000  # bytes
LARGEST_UNPACKED = 100_000_000  # bytes of all parts of a .xlsx or .docx together
MOST_PARTS = 5_000
HIGHEST_RATIO = 300  # unpacked to packed, of parts over 1 MB
_TOO_LARGE = f"larger than {LARGEST_INPUT // 1_000_000} MB; check it in parts"
_EMPTY_ROWS = 5_000  # empty rows one after the other after which a sheet is over
_HEADING_ROWS = 20  # rows in which the headings of a spreadsheet are looked for
_LINES_TOLD = 8  # numbers of lines of another encoding that are told
_DELIMITERS = (",", ";", "\t", "|")

Known = Callable[[Sequence[str]], int]  # how many of these headings are known


@dataclass(frozen=True, slots=True)
class Row:
    """One row. number: 1 for the first below the headings; place: where it is in the file; cells: one a heading.

    fault: why the row could not be read, "" if it could; blank: nothing is in it; at: the place in numbers: (sheet, row)
    of a workbook, (table, row) or (0, paragraph) of a document.
    """

    number: int
    place: str
    cells: tuple[str, ...]
    fault: str = ""
    at: tuple[int, int] = (0, 0)

    @property
    def blank(self) -> bool:
        """Whether nothing is in the row."""
        return not self.fault and not any(cell.strip() for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A worksheet. rows: read while they are walked, once; count: their number, if known; delimiter, bom: of a CSV.

    remarks: what is to be said of how it was read: another encoding, tables and sheets that were left out.
    """

    kind: str
    headings: tuple[str, ...]
    rows: Iterator[Row]
    count: int | None = None
    delimiter: str = ","
    bom: bool = False
    remarks: tuple[str, ...] = ()


@contextmanager
def open_sheet(path: str | Path, known: Known, kind: str = "", headings: bool = True) -> Iterator[Sheet]:
    """Open a worksheet. path: a file, or "-" for standard input; known: tells how many of some headings are known.

    kind: one of FORMATS ("" to tell by the name, or by the content of standard input); headings: whether the first row
    holds them (else columns are called 1, 2, 3). UsageError if it cannot be read or is refused.
    """
    if kind and kind not in FORMATS:
        raise UsageError(f"{kind!r} is no format of a worksheet; write one of: {', '.join(FORMATS)}")
    with _opened(path) as file:
        suffix = Path(str(path)).suffix.lower() if str(path) != "-" else ""
        found = kind or _SUFFIXES.get(suffix) or _guess(file)
        shown = "standard input" if str(path) == "-" else str(path)
        try:
            source = _Source(file, shown, known, headings)
            sheet = _READERS[found](source)
            yield replace(sheet, remarks=tuple(source.remarks))
        except UnicodeError as error:
            raise UsageError(f"{shown} is cut short or no text of the encoding it begins with ({error})") from None
        except (zipfile.BadZipFile, zlib.error, struct.error, EOFError, RecursionError) as error:
            raise UsageError(f"{shown} is damaged and cannot be read ({error or type(error).__name__})") from None
        except OSError as error:
            raise UsageError(f"{shown} cannot be read ({error.strerror or error})") from None


@dataclass(frozen=True, slots=True)
class _Source:
    """What a reader is given: the file (binary, seekable), its name as shown, the known headings; it adds remarks."""

    file: IO[bytes]
    shown: str
    known: Known
    headings: bool
    remarks: list[str] = field(default_factory=list)

    def left_out(self, what: str) -> None:
        """Remark that something of the file is not among the rows."""
        self.remarks.append(f"{self.shown}: {what} was not read")

    def fault(self, wrong: str, place: str = "") -> UsageError:
        return UsageError(f"{self.shown}{', ' + place if place else ''}: {wrong}")

    def names(self, first: Sequence[str], width: int) -> tuple[str, ...]:
        """The headings, one for every column, none empty and none twice."""
        named = list(first) if self.headings else []
        out: list[str] = []
        for place in range(max(width, len(named))):
            name = named[place].strip() if place < len(named) else ""
            name = name or (str(place + 1) if not self.headings else f"column {place + 1}")
            unique, count = name, 2
            while unique in out:
                unique, count = f"{name} ({count})", count + 1
            out.append(unique)
        return tuple(out)


@contextmanager
def _opened(path: str | Path) -> Iterator[IO[bytes]]:
    if str(path) != "-":
        try:
            file = open(path, "rb")  # noqa: SIM115
        except OSError as error:
            raise UsageError(f"{path} cannot be read ({error.strerror or error})") from None
        with file:
            if not file.seekable():
                with _spooled(file) as spooled:
                    yield spooled
            elif os.fstat(file.fileno()).st_size > LARGEST_INPUT:
                raise UsageError(f"{path} is {_TOO_LARGE}")
            else:
                yield file
        return
    if sys.stdin is None:
        raise UsageError("there is no standard input to read")
    with _spooled(
        getattr(sys.stdin, "buffer", None) or io.BytesIO(sys.stdin.read().encode("utf-8", "replace"))
    ) as spooled:
        yield spooled


@contextmanager
def _spooled(stream: IO[bytes]) -> Iterator[IO[bytes]]:
    """A stream copied where it can be read twice: in memory while it is small, else in a temporary file."""
    with tempfile.SpooledTemporaryFile(max_size=4_000_000) as spooled:
        size = 0
        while chunk := stream.read(1 << 16):
            size += len(chunk)
            if size > LARGEST_INPUT:
                raise UsageError(f"the input is {_TOO_LARGE}")
            spooled.write(chunk)
        spooled.seek(0)
        yield spooled


def _guess(file: IO[bytes]) -> str:
    """The format of a content without a name."""
    head = file.read(4096)
    file.seek(0)
    if head.startswith(b"PK"):
        try:
            names = zipfile.ZipFile(file).namelist()
        except zipfile.BadZipFile:
            return "xlsx"
        finally:
            file.seek(0)
        return "docx" if any(name.startswith("word/") for name in names) else "xlsx"
    text = head.decode("utf-8-sig", "replace").lstrip()
    if text.startswith("["):
        return "json"
    if text.startswith("{"):
        return "jsonl" if re.match(r"\{[^\n]*\}\s*\n\s*\{", text) else "json"
    lines = [line for line in text.splitlines() if line.strip()]
    if any(_RULE.match(line) and "|" in line for line in lines[:40]):
        return "markdown"
    if re.match(r"- +\w[\w .-]*:( |$)", text) or re.match(r"\w[\w -]*:\s*\n\s*- ", text):
        return "yaml"
    return "csv"


def _whole(cell: str, source: _Source, place: str) -> str:
    if len(cell) > LONGEST_CELL:
        raise source.fault(f"a cell is longer than {LONGEST_CELL} characters", place)
    return cell


# ---- text ------------------------------------------------------------------------------------------------------------


def _as_windows(error: UnicodeError) -> tuple[str, int]:
    """Bytes that are no UTF-8, read as the programs of the office write them."""
    assert isinstance(error, UnicodeDecodeError)
    byte = error.object[error.start : error.start + 1]
    return byte.decode("cp1252", "ignore") or byte.decode("latin-1"), error.start + 1


_MIXED = "choosemethod-mixed"
codecs.register_error(_MIXED, _as_windows)


def _encoding(source: _Source) -> tuple[str, bool]:
    """The encoding of a text (UTF-8, or UTF-16 with a mark), and whether it begins with a UTF-8 mark.

    Lines that are no UTF-8 are read as Windows-1252, and which ones is said.
    """
    file = source.file
    file.seek(0)
    head = file.read(4)
    file.seek(0)
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16", True
    other: list[int] = []
    both = False
    for number, line in enumerate(file, 1):
        if line.isascii():
            if b"\0" in line:
                raise source.fault("it holds zero bytes, so it is no text")
            continue
        try:
            line.decode("utf-8")
            both = True
        except UnicodeDecodeError:
            other.append(number)
    file.seek(0)
    if other:
        listed = ", ".join(map(str, other[:_LINES_TOLD])) + (" ..." if len(other) > _LINES_TOLD else "")
        which = f"of mixed encodings: line {listed} is" if both else "not UTF-8:"
        source.remarks.append(f"{source.shown} is {which} read as Windows-1252")
    return "utf-8-sig", head.startswith(codecs.BOM_UTF8)


def _text(source: _Source, encoding: str, newline: str | None = None) -> io.TextIOWrapper:
    """The file as text from its beginning; closing it is left to whoever opened the file."""
    source.file.seek(0)
    return _Text(source.file, encoding=encoding, newline=newline, errors=_MIXED if encoding != "utf-16" else "strict")


class _Text(io.TextIOWrapper):
    """A text view that leaves the file open when it is thrown away."""

    def __del__(self) -> None:
        with suppress(ValueError):
            self.detach()


def _read_text(source: _Source, most: int) -> str:
    raw = source.file.read(most + 1)
    if len(raw) > most:
        raise source.fault(f"it is larger than {most // 1_000_000} MB; split it, or write it as CSV or JSON lines")
    source.file.seek(0)
    encoding, _ = _encoding(source)
    return raw.decode(encoding, _MIXED if encoding != "utf-16" else "strict")


# ---- CSV -------------------------------------------------------------------------------------------------------------


def _delimiter(source: _Source, encoding: str) -> tuple[str, bool]:
    """The delimiter, and whether the first line only names it ("sep=;")."""
    text = _text(source, encoding, newline="")
    head = text.read(1 << 16)
    text.detach()
    named = re.match(r"sep=(.)\r?\n", head)
    if named:
        return named[1], True
    best = (0, 0, 0, 0)
    chosen = ","
    for order, delimiter in enumerate(_DELIMITERS):
        rows = []
        try:
            for row in csv.reader(io.StringIO(head, newline=""), delimiter=delimiter):
                if row:
                    rows.append(row)
                if len(rows) == 40:
                    break
        except csv.Error:
            continue
        if not rows:
            continue
        width = len(rows[0])
        alike = sum(len(row) == width for row in rows) if width > 1 else 0
        found = (source.known(rows[0]), min(width, 2), alike, -order)
        if found > best:
            best, chosen = found, delimiter
    return chosen, False


def _csv(source: _Source) -> Sheet:
    encoding, bom = _encoding(source)
    delimiter, named = _delimiter(source, encoding)

    def records() -> Iterator[tuple[int, list[str]]]:
        text = _text(source, encoding, newline="")
        reader = csv.reader(text, delimiter=delimiter)
        begin = 1
        try:
            for record in reader:
                yield begin, record
                begin = reader.line_num + 1
        except csv.Error as error:
            wrong = f"a cell is longer than {LONGEST_CELL} characters (is a quotation mark not closed?)"
            raise source.fault(wrong if "limit" in str(error) else str(error), f"line {begin}") from None
        finally:
            text.detach()

    width = count = 0
    first: list[str] | None = None
    for line, record in records():
        if named and line == 1:
            continue
        if first is None:
            if not record:
                continue  # empty lines before the headings
            first = record
        count += 1
        width = max(width, len(record))
        if len(record) > MOST_COLUMNS:
            raise source.fault(f"a row has more than {MOST_COLUMNS} cells", f"line {line}")
        if any(len(cell) > LONGEST_CELL for cell in record):
            raise source.fault(f"a cell is longer than {LONGEST_CELL} characters", f"line {line}")
    if first is None:
        raise source.fault("there is nothing in it")
    headings = source.names(first, width)

    def rows() -> Iterator[Row]:
        number = 0
        waiting = True
        for line, record in records():
            if (named and line == 1) or (waiting and not record):
                continue
            if waiting:
                waiting = False
                if source.headings:
                    continue
            number += 1
            yield Row(number, f"line {line}", tuple(record + [""] * (len(headings) - len(record))))

    return Sheet("csv", headings, rows(), count - (1 if source.headings else 0), delimiter, bom)


# ---- YAML and JSON ---------------------------------------------------------------------------------------------------


def _plain(value: Any) -> str:
    """A cell as text: lists as steps in order, numbers as written, nothing as empty."""
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    if isinstance(value, (list, tuple)):
        return ", then ".join(_plain(item) for item in value)
    if isinstance(value, dict):
        return "; ".join(f"{key}: {_plain(item)}" for key, item in value.items())
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _of_mappings(source: _Source, kind: str, items: Iterable[tuple[str, Any]]) -> Sheet:
    """A worksheet of mappings: (place, mapping) in order."""
    kept = list(items)
    headings: dict[str, None] = {}
    for place, item in kept:
        if isinstance(item, dict):
            for key in item:
                headings.setdefault(_whole(str(key), source, place))
    if not headings:
        raise source.fault("a list of mappings is wanted: - {mixture: salt and sand, answer: dissolve and filter}")
    if len(headings) > MOST_COLUMNS:
        raise source.fault(f"its rows have more than {MOST_COLUMNS} different keys")

    def rows() -> Iterator[Row]:
        for number, (place, item) in enumerate(kept, 1):
            if not isinstance(item, dict):
                yield Row(number, place, ("",) * len(headings), "this is no mapping of headings to cells")
                continue
            yield Row(number, place, tuple(_plain(item.get(key)) for key in headings))

    for place, item in kept:
        if isinstance(item, dict):
            for value in item.values():
                _whole(_plain(value), source, place)
    return Sheet(kind, tuple(headings), rows(), len(kept))


def _rows_of(data: Any) -> Any:
    """The list of rows: the data itself, or the one list in it."""
    if isinstance(data, dict):
        lists = [value for value in data.values() if isinstance(value, list)]
        return lists[0] if len(lists) == 1 else [data]
    return data


def _yaml(source: _Source) -> Sheet:
    text = _read_text(source, LARGEST_YAML)
    try:
        node: Node = parse_yaml(text, source.shown)
    except DataError as error:
        raise UsageError(str(error)) from None
    found = _rows_of(node)
    if not isinstance(found, list):
        raise source.fault("a list of mappings is wanted: - {mixture: salt and sand, answer: dissolve and filter}")
    lines = found.lines if isinstance(found, Items) else [found[0].line if isinstance(found[0], Block) else 1]
    return _of_mappings(source, "yaml", ((f"line {line}", item) for line, item in zip(lines, found, strict=True)))


def _json(source: _Source) -> Sheet:
    text = _read_text(source, LARGEST_JSON)
    try:
        found = _rows_of(json.loads(text))
    except RecursionError:
        raise source.fault("it is nested too deeply") from None
    except ValueError as error:
        raise source.fault(f"it is no JSON ({error})") from None
    if not isinstance(found, list):
        raise source.fault(
            'a list of objects is wanted: [{"mixture": "salt and sand", "answer": "dissolve and filter"}]'
        )
    return _of_mappings(source, "json", ((f"item {number}", item) for number, item in enumerate(found, 1)))


def _jsonl(source: _Source) -> Sheet:
    encoding, _ = _encoding(source)

    def objects(limit: int = LONGEST_CELL * 10) -> Iterator[tuple[int, Any]]:
        text = _text(source, encoding)
        line = 0
        try:
            while raw := text.readline(limit):
                line += 1
                if len(raw) >= limit:
                    raise source.fault(f"it is longer than {limit} characters", f"line {line}")
                if not raw.strip():
                    continue
                try:
                    yield line, json.loads(raw)
                except (ValueError, RecursionError) as error:
                    yield line, ValueError(f"this is no JSON ({error})")
        finally:
            text.detach()

    headings: dict[str, None] = {}
    count = 0
    for line, item in objects():
        count += 1
        if isinstance(item, dict):
            for key in item:
                headings.setdefault(_whole(str(key), source, f"line {line}"))
            for value in item.values():
                _whole(_plain(value), source, f"line {line}")
    if not headings:
        raise source.fault(
            'an object on each line is wanted: {"mixture": "salt and sand", "answer": "dissolve and filter"}'
        )
    if len(headings) > MOST_COLUMNS:
        raise source.fault(f"its rows have more than {MOST_COLUMNS} different keys")

    def rows() -> Iterator[Row]:
        for number, (line, item) in enumerate(objects(), 1):
            if isinstance(item, dict):
                yield Row(number, f"line {line}", tuple(_plain(item.get(key)) for key in headings))
            else:
                fault = str(item) if isinstance(item, ValueError) else "this is no object"
                yield Row(number, f"line {line}", ("",) * len(headings), fault)

    return Sheet("jsonl", tuple(headings), rows(), count)


# ---- Markdown --------------------------------------------------------------------------------------------------------

_RULE = re.compile(r"\s{0,3}\|?\s*:?-{1,}:?\s*(?:\|\s*:?-{1,}:?\s*)*\|?\s*\Z")


def _cells(line: str) -> list[str]:
    line = line.strip()
    line = line[1:] if line.startswith("|") else line
    line = line[:-1] if line.endswith("|") and not line.endswith("\\|") else line
    cells = re.split(r"(?<!\\)\|", line)
    return [re.sub(r"<br\s*/?>", "\n", cell.strip().replace("\\|", "|")) for cell in cells]


def _markdown(source: _Source) -> Sheet:
    encoding, _ = _encoding(source)

    def tables() -> Iterator[tuple[int, int, list[str]]]:
        """(table, line, cells); the first row of a table are its headings."""
        text = _text(source, encoding)
        before = ""
        table, inside = 0, False
        line = 0
        try:
            while raw := text.readline(LONGEST_CELL * 10):
                line += 1
                if len(raw) >= LONGEST_CELL * 10:
                    raise source.fault("the line is too long", f"line {line}")
                if inside and "|" in raw:
                    yield table, line, _cells(raw)
                elif not inside and "|" in before and "-" in raw and _RULE.match(raw):
                    table, inside = table + 1, True
                    yield table, line - 1, _cells(before)
                else:
                    inside = False
                before = raw
        finally:
            text.detach()

    def paragraphs() -> Iterator[tuple[int, str]]:
        text = _text(source, encoding)
        try:
            line = 0
            while raw := text.readline(LONGEST_CELL * 10):
                line += 1
                yield line, raw
        finally:
            text.detach()

    return _of_tables(source, "markdown", tables, lambda table, line: f"line {line}", paragraphs)


def _of_tables(
    source: _Source,
    kind: str,
    tables: Callable[[], Iterator[tuple[int, int, list[str]]]],
    place: Callable[[int, int], str],
    paragraphs: Callable[[], Iterable[tuple[int, str]]],
) -> Sheet:
    """A worksheet of one or more tables of a text: the first with known headings, and those with the same headings.

    paragraphs: the text itself as (place, paragraph), read as questions and answers where there is no table.
    """
    heads: dict[int, list[str]] = {}
    count: dict[int, int] = {}
    width: dict[int, int] = {}
    for table, line, cells in tables():
        heads.setdefault(table, cells)
        count[table] = count.get(table, -1) + 1
        width[table] = max(width.get(table, 0), len(cells))
        if len(cells) > MOST_COLUMNS:
            raise source.fault(f"a row has more than {MOST_COLUMNS} cells", place(table, line))
        for cell in cells:
            _whole(cell, source, place(table, line))
    if not heads:
        return _of_prose(source, kind, paragraphs, place)
    chosen = max(heads, key=lambda table: (source.known(heads[table]), -table))
    alike = [table for table, cells in heads.items() if cells == heads[chosen]]
    for table in heads:
        if table not in alike:
            source.left_out(f"table {table} ({', '.join(heads[table])})")
    if source.known(heads[chosen]) and (beside := read_prose(paragraphs(), source.known)[1]):
        source.left_out(f"the running text with {len(beside)} question{'s' if len(beside) > 1 else ''} beside the table")
    headings = source.names(heads[chosen], max(width[table] for table in alike))

    def rows() -> Iterator[Row]:
        number = 0
        begun: set[int] = set()
        for table, line, cells in tables():
            if table not in alike:
                continue
            if table not in begun:
                begun.add(table)
                if source.headings:
                    continue
            number += 1
            cells = cells + [""] * (len(headings) - len(cells))
            yield Row(number, place(table, line), tuple(cells), at=(table, line))

    return Sheet(kind, headings, rows(), sum(count[table] + (0 if source.headings else 1) for table in alike))


def _of_prose(
    source: _Source, kind: str, paragraphs: Callable[[], Iterable[tuple[int, str]]], place: Callable[[int, int], str]
) -> Sheet:
    """A worksheet of questions and answers in running text."""
    headings, found = read_prose(paragraphs(), source.known)
    if not found:
        raise source.fault(
            "there is no table in it, and no questions with answers (write for example: Question: ... Answer: ...)"
        )
    rows = (
        Row(
            number,
            place(0, line),
            tuple(_whole(cells.get(one, ""), source, place(0, line)) for one in headings),
            at=(0, line),
        )
        for number, (line, cells) in enumerate(found, 1)
    )
    return Sheet(kind, tuple(headings), rows, len(found))


# ---- .xlsx and .docx -------------------------------------------------------------------------------------------------


class _RootSeen(Exception):
    """The document element has begun: no document type can follow."""


def _check_package(source: _Source) -> None:
    """Refuse a package that would unpack to too much, that is locked, or whose parts bring document types with them."""
    if source.file.read(8).startswith(b"\xd0\xcf\x11\xe0"):
        raise source.fault(
            "it is in the old binary format or locked with a password; save it as .xlsx or .docx without one"
        )
    source.file.seek(0)
    too_much = f"it unpacks to more than {LARGEST_UNPACKED // 1_000_000} MB"
    try:
        package = zipfile.ZipFile(source.file)
    except zipfile.BadZipFile:
        raise source.fault("it is damaged, or no .xlsx or .docx file") from None
    parts = package.infolist()
    if len(parts) > MOST_PARTS:
        raise source.fault(f"it has more than {MOST_PARTS} parts")
    if sum(part.file_size for part in parts) > LARGEST_UNPACKED:
        raise source.fault(too_much)
    total = 0
    for part in parts:
        if part.flag_bits & 1:
            raise source.fault("it is locked with a password")
        if part.file_size > 1_000_000 and part.file_size > HIGHEST_RATIO * max(1, part.compress_size):
            raise source.fault(f"its part {part.filename!r} is packed more than {HIGHEST_RATIO} times")
        try:
            with package.open(part) as content:
                head = b""
                while chunk := content.read(1 << 16):  # what really comes out counts, not what is declared
                    total += len(chunk)
                    if total > LARGEST_UNPACKED:
                        raise source.fault(too_much)
                    if len(head) < 1 << 16:
                        head += chunk
        except (zipfile.BadZipFile, NotImplementedError, RuntimeError) as error:
            raise source.fault(f"its part {part.filename!r} is damaged ({error})") from None
        if part.filename.lower().endswith((".xml", ".rels", ".vml")):
            _check_prolog(source, part.filename, head)
    source.file.seek(0)


def _check_prolog(source: _Source, name: str, head: bytes) -> None:
    """Refuse XML with a document type: only one can declare entities, and neither format needs any."""

    def refuse(*_: object) -> None:
        raise source.fault(f"its part {name!r} declares a document type or entities, which no worksheet needs")

    def begun(*_: object) -> None:
        raise _RootSeen

    parser = expat.ParserCreate()
    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    parser.StartElementHandler = begun
    try:
        parser.Parse(head, False)
    except _RootSeen:
        return
    except expat.ExpatError as error:
        raise source.fault(f"its part {name!r} is no XML ({error})") from None
    raise source.fault(f"its part {name!r} holds no element where one should begin")


def needs(package: str, module: str) -> Any:
    from importlib import import_module

    try:
        return import_module(module)
    except ImportError:
        raise UsageError(f"this format needs the package {package}: pip install 'choosemethod[office]'") from None


def _shown_value(value: Any) -> str:
    """A spreadsheet's value as text."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, float):
        return f"{value:.15g}"
    return str(value)


def _xlsx(source: _Source) -> Sheet:
    _check_package(source)
    openpyxl = needs("openpyxl", "openpyxl")
    try:
        book = openpyxl.load_workbook(source.file, read_only=True, data_only=True, keep_links=False)
    except ChooseMethodError:
        raise
    except Exception as error:  # the library raises what its parts raise
        raise source.fault(f"it cannot be read as a spreadsheet ({error})") from None

    def records(sheet: Any) -> Iterator[tuple[int, list[str]]]:
        sheet.reset_dimensions()  # what the file declares need not be true
        empty = 0
        try:
            for line, values in enumerate(sheet.iter_rows(values_only=True, max_col=MOST_COLUMNS), 1):
                cells = [_whole(_shown_value(value), source, f"sheet {sheet.title!r}, row {line}") for value in values]
                while cells and not cells[-1]:
                    cells.pop()
                empty = 0 if cells else empty + 1
                if empty > _EMPTY_ROWS:
                    return
                yield line, cells
        except ChooseMethodError:
            raise
        except Exception as error:
            raise source.fault(f"sheet {sheet.title!r} cannot be read ({error})") from None

    best: tuple[int, Any, int] | None = None
    for sheet in book.worksheets:
        for line, cells in records(sheet):
            if line > (_HEADING_ROWS if source.headings else 1):
                break
            found = source.known(cells)
            if best is None or found > best[0]:
                best = (found, sheet, line)
    if best is None:
        raise source.fault("there is no filled sheet in it")
    _, chosen, first = best
    where = book.worksheets.index(chosen)
    for other in book.worksheets:
        if other is not chosen and any(cells for _, cells in records(other)):
            source.left_out(f"sheet {other.title!r}")
    top: list[str] = []
    width = count = 0
    kept = 0
    for line, cells in records(chosen):
        if line < first:
            continue
        if line == first:
            top = cells
        width = max(width, len(cells))
        kept += 1
        if cells:
            count = kept  # empty rows at the end do not count
    headings = source.names(top, width)

    def rows() -> Iterator[Row]:
        number = 0
        begin = first + (1 if source.headings else 0)
        for line, cells in records(chosen):
            if line < begin or line >= first + count:
                continue
            number += 1
            cells = cells + [""] * (len(headings) - len(cells))
            yield Row(number, f"sheet {chosen.title!r}, row {line}", tuple(cells), at=(where, line))

    return Sheet("xlsx", headings, rows(), count - (1 if source.headings else 0))


def _docx(source: _Source) -> Sheet:
    _check_package(source)
    docx = needs("python-docx", "docx")
    try:
        document = docx.Document(source.file)
    except ChooseMethodError:
        raise
    except Exception as error:
        raise source.fault(f"it cannot be read as a document ({error})") from None

    def tables() -> Iterator[tuple[int, int, list[str]]]:
        for number, table in enumerate(document.tables, 1):
            for line, row in enumerate(table.rows, 1):
                yield number, line, [cell.text.strip() for cell in row.cells]

    def paragraphs() -> Iterator[tuple[int, str]]:
        yield from ((number, one.text) for number, one in enumerate(document.paragraphs, 1))

    def place(table: int, line: int) -> str:
        return f"table {table}, row {line}" if table else f"paragraph {line}"

    return _of_tables(source, "docx", tables, place, paragraphs)


_READERS: dict[str, Callable[[_Source], Sheet]] = {
    "csv": _csv,
    "yaml": _yaml,
    "json": _json,
    "jsonl": _jsonl,
    "markdown": _markdown,
    "xlsx": _xlsx,
    "docx": _docx,
}
