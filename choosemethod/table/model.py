"""What the table knows: substances with sourced values, named mixtures, pairs, dangers, and where each came from."""

from __future__ import annotations

from typing import NamedTuple

__all__ = [
    "Danger",
    "Name",
    "NamedMixture",
    "ReagentEntry",
    "Solubility",
    "Source",
    "Substance",
    "Value",
    "VapourPressure",
]


class Source(NamedTuple):
    """A bibliographic entry. kind: handbook, paper, book, standard, dataset, web, practice, memory."""

    key: str
    title: str
    kind: str


class Value(NamedTuple):
    """One property value.

    text: as written in the file; number, high: SI values (equal unless a range), None for words;
    words: the word or words of the value; at: SI temperature or pressure it holds at; source: key.
    row: what to look it up by in the source; agrees: keys of further sources that state the same;
    besides: words that other sources add, as (source key, words).
    """

    prop: str
    text: str
    source: str
    number: float | None = None
    high: float | None = None
    words: tuple[str, ...] = ()
    at: float | None = None
    of: str = ""
    note: str = ""
    file: str = ""
    line: int = 0
    row: str = ""
    agrees: tuple[str, ...] = ()
    besides: tuple[tuple[str, tuple[str, ...]], ...] = ()


class Solubility(NamedTuple):
    """Solubility in one liquid: a word of the pharmacopoeia scale, and/or points (K, kg solute per kg solvent)."""

    solvent: str
    word: str
    source: str
    points: tuple[tuple[float, float], ...] = ()
    of: str = ""
    note: str = ""
    file: str = ""
    line: int = 0
    row: str = ""
    agrees: tuple[str, ...] = ()


class VapourPressure(NamedTuple):
    """log10(p/Pa) = a - b / (T/K + c), valid from low to high (K)."""

    a: float
    b: float
    c: float
    low: float
    high: float
    source: str
    note: str = ""


class ReagentEntry(NamedTuple):
    """What one reagent does to a substance (dissolves it, absorbs it, dries it, precipitates it).

    yes: None where it does so only in part; solid: formula of what falls out; solubility_product: of that, at 25 °C.
    """

    reagent: str
    yes: bool | None
    source: str
    gives: str = ""
    gas: str = ""
    note: str = ""
    solid: str = ""
    solubility_product: float | None = None


class Substance(NamedTuple):
    """One substance; `values` by property name, `reagents` by property name (dissolves_in_reagent, absorbed_by, dried_by).

    like: id of the substance it is a form of (a foil, a powder, a dilute acid): what it does not state it shares with that,
    and it takes part in the same reactions.
    """

    id: str
    name: str
    phase: str
    kind: str
    also: tuple[str, ...] = ()
    formula: str = ""
    cas: str = ""
    classes: tuple[str, ...] = ()
    values: dict[str, Value] = {}
    solubility: dict[str, Solubility] = {}
    vapour_pressure: VapourPressure | None = None
    reagents: dict[str, tuple[ReagentEntry, ...]] = {}
    given: bool = False  # described in the question itself
    file: str = ""
    line: int = 0
    like: str = ""


class MixturePart(NamedTuple):
    """A component of a named mixture; form, host, role as in choosemethod.mixture.Component; share 0 to 1; size in m."""

    substance: str
    form: str
    host: str = ""
    share: float | None = None
    size: tuple[float, float] | None = None
    role: str = ""


class NamedMixture(NamedTuple):
    """A mixture known by name; really: "" or one substance, compound, alloy, element, isotopes, changed."""

    id: str
    name: str
    source: str
    also: tuple[str, ...] = ()
    components: tuple[MixturePart, ...] = ()
    by: str = ""
    really: str = ""
    made_of: tuple[str, ...] = ()
    usual_aim: tuple[str, ...] = ()  # ids, or ("identify",) or ("every component",)
    note: str = ""
    file: str = ""
    line: int = 0


class Name(NamedTuple):
    """What a name stands for: kind "substance" or "mixture", its id, and the name as the table writes it."""

    kind: str
    id: str
    written: str


class Danger(NamedTuple):
    """Two (or one, or several) things that react, must not be together, or not be heated together.

    first, second, more: (how, word) with how = substance, class, kind or group; all of them must be there;
    severity: refuse, reacts, no-heat, no-acid, caution; triggers: what sets it off (heat, friction, spark, shock, water,
    acid, base); reaction: what kind of reaction it is; then: what is separated after it; at_once: what to do where it was
    made by mistake; when: "wet" if it needs water or a liquid, "dry" if water tames it; fumes: what comes off is poisonous.
    """

    first: tuple[str, str]
    second: tuple[str, str] | None
    danger: str
    severity: str
    source: str
    gives: str = ""
    note: str = ""
    more: tuple[tuple[str, str], ...] = ()
    triggers: tuple[str, ...] = ()
    reaction: str = ""
    then: str = ""
    at_once: str = ""
    when: str = ""
    fumes: bool = False


class Group(NamedTuple):
    """Substances that react alike: those with one of the names `of`, less those with one of `but`.

    of, but: (how, word) as in a danger; forms: the forms of a component it holds for, empty for every one.
    """

    name: str
    of: tuple[tuple[str, str], ...]
    but: tuple[tuple[str, str], ...] = ()
    forms: tuple[str, ...] = ()


class Reactivity(NamedTuple):
    """What reactions are told by: groups by name, ions by substance, and the group that supplies a trigger when added.

    anions, cations: id of a substance -> the part of the salt's name it gives.
    """

    groups: tuple[Group, ...] = ()
    anions: tuple[tuple[str, str], ...] = ()
    cations: tuple[tuple[str, str], ...] = ()
    adding: tuple[tuple[str, str], ...] = ()
