"""Statements of numbers and comparisons, held against the table: boiling points, densities, solubilities, shares."""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.advice.wording import joined
from choosemethod.judging.about import About, Found, source_of
from choosemethod.judging.statements import Statement
from choosemethod.mixture import STANDARD_PRESSURE
from choosemethod.quantity import UNITS, show
from choosemethod.table.model import Substance

__all__ = ["Quantities"]

_HOT = 353.15  # K: what "hot water" is taken to be, common practice
_NEAR = 0.15  # of a solubility told in grams: how far a textbook may be off, common practice


class Quantities:
    """Holds numbers and comparisons against the table."""

    def __init__(self, about: About) -> None:
        self.about = about

    def _values(self, key: str, one: Substance) -> list[tuple[float, float, str, str]]:
        """Every value a claim may mean: a boiling point here, and the normal one."""
        found = [value] if (value := self.value(key, one)) is not None else []
        normal = one.values.get(key)
        if (
            key == "boiling_point"
            and normal is not None
            and normal.number is not None
            and found
            and normal.number != found[0][0]
        ):
            found.append((normal.number, normal.number, normal.text, normal.source))
        return found

    def value(self, key: str, one: Substance) -> tuple[float, float, str, str] | None:
        """(lowest, highest, as shown, source) of a quantity of a substance in SI units."""
        if key == "boiling_point":
            local = self.about.known.boiling_point(one)
            if local is not None and abs(self.about.composer.bench.pressure - STANDARD_PRESSURE) >= 1.0:
                return local[0], local[0], local[1].text, local[1].source
        if key == "size":
            slots = next(
                (f.slots for f in self.about.facts() if f.slots["substance"] == one.id),
                self.about.known.pure(one.id)[0],
            )
            low, high = slots.get("size_low"), slots.get("size_high")
            if isinstance(low, float) and isinstance(high, float):
                return low, high, f"{show(low, 'length')} to {show(high, 'length')}", ""
            return None
        value = one.values.get(key)
        if value is None and key == "boiling_point":
            value = one.values.get("condensation_point")
        if value is None or value.number is None:
            return None
        return value.number, value.high if value.high is not None else value.number, value.text, value.source

    def number(self, key: str, statement: Statement) -> Found | None:
        if key == "solubility":
            return self._grams(statement)
        subjects = [s for i in statement.subjects if (s := self.about.substance(i)) is not None]
        allowed = self.about.tolerances.get(key)
        if not subjects or allowed is None:
            return None
        dimension = self.about.lexicon.quantities[key].dimension
        label = key.replace("_", " ")
        values = [(s, v) for s in subjects if (v := self.value(key, s)) is not None]
        if len(values) < len(subjects):
            return Found(
                None,
                f"the {label} of {joined(s.name for s in subjects if self.value(key, s) is None)} is not known here",
            )
        claimed = [self._si(n, dimension) for n in statement.numbers]
        margin = [max(allowed, self._last_digit(n, dimension)) for n in statement.numbers]
        words = joined(f"{label} of {s.name}: {v[2]}" for s, v in values)
        source = joined(dict.fromkeys(v[3] for _, v in values if v[3]))
        shown = show(allowed, "temperature difference" if dimension == "temperature" else dimension)

        def near(value: tuple[float, float, str, str], number: float, by: float) -> bool:
            by = max(by, self.about.lexicon.relative.get(key, 0.0) * value[0])
            return value[0] - by <= number <= value[1] + by

        if statement.more and len(claimed) == 1:
            yes = all((v[1] > claimed[0]) if statement.more > 0 else (v[0] < claimed[0]) for _, v in values)
        elif len(claimed) == 1:
            yes = all(any(near(v, claimed[0], margin[0]) for v in self._values(key, s)) for s, _ in values)
        else:  # "their boiling points are 78 and 100 °C": one each, in any order
            left = list(values)
            yes = len(left) == len(claimed)
            for number, by in zip(claimed, margin, strict=True):
                fit = next((item for item in left if near(item[1], number, by)), None)
                yes = yes and fit is not None
                if fit is not None:
                    left.remove(fit)
        return Found(yes != statement.denied, words, source, shown)

    @staticmethod
    def _si(number: tuple[float, str], dimension: str) -> float:
        unit = number[1] or {"temperature": "°C", "density": "g/cm3"}.get(dimension, "")
        _, factor, offset = UNITS[unit]
        return number[0] * factor + offset

    @staticmethod
    def _last_digit(number: tuple[float, str], dimension: str) -> float:
        """Half of the last printed digit, in SI units."""
        unit = number[1] or {"temperature": "°C", "density": "g/cm3"}.get(dimension, "")
        decimals = len(f"{number[0]:.10g}".partition(".")[2])
        return 0.5 * 10.0**-decimals * UNITS[unit][1]

    def _grams(self, statement: Statement) -> Found | None:
        """ "36 g of salt dissolve in 100 g of water": grams in 100 g, hot where it is said."""
        grams = [n[0] for n in statement.numbers if n[1] == "g"]
        found = [s for i in (*statement.subjects, *statement.objects) if (s := self.about.substance(i)) is not None]
        solute = next((s for s in found if s.id != self.about.water), None)
        water = self.about.substance(self.about.water)
        if solute is None or water is None or not grams:
            return None
        told = grams[0] / (grams[1] if len(grams) > 1 and grams[1] else 100.0)
        _, number, evidence = self.about.known.grade(solute, water)
        if number is None:
            return Found(None, f"how much {solute.name} dissolves in water is not known here")
        return Found(
            abs(told - number) <= _NEAR * number,
            f"{solute.name} in water: {show(number, 'solubility')}",
            source_of(evidence),
            f"{100 * _NEAR:.0f} %",
        )

    def compare(self, key: str, statement: Statement) -> Found | None:
        hot = "hot" in statement.hint or "boiling" in statement.hint
        subjects = [s for i in statement.subjects if (s := self.about.substance(i)) is not None]
        if key == "solubility" and hot and "cold" in statement.hint and subjects:
            slots = self.about.known.pure(subjects[0].id)[0]
            rise = slots.get("solubility_rise")
            if not isinstance(rise, float):
                return Found(
                    None, f"how the solubility of {subjects[0].name} changes with temperature is not known here"
                )
            first_hot = statement.text.lower().find("hot") < statement.text.lower().find("cold")
            more = statement.more or 1
            yes = (rise > 1.0) == ((more > 0) == first_hot)
            return Found(yes != statement.denied, f"{subjects[0].name} dissolves {rise:.3g} times as much hot as cold")
        others = [
            s
            for i in statement.objects
            if (s := self.about.substance(i)) is not None and not (key == "solubility" and s.id == self.about.water)
        ]
        if not others:
            others = [
                s
                for i in self.about.everything
                if i not in statement.subjects and (s := self.about.substance(i)) is not None
            ]
        if not others and not statement.more:
            subjects, others = subjects[:1], subjects[1:]
        if not subjects or not others:
            return None
        if key == "reactivity":
            return self._more_reactive(subjects, others, statement)
        mine = [self._ranked(key, s, hot) for s in subjects]
        theirs = [self._ranked(key, s, hot) for s in others]
        label = key.replace("_", " ")
        lacking = [s.name for s, v in zip((*subjects, *others), (*mine, *theirs), strict=True) if v is None]
        if lacking:
            return Found(None, f"the {label} of {joined(lacking)} is not known here")
        words = joined(
            f"{label} of {s.name} {v[2]}" for s, v in zip((*subjects, *others), (*mine, *theirs), strict=True) if v
        )
        source = joined(dict.fromkeys(v[3] for v in (*mine, *theirs) if v and v[3]))
        if not statement.more:  # "about the same size": their ranges meet, or their ends are near
            alike = all(a[0] <= 2 * b[1] and b[0] <= 2 * a[1] for a in mine for b in theirs if a and b)
            return Found(alike != statement.denied, words, source)
        verdicts = []
        for a in mine:
            for b in theirs:
                assert a is not None and b is not None
                clear = a[0] > b[1] or a[1] < b[0] or (key == "size" and a[0] + a[1] != b[0] + b[1])
                verdicts.append((a[0] + a[1] > b[0] + b[1]) == (statement.more > 0) if clear else None)
        if any(v is None for v in verdicts):
            return Found(None, f"{words}: too near to say", source)
        return Found(all(verdicts) != statement.denied, words, source)

    def _more_reactive(
        self, subjects: Sequence[Substance], others: Sequence[Substance], statement: Statement
    ) -> Found | None:
        """Of two metals the one that a reagent takes, and the other not, is the more reactive."""

        def taken(one: Substance) -> dict[str, bool]:
            return {e.reagent: bool(e.yes) for e in one.reagents.get("dissolves_in_reagent", ()) if e.yes is not None}

        for one in subjects:
            for two in others:
                mine, theirs = taken(one), taken(two)
                apart = next((r for r in mine if r in theirs and mine[r] != theirs[r]), "")
                if not apart:
                    return Found(None, f"which of {one.name} and {two.name} is the more reactive is not known here")
                if mine[apart] != (statement.more > 0) != statement.denied:
                    does, does_not = (one, two) if mine[apart] else (two, one)
                    reagent = self.about.composer.name(apart)
                    return Found(False, f"{does.name} dissolves in {reagent}, {does_not.name} does not")
        return Found(True, f"{joined(s.name for s in subjects)}: {'more' if statement.more > 0 else 'less'} reactive")

    def _ranked(self, key: str, one: Substance, hot: bool) -> tuple[float, float, str, str] | None:
        if key != "solubility":
            value = self.value(key, one)
            if value is None and key == "boiling_point":
                decomposes, melts = one.values.get("decomposition_point"), one.values.get("melting_point")
                low = next((v for v in (decomposes, melts) if v is not None and v.number is not None), None)
                if low is not None and low.number is not None and one.phase == "solid":
                    return low.number, float("inf"), f"above {low.text}", low.source
            return value
        water = self.about.substance(self.about.water)
        if water is None:
            return None
        _, number, evidence = self.about.known.grade(one, water, _HOT) if hot else self.about.known.grade(one, water)
        return None if number is None else (number, number, show(number, "solubility"), source_of(evidence))

    def gap(self, statement: Statement) -> Found | None:
        """ "44 °C apart", "less than 25 degrees apart": of two boiling points."""
        pair = [s for i in statement.subjects if (s := self.about.substance(i)) is not None]
        points = [(s, p) for s in pair if (p := self.about.known.boiling_point(s)) is not None]
        if len(points) != 2:
            return Found(None, "the two boiling points are not both known here")
        (one, (a, first)), (two, (b, second)) = points
        gap, claimed = abs(a - b), statement.numbers[0][0]
        words = f"{one.name} {show(a, 'temperature')}, {two.name} {show(b, 'temperature')}: {gap:.0f} K apart"
        source = joined(dict.fromkeys(e.source for e in (first, second) if e.source))
        near, told = self.about.tolerances["gap"], self.about.tolerances["boiling_point"]
        if statement.more:
            if abs(gap - claimed) <= near:
                return Found(None, f"{words}, too near the limit to say", source)
            return Found(((gap > claimed) == (statement.more > 0)) != statement.denied, words, source)
        return Found(
            (abs(gap - claimed) <= told) != statement.denied, words, source, show(told, "temperature difference")
        )

    def percent(self, statement: Statement) -> Found | None:
        """A share of a named mixture: "air is about 21 % oxygen"."""
        mixture = self.about.composer.question.mixture
        named = mixture.named
        claimed = statement.numbers[0][0] / 100.0
        shares = {c.substance: c.share for c in mixture.components if c.share is not None}
        if not named or not shares:
            return Found(None, "the shares of the parts are not known here")
        dissolved = {c.substance for c in mixture.components if c.form == "dissolved"}
        for ident in statement.subjects:
            share = shares.get(ident)
            if share is None:
                continue
            if (
                len(dissolved) > 1
                and ident in dissolved
                and any(c.substance not in dissolved for c in mixture.components)
            ):
                share = sum(
                    shares.get(i) or 0.0 for i in dissolved
                )  # "salt" of sea water is all that is dissolved in it
            name = self.about.composer.name(ident)
            return Found(
                (abs(share - claimed) <= max(0.1 * share, 0.005)) != statement.denied,
                f"{name} in {mixture.name or named}: {100 * share:.2g} %",
            )
        return Found(None, "the share of that part is not known here")
