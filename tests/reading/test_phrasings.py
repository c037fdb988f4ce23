"""Other ways to ask: orders of words, forms, amounts, spelling, names, descriptions, constraints.

The phrasings are our own; what each must be read as is common practice, no source, unless a source is named.
"""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from questions import Case, differences

from choosemethod.reading import given_substances, read_words
from choosemethod.table import Table

COMMON = "common practice, no source"
SALT_SAND = {"sodium-chloride": "solid", "sand": "solid"}
SALT_WATER = {"sodium-chloride": ("dissolved", "water"), "water": "liquid"}
OIL_WATER = {"vegetable-oil": "liquid", "water": "liquid"}


def case(words: str, parts: dict[str, str | tuple[str, str]], **told: object) -> Case:
    return Case(words, COMMON, parts, **told)  # type: ignore[arg-type]


ORDERS = [
    case("How do I separate sand and salt?", SALT_SAND, want=()),
    case("how would you separate a mixture of salt and sand", SALT_SAND, want=()),
    case("Name the method used to separate a mixture of oil and water.", OIL_WATER, want=()),
    case("sand, salt and iron filings", {**SALT_SAND, "iron": "solid"}, want=()),
    case("sand & salt", SALT_SAND),
    case("sand/salt", SALT_SAND),
    case("NaCl + sand", SALT_SAND),
    case("salt which has been spilled onto sand", SALT_SAND),
    case("I have sand with salt in it", SALT_SAND),
    case("My teacher gave me a mixture of salt and sand and asked me to separate them", SALT_SAND, want=()),
    case("A mixture contains salt and sand. How would you obtain the salt?", SALT_SAND, want=("sodium-chloride",)),
    case(
        "I spilt sugar into the sand. How can I get my sugar back?",
        {"sucrose": "solid", "sand": "solid"},
        want=("sucrose",),
    ),
    case("How can iron filings be separated from sulfur?", {"iron": "solid", "sulfur": "solid"}),
    case("How can common salt be recovered from an aqueous solution?", SALT_WATER, want=("sodium-chloride",)),
    case("get the salt out of salt water", SALT_WATER, want=("sodium-chloride",)),
    case("remove iron from sulfur", {"iron": "solid", "sulfur": "solid"}, remove=("iron",), want=("sulfur",)),
    case("get rid of the sand in my sugar", {"sand": "solid", "sucrose": "solid"}, remove=("sand",)),
    case("acetone contaminated with a little water", {"acetone": "liquid", "water": "liquid"}, want=("acetone",)),
    case("petrol from crude oil", {"petrol": "liquid"}, rest=True, named="crude-oil", want=("petrol",)),
    case("camphor from a camphor-salt mixture", {"camphor": "solid", "sodium-chloride": "solid"}, want=("camphor",)),
    case("salt water: I want the water", SALT_WATER, want=("water",)),
    case("salt water - I want both the salt and the water", SALT_WATER, want=("sodium-chloride", "water")),
    case("sand and sugar (I only want the sugar)", {"sand": "solid", "sucrose": "solid"}, want=("sucrose",)),
    case("brass into copper and zinc", {}, rest=True, really="alloy", want=("copper", "zinc")),
    case(
        "sodium chloride and potassium nitrate, want pure potassium nitrate",
        {"sodium-chloride": "solid", "potassium-nitrate": "solid"},
        want=("potassium-nitrate",),
        form="pure",
    ),
    case(
        "Is distillation right for acetone and water?",
        {"acetone": "liquid", "water": "liquid"},
        tried=("simple-distillation",),
    ),
    case("sand and water by filtration", {"sand": ("suspended", "water"), "water": "liquid"}, tried=("filtration",)),
]

