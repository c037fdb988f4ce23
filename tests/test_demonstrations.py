"""The mixtures every chemistry teacher asks about first: each answer in the terminal (80 columns) and as JSON.

Each number and each saying has its source beside it. `PRACTICE` marks what laboratories everywhere do and no single book
says first.
"""

from __future__ import annotations

import json
import re
from typing import Any, NamedTuple

import pytest

from choosemethod import advise
from choosemethod.cli import main

PRACTICE = "common practice, no source"
CRC = "CRC Handbook of Chemistry and Physics, 95th ed., section 3, Physical Constants of Organic Compounds"
IAPWS = "IAPWS R6-95, the IAPWS Formulation 1995: water boils at 99.97 °C at 101.325 kPa"
GMEHLING = "J. Gmehling et al., Azeotropic Data, 2nd ed., Wiley-VCH 2004, as in the CRC Handbook, 97th ed., section 6"
CLP = "Regulation (EC) No 1272/2008, Annex VI: methanol is H225, H301, H311, H331, H370; acetone H225, H319, H336"
VOGEL = "B. S. Furniss et al., Vogel's Textbook of Practical Organic Chemistry, 5th ed., Longman 1989, chapter 2"
RSC = "Royal Society of Chemistry, Learn Chemistry: Separating sand and salt by filtering and evaporation"
IUPAC_TLC = (
    "L. S. Ettre, Nomenclature for Chromatography (IUPAC Recommendations 1993), Pure Appl. Chem. 65 (1993) 819-872: Rf"
)
CODATA = "CODATA Key Values / CRC Handbook, Aqueous Solubility of Inorganic Compounds: CuSO4 crystallises as the pentahydrate"


class Number(NamedTuple):
    """A number of the answer: what its name begins with, its value and how far it may differ, unit, source."""

    name: str
    value: float
    within: float
    unit: str
    source: str


class Demonstration(NamedTuple):
    """A question, the technique of each step, what is obtained at each place, sayings (regular expressions) and numbers."""

    question: str
    plan: tuple[str, ...]
    gives: dict[str, tuple[str, ...]]  # part -> the substances in it
    sayings: tuple[tuple[str, str], ...]
    numbers: tuple[Number, ...] = ()
    never: tuple[str, ...] = ()  # what would be wrong or unsafe, common practice
    options: tuple[str, ...] = ()


EYES = ("eye protection|goggles", PRACTICE)
TEACHER = ("local safety rules decide", PRACTICE)
NO_CLOSED_VESSEL = ("receiver open to the air", VOGEL)
NOT_DRY = ("[Nn]ever distil to dryness", VOGEL)
NO_FLAME = ("no naked flame", CLP)
MANTLE = ("electric heating mantle( or hot-water bath)?", VOGEL)
DISTILLING_A_FLAMMABLE = (NO_FLAME, MANTLE, NO_CLOSED_VESSEL, NOT_DRY, EYES, TEACHER)

