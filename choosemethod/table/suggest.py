"""Nearest names for words that were not understood: three-letter runs find candidates, letter changes rank them."""

from __future__ import annotations

import sqlite3
from array import array
from collections import Counter
from collections.abc import Callable, Iterable

from choosemethod.table.model import Name
from choosemethod.table.names import normalise, similarity

__all__ = ["grams", "suggest"]

FETCHED = 600  # names with the most three-letter runs in common
CANDIDATES = 80  # of these, names compared letter by letter
WORST = 60.0  # score below which a name is not worth suggesting


def grams(key: str) -> set[str]:
    """The three-letter runs of each word of a normalised name, with the word's ends marked by spaces."""
    found: set[str] = set()
    for word in key.split(" "):
        padded = f"  {word} "
        found.update(padded[i : i + 3] for i in range(len(padded) - 2))
    return found


def score(asked: str, name: str) -> float:
    """How well a normalised name answers normalised words, 0 to 100: letter by letter or word by word."""
    whole = similarity(asked, name)
    mine, its = asked.split(), name.split()
    if len(mine) == 1 and len(its) == 1:
        return whole
    matched = sum(max(similarity(word, other) for other in its) for word in mine) / len(mine)
    covered = min(1.0, len(mine) / len(its))
    return max(whole, matched * (0.7 + 0.25 * covered))


def suggest(
    database: sqlite3.Connection,
    meanings: Callable[[str], Iterable[Name]],
    text: str,
    most: int,
    also: Iterable[tuple[str, Name]] = (),
) -> tuple[tuple[str, Name, float], ...]:
    """The nearest names of the database, each substance or mixture once.

    meanings: what a normalised name of it stands for; also: further normalised names with what they stand for.
    """
    asked = normalise(text)
    if not asked or most < 1:
        return ()
    shared: Counter[int] = Counter()
    wanted = sorted(grams(asked))
    marks = ", ".join("?" * len(wanted))
    for (raw,) in database.execute(f"SELECT numbers FROM grams WHERE gram IN ({marks})", wanted):
        numbers = array("I")
        numbers.frombytes(raw)
        shared.update(numbers)
    # Most shared runs first, then the lower number: names are numbered in alphabetical order.
    best = sorted(shared.items(), key=lambda item: (-item[1], item[0]))[:FETCHED]
    marks = ", ".join("?" * len(best))
    sql = f"SELECT n, key FROM keys WHERE n IN ({marks})"
    fetched = database.execute(sql, [n for n, _ in best]).fetchall()
    # Of those, the ones whose runs are mostly shared (Dice's coefficient) are compared letter by letter.
    fetched.sort(key=lambda row: (-2 * shared[row[0]] / (len(wanted) + len(grams(row[1]))), row[0]))
    rows: list[tuple[str, Name]] = list(also)
    for _, key in fetched[:CANDIDATES]:
        rows += [(key, name) for name in meanings(key)]
    ranked = sorted((-score(asked, key), len(key), key, name.kind, name.id, name.written) for key, name in rows)
    found: list[tuple[str, Name, float]] = []
    seen: set[tuple[str, str]] = set()
    for points, _, _, kind, id, written in ranked:
        if -points < WORST or len(found) == most:
            break
        if (kind, id) not in seen:
            seen.add((kind, id))
            found.append((written, Name(kind, id, written), round(-points, 1)))
    return tuple(found)
