"""Multiple choice: which answer is named. The questions are common in question banks; what is right is common practice."""

from __future__ import annotations

import pytest

from choosemethod import advise


@pytest.mark.parametrize(
    ("question", "letter", "technique"),
    [
        # techniques, with a mixture
        ("Sand is got out of water by A) sublimation B) filtration C) a magnet", "B", "filtration"),
        (
            "Cream is separated from milk by: A. filtration B. evaporation C. centrifugation D. sublimation",
            "C",
            "centrifugation",
        ),
        (
            "Salt is obtained from sea water by ____. 1. decantation 2. filtration 3. evaporation 4. condensation",
            "3",
            "evaporation",
        ),
        # orders of techniques
        (
            "Salt and sand are separated by A) a magnet B) sublimation C) filtration followed by evaporation",
            "C",
            "filtration",
        ),
        # a description, without a mixture
        (
            "Which method pours a liquid off without disturbing the solid? A) filtration B) decantation C) sublimation",
            "B",
            "decantation",
        ),
        (
            "Proteins are separated by size by a) ion-exchange chromatography b) molecular exclusion chromatography"
            " c) reverse phase chromatography",
            "B",
            "liquid-chromatography",
        ),
        (
            "Which equipment spins a gas so that dust is thrown to the wall? a) scrubber b) cyclone separator c) gravity settler",
            "B",
            "centrifugation",
        ),
        # mixtures
        (
            "Which can be separated using a separating funnel? A) salt and water B) oil and water C) alcohol and water",
            "B",
            "separating-funnel",
        ),
        (
            "Which cannot be separated by filtration? A) sand and water B) salt and water C) chalk and water",
            "B",
            "evaporation",
        ),
        ("Which ore is concentrated by froth flotation? A) bauxite B) hematite C) galena", "C", "froth-flotation"),
        # letters that stand for the order of others, or for some of them
        (
            "P is soluble in water and insoluble in ether, Q is insoluble in both. Pure P is wanted. Steps: 1. filter 2. add ether"
            " 3. evaporate the filtrate 4. add water. What is the right order? A 2, 1, 3 B 4, 1, 3 C 4, 2, 1, 3",
            "B",
            "dissolving",
        ),
        (
            "What gives pure water from sea water? 1 distillation 2 filtration 3 reverse osmosis. A 1 and 2 B 1 and 3 C 2 only",
            "B",
            "simple-distillation",
        ),
        # what is brought in
        (
            "Which can be used to dry ammonia gas? A) concentrated sulfuric acid B) calcium oxide C) anhydrous calcium chloride",
            "B",
            "drying-agent",
        ),
        ("Which cannot be used to dry chlorine? A) concentrated sulfuric acid B) calcium oxide", "B", "drying-agent"),
        (
            "Silver ions are separated from copper ions by adding A) sodium nitrate B) dilute hydrochloric acid C) water",
            "B",
            "precipitation",
        ),
        ("Phenol is parted from benzoic acid with A) sodium hydroxide B) sodium hydrogencarbonate", "B", "acid-base-extraction"),
        # a list parted by semicolons
        (
            "By which are crushed rocks classified according to size? Hammer mill; vibrating screen; flotation cell.",
            "vibrating screen",
            "sieving",
        ),
        # both parts of a solution are wanted
        (
            "How are both the salt and the water obtained from salt water? A) filtration B) evaporation C) distillation",
            "C",
            "simple-distillation",
        ),
        # principles
        (
            "Distillation separates liquids that differ in A) solubility B) melting point C) boiling point",
            "C",
            "simple-distillation",
        ),
    ],
)
def test_the_right_answer_is_named(question: str, letter: str, technique: str) -> None:
    advice = advise(question)
    assert advice.status == "answered"
    assert advice.option.startswith(f"{letter}: " if len(letter) == 1 else letter)
    assert technique in [step.technique for step in advice.plan]


