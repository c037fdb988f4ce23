"""A user's own table files: they add to the table and override single values of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from choosemethod import places
from choosemethod.table import DataError, open_table


def test_a_plain_file_overrides_one_value_and_keeps_the_rest(folder: Path, tmp_path: Path) -> None:
    mine = tmp_path / "mine.yaml"
    mine.write_text(
        "# our bottle\nacetone:\n  also: [nail varnish remover]\n  boiling_point: {is: 57 °C, source: memory}\n"
    )
    acetone = open_table([mine], folder).substance("acetone")
    boiling = acetone.values["boiling_point"]
    assert boiling.number == pytest.approx(330.15) and boiling.source == "memory"
    assert (boiling.file, boiling.line) == (str(mine), 4)
    assert acetone.values["density"].file == "substances/liquids/common.yaml"
    assert (acetone.name, acetone.phase, acetone.cas) == ("acetone", "liquid", "67-64-1")
    assert acetone.vapour_pressure is not None and set(acetone.solubility) == {"water"}
    assert acetone.also == ("propanone", "nail varnish remover")
    assert open_table([], folder).substance("acetone").values["boiling_point"].number == pytest.approx(329.25)


def test_solubilities_and_reagents_are_overridden_one_by_one(folder: Path, tmp_path: Path) -> None:
    mine = tmp_path / "mine.yaml"
    mine.write_text(
        "sodium-chloride:\n  solubility: {acetone: {is: freely soluble, source: memory}}\n"
        'iron: {dissolves_in_reagent: {water: {is: "yes", source: memory}}}\n'
    )
    table = open_table([mine], folder)
    salt, iron = table.substance("sodium-chloride"), table.substance("iron")
    assert len(salt.solubility["water"].points) == 3 and salt.solubility["acetone"].word == "freely soluble"
    assert [entry.yes for entry in iron.reagents["dissolves_in_reagent"]] == [True, True]
    assert iron.reagents["dissolves_in_reagent"][0].gas == "hydrogen-gas"


FULL = """\
sources:
  our-lab: {title: "Our laboratory, measured", kind: practice}
substances:
  gold: {name: gold, kind: metal, phase: solid, colour: {is: yellow, source: our-lab}}
mixtures:
  gold-sand:
    name: gold sand
    components: [{substance: gold, form: solid}, {substance: soil, form: solid}]
    source: our-lab
  salt-water: {name: salt water, components: [{substance: water, form: liquid}], source: our-lab}
pairs:
  azeotropes:
    - {first: water, second: acetone, kind: minimum, source: our-lab}
  estimates:
    - {first: water, second: gold, layers: 1, estimate: by eye}
dangers:
  - {between: [substance: gold, substance: water], danger: it glitters, severity: caution, source: our-lab}
"""


def test_a_full_file_adds_substances_mixtures_pairs_and_sources(folder: Path, tmp_path: Path) -> None:
    mine = tmp_path / "mine.yaml"
    mine.write_text(FULL)
    table = open_table([mine], folder)
    assert table.substance("gold").values["colour"].text == "yellow"
    assert table.source("our-lab").kind == "practice"
    assert table.mixture("gold-sand").components[1].substance == "soil"
    assert len(table.mixture("salt-water").components) == 1  # in place of the built-in one
    row = table.pair("azeotropes", "acetone", "water")
    assert row is not None and (row["kind"], row["swapped"]) == ("minimum", "yes")  # before the built-in one
    assert len(table.pairs("azeotropes")) == 3
    assert table.pair("estimates", "gold", "water") is not None
    assert "it glitters" in [danger.danger for danger in table.dangers()]


def test_later_files_go_before_earlier_ones(folder: Path, tmp_path: Path) -> None:
    first, second = tmp_path / "b.yaml", tmp_path / "a.yaml"
    first.write_text("iron: {melting_point: {is: 1 °C, source: memory}, colour: {is: grey, source: memory}}\n")
    second.write_text("iron: {melting_point: {is: 2 °C, source: memory}}\n")
    iron = open_table([first, second], folder).substance("iron")
    assert iron.values["melting_point"].text == "2 °C" and iron.values["colour"].text == "grey"


def test_the_users_folder_is_read(folder: Path, tmp_path: Path) -> None:
    config = tmp_path / "config" / "choosemethod"
    config.mkdir(parents=True)
    (config / "own.yaml").write_text("gold: {name: gold, kind: metal, phase: solid}\n")
    (config / "notes.txt").write_text("not a table")
    assert places.user_folder() == config
    assert places.user_files() == (config / "own.yaml",)
    assert open_table(folder=folder).has("gold")
    (config / "own.yaml").unlink()
    assert not open_table(folder=folder).has("gold")


@pytest.mark.parametrize(
    ("text", "line", "wrong", "mend"),
    [
        ("gold:\n  name: gold\n  kind: metal\n", 2, "phase is missing", "phase: solid"),
        ("iron:\n  melting_point: {is: 1538, source: memory}\n", 2, "needs a unit", "56.1 °C"),
        ("iron:\n  colour: {is: grey}\n", 2, "no source", "source: KEY"),
        ("iron:\n  also: [table salt]\n", 2, "already stands for sodium-chloride", "one of them only"),
        ("substances:\n  iron:\n    phase: sold\n", 3, "'sold'", "phase: solid"),
        ("substances: {}\nmixture: {}\n", 2, "'mixture' is no part", "mixtures:"),
        ("mixtures:\n  - mud\n", 1, "must hold a mapping", "mixtures:"),
        ("pairs:\n  azeotropes:\n    - {first: water, second: gold, source: memory}\n", 3, "'gold'", "gold"),
        ("iron: {\n", 2, "no YAML", "}"),
        ("iron:\n\tcolour: grey\n", 2, "tab", "spaces"),
    ],
)
def test_a_faulty_file_is_named_with_line_and_mend(
    folder: Path, tmp_path: Path, text: str, line: int, wrong: str, mend: str
) -> None:
    mine = tmp_path / "mine.yaml"
    mine.write_text(text)
    with pytest.raises(DataError) as caught:
        open_table([mine], folder)
    error = caught.value
    assert (error.file, error.line) == (str(mine), line)
    assert wrong in error.wrong and mend in error.write


def test_a_missing_file_is_named(folder: Path, tmp_path: Path) -> None:
    with pytest.raises(DataError, match="missing.yaml, line 1: cannot be read"):
        open_table([tmp_path / "missing.yaml"], folder)
