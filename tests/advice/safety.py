"""What every step must be told, by what is in the vessel and by what the technique does.

What must be said is common practice; the hazard classes come from each substance's own hazard statements (Regulation
(EC) No 1272/2008, Annex III) and the usual list of peroxide formers (Prudent Practices in the Laboratory, National
Research Council 2011, chapter 6).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence

from choosemethod.advice.answer import PlanStep
from choosemethod.facts import Fact
from choosemethod.rulebook import Rulebook

Case = Callable[[Sequence[str], Fact], bool]


def _stays_in_water(fact: Fact) -> bool:
    """Whether a harmful solid is in a liquid, from which only what sublimes rises as vapour."""
    slots = fact.slots
    return slots["phase"] == "solid" and slots["sublimes"] != "yes" and slots["form"] in ("dissolved", "suspended")


def _has(fact: Fact, *codes: str) -> bool:
    """Whether a substance has one of these GHS hazard statements."""
    found = fact.slots["hazard_codes"]
    return isinstance(found, tuple) and bool(set(codes) & set(found))


def leaves_waste(fact: Fact) -> bool:
    """Whether a residue with this in it may go neither down the sink nor into the bin: where it goes must be said.

    Of sand and salt nothing need be said. What counts: hazards to health and to water life (GHS), what burns, what is
    radioactive, and what nobody has classified (Prudent Practices in the Laboratory, 2011, chapter 8).
    """
    slots = fact.slots
    burns = (
        slots["phase"] == "liquid" and slots["flammable"] == "yes" and slots["form"] not in ("embedded", "dissolved")
    )
    harms = _has(
        fact, "H300", "H301", "H302", "H304", "H310", "H311", "H312", "H330", "H331", "H332", "H340", "H341", "H350",
        "H350i", "H351", "H360", "H360F", "H360D", "H360FD", "H361", "H361f", "H361d", "H361fd", "H362", "H370", "H371",
        "H372", "H373",
    )  # fmt: skip
    poison = slots["toxic"] == "yes" or not isinstance(slots["toxic"], str)
    lasting = slots["environment"] == "yes" or "radioactive" in (slots["classes"] or ())
    return burns or lasting or (slots["phase"] in ("solid", "liquid") and (harms or poison))


# what is the case (by the traits of the technique and its slug), and what must then be among the cautions of that step
OF_A_SUBSTANCE: dict[str, tuple[Case, tuple[str, ...]]] = {
    "a flammable liquid is heated": (
        lambda traits, fact: (
            "heats" in traits and fact.slots["phase"] == "liquid" and fact.slots["flammable"] == "yes"
        ),
        (r"no (naked )?flame", r"burner"),
    ),
    "a flammable liquid stands open or is shaken": (
        lambda traits, fact: (
            fact.slots["phase"] == "liquid"
            and fact.slots["flammable"] == "yes"
            and fact.slots["form"] not in ("dissolved", "embedded")  # a little of it, which does not burn
        ),
        (r"flame",),
    ),
    "a flammable gas": (lambda _, fact: fact.slots["phase"] == "gas" and fact.slots["flammable"] == "yes", (r"flame",)),
    "a peroxide former is heated": (
        lambda traits, fact: "heats" in traits and fact.slots["peroxide_former"] == "yes",
        (r"test it for peroxides", r"dryness"),
    ),
    "a peroxide former is not heated": (
        lambda traits, fact: "heats" not in traits and fact.slots["peroxide_former"] == "yes",
        (r"peroxides", r"fresh or tested"),
    ),
    "a harmful vapour is driven off": (
        lambda traits, fact: "heats" in traits and fact.slots["toxic_vapour"] == "yes" and not _stays_in_water(fact),
        (r"fume cupboard",),
    ),
    "a harmful solute is boiled": (
        lambda traits, fact: "heats" in traits and fact.slots["toxic_vapour"] == "yes" and _stays_in_water(fact),
        (r"must not be breathed|fume cupboard",),
    ),
    "a volatile harmful liquid": (
        lambda _, fact: fact.slots["phase"] in ("liquid", "gas") and fact.slots["toxic_vapour"] == "yes",
        (r"fume cupboard",),
    ),
    "a toxic substance": (lambda _, fact: fact.slots["toxic"] == "yes", (r"toxic|poison|kills? in small amounts",)),
    "a carcinogen": (lambda _, fact: _has(fact, "H340", "H341", "H350", "H350i", "H351"), (r"cancer",)),
    "harm to the unborn": (
        lambda _, fact: (
            _has(fact, "H360", "H360F", "H360D", "H360FD", "H361", "H361f", "H361d", "H361fd")
            and not _has(fact, "H350", "H350i", "H340")
        ),
        (r"unborn|pregnant",),
    ),
    "what is volatile, in a funnel": (
        lambda traits, fact: (
            "closed while shaking" in traits
            and fact.slots["phase"] == "liquid"
            and isinstance(fact.slots["boiling_point"], float)
            and fact.slots["boiling_point"] < 358.15
            and fact.slots["form"] != "embedded"
        ),
        (r"vent often", r"away from people", r"stopper out"),
    ),
    "harm to the eyes": (lambda _, fact: _has(fact, "H318") and not _has(fact, "H314"), (r"eyes for good", r"goggles")),
    "fatal vapour": (
        lambda _, fact: fact.slots["phase"] == "liquid" and _has(fact, "H330"),
        (r"fatal if breathed", r"fume cupboard"),
    ),
    "drowsiness only": (
        lambda _, fact: fact.slots["phase"] == "liquid" and _has(fact, "H336") and fact.slots["toxic_vapour"] == "no",
        (r"drowsy", r"aired"),
    ),
    "a corrosive substance": (
        lambda _, fact: fact.slots["corrosive"] == "yes" and fact.slots["water_reactive"] != "yes",
        (r"corrosive", r"goggles"),
    ),
    "what catches fire with water": (
        lambda _, fact: (
            fact.slots["corrosive"] == fact.slots["water_reactive"] == "yes" and fact.slots["form"] != "dissolved"
        ),
        (r"keep water.* away", r"goggles"),
    ),
    "an oxidising solid": (
        lambda _, fact: fact.slots["oxidising"] == "yes" and fact.slots["phase"] == "solid",
        (r"oxidising",),
    ),
    "a solution is boiled down": (
        lambda traits, fact: (
            bool({"evaporation", "crystallisation"} & set(traits))
            and (fact.slots["form"], fact.slots["phase"]) == ("dissolved", "solid")
            and "ionic" in (fact.slots["classes"] or ())  # what is left of an organic solution does not spit
            and "heat" not in traits
            and "primary" not in traits  # children let it dry in a warm place
        ),
        (r"spits|spoil", r"dry|stop"),
    ),
    "not used in schools": (  # not a word of schools to those who said that they are at none
        lambda traits, fact: fact.slots["school_use"] == "not in schools" and "undergraduate" not in traits,
        (r"not used in schools",),
    ),
}  # fmt: skip
OF_A_STEP: dict[str, tuple[Callable[[str, Sequence[str]], bool], tuple[str, ...]]] = {
    "boiling from a flask": (lambda _, traits: "boils" in traits, (r"dryness",)),
    "boiling in the open apparatus": (lambda _, traits: "open to air" in traits, (r"open to the air", r"bursts")),
    "vacuum": (lambda _, traits: "vacuum" in traits, (r"implode", r"screen", r"goggles")),
    "a funnel is shaken": (lambda _, traits: "closed while shaking" in traits, (r"\bvents?\b",)),
    "anything that can splash or burst": (
        lambda slug, traits: bool(
            {"heats", "boils", "vacuum", "closed while shaking", "adds reagent", "spins"} & set(traits)
        ),
        (r"eye protection", r"local safety rules"),
    ),
}


def met(
    book: Rulebook, step: PlanStep, present: Iterable[Fact], lacking: Sequence[str] = ()
) -> dict[str, tuple[str, ...]]:
    """The cases that hold of a step with these components in the vessel, and what must then be said.

    lacking: what there is not, by key ("heat"): then nothing is boiled down, it dries by itself; and the level asked for.
    """
    traits = book.techniques[step.technique].traits
    facts = list(present)
    found = {
        f"{name}: {fact.slots['name']}": wanted
        for name, (holds, wanted) in OF_A_SUBSTANCE.items()
        for fact in facts
        if holds((*traits, step.technique, *lacking), fact)
    }
    return found | {name: wanted for name, (does, wanted) in OF_A_STEP.items() if does(step.technique, traits)}


def missed(book: Rulebook, step: PlanStep, present: Iterable[Fact], lacking: Sequence[str] = ()) -> list[str]:
    """What a reader of the step is not warned of."""
    text = " ".join(caution.text for caution in step.cautions).lower()
    return [
        f"{step.technique}: {case}: nothing like {pattern}"
        for case, wanted in met(book, step, present, lacking).items()
        for pattern in wanted
        if not re.search(pattern, text)
    ]
