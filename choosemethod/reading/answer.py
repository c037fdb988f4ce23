"""From the draft to the Question: components, wish, setting, and what was understood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from choosemethod.errors import UsageError
from choosemethod.mixture import (
    HIGHEST_PRESSURE,
    LOWEST_PRESSURE,
    STANDARD_PRESSURE,
    Component,
    Mixture,
    Question,
    Setting,
    Wish,
)  # fmt: skip
from choosemethod.quantity import show
from choosemethod.reading.condition import read_condition
from choosemethod.reading.draft import Term, elements
from choosemethod.reading.forms import Built, Entry, build
from choosemethod.reading.grammar import clauses, segments
from choosemethod.reading.items import Item, itemise
from choosemethod.reading.language import without_implied
from choosemethod.reading.precipitates import precipitated
from choosemethod.reading.sentence import Sentence
from choosemethod.reading.setting import pressure_at
from choosemethod.reading.spelling import suggestions
from choosemethod.reading.words import cut
from choosemethod.table import Name, NamedMixture, normalise
from choosemethod.table.names import spaced

__all__ = ["Answer"]

_LITTLE = (5e-6, 1e-4)  # m3, kg: amounts up to these are "only a little"


@cache
def _spaced(phrases: tuple[str, ...]) -> tuple[str, ...]:
    """Phrases as they are looked for; worked out once, for the lists are the same for every question."""
    return tuple([spaced(phrase) for phrase in phrases])


class Answer:
    """Puts a Question together from a reading."""

    def __init__(self, reader: Sentence, want: Sequence[str], asked: str) -> None:
        self.reader = reader
        self.draft = reader.draft
        self.table = reader.table
        self.language = reader.language
        self.given = dict(reader.described.given)
        self.asked_want = want
        self.asked = asked
        self.unknown: list[tuple[str, tuple[str, ...]]] = []
        self.said = spaced(asked)
        self.set_aside: list[str] = []
        self.set_aside_limits: list[str] = []
        self.asked_gone: list[Term] = []  # named in the wish as what must not be there
        self.salts: dict[str, str] = {}  # metals that are there as ions, and the salts that stand for them

    def question(self, without: Sequence[str], pressure: float | None, level: str) -> Question:
        self.prune()
        self.partners()
        self.whole_wished()
        self.one_material()
        self.reaction_mixture()
        self.prepared()
        self.mirror_images()
        self.group_alone()
        self.dryers_at_hand()
        self.formula_in_water()
        self.solvents_at_hand()
        self.missing_from_it()
        self.made_of_it()
        self.body_sample()
        self.metals_as_ions()
        self.mixture_in_itself()
        self.amount_asked()
        built = build(self.draft.entries, self.table, self.language)
        main = self.add_impurities(built)
        self.aged(built)
        if len(self.draft.entries) > 1:
            made = precipitated(built.components, self.table, self.language)
            if made is not None:
                built.components, note = made
                built.named.clear()
                built.notes.append(note)
        mixture = self.mixture(built)
        wish = self.wish(mixture)
        if main and not wish.want and not wish.remove:
            wish = replace(wish, want=(main,))
        if not wish.want and mixture.named and wish.aim == "separate":
            # a crude product, or one "with some acid in it", is wanted free of all that is not it
            whole = [c.substance for c in mixture.components if c.role == "main" and c.form == "liquid"]
            wish = replace(wish, want=tuple(whole), remove=()) if whole and whole[0] not in wish.remove else wish
        setting, unknown_limits = self.setting(without, pressure, level)
        missing = (*built.missing, *self.missing())
        said = self.reader.said
        question = Question(
            mixture=mixture,
            wish=wish,
            setting=setting,
            given=self.given,
            unknown=(*self.unknown_words(mixture), *self.unknown, *unknown_limits),
            missing=tuple(dict.fromkeys(missing)),
            tried=tuple(said.tried),
            amounts=dict(self.draft.amounts),
            front=said.front,
            spots=tuple(said.spots),
            asked=self.asked,
        )
        return replace(question, understood=tuple(self.understood(question, built)))

    def prune(self) -> None:
        """Drop "two liquids" of which nothing is said, if the liquids are named."""
        tentative = self.reader.described.tentative
        named = any(entry.id not in self.given for entry in self.draft.entries)
        told = any(id not in tentative for id in self.given)
        if tentative and (named or not told) and named:
            for id in tentative:
                self.given.pop(id, None)
            self.draft.entries = [entry for entry in self.draft.entries if entry.id not in tentative]
        looks = [id for id, told in self.given.items() if set(told) <= {"name", "colour", "particle_size", "phase"}]
        crude = self.says("words")
        if crude and named and looks and sum(entry.id not in self.given for entry in self.draft.entries) == 1:
            for id in looks:  # "crude vanillin, brown crystals": how it looks, no second component
                self.given.pop(id)
            self.draft.entries = [entry for entry in self.draft.entries if entry.id not in looks]

    def says(self, key: str) -> bool:
        """Whether one of the phrases that rules/reading lists under a key stands in the question."""
        return self.says_any(self.language.crude.get(key, ()))

    def says_any(self, phrases: Sequence[str]) -> bool:
        """Whether one of these phrases stands in the question as whole words."""
        return any(phrase in self.said for phrase in _spaced(tuple(phrases)))

    def add_impurities(self, built: Built) -> str:
        """Add what a single substance called crude or impure, or to be purified, holds too; its id, "" if none."""
        crude = self.language.crude
        if len(built.components) != 1 or built.named:
            return ""
        if self.given and built.components[0].form != "liquid":
            return ""
        only = built.components[0]
        if self.draft.aim == "identify" and self.one_or_several(only, built):
            return ""
        if self.lone_ore(only):
            built.components[0] = replace(only, role="main")
            built.components += [Component(found.id, "solid", role="impurity") for found in self.named_in("ore")]
            return only.substance
        if only.form == "gas" and self.says("dry_words"):
            built.components[0] = replace(only, role="main")
            built.components += [Component(found.id, "gas", role="impurity") for found in self.named_in("vapour")]
            return only.substance
        vapour = self.named_in("vapour")
        tablet = self.says("tablet_words")
        if tablet and only.form == "solid" and "organic" in self.table.substance(only.substance).classes:
            built.components[0] = replace(only, role="main")
            built.components += [Component(v.id, "solid", role="impurity") for v in self.named_in("tablet")]
            return only.substance
        drying = self.says("dry_words")
        if drying and only.form == "liquid" and all(only.substance != found.id for found in vapour):
            built.components[0] = replace(only, role="main")
            built.components += [Component(v.id, "dissolved", only.substance, role="impurity") for v in vapour]
            return only.substance
        if not self.draft.purify and not self.says("words"):
            return ""
        phase = self.table.substance(only.substance).phase
        if only.form != phase or phase not in crude:
            return ""
        built.components[0] = replace(only, role="main")
        for name in crude[phase]:
            found = self.table.name(name)
            if found is not None and found.kind == "substance":
                form, host = ("dissolved", only.substance) if phase == "liquid" else ("solid", "")
                built.components.append(Component(found.id, form, host, role="impurity"))
        return only.substance

    def aged(self, built: Built) -> None:
        """A liquid that forms peroxides and is said to be old is taken to hold them."""
        if not self.says("aged_words"):
            return
        present = {component.substance for component in built.components}
        for component in list(built.components):
            if component.form != "liquid" or not self.table.has(component.substance):
                continue
            value = self.table.substance(component.substance).values.get("peroxide_former")
            if value is not None and value.words == ("yes",):
                for found in self.named_in("peroxides"):
                    if found.id not in present:
                        built.components.append(Component(found.id, "dissolved", component.substance, role="impurity"))
                        built.notes.extend(self.language.crude.get("aged_note", ()))
                return

    def one_or_several(self, only: Component, built: Built) -> bool:
        """A colour without a name of its own, to be looked into: it may be several, in solution in the usual liquid."""
        liquid = self.table.name(self.language.assumed_liquid)
        names = self.named_in("colours")
        if liquid is None or only.form != "solid" or not any(name.id == only.substance for name in names):
            return False
        other = next(name.id for name in names if name.id != only.substance)
        built.components = [
            replace(only, form="dissolved", host=liquid.id),
            Component(other, "dissolved", liquid.id),
            Component(liquid.id, "liquid"),
        ]
        built.notes.append("it is asked whether there is one colour or several, so several are taken to be there")
        return True

    def lone_ore(self, only: Component) -> bool:
        """Whether it is an ore mineral alone: as mined it sits in rock."""
        classes = self.language.crude.get("ore_classes", ())
        mine = self.table.substance(only.substance).classes
        return only.form == "solid" and not self.draft.into and any(name in classes for name in mine)

    def named_in(self, key: str) -> list[Name]:
        """The substances the language lists under a key of what crude things hold."""
        found = [self.table.name(name) for name in self.language.crude.get(key, ())]
        return [name for name in found if name is not None and name.kind == "substance"]

    def partners(self) -> None:
        """A described substance alone, compared with a liquid, is to be separated from that liquid."""
        entries = self.draft.entries
        if len({entry.id for entry in entries}) == 1 and entries[0].id in self.given:
            for id in dict.fromkeys(self.reader.described.partners):
                if all(entry.id != id for entry in entries):
                    entries.append(Entry(id))

    def reaction_mixture(self) -> None:
        """One substance from "the reaction mixture" stands for the named mixture of that preparation."""
        words = self.language.crude.get("reaction_words", ())
        if len(self.draft.entries) != 1 or self.draft.entries[0].kind != "substance":
            return
        if self.says_any(words):
            only = self.draft.entries[0]
            found = self.table.name(f"{only.words} {words[0]}")
            if found is not None and found.kind == "mixture":
                self.draft.entries[0] = Entry(found.id, "mixture")
            else:
                self.draft.purify = True

    def prepared(self) -> None:
        """A product with what it was made from ("1-bromobutane from butan-1-ol and hydrogen bromide"): its crude product."""
        entries = self.draft.entries
        made = self.language.crude.get("made_words", ())
        if len({entry.id for entry in entries}) < 2 or any(entry.kind != "substance" for entry in entries):
            return
        if not self.says_any(made):
            return
        wanted = {
            item.name.id
            for term in self.draft.want
            for item in term.slot.names
            if item.name is not None and item.name.kind == "substance"
        }
        named_first = [entry.id for entry in entries if entry.id in wanted] or sorted(wanted)
        named_first.append(entries[0].id)
        main = next((id for id in named_first if self.crude_product(id) is not None), named_first[0])
        crude = self.crude_product(main) or self.crude_wanted()
        if crude is None:
            return
        held = {part.substance for part in crude.components}
        extra = {entry.id for entry in entries} - held
        kinds = self.language.crude.get("made_kinds", ())
        if any(self.table.substance(id).kind not in kinds for id in {entry.id for entry in entries}):
            return  # what a plant or a food holds was not made there
        if any(part.substance == main and part.role == "impurity" for part in crude.components):
            main = ""
        named = any(entry.id == main for entry in entries)
        reagents = all("organic" not in self.table.substance(id).classes for id in extra)
        told = self.says_any(made[1:])  # "from" alone may ask for a separation
        started = bool(main) and any(entry.id in held and entry.id != main for entry in entries)
        if started and self.table.substance(main).phase != "liquid":
            reagents = bool(extra) and all(self.table.substance(id).phase == "liquid" for id in extra)
            started = reagents  # "aspirin from salicylic acid and acetic anhydride"
        if (extra and ((reagents and started) or not named)) or (told and not extra and started):
            self.draft.entries[:] = [Entry(crude.id, "mixture")]
            self.draft.want.clear()  # the usual aim of the crude product: its main part
            self.draft.notes.append(f"taken as {crude.name}: the rest is what it was made from")

    def crude_wanted(self) -> NamedMixture | None:
        """The named mixture that is itself wanted ("crude 1-bromobutane from ..."), if it has a main part."""
        for term in self.draft.want:
            for item in term.slot.names:
                if item.name is not None and item.name.kind == "mixture":
                    mixture = self.table.mixture(item.name.id)
                    if any(part.role == "main" for part in mixture.components):
                        return mixture
        return None

    def mirror_images(self) -> None:
        """One organic substance called racemic stands for its two mirror images."""
        words = self.language.crude.get("racemic_words", ())
        entries = self.draft.entries
        if len({entry.id for entry in entries}) != 1 or entries[0].kind != "substance":
            return
        if not self.says_any(words):
            return
        found = self.table.name(words[0])
        if "organic" in self.table.substance(entries[0].id).classes and found is not None and found.kind == "mixture":
            entries[:] = [Entry(found.id, "mixture")]
            self.draft.want.clear()

    def crude_product(self, id: str) -> NamedMixture | None:
        """The named mixture "crude X" of an organic compound X, if the table has one that holds it."""
        if not self.table.has(id) or "organic" not in self.table.substance(id).classes:
            return None
        substance = self.table.substance(id)
        for name in (substance.name, *substance.also):
            for word in self.language.crude.get("words", ())[:2]:
                found = self.table.name(f"{word} {name}")
                if found is not None and found.kind == "mixture":
                    mixture = self.table.mixture(found.id)
                    if any(part.substance == id for part in mixture.components):
                        return mixture
        return None

    def group_alone(self) -> None:
        """Only a group was named and what is in it is asked ("how many colours are in this drink"): its usual mixture."""
        if self.draft.entries or self.draft.aim != "identify" or self.draft.unknown or self.given:
            return
        said = [self.language.phrases.get(word, {}).get("group", "") for word in normalise(self.asked).split()]
        for group in dict.fromkeys([*self.draft.groups, *(group for group in said if group)]):
            name = self.table.name(str(self.language.groups[group].get("alone", "")))
            if name is not None and name.kind == "mixture":
                self.draft.entries.append(Entry(name.id, "mixture"))
                return

    def formula_in_water(self) -> None:
        """The formula of a gas stands for its solution where no other gas is named: HCl beside NaOH is hydrochloric acid."""
        names = self.language.crude.get("formula_in_water", ())
        told = [inner for item in self.reader.items for inner in (item, *item.items)]
        written = [item for item in told if item.kind == "name" and item.sort == "formula" and item.name]
        for gas, solution in zip(names[::2], names[1::2], strict=False):
            first, second = self.table.name(gas), self.table.name(solution)
            if first is None or second is None:
                continue
            water = self.table.name(self.language.assumed_liquid)
            plain = (first.id, water.id if water is not None else "")
            others = [entry for entry in self.draft.entries if entry.id not in plain]
            mine = [
                entry for entry in self.draft.entries if entry.id == first.id and not entry.state and not entry.form
            ]
            said = any(item.name is not None and item.name.id == first.id and not item.state for item in written)
            if said and mine and others and not any(self.holds_gas(entry) for entry in others):
                for entry in mine:
                    entry.id, entry.kind, entry.words = second.id, second.kind, ""

    def dryers_at_hand(self) -> None:
        """What a gas is to be dried with is no part of it ("wet ammonia; we have quicklime and concentrated sulfuric acid")."""
        entries = self.draft.entries
        if not self.says("dry_words"):
            return
        if not any(self.holds_gas(entry) for entry in entries):
            return
        for entry in list(entries):
            if entry.kind == "substance" and not entry.role and self.dries(entry.id):
                entries.remove(entry)
        self.draft.want = [
            term
            for term in self.draft.want
            if not term.slot.names
            or not all(item.name is not None and self.dries(item.name.id) for item in term.slot.names)
        ]

    def solvents_at_hand(self) -> None:
        """A solvent that is only at hand is no part of it ("aniline in waste water, ether available")."""
        words = self.language.crude.get("at_hand_words", ())
        for entry in list(self.draft.entries):
            if len(self.draft.entries) < 2 or entry.kind != "substance" or not entry.words:
                continue
            substance = self.table.substance(entry.id)
            solvent = substance.phase == "liquid" and "solvent" in substance.classes and not entry.wanted
            if solvent and any(f"{spaced(entry.words)}{word} " in self.said for word in words):
                self.draft.entries.remove(entry)

    def dries(self, id: str) -> bool:
        """Whether it is something gases are dried with."""
        if not self.table.has(id) or self.table.substance(id).phase == "gas":
            return False
        dryers = self.language.crude.get("dryers", ())
        return any(name in dryers for name in self.table.substance(id).classes)

    def holds_gas(self, entry: Entry) -> bool:
        if entry.kind == "mixture":
            return any(part.form == "gas" for part in self.table.mixture(entry.id).components)
        return self.table.substance(entry.id).phase == "gas"

    def metals_as_ions(self) -> None:
        """Metals dissolved in water or polluting it are there as ions ("lead in drinking water")."""
        foul = self.says("foul_waters")
        waters = foul or self.says("salt_waters")
        for entry in self.draft.entries:
            if entry.kind != "substance" or not self.table.has(entry.id) or entry.size:
                continue
            substance = self.table.substance(entry.id)
            plain = entry.words == normalise(substance.name)  # not filings, foil or wire
            if substance.kind != "metal" or not (entry.form == "dissolved" or (waters and plain and not entry.form)):
                continue
            salt = self.table.name(f"{substance.name} ions")
            if salt is not None and salt.kind == "substance":
                self.salts[entry.id] = salt.id
                entry.id, entry.form = salt.id, "dissolved"
                entry.role = entry.role or ("impurity" if foul else "")

    def salt_of(self, id: str, substances: Sequence[str]) -> str:
        """The salt that stands for a metal which is there as its ions; any other id unchanged."""
        if id in self.salts or id in substances or not self.table.has(id):
            return self.salts.get(id, id)
        substance = self.table.substance(id)
        salt = self.table.name(f"{substance.name} ions") if substance.kind == "metal" else None
        return salt.id if salt is not None and salt.id in substances else id

    def amount_asked(self) -> None:
        """A question that ends with "how much" wants to know what is in it, not to have it."""
        words = self.language.crude.get("amount_words", ())
        if self.said.endswith(tuple(spaced(word) for word in words)):
            self.draft.aim = "identify"

    def mixture_in_itself(self) -> None:
        """A product that is a mixture itself, named alone (petrol), stands for what is in it."""
        entries = self.draft.entries
        alone = len({entry.id for entry in entries}) == 1 and entries[0].kind == "substance"
        if not alone or self.given or self.draft.purify:
            return
        if not self.table.has(entries[0].id):
            return
        whole = self.table.name(f"components of {self.table.substance(entries[0].id).name}")
        if whole is not None and whole.kind == "mixture":
            entries[:] = [Entry(whole.id, "mixture")]

    def missing_from_it(self) -> None:
        """What is to be removed is there, though the mixture was named without it ("coloured waste water, remove the dye")."""
        entries = self.draft.entries
        if len(entries) != 1 or self.draft.into:
            return
        whole = entries[0]
        held = self.reader.parts(Name(whole.kind, whole.id, ""))
        for term in self.draft.remove:
            names = [item for item in term.slot.names if item.name is not None and item.name.kind == "substance"]
            if term.origin or len(names) != 1 or names[0].name is None or names[0].name.id in held:
                continue
            group = names[0].roles.get("group", "") or self.group_of(names[0])
            if not any(self.reader.belongs(self.table.substance(id), group, None) for id in held) if group else True:
                entries.append(Entry(names[0].name.id, host=whole.id, role="impurity", words=names[0].norm))

    def made_of_it(self) -> None:
        """A product that a wanted name means is no part of what it is made of ("paneer from milk": its casein)."""
        entries = self.draft.entries
        parts = [
            part for entry in entries if entry.kind == "mixture" for part in self.table.mixture(entry.id).components
        ]
        for entry in list(entries):
            if entry.kind != "substance" or not entry.wanted or entry.form:
                continue
            if any(entry.id == part.substance for part in parts):
                continue
            substance = self.table.substance(entry.id)
            kin = self.colloid_of(entry.id, [(part.substance, part.form) for part in parts])
            if kin and self.table.substance(kin).kind != substance.kind:
                entries.remove(entry)

    def body_sample(self) -> None:
        """What is named in a body fluid and is no part of it is looked for there ("caffeine in urine"), cells set aside."""
        entries, draft = self.draft.entries, self.draft
        fluids = self.language.crude.get("body_fluids", ())
        wholes = [entry for entry in entries if entry.kind == "mixture"]
        others = [entry for entry in entries if entry.kind == "substance"]
        if len(wholes) != 1 or wholes[0].id not in fluids or wholes[0].only or draft.remove or not others:
            return
        parts = self.table.mixture(wholes[0].id).components
        held = {part.substance for id in fluids for part in self.table.mixture(id).components}
        named = {item.name.id for term in draft.want for item in term.slot.names if item.name is not None}
        if not named <= {entry.id for entry in others}:
            return
        if any(entry.id in held or entry.id in self.given or not self.table.has(entry.id) for entry in others):
            return
        substances = [self.table.substance(entry.id) for entry in others]
        kinds = self.language.crude.get("body_classes", ())
        extract = self.table.name(" ".join(self.language.crude.get("body_extract", ())))
        if not all(any(name in kinds for name in substance.classes) for substance in substances):
            return
        if all(substance.phase == "liquid" for substance in substances):
            liquids = tuple(part.substance for part in parts if part.form == "liquid")
            entries[entries.index(wholes[0])] = replace(wholes[0], only=liquids)
        elif extract is not None and all(substance.phase == "solid" for substance in substances):
            entries[entries.index(wholes[0])] = Entry(extract.id, "mixture", words=wholes[0].words)
            for entry in others:
                entry.form, entry.host = "solid", ""
        else:
            return
        draft.aim = "identify"
        draft.want.clear()

    def colloid_of(self, id: str, forms: Sequence[tuple[str, str]]) -> str:
        """The one colloidal component of the telling class of a product, or ""."""
        telling = set(self.language.crude.get("stands_for", ())) & set(self.table.substance(id).classes)
        found = [
            other for other, form in forms if form == "colloidal" and telling & set(self.table.substance(other).classes)
        ]
        return found[0] if len(found) == 1 else ""

    def whole_wished(self) -> None:
        """Solids of a liquid that is itself wanted are in it ("the leaves are in the pot; I want to drink the tea")."""
        ids = {entry.id for entry in self.draft.entries}
        if any(entry.kind != "substance" or entry.form for entry in self.draft.entries):
            return
        for term in self.draft.want:
            for item in term.slot.names:
                if item.name is None or item.name.kind != "mixture":
                    continue
                whole = self.table.mixture(item.name.id)
                held = {part.substance for part in whole.components if part.form == "suspended"}
                if ids and ids <= held and not whole.really:
                    self.draft.entries.append(Entry(whole.id, "mixture"))
                    return

    def one_material(self) -> None:
        """A dry material that the table also has as one substance (soil, compost) is that, beside what is no part of it."""
        entries = self.draft.entries
        for place, entry in enumerate(entries):
            if entry.kind != "mixture" or entry.only or len(entries) < 2:
                continue
            whole = self.table.mixture(entry.id)
            parts = whole.components
            held = {part.substance for part in parts}
            if entry.id in self.language.plain.get("brines", ()):  # "sand in sea water"
                others = {other.id for other in entries if other is not entry}
                if not self.draft.want and not others & held:
                    entries[place] = replace(entry, only=whole.usual_aim)
                continue
            joined = whole.really == "compound"  # "iron and iron sulfide"
            if not joined and (len(parts) < 2 or any(part.form != "solid" for part in parts)):
                continue
            named = {other.id for other in entries if other is not entry}
            wished = {item.name.id for term in self.draft.want for item in term.slot.names if item.name is not None}
            taken = wished & set(whole.made_of) if joined else (named | wished) & (held - {entry.id})
            if joined and named <= set(whole.made_of) and not self.listed_beside(entry.id, named):
                continue  # "iron sulfide: separate the iron with a magnet"
            if self.table.has(entry.id) and not taken and not entry.wanted and not self.draft.into:
                entries[place] = replace(entry, kind="substance")

    def listed_beside(self, id: str, others: set[str]) -> bool:
        """Whether a name stands in a list with one of the others: "iron and iron sulfide"."""
        told = [item for item in self.reader.items if not (item.kind == "phrase" and item.has("filler", "piece"))]
        for first, link, second in zip(told, told[1:], told[2:], strict=False):
            joining = link.has("join") or (bool(link.mark) and link.mark in ",+&/")
            if joining and first.name is not None and second.name is not None:
                pair = {first.name.id, second.name.id}
                if id in pair and pair & others:
                    return True
        return False

    def mixture(self, built: Built) -> Mixture:
        draft = self.draft
        components = tuple(self.shares(built.components))
        substances = {component.substance for component in components}
        whole = (mixture for mixture in built.named if mixture.really and substances <= set(mixture.made_of))
        named = next(whole, built.named[0] if built.named else None)  # "eggs and flour baked into a cake"
        really, note = "", ""
        alone = named is not None and len(built.named) == 1 and len({entry.id for entry in draft.entries}) == 1
        if named is not None:
            really, note = (named.really, named.note) if alone or substances <= set(named.made_of) else ("", named.note)
        if not really and len(substances) > 1:
            really = self.isotopes(substances)
        if not really and len(substances) > 1:
            really, note = self.same_formula(components, note)
        if not really and substances and self.isotope_wanted():
            really = "isotopes"
        if not really and len(substances) > 1 and any(item.has("apart") for item in self.reader.items):
            really = "apart"
        if draft.reacted and len(substances) > 1:
            compound = self.compound(substances)
            if compound is not None:
                parts = tuple(
                    Component(part.substance, part.form, part.host, share=part.share, size=part.size, role=part.role)
                    for part in compound.components
                )
                return Mixture(
                    parts, compound.name, compound.id, compound.really or "compound", compound.note, compound.by
                )
            really = "compound"
            note = "The components were heated until they reacted, so a compound is there now and not the mixture."
        if draft.alloy and len(components) > 1 and not really:
            really = "alloy"
            components = tuple(replace(component, form="alloyed", host="") for component in components)
        if (
            len(substances) == 1
            and not really
            and (draft.one or self.named_twice() or len(components) > 1 or self.split_substance(substances))
        ):
            really = self.kind_of(next(iter(substances)))
        name = named.name if named is not None else ""
        by = draft.share_by or (named.by if named is not None else "")
        if not really and substances:
            really = self.by_class(substances)
        return Mixture(
            components, name, named.id if named is not None else "", really, note, by, self.as_one_thing(built)
        )

    def as_one_thing(self, built: Built) -> tuple[frozenset[str], ...]:
        """Parts of each product of the language's list that is named beside something it does not hold."""
        found: list[frozenset[str]] = []
        for named in built.named:
            parts = frozenset(part.substance for part in named.components)
            others = {entry.id for entry in self.draft.entries if entry.id != named.id}
            kept = named.id in self.language.plain.get("as_one", ())
            if named.id in self.language.plain.get("brines", ()):  # oil on the sea: nobody asks for the salt
                kept = any(self.table.has(id) and self.table.substance(id).phase == "liquid" for id in others)
            if kept and others and not others & parts:
                found.append(parts)
        return tuple(found)

    def named_twice(self) -> bool:
        """Whether one substance goes by two names ("glucose and dextrose")."""
        return len({entry.words for entry in self.draft.entries if entry.words}) > 1

    def by_class(self, substances: set[str]) -> str:
        """Why it is no mixture for a separation, if all components share a class that says so (isotopes).

        The element itself may stand beside an isotope of it ("chlorine-35 from chlorine").
        """
        for word, really in self.language.really.items():
            marked = {id for id in substances if word in self.table.substance(id).classes}
            whole = {id.rpartition("-")[0] for id in marked if id.rpartition("-")[2].isdigit()}
            whole |= {id for id in substances if self.same_element(id, whole)}
            if marked and substances <= marked | whole:
                return really
            if marked and any(found.really == really for found in self.table.made_of(substances)):
                return really
        return ""

    def same_element(self, id: str, names: set[str]) -> bool:
        """Whether a substance is an element that goes by one of these names too (graphite: carbon)."""
        mine = elements(self.table.substance(id).formula)
        others = [self.table.name(name) for name in names]
        ids = [other.id for other in others if other is not None and other.kind == "substance"]
        return len(mine) == 1 and any(elements(self.table.substance(other).formula) == mine for other in ids)

    def isotopes(self, substances: set[str]) -> str:
        """Why the components together are no mixture, if a named mixture of just these says that they are isotopes."""
        return "isotopes" if any(mixture.really == "isotopes" for mixture in self.table.made_of(substances)) else ""

    def same_formula(self, components: Sequence[Component], note: str) -> tuple[str, str]:
        """ "one substance" and a note, if all components are one inorganic solid under several names (galena, lead sulfide)."""
        if any(component.form != "solid" for component in components):
            return "", note
        ids = {component.substance for component in components}
        same = next((mixture for mixture in self.table.made_of(ids) if mixture.really == "one substance"), None)
        if same is not None:
            return same.really, same.note
        found = [self.table.substance(id) for id in ids]
        formula = found[0].formula
        alike = formula and all(one.formula == formula and "organic" not in one.classes for one in found)
        if alike:
            return "one substance", f"{' and '.join(sorted(one.name for one in found))} are both {formula}."
        return "", note

    def isotope_wanted(self) -> bool:
        """Whether an isotope is to be got out of something ("heavy water from tap water")."""
        for term in self.draft.want:
            for item in term.slot.names:
                name = item.name
                if name is None:
                    continue
                if name.kind == "mixture":
                    if self.table.mixture(name.id).really == "isotopes":
                        return True
                elif self.table.has(name.id):
                    classes = self.table.substance(name.id).classes
                    if any(word in classes and why == "isotopes" for word, why in self.language.really.items()):
                        return True
        return False

    def compound(self, substances: set[str]) -> NamedMixture | None:
        return next((mixture for mixture in self.table.made_of(substances) if mixture.really == "compound"), None)

    def split_substance(self, substances: set[str]) -> bool:
        """Whether one substance is to be taken apart into others ("water into hydrogen and oxygen")."""
        wanted = {item.name.id for term in self.draft.want for item in term.slot.names if item.name is not None}
        return self.draft.into and bool(wanted - substances)

    def kind_of(self, id: str) -> str:
        if not self.draft.into:
            return "one substance"
        found = elements(self.table.substance(id).formula)
        return "compound" if len(found) > 1 else "element" if found else "one substance"

    def shares(self, components: list[Component]) -> list[Component]:
        ratio = self.reader.said.ratio
        real = [place for place, component in enumerate(components) if component.role != "impurity"]
        if ratio and len(ratio) == len(real) and sum(ratio) > 0:
            for place, part in zip(real, ratio, strict=True):
                components[place] = replace(components[place], share=part / sum(ratio))
        elif len(components) == 2:
            first, second = components
            if first.share is not None and second.share is None:
                components[1] = replace(second, share=1 - first.share)
            elif second.share is not None and first.share is None:
                components[0] = replace(first, share=1 - second.share)
        return components

    # The wish.

    def wish(self, mixture: Mixture) -> Wish:
        draft = self.draft
        terms = list(draft.want)
        said = "; ".join(dict.fromkeys(term.said for term in (*draft.want, *draft.remove) if term.said))
        if self.asked_want:
            terms = self.asked_terms()
            said = ", ".join(self.asked_want)
        want, form, aim, purity = list[str](), draft.form, draft.aim, None
        remove: list[str] = []
        for term in terms:
            ids, told, identify = self.resolve(term, mixture)
            gases = self.dissolved_gases(ids, mixture) if term.out else []
            if gases:
                remove += gases
            elif len(ids) > 1 and self.product(term):
                wanted, others = self.named_product(term, ids, mixture)
                want += wanted
                remove += others
                form = form or self.as_one(wanted, mixture)
            else:
                want += ids
            form = form or told
            if identify and not self.asked_want:
                aim = "identify"
            purity = purity or self.purity(term)
        if want and not set(want) & set(mixture.substances):
            want = self.stands_for(want, mixture) or (self.said_wish(mixture) if self.asked_want else []) or want
        elif self.asked_want and want:
            want = self.solid_part(terms, want, mixture) or want
        if self.asked_want:  # a gas to be got out of a liquid has to go, whatever is wanted
            for term in draft.want:
                remove += self.dissolved_gases(self.resolve(term, mixture)[0], mixture) if term.out else []
        for term in (*self.asked_gone, *draft.remove):
            remove += self.resolve(term, mixture)[0]
        clean = {normalise(word) for word in self.language.crude.get("clean_words", ())} & set(normalise(said).split())
        if self.asked_want and not want and not remove and clean:
            remove = self.put_into(mixture)
        want, remove = ([self.salt_of(id, mixture.substances) for id in ids] for ids in (want, remove))
        substances = mixture.substances
        if form == "degassed":  # the liquid is to be rid of its gases, not of what else is in it
            gone = [part.substance for part in mixture.components if part.form == "dissolved" and self.gaseous(part)]
            want, remove = ([], gone) if gone else (want, remove)
        want = list(dict.fromkeys(want))
        lesser = {component.substance for component in mixture.components if component.role == "impurity"}
        if want and not self.asked_want and mixture.named and lesser.issuperset(want):
            want, remove = [], [*remove, *want]  # "the hydrogen sulfide out of natural gas": it has to go
        if mixture.named and not draft.want and not draft.remove and not lesser & set(want):
            named = [entry.id for entry in draft.entries if entry.kind == "substance"]
            parts = self.parts_of(mixture.named)
            if named and lesser.issuperset(named) and set(parts).issuperset(named) and set(want) <= set(parts):
                want, remove = [], named  # "hydrogen sulfide in natural gas": only what is named has to go
        remove = [id for id in dict.fromkeys(remove) if id not in want or not draft.want]
        if remove and not want and len(set(substances) - set(remove)) == 1:
            want = [id for id in substances if id not in remove]
        impure = [component.substance for component in mixture.components if component.role == "main"]
        if any(entry.role == "impurity" and entry.id in self.salts.values() for entry in draft.entries):
            impure = impure or [part.substance for part in mixture.components if part.form == "liquid"]
        if (
            not want
            and not remove
            and aim == "separate"
            and impure
            and not terms
            and any(entry.role == "impurity" for entry in draft.entries)
        ):
            want = impure
        forms = [component.form for component in mixture.components]
        keeps_liquid = forms.count("liquid") == 1 and "dissolved" in forms  # it must not go off as vapour then
        if len(substances) > 1 and set(want) >= set(substances) and not keeps_liquid:
            want = []
        whole = terms and not self.asked_want and not remove and all(self.names_all(term, mixture) for term in terms)
        if not want and aim == "separate" and ((not terms and not remove) or draft.remove or whole):
            usual, aim = self.usual(mixture, aim)
            if set(usual) & set(remove):  # it is usual to remove them one by one: nothing more is wanted
                usual = []
            want = [id for id in usual if id not in remove] if not remove or aim == "separate" else []
            if remove and len(want) > 1:
                want = []  # "remove X from Y": what stays need not be parted
            form = form or self.as_one(want, mixture)
        return Wish(tuple(want), tuple(remove), aim, form, purity, said)

    def stands_for(self, want: Sequence[str], mixture: Mixture) -> list[str]:
        """The one component a product is made of that is wanted under its own name: the casein of "paneer"."""
        telling = self.language.crude.get("stands_for", ())
        found: list[str] = []
        for id in want:
            classes = self.table.substance(id).classes if self.table.has(id) else ()
            mine = {name for name in classes if name in telling}
            kin = [other for other in mixture.substances if mine & set(self.table.substance(other).classes)]
            forms = [(part.substance, part.form) for part in mixture.components]
            colloid = self.colloid_of(id, forms) if len(kin) > 1 and self.table.has(id) else ""
            if len(kin) != 1 and not colloid:
                return []
            found += [colloid] if colloid else kin
        return found

    def put_into(self, mixture: Mixture) -> list[str]:
        """What the question names in a mixture ("hydrogen sulfide in town gas"): that has to go where it is wanted clean."""
        wholes = {entry.id for entry in self.draft.entries if entry.kind == "mixture"}
        found = [entry.id for entry in self.draft.entries if entry.kind == "substance" and entry.host in wholes]
        return [id for id in found if id in mixture.substances]

    def solid_part(self, terms: Sequence[Term], want: Sequence[str], mixture: Mixture) -> list[str]:
        """What a wanted mixture means where only its liquid is there too: the solid part of its kind (curds: the lumps)."""
        names = [item.name for term in terms for item in term.slot.names if item.name is not None]
        liquids = {part.substance for part in mixture.components if part.form == "liquid"}
        if not liquids.issuperset(want) or len(names) != 1:
            return []
        if names[0].kind != "mixture" or names[0].id == mixture.named:
            return []
        telling = self.language.crude.get("stands_for", ())
        classes = [name for id in self.parts_of(names[0].id) for name in self.table.substance(id).classes]
        wanted = {name for name in classes if name in telling}
        solid = [part.substance for part in mixture.components if part.form in ("suspended", "solid")]
        kin = [id for id in solid if wanted & set(self.table.substance(id).classes)]
        return kin if len(kin) == 1 else []

    def said_wish(self, mixture: Mixture) -> list[str]:
        """What the question's own words want, where what was asked for beside it is nothing in the mixture."""
        found = [id for term in self.draft.want for id in self.resolve(term, mixture)[0]]
        return found if found and set(found) <= set(mixture.substances) else []

    @staticmethod
    def names_all(term: Term, mixture: Mixture) -> bool:
        """Whether a wish only names the whole mixture again: "DNA fragments from a digest"."""
        names = [item.name for item in term.slot.names if item.name is not None]
        return len(names) == 1 and names[0].kind == "mixture" and names[0].id == mixture.named

    def gaseous(self, component: Component) -> bool:
        return self.table.substance(component.substance).phase == "gas"

    def dissolved_gases(self, ids: list[str], mixture: Mixture) -> list[str]:
        """The dissolved gases among these ids; none if a solid or an undissolved gas is among them."""
        forms = {component.substance: component.form for component in mixture.components}
        found = [id for id in ids if forms.get(id) == "dissolved" and self.table.substance(id).phase == "gas"]
        return found if all(id in found or forms.get(id) == "liquid" for id in ids) else []

    @staticmethod
    def product(term: Term) -> bool:
        """Whether a wish names a mixture as one product (plasma, cream)."""
        return (
            len(term.slot.names) == 1
            and term.slot.names[0].name is not None
            and term.slot.names[0].name.kind == "mixture"
        )

    def named_product(self, term: Term, ids: list[str], mixture: Mixture) -> tuple[list[str], list[str]]:
        """What to want and what to remove if a mixture is wanted as one product: its usual aim, or all but the rest."""
        name = term.slot.names[0].name
        assert name is not None
        last = self.table.name(term.slot.names[0].norm.split()[-1])
        whole = set(self.reader.parts(name)) <= set(mixture.substances)
        others = [id for id in mixture.substances if id not in ids]
        said = self.put_into(mixture) if self.asked_want else []
        if said and not set(said) & set(self.table.mixture(name.id).usual_aim):
            return [], said  # "carbon dioxide in the air of a submarine", breathable air wanted
        if whole and others and name.id == mixture.named:
            return [], others  # "keep the wine": what else is in it has to go
        loose = [part.substance for part in mixture.components if part.form == "suspended"]
        if whole and name.id == mixture.named and loose and len(loose) < len(ids):
            return [], loose  # "drink the tea": without the leaves
        if not whole and last is not None and last.id in ids:
            return [last.id], []
        usual = [id for id in self.table.mixture(mixture.named).usual_aim if id in ids] if mixture.named else []
        own = [id for id in self.table.mixture(name.id).usual_aim if id in ids]
        chosen = usual or own
        if chosen:
            return chosen, []
        return [], [id for id in mixture.substances if id not in ids]

    @staticmethod
    def as_one(want: list[str], mixture: Mixture) -> str:
        """The form word of a product that is a liquid with what is dissolved in it (a drink), else ""."""
        liquids = {component.substance for component in mixture.components if component.form == "liquid"}
        return "liquid" if len(want) > 1 and liquids & set(want) else ""

    def parts_of(self, id: str) -> list[str]:
        return [part.substance for part in self.table.mixture(id).components]

    def usual(self, mixture: Mixture, aim: str) -> tuple[list[str], str]:
        """What is usually wanted of a named mixture, if nothing was said."""
        others = {entry.id for entry in self.draft.entries} - {mixture.named}
        if not mixture.named or not others <= set(self.parts_of(mixture.named)):
            return [], aim
        usual = self.table.mixture(mixture.named).usual_aim
        if usual == ("identify",):
            return [], "identify"
        told = [id for id in usual if id in others]  # "sulfur dioxide in flue gas": what is named of it
        return told or [id for id in usual if id in mixture.substances], aim

    def asked_terms(self) -> list[Term]:
        terms: list[Term] = []
        for words in self.asked_want:
            items = itemise(words, cut(words, self.table.formula), self.table, self.language)
            for _, clause in clauses(items):
                for segment in segments(clause, "", self.reader.fill):
                    slots = [*segment.objects, *segment.source]
                    if segment.verb == "free" and terms and slots:
                        self.asked_gone.append(terms.pop())  # "oxygen-free water"
                    terms += [Term(slot, said=words) for slot in slots]
                    unknown = [
                        item.text
                        for slot in slots
                        if not (slot.names or slot.groups or slot.pronoun or slot.conditions)
                        for item in slot.unknown
                    ]
                    if unknown:
                        text = " ".join(unknown)
                        self.set_aside.append(text)
        return terms

    def resolve(self, term: Term, mixture: Mixture) -> tuple[list[str], str, bool]:
        """Ids a slot of a wish means, the condition it asks for, and whether it asks only what is there."""
        slot = term.slot
        form = slot.conditions[0] if slot.conditions else ""
        substances = mixture.substances
        found: list[str] = []
        for item in slot.names:
            assert item.name is not None
            name = item.name
            if name.id in substances:
                found.append(name.id)
                continue
            if name.kind == "mixture":
                parts = [part.substance for part in self.table.mixture(name.id).components]
                parts = parts or list(self.table.mixture(name.id).made_of)  # "distilled water"
                if name.id != mixture.named or (len(parts) > 1 and set(parts) < set(substances)):
                    found += [id for id in parts if id in substances]
                else:
                    found += [id for id in self.table.mixture(name.id).usual_aim if id in substances]
                continue
            called = self.called(item.norm, mixture)
            if called:
                found.append(called)
                continue
            group = item.roles.get("group", "") or self.group_of(item)
            members = self.members(group, mixture) if group else []
            if group and not members:  # "the chloride ions" of a sol: an impurity of it
                members = [
                    c.substance
                    for c in mixture.components
                    if self.reader.belongs(self.table.substance(c.substance), group, None)
                ]
            if len(members) > 1 and self.language.groups[group].get("aim"):
                return found, form, True
            found += members or [name.id]
        found += [id for id in slot.given if id in substances or id in self.given]
        if found or slot.names:
            return list(dict.fromkeys(found)), form, False
        identify = False
        groups = [group for group in slot.groups if not (form and slot.pieces)] or slot.groups
        for group in groups[-1:]:
            members = self.members(group, mixture)
            identify = bool(self.language.groups[group].get("aim")) and len(members) != 1
            if len(members) > 1 and "liquid" in self.language.groups[group].get("forms", ()):
                form = form or "liquid"  # one product, with everything dissolved in it
            if (not identify and len(members) < len(substances)) or (not identify and form in ("crystals", "powder")):
                found += members
        if not found and not groups and slot.pronoun == "main" and substances:
            main = [component.substance for component in mixture.components if component.role == "main"]
            usual = list(self.table.mixture(mixture.named).usual_aim) if mixture.named and not main else []
            found = main or [id for id in usual if id in substances] or [substances[0]]
        if slot.pronoun == "all" and not groups:
            found = []
        return found, form, identify

    def called(self, words: str, mixture: Mixture) -> str:
        """Id of the component whose words begin or end with these ("egg white" of "egg white protein"), or ""."""
        found = {
            entry.id
            for entry in self.draft.entries
            if entry.kind == "substance" and entry.words != words and f" {entry.words} ".find(f" {words} ") >= 0
        }
        return next(iter(found)) if len(found) == 1 and found <= set(mixture.substances) else ""

    def group_of(self, item: Item) -> str:
        last = item.norm.split()[-1]
        return self.language.phrases.get(last, {}).get("group", "")

    def members(self, group: str, mixture: Mixture) -> list[str]:
        found: list[str] = []
        for component in mixture.components:
            substance = self.table.substance(component.substance)
            if (self.reader.belongs(substance, group, component) and component.role != "impurity") or (
                component.role == "impurity" and component.role in self.language.groups[group].get("roles", ())
            ):
                found.append(component.substance)
        return list(dict.fromkeys(found))

    @staticmethod
    def purity(term: Term) -> float | None:
        for item in term.slot.amounts:
            if item.dimension == "fraction" and 0.5 < item.number <= 1:
                return item.number
        return None

    # The rest.

    def setting(
        self, without: Sequence[str], pressure: float | None, level: str
    ) -> tuple[Setting, list[tuple[str, tuple[str, ...]]]]:
        said = self.reader.said
        keys = list(said.without)
        unknown: list[tuple[str, tuple[str, ...]]] = []
        for words in without:
            told = read_condition(words, self.table, self.language)
            keys += told.without
            pressure = told.pressure if pressure is None else pressure
            said.altitude = told.altitude if said.altitude is None else said.altitude
            said.small = said.small or told.small
            said.level = said.level or told.level
            if told.only_wishes:
                self.set_aside_limits.append(words)
            elif not told.understood:
                near = [key for key in self.language.without if any(word in key for word in normalise(words).split())]
                unknown.append((words, tuple(near[:3])))
        if pressure is None:
            pressure = said.pressure
            if pressure is None and said.altitude is not None:
                try:
                    pressure = pressure_at(said.altitude)
                except ValueError as error:
                    raise UsageError(f"the altitude in the question: {error}") from None
            if pressure is not None and not LOWEST_PRESSURE <= pressure <= HIGHEST_PRESSURE:
                raise UsageError("the pressure in the question must lie between 0.1 kPa and 10 MPa, for example 84 kPa")
        amounts = [(entry.volume, entry.mass) for entry in self.draft.entries]
        measured = [
            value <= limit for pair in amounts for value, limit in zip(pair, _LITTLE, strict=True) if value is not None
        ]
        small = said.small or (bool(measured) and all(measured))
        setting = Setting(
            STANDARD_PRESSURE if pressure is None else pressure,
            without_implied(dict.fromkeys(keys)),
            level or said.level,
            small,
        )
        return setting, unknown

    def unknown_words(self, mixture: Mixture) -> list[tuple[str, tuple[str, ...]]]:
        found: list[tuple[str, tuple[str, ...]]] = []
        runs = list(self.draft.unknown)
        if not mixture.components:
            runs += self.draft.loose
        for run in runs:
            words = _written(run)
            if words and all(words != other for other, _ in found):
                found.append((words, suggestions(words, self.table)))
        return found

    def missing(self) -> list[str]:
        found: list[str] = []
        for id, told in self.given.items():
            name = told["name"]
            known = [key for key in told if key not in ("name", "phase", "colour")]
            if "phase" not in told:
                found.append(f"whether {name} is a solid, a liquid or a gas")
            if not known and all(entry.role != "impurity" for entry in self.draft.entries if entry.id == id):
                phase = told.get("phase", "")
                if phase != "liquid":
                    found.append(f"what {name} dissolves in")
                if phase != "solid":
                    found.append(f"the boiling point of {name}")
        if not self.draft.entries:
            for group in dict.fromkeys(self.draft.groups):
                found.append(f"which {group.replace('-', ' ')} it is")
        if self.draft.purify and len({entry.id for entry in self.draft.entries}) == 1:
            found.append("what the impurities are")
        return found

    def understood(self, question: Question, built: Built) -> list[str]:
        mixture, wish, setting = question.mixture, question.wish, question.setting
        found: list[str] = []
        if mixture.name:
            found.append(f"mixture: {mixture.name}")
        if mixture.components:
            found.append("components: " + ", ".join(self.shown(component) for component in mixture.components))
        if mixture.really:
            found.append(f"really: {mixture.really}")
        if wish.aim == "identify":
            found.append("asked: what is in it")
        if wish.want:
            found.append(
                "wanted: " + ", ".join(self.name(id) for id in wish.want) + (f" ({wish.form})" if wish.form else "")
            )
        elif wish.form:
            found.append(f"wanted: {wish.form}")
        found += [f"not understood and set aside: the wish “{text}”" for text in self.set_aside]
        found += [f"rules no technique out, so set aside: “{text}”" for text in self.set_aside_limits]
        if wish.purity:
            found.append(f"wanted purity: {show(wish.purity, 'fraction')}")
        if wish.remove:
            found.append("to be removed: " + ", ".join(self.name(id) for id in wish.remove))
        said = list(dict.fromkeys(self.reader.said.without))
        if setting.without:
            keys = said or list(setting.without)
            found.append("without: " + ", ".join(key.replace("-", " ") for key in keys))
        if setting.pressure != STANDARD_PRESSURE:
            at = "" if self.reader.said.altitude is None else f" (at {self.reader.said.altitude:g} m)"
            found.append(f"pressure: {show(setting.pressure, 'pressure')}{at}")
        if setting.level:
            found.append(f"level: {setting.level}")
        if setting.small:
            found.append("only a small amount")
        if question.tried:
            found.append("techniques named: " + ", ".join(slug.replace("-", " ") for slug in question.tried))
        if question.front is not None:
            spots = ", ".join(show(spot, "length") for spot in question.spots)
            found.append(f"chromatogram: front {show(question.front, 'length')}, spots {spots}")
        found += self.reader.described.inferred + built.notes
        return found

    def name(self, id: str) -> str:
        return self.table.substance(id).name if self.table.has(id) else id.replace("-", " ")

    def shown(self, component: Component) -> str:
        host = ""
        if component.host:
            word = "on" if component.form == "solid" else "in"
            host = f" {word} {self.name(component.host)}"
        much = []
        if component.mass is not None:
            much.append(show(component.mass, "mass"))
        if component.volume is not None:
            much.append(show(component.volume, "volume"))
        if component.share is not None:
            much.append(show(component.share, "fraction"))
        return f"{self.name(component.substance)} ({', '.join([component.form + host, *much])})"


def _written(run: Sequence[Item]) -> str:
    """The words of a run, one that normalises to two parts only once."""
    return " ".join([text for _, text in dict.fromkeys((item.start, item.text) for item in run)])
