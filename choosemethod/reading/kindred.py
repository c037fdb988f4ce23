"""Names the table gives one entry that stand beside each other in a list: two things of one kind ("bark and pine needles").

The table holds everyday materials by class, each under many names; who lists two of them means two things.
"""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.reading.lattice import Piece
from choosemethod.reading.lexicon import Lexicon
from choosemethod.reading.roles import ARTICLES, Part
from choosemethod.reading.utterance import PARTS
from choosemethod.table import Table

__all__ = ["told_apart"]


def told_apart(
    parts: Sequence[Part], pieces: Sequence[Piece], table: Table, words: Lexicon
) -> tuple[tuple[Part, ...], dict[str, dict[str, str]]]:
    """The parts, where two names of one everyday kind stand in a list each as a thing of its own, and what is given of these."""
    given: dict[str, dict[str, str]] = {}
    split: dict[tuple[str, str], str] = {}  # (kind, as named) -> the thing of its own
    last: dict[str, Part] = {}  # of each kind the name before
    for place, part in enumerate(parts):
        name = part.name
        if name is None or name.kind != "substance" or part.role not in PARTS or not _everyday(name.id, table, words):
            continue
        before, last[name.id] = last.get(name.id), part
        link = next((one for one in reversed(pieces[: part.place]) if one.norm not in ARTICLES and one.kind != "number"), None)
        follows = pieces[part.place + 1 : part.place + 2]
        goes_on = any(one.has("join") for one in follows)  # not "the pulp, okara": the same again
        listed = link is not None and (link.has("join") or (link.mark == "," and goes_on))
        if before is None or not listed or not parts[place - 1].clause == before.clause == part.clause:
            continue
        if before.norm.split()[-1] == part.norm.split()[-1]:
            continue  # "sea sand and river sand"
        for one in (before, part):
            id = one.norm.replace(" ", "-")
            if not table.has(id):
                given[id] = {"name": one.text.lower(), "like": name.id}
                split[name.id, one.norm] = id
    found = [
        part._replace(meanings=(), given=(split[part.name.id, part.norm],))
        if part.name is not None and (part.name.id, part.norm) in split
        else part
        for part in parts
    ]
    return tuple(found), given


def _everyday(id: str, table: Table, words: Lexicon) -> bool:
    """Whether a substance is a class of everyday things in pieces, no compound."""
    one = table.substance(id) if table.has(id) else None
    size = one.values.get("particle_size") if one is not None else None
    return one is not None and one.kind in words.materials["pieces"] and not one.formula and size is not None
