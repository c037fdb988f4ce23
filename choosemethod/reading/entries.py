"""From the parts of an utterance to the things that are there: forms, amounts, what holds what, lists over recipes."""

from __future__ import annotations

import itertools
import re

from choosemethod.errors import UsageError
from choosemethod.quantity import Quantity
from choosemethod.reading.forms import Entry
from choosemethod.reading.lattice import Piece, bare
from choosemethod.reading.lexicon import Lexicon
from choosemethod.reading.roles import Part
from choosemethod.reading.utterance import PARTS, WISHED, Utterance
from choosemethod.table import Name, Table, normalise

__all__ = ["Assembled", "assemble"]

_YIELDING = ("reagent", "story", "example", "property")  # roles that fall back to a part where too few are left


class Assembled:
    """entries: what is there, in the order it was named; amounts: as given, by substance; share_by: mass, volume or "";
    one: the same substance was named twice with different origins; into: it is to be taken apart into others."""

    def __init__(self, said: Utterance, base: Table, table: Table, words: Lexicon) -> None:
        self.said = said
        self.base = base
        self.table = table
        self.words = words
        self.entries: list[Entry] = []
        self.amounts: dict[str, Quantity] = {}
        self.share_by = ""
        self.one = False
        self.into = False
        self.strange: list[str] = []  # named mixtures that cannot be a part
        self.only: dict[int, tuple[str, ...]] = {}  # part -> what a list says is in a named mixture

    def parts_of(self, name: Name) -> tuple[str, ...]:
        if name.kind == "substance":
            return (name.id,)
        whole = self.table.mixture(name.id)
        return tuple(part.substance for part in whole.components) or whole.made_of

    def phase(self, name: Name) -> str:
        """Phase of a substance; a named mixture that holds a liquid counts as one."""
        if name.kind == "mixture":
            return "liquid" if any(part.form == "liquid" for part in self.table.mixture(name.id).components) else ""
        return self.table.substance(name.id).phase if self.table.has(name.id) else ""

    def names(self, part: Part) -> list[Name]:
        """What a part names; nothing if a word beside it makes it something else."""
        if part.given:
            return [Name("substance", id, id) for id in part.given]
        return [] if part.name is None or part.unknown else [part.name]

    def collect(self) -> None:
        parts = [part for part in self.said.parts if part.role in PARTS]
        parts = self.origins(self.recipes(self.yielding(parts)))
        made: list[tuple[Part, Entry]] = []
        named = any(part.meanings for part in parts)
        for part in parts:
            names = self.names(part)
            if self.points_back(part, parts):
                continue
            for name in names:
                if name.id in self.said.told.tentative and named:
                    continue
                bare_name = name.kind == "mixture" and not self.table.mixture(name.id).components
                if bare_name and self.beside_others(part, name, parts):
                    made_of = self.table.mixture(name.id).made_of
                    if len(made_of) != 1:
                        self.strange.append(part.text)  # it has no parts to name beside others
                        continue
                    name = Name("substance", made_of[0], name.written)  # deionised water
                entry = Entry(name.id, name.kind, words=part.norm if part.meanings else "")
                entry.only = self.only.get(part.place, ())
                self.fill(entry, part)
                made.append((part, entry))
            if not names:
                self.bare(part, made)
        first = next(
            (n for n, (p, e) in enumerate(made) if e.role == "impurity" and (p.lesser or p.role == "impurity")), 0
        )
        for part, entry in made[:first]:
            if part.sentence == made[first][0].sentence:
                entry.role = entry.role or "main"
        formed: dict[str, Entry] = {}
        for _, entry in made:
            if entry.form:
                formed.setdefault(entry.id, entry)
        for _, entry in made:  # "the sulfur from a colloidal sulfur sol": a form told of one naming holds for it
            told = formed.get(entry.id)
            held = told is not None and told.form not in ("solid", "liquid", "gas")
            if told is not None and held and not entry.form and entry.kind == "substance":
                entry.form, entry.state = told.form, told.state
        self.spread(parts, made)
        self.hosts(made)
        liquids = [e for _, e in made if self.phase(Name(e.kind, e.id, "")) == "liquid"]
        gases = [e for _, e in made if e.kind == "substance" and self.phase(Name(e.kind, e.id, "")) == "gas"]
        for part, entry in made:
            if part.role == "removed" and gases == [entry] and liquids and not entry.form:
                entry.form = "dissolved"  # a gas to be taken out of a liquid
        self.entries = [entry for part, entry in made if not self.inside(part, entry, made)]
        if len({entry.id for entry in self.entries}) == 1 and self.entries[0].id in self.said.told.given:
            for id in self.said.told.partners:  # a described substance alone, compared with a liquid, is in that liquid
                self.entries += [Entry(id)] if self.entries[0].id != id else []
        for part, entry in made:
            for word in part.holding:
                self.holding(word, entry)
        for part in self.said.parts:
            if part.holding and not part.meanings and not part.given and made:  # "it is wet"
                for word in part.holding:
                    self.holding(word, made[0][1])
        if "fine" in self.said.flags:
            for entry in self.entries:
                if entry.kind == "substance":
                    self.put_state(entry, "fine")

    def beside_others(self, part: Part, name: Name, parts: list[Part]) -> bool:
        """Whether something is named beside a mixture that it is not made of."""
        made_of = set(self.table.mixture(name.id).made_of)
        others = [other for other in parts if other is not part and other.role not in WISHED]
        return any(one.id not in made_of for other in others for one in self.names(other))

    def yielding(self, parts: list[Part]) -> list[Part]:
        """Where fewer than two things are there, what was taken for a reagent or story is a part after all."""
        there = {id for part in parts for name in self.names(part) for id in self.parts_of(name)}
        there |= {extra.substance for extra in self.said.extras}
        if len(there) > 1:
            return parts
        return [
            part
            for part in self.said.parts
            if part in parts
            or (
                part.role in _YIELDING
                and part.meanings
                and part.role != "property"
                and part.place not in self.said.settled
            )
        ]

    @staticmethod
    def lists(whole: Part, part: Part) -> bool:
        """Whether a part stands in a list that says what the whole is made of: in brackets or after a colon."""
        if part.bracket == whole.group and part.link == "with":
            return False  # what is in it besides
        return part.bracket == whole.group or (part.link == "colon" and part.clause == whole.clause + 1)

    def recipes(self, parts: list[Part]) -> list[Part]:
        """Of a named mixture only what an explicit list names, and its liquid; a bracket that only repeats a name goes."""
        kept: list[Part] = []
        for part in parts:
            name = part.name
            if name is None or name.kind != "mixture":
                kept.append(part)
                continue
            mates = [other for other in kept if other.group == part.group and other.name is not None]
            called = {id for mate in mates if mate.name is not None for id in self.parts_of(mate.name)}
            if called and called < set(self.parts_of(name)) and self.words.cues(part.norm.split()[0]).get("verb"):
                kept = [one for one in kept if one not in mates]  # "dichloromethane extract of clove oil"
            elif any(mate.name is not None and set(self.parts_of(mate.name)) < set(self.parts_of(name)) for mate in mates):
                continue  # "oil and vinegar salad dressing": what it is called, not one thing more
            if name is not None and name.kind == "mixture":
                listed = [other for other in parts if other is not part and self.lists(part, other)]
                of = [o for o in parts if o.link == "of" and o.clause == part.clause and o.group > part.group]
                held = set(self.parts_of(name))
                several = [other for other in listed if other.meanings or other.given]
                made = [other for other in of if other.meanings]
                listed_ids = [i for other in (*several, *made) for n in self.names(other) for i in self.parts_of(n)]
                if len(made) > 1 and self.words.cues(part.norm.split()[-1]).get("state"):
                    continue  # "an alloy of tin and lead"
                if len(several) > 1 or len(made) > 1 or (made and held.issuperset(listed_ids)):
                    wished = [n.id for o in parts if o.role == "wanted" for n in self.names(o) if n.id in held]
                    self.only[part.place] = (*listed_ids, *wished)
            kept.append(part)
        done: list[Part] = []
        for part in kept:
            if (
                part.bracket >= 0
                and part.found == "formula"
                and any(o.group == part.bracket and o.meanings for o in kept)
            ):
                continue  # "tinstone (SnO2)"
            if part.bracket >= 0 and part.meanings:
                outer = [other for other in kept if other.group == part.bracket and other.name is not None]
                held_there = {id for other in outer if other.name is not None for id in self.parts_of(other.name)}
                if part.meanings[0].id in held_there or any(
                    o.name is not None and o.name.id == part.meanings[0].id for o in outer
                ):
                    continue  # "vinegar (acetic acid)"
            done.append(part)
        return done

    def origins(self, parts: list[Part]) -> list[Part]:
        """Sources that are no things beside what is named: the plant of its oil, the origins of one substance."""
        sources = [part for part in parts if part.role == "source" and part.name is not None]
        made = [p for p in parts if p.role == "wanted" and p.name is not None and self.gaseous(p.name)]
        near = [src for src in sources if made and src.sentence == made[0].sentence]
        if near and all(src.verb == "want" and src.ending == "ed" for src in near):
            got = {id for part in made if part.name is not None for id in self.parts_of(part.name)}
            held = {id for src in sources if src.name is not None for id in self.parts_of(src.name)}
            if not got & held and all(src.name is not None and self.phase(src.name) != "gas" for src in sources):
                return [part for part in parts if part not in sources]  # "ethene made from ethanol"
        pieces = self.said.pieces
        from_it = [
            (piece.name.id, piece.sentence, piece.depth)
            for piece, link in itertools.pairwise(pieces)
            if piece.kind == "name" and piece.name is not None and link.kind == "cue" and link.has("from")
        ]
        again = next((one[0] for one in from_it if from_it.count(one) > 1), "")
        if again:
            self.one = True  # "sugar from cane and sugar from beet"
            return [part for part in parts if part.name is not None and part.name.id == again][:1]
        solids = [src for src in sources if src.name is not None and self.phase(src.name) == "solid"]
        if made and solids:
            return [part for part in parts if part not in sources]  # "hydrogen from zinc and acid"
        for part in parts:
            name = part.name
            if part.role != "wanted" or name is None or name.kind != "mixture" or not sources:
                continue
            held = set(self.parts_of(name))
            if all(src.name is not None and set(self.parts_of(src.name)) < held for src in sources):
                return [other for other in parts if other not in sources]  # "blue ink from water"
            if all(src.name is not None and self.plant(src.name) for src in sources) and any(
                self.plant(Name("substance", id, id)) for id in held
            ):
                return [other for other in parts if other not in sources]  # "eucalyptus oil from the leaves"
        return parts

    def gaseous(self, name: Name) -> bool:
        if name.kind == "mixture":
            return any(part.form == "gas" for part in self.table.mixture(name.id).components)
        return self.phase(name) == "gas"

    def plant(self, name: Name) -> bool:
        return any(
            self.table.has(id) and set(self.words.embedding.get("classes", ())) & set(self.table.substance(id).classes)
            for id in self.parts_of(name)
        )

    # Forms and amounts.

    def fill(self, entry: Entry, part: Part) -> None:
        entry.wanted = part.role == "wanted"
        entry.form = {"g": "gas", "l": "liquid", "s": "solid"}.get(part.state, "")
        if part.role == "impurity" or part.lesser or (part.given and "impurit" in part.norm):
            entry.role = "impurity"
            entry.inside = part.noun == "impurity" and bool(part.meanings)
        sunk = any(self.words.states[state].get("form") == "suspended" for state in part.states)
        for state in ("solution",) if part.state == "aq" else part.states:
            if not (sunk and self.words.states[state].get("form") == "dissolved"):
                self.put_state(entry, state, part.found == "letter")
        for size in part.sizes[:1]:
            entry.size = self.words.pieces[size]
        entry.form = self.said.forms.get(part.place, entry.form)
        for number in part.numbers:
            self.amount(entry, number)

    def put_state(self, entry: Entry, state: str, letter: bool = False) -> None:
        told = self.words.states[state]
        if entry.kind == "mixture" or (letter and state in ("liquid", "solid")):
            return
        phase, form = self.phase(Name("substance", entry.id, "")), told.get("form", "")
        if (form == "liquid" and phase == "gas") or (form == "solid" and phase == "liquid" and state != "ice"):
            return  # liquid air, solid-looking oils: the table knows better
        if form == "dissolved" and phase == "liquid" and len(self.said.there()) > 1:
            return  # "an ether solution contains ...": what the others are in
        if (
            form == "emulsified"
            or (form == "airborne" and phase == "gas")
            or (form == "suspended" and phase != "solid")
        ):
            return
        if form == "gas" and phase == "solid" and not self.sublimes(entry.id):
            return
        if "late" in told and (phase != "solid" or entry.form not in ("", "suspended")):
            return
        entry.state, entry.form = state, "" if "late" in told else form
        if "piece" in told:
            entry.size = self.words.pieces[told["piece"]]

    def sublimes(self, id: str) -> bool:
        value = self.table.substance(id).values.get("sublimes")
        return value is not None and value.words == ("yes",)

    def amount(self, entry: Entry, number: Piece) -> None:
        if number.dimension in ("mass", "volume", "fraction"):
            if number.number <= 0 or (number.dimension == "fraction" and number.number > 1):
                raise UsageError(f"{number.text}: an amount is above 0, and a share at most 100 %")
            self.amounts[entry.id] = Quantity(number.number, number.dimension, "given", "given")
        if number.dimension == "mass":
            entry.mass = number.number
        elif number.dimension == "volume":
            entry.volume = number.number
        elif number.dimension == "fraction":
            entry.share = number.number
            self.share_by = number.bulk or self.share_by
        elif number.dimension == "length" and entry.size is None:
            entry.size = (number.number, number.high)

    def bare(self, part: Part, made: list[tuple[Part, Entry]]) -> None:
        """A state word that names something by itself (steam, ice, moisture); an amount after the name it is of; ions."""
        noun = self.words.nouns.get(part.noun)
        ions = self.base.name(f"{part.norm} ion") if noun is not None and not noun.own else None
        if ions is not None and ions.kind == "substance" and not self.refers(part, made):
            entry = Entry(
                ions.id, form="dissolved", words=part.norm, wanted=part.role == "wanted"
            )  # "nitrate in water"
            entry.role = "impurity" if part.lesser or part.role in ("removed", "impurity") else ""
            made.append((part, entry))
            return
        for state in part.states:
            name = self.table.name(self.words.states[state].get("of", ""))
            if name is not None and name.kind == "substance":
                entry = Entry(name.id, state=state, form=self.words.states[state].get("form", ""))
                if entry.form == "liquid" and made and self.phase(Name(made[0][1].kind, made[0][1].id, "")) == "gas":
                    entry.form, entry.role = "gas", "impurity"  # the moisture of a gas
                made.append((part, entry))
                return
        if made and part.bracket == made[-1][0].group:
            for number in part.numbers:
                self.amount(made[-1][1], number)
            for size in part.sizes:
                made[-1][1].size = self.words.pieces[size]

    def spread(self, parts: list[Part], made: list[tuple[Part, Entry]]) -> None:
        """ "a solution of salt and sugar": a state said of the whole, or at the end of a list, holds for each."""
        for part in self.said.parts:
            if part.role not in PARTS:
                continue
            spreading = [state for state in part.states if self.words.states[state].get("spread") == "yes"]
            if not spreading:
                continue
            if part.meanings or part.given:
                mates = [e for p, e in made if p.clause == part.clause and p.role == part.role and p.group < part.group]
                own = part.name is not None and self.phase(part.name) == "liquid"
                if not (own and mates):
                    continue
            else:
                mates = [e for p, e in made if p.sentence == part.sentence]
            around = self.words.states[spreading[-1]].get("around", "") if part.link == "in" else ""
            for entry in mates:
                if entry.kind == "substance" and not entry.form:
                    pieces = entry.size is not None or self.words.cues((entry.words.split() or [""])[-1]).get("piece")
                    self.put_state(entry, around if around and pieces and not entry.wanted else spreading[-1])
            if spreading[-1] == "emulsion":
                self.emulsify([entry for _, entry in made])
        if any("emulsion" in part.states for part in parts):
            self.emulsify([entry for _, entry in made])

    def emulsify(self, found: list[Entry]) -> None:
        liquids = [e for e in found if e.kind == "substance" and self.phase(Name("substance", e.id, "")) == "liquid"]
        if len(liquids) > 1:
            host = next((entry.host for entry in liquids if entry.host), liquids[-1].id)
            for entry in liquids:
                if entry.id != host:
                    entry.form, entry.host = "emulsified", host

    # What holds what.

    def hosts(self, made: list[tuple[Part, Entry]]) -> None:
        for place, (part, entry) in enumerate(made):
            if part.role not in ("host", "source"):
                continue
            for other, held in made[:place]:
                if other.sentence != part.sentence or held.host or held.id == entry.id:
                    continue
                if (other.role in ("host", "source") and part.role == "host" and other.group != part.group - 1) or (
                    part.role == "source" and other.role not in ("wanted", "removed", "looked for", "measured")
                ):
                    continue
                held.host = entry.id
                state = self.words.cues(part.verb_word).get("state", "")
                if state and not held.form and held.kind == "substance":
                    held.form = self.words.states[state].get("form", "")

    def holding(self, word: str, entry: Entry) -> None:
        """ "salty water" holds salt, "wet sand" water."""
        name = self.base.name(self.words.holding[word])
        if name is None or any(other.id == name.id for other in self.entries):
            return
        if name.kind == "substance" and self.phase(name) == "liquid":
            phase = self.phase(Name(entry.kind, entry.id, ""))
            fluid = phase in ("liquid", "gas") and word not in self.words.solvent_adjectives
            water = self.base.name(self.words.assumed_liquid)
            role = "impurity" if fluid and water is not None and water.id == name.id else ""
            self.entries.append(Entry(name.id, form="gas" if phase == "gas" else "", role=role))
        else:
            self.entries.append(Entry(name.id, name.kind))

    def inside(self, part: Part, entry: Entry, made: list[tuple[Part, Entry]]) -> bool:
        """Whether what is wanted is held by something beside it, and so is nothing of its own."""
        if part.role not in WISHED and not (part.plural and entry.kind == "substance"):
            return False
        others = [(p, other) for p, other in made if other is not entry and other.id != entry.id]
        if part.link in ("into", "to") and part.role == "wanted" and others:
            self.into = True
            return True
        if part.plural and entry.kind == "substance" and self.refers(part, others):
            return True  # "the pigments in a leaf"
        if part.role not in WISHED or not others:
            return False
        elsewhere = {e.id for p, e in others if p.clause != part.clause and p.role not in WISHED}
        mates = [p for p, _ in others if p.clause == part.clause]
        if part.role in ("wanted", "removed") and part.ending != "ed" and len(elsewhere) > 1 and not mates:
            return True  # "salt and sand; I want the iron"
        if entry.kind == "substance" and (self.element_of(entry, part, others) or self.refers(part, others)):
            return True
        held = {
            id for _, other in others if other.kind == "mixture" for id in self.parts_of(Name("mixture", other.id, ""))
        }
        mine = set(self.parts_of(Name(entry.kind, entry.id, "")))
        if entry.kind == "mixture" and part.role == "wanted" and any(p.role in ("source", "host") for p, _ in others):
            ids = held | {other.id for _, other in others}
            return bool(mine & ids)
        return bool(mine) and mine <= held

    def refers(self, part: Part, others: list[tuple[Part, Entry]]) -> bool:
        """Whether a class word ("the proteins", "essential oil") means parts of a named mixture beside it."""
        noun = self.words.nouns.get(self.words.cues(part.norm).get("noun", ""))
        if noun is None:
            return False
        means = noun.means
        for _, other in others:
            if other.kind == "mixture":
                for id in self.parts_of(Name("mixture", other.id, "")):
                    one = self.table.substance(id)
                    if one.kind in means.get("kinds", ()) or set(one.classes) & set(means.get("classes", ())):
                        return True
        return False

    def points_back(self, part: Part, parts: list[Part]) -> bool:
        """Whether a class word that is a name too ("the gases", "the dyes") only means others that are named."""
        noun = self.words.nouns.get(self.words.cues(bare(part.norm)).get("noun", ""))
        back = part.plural or part.article in ("the", "these", "this") or part.norm.startswith("the ")
        if noun is None or part.name is None or not back:
            return False
        means = noun.means
        for other in parts:
            id = (
                other.given[0]
                if other.given
                else other.name.id
                if other.name and other.name.kind == "substance"
                else ""
            )
            if other is part or not id or id == part.name.id:
                continue
            if other.link in ("in", "of", "from"):
                continue  # "the dyes in green food colouring"
            one = self.table.substance(id)
            if (
                one.kind in means.get("kinds", ())
                or one.phase in means.get("phase", ())
                or set(one.classes) & set(means.get("classes", ()))
            ):
                return part.role not in ("wanted", "removed")
        return False

    def element_of(self, entry: Entry, part: Part, others: list[tuple[Part, Entry]]) -> bool:
        """Whether an element is wanted out of its compound: the metal of a salt, the carbon of a gas."""
        element = elements(self.table.substance(entry.id).formula)
        if len(element) != 1 or part.norm != normalise(self.table.substance(entry.id).name):
            return False
        sources = [e for p, e in others if p.role in ("source", "host")]
        ids = [id for source in sources for id in self.parts_of(Name(source.kind, source.id, ""))]
        whole = [id for id in ids if element < elements(self.table.substance(id).formula)]
        if len(sources) == 1 and len(ids) == 1 and whole and self.table.substance(ids[0]).phase == "gas":
            self.into = True  # it is to be taken apart
        return bool(whole)


def elements(formula: str) -> set[str]:
    """Symbols of the elements in a formula."""
    return set(re.findall("[A-Z][a-z]?", formula))


def assemble(said: Utterance, base: Table, table: Table, words: Lexicon) -> Assembled:
    """What is there by an utterance. base: the table; table: the same with the described substances."""
    found = Assembled(said, base, table, words)
    found.collect()
    return found
