"""Answers put together by hand, as the program would give them, for the tests of what is shown.

Boiling points: CRC Handbook of Chemistry and Physics, 95th ed., section 3 (acetone 56.08 °C) and section 6 (water
99.97 °C at 101.325 kPa). Solubility of sodium chloride: the same, section 5 (35.9 g per 100 g of water at 20 °C).
The procedures and cautions are common practice, no source.
"""

from __future__ import annotations

from choosemethod.advice.answer import (
    Advice,
    Caution,
    ComponentSeen,
    MissingFact,
    Nearest,
    NumberShown,
    PlanStep,
    ProductShown,
    Refusal,
    Rejected,
    SourceShown,
    StepRef,
    TechniqueAdvice,
    TraceEntry,
    TraceFact,
)
from choosemethod.mixture import STANDARD_PRESSURE

CRC = SourceShown(
    "crc-organic", "CRC Handbook of Chemistry and Physics, 95th ed., section 3: Physical Constants of Organic Compounds"
)
PRACTICE = SourceShown("common-practice", "Common practice, no source")
EYES = Caution("Wear eye protection throughout", "care", "")
FLAME = "Acetone vapour catches fire easily: no flame anywhere near; heat with a heating mantle or a water bath"


def asked(text: str, *components: ComponentSeen, **more: object) -> Advice:
    """An answer with only the question understood, and whatever else is given."""
    base: dict[str, object] = {
        "asked": text,
        "name": "",
        "components": components,
        "note": "",
        "understood": (),
        "corrections": (),
        "unknown": (),
        "want": (),
        "remove": (),
        "aim": "separate",
        "pressure": STANDARD_PRESSURE,
        "without": (),
        "level": "",
        "status": "answered",
    }
    return Advice(**{**base, **more})  # type: ignore[arg-type]


def number(
    name: str, value: str, amount: float, unit: str, how: str = "measured", source: str = "crc-organic"
) -> NumberShown:
    return NumberShown(name, value, amount, unit, how, source)


def plan_step(
    number: int, technique: str, acts_on: tuple[str, ...], gives: tuple[ProductShown, ...], **more: object
) -> PlanStep:
    """A step with one line of each kind of text, overridden by what is given."""
    name = technique.replace("-", " ")
    base: dict[str, object] = {
        "number": number,
        "technique": technique,
        "name": name,
        "acts_on": acts_on,
        "adds": "",
        "gives": gives,
        "reasons": (f"the reason for {name}",),
        "rules": (f"rule-for-{technique}",),
        "principle": f"principle of {name}",
        "apparatus": ("beaker", "glass rod"),
        "steps": (f"Begin {name}", f"Finish {name}"),
        "seen": (f"what {name} shows",),
        "cautions": (EYES,),
        "limits": (f"limit of {name}",),
        "residues": (f"residue of {name}",),
        "numbers": (),
        "source": "common-practice",
    }
    return PlanStep(**{**base, **more})  # type: ignore[arg-type]


ACETONE = ComponentSeen("acetone", "acetone", "liquid", "liquid")
WATER = ComponentSeen("water", "water", "liquid", "liquid")

