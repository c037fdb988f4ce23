"""Describe: turn a mixture and what the table knows into the facts the rules ask about.

Everything a rule may need is worked out here once for a mixture: boiling points at the local pressure, gaps, which
liquids mix, how many layers, what dissolves in what, what settles. Nothing is guessed: what the table does not hold is
"unknown" (words) or None (numbers).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from choosemethod.chemistry.solubility import at_temperature
from choosemethod.chemistry.vapour_pressure import OutOfRange, antoine_boiling_point, boiling_point_by_trouton
from choosemethod.facts import UNKNOWN, Evidence, Fact, SlotValue
from choosemethod.mixture import STANDARD_PRESSURE, Component, Mixture, Question
from choosemethod.quantity import show, temperature_or_none
from choosemethod.table.model import Danger, Substance, Value
from choosemethod.table.table import Table

__all__ = ["Bench", "Limits", "Solvent", "keys_of"]

ROOM = 293.15  # K, the 20 °C of the solubility terms
_COLOURLESS = ("colourless", "white", "colorless", "transparent", "clear")
_DANGERS = ("none", "caution", "no-acid", "no-heat", "refuse")
_HELD = ("suspended", "colloidal", "emulsified", "dissolved", "airborne", "embedded")


class Solvent(NamedTuple):
    """A liquid the bench may add: its place in the list and what it is used for."""

    id: str
    order: float
    use: tuple[str, ...]


class Limits(NamedTuple):
    """What rules/ says about the bench.

    values: the named limits in SI units; solvents: the liquids it may add; hazard_groups: GHS codes by group;
    water: id of the ordinary solvent; inert: property -> classes that reagents of that property leave alone;
    scale: the solubility words with their bounds in g/100 g, least soluble last as the table's schema lists them;
    granular: kinds of coarse material that are sieved, and classes of powders that are not;
    dirt: classes of fine particles that are cleared away and never kept as a sol.
    """

    values: Mapping[str, float]
    solvents: tuple[Solvent, ...]
    hazard_groups: Mapping[str, frozenset[str]]
    water: str
    inert: Mapping[str, tuple[str, ...]]
    scale: tuple[tuple[str, float | None, float | None], ...]
    granular: tuple[tuple[str, ...], tuple[str, ...]]
    dirt: tuple[str, ...]


def keys_of(components: Sequence[Component]) -> list[str]:
    """A key for each component: its substance id, with its form added where the substance occurs twice."""
    ids = [component.substance for component in components]
    keys: list[str] = []
    for component in components:
        key = component.substance if ids.count(component.substance) == 1 else f"{component.substance}|{component.form}"
        while key in keys:
            key += "+"
        keys.append(key)
    return keys


def _yes(flag: bool | None) -> str:
    return UNKNOWN if flag is None else "yes" if flag else "no"


class Bench:
    """The facts of mixtures of one question: the table, the limits and the setting, with what was worked out kept."""

    def __init__(self, table: Table, limits: Limits, question: Question) -> None:
        self.table = table
        self.limits = limits
        self.question = question
        self.pressure = question.setting.pressure
        self._words: dict[str, tuple[float | None, float | None]] = {
            word: (low, high) for word, low, high in limits.scale
        }
        self._pure: dict[str, tuple[dict[str, SlotValue], dict[str, Evidence]]] = {}
        self._between: dict[tuple[str, str], tuple[dict[str, SlotValue], dict[str, Evidence]]] = {}
        self._facts: dict[tuple[Component, ...], dict[str, list[Fact]]] = {}
        self._all_dangers: tuple[Danger, ...] | None = None
        self._matching: dict[str, frozenset[tuple[int, int]]] = {}
        self._pair_rows: dict[str, tuple[Mapping[str, str], ...]] = {}

    # ---- one substance -------------------------------------------------------------------------------------------

    def _evidence(self, value: Value, shown: str = "") -> Evidence:
        how = "given" if value.source == "given" else "from memory" if value.source == "memory" else "measured"
        return Evidence(
            shown or value.text, how, value.source, value.note, f"{value.file}:{value.line}" if value.file else ""
        )

    def boiling_point(self, substance: Substance) -> tuple[float, Evidence] | None:
        """Boiling point (K) at the local pressure with its evidence; None if the table holds none."""
        value = substance.values.get("boiling_point") or substance.values.get("condensation_point")
        if value is None or value.number is None:
            return None
        if abs(self.pressure - STANDARD_PRESSURE) < 1.0:
            return value.number, self._evidence(value)
        law = substance.vapour_pressure
        if law is not None:
            try:
                found = antoine_boiling_point(self.pressure, law.a, law.b, law.c)
            except OutOfRange:
                found = 0.0
            if law.low <= found <= law.high:
                shift = value.number - antoine_boiling_point(STANDARD_PRESSURE, law.a, law.b, law.c)
                found += shift  # keep the measured normal boiling point, take the change from the equation
                note = f"at {show(self.pressure, 'pressure')}, from its vapour-pressure equation"
                return found, Evidence(show(found, "temperature"), "computed", law.source, note)
        found = boiling_point_by_trouton(value.number, self.pressure)
        note = f"at {show(self.pressure, 'pressure')}, estimated by Trouton's rule from {value.text}"
        return found, Evidence(show(found, "temperature"), "estimated", value.source, note)

    def grade(
        self, solute: Substance, solvent: Substance, at: float = ROOM
    ) -> tuple[str, float | None, Evidence | None]:
        """Word of the solubility scale for a solute in a liquid, the number (kg/kg) if known, and the evidence."""
        entry = solute.solubility.get(solvent.id)
        if entry is None:
            if solute.phase == "liquid" and solvent.phase == "liquid":
                word, evidence = self.mixes(solute, solvent)
                named = {"fully": "miscible", "no": "insoluble", "partly": "slightly soluble"}.get(word, UNKNOWN)
                return named, None, evidence
            family = self.table.family(solvent.id)
            if family:
                for other, kin in solute.solubility.items():
                    if self.table.family(other) == family and kin.word:
                        note = f"taken from {self.table.substance(other).name}, a liquid of the same family"
                        return kin.word, None, Evidence(kin.word, "estimated", kin.source, note)
            for kind in solvent.classes:
                inert = self.limits.inert.get(f"in {kind}", ())
                own = next((word for word in (*solute.classes, solute.kind) if word in inert), "")
                if own and solute.phase == "solid":
                    return (
                        "insoluble",
                        None,
                        Evidence("insoluble", "by kind", "common-practice", f"{own}, in a liquid of the kind {kind}"),
                    )
            return UNKNOWN, None, None
        place = f"{entry.file}:{entry.line}" if entry.file else ""
        how = "given" if entry.source == "given" else "from memory" if entry.source == "memory" else "measured"
        number = at_temperature(entry.points, at)
        if number is None:
            word = entry.word or (self._word(entry.points[0][1]) if entry.points else UNKNOWN)
            return word, None, Evidence(word, how, entry.source, entry.note, place)
        text = f"{show(number, 'solubility')} at {show(at, 'temperature')}"
        return self._word(number), number, Evidence(text, how, entry.source, entry.note, place)

    def _word(self, number: float) -> str:
        amount = number * 100.0
        for word, (low, high) in self._words.items():
            if (
                (low is not None or high is not None)
                and (low is None or amount >= low)
                and (high is None or amount < high)
            ):
                return word
        return UNKNOWN

    def dissolves(self, solute: Substance, solvent: Substance) -> bool | None:
        """Whether a solid dissolves in a liquid at 20 °C by the limit; None if not known."""
        word, number, _ = self.grade(solute, solvent)
        if number is not None:
            return number >= self.limits.values["dissolves"]
        if word in ("miscible",):
            return True
        if word in ("disperses", "reacts"):
            return False
        low, high = self._words.get(word, (None, None))
        if low is None and high is None:
            return None
        return (low or 0.0) / 100.0 >= self.limits.values["dissolves"] - 1e-9

    def _hazard(self, substance: Substance, group: str) -> str:
        value = substance.values.get("hazards")
        if value is None:
            return UNKNOWN
        return _yes(any(code in self.limits.hazard_groups[group] for code in value.words))

    def pure(self, ident: str) -> tuple[dict[str, SlotValue], dict[str, Evidence]]:
        """The slots a substance has by itself, and their evidence."""
        found = self._pure.get(ident)
        if found is not None:
            return found
        substance = self.table.substance(ident)
        slots: dict[str, SlotValue] = {
            "substance": ident,
            "name": substance.name,
            "phase": substance.phase or UNKNOWN,
            "kind": substance.kind,
            "classes": substance.classes,
            "given": _yes(substance.given),
            "ordinary": _yes(ident == self.limits.water),
        }
        evidence: dict[str, Evidence] = {}
        values = substance.values
        for name in ("melting_point", "decomposes_at", "flash_point", "density"):
            value = values.get(name)
            slots[name] = None if value is None or value.number is None else float(value.number)
            if value is not None:
                evidence[name] = self._evidence(value)
                if value.number is not None and value.high is not None and value.high > value.number:
                    slots[name] = (value.number + value.high) / 2
        for name in (
            "sublimes", "magnetic", "blown_by_air", "floats_on_water", "wetted_by", "conducts_electricity",
            "heat_sensitive", "acid_base", "molecule_size", "steam_volatile", "peroxide_former", "school_use",
        ):  # fmt: skip
            value = values.get(name)
            slots[name] = value.words[0] if value is not None and value.words else UNKNOWN
            if value is not None:
                evidence[name] = self._evidence(value)
        size = values.get("particle_size")
        slots["size_low"] = size.number if size is not None else None
        slots["size_high"] = size.high if size is not None else None
        if size is not None:
            evidence["size_low"] = evidence["size_high"] = self._evidence(size)
        colour = values.get("colour")
        text = colour.text.lower() if colour is not None else ""
        slots["colour"] = colour.text if colour is not None else UNKNOWN
        slots["coloured"] = _yes(not text.startswith(_COLOURLESS)) if colour is not None else UNKNOWN
        if colour is not None:
            evidence["colour"] = evidence["coloured"] = self._evidence(colour)
        hazards = values.get("hazards")
        for group in self.limits.hazard_groups:
            slots[group.replace("-", "_")] = self._hazard(substance, group)
            if hazards is not None:
                evidence[group.replace("-", "_")] = self._evidence(hazards, ", ".join(hazards.words))
        hydrate = values.get("hydrate_formula")
        slots["hydrate"] = _yes(hydrate is not None) if "ionic" in substance.classes or hydrate else "no"
        slots["hydrate_formula"] = hydrate.text if hydrate is not None else ""
        boiling = self.boiling_point(substance)
        slots["boiling_point"] = None if boiling is None else boiling[0]
        stated = values.get("boiling_point")
        slots["boiling_range"] = None
        if stated is not None and stated.number is not None and stated.high is not None:
            slots["boiling_range"] = float(stated.high - stated.number)
        if boiling is not None:
            evidence["boiling_point"] = boiling[1]
        spoils = slots["decomposes_at"]
        clean: bool | None = None
        if boiling is not None:
            too_high = boiling[0] > self.limits.values["practical-boiling"]
            clean = not too_high and not (isinstance(spoils, float) and spoils <= boiling[0] + 5.0)
        elif isinstance(spoils, float):
            clean = False
        slots["boils_undecomposed"] = _yes(clean)
        if clean is not None:
            deciding = values.get("decomposes_at") if boiling is None or not clean else None
            evidence["boils_undecomposed"] = (
                self._evidence(deciding)
                if deciding is not None
                else boiling[1]
                if boiling is not None
                else Evidence("", "", "")
            )
        water = self.limits.water
        if ident == water:
            slots["in_water"], slots["water_soluble"] = "miscible", "no"
        else:
            word, _number, shown = self.grade(substance, self.table.substance(water))
            slots["in_water"] = word
            slots["water_soluble"] = _yes(self.dissolves(substance, self.table.substance(water)))
            if shown is not None:
                evidence["in_water"] = evidence["water_soluble"] = shown
        slots.update(self._curve(substance, water, evidence))
        self._pure[ident] = slots, evidence
        return self._pure[ident]

    def _curve(self, substance: Substance, solvent: str, evidence: dict[str, Evidence]) -> dict[str, SlotValue]:
        entry = substance.solubility.get(solvent)
        out: dict[str, SlotValue] = {"solubility": None, "hot_solubility": None, "solubility_rise": None}
        if entry is None or not entry.points:
            return out
        cold = at_temperature(entry.points, ROOM)
        hot_at, hot = entry.points[-1]
        out["solubility"] = cold
        if cold is not None:
            evidence["solubility"] = Evidence(
                f"{show(cold, 'solubility')} at 20 °C", "measured", entry.source, entry.note
            )
        if len(entry.points) > 1 and hot_at > ROOM + 20.0:
            out["hot_solubility"] = hot
            evidence["hot_solubility"] = Evidence(
                f"{show(hot, 'solubility')} at {show(hot_at, 'temperature')}", "measured", entry.source, entry.note
            )
            if cold:
                out["solubility_rise"] = hot / cold
        return out

    def _rows(self, kind: str) -> tuple[Mapping[str, str], ...]:
        """All rows of one kind of pairs, read once."""
        found = self._pair_rows.get(kind)
        if found is None:
            found = self._pair_rows[kind] = self.table.pairs(kind)
        return found

    # ---- two substances ------------------------------------------------------------------------------------------

    def mixes(self, a: Substance, b: Substance) -> tuple[str, Evidence | None]:
        """Whether two liquids mix: fully, partly, no or unknown; measured row, then the solubility entries, then estimates."""
        row = self.table.pair("miscibility", a.id, b.id)
        if row is not None:
            text = {"fully": "mix in all proportions", "partly": "mix only partly", "no": "do not mix"}.get(
                row["mixes"], ""
            )
            if row["mixes"] == "partly" and row.get("first_in_second"):
                text += f" ({row['first_in_second']} and {row.get('second_in_first', 'not known')})"
            how = "from memory" if row.get("source") == "memory" else "measured"
            return row["mixes"], Evidence(text, how, row.get("source", ""))
        for one, other in ((a, b), (b, a)):
            entry = one.solubility.get(other.id)
            if entry is None:
                continue
            how = "given" if entry.source == "given" else "from memory" if entry.source == "memory" else "measured"
            if entry.word == "miscible":
                return "fully", Evidence("mix in all proportions", how, entry.source, entry.note)
            word, number, _ = self.grade(one, other)
            if word in ("insoluble", "very slightly soluble"):
                return "no", Evidence("do not mix", how, entry.source, entry.note)
            if word in ("slightly soluble", "sparingly soluble", "soluble"):
                text = f"mix only partly ({show(number, 'solubility')})" if number else "mix only a little"
                return "partly", Evidence(text, how, entry.source, entry.note)
            if word in ("freely soluble", "very soluble") and number is None:
                return "fully", Evidence("mix", how, entry.source, entry.note)
        row = self.table.pair("estimates", a.id, b.id)
        if row is not None and row.get("layers"):
            word = "fully" if row["layers"] == "1" else "partly"
            return word, Evidence(
                "mix" if word == "fully" else "form two layers",
                "estimated",
                row.get("source", ""),
                row.get("estimate", ""),
            )
        if a.given or b.given:
            boils = [substance.values.get("boiling_point") for substance in (a, b)]
            if all(value is not None and value.number is not None for value in boils):
                note = "nothing is said about it; two liquids told apart by their boiling points are taken to mix"
                return "fully", Evidence("taken to mix", "estimated", "given", note)
            dense = [substance.values.get("density") for substance in (a, b)]
            if a.given and b.given and boils == [None, None] and all(value is not None for value in dense):
                note = "nothing is said about it; two liquids told apart by their densities are taken to form layers"
                return "no", Evidence("taken not to mix", "estimated", "given", note)
        families = self.table.family(a.id), self.table.family(b.id)
        if all(families):
            word = self.table.family_mixes(*families)
            if word:
                note = f"a {families[0]} with a {families[1]}"
                text = {"fully": "mix", "partly": "mix only partly", "no": "do not mix"}[word]
                return word, Evidence(text, "by family", "common-practice", note)
        return UNKNOWN, None

    def _azeotrope(self, a: Substance, b: Substance) -> tuple[dict[str, SlotValue], Evidence | None]:
        row = self.table.pair("azeotropes", a.id, b.id)
        if row is not None:
            at = temperature_or_none(row.get("at", ""))
            mass = _fraction(row.get("first_mass", ""))
            if mass is not None and row.get("swapped") == "yes":
                mass = 1.0 - mass
            text = f"{row['kind']} azeotrope"
            if at is not None:
                text += f" at {show(at, 'temperature')}"
            if mass is not None:
                text += f", {100 * mass:.1f} % {a.name} by mass"
            how = "from memory" if row.get("source") == "memory" else "measured"
            return (
                {"azeotrope": row["kind"], "azeotrope_at": at, "azeotrope_first_mass": mass, "azeotrope_how": how},
                Evidence(text, how, row.get("source", "")),
            )
        none: dict[str, SlotValue] = {"azeotrope_at": None, "azeotrope_first_mass": None}
        row = self.table.pair("non-azeotropes", a.id, b.id)
        if row is not None:
            return {"azeotrope": "none", "azeotrope_how": "measured", **none}, Evidence(
                "no azeotrope", "measured", row.get("source", "")
            )
        row = self.table.pair("estimates", a.id, b.id)
        if row is not None and row.get("azeotrope"):
            text = "no azeotrope" if row["azeotrope"] == "none" else f"{row['azeotrope']} azeotrope"
            at = temperature_or_none(row.get("at", ""))
            found: dict[str, SlotValue] = {
                **none,
                "azeotrope": row["azeotrope"],
                "azeotrope_how": "estimated",
                "azeotrope_at": at,
            }
            return found, Evidence(text, "estimated", row.get("source", ""), row.get("estimate", ""))
        return {"azeotrope": UNKNOWN, "azeotrope_how": UNKNOWN, **none}, None

    def _known_dangers(self) -> tuple[Danger, ...]:
        if self._all_dangers is None:
            self._all_dangers = (*self.table.dangers(), *self.table.dangers_between_several())
        return self._all_dangers

    def _members(self, substance: Substance) -> frozenset[tuple[int, int]]:
        """Which member (number of the danger, place in it) a substance can be."""
        found = self._matching.get(substance.id)
        if found is None:
            found = self._matching[substance.id] = frozenset(
                (number, place)
                for number, row in enumerate(self._known_dangers())
                for place, who in enumerate((row.first, row.second, *row.more))
                if who is not None and _member(who, substance)
            )
        return found

    def danger(self, a: Substance, b: Substance) -> Danger | None:
        """The worst known danger of two substances together; None if none is listed."""
        rows = self._known_dangers()
        mine, theirs = self._members(a), self._members(b)
        worst: Danger | None = None
        for number, place in sorted(mine):
            row = rows[number]
            if row.second is None or row.more or place > 1 or (number, 1 - place) not in theirs:
                continue
            if worst is None or _DANGERS.index(row.severity) > _DANGERS.index(worst.severity):
                worst = row
        return worst

    def between(self, a: str, b: str) -> tuple[dict[str, SlotValue], dict[str, Evidence]]:
        """The slots two substances have together, and their evidence."""
        found = self._between.get((a, b))
        if found is not None:
            return found
        first, second = self.table.substance(a), self.table.substance(b)
        one, other = self.pure(a)[0], self.pure(b)[0]
        evidence: dict[str, Evidence] = {}
        slots: dict[str, SlotValue] = {}
        for slot, prop in (
            ("boiling_gap", "boiling_point"),
            ("melting_gap", "melting_point"),
            ("density_gap", "density"),
        ):
            low, high = one[prop], other[prop]
            slots[slot] = high - low if isinstance(low, float) and isinstance(high, float) else None
        rises = one["solubility_rise"], other["solubility_rise"]
        slots["solubility_ratio"] = (
            rises[0] / rises[1] if isinstance(rises[0], float) and isinstance(rises[1], float) else None
        )
        slots["miscibility"] = slots["azeotrope"] = UNKNOWN
        slots["miscibility_how"] = slots["azeotrope_how"] = UNKNOWN
        slots["azeotrope_at"] = slots["azeotrope_first_mass"] = None
        slots["same_substance"] = _yes(a == b)
        if {first.phase, second.phase} == {"solid", "liquid"} and self.mixes(first, second)[0] == "no":
            slots["miscibility"] = "no"  # what is melted floats or sinks in a liquid that does not dissolve it
        if first.phase == second.phase == "liquid" and a != b:
            word, shown = self.mixes(first, second)
            slots["miscibility"] = word
            if shown is not None:
                slots["miscibility_how"] = shown.how
                evidence["miscibility"] = shown
            more, shown = self._azeotrope(first, second)
            slots.update(more)
            if shown is not None:
                for slot in ("azeotrope", "azeotrope_at", "azeotrope_first_mass"):
                    evidence[slot] = shown
        slots["first_in_second"], slots["first_dissolves_in_second"] = UNKNOWN, UNKNOWN
        if second.phase == "liquid" and a != b:
            word, _number, shown = self.grade(first, second)
            slots["first_in_second"] = word
            slots["first_dissolves_in_second"] = _yes(self.dissolves(first, second))
            if shown is not None:
                evidence["first_in_second"] = evidence["first_dissolves_in_second"] = shown
        danger = self.danger(first, second) if a != b else None
        slots["danger"] = "none" if danger is None else danger.severity
        slots["danger_text"] = "" if danger is None else danger.danger
        if danger is not None:
            evidence["danger"] = evidence["danger_text"] = Evidence(danger.danger, "table", danger.source, danger.note)
        self._between[a, b] = slots, evidence
        return self._between[a, b]

    # ---- the mixture ---------------------------------------------------------------------------------------------

    def _layers(self, components: Sequence[Component], keys: Sequence[str]) -> tuple[dict[str, int], int | None]:
        """Liquid layer of each liquid (1 = bottom), and how many; None if some pair is not known to mix or not."""
        liquids = [(key, c) for key, c in zip(keys, components, strict=True) if c.form == "liquid" and not c.trace]
        if not liquids:
            return {}, 0
        groups: list[list[tuple[str, Component]]] = []
        sure = True

        # liquids that mix with everything are placed last, so that they join the layer they mix with first in the list
        def reach(item: tuple[str, Component]) -> tuple[int, str]:
            return sum(self._fully(item[1], other) for _, other in liquids), item[0]

        for key, component in sorted(liquids, key=reach):
            # between two layers that would take it, it goes into the watery one
            for group in sorted(groups, key=lambda g: all(member.substance != self.limits.water for _, member in g)):
                words = [self.between(component.substance, member.substance)[0]["miscibility"] for _, member in group]
                if any(word == UNKNOWN for word in words):
                    sure = False
                if all(word == "fully" for word in words):
                    group.append((key, component))
                    break
            else:
                groups.append([(key, component)])
        if not sure:
            return {}, None

        def density(group: list[tuple[str, Component]]) -> float:
            known = [self.pure(c.substance)[0]["density"] for _, c in group]
            numbers = [d for d in known if isinstance(d, float)]
            return sum(numbers) / len(numbers) if numbers else 0.0

        groups.sort(key=lambda group: (-density(group), group[0][0]))
        return {key: number for number, group in enumerate(groups, 1) for key, _ in group}, len(groups)

    def _fully(self, a: Component, b: Component) -> bool:
        return a.substance != b.substance and self.between(a.substance, b.substance)[0]["miscibility"] == "fully"

    def facts(self, components: tuple[Component, ...], mixture: Mixture | None = None) -> dict[str, list[Fact]]:
        """All facts of a mixture of these components, by kind."""
        found = self._facts.get(components)
        if found is None:
            found = self._facts[components] = self._describe(components, mixture or self.question.mixture)
        return found

    def _component(self, component: Component, key: str, hosts: Mapping[str, str], layers: Mapping[str, int]) -> Fact:
        slots, evidence = self.pure(component.substance)
        slots, evidence = dict(slots), dict(evidence)
        wish = self.question.wish
        asked = component.substance in wish.want
        slots.update(
            id=key,
            form=component.form,
            host=hosts.get(component.host, component.host),
            added=_yes(component.added),
            asked_for=_yes(asked),
            wanted=_yes((asked or not wish.want) and not component.added and component.substance not in wish.remove),
            to_remove=_yes(component.substance in wish.remove),
            role=component.role,
            trace=_yes(component.trace),
            reacted=_yes(bool(component.reacted)),
            share=component.share,
        )
        if component.size is not None:
            slots["size_low"], slots["size_high"] = component.size
            evidence["size_low"] = evidence["size_high"] = Evidence(show(component.size[0], "length"), "given", "given")
        low, high = slots["size_low"], slots["size_high"]
        slots["hand_size"] = _yes(low >= self.limits.values["hand-size"]) if isinstance(low, float) else UNKNOWN
        if component.form == "colloidal":
            slots["molecule_size"] = "large"  # a colloid is what a membrane holds back and filter paper does not
        slots["in_host"] = UNKNOWN
        slots["settles"] = slots["fine"] = UNKNOWN
        if component.host and self.table.has(component.host) and component.form in _HELD:
            host = self.table.substance(component.host)
            if host.phase == "liquid":
                word, _, shown = self.grade(self.table.substance(component.substance), host)
                slots["in_host"] = word
                if shown is not None:
                    evidence["in_host"] = shown
                if host.id != self.limits.water:
                    slots.update(self._curve(self.table.substance(component.substance), host.id, evidence))
            if component.form == "suspended":
                mine, theirs = slots["density"], self.pure(host.id)[0]["density"]
                if isinstance(low, float) and isinstance(mine, float) and isinstance(theirs, float):
                    slots["settles"] = _yes(low >= self.limits.values["settles-size"] and mine > theirs + 50.0)
                if isinstance(low, float):
                    high = slots["size_high"]
                    middle = (low * high) ** 0.5 if isinstance(high, float) else low  # most of it is near this size
                    slots["fine"] = _yes(middle < self.limits.values["filter-pore"])
        slots["layer"] = float(layers[key]) if key in layers else None
        if component.host and slots["layer"] is None:
            host_key = hosts.get(component.host, component.host)
            slots["layer"] = float(layers[host_key]) if host_key in layers else None
        return Fact("component", key, slots, evidence)

    def _describe(self, components: tuple[Component, ...], mixture: Mixture) -> dict[str, list[Fact]]:
        keys = keys_of(components)
        hosts = {
            c.substance: key for c, key in zip(components, keys, strict=True) if c.form in ("liquid", "gas", "solid")
        }
        layers, layer_count = self._layers(components, keys)
        singles = [self._component(c, key, hosts, layers) for c, key in zip(components, keys, strict=True)]
        holding = {str(fact.slots["host"]) for fact in singles}
        for fact in singles:
            fact.slots["carrier"] = _yes(fact.key in holding)
        live = [fact for fact in singles if fact.slots["trace"] == "no"]
        pairs = [self._pair(one, other) for one in live for other in live if one is not other]
        facts: dict[str, list[Fact]] = {"component": singles, "pair": pairs}
        facts["solvent"] = self._solvents(live)
        facts["extractant"] = self._extractants(live)
        facts["reagent"] = self._by_reagent(
            live, "dissolves_in_reagent", "reagent", ("solid", "suspended", "dissolved", "liquid")
        )
        facts["absorbent"] = self._by_reagent(live, "absorbed_by", "absorbent", ("gas",))
        facts["danger"] = self._dangers_of(live)
        facts["mesh"] = self._meshes(live)
        facts["dryer"] = self._dryers(live)
        facts["help"] = self._help(live)
        facts["finding"] = []
        facts["mixture"] = [self._whole(mixture, live, facts["danger"], layer_count)]
        return facts

    def _pair(self, one: Fact, other: Fact) -> Fact:
        a, b = str(one.slots["substance"]), str(other.slots["substance"])
        slots, evidence = self.between(a, b)
        slots = dict(slots)
        slots.update(id=f"{one.key} & {other.key}", first=one.key, second=other.key)
        low, high = other.slots["size_low"], one.slots["size_high"]
        slots["size_ratio"] = low / high if isinstance(low, float) and isinstance(high, float) and high > 0 else None
        slots["same_layer"] = (
            UNKNOWN
            if one.slots["layer"] is None or other.slots["layer"] is None
            else _yes(one.slots["layer"] == other.slots["layer"])
        )
        slots["at_azeotrope"] = _at_azeotrope(
            slots["azeotrope_first_mass"],
            one.slots["share"],
            other.slots["share"],
            self.limits.values["at-the-azeotrope"],
        )
        slots["beyond_azeotrope"] = _yes(self._beyond_azeotrope(slots, one, other))
        slots["holds"] = _yes(one.slots["host"] == other.key)
        slots["same_host"] = _yes(bool(one.slots["host"]) and one.slots["host"] == other.slots["host"])
        for name, value in one.slots.items():
            slots[f"first_{name}"] = value
        for name, value in other.slots.items():
            slots[f"second_{name}"] = value
        return Fact("pair", str(slots["id"]), slots, evidence)

    def _beyond_azeotrope(self, slots: Mapping[str, SlotValue], one: Fact, other: Fact) -> bool:
        """Whether a liquid that is not in excess is wanted purer, or drier, than its azeotrope with the other."""
        wish, mass = self.question.wish, slots["azeotrope_first_mass"]
        if slots["azeotrope"] not in ("minimum", "maximum") or not isinstance(mass, float):
            return False
        for fact, beside, reached in ((one, other, mass), (other, one, 1.0 - mass)):
            purity = wish.purity or (1.0 if wish.form == "dry" and beside.slots["ordinary"] == "yes" else 0.0)
            share = fact.slots["share"]
            scarce = share < reached if isinstance(share, float) else beside.slots["ordinary"] == "yes"
            if (
                fact.slots["substance"] in wish.want
                and scarce
                and purity > reached + self.limits.values["at-the-azeotrope"]
            ):
                return True
        return False

    def _whole(self, mixture: Mixture, live: Sequence[Fact], dangers: Sequence[Fact], layers: int | None) -> Fact:
        question = self.question
        forms = [str(fact.slots["form"]) for fact in live]

        def count(keep: Callable[[Mapping[str, SlotValue]], bool]) -> float:
            return float(sum(1 for fact in live if keep(fact.slots)))

        hot = [d for d in dangers if d.slots["severity"] in ("no-heat", "refuse")]
        slots: dict[str, SlotValue] = {
            "id": "mixture",
            "named": mixture.named,
            "name": mixture.name,
            "really": mixture.really,
            "note": mixture.note,
            "aim": question.wish.aim,
            "wish_form": question.wish.form,
            "components": float(len(live)),
            "asked": count(lambda s: s["added"] == "no"),
            "wanted_count": count(lambda s: s["asked_for"] == "yes"),
            "solids": float(forms.count("solid")),
            "liquids": float(forms.count("liquid")),
            "gases": float(forms.count("gas")),
            "dissolved": float(forms.count("dissolved")),
            "dissolved_solids": count(lambda s: s["form"] == "dissolved" and s["phase"] == "solid"),
            "dissolved_gases": count(lambda s: s["form"] == "dissolved" and s["phase"] == "gas"),
            "suspended": float(forms.count("suspended")),
            "colloidal": float(forms.count("colloidal")),
            "emulsified": float(forms.count("emulsified")),
            "airborne": float(forms.count("airborne")),
            "embedded": float(forms.count("embedded")),
            "magnetic": count(lambda s: s["magnetic"] == "strongly" and s["form"] in ("solid", "suspended")),
            "weakly_magnetic": count(lambda s: s["magnetic"] == "weakly" and s["form"] in ("solid", "suspended")),
            "subliming": count(lambda s: s["sublimes"] == "yes" and s["form"] == "solid"),
            "water_soluble": count(lambda s: s["water_soluble"] == "yes" and s["form"] == "solid"),
            "coloured_solutes": count(lambda s: s["coloured"] == "yes" and s["form"] in ("dissolved", "embedded")),
            "layers": None if layers is None else float(layers),
            "added": count(lambda s: s["added"] == "yes"),
            "ionic": count(lambda s: isinstance(s["classes"], tuple) and "ionic" in s["classes"]),
            "heat_danger": _yes(bool(hot)),
            "heat_danger_text": f"{hot[0].slots['names']}: {hot[0].slots['text']}" if hot else "",
            "pressure": question.setting.pressure,
            "reduced": _yes(question.setting.pressure < STANDARD_PRESSURE - 5000.0),
            "level": question.setting.level,
            "small": _yes(question.setting.small),
            "without": question.setting.without,
        }
        return Fact("mixture", "mixture", slots)

    def _liquid_slots(self, ident: str) -> dict[str, SlotValue]:
        slots = self.pure(ident)[0]
        toxic = "yes" if "yes" in (slots["toxic"], slots["carcinogenic"]) else "no"
        return {
            "id": ident,
            "name": slots["name"],
            "organic": _yes("organic" in self.table.substance(ident).classes),
            "flammable": slots["flammable"],
            "toxic": toxic,
            "boiling_point": slots["boiling_point"],
        }

    def _solvents(self, live: Sequence[Fact]) -> list[Fact]:
        """For loose solids: what each liquid of the list would dissolve and leave."""
        solids = [fact for fact in live if fact.slots["form"] in ("solid", "embedded")]
        if len(solids) < 1 or any(fact.slots["form"] in ("liquid", "gas") for fact in live):
            return []
        present = {fact.slots["substance"] for fact in live}
        out = []
        for solvent in self.limits.solvents:
            if "dissolving" not in solvent.use or solvent.id in present or not self.table.has(solvent.id):
                continue
            verdicts = {f.key: self.between(str(f.slots["substance"]), solvent.id)[0] for f in solids}
            groups = {
                word: tuple(k for k, s in verdicts.items() if s["first_dissolves_in_second"] == word)
                for word in ("yes", "no", UNKNOWN)
            }
            reacting = [
                k
                for k, s in verdicts.items()
                if s["first_in_second"] == "reacts" or s["danger"] in ("refuse", "no-acid")
            ]
            wanted = sum(1 for f in solids if f.key in groups["yes"] and f.slots["asked_for"] == "yes")
            slots: dict[str, SlotValue] = {
                **self._liquid_slots(solvent.id),
                **_three("dissolves", "leaves", groups),
                "dissolves_wanted": float(wanted),
                "leaves_organic": float(
                    sum(
                        1
                        for f in solids
                        if f.key in groups["no"]
                        and _has(f, "organic")
                        and f.slots["molecule_size"] != "large"
                        and not _has(f, "ionic")
                    )
                ),
                "order": solvent.order,
                "reacts": _yes(bool(reacting)),
            }
            if solvent.id == self.limits.water:
                slots["organic"] = "no"
            shown = {
                key: self.between(str(f.slots["substance"]), solvent.id)[1].get("first_in_second")
                for key, f in zip(verdicts, solids, strict=True)
            }
            evidence = {f"in {key}": item for key, item in shown.items() if item is not None}
            out.append(Fact("solvent", solvent.id, slots, evidence))
        return out

    def _extractants(self, live: Sequence[Fact]) -> list[Fact]:
        """For solutes in a liquid: what each liquid of the list that does not mix with it would take and leave."""
        out = []
        present = {fact.slots["substance"] for fact in live}
        for host in (fact for fact in live if fact.slots["form"] == "liquid"):
            solutes = [
                f
                for f in live
                if f.slots["host"] == host.key
                and f.slots["form"] == "dissolved"
                and f.slots["reacted"] == "no"
                and f.slots["phase"] != "gas"
            ]
            if not solutes:
                continue
            host_id = str(host.slots["substance"])
            for solvent in self.limits.solvents:
                if "extracting" not in solvent.use or solvent.id in present or not self.table.has(solvent.id):
                    continue
                pair = self.between(solvent.id, host_id)[0]
                if pair["miscibility"] not in ("no", "partly") or pair["danger"] not in ("none", "caution"):
                    continue
                groups: dict[str, tuple[str, ...]] = {}
                for fact in solutes:
                    word = self._prefers(str(fact.slots["substance"]), solvent.id, host_id)
                    groups[word] = (*groups.get(word, ()), fact.key)
                gap = pair["density_gap"]
                wanted = sum(1 for f in solutes if f.key in groups.get("yes", ()) and f.slots["asked_for"] == "yes")
                slots: dict[str, SlotValue] = {
                    **self._liquid_slots(solvent.id),
                    **_three("takes", "leaves", groups),
                    "takes_wanted": float(wanted),
                    "host": host.key,
                    "host_name": host.slots["name"],
                    "density_gap": -gap if isinstance(gap, float) else None,
                    "lower": _yes(gap < 0) if isinstance(gap, float) else UNKNOWN,
                    "order": solvent.order,
                }
                del slots["organic"]
                key = f"{solvent.id} from {host.key}"
                out.append(Fact("extractant", key, {**slots, "id": key, "substance": solvent.id}))
        return out

    def _prefers(self, solute: str, solvent: str, host: str) -> str:
        """Whether a solute goes from the host into an immiscible solvent: yes, no or unknown."""
        row = next(
            (
                r
                for r in self._rows("partition")
                if r.get("solute") == solute and {r.get("from"), r.get("into")} == {solvent, host}
            ),
            None,
        )
        if row is not None:
            ratio = _plain_number(row.get("ratio", ""))
            if ratio is not None:
                return _yes((ratio if row.get("into") == solvent else 1.0 / ratio) > 1.0)
        substance = self.table.substance(solute)
        if "ionic" in substance.classes or self.pure(solute)[0]["molecule_size"] == "large":
            return "no"
        there, here = (
            self.grade(substance, self.table.substance(solvent)),
            self.grade(substance, self.table.substance(host)),
        )
        if UNKNOWN in (there[0], here[0]) or there[0] == here[0] == "miscible":
            return self._by_octanol(solute, solvent, host)
        if there[1] is not None and here[1] is not None:
            return _yes(there[1] > here[1])
        order = list(self._words)
        order.remove("miscible") if "miscible" in order else None
        ranked = ["miscible", *order]
        if there[0] not in ranked or here[0] not in ranked or there[0] in ("disperses", "reacts"):
            return "no"
        return _yes(ranked.index(there[0]) < ranked.index(here[0])) if there[0] != here[0] else UNKNOWN

    def _by_octanol(self, solute: str, solvent: str, host: str) -> str:
        """The same for water and a liquid more like octan-1-ol than a hydrocarbon is, from log P; unknown between the limits."""
        row = next((r for r in self._rows("octanol-water") if r.get("solute") == solute), None)
        log_p = _plain_number(row.get("log_p", "")) if row is not None else None
        if log_p is None or host != self.limits.water or "hydrocarbon" in self.table.substance(solvent).classes:
            return UNKNOWN
        if log_p >= self.limits.values["log-p-organic"]:
            return "yes"
        return "no" if log_p <= self.limits.values["log-p-water"] else UNKNOWN

    def _by_reagent(self, live: Sequence[Fact], prop: str, kind: str, forms: tuple[str, ...]) -> list[Fact]:
        """For each reagent the table names for a component: which components it takes and which it leaves."""
        facts = [f for f in live if f.slots["form"] in forms and f.slots["reacted"] == "no"]
        substances = {f.key: self.table.substance(str(f.slots["substance"])) for f in facts}
        # a liquid counts only if something is known of it: the solvent that holds the rest need not be taken or left
        facts = [
            f
            for f in facts
            if f.slots["form"] != "liquid"
            or substances[f.key].reagents.get(prop)
            or (f.slots["substance"] != self.limits.water and self._left_alone(substances[f.key], "", prop) == "no")
        ]
        substances = {f.key: substances[f.key] for f in facts}
        entries = {key: {e.reagent: e for e in s.reagents.get(prop, ())} for key, s in substances.items()}
        reagents = sorted({r for found in entries.values() for r, e in found.items() if e.yes})
        positive, negative = ("dissolves", "leaves") if kind == "reagent" else ("takes", "leaves")
        out = []
        for reagent in reagents:
            if not self.table.has(reagent):
                continue
            groups: dict[str, tuple[str, ...]] = {}
            gives, gas = [], []
            for fact in facts:
                entry = entries[fact.key].get(reagent)
                word = _yes(entry.yes) if entry is not None else self._left_alone(substances[fact.key], reagent, prop)
                groups[word] = (*groups.get(word, ()), fact.key)
                if entry is not None and entry.yes:
                    gives.append(entry.gives)
                    gas.append(entry.gas)
            asked = sum(1 for f in facts if f.key in groups.get("yes", ()) and f.slots["asked_for"] == "yes")
            slots: dict[str, SlotValue] = {
                "id": reagent,
                "name": self.table.substance(reagent).name,
                **_three(positive, negative, groups),
            }
            slots["gives"] = " and ".join(dict.fromkeys(g for g in gives if g))
            if kind == "reagent":
                slots["destroys_wanted"] = float(asked)
                slots["gas"] = next((g for g in gas if g), "")
            else:
                slots["takes_wanted"] = float(asked)
            evidence = {
                f"on {key}": Evidence(e.gives or ("yes" if e.yes else "no"), "table", e.source, e.note)
                for key, found in entries.items()
                if (e := found.get(reagent)) is not None
            }
            out.append(Fact(kind, reagent, slots, evidence))
        return out

    def _left_alone(self, substance: Substance, reagent: str, prop: str) -> str:
        """What a reagent does to a substance the table names no reaction for: nothing known to happen counts as left alone
        only when the table lists reactions of that kind for it and this reagent is not among them, or none at all for an
        inert class; otherwise it is not known."""
        listed = substance.reagents.get(prop, ())
        if listed:
            return "no"
        inert = self.limits.inert.get(prop, ())
        slots = self.pure(substance.id)[0]
        words = [*substance.classes, substance.kind]
        if "organic" in substance.classes and slots["acid_base"] == "neutral" and slots["water_soluble"] == "no":
            words.append("neutral organic")
        return "no" if any(word in inert for word in words) else UNKNOWN

    def _dangers_of(self, live: Sequence[Fact]) -> list[Fact]:
        """The rows of the table of dangers that hold: each member is a different component. The worst first."""
        rows = self._known_dangers()
        substances = {fact.key: self.table.substance(str(fact.slots["substance"])) for fact in live}
        found: dict[int, dict[int, list[str]]] = {}
        for key, substance in substances.items():
            for number, place in self._members(substance):
                found.setdefault(number, {}).setdefault(place, []).append(key)
        out: list[Fact] = []
        for number in sorted(found):
            row = rows[number]
            size = 1 + (row.second is not None) + len(row.more)
            if len(found[number]) < size:
                continue
            fitting = [sorted(found[number][place]) for place in range(size)]
            if chosen := _assigned(fitting, substances):
                names = [str(next(f for f in live if f.key == key).slots["name"]) for key in chosen]
                slots: dict[str, SlotValue] = {
                    "id": f"danger {number}",
                    "severity": row.severity,
                    "text": row.danger,
                    "gives": row.gives,
                    "note": row.note,
                    "between": tuple(chosen),
                    "members": float(len(chosen)),
                    "names": " and ".join(names) if len(names) < 3 else ", ".join(names[:-1]) + " and " + names[-1],
                }
                out.append(
                    Fact(
                        "danger",
                        f"danger {number}",
                        slots,
                        {"text": Evidence(row.danger, "table", row.source, row.note)},
                    )
                )

        def worst_first(fact: Fact) -> tuple[int, int, str]:
            between = fact.slots["between"]
            return (
                -_DANGERS.index(str(fact.slots["severity"])),
                -len(between if isinstance(between, tuple) else ()),
                fact.key,
            )

        return sorted(out, key=worst_first)

    def _granular(self, live: Sequence[Fact], staying: set[str]) -> bool:
        kinds, ores = self.limits.granular
        for fact in live:
            classes = fact.slots["classes"]
            if isinstance(classes, tuple) and any(word in ores for word in classes):
                return False
            if fact.key in staying and fact.slots["kind"] not in kinds and fact.slots["hand_size"] != "yes":
                return False
        return True

    def _meshes(self, live: Sequence[Fact]) -> list[Fact]:
        """For loose solids: each sieve that lets the smaller ones through and holds all the others back."""
        solids = [f for f in live if f.slots["form"] == "solid"]
        sized: list[tuple[float, float, str]] = []
        for fact in solids:
            low, high = fact.slots["size_low"], fact.slots["size_high"]
            if isinstance(low, float) and isinstance(high, float):
                sized.append((high, low, fact.key))
        sized.sort()
        undecided = float(len(solids) - len(sized))
        out = []
        for index in range(1, len(sized)):
            passing, staying = sized[:index], sized[index:]
            largest, smallest = passing[-1][0], min(low for _, low, _ in staying)
            ratio = smallest / largest if largest > 0 else None
            if ratio is None or ratio < self.limits.values["sieve-ratio"]:
                continue
            slots: dict[str, SlotValue] = {
                "id": f"mesh {index}",
                "opening": (smallest * largest) ** 0.5,
                "passes": tuple(key for _, _, key in passing),
                "stays": tuple(key for _, _, key in staying),
                "passes_count": float(len(passing)),
                "stays_count": float(len(staying)),
                "undecided_count": undecided,
                "ratio": ratio,
                "granular": _yes(self._granular(live, {key for _, _, key in staying})),
            }
            shown = Evidence(f"between {show(largest, 'length')} and {show(smallest, 'length')}", "computed", "", "")
            out.append(Fact("mesh", f"mesh {index}", slots, {"opening": shown}))
        return out

    def _dryers(self, live: Sequence[Fact]) -> list[Fact]:
        water = self.limits.water
        if not any(f.slots["substance"] == water for f in live):
            return []
        out = []
        gases = [f for f in live if f.slots["form"] == "gas" and f.slots["substance"] != water]
        listed = {
            f.key: {e.reagent: e for e in self.table.substance(str(f.slots["substance"])).reagents.get("dried_by", ())}
            for f in live
        }
        for fact in live:
            if fact.slots["substance"] == water:
                continue
            for entry in listed[fact.key].values():
                if not self.table.has(entry.reagent):
                    continue
                others = [listed[f.key].get(entry.reagent) for f in gases] if fact in gases else []
                spoils = next((e for e in others if e is not None and not e.yes), None)  # it would take up another gas
                slots: dict[str, SlotValue] = {
                    "id": f"{entry.reagent} for {fact.key}",
                    "substance": entry.reagent,
                    "name": self.table.substance(entry.reagent).name,
                    "dries": fact.key,
                    "dries_name": fact.slots["name"],
                    "suits": _yes(entry.yes and spoils is None),
                    "because": entry.note or (spoils.note if spoils is not None else ""),
                }
                shown = Evidence("yes" if entry.yes else "no", "table", entry.source, entry.note)
                out.append(Fact("dryer", str(slots["id"]), slots, {"suits": shown}))
        return out

    def _help(self, live: Sequence[Fact]) -> list[Fact]:
        keys = {str(f.slots["substance"]): f.key for f in live}
        names: list[tuple[str, str, str, str, str, str]] = []
        for row in self._rows("solubility-effects"):
            solute, host, salt = row.get("solute", ""), row.get("from", ""), row.get("salt", "")
            if solute in keys and host in keys and self.table.has(salt):
                names.append((solute, host, "salting-out", salt, row.get("note", ""), row.get("source", "")))
        for row in self._rows("azeotrope-breaking"):
            a, b, agent = row.get("first", ""), row.get("second", ""), row.get("with", "")
            if a in keys and b in keys:
                names.append((a, b, row.get("by", ""), agent, row.get("note", ""), row.get("source", "")))
        out = []
        for place, (a, b, by, agent, note, source) in enumerate(names, 1):
            slots: dict[str, SlotValue] = {
                "id": f"{by} {place:03}: {agent} for {a}",  # in the order of the table, the usual agent first
                "first": keys[a],
                "second": keys[b],
                "by": by,
                "with": agent,
                "with_name": self.table.substance(agent).name if self.table.has(agent) else agent,
                "toxic": self._liquid_slots(agent)["toxic"] if self.table.has(agent) else UNKNOWN,
                "note": note,
            }
            out.append(Fact("help", str(slots["id"]), slots, {"note": Evidence(note, "table", source)}))
        return out


def _at_azeotrope(first_mass: SlotValue, first: SlotValue, second: SlotValue, within: float) -> str:
    """Whether given shares (fractions) are those of the azeotrope (mass fraction of the first), give or take `within`."""
    share = first if isinstance(first, float) else 1.0 - second if isinstance(second, float) else None
    if not isinstance(first_mass, float) or share is None:
        return UNKNOWN
    return _yes(abs(share - first_mass) <= within)


def _has(fact: Fact, word: str) -> bool:
    classes = fact.slots["classes"]
    return isinstance(classes, tuple) and word in classes


def _three(positive: str, negative: str, groups: Mapping[str, tuple[str, ...]]) -> dict[str, SlotValue]:
    named = {positive: groups.get("yes", ()), negative: groups.get("no", ()), "undecided": groups.get(UNKNOWN, ())}
    return {**named, **{f"{name}_count": float(len(ids)) for name, ids in named.items()}}


def _assigned(fitting: Sequence[Sequence[str]], substances: Mapping[str, Substance]) -> list[str]:
    """One component for each member of a danger, no substance twice; empty if that cannot be."""
    chosen: list[str] = []

    def place(index: int) -> bool:
        if index == len(fitting):
            return True
        for key in fitting[index]:
            if all(substances[key].id != substances[other].id for other in chosen):
                chosen.append(key)
                if place(index + 1):
                    return True
                chosen.pop()
        return False

    return chosen if place(0) else []


def _member(who: tuple[str, str], substance: Substance) -> bool:
    how, word = who
    if how == "substance":
        return substance.id == word
    return word in substance.classes if how == "class" else substance.kind == word


def _fraction(text: str) -> float | None:
    number = _plain_number(text.replace("mass", "").replace("%", "").strip())
    return None if number is None else number / 100.0


def _plain_number(text: str) -> float | None:
    try:
        return float(text.split()[0]) if text else None
    except ValueError:
        return None
