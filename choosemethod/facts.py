"""What the rules may ask about a mixture: the one list of fact kinds and their slots.

A fact is flat: words, numbers in SI units, or tuples of ids. What is not known is the word "unknown" for a slot of
words and None for a number, so a rule can ask for it and never mistakes it for "no".
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from choosemethod.mixture import PURPOSES

__all__ = [
    "HOW",
    "KINDS",
    "UNKNOWN",
    "Evidence",
    "Fact",
    "Slot",
    "SlotValue",
    "how_of_kind",
    "how_said",
    "weakest",
    "yes_no",
]

UNKNOWN = "unknown"
SlotValue = str | float | tuple[str, ...] | None

GRADES = (
    "insoluble",
    "very slightly soluble",
    "slightly soluble",
    "sparingly soluble",
    "soluble",
    "freely soluble",
    "very soluble",
    "miscible",
    "disperses",
    "reacts",
    UNKNOWN,
)
YES_NO = ("yes", "no", UNKNOWN)

# How a value is known: one word, the source's, shown wherever the value is; never a better one.
HOW: dict[str, str] = {
    "measured": "a source that can be looked up states it as measured",
    "computed": "worked out from such values by a published method",
    "estimated": "worked out from a rule of thumb or a family of substances, with its error",
    "memory": "recalled, with no source that can be looked up",
    "common practice": "a fact of the trade, no source",
    "by class": "stated once for a kind or class of substances",
    "given": "told in the question",
}


# How what a source of each kind states is known; what a source of any other kind states is measured.
_HOW_OF_KIND = {
    "memory": "memory",
    "practice": "common practice",
    "given": "given",
    "computation": "computed",
    "estimate": "estimated",
    "class": "by class",
}
_TRUST = ("given", "measured", "computed", "estimated", "common practice", "by class", "memory")  # the best first


def how_of_kind(kind: str) -> str:
    """How a value is known, from the kind of its source: a word of HOW."""
    return _HOW_OF_KIND.get(kind, "measured")


def weakest(*hows: str) -> str:
    """How something is known that rests on several values: as the least trusted of them; "" counts as nothing said."""
    return max((how for how in hows if how), key=_TRUST.index, default="")


def how_said(how: str) -> str:
    """How a value is known as a screen says it: "from memory"; the words of HOW otherwise as they are."""
    return "from memory" if how == "memory" else how


def yes_no(flag: bool | None) -> str:
    """ "yes", "no", or "unknown" for None."""
    return UNKNOWN if flag is None else "yes" if flag else "no"


class Slot(NamedTuple):
    """One thing a rule may ask. dimension: of a number ("" for words); words: the closed list ("" any); many: a tuple."""

    meaning: str
    dimension: str = ""
    words: tuple[str, ...] = ()
    many: bool = False


class Evidence(NamedTuple):
    """Where a slot's value comes from: the value as shown, how it was obtained, the source key, the file that holds it."""

    text: str
    how: str = "measured"
    source: str = ""
    note: str = ""
    file: str = ""


class Fact:
    """One fact: its kind, a key unique within the mixture, its slots, and the evidence for the slots that have any."""

    __slots__ = ("evidence", "key", "kind", "slots")

    def __init__(
        self, kind: str, key: str, slots: dict[str, SlotValue], evidence: dict[str, Evidence] | None = None
    ) -> None:
        self.kind = kind
        self.key = key
        self.slots = slots
        self.evidence: dict[str, Evidence] = {} if evidence is None else evidence

    def __repr__(self) -> str:
        return f"Fact({self.kind}, {self.key})"


def _yes(meaning: str) -> Slot:
    return Slot(meaning, words=YES_NO)


def _number(meaning: str, dimension: str) -> Slot:
    return Slot(meaning, dimension=dimension)


def _ids(meaning: str) -> Slot:
    return Slot(meaning, many=True)


