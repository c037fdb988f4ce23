"""Statements of what things are and do with one another: dissolve, mix, float, sublime, come over first."""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.advice.wording import joined
from choosemethod.facts import UNKNOWN
from choosemethod.judging.about import About, Found, source_of
from choosemethod.judging.quantities import Quantities
from choosemethod.judging.statements import Statement
from choosemethod.quantity import show
from choosemethod.table.model import Substance

__all__ = ["Properties"]


class Properties:
    """Holds statements of properties against the table."""

    def __init__(self, about: About, quantities: Quantities) -> None:
        self.about, self.quantities = about, quantities

    def flag(self, slot: str, one: Substance) -> Found | None:
        slots, evidence = self.about.known.pure(one.id)
        value = str(slots.get(slot, UNKNOWN))
        label = {"sublimes": "known to sublime on the bench"}.get(slot, slot.replace("_", " "))
        if value in (UNKNOWN, "weakly"):
            return Found(
                None,
                f"whether {one.name} is {label} is not known here"
                if value == UNKNOWN
                else f"{one.name} is only weakly {label}",
            )
        yes = value in ("yes", "strongly")
        hazards = one.values.get("hazards")
        source = (
            evidence[slot].source
            if slot in evidence
            else hazards.source
            if hazards is not None and slot not in ("magnetic", "sublimes")
            else ""
        )
        return Found(yes, f"{one.name} is {'' if yes else 'not '}{label}", source)

    def taken(self, statement: Statement) -> Found | None:
        """Whether an acid or alkali takes something out of an organic liquid: a base takes acids, an acid takes bases."""

        def side(ident: str) -> str:
            if self.about.substance(ident) is None:
                return ""
            word = str(self.about.known.pure(ident)[0].get("acid_base", UNKNOWN))
            return next((key for key, words in self.about.lexicon.sides.items() if word in words), "")

        if not statement.acted or len(statement.subjects) != 1:
            return None
        one = statement.subjects[0]
        mine, theirs = (
            side(one),
            [(i, s) for i in statement.objects if (s := side(i)) and i not in self.about.everything],
        )
        if not mine or not theirs or one not in self.about.everything:
            return None
        by, other = theirs[0]
        does = mine != other
        name = self.about.composer.name
        words = f"{name(by)} {'takes' if does else 'does not take'} {name(one)} into the water"
        return Found(does != statement.denied, words)

    def spoils(self, one: Substance) -> Found:
        """Whether heating decomposes it below or at the temperature of a boiling solution or of its own boiling."""
        slots = self.about.known.pure(one.id)[0]
        heat, at = slots.get("heat_sensitive", UNKNOWN), slots.get("decomposes_at")
        if isinstance(at, float):
            return Found(True, f"{one.name} decomposes or chars from {show(at, 'temperature')}")
        if heat in ("yes", "no"):
            return Found(heat == "yes", f"{one.name} {'is spoiled' if heat == 'yes' else 'is not spoiled'} by heating")
        return Found(None, f"whether {one.name} decomposes when heated is not known here")

    def dissolves(self, one: Substance, statement: Statement) -> Found | None:
        """In what is named, else in what the answer's mixture has as solvent, else in water."""
        liquids = [s for i in statement.objects if (s := self.about.substance(i)) is not None and s.phase == "liquid"]
        if one.phase == "liquid" and not liquids:
            return None
        if one.id == self.about.water:
            return None
        named = [i for i in (*statement.subjects, *statement.objects) if i != one.id and i not in self.about.everything]
        if not liquids and named and statement.acted:
            return Found(
                None, f"whether {joined(map(self.about.composer.name, named))} dissolves {one.name} is not known here"
            )
        two = liquids[0] if liquids else self.about.substance(self.about.water)
        if two is None or two.id == one.id:
            return None
        reagent = next(
            (
                e.yes
                for entries in (one.reagents.get("dissolves_in_reagent", ()),)
                for e in entries
                if e.reagent == two.id
            ),
            None,
        )
        yes = reagent if reagent is not None else self.about.known.dissolves(one, two)
        word, _, evidence = self.about.known.grade(one, two)
        if yes is None:
            return Found(None, f"whether {one.name} dissolves in {two.name} is not known here")
        shown = f" ({evidence.text})" if evidence is not None and evidence.text != word else ""
        return Found(
            yes,
            f"{one.name} in {two.name}: {word}{shown}"
            if reagent is None
            else f"{one.name} {'dissolves' if yes else 'does not dissolve'} in {two.name}",
            source_of(evidence),
        )

    def _liquids(self, idents: Sequence[str]) -> list[Substance]:
        return [s for i in idents if (s := self.about.substance(i)) is not None and s.phase == "liquid"]

    def mixes(self, statement: Statement) -> Found | None:
        pair = self._liquids(tuple(dict.fromkeys((*statement.subjects, *statement.objects))))
        if len(pair) < 2:
            pair = self._liquids([c.substance for c in self.about.components])
        if len(pair) != 2:
            return None
        word, evidence = self.about.known.mixes(*pair)
        if word == UNKNOWN:
            return Found(None, f"whether {pair[0].name} and {pair[1].name} mix is not known here")
        words = {"fully": "mix completely", "partly": "mix only partly and form two layers", "no": "do not mix"}[word]
        denied = statement.denied or statement.group == "neither"
        return Found((word == "fully") != denied, f"{pair[0].name} and {pair[1].name} {words}", source_of(evidence))

    def azeotrope(self, statement: Statement) -> Found | None:
        pair = [
            s
            for i in dict.fromkeys((*statement.subjects, *statement.objects))
            if (s := self.about.substance(i)) is not None
        ]
        if len(pair) != 2:
            pair = [s for i in self.about.everything if (s := self.about.substance(i)) is not None]
        if len(pair) != 2:
            return None
        slots, evidence = self.about.known.between(pair[0].id, pair[1].id)
        word = slots.get("azeotrope", UNKNOWN)
        if word == UNKNOWN:
            row = self.about.table.pair("azeotropes", pair[0].id, pair[1].id)
            if row is None:
                return Found(None, f"whether {pair[0].name} and {pair[1].name} form an azeotrope is not known here")
            word = row["kind"]
        shown = evidence.get("azeotrope")
        return Found(
            (word != "none") != statement.denied,
            f"{pair[0].name} and {pair[1].name}: {'no azeotrope' if word == 'none' else f'{word} azeotrope'}",
            source_of(shown),
        )

    def layer(self, place: str, one: Substance, statement: Statement) -> Found | None:
        """Which layer a liquid is; whether a solid floats or sinks in the liquid named or there, or in water."""
        mine = {
            str(f.slots["substance"]): f.slots.get("layer") for f in self.about.facts() if f.slots["form"] == "liquid"
        }
        if one.id in mine and len(mine) > 1:
            layers = sorted({layer for layer in mine.values() if isinstance(layer, float)})
            if any(not isinstance(layer, float) for layer in mine.values()):
                return Found(None, "how these liquids lie is not known here")
            if len(layers) < 2:
                return Found(False, "these liquids mix: there is one layer")
            shown = [self.quantities.value("density", s) for i in mine if (s := self.about.substance(i)) is not None]
            words = joined(
                f"density of {self.about.composer.name(i)} {v[2]}" for i, v in zip(mine, shown, strict=False) if v
            )
            wanted = layers[-1] if place == "top" else layers[0]
            return Found(mine[one.id] == wanted, words, joined(dict.fromkeys(v[3] for v in shown if v and v[3])))
        others = [s for s in self._liquids((*statement.objects, *mine, self.about.water)) if s.id != one.id]
        if not others:
            return None
        floats = str(self.about.known.pure(one.id)[0].get("floats_on_water", UNKNOWN))
        if others[0].id == self.about.water and floats != UNKNOWN and one.phase == "solid":
            return Found(
                (floats == "yes") == (place == "top"),
                f"{one.name} {'floats on' if floats == 'yes' else 'sinks in'} water",
            )
        a, b = self.quantities.value("density", one), self.quantities.value("density", others[0])
        if a is None or b is None:
            return Found(None, f"the density of {one.name if a is None else others[0].name} is not known here")
        if a[0] <= b[1] and b[0] <= a[1]:
            return Found(None, "the densities are too near to say")
        return Found(
            (a[0] < b[0]) == (place == "top"),
            f"density of {one.name} {a[2]}, of {others[0].name} {b[2]}",
            joined(dict.fromkeys(s for s in (a[3], b[3]) if s)),
        )

    def order(self, place: str, statement: Statement) -> Found | None:
        """What comes over first: by boiling point among the liquids (or what is named beside it)."""
        among = [i for i in (statement.subjects + statement.objects) if i in self.about.everything] or list(
            statement.subjects
        )
        liquids = [c.substance for c in self.about.components if c.form in ("liquid", "gas")]
        if len(among) < 2:
            among = list(dict.fromkeys((*among, *liquids)))
        points = {
            i: p
            for i in among
            if (s := self.about.substance(i)) is not None and (p := self.about.known.boiling_point(s)) is not None
        }
        subject = statement.subjects[0]
        if subject not in points or len(points) < 2:
            return None
        wanted = (min if place == "first" else max)(points, key=lambda i: points[i][0])
        words = joined(f"{self.about.composer.name(i)} {show(p[0], 'temperature')}" for i, p in points.items())
        return Found(
            (wanted == subject) != statement.denied,
            f"boiling points: {words}",
            joined(dict.fromkeys(p[1].source for p in points.values() if p[1].source)),
        )
