"""Reads a question in plain words: the mixture, what is wanted of it, and the setting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from choosemethod.mixture import STANDARD_PRESSURE, Component, Mixture, Question, Setting, Wish
from choosemethod.quantity import Quantity, show
from choosemethod.reading.describing import SOLUBILITY, Described, describe, substances_of
from choosemethod.reading.forms import Built, Entry, build
from choosemethod.reading.grammar import Part, Segment, Slot, clauses, same_names, segments
from choosemethod.reading.items import Item, itemise
from choosemethod.reading.language import Language, language, without_implied
from choosemethod.reading.setting import Said, pressure_at, read_setting
from choosemethod.reading.spelling import mended_name, mended_word, suggestions, unknown_runs
from choosemethod.reading.words import cut
from choosemethod.table import Name, NamedMixture, Substance, Table, normalise

__all__ = ["question_of", "read_words", "without_keys_of"]

_ROUNDS = 3  # readings of one question, each with more spellings mended
_TRIES = 8  # stretches of words looked up for a misspelling in one reading
_LITTLE = (5e-6, 1e-4)  # m3, kg: amounts up to these are "only a little"


@dataclass(slots=True)
class Term:
    """A slot of a wish; origin: whether it came with a "from" (then it belongs to the mixture)."""

    slot: Slot
    origin: bool = False
    said: str = ""
    out: bool = False  # "out of": a gas got out of a liquid only has to go


@dataclass(slots=True)
class Draft:
    """A question while it is being read."""

    entries: list[Entry] = field(default_factory=list)
    want: list[Term] = field(default_factory=list)
    remove: list[Term] = field(default_factory=list)
    aim: str = "separate"
    form: str = ""
    purify: bool = False
    reacted: bool = False
    alloy: bool = False
    one: bool = False  # the same substance named twice with different origins
    into: bool = False
    unknown: list[list[Item]] = field(default_factory=list)
    loose: list[list[Item]] = field(default_factory=list)  # unknown words in a clause without any name
    groups: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    amounts: dict[str, Quantity] = field(default_factory=dict)
    share_by: str = ""


class _Reader:
    """One reading of one text."""

    def __init__(self, text: str, table: Table, whole_names: bool) -> None:
        self.text = text
        self.language: Language = language()
        self.items = itemise(text, cut(text, table.formula), table, self.language, whole_names)
        self.base = table
        self.drop_claims()
        self.said: Said = read_setting(self.items)
        self.described: Described = describe(self.items, table, self.language)
        self.table = table.with_given(substances_of(self.described.given)) if self.described.given else table
        self.draft = Draft()
        self.heading: Item | None = None

    # Before the grammar.

    def drop_claims(self) -> None:
        """Sentences such as "sulfur dissolves in water, right?" say nothing about the mixture, if another one does."""
        pieces: list[list[Item]] = [[]]
        for item in self.items:
            pieces[-1].append(item)
            if item.mark in (".", "?", ";", "!") and item.mark:
                pieces.append([])

        def claims(piece: list[Item]) -> bool:
            real = [item for item in piece if item.mark not in (".", "?", ";", "!") or not item.mark]
            if not real:
                return False
            last = real[-1]
            ends = last.kind == "phrase" and last.has("claim") and len(real) > 1 and (real[-2].mark == "," or piece[-1].mark == "?")
            return ends or real[0].kind == "phrase" and real[0].has("claim") and " " in real[0].norm

        def names(piece: list[Item]) -> bool:
            return any(item.kind in ("name", "unknown") for item in piece)

        claimed = [piece for piece in pieces if claims(piece)]
        if any(names(piece) for piece in pieces if piece not in claimed):
            for piece in claimed:
                for item in piece:
                    if item.kind != "mark":
                        item.kind = "gap"

    # Slots.

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
                self.roles(slot, item)
        self.choose_names(slot, after_of)
        for item in slot.names:
            if item.state == "aq":
                slot.states.append("solution")

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
        if "their" in roles:
            slot.their = True
        if "place" in roles and (slot.names or slot.link == "in" or not any(other.kind == "name" for other in slot.items)):
            slot.place = True
            if slot.link in ("in", "from") and slot.names and not slot.of and item.start > slot.names[-1].start:
                slot.names.clear()  # "the soap industry"

    def choose_names(self, slot: Slot, after_of: int | None) -> None:
        if len(slot.names) > 1 and after_of is not None and 0 < after_of < len(slot.names):
            whole, part = slot.names[after_of:], slot.names[:after_of]
            turned = self.base.name(f"{whole[0].norm} {part[-1].norm}")
            slot.names = whole
            if turned is not None:  # "leaves of spinach"
                slot.names[0] = replace(whole[0], name=turned)
            elif any(item.has("group") for item in part) is False and all(item.name is not None and item.name.kind == "substance" for item in part):
                slot.names = whole
        if len(slot.names) > 1:
            kept = [item for place, item in enumerate(slot.names) if not (item.has("filler", "condition", "place") or place and item.has("piece", "state", "unnamed"))]
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
            whole = own and own[-1].kind == "mixture"
            if not whole or not ids <= set(self.parts(own[-1])):
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

    heads: tuple[Slot, ...] = ()

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
        """Names shared over a list: "cobalt and nickel chlorides", "sodium chloride and iodide", "peanuts and their skins"."""
        for place in range(len(part) - 2, -1, -1):
            slot, last = part[place], part[place + 1]
            if last.link != "join" or not last.names or slot.given:
                continue
            name = last.names[-1]
            words = [item.norm for item in slot.items if item.kind in ("unknown", "name")]
            head = name.norm.split()[-1]
            if not words or " " not in name.norm or not (name.plural or not slot.names):
                continue
            whole = self.base.name(" ".join((*words, head)))
            if whole is not None:
                slot.names, slot.unknown = [replace(name, name=whole, norm=" ".join((*words, head)))], []
        for place in range(1, len(part)):
            slot, before = part[place], part[place - 1]
            if slot.names or slot.given or not before.names:
                continue
            words = [item.norm for item in slot.items if item.kind == "unknown" or item.kind == "phrase" and item.has("piece", "group", "unnamed")]
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
            if slot.link == "in" and mine:
                found = [entry for entry in found if not self.refers(entry, mine)]
                self.held(found, mine[-1], slot)
            states = [state for state in slot.states if self.language.states[state].get("spread") == "yes"]
            if states and not mine:
                self.spread_back(found, states[-1])
            elif states and slot.of:
                spread = states[-1]
            if spread and slot.link in ("", "join"):
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
            found += self.held_in_words(word, found)
        if found:
            for piece in slot.pieces:
                main = next((entry for entry in found if entry.kind == "substance"), None)
                if main is not None:
                    main.size = self.language.pieces[piece]
            for state in slot.states:
                if not (self.language.states[state].get("spread") == "yes" and slot.of):
                    for entry in found[: len(names) + len(slot.given)]:
                        self.put_state(entry, state)
            self.amounts(slot, found[0])
        elif "ice" in slot.states:
            entry = self.of_state("ice")
            if entry is not None:
                entry.size = None
                found.append(entry)
        elif slot.amounts and before and not slot.unknown:
            self.amounts(slot, before[-1])
        return found

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
            return [Entry(name.id, form="gas" if gas else "")]
        return [Entry(name.id, name.kind)]

    def put_state(self, entry: Entry, state: str) -> None:
        told = self.language.states[state]
        if entry.kind == "mixture":
            return
        phase = self.table.substance(entry.id).phase
        form = told.get("form", "")
        if form == "liquid" and phase == "gas" or form == "solid" and phase == "liquid" and state != "ice" or form == "emulsified":
            return  # liquid air, solid-looking oils: the table knows better
        if form == "airborne" and phase == "gas" or form == "suspended" and phase != "solid":
            return
        if form == "gas" and phase == "solid":
            return
        entry.state, entry.form = state, form

    def spread_back(self, found: list[Entry], state: str) -> None:
        for entry in found:
            if entry.kind == "substance" and not entry.form:
                self.put_state(entry, state)
        if state == "emulsion":
            self.emulsify(found)

    def emulsify(self, found: list[Entry]) -> None:
        liquids = [entry for entry in found if entry.kind == "substance" and self.table.substance(entry.id).phase == "liquid"]
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
            if item.dimension == "mass":
                entry.mass = item.number
            elif item.dimension == "volume":
                entry.volume = item.number
            elif item.dimension == "fraction" and 0 < item.number <= 1:
                entry.share = item.number
                self.draft.share_by = self.draft.share_by or item.state
            else:
                continue
            self.draft.amounts[entry.id] = quantity

    # Clauses.

    def read(self) -> None:
        all_clauses = clauses(self.hoisted())
        read = [segments(clause, mark, self.fill) for mark, clause in all_clauses]
        for found in read:
            for place, segment in enumerate(found):
                following = found[place + 1] if place + 1 < len(found) else None
                if not segment.verb and following is not None and following.verb and not following.objects and segment.objects and following.verb != "separate":
                    if following.source or following.verb in ("remove", "want", "purify"):
                        self.passive(segment, following)
        flat = [segment for found in read for segment in found]
        self.loose_words(read)
        strong = [segment for segment in flat if not segment.weak]
        has_strong = any(self.holds(segment) for segment in strong)
        main = [segment for segment in flat if self.states_mixture(segment) and (not segment.weak or not has_strong)]
        listed = {id(segment) for (mark, _), found in zip(all_clauses, read) if mark == ":" for segment in found}
        for segment in main:
            before = list(self.draft.entries) if id(segment) in listed else []
            self.mixture_of(segment)
            if len(before) == 1 and before[0].kind == "mixture":
                self.told_apart(before[0], self.draft.entries[1:])
        fallback = not self.draft.entries
        for segment in flat:
            if segment not in main and not segment.weak:
                self.wish_of(segment, fallback)
        if not self.draft.entries:
            for segment in flat:
                if segment not in main:
                    self.take(self.entries(segment.objects))

    def told_apart(self, whole: Entry, listed: list[Entry]) -> None:
        """After "NAMED MIXTURE:" a list of two or more of its parts says which are there, and other names refer to parts."""
        parts = self.table.mixture(whole.id).components
        inside = {part.substance for part in parts}
        named = [entry for entry in listed if entry.kind == "substance"]
        if len(named) > 1 and any(entry.id in inside for entry in named) and not self.draft.want:
            whole.only = tuple(entry.id for entry in named)
            return
        kept = []
        for entry in listed:
            held = set(self.parts(Name(entry.kind, entry.id, "")))
            group = self.language.phrases.get((entry.words.split() or [""])[-1], {}).get("group", "")
            members = group and any(self.belongs(self.table.substance(part.substance), group, None) for part in parts)
            if not (entry.kind == "mixture" and held & inside or entry.kind == "substance" and members):
                kept.append(entry)
        self.draft.entries[1:] = kept

    def hoisted(self) -> list[Item]:
        """Items with bracketed remarks that hold a verb moved to the end as sentences of their own."""
        kept: list[Item] = []
        moved: list[Item] = []
        for item in self.items:
            if item.kind == "bracket" and any(inner.kind == "phrase" and inner.has("want", "remove", "identify", "purify") for inner in item.items):
                moved += [Item("mark", mark="."), *item.items]
            else:
                kept.append(item)
        return kept + moved

    def passive(self, segment: Segment, following: Segment) -> None:
        """ "How can salt be obtained from sea water?": the object stands before the verb."""
        if following.verb == "want" and not following.source:
            return
        if any(item.has("soft") for item in segment.items if item.kind == "phrase" and item.text.lower().startswith("i ")):
            return
        following.objects, segment.objects = segment.objects, []

    def loose_words(self, read: list[list[Segment]]) -> None:
        """Unknown words where no component stands: the subject before a verb, or chatter without any name."""
        names = sum(len(slot.names) + len(slot.given) for found in read for segment in found for part in _parts(segment) for slot in part)
        for found in read:
            for place, segment in enumerate(found):
                for part in _parts(segment):
                    known = any(slot.names or slot.given for slot in part)
                    for slot in part:
                        if not slot.unknown or slot.names or slot.given:
                            continue
                        subject = not segment.verb and place + 1 < len(found) and not known and part is segment.objects
                        wish = segment.verb in ("want", "remove", "identify") and not segment.source and part is segment.objects or segment.wanted or segment.wish_mark
                        chatter = not known and names >= 2 and part is segment.objects and not segment.source
                        harmless = slot.soft or slot.place or (slot.pronoun and not slot.groups) or bool(slot.holding and slot.names)
                        if subject or wish or chatter or harmless or segment.weak:
                            self.draft.loose.append(slot.unknown)
                        else:
                            self.draft.unknown.append(slot.unknown)

    def holds(self, segment: Segment) -> bool:
        return any(slot.names or slot.given for part in (segment.objects, segment.source) for slot in part)

    def states_mixture(self, segment: Segment) -> bool:
        """Whether a segment says what the mixture is, and not only what is wanted of it."""
        if segment.source or segment.wish_mark and not segment.source:
            return bool(segment.source)
        if segment.verb in ("separate", "purify", "technique", "dry"):
            return self.holds(segment)
        if segment.verb == "free":
            return self.holds(segment)
        if segment.verb in ("want", "remove", "identify"):
            return any(slot.link == "in" and (slot.names or slot.given) for slot in segment.objects[1:])
        return self.holds(segment) or any(slot.states for slot in segment.objects)

    def take(self, entries: Sequence[Entry]) -> None:
        self.draft.entries += entries

    def mixture_of(self, segment: Segment) -> None:
        draft, verb = self.draft, segment.verb
        objects, source = segment.objects, [slot for slot in segment.source if not slot.place or slot.names]
        said = segment.said
        self.heads = tuple(objects)
        if verb in ("want", "remove", "identify", "") and not source and len(objects) > 1:
            split = next((place for place, slot in enumerate(objects) if place and slot.link == "in" and (slot.names or slot.given)), None)
            if verb and split is not None:
                objects, source = objects[:split], objects[split:]
                source[0].link = ""
        if segment.wanted and not source:
            objects, wished = _last_group(objects)
            draft.want += [Term(slot, said=said) for slot in wished]
            self.take(self.entries(objects))
            return
        if segment.sources > 1 and self.origins(segment, objects):
            return
        if source:
            self.from_source(segment, objects, source)
            return
        entries = self.entries(objects)
        self.take(entries)
        if segment.into:
            draft.into = True
            draft.want += [Term(slot, said=said) for slot in segment.into]
        if segment.to:
            draft.want += [Term(slot, said=said) for slot in segment.to]
        if verb == "purify":
            draft.purify = True
            draft.form = draft.form or "pure"
            if objects:
                draft.want.append(Term(objects[0], said=said))
        elif verb == "dry":
            draft.form = "dry"
            for entry in entries[:1]:
                entry.wet = True
            draft.want += [Term(slot, said=said) for slot in objects[:1]]
        elif verb == "free":
            draft.want += [Term(slot, said=said) for slot in objects[:1]]
            draft.remove += [Term(slot, said=said) for slot in objects[1:]]
        elif not verb:
            groups = [group for slot in objects if not slot.names and not slot.given for group in slot.groups]
            draft.groups += groups
            if any(self.language.groups[group].get("aim") == "identify" for group in groups) and entries:
                draft.want += [Term(slot, said=said) for slot in objects if slot.groups and not slot.names]

    def origins(self, segment: Segment, objects: Part) -> bool:
        """ "sugar from cane and sugar from beet": the same substance twice, named by where it comes from."""
        first = [item.name for slot in objects for item in slot.names if item.name is not None]
        again = [[item.name for item in slot.names if item.name is not None] for slot in segment.source if slot.link == "join"]
        if not any(same_names(first, names) for names in again):
            return False
        self.draft.one = True
        self.take(self.entries(objects))
        return True

    def from_source(self, segment: Segment, objects: Part, source: Part) -> None:
        draft, verb, said = self.draft, segment.verb, segment.said
        held = self.entries(source)
        got = self.entries(objects, wanted=True)
        first = next((entry for entry in held), None)
        for entry in got:
            if first is not None and not entry.host and not entry.form and entry.kind == "substance":
                entry.host = first.id
        inside = {id for entry in held for id in ((entry.id,) if entry.kind == "substance" else self.parts(Name("mixture", entry.id, "")))}
        self.take(held)
        if verb in ("separate", "remove", "technique"):
            others = [entry for entry in got if entry.id not in inside and not self.refers(entry, held)]
            if all(entry.kind == "substance" for entry in held):
                self.draft.entries[len(self.draft.entries) - len(held) :] = [*others, *held]
            else:
                self.take(others)
        else:
            self.take([entry for entry in got if entry.id not in inside and not self.derived(entry, objects, held)])
        if not objects and not verb:
            return
        if verb in ("remove", "free"):
            gone = objects if verb == "remove" else source
            draft.remove += [Term(slot, said=said) for slot in gone]
            kept = source if verb == "remove" else objects
            if all(item.name is not None and item.name.kind == "substance" for slot in kept for item in slot.names):
                draft.want += [Term(slot, origin=True, said=said) for slot in kept if slot.names or slot.given]
            return
        if verb == "identify":
            draft.aim = "identify"
            return
        out = any(item.has("from") and item.norm.startswith("out") for item in segment.items if item.kind == "phrase")
        draft.want += [Term(slot, True, said, out) for slot in objects if not slot.place or slot.names]
        if verb == "purify":
            draft.form = draft.form or "pure"

    def derived(self, entry: Entry, objects: Part, held: list[Entry]) -> bool:
        """Whether what is wanted is no component as such: the alcohol of a drink, the metal of its salt."""
        if entry.kind != "substance":
            return True
        substance = self.table.substance(entry.id)
        ids = [id for other in held for id in self.parts(Name(other.kind, other.id, ""))]
        items = [item for slot in objects for item in slot.names if item.name is not None and item.name.id == entry.id]
        for item in items:
            group = item.roles.get("group", "")
            if group and any(self.belongs(self.table.substance(id), group, None) for id in ids):
                return True
        element = substance.formula.rstrip("0123456789")
        if element and element.isalpha() and (len(element) == 1 or len(element) == 2 and element[1].islower()):
            return any(element in _elements(self.table.substance(id).formula) for id in ids)
        return False

    def wish_of(self, segment: Segment, fallback: bool) -> None:
        draft, verb, said = self.draft, segment.verb, segment.said
        objects = segment.objects
        if segment.wish_mark or segment.wanted:
            _, wished = _last_group(objects) if segment.wanted else ([], objects)
            draft.want += [Term(slot, said=said) for slot in wished]
            return
        if verb == "identify":
            draft.aim = "identify"
            if fallback:
                self.take(self.entries(objects))
            return
        if verb == "want":
            draft.want += [Term(slot, said=said) for slot in objects]
        elif verb == "remove":
            draft.remove += [Term(slot, said=said) for slot in objects]
        elif verb == "dry":
            draft.form = "dry"
        elif verb == "purify":
            draft.form = draft.form or "pure"
            draft.want += [Term(slot, said=said) for slot in objects if slot.pronoun == "main"]
        elif not verb and (any(slot.conditions or slot.groups or slot.pieces for slot in objects)) and not fallback:
            draft.groups += [group for slot in objects for group in slot.groups]
            if any(slot.conditions for slot in objects):
                draft.want += [Term(slot, said=said) for slot in objects if slot.conditions or slot.pieces]
        elif not verb:
            draft.groups += [group for slot in objects for group in slot.groups]
        if fallback and verb in ("want", "remove"):
            self.take(self.entries(objects))


def _parts(segment: Segment) -> tuple[Part, ...]:
    return (segment.objects, segment.source, segment.into, segment.to)


def _last_group(part: Part) -> tuple[Part, Part]:
    """Slots before, and the slot that "wanted" belongs to."""
    return part[:-1], part[-1:]


def _elements(formula: str) -> set[str]:
    found: set[str] = set()
    for place, sign in enumerate(formula):
        if sign.isupper():
            follows = formula[place + 1 : place + 2]
            found.add(sign + follows if follows.islower() else sign)
    return found


class _Answer:
    """Puts a Question together from a reading."""

    def __init__(self, reader: _Reader, want: Sequence[str], asked: str) -> None:
        self.reader = reader
        self.draft = reader.draft
        self.table = reader.table
        self.language = reader.language
        self.given = {id: told for id, told in reader.described.given.items()}
        self.asked_want = want
        self.asked = asked
        self.unknown: list[tuple[str, tuple[str, ...]]] = []

    def question(self, without: Sequence[str], pressure: float | None, level: str) -> Question:
        self.prune()
        self.partners()
        built = build(self.draft.entries, self.table, self.language)
        mixture = self.mixture(built)
        wish = self.wish(mixture)
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

    def partners(self) -> None:
        """A described substance alone, compared with a liquid, is to be separated from that liquid."""
        entries = self.draft.entries
        if len({entry.id for entry in entries}) == 1 and entries[0].id in self.given:
            for id in dict.fromkeys(self.reader.described.partners):
                if all(entry.id != id for entry in entries):
                    entries.append(Entry(id))

    def mixture(self, built: Built) -> Mixture:
        draft = self.draft
        components = tuple(self.shares(built.components))
        named = built.named[0] if built.named else None
        really, note = "", ""
        substances = {component.substance for component in components}
        alone = named is not None and len(built.named) == 1 and len({entry.id for entry in draft.entries}) == 1
        if named is not None:
            really, note = (named.really, named.note) if alone or substances <= set(named.made_of) else ("", named.note)
        if draft.reacted and len(substances) > 1:
            compound = self.compound(substances)
            if compound is not None:
                parts = tuple(
                    Component(part.substance, part.form, part.host, share=part.share, size=part.size, role=part.role)
                    for part in compound.components
                )
                return Mixture(parts, compound.name, compound.id, compound.really or "compound", compound.note, compound.by)
            really = "compound"
            note = "The components were heated until they reacted, so a compound is there now and not the mixture."
        if draft.alloy and len(components) > 1 and not really:
            really = "alloy"
            components = tuple(replace(component, form="alloyed", host="") for component in components)
        if len(substances) == 1 and not really and (draft.one or len(components) > 1 or self.split_substance(substances)):
            really = self.kind_of(next(iter(substances)))
        name = named.name if named is not None else ""
        by = draft.share_by or (named.by if named is not None else "")
        if not really and substances:
            really = self.by_class(substances)
        return Mixture(components, name, named.id if named is not None else "", really, note, by)

    def by_class(self, substances: set[str]) -> str:
        """Why it is no mixture for a separation, if all components share a class that says so (isotopes)."""
        for word, really in self.language.really.items():
            if all(word in self.table.substance(id).classes for id in substances):
                return really
        return ""

    def compound(self, substances: set[str]) -> NamedMixture | None:
        for id in self.table.mixture_ids():
            mixture = self.table.mixture(id)
            if mixture.really == "compound" and set(mixture.made_of) == substances:
                return mixture
        return None

    def split_substance(self, substances: set[str]) -> bool:
        """Whether one substance is to be taken apart into others ("water into hydrogen and oxygen")."""
        wanted = {item.name.id for term in self.draft.want for item in term.slot.names if item.name is not None}
        return self.draft.into and bool(wanted - substances)

    def kind_of(self, id: str) -> str:
        if not self.draft.into:
            return "one substance"
        elements = _elements(self.table.substance(id).formula)
        return "compound" if len(elements) > 1 else "element" if elements else "one substance"

    def shares(self, components: list[Component]) -> list[Component]:
        ratio = self.reader.said.ratio
        real = [place for place, component in enumerate(components) if component.role != "impurity"]
        if ratio and len(ratio) == len(real) and sum(ratio) > 0:
            for place, part in zip(real, ratio):
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
            else:
                want += ids
            form = form or told
            if identify and not self.asked_want:
                aim = "identify"
            purity = purity or self.purity(term)
        for term in draft.remove:
            remove += self.resolve(term, mixture)[0]
        substances = mixture.substances
        want = list(dict.fromkeys(want))
        remove = [id for id in dict.fromkeys(remove) if id not in want or not draft.want]
        if remove and not want and len(set(substances) - set(remove)) == 1:
            want = [id for id in substances if id not in remove]
        impure = [component.substance for component in mixture.components if component.role == "main"]
        if not want and not remove and aim == "separate" and impure and not terms and any(entry.role == "impurity" for entry in draft.entries):
            want = impure
        if len(substances) > 1 and set(want) >= set(substances):
            want = []
        if not want and aim == "separate" and (not terms and not remove or draft.remove):
            usual, aim = self.usual(mixture, aim)
            want = [id for id in usual if id not in remove] if not remove or aim == "separate" else []
        return Wish(tuple(want), tuple(remove), aim, form, purity, said)

    def dissolved_gases(self, ids: list[str], mixture: Mixture) -> list[str]:
        """The dissolved gases among these ids; none if a solid or an undissolved gas is among them."""
        forms = {component.substance: component.form for component in mixture.components}
        found = [id for id in ids if forms.get(id) == "dissolved" and self.table.substance(id).phase == "gas"]
        return found if all(id in found or forms.get(id) == "liquid" for id in ids) else []

    @staticmethod
    def product(term: Term) -> bool:
        """Whether a wish names a mixture as one product (plasma, cream)."""
        return len(term.slot.names) == 1 and term.slot.names[0].name is not None and term.slot.names[0].name.kind == "mixture"

    def named_product(self, term: Term, ids: list[str], mixture: Mixture) -> tuple[list[str], list[str]]:
        """What to want and what to remove if a mixture is wanted as one product: its usual aim, or all but the rest."""
        name = term.slot.names[0].name
        assert name is not None
        usual = [id for id in self.table.mixture(mixture.named).usual_aim if id in ids] if mixture.named else []
        own = [id for id in self.table.mixture(name.id).usual_aim if id in ids]
        chosen = usual or own
        if chosen:
            return chosen, []
        return [], [id for id in mixture.substances if id not in ids]

    def usual(self, mixture: Mixture, aim: str) -> tuple[list[str], str]:
        """What is usually wanted of a named mixture, if nothing was said."""
        if not mixture.named or len({entry.id for entry in self.draft.entries}) != 1:
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
                    terms += [Term(slot, said=words) for slot in slots]
                    unknown = [item.text for slot in slots if not (slot.names or slot.groups or slot.pronoun or slot.conditions) for item in slot.unknown]
                    if unknown:
                        text = " ".join(unknown)
                        self.unknown.append((text, suggestions(text, self.table)))
        return terms

    def resolve(self, term: Term, mixture: Mixture) -> tuple[list[str], str, bool]:
        """Ids a slot of a wish means, the condition it asks for, and whether it asks only what is there."""
        slot = term.slot
        form = slot.conditions[0] if slot.conditions else ""
        if slot.pieces and not form and slot.pieces[0] in ("crystals", "powder"):
            form = slot.pieces[0]
        substances = mixture.substances
        found: list[str] = []
        for item in slot.names:
            assert item.name is not None
            name = item.name
            if name.kind == "mixture":
                parts = [part.substance for part in self.table.mixture(name.id).components]
                if name.id != mixture.named:
                    found += [id for id in parts if id in substances]
                else:
                    found += [id for id in self.table.mixture(name.id).usual_aim if id in substances]
                continue
            if name.id in substances:
                found.append(name.id)
                continue
            group = item.roles.get("group", "") or self.group_of(item)
            members = self.members(group, mixture) if group else []
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
            if not identify and len(members) < len(substances):
                found += members
            elif not identify and form in ("crystals", "powder"):
                found += [id for id in members]
        if not found and not groups and (slot.pronoun == "main" or slot.conditions and slot.pronoun == ""):
            if slot.pronoun == "main" and substances:
                main = [component.substance for component in mixture.components if component.role == "main"]
                found = main or [substances[0]]
        if slot.pronoun == "all":
            found = []
        return found, form, identify

    def group_of(self, item: Item) -> str:
        last = item.norm.split()[-1]
        return self.language.phrases.get(last, {}).get("group", "")

    def members(self, group: str, mixture: Mixture) -> list[str]:
        found: list[str] = []
        for component in mixture.components:
            substance = self.table.substance(component.substance)
            if self.reader.belongs(substance, group, component) and component.role != "impurity" or (
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

    def setting(self, without: Sequence[str], pressure: float | None, level: str) -> tuple[Setting, list[tuple[str, tuple[str, ...]]]]:
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
                pressure = pressure_at(said.altitude)
        amounts = [(entry.volume, entry.mass) for entry in self.draft.entries]
        measured = [value <= limit for pair in amounts for value, limit in zip(pair, _LITTLE) if value is not None]
        small = said.small or bool(measured) and all(measured)
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
            found.append("wanted: " + ", ".join(self.name(id) for id in wish.want) + (f" ({wish.form})" if wish.form else ""))
        elif wish.form:
            found.append(f"wanted: {wish.form}")
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
    """The words of a run, a word that normalises to two parts only once."""
    return " ".join(dict.fromkeys((item.start, item.text) for item in run) and [text for _, text in dict.fromkeys((item.start, item.text) for item in run)])


def without_keys_of(words: str) -> list[str]:
    """Keys of rules/setting/without.yaml that words such as "no heating allowed" stand for; empty if they name none."""
    known = language()
    normal = normalise(words)
    parts = normal.split()
    found: list[str] = []
    place = 0
    while place < len(parts):
        for end in range(len(parts), place, -1):
            roles = known.phrases.get(" ".join(parts[place:end]), {})
            key = roles.get("limit") or roles.get("thing") or roles.get("limit_key")
            if key:
                found.append(key)
                place = end - 1
                break
        place += 1
    return list(dict.fromkeys(found))


def _read_once(text: str, table: Table) -> _Reader:
    """The reading of a text; names that hold words of the grammar count where the parts alone are not understood."""
    reader = _Reader(text, table, whole_names=False)
    reader.read()
    if reader.draft.unknown or not reader.draft.entries:
        other = _Reader(text, table, whole_names=True)
        other.read()
        if other.draft.entries and len(other.draft.unknown) < max(len(reader.draft.unknown), 1) + (not reader.draft.entries):
            return other
    return reader


def _mended(reader: _Reader, text: str) -> tuple[str, tuple[str, str]] | None:
    """The text with one misspelling mended, and (written, read as); None if nothing can be mended for sure."""
    unknown = reader.draft.unknown or ([] if reader.draft.entries else reader.draft.loose)
    slots = [[item for item in run] for run in unknown]
    context = [item for item in reader.items if item.kind in ("unknown", "name", "phrase")]
    runs: list[list[Item]] = []
    for run in slots:
        neighbours = _around(reader.items, run)
        runs += unknown_runs(neighbours)
    for item in context:
        if item.kind == "unknown":
            neighbours = _around(reader.items, [item])
            runs += [found for found in unknown_runs(neighbours) if len(found) > 1 and item in found]
    seen: set[str] = set()
    for run in runs[:_TRIES]:
        first, last = run[0], run[-1]
        written = text[first.start : last.end]
        if written in seen:
            continue
        seen.add(written)
        name = mended_name(written, reader.base)
        if name and normalise(name) != normalise(written):
            return text[: first.start] + name + text[last.end :], (written, name)
    for item in context:
        if item.kind == "unknown":
            word = mended_word(item, reader.language)
            if word and word != item.norm:
                return text[: item.start] + word + text[item.end :], (item.text, word)
    return None


def _around(items: Sequence[Item], run: Sequence[Item]) -> list[Item]:
    """A run with the names and plain words directly beside it."""
    start = items.index(run[0]) if run[0] in items else -1
    if start < 0:
        return list(run)
    end = start
    while start > 0 and _plain(items[start - 1]):
        start -= 1
    while end + 1 < len(items) and _plain(items[end + 1]):
        end += 1
    return list(items[start : end + 1])


def _plain(item: Item) -> bool:
    grammar = ("join", "from", "in", "with", "of", "want", "remove", "separate", "tail", "soft", "filler", "to", "into")
    return item.kind in ("unknown", "name") or item.kind == "phrase" and not item.has(*grammar)


def read_words(
    text: str,
    table: Table,
    want: Sequence[str] = (),
    without: Sequence[str] = (),
    pressure: float | None = None,
    level: str = "",
) -> Question:
    """Understand a question in plain words.

    want: names or words of what is wanted, which go before a wish in the text; without: words for what is missing on the
    bench ("no fume cupboard"), added to those in the text; pressure: local pressure in Pa; level: primary,
    lower-secondary, upper-secondary or undergraduate. What is not understood is in the question's `unknown` and
    `missing`; a question without components was not understood at all. Raises nothing for any text.
    """
    corrections: list[tuple[str, str]] = []
    current = text
    reader = _read_once(current, table)
    for _ in range(_ROUNDS * 2):
        if not any(item.kind == "unknown" for item in _all(reader.items)):
            break
        mended = _mended(reader, current)
        if mended is None:
            break
        other = _read_once(mended[0], table)
        if len(other.draft.unknown) > len(reader.draft.unknown):
            break
        current, reader = mended[0], other
        corrections.append(mended[1])
    question = _Answer(reader, want, text).question(without, pressure, level)
    understood = tuple(f"{written!r} read as {read!r}" for written, read in corrections) + question.understood
    return replace(question, corrections=tuple(corrections), understood=understood)


def question_of(
    entries: list[Entry],
    given: dict[str, dict[str, str]],
    amounts: dict[str, Quantity],
    table: Table,
    want: Sequence[str] = (),
    without: Sequence[str] = (),
    pressure: float | None = None,
    level: str = "",
) -> Question:
    """A question from components that are already told apart, with the descriptions of those without a name.

    Other arguments as in `read_words`.
    """
    reader = _Reader("", table, whole_names=False)
    reader.described.given.update(given)
    reader.table = table.with_given(substances_of(given)) if given else table
    reader.draft.entries = entries
    reader.draft.amounts = amounts
    return _Answer(reader, want, "").question(without, pressure, level)


def _all(items: Sequence[Item]) -> list[Item]:
    return [inner for item in items for inner in (item, *item.items)]
