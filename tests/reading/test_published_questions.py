"""Published questions are understood: components with their forms, the wish, the constraint.

The questions are facts taken from the publication named beside each; what they must be read as was written by hand from
the chemistry (what dissolves in what, which phase it is). "common practice" and "from memory" mark the rest.
"""

from __future__ import annotations

import pytest
from questions import Case, differences

from choosemethod.reading import read_words
from choosemethod.table import Table

IGCSE = "Cambridge IGCSE Chemistry 0620 syllabus, section 12.4 Separation and purification"
NCERT6 = "NCERT Science class 6, chapter Separation of Substances (from memory)"
NCERT9 = "NCERT Science class 9, chapter Is Matter Around Us Pure"
NCERT9X = "NCERT Exemplar Problems class 9, chapter 2"
NCERT12 = "NCERT Chemistry class 12, General Principles and Processes of Isolation of Elements (from memory)"
NCERT12S = "NCERT Chemistry class 12, Surface Chemistry (from memory)"
ICSE9 = 'ICSE class 9 chemistry exercise "separate the following substances from the given mixtures"'
QLD = "School Science Lessons (University of Queensland), topic 10 Separation"
RSC = "Royal Society of Chemistry / Nuffield Practical Chemistry"
COMMON = "common practice, no source"
MEMORY = "from memory"
AZEOTROPES = "azeotrope tables after Lange 10th ed. and CRC 44th ed."

ALL_WATER = {"water": "liquid"}

