"""Marks one by one, the author's own scheme, questions in running text, a class's answers, one answer at the prompt.

Which answer is right is common practice, no source.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from choosemethod.classroom.command import run_check
from choosemethod.classroom.own_answer import answer_text, asks_whether_right, mark_answer
from choosemethod.classroom.prose import read_prose
from choosemethod.classroom.quiz import QuizRequest, make_quiz
from choosemethod.classroom.quiz_output import quiz_scheme
from choosemethod.classroom.worksheet import Asked, Checker
from choosemethod.cli import main
from choosemethod.judging.awards import POINTS
from choosemethod.judging.mending import sound

PROSE = """1. sand and salt
Answer: dissolve in water, filter, evaporate
Marks: 3

2. oil and water
Answer: filtration

Q: iron filings and sand
A: use a magnet to pick up the sand
"""


@pytest.fixture(scope="module")
def checker() -> Checker:
    return Checker()


def given(checker: Checker, mixture: str, answer: str, reason: str = "") -> dict[str, str]:
    return {award.point: award.given for award in checker.check(Asked(mixture, answer, reason)).awarded}


def test_points_are_awarded_one_by_one(checker: Checker) -> None:
    points = given(checker, "iron filings and sand", "use a magnet to pick up the sand")
    assert points == {"technique": "awarded", "object": "denied", "safety": "awarded"}
    points = given(checker, "sand and water", "filtration", "sand is denser than water")
    assert points["technique"] == "awarded" and points["reason"] == "denied"
    points = given(checker, "sand and salt", "filter, dissolve, evaporate")
    assert points["order"] == "denied"
    points = given(checker, "ethanol and water", "fractional distillation over a Bunsen flame")
    assert points["safety"] == "denied"
    assert set(points) <= set(POINTS)


def test_the_words_are_quoted(checker: Checker) -> None:
    found = checker.check(Asked("iron filings and sand", "use a magnet to pick up the sand"))
    assert "pick up the sand" in next(award.words for award in found.awarded if award.point == "object")


def test_the_own_scheme_rules(checker: Checker) -> None:
    plain = checker.check(Asked("sand and water", "sieving"))
    assert plain.verdict == "wrong"
    accepted = checker.check(Asked("sand and water", "sieve it", accept="sieving; filtration"))
    assert accepted.verdict == "right" and "chemistry speaks against" in accepted.reason
    refused = checker.check(Asked("sand and water", "filtration", refuse="filtration"))
    assert refused.verdict == "wrong" and "would allow" in refused.reason
    points = Asked(
        "sand and salt", "dissolve, filter, evaporate", marks="4", points="dissolve; filter; evaporate; cool slowly"
    )
    found = checker.check(points)
    assert found.marks == 3 and "cool slowly" in found.reason


def test_a_scheme_does_not_make_the_unsafe_right(checker: Checker) -> None:
    answer = "fractional distillation over a Bunsen flame"
    found = checker.check(Asked("ethanol and water", answer, accept=answer))
    assert found.verdict == "unsafe" and "accepts" in found.reason


def test_a_written_scheme_can_be_used(tmp_path: Path) -> None:
    sheet, scheme, out = tmp_path / "sheet.md", tmp_path / "scheme.yaml", tmp_path / "out.jsonl"
    sheet.write_text(PROSE, "utf-8")
    assert run_check(sheet, write_scheme=True, output=scheme) == 0
    assert "separating funnel" in scheme.read_text("utf-8")
    run_check(sheet, scheme=scheme, output=out, format="jsonl", jobs=1)
    rows = [json.loads(line) for line in out.read_text("utf-8").splitlines()]
    assert [row["verdict"] for row in rows[:-1]] == ["right", "wrong", "wrong"]
    assert rows[0]["marks"] == 3 and rows[0]["awarded"][0]["point"] == "technique"


def test_a_scheme_is_found_by_what_is_asked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scheme, sheet, out = tmp_path / "own.yaml", tmp_path / "test.md", tmp_path / "out.jsonl"
    scheme.write_text("- {mixture: gold dust and sand, accept: [wobble it]}\n- {mixture: oil and water, accept: []}\n", "utf-8")
    sheet.write_text("1. How would you separate gold dust and sand? [3 marks]\n\nAnswer: wobble it\n", "utf-8")
    assert run_check(sheet, scheme=scheme, output=out, jobs=1) == 0
    row = json.loads(out.read_text("utf-8").splitlines()[0])
    assert (row["verdict"], row["marks"], row["most"]) == ("right", 3.0, 3.0)
    assert "oil and water" in capsys.readouterr().err  # no row asks it


def test_a_quiz_and_its_marking_share_one_key(tmp_path: Path) -> None:
    request = QuizRequest(mixtures=("sand and salt", "oil and water"), kinds=("choose",), count=2)
    quiz = make_quiz(request)
    (tmp_path / "key.yaml").write_text(quiz_scheme(quiz), "utf-8")
    rows = [(item.stem, choice.text, choice.right) for item in quiz.items for choice in item.choices]
    assert len(rows) > len(quiz.items) > 0
    checker = Checker(scheme=tmp_path / "key.yaml")
    for stem, answer, right in rows:
        assert checker.check(Asked(stem, answer)).verdict in (("right",) if right else ("wrong", "unsafe")), (stem, answer)


def test_what_is_wanted_may_not_be_let_go(checker: Checker) -> None:
    found = checker.check(Asked("water from salt water", "evaporate it"))
    assert found.verdict == "wrong" and "wanted" in found.reason
    assert checker.check(Asked("ethanol from wine", "heat it and collect the vapour")).verdict == "incomplete"


def test_running_text_is_read() -> None:
    known = {"question", "answer", "marks"}
    headings, rows = read_prose(enumerate(PROSE.splitlines(), 1), lambda names: sum(name in known for name in names))
    assert headings == ["question", "answer", "marks"]
    assert rows[2] == (8, {"question": "iron filings and sand", "answer": "use a magnet to pick up the sand"})
    assert read_prose([(1, "Dear class,"), (2, "see you soon.")], lambda names: 0) == ([], [])


def test_running_text_of_a_document(tmp_path: Path) -> None:
    docx = pytest.importorskip("docx")
    document = docx.Document()
    for line in PROSE.splitlines():
        document.add_paragraph(line)
    document.save(tmp_path / "sheet.docx")
    run_check(tmp_path / "sheet.docx", output=tmp_path / "out.jsonl", format="jsonl", jobs=1)
    rows = [json.loads(line) for line in (tmp_path / "out.jsonl").read_text("utf-8").splitlines()]
    assert [row["verdict"] for row in rows[:-1]] == ["right", "wrong", "wrong"]
    assert rows[1]["place"] == "paragraph 5"


def test_what_a_class_shows_together(tmp_path: Path) -> None:
    sheet = tmp_path / "class.csv"
    answers = ["filtration", "filtration", "use a magnet to pick up the oil"]
    sheet.write_text("mixture,answer\n" + "".join(f"oil and water,{answer}\n" for answer in answers), "utf-8")
    run_check(sheet, output=tmp_path / "out.txt", format="class", jobs=1)
    text = (tmp_path / "out.txt").read_text("utf-8")
    assert "oil and water: 0 of 3 right" in text and "2 x filtration" in text and "Nobody gets: oil and water" in text


def test_one_answer_at_the_prompt(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sand and salt", "--my-answer", "dissolve, filter"]) == 1
    text = capsys.readouterr().out
    assert text.index("incomplete") < text.index("Hint") < text.index("Solution")
    assert "evaporation" not in text[: text.index("Solution")]
    assert main(["I dissolved sand and salt, filtered and evaporated. Is that right?"]) == 0
    assert capsys.readouterr().out.startswith("Your answer is right.")


@pytest.mark.parametrize(
    ("told", "verdict"),
    [
        ("I left muddy water to stand and poured the clear water off.", "acceptable"),
        ("We mixed sugar and sand with water, filtered it and then drank some to check.", "unsafe"),
        ("We had iron filings and sulfur and we used a magnet to pull out the sulfur,", "wrong"),
        ("I boiled pure water out of salt water.", "wrong"),
    ],
)
def test_plans_told_as_stories(told: str, verdict: str) -> None:
    assert mark_answer(told, told).verdict == verdict


def test_what_asks_whether_it_is_right() -> None:
    assert asks_whether_right("I filtered sand and water. Is that right?") == "I filtered sand and water"
    assert asks_whether_right("How do I separate sand and water?") == ""


def test_json_of_one_answer() -> None:
    found = mark_answer("sand and water", "filtration")
    assert json.loads(answer_text("sand and water", "filtration", found, "json"))["verdict"] == "right"


def test_words_are_heard() -> None:
    assert sound("filterashun") == sound("filtration") and sound("kromatografy") == sound("chromatography")
    reader = Checker().reader
    assert reader.read("seperating funel").choices[0][0].slugs == ("separating-funnel",)
    assert reader.read("it is forced through a window").mended == ()
