"""The invariants of tests/advice/invariants.py over every pair of substances, on all cores; some hours' work for one.

python tests/benchmarks/every_pair.py [--every N] [--first N]   every Nth pair, beginning with the Nth (all: 1, 0)

Prints each fault as it is found and, at the end, how many pairs were asked and the slowest. Exit code 1 if there is a fault.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterator
from multiprocessing import Pool, cpu_count
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from advice.invariants import faults, pairs, question_of_pair

from choosemethod.rulebook import Rulebook, open_rulebook
from choosemethod.table.table import Table, open_table

BLOCK = 2000  # pairs handed to a process at a time
_opened: tuple[Table, Rulebook] | None = None
_seen: set[tuple[str, str, str]] = set()


def asked(some: list[tuple[str, str]]) -> tuple[int, list[str], tuple[float, str]]:
    """Ask some pairs: how many, the faults, and the slowest with its seconds."""
    global _opened
    if _opened is None:
        table = open_table()
        _opened = table, open_rulebook(table)
    table, book = _opened
    found, slowest = [], (0.0, "")
    for first, second in some:
        began = time.perf_counter()
        try:
            wrong = faults(table, book, question_of_pair(table, first, second), _seen)
        except Exception as error:  # a traceback is a fault like another, and the run goes on
            wrong = [repr(error)]
        slowest = max(slowest, (time.perf_counter() - began, f"{first} and {second}"))
        found += [f"{first} and {second}: {fault}" for fault in wrong]
    return len(some), found, slowest


def blocks(every: list[tuple[str, str]]) -> Iterator[list[tuple[str, str]]]:
    """The pairs in blocks."""
    for start in range(0, len(every), BLOCK):
        yield every[start : start + BLOCK]


def main() -> int:
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("--every", type=int, default=1)
    reader.add_argument("--first", type=int, default=0)
    given = reader.parse_args()
    every = pairs(open_table())[given.first :: given.every]
    began = time.perf_counter()
    done, wrong, slowest = 0, 0, (0.0, "")
    with Pool(cpu_count()) as pool:
        for count, found, slow in pool.imap_unordered(asked, blocks(every)):
            done, wrong, slowest = done + count, wrong + len(found), max(slowest, slow)
            for fault in found:
                print(fault, flush=True)
            print(f"{done} of {len(every)} pairs, {wrong} faults", file=sys.stderr, flush=True)
    minutes = (time.perf_counter() - began) / 60
    print(f"{done} pairs in {minutes:.1f} min, {wrong} faults; slowest: {slowest[1]}, {slowest[0]:.2f} s")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
