"""Rows per second of checking a worksheet at 250 and 1,000 rows, the ratio of the two, and the memory.

The rows are published questions with accepted and wrong answers (tests/classroom/published_questions.yaml), repeated;
with the word "distinct" every row asks another question, so that nothing is planned once for several rows.
1,000 rows of the first kind must take at most 12 s on two cores, and four times the rows less than five times the time.

Run it as a program: python tests/benchmarks/bench_worksheet.py [distinct]
"""

from __future__ import annotations

import os
import resource
import sys
import time
from itertools import combinations, cycle, islice
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))

SOLIDS = (
    "salt", "sand", "sugar", "chalk", "sulfur", "iron filings", "iodine", "camphor", "naphthalene", "benzoic acid",
    "urea", "alum", "copper sulfate", "potassium nitrate", "ammonium chloride", "sawdust", "gravel", "rice",
    "copper powder", "zinc powder", "calcium carbonate", "barium sulfate", "magnesium sulfate", "sodium carbonate",
    "glucose", "starch", "charcoal", "clay", "lead chloride", "silver chloride", "copper oxide", "iron oxide",
    "aluminium powder", "wax", "polystyrene beads", "marbles", "tin", "magnesium oxide", "potassium chloride",
    "sodium nitrate", "salicylic acid", "aspirin", "caffeine", "citric acid", "oxalic acid",
)  # fmt: skip


def published() -> list[tuple[str, str, str, str]]:
    """(mixture, answer, wish, constraint) of every published answer, so that each stretch holds many questions."""
    from choosemethod.yamltext import read_yaml

    questions: Any = read_yaml(Path(__file__).parents[1] / "classroom" / "published_questions.yaml")
    rows = [
        (item["mixture"], answer, item.get("want", ""), item.get("setting", ""))
        for item in questions
        for answer in [*item["accept"], *(wrong["answer"] for wrong in item["wrong"])]
    ]
    return [row for start in range(7) for row in rows[start::7]]


def distinct() -> list[tuple[str, str, str, str]]:
    """As many different questions as pairs of solids."""
    return [(f"{a} and {b}", "dissolve, filter, evaporate", "", "") for a, b in combinations(SOLIDS, 2)]


def run(rows: list[tuple[str, str, str, str]], jobs: int) -> tuple[float, int]:
    """Seconds to check the rows and the number of those right or acceptable."""
    from choosemethod.classroom.readers import Row
    from choosemethod.classroom.workers import check_in_parallel
    from choosemethod.classroom.worksheet import Checker, Columns

    checker = Checker()
    columns = Columns({"mixture": 0, "answer": 1, "wish": 2, "constraint": 3})
    begin = time.perf_counter()
    found = [
        one.found.verdict
        for one in check_in_parallel((Row(n, str(n), row) for n, row in enumerate(rows, 1)), columns, checker, jobs)
        if one.found is not None
    ]
    return time.perf_counter() - begin, sum(verdict in ("right", "acceptable") for verdict in found)


def memory() -> float:
    """Largest memory of this process so far, in MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main() -> int:
    kind = sys.argv[1] if len(sys.argv) > 1 else "published"
    source = distinct() if kind == "distinct" else published()
    jobs = min(os.cpu_count() or 1, 2)
    run(source[:10], 1)  # what is read once a process
    times = {}
    for count in (250, 1000):
        rows = list(islice(cycle(source), count))
        seconds, fine = run(rows, jobs)
        times[count] = seconds
        asked = len({(row[0], *row[2:]) for row in rows})
        told = f"{count} rows, {asked} questions, {jobs} processes"
        print(f"{told}: {seconds:.2f} s, {count / seconds:.0f} rows/s, {fine} right or acceptable")
    before = memory()
    run(list(islice(cycle(source[:40]), 20_000)), 1)
    print(f"memory of one process: {before:.0f} MB; after 20,000 more rows {memory():.0f} MB")
    ratio = times[1000] / times[250]
    print(f"1,000 rows take {ratio:.2f} times as long as 250")
    return 0 if kind == "distinct" or (times[1000] <= 12 and ratio < 5) else 1


if __name__ == "__main__":
    raise SystemExit(main())
