"""The captured output in README.md: `python tests/readme_blocks.py` writes it anew; a test checks that it is true."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
README = ROOT / "README.md"
BLOCK = re.compile(r"^```console\n(.*?)^```$", re.M | re.S)
CUT = re.compile(r"\s*\|\s*(head|tail) -(\d+)\s*$")


def captured(command: str) -> str:
    """What a command line of the README prints at 80 columns."""
    cut = CUT.search(command)
    words = shlex.split(CUT.sub("", command))
    env = {**os.environ, "COLUMNS": "80", "PYTHONIOENCODING": "utf-8", "NO_COLOR": "1"}
    done = subprocess.run(
        [sys.executable, "-m", "choosemethod", *words[1:]],
        cwd=ROOT,
        env=env,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    if not done.stdout:
        raise RuntimeError(f"{command}: {done.stderr}")
    lines = [line.rstrip() for line in done.stdout.rstrip("\n").split("\n")]
    if cut is not None:
        count = int(cut[2])
        lines = lines[:count] if cut[1] == "head" else lines[-count:]
    return "\n".join(lines).rstrip()


def filled(text: str) -> str:
    """README text with the output of every command in its console blocks."""

    def block(match: re.Match[str]) -> str:
        commands = [line[2:] for line in match[1].split("\n") if line.startswith("$ ")]
        return "```console\n" + "\n\n".join(f"$ {command}\n{captured(command)}" for command in commands) + "\n```"

    return BLOCK.sub(block, text)


if __name__ == "__main__":
    README.write_text(filled(README.read_text(encoding="utf-8")), encoding="utf-8")
