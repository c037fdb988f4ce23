"""Every form of a quiz holds the same questions and key, is safe to open, and is the same for the same seed."""

from __future__ import annotations

import csv
import io
import json
import re
from argparse import ArgumentParser
from html.parser import HTMLParser
from pathlib import Path

import pytest

from choosemethod.classroom import quiz_command
from choosemethod.classroom.items import Choice, Item, Point
from choosemethod.classroom.quiz import Quiz, QuizRequest, make_quiz
from choosemethod.classroom.quiz_output import quiz_csv, quiz_html, quiz_json, quiz_markdown, quiz_text, safe_cell
from choosemethod.errors import UsageError


@pytest.fixture(scope="module")
def quiz() -> Quiz:
    return make_quiz(QuizRequest(level="lower-secondary", count=14, seed=3))


def _flat(text: str) -> str:
    return " ".join(text.split())


def test_plain_text_keeps_to_its_width_and_puts_the_key_last(quiz: Quiz) -> None:
    text = quiz_text(quiz, 60)
    assert all(len(line) <= 60 for line in text.splitlines())
    questions, key = text.split("\nKey\n---\n")
    for item in quiz.items:
        assert _flat(item.stem) in _flat(questions)
        assert _flat(item.answer) in _flat(key)
        assert _flat(item.answer) not in _flat(questions)
    assert "Key" not in quiz_text(quiz, key=False).splitlines()


def test_markdown_keeps_the_key_under_its_heading(quiz: Quiz) -> None:
    text = quiz_markdown(quiz)
    assert text.index("## Questions") < text.index("## Key")
    assert text.count("**1.**") == 2
    assert "## Key" not in quiz_markdown(quiz, key=False)


class _Checker(HTMLParser):
    """Open tags must be closed in order; void tags aside."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.faults: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.faults.append(tag)


def test_html_is_whole_self_contained_and_breaks_before_the_key(quiz: Quiz) -> None:
    page = quiz_html(quiz)
    checker = _Checker()
    checker.feed(page)
    assert not checker.faults
    assert not checker.open
    assert not re.findall(r"https?://|<script|@import|url\(|src=", page)
    assert re.search(r"section\.key \{[^}]*break-before: page", page)
    assert page.index('class="questions"') < page.index('<section class="key">')
    assert '<section class="key">' not in quiz_html(quiz, key=False)


def test_csv_has_a_row_for_each_question(quiz: Quiz) -> None:
    rows = list(csv.DictReader(io.StringIO(quiz_csv(quiz))))
    assert [row["question"] for row in rows] == [item.stem for item in quiz.items]
    assert [row["answer"] for row in rows] == [item.answer for item in quiz.items]
    hidden = next(csv.reader(io.StringIO(quiz_csv(quiz, key=False))))
    assert "answer" not in hidden
    assert "key" not in hidden


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@now", "\tx"])
def test_cells_are_no_formulas(text: str) -> None:
    assert safe_cell(text) == "'" + text
    assert safe_cell("plain " + text) == "plain " + text


def test_json_holds_every_field_and_can_leave_the_key_out(quiz: Quiz) -> None:
    whole = json.loads(quiz_json(quiz))
    assert whole["schema_version"] == 1
    assert [item["id"] for item in whole["items"]] == [item.id for item in quiz.items]
    for shown, item in zip(whole["items"], quiz.items, strict=True):
        assert tuple(shown["key"]) == item.key
        assert shown["marks"] == item.marks
        assert shown["sources"]
    for shown in json.loads(quiz_json(quiz, key=False))["items"]:
        assert not {"key", "answer", "points", "orders", "data", "value", "technique"}.intersection(shown)
        assert all(set(choice) == {"id", "text"} for choice in shown["choices"])


def test_hostile_words_are_only_words() -> None:
    said = '<script>alert("x")</script> & =cmd | *bold*'
    item = Item(
        "choose-0", "choose", said, said, (Point(said),), choices=(Choice("A", said, True), Choice("B", "other"))
    )
    quiz = Quiz(said, "", 1, 1, (item,))
    page = quiz_html(quiz)
    assert "<script" not in page
    assert "&lt;script&gt;" in page
    assert "\\*bold\\*" in quiz_markdown(quiz)
    assert said in quiz_text(quiz, 200)


def _run(*words: str) -> int:
    parser = ArgumentParser()
    quiz_command.add_arguments(parser)
    return quiz_command.run(parser.parse_intermixed_args(list(words)))


@pytest.mark.parametrize("form", quiz_command.FORMATS)
def test_command_writes_the_same_bytes_for_the_same_seed(form: str, tmp_path: Path) -> None:
    files = [tmp_path / name for name in ("one", "two")]
    for file in files:
        assert (
            _run(
                "sand and water",
                "acetone and water",
                "--count",
                "5",
                "--seed",
                "9",
                "--format",
                form,
                "--output",
                str(file),
            )
            == 0
        )
    assert files[0].read_bytes() == files[1].read_bytes()
    assert files[0].stat().st_size > 300


def test_command_needs_a_file_for_a_package() -> None:
    with pytest.raises(UsageError, match="--output"):
        _run("--format", "qti")


def test_command_says_when_there_are_fewer(capsys: pytest.CaptureFixture[str]) -> None:
    assert _run("sand and water", "--kind", "order", "--level", "primary", "--count", "50") == 0
    assert "only" in capsys.readouterr().err
