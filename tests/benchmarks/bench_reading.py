"""How long a question takes to read, warm, against its whole answer and against its length. Run by hand.

The questions are those of tests/asked, as really asked. Printed: the median time of reading; what share of a whole answer
it is; and, by length in words, the time for one word against that of the shortest questions (1 is linear in the text).

python tests/benchmarks/bench_reading.py [EVERY]   asks every EVERY-th question (5)
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

import yaml

from choosemethod import advise
from choosemethod.advice.ask import opened
from choosemethod.errors import ChooseMethodError
from choosemethod.reading import read_words

ASKED = Path(__file__).parents[1] / "asked"
LENGTHS = (12, 23, 45, 90, 100_000)  # words
REPEATS = 3


def main(every: int) -> None:
    table, _ = opened()
    texts = [one["mixture"] for path in sorted(ASKED.glob("*.yaml")) for one in yaml.safe_load(path.read_text("utf-8"))]
    read: dict[int, list[float]] = {length: [] for length in LENGTHS}
    shares = []
    for text in texts[::every]:
        try:
            read_words(text, table)
            taken = []
            for _ in range(REPEATS):
                began = time.perf_counter()
                read_words(text, table)
                taken.append(time.perf_counter() - began)
            began = time.perf_counter()
            advise(text)
        except ChooseMethodError:
            continue
        reading, answering = statistics.median(taken), time.perf_counter() - began
        words = len(text.split())
        read[next(length for length in LENGTHS if words <= length)].append(reading / words)
        shares.append((reading, reading / answering))
    print(f"{len(shares)} questions: reading {1000 * statistics.median(one for one, _ in shares):.2f} ms (median)")
    print(f"its share of the whole: {100 * statistics.median(share for _, share in shares):.0f} % (median)")
    first = None
    for length, per_word in read.items():
        if per_word:
            median = statistics.median(per_word)
            first = first or median
            print(f"up to {length:6} words: {len(per_word):4} questions, {median / first:.2f} times as long a word")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
