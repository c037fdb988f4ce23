"""Ions written as formulas with a charge ("Fe3+", "SO4^2-") or as metals with a number ("copper(II) and zinc(II) in
solution"), put into words the table knows; and solubility products told, set aside."""

from __future__ import annotations

import re

from choosemethod.table import Table

__all__ = ["ions_in_words", "without_products"]

_SUPERSCRIPTS = str.maketrans("⁺⁻²³⁴", "+-234")
_ION = re.compile(
    r"(?<![\w\[.])(?<!\w\()([A-Z][A-Za-z]?\d?(?:[A-Z][a-z]?\d?)*|[a-z]{1,2}(?=[1-4]\+))(?:\^?([1-7])|\s([1-4]))?([+-])(?=[\s,;:.?!)]|\Z)(\s+ions?\b)?"
    r"(?P<salts>\s+[a-z]+(?:ates|ides)\b)?"
)
_NUMBERED = r"[A-Za-z]+\s?\((?:I|II|III|IV|V|VI)\)"
# A metal with its number and no anion after it, nor after the others of its list.
_METAL = re.compile(
    rf"\b({_NUMBERED})(?=(?:(?:\s*,\s*(?:and\s+)?|\s+(?:and|or|from)\s+)(?:{_NUMBERED}|[A-Za-z]+(?=\s+ions\b)))*"
    r"(?:\s*[.,;:?!)]|\s*\Z|\s+(?:ions|in|by|with|on|out|using|from|wanted)\b))"
)

_PRODUCT = re.compile(
    r"\b(?:K[_ ]?sp|solubility product(?: constant)?)\b\s*(?:of|for)?\s*[(\[]?\s*[A-Z]\w*(?:\(\w+\)\d?)?"
    r"\s*[)\]]?\s*(?:=|:|is|of)\s*\d[\d.]*(?:\s*(?:[eE]|[x×]\s*10\s*\^?)\s*[-−⁻]?[\d⁰¹²³⁴-⁹]+)?"
)


_SMALL = re.compile(r"\b([A-Za-z]{3,})\s*\((i{1,3}|iv|vi{0,2})\)(?=\s+[A-Za-z])")  # "copper (ii) oxide"
_CARET = re.compile(r"[\"“']?\b([A-Z][A-Za-z0-9]{0,6})[\"”']?\s?\^\s?[({]?\s?(\d?)\s?([+-])\s?[)}]?(?![\w(])")  # "Ba"^(2+)
_STATE = re.compile(r"\b([A-Z][A-Za-z0-9]*[A-Z0-9][A-Za-z0-9]*)\s+(\((?:aq|s|l|g)\))")  # "H2O (g)"


def without_products(text: str) -> tuple[str, tuple[str, ...]]:
    """A text with blanks where it tells solubility products ("Ksp(AgCl) = 1.8e-10"), and these as written."""
    return _PRODUCT.sub(lambda found: " " * len(found[0]), text), tuple([one[0] for one in _PRODUCT.finditer(text)])


def _metals_in_words(text: str, table: Table) -> str:
    def worded(found: re.Match[str]) -> str:
        if re.match(r"\s+ions?\b", text[found.end() :]):
            return found[0]
        name = table.name(f"{found[1]} ions")
        return f"{found[1]} ions" if name is not None and name.kind == "substance" else found[0]

    return _METAL.sub(worded, text)


def ions_in_words(text: str, table: Table) -> str:
    """A text with each ion the table has a salt for written as "fe3 ions"; any other text unchanged."""

    def numbered(found: re.Match[str]) -> str:
        name = table.name(found[1])
        metal = name is not None and table.has(name.id) and table.substance(name.id).kind == "metal"
        return f"{found[1]}({found[2].upper()})" if metal else found[0]

    if "^" in text:
        text = _CARET.sub(r"\1\2\3", text)
    if "(" in text:
        text = _SMALL.sub(numbered, text)
        text = _metals_in_words(_STATE.sub(r"\1\2", text), table)
    if not any(sign in text for sign in "+-⁺⁻"):
        return text

    def worded(found: re.Match[str]) -> str:
        core = found[1] + (found[2] or found[3] or "")
        name = table.name(f"{core} ions")
        of = f" as{found['salts']}" if found["salts"] else ""  # "Zn2+ and Fe3+ nitrates"
        return f"{core.lower()} ions{of}" if name is not None and name.kind == "substance" else found[0]

    return _ION.sub(worded, text.translate(_SUPERSCRIPTS) if any(sign in text for sign in "⁺⁻") else text)