CASES = [
    Case(
        "a few mL with a precipitate of silver chloride in a semi-micro test tube",
        "semi-micro qualitative analysis practice (from memory)",
        {"silver-chloride": ("suspended", "water"), "water": "liquid"},
        rest=True,
        small=True,
    ),
    Case("alcohol and water", IGCSE, {"ethanol": "liquid", "water": "liquid"}, want=()),
    Case("bran in wheat flour", NCERT6, {"bran": "solid", "flour": "solid"}),
    Case(
        "limestone powder and calcium chloride",
        "solubility rules (from memory)",
        {"limestone": "solid", "calcium-chloride": "solid"},
        want=(),
    ),
    Case("camphor + table salt", NCERT9, {"camphor": "solid", "sodium-chloride": "solid"}, want=()),
    Case("carbon tetrachloride and water", ICSE9, {"carbon-tetrachloride": "liquid", "water": "liquid"}, want=()),
    Case(
        "chalk dust in water and the filter paper has run out",
        COMMON,
        {"chalk": ("suspended", "water"), "water": "liquid"},
        without=("filter-paper",),
    ),
    Case(
        "ground coffee after brewing - keep the drink",
        COMMON,
        {"coffee-grounds": ("suspended", "water"), "water": "liquid"},
        rest=True,
        want=("water",),
    ),
    Case(
        "black copper oxide mixed with copper sulfate",
        "AQA GCSE required practical 1, soluble salt from copper oxide (from memory)",
        {"copper-ii-oxide": "solid", "copper-ii-sulfate": "solid"},
        want=(),
    ),
    Case(
        "copper(II) sulfate solution - want nice blue crystals",
        IGCSE,
        {"copper-ii-sulfate": ("dissolved", "water"), "water": "liquid"},
        want=("copper-ii-sulfate",),
        form="crystals",
    ),
    Case(
        "Epsom salts solution, crystals wanted",
        f"{QLD}, 10.1.15",
        {"magnesium-sulfate": ("dissolved", "water"), "water": "liquid"},
        want=("magnesium-sulfate",),
        form="crystals",
    ),
    Case("a builder wants gravel out of sand", NCERT6, {"gravel": "solid", "sand": "solid"}, want=("gravel",)),
    Case(
        "I want the water back from blue ink",
        "Edexcel GCSE 1CH0 core practical 2.11",
        {"water": "liquid"},
        rest=True,
        want=("water",),
    ),
    Case(
        "iodine crystals and sand",
        "ICSE Chemistry class 8 textbook, chapter on separation, pages 53-60",
        {"iodine": "solid", "sand": "solid"},
        want=(),
    ),
    Case("iron pins dropped in sand", NCERT9, {"steel-pins": "solid", "sand": "solid"}, want=()),
    Case(
        "a mixture of iron filings and sulfur powder",
        f"{RSC}, Iron and sulfur reaction (from memory)",
        {"iron": "solid", "sulfur": "solid"},
        want=(),
    ),
    Case(
        "Iron filings from a mixture of iron filings and water",
        'Queen Elizabeth School exercise "Physical separation methods" Q3c',
        {"iron": ("suspended", "water"), "water": "liquid"},
        want=("iron",),
    ),
    Case("glass marbles and sand", COMMON, {"marbles": "solid", "sand": "solid"}),
    Case("50 cm3 of paraffin (lamp oil) that has got water in it", NCERT9, {"kerosene": "liquid", "water": "liquid"}),
    Case(
        "salt from 1 L of sea water",
        "vapour-pressure calculation (from memory)",
        {"sodium-chloride": ("dissolved", "water"), "water": "liquid"},
        rest=True,
        named="sea-water",
        want=("sodium-chloride",),
    ),
    Case("sulphur powder + common salt", COMMON, {"sulfur": "solid", "sodium-chloride": "solid"}, want=()),
    Case(
        "Mixture of amino acids (colourless): glycine, alanine, leucine",
        f"{QLD}, 10.2.6",
        {
            "glycine": ("dissolved", "water"),
            "alanine": ("dissolved", "water"),
            "leucine": ("dissolved", "water"),
            "water": "liquid",
        },
        aim="identify",
    ),
    Case(
        "blood: plasma from cells",
        "NCERT 9 and general biology (from memory)",
        {"red-blood-cells": ("suspended", "water"), "water": "liquid"},
        rest=True,
        named="blood",
    ),
    Case(
        "cobalt(II) and nickel(II) chlorides in solution",
        "undergraduate analytical experiment (from memory)",
        {
            "cobalt-ii-chloride": ("dissolved", "water"),
            "nickel-ii-chloride": ("dissolved", "water"),
            "water": "liquid",
        },
        want=(),
    ),
    Case("colours on coated sweets", f"{QLD}, 10.2.8; Edexcel GCSE 1CH0 2.7-2.12", {}, rest=True, aim="identify"),
    Case(
        "get rid of ammonium sulfate from my protein solution",
        "IASRI e-course, protein purification",
        {"ammonium-sulfate": ("dissolved", "water"), "water": "liquid"},
        rest=True,
        remove=("ammonium-sulfate",),
    ),
    Case(
        "glucose, fructose and maltose in one solution",
        "IGCSE and A level biology and chemistry texts (from memory)",
        {
            "glucose": ("dissolved", "water"),
            "fructose": ("dissolved", "water"),
            "maltose": ("dissolved", "water"),
            "water": "liquid",
        },
        want=(),
    ),
    Case("butter from curd", NCERT9, {"milk-fat": "emulsified"}, rest=True, want=("milk-fat",)),
    Case(
        "sugar from crushed cane juice (factory)",
        "sugar technology in general chemistry texts (from memory)",
        {"sucrose": ("dissolved", "water"), "water": "liquid"},
        rest=True,
        want=("sucrose",),
    ),
    Case(
        "iron(III) hydroxide sol containing leftover ferric chloride",
        NCERT12S,
        {
            "iron-iii-hydroxide": ("colloidal", "water"),
            "iron-iii-chloride": ("dissolved", "water"),
            "water": "liquid",
        },
        rest=True,
    ),
    Case(
        "roasted peanuts and their loose red skins",
        "NCERT 6 (from memory)",
        {"peanuts": "solid", "peanut-skins": "solid"},
    ),
    Case("soot particles from chimney smoke", NCERT12S, {"soot": "airborne"}, rest=True, want=("soot",)),
    Case(
        "soap out of the saponification mixture",
        f"{RSC}, Making soap (from memory)",
        {"soap": "colloidal"},
        rest=True,
        want=("soap",),
    ),
    Case(
        "benzoic acid and naphthalene",
        "student laboratory report on benzoic acid and naphthalene (web copy)",
        {"benzoic-acid": "solid", "naphthalene": "solid"},
        want=(),
    ),
    Case(
        "caffeine from tea bags",
        "undergraduate experiment (web copies)",
        {"caffeine": "embedded"},
        rest=True,
        want=("caffeine",),
    ),
    Case(
        "Separate ethanol from water WITHOUT heat",
        "The Chemical Educator 1996, Salting out of ethanol and water",
        {"ethanol": "liquid", "water": "liquid"},
        want=("ethanol",),
        without=("heat", "burner", "open-flame"),
    ),
    Case(
        "acetone dissolved in a lot of water, without distilling",
        "salting-out demonstrations (Chem. Educator 1996, University of Wisconsin)",
        {"acetone": "liquid", "water": "liquid"},
        without=("distillation-apparatus",),
    ),
    Case(
        "penicillin from the fermentation broth",
        "biotechnology textbooks (from memory)",
        {"penicillin-g": "dissolved"},
        rest=True,
        want=("penicillin-g",),
    ),
    Case(
        "carbon monoxide containing carbon dioxide",
        "school inorganic textbooks (from memory)",
        {"carbon-monoxide": "gas", "carbon-dioxide": "gas"},
    ),
    Case(
        "how to get the dissolved air out of tap water",
        f"{QLD}, 10.1.7 and 10.1.20",
        {"oxygen": ("dissolved", "water"), "nitrogen": ("dissolved", "water"), "water": "liquid"},
        rest=True,
        remove=("oxygen", "nitrogen"),
    ),
    Case(
        "helium from a mixture of helium and argon",
        "Cambridge IGCSE experimental techniques item (gases from memory)",
        {"helium": "gas", "argon": "gas"},
        want=("helium",),
    ),
    Case(
        "wet ammonia gas, need it dry",
        "WAEC 1994 chemistry c(i) (web copy)",
        {"ammonia": "gas", "water": "gas"},
        want=("ammonia",),
        form="dry",
    ),
    Case(
        "crude oil", f"{QLD}, 10.1.5; IGCSE", {"petrol": "liquid", "kerosene": "liquid"}, rest=True, named="crude-oil"
    ),
    Case(
        "potassium chloride from sylvinite (KCl + NaCl)",
        "industrial inorganic chemistry (from memory)",
        {"potassium-chloride": "solid", "sodium-chloride": "solid"},
        want=("potassium-chloride",),
    ),
    Case("galena (lead sulfide) powdered with rock", NCERT12, {"galena": "solid"}, rest=True),
    Case(
        "polyethene and PVC flakes for recycling",
        "recycling practice (from memory)",
        {"polyethene": "solid", "pvc": "solid"},
    ),
    Case("zinc blende and galena ore together", NCERT12, {"zinc-blende": "solid", "galena": "solid"}, rest=True),
    Case(
        "two liquids that mix, one boils at 40 C the other at 150 C, both stable",
        f"{NCERT9} (25 K rule from memory)",
        {"liquid-a": "liquid", "liquid-b": "liquid"},
        given={
            "liquid-a": {"boiling_point": "40 °C", "solubility: liquid-b": "miscible", "phase": "liquid"},
            "liquid-b": {"boiling_point": "150 °C", "heat_sensitive": "no"},
        },
    ),
    Case(
        "two miscible liquids A (b.p. 60 C) and B (b.p. 80 C)",
        f"{NCERT9} (25 K rule from memory)",
        {"liquid-a": "liquid", "liquid-b": "liquid"},
        given={
            "liquid-a": {"boiling_point": "60 °C", "solubility: liquid-b": "miscible"},
            "liquid-b": {"boiling_point": "80 °C", "solubility: liquid-a": "miscible"},
        },
    ),
    Case(
        "propanone + methylbenzene (toluene)",
        "handbook boiling points (from memory)",
        {"acetone": "liquid", "toluene": "liquid"},
        want=(),
    ),
    Case(
        "We are at 1600 m. Ethanol and water, what temperature should the thermometer show?",
        "vapour-pressure calculation (from memory)",
        {"ethanol": "liquid", "water": "liquid"},
        pressure=(83_000, 84_500),
    ),
    Case(
        "chloroform and benzene",
        "handbook boiling points (from memory)",
        {"chloroform": "liquid", "benzene": "liquid"},
        want=(),
    ),
    Case(
        "ethyl acetoacetate crude product and we have no vacuum apparatus",
        "Practical Organic Chemistry, ethyl acetoacetate, note p. 268 (web copy)",
        {"ethyl-acetoacetate": "liquid"},
        rest=True,  # something else is in a crude product
        without=("vacuum",),
    ),
    Case(
        "purify ethyl acetoacetate (b.p. 181 C with decomposition)",
        "Practical Organic Chemistry, distillation in vacuo (archive.org text)",
        {"ethyl-acetoacetate": "liquid"},
        rest=True,
        want=("ethyl-acetoacetate",),
        form="pure",
        missing=True,
    ),
    Case(
        "ethanol/water 40:60, want ethanol as strong as possible by distilling",
        AZEOTROPES,
        {"ethanol": "liquid", "water": "liquid"},
        want=("ethanol",),
        form="pure",
        tried=("simple-distillation",),
    ),
    Case(
        "glycerol from spent lye in the soap industry",
        "NCERT Chemistry class 11 part II, Organic Chemistry: Some Basic Principles and Techniques",
        {"glycerol": "liquid", "water": "liquid"},
        rest=True,
        want=("glycerol",),
    ),
    Case(
        "glycerol and water, no vacuum pump",
        COMMON,
        {"glycerol": "liquid", "water": "liquid"},
        without=("vacuum-pump", "vacuum"),
    ),
    Case(
        "ethylene glycol antifreeze and water",
        "handbook boiling points (from memory)",
        {"ethylene-glycol": "liquid", "water": "liquid"},
    ),
    Case(
        "distil 37 % hydrochloric acid to get pure acid without water?",
        AZEOTROPES,
        {"hydrogen-chloride": "dissolved", "water": "liquid"},
        want=("hydrogen-chloride",),
        tried=("simple-distillation",),
    ),
    Case(
        "Hexane and octane are liquids with different boiling points. Best method of separating them?",
        "Cambridge IGCSE Chemistry Revision Guide Q3.08 (web copy)",
        {"hexane": "liquid", "octane": "liquid"},
        want=(),
    ),
    Case(
        "rubbing alcohol (70 % isopropanol in water) - get the alcohol as pure as I can",
        AZEOTROPES,
        {"propan-2-ol": "liquid", "water": "liquid"},
        want=("propan-2-ol",),
        form="pure",
    ),
    Case(
        "oil from orange peel (limonene)",
        f"{RSC}, Extracting limonene from oranges by steam distillation",
        {"limonene": "embedded"},
        rest=True,
        want=("limonene",),
    ),
    Case(
        "camphor, iron filings, salt",
        COMMON,
        {"camphor": "solid", "iron": "solid", "sodium-chloride": "solid"},
        want=(),
    ),
    Case(
        "chalk powder stirred in sugar water; recover chalk and sugar",
        COMMON,
        {"chalk": ("suspended", "water"), "sucrose": ("dissolved", "water"), "water": "liquid"},
        want=("chalk", "sucrose"),
    ),
    Case(
        "iron powder, copper powder and salt",
        COMMON,
        {"iron": "solid", "copper": "solid", "sodium-chloride": "solid"},
        want=(),
    ),
    Case(
        "iron filings, sulfur and salt all mixed up",
        COMMON,
        {"iron": "solid", "sulfur": "solid", "sodium-chloride": "solid"},
        want=(),
    ),
    Case("the coloured pigments from flower petals", NCERT9, {"anthocyanin": "embedded"}, rest=True, aim="identify"),
    Case(
        "Suggest the technique(s) for: kerosene oil, water and salt",
        NCERT9X,
        {"kerosene": "liquid", "water": "liquid", "sodium-chloride": ("dissolved", "water")},
        want=(),
    ),
    Case(
        "Unknown 3: NH4Cl, NaCl and SiO2, find the % of each",
        'US general chemistry experiment "Separation of the components of a mixture"',
        {"ammonium-chloride": "solid", "sodium-chloride": "solid", "silicon-dioxide": "solid"},
        want=(),
    ),
    Case(
        "a mixture of sand, rice and iron filings",
        "outreach classroom activity (web)",
        {"sand": "solid", "rice": "solid", "iron": "solid"},
    ),
    Case(
        "salt, sand, iron filings, rice and polystyrene beads",
        'class slides "Separating mixtures" (web)',
        {
            "sodium-chloride": "solid",
            "sand": "solid",
            "iron": "solid",
            "rice": "solid",
            "expanded-polystyrene": "solid",
        },
    ),
    Case(
        "pure salt from lumps of rock salt",
        f"{RSC}, Separating sand and salt (from memory)",
        {"sodium-chloride": "solid"},
        rest=True,
        named="rock-salt",
        want=("sodium-chloride",),
        form="pure",
    ),
    Case("sand + salt + iodine", COMMON, {"sand": "solid", "sodium-chloride": "solid", "iodine": "solid"}, want=()),
    Case(
        "dirty salty beach water with sand in it; I only need the salt",
        NCERT6,
        {"sodium-chloride": ("dissolved", "water"), "sand": ("suspended", "water"), "water": "liquid"},
        rest=True,
        want=("sodium-chloride",),
    ),
    Case("sulfur, sand and salt", COMMON, {"sulfur": "solid", "sand": "solid", "sodium-chloride": "solid"}, want=()),
    Case(
        "benzoic acid and table salt",
        "solubility of benzoic acid (web copy)",
        {"benzoic-acid": "solid", "sodium-chloride": "solid"},
    ),
    Case(
        "benzoic acid and naphthalene, no organic solvents allowed",
        "after the acid-base extraction experiment (from memory)",
        {"benzoic-acid": "solid", "naphthalene": "solid"},
        without=("organic-solvents", "flammable-solvents"),
    ),
    Case(
        "crude greenish caffeine",
        "undergraduate tea experiment (web copy)",
        {"caffeine": "solid"},
        rest=True,
        want=("caffeine",),
    ),
    Case(
        "camphor and naphthalene together",
        "web study note on sublimation",
        {"camphor": "solid", "naphthalene": "solid"},
    ),
    Case(
        "calcium carbonate and sand; keep the sand",
        COMMON,
        {"calcium-carbonate": "solid", "sand": "solid"},
        want=("sand",),
    ),
    Case(
        "off-white naphthalene with a few % of involatile dirt",
        COMMON,
        {"naphthalene": "solid"},
        rest=True,
        want=("naphthalene",),
    ),
    Case(
        "ammonium chloride + sodium chloride, but we have no fume cupboard",
        f"{RSC}, Thermal decomposition of ammonium chloride (from memory)",
        {"ammonium-chloride": "solid", "sodium-chloride": "solid"},
        without=("fume-cupboard",),
    ),
    Case(
        "salicylic acid plus table sugar",
        "solubility facts (from memory)",
        {"salicylic-acid": "solid", "sucrose": "solid"},
    ),
    Case("Sulphur from a mixture of sulphur & copper", ICSE9, {"sulfur": "solid", "copper": "solid"}, want=("sulfur",)),
    Case("urea and naphthalene", COMMON, {"urea": "solid", "naphthalene": "solid"}),
    Case(
        "ammonium nitrate soaked in diesel",
        "incompatible-chemicals lists",
        {"ammonium-nitrate": "suspended", "diesel-oil": "liquid"},
    ),
    Case(
        "Sugar crystals from sugar cane and sugar crystals from beetroot are mixed together; separate them",
        NCERT9X,
        {"sucrose": "solid"},
        really="one substance",
    ),
    Case(
        "potassium chlorate and sulfur ground together, separate them dry",
        "incompatible-chemicals lists",
        {"potassium-chlorate": "solid", "sulfur": "solid"},
        without=("water",),
    ),
    Case("separate compound X and compound Y", COMMON, {"compound-x": "solid", "compound-y": "solid"}, missing=True),
    Case("asdf qwerty flurb", "robustness", {}, unknown=("asdf qwerty flurb",)),
    Case("18 carat gold ring to pure gold", COMMON, {}, rest=True, really="alloy", want=("gold",)),
    Case(
        "acetone and concentrated nitric acid - distil the acetone off?",
        "incompatible-chemicals lists",
        {"acetone": "liquid", "concentrated-nitric-acid": "liquid"},
        tried=("simple-distillation",),
    ),
    Case("ice cubes in water", COMMON, {"water": "solid"}, really="one substance"),
    Case(
        "separate chlorine-35 from chlorine-37 in a school lab",
        "general chemistry texts (from memory)",
        {"chlorine-35": "gas", "chlorine-37": "gas"},
        really="isotopes",
    ),
    Case(
        "copper sulphat soltion -> cristals",
        f"{IGCSE} (misspelt on purpose)",
        {"copper-ii-sulfate": ("dissolved", "water"), "water": "liquid"},
        want=("copper-ii-sulfate",),
        form="crystals",
        corrected=("copper sulphat", "soltion", "cristals"),
    ),
    Case(
        "salt from sea water on an island, no electricity and no fuel",
        "ICSE class 6 chemistry textbook, chapter 5 exercise II",
        {"sodium-chloride": ("dissolved", "water"), "water": "liquid"},
        rest=True,
        want=("sodium-chloride",),
        without=("electricity", "fuel", "burner"),
    ),
    Case("sulfur dissolves in water, right? I have sulfur + sand", COMMON, {"sulfur": "solid", "sand": "solid"}),
    Case(
        "white powder + water, it dissolved. What is it and how do I get it back?",
        COMMON,
        {"white-powder": ("dissolved", "water"), "water": "liquid"},
        want=("white-powder",),
        given={"white-powder": {"phase": "solid", "solubility: water": "soluble"}},
    ),
    Case(
        "brine, I want the WATER",
        COMMON,
        {"sodium-chloride": ("dissolved", "water"), "water": "liquid"},
        want=("water",),
    ),
    Case(
        "Separate water into hydrogen and oxygen by distillation",
        "general chemistry texts, compound and mixture (from memory)",
        {"water": "liquid"},
        really="compound",
        want=("hydrogen", "oxygen"),
        tried=("simple-distillation",),
    ),
]

