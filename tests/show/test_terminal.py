"""The terminal output as captured text at fixed widths, with and without colour."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys

import pytest
from rich.cells import cell_len
from rich.console import Console
from samples import ACETONE_WATER, ALL, BRANCHED, REFUSED, SAND_SALT_IRON, UNKNOWN

from choosemethod.advice.answer import Advice, ComponentSeen
from choosemethod.show.blocks import Flow, FlowProduct, FlowStep, Pairs, Para, Points
from choosemethod.show.page import page
from choosemethod.show.terminal import open_console, render_blocks, render_terminal


def console(width: int, file: io.TextIOBase | None = None, **how: object) -> Console:
    out = file if file is not None else io.StringIO()
    how.setdefault("color_system", None)
    return Console(file=out, width=width, highlight=False, markup=False, emoji=False, **how)  # type: ignore[arg-type]


def shown(advice: Advice, width: int, full: bool = False, trace: bool = False, **how: object) -> str:
    screen = console(width, **how)
    render_terminal(advice, screen, full=full, trace=trace)
    return screen.file.getvalue()  # type: ignore[attr-defined, no-any-return]


def squeezed(text: str) -> str:
    """The text without what wrapping, drawing and lists add."""
    return re.sub(r"[\s│├└─►▼]+", "", text)


@pytest.mark.parametrize("width", [40, 60, 80, 100, 120])
@pytest.mark.parametrize("name", ALL)
def test_no_line_is_longer_than_the_width(name: str, width: int) -> None:
    for full in (False, True):
        text = shown(ALL[name], width, full=full, trace=full)
        assert text.strip()
        for line in text.splitlines():
            assert cell_len(line) <= width, line
            assert line == line.rstrip()


@pytest.mark.parametrize("width", [20, 40, 80, 120])
@pytest.mark.parametrize("name", ALL)
def test_nothing_is_cut_off_at_any_width(name: str, width: int) -> None:
    text = squeezed(shown(ALL[name], width, full=True, trace=True))
    for block in page(ALL[name], full=True, trace=True):
        if isinstance(block, Para):
            assert squeezed(block.label) in text
            assert squeezed(block.text) in text
        elif isinstance(block, Points):
            assert all(squeezed(item) in text for item in block.items)
        elif isinstance(block, Pairs):
            for label, said in block.rows:
                assert squeezed(f"{label}: {said}") in text or squeezed(f"{label}{said}") in text
        elif isinstance(block, Flow):
            assert all(squeezed(product.text) in text for step in block.steps for product in step.products)


def test_a_refusal_at_60_columns() -> None:
    assert (
        shown(REFUSED, 60)
        == """\
What was understood
  bleach             liquid
  hydrochloric acid  liquid

Answer
  DANGER: Do not do this: it is dangerous.
  Because: Bleach and acid give off chlorine, a toxic gas.
  What to do: Open the windows, leave the room and call
    for help.

Dangers of the mixture
  DANGER: Never bring them together, and never in a closed
    vessel.
"""
    )


def test_one_technique_at_40_columns() -> None:
    text = shown(ACETONE_WATER, 40)
    start = text.index("How to do it")
    assert (
        text[start : text.index("\n  Left out", start)]
        == """\