DEMONSTRATIONS = [
    Demonstration(
        "vegetable oil and water",
        ("separating-funnel",),
        {"layer": ("water", "vegetable oil")},
        (
            ("do not mix", PRACTICE),
            ("[Ww]ater is denser", IAPWS),
            ("lower layer is water", IAPWS),
            ("upper layer is vegetable oil", PRACTICE),
            ("[Tt]ake the stopper out", VOGEL),
            ("run the lower layer, water, into", VOGEL),
            ("[Pp]our the upper layer, vegetable oil, out of the top", VOGEL),
            EYES,
            TEACHER,
        ),
        # IAPWS-95 gives 998.2 kg/m3 at 20 °C; Codex Alimentarius CXS 210-1999 gives 0.91 to 0.93 for common seed oils
        (
            Number("density of water", 0.998, 0.001, "g/cm3", IAPWS),
            Number(
                "density of vegetable oil",
                0.92,
                0.01,
                "g/cm3",
                "Codex Alimentarius CXS 210-1999, table 2: relative density of seed oils",
            ),
        ),
        ("lower layer is vegetable oil", "Bunsen", "DANGER"),
    ),
    Demonstration(
        "acetone and water",
        ("simple-distillation",),
        {"distillate": ("acetone",), "residue": ("water",)},
        (
            ("acetone boils at 56.1 °C and water at 100 °C", CRC),
            ("44 K apart", CRC),
            ("first fraction .* holds 7[678] mol %", PRACTICE),
            ("highly flammable", CLP),
            NO_FLAME,
            MANTLE,
            NO_CLOSED_VESSEL,
            NOT_DRY,
            ("[Hh]eat gently, never with a flame", VOGEL),
            ("cold flask half to two-thirds full and add two or three anti-bumping granules", VOGEL),
            EYES,
            TEACHER,
        ),
        (
            Number("boiling point of acetone", 56.08, 0.3, "°C", CRC),
            Number("boiling point of water", 100.0, 0.05, "°C", IAPWS),
            Number("boiling gap", 44.0, 0.5, "K", CRC),
        ),
        ("[Bb]unsen", "pure acetone"),
    ),
    Demonstration(
        "methanol and ethanol",
        ("fractional-distillation",),
        {"fraction": ("methanol", "ethanol")},
        (
            ("methanol boils at 64.[567] °C and ethanol at 78.[23] °C", CRC),
            ("less than 25 K", VOGEL),
            ("[Mm]ethanol is toxic", CLP),
            ("poisonous and can blind", CLP),
            ("ethanol and methanol are flammable, methanol the most", CLP),
            ("[Cc]olumn", VOGEL),
            *DISTILLING_A_FLAMMABLE,
        ),
        (
            Number("boiling point of methanol", 64.6, 0.3, "°C", CRC),
            Number("boiling point of ethanol", 78.29, 0.3, "°C", CRC),
            Number("boiling gap", 13.7, 0.5, "K", CRC),
        ),
        ("[Bb]unsen", "azeotrope of methanol"),
    ),
    Demonstration(
        "milk",
        ("centrifugation",),
        {"droplets": ("milk fat",), "clear": ("water",)},
        (
            ("cream", PRACTICE),
            (r"cream \(milk fat\) lies on top, the thin liquid \(skim\) below", PRACTICE),
            ("three quarters full", PRACTICE),
            ("[Bb]alance them: two tubes of equal mass go into opposite places", PRACTICE),
            ("lid closed until the rotor has stopped", PRACTICE),
            EYES,
        ),
        (
            # relative centrifugal force = r (2 pi n)^2 / g = 0.10 m (2 pi 50 / s)^2 / 9.80665 m/s2 = 1006.4
            Number(
                "relative centrifugal force",
                1006.4,
                1.0,
                "",
                "definition of centrifugal acceleration; standard gravity 9.80665 m/s2, ISO 80000-3",
            ),
            Number(
                "density of milk fat",
                0.92,
                0.02,
                "g/cm3",
                "P. Walstra et al., Dairy Science and Technology, 2nd ed., CRC Press 2006: about 0.915 to 0.93",
            ),
        ),
    ),
    Demonstration(
        "red and blue ink",
        ("paper-chromatography",),
        {"spot": ("red dye", "blue dye")},
        (
            ("propan-2-ol", PRACTICE),
            ("in pencil across the paper", PRACTICE),
            ("must stay above the surface of the solvent", PRACTICE),
            ("[Mm]ark the solvent front", PRACTICE),
            ("Rf = distance of the spot divided by distance of the solvent front", IUPAC_TLC),
            (r"Rf = 0\.45", IUPAC_TLC),  # 54 mm / 120 mm
            (r"Rf = 0\.75", IUPAC_TLC),  # 90 mm / 120 mm
            EYES,
        ),
        options=("--front", "120mm", "--spots", "54mm,90mm"),
    ),
    Demonstration(
        "common salt solution",
        ("evaporation",),
        {"solid": ("sodium chloride",)},
        (
            ("(common salt|sodium chloride) is dissolved in water and stays behind", RSC),
            ("spits", PRACTICE),
            ("before it is dry", PRACTICE),
            EYES,
        ),
        never=("to complete dryness",),
        options=("--want", "salt"),
    ),
    Demonstration(
        "common salt solution",
        ("simple-distillation",),
        {"distillate": ("water",), "residue": ("sodium chloride",)},
        (("water boils at 100 °C|water while the thermometer stays at about 100 °C", IAPWS), NO_CLOSED_VESSEL, NOT_DRY, EYES),
        options=("--want", "water"),
    ),
    Demonstration(
        "iron filings and sulfur",
        ("magnetic-separation",),
        {"magnet": ("iron",), "behind": ("sulfur",)},
        (
            ("iron is attracted by a magnet and sulfur is not", PRACTICE),
            ("[Dd]o not heat", PRACTICE),
            ("plastic bag", PRACTICE),
        ),
    ),
    Demonstration(
        "ammonium chloride and common salt",
        ("sublimation",),
        {"sublimate": ("ammonium chloride",), "dish": ("sodium chloride",)},
        (
            ("ammonium chloride sublimes", VOGEL),
            ("(common salt|sodium chloride) does not", VOGEL),
            ("not closed|not be airtight", VOGEL),
            ("ammonia and (hydrogen chloride|an acid gas)", PRACTICE),
            ("fume cupboard", PRACTICE),
            EYES,
        ),
        (
            Number(
                "ammonium chloride sublimes",
                338.0,
                3.0,
                "°C",
                "CRC Handbook, Physical Constants of Inorganic Compounds: NH4Cl, sublimes near 338 °C",
            ),
        ),
    ),
    Demonstration(
        "sand and water",
        ("filtration",),
        {"residue": ("sand",), "filtrate": ("water",)},
        (
            ("sand does not dissolve in water", RSC),
            ("residue on the paper is sand", RSC),
            ("filtrate in the flask holds water", RSC),
        ),
    ),
    Demonstration(
        "chalk and water",
        ("filtration",),
        {"residue": ("chalk",), "filtrate": ("water",)},
        (("chalk does not dissolve in water", PRACTICE), ("residue on the paper is chalk", PRACTICE)),
    ),
    Demonstration(
        "iodine and sand",
        ("sublimation",),
        {"sublimate": ("iodine",), "dish": ("sand",)},
        (
            ("iodine sublimes", VOGEL),
            ("sand does not", VOGEL),
            ("[Pp]urple vapour|violet vapour", PRACTICE),
            ("fume cupboard", CLP),
            ("not closed|not be airtight", VOGEL),
            EYES,
        ),
        # Triple point of iodine: 113.6 °C and 12.1 kPa
        (
            Number(
                "triple-point pressure of iodine",
                12.1,
                0.4,
                "kPa",
                "CRC Handbook, 95th ed., section 6: triple-point pressures",
            ),
        ),
    ),
    Demonstration(
        "copper sulfate solution",
        ("crystallisation",),
        {"crystals": ("copper(II) sulfate",)},
        (
            (r"CuSO4\.5H2O", CODATA),
            ("do not heat it to dryness", PRACTICE),
            ("when crystals form in a drop on a cold glass rod", PRACTICE),
            ("cool slowly", PRACTICE),
            ("not in an oven", PRACTICE),
            EYES,
        ),
        never=("evaporate to dryness",),
    ),
    Demonstration(
        "ethanol and water",
        ("fractional-distillation",),
        {"fraction": ("ethanol", "water")},
        (
            ("ethanol boils at 78.[23] °C and water at 100 °C", CRC),
            ("22 K apart", CRC),
            (r"azeotrope", GMEHLING),
            (r"95\.6 % ethanol by mass", GMEHLING),
            (r"78\.[12] °C", GMEHLING),
            ("highly flammable", CLP),
            *DISTILLING_A_FLAMMABLE,
        ),
        (
            Number("azeotrope of ethanol and water: boiling point", 78.15, 0.1, "°C", GMEHLING),
            Number("azeotrope of ethanol and water: ethanol by mass", 95.6, 0.4, "%", GMEHLING),
            Number("boiling gap", 21.7, 0.4, "K", CRC),
        ),
        ("[Bb]unsen",),
    ),
]
IDS = [" ".join((one.question, *one.options)) for one in DEMONSTRATIONS]


