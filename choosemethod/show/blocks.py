"""The blocks a page is made of: what is said and in what order, without how any form of output draws it.

Every text in a block is plain: no markup of any kind, no control characters (see `clean`).
"""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["Block", "Flow", "FlowProduct", "FlowStep", "Heading", "Pairs", "Para", "Points", "clean", "sentence"]


class Heading(NamedTuple):
    """The title of a section; a minor one belongs to the section before it."""

    text: str
    minor: bool = False


class Para(NamedTuple):
    """A paragraph with a label in front of it, if there is one. mark: verdict, danger, care, note, faint or ""."""

    text: str
    label: str = ""
    mark: str = ""


class Points(NamedTuple):
    """A list of texts; numbered ones are done in that order."""

    items: tuple[str, ...]
    numbered: bool = False


class Pairs(NamedTuple):
    """Rows of a name and what is said of it."""

    rows: tuple[tuple[str, str], ...]


class FlowProduct(NamedTuple):
    """A product of a step: what it is, what becomes of it in words, and the step that takes it on (0: none)."""

    text: str
    fate: str = ""
    to: int = 0


class FlowStep(NamedTuple):
    """A step of a flow."""

    number: int
    text: str
    products: tuple[FlowProduct, ...]


class Flow(NamedTuple):
    """A plan: the mixture it starts from and its steps, each with the products it gives."""

    start: str
    steps: tuple[FlowStep, ...]


Block = Heading | Para | Points | Pairs | Flow

# Control characters and marks that turn the direction of writing round: in a terminal they could hide or forge text.
_UNSAFE = dict.fromkeys((*range(32), *range(127, 160), *range(8234, 8239), *range(8294, 8298)), "�")
_UNSAFE.update({ord("\n"): " ", ord("\t"): " ", ord("\r"): " ", 0x85: " ", 0x2028: " ", 0x2029: " "})


def clean(text: str) -> str:
    """The text on one line, without anything a terminal would obey; halves of characters become a replacement mark."""
    if text.isascii() and text.isprintable():
        return text
    text = text.translate(_UNSAFE)
    return text.encode("utf-8", "replace").decode() if any("\ud800" <= letter <= "\udfff" for letter in text) else text


def sentence(text: str) -> str:
    """The text as a sentence: a capital if it begins with an ordinary word, and a full stop if it has no end."""
    text = text.strip()
    if not text:
        return ""
    first = text.split(None, 1)[0].rstrip(",:;.!?").partition("(")[0]  # "copper(II)" is an ordinary word
    if first.isalpha() and first.islower():
        text = text[0].upper() + text[1:]
    return text if text[-1] in ".!?:" else text + "."
