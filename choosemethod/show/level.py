"""A page in the words of a level: plainer names of techniques and things; what is true stays the same."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from choosemethod.show.asked import LEFT_ALONE, put_in
from choosemethod.show.blocks import Block, Heading, Para

__all__ = ["in_the_words_of"]

_PLAN = "The plan"


def in_the_words_of(blocks: Sequence[Block], level: str, names: Mapping[str, str]) -> list[Block]:
    """The blocks in the words of a level. names: the techniques spoken of, slug -> name."""
    from choosemethod.classroom.levels import Level
    from choosemethod.classroom.materials import materials

    own = Level(level)
    called: dict[str, str] = {
        name: said for slug, name in names.items() if (said := materials().levels[level]["names"].get(slug))
    }
    longest = sorted(called, key=lambda name: (-len(name), name))
    pattern = (
        re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, longest))})(?![\w-])", re.IGNORECASE) if longest else None
    )

    def technique(match: re.Match[str]) -> str:
        said = called[match[0].lower()]
        return said[0].upper() + said[1:] if match[0][0].isupper() else said

    def put(text: str) -> str:
        return str(own.say(text))

    def put_names(text: str) -> str:
        return put(pattern.sub(technique, text) if pattern is not None else text)

    out: list[Block] = []
    section = ""
    for block in blocks:
        if isinstance(block, Heading):
            section = block.text
        if section in LEFT_ALONE or (isinstance(block, Para) and block.label in LEFT_ALONE):
            out.append(block)
        elif isinstance(block, Heading) or _names_steps(block, section):
            out.append(put_in(block, put_names))
        elif isinstance(block, Para) and block.label.startswith("Why"):
            begins = pattern.match(block.text) if pattern is not None else None
            text = technique(begins) + block.text[begins.end() :] if begins is not None else block.text
            out.append(block._replace(text=put(text), label=put_names(block.label)))
        else:
            out.append(put_in(block, put))
    return out


def _names_steps(block: Block, section: str) -> bool:
    """Whether a block is the plan or the verdict, which name techniques and not things called like them."""
    return block.mark == "verdict" if isinstance(block, Para) else section == _PLAN
