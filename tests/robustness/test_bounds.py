"""What is too long or too large is refused in one sentence; what is long but allowed keeps its bounds."""

from __future__ import annotations

import os
import sys
import zipfile
from collections.abc import Callable
from contextlib import AbstractContextManager
from functools import partial
from pathlib import Path

import pytest

from choosemethod import advise
from choosemethod.advice import compose, plan
from choosemethod.advice.ask import opened
from choosemethod.classroom.readers import open_sheet
from choosemethod.errors import UsageError
from choosemethod.mixture import MOST_COMPONENTS
from choosemethod.reading.question import MOST_WORDS, read_words

Bounded = Callable[[], AbstractContextManager[None]]


def names(count: int, **slots: str) -> list[str]:
    """Names of so many different substances of the table."""
    table, _ = opened()
    found = (table.substance(one) for one in table._thing("substances"))
    return [one.name for one in found if all(getattr(one, key) == value for key, value in slots.items())][:count]


def test_thirty_components_and_one_more(home: Path, bounded: Bounded) -> None:
    some = names(160, phase="solid", kind="mineral")
    with bounded(), pytest.raises(UsageError, match=f"at most {MOST_COMPONENTS}"):
        advise(", ".join(some[: MOST_COMPONENTS + 5]))
    with bounded(), pytest.raises(UsageError, match=f"at most {MOST_COMPONENTS}"):
        advise(", ".join(names(160)))


def test_named_mixtures_count_opened_up(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    parts = len(advise("sea water").components)
    monkeypatch.setattr(compose, "MOST_COMPONENTS", parts)
    assert advise("sea water").status == "answered"
    monkeypatch.setattr(compose, "MOST_COMPONENTS", parts - 1)
    with pytest.raises(UsageError, match=f"has {parts} components"):
        advise("sea water")


def test_a_search_is_cut_where_it_grows(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    question = "sand, salt, iron filings and ammonium chloride"
    whole = advise(question)
    monkeypatch.setattr(plan, "MOST_WORK", 0)
    cut = advise(question)
    assert whole.status == cut.status == "answered"
    assert cut.plan and set(cut.components) == set(whole.components)


@pytest.mark.parametrize("word", ["sand", "xyzzium", "and", "sand,", "(", "water"])
def test_as_many_words_as_may_be(home: Path, bounded: Bounded, word: str) -> None:
    table, _ = opened()
    with bounded():
        read_words(" ".join([word] * MOST_WORDS), table)
    with pytest.raises(UsageError, match=f"more than {MOST_WORDS} words"):
        read_words(" ".join([word] * (MOST_WORDS + 1)), table)


def test_look_ups_are_linear_in_the_text(home: Path) -> None:
    """Counted in calls made, which no load of the machine changes; of solids, so that no solute is asked in each liquid."""
    table, _ = opened()
    some = names(160, phase="solid")
    read_words(some[0], table)
    few, many = (calls_of(partial(read_words, ", ".join(some[:count]), table)) for count in (40, 160))
    assert many < 8 * few, (few, many)  # four times the text; sixteen times the calls if it were its square


def calls_of(work: Callable[[], object]) -> int:
    """How many calls of functions *work* makes, those of Python and those of C."""
    count = 0

    def counted(_frame: object, event: str, _arg: object) -> None:
        nonlocal count
        count += event in ("call", "c_call")

    before = sys.getprofile()
    sys.setprofile(counted)
    try:
        work()
    finally:
        sys.setprofile(before)
    return count


def test_sixty_thousand_rows_of_a_spreadsheet(home: Path, bounded: Bounded) -> None:
    """A sixth of the rows unless CHOOSEMETHOD_ROBUST is set."""
    import openpyxl

    many = 60_000 if os.environ.get("CHOOSEMETHOD_ROBUST") else 10_000
    path = home / "long.xlsx"
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet()
    sheet.append(["Mixture", "Answer"])
    for number in range(many):
        sheet.append([f"sand and water {number % 50}", "filter it"])
    book.save(path)
    assert zipfile.is_zipfile(path)
    from .conftest import _memory

    Path("/proc/self/clear_refs").write_text("5")
    before = _memory("VmRSS")
    with open_sheet(path, lambda heads: sum(head in ("Mixture", "Answer") for head in heads)) as found:
        assert sum(1 for _ in found.rows) == found.count == many
    assert _memory("VmHWM") - before < 100  # MB: the rows are never held together