FORMS = [
    case("salt dissolved in water", SALT_WATER),
    case("an aqueous solution of salt", SALT_WATER),
    case("a solution of salt and sugar", {**SALT_WATER, "sucrose": ("dissolved", "water")}),
    case("copper sulfate and sodium chloride in solution", {"copper-ii-sulfate": ("dissolved", "water"), **SALT_WATER}),
    case("NaCl(aq)", SALT_WATER),
    case("suspension of chalk in water", {"chalk": ("suspended", "water"), "water": "liquid"}),
    case("chalk stirred in water", {"chalk": ("suspended", "water"), "water": "liquid"}),
    case("barium sulfate suspended in water", {"barium-sulfate": ("suspended", "water"), "water": "liquid"}),
    case("precipitate of barium sulfate", {"barium-sulfate": ("suspended", "water"), "water": "liquid"}, rest=True),
    case("sand, salt and water", {"sand": ("suspended", "water"), **SALT_WATER}),
    case("iodine dissolved in water", {"iodine": ("dissolved", "water"), "water": "liquid"}),
    case(
        "caffeine dissolved in dichloromethane",
        {"caffeine": ("dissolved", "dichloromethane"), "dichloromethane": "liquid"},
    ),
    case("carbon dioxide dissolved in water", {"carbon-dioxide": ("dissolved", "water"), "water": "liquid"}),
    case("oil/water emulsion", {"vegetable-oil": ("emulsified", "water"), "water": "liquid"}),
    case("olive oil emulsified in water", {"olive-oil": ("emulsified", "water"), "water": "liquid"}),
    case("helium and argon", {"helium": "gas", "argon": "gas"}),
    case("soot in carbon dioxide", {"soot": ("airborne", "carbon-dioxide"), "carbon-dioxide": "gas"}),
    case("wet carbon dioxide", {"carbon-dioxide": "gas", "water": "gas"}, rest=True),
    case("ice and water", {"water": "solid"}, really="one substance"),
    case("water and steam", {"water": "gas"}, really="one substance"),
    case("an alloy of tin and lead", {"tin": "alloyed", "lead": "alloyed"}, really="alloy"),
    case("iron and sulfur heated until it glowed", {}, rest=True, really="compound"),
    case("sea water with sand", {**SALT_WATER, "sand": ("suspended", "water")}, rest=True, named="sea-water"),
    case("sandy sugar", {"sand": "solid", "sucrose": "solid"}),
]

NAMES = [
    case("propan-2-ol and water", {"propan-2-ol": "liquid", "water": "liquid"}),
    case("2-propanol/water (70:30)", {"propan-2-ol": "liquid", "water": "liquid"}),
    case("2,2,4-trimethylpentane and toluene", {"2-2-4-trimethylpentane": "liquid", "toluene": "liquid"}),
    case("ethanoic acid and ethyl ethanoate", {"acetic-acid": "liquid", "ethyl-acetate": "liquid"}),
    case("DCM and hexane", {"dichloromethane": "liquid", "hexane": "liquid"}),
    case("KClO3 and KCl", {"potassium-chlorate": "solid", "potassium-chloride": "solid"}),
    case("CuSO4 and NaCl", {"copper-ii-sulfate": "solid", "sodium-chloride": "solid"}),
    case("aluminum filings and sulfur", {"aluminium": "solid", "sulfur": "solid"}),
    case("SALT AND SAND", SALT_SAND),
    case("sodium and potassium chlorides", {"sodium-chloride": "solid", "potassium-chloride": "solid"}),
    case("copper(II) sulphate and table salts", {"copper-ii-sulfate": "solid", "sodium-chloride": "solid"}),
    case("H2S and CH4", {"hydrogen-sulfide": "gas", "methane": "gas"}),
    case("He and Ar", {"helium": "gas", "argon": "gas"}),
    case("He wants salt from sand", SALT_SAND, want=("sodium-chloride",)),
    case("n-hexane and n-heptane", {"hexane": "liquid", "heptane": "liquid"}),
    case("o-xylene/p-xylene", {"o-xylene": "liquid", "p-xylene": "liquid"}),
]

