"""Two salts that were poured together as solutions: the insoluble salt that comes out, and the one that stays dissolved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

from choosemethod.chemistry.ions import charges, counts, written
from choosemethod.mixture import Component
from choosemethod.reading.forms import dissolves
from choosemethod.reading.lexicon import Lexicon
from choosemethod.table import Table

__all__ = ["exchanged", "precipitated"]


def exchanged(first: str, second: str, table: Table) -> tuple[str, str] | None:
    """Ids of the two salts that two salts (formulae) make by exchanging their ions, if the table has both."""
    one, other = counts(first), counts(second)
    if one is None or other is None or one[0] == other[0] or one[2] == other[2]:
        return None
    for plus, minus in charges(one):
        for up, down in charges(other):
            made = (
                table.formula(written(one[0], other[2], plus, down)),
                table.formula(written(other[0], one[2], up, minus)),
            )
            if made[0] is not None and made[1] is not None and made[0].kind == made[1].kind == "substance":
                return made[0].id, made[1].id
    return None


def precipitated(components: Sequence[Component], table: Table, words: Lexicon) -> tuple[list[Component], str] | None:
    """The components after two dissolved salts have made an insoluble one, and a sentence about it; None if none do.

    Only salts dissolved in the usual liquid (water) count, and only if just one of the two new salts dissolves in it.
    """
    liquid = table.name(words.assumed_liquid)
    host = "" if liquid is None else liquid.id
    dissolved = [
        part for part in components if part.form == "dissolved" and not part.role and host and part.host == host
    ]
    for one, other in combinations(dissolved, 2):
        first, second = table.substance(one.substance), table.substance(other.substance)
        made = exchanged(first.formula, second.formula, table)
        if made is None:
            continue
        solid = [id for id in made if dissolves(id, one.host, table, words) == "no"]
        stays = [id for id in made if dissolves(id, one.host, table, words) == "yes"]
        if len(solid) != 1 or len(stays) != 1:
            continue
        kept = [part for part in components if part not in (one, other) and part.substance not in made]
        new = [Component(solid[0], "suspended", one.host), replace(one, substance=stays[0], mass=None, share=None)]
        names = [table.substance(id).name for id in (solid[0], stays[0])]
        note = (
            f"{first.name} and {second.name} react in solution: "
            f"{names[0]} comes out as a precipitate and {names[1]} stays dissolved."
        )
        return [*new, *kept], note
    return None
