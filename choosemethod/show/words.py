"""The page in plain words for a screen reader: one thought a line, no drawing, no signs that are read out oddly."""

from __future__ import annotations

import re
from collections.abc import Iterable

from choosemethod.advice.answer import Advice
from choosemethod.show.blocks import Block, Heading, Pairs, Para, Points, sentence
from choosemethod.show.flow import flow_sentences
from choosemethod.show.page import page

__all__ = ["render_words", "words_of"]

_SPOKEN = {
    "→": " gives ",
    "⟶": " gives ",
    "⇌": " is in balance with ",
    "≥": " at least ",
    "≤": " at most ",
    "≈": " about ",
    "−": "-",
    "–": "-",
    "—": ", ",
    "“": '"',
    "”": '"',
    "’": "'",
    "×": " times ",
}
_TABLE = str.maketrans(_SPOKEN)
_SUM = re.compile(
    r" \+ (?=(?:[^+;(),—]|\([IVX]+\))*(?:[^+;(),—\s]|\([IVX]+\)) \+ )"
)  # every plus of a sum but the last


def render_words(advice: Advice, *, full: bool = False, trace: bool = False) -> str:
    """An answer in plain words; see `choosemethod.show.page.page` for what full and trace add."""
    return words_of(page(advice, full=full, trace=trace))


def words_of(blocks: Iterable[Block]) -> str:
    """A page in plain words, with a line end after every sentence or item."""
    lines: list[str] = []
    for block in blocks:
        if isinstance(block, Heading):
            if lines and not block.minor:
                lines.append("")
            lines.append(sentence(_spoken(block.text)))
        elif isinstance(block, Para):
            lines.append(_spoken(f"{block.label}: {block.text}" if block.label else block.text))
        elif isinstance(block, Points):
            many = len(block.items)
            for number, item in enumerate(block.items, 1):
                lines.append(_spoken(sentence(f"{number} of {many}: {item}" if block.numbered else item)))
        elif isinstance(block, Pairs):
            lines += [_spoken(sentence(f"{name}: {said}")) for name, said in block.rows]
        else:
            lines += [_spoken(text) for text in flow_sentences(block)]
    return "\n".join(lines) + "\n"


def _spoken(text: str) -> str:
    """The text with signs as words; " + " between substances is a comma or "and"."""
    text = _SUM.sub(", ", text).replace(" + ", " and ")
    spoken = " ".join(text.translate(_TABLE).split())
    return spoken.replace(" ,", ",")
