"""Errors a user meets: each says what is wrong in one line and knows the exit code of the command that stops on it."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["ChooseMethodError", "DataError", "NotKnown", "UsageError"]


class ChooseMethodError(Exception):
    """Base class of every error this program raises on purpose; `exit_code` is what the command returns."""

    exit_code = 2


class DataError(ChooseMethodError):
    """A faulty data or rule file, or several faults of one reading: where, what is wrong, and what to write instead.

    file: path as shown to the user; line: 1-based line number; wrong: what is wrong, without a full stop;
    write: text that would be right in its place; faults: every fault, this one first (just this one as a rule).
    `str()` is one line a fault.
    """

    exit_code = 5
    most_shown = 50  # faults a message spells out; the rest are counted

    def __init__(self, file: str, line: int, wrong: str, write: str, more: Sequence[DataError] = ()) -> None:
        self.file = file
        self.line = line
        self.wrong = " ".join(wrong.split()).rstrip(".")
        self.write = " ".join(write.split())
        self.faults: tuple[DataError, ...] = (self, *more)
        super().__init__(file, line, wrong, write, more)

    @classmethod
    def of(cls, faults: Sequence[DataError]) -> DataError:
        """One error for several faults (at least one): its attributes are those of the first, its text lists all."""
        first, *more = faults
        return cls(first.file, first.line, first.wrong, first.write, more) if more else first

    def lines(self) -> list[str]:
        """One line a fault; beyond `most_shown` they are counted."""
        shown = [f"{one.file}, line {one.line}: {one.wrong}. Write instead: {one.write}" for one in self.faults]
        rest = len(shown) - self.most_shown
        return shown if rest <= 0 else [*shown[: self.most_shown], f"and {rest} more faults like these"]

    def __str__(self) -> str:
        return "\n".join(self.lines())

    def __reduce__(self) -> tuple[type[DataError], tuple[str, int, str, str, tuple[DataError, ...]]]:
        return type(self), (self.file, self.line, self.wrong, self.write, self.faults[1:])


class NotKnown(ChooseMethodError):
    """A substance or mixture that is not known; `str()` names it and what is near."""

    exit_code = 3


class UsageError(ChooseMethodError):
    """A question or option that cannot be taken as it was given; the message says what to write instead."""

    exit_code = 2
