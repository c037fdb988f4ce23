"""Errors a user meets: each says what is wrong in one line and knows the exit code of the command that stops on it."""

from __future__ import annotations

__all__ = ["ChooseMethodError", "DataError", "UsageError"]


class ChooseMethodError(Exception):
    """Base class of every error this program raises on purpose; `exit_code` is what the command returns."""

    exit_code = 2


class DataError(ChooseMethodError):
    """A faulty data or rule file: where it is, what is wrong, and what to write instead.

    file: path as shown to the user; line: 1-based line number; wrong: what is wrong, without a full stop;
    write: text that would be right in its place. `str()` is one line.
    """

    exit_code = 5

    def __init__(self, file: str, line: int, wrong: str, write: str) -> None:
        self.file = file
        self.line = line
        self.wrong = " ".join(wrong.split()).rstrip(".")
        self.write = " ".join(write.split())
        super().__init__(f"{file}, line {line}: {self.wrong}. Write instead: {self.write}")

    def __reduce__(self) -> tuple[type[DataError], tuple[str, int, str, str]]:
        return type(self), (self.file, self.line, self.wrong, self.write)


class UsageError(ChooseMethodError):
    """A question or option that cannot be taken as it was given; the message says what to write instead."""

    exit_code = 2
