"""What is asked: a mixture of components in their forms, what is wanted of it, and the setting it is done in."""

from __future__ import annotations

from dataclasses import dataclass, field

from choosemethod.quantity import Quantity

__all__ = ["FORMS", "STANDARD_PRESSURE", "Component", "Mixture", "Question", "Setting", "Wish"]

STANDARD_PRESSURE = 101_325.0  # Pa, the standard atmosphere
LOWEST_PRESSURE, HIGHEST_PRESSURE = 100.0, 1e7  # Pa, of a place somebody can work at, with a wide margin

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
    """Components in the order they were named; `name` if it is a named mixture ("sea water"), else "".

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
    """A question as understood.

    given: substances described in the question itself, id -> property name -> value text ("60 °C"), for unnamed ones.
    understood: sentences saying what was understood; corrections: (written, read as) pairs of mended spellings.
    unknown: words that look like names and are not known, with up to three suggestions each.
    tried: technique slugs the asker names ("by distillation"); asked: the text as it came.
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
    amounts: dict[str, Quantity] = field(default_factory=dict)
    front: float | None = None  # chromatography: distance of the solvent front, m
    spots: tuple[float, ...] = ()  # chromatography: distances of the spots, m
    asked: str = ""
