"""Truth: whether what an answer states is so, from the table and from the states the answer's own steps lead through."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from choosemethod.advice.compose import Composer
from choosemethod.advice.plan import Look, Proposal
from choosemethod.advice.wording import joined
from choosemethod.facts import UNKNOWN, Evidence, Fact
from choosemethod.judging.lexicon import Lexicon, Relation
from choosemethod.judging.statements import Statement
from choosemethod.mixture import STANDARD_PRESSURE
from choosemethod.quantity import UNITS, show
from choosemethod.table.model import Substance
from choosemethod.table.names import normalise

__all__ = ["Found", "Truth"]

Acted = Sequence[tuple[Look, Proposal]]
_HOT = 353.15  # K: what "hot water" is taken to be, common practice
_NEAR = 0.15  # of a solubility told in grams: how far a textbook may be off, common practice


class Found(NamedTuple):
    """Whether a statement is true (None: not known here), the value or fact it was held against, source, tolerance."""

    true: bool | None
    words: str
    source: str = ""
    tolerance: str = ""


class Truth:
    """Holds statements against one question's mixture."""

    def __init__(self, composer: Composer, lexicon: Lexicon, tolerances: dict[str, float]) -> None:
        self.composer = composer
        self.lexicon = lexicon
        self.tolerances = tolerances
        self.table = composer.table
        self.known = composer.bench.known
        self.water = composer.bench.limits.water
        self.components = composer.question.mixture.components
        self._start: list[Fact] | None = None
        self._names: dict[str, str] = {
            normalise(one.text): one.meanings[0]
            for one in composer.question.mentions
            if one.meanings and one.meanings[0] in self.everything
        }  # a name means what the question means by it

    @property
    def everything(self) -> tuple[str, ...]:
        """Ids of what is in the mixture; a lone ordinary solvent that only holds the rest counts too."""
        return tuple(dict.fromkeys(c.substance for c in self.components))

    def named(self, words: str) -> str:
        """Id of what words name: a part of the mixture first; "*" and the id for a named mixture; "" for nothing."""
        plain = normalise(words)
        if plain not in self._names:
            self._names[plain] = self._look_up(plain, words)
        return self._names[plain]

    def _look_up(self, plain: str, words: str) -> str:
        name = self.table.name(plain, "substance") if plain else None
        mine = self.everything
        if name is not None and name.id in mine:
            return name.id
        mixture = self.table.name(plain, "mixture") if plain else None
        if mixture is not None:
            return f"*{mixture.id}"
        held = [ident for ident in mine if self._is_called(ident, plain, exact=name is not None)]
        if len(held) == 1:
            return held[0]
        if name is None and words[:1].isupper():
            name = self.table.formula(words)
        return name.id if name is not None else ""

    def _is_called(self, ident: str, plain: str, exact: bool) -> bool:
        """Whether words are part of a name of a component; of its own name's end only, if they name something themselves."""
        one = self.substance(ident)
        if one is not None and exact:
            return set(plain.split()) < set(normalise(one.name).split())
        names = [one.name, *one.also] if one is not None else [ident.replace("-", " ")]
        return any(set(plain.split()) <= set(normalise(name).split()) for name in names)

    def facts(self) -> list[Fact]:
        """The component facts of the question's mixture."""
        if self._start is None:
            self._start = self.composer.planner.look(self.composer.planner.start()).facts["component"]
        return self._start

    def substance(self, ident: str) -> Substance | None:
        """The substance of an id, None if there is none."""
        return self.table.substance(ident) if ident and self.table.has(ident) else None

    # ---- one statement -------------------------------------------------------------------------------------------

    def of(self, statement: Statement, acted: Acted = ()) -> Found | None:
        """Whether a statement is true; None if it is nothing that can be checked. acted: the steps the answer takes."""
        if statement.unknown:
            return Found(None, f"{statement.unknown!r} is not known here")
        if statement.relation == "percent":
            return self._percent(statement)
        statement = statement._replace(
            subjects=self._opened(statement.subjects), objects=self._opened(statement.objects)
        )
        kind, _, key = statement.relation.partition(":")
        if kind == "number":
            return self._number(key, statement)
        if kind == "compare":
            return self._compare(key, statement)
        if kind == "gap":
            return self._gap(statement)
        relation = self.lexicon.relations[kind]
        if relation.says == "part":
            return self._part(relation, statement, acted)
        if (
            relation.of
            and statement.group == ""
            and (shown := self._part(relation, statement, acted, strict=True)) is not None
        ):
            return shown
        if relation.says == "reacts":
            return self._reacts(statement, acted)
        if relation.says == "layer" and (shown := self._part(relation, statement, acted, strict=True)) is not None:
            return shown
        if (
            relation.says == "dissolves"
            and statement.group == ""
            and (shown := self._in_step(statement, acted)) is not None
        ):
            return shown
        if relation.says == "layer":
            return self._each(statement, lambda s: self._layer(relation.place, s, statement))
        if relation.says == "phase":
            return self._each(statement, lambda s: Found(s.phase == relation.place, f"{s.name} is a {s.phase}"))
        if relation.says == "order":
            return self._order(relation.place, statement)
        if relation.says == "mixes":
            return self._mixes(statement)
        if relation.says == "taken":
            return self._taken(statement)
        if relation.says == "spoils":
            return self._each(statement, self._spoils)
        if relation.says == "azeotrope":
            return self._azeotrope(statement)
        if relation.says == "dissolves":
            return self._each(statement, lambda s: self._dissolves(s, statement))
        return self._each(statement, lambda s: self._flag(relation.says, s))

    def _opened(self, idents: Sequence[str]) -> tuple[str, ...]:
        """Ids with a named mixture replaced by those of its parts that are there."""
        out: list[str] = []
        for ident in idents:
            if ident.startswith("*"):
                out += [p.substance for p in self.table.mixture(ident[1:]).components if p.substance in self.everything]
            else:
                out.append(ident)
        return tuple(dict.fromkeys(out))

    def _each(self, statement: Statement, check: Callable[[Substance], Found | None]) -> Found | None:
        """A statement about each of its subjects, with both, neither and only."""
        subjects = [s for ident in statement.subjects if (s := self.substance(ident)) is not None]
        if not subjects:
            return None
        denied = statement.denied and statement.group != "neither"
        want = not (denied or statement.group == "neither")
        found: list[Found] = [f for s in subjects if (f := check(s)) is not None]
        if not found:
            return None
        if statement.group == "only":
            others = [
                s for i in self.everything if i not in statement.subjects and (s := self.substance(i)) is not None
            ]
            found += [
                f._replace(true=None if f.true is None else not f.true) for s in others if (f := check(s)) is not None
            ]
        words = joined(dict.fromkeys(f.words for f in found))
        source = joined(dict.fromkeys(f.source for f in found if f.source))
        if any(f.true is not None and f.true != want for f in found):
            return Found(False, words, source)
        if any(f.true is None for f in found):
            return Found(None, words, source)
        return Found(True, words, source)

    # ---- properties ----------------------------------------------------------------------------------------------

    def _flag(self, slot: str, one: Substance) -> Found | None:
        slots, evidence = self.known.pure(one.id)
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

    def _taken(self, statement: Statement) -> Found | None:
        """Whether an acid or alkali takes something out of an organic liquid: a base takes acids, an acid takes bases."""

        def side(ident: str) -> str:
            if self.substance(ident) is None:
                return ""
            word = str(self.known.pure(ident)[0].get("acid_base", UNKNOWN))
            return next((key for key, words in self.lexicon.sides.items() if word in words), "")

        if not statement.acted or len(statement.subjects) != 1:
            return None
        one = statement.subjects[0]
        mine, theirs = side(one), [(i, s) for i in statement.objects if (s := side(i)) and i not in self.everything]
        if not mine or not theirs or one not in self.everything:
            return None
        by, other = theirs[0]
        does = mine != other
        words = (
            f"{self.composer.name(by)} {'takes' if does else 'does not take'} {self.composer.name(one)} into the water"
        )
        return Found(does != statement.denied, words)

    def _spoils(self, one: Substance) -> Found:
        """Whether heating decomposes it below or at the temperature of a boiling solution or of its own boiling."""
        slots = self.known.pure(one.id)[0]
        heat, at = slots.get("heat_sensitive", UNKNOWN), slots.get("decomposes_at")
        if isinstance(at, float):
            return Found(True, f"{one.name} decomposes or chars from {show(at, 'temperature')}")
        if heat in ("yes", "no"):
            return Found(heat == "yes", f"{one.name} {'is spoiled' if heat == 'yes' else 'is not spoiled'} by heating")
        return Found(None, f"whether {one.name} decomposes when heated is not known here")

    def _dissolves(self, one: Substance, statement: Statement) -> Found | None:
        """In what is named, else in what the answer's mixture has as solvent, else in water."""
        liquids = [s for i in statement.objects if (s := self.substance(i)) is not None and s.phase == "liquid"]
        if one.phase == "liquid" and not liquids:
            return None
        if one.id == self.water:
            return None
        named = [i for i in (*statement.subjects, *statement.objects) if i != one.id and i not in self.everything]
        if not liquids and named and statement.acted:
            return Found(
                None, f"whether {joined(map(self.composer.name, named))} dissolves {one.name} is not known here"
            )
        two = liquids[0] if liquids else self.substance(self.water)
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
        yes = reagent if reagent is not None else self.known.dissolves(one, two)
        word, _, evidence = self.known.grade(one, two)
        if yes is None:
            return Found(None, f"whether {one.name} dissolves in {two.name} is not known here")
        shown = f" ({evidence.text})" if evidence is not None and evidence.text != word else ""
        return Found(
            yes,
            f"{one.name} in {two.name}: {word}{shown}"
            if reagent is None
            else f"{one.name} {'dissolves' if yes else 'does not dissolve'} in {two.name}",
            _source(evidence),
        )

    def _values(self, key: str, one: Substance) -> list[tuple[float, float, str, str]]:
        """Every value a claim may mean: a boiling point here, and the normal one."""
        found = [value] if (value := self._value(key, one)) is not None else []
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

    def _value(self, key: str, one: Substance) -> tuple[float, float, str, str] | None:
        """(lowest, highest, as shown, source) of a quantity of a substance in SI units."""
        if key == "boiling_point":
            local = self.known.boiling_point(one)
            if local is not None and abs(self.composer.bench.pressure - STANDARD_PRESSURE) >= 1.0:
                return local[0], local[0], local[1].text, local[1].source
        if key == "size":
            slots = next((f.slots for f in self.facts() if f.slots["substance"] == one.id), self.known.pure(one.id)[0])
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

    def _number(self, key: str, statement: Statement) -> Found | None:
        if key == "solubility":
            return self._grams(statement)
        subjects = [s for i in statement.subjects if (s := self.substance(i)) is not None]
        allowed = self.tolerances.get(key)
        if not subjects or allowed is None:
            return None
        dimension = self.lexicon.quantities[key].dimension
        label = key.replace("_", " ")
        values = [(s, v) for s in subjects if (v := self._value(key, s)) is not None]
        if len(values) < len(subjects):
            return Found(
                None,
                f"the {label} of {joined(s.name for s in subjects if self._value(key, s) is None)} is not known here",
            )
        claimed = [self._si(n, dimension) for n in statement.numbers]
        margin = [max(allowed, self._last_digit(n, dimension)) for n in statement.numbers]
        words = joined(f"{label} of {s.name}: {v[2]}" for s, v in values)
        source = joined(dict.fromkeys(v[3] for _, v in values if v[3]))
        shown = show(allowed, "temperature difference" if dimension == "temperature" else dimension)

        def near(value: tuple[float, float, str, str], number: float, by: float) -> bool:
            by = max(by, self.lexicon.relative.get(key, 0.0) * value[0])
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
        found = [s for i in (*statement.subjects, *statement.objects) if (s := self.substance(i)) is not None]
        solute = next((s for s in found if s.id != self.water), None)
        water = self.substance(self.water)
        if solute is None or water is None or not grams:
            return None
        told = grams[0] / (grams[1] if len(grams) > 1 and grams[1] else 100.0)
        _, number, evidence = self.known.grade(solute, water)
        if number is None:
            return Found(None, f"how much {solute.name} dissolves in water is not known here")
        return Found(
            abs(told - number) <= _NEAR * number,
            f"{solute.name} in water: {show(number, 'solubility')}",
            _source(evidence),
            f"{100 * _NEAR:.0f} %",
        )

    def _compare(self, key: str, statement: Statement) -> Found | None:
        hot = "hot" in statement.hint or "boiling" in statement.hint
        subjects = [s for i in statement.subjects if (s := self.substance(i)) is not None]
        if key == "solubility" and hot and "cold" in statement.hint and subjects:
            slots = self.known.pure(subjects[0].id)[0]
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
            if (s := self.substance(i)) is not None and not (key == "solubility" and s.id == self.water)
        ]
        if not others:
            others = [
                s for i in self.everything if i not in statement.subjects and (s := self.substance(i)) is not None
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
                    reagent = self.composer.name(apart)
                    return Found(False, f"{does.name} dissolves in {reagent}, {does_not.name} does not")
        return Found(True, f"{joined(s.name for s in subjects)}: {'more' if statement.more > 0 else 'less'} reactive")

    def _ranked(self, key: str, one: Substance, hot: bool) -> tuple[float, float, str, str] | None:
        if key != "solubility":
            value = self._value(key, one)
            if value is None and key == "boiling_point":
                decomposes, melts = one.values.get("decomposition_point"), one.values.get("melting_point")
                low = next((v for v in (decomposes, melts) if v is not None and v.number is not None), None)
                if low is not None and low.number is not None and one.phase == "solid":
                    return low.number, float("inf"), f"above {low.text}", low.source
            return value
        water = self.substance(self.water)
        if water is None:
            return None
        _, number, evidence = self.known.grade(one, water, _HOT) if hot else self.known.grade(one, water)
        return None if number is None else (number, number, show(number, "solubility"), _source(evidence))

    def _gap(self, statement: Statement) -> Found | None:
        """ "44 °C apart", "less than 25 degrees apart": of two boiling points."""
        pair = [s for i in statement.subjects if (s := self.substance(i)) is not None]
        points = [(s, p) for s in pair if (p := self.known.boiling_point(s)) is not None]
        if len(points) != 2:
            return Found(None, "the two boiling points are not both known here")
        (one, (a, first)), (two, (b, second)) = points
        gap, claimed = abs(a - b), statement.numbers[0][0]
        words = f"{one.name} {show(a, 'temperature')}, {two.name} {show(b, 'temperature')}: {gap:.0f} K apart"
        source = joined(dict.fromkeys(e.source for e in (first, second) if e.source))
        near, told = self.tolerances["gap"], self.tolerances["boiling_point"]
        if statement.more:
            if abs(gap - claimed) <= near:
                return Found(None, f"{words}, too near the limit to say", source)
            return Found(((gap > claimed) == (statement.more > 0)) != statement.denied, words, source)
        return Found(
            (abs(gap - claimed) <= told) != statement.denied, words, source, show(told, "temperature difference")
        )

    def _percent(self, statement: Statement) -> Found | None:
        """A share of a named mixture: "air is about 21 % oxygen"."""
        mixture = self.composer.question.mixture
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
            name = self.composer.name(ident)
            return Found(
                (abs(share - claimed) <= max(0.1 * share, 0.005)) != statement.denied,
                f"{name} in {mixture.name or named}: {100 * share:.2g} %",
            )
        return Found(None, "the share of that part is not known here")

    # ---- two and more --------------------------------------------------------------------------------------------

    def _liquids(self, idents: Sequence[str]) -> list[Substance]:
        return [s for i in idents if (s := self.substance(i)) is not None and s.phase == "liquid"]

    def _mixes(self, statement: Statement) -> Found | None:
        pair = self._liquids(tuple(dict.fromkeys((*statement.subjects, *statement.objects))))
        if len(pair) < 2:
            pair = self._liquids([c.substance for c in self.components])
        if len(pair) != 2:
            return None
        word, evidence = self.known.mixes(*pair)
        if word == UNKNOWN:
            return Found(None, f"whether {pair[0].name} and {pair[1].name} mix is not known here")
        words = {"fully": "mix completely", "partly": "mix only partly and form two layers", "no": "do not mix"}[word]
        denied = statement.denied or statement.group == "neither"
        return Found((word == "fully") != denied, f"{pair[0].name} and {pair[1].name} {words}", _source(evidence))

    def _azeotrope(self, statement: Statement) -> Found | None:
        pair = [
            s for i in dict.fromkeys((*statement.subjects, *statement.objects)) if (s := self.substance(i)) is not None
        ]
        if len(pair) != 2:
            pair = [s for i in self.everything if (s := self.substance(i)) is not None]
        if len(pair) != 2:
            return None
        slots, evidence = self.known.between(pair[0].id, pair[1].id)
        word = slots.get("azeotrope", UNKNOWN)
        if word == UNKNOWN:
            row = self.table.pair("azeotropes", pair[0].id, pair[1].id)
            if row is None:
                return Found(None, f"whether {pair[0].name} and {pair[1].name} form an azeotrope is not known here")
            word = row["kind"]
        shown = evidence.get("azeotrope")
        return Found(
            (word != "none") != statement.denied,
            f"{pair[0].name} and {pair[1].name}: {'no azeotrope' if word == 'none' else f'{word} azeotrope'}",
            _source(shown),
        )

    def _layer(self, place: str, one: Substance, statement: Statement) -> Found | None:
        """Which layer a liquid is; whether a solid floats or sinks in the liquid named or there, or in water."""
        mine = {str(f.slots["substance"]): f.slots.get("layer") for f in self.facts() if f.slots["form"] == "liquid"}
        if one.id in mine and len(mine) > 1:
            layers = sorted({layer for layer in mine.values() if isinstance(layer, float)})
            if any(not isinstance(layer, float) for layer in mine.values()):
                return Found(None, "how these liquids lie is not known here")
            if len(layers) < 2:
                return Found(False, "these liquids mix: there is one layer")
            shown = [self._value("density", s) for i in mine if (s := self.substance(i)) is not None]
            words = joined(f"density of {self.composer.name(i)} {v[2]}" for i, v in zip(mine, shown, strict=False) if v)
            wanted = layers[-1] if place == "top" else layers[0]
            return Found(mine[one.id] == wanted, words, joined(dict.fromkeys(v[3] for v in shown if v and v[3])))
        others = [s for s in self._liquids((*statement.objects, *mine, self.water)) if s.id != one.id]
        if not others:
            return None
        floats = str(self.known.pure(one.id)[0].get("floats_on_water", UNKNOWN))
        if others[0].id == self.water and floats != UNKNOWN and one.phase == "solid":
            return Found(
                (floats == "yes") == (place == "top"),
                f"{one.name} {'floats on' if floats == 'yes' else 'sinks in'} water",
            )
        a, b = self._value("density", one), self._value("density", others[0])
        if a is None or b is None:
            return Found(None, f"the density of {one.name if a is None else others[0].name} is not known here")
        if a[0] <= b[1] and b[0] <= a[1]:
            return Found(None, "the densities are too near to say")
        return Found(
            (a[0] < b[0]) == (place == "top"),
            f"density of {one.name} {a[2]}, of {others[0].name} {b[2]}",
            joined(dict.fromkeys(s for s in (a[3], b[3]) if s)),
        )

    def _order(self, place: str, statement: Statement) -> Found | None:
        """What comes over first: by boiling point among the liquids (or what is named beside it)."""
        among = [i for i in (statement.subjects + statement.objects) if i in self.everything] or list(
            statement.subjects
        )
        liquids = [c.substance for c in self.components if c.form in ("liquid", "gas")]
        if len(among) < 2:
            among = list(dict.fromkeys((*among, *liquids)))
        points = {
            i: p
            for i in among
            if (s := self.substance(i)) is not None and (p := self.known.boiling_point(s)) is not None
        }
        subject = statement.subjects[0]
        if subject not in points or len(points) < 2:
            return None
        wanted = (min if place == "first" else max)(points, key=lambda i: points[i][0])
        words = joined(f"{self.composer.name(i)} {show(p[0], 'temperature')}" for i, p in points.items())
        return Found(
            (wanted == subject) != statement.denied,
            f"boiling points: {words}",
            joined(dict.fromkeys(p[1].source for p in points.values() if p[1].source)),
        )

    def _in_step(self, statement: Statement, acted: Acted) -> Found | None:
        """Whether something dissolves in what a step of the answer brings in; None if no step brings in what is named."""
        for ident in statement.subjects:
            for _, proposal in acted:
                added = proposal.outcome.added
                named = [i for i in statement.objects if i != ident]
                if not added or added == self.water or (named and added not in named):
                    continue
                after = [c for product in proposal.outcome.products for c in product.components] or list(
                    proposal.outcome.whole
                )
                form = next((c for c in after if c.substance == ident and not c.trace), None)
                if form is None:
                    continue
                yes = form.form == "dissolved" or bool(form.reacted)
                words = f"{self.composer.name(ident)} {'dissolves' if yes else 'does not dissolve'} in {self.composer.name(added)}"
                return Found(yes != statement.denied, words)
        return None

    def _reacts(self, statement: Statement, acted: Acted) -> Found | None:
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
        return Found(yes != statement.denied, f"{self.composer.name(ident)} {'reacts' if yes else 'does not react'}")

    # ---- parts of steps ------------------------------------------------------------------------------------------

    def _part(self, relation: Relation, statement: Statement, acted: Acted, strict: bool = False) -> Found | None:
        """Whether something goes, stays, is removed or obtained in one of the steps that the answer takes."""
        verdicts: list[Found] = []
        implied = statement.implied and not strict
        inside = [c.substance for c in self.components if implied and c.host in statement.subjects]
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
            parts = self.lexicon.parts.get(slug)
            if parts is None or ((of := relation.of or statement.of) and slug not in of):
                continue
            kept = {product.part.key for product in proposal.outcome.products} & set(parts["stays"])
            if relation.side == "stays" and not kept:
                continue  # all of it comes over, one after the other
            side = relation.side or relation.place
            if side != "any" and side not in parts:
                continue
            wanted = parts["goes"] + parts["stays"] + parts["removes"] if side == "any" else parts[side]
            if relation.of and proposal.outcome.products and ident in self.everything:
                absent = not any(c.substance == ident for p in proposal.outcome.products for c in p.components)
            for product in proposal.outcome.products:
                if not any(c.substance == ident and not c.trace for c in product.components):
                    continue
                seen = True
                where = f"in {proposal.technique.name}, {self.composer.name(ident)} is in {product.part.name}"
                here = here or product.part.key in wanted
        if not seen and absent and not strict:
            return Found(statement.denied, f"{self.composer.name(ident)} has been taken out before that step")
        if not seen:
            return None if strict else self._by_property(relation, ident, statement)
        return Found(here != statement.denied, where)

    def _by_property(self, relation: Relation, ident: str, statement: Statement) -> Found | None:
        """Where no step of the answer says it: what is known of the substance alone."""
        one = self.substance(ident)
        if one is None or relation.side in ("removes", "any"):
            return None
        slots = self.known.pure(ident)[0]
        if relation.key in ("passes", "residue"):
            return self._through(relation, one, statement)
        if relation.key in ("comes-over", "stays-in-pot", "boils-off") and ident in self.everything:
            points = {
                c.substance: p[0]
                for c in self.components
                if (s := self.substance(c.substance)) is not None and (p := self.known.boiling_point(s)) is not None
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
        form = next((c.form for c in self.components if c.substance == one.id), one.phase)
        if form in ("liquid", "dissolved", "gas", "emulsified", "colloidal"):
            return Found((relation.side == "goes") != statement.denied, f"{one.name} passes through paper")
        sizes = {f.slots["substance"]: f.slots.get("size_high") for f in self.facts() if f.slots["form"] == "solid"}
        mine = sizes.get(one.id)
        known = [size for size in sizes.values() if isinstance(size, float)]
        if isinstance(mine, float) and len(known) > 1 and min(known) < max(known):
            fine = mine < max(known)
            return Found(
                (fine == (relation.side == "goes")) != statement.denied,
                f"{one.name}: pieces up to {show(mine, 'length')}",
            )
        return None


def _source(evidence: Evidence | None) -> str:
    return evidence.source if evidence is not None else ""
