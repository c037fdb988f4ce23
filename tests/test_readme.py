"""The README is true: every captured output is what the command prints, and both one-line commands are there."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
spec = importlib.util.spec_from_file_location("readme_blocks", ROOT / "tests" / "readme_blocks.py")
assert spec is not None
assert spec.loader is not None
readme_blocks = importlib.util.module_from_spec(spec)
sys.modules["readme_blocks"] = readme_blocks
spec.loader.exec_module(readme_blocks)


def test_every_captured_output_is_what_the_command_prints(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.delenv("CHOOSEMETHOD_DEBUG", raising=False)
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert text.count("```console") >= 5
    assert readme_blocks.filled(text) == text, "run python tests/readme_blocks.py"


def test_the_job_stands_at_the_top_and_each_command_is_one_line() -> None:
    lines = (ROOT / "README.md").read_text(encoding="utf-8").split("\n")
    assert lines[0] == "# choosemethod"
    assert "separation technique" in lines[2]
    commands = [line for line in lines if line.startswith("python3 -m venv")]
    assert len(commands) == 2
    assert all("pip" in command for command in commands)
