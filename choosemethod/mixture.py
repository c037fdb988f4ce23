"""What is asked: a mixture of components in their forms, what is wanted of it, and the setting it is done in."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from choosemethod.quantity import STANDARD_PRESSURE, Quantity

__all__ = [
    "AIMS",
    "FORMS",
    "LEVELS",
    "PURPOSES",
    "ROLES",
    "STANDARD_PRESSURE",
    "Component",
    "Mention",
    "Mixture",
    "OfferedOption",
    "OtherReading",
    "Question",
    "Scale",
    "Setting",
    "Techniques",
    "Unused",
    "Wish",
]

MOST_COMPONENTS = 30  # of a mixture, named mixtures opened up; a plan for more takes long, and no question has them
LOWEST_PRESSURE, HIGHEST_PRESSURE = 100.0, 1e7  # Pa, of a place somebody can work at, with a wide margin

# Whom an answer is for, the youngest first.
LEVELS = ("primary", "lower-secondary", "upper-secondary", "undergraduate")

# The forms a component can have in a mixture; every other module uses these words and no others.
FORMS: dict[str, str] = {
    "solid": "loose dry pieces, grains or powder",
    "suspended": "solid particles in a liquid that settle or can be caught by a filter",
    "colloidal": "particles in a liquid too fine to settle or to be caught by filter paper",
    "emulsified": "droplets of one liquid dispersed in another",
    "dissolved": "in solution in a liquid",
    "liquid": "a liquid of the mixture",
    "gas": "a gas of the mixture",
    "airborne": "fine solid or liquid particles in a gas",
    "embedded": "locked inside a solid, such as plant tissue or rock",
    "alloyed": "part of an alloy",
}

# What a stretch of a question's words does there; every noun, number and negation ends with one of these.
ROLES: dict[str, str] = {
    "component": "a part of the mixture",
    "host": "the liquid, gas or solid that holds other parts",
    "wanted": "what is to be obtained",
    "removed": "what only has to go",
    "reagent": "at hand or to be added, no part of the mixture",
    "apparatus": "a vessel, tool or machine",
    "origin": "where the mixture comes from",
    "story": "a noun of the story around the question",
    "example": "an example of a part, named beside its class",
    "option": "an answer offered to choose from",
    "technique": "a technique that is offered, excluded, required, tried or asked about",
    "amount": "how much there is of something",
    "property": "a property told of a part",
    "limit": "what is not there, not allowed, or the only thing there",
    "level": "who asks",
    "purpose": "what it is done for",
    "instruction": "words that ask, order or explain",
    "ordinary": "an ordinary word away from any list of parts",
    "unknown": "not understood: reported, and asked about where it may be a part",
}

AIMS = ("separate", "identify")  # obtain the components, or show what is in the mixture

# What a separation is for.
PURPOSES: dict[str, str] = {
    "": "not said",
    "recover one": "one part is to be obtained",
    "recover all": "each part is to be obtained",
    "purify": "one part is there to be freed of little of something else",
    "identify": "what is in it is to be shown",
    "measure": "how much of something is in it is to be found",
    "remove": "something only has to go",
    "consume": "it is to be eaten or drunk",
}


class Mention(NamedTuple):
    """A stretch of the question's words and what it was taken for.

    text: as written; start, end: its place in the text, in characters; meanings: ids of substances and named mixtures,
    or class nouns as "class:<id>", the one taken first; found: exact, plural, formula, ellipsis, adjective, spelling,
    class, letter, told (described in the question) or "" (no name); role: a key of ROLES; because: the cue that decided.
    """

    text: str
    start: int
    end: int
    meanings: tuple[str, ...] = ()
    found: str = ""
    role: str = "component"
    because: str = ""


class OfferedOption(NamedTuple):
    """An answer offered in a multiple-choice question: its letter, its text, the orders of techniques it names; parts:
    (letter, text, techniques) of what its text stands for, in its order ("2 and 3 only")."""

    letter: str
    text: str
    techniques: tuple[str, ...] = ()
    parts: tuple[tuple[str, str, tuple[str, ...]], ...] = ()


class Techniques(NamedTuple):
    """Techniques a question names, as slugs. offered: to choose among; excluded: may not be used; required: must be used;
    tried: done already or by the asker's account; asked_about: "can it be done by ...?", "why not ...?"; paired: what each
    of those offered is to be paired with; codes: answers offered that say how ("A-IV, B-II")."""

    offered: tuple[OfferedOption, ...] = ()
    excluded: tuple[str, ...] = ()
    required: tuple[str, ...] = ()
    tried: tuple[str, ...] = ()
    asked_about: tuple[str, ...] = ()
    paired: tuple[OfferedOption, ...] = ()
    codes: tuple[OfferedOption, ...] = ()


class Scale(NamedTuple):
    """How much is worked with. size: "", drop, bench or works; pieces: how many separate pieces, None if not said."""

    size: str = ""
    pieces: int | None = None


NO_TECHNIQUES, NO_SCALE = Techniques(), Scale()


class Unused(NamedTuple):
    """Words of a question that played no part, reported in text and JSON.

    text: as written; kind: word, unknown, limit, amount, property, substance or technique; because: why, as a sentence.
    """

    text: str
    kind: str = "word"
    because: str = ""


class Left(NamedTuple):
    """What of a question is left over when it has been read.

    length: words of the question, options offered aside; words: ordinary words that are no word of grammar; strange: words
    not known, away from the parts; told: verbs that tell what was done or was there; names: substances put aside; limits:
    what sounds like a limit and gave none; nouns: class nouns in the place of a part that point to nothing there.
    """

    length: int = 0
    words: tuple[str, ...] = ()
    strange: tuple[str, ...] = ()
    told: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    nouns: tuple[str, ...] = ()


NO_LEFT = Left()


class OtherReading(NamedTuple):
    """A second way to read the question that leads to another answer. text: what it would be; tells_apart: what tells the
    two apart."""

    text: str
    tells_apart: str = ""


@dataclass(frozen=True, slots=True)
class Component:
    """One component of a mixture.

    substance: id of a substance of the table (or of one described in the question).
    form: a key of FORMS.
    host: id of the component it is dissolved, dispersed, airborne or embedded in; "" for none.
    mass, volume: amounts if given (kg, m3); share: fraction 0 to 1 if given.
    size: particle size (low, high) in m if the question or the named mixture states it.
    role: "", "main", "impurity", "product".
    added: brought in by a step of the plan (a solvent, a reagent), not part of the question.
    trace: only what clings to a product of an earlier step (the moisture of a filter residue); counted elsewhere.
    reacted: what a chemical step turned it into ("calcium chloride solution"), "" while it is still itself.
    """

    substance: str
    form: str
    host: str = ""
    mass: float | None = None
    volume: float | None = None
    share: float | None = None
    size: tuple[float, float] | None = None
    role: str = ""
    added: bool = False
    trace: bool = False
    reacted: str = ""

    def __post_init__(self) -> None:
        if self.form not in FORMS:
            raise ValueError(f"{self.form!r} is no form of a component; the forms are: {', '.join(FORMS)}")


@dataclass(frozen=True, slots=True)
class Mixture:
    """The components, in the order they were named; `name` if it is a named mixture ("sea water"), else "".

    named: id of the named mixture; really: why it is no mixture ("", "one substance", "compound", "alloy",
    "element", "isotopes", "apart"); note: a sentence about it; share_by: "mass" or "volume" or "".
    as_one: ids of each product that was named as one thing beside others (the vinegar of "oil and vinegar") and may stay so.
    """

    components: tuple[Component, ...]
    name: str = ""
    named: str = ""
    really: str = ""
    note: str = ""
    share_by: str = ""
    as_one: tuple[frozenset[str], ...] = ()

    @property
    def substances(self) -> tuple[str, ...]:
        """Ids of the substances, in order, each once."""
        return tuple(dict.fromkeys(component.substance for component in self.components))


@dataclass(frozen=True, slots=True)
class Wish:
    """What the asker wants.

    want: ids of the substances to be obtained (empty: all components apart).
    remove: ids that only need removing.
    aim: "separate" (obtain the components) or "identify" (show what is in it).
    form: form word wanted of the product, for example "crystals", "pure", "dry"; "" if none was said.
    purity: fraction 0 to 1 if a purity was asked for.
    """

    want: tuple[str, ...] = ()
    remove: tuple[str, ...] = ()
    aim: str = "separate"
    form: str = ""
    purity: float | None = None
    said: str = ""  # the words of the question that were read as the wish
    purpose: str = ""  # a key of PURPOSES
    usual: bool = False  # nothing was said: it is what is usually wanted of the named mixture


@dataclass(frozen=True, slots=True)
class Setting:
    """Where it is done.

    pressure: local pressure in Pa; without: keys of rules/setting/without.yaml, or ids of substances (what is not
    available or not allowed);
    level: "" or primary, lower-secondary, upper-secondary, undergraduate; small: only a little of it (a few mL, a few mg).
    """

    pressure: float = STANDARD_PRESSURE
    without: tuple[str, ...] = ()
    level: str = ""
    small: bool = False


@dataclass(frozen=True, slots=True)
class Question:
    """A question as understood: the mixture, the wish (what is wanted of it) and the setting (where it is done).

    given: substances described in the question itself, id -> property name -> value text ("60 °C"), for unnamed ones.
    understood: sentences saying what was understood; corrections: (written, read as) pairs of mended spellings.
    unknown: words that look like names and are not known, with up to three suggestions each.
    tried: technique slugs the asker names ("by distillation"); asked: the text as it came; stem: it without answers offered.
    mentions: every name, number, negation and noun with its role; techniques: those the question names, by what is said
    of them; scale: how much is worked with; reagents: ids of substances at hand that are no part of the mixture;
    not_used: words that played no part; readings: other ways to read it that lead to another answer;
    inferred: (rule, sentence) of each interpretation rule that fired; left: what is left over of the question.
    """

    mixture: Mixture
    wish: Wish = Wish()
    setting: Setting = Setting()
    given: dict[str, dict[str, str]] = field(default_factory=dict)
    understood: tuple[str, ...] = ()
    corrections: tuple[tuple[str, str], ...] = ()
    unknown: tuple[tuple[str, tuple[str, ...]], ...] = ()
    missing: tuple[str, ...] = ()  # what would have to be known: "the boiling point of compound X"
    tried: tuple[str, ...] = ()
    amounts: dict[str, Quantity] = field(default_factory=dict)  # as stated, by id of the component
    front: float | None = None  # chromatography: distance of the solvent front, m
    spots: tuple[float, ...] = ()  # chromatography: distances of the spots, m
    asked: str = ""
    stem: str = ""
    mentions: tuple[Mention, ...] = ()
    techniques: Techniques = NO_TECHNIQUES
    scale: Scale = NO_SCALE
    reagents: tuple[str, ...] = ()
    not_used: tuple[Unused, ...] = ()
    readings: tuple[OtherReading, ...] = ()
    inferred: tuple[tuple[str, str], ...] = ()
    left: Left = NO_LEFT
