"""What the entries of substances and sources hold, and how they become the table's model."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Mapping
from typing import Any

from choosemethod.data import (
    FAULTY,
    SOURCE,
    Entry,
    Listed,
    Names,
    Number,
    Plain,
    Reading,
    Record,
    Ref,
    Span,
    Spec,
    Table,
    Text,
    Word,
)
from choosemethod.quantity import ROOM_TEMPERATURE
from choosemethod.table.model import ReagentEntry, Solubility, Source, Substance, Value, VapourPressure
from choosemethod.table.names import normalise
from choosemethod.table.schema import Property, Schema
from choosemethod.yamltext import Block, Node

__all__ = ["ALSO", "SOURCES", "SUBSTANCE", "Known", "Substances", "merged"]

PHASES = ("solid", "liquid", "gas")
OF = ("anhydrous", "hydrate")
SOURCE_KINDS = (
    "handbook", "paper", "book", "standard", "dataset", "web", "computation", "estimate", "class", "practice", "memory",
    "given",
)  # fmt: skip


class Known(Names):
    """Substances that may be referred to: their ids, and the id each normalised name stands for."""

    __slots__ = ()

    def __init__(self, ids: frozenset[str] = frozenset(), names: Mapping[str, str] | None = None) -> None:
        by_name = names or {}
        super().__init__(ids, lambda text: text if text in ids else by_name.get(normalise(text), ""))


SUBSTANCE = Ref("substance", noun="id or name of a substance", mend="the id of a substance of the table, or add {text}")
ALSO = Listed(Text(), empty=())
SOURCES = Table(
    Record(
        "a source",
        {
            "title": Text(example='"author, title, edition or year"'),
            "kind": Word(SOURCE_KINDS),
            "note?": Text(),
        },
        make=lambda one: Source(one.what, one["title"], one["kind"]),
        shape=("the source {what} has no title", '{what}: {title: "FULL ENTRY", kind: handbook}'),
    )
)

# The parts of a value.
_AGREES = Listed(SOURCE)
_BESIDES = Table(Listed(Text()), key=SOURCE, least=1)
_NO_SOURCE = ("{what} has no source", "{what}: {is: {written}, source: KEY}")


def _second(one: Entry) -> tuple[str, ...]:
    agrees: tuple[str, ...] = one["agrees"]
    if one["source"] in agrees:
        one.fault("agrees", f"{one['source']!r} is no second source", "agrees: a source other than the first")
    return agrees


def _value(one: Entry, form: str) -> Value:
    found, text, note = one["is"], str(one.block["is"]), one["note"]
    besides = tuple(one["besides"].items())
    words: tuple[str, ...] = ()
    low, high = found if form == "range" else (found, found) if form == "number" else (None, None)
    if form == "words":
        words = tuple(dict.fromkeys((*found, *(word for _, more in besides for word in more))))
        text = ", ".join(words)
    elif form == "word":
        words = (found,)
    if one["plus_minus"] is not None:
        spread = f"± {one.block['plus_minus']}"
        note = f"{note}; {spread}" if note else spread
    return Value(
        one.what, text, one["source"], low, high, words, one["at"], one["of"], note, one.file.shown, one.line,
        one["row"], _second(one), besides,
    )  # fmt: skip


def _value_spec(prop: Property, statements: bool) -> Record:
    """A value of a property; statements: whether the codes of hazard statements are known."""
    what, form, dimension = prop.name, prop.form, prop.dimension
    value: Spec
    if form == "number":
        value = Number(dimension)
    elif form == "range":
        value = Span(dimension)
    elif form == "text":
        value = Text()
    else:
        noun, put = f"word for {what}", f"{what}: {{is: {{word}}, source: ...}}"
        one_word = Word(prop.words, noun=noun, put=put) if prop.words else Ref("statement", noun=noun)
        value = one_word if form == "word" else Listed(one_word, example="[]")
    value.lacking, value.give = "{what} has no value", f"{{what}}: {{is: {value.example}, source: KEY}}"
    spread = "temperature difference" if dimension == "temperature" else dimension
    return Record(
        "a value",
        {
            "is": value,
            "source": SOURCE,
            "row?": Text(),
            "agrees?": _AGREES,
            "besides?": _BESIDES,
            "at?": Number("pressure", "temperature", example="56.1 °C"),
            "of?": Word(OF, empty=""),
            "note?": Text(),
            "plus_minus?": Number(spread) if spread else Text(empty=None),
        },
        make=lambda one: _value(one, form),
        named=True,
        shape=_NO_SOURCE,
    )


class _Dissolved(Text):
    """A word of solubility, or an amount: (word, None) or ("", SI value)."""

    def __init__(self, words: tuple[str, ...]) -> None:
        super().__init__(empty=("", None), example=words[0] if words else "WORD")
        self.word = Word(words, noun="word of solubility", put="{word}")
        self.amount = Number("solubility")

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        if not text.lstrip("-").split(".")[0].split(" ")[0].isdigit():
            found = self.word.convert(text, line, what, file)
            return found if found is FAULTY else (found, None)
        found = self.amount.convert(text, line, what, file)
        return found if found is FAULTY else ("", found)


def _solubility(one: Entry) -> Any:
    if "is" not in one and "curve" not in one:
        return one.fault("is", f"{one.what} has no value", "NAME OF THE LIQUID: {is: soluble, source: KEY}")
    word, amount = one["is"]
    if word and "curve" in one:
        return one.fault("is", f"{one.what} has a word and a curve", "one of the two")
    points = _points(one) if "curve" in one else ()
    if amount is not None:
        points = (*points, (ROOM_TEMPERATURE if one["at"] is None else one["at"], amount))
    agrees = _second(one)
    if not one.sound:
        return FAULTY
    return Solubility(
        "", word, one["source"], points, one["of"], one["note"], one.file.shown, one.line, one["row"], agrees
    )


_CURVE = "curve: {0 °C: 13.6, 20 °C: 31.9}, unit: g/100 g"


def _points(one: Entry) -> tuple[tuple[float, float], ...]:
    """The points of a curve, in K and kg/kg; its unit stands beside it."""
    if "unit" not in one:
        one.fault("unit", "unit is missing", "unit: g/100 g")
        return ()
    before = len(one.file.problems)
    curve, what = one["curve"], f"{one.what}, curve"
    points = tuple(
        (temperature, _AMOUNT.read(f"{amount} {one['unit']}", one.at("curve"), what, one.file))
        for temperature, amount in curve.items()
    )
    one.sound = len(one.file.problems) == before
    if any(low >= high for (low, _), (high, _) in itertools.pairwise(points)):
        one.fault("curve", f"the temperatures of {one.what} do not rise", _CURVE)
    return points


_AMOUNT = Number("solubility")


def _by_solvent(found: dict[str, Solubility], block: Block, file: Reading) -> dict[str, Solubility]:
    return {solvent: entry._replace(solvent=solvent) for solvent, entry in found.items()}


def _solubility_spec(prop: Property) -> Table:
    return Table(
        Record(
            "a solubility",
            {
                "is?": _Dissolved(prop.words),
                "curve?": Table(Text(), key=Number("temperature"), least=1, example=_CURVE[7:]),
                "unit?": Text(),
                "at?": Number("temperature"),
                "of?": Word(OF, empty=""),
                "note?": Text(),
                "source": SOURCE,
                "row?": Text(),
                "agrees?": _AGREES,
            },
            make=_solubility,
            named=True,
            shape=_NO_SOURCE,
        ),
        key=SUBSTANCE,
        called="the solubility in {name}",
        make=_by_solvent,
    )


def _vapour_pressure(one: Entry) -> Any:
    if one["from"] > one["to"]:
        write = f"from: {one.block['to']}, to: {one.block['from']}"
        return one.fault("from", f"{one.what}: from lies above to", write)
    return VapourPressure(*(one[key] for key in ("A", "B", "C", "from", "to", "source", "note")))


VAPOUR_PRESSURE = Record(
    "a vapour pressure",
    {
        "equation": Word(("antoine",), noun="vapour-pressure equation"),
        "A": Plain(example="9.2"),
        "B": Plain(example="1210.6"),
        "C": Plain(example="-43.5"),
        "from": Number("temperature", example="-10 °C"),
        "to": Number("temperature", example="80 °C"),
        "source": SOURCE,
        "note?": Text(),
    },
    make=_vapour_pressure,
    named=True,
    shape=_NO_SOURCE,
)


def _reagent_spec(prop: Property) -> Table:
    yes, no = prop.words[:2]
    return Table(
        Record(
            f"an entry of {prop.name}",
            {
                "is": Word(prop.words, noun=f"word for {prop.name}"),
                "gives?": Text(),
                "gas?": SUBSTANCE,
                "note?": Text(),
                "solid?": Text(example="AgCl"),
                "solubility_product?": Plain(example="1.8e-10"),
                "source": SOURCE,
            },
            make=lambda one: ReagentEntry(
                "",
                {yes: True, no: False}.get(one["is"]),
                *one.pick("source", "gives", "gas", "note", "solid", "solubility_product"),
            ),
            shape=(f"{prop.name}, {{what}} has no source", '{what}: {is: "yes", source: KEY}'),
        ),
        key=SUBSTANCE,
        make=lambda found, block, file: tuple(one._replace(reagent=reagent) for reagent, one in found.items()),
    )


class _Cas(Text):
    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        if cas_holds(text):
            return text
        return file.fault(line, f"the check digit of the CAS number {text} does not hold", right_cas(text))


class Substances:
    """The forms of a substance's entry, by what the schema says. `partial` may leave everything out."""

    def __init__(self, schema: Schema) -> None:
        self.properties = schema.properties
        values = {f"{name}?": self._spec(prop, schema) for name, prop in schema.properties.items()}
        own: dict[str, Spec] = {
            "name": Text(give="{key}: {what}"),
            "also?": ALSO,
            "formula?": Text(),
            "cas?": _Cas(),
            "kind": Ref("kind", noun="kind of substance", mend="a word of kinds.yaml", example="KIND"),
            "classes?": Listed(Ref("class", mend="a class of classes.yaml")),
            "phase": Word(PHASES),
            "like?": SUBSTANCE,
        }
        shape = ("{what} has no entry", "{what}: followed by indented keys such as name: and phase:")
        self.whole = Record("a substance", own | values, make=self._made, shape=shape)
        loose = {f"{key.rstrip('?')}?": spec for key, spec in own.items()}
        self.partial = Record("a substance", loose | values, make=self._made, shape=shape)

    @staticmethod
    def _spec(prop: Property, schema: Schema) -> Spec:
        if prop.form == "solubility":
            return _solubility_spec(prop)
        if prop.form == "by_reagent":
            return _reagent_spec(prop)
        return VAPOUR_PRESSURE if prop.form == "vapour_pressure" else _value_spec(prop, bool(schema.statements))

    def _made(self, one: Entry) -> Substance:
        values: dict[str, Value] = {}
        reagents: dict[str, tuple[ReagentEntry, ...]] = {}
        solubility: dict[str, Solubility] = {}
        vapour: VapourPressure | None = None
        for key in one.block:
            found = one[key]
            if isinstance(found, Value):
                values[key] = found
            elif isinstance(found, VapourPressure):
                vapour = found
            elif key in self.properties and self.properties[key].form == "by_reagent":
                reagents[key] = found
            elif key in self.properties:
                solubility = found
        name, also, formula, cas, kind, classes, phase, like = one.pick(
            "name", "also", "formula", "cas", "kind", "classes", "phase", "like"
        )
        return Substance(
            one.what, name, phase, kind, also, formula, cas, classes, values, solubility, vapour, reagents, False,
            one.file.shown, one.line, like,
        )  # fmt: skip

    def read(self, id: str, entry: Node, line: int, file: Reading, base: Substance | None = None) -> Substance | None:
        """One substance; None with faults noted if it cannot be read. base: the built-in substance it overrides."""
        if not id or normal_id(id) != id:
            write = normal_id(id) or "an id of lower-case letters, digits and single hyphens"
            file.fault(line, f"{id!r} is no id", write)
        found = (self.whole if base is None else self.partial).read(entry, line, id, file)
        if found is FAULTY:
            return None
        substance: Substance = found if base is None else merged(base, found)
        return substance


