"""Builds the database the table is looked up in. Not needed, and not imported, while a kept one is still good."""

from __future__ import annotations

import marshal
import os
import sqlite3
from array import array
from collections.abc import Iterable, Sequence
from itertools import combinations
from pathlib import Path
from typing import Any

from choosemethod.cache import content_name, forget_old, remove, temporary_in
from choosemethod.data import raise_all
from choosemethod.ending import forget, undo_on_signal
from choosemethod.table.contents import Contents, read_contents
from choosemethod.table.pack import pack_danger, pack_mixture, pack_reactivity, pack_substance, text_hash
from choosemethod.table.suggest import grams

__all__ = ["build_file", "build_memory", "fill"]

SCHEMA = """
CREATE TABLE names (hash INTEGER PRIMARY KEY, blob BLOB);
CREATE TABLE keys (n INTEGER PRIMARY KEY, key TEXT);
CREATE TABLE formulae (hash INTEGER PRIMARY KEY, blob BLOB);
CREATE TABLE substances (hash INTEGER PRIMARY KEY, blob BLOB);
CREATE TABLE mixtures (hash INTEGER PRIMARY KEY, blob BLOB);
CREATE TABLE pairs (kind TEXT, n INTEGER, row BLOB, PRIMARY KEY (kind, n)) WITHOUT ROWID;
CREATE TABLE pair_ids (kind TEXT, a TEXT, b TEXT, n INTEGER, swapped INTEGER, PRIMARY KEY (kind, a, b)) WITHOUT ROWID;
CREATE TABLE grams (gram TEXT PRIMARY KEY, numbers BLOB) WITHOUT ROWID;
CREATE TABLE kept (key TEXT PRIMARY KEY, blob BLOB) WITHOUT ROWID;
"""


def _read(folder: Path, extra: Sequence[Path]) -> Contents:
    contents = read_contents(folder, extra)
    raise_all(contents.problems)
    return contents


def _hashed(database: sqlite3.Connection, table: str, things: dict[str, Any]) -> None:
    """Rows of a table found by the hash of a text: {text: thing} of every text with that hash."""
    rows: dict[int, dict[str, Any]] = {}
    for text, thing in sorted(things.items()):
        rows.setdefault(text_hash(text), {})[text] = thing
    packed = ((number, marshal.dumps(row, 4)) for number, row in sorted(rows.items()))
    database.executemany(f"INSERT INTO {table} VALUES (?, ?)", packed)


def fill(database: sqlite3.Connection, contents: Contents) -> None:
    """Write everything read into an empty database."""
    database.executescript(SCHEMA)
    many = database.executemany
    meanings = {key: [(name.kind, name.id, name.written) for name in found] for key, found in contents.names.items()}
    _hashed(database, "names", meanings)
    _hashed(database, "substances", {id: pack_substance(entry) for id, entry in contents.substances.items()})
    _hashed(database, "mixtures", {id: pack_mixture(entry) for id, entry in contents.mixtures.items()})
    keys = sorted(contents.names)
    many("INSERT INTO keys VALUES (?, ?)", enumerate(keys))
    formulae = contents.formulae.items()
    plain = {key: (sure, [(name.kind, name.id, name.written) for name in names]) for key, (sure, names) in formulae}
    _hashed(database, "formulae", plain)
    for kind, rows in sorted(contents.pairs.items()):
        many("INSERT INTO pairs VALUES (?, ?, ?)", ((kind, n, marshal.dumps(row.row, 4)) for n, row in enumerate(rows)))
        for n, row in enumerate(rows):
            for a, b in combinations(row.ids, 2):
                # OR IGNORE: of several rows for one pair the first is the one found.
                both = ((kind, a, b, n, 0), (kind, b, a, n, 1))
                many("INSERT OR IGNORE INTO pair_ids VALUES (?, ?, ?, ?, ?)", both)
    index: dict[str, array[int]] = {}
    for n, key in enumerate(keys):
        for gram in grams(key):
            index.setdefault(gram, array("I")).append(n)
    many("INSERT INTO grams VALUES (?, ?)", ((gram, numbers.tobytes()) for gram, numbers in sorted(index.items())))
    kept: dict[str, Any] = {
        "longest": max((key.count(" ") + 1 for key in contents.names), default=0),
        "firsts": _firsts(contents.names),
        "dangers": [pack_danger(danger) for danger in contents.dangers],
        "reactivity": pack_reactivity(contents.reactivity),
        "statements": contents.statements,
        "words": contents.words,
        "schema": contents.schema,
        "sources": {key: (source.title, source.kind) for key, source in contents.sources.items()},
        "families": contents.families.of,
        "mixes": contents.families.mixes,
        "kinds": sorted(contents.pairs),
        "substances": tuple(sorted(contents.substances)),
        "mixtures": tuple(sorted(contents.mixtures)),
        "made_of": _made_of(contents),
    }
    many("INSERT INTO kept VALUES (?, ?)", ((key, marshal.dumps(thing, 4)) for key, thing in kept.items()))
    database.commit()


def _firsts(names: Iterable[str]) -> dict[str, int]:
    """First word of a name -> words in the longest name that begins with it."""
    found: dict[str, int] = {}
    for name in names:
        words = name.split(" ")
        found[words[0]] = max(found.get(words[0], 0), len(words))
    return found


def _made_of(contents: Contents) -> dict[str, tuple[str, ...]]:
    """Ids of the mixtures that are really one thing, by what they are made of."""
    found: dict[str, tuple[str, ...]] = {}
    for id, mixture in sorted(contents.mixtures.items()):
        if mixture.really and mixture.made_of:
            key = ",".join(sorted(set(mixture.made_of)))
            found[key] = (*found.get(key, ()), id)
    return found


def build_memory(folder: Path, extra: Sequence[Path]) -> sqlite3.Connection:
    """A database that lives as long as the process; DataError if a data file is faulty."""
    database = sqlite3.connect(":memory:")
    fill(database, _read(folder, extra))
    return database


def build_file(folder: Path, extra: Sequence[Path], cache: Path) -> str:
    """Write a database into the cache folder; its file name, which holds a hash of its bytes.

    DataError if a data file is faulty; OSError or sqlite3.Error if the folder cannot be written.
    """
    contents = _read(folder, extra)
    made = temporary_in(cache)
    number = undo_on_signal(lambda: remove(made))
    try:
        os.close(os.open(made, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
        database = sqlite3.connect(made)
        try:
            # Pages of 16 kB keep the trees two levels deep, so that a large table is looked up as fast as a small one.
            database.execute("PRAGMA page_size = 16384")
            database.execute("PRAGMA journal_mode = OFF")
            database.execute("PRAGMA synchronous = OFF")
            fill(database, contents)
        finally:
            database.close()
        path = cache / content_name(made.read_bytes())
        os.replace(made, path)
    except BaseException:
        remove(made)
        raise
    finally:
        forget(number)
    forget_old(cache, (path,))
    return path.name