# Wishes and constraints a question carries beside its words, as the command's options give them.
ASKED = [
    ("seawater", "salt from 1 L of sea water", "salt", ("sodium-chloride",), ""),
    ("coffee", "ground coffee after brewing", "the coffee drink", ("water",), ""),
    ("copper sulfate", "copper(II) sulfate solution", "copper sulfate crystals", ("copper-ii-sulfate",), "crystals"),
    ("crystals", "copper sulfate solution", "crystals", ("copper-ii-sulfate",), "crystals"),
    ("dry ammonia", "wet ammonia gas", "dry ammonia", ("ammonia",), "dry"),
    ("pure salt", "rock salt", "pure salt", ("sodium-chloride",), "pure"),
    ("the powder", "white powder + water, it dissolved", "the powder", ("white-powder",), ""),
    ("propan-2-ol", "rubbing alcohol", "propan-2-ol", ("propan-2-ol",), ""),
    ("iron filings", "iron filings and water", "iron filings", ("iron",), ""),
    ("limonene", "oil from orange peel", "limonene", ("limonene",), ""),
]


@pytest.mark.parametrize("case", CASES, ids=[case.words[:50] for case in CASES])
def test_published_question_is_understood(case: Case, table: Table) -> None:
    assert case.source
    question = read_words(case.words, table)
    assert differences(case, question) == []