COMPONENT: Mapping[str, Slot] = {
    "id": Slot("key of the component in this mixture"),
    "substance": Slot("id of its substance"),
    "name": Slot("name as shown"),
    "groups": _ids("groups it reacts with, of substances/reactivity.yaml"),
    "form": Slot(
        "form in the mixture",
        words=(
            "solid",
            "suspended",
            "colloidal",
            "emulsified",
            "dissolved",
            "liquid",
            "gas",
            "airborne",
            "embedded",
            "alloyed",
        ),
    ),
    "host": Slot("key of the component that holds it, empty for none"),
    "added": _yes("brought in by an earlier step, not part of the question"),
    "wanted": _yes("one of the substances asked for (yes for all when nothing was said)"),
    "asked_for": _yes("named in the wish"),
    "to_remove": _yes("named as something that only needs removing"),
    "role": Slot("main, impurity, product or empty", words=("", "main", "impurity", "product")),
    "trace": _yes("only what clings from an earlier step"),
    "reacted": _yes("has been changed by a chemical step"),
    "phase": Slot("phase at 20 °C", words=("solid", "liquid", "gas", UNKNOWN)),
    "kind": Slot("kind of substance"),
    "classes": _ids("classes of the substance"),
    "colour": Slot("colour as the table says it"),
    "coloured": _yes("has a colour other than white or none"),
    "melting_point": _number("melting point", "temperature"),
    "boiling_point": _number("boiling point at the local pressure", "temperature"),
    "boiling_range": _number("how wide its boiling range is: 0 for a pure liquid", "temperature difference"),
    "decomposes_at": _number("temperature at which it decomposes", "temperature"),
    "boils_undecomposed": _yes("boils at the local pressure without decomposing, and low enough for the bench"),
    "sublimes": _yes("can be sublimed on the bench"),
    "density": _number("density near 20 °C", "density"),
    "size_low": _number("smallest usual particle size", "length"),
    "size_high": _number("largest usual particle size", "length"),
    "hand_size": _yes("comes in pieces large enough to be picked out"),
    "magnetic": Slot("how it answers to a magnet", words=("strongly", "weakly", "no", UNKNOWN)),
    "blown_by_air": _yes("is carried off by a light breeze"),
    "floats_on_water": _yes("floats on water when dry"),
    "wetted_by": Slot("what wets its powdered surface", words=("oil", "water", UNKNOWN)),
    "conducts_electricity": _yes("conducts electricity"),
    "heat_sensitive": _yes("spoils near the boiling point of water"),
    "acid_base": Slot(
        "acid or base character",
        words=(
            "strong acid",
            "carboxylic acid",
            "phenol",
            "weak acid",
            "strong base",
            "amine",
            "weak base",
            "amphoteric",
            "neutral",
            UNKNOWN,
        ),
    ),
    "molecule_size": Slot("whether a dialysis membrane holds it back", words=("small", "large", UNKNOWN)),
    "steam_volatile": _yes("comes over with steam"),
    "sublimes_at": _number("temperature at which it turns to vapour while solid, at 101 kPa", "temperature"),
    "in_water": Slot("solubility in water at 20 °C", words=GRADES),
    "water_soluble": _yes("dissolves in cold water"),
    "in_host": Slot("solubility in the liquid that holds it, at 20 °C", words=GRADES),
    "solubility": _number("solubility in its host (or water) at 20 °C", "solubility"),
    "hot_solubility": _number("solubility in its host (or water) at the hottest point known", "solubility"),
    "cold_solubility": _number("solubility in its host (or water) at the coldest point known", "solubility"),
    "over_when_cold": _yes("by the masses told, more of it is dissolved than its host holds at the coldest point known"),
    "solubility_rise": _number("how many times more dissolves hot than cold", "pure number"),
    "hydrate": _yes("crystallises from water with water of crystallisation"),
    "hydrate_formula": Slot("formula of that hydrate"),
    "flammable": _yes("is flammable by its hazard statements"),
    "hazard_codes": Slot("its GHS hazard statements, by code", many=True),
    "burns": Slot(
        "how easily a liquid catches fire",
        words=("extremely flammable", "highly flammable", "flammable", "taken to be flammable", "burns when hot", "no"),
    ),
    "flash_point": _number("flash point", "temperature"),
    "autoignition": _number("temperature of a hot surface that lights its vapour", "temperature"),
    "toxic": _yes("is toxic by its hazard statements"),
    "toxic_vapour": _yes("harmful or irritating vapour or dust by its hazard statements"),
    "carcinogenic": _yes("carcinogenic, mutagenic or toxic for reproduction by its hazard statements"),
    "harms_with_time": _yes("harms the body if met again and again, by its hazard statements"),
    "corrosive": _yes("burns the skin by its hazard statements"),
    "eye_damage": _yes("damages eyes for good by its hazard statements"),
    "irritant": _yes("irritant by its hazard statements"),
    "harmful": _yes("harmful by its hazard statements"),
    "oxidising": _yes("oxidising by its hazard statements"),
    "explosive": _yes("explosive by its hazard statements"),
    "water_reactive": _yes("gives flammable gas with water by its hazard statements"),
    "environment": _yes("dangerous for the environment by its hazard statements"),
    "peroxide_former": _yes("forms explosive peroxides on storage"),
    "contains": Slot("for a material: what is in it, in words; empty if not said"),
    "safer_instead": Slot("what a school takes instead of it, empty if not said"),
    "school_use": Slot(
        "how schools usually treat it", words=("usual", "with care", "teacher only", "not in schools", UNKNOWN)
    ),
    "settles": _yes("settles by itself from the liquid that holds it"),
    "fine": _yes("too fine to settle within minutes, coarse enough for a filter"),
    "layer": _number(
        "number of the liquid layer it belongs to, 1 at the bottom; liquids and what they hold", "pure number"
    ),
    "share": _number("share of the mixture, if given", "fraction"),
    "mass": _number("mass, if given", "mass"),
    "volume": _number("volume, if given", "volume"),
    "now": Slot("what it has become by an earlier step, empty while it is still itself"),
    "carrier": _yes("it holds other components (dissolved, dispersed or embedded in it)"),
    "ordinary": _yes("it is the ordinary solvent of the bench"),
    "given": _yes("described in the question, not in the table"),
}

