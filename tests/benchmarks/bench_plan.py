"""How long a plan takes, warm, for 2 to 8 components: medians of one run, and their ratios. Run by hand.

python tests/benchmarks/bench_plan.py
"""

from __future__ import annotations

import statistics
import time

from choosemethod.advice.ask import opened
from choosemethod.advice.compose import Composer
from choosemethod.reading import read_words

MIXTURES = (
    "sand and salt",
    "sand, salt and iron filings",
    "sand, salt, iron filings and ammonium chloride",
    "sand, salt, iron filings, ammonium chloride and gravel",
    "sand, salt, iron filings, ammonium chloride, gravel and sulfur",
    "sand, salt, iron filings, ammonium chloride, gravel, sulfur and sawdust",
    "sand, salt, iron filings, ammonium chloride, gravel, sulfur, sawdust and copper sulfate",
)
REPEATS = 9


def main() -> None:
    table, book = opened()
    first = None
    for words in MIXTURES:
        question = read_words(words, table)
        times = []
        for _ in range(REPEATS):
            began = time.perf_counter()
            composer = Composer(table, book, question)
            answer = composer.answer()
            times.append(time.perf_counter() - began)
        median = statistics.median(times[1:])
        first = first or median
        count = len(question.mixture.components)
        looked = len(composer.planner.looks)
        print(
            f"{count} components: {1000 * median:7.1f} ms, {median / first:5.1f} times two, "
            f"{looked} mixtures looked at, {len(answer.plan)} steps"
        )


if __name__ == "__main__":
    main()
