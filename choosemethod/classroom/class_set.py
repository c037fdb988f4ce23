"""What a class's answers show together: the commonest wrong answers of each question, identical answers, what nobody gets."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable

from choosemethod.classroom.worksheet import Checked, Columns, Marked
from choosemethod.table.names import normalise

__all__ = ["ClassSet"]

_FINE = ("right", "acceptable")
_COMMONEST = 3
_LONG = 8  # words from which the same answer twice is worth a look


class ClassSet:
    """Counts over the rows of a worksheet that many have filled in."""

    def __init__(self) -> None:
        self.fine: Counter[str] = Counter()
        self.all: Counter[str] = Counter()
        self.wrong: dict[str, Counter[str]] = defaultdict(Counter)
        self.why: dict[tuple[str, str], Marked] = {}
        self.same: dict[tuple[str, str], list[str]] = defaultdict(list)

    def add(self, checked: Iterable[Checked], columns: Columns) -> ClassSet:
        """Count rows; returns itself."""
        for one in checked:
            if one.found is None:
                continue
            question, answer = (columns.cell(one.row.cells, role) for role in ("mixture", "answer"))
            self.all[question] += 1
            self.same[question, normalise(answer)].append(one.row.place)
            if one.found.verdict in _FINE:
                self.fine[question] += 1
            else:
                words = one.found.understood or answer
                self.wrong[question][words] += 1
                self.why.setdefault((question, words), one.found)
        return self

    @property
    def text(self) -> str:
        """The analysis in lines."""
        out: list[str] = []
        for question, count in self.all.items():
            out.append(f"{question}: {self.fine[question]} of {count} right")
            for words, times in self.wrong[question].most_common(_COMMONEST):
                found = self.why[question, words]
                believed = next((f"{c.text.strip()!r}: {c.found}" for c in found.claims if c.verdict == "false"), "")
                out.append(f"  {times} x {words or 'no technique'} ({found.verdict}): {believed or found.reason}")
        none = [question for question, count in self.all.items() if count > 1 and not self.fine[question]]
        if none:
            out.append(f"Nobody gets: {'; '.join(none)}")
        for (question, answer), places in self.same.items():
            if len(places) > 1 and len(answer.split()) >= _LONG:
                out.append(f"The same long answer to {question!r}: {', '.join(places)}")
        return "\n".join(out) + "\n"