PAIR_OWN: Mapping[str, Slot] = {
    "id": Slot("key of the pair"),
    "first": Slot("key of the first component"),
    "second": Slot("key of the second component"),
    "boiling_gap": _number("how far the second boils above the first", "temperature difference"),
    "melting_gap": _number("how far the second melts above the first", "temperature difference"),
    "density_gap": _number("how much denser the second is", "density"),
    "size_ratio": _number("smallest piece of the second over largest piece of the first", "pure number"),
    "miscibility": Slot("whether two liquids mix", words=("fully", "partly", "no", UNKNOWN)),
    "miscibility_how": Slot("a word of HOW, or unknown", words=(*HOW, UNKNOWN)),
    "azeotrope": Slot("azeotrope of two liquids", words=("none", "minimum", "maximum", "heterogeneous", UNKNOWN)),
    "azeotrope_at": _number("boiling temperature of the azeotrope", "temperature"),
    "azeotrope_first_mass": _number("mass fraction of the first in the azeotrope", "fraction"),
    "azeotrope_how": Slot("a word of HOW, or unknown", words=(*HOW, UNKNOWN)),
    "at_azeotrope": _yes("the two are there in about the proportion of their azeotrope (within 2.5 %)"),
    "beyond_azeotrope": _yes("one of the two is wanted purer than their azeotrope"),
    "first_in_second": Slot("solubility of the first in the second (a liquid)", words=GRADES),
    "first_dissolves_in_second": _yes("the first dissolves in the second at 20 °C"),
    "same_layer": _yes("both are in the same liquid layer"),
    "holds": _yes("the second holds the first (dissolved, suspended, embedded in it)"),
    "same_acid_base": _yes("both are of the same acid or base character, which is known"),
    "same_host": _yes("both are held by the same component"),
    "danger": Slot(
        "worst known danger of the two together", words=("none", "caution", "no-acid", "no-heat", "reacts", "refuse")
    ),
    "danger_text": Slot("what that danger is"),
    "solubility_ratio": _number("hot over cold solubility of the first, divided by that of the second", "pure number"),
    "first_on_cooling": _yes(
        "dissolved hot in just enough water for both, the first begins to crystallise on cooling to 20 °C"
    ),
    "same_substance": _yes("both are the same substance in two forms"),
}

