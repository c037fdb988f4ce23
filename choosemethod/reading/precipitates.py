"""Two salts that were poured together as solutions: the insoluble salt that comes out, and the one that stays dissolved."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from math import gcd

from choosemethod.mixture import Component
from choosemethod.reading.forms import dissolves
from choosemethod.reading.lexicon import Lexicon
from choosemethod.table import Table

__all__ = ["precipitated"]

_SALT = re.compile(r"(?P<cation>NH4|\(NH4\)|[A-Z][a-z]?)(?P<n>\d*)(?P<rest>[A-Z(].*)")
_MANY = re.compile(r"\((?P<ion>[A-Za-z0-9]+)\)(?P<m>\d+)")
_ELEMENT = re.compile(r"(?P<ion>[A-Z][a-z]?)(?P<m>\d*)")
_MOST_CHARGE = 3


def _ions(formula: str) -> tuple[str, int, str, int] | None:
    """Cation, its count, anion and its count of a salt's formula ("Pb(NO3)2": Pb, 1, NO3, 2); None if it is none."""
    salt = _SALT.fullmatch(formula.partition(".")[0])
    if salt is None:
        return None
    rest = salt["rest"]
    anion = _MANY.fullmatch(rest) or _ELEMENT.fullmatch(rest)
    ion, count = (anion["ion"], int(anion["m"] or 1)) if anion is not None else (rest, 1)
    if not ion.isalnum():
        return None
    return salt["cation"].strip("()"), int(salt["n"] or 1), ion, count


def _written(cation: str, anion: str, plus: int, minus: int) -> str:
    """The formula of the salt of two ions with these charges."""

    def part(ion: str, count: int) -> str:
        if count == 1:
            return ion
        return f"({ion}){count}" if sum(sign.isupper() or sign.isdigit() for sign in ion) > 1 else f"{ion}{count}"

    shared = gcd(plus, minus)
    return part(cation, minus // shared) + part(anion, plus // shared)


def _charges(salt: tuple[str, int, str, int]) -> Iterator[tuple[int, int]]:
    """Charges of cation and anion that make the formula neutral, the smallest first."""
    shared = gcd(salt[1], salt[3])
    for times in range(1, _MOST_CHARGE + 1):
        plus, minus = times * salt[3] // shared, times * salt[1] // shared
        if max(plus, minus) <= _MOST_CHARGE:
            yield plus, minus


def _exchanged(first: str, second: str, table: Table) -> tuple[str, str] | None:
    """Ids of the two salts that two salts (formulae) make by exchanging their ions, if the table has both."""
    one, other = _ions(first), _ions(second)
    if one is None or other is None or one[0] == other[0] or one[2] == other[2]:
        return None
    for plus, minus in _charges(one):
        for up, down in _charges(other):
            made = (
                table.formula(_written(one[0], other[2], plus, down)),
                table.formula(_written(other[0], one[2], up, minus)),
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
        made = _exchanged(first.formula, second.formula, table)
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