SPELLING = [
    case("kerozene and wter", {"kerosene": "liquid", "water": "liquid"}, corrected=("kerozene", "wter")),
    case("sodum cloride and snad", SALT_SAND, corrected=("sodum cloride", "snad")),
    case("seperate oil and water", OIL_WATER, corrected=("seperate",)),
    case(
        "calcum carbonat in watr",
        {"calcium-carbonate": ("suspended", "water"), "water": "liquid"},
        corrected=("calcum carbonat", "watr"),
    ),
    case("flurb and water", {"water": "liquid"}, unknown=("flurb",)),
    case("ethonal/water", {"water": "liquid"}, unknown=("ethonal",)),
    case("separate the thingy from the whatsit", {}, unknown=("thingy", "whatsit")),
    case("a plumber wants gravel out of sand", {"gravel": "solid", "sand": "solid"}, want=("gravel",)),
    case("some rather boring sand and quite lovely salt", SALT_SAND),
]

SETTINGS = [
    case("salt and sand, no heating and no filter paper", SALT_SAND, without=("heat", "filter-paper", "burner")),
    case("the centrifuge is broken: clay in water", {"water": "liquid"}, rest=True, without=("centrifuge",)),
    case(
        "ethanol and water without a burner at 84 kPa",
        {"ethanol": "liquid", "water": "liquid"},
        without=("burner",),
        pressure=(84_000, 84_000),
    ),
    case("hexane and octane at 2000 m", {"hexane": "liquid", "octane": "liquid"}, pressure=(79_000, 80_000)),
    case("salt water, year 7", SALT_WATER, level="lower-secondary"),
    case("primary school: sand and gravel", {"sand": "solid", "gravel": "solid"}, level="primary"),
    case("salt and sand, A level", SALT_SAND, level="upper-secondary"),
    case(
        "acetone and water, we have no fume hood or vacuum pump",
        {"acetone": "liquid", "water": "liquid"},
        without=("fume-cupboard", "vacuum-pump", "vacuum"),
    ),
    case("2 mL of aniline in 3 mL of water", {"aniline": "liquid", "water": "liquid"}, small=True),
    case("200 mL of aniline in 300 mL of water", {"aniline": "liquid", "water": "liquid"}, small=False),
    case(
        "salt from salt water on a desert island, no fuel",
        SALT_WATER,
        without=("fuel", "burner"),
        want=("sodium-chloride",),
    ),
    case(
        "benzoic acid and naphthalene - only water, acid and alkali allowed",
        {"benzoic-acid": "solid", "naphthalene": "solid"},
        without=("organic-solvents",),
    ),
    case("separate sand and sugar without water", {"sand": "solid", "sucrose": "solid"}, without=("water",)),
    case("sand and gold, no mercury", {"sand": "solid", "gold": "solid"}, without=("mercury",)),
    case("oil and water but we do not have a separating funnel", OIL_WATER, without=("separating-funnel",)),
]

DESCRIBED = [
    case(
        "P dissolves in water, Q does not",
        {"substance-p": "solid", "substance-q": "solid"},
        given={"substance-p": {"solubility: water": "soluble"}, "substance-q": {"solubility: water": "insoluble"}},
    ),
    case(
        "liquid A boils at 60 °C and liquid B boils at 120 °C, they are miscible",
        {"liquid-a": "liquid", "liquid-b": "liquid"},
        given={
            "liquid-a": {"boiling_point": "60 °C"},
            "liquid-b": {"boiling_point": "120 °C", "solubility: liquid-a": "miscible"},
        },
    ),
    case(
        "liquids X and Y do not mix",
        {"liquid-x": "liquid", "liquid-y": "liquid"},
        given={"liquid-x": {"solubility: liquid-y": "insoluble"}},
    ),
    case(
        "solid X is magnetic, solid Y is not",
        {"solid-x": "solid", "solid-y": "solid"},
        given={"solid-x": {"magnetic": "strongly"}, "solid-y": {"magnetic": "no"}},
    ),
    case(
        "a white solid that sublimes and sand",
        {"white-solid": "solid", "sand": "solid"},
        given={"white-solid": {"sublimes": "yes"}},
    ),
    case(
        "a liquid of density 0.8 that does not mix with water",
        {"liquid": "liquid", "water": "liquid"},
        given={"liquid": {"density": "0.8 g/cm3", "solubility: water": "insoluble"}},
    ),
    case(
        "two solids: one dissolves in ethanol, the other does not",
        {"solid-a": "solid", "solid-b": "solid"},
        given={"solid-a": {"solubility: ethanol": "soluble"}, "solid-b": {"solubility: ethanol": "insoluble"}},
    ),
    case(
        "A is a white powder that dissolves in water and B is a grey powder attracted to a magnet",
        {"substance-a": "solid", "substance-b": "solid"},
        given={
            "substance-a": {"phase": "solid", "solubility: water": "soluble"},
            "substance-b": {"magnetic": "strongly"},
        },
    ),
    case(
        "white crystals and sand, the crystals dissolve in water",
        {"white-crystal": "solid", "sand": "solid"},
        given={"white-crystal": {"solubility: water": "soluble"}},
    ),
    case(
        "liquids P and Q: P boils at 35 C and Q at 120 C; no vacuum",
        {"liquid-p": "liquid", "liquid-q": "liquid"},
        without=("vacuum",),
        given={"liquid-q": {"boiling_point": "120 °C"}},
    ),
    case("two immiscible liquids, oil and water", OIL_WATER),
    case("liquid X and liquid Y", {"liquid-x": "liquid", "liquid-y": "liquid"}, missing=True),
    case("salt is soluble in water, isn't it? I have salt and sand", SALT_SAND),
    case("Salt dissolves in water and sand does not. Separate salt and sand.", SALT_SAND),
]