MIXTURE: Mapping[str, Slot] = {
    "id": Slot("always mixture"),
    "named": Slot("id of the named mixture, empty if none"),
    "name": Slot("name or list of the components"),
    "really": Slot(
        "why it is no mixture",
        words=("", "one substance", "compound", "alloy", "element", "isotopes", "changed", "apart"),
    ),
    "note": Slot("a sentence about the named mixture"),
    "aim": Slot("separate or identify", words=("separate", "identify")),
    "wish_form": Slot("form word of the wish"),
    "components": _number("number of components (traces not counted)", "pure number"),
    "asked": _number("number of components of the question still in it", "pure number"),
    "wanted_count": _number("number of its components that are named in the wish", "pure number"),
    "solids": _number("number of loose dry solids", "pure number"),
    "liquids": _number("number of liquids", "pure number"),
    "gases": _number("number of gases", "pure number"),
    "dissolved": _number("number of dissolved components", "pure number"),
    "dissolved_solids": _number("number of dissolved components that are solids by themselves", "pure number"),
    "dissolved_gases": _number("number of dissolved gases", "pure number"),
    "suspended": _number("number of suspended solids", "pure number"),
    "colloidal": _number("number of colloidal components", "pure number"),
    "emulsified": _number("number of emulsified liquids", "pure number"),
    "airborne": _number("number of airborne components", "pure number"),
    "embedded": _number("number of embedded components", "pure number"),
    "magnetic": _number("number of solids a bar magnet picks up", "pure number"),
    "weakly_magnetic": _number("number of solids only a strong electromagnet picks up", "pure number"),
    "subliming": _number("number of solids that sublime on the bench", "pure number"),
    "water_soluble": _number("number of loose solids that dissolve in cold water", "pure number"),
    "coloured_solutes": _number("number of dissolved coloured components", "pure number"),
    "layers": _number("number of liquid layers, none if not known", "pure number"),
    "added": _number("number of components an earlier step brought in", "pure number"),
    "ionic": _number("number of ionic components", "pure number"),
    "heat_danger": _yes("two of its components must not be heated together"),
    "heat_danger_text": Slot("what that danger is"),
    "pressure": _number("local pressure", "pressure"),
    "reduced": _yes("the local pressure is more than 5 kPa below the standard atmosphere"),
    "begins_to_boil": _number(
        "temperature at which two liquids begin to boil together, from their forecast", "temperature"
    ),
    "first_drop": _number("mole fraction in the first drop of what comes over first, from the forecast", "fraction"),
    "comes_first": Slot("name of what the first drop is richest in, from the forecast, empty if not known"),
    "volatile": _yes("it holds a liquid that boils below about 85 °C, a dissolved gas, or what gives one off"),
    "halogenated": _yes("it holds a halogenated solvent"),
    "lit_cold": _yes("it holds a liquid whose vapour a flame lights at room temperature"),
    "level": Slot("level asked for, empty if none"),
    "small": _yes("only a little of it"),
    "unknown_words": _number("number of words of the question that were not understood", "pure number"),
    "without": _ids("keys of what is not available or not allowed, with all that follows from them"),
    "purpose": Slot("what the separation is for", words=tuple(PURPOSES)),
    "purity": _number("purity asked for", "fraction"),
    "size": Slot("how much is worked with", words=("", "drop", "bench", "works")),
    "pieces": _number("number of separate pieces, if given", "pure number"),
    "offered": _ids("techniques the question offers to choose from"),
    "excluded": _ids("techniques the question rules out"),
    "required": _ids("techniques the question wants used"),
    "tried": _ids("techniques that were tried or used already, or are named"),
    "liquid_now": Slot("name of the liquid that holds the rest at this step, empty for none"),
    "liquid_state": Slot("what that liquid has become by an earlier step, empty while it is still itself"),
    "spent": _yes("a reagent that an earlier step added has been used up"),
}

