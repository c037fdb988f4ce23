"""Handouts: every caution is on the pupil's part, the key on a page of its own, nothing from the network."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from argparse import ArgumentParser
from pathlib import Path

import pytest

from choosemethod import advise
from choosemethod.classroom import handout_command
from choosemethod.classroom.handout import Handout, NoHandout, handout_markdown, make_handout
from choosemethod.classroom.handout_html import handout_html
from choosemethod.classroom.levels import Level
from choosemethod.classroom.materials import materials
from choosemethod.classroom.picture import svg_of, text_of
from choosemethod.classroom.quiz import UnknownMixture
from choosemethod.classroom.quiz_output import plain_markdown
from choosemethod.mixture import LEVELS

SHEETS = [
    ("sand and water", (), "primary"),
    ("sand, salt and iron filings", (), "primary"),
    ("oil and water", (), "lower-secondary"),
    ("acetone and water", (), "upper-secondary"),
    ("copper sulfate solution", ("copper sulfate",), "lower-secondary"),
    ("iodine and sand", (), "upper-secondary"),
    ("black ink", (), "primary"),
    ("benzoic acid and naphthalene", (), "undergraduate"),
]
SECTIONS = ("aim", "apparatus", "amounts", "cautions", "steps", "picture", "results", "disposal", "questions")


@pytest.fixture(scope="module", params=SHEETS, ids=lambda asked: f"{asked[0]}, {asked[2]}")
def asked(request: pytest.FixtureRequest) -> tuple[str, tuple[str, ...], str]:
    return request.param  # type: ignore[no-any-return]


@pytest.fixture(scope="module")
def sheet(asked: tuple[str, tuple[str, ...], str]) -> Handout:
    words, want, level = asked
    return make_handout(words, want, (), level)


def test_html_is_well_formed_and_needs_no_network(sheet: Handout) -> None:
    page = handout_html(sheet)
    body = page[page.index("<body>") : page.index("</html>")]
    ET.fromstring(body)  # as strict as XML
    urls = re.findall(r"https?://[^\s\"'<>]+", page)
    assert set(urls) <= {"http://www.w3.org/2000/svg"}
    assert not re.search(r"<script|<link|@import|url\(|<img|src=", page)


def test_every_section_is_there_and_the_key_comes_after_a_page_break(sheet: Handout) -> None:
    page = handout_html(sheet)
    places = [page.index(f'<section class="{name}">') for name in SECTIONS]
    assert places == sorted(places)
    key = page.index('<section class="key">')
    assert key > places[-1]
    assert re.search(r"section\.key \{[^}]*break-before: page[^}]*page-break-before: always", page)
    assert "@media print" in page
    assert '<section class="key">' not in handout_html(sheet, key=False)


def test_every_caution_and_every_way_of_disposal_is_on_the_pupils_part(
    asked: tuple[str, tuple[str, ...], str], sheet: Handout
) -> None:
    words, want, level = asked
    advice = advise(words, want=want, level=level)
    assert [step.technique for step in advice.plan] == [part.technique for part in sheet.parts]
    said = Level(level).say
    shown = {text for _, text in sheet.cautions}
    assert {said(caution.text) for caution in advice.cautions} <= shown
    markdown = handout_markdown(sheet)
    pupil = markdown[: markdown.index("break-before: page")]
    for caution in advice.cautions:
        assert plain_markdown(said(caution.text)) in pupil
    for step in advice.plan:
        for line in (*step.residues, *step.steps):
            assert plain_markdown(said(line)) in pupil
    degrees = [degree for degree, _ in sheet.cautions]
    assert degrees == sorted(degrees, key=("danger", "care", "note").index)


def test_answers_stand_only_in_the_key(sheet: Handout) -> None:
    markdown = handout_markdown(sheet)
    pupil, key = markdown.split('<div style="break-before: page"></div>')
    assert sheet.questions
    for item in sheet.questions:
        assert plain_markdown(item.answer) in key
        assert plain_markdown(item.answer) not in pupil
    for part in sheet.parts:
        assert all(plain_markdown(line) in key for line in part.reasons)


def test_same_seed_same_sheet() -> None:
    pages = [handout_html(make_handout("oil and water", level="lower-secondary", seed=4)) for _ in range(2)]
    assert pages[0] == pages[1]


def test_level_changes_words_and_not_the_method() -> None:
    techniques = {
        level: [part.technique for part in make_handout("sand and water", level=level).parts] for level in LEVELS
    }
    assert all(slugs == ["filtration"] for slugs in techniques.values())
    primary = handout_markdown(make_handout("sand and water", level="primary"))
    upper = handout_markdown(make_handout("sand and water", level="upper-secondary"))
    assert "filtering" in primary
    assert "filtrate" not in re.sub(r"```.*?```", "", primary, flags=re.S)
    assert "filtrate" in upper


def test_what_is_above_the_level_is_said_and_not_hidden() -> None:
    sheet = make_handout("acetone and water", level="primary")
    assert sheet.notes
    assert "teacher" in sheet.notes[0]
    assert sheet.parts[0].technique == "simple-distillation"
    assert not make_handout("acetone and water", level="upper-secondary").notes


def test_what_schools_do_not_handle_is_said_first() -> None:
    # Benzene causes cancer (H350, Regulation (EC) No 1272/2008, Annex VI): schools do not use it.
    notes = make_handout("benzene and toluene", level="upper-secondary").notes
    assert any("benzene" in note and "do not usually handle" in note for note in notes)


def test_amounts_of_the_question_are_kept() -> None:
    sheet = make_handout("20 g of sand and 100 mL of water", level="lower-secondary")
    assert any("20 g" in line and "100 mL" in line for line in sheet.amounts)


def test_dangerous_and_unknown_mixtures_are_refused() -> None:
    with pytest.raises(NoHandout):
        make_handout("bleach and ammonia")
    with pytest.raises(UnknownMixture):
        make_handout("xyzzy and water")


@pytest.mark.parametrize("technique", sorted(materials().pictures))
def test_drawings_are_svg_within_their_sheet(technique: str) -> None:
    picture = materials().pictures[technique]
    root = ET.fromstring(svg_of(picture, {label[5]: "sand & salt" for label in picture.labels if label[5]}))
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    _, _, width, height = (float(part) for part in root.attrib["viewBox"].split())
    for kind, numbers, _ in picture.shapes:
        ends = [*numbers]
        if kind == "circle":
            x, y, radius = numbers
            ends = [x - radius, y - radius, x + radius, y + radius]
        elif kind == "box":
            x, y, wide, high = numbers
            ends = [x, y, x + wide, y + high]
        assert all(0 <= x <= width for x in ends[::2])
        assert all(0 <= y <= height for y in ends[1::2])
    texts = [element.text or "" for element in root.iter("{http://www.w3.org/2000/svg}text")]
    assert len(texts) == len(picture.labels) >= 3
    assert all(len(line) <= 70 for line in text_of(picture).splitlines())


# What each labelled place of a drawing holds; layers by density, distillate by boiling point (CRC Handbook of Chemistry
# and Physics, 95th ed., section 3), the rest common practice, no source.
DRAWN = [
    ("sand and water", "filtration", "residue: sand"),
    ("sand and water", "filtration", "filtrate: water"),
    ("acetone and water", "simple-distillation", "distillate: acetone"),
    ("hexane and water", "separating-funnel", "lower layer: water"),
    ("hexane and water", "separating-funnel", "upper layer: hexane"),
    ("dichloromethane and water", "separating-funnel", "lower layer: dichloromethane"),
    ("sand and gravel", "sieving", "stays on the sieve: gravel"),
    ("iron filings and sand", "magnetic-separation", "picked up: iron"),
    ("iodine and sand", "sublimation", "sublimate: iodine"),
]


@pytest.mark.parametrize(("words", "technique", "label"), DRAWN)
def test_drawings_name_what_is_where(words: str, technique: str, label: str) -> None:
    part = next(part for part in make_handout(words).parts if part.technique == technique)
    assert f">{label}</text>" in svg_of(materials().pictures[technique], part.products)
    assert label in text_of(materials().pictures[technique], part.products)


def test_a_fraction_is_not_named_in_the_drawing() -> None:
    part = make_handout("methanol and ethanol").parts[0]
    drawn = svg_of(materials().pictures["fractional-distillation"], part.products)
    assert "ethanol" not in drawn


def test_every_product_a_drawing_names_is_one_of_its_technique() -> None:
    from choosemethod.advice.ask import opened

    book = opened()[1]
    for technique, picture in materials().pictures.items():
        names = {part.name for part in book.techniques[technique].parts}
        for label in picture.labels:
            assert not label[5] or label[5].rstrip(" 12") in names, f"{technique}: {label[5]}"


def test_stills_are_drawn_open_and_pictures_say_so() -> None:
    for technique in ("simple-distillation", "fractional-distillation"):
        labels = [label[4] for label in materials().pictures[technique].labels]
        assert "open end" in labels
    assert "open (stopper out)" in [label[4] for label in materials().pictures["separating-funnel"].labels]


def _run(*words: str) -> int:
    parser = ArgumentParser()
    handout_command.add_arguments(parser)
    return handout_command.run(parser.parse_intermixed_args(list(words)))


def test_command_writes_a_file(tmp_path: Path) -> None:
    file = tmp_path / "sheet.html"
    assert (
        _run("salt water", "--want", "water", "--level", "lower-secondary", "--format", "html", "--output", str(file))
        == 0
    )
    page = file.read_text(encoding="utf-8")
    assert page.startswith("<!DOCTYPE html>")
    assert "distillation" in page


def test_command_writes_markdown_to_the_screen(capsys: pytest.CaptureFixture[str]) -> None:
    assert _run("sand and water", "--level", "primary", "--no-key") == 0
    shown = capsys.readouterr().out
    assert shown.startswith("# ")
    assert "For the teacher" not in shown
