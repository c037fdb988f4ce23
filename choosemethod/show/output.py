"""Standard output and standard error: whole texts, in characters the terminal has, quiet when the reader goes away."""

from __future__ import annotations

import os
import sys
from typing import TextIO

__all__ = ["OutputError", "fitting", "say", "write"]

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
    """Standard output cannot take the answer (a full disk); `str()` says why."""


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
    """Write a whole text to standard output. Quiet if nobody reads any more; OutputError if it cannot be written."""
    if sys.stdout is None:
        return
    try:
        sys.stdout.write(fitting(text, encoding_of(sys.stdout)))
        sys.stdout.flush()
    except BrokenPipeError:
        silence()
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
