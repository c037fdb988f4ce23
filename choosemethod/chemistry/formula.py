"""Molar masses from formulas such as Na2CO3.10H2O, Ca(OH)2 or CaSO4.0.5H2O."""

from __future__ import annotations

import re
from collections.abc import Mapping

__all__ = ["formula_mass"]

_PART = re.compile(r"(?:^|[.·])(\d+(?:\.\d+)?)?((?:[A-Z][a-z]?|[()\[\]]|\d+)+)")
_TOKEN = re.compile(r"([A-Z][a-z]?|[(\[]|[)\]])(\d*)")


def formula_mass(formula: str, weights: Mapping[str, float]) -> float | None:
    """The sum of the atomic weights (in the unit of `weights`); None for what is no formula or holds another element."""
    parts = list(_PART.finditer(formula))
    if not parts or "".join(part[0] for part in parts) != formula:
        return None
    total = 0.0
    for part in parts:
        sums = [0.0]
        tokens = list(_TOKEN.finditer(part[2]))
        if "".join(token[0] for token in tokens) != part[2]:
            return None
        for token in tokens:
            sign, times = token[1], int(token[2] or 1)
            if sign in "([":
                sums.append(0.0)
            elif sign in ")]":
                if len(sums) < 2:
                    return None
                inner = sums.pop()
                sums[-1] += times * inner
            elif sign in weights:
                sums[-1] += times * weights[sign]
            else:
                return None
        if len(sums) != 1:
            return None
        total += float(part[1] or 1) * sums[0]
    return total