def substance_file() -> Table:
    """The form of a file of substances, by the program's own properties."""
    from choosemethod.data import read_file
    from choosemethod.places import substances_folder
    from choosemethod.table.schema import PROPERTIES

    return Table(Substances(Schema(read_file(substances_folder() / "properties.yaml", PROPERTIES))).whole)


def normal_id(id: str) -> str:
    """The id in kebab case: lower-case letters, digits and single hyphens."""
    signs = [sign if sign.isascii() and (sign.islower() or sign.isdigit()) else "-" for sign in id.lower()]
    return "-".join(part for part in "".join(signs).split("-") if part)


def _check_digit(digits: str) -> int:
    return sum(place * int(digit) for place, digit in enumerate(reversed(digits), 1)) % 10


def cas_holds(cas: str) -> bool:
    """Whether a CAS Registry Number has its form (2 to 7 digits, 2 digits, check digit) and its check digit holds."""
    parts = cas.split("-")
    if len(parts) != 3 or not all(part.isascii() and part.isdigit() for part in parts):
        return False
    if not 2 <= len(parts[0]) <= 7 or len(parts[1]) != 2 or len(parts[2]) != 1:
        return False
    return _check_digit(parts[0] + parts[1]) == int(parts[2])


def right_cas(cas: str) -> str:
    """What the CAS number would be if only its check digit were wrong; else its form."""
    parts = cas.split("-")
    if len(parts) == 3 and parts[0].isdecimal() and parts[1].isdecimal() and len(parts[1]) == 2:
        return f"cas: {parts[0]}-{parts[1]}-{_check_digit(parts[0] + parts[1])} if the other digits are right"
    return "cas: 7647-14-5 (digits, hyphen, two digits, hyphen, check digit)"


