"""Questions and answers in running text (.docx paragraphs, Markdown without a table) read as the rows of a worksheet.

A paragraph begins with a label that is a known heading ("Answer:", "Reason:", "Marks:"), "Q" or "A", or with the number
of a question ("3. sand and salt"); what follows without a label belongs to the paragraph before.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence

__all__ = ["read_prose"]

_NUMBER = re.compile(r"^\s*(?:[-*#>]+\s*)?(?:\*\*)?(?P<number>\d{1,4})\s*[.):]\s*(?P<rest>\S.*)$")
_LABEL = re.compile(
    r"^\s*(?:[-*#>]+\s*)?(?:\*\*)?(?P<label>[^\W\d_][\w ]{0,28}?)"
    r"\s*\d{0,4}\s*(?:\*\*)?\s*[:.)]\s*(?:\*\*)?\s*(?P<rest>.*)$"
)
_SHORT = {"q": "question", "a": "answer"}


def read_prose(
    paragraphs: Iterable[tuple[int, str]], known: Callable[[Sequence[str]], int]
) -> tuple[list[str], list[tuple[int, dict[str, str]]]]:
    """The headings found, and the rows as (place of the first paragraph, heading -> text); no rows if it is no such text."""
    headings: list[str] = []
    rows: list[tuple[int, dict[str, str]]] = []
    last = ""
    for place, text in paragraphs:
        text = text.strip()
        if not text:
            continue
        numbered, labelled = _NUMBER.match(text), _LABEL.match(text)
        label, rest = "", text
        if numbered is not None:
            rest = numbered["rest"].strip()
            inner = _LABEL.match(rest)
            label = "question"
            if inner is not None and _heading(inner["label"], known):
                label, rest = _heading(inner["label"], known), inner["rest"]
        elif labelled is not None and _heading(labelled["label"], known):
            label, rest = _heading(labelled["label"], known), labelled["rest"]
        if not label:
            if last and rows:
                rows[-1][1][last] = f"{rows[-1][1][last]} {text}".strip()
            continue
        if not rows or label in rows[-1][1]:
            rows.append((place, {}))
        if label not in headings:
            headings.append(label)
        rows[-1][1][label] = rest.strip().strip("*").strip()
        last = label
    return (headings, rows) if len(headings) > 1 else ([], [])


def _heading(label: str, known: Callable[[Sequence[str]], int]) -> str:
    """The heading a label stands for, "" if it is none that is known."""
    plain = " ".join(label.lower().split())
    plain = _SHORT.get(plain, plain)
    return plain if known([plain]) else ""