ACETONE_WATER = asked(
    "acetne and water",
    ACETONE,
    WATER,
    corrections=(("acetne", "acetone"),),
    want=("acetone",),
    pressure=84_000.0,
    without=("open-flame",),
    level="upper-secondary",
    techniques=(
        TechniqueAdvice(
            "simple-distillation",
            "simple distillation",
            "best",
            ("their boiling points lie 44 K apart",),
            ("simple-for-far-boilers",),
            ("the more volatile liquid boils off first",),
            ("simple-distillation",),
            7.5,
        ),
        TechniqueAdvice(
            "fractional-distillation",
            "fractional distillation",
            "good",
            ("a column parts them more sharply",),
            ("column-parts-sharper",),
            (),
            ("fractional-distillation",),
            9.0,
        ),
    ),
    rejected=(
        Rejected(
            "separating-funnel",
            "separating funnel",
            "acetone and water mix in all proportions: one layer only",
            "one-layer",
        ),
        Rejected("filtration", "filtration", "there is no solid to catch", "no-solid"),
    ),
    plan=(
        plan_step(
            1,
            "simple-distillation",
            ("acetone", "water"),
            (
                ProductShown("the distillate", ("acetone",), "liquid, still with some water", "product"),
                ProductShown("the residue in the flask", ("water",), "liquid", "by-product"),
            ),
            reasons=(
                "acetone boils at 56.1 °C and water at 100 °C: 44 K apart, so the first vapour is mostly acetone",
                "both are liquids",
            ),
            steps=(
                "Put the mixture and a few boiling chips into the flask; fill it at most two thirds",
                "Heat gently until the thermometer stands at about 56 °C and collect what comes over",
                "Change the receiver when the temperature climbs quickly",
                "Stop while some liquid is still in the flask",
            ),
            seen=("The thermometer stays near 56 °C, then climbs",),
            cautions=(EYES, Caution(FLAME, "danger", "simple-distillation", "flammable-vapour")),
            limits=("The first fraction holds some water",),
            residues=("Collect acetone in the bottle for flammable solvents without halogens",),
            numbers=(
                number("boiling point of acetone", "56.1 °C", 56.08, "°C"),
                number("boiling point of water", "100 °C", 99.97, "°C"),
                number("boiling gap", "43.9 K", 43.89, "K", "computed", ""),
            ),
        ),
    ),
    contrast="Fractional distillation would part them more sharply, but 44 K apart a single vaporisation is enough",
    why_not=(
        Nearest(
            "separating-funnel",
            "separating funnel",
            "rejected",
            "the two liquids make one layer",
            "one-layer",
            (("layers at least 2", "1"),),
        ),
    ),
    cautions=(Caution(FLAME, "danger", "simple-distillation"),),
    sources=(CRC, PRACTICE),
    trace=(
        TraceEntry(
            "simple-for-far-boilers",
            "selection",
            "simple-distillation",
            "acetone boils 44 K below water",
            "the vapour is richer",
            "common-practice",
            "rules/selection/liquids/simple-for-far-boilers.yaml",
            1,
            (TraceFact("low", "acetone", (("boiling_point", "56.1 °C", "measured", "crc-organic"),)),),
        ),
    ),
)

SAND = ComponentSeen("sand", "sand", "solid", "solid", amount="20 g")
SALT = ComponentSeen("sodium-chloride", "common salt", "solid", "solid")
IRON = ComponentSeen("iron", "iron filings", "solid", "solid")
HOT = Caution("The dish and the stand stay hot for a long time", "care", "evaporation")