def merged(base: Substance, over: Substance) -> Substance:
    """The base substance with everything the other one states in place of, or beside, its own."""
    return over._replace(
        name=over.name or base.name,
        phase=over.phase or base.phase,
        kind=over.kind or base.kind,
        also=tuple(dict.fromkeys(base.also + over.also)),
        formula=over.formula or base.formula,
        cas=over.cas or base.cas,
        classes=over.classes or base.classes,
        values={**base.values, **over.values},
        solubility={**base.solubility, **over.solubility},
        vapour_pressure=over.vapour_pressure or base.vapour_pressure,
        like=over.like or base.like,
        reagents={key: _reagents(base, over, key) for key in {**base.reagents, **over.reagents}},
    )


def a_form_of(base: Substance, form: Substance, of_shape: Collection[str]) -> Substance:
    """A form of a substance (foil, powder, dilute acid) with what it does not state itself, but for its shape's properties."""
    values = {key: value for key, value in base.values.items() if key not in of_shape}
    shared = base._replace(name="", also=(), formula="", cas="", values=values)
    return merged(shared, form)


def _reagents(base: Substance, over: Substance, key: str) -> tuple[ReagentEntry, ...]:
    entries = {entry.reagent: entry for part in (base, over) for entry in part.reagents.get(key, ())}
    return tuple(entries.values())
