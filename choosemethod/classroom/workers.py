"""Checking rows in several processes: rows of one question go to the same one, so that it is planned once.

Each process has a pipe of its own and nothing else in common with this one: it ends when the pipe does, whatever became
of this process, and holds none of its output open. All have ended before the last row is given out.
"""

from __future__ import annotations

import os
import zlib
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from itertools import islice
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from choosemethod.classroom.readers import Row
from choosemethod.classroom.worksheet import Asked, Checked, Checker, Columns, Marked, asked_of
from choosemethod.ending import forget, undo_on_signal

__all__ = ["check_in_parallel"]

BLOCK = 400  # rows that are read before any of them is given out
WORTH = 24  # different questions in the first block from which processes pay
MOST = 16  # processes
LAST_WORK = 5.0  # s a process may take to end once its pipe has


def _serve(
    pipe: Connection,
    others: Sequence[Connection],
    extra: tuple[Path, ...],
    folder: Path | None,
    level: str,
    scheme: Path | None,
) -> None:
    """What a process does: marks for every list of rows that comes through the pipe, until it ends."""
    import signal

    for other in others:  # ends of this pipe and of other processes' that were open when this one was made
        other.close()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches every process; the first one ends the pipe
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    with suppress(OSError):
        nothing = os.open(os.devnull, os.O_RDWR)
        for number in (0, 1, 2):
            os.dup2(nothing, number)
        os.close(nothing)
    with suppress(EOFError, OSError):
        asked: Sequence[Asked] = pipe.recv()
        checker = Checker(extra, folder, level, scheme)
        while asked:
            pipe.send([checker.check(one) for one in asked])
            asked = pipe.recv()


class _Workers:
    """Some processes and their pipes."""

    def __init__(self, jobs: int, checker: Checker) -> None:
        self.pipes: list[Connection] = []
        self.processes: list[Any] = []
        context = get_context()
        self.number = undo_on_signal(self.kill)
        try:
            for _ in range(jobs):
                here, there = context.Pipe()
                self.pipes.append(here)
                others = tuple(self.pipes) if context.get_start_method() == "fork" else ()
                given = (there, others, checker.extra, checker.folder, checker.level, checker.scheme)
                process = context.Process(target=_serve, args=given, daemon=True)
                process.start()
                there.close()
                self.processes.append(process)
        except OSError:  # no more processes to be had
            self.end()

    def ask(self, work: Sequence[Sequence[Asked]]) -> dict[Asked, Marked]:
        """The marks of what each process is given; nothing of a process that has died."""
        running = []
        for pipe, part in zip(self.pipes, work, strict=False):
            with suppress(OSError, ValueError):
                if part:
                    pipe.send(part)
                    running.append((pipe, part))
        found: dict[Asked, Marked] = {}
        for pipe, part in running:
            with suppress(EOFError, OSError):
                found.update(zip(part, pipe.recv(), strict=True))
        return found

    def end(self) -> None:
        """End the pipes, and see every process end."""
        for pipe in self.pipes:
            pipe.close()
        for process in self.processes:
            process.join(LAST_WORK)
            if process.is_alive():
                process.kill()
                process.join()
        self.pipes, self.processes = [], []
        forget(self.number)

    def kill(self) -> None:
        """End every process at once."""
        for process in self.processes:
            if process.pid is not None:
                with suppress(OSError):
                    os.kill(process.pid, 9)


def check_in_parallel(rows: Iterable[Row], columns: Columns, checker: Checker, jobs: int = 0) -> Iterator[Checked]:
    """Check rows in order, with several processes where that pays. jobs: how many (0: one for each core, at most 4)."""
    jobs = min(jobs, MOST) if jobs > 0 else min(os.cpu_count() or 1, 4)
    source = iter(rows)
    block = list(islice(source, BLOCK))
    questions = {asked_of(row.cells, columns).question for row in block if not row.fault and not row.blank}
    if jobs < 2 or len(questions) < WORTH:
        yield from checker.check_rows(block, columns)
        if jobs < 2 or len(block) < BLOCK:
            yield from checker.check_rows(source, columns)
            return
        block = list(islice(source, BLOCK))
    workers = _Workers(jobs, checker)
    try:
        while block:
            found = _block(block, columns, checker, workers)
            block = list(islice(source, BLOCK))
            if not block:
                workers.end()
            yield from found
    finally:
        workers.end()


def _block(block: Sequence[Row], columns: Columns, checker: Checker, workers: _Workers) -> list[Checked]:
    count = len(workers.processes)
    work: list[dict[Asked, None]] = [{} for _ in range(count)]
    asked: list[Asked | None] = []
    for row in block:
        one = None if row.fault or row.blank else asked_of(row.cells, columns)
        asked.append(one)
        if one is not None and count:
            work[zlib.crc32("\0".join(one.question).encode("utf-8", "replace")) % count].setdefault(one)
    found = workers.ask([list(part) for part in work])
    return [
        checker.checked(row, columns) if one is None or one not in found else Checked(row, found[one])
        for row, one in zip(block, asked, strict=True)
    ]
