"""Markdown of every command, read by a Markdown parser: nothing of the input becomes a link, an image or HTML."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from markdown_it.token import Token

from choosemethod.cli import main
from choosemethod.show.markdown import escape

HOSTILE = [
    "[sand](http://example.invalid/a)",
    "![water](http://example.invalid/a.png)",
    "<script>alert(1)</script>",
    "<http://example.invalid/>",
    "[a]: http://example.invalid/ 'x'",
    "# heading `code` **bold** _it_ ~~gone~~ &lt;b&gt;",
    "1. one | two \\| three {x}",
    "javascript:alert(1) www.example.invalid somebody@example.invalid",
]
OWN = {
    "<br>",
    '<div style="break-before: page"></div>\n',
    '<div style="break-before: page"></div>',
}  # what the program writes


def tokens(text: str) -> Iterator[Token]:
    """Every token of a text, those inside others too."""
    for token in MarkdownIt("commonmark").enable(["table", "strikethrough"]).parse(text):
        yield token
        yield from token.children or ()


def plain(text: str) -> None:
    """Nothing in the text is a link, an image, or HTML that the program has not written itself."""
    for token in tokens(text):
        assert token.type not in ("link_open", "image", "s_open"), (token, text)
        if token.type in ("html_inline", "html_block"):
            assert token.content in OWN, (token.content, text)
    for sign in ("://", "www.", "somebody@"):  # what some readers make links of though no parser does
        assert sign not in text, text


@pytest.mark.parametrize("words", HOSTILE)
def test_what_is_escaped_is_read_as_it_was_written(words: str) -> None:
    text = "".join(token.content for token in tokens(escape(words)) if token.type in ("text", "text_special"))
    assert text == words
    plain(escape(words))


def shown(capsys: pytest.CaptureFixture[str], *argv: str) -> str:
    assert main([*argv, "--format", "markdown"]) in (0, 1, 2, 3, 4)
    return capsys.readouterr().out


@pytest.mark.parametrize("words", HOSTILE)
def test_advise(home: Path, capsys: pytest.CaptureFixture[str], words: str) -> None:
    plain(shown(capsys, "advise", f"sand, {words} and water", "--full", "--trace"))
    file = home / "a.yaml"
    named = words.replace("'", "''")
    file.write_text(
        f"components:\n  - {{name: '{named}', phase: solid, colour: '{named}'}}\n  - water\nform: '{named}'\n"
    )
    plain(shown(capsys, "advise", str(file), "--full", "--trace"))
    plain(shown(capsys, "handout", str(file)))


def test_the_others(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = " ".join(HOSTILE).replace("'", "''")
    own = home / "own.yaml"
    own.write_text(
        f"strange:\n  name: '{words}'\n  also: [strangeite]\n  kind: mineral\n  phase: solid\n"
        f"  colour: {{is: '{words}', source: memory}}\n"
    )
    page = shown(capsys, "table", "strangeite", "--table", str(own))
    assert "alert" in page
    plain(page)
    for argv in (
        ("table",),
        ("techniques",),
        ("techniques", "filtration"),
        ("rules",),
        ("calculate",),
        ("table", "water"),
    ):
        plain(shown(capsys, *argv))
    plain(shown(capsys, "quiz", "sand and salt", "--title", words, "--count", "3"))
    assert shown(capsys, "handout", words) == ""  # not known


def test_check(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    import csv

    file = home / "sheet.csv"
    with open(file, "w", newline="", encoding="utf-8") as out:
        rows = csv.writer(out)
        rows.writerow(["Mixture", "Answer", "Reason"])
        for words in HOSTILE:
            rows.writerow([f"{words} and water", f"{words}\n{words}", words])
            rows.writerow(["sand and water", f"filter it. {words}", f"\n\n# {words}"])
    page = shown(capsys, "check", str(file))
    plain(page)
    found = [token for token in tokens(page) if token.type == "tr_open"]
    assert len(found) == 1 + 2 * len(HOSTILE)  # one row stays one row
