"""Molar masses worked out from the formulas of the entries and the atomic weights of substances/atomic-weights.yaml."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from choosemethod.chemistry.formula import formula_mass
from choosemethod.data import SOURCE, Listed, Plain, Record, Table, Text
from choosemethod.table.model import Substance, Value

__all__ = ["ATOMIC_WEIGHTS", "with_masses"]

ATOMIC_WEIGHTS = Record(
    "atomic-weights.yaml",
    {
        "source": SOURCE,
        "gives": Table(Text()),  # property of a mass -> property that holds its formula, "formula" for the entry's own
        "unless": Listed(Text(), alone=False),
        "weights": Table(Plain()),
    },
)


def with_masses(substance: Substance, told: Mapping[str, Any], apart: Collection[str]) -> Substance:
    """The substance with the masses its formulas give, where it states none. apart: kinds that no formula describes whole."""
    if substance.kind in apart or set(told["unless"]).intersection(substance.classes):
        return substance
    values = dict(substance.values)
    for prop, of in told["gives"].items():
        held = substance.values.get(of)
        formula = substance.formula if of == "formula" else held.text if held is not None else ""
        mass = formula_mass(formula, told["weights"]) if prop not in values else None
        if mass is not None:
            grams = round(mass, 2)
            file, line = substance.file, substance.line
            values[prop] = Value(
                prop, f"{grams:.2f} g/mol", told["source"], grams / 1000, grams / 1000, file=file, line=line
            )
    return substance._replace(values=values)