IDENTIFYING = [
    case("which dyes are in black ink", {"water": "liquid"}, rest=True, named="black-ink", aim="identify"),
    case(
        "What technique separates the dyes in black ink?",
        {"water": "liquid"},
        rest=True,
        named="black-ink",
        aim="identify",
    ),
]

ALL = [*ORDERS, *FORMS, *NAMES, *SPELLING, *SETTINGS, *DESCRIBED, *IDENTIFYING]


@pytest.mark.parametrize("asked", ALL, ids=[asked.words[:50] for asked in ALL])
def test_phrasing_is_understood(asked: Case, table: Table) -> None:
    assert differences(asked, read_words(asked.words, table)) == []


def test_amounts_are_read_in_si_units(table: Table) -> None:
    question = read_words("50 mL acetone + 25 g of sand", table)
    acetone, sand = question.mixture.components
    assert acetone.volume == pytest.approx(50e-6)
    assert sand.mass == pytest.approx(0.025)
    assert question.amounts["acetone"].dimension == "volume"
    assert question.amounts["sand"].value == pytest.approx(0.025)


def test_ratio_and_percentage_are_shares(table: Table) -> None:
    ethanol, water = read_words("ethanol/water 40:60", table).mixture.components
    assert (ethanol.share, water.share) == (pytest.approx(0.4), pytest.approx(0.6))
    first, second = read_words("30 % acetone in water", table).mixture.components
    assert (first.share, second.share) == (pytest.approx(0.3), pytest.approx(0.7))


def test_size_words_give_the_size_of_the_pieces(table: Table) -> None:
    # sizes of rules/reading/forms.yaml (common practice, no source): lumps 10 to 100 mm, grains 0.2 to 3 mm
    chalk, alum = read_words("lumps of chalk and granulated alum", table).mixture.components
    assert chalk.size == (pytest.approx(0.01), pytest.approx(0.1))
    assert alum.size == (pytest.approx(2e-4), pytest.approx(3e-3))


def test_distances_on_a_chromatogram(table: Table) -> None:
    question = read_words("black ink; front 150 mm, spots 90 and 120 mm", table)
    assert question.front == pytest.approx(0.150)
    assert question.spots == (pytest.approx(0.090), pytest.approx(0.120))


def test_altitude_gives_the_standard_atmosphere(table: Table) -> None:
    # ICAO Doc 7488, Manual of the ICAO Standard Atmosphere: 79.50 kPa at 2000 m, 89.87 kPa at 1000 m
    assert read_words("hexane and octane at 2000 m", table).setting.pressure == pytest.approx(79_500, abs=15)
    assert read_words("hexane and octane at 1 km", table).setting.pressure == pytest.approx(89_870, abs=15)


