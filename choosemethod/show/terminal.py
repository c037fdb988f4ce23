"""The page in the terminal: wrapped to the width, styled where the terminal can, readable without any style.

Text reaches the screen as `rich.text.Text`, never as markup, so brackets and emoji codes in names stay as written.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from functools import partial
from io import StringIO
from typing import TextIO

from rich.cells import cell_len
from rich.console import Console
from rich.text import Text

from choosemethod.advice.answer import Advice
from choosemethod.show.blocks import Block, Flow, Heading, Pairs, Para, Points
from choosemethod.show.flow import flow_rows
from choosemethod.show.output import encoding_of
from choosemethod.show.page import page

__all__ = ["open_console", "render_blocks", "render_terminal", "terminal_text"]

NARROWEST = 20
WIDEST = 100  # longer lines are hard to read; a width asked for may be wider
PIPED = 80
_STYLES = {
    "verdict": "bold",
    "danger": "bold red",
    "care": "bold",
    "note": "bold",
    "faint": "dim",
    "label": "bold",
    "heading": "bold cyan",
    "step": "bold",
    "product": "green",
    "mixture": "",
}


def open_console(color: str = "auto", width: int | None = None, file: TextIO | None = None) -> Console:
    """A console on standard output (or a file). color: auto, always or never; width in columns (None: the terminal's).

    auto honours NO_COLOR, TERM=dumb and pipes. A pipe has 80 columns unless COLUMNS says otherwise.
    """
    out = file if file is not None else sys.stdout
    if width is None:
        probe = Console(file=out)
        width = min(probe.width, WIDEST) if probe.is_terminal or "COLUMNS" in os.environ else PIPED
    width = max(width, NARROWEST)
    plain = partial(Console, file=out, width=width, highlight=False, markup=False, emoji=False)
    if color == "always":
        return plain(force_terminal=True, color_system="standard", no_color=False)
    return plain(color_system=None, no_color=True) if color == "never" else plain()


class _Kept(StringIO):
    """Keeps what is printed, and answers for standard output whether that is a terminal and what it can write."""

    encoding = property(lambda self: encoding_of(sys.stdout))

    def isatty(self) -> bool:
        return sys.stdout is not None and sys.stdout.isatty()


def terminal_text(blocks: Iterable[Block], color: str = "auto", width: int | None = None) -> str:
    """A page as it is to be written to standard output; color and width as for `open_console`."""
    kept = _Kept()
    render_blocks(blocks, open_console(color, width, kept))
    return kept.getvalue()


def render_terminal(advice: Advice, console: Console, *, full: bool = False, trace: bool = False) -> None:
    """Print an answer; see `choosemethod.show.page.page` for what full and trace add."""
    render_blocks(page(advice, full=full, trace=trace), console)


def render_blocks(blocks: Iterable[Block], console: Console) -> None:
    """Print a page at the width of the console."""
    lines = _Lines(console)
    for block in blocks:
        lines.add(block)
    console.print(Text("\n", end="").join(lines.out), soft_wrap=True, markup=False, emoji=False, highlight=False)


class _Lines:
    """The lines of a page, already wrapped."""

    def __init__(self, console: Console) -> None:
        self.console = console
        self.width = console.width
        self.out: list[Text] = []

    def hang(self, first: str, rest: str, text: str, style: str = "", lead: str = "") -> None:
        """Add a text that begins with `first` (in the style `lead`) and whose further lines begin with `rest`."""
        room = max(self.width - max(cell_len(first), cell_len(rest)), 8)
        wrapped = Text(text, style=style).wrap(self.console, room, overflow="fold")
        for place, line in enumerate(wrapped or [Text("")]):
            line.rstrip()
            self.out.append(Text.assemble((rest, "") if place else (first, lead), line))

    def add(self, block: Block) -> None:
        if isinstance(block, Heading):
            if self.out and not block.minor:
                self.out.append(Text(""))
            self.hang(" " if block.minor else "", "", block.text, _STYLES["label" if block.minor else "heading"])
        elif isinstance(block, Para):
            self.para(block)
        elif isinstance(block, Points):
            self.points(block)
        elif isinstance(block, Pairs):
            self.pairs(block)
        else:
            self.flow(block)

    def para(self, block: Para) -> None:
        style = _STYLES.get(block.mark, "") if block.mark in ("verdict", "faint") else ""
        if not block.label:
            self.hang("  ", "  ", block.text, style)
            return
        label = f"{block.label}: "
        wrapped = Text.assemble((label, _STYLES.get(block.mark, "") or _STYLES["label"]), (block.text, style))
        for place, line in enumerate(wrapped.wrap(self.console, self.width - 4, overflow="fold")):
            line.rstrip()
            self.out.append(Text.assemble("    " if place else "  ", line))

    def points(self, block: Points) -> None:
        size = len(str(len(block.items)))
        for number, item in enumerate(block.items, 1):
            first = f"  {number:>{size}}. " if block.numbered else "  - "
            self.hang(first, " " * len(first), item)

    def pairs(self, block: Pairs) -> None:
        names = max((cell_len(name) for name, _ in block.rows), default=0)
        values = max((cell_len(said) for _, said in block.rows), default=0)
        table = names + 4 + min(values, 24) <= self.width
        for name, said in block.rows:
            if table:
                self.hang(f"  {name}{' ' * (names - cell_len(name))}  ", " " * (names + 4), said, lead=_STYLES["label"])
            else:
                self.para(Para(said, name))

    def flow(self, block: Flow) -> None:
        for row in flow_rows(block, self.console.options.ascii_only):
            self.hang(f"  {row.first}", f"  {row.rest}", row.text, _STYLES[row.kind])