SAND_SALT_IRON = asked(
    "how do I separate sand, salt and iron filings?",
    IRON,
    SAND,
    SALT,
    techniques=(
        TechniqueAdvice(
            "magnetic-separation", "magnetic separation", "best", ("a magnet lifts only iron",), ("magnet-for-iron",)
        ),
    ),
    plan=(
        plan_step(
            1,
            "magnetic-separation",
            ("iron filings", "sand", "common salt"),
            (
                ProductShown("what the magnet lifts", ("iron filings",), "dry solid", "product"),
                ProductShown("what is left", ("sand", "common salt"), "dry solid", "continues", 2),
            ),
            reasons=("a magnet lifts only the iron filings",),
        ),
        plan_step(
            2,
            "dissolving",
            ("sand", "common salt"),
            (ProductShown("salt solution with sand", ("sand", "common salt", "water"), "suspension", "continues", 3),),
            adds="water",
            reasons=("common salt dissolves in water, sand does not",),
            numbers=(number("solubility of common salt in water at 20 °C", "35.9 g/100 g", 35.9, "g/100 g"),),
        ),
        plan_step(
            3,
            "filtration",
            ("sand", "common salt", "water"),
            (
                ProductShown("the residue on the filter", ("sand",), "wet solid", "product"),
                ProductShown("the filtrate", ("common salt", "water"), "solution", "continues", 4),
            ),
        ),
        plan_step(
            4,
            "evaporation",
            ("common salt", "water"),
            (
                ProductShown("the crystals", ("common salt",), "solid", "product"),
                ProductShown("steam", ("water",), "vapour", "lost"),
            ),
            cautions=(
                EYES,
                HOT,
                Caution("Salt spits when the last water goes: take the flame away early", "danger", "evaporation"),
            ),
        ),
    ),
    products=(
        ProductShown("iron filings", ("iron filings",), "dry solid", "product"),
        ProductShown("sand", ("sand",), "wet solid", "product"),
        ProductShown("common salt", ("common salt",), "solid", "product"),
    ),
    alternatives=(
        StepRef(
            ("dissolving", "filtration", "magnetic-separation"),
            14.0,
            "one step less at first, but the wet filings rust",
        ),
    ),
    missing=(MissingFact("the particle size of the sand", "With grains much coarser than the salt a sieve would do"),),
    sources=(CRC, PRACTICE),
)

# Two products go on, so the plan branches; both branches send water vapour off.
BRANCHED = asked(
    "four solids",
    *(ComponentSeen(name, name, "solid", "solid") for name in ("A", "B", "C", "D")),
    plan=(
        plan_step(
            1,
            "sieving",
            ("A", "B", "C", "D"),
            (
                ProductShown("coarse", ("A", "B"), "solid", "continues", 2),
                ProductShown("fine", ("C", "D"), "solid", "continues", 3),
            ),
        ),
        plan_step(
            2,
            "hand-picking",
            ("A", "B"),
            (ProductShown("A", ("A",), "solid", "product"), ProductShown("B", ("B",), "solid", "product")),
        ),
        plan_step(
            3,
            "sublimation",
            ("C", "D"),
            (ProductShown("C", ("C",), "solid", "product"), ProductShown("D", ("D",), "solid", "product")),
        ),
    ),
)

REFUSED = asked(
    "bleach and hydrochloric acid",
    ComponentSeen("sodium-hypochlorite", "bleach", "liquid", "liquid"),
    ComponentSeen("hydrochloric-acid", "hydrochloric acid", "liquid", "liquid"),
    status="refused",
    refusal=Refusal(
        "unsafe",
        ("bleach and acid give off chlorine, a toxic gas",),
        ("Open the windows, leave the room and call for help",),
    ),
    cautions=(Caution("Never bring them together, and never in a closed vessel", "danger"),),
)

UNKNOWN = asked(
    "acetone and flurbium",
    ACETONE,
    status="unknown",
    unknown=(("flurbium", ("fluorene", "terbium")),),
)

NOTHING = asked(
    "distilled water",
    WATER,
    status="nothing-to-separate",
    refusal=Refusal("nothing-to-separate", ("it is one substance, water",)),
)

OPEN = asked(
    "compound X and water",
    ComponentSeen("x", "compound X", "liquid", "liquid"),
    WATER,
    status="needs-information",
    missing=(
        MissingFact("whether compound X mixes with water", "If it does: distillation. If not: a separating funnel"),
    ),
)

BLOCKED = asked(
    "salt water",
    ComponentSeen("sodium-chloride", "common salt", "dissolved", "solid", "water"),
    WATER,
    without=("heat", "sunlight"),
    status="refused",
    refusal=Refusal("blocked", ("every way needs heat",), ("With heat allowed: evaporation",)),
)

ALL = {
    "acetone and water": ACETONE_WATER,
    "sand, salt and iron": SAND_SALT_IRON,
    "branched": BRANCHED,
    "refused": REFUSED,
    "unknown": UNKNOWN,
    "nothing": NOTHING,
    "open": OPEN,
    "blocked": BLOCKED,
}