SOLVENT: Mapping[str, Slot] = {
    "id": Slot("id of the liquid that could be added"),
    "name": Slot("its name"),
    "dissolves": _ids("loose solids it dissolves at 20 °C"),
    "leaves": _ids("loose solids it leaves undissolved"),
    "undecided": _ids("loose solids for which that is not known"),
    "dissolves_count": _number("how many it dissolves", "pure number"),
    "leaves_count": _number("how many it leaves", "pure number"),
    "undecided_count": _number("how many are undecided", "pure number"),
    "leaves_organic": _number("how many of those it leaves are organic compounds of small molecules", "pure number"),
    "dissolves_wanted": _number("how many of those it dissolves are asked for", "pure number"),
    "organic": _yes("an organic solvent"),
    "flammable": _yes("flammable"),
    "toxic": _yes("toxic or carcinogenic"),
    "boiling_point": _number("its boiling point at the local pressure", "temperature"),
    "order": _number("its place in the list of solvents to try", "pure number"),
    "reacts": _yes("it reacts dangerously with a component"),
}

EXTRACTANT: Mapping[str, Slot] = {
    "id": Slot("key of the liquid that could be added, with what it would be added to"),
    "substance": Slot("id of the liquid that could be added"),
    "name": Slot("its name"),
    "host": Slot("key of the liquid that holds the solutes"),
    "host_name": Slot("its name"),
    "takes": _ids("solutes that prefer the added liquid"),
    "leaves": _ids("solutes that stay"),
    "undecided": _ids("solutes for which that is not known"),
    "takes_count": _number("how many it takes", "pure number"),
    "leaves_count": _number("how many stay", "pure number"),
    "undecided_count": _number("how many are undecided", "pure number"),
    "takes_wanted": _number("how many of those it takes are asked for", "pure number"),
    "density_gap": _number("how much denser the added liquid is than the host", "density"),
    "lower": _yes("the added liquid is the lower layer"),
    "way": Slot(
        "leaching: the host is a solid; washing: water takes them out of another phase; extracting: out of another liquid",
        words=("leaching", "extracting", "washing"),
    ),
    "lifts": _ids("of a washing: what another liquid has to be added for, as none that water leaves is there"),
    "wets": _ids("loose solids that are then suspended in the added liquid, empty unless it leaches"),
    "flammable": _yes("flammable"),
    "toxic": _yes("toxic or carcinogenic"),
    "order": _number("its place in the list of solvents to try", "pure number"),
    "boiling_point": _number("its boiling point at the local pressure", "temperature"),
}

REAGENT: Mapping[str, Slot] = {
    "id": Slot("id of the reagent that could be added"),
    "name": Slot("its name"),
    "dissolves": _ids("components it takes into solution by a reaction"),
    "leaves": _ids("components it leaves as they are"),
    "undecided": _ids("components for which that is not known"),
    "dissolves_count": _number("how many it takes", "pure number"),
    "leaves_count": _number("how many it leaves", "pure number"),
    "undecided_count": _number("how many are undecided", "pure number"),
    "destroys_wanted": _number("how many of those it takes are asked for", "pure number"),
    "gives": Slot("what the reaction gives"),
    "gas": Slot("gas given off, empty if none"),
}

PRECIPITANT: Mapping[str, Slot] = {
    "id": Slot("key of the reagent that could be added, and whether bit by bit"),
    "substance": Slot("id of the reagent"),
    "name": Slot("its name"),
    "takes": _ids("dissolved components it brings down"),
    "leaves": _ids("dissolved components that stay in solution"),
    "undecided": _ids("dissolved components that come down in part, or for which it is not known"),
    "takes_count": _number("how many it brings down", "pure number"),
    "leaves_count": _number("how many stay", "pure number"),
    "undecided_count": _number("how many are undecided", "pure number"),
    "takes_wanted": _number("how many of those it brings down are asked for", "pure number"),
    "takes_unwanted": _number("how many of those it brings down have to go", "pure number"),
    "takes_kept": _number("how many of those it brings down need not go", "pure number"),
    "gives": Slot("what falls out"),
    "gives_each": Slot("what falls out of each of those it brings down, in their order", many=True),
    "ions": _yes("what is in solution is spoken of as ions by themselves"),
    "bit_by_bit": _yes("it would bring more down, but these have all but fallen out before the next begins"),
    "at_hand": _yes("the question names it as at hand"),
    "toxic": _yes("it is toxic or carcinogenic"),
}

