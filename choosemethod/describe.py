"""Describe: turn a mixture and what the table knows into the facts the rules ask about.

Everything a rule may need is worked out here once for a mixture: boiling points at the local pressure, gaps, which
liquids mix, how many layers, what dissolves in what, what settles. Nothing is guessed: what the table does not hold is
"unknown" (words) or None (numbers).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from choosemethod.facts import UNKNOWN, Evidence, Fact, SlotValue, yes_no
from choosemethod.mixture import STANDARD_PRESSURE, Component, Mixture, Question
from choosemethod.precipitants import precipitants
from choosemethod.properties import Limits, properties, worked_out
from choosemethod.quantity import number_in, show
from choosemethod.reactions import Held, Part
from choosemethod.table.model import Substance
from choosemethod.table.table import Table
from choosemethod.washing import washings

__all__ = ["Bench", "keys_of"]

_LIT_COLD = ("extremely flammable", "highly flammable", "taken to be flammable")
_HELD = ("suspended", "colloidal", "emulsified", "dissolved", "airborne", "embedded")


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


def _of_class(fact: Fact, word: str) -> bool:
    classes = fact.slots["classes"]
    return isinstance(classes, tuple) and word in classes


class Bench:
    """The facts of mixtures of one question: what is known of its substances, and the setting."""

    def __init__(self, table: Table, limits: Limits, question: Question) -> None:
        self.table = table
        self.limits = limits
        self.question = question
        self.pressure = question.setting.pressure
        self.known = properties(table, limits, self.pressure)
        self.lacking: frozenset[str] = frozenset(
            question.setting.without
        )  # with all that follows from it: the planner's
        self._facts: dict[tuple[Component, ...], dict[str, list[Fact]]] = {}
        self._held: dict[tuple[Component, ...], list[Held]] = {}
        self._anions = dict(table.reactivity().anions)

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
                words = [
                    self.known.between(component.substance, member.substance)[0]["miscibility"] for _, member in group
                ]
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
            known = [self.known.pure(c.substance)[0]["density"] for _, c in group]
            numbers = [d for d in known if isinstance(d, float)]
            return sum(numbers) / len(numbers) if numbers else 0.0

        groups.sort(key=lambda group: (-density(group), group[0][0]))
        return {key: number for number, group in enumerate(groups, 1) for key, _ in group}, len(groups)

    def _fully(self, a: Component, b: Component) -> bool:
        return a.substance != b.substance and self.known.between(a.substance, b.substance)[0]["miscibility"] == "fully"

    def facts(self, components: tuple[Component, ...], mixture: Mixture | None = None) -> dict[str, list[Fact]]:
        """All facts of a mixture of these components, by kind."""
        found = self._facts.get(components)
        if found is None:
            found = self._facts[components] = self._describe(components, mixture or self.question.mixture)
        return found

    def _component(self, component: Component, key: str, hosts: Mapping[str, str], layers: Mapping[str, int]) -> Fact:
        slots, evidence = self.known.pure(component.substance)
        slots, evidence = dict(slots), dict(evidence)
        wish = self.question.wish
        asked = component.substance in wish.want
        slots.update(
            id=key,
            groups=self.known.reactions.groups(self.table.substance(component.substance), component.form),
            form=component.form,
            host=hosts.get(component.host, component.host),
            added=yes_no(component.added),
            asked_for=yes_no(asked),
            wanted=yes_no((asked or not wish.want) and not component.added and component.substance not in wish.remove),
            to_remove=yes_no(component.substance in wish.remove),
            role=component.role,
            trace=yes_no(component.trace),
            reacted=yes_no(bool(component.reacted)),
            share=component.share,
            mass=component.mass,
            volume=component.volume,
            now=component.reacted,
        )
        if component.size is not None:
            slots["size_low"], slots["size_high"] = component.size
            evidence["size_low"] = evidence["size_high"] = Evidence(show(component.size[0], "length"), "given", "given")
        low, high = slots["size_low"], slots["size_high"]
        slots["hand_size"] = yes_no(low >= self.limits.values["hand-size"]) if isinstance(low, float) else UNKNOWN
        if component.form == "colloidal":
            slots["molecule_size"] = "large"  # a colloid is what a membrane holds back and filter paper does not
        slots["in_host"] = UNKNOWN
        slots["settles"] = slots["fine"] = UNKNOWN
        if component.host and self.table.has(component.host) and component.form in _HELD:
            host = self.table.substance(component.host)
            if host.phase == "liquid":
                word, _, shown = self.known.grade(self.table.substance(component.substance), host)
                slots["in_host"] = word
                if shown is not None:
                    evidence["in_host"] = shown
                if host.id != self.limits.water:
                    slots.update(self.known.curve(self.table.substance(component.substance), host.id, evidence))
            if component.form == "suspended":
                mine, theirs = slots["density"], self.known.pure(host.id)[0]["density"]
                if isinstance(low, float) and isinstance(mine, float) and isinstance(theirs, float):
                    limits = self.limits.values
                    heavier = mine > theirs + limits["settles-density"]
                    slots["settles"] = yes_no(low >= limits["settles-size"] and heavier)
                if isinstance(low, float):
                    high = slots["size_high"]
                    middle = (low * high) ** 0.5 if isinstance(high, float) else low  # most of it is near this size
                    slots["fine"] = yes_no(middle < self.limits.values["filter-pore"])
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
            fact.slots["carrier"] = yes_no(fact.key in holding)
            fact.slots["over_when_cold"] = _over_when_cold(fact, singles)
        live = [fact for fact in singles if fact.slots["trace"] == "no"]
        dangers = self._dangers_of(components, {fact.key: str(fact.slots["name"]) for fact in singles})
        worst: dict[frozenset[str], Fact] = {}
        for danger in reversed(dangers):
            between = danger.slots["between"]
            if isinstance(between, tuple):
                worst[frozenset(between)] = danger
        pairs = [
            self._pair(one, other, worst.get(frozenset((one.key, other.key))))
            for one in live
            for other in live
            if one is not other
        ]
        facts: dict[str, list[Fact]] = {"component": singles, "pair": pairs}
        facts["danger"] = dangers
        facts["solvent"] = self._solvents(live)
        facts["extractant"] = [*self._extractants(live), *washings(live, self.known, self._liquid_slots)]
        facts["reagent"] = self._by_reagent(
            live, "dissolves_in_reagent", "reagent", ("solid", "suspended", "dissolved", "liquid")
        )
        facts["precipitant"] = precipitants(live, self.table, self.known, self.question.reagents)
        facts["absorbent"] = self._by_reagent(live, "absorbed_by", "absorbent", ("gas",))
        facts["mesh"] = self._meshes(live)
        facts["dryer"] = self._dryers(live)
        facts["help"] = self._help(live)
        facts["finding"] = []
        facts["mixture"] = [self._whole(mixture, live, facts["danger"], layer_count)]
        return facts

    def _pair(self, one: Fact, other: Fact, danger: Fact | None) -> Fact:
        a, b = str(one.slots["substance"]), str(other.slots["substance"])
        slots, evidence = self.known.between(a, b)
        slots = dict(slots)
        slots.update(id=f"{one.key} & {other.key}", first=one.key, second=other.key)
        slots["danger"] = "none" if danger is None else danger.slots["severity"]
        slots["danger_text"] = "" if danger is None else danger.slots["text"]
        low, high = other.slots["size_low"], one.slots["size_high"]
        slots["size_ratio"] = low / high if isinstance(low, float) and isinstance(high, float) and high > 0 else None
        slots["same_layer"] = (
            UNKNOWN
            if one.slots["layer"] is None or other.slots["layer"] is None
            else yes_no(one.slots["layer"] == other.slots["layer"])
        )
        slots["at_azeotrope"] = _at_azeotrope(
            slots["azeotrope_first_mass"],
            one.slots["share"],
            other.slots["share"],
            self.limits.values["at-the-azeotrope"],
        )
        slots["first_on_cooling"] = _first_on_cooling(one.slots, other.slots)
        slots["beyond_azeotrope"] = yes_no(self._beyond_azeotrope(slots, one, other))
        slots["holds"] = yes_no(one.slots["host"] == other.key)
        character = one.slots["acid_base"]
        slots["same_acid_base"] = yes_no(character != UNKNOWN and character == other.slots["acid_base"])
        slots["same_host"] = yes_no(bool(one.slots["host"]) and one.slots["host"] == other.slots["host"])
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

    def _gives_gas(self, slots: Mapping[str, SlotValue]) -> bool:
        """Whether a component presses in a closed vessel that is shaken."""
        boils, classes = slots["boiling_point"], slots["classes"]
        if slots["phase"] == "gas":
            return slots["form"] == "dissolved"
        if isinstance(classes, tuple) and {"carbonate", "hydrogencarbonate"} & set(classes):
            return True
        low = boils < self.limits.values["volatile"] if isinstance(boils, float) else slots["burns"] in _LIT_COLD
        return low and slots["phase"] == "liquid" and slots["form"] not in ("embedded",)

    def _whole(self, mixture: Mixture, live: Sequence[Fact], dangers: Sequence[Fact], layers: int | None) -> Fact:
        question = self.question
        forms = [str(fact.slots["form"]) for fact in live]

        def count(keep: Callable[[Mapping[str, SlotValue]], bool]) -> float:
            return float(sum(1 for fact in live if keep(fact.slots)))

        hot = [d for d in dangers if d.slots["severity"] in ("refuse", "reacts") or _may(d, "heat")]
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
            "heat_danger": yes_no(bool(hot)),
            "heat_danger_text": f"{hot[0].slots['names']}: {hot[0].slots['text']}" if hot else "",
            "pressure": question.setting.pressure,
            "reduced": yes_no(question.setting.pressure < STANDARD_PRESSURE - self.limits.values["reduced-by"]),
            "begins_to_boil": None,
            "first_drop": None,
            "comes_first": "",
            "volatile": yes_no(any(self._gives_gas(f.slots) for f in live)),
            "halogenated": yes_no(any(_of_class(f, "halogenated solvent") for f in live)),
            "lit_cold": yes_no(any(f.slots["burns"] in _LIT_COLD and f.slots["form"] != "embedded" for f in live)),
            "level": question.setting.level,
            "small": yes_no(question.setting.small),
            "unknown_words": float(len(question.unknown)),
            "without": tuple(sorted(self.lacking)),
            "purpose": question.wish.purpose,
            "purity": question.wish.purity,
            "size": question.scale.size,
            "pieces": None if question.scale.pieces is None else float(question.scale.pieces),
            "offered": tuple(
                dict.fromkeys(slug for option in question.techniques.offered for slug in option.techniques)
            ),
            "excluded": question.techniques.excluded,
            "required": question.techniques.required,
            "tried": question.techniques.tried or question.tried,
            **_liquid_now(live),
        }
        return Fact("mixture", "mixture", slots)

    def _liquid_slots(self, ident: str) -> dict[str, SlotValue]:
        slots = self.known.pure(ident)[0]
        toxic = "yes" if "yes" in (slots["toxic"], slots["carcinogenic"], slots["harms_with_time"]) else "no"
        return {
            "id": ident,
            "name": slots["name"],
            "organic": yes_no("organic" in self.table.substance(ident).classes),
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
            verdicts = {f.key: self.known.between(str(f.slots["substance"]), solvent.id)[0] for f in solids}
            groups = {
                word: tuple(k for k, s in verdicts.items() if s["first_dissolves_in_second"] == word)
                for word in ("yes", "no", UNKNOWN)
            }
            reacting = [
                k
                for k, s in verdicts.items()
                if s["first_in_second"] == "reacts" or s["danger"] in ("refuse", "reacts", "no-acid")
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
                "reacts": yes_no(bool(reacting)),
            }
            if solvent.id == self.limits.water:
                slots["organic"] = "no"
            shown = {
                key: self.known.between(str(f.slots["substance"]), solvent.id)[1].get("first_in_second")
                for key, f in zip(verdicts, solids, strict=True)
            }
            evidence = {f"in {key}": item for key, item in shown.items() if item is not None}
            out.append(Fact("solvent", solvent.id, slots, evidence))
        return out

    def _extractants(self, live: Sequence[Fact]) -> list[Fact]:
        """For solutes in a liquid: what each liquid of the list that does not mix with it would take and leave."""
        out = []
        present = {fact.slots["substance"] for fact in live}
        out += self._leachants(live)
        for host in (fact for fact in live if fact.slots["form"] == "liquid"):
            solutes = [
                f
                for f in live
                if f.slots["host"] == host.key
                and (f.slots["form"] == "dissolved" or _came_over_with_steam(f))
                and f.slots["reacted"] == "no"
                and f.slots["phase"] != "gas"
            ]
            if not solutes:
                continue
            host_id = str(host.slots["substance"])
            for solvent in self.limits.solvents:
                if "extracting" not in solvent.use or solvent.id in present or not self.table.has(solvent.id):
                    continue
                pair = self.known.between(solvent.id, host_id)[0]
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
                    "lower": yes_no(gap < 0) if isinstance(gap, float) else UNKNOWN,
                    "order": solvent.order,
                    "way": "extracting",
                    "lifts": (),
                    "wets": (),
                }
                del slots["organic"]
                key = f"{solvent.id} from {host.key}"
                out.append(Fact("extractant", key, {**slots, "id": key, "substance": solvent.id}))
        return out

    def _leachants(self, live: Sequence[Fact]) -> list[Fact]:
        """For what is locked in a solid: what each organic liquid of the list would take out of it and leave."""
        inside = [fact for fact in live if fact.slots["form"] == "embedded"]
        host = next(
            (f for f in live if inside and f.key == inside[0].slots["host"] and f.slots["form"] == "solid"), None
        )
        if host is None or any(fact.slots["form"] in ("liquid", "gas") for fact in live):
            return []
        solids = [fact for fact in live if fact.slots["form"] == "solid"]
        out = []
        for solvent in self.limits.solvents:
            if "dissolving" not in solvent.use or not self.table.has(solvent.id) or solvent.id == self.limits.water:
                continue
            groups: dict[str, tuple[str, ...]] = {}
            found = {f.key: self.known.between(str(f.slots["substance"]), solvent.id)[0] for f in (*inside, *solids)}
            if any(
                s["first_in_second"] == "reacts" or s["danger"] in ("refuse", "reacts", "no-acid")
                for s in found.values()
            ):
                continue
            for fact in inside:
                word = str(found[fact.key]["first_dissolves_in_second"])
                groups[word] = (*groups.get(word, ()), fact.key)
            if any(found[fact.key]["first_dissolves_in_second"] == "yes" for fact in solids):
                continue
            wanted = sum(1 for f in inside if f.key in groups.get("yes", ()) and f.slots["asked_for"] == "yes")
            key = f"{solvent.id} from {host.key}"
            slots: dict[str, SlotValue] = {
                **self._liquid_slots(solvent.id),
                **_three("takes", "leaves", groups),
                "takes_wanted": float(wanted),
                "host": host.key,
                "host_name": host.slots["name"],
                "density_gap": None,
                "lower": UNKNOWN,
                "order": solvent.order,
                "way": "leaching",
                "lifts": (),
                "wets": tuple(fact.key for fact in solids),
            }
            del slots["organic"]
            out.append(Fact("extractant", key, {**slots, "id": key, "substance": solvent.id}))
        return out

    def _prefers(self, solute: str, solvent: str, host: str) -> str:
        """Whether a solute goes from the host into an immiscible solvent: yes, no or unknown."""
        row = next(
            (
                r
                for r in self.known.rows("partition")
                if r.get("solute") == solute and {r.get("from"), r.get("into")} == {solvent, host}
            ),
            None,
        )
        if row is not None:
            ratio = number_in(row.get("ratio", ""))
            if ratio is not None:
                return yes_no((ratio if row.get("into") == solvent else 1.0 / ratio) > 1.0)
        substance = self.table.substance(solute)
        if "ionic" in substance.classes and solvent == self.limits.water:
            return "yes"  # what little of a salt an organic liquid holds
        if "ionic" in substance.classes or self.known.pure(solute)[0]["molecule_size"] == "large":
            return "no"
        there, here = (
            self.known.grade(substance, self.table.substance(solvent)),
            self.known.grade(substance, self.table.substance(host)),
        )
        if UNKNOWN in (there[0], here[0]) or there[0] == here[0] == "miscible":
            return self._by_octanol(solute, solvent, host)
        if there[1] is not None and here[1] is not None:
            return yes_no(there[1] > here[1])
        order = [word for word, _, _ in self.limits.scale]
        order.remove("miscible") if "miscible" in order else None
        ranked = ["miscible", *order]
        if there[0] not in ranked or here[0] not in ranked or there[0] in ("disperses", "reacts"):
            return "no"
        return yes_no(ranked.index(there[0]) < ranked.index(here[0])) if there[0] != here[0] else UNKNOWN

    def _by_octanol(self, solute: str, solvent: str, host: str) -> str:
        """The same for water and a liquid more like octan-1-ol than a hydrocarbon is, from log P; unknown between the limits."""
        row = next((r for r in self.known.rows("octanol-water") if r.get("solute") == solute), None)
        log_p = number_in(row.get("log_p", "")) if row is not None else None
        if log_p is None or host != self.limits.water or "hydrocarbon" in self.table.substance(solvent).classes:
            return UNKNOWN
        if log_p >= self.limits.values["log-p-organic"]:
            return "yes"
        return "no" if log_p <= self.limits.values["log-p-water"] else UNKNOWN

    def _by_reagent(self, live: Sequence[Fact], prop: str, kind: str, forms: tuple[str, ...]) -> list[Fact]:
        """For each reagent the table names for a component: which components it takes and which it leaves."""
        facts = [f for f in live if f.slots["form"] in forms and f.slots["reacted"] == "no"]
        if kind == "reagent":  # a little water in an organic liquid takes no part
            facts = [f for f in facts if f.slots["form"] != "dissolved" or f.slots["substance"] != self.limits.water]
        substances = {f.key: self.table.substance(str(f.slots["substance"])) for f in facts}
        # a liquid counts only if something is known of it: the solvent that holds the rest need not be taken or left
        facts = [
            f
            for f in facts
            if f.slots["form"] != "liquid"
            or self.known.reagents(substances[f.key], prop)
            or (f.slots["substance"] != self.limits.water and self._left_alone(substances[f.key], "", prop) == "no")
        ]
        substances = {f.key: substances[f.key] for f in facts}
        entries = {key: {e.reagent: e for e in self.known.reagents(s, prop)} for key, s in substances.items()}
        reagents = sorted({r for found in entries.values() for r, e in found.items() if e.word == "yes"})
        positive, negative = ("dissolves", "leaves") if kind == "reagent" else ("takes", "leaves")
        out = []
        for reagent in reagents:
            if not self.table.has(reagent):
                continue
            groups: dict[str, tuple[str, ...]] = {}
            gives, gas = [], []
            for fact in facts:
                entry = entries[fact.key].get(reagent)
                word = entry.word if entry is not None else self._left_alone(substances[fact.key], reagent, prop)
                groups[word] = (*groups.get(word, ()), fact.key)
                if entry is not None and word == "yes":
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
                slots["at_hand"] = yes_no(reagent in self.question.reagents)
            evidence = {
                f"on {key}": self.known.stated(e.gives or e.word, e.source, e.note)
                for key, found in entries.items()
                if (e := found.get(reagent)) is not None
            }
            out.append(Fact(kind, reagent, slots, evidence))
        return out

    def _left_alone(self, substance: Substance, reagent: str, prop: str) -> str:
        """What a reagent does to a substance the table names no reaction for: nothing known to happen counts as left alone
        only when the table lists reactions of that kind for it and this reagent is not among them, or none at all for an
        inert class; otherwise it is not known."""
        listed = self.known.reagents(substance, prop)
        acid = self._anions.get(reagent)
        if acid and any(one.word == "yes" and self._anions.get(one.reagent) == acid for one in listed):
            return UNKNOWN  # what dilute acid dissolves is not safe from the strong one, though a crust may save it
        if listed:
            return "no"
        inert = self.limits.inert.get(prop, ())
        slots = self.known.pure(substance.id)[0]
        words = [*substance.classes, substance.kind]
        apart = slots["water_soluble"] == "no" or (
            slots["phase"] == "liquid" and slots["in_water"] not in ("miscible", UNKNOWN)
        )
        if "organic" in substance.classes and slots["acid_base"] == "neutral" and apart:
            words.append("neutral organic")
        return "no" if any(word in inert for word in words) else UNKNOWN

    def dangers(self, components: tuple[Component, ...]) -> list[Held]:
        """What reacts or is dangerous together in a mixture of these components, the worst first."""
        found = self._held.get(components)
        if found is None:
            parts = [
                self._part(key, c)
                for key, c in zip(keys_of(components), components, strict=True)
                if not c.trace and not c.reacted
            ]
            found = self._held[components] = self.known.reactions.held(parts)
        return found

    def _part(self, key: str, component: Component) -> Part:
        """A component as reactions see it: nothing that needs water happens in an organic liquid, and a gas named with
        one stands over it as well."""
        substance, host = self.table.substance(component.substance), component.host
        organic = bool(host) and self.table.has(host) and "organic" in self.table.substance(host).classes
        form = "gas" if organic and substance.phase == "gas" else component.form
        return Part(key, substance, form, organic)

    def _dangers_of(self, components: tuple[Component, ...], names: Mapping[str, str]) -> list[Fact]:
        """A fact for everything that reacts or is dangerous together, the worst first."""
        out: list[Fact] = []
        for place, held in enumerate(self.dangers(components), 1):
            row = held.row
            told = [names[key] for key in held.between]
            slots: dict[str, SlotValue] = {
                "id": f"danger {place:03}",
                "severity": held.severity,
                "text": row.danger,
                "reaction": row.reaction,
                "gives": row.gives,
                "then": row.then,
                "at_once": row.at_once,
                "fumes": yes_no(row.fumes),
                "now": yes_no(held.now),
                "triggers": held.triggers,
                "note": row.note,
                "between": held.between,
                "members": float(len(held.between)),
                "names": _listed(told),
                "equation": f"{' + '.join(told)} → {row.gives}" if row.gives and len(told) > 1 else "",
            }
            shown = {"text": self.known.stated(row.danger, row.source, row.note)}
            out.append(Fact("danger", str(slots["id"]), slots, shown))
        return out

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
                "opening": _plainest_between(largest, smallest),
                "passes": tuple(key for _, _, key in passing),
                "stays": tuple(key for _, _, key in staying),
                "passes_count": float(len(passing)),
                "stays_count": float(len(staying)),
                "undecided_count": undecided,
                "ratio": ratio,
                "granular": yes_no(self._granular(live, {key for _, _, key in staying})),
            }
            said = f"between {show(largest, 'length')} and {show(smallest, 'length')}"
            shown = worked_out(said, *(fact.evidence.get("size_low") for fact in solids))
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
                    "suits": yes_no(entry.yes and spoils is None),
                    "because": entry.note or (spoils.note if spoils is not None else ""),
                }
                shown = self.known.stated("yes" if entry.yes else "no", entry.source, entry.note)
                out.append(Fact("dryer", str(slots["id"]), slots, {"suits": shown}))
        return out

    def _help(self, live: Sequence[Fact]) -> list[Fact]:
        keys = {str(f.slots["substance"]): f.key for f in live}
        names: list[tuple[str, str, str, str, str, str]] = []
        for row in self.known.rows("solubility-effects"):
            solute, host, salt = row.get("solute", ""), row.get("from", ""), row.get("salt", "")
            if solute in keys and host in keys and self.table.has(salt):
                names.append((solute, host, "salting-out", salt, row.get("note", ""), row.get("source", "")))
        for row in self.known.rows("azeotrope-breaking"):
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
            out.append(Fact("help", str(slots["id"]), slots, {"note": self.known.stated(note, source)}))
        return out


def _first_on_cooling(one: Mapping[str, SlotValue], other: Mapping[str, SlotValue]) -> str:
    """Whether a solute crystallises on cooling from as much hot water as both just dissolve in; amounts given, else equal."""
    cold, hot, theirs = one["solubility"], one["hot_solubility"], other["hot_solubility"]
    if not (
        isinstance(cold, float) and isinstance(hot, float) and isinstance(theirs, float) and hot > 0 and theirs > 0
    ):
        return UNKNOWN
    mine, second = one["mass"], other["mass"]
    mass, beside = (mine, second) if isinstance(mine, float) and isinstance(second, float) else (1.0, 1.0)
    water = max(mass / hot, beside / theirs)
    return yes_no(mass / water > cold)


def _over_when_cold(solute: Fact, live: Sequence[Fact]) -> str:
    """Whether more of a solute is dissolved than its liquid holds when it is coldest; unknown without both masses."""
    liquid = next((fact for fact in live if fact.key == solute.slots["host"]), None)
    mine, cold = solute.slots["mass"], solute.slots["cold_solubility"]
    theirs = None if liquid is None or solute.slots["form"] != "dissolved" else liquid.slots["mass"]
    if not (isinstance(mine, float) and isinstance(theirs, float) and isinstance(cold, float)):
        return UNKNOWN
    return yes_no(mine > cold * theirs)


def _listed(names: Sequence[str]) -> str:
    """Names as a sentence lists them: "a, b and c"."""
    return " and ".join(names) if len(names) < 3 else ", ".join(names[:-1]) + " and " + names[-1]


def _liquid_now(live: Sequence[Fact]) -> dict[str, SlotValue]:
    """What liquid a step works in, and what that has become."""
    liquids = [fact for fact in live if fact.slots["form"] == "liquid"]
    holding = [fact for fact in liquids if fact.slots["carrier"] == "yes"] or liquids
    if not holding:
        return {"liquid_now": "", "liquid_state": "", "spent": "no"}
    main = max(holding, key=lambda fact: (fact.slots["ordinary"] == "yes", fact.key))
    return {
        "liquid_now": main.slots["name"],
        "liquid_state": main.slots["now"],
        "spent": yes_no(any(fact.slots["added"] == "yes" and fact.slots["reacted"] == "yes" for fact in liquids)),
    }


def _plainest_between(low: float, high: float) -> float:
    """The number with the fewest figures near the middle (in ratio) of two, and between them."""
    middle = (low * high) ** 0.5
    return next((found for digits in (0, 1, 2) if low < (found := float(f"{middle:.{digits}e}")) < high), middle)


def _at_azeotrope(first_mass: SlotValue, first: SlotValue, second: SlotValue, within: float) -> str:
    """Whether given shares (fractions) are those of the azeotrope (mass fraction of the first), give or take `within`."""
    share = first if isinstance(first, float) else 1.0 - second if isinstance(second, float) else None
    if not isinstance(first_mass, float) or share is None:
        return UNKNOWN
    return yes_no(abs(share - first_mass) <= within)


def _may(fact: Fact, trigger: str) -> bool:
    triggers = fact.slots["triggers"]
    return isinstance(triggers, tuple) and trigger in triggers


def _came_over_with_steam(fact: Fact) -> bool:
    """Whether droplets are an oil as steam distillation gives it: volatile in steam, and no solvent."""
    return fact.slots["form"] == "emulsified" and fact.slots["steam_volatile"] == "yes" and not _has(fact, "solvent")


def _has(fact: Fact, word: str) -> bool:
    classes = fact.slots["classes"]
    return isinstance(classes, tuple) and word in classes


def _three(positive: str, negative: str, groups: Mapping[str, tuple[str, ...]]) -> dict[str, SlotValue]:
    open = (*groups.get(UNKNOWN, ()), *groups.get("partly", ()))
    named = {positive: groups.get("yes", ()), negative: groups.get("no", ()), "undecided": open}
    return {**named, **{f"{name}_count": float(len(ids)) for name, ids in named.items()}}
