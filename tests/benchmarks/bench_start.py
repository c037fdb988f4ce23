"""Time of a cold answer against importing the libraries it stands on, as ratios measured in one run.

The yardstick is a process that imports experta, rich.console and yaml and nothing else (with the name of
`collections` that experta needs). An answer with two components may cost 2 times that, in the terminal and as JSON, one
with four 3 times.

Run it as a program: python tests/benchmarks/bench_start.py [RUNS]
Byte code is written to a folder of its own and everything is run once before it is measured, as on any second call.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
YARDSTICK = (
    "import collections, collections.abc; collections.Mapping = collections.abc.Mapping; "
    "import experta, rich.console, yaml"
)
ADVISE = "from choosemethod.cli import run; run()"
TWO, FOUR = "acetone and water", "sand, salt, iron filings and ammonium chloride"
# name, what is run, how many times the yardstick it may cost
CASES = [
    ("yardstick", ["-c", YARDSTICK], 1.0),
    ("two components, terminal", ["-c", ADVISE, TWO], 2.0),
    ("two components, JSON", ["-c", ADVISE, TWO, "--format", "json"], 2.0),
    ("four components, terminal", ["-c", ADVISE, FOUR], 3.0),
]


def seconds(arguments: list[str], environment: dict[str, str]) -> float:
    """Wall time of one process."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], env=environment, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - start


def main(runs: int) -> int:
    """Print the median and the least time of each case and their ratios; 1 if a ratio of medians is too large."""
    with tempfile.TemporaryDirectory() as place:
        environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
        environment.update(
            PYTHONPATH=str(ROOT),
            PYTHONPYCACHEPREFIX=os.path.join(place, "bytecode"),
            XDG_CACHE_HOME=os.path.join(place, "cache"),
            XDG_CONFIG_HOME=os.path.join(place, "config"),
        )
        times: dict[str, list[float]] = {name: [] for name, _, _ in CASES}
        for _ in range(2):  # makes byte code and caches; a file changed just now is trusted after 2 s only
            for _, arguments, _ in CASES:
                seconds(arguments, environment)
            time.sleep(2.1)
        for _ in range(runs):  # in turn, so that what else the machine does falls on all
            for name, arguments, _ in CASES:
                times[name].append(seconds(arguments, environment))
    usual = statistics.median(times["yardstick"])
    least = min(times["yardstick"])
    late = False
    for name, _, most in CASES:
        median, best = statistics.median(times[name]), min(times[name])
        late = late or median / usual > most
        print(
            f"{name:28} median {1000 * median:6.1f} ms, least {1000 * best:6.1f} ms; "
            f"ratio {median / usual:.2f} (least {best / least:.2f}), at most {most:g}"
        )
    return int(late)


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 15))
