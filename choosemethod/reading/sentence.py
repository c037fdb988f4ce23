"""From the clauses of a question to its draft: which words name the mixture, and which what is wanted."""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.reading.describing import Described, describe, substances_of
from choosemethod.reading.draft import Draft, Term, elements
from choosemethod.reading.forms import Entry
from choosemethod.reading.grammar import Part, Segment, Slot, clauses, same_names, segments
from choosemethod.reading.items import Item, itemise
from choosemethod.reading.language import language
from choosemethod.reading.setting import Said, read_setting
from choosemethod.reading.slots import SlotReader
from choosemethod.reading.words import cut
from choosemethod.table import Name, Table, normalise

__all__ = ["Sentence"]


class Sentence(SlotReader):
    """One reading of one text.

    items: its items, with what was said of the setting (`said`) and of substances without a name (`described`)
    taken out; `read` fills the draft.
    """

    def __init__(self, text: str, table: Table, whole_names: bool) -> None:
        known = language()
        self.text = text
        self.first_table = table
        self.items = itemise(text, cut(text, table.formula), table, known, whole_names)
        self.drop_claims()
        self.set_origins_aside()
        self.said: Said = read_setting(self.items)
        self.described: Described = describe(self.items, table, known)
        view = table.with_given(substances_of(self.described.given)) if self.described.given else table
        super().__init__(table, view, known, Draft())

    def set_origins_aside(self) -> None:
        """What a gas was made from ("ethene made from ethanol") is no part of it: read as how it was got."""
        named: Item | None = None
        for place, item in enumerate(self.items):
            if item.kind == "name":
                named = item
            elif item.has("from") and named is not None and named.name is not None and self.gas_of_one_kind(named.name):
                if self.starts_solid(place + 1):
                    item.roles = {"tail": ""}  # "hydrogen from zinc and acid, wet"
                named = None
            elif item.kind != "phrase" or (item.has("join", "in", "with") and not item.has("origin")):
                named = None
            elif (
                item.has("origin") and named is not None and named.name is not None and self.gas_of_one_kind(named.name)
            ):
                self.items[place].roles = {"tail": ""}

    def starts_solid(self, place: int) -> bool:
        """Whether a solid is named next and something more is said after a comma."""
        rest = [item for item in self.items[place:] if not (item.kind == "phrase" and item.has("filler"))]
        first = rest[0].name if rest else None
        if first is None or first.kind != "substance" or not self.first_table.has(first.id):
            return False
        more = next((index for index, item in enumerate(rest) if item.mark == ","), len(rest) - 1)
        return self.first_table.substance(first.id).phase == "solid" and more < len(rest) - 1

    def gas_of_one_kind(self, name: Name) -> bool:
        return (
            name.kind == "substance"
            and self.first_table.has(name.id)
            and self.first_table.substance(name.id).phase == "gas"
        )

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
            ends = (
                last.kind == "phrase"
                and last.has("claim")
                and len(real) > 1
                and (real[-2].mark == "," or piece[-1].mark == "?")
            )
            return ends or (real[0].kind == "phrase" and real[0].has("claim") and " " in real[0].norm)

        def names(piece: list[Item]) -> bool:
            return any(item.kind in ("name", "unknown") for item in piece)

        def states(piece: list[Item]) -> bool:
            """A piece that only says what is wanted ("I want the salt") does not state the mixture."""
            named = [item for item in piece if item.kind == "name" and item.name is not None]
            wish = any(item.kind == "phrase" and item.has("want", "remove") for item in piece)
            whole = any(item.name is not None and item.name.kind == "mixture" for item in named)
            return names(piece) and (not wish or len(named) > 1 or whole)

        claimed = [piece for piece in pieces if claims(piece)]
        if any(states(piece) for piece in pieces if piece not in claimed):
            for piece in claimed:
                for item in piece:
                    if item.kind != "mark":
                        item.kind = "gap"

    def read(self) -> None:
        all_clauses = clauses(self.hoisted())
        read = [segments(clause, mark, self.fill) for mark, clause in all_clauses]
        for found in read:
            for place, segment in enumerate(found):
                following = found[place + 1] if place + 1 < len(found) else None
                if (
                    not segment.verb
                    and following is not None
                    and following.verb
                    and not following.objects
                    and segment.objects
                    and following.verb != "separate"
                    and (following.source or following.verb in ("remove", "want", "purify"))
                ):
                    self.passive(segment, following)
        flat = [segment for found in read for segment in found]
        for segment in flat:
            for part in _parts(segment):
                self.complete(part)
        self.loose_words(read)
        strong = [segment for segment in flat if not segment.weak]
        has_strong = any(self.holds(segment) for segment in strong)
        main = [segment for segment in flat if self.states_mixture(segment) and (not segment.weak or not has_strong)]
        after_colon = [found for (mark, _), found in zip(all_clauses, read, strict=True) if mark == ":"]
        listed = {id(segment) for found in after_colon for segment in found}
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
        whole = [entry for entry in self.draft.entries if entry.kind == "mixture"]
        self.draft.entries = [entry for entry in self.draft.entries if not self.refers(entry, whole)]
        for item in self.items:
            if item.kind == "phrase" and item.has("state") and "late" in self.language.states[item.roles["state"]]:
                for entry in self.draft.entries:  # "chalk in water, so fine that it goes through the filter paper"
                    self.put_state(entry, item.roles["state"])
        if not self.draft.entries and not self.draft.unknown:
            self.only_in_remarks()

    def only_in_remarks(self) -> None:
        """What is named only in a remark ("if I leave salt water to stand ...") is meant, if nothing else is named."""
        names = [item.name for item in self.items if item.kind == "name" and item.name is not None]
        whole = [name for name in names if name.kind == "mixture"]
        if whole:
            self.take([Entry(whole[0].id, "mixture")])
        elif len({name.id for name in names}) > 1:
            self.take([Entry(id) for id in dict.fromkeys(name.id for name in names)])

    def told_apart(self, whole: Entry, listed: list[Entry]) -> None:
        """After "NAMED MIXTURE:" a list of two or more parts says which are there; other names refer to parts."""
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
            if not ((entry.kind == "mixture" and held & inside) or (entry.kind == "substance" and members)):
                kept.append(entry)
        self.draft.entries[1:] = kept

    def hoisted(self) -> list[Item]:
        """Items with bracketed remarks that hold a verb moved to the end as sentences of their own."""
        kept: list[Item] = []
        moved: list[Item] = []
        for item in self.items:
            if item.kind == "bracket" and any(
                inner.kind == "phrase" and inner.has("want", "remove", "identify", "purify") for inner in item.items
            ):
                moved += [Item("mark", mark="."), *item.items]
            else:
                kept.append(item)
        return kept + moved

    def passive(self, segment: Segment, following: Segment) -> None:
        """ "How can salt be obtained from sea water?": the object stands before the verb."""
        if following.verb == "want" and not following.source:
            return
        if any(
            item.has("soft") for item in segment.items if item.kind == "phrase" and item.text.lower().startswith("i ")
        ):
            return
        following.objects, segment.objects = segment.objects, []

    def loose_words(self, read: list[list[Segment]]) -> None:
        """Unknown words where no component stands: the subject before a verb, or chatter without any name."""
        names = sum(
            len(slot.names) + len(slot.given)
            for found in read
            for segment in found
            for part in _parts(segment)
            for slot in part
        )
        for found in read:
            for place, segment in enumerate(found):
                for part in _parts(segment):
                    known = any(slot.names or slot.given for slot in part)
                    for slot in part:
                        if not slot.unknown or slot.names or slot.given or _explained(slot):
                            continue
                        subject = not segment.verb and place + 1 < len(found) and not known and part is segment.objects
                        wish = (
                            (
                                segment.verb in ("want", "remove", "identify")
                                and not segment.source
                                and part is segment.objects
                            )
                            or segment.wanted
                            or segment.wish_mark
                        )
                        chatter = not known and names >= 2 and part is segment.objects and not segment.source
                        # "a good breeze is blowing from the west": a sentence of its own without any name
                        chatter = chatter or (names >= 2 and place + 1 == len(found) == 1 and not self.holds(segment))
                        harmless = (
                            (names >= 2 and _proper(slot, part))
                            or slot.soft
                            or slot.place
                            or (slot.pronoun and not slot.groups)
                            or bool(slot.holding and slot.names)
                        )
                        beside = part is segment.objects and any(map(self.of_mixture, segment.source)) and known
                        stray = self.only_where(slot, part, segment)
                        if subject or wish or chatter or harmless or segment.weak or beside or stray:
                            self.draft.loose.append(slot.unknown)
                        else:
                            self.draft.unknown.append(slot.unknown)

    def only_where(self, slot: Slot, part: Part, segment: Segment) -> bool:
        """Whether unknown words only say where two known components were met ("sand and feathers in a hen run")."""
        named = {item.name.id for other in segment.objects for item in other.names if item.name is not None}
        alone = part is segment.source and not any(other.names or other.given for other in part)
        place = alone or (part is segment.objects and slot is part[-1] and slot.link == "in" and slot.value == "plain")
        if not place or len(named) < 2 or slot.given:
            return False
        self.draft.notes.append(f"not understood and set aside: where it was met, “{slot.words}”")
        return True

    @staticmethod
    def of_mixture(slot: Slot) -> bool:
        """Whether a slot names a mixture whose parts are known."""
        return any(item.name is not None and item.name.kind == "mixture" for item in slot.names)

    def holds(self, segment: Segment) -> bool:
        return any(slot.names or slot.given for part in (segment.objects, segment.source) for slot in part)

    def states_mixture(self, segment: Segment) -> bool:
        """Whether a segment says what the mixture is, and not only what is wanted of it."""
        if segment.source or (segment.wish_mark and not segment.source):
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
            split = next(
                (
                    place
                    for place, slot in enumerate(objects)
                    if place and slot.link == "in" and (slot.names or slot.given)
                ),
                None,
            )
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
        if verb in ("", "separate"):
            self.asks_groups(objects, entries)
        if not verb:
            groups = [group for slot in objects if not slot.names and not slot.given for group in slot.groups]
            draft.groups += groups
            if any(self.language.groups[group].get("aim") == "identify" for group in groups) and entries:
                draft.want += [Term(slot, said=said) for slot in objects if slot.groups and not slot.names]

    def asks_groups(self, objects: Part, entries: list[Entry]) -> None:
        """ "the dyes in ink", "the pigments of leaves": what is there is to be shown, if there are several of them."""
        groups = [group for slot in objects if slot.of or not slot.names for group in slot.groups]
        held = [id for entry in entries if entry.kind == "mixture" for id in self.parts(Name("mixture", entry.id, ""))]
        for group in groups:
            several = sum(self.belongs(self.table.substance(id), group, None) for id in held) > 1
            if several and self.language.groups[group].get("aim") == "identify":
                self.draft.aim = "identify"

    def origins(self, segment: Segment, objects: Part) -> bool:
        """ "sugar from cane and sugar from beet": the same substance twice, named by where it comes from."""
        first = [item.name for slot in objects for item in slot.names if item.name is not None]
        again = [
            [item.name for item in slot.names if item.name is not None]
            for slot in segment.source
            if slot.link == "join"
        ]
        if not any(same_names(first, names) for names in again):
            return False
        self.draft.one = True
        self.take(self.entries(objects))
        return True

    def from_source(self, segment: Segment, objects: Part, source: Part) -> None:
        draft, verb, said = self.draft, segment.verb, segment.said
        held = self.entries([slot for slot in source if not self.tool(segment, slot)])
        got = self.entries(objects, wanted=True)
        if not held:
            for slot in source:
                for state in slot.states:
                    self.spread_back(got, state)
        for entry in got:  # "blue ink from water": the source is but a part of what is named first
            plain = all(other.kind == "substance" and other.share is None for other in held)
            if entry.kind == "mixture" and held and plain:
                parts = self.parts(Name("mixture", entry.id, ""))
                tissue = self.language.embedding.get("classes", ())
                plants = all(any(name in tissue for name in self.table.substance(other.id).classes) for other in held)
                grown = any(any(name in tissue for name in self.table.substance(id).classes) for id in parts)
                if len(parts) > len(held) and (all(other.id in parts for other in held) or (plants and grown)):
                    held = [entry]
                    break
        first = next((entry for entry in held), None)
        for entry in got:
            if (
                first is not None
                and not entry.host
                and not entry.form
                and (entry.kind == "substance" or self.table.has(entry.id))
            ):
                entry.host = first.id
        inside = {
            id
            for entry in held
            for id in ((entry.id,) if entry.kind == "substance" else self.parts(Name("mixture", entry.id, "")))
        }
        self.take(held)
        if verb in ("technique", "remove") and self.element_of(got, held):
            draft.into = True  # "filter the carbon out of carbon dioxide": it is to be taken apart
            draft.want += [Term(slot, True, said) for slot in objects if slot.names]
            return
        if verb in ("separate", "remove", "technique"):
            others = [entry for entry in got if entry.id not in inside and not self.refers(entry, held)]
            others = [
                entry
                for entry in others
                if entry.kind == "substance" or not inside & set(self.parts(Name("mixture", entry.id, "")))
            ]
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

    def element_of(self, got: list[Entry], held: list[Entry]) -> bool:
        """Whether a solid element is to be got out of a gas that is a compound of it."""
        if len(held) != 1 or not got or any(entry.kind != "substance" for entry in (*got, *held)):
            return False
        whole = self.table.substance(held[0].id)
        inside = elements(whole.formula)
        if whole.phase != "gas" or len(inside) < 2:
            return False
        found = [self.table.substance(entry.id) for entry in got]
        return all(one.phase == "solid" and len(elements(one.formula)) == 1 for one in found) and all(
            elements(one.formula) <= inside and entry.words == normalise(one.name)
            for one, entry in zip(found, got, strict=True)
        )

    def tool(self, segment: Segment, slot: Slot) -> bool:
        """ "extract iodine from water with hexane": what stands after a bare "with" is what it is done with."""
        done = any(item.has("from") and " " in item.norm for item in segment.items if item.kind == "phrase")
        if (
            (not segment.verb and not done)
            or slot.link != "with"
            or slot.value != "plain"
            or not slot.bare
            or len(slot.names) != 1
        ):
            return False
        name = slot.names[0].name
        return name is not None and name.kind == "substance" and self.phase(name) == "liquid"

    def derived(self, entry: Entry, objects: Part, held: list[Entry]) -> bool:
        """Whether what is wanted is no component as such: the alcohol of a drink, the metal of its salt."""
        ids = [id for other in held for id in self.parts(Name(other.kind, other.id, ""))]
        if entry.kind != "substance":
            return bool(set(self.parts(Name("mixture", entry.id, ""))) & set(ids))
        substance = self.table.substance(entry.id)
        items = [item for slot in objects for item in slot.names if item.name is not None and item.name.id == entry.id]
        for item in items:
            group = item.roles.get("group", "")
            if group and any(self.belongs(self.table.substance(id), group, None) for id in ids):
                return True
        telling = {name for name in substance.classes if name in self.language.crude.get("stands_for", ())}
        if sum(bool(telling & set(self.table.substance(id).classes)) for id in ids) == 1 and entry.id not in ids:
            return True  # curd cheese of sour milk is its casein
        if (
            ids
            and self.phase(Name("substance", entry.id, "")) == "liquid"
            and all("hydrate_formula" in self.table.substance(id).values for id in ids)
        ):
            return True  # the water of a hydrate
        element = substance.formula.rstrip("0123456789")
        if element and element.isalpha() and (len(element) == 1 or (len(element) == 2 and element[1].islower())):
            return any(element in elements(self.table.substance(id).formula) for id in ids)
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


def _proper(slot: Slot, part: Part) -> bool:
    """Whether the unknown words of a slot name a person or place: "in Ndola", "Mrs Khan's class", "Priya has sand ..."."""
    if any(item.text.endswith(("'s", "s'", "\u2019s", "s\u2019")) for item in slot.unknown):
        return True
    if not all(item.text[:1].isupper() and not item.text.isupper() for item in slot.unknown):
        return False
    place = next((place for place, other in enumerate(part) if other is slot), 0)
    following = part[place + 1] if place + 1 < len(part) else None
    starts = not place and slot.link == "" and following is not None and following.soft
    return slot.link in ("in", "from") or starts


def _explained(slot: Slot) -> bool:
    """Whether a name in brackets says what the word not known is: "toilet cleaner (hydrochloric acid)"."""
    return any(inner.kind == "name" for bracket in slot.brackets for inner in bracket.items)


def _parts(segment: Segment) -> tuple[Part, ...]:
    return (segment.objects, segment.source, segment.into, segment.to)


def _last_group(part: Part) -> tuple[Part, Part]:
    """Slots before, and the slot that "wanted" belongs to."""
    return part[:-1], part[-1:]
