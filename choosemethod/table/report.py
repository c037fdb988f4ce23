"""Counts over the whole table, for whoever wants to know how much it holds and how well it is founded."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from choosemethod.facts import HOW, how_of_kind
from choosemethod.table.model import Substance
from choosemethod.table.table import Table

__all__ = ["can_be_looked_up", "coverage", "sources_of", "table_report"]


def sources_of(substance: Substance) -> Iterator[tuple[str, str]]:
    """What is stated of a substance and the source key of each statement, in the order of its entry."""
    for name, value in substance.values.items():
        yield name, value.source
    for solvent, solubility in substance.solubility.items():
        yield f"solubility in {solvent}", solubility.source
    if substance.vapour_pressure is not None:
        yield "vapour pressure", substance.vapour_pressure.source
    for name, entries in substance.reagents.items():
        for entry in entries:
            yield f"{name}, {entry.reagent}", entry.source


def can_be_looked_up(counts: Mapping[str, int]) -> float:
    """The share of the values stated one by one that a reader can look up; 0 if there is none."""
    stated = sum(count for how, count in counts.items() if how != "by class")
    return (counts["measured"] + counts["computed"]) / stated if stated else 0.0


def coverage(table: Table) -> dict[str, dict[str, int]]:
    """How many values there are of each property, and of each kind of pairs, by how they are known (words of HOW)."""
    found: dict[str, Counter[str]] = {}

    def count(name: str, how: str) -> None:
        found.setdefault(name, Counter())[how] += 1

    for id in table.substance_ids():
        substance = table.substance(id)
        for name, value in substance.values.items():
            count(name.replace("_", " "), table.how(value.source))
        for solvent, entry in substance.solubility.items():
            ordinary = solvent == "water"
            count("solubility in water" if ordinary else "solubility in other liquids", table.how(entry.source))
        if substance.vapour_pressure is not None:
            count("vapour pressure", table.how(substance.vapour_pressure.source))
        for name, entries in substance.reagents.items():
            for one in entries:
                count(name.replace("_", " "), table.how(one.source))
    for kind in table.pair_kinds():
        for row in table.pairs(kind):
            how = "estimated" if row.get("estimate") else table.how(row.get("source", ""))
            count(f"pairs: {kind.replace('-', ' ')}", how)
    return {name: {how: counts[how] for how in HOW} for name, counts in sorted(found.items())}


def table_report(table: Table) -> list[tuple[str, int]]:
    """What there is and how many of it, in a fixed order.

    A value counts as measured if its source is published and its row is no estimate. "values without a known source"
    is 0 for every table that could be opened; it is counted all the same.
    """
    known = {key: table.source(key).kind for key in table.source_keys()}
    how: Counter[str] = Counter()
    used: set[str] = set()

    def count(source: str, estimate: bool = False) -> None:
        used.add(source)
        if estimate:
            how["estimated"] += 1
        elif source not in known:
            how["without a known source"] += 1
        else:
            how[how_of_kind(known[source])] += 1

    ids, mixtures = table.substance_ids(), table.mixture_ids()
    for id in ids:
        for _, source in sources_of(table.substance(id)):
            count(source)
    stated = how.total()
    rows = {kind: table.pairs(kind) for kind in table.pair_kinds()}
    for kind_rows in rows.values():
        for row in kind_rows:
            count(row.get("source", ""), bool(row.get("estimate")))
    used.update(table.mixture(id).source for id in mixtures)
    dangers = (*table.dangers(), *table.dangers_between_several())
    used.update(danger.source for danger in dangers)
    found = [
        ("substances", len(ids)),
        ("named mixtures", len(mixtures)),
        ("names", table.name_count()),
        ("values of substances", stated),
        ("rows about pairs", how.total() - stated),
    ]
    found += [(f"rows about pairs: {kind}", len(kind_rows)) for kind, kind_rows in rows.items()]
    found.append(("dangers", len(dangers)))
    kinds = (*HOW, "without a known source")
    found += [(f"values {kind}", how[kind]) for kind in kinds]
    found += [("sources", len(known)), ("sources used", len(used & set(known)))]
    return found