MESH: Mapping[str, Slot] = {
    "id": Slot("key of the sieve"),
    "opening": _number("width of its holes", "length"),
    "passes": _ids("loose solids that fall through"),
    "stays": _ids("loose solids that stay on it"),
    "passes_count": _number("how many fall through", "pure number"),
    "stays_count": _number("how many stay", "pure number"),
    "undecided_count": _number("loose solids whose size is not known", "pure number"),
    "granular": _yes("what stays is a coarse material and no laboratory chemical, and nothing is a powdered ore"),
    "ratio": _number("smallest piece that stays over largest that falls through", "pure number"),
}

DANGER: Mapping[str, Slot] = {
    "id": Slot("key of the danger"),
    "severity": Slot("how bad", words=("caution", "no-acid", "no-heat", "reacts", "refuse")),
    "text": Slot("what the danger is"),
    "reaction": Slot("what kind of reaction it is, empty if not said"),
    "gives": Slot("what would form, empty if not said"),
    "equation": Slot("the reaction in words, empty if what forms is not said"),
    "then": Slot("what is separated once they have reacted, empty if not said"),
    "at_once": Slot("what to do where it was made by mistake, empty if not said"),
    "fumes": _yes("gives off a poisonous gas"),
    "now": _yes("goes on as they are, and needs no more water"),
    "triggers": Slot(
        "what sets it off", words=("heat", "friction", "spark", "shock", "water", "acid", "base"), many=True
    ),
    "note": Slot("what else is said of it"),
    "between": _ids("the components that are dangerous together"),
    "members": _number("how many components it takes", "pure number"),
    "names": Slot("their names"),
}

ABSORBENT: Mapping[str, Slot] = {
    "id": Slot("id of the liquid or solid the gas is led through"),
    "name": Slot("its name"),
    "takes": _ids("gases it takes out"),
    "leaves": _ids("gases that pass"),
    "undecided": _ids("gases for which that is not known"),
    "takes_count": _number("how many it takes", "pure number"),
    "leaves_count": _number("how many pass", "pure number"),
    "undecided_count": _number("how many are undecided", "pure number"),
    "takes_wanted": _number("how many of those it takes are asked for", "pure number"),
    "at_hand": _yes("the question names it as a reagent"),
    "gives": Slot("what it turns them into, empty if they can be driven out of it again"),
}

DRYER: Mapping[str, Slot] = {
    "id": Slot("key of the drying agent, with what it would dry"),
    "substance": Slot("id of the drying agent"),
    "name": Slot("its name"),
    "dries": Slot("key of the component to be dried"),
    "dries_name": Slot("its name"),
    "suits": _yes("whether it may be used"),
    "because": Slot("why, or why not"),
}

HELP: Mapping[str, Slot] = {
    "id": Slot("key of the row"),
    "first": Slot("key of the liquid or solute to be helped out"),
    "second": Slot("key of the liquid it is in"),
    "by": Slot("how", words=("salting-out", "drying agent", "entrainer", "pressure", "extractive")),
    "with": Slot("id of what is added"),
    "with_name": Slot("its name"),
    "toxic": _yes("what is added is toxic or carcinogenic"),
    "note": Slot("what is said of it"),
}

FINDING: Mapping[str, Slot] = {
    "id": Slot("key of the finding"),
    "word": Slot("what was found"),
    "about": Slot("key of the component it is about, or mixture"),
    "other": Slot("key of a second component, empty for none"),
}

STEP: Mapping[str, Slot] = {
    "id": Slot("number of the step"),
    "technique": Slot("slug of the technique"),
    "name": Slot("name of the technique"),
    "traits": _ids("traits of the technique (heats, boils, open vessel, shakes, vacuum ...)"),
    "added": Slot("id of the liquid or reagent it brings in, empty for none"),
    "added_name": Slot("its name"),
    "embedded_before": _number("number of parts locked inside a solid before the step", "pure number"),
}

