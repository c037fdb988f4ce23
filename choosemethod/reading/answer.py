"""From the draft to the Question: components, wish, setting, and what was understood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

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
from choosemethod.reading.draft import Term, elements
from choosemethod.reading.forms import Built, Entry, build
from choosemethod.reading.grammar import clauses, segments
from choosemethod.reading.items import Item, itemise
from choosemethod.reading.language import without_implied, without_keys_of
from choosemethod.reading.precipitates import precipitated
from choosemethod.reading.sentence import Sentence
from choosemethod.reading.setting import pressure_at
from choosemethod.reading.spelling import suggestions
from choosemethod.reading.words import cut
from choosemethod.table import Name, NamedMixture, normalise

__all__ = ["Answer"]

_LITTLE = (5e-6, 1e-4)  # m3, kg: amounts up to these are "only a little"


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
        self.set_aside: list[str] = []
        self.asked_gone: list[Term] = []  # named in the wish as what must not be there

    def question(self, without: Sequence[str], pressure: float | None, level: str) -> Question:
        self.prune()
        self.partners()
        self.whole_wished()
        self.reaction_mixture()
        self.group_alone()
        self.dryers_at_hand()
        self.missing_from_it()
        built = build(self.draft.entries, self.table, self.language)
        main = self.add_impurities(built)
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

    def add_impurities(self, built: Built) -> str:
        """Add what a single substance called crude or impure, or to be purified, holds too; its id, "" if none."""
        crude = self.language.crude
        if len(built.components) != 1 or built.named or self.given:
            return ""
        only = built.components[0]
        if self.draft.aim == "identify" and self.one_or_several(only, built):
            return ""
        said = f" {normalise(self.asked)} "
        if self.lone_ore(only):
            built.components[0] = replace(only, role="main")
            built.components += [Component(found.id, "solid", role="impurity") for found in self.named_in("ore")]
            return only.substance
        if only.form == "gas" and any(f" {word} " in said for word in crude.get("dry_words", ())):
            built.components[0] = replace(only, role="main")
            built.components += [Component(found.id, "gas", role="impurity") for found in self.named_in("vapour")]
            return only.substance
        if not self.draft.purify and not any(f" {normalise(word)} " in said for word in crude.get("words", ())):
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
        said = f" {normalise(self.asked)} "
        if len(self.draft.entries) != 1 or self.draft.entries[0].kind != "substance":
            return
        if any(f" {normalise(word)} " in said for word in words):
            only = self.draft.entries[0]
            found = self.table.name(f"{only.words} {words[0]}")
            if found is not None and found.kind == "mixture":
                self.draft.entries[0] = Entry(found.id, "mixture")
            else:
                self.draft.purify = True

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

    def dryers_at_hand(self) -> None:
        """What a gas is to be dried with is no part of it ("wet ammonia; we have quicklime and concentrated sulfuric acid")."""
        said = f" {normalise(self.asked)} "
        entries = self.draft.entries
        if not any(f" {word} " in said for word in self.language.crude.get("dry_words", ())):
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

    def mixture(self, built: Built) -> Mixture:
        draft = self.draft
        components = tuple(self.shares(built.components))
        named = built.named[0] if built.named else None
        really, note = "", ""
        substances = {component.substance for component in components}
        alone = named is not None and len(built.named) == 1 and len({entry.id for entry in draft.entries}) == 1
        if named is not None:
            really, note = (named.really, named.note) if alone or substances <= set(named.made_of) else ("", named.note)
        if not really and len(substances) > 1:
            really = self.isotopes(substances)
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
            if named.id in self.language.plain.get("as_one", ()) and others and not others & parts:
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
            if marked and substances <= marked | whole:
                return really
            if marked and any(found.really == really for found in self.table.made_of(substances)):
                return really
        return ""

    def isotopes(self, substances: set[str]) -> str:
        """Why the components together are no mixture, if a named mixture of just these says that they are isotopes."""
        return "isotopes" if any(mixture.really == "isotopes" for mixture in self.table.made_of(substances)) else ""

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
        if self.asked_want:  # a gas to be got out of a liquid has to go, whatever is wanted
            for term in draft.want:
                remove += self.dissolved_gases(self.resolve(term, mixture)[0], mixture) if term.out else []
        for term in (*self.asked_gone, *draft.remove):
            remove += self.resolve(term, mixture)[0]
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
        return [id for id in usual if id in mixture.substances], aim

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
            found = without_keys_of(words)
            if found:
                keys += found
            else:
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
