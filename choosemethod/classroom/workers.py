"""Checking rows in several processes: rows of one question go to the same one, so that it is planned once."""

from __future__ import annotations

import os
import zlib
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, Future, ProcessPoolExecutor
from itertools import islice
from pathlib import Path

from choosemethod.classroom.readers import Row
from choosemethod.classroom.worksheet import Asked, Checked, Checker, Columns, Marked, asked_of

__all__ = ["check_in_parallel"]

BLOCK = 400  # rows that are read before any of them is given out
WORTH = 24  # different questions in the first block from which processes pay

_checker: Checker | None = None


def _begin(extra: tuple[Path, ...], folder: Path | None, level: str) -> None:
    global _checker
    _checker = Checker(extra, folder, level)


def _check(asked: Sequence[Asked]) -> list[Marked]:
    assert _checker is not None
    return [_checker.check(one) for one in asked]


def check_in_parallel(rows: Iterable[Row], columns: Columns, checker: Checker, jobs: int = 0) -> Iterator[Checked]:
    """Check rows in order, with several processes where that pays. jobs: how many (0: one for each core, at most 4)."""
    jobs = jobs or min(os.cpu_count() or 1, 4)
    source = iter(rows)
    block = list(islice(source, BLOCK))
    questions = {asked_of(row.cells, columns).question for row in block if not row.fault and not row.blank}
    if jobs < 2 or len(questions) < WORTH:
        yield from checker.check_rows(block, columns)
        if jobs < 2 or len(block) < BLOCK:
            yield from checker.check_rows(source, columns)
            return
        block = list(islice(source, BLOCK))
    level = checker.level
    pools = [
        ProcessPoolExecutor(1, initializer=_begin, initargs=(checker.extra, checker.folder, level)) for _ in range(jobs)
    ]
    try:
        while block:
            yield from _block(block, columns, checker, pools)
            block = list(islice(source, BLOCK))
    finally:
        for pool in pools:
            pool.shutdown(wait=False, cancel_futures=True)


def _block(
    block: Sequence[Row], columns: Columns, checker: Checker, pools: Sequence[ProcessPoolExecutor]
) -> list[Checked]:
    work: list[dict[Asked, None]] = [{} for _ in pools]
    asked: list[Asked | None] = []
    for row in block:
        one = None if row.fault or row.blank else asked_of(row.cells, columns)
        asked.append(one)
        if one is not None:
            work[zlib.crc32("\0".join(one.question).encode("utf-8", "replace")) % len(pools)].setdefault(one)
    try:
        running: list[tuple[list[Asked], Future[list[Marked]]]] = [
            (list(part), pool.submit(_check, list(part))) for part, pool in zip(work, pools, strict=True) if part
        ]
        found = {one: marked for part, future in running for one, marked in zip(part, future.result(), strict=True)}
    except (BrokenExecutor, OSError):  # no processes to be had: go on in this one
        found = {}
    return [
        checker.checked(row, columns) if one is None or one not in found else Checked(row, found[one])
        for row, one in zip(block, asked, strict=True)
    ]
