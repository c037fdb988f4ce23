"""Statements of what goes, stays or changes, held against the states that the answer's own steps lead through."""

from __future__ import annotations

from choosemethod.judging.about import About, Acted, Found
from choosemethod.judging.lexicon import Relation
from choosemethod.judging.statements import Statement
from choosemethod.quantity import show
from choosemethod.table.model import Substance

__all__ = ["InSteps"]


class InSteps:
    """Holds statements against the steps an answer takes."""

    def __init__(self, about: About) -> None:
        self.about = about

    def in_step(self, statement: Statement, acted: Acted) -> Found | None:
        """Whether something dissolves in what a step of the answer brings in; None if no step brings in what is named."""
        for ident in statement.subjects:
            for _, proposal in acted:
                added = proposal.outcome.added
                named = [i for i in statement.objects if i != ident]
                if not added or added == self.about.water or (named and added not in named):
                    continue
                after = [c for product in proposal.outcome.products for c in product.components] or list(
                    proposal.outcome.whole
                )
                form = next((c for c in after if c.substance == ident and not c.trace), None)
                if form is None:
                    continue
                yes = form.form == "dissolved" or bool(form.reacted)
                does = "dissolves" if yes else "does not dissolve"
                words = f"{self.about.composer.name(ident)} {does} in {self.about.composer.name(added)}"
                return Found(yes != statement.denied, words)
        return None

    def reacts(self, statement: Statement, acted: Acted) -> Found | None:
        """Whether a step of the answer changes something chemically; of several things named, whether it does one."""
        found: list[tuple[str, bool]] = []
        for ident in (*statement.subjects, *statement.objects):
            for _, proposal in acted:
                if "adds reagent" not in proposal.technique.traits:
                    continue
                after = [c for product in proposal.outcome.products for c in product.components] or list(
                    proposal.outcome.whole
                )
                one = next((c for c in after if c.substance == ident and not c.trace and not c.added), None)
                if one is not None:
                    found.append((ident, bool(one.reacted) or one.form == "dissolved"))
        if not found:
            return None
        ident, yes = next((one for one in found if one[1]), found[0])
        return Found(
            yes != statement.denied, f"{self.about.composer.name(ident)} {'reacts' if yes else 'does not react'}"
        )

    def part(self, relation: Relation, statement: Statement, acted: Acted, strict: bool = False) -> Found | None:
        """Whether something goes, stays, is removed or obtained in one of the steps that the answer takes."""
        verdicts: list[Found] = []
        implied = statement.implied and not strict
        inside = [c.substance for c in self.about.components if implied and c.host in statement.subjects]
        for ident in dict.fromkeys((*statement.subjects, *inside)):  # "it", said of a solution, is what is in it too
            found = self._part_of(relation, ident, statement, acted, strict)
            if found is not None:
                verdicts.append(found)
        if not verdicts:
            return None
        wrong = next((f for f in verdicts if f.true is False), None)
        if statement.implied and len(verdicts) > 1 and (so := next((f for f in verdicts if f.true), None)):
            return so  # "it crystallises", said of a solution
        return wrong or verdicts[0]

    def _part_of(
        self, relation: Relation, ident: str, statement: Statement, acted: Acted, strict: bool
    ) -> Found | None:
        seen = here = absent = False
        where = ""
        for _, proposal in acted:
            slug = proposal.technique.id
            parts = self.about.lexicon.parts.get(slug)
            if parts is None or ((of := relation.of or statement.of) and slug not in of):
                continue
            kept = {product.part.key for product in proposal.outcome.products} & set(parts["stays"])
            if relation.side == "stays" and not kept:
                continue  # all of it comes over, one after the other
            side = relation.side or relation.place
            if side != "any" and side not in parts:
                continue
            wanted = parts["goes"] + parts["stays"] + parts["removes"] if side == "any" else parts[side]
            if relation.of and proposal.outcome.products and ident in self.about.everything:
                absent = not any(c.substance == ident for p in proposal.outcome.products for c in p.components)
            for product in proposal.outcome.products:
                if not any(c.substance == ident and not c.trace for c in product.components):
                    continue
                seen = True
                where = f"in {proposal.technique.name}, {self.about.composer.name(ident)} is in {product.part.name}"
                here = here or product.part.key in wanted
        if not seen and absent and not strict:
            return Found(statement.denied, f"{self.about.composer.name(ident)} has been taken out before that step")
        if not seen:
            return None if strict else self._by_property(relation, ident, statement)
        return Found(here != statement.denied, where)

    def _by_property(self, relation: Relation, ident: str, statement: Statement) -> Found | None:
        """Where no step of the answer says it: what is known of the substance alone."""
        one = self.about.substance(ident)
        if one is None or relation.side in ("removes", "any"):
            return None
        slots = self.about.known.pure(ident)[0]
        if relation.key in ("passes", "residue"):
            return self._through(relation, one, statement)
        if relation.key in ("comes-over", "stays-in-pot", "boils-off") and ident in self.about.everything:
            points = {
                c.substance: p[0]
                for c in self.about.components
                if (s := self.about.substance(c.substance)) is not None
                and (p := self.about.known.boiling_point(s)) is not None
            }
            if relation.key == "stays-in-pot" and len(points) > 1 and ident in points:
                return Found(
                    (max(points, key=lambda i: points[i]) == ident) != statement.denied,
                    f"{one.name} boils at {show(points[ident], 'temperature')}",
                )
            if one.phase == "liquid" and relation.key == "boils-off":
                return Found(not statement.denied, f"{one.name} is a liquid and evaporates")
            if one.phase == "solid" and slots.get("sublimes") != "yes":
                return Found(
                    (relation.side == "stays") != statement.denied, f"{one.name} is a solid that does not boil off here"
                )
        return None

    def _through(self, relation: Relation, one: Substance, statement: Statement) -> Found | None:
        """What passes holes: liquids and what is dissolved through paper, the finest of loose solids through a sieve."""
        form = next((c.form for c in self.about.components if c.substance == one.id), one.phase)
        if form in ("liquid", "dissolved", "gas", "emulsified", "colloidal"):
            return Found((relation.side == "goes") != statement.denied, f"{one.name} passes through paper")
        if form == "solid" and "paper" in statement.hint:
            return Found((relation.side != "goes") != statement.denied, f"{one.name} is a solid and stays on the paper")
        sizes = {
            f.slots["substance"]: f.slots.get("size_high") for f in self.about.facts() if f.slots["form"] == "solid"
        }
        mine = sizes.get(one.id)
        known = [size for size in sizes.values() if isinstance(size, float)]
        if isinstance(mine, float) and len(known) > 1 and min(known) < max(known):
            fine = mine < max(known)
            return Found(
                (fine == (relation.side == "goes")) != statement.denied,
                f"{one.name}: pieces up to {show(mine, 'length')}",
            )
        return None
