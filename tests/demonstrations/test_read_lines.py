"""What was found at fault when answers were read line by line (read-lines.yaml) is printed no more."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Any

import pytest
import yaml

from choosemethod import advise
from choosemethod.show.words import render_words

READ: list[dict[str, Any]] = yaml.safe_load(Path(__file__).with_name("read-lines.yaml").read_text(encoding="utf-8"))
# a line quoted as it was printed; with a remark in brackets it is told in short
QUOTED = [one for one in READ if one["verdict"] == "good" and any("(" not in line for line in one.get("lines", ()))]


@pytest.mark.parametrize("one", QUOTED, ids=lambda one: str(one["question"]))
def test_a_mended_line_stays_away(one: dict[str, Any]) -> None:
    words, *options = shlex.split(one["question"])
    pairs = dict(zip([option.lstrip("-") for option in options[::2]], options[1::2], strict=False))
    said = " ".join(render_words(advise(words, **pairs)).lower().split())
    for line in one["lines"]:
        assert "(" in line or line.lower() not in said, line


def test_the_verdicts() -> None:
    """Each fault that was found says what was done about it."""
    verdicts = [one["verdict"] for one in READ]
    assert set(verdicts) <= {"good", "usable", "poor", "wrong"}
    assert all(one.get("mended") for one in READ if one.get("lines"))
