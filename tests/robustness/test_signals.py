"""Ctrl-C and SIGTERM at any moment: the exit code says so, nothing is printed about it, nothing is left behind."""

from __future__ import annotations

import contextlib
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from .test_output import PAIRS, environment
from .texts import times

# Says that the interpreter has started, which no program can do anything about, and goes on as the console script does.
START = "import os; os.write({ready}, b'x'); os.close({ready}); from choosemethod.program import run; run()"

COMMANDS = [
    ["sand, salt, iron filings and ammonium chloride"],
    ["advise", "acetone and water", "--format", "json"],
    ["calculate"],
    ["table", "acetone"],
    ["techniques", "filtration"],
    ["rules"],
    ["check", "sheet.csv", "--format", "csv", "--output", "marked.csv", "--jobs", "2"],
    ["check", "sheet.csv", "--jobs", "1"],
    ["quiz", "--count", "6", "--output", "quiz.txt"],
    ["handout", "sand and salt", "--output", "sheet.md"],
]


def begun(argv: list[str], folder: Path, fresh: bool) -> subprocess.Popen[bytes]:
    """The program, from the moment its interpreter has started. fresh: nothing is in the cache."""
    ready, write = os.pipe()
    variables = environment(**({"XDG_CACHE_HOME": str(folder / "cache")} if fresh else {}))
    process = subprocess.Popen(
        [sys.executable, "-c", START.format(ready=write), *argv],
        env=variables,
        cwd=folder,
        pass_fds=[write],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    )
    os.close(write)
    os.read(ready, 1)
    os.close(ready)
    return process


@pytest.mark.skipif(os.name != "posix", reason="signals of another kind")
def test_signals_at_random_moments(home: Path) -> None:
    rows = "".join(f"{pair},filtration\n" for pair in PAIRS)
    (home / "sheet.csv").write_text("Mixture,Answer\n" + rows)
    (home / "marked.csv").write_text("before")
    chance = random.Random(12)
    ended = 0
    for number in range(times("signals", 10)):
        argv = COMMANDS[number % len(COMMANDS)]
        which = chance.choice([signal.SIGINT, signal.SIGTERM])
        process = begun(argv, home, fresh=chance.random() < 0.4)
        time.sleep(0.06 + chance.random() ** 2 * 2.5)
        to_all = which is signal.SIGINT and chance.random() < 0.5  # as the terminal does it
        with contextlib.suppress(ProcessLookupError):
            (os.killpg if to_all else os.kill)(process.pid, which)
        out, err = process.communicate(timeout=60)  # ends only when nobody holds the pipe any more
        said = (number, argv, which, process.returncode, err)
        if process.returncode in (0, 1) and b"Traceback" not in err:
            ended += 1  # it was ready before the signal came
        else:
            # SIGTERM before the program has had a turn to watch for it ends it too: a shell counts that the same.
            ends = (128 + which, -which) if which is signal.SIGTERM else (128 + which,)
            assert process.returncode in ends, said
            assert err == b"", said
        assert b"Traceback" not in err + out, said
        left = [path for path in home.rglob("*") if path.name.startswith(".choosemethod")]
        assert not left, (said, left)
        assert (home / "marked.csv").read_text() == "before" or (home / "marked.csv").read_text().count("\n") == 51, (
            said
        )
        with pytest.raises(ProcessLookupError):
            os.killpg(process.pid, 0)  # no process of its group is left
    assert ended < times("signals", 10)
