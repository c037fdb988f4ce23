"""Properties told in words, and the substances without a name that they describe: "liquid A (b.p. 60 °C), miscible with B"."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from choosemethod.quantity import ROOM_TEMPERATURE, UNITS, QuantityError, parse_range
from choosemethod.reading.given import SOLUBILITY
from choosemethod.reading.lattice import Piece, bare
from choosemethod.reading.lexicon import Lexicon, Noun, PropertyWord
from choosemethod.table import Table, normalise

__all__ = ["Told", "read_properties", "shown"]

_USUAL_UNIT = {"temperature": "°C", "density": "g/cm3", "length": "mm"}
_NEAR = 5  # pieces a property may stand from its number or its negation
_LETTERS = "abcde"
_PLURAL = ("are", "were", "both", "have", "do", "dissolve", "sublime")  # what follows letters of all of which it is told
_BETWEEN = ("join", "light", "of", "be", "in", "from", "to", "pronoun", "every", "person", "which")


class Told(NamedTuple):
    """given: id -> property -> value text of what has no name; subjects: piece -> ids it stands for; used: piece ->
    (role, because); inferred: sentences about what was taken for granted; partners: liquids something was compared with;
    tentative: ids of "two liquids" of which nothing is told."""

    given: dict[str, dict[str, str]]
    subjects: Mapping[int, tuple[str, ...]] = {}
    used: Mapping[int, tuple[str, str]] = {}
    inferred: tuple[str, ...] = ()
    partners: tuple[str, ...] = ()
    tentative: frozenset[str] = frozenset()


class _Teller:
    def __init__(
        self, pieces: Sequence[Piece], taken: Mapping[int, tuple[str, str]], table: Table, words: Lexicon
    ) -> None:
        self.pieces = pieces
        self.taken = taken
        self.table = table
        self.words = words
        self.given: dict[str, dict[str, str]] = {}
        self.subjects: dict[int, tuple[str, ...]] = {}
        self.used: dict[int, tuple[str, str]] = {}
        self.inferred: list[str] = []
        self.partners: list[str] = []
        self.tentative: set[str] = set()
        self.letters: dict[str, str] = {}
        self.subject: tuple[str, ...] = ()
        self.named = False  # the subject is a substance of the table
        self.noun = ("substance", "")  # word and phase that letters without a noun take over
        self.last: tuple[PropertyWord, str, tuple[str, ...]] | None = None
        self.measured: PropertyWord | None = None
        self.pair = ""
        self.pending: list[tuple[str, str]] = []
        names = [piece.name for piece in pieces if piece.kind == "name" and piece.name is not None]
        self.names = [name.id for name in names if name.kind == "substance"]
        generic = {piece.name for piece in pieces if piece.kind == "name" and "noun" in words.cues(bare(piece.norm))}
        self.any_names = any(name not in generic for name in names)
        self.fluids = [id for id in self.names if self.phase(id) == "liquid"]

    def phase(self, id: str) -> str:
        return self.table.substance(id).phase if self.table.has(id) else self.given.get(id, {}).get("phase", "")

    def water(self) -> tuple[str, ...]:
        name = self.table.name(self.words.assumed_liquid)
        return () if name is None else (name.id,)

    def at(self, place: int) -> Piece | None:
        return self.pieces[place] if 0 <= place < len(self.pieces) else None

    # Substances without a name.

    def make(self, id: str, name: str, told: Mapping[str, str], place: int, tentative: bool = False) -> str:
        if id not in self.given:
            self.given[id] = {"name": name, **told}
            if tentative:
                self.tentative.add(id)
        for property, value in self.pending:
            self.put((id,), property, value)
        self.pending.clear()
        return id

    def noun_of(self, piece: Piece) -> Noun | None:
        return self.words.nouns.get(piece.cues.get("noun", "")) if piece.kind == "class" else None

    def letter(self, place: int) -> None:
        """ "A", "liquid A": the substance the letter stands for."""
        piece = self.pieces[place]
        before = self.at(place - 1)
        noun = None if before is None else self.noun_of(before)
        if before is not None and noun is not None:
            self.noun = (before.norm.split()[-1], noun.told.get("phase", ""))
            self.used[place - 1] = ("component", "the class of a letter")
        sign = piece.norm.upper()
        id = self.letters.get(sign) or self.alias(place) or None
        if id is None:
            word, phase = self.noun
            told = dict(noun.told) if noun is not None else {"phase": phase} if phase else {}
            id = self.make(f"{word}-{sign.lower()}", f"{word} {sign}", told, place)
            self.letters[sign] = id
        self.subject, self.named = (*self.coordinate(place), id), False
        self.subjects[place] = (id,)
        self.bare_number(place)
        bracket = self.at(place + 1)
        number = self.at(place + 2)
        bare = bracket is not None and bracket.mark == "(" and number is not None and number.dimension == "temperature"
        if (
            bare and number is not None and self.measured is not None
        ):  # "A (60 °C)" where others were given boiling points so
            self.number((id,), self.measured, number, place + 2)

    def coordinate(self, place: int) -> tuple[str, ...]:
        """The letters that the one here is joined to, of all of which something is told ("A and C are soluble")."""
        after, start = self.at(place + 1), place
        if after is None or after.text.lower() not in _PLURAL:
            return ()
        while start > 1 and (self.pieces[start - 1].has("join") or self.pieces[start - 1].mark == ","):
            if self.pieces[start - 2].kind != "letter":
                break
            start -= 2
        return tuple(dict.fromkeys(id for other in range(start, place) for id in self.subjects.get(other, ())))

    def leaves_out(self, place: int) -> bool:
        """Whether what is told of the subject is denied of the others: "of these only A and C are soluble"."""
        start = next((at for at in range(place, 0, -1) if self.pieces[at].mark in (".", ";", ":")), -1) + 1
        said = self.pieces[start:place]
        return any(one.has("only", "offered") for one in said)

    def alias(self, place: int) -> str:
        """ "B is 4-nitroaniline": the letter stands for what it is called; id of a substance of the table, or ""."""
        be, named = self.at(place + 1), self.at(place + 2)
        if be is None or not be.has("be") or named is None or named.kind != "name" or named.name is None:
            return ""
        if named.name.kind != "substance":
            return ""
        self.used[place + 2] = ("ordinary", "what the letter stands for")
        self.letters[self.pieces[place].norm.upper()] = named.name.id
        return named.name.id

    def bare_number(self, place: int) -> None:
        """ "A boils at 97 C, B at 82 C": the same property again."""
        for other in range(place + 1, min(len(self.pieces), place + 4)):
            piece = self.pieces[other]
            if piece.kind == "number" and self.measured is not None and piece.dimension == self.measured.dimension:
                self.number(self.subject, self.measured, piece, other)
                return
            if not (piece.has("in", "be", "light") and piece.kind == "cue") or piece.has("property"):
                return

    def belongs(self, noun: Noun) -> bool:
        """Whether a named substance is of the class, so that the noun points back to it."""
        for id in self.names:
            substance = self.table.substance(id)
            means = noun.means
            if any(word in means.get("classes", ()) for word in substance.classes) or substance.kind in means.get(
                "kinds", ()
            ):
                return True
            if substance.phase in means.get("phase", ()) and "phase" in noun.told:
                return True
        return False

    def class_noun(self, place: int) -> None:
        """A class noun that is a part of its own: "an insoluble impurity", "two miscible liquids"."""
        piece = self.pieces[place]
        noun = self.noun_of(piece)
        before, after = self.at(place - 1), self.at(place + 1)
        if self.subject and not self.named and self.said_of(place):
            return  # "A is a white powder"
        head = self.at(place - 2)
        if (
            before is not None
            and before.mark == "("
            and head is not None
            and head.cues.get("noun") == piece.cues["noun"]
        ):
            return  # "an amine (RNH2)"
        if after is not None and after.has("example"):
            return  # "solvents such as ..."
        if (
            noun is None
            or not noun.own
            or (
                after is not None
                and (after.kind in ("name", "letter") or (after.has("of") and not self.of_property(place)))
            )
        ):
            return
        if (before is not None and before.kind in ("name", "unknown")) or (
            before is not None and before.kind == "letter"
        ):
            return
        start, colour, adjective, article, many = place - 1, "", bool(self.pending), "", 0
        while start >= 0:
            other = self.pieces[start]
            if other.has("colour") and other.kind == "cue":
                colour = f"{other.text.lower()} {colour}".strip()
            elif other.has("unknown_word"):
                adjective = True
            elif other.has("number_words") and other.kind == "cue":
                many = {"two": 2, "three": 3, "four": 4, "five": 5}.get(other.cues["number_words"], 0)
            elif other.norm in ("a", "an", "some", "the", "this", "my", "our"):
                article = other.norm
                break
            elif other.kind == "word" or (other.has("property", "condition", "lesser") and not other.has("verb")):
                adjective = adjective or other.has("property", "lesser")
            elif not other.has("negation"):
                break
            start -= 1
        front = self.at(start)
        headed = self.at(start - 1)
        if not article and front is not None and front.mark == ":" and headed is not None and headed.kind == "name":
            self.used[place] = ("property", "what the name before the colon is like")
            return  # "nickel: grey solid"
        if not article and front is not None and front.kind in ("name", "letter"):
            return  # "acetone + chloroform waste solvent"
        said_as = start - 1 if article else start
        is_as = said_as >= 0 and self.pieces[said_as].norm == "as"
        beside_it = is_as and said_as > 0 and self.pieces[said_as - 1].has("join")  # "as well as an amine"
        if is_as and not beside_it:
            return  # "phenol as an impurity"
        apposed = (front is not None and front.mark == ",") or (start > 0 and self.pieces[start - 1].mark == ",")
        last = next((one for one in reversed(self.pieces[: max(start, 0)]) if one.kind == "name"), None)
        phase_of = noun.told.get("phase", "")
        one = self.names[0] if len(self.names) == 1 and last is not None else ""
        classed = "classes" in noun.told and not self.belongs(noun)  # "a phenol, an amine": no phenol is an amine
        if article in ("a", "an") and apposed and one and phase_of in ("", self.phase(one)) and not classed:
            return  # "glycerol, a liquid that decomposes ..."
        wished = self.wished(place)
        made = classed and after is not None and after.cues.get("noun") == "part"  # "the amine product", and no name is one
        own = made or (classed and wished and after is not None and after.has("from"))  # "remove an amine from my ketone"
        if self.any_names and wished and not own:
            return
        beside = [front, after] if start >= 0 else [after]
        if not own and any(one is not None and one.cues.get("verb") in ("want", "remove", "identify") for one in beside[:1]):
            return
        impurity = piece.cues["noun"] == "impurity"
        if many > 1 and piece.plural:
            each = any(one.has("second_of") for one in self.pieces[place:])
            follows = after is not None and ((after.mark in (":", "(") and not each) or after.kind == "letter")
            if (self.any_names and not each) or follows:
                return
            word = piece.norm.split()[-1]
            several = [
                self.make(f"{word}-{sign}", f"{word} {sign.upper()}", noun.told, place, True)
                for sign in _LETTERS[:many]
            ]
            self.subject, self.named = tuple(several), False
            self.subjects[place] = tuple(several)
            return
        if piece.has("piece") and piece.plural and self.any_names and front is not None and front.mark == ",":
            return  # "tartrate, big crystals": how it looks
        next_word = place + 1
        while next_word < len(self.pieces) and self.pieces[next_word].norm in ("that", "which", "is", "it"):
            next_word += 1
        says = self.at(next_word)
        told = says is not None and (says.has("property") or says.mark == "(" or (says.has("in") and not piece.plural))
        told = told or (after is not None and after.has("of") and self.of_property(place))
        link = front if not article else self.at(start - 1)
        from_it = link is not None and link.kind == "cue" and link.has("from") and noun.told.get("classes", "") != ""
        from_it = from_it or (link is not None and link.kind == "cue" and link.has("in") and classed)  # "the acid in my ester"
        if article in ("the", "this") and not colour:
            word = piece.norm.split()[-1]
            again = [id for id in self.given if word in (id.split("-")[-1], id.split("-")[0])]
            if again:
                back = tuple(again) if piece.plural else (again[0],)
                self.subject, self.named, self.subjects[place] = back, False, back
            if again or (self.any_names and not own):
                return
        if after is not None and after.cues.get("verb") in ("want", "remove") and after.cues.get("ending") == "ed":
            return
        link = self.at(start) if article == "" else self.at(start - 1)
        joined = beside_it or any(one is not None and (one.has("join") or one.mark in (",", ":")) for one in (link, after))
        phase = noun.told.get("phase", "")
        if not (joined or impurity or from_it or own) and any(not phase or self.phase(id) == phase for id in self.before(place)):
            return  # "silver chloride came down as a white solid"
        described = colour or adjective or told or (impurity and joined)
        alone = not self.any_names and piece.cues["noun"] not in ("anything", "part", "solution")
        points_back = self.belongs(noun) and not from_it  # "remove pyridine from my amine": another amine
        generic = own or ((joined or from_it or alone) and not points_back)
        grains = piece.has("piece") and bool(colour)
        if piece.plural and not impurity and not generic and not adjective and not grains:
            return
        if not (described or generic) or (points_back and not (adjective or colour or told)):
            return
        if piece.cues["noun"] in ("anything", "organic-solid") and not (colour or adjective or told):
            return
        word = piece.norm if " " in piece.norm else piece.norm.split()[-1]
        formula = sum(sign.isupper() for sign in piece.text) > 1  # "RCOOH" is shown as written
        name = f"{colour} {piece.text if formula else word}".strip()
        known = normalise(name).replace(" ", "-")
        if known in self.given and not told:
            known = f"{known}-2"
        told_more = {**noun.told, **({"colour": colour} if colour else {})}
        self.make(known, name if not impurity else piece.text.lower(), told_more, place)
        self.subject, self.named, self.subjects[place] = (known,), False, (known,)

    def of_property(self, place: int) -> bool:
        """ "a liquid of density 0.8"."""
        piece = self.at(place + 2)
        return piece is not None and piece.has("property")

    def before(self, place: int) -> list[str]:
        """Substances of the table named before a place."""
        names = [piece.name for piece in self.pieces[:place] if piece.kind == "name"]
        return [name.id for name in names if name is not None and name.kind == "substance"]

    def wished(self, place: int) -> bool:
        """Whether the noun stands in a wish ("want nice blue crystals")."""
        for piece in reversed(self.pieces[:place]):
            if (piece.mark and piece.mark in ".;?:-") or (piece.kind == "cue" and piece.has("from")):
                return False  # "remove pyridine from the amine": the amine is there
            if piece.mark == ">" or (piece.kind == "cue" and piece.cues.get("verb") in ("want", "remove")):
                return True
        return False

    # What is told.

    def put(self, ids: Sequence[str], property: str, value: str) -> None:
        for id in ids:
            if id in self.given:
                told = self.given[id]
                if property == "volatility":
                    self.volatile(told, value)
                else:
                    told[property] = value
                self.tentative.discard(id)

    def volatile(self, told: dict[str, str], value: str) -> None:
        """A solute that is not volatile stays behind: taken as a solid that is dissolved; a volatile one as a liquid."""
        told.setdefault("phase", "solid" if value == "low" else "liquid")

    def negated(self, place: int) -> bool:
        for other in range(place - 1, max(-1, place - _NEAR), -1):
            piece = self.pieces[other]
            if piece.kind in ("name", "letter") or piece.mark or piece.has("join", "but"):
                return piece.norm == "nor"
            if piece.has("negation") or piece.norm == "non":
                return True
        return False

    def property(self, place: int) -> None:
        piece = self.pieces[place]
        if "measured" in piece.cues and self.measure(place, self.words.properties[piece.cues["measured"]]):
            return
        before = self.at(place - 1)
        said = "state" not in piece.cues or (before is not None and before.has("pronoun") and not self.named)
        if "liquid" in piece.cues and said:
            self.with_liquid(place, self.words.properties[piece.cues["liquid"]])
        elif "stated" in piece.cues and piece.kind != "class":
            self.state(place, self.words.properties[piece.cues["stated"]])

    def measure(self, place: int, entry: PropertyWord) -> bool:
        numbers: list[tuple[int, Piece]] = []
        following = place + 1
        while following < len(self.pieces) and following < place + 12:
            piece = self.pieces[following]
            if piece.kind == "number" and piece.dimension in ("", entry.dimension):
                numbers.append((following, piece))
            elif (
                (piece.kind in ("name", "letter") and numbers)
                or piece.mark in (".", ";", ")")
                or not (
                    piece.mark in (":", ",")
                    or piece.has(*_BETWEEN)
                    or piece.kind in ("word", "letter", "name", "class")
                )
            ):
                break
            following += 1
        if not numbers:
            return False
        self.measured, self.last = entry, None
        ids = self.subject or tuple(self.given)
        each = ids if len(ids) == len(numbers) else tuple(self.given)  # "A and B boil at 60 and 80 °C"
        if len(numbers) > 1 and len(each) == len(numbers):
            for id, (where, number) in zip(each, numbers, strict=True):
                self.number((id,), entry, number, where)
        else:
            if not self.subject and self.noun_follows(following):
                self.pending.append((entry.property, _quantity(numbers[0][1], entry.dimension)))
            where, number = numbers[0]
            self.number(ids if self.subject and not self.named else (), entry, number, where)
        self.used[place] = ("property", "a property with its number")
        return True

    def number(self, ids: Sequence[str], entry: PropertyWord, number: Piece, place: int) -> None:
        self.put(ids, entry.property, _quantity(number, entry.dimension))
        also, _, value = entry.value.partition(": ")
        if also:
            self.put(ids, also, value)  # what sublimes at a temperature sublimes
        self.used[place] = ("property", f"its {entry.property.replace('_', ' ')}")

    def noun_follows(self, place: int) -> bool:
        """Whether the part the property is told of comes after it: "an insoluble impurity"."""
        for other in range(place, min(len(self.pieces), place + 4)):
            piece = self.pieces[other]
            if piece.kind == "class":
                return True
            if not (piece.has("colour", "property", "light", "with") or piece.kind == "word"):
                return False
        return False

    def state(self, place: int, entry: PropertyWord) -> None:
        denied = self.negated(place)
        value = entry.denied if denied else entry.value
        if self.noun_follows(place + 1) and not (self.subject and self.said_of(place)):
            self.pending.append((entry.property, value))
        elif self.subject:
            self.put(self.subject, entry.property, value)
        self.last = (entry, value, ())
        if value:
            self.used[place] = ("property", "says so")

    def said_of(self, place: int) -> bool:
        """Whether a form of "to be" stands between the subject and the word: "A is insoluble"."""
        return any(self.pieces[other].has("be") for other in range(max(0, place - 3), place))

    def told_liquids(self) -> list[str]:
        """The liquids that something was said to dissolve in or not ("insoluble in both")."""
        keys = dict.fromkeys(key for told in self.given.values() for key in told if key.startswith(SOLUBILITY))
        return [key.removeprefix(SOLUBILITY) for key in keys]

    def with_liquid(self, place: int, entry: PropertyWord) -> None:
        denied = self.negated(place)
        value = entry.denied if denied else entry.value
        liquids: list[str] = []
        other = place + 1
        linked = self.pieces[place].norm.split()[-1] in ("in", "with")
        while other < len(self.pieces) and other < place + 8:
            piece = self.pieces[other]
            if piece.has("in", "with", "by", "to") and piece.kind == "cue":
                linked = True
            elif piece.kind == "name" and piece.name is not None and linked:
                liquids += [piece.name.id] if piece.name.kind == "substance" else []
                self.used[other] = ("property", "the liquid of a told property")
            elif linked and not liquids and piece.norm in ("both", "either", "neither"):
                liquids = self.told_liquids()
                value = entry.denied if piece.norm == "neither" else value
                self.used[other] = ("property", "the liquids told of before")
            elif piece.kind == "letter" and linked and not liquids:
                liquids.append(self.letters.get(piece.norm.upper(), ""))
            elif liquids and (piece.has("join") or (piece.mark and piece.mark in ",/")) and linked:
                after = self.at(other + 1)
                if after is None or after.kind != "name" or after.name is None or self.phase(after.name.id) != "liquid":
                    break
            elif not (
                piece.has("light", "condition", "every", "colour", "pronoun", "strength")
                or piece.kind == "word"
                or piece.has("state")
                or (piece.has("of") and self.pieces[other - 1].has("state"))  # "in an aqueous solution of alkali"
            ):
                break
            other += 1
        liquids = [id for id in liquids if id]
        if entry.value in ("miscible", "immiscible") and not liquids:
            self.pair = "miscible" if value == "miscible" else "insoluble"
            self.used[place] = ("property", "of two liquids")
            return
        if value == "immiscible":
            value = "insoluble"
        if not liquids:
            liquids = (
                list(self.last[2]) if self.last is not None and self.last[2] else self.fluids[:1] or [*self.water()]
            )
        told = [(SOLUBILITY + liquid, value) for liquid in liquids if value]
        if self.noun_follows(place + 1) and not (self.subject and self.said_of(place)):
            self.pending += told
        elif self.subject:
            for key, word in told:
                self.put([id for id in self.subject if SOLUBILITY + id != key], key, word)
            if not self.named:
                self.partners += [id for id in liquids if id not in self.given]
                self.of_the_others(place, told, entry.denied)
        self.last = (entry, value, tuple(liquids))
        self.used[place] = ("property", "solubility")
        if self.subject and not self.named:
            turned = entry.denied if value == entry.value else entry.value
            others = self.otherwise(other)
            for id in others:
                self.put(self.subject, SOLUBILITY + id, "insoluble" if turned == "immiscible" else turned)
            self.partners += others

    def otherwise(self, place: int) -> list[str]:
        """The liquids of "but not in hexane" that begins at a place, of which the denial of what was told is said."""
        end, found = place, list[str]()
        linking = ("but", "join", "negation", "in", "light")
        while end < len(self.pieces) and (self.pieces[end].has(*linking) or (end == place and self.pieces[end].mark == ",")):
            end += 1
        words = self.pieces[place:end]
        if not words or not words[-1].has("in") or not any(one.has("negation") for one in words):
            return []
        for other in range(end, len(self.pieces)):
            piece = self.pieces[other]
            if piece.kind == "name" and piece.name is not None and self.phase(piece.name.id) == "liquid":
                found.append(piece.name.id)
                self.used[other] = ("property", "the liquid of a told property")
            elif not piece.has("join"):
                break
        self.used.update({other: ("property", "denies what was told before") for other in range(place, end) if found})
        return found

    def of_the_others(self, place: int, told: Sequence[tuple[str, str]], denied: str) -> None:
        """What is told of only some is denied of the others."""
        others = [id for id in self.given if id not in self.subject]
        if not others or not denied or not self.leaves_out(place):
            return
        for id in others:
            for key, _ in told:
                self.given[id].setdefault(key, denied)
            self.inferred.append(f"{self.given[id]['name']} is taken not to be so, since only others are said to be")

    def ellipsis(self, place: int) -> None:
        """ "A dissolves in water, B does not": the denial of what was told last."""
        if self.last is None or self.at(place - 1) is None or not self.subject or self.named:
            return
        entry, value, liquids = self.last
        after = self.at(place + 1)
        if after is not None and not (after.mark or after.has("but", "join")):
            return
        told = entry.denied if value == entry.value else entry.value
        told = "insoluble" if told == "immiscible" else told
        for liquid in liquids:
            self.put(self.subject, SOLUBILITY + liquid, told)
        if not liquids and told:
            self.put(self.subject, entry.property, told)
        self.used[place] = ("property", "denies what was told before")

    def read(self) -> Told:
        for place, piece in enumerate(self.pieces):
            if place in self.taken or place in self.used:
                continue
            if piece.kind == "letter":
                self.letter(place)
            elif piece.kind == "class":
                self.class_noun(place)
                if piece.has("property") and place not in self.subjects:
                    self.predicate(place)
            elif piece.kind == "name":
                self.subject, self.named = ((piece.name.id,) if piece.name is not None else ()), True
            elif piece.has("second_of") and len(self.given) > 1:
                self.subject, self.named = (list(self.given)[1],), False
                self.elliptic(place)
            elif piece.has("first_of") and len(self.given) > 1:
                self.subject, self.named = (next(iter(self.given)),), False
            elif piece.norm == "it" and self.given and self.named:
                after = self.at(place + 1)
                if after is not None and after.has("property"):
                    self.subject, self.named = (next(iter(self.given)),), False
            elif piece.norm in ("both", "each", "neither", "they", "all", "none") and len(self.given) > 1:
                self.subject, self.named = tuple(self.given), False
            elif piece.has("property"):
                self.property(place)
            elif piece.has("negation") and piece.norm == "not":
                self.ellipsis(place)
            elif piece.norm in ("mix", "mixe") and piece.cues.get("verb") == "add" and len(self.given) > 1:
                before = self.at(place - 1)
                if self.negated(place) or (before is not None and before.has("pronoun", "every", "light", "which")):
                    self.pair = "insoluble" if self.negated(place) else "miscible"
                    self.used[place] = ("property", "of two liquids")
            if piece.mark in (".", ";", "?"):
                self.pending.clear()
        return self.finish()

    def elliptic(self, place: int) -> None:
        """ "one boils at 40 °C, the other at 150 °C"."""
        for other in range(place + 1, min(len(self.pieces), place + 4)):
            piece = self.pieces[other]
            if piece.dimension == "temperature" and self.measured is not None:
                self.number(self.subject, self.measured, piece, other)
                return

    def predicate(self, place: int) -> None:
        """ "A is a white solid"."""
        if self.subject and not self.named and self.said_of(place):
            noun = self.noun_of(self.pieces[place])
            if noun is not None:
                for property, value in noun.told.items():
                    self.put(self.subject, property, value)
                self.used[place] = ("property", "what a letter is")

    def finish(self) -> Told:
        given = self.given
        if self.pair:
            fluid = [id for id, told in given.items() if told.get("phase", "liquid") == "liquid"]
            for id in fluid:
                for other in fluid:
                    if other != id:
                        self.put((id,), SOLUBILITY + other, self.pair)
                given[id]["phase"] = "liquid"
        for told in given.values():
            if "phase" not in told:
                self.infer(told)
        found = (given, self.subjects, self.used, tuple(self.inferred), tuple(dict.fromkeys(self.partners)))
        return Told(*found, frozenset(self.tentative))

    def infer(self, told: dict[str, str]) -> None:
        """The phase of something of which only its boiling point or its solubility is told, as anybody reads it."""
        if "boiling_point" in told and "melting_point" not in told:
            try:
                boils = parse_range(told["boiling_point"], "temperature")[0]
            except QuantityError:
                return
            told["phase"] = "liquid" if boils > ROOM_TEMPERATURE else "gas"
            what = "since only its boiling point is given"
            self.inferred.append(f"{told['name']} is taken to be a {told['phase']}, {what}")
        elif any(key.startswith(SOLUBILITY) and value != "miscible" for key, value in told.items()) or (
            {"sublimes", "magnetic", "melting_point"} & told.keys()
        ):
            told["phase"] = "solid"
            self.inferred.append(f"{told['name']} is taken to be a solid")


def _quantity(piece: Piece, dimension: str) -> str:
    """The number as text in its own unit, or in the usual one if none was written."""
    unit, low, high = piece.unit, piece.number, piece.high
    if piece.dimension:
        _, factor, offset = UNITS[unit]
        low, high = (low - offset) / factor, (high - offset) / factor
    else:
        unit = _USUAL_UNIT.get(dimension, "")
    low, high = round(low, 9), round(high, 9)
    return f"{low:.10g} {unit}" if low == high else f"{low:.10g} to {high:.10g} {unit}"


def read_properties(
    pieces: Sequence[Piece], taken: Mapping[int, tuple[str, str]], table: Table, words: Lexicon
) -> Told:
    """What is told of substances without a name. taken: pieces that have a role already."""
    return _Teller(pieces, taken, table, words).read()


def shown(told: Told) -> str:
    """What is told, a line for each substance."""
    return "\n".join(
        f"{id}: " + ", ".join(f"{key} {value}" for key, value in said.items()) for id, said in told.given.items()
    )
