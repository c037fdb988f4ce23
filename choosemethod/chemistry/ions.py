"""Ions in a salt's formula and the formula of a salt of two ions; when a salt begins to fall out, and what is left then.

Solubility products are in (mol/L) to the power of the number of ions, concentrations in mol/L; activity coefficients are
taken as 1, as general chemistry does (an estimate).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import gcd

__all__ = ["charges", "counts", "ions_of", "left", "needed", "written"]

_SALT = re.compile(r"(?P<cation>NH4|\(NH4\)|[A-Z][a-z]?)(?P<n>\d*)(?P<rest>[A-Z(].*)")
_MANY = re.compile(r"\((?P<ion>[A-Za-z0-9]+)\)(?P<m>\d+)")
_ELEMENT = re.compile(r"(?P<ion>[A-Z][a-z]?)(?P<m>\d*)")
_MOST_CHARGE = 3


def counts(formula: str) -> tuple[str, int, str, int] | None:
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


def written(cation: str, anion: str, plus: int, minus: int) -> str:
    """The formula of the salt of two ions with these charges."""

    def part(ion: str, count: int) -> str:
        if count == 1:
            return ion
        return f"({ion}){count}" if sum(sign.isupper() or sign.isdigit() for sign in ion) > 1 else f"{ion}{count}"

    shared = gcd(plus, minus)
    return part(cation, minus // shared) + part(anion, plus // shared)


def charges(salt: tuple[str, int, str, int]) -> Iterator[tuple[int, int]]:
    """Charges of cation and anion that make the formula neutral, the smallest first."""
    shared = gcd(salt[1], salt[3])
    for times in range(1, _MOST_CHARGE + 1):
        plus, minus = times * salt[3] // shared, times * salt[1] // shared
        if max(plus, minus) <= _MOST_CHARGE:
            yield plus, minus


def ions_of(formula: str) -> Iterator[tuple[str, str]]:
    """Formulas of cation and anion that a salt's formula may hold ("CuSO4": Cu+ and SO4-, then Cu2+ and SO42-)."""
    salt = counts(formula)
    if salt is None:
        return
    for plus, minus in charges(salt):
        yield f"{salt[0]}{plus if plus > 1 else ''}+", f"{salt[2]}{minus if minus > 1 else ''}-"


def needed(product: float, ions: tuple[int, int], there: float) -> float:
    """Concentration of the ion added at which a salt begins to fall out.

    product: its solubility product; ions: how many of the ion that is there and of the one added the formula holds.
    """
    own, added = ions
    return float((product / there**own) ** (1.0 / added))


def left(product: float, ions: tuple[int, int], added: float) -> float:
    """Concentration of the ion that was there, once that of the ion added has risen so far."""
    own, other = ions
    return float((product / added**other) ** (1.0 / own))