How to do it
  You need: beaker, glass rod.
  1. Put the mixture and a few boiling
     chips into the flask; fill it at
     most two thirds.
  2. Heat gently until the thermometer
     stands at about 56 °C and collect
     what comes over.
  3. Change the receiver when the
     temperature climbs quickly.
  4. Stop while some liquid is still in
     the flask.
  You will see: The thermometer stays
    near 56 °C, then climbs.
  Limits: The first fraction holds
    some water.
  Left over: Collect acetone in the
    bottle for flammable solvents
    without halogens."""
    )


def test_a_plan_is_one_line_a_step_on_the_ordinary_page() -> None:
    text = shown(SAND_SALT_IRON, 100)
    start = text.index("The plan\n") + len("The plan\n")
    assert text[start : text.index("  You need", start)].rstrip().split("\n") == [
        "  1. magnetic separation: iron filings (product); sand + common salt (on to step 2)",
        "  2. dissolving, adding water: sand + common salt + water (on to step 3)",
        "  3. filtration: sand (product); common salt + water (on to step 4)",
        "  4. evaporation: common salt (product); water (not kept)",
    ]


def flow_of(advice: Advice, width: int, **how: object) -> str:
    text = shown(advice, width, full=True, **how)
    start = text.index("The plan\n") + len("The plan\n")
    return text[start : text.index("\n\n", start)]


def test_a_plan_of_four_steps_at_80_columns() -> None:
    assert (
        flow_of(SAND_SALT_IRON, 80)
        == """\
  iron filings + sand + common salt
  │ 1 magnetic separation
  ├─► iron filings — what the magnet lifts (product)
  ▼ sand + common salt — what is left
  │ 2 dissolving, adding water
  ▼ sand + common salt + water — salt solution with sand
  │ 3 filtration
  ├─► sand — residue on the filter (product)
  ▼ common salt + water — filtrate
  │ 4 evaporation
  ├─► common salt — crystals (product)
  └─► water — steam (not kept)"""
    )


def test_the_same_plan_at_40_columns_keeps_its_lines_together() -> None:
    assert (
        flow_of(SAND_SALT_IRON, 40)
        == """\
  iron filings + sand + common salt
  │ 1 magnetic separation
  ├─► iron filings — what the magnet
  │   lifts (product)
  ▼ sand + common salt — what is left
  │ 2 dissolving, adding water
  ▼ sand + common salt + water — salt
  │ solution with sand
  │ 3 filtration
  ├─► sand — residue on the filter
  │   (product)
  ▼ common salt + water — filtrate
  │ 4 evaporation
  ├─► common salt — crystals (product)
  └─► water — steam (not kept)"""
    )


def test_a_plan_that_branches_moves_to_the_right_only_there() -> None:
    assert (
        flow_of(BRANCHED, 60)
        == """\
  A + B + C + D
  │ 1 sieving
  ├─► A + B — coarse
  │   │ 2 hand picking
  │   ├─► A (product)
  │   └─► B (product)
  ▼ C + D — fine
  │ 3 sublimation
  ├─► C (product)
  └─► D (product)"""
    )


def test_an_output_without_box_characters_gets_plain_ones() -> None:
    raw = io.BytesIO()
    file = io.TextIOWrapper(raw, encoding="ascii", errors="replace")
    render_blocks([Flow("a + b", (FlowStep(1, "sieving", (FlowProduct("a"), FlowProduct("b"))),))], console(40, file))
    file.flush()
    assert raw.getvalue().decode() == "  a + b\n  | 1 sieving\n  +-> a\n  `-> b\n"


def test_a_product_that_joins_another_stream_says_so() -> None:
    steps = (
        FlowStep(1, "sieving", (FlowProduct("coarse", "", 2), FlowProduct("fine", "", 3))),
        FlowStep(2, "washing", (FlowProduct("washings", "", 3),)),
        FlowStep(3, "filtration", (FlowProduct("sand", "product"),)),
    )
    screen = console(40)
    render_blocks([Flow("soil", steps)], screen)
    text = screen.file.getvalue()  # type: ignore[attr-defined]
    assert "washings (joins step 3)" in text
    assert text.count("3 filtration") == 1


@pytest.mark.parametrize("name", ["[red]salt[/red]", "[/]", ":smile:", "[link=x]y[/link]", "a\\[b]", "copper(II)"])
def test_values_are_shown_as_written(name: str) -> None:
    odd = UNKNOWN._replace(components=(ComponentSeen("x", name, "solid", "solid"),), unknown=((name, (name,)),))
    assert shown(odd, 80).count(name) == 3


def test_wide_characters_are_measured() -> None:
    odd = UNKNOWN._replace(asked="塩と砂を分ける方法を教えてください" * 3)
    assert all(cell_len(line) <= 40 for line in shown(odd, 40).splitlines())


ANSI = re.compile(r"\x1b\[[0-9;]*m")


@pytest.mark.parametrize("name", ALL)
def test_nothing_is_said_by_colour_alone(name: str) -> None:
    coloured = shown(ALL[name], 80, color_system="standard", force_terminal=True)
    assert "\x1b[" in coloured
    assert ANSI.sub("", coloured) == shown(ALL[name], 80)
    assert "DANGER" in ANSI.sub("", shown(REFUSED, 80))


def test_color_always_and_never(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("TERM", "dumb")
    always = open_console("always", 80)
    with always.capture() as captured:
        render_terminal(REFUSED, always)
    assert "\x1b[" in captured.get()
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("TERM", "xterm-256color")
    never = open_console("never", 80)
    with never.capture() as captured:
        render_terminal(REFUSED, never)
    assert "\x1b" not in captured.get()


SCRIPT = """
import sys; sys.path.insert(0, sys.argv[1])
from samples import REFUSED
from choosemethod.show.terminal import open_console, render_terminal
render_terminal(REFUSED, open_console())
"""


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="needs a pseudo-terminal")
@pytest.mark.parametrize(
    "variables, styled, red",
    [({}, True, True), ({"NO_COLOR": "1"}, True, False), ({"TERM": "dumb"}, False, False)],
)
def test_a_terminal_gets_colour_unless_told_otherwise(variables: dict[str, str], styled: bool, red: bool) -> None:
    kept = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "FORCE_COLOR", "COLUMNS")}
    here = os.path.dirname(__file__)
    path = os.pathsep.join([os.path.dirname(os.path.dirname(here)), os.environ.get("PYTHONPATH", "")])
    lead, follow = os.openpty()
    try:
        subprocess.run(
            [sys.executable, "-c", SCRIPT, here],
            stdout=follow,
            env={**kept, "TERM": "xterm-256color", "PYTHONPATH": path, **variables},
            check=True,
            timeout=60,
        )
        text = os.read(lead, 65536).decode()
    finally:
        os.close(lead)
        os.close(follow)
    assert "Do not do this" in text
    assert ("\x1b[" in text) == styled
    assert bool(re.search(r"\x1b\[[0-9;]*3[0-7]m", text)) == red


def test_a_pipe_has_80_columns_or_what_columns_says(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("COLUMNS", raising=False)
    monkeypatch.setattr(sys, "stdout", io.StringIO())
    assert open_console().width == 80
    monkeypatch.setenv("COLUMNS", "57")
    assert open_console().width == 57
    assert open_console(width=120).width == 120
    assert open_console(width=3).width == 20