# What was said, before it is a mixture: the two kinds that interpretation rules look at.
MENTION: Mapping[str, Slot] = {
    "id": Slot("key of the mention: its place in the question"),
    "means": Slot("id of the substance or named mixture it is taken for, empty if it has none"),
    "meaning": Slot("what it is taken for", words=("substance", "mixture", "class", "described", "")),
    "name": Slot("its name as shown"),
    "words": _ids("its words as written, normalised"),
    "last_word": Slot("the last of them"),
    "found": Slot(
        "how it was found", words=("exact", "plural", "formula", "ellipsis", "adjective", "class", "letter", "")
    ),
    "own_name": _yes("called by the name of its substance and no other word (no filings, no powder)"),
    "noun": Slot("key of its class noun (rules/reading/class-nouns.yaml), empty if it is none"),
    "role": Slot("its role (rules/reading/roles.yaml)"),
    "link": Slot("the word class that links it to what stands before: from, in, with, of ..."),
    "verb": Slot("class of the verb that governs it (rules/reading/cues.yaml), empty for none"),
    "lesser": _yes("said to be little, left over or an impurity"),
    "plural": _yes("written in the plural"),
    "article": Slot("a, an, the or another article before it, empty for none"),
    "explains": _yes("it stands in brackets behind another name"),
    "form": Slot("form its words give it (dissolved, suspended ...), empty for none"),
    "states": _ids("state words beside it (rules/reading/forms.yaml)"),
    "pieces": _ids("piece words beside it"),
    "in_pieces": _yes("a piece word stands beside it"),
    "related": _ids("relations of rules/related.yaml by which the table has another name for it"),
    "amount": _yes("an amount is told of it"),
    "phase": Slot("phase of its substance at 20 °C", words=("solid", "liquid", "gas", UNKNOWN)),
    "kind": Slot("kind of its substance, empty for a mixture"),
    "classes": _ids("classes of its substance"),
    "organic": _yes("its substance is organic"),
    "holds": _ids("ids of what a named mixture holds"),
    "holds_gas": _yes("it is a gas or holds one"),
    "forms": _ids("forms of what a named mixture holds; the phase of a substance"),
    "really": Slot("why a named mixture is none: compound, alloy ..., empty for a mixture"),
    "peroxide_former": _yes("it forms peroxides on standing in air"),
    "told_reaction": Slot("its side in a reaction the question tells of", words=("", "start", "product")),
    "makes_salt": Slot(
        "its part where what dissolves a solid, that solid and the salt of both are named; or two salts and one they make",
        words=("", "acid", "solid", "alkali", "salt", "partner", "start", "precipitate"),
    ),
    "in_water": Slot("whether its substance dissolves in water", words=("yes", "no", "disperses", "reacts", "unknown")),
    "named_twice": Slot(
        "salt: of each of several salts an ion that it alone holds is named; ion: a salt named beside it holds it",
        words=("", "salt", "ion"),
    ),
    "held_by_other": _yes("a named mixture said beside it holds it"),
}
UTTERANCE: Mapping[str, Slot] = {
    "id": Slot("always utterance"),
    "words": _ids("every word of the question, normalised, each once"),
    "last_words": _ids("the last three words"),
    "parts": _number("number of different substances and named mixtures that are there", "pure number"),
    "named_mixtures": _number("number of named mixtures that are there", "pure number"),
    "wanted": _number("number of mentions to be obtained", "pure number"),
    "removed": _number("number of mentions that have to go", "pure number"),
    "aim": Slot("separate or identify", words=("separate", "identify")),
    "purpose": Slot("what it is for (choosemethod.mixture.PURPOSES)"),
    "form": Slot("condition wanted of the product: pure, dry, crystals ..., empty for none"),
    "flags": _ids("purify, reacted, alloy, apart: what else was said"),
    "unknown": _number("number of stretches not understood that may be parts", "pure number"),
    "level": Slot("level asked for, empty if none"),
    "without": _ids("keys of what is not there or not allowed"),
}

KINDS: Mapping[str, Mapping[str, Slot]] = {
    "component": COMPONENT,
    "pair": {
        **PAIR_OWN,
        **{f"first_{name}": slot for name, slot in COMPONENT.items()},
        **{f"second_{name}": slot for name, slot in COMPONENT.items()},
    },
    "mixture": MIXTURE,
    "solvent": SOLVENT,
    "extractant": EXTRACTANT,
    "reagent": REAGENT,
    "precipitant": PRECIPITANT,
    "absorbent": ABSORBENT,
    "mesh": MESH,
    "danger": DANGER,
    "dryer": DRYER,
    "help": HELP,
    "finding": FINDING,
    "step": STEP,
    "mention": MENTION,
    "utterance": UTTERANCE,
}
