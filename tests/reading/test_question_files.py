"""A question in a YAML file, and the faults it may have."""

from __future__ import annotations

from pathlib import Path

import pytest

from choosemethod.errors import DataError
from choosemethod.reading.file import read_file
from choosemethod.table import Table

GOOD = """\
components:
  - {name: liquid A, phase: liquid, boiling_point: 60 °C, solubility: {water: insoluble}, amount: 50 mL}
  - water
  - {name: sand, amount: 5 g, size: 0.2 to 0.6 mm}
want: liquid A
without: [no flame]
altitude: 1600 m
level: year 7
"""


def test_a_file_holds_components_wish_and_setting(table: Table, tmp_path: Path) -> None:
    path = tmp_path / "question.yaml"
    path.write_text(GOOD, encoding="utf-8")
    question = read_file(path, table)
    liquid, water, sand = question.mixture.components
    assert (liquid.substance, liquid.form) == ("liquid-a", "liquid")
    assert liquid.volume == pytest.approx(50e-6)
    assert (water.substance, water.form) == ("water", "liquid")
    assert sand.mass == pytest.approx(0.005)
    assert sand.size == (pytest.approx(2e-4), pytest.approx(6e-4))
    assert question.wish.want == ("liquid-a",)
    assert "open-flame" in question.setting.without
    assert question.setting.level == "lower-secondary"
    # ICAO Doc 7488: 83.52 kPa at 1600 m
    assert question.setting.pressure == pytest.approx(83_520, abs=30)
    assert question.given["liquid-a"]["boiling_point"] == "60 °C"


def test_a_file_may_hold_words(table: Table) -> None:
    question = read_file("mixture: sand and salt\nwant: salt\nremove: sand\npurity: 99 %\nform: dry\n", table)
    assert question.mixture.substances == ("sand", "sodium-chloride")
    assert question.wish.want == ("sodium-chloride",)
    assert question.wish.remove == ("sand",)
    assert question.wish.purity == pytest.approx(0.99)
    assert question.wish.form == "dry"


def test_distances_and_aim_in_a_file(table: Table) -> None:
    question = read_file(
        'mixture: black ink\naim: identify\nfront: 80 mm\nspots: [30 mm, 4.5 cm]\nsmall: "yes"\n', table
    )
    assert question.wish.aim == "identify"
    assert question.front == pytest.approx(0.080)
    assert question.spots == (pytest.approx(0.030), pytest.approx(0.045))
    assert question.setting.small


@pytest.mark.parametrize(
    "text, line, wrong",
    [
        ("components: [sand, flurb]\n", 1, "'flurb' is not known"),
        ("mixture: sand\ncomponents: [sand]\n", 1, "either mixture or components"),
        ("want: sand\n", 1, "either mixture or components"),
        ("components:\n  - {name: sand, amont: 5 g}\n", 2, "'amont' is no key of a component"),
        ("components:\n  - sand\n  - {name: X, boiling_point: 60}\n", 3, "a temperature needs a unit"),
        ("components:\n  - {name: X, sublimes: perhaps}\n", 2, "'perhaps' is no value of sublimes"),
        ("components:\n  - {name: X, solubility: {flurb: soluble}}\n", 2, "'flurb' is not known"),
        ("components:\n  - {name: sand, form: lumpy}\n", 2, "'lumpy' is no form"),
        ("components:\n  - {name: sand, amount: -5 g}\n", 2, "an amount is above 0"),
        ("components:\n  - {name: sand, amount: some}\n", 2, "'some' is no amount"),
        ("components:\n  - {name: sand, in: flurb}\n", 2, "'flurb' is not known"),
        ("components: [sand]\nwithout: [purple]\n", 2, "'purple' names nothing"),
        ("components: [sand]\npressure: 84\n", 2, "a pressure needs a unit"),
        ("components: [sand]\npressure: 84 kPa\naltitude: 1600 m\n", 3, "both given"),
        ("components: [sand]\naltitude: 160 km\n", 2, "must be between"),
        ("components: [sand]\nlevel: wizard\n", 2, "'wizard' is no level"),
        ("components: [sand]\naim: guess\n", 2, "'guess' is no aim"),
        ("components: [sand]\nremove: flurb\n", 2, "'flurb' is not known"),
        ("- sand\n- salt\n", 1, "a question is a mapping"),
        ("components: {sand: 5 g}\n", 1, "components must be a list"),
    ],
)
def test_a_fault_names_the_line_and_what_to_write(text: str, line: int, wrong: str, table: Table) -> None:
    with pytest.raises(DataError) as caught:
        read_file(text, table)
    assert caught.value.line == line
    assert wrong in caught.value.wrong
    assert caught.value.write


def test_a_missing_file_is_named(table: Table) -> None:
    with pytest.raises(DataError, match=r"no-such-file\.yaml"):
        read_file("no-such-file.yaml", table)


def test_every_fault_is_said_at_once_and_one_fault_hides_no_other_name(table: Table) -> None:
    text = (
        "components:\n  - {name: liquid A, phase: wet, boiling_point: 60}\n  - {name: flurb}\n  - {name: sand, amont: 5 g}\n"
        "remove: liquid A\naim: guess\nwithout: [purple]\naltitude:\npressure: 84\n"
    )
    with pytest.raises(DataError) as caught:
        read_file(text, table)
    assert [(one.line, one.wrong.split(" ")[0]) for one in caught.value.faults] == [
        (2, "'wet'"), (2, "boiling_point:"), (3, "'flurb'"), (4, "'amont'"), (6, "'guess'"), (7, "'purple'"), (9, "84:"),
    ]  # fmt: skip
    assert all(one.write for one in caught.value.faults)
