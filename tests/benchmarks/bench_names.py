"""Time of looking up names in a table of 10,000 substances against one of 500: the ratio must stay below 1.2.

Run it as a program: python tests/benchmarks/bench_names.py
"""

from __future__ import annotations

import os
import random
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

SYLLABLES = [consonant + vowel for consonant in "bdklmn" for vowel in "aeiou"]
PROPERTIES = "boiling_point: {form: range, dimension: temperature, meaning: boiling point}\n"


def write_table(folder: Path, size: int) -> list[list[str]]:
    """A table of so many made-up substances with five names each; gives the names of each substance."""
    pick = random.Random(size)
    folder.mkdir(parents=True)
    (folder / "properties.yaml").write_text(PROPERTIES)
    (folder / "sources.yaml").write_text("memory: {title: made up for the benchmark, kind: memory}\n")
    names: list[list[str]] = []
    for part in range(0, size, 500):
        lines: list[str] = []
        for number in range(part, min(part + 500, size)):
            stem = "".join(pick.choices(SYLLABLES, k=4)) + f" {number}"
            also = [f"{stem} {word}" for word in ("powder", "crystals", "oxide")]
            lines.append(f"s-{number}: {{name: {stem}, also: [{', '.join(also)}], kind: salt, phase: solid,")
            lines.append(f"  boiling_point: {{is: {100 + number % 300} °C, source: memory}}}}")
            names.append([stem, *also, f"s {number}"])
        (folder / f"group-{part}").mkdir()
        (folder / f"group-{part}" / "all.yaml").write_text("\n".join(lines), encoding="utf-8")
    return names


def main() -> int:
    """Print the time of one look-up (name and substance) in each table and their ratio; 1 if it is above 1.2."""
    from choosemethod.table import open_table

    with tempfile.TemporaryDirectory() as place:
        os.environ["XDG_CACHE_HOME"] = os.path.join(place, "cache")
        os.environ["XDG_CONFIG_HOME"] = os.path.join(place, "config")
        asked: dict[int, list[str]] = {}
        for size in (500, 10_000):
            pick = random.Random(1)
            entries = write_table(Path(place, str(size), "substances"), size)
            # One name of each of 400 different substances, so that no answer is remembered from the one before.
            asked[size] = [pick.choice(entry) for entry in pick.sample(entries, 400)]
            open_table(folder=Path(place, str(size), "substances"))
        times: dict[int, list[float]] = {500: [], 10_000: []}
        for _ in range(15):  # in turn, so that what else the machine does falls on both
            for size, names in asked.items():
                table = open_table(folder=Path(place, str(size), "substances"))
                for name in names[:200]:
                    table.name(name)
                start = time.perf_counter()
                for name in names[200:]:
                    found = table.name(name)
                    assert found is not None
                    table.substance(found.id)
                times[size].append((time.perf_counter() - start) / 200)
    small, large = (statistics.median(times[size]) for size in (500, 10_000))
    ratio = large / small
    print(f"one look-up: {small * 1e6:.1f} µs of 500 substances, {large * 1e6:.1f} µs of 10,000: ratio {ratio:.2f}")
    return 0 if ratio <= 1.2 else 1


if __name__ == "__main__":
    sys.exit(main())