@pytest.fixture(autouse=True)
def no_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("NO_COLOR", "FORCE_COLOR", "COLUMNS"):
        monkeypatch.delenv(name, raising=False)


def asked(capsys: pytest.CaptureFixture[str], one: Demonstration, *options: str) -> str:
    code = main([one.question, *one.options, *options])
    out, err = capsys.readouterr()
    assert (code, err) == (0, "")
    return str(out)


@pytest.mark.parametrize("one", DEMONSTRATIONS, ids=IDS)
def test_in_the_terminal(capsys: pytest.CaptureFixture[str], one: Demonstration) -> None:
    page = asked(capsys, one, "--width", "80")
    assert max(len(line) for line in page.split("\n")) <= 80
    text = " ".join(page.split())
    technique = one.plan[0].replace("-", " ")
    assert re.search(f"Best technique: {technique}", text), text[:400]
    for saying, source in one.sayings:
        assert re.search(saying, text, re.IGNORECASE), (saying, source, text)
    for wrong in one.never:
        assert not re.search(wrong, text), wrong


@pytest.mark.parametrize("one", DEMONSTRATIONS, ids=IDS)
def test_as_json(capsys: pytest.CaptureFixture[str], one: Demonstration) -> None:
    thing: dict[str, Any] = json.loads(asked(capsys, one, "--format", "json"))
    assert thing["status"] == "answered"
    assert tuple(step["technique"] for step in thing["plan"]) == one.plan
    assert thing["techniques"][0]["technique"] == one.plan[0]
    assert thing["techniques"][0]["reasons"]
    assert thing["techniques"][0]["rules"]
    given = [(part["name"], part["components"]) for step in thing["plan"] for part in step["gives"]]
    for place, substances in one.gives.items():
        held = [name for part, names in given if place in part for name in names]
        assert set(substances) <= set(held), (place, given)
    for number in one.numbers:
        found = [shown for shown in thing["numbers"] if shown["name"].startswith(number.name)]
        assert found, (number.name, [shown["name"] for shown in thing["numbers"]])
        assert found[0]["number"] == pytest.approx(number.value, abs=number.within), number.source
        assert found[0]["unit"] == number.unit
        assert found[0]["source"] or found[0]["how"] == "computed"
        assert found[0]["value"].split()[0] == pytest.approx(number.value, abs=number.within) or float(
            found[0]["value"].split()[0]
        ) == pytest.approx(number.value, abs=max(number.within, 0.01 * number.value))
    keys = {source["key"] for source in thing["sources"]}
    for shown in thing["numbers"]:
        assert shown["source"] in keys or (shown["how"] == "computed" and not shown["source"]), shown
    text = " ".join(json.dumps(thing, ensure_ascii=False).split())
    for saying, source in one.sayings:
        assert re.search(saying, text, re.IGNORECASE), (
            saying,
            source,
        )


def test_the_rf_values_are_computed_from_what_is_given() -> None:
    # Rf is the distance of the spot over that of the front (IUPAC Recommendations 1993): 45 / 180 and 162 / 180
    found = advise("red and blue ink", front="180 mm", spots="45 mm, 162 mm").as_dict()["retention"]
    assert [line[0] for line in found] == ["Rf = 0.25", "Rf = 0.90"]


def test_the_numbers_follow_the_pressure() -> None:
    """At 84 kPa water boils at 94.8 °C (IAPWS-95) and everything else lower, too; the technique stays."""
    low = advise("acetone and water", pressure="84 kPa").as_dict()
    (water,) = [number["number"] for number in low["numbers"] if number["name"] == "boiling point of water"]
    (acetone,) = [number["number"] for number in low["numbers"] if number["name"] == "boiling point of acetone"]
    assert water == pytest.approx(94.8, abs=0.2)
    assert acetone == pytest.approx(
        50.7, abs=0.5
    )  # Antoine, NIST Chemistry WebBook: log10(p/bar) = 4.42448 - 1312.253/(T - 32.445)
    assert low["plan"][0]["technique"] == "simple-distillation"