def test_arguments_go_before_the_text(table: Table) -> None:
    question = read_words("sand and salt at 84 kPa, year 7", table, want=["sand"], pressure=101_325.0, level="primary")
    assert question.wish.want == ("sand",)
    assert question.setting.pressure == 101_325.0
    assert question.setting.level == "primary"


def test_unknown_words_of_the_arguments_are_named(table: Table) -> None:
    question = read_words("sand and salt", table, want=["flurb"], without=["no flux capacitor"])
    assert [words for words, _ in question.unknown] == ["no flux capacitor"]
    assert any("flurb" in line for line in question.understood), (
        "a wish that is not understood is set aside and said so"
    )


def test_described_substances_become_substances_of_the_question(table: Table) -> None:
    question = read_words("two miscible liquids A (b.p. 60 °C) and B (b.p. 80 °C)", table)
    found = given_substances(question)
    first = found["liquid-a"]
    assert first.given
    assert first.phase == "liquid"
    assert first.values["boiling_point"].number == pytest.approx(333.15)
    assert first.values["boiling_point"].source == "given"
    assert first.solubility["liquid-b"].word == "miscible"


def test_nothing_known_is_said_to_be_missing(table: Table) -> None:
    question = read_words("separate compound X and compound Y", table)
    assert "whether compound X is a solid, a liquid or a gas" in question.missing
    assert "the boiling point of compound Y" in question.missing


def test_what_was_understood_is_said_first(table: Table) -> None:
    understood = read_words("acetone and watr, want acetone, no heating", table).understood
    assert understood[0] == "'watr' read as 'water'"
    assert understood[1] == "components: acetone (liquid), water (liquid)"
    assert "wanted: acetone" in understood
    assert "without: heat" in understood


@pytest.mark.parametrize(
    "words", ["", "   ", "???", "(((", "))", "- -> -", "%", "1:2:3", "no no no", "and and", "from", "a" * 3000]
)
def test_no_text_makes_it_fail(words: str, table: Table) -> None:
    question = read_words(words, table)
    assert question.mixture.components == ()
    assert question.asked == words


def test_the_order_of_components_does_not_change_their_forms(table: Table) -> None:
    words = ["sand", "salt", "water", "cooking oil", "iron filings"]
    forms = []
    for turn in range(len(words)):
        question = read_words(", ".join(words[turn:] + words[:turn]), table)
        forms.append({component.substance: component.form for component in question.mixture.components})
    assert all(other == forms[0] for other in forms)


def test_the_same_words_give_the_same_question(table: Table) -> None:
    words = "sodum cloride and flurb in sea water, want the salt, no flame"
    assert read_words(words, table) == read_words(words, table)


PIECES = [
    *("sand", "salt", "water", "sea water", "NaCl", "liquid A", "b.p. 60 °C", "black ink", "flurb", "A", "B"),
    *("and", "from", "in", "with", "of", "to", "into", "the", "no", "without", "heat", "by distillation", "it", "them"),
    *("want", "remove", "separate", "solution", "crystals", "emulsion", "alloy", "heated together", "pure", "dry"),
    *(
        "two liquids",
        "one",
        "the other",
        "dissolves in",
        "does not",
        "is",
        "50 mL",
        "40:60",
        "10 %",
        "84 kPa",
        "1600 m",
    ),
    *("?", ".", ",", ":", "-", "->", "(", ")"),
]


@given(st.lists(st.sampled_from(PIECES), max_size=12))
@settings(
    max_examples=150, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_words_in_any_order_give_a_sound_question(table: Table, pieces: list[str]) -> None:
    question = read_words(" ".join(pieces), table)
    view = table.with_given(given_substances(question)) if question.given else table
    assert all(view.has(id) for id in (*question.mixture.substances, *question.wish.want, *question.wish.remove))
    assert all(view.has(part.host) for part in question.mixture.components if part.host)
    assert not set(question.wish.want) & set(question.wish.remove)
    assert question.setting.pressure > 0
