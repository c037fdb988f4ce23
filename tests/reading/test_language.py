"""The language of questions is data: it loads, refers to what exists, and faults are named."""

from __future__ import annotations

from pathlib import Path
from shutil import copy, copytree

import pytest

from choosemethod.errors import DataError
from choosemethod.places import rules_folder
from choosemethod.reading import level_of, technique_slugs, without_implied
from choosemethod.reading.lexicon import lexicon
from choosemethod.reading.load_lexicon import compile_lexicon

SLUGS = [
    "hand-picking",
    "sieving",
    "winnowing",
    "magnetic-separation",
    "sublimation",
    "dissolving",
    "filtration",
    "vacuum-filtration",
    "hot-filtration",
    "decantation",
    "sedimentation",
    "centrifugation",
    "coagulation",
    "evaporation",
    "crystallisation",
    "fractional-crystallisation",
    "recrystallisation",
    "simple-distillation",
    "fractional-distillation",
    "reduced-pressure-distillation",
    "steam-distillation",
    "azeotropic-distillation",
    "drying-agent",
    "separating-funnel",
    "solvent-extraction",
    "acid-base-extraction",
    "paper-chromatography",
    "thin-layer-chromatography",
    "column-chromatography",
    "gas-chromatography",
    "liquid-chromatography",
    "ion-exchange",
    "electrophoresis",
    "dialysis",
    "ultrafiltration",
    "reverse-osmosis",
    "froth-flotation",
    "gravity-separation",
    "fractional-distillation-of-liquefied-gas",
    "gas-absorption",
    "condensation",
    "degassing",
    "adsorption",
    "electrostatic-precipitation",
    "electrostatic-separation",
    "salting-out",
    "precipitation",
    "chemical-reaction",
    "electrolysis",
    "extractive-distillation",
    "churning",
    "liquation",
]


@pytest.mark.parametrize("slug", SLUGS)
def test_every_technique_goes_by_its_slug(slug: str) -> None:
    assert technique_slugs(slug)[0] == slug


@pytest.mark.parametrize(
    "words, slug",
    [
        ("sep. funnel", "separating-funnel"),
        ("separatory funnel", "separating-funnel"),
        ("distil", "simple-distillation"),
        ("distill", "simple-distillation"),
        ("filter", "filtration"),
        ("evaporate", "evaporation"),
        ("Crystallization", "crystallisation"),
        ("TLC", "thin-layer-chromatography"),
        ("magnet", "magnetic-separation"),
        ("chromatography", "paper-chromatography"),
        ("vacuum distillation", "reduced-pressure-distillation"),
    ],
)
def test_techniques_go_by_their_usual_names(words: str, slug: str) -> None:
    assert technique_slugs(words)[0] == slug


def test_a_word_that_is_no_technique_names_none() -> None:
    assert technique_slugs("flurb") == ()


def test_no_heat_implies_no_burner_and_no_flame() -> None:
    assert {"heat", "burner", "open-flame", "hot-plate"} <= set(without_implied(["heat"]))


def test_implications_only_name_keys_and_end() -> None:
    for key in lexicon().without:
        found = without_implied([key])
        assert found[0] == key
        assert len(set(found)) == len(found)


def test_every_limit_has_a_meaning() -> None:
    assert all(meaning.strip() for meaning, _ in lexicon().without.values())


def test_levels() -> None:
    assert level_of("year 7") == "lower-secondary"
    assert level_of("A level") == "upper-secondary"
    assert level_of("flurb") == ""


def test_every_form_of_a_state_is_a_form_of_a_component() -> None:
    from choosemethod.mixture import FORMS

    for told in lexicon().states.values():
        assert told["form"] in FORMS or (told["form"] == "" and told.get("of")), (
            "a state has a form, or names what is there"
        )


@pytest.mark.parametrize(
    "file, old, new, wrong",
    [
        (
            "setting/without.yaml",
            "implies: [open-flame, burner,",
            "implies: [flurb, burner,",
            "'flurb' is no key of this file",
        ),
        ("reading/cues.yaml", "join:", "jion:", "'jion' is no class of cue"),
        ("reading/roles.yaml", "{link: [by], role:", "{lnik: [by], role:", "'lnik' is no key of a row"),
        ("reading/forms.yaml", "size: 5 to 200 µm", "size: small", "no number with a unit"),
        ("reading/units.yaml", "  mg: [mg,", "  mmg: [mg,", "'mmg' is no unit of the program"),
    ],
)
def test_a_fault_in_the_language_names_its_file(file: str, old: str, new: str, wrong: str, tmp_path: Path) -> None:
    folder = tmp_path / "rules"
    copytree(rules_folder() / "reading", folder / "reading")
    copytree(rules_folder() / "setting", folder / "setting")
    copy(rules_folder() / "inert.yaml", folder)
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(DataError) as caught:
        compile_lexicon(folder)
    assert caught.value.file == f"rules/{file}"
    assert wrong in caught.value.wrong
    line = path.read_text(encoding="utf-8").splitlines()[caught.value.line - 1]
    assert new.split(":")[0].strip() in line
