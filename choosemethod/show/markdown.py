"""The page in Markdown (CommonMark with no extensions, except that lists stay tight)."""

from __future__ import annotations

import re
from collections.abc import Iterable

from choosemethod.advice.answer import Advice
from choosemethod.show.blocks import Block, Flow, Heading, Pairs, Para, Points
from choosemethod.show.flow import product_words
from choosemethod.show.page import page

__all__ = ["escape", "markdown_of", "render_markdown"]

_SPECIAL = re.compile(r"([\\`*_{}\[\]<>#|~&!@])")
_ADDRESS = re.compile(r"(?<=:)(?=//)|(?<=www)(?=\.)", re.I)  # what some readers of Markdown make links of
_START = re.compile(r"^(\d+)([.)])(?=\s|$)|^([-+=])")


def render_markdown(advice: Advice, *, full: bool = False, trace: bool = False) -> str:
    """An answer in Markdown; see `choosemethod.show.page.page` for what full and trace add."""
    title = advice.name or " and ".join(component.name for component in advice.components) or advice.asked
    return markdown_of(page(advice, full=full, trace=trace), title)


def escape(text: str) -> str:
    """The text so that Markdown shows it as it is."""
    text = _ADDRESS.sub(r"\\", _SPECIAL.sub(r"\\\1", " ".join(text.split())))
    return _START.sub(lambda found: f"{found[1]}\\{found[2]}" if found[1] else f"\\{found[3]}", text)


def markdown_of(blocks: Iterable[Block], title: str) -> str:
    """A page in Markdown under a title."""
    parts = [f"# {escape(title)}"]
    for block in blocks:
        if isinstance(block, Heading):
            parts.append(f"{'###' if block.minor else '##'} {escape(block.text)}")
        elif isinstance(block, Para):
            parts.append(_para(block))
        elif isinstance(block, Points):
            parts.append(
                "\n".join(
                    f"{number}. {escape(item)}" if block.numbered else f"- {escape(item)}"
                    for number, item in enumerate(block.items, 1)
                )
            )
        elif isinstance(block, Pairs):
            parts.append("\n".join(f"- **{escape(name)}**: {escape(said)}" for name, said in block.rows))
        else:
            parts.append(_flow(block))
    return "\n\n".join(part for part in parts if part) + "\n"


def _para(block: Para) -> str:
    text = escape(block.text)
    if block.mark == "verdict" or (block.mark == "danger" and not block.label):
        return f"**{text}**"
    return f"**{escape(block.label)}**: {text}" if block.label else text


def _flow(flow: Flow) -> str:
    lines = [f"From {escape(flow.start)}:", ""] if flow.start else []
    for step in flow.steps:
        head = f"{step.number}. "
        lines.append(f"{head}**{escape(step.text)}** gives")
        for product in step.products:
            said = f"{product.text}, on to step {product.to}" if product.to else product_words(product)
            lines.append(f"{' ' * len(head)}- {escape(said)}")
    return "\n".join(lines)
