"""Which form each component has, from the words of the question and what the table knows of the substances."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from choosemethod.mixture import Component
from choosemethod.quantity import ROOM_TEMPERATURE
from choosemethod.reading.lexicon import Lexicon
from choosemethod.table import NamedMixture, Substance, Table, normalise

__all__ = ["Built", "Entry", "build", "dissolves"]


@dataclass(slots=True)
class Entry:
    """One thing named as part of the mixture.

    id: of a substance, of a named mixture or of a described substance; kind: substance or mixture; form: form the words
    give it, "" for none; vapour, wet and such: `state` key of rules/reading/forms.yaml; size: m; mass kg, volume m3;
    share 0 to 1; role: main, impurity or ""; host: id of what the words put it in; wanted: only named as
    what is wanted;
    only: of a named mixture, the parts the question says are there;
    words: what it was called, normalised.
    """

    id: str
    kind: str = "substance"
    state: str = ""
    form: str = ""
    size: tuple[float, float] | None = None
    mass: float | None = None
    volume: float | None = None
    share: float | None = None
    role: str = ""
    host: str = ""
    wet: bool = False
    wanted: bool = False
    only: tuple[str, ...] = ()
    words: str = ""
    inside: bool = False  # called an impurity of the one before it


@dataclass(slots=True)
class Built:
    """Components of a question, the named mixtures they came from, and what had to be assumed or is not known."""

    components: list[Component] = field(default_factory=list)
    named: list[NamedMixture] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


class _Builder:
    def __init__(self, entries: list[Entry], table: Table, words: Lexicon) -> None:
        self.entries = entries
        self.table = table
        self.words = words
        self.built = Built()

    def substance(self, id: str) -> Substance:
        return self.table.substance(id)

    def phase(self, id: str) -> str:
        return self.substance(id).phase

    def solubility(self, solute: str, liquid: str) -> tuple[str, float]:
        """Whether a substance dissolves in a liquid: yes, no, disperses, reacts or unknown; and how well."""
        found = self.substance(solute).solubility.get(liquid)
        if found is None:
            mine = self.substance(solute)
            for kind in self.substance(liquid).classes:
                if any(word in self.words.inert.get(kind, ()) for word in (*mine.classes, mine.kind)):
                    return "no", 0.0
            return "unknown", 0.0
        near = [(abs(at - ROOM_TEMPERATURE), much) for at, much in found.points]
        little = min(near)[1] > 0 if near else found.word in self.words.dilute.get("words", ())
        if little and self.strongly_coloured(solute):
            return "yes", min(near)[1] if near else 0.0
        if near:
            much = min(near)[1]
            return ("yes" if much >= self.words.dissolves_from else "no"), much
        if found.word in self.words.dissolving_words:
            return "yes", 1.0 - 0.1 * self.words.dissolving_words.index(found.word)
        if found.word in ("disperses", "reacts"):
            return found.word, 0.0
        return ("no" if found.word else "unknown"), 0.0

    def strongly_coloured(self, solute: str) -> bool:
        """Whether a little of it dissolved counts: a dye, an indicator, iodine."""
        mine = self.substance(solute)
        return mine.phase == "solid" and any(name in self.words.dilute.get("classes", ()) for name in mine.classes)

    def assumed_liquid(self) -> str:
        name = self.table.name(self.words.assumed_liquid)
        return name.id if name is not None and name.kind == "substance" else ""

    def build(self) -> Built:
        explicit = self.expand()
        for entry in explicit:
            group = self.words.cues((entry.words.split() or [""])[-1]).get("noun", "")
            if not entry.form and not entry.state and group == "ion" and len(entry.words.split()) > 1:
                entry.form, entry.state = "dissolved", "solution"  # ions are met in solution
            oil = (entry.words.split() or [""])[-1] in self.words.plain.get("oils", ())
            oil = oil and not entry.wanted and len(explicit) > 1
            if oil and not entry.form and self.phase(entry.id) == "solid" and "fat" in self.substance(entry.id).classes:
                entry.form = "liquid"  # coconut oil
        self.add_liquid(explicit)
        self.add_gas(explicit)
        components = self.built.components
        liquids = [component.substance for component in components if component.form == "liquid"]
        for entry in explicit:
            if self.fixed_form(entry) == "liquid":
                liquids.append(entry.id)
        gases = [component.substance for component in components if component.form == "gas"]
        gases += [entry.id for entry in explicit if self.gaseous(entry)]
        self.wetten(list(dict.fromkeys(liquids)))
        self.melted_in(explicit)
        for entry in explicit:
            component = self.component(entry, list(dict.fromkeys(liquids)), gases)
            same = [
                place
                for place, other in enumerate(components)
                if other.substance == component.substance
                and (other.form == component.form or not self.apart(component.form, other.form))
            ]
            if same:
                components[same[0]] = _merged(components[same[0]], component)
            else:
                components.append(component)
        self.order()
        return self.built

    def wetten(self, liquids: list[str]) -> None:
        """Put the solids of a dry named mixture (soil, rock salt) into the liquid they are in here."""
        if not liquids:
            return
        dry = {
            part.substance
            for mixture in self.built.named
            if all(part.form == "solid" for part in mixture.components)
            for part in mixture.components
        }
        for place, component in enumerate(self.built.components):
            if component.substance in dry and component.form == "solid" and not component.host:
                form, host = self.solid_in_liquid(Entry(component.substance, role=component.role), liquids, "")
                self.built.components[place] = replace(component, form=form, host=host)

    @staticmethod
    def apart(form: str, other: str) -> bool:
        """Whether two forms of a substance are two components (ice in water), not the same one named again."""
        return form != other and {form, other} <= {"solid", "liquid", "gas"}

    def order(self) -> None:
        """Components in the order the question names them; those of a named mixture stand where it was named."""
        rank: dict[str, int] = {}
        for place, entry in enumerate(self.entries):
            ids = (
                [part.substance for part in self.table.mixture(entry.id).components]
                if entry.kind == "mixture"
                else [entry.id]
            )
            for id in ids:
                rank.setdefault(id, place)
        self.built.components.sort(key=lambda component: rank.get(component.substance, len(rank)))

    def expand(self) -> list[Entry]:
        """Put the parts of named mixtures among the components; what is left was named by itself."""
        explicit: list[Entry] = []
        for entry in self.entries:
            if entry.kind != "mixture" or self.whole(entry):
                explicit.append(entry)
                continue
            if self.only_liquid(entry):
                explicit.append(
                    Entry(
                        self.assumed_liquid(), form="liquid", role=entry.role or ("main" if self.dirty(entry) else "")
                    )
                )
                continue
            mixture = self.table.mixture(entry.id)
            if mixture in self.built.named:
                continue
            self.built.named.append(mixture)
            solutes = [part.substance for part in mixture.components if part.form != "liquid"]
            main = next(
                (part.substance for part in mixture.components if part.role == "main"),
                solutes[0] if len(solutes) == 1 else "",
            )
            for part in mixture.components:
                if entry.only and part.substance not in entry.only and part.form != "liquid":
                    continue
                if any(
                    part.substance == other.substance and part.form == other.form for other in self.built.components
                ):
                    continue
                role = "impurity" if entry.role == "impurity" else part.role
                share = part.share
                if entry.share is not None and main:
                    rest = 1 - entry.share if len(mixture.components) == 2 else None
                    share = entry.share if part.substance == main else rest
                self.built.components.append(
                    Component(part.substance, part.form, part.host, share=share, size=part.size, role=role)
                )
        return explicit

    def only_liquid(self, entry: Entry) -> bool:
        """Whether of a named water only the water counts: something it does not hold is said to be in it."""
        if entry.id not in self.words.plain.get("mixtures", ()) or not self.assumed_liquid():
            return False
        parts = {part.substance for part in self.table.mixture(entry.id).components}
        others = [other for other in self.entries if other is not entry and other.kind == "substance"]
        gases = [other for other in others if other.id in parts and self.phase(other.id) == "gas"]
        if not others or gases or len(others) + 1 < len(self.entries):
            return False
        held = {part.substance: part.form for part in self.table.mixture(entry.id).components}
        for other in others:
            if other.host == entry.id:
                other.host = self.assumed_liquid()
            self.as_ions(entry, other)
            other.form = other.form or held.get(other.id, "")
            if self.dirty(entry):
                other.role = other.role or "impurity"
        return True

    def as_ions(self, water: Entry, other: Entry) -> None:
        """A metal named bare in dirty water ("lead in waste water") is there as its ions."""
        metal = self.substance(other.id).kind == "metal"
        if not self.dirty(water) or other.size is not None or other.form not in ("", "dissolved") or not metal:
            return
        if other.words != normalise(self.substance(other.id).name):
            return
        name = self.table.name(f"{other.words} ions")
        if name is not None and name.kind == "substance":
            other.id, other.form = name.id, "dissolved"

    def dirty(self, entry: Entry) -> bool:
        return entry.id in self.words.plain.get("dirty", ())

    def whole(self, entry: Entry) -> bool:
        """Whether a gas mixture or an alloy that is also a substance of the table (air, brass) counts as one.

        It does beside something else that is none of its own parts.
        """
        if not self.table.has(entry.id):
            return False
        mixture = self.table.mixture(entry.id)
        if mixture.really == "compound":
            return bool({other.id for other in self.entries} - {entry.id, *mixture.made_of})
        if mixture.really == "alloy":
            parts = set(mixture.made_of)
        elif self.phase(entry.id) in ("gas", "liquid"):
            parts = {part.substance for part in mixture.components}
            if self.assumed_liquid() in parts and entry.id not in self.words.plain.get("whole", ()):
                return False  # a solution
        else:
            return False
        others = {other.id for other in self.entries if other is not entry and other.id != entry.id}
        return bool(others) and not others & parts

    def add_liquid(self, explicit: list[Entry]) -> None:
        """A solution or suspension needs a liquid: the usual one, unless another is named."""
        adding = [
            entry
            for entry in explicit
            if "adds" in self.words.states.get(entry.state, {})
            or (entry.form == "dissolved" and not entry.host)
            or (entry.kind == "substance" and self.substance(entry.id).kind == "ion")  # found nowhere else
        ]
        wet = any(entry.wet for entry in explicit)
        weak = self.weak(explicit)
        if not adding and not wet and not weak and not self.sol(explicit):
            return
        if any(component.form == "liquid" for component in self.built.components):
            return
        liquid = self.assumed_liquid()
        others = [
            entry
            for entry in explicit
            if self.fixed_form(entry) == "liquid" and entry not in adding and not entry.wet and not weak
        ]
        if not liquid or others or any(entry.id == liquid for entry in explicit):
            return
        if not adding and not wet and not weak:
            for entry in explicit:
                entry.state = "sol"
        gas = all(self.gaseous(entry) for entry in explicit)
        explicit.append(Entry(liquid, form="gas" if gas else "liquid", role="impurity" if wet else ""))
        self.entries.append(explicit[-1])

    def add_gas(self, explicit: list[Entry]) -> None:
        """Dust or mist floats in a gas: the usual one, unless another is named."""
        floating = any(entry.form == "airborne" for entry in explicit)
        named = any(component.form == "gas" for component in self.built.components) or any(map(self.gaseous, explicit))
        for id in self.words.plain.get("gas", ())[:1] if floating and not named else ():
            if self.table.has(id):
                explicit.append(Entry(id, form="gas"))
                self.entries.append(explicit[-1])

    def weak(self, explicit: list[Entry]) -> bool:
        """Whether the only thing named is a liquid at less than full strength ("12 % alcohol"): the rest is water."""
        liquid = self.assumed_liquid()
        if len(explicit) != 1 or self.built.components or not liquid:
            return False
        only = explicit[0]
        return (
            only.kind == "substance"
            and only.id != liquid
            and only.share is not None
            and only.share < 1
            and self.phase(only.id) == "liquid"
            and self.solubility(only.id, liquid)[0] == "yes"
        )

    def sol(self, explicit: list[Entry]) -> bool:
        """Whether the solids named are a protein and what dissolves with it: nobody has these as dry powders."""
        liquid = self.assumed_liquid()
        if len(explicit) < 2 or not liquid or self.built.components:
            return False
        if any(entry.form or entry.kind != "substance" for entry in explicit):
            return False
        living = self.words.dilute.get("all_in_water", ())
        if all(any(name in living for name in self.substance(entry.id).classes) for entry in explicit):
            return True
        known = self.words.dilute.get("in_water", ())
        kept = [entry for entry in explicit if any(name in known for name in self.substance(entry.id).classes)]
        return bool(kept) and all(
            entry in kept or (self.phase(entry.id) == "solid" and self.solubility(entry.id, liquid)[0] == "yes")
            for entry in explicit
        )

    def gaseous(self, entry: Entry) -> bool:
        return entry.form == "gas" or (not entry.form and self.phase(entry.id) == "gas")

    def fixed_form(self, entry: Entry) -> str:
        """liquid if it is a liquid of the mixture by the words or by nature, else ""."""
        if entry.form in ("liquid",) or (not entry.form and self.phase(entry.id) == "liquid"):
            return "" if self.embedding(entry) else "liquid"
        if self.taken_up(entry, entry.host):
            return ""
        if (
            entry.form in ("dissolved", "suspended", "solid")
            and entry.state != "ice"
            and self.phase(entry.id) == "liquid"
        ):
            return "liquid"
        return ""

    def fluid_of(self, named: str, liquids: list[str]) -> str:
        """The liquid of a named mixture that something is said to be in, "" if it has none or several."""
        mixture = next((mixture for mixture in self.built.named if mixture.id == named), None)
        if mixture is None:
            return ""
        held = [part.substance for part in mixture.components if part.form == "liquid" and part.substance in liquids]
        return held[0] if len(held) == 1 else ""

    def melted_in(self, explicit: list[Entry]) -> None:
        """A metal with another named as its impurity ("tin with iron impurity") is one lump, not loose grains."""
        entries = [entry for entry in explicit if entry.kind == "substance"]
        metals = all(self.substance(entry.id).kind == "metal" for entry in entries)
        inside = any(entry.inside for entry in entries)
        if len(entries) == len(explicit) > 1 and metals and inside and not self.built.components:
            for entry in entries:
                if not entry.form and entry.size is None:
                    entry.form = "alloyed"

    def drunk(self, entry: Entry) -> bool:
        """Whether it is said to be in a drink."""
        return entry.host in self.words.plain.get("drinks", ()) and "organic" in self.substance(entry.id).classes

    def taken_up(self, entry: Entry, host: str) -> bool:
        """Whether a liquid is said to be dissolved in one that takes up only so much of it ("ether dissolved in water")."""
        if (
            entry.form != "dissolved"
            or not host
            or entry.state
            or not self.table.has(host)
            or self.phase(entry.id) != "liquid"
        ):
            return False
        found = self.substance(entry.id).solubility.get(host)
        if found is None or found.word == "miscible":
            return False
        little = found.word in self.words.dilute.get("words", ()) or any(much > 0 for _, much in found.points)
        return little and "hydrocarbon" not in self.substance(entry.id).classes

    def size(self, entry: Entry) -> tuple[float, float] | None:
        """Size of the pieces: as said, or by a word of the name that says finer than usual ("marble powder")."""
        usual = self.substance(entry.id).values.get("particle_size")
        if entry.size is not None or usual is None or usual.number is None:
            return entry.size
        for word in (*entry.words.split()[-1:], *entry.words.split()[:1]):
            piece = self.words.cues(word).get("piece", "")
            if piece in self.words.pieces and self.words.pieces[piece][1] < usual.number:
                return self.words.pieces[piece]
        return None

    def component(self, entry: Entry, liquids: list[str], gases: list[str]) -> Component:
        form, host = self.form(entry, [id for id in liquids if id != entry.id], [id for id in gases if id != entry.id])
        return Component(
            entry.id,
            form,
            host,
            mass=entry.mass,
            volume=entry.volume,
            share=entry.share,
            size=self.size(entry),
            role=entry.role,
        )

    def form(self, entry: Entry, liquids: list[str], gases: list[str]) -> tuple[str, str]:
        phase = self.phase(entry.id)
        said = entry.form
        host = entry.host if entry.host in liquids or entry.host in gases else self.fluid_of(entry.host, liquids)
        if said in ("alloyed", "embedded", "emulsified", "airborne", "colloidal", "gas"):
            pool = gases if said == "airborne" else liquids
            return said, host or entry.host or (pool[0] if pool and said != "gas" else "")
        if phase == "gas":
            if not liquids or host in gases:  # a gas in a gas is part of it, whatever liquid stands beside them
                return "gas", ""
            liquid = host or self.best(entry.id, liquids) or liquids[0]
            soluble = self.solubility(entry.id, liquid)[0]
            if host or soluble in ("yes", "unknown", "reacts") or said == "dissolved":
                return "dissolved", liquid
            return "gas", ""
        embedding = self.embedding(entry)
        if self.taken_up(entry, host):
            return "dissolved", host
        if embedding and phase == "liquid":  # the oil of a seed
            return "embedded", embedding
        if phase == "liquid" or said == "liquid":
            return ("solid", "") if said == "solid" else ("liquid", "")
        if entry.state == "ice":
            return "solid", ""
        if embedding:
            return "embedded", embedding
        if host in gases:
            return "airborne", host
        if liquids:
            return self.solid_in_liquid(entry, liquids, host)
        if gases:
            return "airborne", host or gases[0]
        return "solid", ""

    def embedding(self, entry: Entry) -> str:
        """Id of the plant, food or ore a wanted substance is locked in, or ""."""
        for mixture in self.built.named:
            locked_in = [part.host for part in mixture.components if part.form == "embedded"]
            if entry.wanted and entry.host == mixture.id and locked_in:
                return locked_in[0]
        if not entry.host or not self.table.has(entry.host):
            return ""
        host = self.substance(entry.host)
        classes, kinds = self.words.embedding.get("classes", ()), self.words.embedding.get("kinds", ())
        locks = self.substance(entry.id).kind in self.words.embedding.get("locks", ())
        if self.phase(entry.id) == "liquid" and "organic" not in self.substance(entry.id).classes:
            return ""  # water and juices run out by themselves
        always = any(name in self.words.embedding.get("always", ()) for name in self.substance(entry.id).classes)
        locked = (
            (entry.wanted or always) and locks and (host.kind in kinds or any(name in classes for name in host.classes))
        )
        return entry.host if locked else ""

    def best(self, solute: str, liquids: list[str]) -> str:
        """The liquid that dissolves it best, "" if none is known to."""
        rated = [(self.solubility(solute, liquid), liquid) for liquid in liquids]
        dissolving = [(-much, liquids.index(liquid), liquid) for (word, much), liquid in rated if word == "yes"]
        return min(dissolving)[2] if dissolving else ""

    def solid_in_liquid(self, entry: Entry, liquids: list[str], host: str) -> tuple[str, str]:
        substance = self.substance(entry.id)
        words = {liquid: self.solubility(entry.id, liquid)[0] for liquid in liquids}
        if self.drunk(entry) and host in ("", self.assumed_liquid()) and words.get(self.assumed_liquid()) == "no":
            found = substance.solubility.get(self.assumed_liquid())
            if found is not None and found.points and min(much for _, much in found.points) > 0 and not entry.form:
                return "dissolved", self.assumed_liquid()  # the little that is in a drink has dissolved
        best = host if host and words.get(host) == "yes" else self.best(entry.id, liquids)
        if best:
            if (
                entry.form == "suspended"
                and host == ""
                and len(liquids) == 1
                and "adds" in self.words.states.get(entry.state, {})
            ):
                return "suspended", liquids[0]
            stirred = entry.form == "suspended" and "adds" not in self.words.states.get(entry.state, {})
            if stirred and host and host != self.assumed_liquid():
                return "suspended", host  # said to lie in an organic liquid: there is more of it than dissolves
            return "dissolved", best
        first = host or liquids[0]
        if entry.form == "dissolved":
            known = substance.solubility.get(first)
            if known is not None and known.word in self.words.insoluble_words and not substance.given:
                liquid = self.substance(first).name
                if any(name in self.words.dilute.get("colloids", ()) for name in substance.classes):
                    said = f"{substance.name}: no true solution in {liquid}, so taken as colloidal in it"
                    self.built.notes.append(said)
                    return "colloidal", first
                self.built.notes.append(f"{substance.name}: not soluble in {liquid}, so taken as suspended in it")
                return "suspended", first
            return "dissolved", first
        told = self.words.states.get(entry.state, {})
        if "late" in told and words.get(first) == "no":
            return told["form"], first
        if entry.form == "suspended":
            return "suspended", first
        if any(name in self.words.dilute.get("colloids", ()) for name in substance.classes) and any(
            other.state == "solution" or other.state == "sol" for other in self.entries
        ):
            return "colloidal", first  # "starch and glucose solution"
        dispersed = [liquid for liquid, word in words.items() if word == "disperses"]
        if dispersed:
            return "colloidal", dispersed[0]
        unknown = [liquid for liquid, word in words.items() if word == "unknown"]
        if unknown:
            name = self.substance(unknown[0]).name
            self.built.missing.append(f"the solubility of {substance.name} in {name}")
            left = [liquid for liquid in (first, *liquids) if words.get(liquid) == "no"]
            return ("suspended", left[0]) if left else ("solid", "")
        if all(word == "reacts" for word in words.values()):
            return "solid", ""
        return "suspended", first


def _merged(first: Component, second: Component) -> Component:
    """One component from two mentions: the first's form, and whatever only one of them states."""
    return replace(
        first,
        mass=first.mass if second.mass is None else second.mass,
        volume=first.volume if second.volume is None else second.volume,
        share=first.share if second.share is None else second.share,
        size=first.size if second.size is None else second.size,
        role=first.role or second.role,
    )


def build(entries: list[Entry], table: Table, words: Lexicon) -> Built:
    """Components for what was named, in order; named mixtures are replaced by their parts."""
    return _Builder(entries, table, words).build()


def dissolves(solute: str, liquid: str, table: Table, words: Lexicon) -> str:
    """Whether a substance dissolves in a liquid: yes, no, disperses, reacts or unknown."""
    return _Builder([], table, words).solubility(solute, liquid)[0]
