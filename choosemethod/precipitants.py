"""Precipitants: which reagent brings which of the ions in a solution down, and which it leaves, by the ions' own entries."""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.chemistry.ions import counts, ions_of, left, needed
from choosemethod.facts import Fact, SlotValue, yes_no
from choosemethod.properties import Properties
from choosemethod.table.model import ReagentEntry, Substance
from choosemethod.table.table import Table

__all__ = ["ions_in", "precipitants"]

_PROPERTY = "precipitated_by"


def ions_in(substance: Substance, table: Table) -> tuple[Substance, ...]:
    """The entries of the ions of a salt, cation first; of an ion itself that alone; none where the table lacks one."""
    if substance.kind == "ion":
        return (substance,)
    for pair in ions_of(substance.formula) if substance.formula else ():
        named = [table.name(f"{formula.rstrip('+-')} ions") for formula in pair]
        found = tuple([table.substance(one.id) for one in named if one is not None and one.kind == "substance"])
        if len(found) == len(pair) and all(one.kind == "ion" for one in found):
            return found
    return ()


class _Solution:
    """The ions in a solution. Of salts the cations count, unless all have the same one: then the anions do."""

    def __init__(self, facts: Sequence[Fact], table: Table, known: Properties) -> None:
        self.facts, self.table, self.known = facts, table, known
        held = {f.key: ions_in(table.substance(str(f.slots["substance"])), table) for f in facts}
        salts = [ions for ions in held.values() if len(ions) > 1]
        place = -1 if len(salts) > 1 and len({ions[0].id for ions in salts}) == 1 else 0
        self.ions = {key: ions[place] for key, ions in held.items() if ions}
        self.entries = {
            key: {entry.reagent: entry for entry in ion.reagents.get(_PROPERTY, ())} for key, ion in self.ions.items()
        }
        inert = set(known.limits.inert.get(_PROPERTY, ()))
        self.clear = {f.key for f in facts if f.key in self.ions or inert.intersection(_words(f))}

    def entry(self, key: str, reagent: str) -> ReagentEntry | None:
        return self.entries.get(key, {}).get(reagent)

    def taken(self, key: str, reagent: str) -> bool | None:
        """Whether a reagent brings it down; None if only in part, or if that is not known."""
        entry = self.entry(key, reagent)
        return entry.yes if entry is not None else False if key in self.clear else None

    def first_to_fall(self, takes: Sequence[str], reagent: str) -> list[str]:
        """Those of which all but a trace has fallen out before the next begins, as the reagent is added bit by bit; [] if
        there is no such gap, or a solubility product is not known."""
        limits = self.known.limits.values
        there, most = limits["concentration"], limits["left-behind"]
        ranked: list[tuple[float, str, float, tuple[int, int]]] = []
        for key in takes:
            entry = self.entry(key, reagent)
            salt = counts(entry.solid) if entry is not None else None
            if entry is None or salt is None or entry.solubility_product is None:
                return []
            ions = (salt[1], salt[3]) if "cation" in self.ions[key].classes else (salt[3], salt[1])
            ranked.append((needed(entry.solubility_product, ions, there), key, entry.solubility_product, ions))
        ranked.sort()
        for place in range(1, len(ranked)):
            if all(left(one[2], one[3], ranked[place][0]) <= most * there for one in ranked[:place]):
                return [one[1] for one in ranked[:place]]
        return []

    def fact(
        self, reagent: str, takes: Sequence[str], leaves: Sequence[str], open: Sequence[str], at_hand: bool
    ) -> Fact:
        """The fact that a reagent takes these and leaves those."""
        pure = self.known.pure(reagent)[0]
        found = {key: entry for key in self.entries if (entry := self.entry(key, reagent)) is not None}
        gives = tuple([found[key].gives for key in takes])
        asked = {f.key for f in self.facts if f.slots["asked_for"] == "yes"}
        unwanted = {f.key for f in self.facts if f.slots["to_remove"] == "yes"}
        slowly = any(self.taken(key, reagent) is not False for key in leaves)
        ident = f"{reagent} bit by bit" if slowly else reagent
        slots: dict[str, SlotValue] = {
            "id": ident,
            "substance": reagent,
            "name": self.table.substance(reagent).name,
            "takes": tuple(takes),
            "leaves": tuple(leaves),
            "undecided": tuple(open),
            "takes_count": float(len(takes)),
            "leaves_count": float(len(leaves)),
            "undecided_count": float(len(open)),
            "takes_wanted": float(len(asked.intersection(takes))),
            "takes_unwanted": float(len(unwanted.intersection(takes))),
            "takes_kept": float(len(set(takes) - unwanted)),
            "gives": " and ".join(dict.fromkeys(gives)),
            "gives_each": gives,
            "ions": yes_no(all(f.slots["kind"] == "ion" for f in self.facts)),
            "bit_by_bit": yes_no(slowly),
            "at_hand": yes_no(at_hand),
            "toxic": yes_no("yes" in (pure["toxic"], pure["carcinogenic"])),
        }
        evidence = {f"on {key}": self.known.stated(e.gives, e.source, e.note) for key, e in found.items()}
        return Fact("precipitant", ident, slots, evidence)


def _words(fact: Fact) -> tuple[str, ...]:
    classes = fact.slots["classes"]
    return classes if isinstance(classes, tuple) else ()


def precipitants(live: Sequence[Fact], table: Table, known: Properties, at_hand: Sequence[str]) -> list[Fact]:
    """A fact for each reagent that brings something down out of a solution, and one more where it does so one by one.

    live: the components that are no traces; at_hand: ids of the reagents the question names.
    """
    dissolved = [f for f in live if f.slots["form"] == "dissolved" and f.slots["reacted"] == "no"]
    if all((f.slots["form"], f.slots["water_soluble"], f.slots["reacted"]) == ("solid", "yes", "no") for f in live):
        dissolved = list(live)  # what would be so in their solution
    if not any("ionic" in _words(fact) for fact in dissolved):
        return []
    solution = _Solution(dissolved, table, known)
    out, slow = [], []
    for reagent in sorted(
        {entry.reagent for found in solution.entries.values() for entry in found.values() if entry.yes}
    ):
        groups: dict[bool | None, list[str]] = {True: [], False: [], None: []}
        for fact in dissolved:
            groups[solution.taken(fact.key, reagent)].append(fact.key)
        takes, leaves, open = groups[True], groups[False], groups[None]
        out.append(solution.fact(reagent, takes, leaves, open, reagent in at_hand))
        first = solution.first_to_fall([*takes, *open], reagent) if open else []  # what falls only in part falls later
        if first and set(first) <= set(takes):
            takes, open = [*takes, *open], []
        else:
            first = solution.first_to_fall(takes, reagent)
        if first:
            later = [key for key in takes if key not in first]
            slow.append(solution.fact(reagent, first, [*leaves, *later], open, reagent in at_hand))
    ranks = [one.slots["at_hand"] for one in out if _parts(one)]
    return out + [one for one in slow if one.slots["at_hand"] not in ranks]  # an excess does it surely, where one does


def _parts(fact: Fact) -> bool:
    """Whether a reagent that is not toxic takes some and leaves the rest for sure."""
    slots = fact.slots
    return bool(slots["takes"] and slots["leaves"] and not slots["undecided"]) and slots["toxic"] == "no"
