"""Ions written as formulas with a charge ("Fe3+", "SO4^2-"), put into words the table knows."""

from __future__ import annotations

import re

from choosemethod.table import Table

__all__ = ["ions_in_words"]

_SUPERSCRIPTS = str.maketrans("⁺⁻²³⁴", "+-234")
_ION = re.compile(
    r"(?<![\w(\[.])([A-Z][A-Za-z]?\d?(?:[A-Z][a-z]?\d?)*)(?:\^?([1-7])|\s([1-4]))?([+-])(?=[\s,;:.?!)]|\Z)(\s+ions?\b)?"
)


def ions_in_words(text: str, table: Table) -> str:
    """A text with each ion the table has a salt for written as "fe3 ions"; any other text unchanged."""
    if not any(sign in text for sign in "+-⁺⁻"):
        return text

    def worded(found: re.Match[str]) -> str:
        core = found[1] + (found[2] or found[3] or "")
        name = table.name(f"{core} ions")
        return f"{core.lower()} ions" if name is not None and name.kind == "substance" else found[0]

    return _ION.sub(worded, text.translate(_SUPERSCRIPTS) if any(sign in text for sign in "⁺⁻") else text)
