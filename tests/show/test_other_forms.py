"""Plain words, Markdown and JSON. Markdown is read back by markdown-it-py, a CommonMark parser."""

from __future__ import annotations

import html
import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from samples import ACETONE_WATER, ALL, BRANCHED, SAND_SALT_IRON

from choosemethod.show.blocks import Flow, Heading, Para, Points, sentence
from choosemethod.show.jsontext import json_text
from choosemethod.show.markdown import escape, render_markdown
from choosemethod.show.output import fitting
from choosemethod.show.page import page
from choosemethod.show.words import render_words

READER = MarkdownIt("commonmark")


@pytest.mark.parametrize("name", ALL)
def test_words_hold_every_caution_and_no_drawing(name: str) -> None:
    text = render_words(ALL[name], full=True, trace=True)
    assert not re.search(r"[│├└─►▼•|]|^\s*[-*]|  ", text, re.M)
    for step in ALL[name].plan:
        for caution in step.cautions:
            assert sentence(caution.text) in text


def test_words_of_a_plan() -> None:
    text = render_words(SAND_SALT_IRON, full=True)
    assert "It starts from iron filings, sand and common salt.\n" in text
    assert "Step 3 of 4: filtration. It gives: sand, residue on the filter, product; common salt and water, " in text
    assert "1 of 4: Put the mixture and a few boiling chips" in render_words(ACETONE_WATER)


@pytest.mark.parametrize("name", ALL)
def test_markdown_has_the_same_headings_and_lists(name: str) -> None:
    tokens = READER.parse(render_markdown(ALL[name], full=True))
    found = [tokens[place + 1].content for place, token in enumerate(tokens) if token.type == "heading_open"]
    blocks = page(ALL[name], full=True)
    assert len(found) == 1 + sum(isinstance(block, Heading) for block in blocks)
    items = sum(token.type == "list_item_open" for token in tokens)
    assert items >= sum(len(block.items) for block in blocks if isinstance(block, Points))
    assert not any(token.type in ("html_block", "code_block", "fence") for token in tokens)


def test_markdown_flow_nests_the_products_under_their_step() -> None:
    tokens = READER.parse(render_markdown(BRANCHED, full=True))
    depth = [token.level for token in tokens if token.type == "inline" and token.content == "A (product)"]
    steps = [
        token.level for token in tokens if token.type == "inline" and "hand picking" in token.content and token.level
    ]
    assert depth
    assert depth[0] > min(steps)


@settings(max_examples=200, deadline=None)
@given(st.text(alphabet=st.sampled_from("ab12 .)(*_`[]<>#|~&!+-=\\/:'\"\n"), max_size=25))
def test_markdown_shows_any_text_as_it_is(text: str) -> None:
    plain = " ".join(text.split())
    rendered = READER.render(escape(text))
    assert rendered.count("<p>") == (1 if plain else 0)
    assert html.unescape(re.sub(r"</?p>", "", rendered)).strip() == plain


PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)


@settings(max_examples=100, deadline=None)
@given(PLAIN)
def test_json_is_read_back_the_same(thing: object) -> None:
    for encoding in ("utf-8", "ascii", "cp1252"):
        text = json_text(thing, encoding)
        text.encode(encoding)
        assert json.loads(text) == thing
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e]", text)


@pytest.mark.parametrize("name", ALL)
def test_json_of_an_answer_has_what_the_contract_names(name: str) -> None:
    thing = json.loads(json_text(ALL[name].as_dict()))
    assert thing["schema_version"] == 1
    for key in ("mixture", "status", "techniques", "rejected", "plan", "cautions", "numbers", "sources", "trace"):
        assert key in thing


def test_json_refuses_what_json_does_not_have() -> None:
    with pytest.raises(ValueError):
        json_text({"gap": float("nan")})


@pytest.mark.parametrize(
    "text, encoding, fits",
    [
        ("56.1 °C → CO₂ — “é”", "utf-8", "56.1 °C → CO₂ — “é”"),
        ("56.1 °C → CO₂ — “é”", "ascii", '56.1 deg C -> CO2 - "e"'),
        ("56.1 °C → CO₂ — é", "latin-1", "56.1 °C -> CO2 - é"),
        ("塩 \udc80", "ascii", "? ?"),
    ],
)
def test_signs_a_terminal_does_not_have_are_written_otherwise(text: str, encoding: str, fits: str) -> None:
    assert fitting(text, encoding) == fits


def test_every_block_of_the_page_is_of_a_known_kind() -> None:
    kinds = {type(block).__name__ for advice in ALL.values() for block in page(advice, full=True, trace=True)}
    assert kinds == {"Heading", "Para", "Points", "Pairs", "Flow"}
    assert isinstance(page(BRANCHED)[0], Heading)
    assert not isinstance(page(BRANCHED)[0], (Flow, Para))
