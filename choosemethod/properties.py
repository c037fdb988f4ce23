"""Properties: what the rules may ask of a substance, and of two together, at one pressure.

Boiling points at the local pressure, gaps, solubility words, whether two liquids mix, azeotropes, dangers, each with
its evidence. Nothing is guessed: what the table does not hold is "unknown" (words) or None (numbers).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple
from weakref import WeakKeyDictionary

from choosemethod.chemistry.solubility import at_temperature
from choosemethod.chemistry.vapour_pressure import OutOfRange, antoine_boiling_point, boiling_point_by_trouton
from choosemethod.facts import UNKNOWN, Evidence, SlotValue, weakest, yes_no
from choosemethod.mixture import STANDARD_PRESSURE
from choosemethod.quantity import ROOM_TEMPERATURE, number_in, parse_number, show, temperature_or_none
from choosemethod.reactions import DANGERS, Reactions
from choosemethod.table.model import Danger, Substance, Value
from choosemethod.table.table import Table

__all__ = ["DANGERS", "Limits", "Properties", "Reaction", "Solvent", "properties", "worked_out"]

REMEMBERED = 4_000  # pairs kept, a bound on memory
_COUNTED = {2: "two", 3: "three", 4: "four"}
_COLOURLESS = ("colourless", "white", "colorless", "transparent", "clear")


class Solvent(NamedTuple):
    """A liquid the bench may add: its place in the list and what it is used for."""

    id: str
    order: float
    use: tuple[str, ...]
    not_with: tuple[str, ...] = ()  # classes of reagents that would attack it


class Reaction(NamedTuple):
    """What a reagent does to a substance. word: yes, no or unknown; gas: id of what goes off, "" for none."""

    reagent: str
    word: str
    source: str
    gives: str = ""
    gas: str = ""
    note: str = ""


class Limits(NamedTuple):
    """What rules/ says about the bench.

    values: the named limits in SI units; solvents: the liquids it may add; hazard_groups: GHS codes by group;
    water: id of the ordinary solvent; inert: property -> classes that reagents of that property leave alone;
    scale: the solubility words with their bounds in g/100 g, least soluble last as the table's schema lists them;
    granular: kinds of coarse material that are sieved, and classes of powders that are not;
    dirt: classes of fine particles that are cleared away and never kept as a sol;
    characters: acid or base character -> what reagents do to an organic substance of it.
    """

    values: Mapping[str, float]
    solvents: tuple[Solvent, ...]
    hazard_groups: Mapping[str, frozenset[str]]
    water: str
    inert: Mapping[str, tuple[str, ...]]
    scale: tuple[tuple[str, float | None, float | None], ...]
    granular: tuple[tuple[str, ...], tuple[str, ...]]
    dirt: tuple[str, ...]
    characters: Mapping[str, tuple[Reaction, ...]]


class Properties:
    """What a table says of substances at one pressure (Pa), with what was worked out kept."""

    def __init__(self, table: Table, limits: Limits, pressure: float) -> None:
        self.table = table
        self.limits = limits
        self.pressure = pressure
        self._words: dict[str, tuple[float | None, float | None]] = {
            word: (low, high) for word, low, high in limits.scale
        }
        self._pure: dict[str, tuple[dict[str, SlotValue], dict[str, Evidence]]] = {}
        self._between: dict[tuple[str, str], tuple[dict[str, SlotValue], dict[str, Evidence]]] = {}
        self.reactions = Reactions(table, limits.water)
        self._pair_rows: dict[str, tuple[Mapping[str, str], ...]] = {}

    # ---- one substance -------------------------------------------------------------------------------------------

    def evidence(self, value: Value, shown: str = "") -> Evidence:
        """The evidence of a value as the table holds it; `shown` for another text than its own."""
        return Evidence(
            shown or value.text,
            self.table.how(value.source),
            value.source,
            _agreed(value.note, value.agrees),
            f"{value.file}:{value.line}" if value.file else "",
        )

    def _hazard_evidence(self, value: Value, group: str) -> Evidence:
        """The evidence for or against a group of hazards: that of the source whose statements belong to the group."""
        codes = self.limits.hazard_groups[group]
        added = {word for _, words in value.besides for word in words}
        shown = ", ".join(value.words)
        if not any(word in codes for word in value.words if word not in added):
            for source, words in value.besides:
                if any(word in codes for word in words):
                    return self.stated(shown, source, value.note)
        return self.evidence(value, shown)

    def reagents(self, substance: Substance, prop: str) -> tuple[Reaction, ...]:
        """What reagents are known to do to a substance: as its entry lists them, else by its acid or base character."""
        listed = substance.reagents.get(prop, ())
        if listed or prop != "dissolves_in_reagent" or "organic" not in substance.classes:
            return tuple([Reaction(e.reagent, yes_no(e.yes), e.source, e.gives, e.gas, e.note) for e in listed])
        value = substance.values.get("acid_base")
        return self.limits.characters.get(value.words[0], ()) if value is not None and value.words else ()

    def stated(self, text: str, source: str, note: str = "") -> Evidence:
        """The evidence of something a row of the table states, known as its source is."""
        return Evidence(text, self.table.how(source), source, note)

    def boiling_point(self, substance: Substance) -> tuple[float, Evidence] | None:
        """Boiling point (K) at the local pressure with its evidence; None if the table holds none."""
        value = substance.values.get("boiling_point") or substance.values.get("condensation_point")
        if value is None or value.number is None:
            return None
        if abs(self.pressure - STANDARD_PRESSURE) < 1.0:
            return value.number, self.evidence(value)
        return self._boiling_elsewhere(substance, value.number, value)

    def _boiling_elsewhere(self, substance: Substance, normal: float, value: Value) -> tuple[float, Evidence] | None:
        """Boiling point (K) at another pressure than the standard one, from the best that is known; None beyond that.

        In this order: the stored equation within its range; the reference equation of state; the stored equation a little
        beyond its range, and Trouton's rule from 50 to 110 kPa, both as estimates. `normal`: at standard pressure, K.
        """
        shown_pressure = show(self.pressure, "pressure")
        law = substance.vapour_pressure
        by_law: float | None = None
        if law is not None:
            try:
                by_law = antoine_boiling_point(self.pressure, law.a, law.b, law.c)
                # keep the measured normal boiling point, take the change from the equation
                by_law += normal - antoine_boiling_point(STANDARD_PRESSURE, law.a, law.b, law.c)
            except OutOfRange:
                by_law = None
        near = self.limits.values["at-the-end-of-the-equation"]
        if law is not None and by_law is not None and law.low - near <= by_law <= law.high + near:
            note = f"at {shown_pressure}, from its vapour-pressure equation"
            how = weakest("computed", self.table.how(value.source), self.table.how(law.source))
            return by_law, Evidence(show(by_law, "temperature"), how, law.source, note)
        if substance.cas and not substance.given:
            from choosemethod.chemistry.fluids import covers, fluid_boiling_point

            if covers(substance.cas):
                try:
                    found = fluid_boiling_point(substance.cas, self.pressure)
                except OutOfRange:  # below its triple point or above the critical one it does not boil
                    return None
                note = f"at {shown_pressure}, from its reference equation of state"
                return found, Evidence(show(found, "temperature"), "computed", "bell-2014", note)
        reach = self.limits.values["beyond-the-equation"]
        if law is not None and by_law is not None and law.low - reach <= by_law <= law.high + reach:
            note = f"at {shown_pressure}, from its vapour-pressure equation, a little beyond its range"
            how = weakest("estimated", self.table.how(law.source))
            return by_law, Evidence(show(by_law, "temperature"), how, law.source, note)
        if not self.limits.values["trouton-from"] <= self.pressure <= self.limits.values["trouton-to"]:
            return None
        found = boiling_point_by_trouton(normal, self.pressure)
        note = f"at {shown_pressure}, estimated by Trouton's rule from {value.text}"
        how = weakest("estimated", self.table.how(value.source))
        return found, Evidence(show(found, "temperature"), how, value.source, note)

    def grade(
        self, solute: Substance, solvent: Substance, at: float = ROOM_TEMPERATURE
    ) -> tuple[str, float | None, Evidence | None]:
        """Word of the solubility scale for a solute in a liquid, the number (kg/kg) if known, and the evidence."""
        entry = solute.solubility.get(solvent.id)
        if (
            entry is not None
            and self.table.how(entry.source) == "by class"
            and self.table.pair("miscibility", solute.id, solvent.id) is not None
        ):
            entry = None  # what is said of the two counts before what is said of a class
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
                        how = weakest("estimated", self.table.how(kin.source))
                        return kin.word, None, Evidence(kin.word, how, kin.source, note)
            for kind in solvent.classes:
                inert = self.limits.inert.get(f"in {kind}", ())
                own = next((word for word in (*solute.classes, solute.kind) if word in inert), "")
                if own and solute.phase == "solid":
                    return (
                        "insoluble",
                        None,
                        Evidence("insoluble", "by class", "common-practice", f"{own}, in a liquid of the kind {kind}"),
                    )
            return UNKNOWN, None, None
        place = f"{entry.file}:{entry.line}" if entry.file else ""
        how = self.table.how(entry.source)
        number = at_temperature(entry.points, at)
        if number is None:
            word = entry.word or (self._word(entry.points[0][1]) if entry.points else UNKNOWN)
            return word, None, Evidence(word, how, entry.source, entry.note, place)
        text = f"{show(number, 'solubility')} at {show(at, 'temperature')}"
        note = _agreed(entry.note, entry.agrees)
        return self._word(number), number, Evidence(text, how, entry.source, note, place)

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
        least = (low or 0.0) / 100.0  # kg/kg
        return least >= self.limits.values["dissolves"] - 1e-9

    def _hazard(self, substance: Substance, group: str) -> str:
        value = substance.values.get("hazards")
        if value is None:
            return UNKNOWN
        return yes_no(any(code in self.limits.hazard_groups[group] for code in value.words))

    def _burns(self, substance: Substance, slots: Mapping[str, SlotValue]) -> str:
        """How easily a liquid catches fire: by its hazard statements, else by its flash point.

        An organic liquid of which neither is known is taken to be flammable, and so is one that is only described.
        """
        codes, flash = slots["hazard_codes"], slots["flash_point"]
        if substance.phase != "liquid":
            return "no"
        if isinstance(codes, tuple) and "H224" in codes:
            return "extremely flammable"
        limits = self.limits.values
        if (isinstance(codes, tuple) and "H225" in codes) or (isinstance(flash, float) and flash < limits["lit-cold"]):
            return "highly flammable"
        if slots["flammable"] == "yes" or (isinstance(flash, float) and flash <= limits["lit-warm"]):
            return "flammable"
        carbon = "organic" in substance.classes or (substance.given and not substance.kind)
        if not carbon or "halogenated solvent" in substance.classes:
            return "no"
        return "burns when hot" if codes is not None or isinstance(flash, float) else "taken to be flammable"

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
            "given": yes_no(substance.given),
            "ordinary": yes_no(ident == self.limits.water),
        }
        evidence: dict[str, Evidence] = {}
        values = substance.values
        for name in ("melting_point", "decomposes_at", "sublimes_at", "flash_point", "autoignition", "density"):
            value = values.get(name)
            slots[name] = None if value is None or value.number is None else float(value.number)
            if value is not None:
                evidence[name] = self.evidence(value)
                if value.number is not None and value.high is not None and value.high > value.number:
                    slots[name] = (value.number + value.high) / 2
        for name in (
            "sublimes", "magnetic", "blown_by_air", "floats_on_water", "wetted_by", "conducts_electricity",
            "heat_sensitive", "acid_base", "molecule_size", "steam_volatile", "peroxide_former", "school_use",
        ):  # fmt: skip
            value = values.get(name)
            slots[name] = value.words[0] if value is not None and value.words else UNKNOWN
            if value is not None:
                evidence[name] = self.evidence(value)
            elif own := next(
                (w for w in (*substance.classes, substance.kind) if w in self.limits.inert.get(name, ())), ""
            ):
                slots[name] = "no"
                evidence[name] = Evidence("no", "by class", "common-practice", own)
        size = values.get("particle_size")
        slots["size_low"] = size.number if size is not None else None
        slots["size_high"] = size.high if size is not None else None
        if size is not None:
            evidence["size_low"] = evidence["size_high"] = self.evidence(size)
        colour = values.get("colour")
        text = colour.text.lower() if colour is not None else ""
        slots["colour"] = colour.text if colour is not None else UNKNOWN
        slots["coloured"] = yes_no(not text.startswith(_COLOURLESS)) if colour is not None else UNKNOWN
        if colour is not None:
            evidence["colour"] = evidence["coloured"] = self.evidence(colour)
        hazards = values.get("hazards")
        for group in self.limits.hazard_groups:
            slots[group.replace("-", "_")] = self._hazard(substance, group)
            if hazards is not None:
                evidence[group.replace("-", "_")] = self._hazard_evidence(hazards, group)
        slots["hazard_codes"] = hazards.words if hazards is not None else None
        if hazards is not None:
            evidence["hazard_codes"] = self.evidence(hazards, ", ".join(hazards.words))
        slots["burns"] = self._burns(substance, slots)
        for text in ("safer_instead", "contains"):
            slots[text] = values[text].text if text in values else ""
        hydrate = values.get("hydrate_formula")
        slots["hydrate"] = yes_no(hydrate is not None) if "ionic" in substance.classes or hydrate else "no"
        slots["hydrate_formula"] = hydrate.text if hydrate is not None else ""
        boiling = self.boiling_point(substance)
        slots["boiling_point"] = None if boiling is None else boiling[0]
        stated = values.get("boiling_point")
        slots["boiling_range"] = None
        if stated is not None and stated.number is not None and stated.high is not None:
            slots["boiling_range"] = float(stated.high - stated.number)
        if boiling is not None:
            evidence["boiling_point"] = boiling[1]
        sensitive = values.get("heat_sensitive")
        told = substance.given and sensitive is not None and sensitive.words == ("yes",)
        if sensitive is not None and told and boiling is not None and slots["decomposes_at"] is None:
            slots["decomposes_at"] = boiling[0]  # said to decompose as it boils, at no temperature told
            evidence["decomposes_at"] = self.evidence(sensitive, boiling[1].text)
        spoils = slots["decomposes_at"]
        clean: bool | None = None
        if boiling is not None:
            too_high = boiling[0] > self.limits.values["practical-boiling"]
            spoilt = boiling[0] + self.limits.values["decomposes-near-boiling"]
            clean = not too_high and not (isinstance(spoils, float) and spoils <= spoilt)
        elif isinstance(spoils, float):
            clean = False
        slots["boils_undecomposed"] = yes_no(clean)
        if clean is not None:
            deciding = values.get("decomposes_at") if boiling is None or not clean else None
            evidence["boils_undecomposed"] = (
                self.evidence(deciding)
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
            slots["water_soluble"] = yes_no(self.dissolves(substance, self.table.substance(water)))
            if shown is not None:
                evidence["in_water"] = evidence["water_soluble"] = shown
        slots.update(self.curve(substance, water, evidence))
        self._pure[ident] = slots, evidence
        return self._pure[ident]

    def curve(self, substance: Substance, solvent: str, evidence: dict[str, Evidence]) -> dict[str, SlotValue]:
        entry = substance.solubility.get(solvent)
        out: dict[str, SlotValue] = dict.fromkeys(("solubility", "hot_solubility", "cold_solubility", "solubility_rise"))
        if entry is None or not entry.points:
            return out
        how = self.table.how(entry.source)
        cold = at_temperature(entry.points, ROOM_TEMPERATURE)
        (cold_at, least), (hot_at, hot) = entry.points[0], entry.points[-1]
        out["solubility"] = cold
        if cold is not None:
            evidence["solubility"] = Evidence(f"{show(cold, 'solubility')} at 20 °C", how, entry.source, entry.note)
        if len(entry.points) > 1 and hot_at > ROOM_TEMPERATURE + self.limits.values["hot-above-room"]:
            out["hot_solubility"], out["cold_solubility"] = hot, least
            told = f"{show(least, 'solubility')} at {show(cold_at, 'temperature')}"
            evidence["cold_solubility"] = Evidence(told, how, entry.source, entry.note)
            evidence["hot_solubility"] = Evidence(
                f"{show(hot, 'solubility')} at {show(hot_at, 'temperature')}", how, entry.source, entry.note
            )
            if cold:
                out["solubility_rise"] = hot / cold
                told = show(hot / cold, "pure number")
                evidence["solubility_rise"] = worked_out(told, evidence["hot_solubility"], evidence["solubility"])
        return out

    def rows(self, kind: str) -> tuple[Mapping[str, str], ...]:
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
            how = self.table.how(row.get("source", ""))
            return row["mixes"], Evidence(text, how, row.get("source", ""))
        entries = [(one, other, one.solubility.get(other.id)) for one, other in ((a, b), (b, a))]
        entries.sort(key=lambda row: row[2] is not None and self.table.how(row[2].source) == "by class")  # these last
        for one, other, entry in entries:
            if entry is None:
                continue
            how = self.table.how(entry.source)
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
                _estimated_by(row),
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
                return word, Evidence(text, "by class", "common-practice", note)
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
            how = self.table.how(row.get("source", ""))
            known_at = parse_number(row["pressure"], "pressure") if row.get("pressure") else STANDARD_PRESSURE
            if abs(known_at - self.pressure) > self.limits.values["same-pressure"] * self.pressure:
                return self._azeotrope_elsewhere(a, b, row["kind"])
            return (
                {"azeotrope": row["kind"], "azeotrope_at": at, "azeotrope_first_mass": mass, "azeotrope_how": how},
                Evidence(text, how, row.get("source", "")),
            )
        none: dict[str, SlotValue] = {"azeotrope_at": None, "azeotrope_first_mass": None}
        row = self.table.pair("non-azeotropes", a.id, b.id)
        if row is not None:
            how = self.table.how(row.get("source", ""))
            return {"azeotrope": "none", "azeotrope_how": how, **none}, Evidence(
                "no azeotrope", how, row.get("source", "")
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
            return found, Evidence(text, "estimated", row.get("source", ""), _estimated_by(row))
        return {"azeotrope": UNKNOWN, "azeotrope_how": UNKNOWN, **none}, None

    def _azeotrope_elsewhere(
        self, a: Substance, b: Substance, kind: str
    ) -> tuple[dict[str, SlotValue], Evidence | None]:
        """The azeotrope of two liquids at a pressure it was not measured at: worked out, or only its kind where it cannot be."""
        from choosemethod.errors import ChooseMethodError
        from choosemethod.vle import equilibrium_of

        slots: dict[str, SlotValue] = {
            "azeotrope": kind, "azeotrope_at": None, "azeotrope_first_mass": None, "azeotrope_how": UNKNOWN,
        }  # fmt: skip
        try:
            found = equilibrium_of(self.table, a, b, self.pressure)
        except (OutOfRange, ChooseMethodError):
            return slots, None
        weights = [substance.values.get("molar_mass") for substance in (a, b)]
        if found.azeotrope is None or any(weight is None or weight.number is None for weight in weights):
            return slots, None
        one, two = (weight.number for weight in weights if weight is not None and weight.number is not None)
        mole = found.azeotrope.x if found.first.id == a.id else 1.0 - found.azeotrope.x
        mass = mole * one / (mole * one + (1.0 - mole) * two)
        at = show(found.azeotrope.temperature, "temperature")
        where = f"at {at} and {show(self.pressure, 'pressure')}"
        text = f"{found.azeotrope.kind} azeotrope {where}, {100 * mass:.1f} % {a.name} by mass"
        slots.update(
            azeotrope=found.azeotrope.kind, azeotrope_at=found.azeotrope.temperature, azeotrope_first_mass=mass,
            azeotrope_how=found.how,
        )  # fmt: skip
        return slots, Evidence(text, found.how, found.sources[-1] if found.sources else "", found.basis)

    def danger(self, a: Substance, b: Substance) -> Danger | None:
        """The worst known danger of two substances together, in whatever forms; None if none is listed."""
        return self.reactions.between(a, b)

    def between(self, a: str, b: str) -> tuple[dict[str, SlotValue], dict[str, Evidence]]:
        """The slots two substances have together, and their evidence."""
        found = self._between.get((a, b))
        if found is not None:
            return found
        first, second = self.table.substance(a), self.table.substance(b)
        (one, of_one), (other, of_other) = self.pure(a), self.pure(b)
        evidence: dict[str, Evidence] = {}
        slots: dict[str, SlotValue] = {}
        for slot, prop, dimension in (
            ("boiling_gap", "boiling_point", "temperature difference"),
            ("melting_gap", "melting_point", "temperature difference"),
            ("density_gap", "density", "density"),
            ("solubility_ratio", "solubility_rise", "pure number"),
        ):
            low, high = one[prop], other[prop]
            slots[slot] = None
            if isinstance(low, float) and isinstance(high, float):
                found_gap = low / high if prop == "solubility_rise" else high - low
                slots[slot] = found_gap
                evidence[slot] = worked_out(show(abs(found_gap), dimension), of_one.get(prop), of_other.get(prop))
        slots["miscibility"] = slots["azeotrope"] = UNKNOWN
        slots["miscibility_how"] = slots["azeotrope_how"] = UNKNOWN
        slots["azeotrope_at"] = slots["azeotrope_first_mass"] = None
        slots["same_substance"] = yes_no(a == b)
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
            slots["first_dissolves_in_second"] = yes_no(self.dissolves(first, second))
            if shown is not None:
                evidence["first_in_second"] = evidence["first_dissolves_in_second"] = shown
        danger = self.danger(first, second) if a != b else None
        slots["danger"] = "none" if danger is None else danger.severity
        slots["danger_text"] = "" if danger is None else danger.danger
        if danger is not None:
            evidence["danger"] = evidence["danger_text"] = self.stated(danger.danger, danger.source, danger.note)
        if len(self._between) >= REMEMBERED:
            self._between.clear()
        self._between[a, b] = slots, evidence
        return self._between[a, b]


def worked_out(text: str, *rests_on: Evidence | None) -> Evidence:
    """The evidence of what is worked out from values: known as the least trusted of them, which is cited."""
    known = [one for one in rests_on if one is not None]
    how = weakest("computed", *(one.how for one in known))
    return Evidence(text, how, next((one.source for one in known if one.how == how), ""))


def _agreed(note: str, agrees: tuple[str, ...]) -> str:
    """A note with what further sources there are: "two sources agree"."""
    said = f"{_COUNTED.get(len(agrees) + 1, len(agrees) + 1)} sources agree" if agrees else ""
    return "; ".join(part for part in (note, said) if part)


def _estimated_by(row: Mapping[str, str]) -> str:
    """How an estimate was made, and how far that is off."""
    return "; ".join(filter(None, (row.get("estimate", ""), row.get("error", ""))))


def _fraction(text: str) -> float | None:
    number = number_in(text.replace("mass", "").replace("%", "").strip())
    return None if number is None else number / 100.0


_OPENED: WeakKeyDictionary[Table, Properties] = WeakKeyDictionary()


def properties(table: Table, limits: Limits, pressure: float) -> Properties:
    """The properties of a table's substances at a pressure (Pa); those last asked for are kept for the next question."""
    found = _OPENED.get(table)
    if found is None or found.pressure != pressure or found.limits is not limits:
        found = _OPENED[table] = Properties(table, limits, pressure)
    return found
