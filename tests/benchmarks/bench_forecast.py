"""Time of a warm answer on a pair of liquids with its forecasts against one without: the ratio must stay below 1.5.

Run it as a program: python tests/benchmarks/bench_forecast.py
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

PAIRS = ("acetone and water", "benzene and toluene", "ethanol and water", "methanol and toluene")
MOST = 1.5


def main() -> int:
    """Print the median times in one run and their ratio; 1 if the ratio is above 1.5."""
    from choosemethod.advice.ask import answer, opened
    from choosemethod.reading import read_words

    table, book = opened()
    forecasts = book.forecasts
    questions = [read_words(words, table) for words in PAIRS]
    times: dict[str, list[float]] = {"without": [], "with": []}
    for round_ in range(25):  # in turn, so that what else the machine does falls on both
        for kind, kinds in (("without", {}), ("with", forecasts)):
            book.forecasts = kinds
            began = time.perf_counter()
            for question in questions:
                found = answer(table, book, question)
                assert bool(found.plan[0].forecast) == (kind == "with")
            if round_ >= 3:
                times[kind].append((time.perf_counter() - began) / len(questions))
    book.forecasts = forecasts
    without, whole = (statistics.median(times[kind]) for kind in ("without", "with"))
    print(
        f"warm answer without forecasts {1e3 * without:.2f} ms, with {1e3 * whole:.2f} ms, ratio {whole / without:.2f}"
    )
    return 1 if whole > MOST * without else 0


if __name__ == "__main__":
    sys.exit(main())
