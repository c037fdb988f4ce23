"""Any bytes as a worksheet: marked, or refused in one sentence, in time and in bounds."""

from __future__ import annotations

import csv
import io
import json
import random
import zipfile
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

import pytest

from choosemethod.classroom.readers import _SUFFIXES, LONGEST_CELL, open_sheet
from choosemethod.cli import main
from choosemethod.errors import UsageError

from .texts import times

Bounded = Callable[[], AbstractContextManager[None]]
ROWS = [("Mixture", "Answer"), ("salt and sand", "dissolve, filter"), ("acetone and water", "distil it"), ("blei", "ä")]


def _csv() -> bytes:
    buffer = io.StringIO(newline="")
    csv.writer(buffer).writerows(ROWS)
    return buffer.getvalue().encode()


def _xlsx() -> bytes:
    import openpyxl

    book, out = openpyxl.Workbook(), io.BytesIO()
    for row in ROWS:
        book.active.append(row)
    book.save(out)
    return out.getvalue()


def _docx() -> bytes:
    import docx

    document, out = docx.Document(), io.BytesIO()
    table = document.add_table(len(ROWS), 2)
    for row, cells in zip(table.rows, ROWS, strict=True):
        for cell, text in zip(row.cells, cells, strict=True):
            cell.text = text
    document.save(out)
    return out.getvalue()


def good_sheets() -> dict[str, bytes]:
    """A worksheet in each format, by the ending of its name."""
    mappings = [dict(zip(ROWS[0], row, strict=True)) for row in ROWS[1:]]
    lines = ["| " + " | ".join(row) + " |" for row in ROWS]
    return {
        ".csv": _csv(),
        ".xlsx": _xlsx(),
        ".docx": _docx(),
        ".json": json.dumps(mappings).encode(),
        ".jsonl": "\n".join(json.dumps(one) for one in mappings).encode(),
        ".yaml": "".join(f"- {{Mixture: '{a}', Answer: '{b}'}}\n" for a, b in ROWS[1:]).encode(),
        ".md": "\n".join([lines[0], "|---|---|", *lines[1:]]).encode(),
    }


def changed(raw: bytes, chance: random.Random) -> bytes:
    """A file with something wrong: cut, bytes turned, parts doubled, another encoding, or nothing of it left."""
    kind = chance.randrange(8)
    place = chance.randrange(len(raw) + 1)
    if kind == 0:
        return raw[:place]
    if kind == 1:
        out = bytearray(raw)
        for _ in range(chance.randint(1, 20)):
            out[chance.randrange(len(out))] = chance.randrange(256)
        return bytes(out)
    if kind == 2:
        return raw[:place] + raw[chance.randrange(len(raw)) :]
    if kind == 3:
        text = raw.decode("latin-1").encode(chance.choice(["utf-16", "utf-16-le", "utf-32", "utf-8-sig", "cp037"]))
        return text[: chance.randrange(len(text) + 1)]
    if kind == 4:
        return bytes(chance.randrange(256) for _ in range(chance.randrange(2000)))
    if kind == 5:
        return (
            raw[:place]
            + chance.choice([b'"', b"\0", b"[" * 5000, b"{", b"a" * 200_001, b"|" * 400, b"\xff"])
            + raw[place:]
        )
    if kind == 6:
        return _repacked(raw, chance) if raw[:2] == b"PK" else raw * chance.randint(2, 50)
    return chance.choice([b"", b"\xff\xfe", b"\xfe\xff\x00", b"\xef\xbb\xbf", b"PK\x03\x04", b"sep=;\n", b"[" * 10_000])


def _repacked(raw: bytes, chance: random.Random) -> bytes:
    """The package with one part changed, so that what is packed, and not the packing, is at fault."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as package, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as other:
        names = package.namelist()
        chosen = chance.choice(names)
        for name in names:
            content = package.read(name)
            if name == chosen:
                at = chance.randrange(len(content) + 1)
                content = chance.choice(
                    [
                        content[:at],
                        content[:at] + b"<x>" + content[at:],
                        content.replace(b"1", b"9" * 30),
                        b"",
                        content * 2,
                    ]
                )
            if name != chosen or chance.random() < 0.8:
                other.writestr(name, content)
    return out.getvalue()


def test_any_bytes_as_a_worksheet(home: Path, capsys: pytest.CaptureFixture[str], bounded: Bounded) -> None:
    chance = random.Random(10)
    main(["check", "--help"])  # everything is loaded before it is measured
    good = good_sheets()
    for name, raw in good.items():
        path = home / f"good{name}"
        path.write_bytes(raw)
        assert main(["check", str(path), "--jobs", "1"]) == 1, name  # the third answer is wrong
    capsys.readouterr()
    for number in range(times("sheets", 30)):
        name = chance.choice(list(good))
        raw = changed(good[chance.choice([name, name, name, *good])], chance)
        path = home / f"some{name}"
        path.write_bytes(raw)
        form = chance.choice(["terminal", "csv", "jsonl", "markdown"])
        with bounded():
            code = main(["check", str(path), "--jobs", "1", "--format", form, *chance.choice([[], ["--no-headings"]])])
        out, err = capsys.readouterr()
        assert code in (0, 1, 2), (number, code, err)
        assert "fault of the program" not in out + err, (number, out, err)
        if code == 2:
            assert out == "" and err.count("\n") == 1 and len(err) < 1000, (number, out, err)


TRUNCATED = {
    "UTF-16 cut inside a letter": "Mixture,Answer\nsalt,filter\n".encode("utf-16")[:-1],
    "UTF-16 with half of a pair": b"\xff\xfe" + "Mixture,Answer\nsalt,\n".encode("utf-16-le") + b"\x3d\xd8",
}


@pytest.mark.parametrize("raw", TRUNCATED.values(), ids=TRUNCATED)
@pytest.mark.parametrize("suffix", sorted(_SUFFIXES))
def test_utf_16_cut_short(home: Path, capsys: pytest.CaptureFixture[str], raw: bytes, suffix: str) -> None:
    path = home / f"cut{suffix}"
    path.write_bytes(raw)
    assert main(["check", str(path)]) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1 and "cut" in err


def _torn(sheet: object) -> None:
    raise OSError(5, "Input/output error")


def test_a_file_that_cannot_be_read_to_its_end(home: Path) -> None:
    path = home / "a.csv"
    path.write_bytes(_csv())

    with pytest.raises(UsageError, match="cannot be read"), open_sheet(path, len) as sheet:
        _torn(sheet)


def test_a_file_beyond_every_limit(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = home / "big.csv"
    path.write_text('Mixture,Answer\nsalt,"' + "x" * (LONGEST_CELL + 1) + '"\n')
    assert main(["check", str(path)]) == 2
    with open(path, "wb") as file:  # a hole: nothing of it lies on the disk
        file.truncate(600_000_000)
    assert main(["check", str(path)]) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 2 and str(LONGEST_CELL) in err
    assert "100 MB" in err
