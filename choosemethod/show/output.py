"""Where texts go: standard output and standard error in characters the terminal has, and every file of `--output`.

A reader that goes away is no error. A file is whole or as it was before.
"""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import TextIO

from choosemethod.ending import forget, undo_on_signal
from choosemethod.errors import UsageError

__all__ = ["Out", "OutputError", "ReaderGone", "fitting", "output_to", "refuse_output", "say", "write"]

Out = Callable[[str], object]

# What is written instead of a sign that an output of few characters does not have.
_INSTEAD = {
    "°": " deg ",
    "µ": "u",
    "→": "->",
    "►": ">",
    "▼": "v",
    "├": "+",
    "└": "`",
    "─": "-",
    "│": "|",
    "–": "-",
    "—": "-",
    "−": "-",
    "“": '"',
    "”": '"',
    "‘": "'",
    "’": "'",
    "≥": ">=",
    "≤": "<=",
    "≈": "about ",
    "×": "x",
    "·": ".",
    "±": "+/-",
    "⇌": "<=>",
    "•": "-",
    "…": "...",
    "�": "?",
}


class OutputError(Exception):
    """The output cannot take the answer (a full disk); `str()` says why."""


class ReaderGone(Exception):
    """Nobody reads the output any more: whatever is still to be worked out for it need not be."""


def fitting(text: str, encoding: str) -> str:
    """The text in characters that `encoding` can write: 56 °C becomes 56 deg C, accents go, the rest is "?"."""
    try:
        text.encode(encoding)
        return text
    except UnicodeEncodeError:
        pass
    import unicodedata

    out = []
    for letter in text:
        plain = unicodedata.normalize("NFKD", letter).encode("ascii", "ignore").decode()
        for kind in (letter, _INSTEAD.get(letter, ""), plain, "?"):
            try:
                kind.encode(encoding)
            except UnicodeEncodeError:
                continue
            if kind:
                out.append(kind)
                break
    return "".join(out).replace("  deg ", " deg ")


def encoding_of(stream: TextIO | None) -> str:
    """The encoding of a stream; that of most terminals if it does not say."""
    return getattr(stream, "encoding", None) or "utf-8"


def write(text: str) -> None:
    """Write a whole text to standard output. ReaderGone if nobody reads any more, OutputError if it cannot be written."""
    if sys.stdout is None:
        return
    try:
        sys.stdout.write(fitting(text, encoding_of(sys.stdout)))
        sys.stdout.flush()
    except BrokenPipeError:
        silence()
        raise ReaderGone from None
    except OSError as error:
        silence()
        raise OutputError(error.strerror or str(error)) from None


def say(message: str) -> None:
    """Write one line to standard error, if there is one."""
    line = " ".join("".join(letter if letter.isprintable() else " " for letter in message).split())
    if sys.stderr is not None:
        try:
            sys.stderr.write(fitting(f"choosemethod: {line}\n", encoding_of(sys.stderr)))
            sys.stderr.flush()
        except OSError:
            pass


def silence() -> None:
    """Let whatever else goes to standard output go nowhere, so that closing it cannot fail."""
    try:
        handle = os.open(os.devnull, os.O_WRONLY)
        os.dup2(handle, sys.stdout.fileno())
        os.close(handle)
    except (OSError, ValueError, AttributeError):
        pass


@contextmanager
def output_to(
    output: str | os.PathLike[str] | None, what: str = "--output"
) -> Iterator[Callable[[str | bytes], object]]:
    """Where the text of a command goes; gives the function that writes it, text as UTF-8 and bytes as they are.

    output: a path (None: standard output). A regular file, or one that is not there yet, is complete at the end or as it
    was before; links are followed to it and its permissions stay. Anything else - a device, a pipe, /dev/stdout - is
    written straight. what: the option, for messages. Raises UsageError for what is no file that can be written,
    OutputError if writing fails half-way (a full disk), ReaderGone if a reader goes away.
    """
    if output is None:
        yield _standard
        return
    path = os.fspath(output)
    refuse_output(path, what)

    def put(text: str | bytes) -> None:
        with _told(path):
            file.write(text if isinstance(text, bytes) else text.encode("utf-8", "replace"))

    number, part = 0, ""
    try:
        try:
            straight, real, mode = _destination(path)
            if straight is None:
                part = os.path.join(os.path.dirname(real), f".choosemethod-{os.getpid()}-{os.urandom(6).hex()}.part")
                number = undo_on_signal(lambda: os.unlink(part))
                straight = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
            file = os.fdopen(straight, "wb")
        except OSError as error:
            raise UsageError(f"{path} cannot be written ({error.strerror or error}); name another file") from None
        try:
            yield put
        except BaseException:
            with suppress(OSError):  # what went wrong has been said; the rest in the buffer goes nowhere
                file.close()
            raise
        with _told(path):
            file.close()
            if part:
                if mode is not None:
                    os.chmod(part, mode)
                os.replace(part, real)
    finally:
        if part:
            forget(number)
            with suppress(OSError):
                os.unlink(part)


def refuse_output(output: str | os.PathLike[str] | None, what: str = "--output") -> None:
    """UsageError if this can be no output, before anything is worked out for it; see `output_to`."""
    if output is None:
        return
    path = os.fspath(output)
    if not path.strip() or "\0" in path:
        raise UsageError(f"{what} needs the name of a file, for example {what} answer.txt")
    wrong = ""
    if path.endswith(("/", os.sep)) or os.path.isdir(path):
        wrong = "it is a folder"
    elif _handle_of(path) is None and not os.path.isdir(os.path.dirname(os.path.realpath(path))):
        wrong = "there is no such folder"
    if wrong:
        raise UsageError(f"{path} cannot be written ({wrong}); name another file")


def _standard(text: str | bytes) -> None:
    write(text if isinstance(text, str) else text.decode("utf-8", "replace"))


@contextmanager
def _told(path: str) -> Iterator[None]:
    """What goes wrong while a file is written, as errors of this module."""
    try:
        yield
    except BrokenPipeError:
        raise ReaderGone from None
    except OSError as error:
        raise OutputError(f"{path}: {error.strerror or error}") from None


def _destination(path: str) -> tuple[int | None, str, int | None]:
    """The open handle of what is written straight, None for a file; then the file's path without links, and the
    permissions it has, None if it is new.
    """
    number = _handle_of(path)
    if number is not None:
        return os.dup(number), path, None
    found = None
    with suppress(FileNotFoundError):
        found = os.stat(path)
    if found is not None and not stat.S_ISREG(found.st_mode):
        return os.open(path, os.O_WRONLY), path, None
    if found is not None and not os.access(path, os.W_OK):
        raise PermissionError(13, "Permission denied")
    return None, os.path.realpath(path), None if found is None else stat.S_IMODE(found.st_mode)


def _handle_of(path: str) -> int | None:
    """The number of the open file that a name such as /dev/stdout or /dev/fd/3 stands for, None for any other name.

    What is opened already must not be replaced or begun anew: a shell may append to it.
    """
    for name, number in (("/dev/stdout", 1), ("/dev/stderr", 2)):
        if path == name:
            return number
    for folder in ("/dev/fd/", "/proc/self/fd/"):
        if path.startswith(folder) and path[len(folder) :].isdecimal():
            return int(path[len(folder) :])
    return None
