"""Substances without a name, described in the question: "a liquid A (b.p. 60 °C) that does not mix with water"."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from choosemethod.mixture import Question
from choosemethod.quantity import ROOM_TEMPERATURE, QuantityError, parse_number, parse_range
from choosemethod.reading.items import Item
from choosemethod.reading.language import Language
from choosemethod.table import Substance, Table, Value, normalise
from choosemethod.table.model import Solubility

__all__ = ["SOLUBILITY", "Described", "describe", "given_substances", "substances_of"]

SOLUBILITY = "solubility: "  # a key "solubility: water" of a description holds a word of the solubility scale
UNKNOWN = "unknown"
_OPPOSITE = {
    "yes": "no",
    "no": "yes",
    "strongly": "no",
    "soluble": "insoluble",
    "insoluble": "soluble",
    "very soluble": "insoluble",
}
_NUMBERS = {
    "boiling_point",
    "melting_point",
    "decomposes_at",
    "sublimes_at",
    "density",
    "particle_size",
    "flash_point",
    "pka",
}
_DIMENSION = {"density": "density", "particle_size": "length", "pka": "pure number"}
_USUAL_UNIT = {"temperature": "°C", "density": "g/cm3", "length": "mm"}
_ELLIPSIS = {normalise(words) for words in ("does", "does not", "doesn't", "is not", "isn't", "do not", "don't")}


@dataclass(slots=True)
class Described:
    """What a question says of substances without a name.

    given: id -> property -> value text; inferred: sentences about what was taken for granted;
    partners: ids of liquids a described substance was compared with.
    """

    given: dict[str, dict[str, str]] = field(default_factory=dict)
    inferred: list[str] = field(default_factory=list)
    partners: list[str] = field(default_factory=list)
    tentative: set[str] = field(default_factory=set)


def _dissolved(item: Item) -> bool:
    """Whether an item says that something is a solution: a word, or the name of a mixture that is one."""
    return item.has("state") or (item.name is not None and item.name.kind == "mixture")


def _gap(item: Item, weak: bool = False) -> None:
    item.kind, item.sort = "gap", "weak" if weak else ""


class _Describer:
    def __init__(self, items: list[Item], table: Table, language: Language) -> None:
        self.table = table
        self.language = language
        self.found = Described()
        self.letters: dict[str, str] = {}
        self.subject: list[str] | None = None
        self.noun = ("substance", "any")
        self.last: tuple[str, str, tuple[str, ...]] | None = None  # property, value, liquids
        self.measured = ""
        self.pair = ""
        self.pending: list[tuple[str, str]] = []
        flat = list(_flat(items))
        self.formulae = any(item.sort == "formula" and len(item.text) > 1 for item in flat)
        self.liquids = [item.name.id for item in flat if item.name is not None and self.phase(item.name.id) == "liquid"]
        self.names = any(item.name is not None and not _lettered(item) for item in flat)

    def phase(self, id: str) -> str:
        return self.table.substance(id).phase if self.table.has(id) else ""

    # Creating described substances.

    def make(self, id: str, name: str, phase: str, tentative: bool = False) -> str:
        if id not in self.found.given:
            self.found.given[id] = {"name": name}
            if phase != "any":
                self.found.given[id]["phase"] = phase
            if tentative:
                self.found.tentative.add(id)
        for property, value in self.pending:
            self.found.given[id][property] = value
        self.pending.clear()
        return id

    def letter(self, items: list[Item], place: int) -> bool:
        """Whether a single letter (or a number after "liquid") stands for a substance here."""
        item = items[place]
        before = _before(items, place)
        after = _after(items, place)
        noun = before is not None and before.has("unnamed") and before.kind == "phrase"
        if item.kind == "number" and not item.dimension:
            return (
                noun
                and item.number < 10
                and item.number == int(item.number)
                and not (after is not None and after.kind == "name")
            )
        if len(item.text) != 1 or not item.text.isalpha() or item.text in ("I", "a", "i"):
            return False
        if item.text.islower():
            return noun and item.text in "bcdpqrstuvwxyz"
        if noun:
            return True
        if before is not None and (before.kind == "unknown" or (before.kind == "name" and not _lettered(before))):
            return False
        if item.sort == "formula" and self.formulae:
            return False
        if after is None or after.kind in ("mark", "bracket", "gap"):
            return True
        if after.kind == "phrase" and after.has("property", "join", "from", "with", "in", "not_before", "into", "tail"):
            return True
        return after.kind == "phrase" and after.has("soft") and after.norm != "that"

    def walk(self, items: list[Item]) -> None:
        place = 0
        while place < len(items):
            item = items[place]
            if item.kind == "bracket":
                subject = self.subject
                self.walk(item.items)
                self.subject = subject
            elif self.letter(items, place):
                self.lettered(items, place)
            elif item.kind == "phrase" and item.has("number_words") and self.counted(items, place):
                pass
            elif item.has("property") and item.kind == "phrase":
                self.property(items, place)
            elif item.has("unnamed_impurity", "unnamed") and item.kind == "phrase" and self.unnamed(items, place):
                pass
            elif item.kind == "phrase" and item.has("second_of") and len(self.found.given) > 1:
                self.subject = [list(self.found.given)[1]]
                self.elliptic_number(items, place)
                _gap(item)
            elif item.kind == "phrase" and item.has("first_of") and len(self.found.given) > 1:
                self.subject = [next(iter(self.found.given))]
                _gap(item)
            elif item.kind == "phrase" and item.has("each_of", "none_of") and len(self.found.given) > 1:
                self.subject = list(self.found.given)
            elif item.kind == "name":
                self.subject = None
            elif item.mark in (".", ";", "?"):
                self.pending.clear()
            place += 1

    def lettered(self, items: list[Item], place: int) -> None:
        item, before = items[place], _before(items, place)
        sign = item.text
        if before is not None and before.has("unnamed") and before.kind == "phrase":
            self.noun = (before.norm.split()[-1], before.roles["unnamed"])
            _gap(before)
        id = self.letters.get(sign)
        if id is None:
            noun, phase = self.noun
            id = self.make(f"{noun}-{sign.lower()}", f"{noun} {sign.upper()}", phase)
            self.letters[sign] = id
        item.kind, item.norm, item.name, item.roles = "given", id, None, {}
        self.subject = [id]
        follow = _after(items, place)
        if follow is not None and follow.kind == "bracket":
            self.bare_temperature(follow.items, id)
        elif follow is not None and follow.kind == "phrase" and follow.has("tail"):
            self.elliptic_number(items, place)

    def bare_temperature(self, items: list[Item], id: str) -> None:
        """A bracket with nothing but a temperature gives the boiling point, if others were given boiling points so."""
        real = [item for item in items if item.kind != "gap"]
        if len(real) == 1 and real[0].kind == "number" and real[0].dimension == "temperature" and self.measured:
            self.put([id], self.measured, _quantity(real[0], "temperature"))
            _gap(real[0])

    def counted(self, items: list[Item], place: int) -> bool:
        """ "two liquids ...": described substances for each, kept only if something is said of them."""
        noun = place + 1
        while (
            noun < len(items)
            and items[noun].kind == "phrase"
            and not items[noun].has("unnamed")
            and items[noun].has("filler", "colour", "property")
        ):
            noun += 1
        if (
            noun >= len(items)
            or not items[noun].has("unnamed")
            or items[noun].kind != "phrase"
            or not items[noun].plural
        ):
            return False
        follow = _after(items, noun)
        each = self.said_of_each(items[noun:])
        if follow is not None and (
            (follow.mark == ":" and not each)
            or (len(follow.text) == 1 and follow.text.isupper())
            or follow.kind == "bracket"
        ):
            return False
        how_many = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5}.get(items[place].roles["number_words"], 0)
        if how_many < 2 or (self.names and not each):
            return False
        word, phase = items[noun].norm.split()[-1], items[noun].roles["unnamed"]
        ids = [
            self.make(f"{word}-{sign}", f"{word} {sign.upper()}", phase, tentative=True) for sign in "abcde"[:how_many]
        ]
        for item in items[place:noun]:
            if item.has("property"):
                continue  # "two miscible liquids": met again by walk
            _gap(item)
        items[noun].kind, items[noun].norm, items[noun].roles = "given", " ".join(ids), {}
        self.subject = ids
        return True

    @staticmethod
    def said_of_each(items: list[Item]) -> bool:
        return any(item.kind == "phrase" and item.has("second_of") for item in items)

    def unnamed(self, items: list[Item], place: int) -> bool:
        """ "a white solid", "an unknown liquid", "insoluble impurities": a described substance of its own."""
        item = items[place]
        before, after = _before(items, place), _after(items, place)
        if before is not None and before.kind in ("name", "given", "unknown"):
            return False
        if after is not None and (
            after.kind == "name" or after.has("of") or self.letter(items, items.index(after, place))
        ):
            return False
        colour, known, start = "", False, place - 1
        while (
            start >= 0
            and items[start].kind == "phrase"
            and items[start].has("filler", "colour")
            and not items[start].has("join", "soft")
        ):
            if items[start].has("colour"):
                colour = f"{items[start].text.lower()} {colour}".strip()
            known = known or items[start].norm in ("unknown", "unlabelled", "certain", "mystery")
            start -= 1
        impurity = item.has("unnamed_impurity")
        is_told = after is not None and after.kind == "phrase" and after.has("property") and self.tells(after)
        if after is not None and after.kind == "bracket" and any(inner.has("property") for inner in after.items):
            is_told = True
        alone = not known and not impurity and not item.plural
        if is_told and alone and self.of_name(items, start, item.roles["unnamed"]):
            self.subject = None
            _gap(item)
            return True
        noun = item.norm.split()[-1]
        again = next((id for id in self.found.given if id.split("-")[-1] == noun and not self.found.tentative), "")
        if again and not colour:
            item.kind, item.norm, item.roles = "given", again, {}
            self.subject = [again]
            return True
        of = self.predicate(items, place)
        if of:
            told = self.found.given[of]
            if item.roles.get("unnamed", "any") != "any":
                told["phase"] = item.roles["unnamed"]
            colours = [
                other.text.lower()
                for other in items[max(0, place - 3) : place]
                if other.kind == "phrase" and other.has("colour")
            ]
            if colours:
                told["colour"] = " ".join(colours)
            for property, value in self.pending:
                told[property] = value
            self.pending.clear()
            self.subject = [of]
            _gap(item)
            return True
        if self.wished(items, place):
            return False
        grains = item.has("piece")  # "white crystals": one substance in many pieces
        if grains and item.plural and any(map(_dissolved, items[: max(place - 1, 0)])):
            return False  # "nickel sulfate solution, green crystals": they are what it is to give
        described = colour or known or is_told or self.pending or impurity
        if not described or (item.plural and not impurity and not grains):
            return False
        if impurity:
            id = self.make("impurity", item.text.lower(), "solid")
        else:
            name = f"{colour or ('unknown' if known else '')} {item.text.lower() if grains else noun}".strip()
            id = self.make(normalise(name).replace(" ", "-"), name, item.roles["unnamed"])
            if colour:
                self.found.given[id]["colour"] = colour
        item.kind, item.norm, item.roles = "given", id, {"unnamed_impurity": ""} if impurity else {}
        self.subject = [id]
        return True

    def of_name(self, items: list[Item], comma: int, phase: str) -> bool:
        """Whether the noun after the comma says what a name before it is: "glycerol, a liquid that ..."."""
        if comma < 1 or items[comma].mark != "," or comma + 1 >= len(items) or items[comma + 1].has("unnamed"):
            return False
        name = _before(items, comma)
        if name is None or name.kind != "name" or name.name is None:
            return False
        if any(item.kind in ("name", "given") and item is not name for item in items[:comma]):
            return False  # "sand, salt, a white powder that ...": one more of a list
        return phase in ("any", self.phase(name.name.id))

    @staticmethod
    def wished(items: list[Item], place: int) -> bool:
        """Whether the noun stands in a wish ("want nice blue crystals", "blue crystals wanted")."""
        for item in reversed(items[:place]):
            if item.mark in (".", ";", "?", ":", "-") and item.mark:
                break
            if item.mark == ">" or (item.kind == "phrase" and item.has("want", "remove")):
                return True
        after = _after(items, place)
        return after is not None and after.kind == "phrase" and after.has("wanted")

    def predicate(self, items: list[Item], place: int) -> str:
        """Id of the described substance of which the noun is said ("A is a white powder"), or ""."""
        seen = False
        for item in reversed(items[:place]):
            if item.kind == "given" and seen:
                return item.norm if " " not in item.norm else ""
            if item.kind != "phrase" or not item.has("filler", "colour", "soft") or item.has("join"):
                return ""
            seen = seen or item.norm in ("is", "was")
        return ""

    def tells(self, item: Item) -> bool:
        entry = self.language.properties[item.roles["property"]]
        return entry["kind"] in ("measured", "with_liquid", "stated") or item.norm not in _ELLIPSIS

    # Properties.

    def put(self, ids: list[str], property: str, value: str) -> None:
        for id in ids:
            self.found.given[id][property] = value
            self.found.tentative.discard(id)

    def property(self, items: list[Item], place: int) -> None:
        item = items[place]
        entry = self.language.properties[item.roles["property"]]
        kind = entry["kind"]
        if kind == "measured":
            self.measure(items, place, entry)
        elif kind == "with_liquid":
            self.with_liquid(items, place, entry["value"])
        elif kind == "stated":
            self.state(items, place, entry)
        elif kind == "pair":
            if item.norm not in ("",):
                self.pair = entry["value"]
            if len(self.found.given) > 1 or not item.has("filler"):
                _gap(item)
        else:
            self.bare(items, place, entry["value"])

    def measure(self, items: list[Item], place: int, entry: dict[str, str] | object) -> None:
        assert isinstance(entry, dict)
        dimension, property = entry["dimension"], entry["property"]
        numbers: list[Item] = []
        used = [items[place]]
        following = place + 1
        while following < len(items) and following < place + 12:
            item = items[following]
            if item.kind == "number" and (
                item.dimension in ("", dimension) or (dimension == "temperature" and item.dimension == "")
            ):
                numbers.append(item)
                used.append(item)
            elif (
                numbers
                and (item.has("join") or item.mark == ",")
                and following + 1 < len(items)
                and items[following + 1].kind == "number"
            ):
                used.append(item)
            elif numbers or not (
                item.kind in ("gap",)
                or item.mark in (":", ",")
                or (item.kind == "phrase" and item.has("filler", "of", "soft", "tail"))
            ):
                break
            following += 1
        if not numbers:
            return
        self.measured = property
        self.last = None
        values = [_quantity(number, dimension) for number in numbers]
        if self.subject:
            if len(self.subject) == len(values):
                for id, value in zip(self.subject, values, strict=True):
                    self.put([id], property, value)
            elif len(values) == 1:
                self.put(self.subject, property, values[0])
            elif len(self.found.given) == len(values):
                for id, value in zip(self.found.given, values, strict=True):
                    self.put([id], property, value)
        elif self.next_unnamed(items, following):
            self.pending.append((property, values[0]))
        for item in used:
            _gap(item, weak=not self.subject)

    @staticmethod
    def next_unnamed(items: list[Item], place: int) -> bool:
        return place < len(items) and items[place].kind == "phrase" and items[place].has("unnamed", "unnamed_impurity")

    def elliptic_number(self, items: list[Item], place: int) -> None:
        """ "one boils at 40 °C, the other at 150 °C": the second number belongs to the same property."""
        for item in items[place + 1 : place + 4]:
            if item.kind == "number" and item.dimension == "temperature" and self.measured and self.subject:
                self.put(self.subject, self.measured, _quantity(item, "temperature"))
                _gap(item)
                return
            if item.kind not in ("gap", "phrase") or item.has("property"):
                return

    def state(self, items: list[Item], place: int, entry: dict[str, str] | object) -> None:
        assert isinstance(entry, dict)
        item = items[place]
        if self.next_unnamed(items, _skip(items, place + 1)) and not self.subject_here(items, place):
            self.pending.append((entry["property"], entry["value"]))
        elif self.subject:
            self.put(self.subject, entry["property"], entry["value"])
            self.last = (entry["property"], entry["value"], ())
        elif item.has("technique", "filler") or entry["property"] == "phase":
            return  # "use a magnetic ...": not a property of anything here
        else:
            self.last = (entry["property"], entry["value"], ())
        _gap(item)

    @staticmethod
    def subject_here(items: list[Item], place: int) -> bool:
        before = _before(items, place)
        return before is not None and before.kind == "given"

    def with_liquid(self, items: list[Item], place: int, value: str) -> None:
        used, liquids = [items[place]], list[str]()
        following = place + 1
        while following < len(items):
            item = items[following]
            if item.kind == "name" and item.name is not None and item.name.kind == "substance":
                liquids.append(item.name.id)
                used.append(item)
            elif item.kind == "given" and not liquids:
                liquids.append(item.norm)
            elif self.letter(items, following) and not liquids:
                self.lettered(items, following)
                liquids.append(items[following].norm)
                used.append(items[following])
                self.subject = [other for other in self.found.given if other != items[following].norm][:1]
            elif (
                liquids
                and (item.has("join") or item.mark in ",/")
                and following + 1 < len(items)
                and items[following + 1].kind == "name"
                and not self.letter(items, following + 1)
                and item.mark != ","
            ) or (not liquids and item.kind == "phrase" and item.has("filler") and not item.has("join")):
                used.append(item)
            else:
                break
            following += 1
        if not liquids:
            liquids = self.liquids[:1] or self.assumed()
        if self.subject:
            for liquid in liquids:
                for id in self.subject:
                    if id != liquid:
                        self.put([id], SOLUBILITY + liquid, value)
            self.found.partners += [liquid for liquid in liquids if liquid not in self.found.given]
        elif self.found.given and not self.names_before(items, place):
            for liquid in liquids:
                self.put(list(self.found.given)[:1], SOLUBILITY + liquid, value)
        self.last = ("solubility", value, tuple(liquids))
        for item in used:
            if item.kind != "given":
                _gap(item, weak=not self.subject)

    @staticmethod
    def names_before(items: list[Item], place: int) -> bool:
        return any(item.kind == "name" for item in items[:place])

    def assumed(self) -> list[str]:
        name = self.table.name(self.language.assumed_liquid)
        return [] if name is None else [name.id]

    def bare(self, items: list[Item], place: int, value: str) -> None:
        """ "Q does not", "it dissolved", "is insoluble": no liquid is named."""
        item = items[place]
        subject = self.subject
        if item.norm in _ELLIPSIS:
            if self.last is None:
                return
            property, before, liquids = self.last
            negative = value == "insoluble"
            told = before if not negative else _OPPOSITE.get(before, "")
            if negative and before in ("no", "insoluble"):
                told = before
            elif not negative and before in ("no", "insoluble"):
                told = _OPPOSITE[before]
            if subject and told:
                for liquid in liquids:
                    self.put(subject, SOLUBILITY + liquid, told)
                if not liquids:
                    self.put(subject, property, told)
            _gap(item, weak=not subject)
            return
        after = _skip(items, place + 1)
        if self.next_unnamed(items, after) and not self.subject_here(items, place):
            self.pending += [(SOLUBILITY + liquid, value) for liquid in self.assumed()]
            _gap(item)
            return
        if not subject and self.found.given and item.norm.startswith("it "):
            subject = [next(iter(self.found.given))]
        if not subject:
            return
        liquids = self.last[2] if self.last is not None and self.last[2] else tuple(self.liquids[:1] or self.assumed())
        for liquid in liquids:
            self.put(subject, SOLUBILITY + liquid, value)
        self.last = ("solubility", value, liquids)
        _gap(item)

    def finish(self) -> Described:
        given = self.found.given
        if self.pair:
            fluid = [id for id, told in given.items() if told.get("phase", "liquid") == "liquid"]
            for id in fluid:
                for other in fluid:
                    if other != id:
                        self.put([id], SOLUBILITY + other, self.pair)
                given[id]["phase"] = "liquid"
        for told in given.values():
            if "phase" not in told:
                self.infer(told)
        return self.found

    def infer(self, told: dict[str, str]) -> None:
        """The phase of something of which only its boiling point or its solubility is told, as anybody reads it."""
        if "boiling_point" in told and "melting_point" not in told:
            try:
                boils = parse_range(told["boiling_point"], "temperature")[0]
            except QuantityError:
                return
            told["phase"] = "liquid" if boils > ROOM_TEMPERATURE else "gas"
            self.found.inferred.append(
                f"{told['name']} is taken to be a {told['phase']}, since only its boiling point is given"
            )
        elif any(
            key.startswith(SOLUBILITY) and value in ("soluble", "insoluble", "very soluble", "slightly soluble")
            for key, value in told.items()
        ) or ({"sublimes", "magnetic", "melting_point"} & told.keys()):
            told["phase"] = "solid"
            self.found.inferred.append(f"{told['name']} is taken to be a solid")


def _flat(items: list[Item]) -> list[Item]:
    found: list[Item] = []
    for item in items:
        found.append(item)
        if item.items:
            found += _flat(item.items)
    return found


def _lettered(item: Item) -> bool:
    return len(item.text) == 1


def _before(items: list[Item], place: int) -> Item | None:
    place -= 1
    while place >= 0 and items[place].kind == "gap":
        place -= 1
    return items[place] if place >= 0 else None


def _after(items: list[Item], place: int) -> Item | None:
    place += 1
    while place < len(items) and items[place].kind == "gap":
        place += 1
    return items[place] if place < len(items) else None


def _skip(items: list[Item], place: int) -> int:
    """Place of the next item that is no colour, filler or gap."""
    while place < len(items) and (
        items[place].kind == "gap"
        or (items[place].kind == "phrase" and items[place].has("colour", "filler") and not items[place].has("unnamed"))
    ):
        place += 1
    return place


def _number(value: float) -> str:
    return f"{value:.10g}"


def _quantity(item: Item, dimension: str) -> str:
    """The number as text in its own unit, or in the usual one if none was written."""
    if not item.dimension:
        unit = _USUAL_UNIT.get(dimension, "")
        low, high = item.number, item.high
    else:
        from choosemethod.quantity import UNITS

        unit = item.unit
        _, factor, offset = UNITS[unit]
        low, high = (item.number - offset) / factor, (item.high - offset) / factor
    low, high = round(low, 9), round(high, 9)
    return f"{_number(low)} {unit}" if low == high else f"{_number(low)} to {_number(high)} {unit}"


def describe(items: list[Item], table: Table, language: Language) -> Described:
    """Take descriptions out of the items (they become gaps) and put described substances in their place."""
    describer = _Describer(items, table, language)
    describer.walk(items)
    return describer.finish()


def _value(property: str, text: str) -> Value | None:
    dimension = _DIMENSION.get(property, "temperature")
    if property not in _NUMBERS:
        return Value(property, text, "given", words=(text,))
    try:
        low, high = (parse_number(text, dimension),) * 2 if dimension == "pure number" else parse_range(text, dimension)
    except QuantityError:
        return None
    return Value(property, text, "given", number=low, high=high)


def substances_of(given: dict[str, dict[str, str]]) -> dict[str, Substance]:
    """Substances for descriptions (id -> property -> value text); every value has the source "given"."""
    found: dict[str, Substance] = {}
    for id, told in given.items():
        values: dict[str, Value] = {}
        solubility: dict[str, Solubility] = {}
        for property, text in told.items():
            if property.startswith(SOLUBILITY):
                liquid = property[len(SOLUBILITY) :]
                try:
                    much = parse_number(text, "solubility")
                    solubility[liquid] = Solubility(liquid, "", "given", ((ROOM_TEMPERATURE, much),))
                except QuantityError:
                    solubility[liquid] = Solubility(liquid, text, "given")
            elif property not in ("name", "phase", "kind", "classes", "formula"):
                value = _value(property, text)
                if value is not None:
                    values[property] = value
        classes = tuple(word for word in re.split(r",\s*", told.get("classes", "")) if word)
        found[id] = Substance(
            id=id,
            name=told.get("name", id.replace("-", " ")),
            phase=told.get("phase", UNKNOWN),
            kind=told.get("kind", ""),
            formula=told.get("formula", ""),
            classes=classes,
            values=values,
            solubility=solubility,
            given=True,
        )
    return found


def given_substances(question: Question) -> dict[str, Substance]:
    """The substances a question describes, as the table would hold them, each value with the source "given"."""
    return substances_of(question.given)
