"""Random mixtures of substances of the table, with random wishes and settings, for the property tests."""

from __future__ import annotations

import random
from collections.abc import Iterator

from choosemethod.mixture import Component, Mixture, Question, Setting, Wish
from choosemethod.rulebook import Rulebook
from choosemethod.table.table import Table

LACKING = (
    "heat", "open-flame", "electricity", "fuel", "fume-cupboard", "filter-paper", "vacuum", "centrifuge", "magnet",
    "distillation-apparatus", "organic-solvents", "separating-funnel", "chemicals", "water", "fractionating-column",
)  # fmt: skip
LEVELS = ("", "primary", "lower-secondary", "upper-secondary", "undergraduate")


def components_of(table: Table, ids: list[str]) -> tuple[Component, ...]:
    """Substances together in the forms they would have: solids dissolve in, or lie under, the first liquid."""
    liquids = [ident for ident in ids if table.substance(ident).phase == "liquid"]
    out = []
    for ident in ids:
        substance = table.substance(ident)
        if substance.phase in ("liquid", "gas"):
            out.append(Component(ident, substance.phase))
            continue
        if liquids:
            entry = substance.solubility.get(liquids[0])
            soluble = entry is not None and (
                entry.word in ("sparingly soluble", "soluble", "freely soluble", "very soluble", "miscible")
                or any(amount >= 0.01 for _, amount in entry.points)
            )
            out.append(Component(ident, "dissolved" if soluble else "suspended", liquids[0]))
        else:
            out.append(Component(ident, "solid"))
    return tuple(out)


def random_questions(
    table: Table, book: Rulebook, count: int, seed: int, sizes: tuple[int, int] = (3, 6)
) -> Iterator[Question]:
    """Questions over random substances that are no alloys or unnamed things; gases are not put with solids or liquids."""
    chance = random.Random(seed)
    ids = [i for i in table.substance_ids() if table.substance(i).kind not in ("alloy",) and table.substance(i).phase]
    gases = [i for i in ids if table.substance(i).phase == "gas"]
    others = [i for i in ids if table.substance(i).phase != "gas"]
    for _ in range(count):
        size = chance.randint(*sizes)
        pool = gases if chance.random() < 0.08 else others
        chosen = chance.sample(pool, size)
        components = components_of(table, chosen)
        want = tuple(chance.sample(chosen, chance.randint(1, 2))) if chance.random() < 0.5 else ()
        without = tuple(sorted(chance.sample(LACKING, chance.randint(1, 3)))) if chance.random() < 0.5 else ()
        setting = Setting(
            pressure=chance.choice((101325.0, 101325.0, 84000.0)), without=without, level=chance.choice(LEVELS)
        )
        yield Question(Mixture(components), Wish(want=want), setting)