@pytest.mark.parametrize("name, words, want, ids, form", ASKED, ids=[row[0] for row in ASKED])
def test_wish_given_beside_the_words(
    name: str, words: str, want: str, ids: tuple[str, ...], form: str, table: Table
) -> None:
    question = read_words(words, table, want=[want])
    assert question.wish.want == ids
    assert question.wish.form == form
    assert question.unknown == ()


def test_a_gas_to_be_got_out_has_to_go_whatever_is_wanted(table: Table) -> None:
    question = read_words("how to get the dissolved air out of tap water", table, want=["degassed water"])
    assert question.wish.want == ()
    assert question.wish.form == "degassed"
    assert set(question.wish.remove) >= {"oxygen", "nitrogen"}


@pytest.mark.parametrize(
    "words, key",
    [
        ("no filter paper", "filter-paper"),
        ("no heating allowed", "heat"),
        ("no distillation apparatus", "distillation-apparatus"),
        ("no vacuum", "vacuum"),
        ("no organic solvents", "organic-solvents"),
        ("no fume cupboard", "fume-cupboard"),
        ("no electricity, no fuel", "electricity"),
        ("no electricity, no fuel", "fuel"),
    ],
)
def test_constraint_given_beside_the_words(words: str, key: str, table: Table) -> None:
    question = read_words("sand and salt", table, without=[words])
    assert key in question.setting.without
    assert question.unknown == ()