@pytest.mark.parametrize(
    ("question", "letter"),
    [
        ("Which one is not a mixture? A) air B) mercury C) milk", "B"),
        ("Which is a pure substance? 1) sea water 2) distilled water 3) milk 4) brass", "2"),
    ],
)
def test_the_pure_substance_is_named(question: str, letter: str) -> None:
    advice = advise(question)
    assert advice.status == "nothing-to-separate"
    assert advice.option.startswith(f"{letter}: " if len(letter) == 1 else letter)


def test_each_answer_gets_its_reason() -> None:
    advice = advise("Sand is got out of water by A) sublimation B) filtration C) a magnet")
    assert "A: sublimation." in advice.contrast
    assert "C: a magnet." in advice.contrast
    assert "B: filtration." not in advice.contrast


@pytest.mark.parametrize(
    "question",
    [
        "Which is not a method of concentration of ore? (a) leaching (b) roasting (c) hydraulic washing (d) magnetic separation",
        "Which technique is best? A) filtration B) sublimation C) churning",
    ],
)
def test_nothing_is_guessed(question: str) -> None:
    advice = advise(question)
    assert advice.status in ("unknown", "needs-information")
    assert advice.option == ""


def test_an_answer_that_brings_a_named_mixture_in_is_judged() -> None:
    # Multiple choice on ore dressing (froth flotation of two sulfide ores), as asked in entrance papers: no answer is a crash.
    answer = advise(
        "How do we separate two sulphide ores by froth floatation method? A) By using excess of pine oil B) By adjusting "
        "proportion of oil to water or using depressant C) By using collectors and froth stabilisers like xanthates D) By "
        "using some solvent in which one of the sulphides is soluble"
    )
    assert [step.technique for step in answer.plan] == ["froth-flotation"]


def test_no_answer_offered_does_it() -> None:
    advice = advise("Sugar is got out of its solution in water by A) a magnet B) sublimation C) winnowing")
    assert advice.option == ""
    assert "None of the answers offered does it." in advice.contrast


@pytest.mark.parametrize(
    ("question", "option", "plan"),
    [
        (
            "In what sequence can these part iodine, salt and sand? I. Filtration II. Sublimation III. Evaporation IV. Dissolving",
            "II: Sublimation; IV: Dissolving; I: Filtration; III: Evaporation",
            ["sublimation", "dissolving", "filtration", "evaporation"],
        ),
        (
            "Sand and salt: in what order? 1. filter 2. evaporate 3. add water",
            "3: add water; 1: filter; 2: evaporate",
            ["dissolving", "filtration", "evaporation"],
        ),
        ("Sand and salt: in what sequence? 1. sublimation 2. filtration 3. a magnet", "", []),  # they do not lead there
    ],
)
def test_steps_offered_are_put_in_order(question: str, option: str, plan: list[str]) -> None:
    advice = advise(question)
    assert (advice.option, [step.technique for step in advice.plan]) == (option, plan)


@pytest.mark.parametrize(
    ("question", "option", "techniques"),
    [
        (
            "Match the following. Column A: (a) iron filings and sand (b) salt and water (c) husk and grain."
            " Column B: (i) winnowing (ii) evaporation (iii) magnetic separation",
            "A-iii; B-ii; C-i",
            ("magnetic-separation", "evaporation", "winnowing"),
        ),
        (
            "Match List-I with List-II. List-I: A. Steam volatile liquid B. Liquid that decomposes at its boiling point."
            " List-II: I. Distillation under reduced pressure II. Steam distillation. (1) A-I, B-II (2) A-II, B-I",
            "2: A-II, B-I",
            ("steam-distillation", "reduced-pressure-distillation"),
        ),
    ],
)
def test_two_lists_are_paired(question: str, option: str, techniques: tuple[str, ...]) -> None:
    advice = advise(question)
    assert advice.option == option
    assert tuple(step.technique for step in advice.plan) == techniques


def test_lists_that_fit_in_more_than_one_way_are_asked_about() -> None:
    advice = advise(
        "Match the mixtures (A) water and aniline (B) water and toluene with the methods (P) steam distillation"
        " (Q) a separating funnel"
    )
    assert advice.status == "needs-information"
