"""From the slots of a clause to the components they name, with forms, amounts and relations."""

from __future__ import annotations

import itertools
from dataclasses import replace

from choosemethod.errors import UsageError
from choosemethod.mixture import Component
from choosemethod.quantity import Quantity
from choosemethod.reading.draft import Draft
from choosemethod.reading.forms import Entry
from choosemethod.reading.grammar import Part, Slot, clauses, segments
from choosemethod.reading.items import Item
from choosemethod.reading.language import Language
from choosemethod.table import Name, Substance, Table

__all__ = ["SlotReader"]


class SlotReader:
    """Fills slots and turns them into entries.

    base: the table; table: the same with what the question describes; draft: where what is found is noted;
    heads: slots before the source of the clause, which a name in brackets may explain.
    """

    def __init__(self, base: Table, table: Table, language: Language, draft: Draft) -> None:
        self.base = base
        self.table = table
        self.language = language
        self.draft = draft
        self.heads: tuple[Slot, ...] = ()

    def fill(self, slot: Slot) -> None:
        """Sort what stands in a slot."""
        after_of: int | None = None
        for item in slot.items:
            if item.kind == "name":
                slot.names.append(item)
            elif item.kind == "given":
                slot.given += item.norm.split()
                slot.impurity = slot.impurity or item.has("unnamed_impurity")
            elif item.kind == "unknown":
                slot.unknown.append(item)
            elif item.kind == "number":
                slot.amounts.append(item)
            elif item.kind == "bracket":
                slot.brackets.append(item)
            elif item.kind == "phrase":
                if item.has("of"):
                    after_of = len(slot.names)
                    slot.of = True
                if item.has("place") and after_of is not None and 0 < after_of < len(slot.names):
                    del slot.names[after_of:]  # "the exhaust gas of a cement kiln"
                self.roles(slot, item)
        self.choose_names(slot, after_of)
        if slot.of and slot.groups and len(slot.names) == 1:  # "coloured pigments of grass"
            held = self.base.name(f"{slot.groups[-1]} of {slot.names[0].norm}")
            if held is not None and held.kind == "mixture":
                slot.names[0] = replace(slot.names[0], name=held)
        for item in slot.names:
            if item.state == "aq":
                slot.states.append("solution")
            parts = item.norm.split()
            for part in (parts[0], parts[-1]) if len(parts) > 1 else ():
                condition = self.language.phrases.get(part, {}).get("condition")
                if condition:  # "pure salt" and "copper sulfate crystals" may be names of the table
                    slot.conditions.append(condition)

    def roles(self, slot: Slot, item: Item) -> None:
        roles = item.roles
        if "piece" in roles:
            slot.pieces.append(roles["piece"])
        if "state" in roles:
            slot.states.append(roles["state"])
            slot.of = slot.of or item.norm.endswith(" of")
        if "holding" in roles:
            slot.holding.append(roles["holding"])
        if "group" in roles:
            slot.groups.append(roles["group"])
        if "condition" in roles:
            slot.conditions.append(roles["condition"])
        if "pronoun" in roles and not slot.pronoun:
            slot.pronoun = roles["pronoun"]
        if "unnamed_impurity" in roles:
            slot.impurity = True
        if "reacted" in roles:
            slot.reacted = True
        if "lesser" in roles:
            slot.lesser = True
        if "their" in roles:
            slot.their = True
        if "place" in roles and (
            slot.names or slot.link == "in" or not any(other.kind == "name" for other in slot.items)
        ):
            slot.place = True
            if slot.link in ("in", "from") and slot.names and not slot.of and item.start > slot.names[-1].start:
                last = slot.names[-1].name
                beside = item.start <= slot.names[-1].end + 1
                between = any(other.kind == "unknown" and other.start > slot.names[-1].start for other in slot.items)
                # "the diesel tank"
                tank = item.has("container") and beside and last is not None and self.kept_in(last)
                if not between and not tank:
                    slot.names.clear()  # "the soap industry"

    def kept_in(self, name: Name) -> bool:
        """Whether a tank, bowl or tin is named after what it holds."""
        if self.phase(name) == "liquid" or name.kind != "substance":
            return self.phase(name) == "liquid"
        substance = self.table.substance(name.id)
        return any(
            word in self.language.plain.get("in_containers", ()) for word in (substance.kind, *substance.classes)
        )

    def choose_names(self, slot: Slot, after_of: int | None) -> None:
        if len(slot.names) > 1 and after_of is not None and 0 < after_of < len(slot.names):
            whole, part = slot.names[after_of:], slot.names[:after_of]
            group = part[-1].roles.get("group", "")
            turned = None if group else self.base.name(f"{whole[0].norm} {part[-1].norm}")
            slot.names = whole
            before = part[-1].name
            if (
                before is not None and before.kind == "mixture"
            ):  # "an ethereal solution of X and Y": its liquid holds them
                liquids = [
                    inner.substance for inner in self.table.mixture(before.id).components if inner.form == "liquid"
                ]
                slot.names += [replace(part[-1], name=Name("substance", id, id)) for id in liquids[:1]]
                return
            if group:  # "the pigments of leaves"
                slot.groups.append(group)
            elif turned is not None:  # "leaves of spinach"
                slot.names[0] = replace(whole[0], name=turned)
        for whole_group, member in zip(slot.names, slot.names[1:], strict=False):
            if "group" in whole_group.roles and self.in_group(whole_group.roles["group"], member):
                slot.names = [
                    item for item in slot.names if item is not whole_group
                ]  # "the amino acids glycine and lysine"
                break
        if len(slot.names) > 1:
            kept = [
                item
                for place, item in enumerate(slot.names)
                if not (item.has("filler", "condition", "place") or (place and item.has("piece", "state", "unnamed")))
            ]
            for item in slot.names:
                if item not in kept and kept:
                    self.roles(slot, replace(item, kind="phrase"))
            slot.names = kept or slot.names

    def bracketed(self, part: Part) -> None:
        """What stands in brackets: another name for the same, what it is made of, an amount, or nothing of use."""
        for place, slot in enumerate(part):
            for bracket in slot.brackets:
                self.bracket(part, place, slot, bracket)

    def bracket(self, part: Part, place: int, slot: Slot, bracket: Item) -> None:
        inner = [segment for _, clause in clauses(bracket.items) for segment in segments(clause, "", self.fill)]
        slots = [one for segment in inner for one in (*segment.objects, *segment.source)]
        named = [one for one in slots if one.names]
        whole = self.finished(slot, bracket)
        if whole is not None:
            slot.names, slot.unknown, slot.groups = [whole], [], []
            return
        if not named:
            for one in slots:
                slot.amounts += one.amounts
                slot.pieces += one.pieces
                slot.states += one.states
            return
        names = [item for one in named for item in one.names]
        own = [item.name for item in slot.names if item.name is not None]
        ids = {item.name.id for item in names if item.name is not None}
        if len(named) > 1:
            mixed = own and own[-1].kind == "mixture"
            if not mixed or not ids <= set(self.parts(own[-1])):
                at = part.index(slot)
                part[at : at + 1] = named
            return
        if own and own[-1].id in ids:
            return
        if own and own[-1].kind == "mixture" and not ids & set(self.parts(own[-1])):
            own = own[:-1] if len(own) > 1 else own
        if not own:
            slot.names, slot.unknown = named[0].names, []
            return
        for other in (slot, *reversed(self.heads)):
            if other.names and other.names[-1].has("group") and self.in_group(other.names[-1].roles["group"], names[0]):
                other.names = [names[0]]
                return
            if not other.names and other.groups and any(self.in_group(group, names[0]) for group in other.groups):
                other.names, other.unknown = [names[0]], []
                return

    def finished(self, slot: Slot, bracket: Item) -> Item | None:
        """The name that the words in brackets give with the group word before them: "an organic acid (benzoic)"."""
        heads = [item.norm for item in slot.items if item.kind == "phrase" and item.has("group")]
        if (
            slot.names
            or not heads
            or not bracket.items
            or any(item.kind not in ("unknown", "name") for item in bracket.items)
        ):
            return None
        norm = " ".join((*(item.norm for item in bracket.items), heads[-1].split()[-1]))
        whole = self.base.name(norm)
        return None if whole is None else replace(bracket.items[0], kind="name", name=whole, norm=norm, roles={})

    def parts(self, name: Name) -> tuple[str, ...]:
        if name.kind != "mixture":
            return (name.id,)
        return tuple(part.substance for part in self.table.mixture(name.id).components)

    def in_group(self, group: str, item: Item) -> bool:
        if item.name is None or not self.table.has(item.name.id):
            return False
        return self.belongs(self.table.substance(item.name.id), group, None)

    def belongs(self, substance: Substance, group: str, component: Component | None) -> bool:
        entry = self.language.groups[group]
        if any(name in entry.get("classes", ()) for name in substance.classes):
            return True
        if substance.kind in entry.get("kinds", ()) or entry.get("phase") == substance.phase:
            return True
        if component is not None:
            if component.role and component.role in entry.get("roles", ()):
                return True
            if "phase" not in entry and component.form in entry.get("forms", ()):
                return True
        return False

    def complete(self, part: Part) -> None:
        """Names shared over a list: "cobalt and nickel chlorides", "zinc nitrate and iodide", "nuts and their skin"."""
        for place in range(len(part) - 2, -1, -1):
            slot, last = part[place], part[place + 1]
            if last.link != "join" or not last.names or slot.given:
                continue
            name = last.names[-1]
            words = [
                item.norm
                for item in slot.items
                if item.kind in ("unknown", "name") or (item.kind == "phrase" and item.has("group", "colour"))
            ]
            head = name.norm.split()[-1]
            if not words or (slot.names and not (name.plural and " " in name.norm)):
                continue
            whole = self.base.name(" ".join((*words, head))) or self.base.name(
                " ".join((*words, *name.norm.split()[1:]))
            )
            if whole is not None:
                slot.names, slot.unknown = [replace(name, name=whole, norm=" ".join((*words, head)))], []
                slot.groups = []
        kept = [slot for slot in part if not slot.bare_colour]
        if kept and len(kept) < len(part):
            if kept[0].link == "join":
                kept[0].link = part[0].link
            part[:] = kept
        for place in range(1, len(part)):
            slot, before = part[place], part[place - 1]
            if slot.names or slot.given or not before.names:
                continue
            words = [
                item.norm
                for item in slot.items
                if item.kind == "unknown" or (item.kind == "phrase" and item.has("piece", "group", "unnamed"))
            ]
            if not words:
                continue
            for front in (before.names[-1].norm, before.names[-1].norm.split()[0]):
                whole = self.base.name(" ".join((front, *words)))
                if whole is not None and (slot.unknown or slot.their):
                    slot.names = [replace(before.names[-1], name=whole, norm=" ".join((front, *words)))]
                    slot.unknown = []
                    break

    # From slots to entries.

    def entries(self, part: Part, wanted: bool = False) -> list[Entry]:
        """What a list of slots names, with forms, amounts and relations."""
        self.complete(part)
        self.bracketed(part)
        for slot in part[1:]:
            if slot.link == "join" and len(slot.names) == 2:
                own, whole = slot.names[0].name, slot.names[1].name
                named = own is not None and whole is not None and whole.kind == "mixture"
                if named and own is not None and whole is not None and set(self.parts(own)) < set(self.parts(whole)):
                    slot.names.pop()  # "oil and vinegar dressing": what it is called, not one thing more
        found: list[Entry] = []
        spread = ""
        impure = False
        for slot in part:
            mine = self.slot_entries(slot, found)
            if slot.link == "with" and slot.value == "impurity":
                impure = True
                for entry in found:
                    entry.role = entry.role or "main"
            if impure:
                for entry in mine:
                    entry.role = "impurity"
            if slot.link == "with" and found and self.fluid(found[0]):
                for entry in mine:
                    entry.host = entry.host or found[0].id
            if slot.link == "in" and mine:
                found = [entry for entry in found if not self.refers(entry, mine)]
                self.held(found, mine[-1], slot)
            states = [state for state in slot.states if self.language.states[state].get("spread") == "yes"]
            if states and not mine and found:
                self.spread_back(found, states[-1])
            elif (states and not mine) or (states and slot.of):
                spread = states[-1]
            if states and mine and not slot.of and slot.link == "join" and self.fluid(mine[-1]):
                self.spread_back(found, states[-1])  # "an iodine/water solution"
            if spread and slot.link in ("", "from", "join", "with"):
                for entry in mine:
                    self.put_state(entry, spread)
            if "alloy" in slot.states or spread == "alloy":
                self.draft.alloy = True
            if slot.reacted:
                self.draft.reacted = True
            found += mine
        if wanted:
            for entry in found:
                entry.wanted = True
        if spread == "emulsion" or any("emulsion" in slot.states for slot in part):
            self.emulsify(found)
        return found

    def fluid(self, entry: Entry) -> bool:
        """Whether an entry is a liquid substance."""
        return entry.kind == "substance" and self.table.substance(entry.id).phase == "liquid"

    def refers(self, entry: Entry, hosts: list[Entry]) -> bool:
        """Whether a group word ("dyes", "the sugar") means parts of a named mixture and no component of its own."""
        group = self.language.phrases.get(entry.words, {}).get("group", "")
        if not group or entry.kind != "substance":
            return False
        parts = [part for host in hosts if host.kind == "mixture" for part in self.parts(Name("mixture", host.id, ""))]
        return entry.id not in parts and any(self.belongs(self.table.substance(id), group, None) for id in parts)

    def slot_entries(self, slot: Slot, before: list[Entry]) -> list[Entry]:
        found: list[Entry] = []
        names = [item for item in slot.names if item.name is not None]
        for place, item in enumerate(names):
            assert item.name is not None
            entry = Entry(item.name.id, item.name.kind, words=item.norm)
            entry.form = {"g": "gas", "l": "liquid", "s": "solid"}.get(item.state, "")
            if len(names) > 1 and place < len(names) - 1:
                last = names[-1].name
                assert last is not None
                if self.phase(last) == "liquid" and self.phase(item.name) != "liquid":
                    entry.host = last.id
            found.append(entry)
        found += [Entry(id) for id in slot.given]
        if slot.impurity and not names:
            for entry in found:
                entry.role = "impurity"
            for entry in before:
                entry.role = entry.role or "main"
        for word in slot.holding:
            found += self.held_in_words(word, found or before)
        if slot.lesser or (slot.impurity and names and before and self.said_impure(slot)):
            whole = [*before, *found]
            for entry in whole[:-1]:
                entry.role = entry.role or "main"
            for entry in whole[-1:]:
                entry.role, entry.inside = "impurity", slot.lesser or bool(slot.impurity and names)
        if found:
            for piece in slot.pieces:
                main = next((entry for entry in found if entry.kind == "substance"), None)
                if main is not None:
                    main.size = self.language.pieces[piece]
            sunk = any(self.language.states[state].get("form") == "suspended" for state in slot.states)
            for state in slot.states:
                if sunk and self.language.states[state].get("form") == "dissolved":
                    continue  # "a precipitate of lead sulfate in solution"
                if not (self.language.states[state].get("spread") == "yes" and slot.of):
                    for entry in found[: len(names) + len(slot.given)]:
                        self.put_state(entry, state)
            self.amounts(slot, found[0])
        elif any("of" in self.language.states[state] for state in slot.states):
            found += [other for state in slot.states if (other := self.of_state(state)) is not None]
            for entry in found:
                if entry.form == "liquid" and before and self.phase(Name(before[0].kind, before[0].id, "")) == "gas":
                    entry.form, entry.role = "gas", "impurity"  # the moisture of a gas
        elif slot.amounts and before and not slot.unknown:
            self.amounts(slot, before[-1])
        return found

    @staticmethod
    def said_impure(slot: Slot) -> bool:
        """Whether the word stands directly after the name: "tin with iron impurity"."""
        items = [item for item in slot.items if item.kind != "gap"]
        return any(
            item.kind == "name" and other.kind == "phrase" and other.has("unnamed_impurity")
            for item, other in itertools.pairwise(items)
        )

    def of_state(self, state: str) -> Entry | None:
        told = self.language.states[state]
        name = self.table.name(told.get("of", ""))
        if name is None or name.kind != "substance":
            return None
        return Entry(name.id, state=state, form=told.get("form", ""))

    def phase(self, name: Name) -> str:
        """Phase of a substance; a named mixture that holds a liquid counts as one."""
        if name.kind == "mixture":
            return "liquid" if any(part.form == "liquid" for part in self.table.mixture(name.id).components) else ""
        return self.table.substance(name.id).phase

    def held_in_words(self, word: str, found: list[Entry]) -> list[Entry]:
        """ "salty water" holds salt, "wet sand" water."""
        name = self.table.name(self.language.holding[word])
        if name is None or any(entry.id == name.id for entry in found):
            return []
        if name.kind == "substance" and self.table.substance(name.id).phase == "liquid":
            gas = bool(found) and found[0].kind == "substance" and self.table.substance(found[0].id).phase == "gas"
            fluid = bool(found) and self.phase(Name(found[0].kind, found[0].id, "")) in ("liquid", "gas")
            usual = self.table.name(self.language.assumed_liquid)
            fluid = fluid and word not in self.language.crude.get("solvent_adjectives", ())
            role = (
                "impurity" if fluid and usual is not None and usual.id == name.id else ""
            )  # a damp liquid, a moist gas
            return [Entry(name.id, form="gas" if gas else "", role=role)]
        return [Entry(name.id, name.kind)]

    def put_state(self, entry: Entry, state: str) -> None:
        told = self.language.states[state]
        if entry.kind == "mixture":
            return
        phase = self.table.substance(entry.id).phase
        form = told.get("form", "")
        if (
            (form == "liquid" and phase == "gas")
            or (form == "solid" and phase == "liquid" and state != "ice")
            or form == "emulsified"
        ):
            return  # liquid air, solid-looking oils: the table knows better
        if (form == "airborne" and phase == "gas") or (form == "suspended" and phase != "solid"):
            return
        if "late" in told and (phase != "solid" or entry.form not in ("", "suspended")):
            return
        if form == "gas" and phase == "solid" and not self.sublimes(entry.id):
            return
        entry.state, entry.form = state, "" if "late" in told else form
        if "piece" in told:
            entry.size = self.language.pieces[told["piece"]]

    def sublimes(self, id: str) -> bool:
        """Whether a solid is known to sublime on the bench, so that it can be met as a vapour."""
        value = self.table.substance(id).values.get("sublimes")
        return value is not None and value.words == ("yes",)

    def spread_back(self, found: list[Entry], state: str) -> None:
        for entry in found:
            if entry.kind == "substance" and not entry.form:
                self.put_state(entry, state)
        if state == "emulsion":
            self.emulsify(found)

    def emulsify(self, found: list[Entry]) -> None:
        liquids = [
            entry for entry in found if entry.kind == "substance" and self.table.substance(entry.id).phase == "liquid"
        ]
        if len(liquids) > 1:
            host = next((entry.host for entry in liquids if entry.host), liquids[-1].id)
            for entry in liquids:
                if entry.id != host:
                    entry.form, entry.host = "emulsified", host

    def held(self, found: list[Entry], host: Entry, slot: Slot) -> None:
        for entry in found:
            if entry.kind != "substance" or entry.host or entry.id == host.id:
                continue
            entry.host = host.id
            if slot.value in ("dissolved", "suspended", "embedded", "airborne") and not entry.form:
                if slot.value == "suspended" and self.table.substance(entry.id).phase != "solid":
                    continue
                entry.form = slot.value
            if slot.value == "emulsified":
                entry.form = "emulsified"

    def amounts(self, slot: Slot, entry: Entry) -> None:
        for item in slot.amounts:
            quantity = Quantity(item.number, item.dimension, "given", "given")
            none = item.dimension in ("mass", "volume", "fraction") and item.number <= 0
            if none or (item.dimension == "fraction" and item.number > 1):
                raise UsageError(f"{item.text}: an amount is above 0, and a share at most 100 %")
            if item.dimension == "mass":
                entry.mass = item.number
            elif item.dimension == "volume":
                entry.volume = item.number
            elif item.dimension == "fraction":
                entry.share = item.number
                self.draft.share_by = self.draft.share_by or item.state
            else:
                continue
            self.draft.amounts[entry.id] = quantity
