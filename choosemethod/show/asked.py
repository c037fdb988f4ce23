"""A page in the words of the question: who asks of salt is told of salt, and once that it is sodium chloride."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from choosemethod.show.blocks import Block, Flow, FlowProduct, FlowStep, Heading, Pairs, Para, Points

__all__ = ["LEFT_ALONE", "in_the_words_asked", "put_in"]

LEFT_ALONE = ("Sources", "Left out here")  # sections that name works and rules, not what is in the beaker


def in_the_words_asked(blocks: Sequence[Block], called: Sequence[tuple[str, str]]) -> list[Block]:
    """The blocks with each name of `called` (name of the table, name in the question) put as the question has it.

    The first rows, which say what was understood, give both names.
    """
    asked = {name.lower(): said for name, said in called}
    names = "|".join(re.escape(name) for name in sorted(asked, key=len, reverse=True))
    pattern = re.compile(rf"(?<![\w-])(?:{names})(?![\w(-])", re.IGNORECASE)

    def put(text: str) -> str:
        def said(match: re.Match[str]) -> str:
            word = asked[match[0].lower()]
            return word[0].upper() + word[1:] if match[0][0].isupper() else word

        return pattern.sub(said, text)

    out: list[Block] = []
    section, told = "", False
    for block in blocks:
        if isinstance(block, Heading):
            section = block.text
        if section in LEFT_ALONE or (isinstance(block, Para) and block.label in LEFT_ALONE):
            out.append(block)
        elif isinstance(block, Pairs) and not told:
            told = True
            rows = [
                (f"{put(name)} ({name})" if name.lower() in asked else name, put(text)) for name, text in block.rows
            ]
            out.append(Pairs(tuple(rows)))
        else:
            out.append(put_in(block, put))
    return out


def put_in(block: Block, put: Callable[[str], str]) -> Block:
    """A block with every text of it put otherwise."""
    if isinstance(block, Heading):
        return block._replace(text=put(block.text))
    if isinstance(block, Para):
        return block._replace(text=put(block.text), label=put(block.label))
    if isinstance(block, Points):
        return block._replace(items=tuple(map(put, block.items)))
    if isinstance(block, Pairs):
        return Pairs(tuple((put(name), put(text)) for name, text in block.rows))
    assert isinstance(block, Flow)
    steps = [
        FlowStep(
            step.number,
            put(step.text),
            tuple(FlowProduct(put(product.text), put(product.fate), product.to) for product in step.products),
        )
        for step in block.steps
    ]
    return Flow(put(block.start), tuple(steps))
