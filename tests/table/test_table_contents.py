"""What is read from the files: numbers in SI units, words, sources, pairs, dangers; substances given in a question."""

from __future__ import annotations

from pathlib import Path

import pytest

from choosemethod.table import Danger, Source, Substance, Value, open_table
from choosemethod.table.model import MixturePart, ReagentEntry, Solubility
from choosemethod.table.report import table_report


def test_a_substance(folder: Path) -> None:
    salt = open_table(folder=folder).substance("sodium-chloride")
    assert (salt.name, salt.phase, salt.kind, salt.formula, salt.cas) == (
        "sodium chloride", "solid", "salt", "NaCl", "7647-14-5",
    )  # fmt: skip
    assert salt.also == ("table salt", "common salt") and salt.classes == ("ionic",)
    assert (salt.file, salt.line) == ("substances/solids/common.yaml", 1)
    melting = salt.values["melting_point"]
    assert melting.number == melting.high == pytest.approx(801 + 273.15)
    assert (melting.text, melting.source, melting.note) == ("801 °C", "handbook-a", "anhydrous, pure; ± 1 K")
    assert (melting.file, melting.line) == ("substances/solids/common.yaml", 9)
    size = salt.values["particle_size"]
    assert [size.number, size.high] == pytest.approx([0.2e-3, 0.6e-3])
    water, acetone = salt.solubility["water"], salt.solubility["acetone"]
    assert [temperature for temperature, _ in water.points] == pytest.approx([273.15, 293.15, 373.15])
    assert [amount for _, amount in water.points] == pytest.approx([0.356, 0.359, 0.390])
    assert (water.of, water.word, water.line) == ("anhydrous", "", 12)
    assert acetone == Solubility("acetone", "insoluble", "memory", file="substances/solids/common.yaml", line=13)


def test_words_vapour_pressure_and_reagents(folder: Path) -> None:
    table = open_table(folder=folder)
    acetone, iron = table.substance("acetone"), table.substance("iron")
    assert acetone.values["hazards"].words == ("H225", "H319")
    assert table.substance("water").values["hazards"].words == ()
    assert acetone.values["density"].at == pytest.approx(298.15)
    assert iron.values["magnetic"].words == ("strongly",)
    vapour = acetone.vapour_pressure
    assert vapour is not None
    # CRC Handbook, section 3: acetone boils at 56.08 °C under 101.325 kPa; the constants must give that back.
    assert 10 ** (vapour.a - vapour.b / (273.15 + 56.08 + vapour.c)) == pytest.approx(101325, rel=0.01)
    assert iron.reagents["dissolves_in_reagent"] == (
        ReagentEntry("dilute-acid", True, "memory", "an iron(II) salt", "hydrogen-gas"),
        ReagentEntry("water", False, "memory"),
    )


def test_a_named_mixture(folder: Path) -> None:
    table = open_table(folder=folder)
    brine = table.mixture("salt-water")
    water, salt = brine.components
    assert (water.substance, water.form, water.host) == ("water", "liquid", "")
    assert (salt.substance, salt.form, salt.host) == ("sodium-chloride", "dissolved", "water")
    assert [water.share, salt.share] == pytest.approx([0.965, 0.035])
    assert (brine.by, brine.usual_aim, brine.source) == ("mass", ("sodium-chloride",), "common-practice")
    assert (brine.file, brine.line) == ("substances/mixtures/water.yaml", 1)
    soil = table.mixture("soil")
    assert soil.components[0].role == "main" and soil.components[1] == MixturePart("water", "liquid")
    assert list(soil.components[0].size or ()) == pytest.approx([1e-4, 2e-3])
    assert soil.usual_aim == ("every component",)
    lump = table.mixture("iron-lump")
    assert (lump.really, lump.made_of, lump.components) == ("one substance", ("iron",), ())


def test_pairs_in_either_order_and_by_another_name(folder: Path) -> None:
    table = open_table(folder=folder)
    row = table.pair("azeotropes", "water", "acetone")
    assert row == {
        "first": "acetone", "second": "water", "kind": "none", "pressure": "101.325 kPa", "source": "memory",
        "swapped": "yes",
    }  # fmt: skip
    other = table.pair("azeotropes", "acetone", "water")
    assert other is not None and other["swapped"] == "no"
    assert table.pair("azeotropes", "water", "iron") is None and table.pair("nothing", "water", "acetone") is None
    estimate = table.pair("azeotropes", "acetone", "propanal")  # the row says "propanone"
    assert estimate is not None and (estimate["first"], estimate["estimate"]) == ("acetone", "by rule of thumb")
    assert [row["first"] for row in table.pairs("azeotropes")] == ["acetone", "acetone"]
    assert table.pair_kinds() == ("azeotropes", "partition")
    iodine_like = table.pair("partition", "acetone", "water")
    assert iodine_like is not None and (iodine_like["solute"], iodine_like["swapped"]) == ("iron", "yes")


def test_families_dangers_statements_and_sources(folder: Path) -> None:
    table = open_table(folder=folder)
    assert (table.family("acetone"), table.family("iron")) == ("ketone", "")
    assert table.family_mixes("ketone", "water") == table.family_mixes("water", "ketone") == "fully"
    assert table.family_mixes("ketone", "oil") == ""
    assert table.dangers() == (
        Danger(("class", "hypochlorite"), ("class", "acid"), "gives off chlorine", "refuse", "memory"),
        Danger(("substance", "acetone"), None, "burns", "caution", "memory", note="no flames"),
    )
    (three,) = table.dangers_between_several()
    assert (three.first, three.second, three.more) == (("kind", "metal"), ("class", "acid"), (("substance", "water"),))
    assert (table.pictogram("H225"), table.pictogram("EUH066")) == ("flame", "")
    assert table.hazard_statement("H319") == "Causes serious eye irritation"
    assert table.source("memory") == Source("memory", "From memory", "memory")
    with pytest.raises(KeyError):
        table.hazard_statement("H999")
    with pytest.raises(KeyError):
        table.source("nobody")


def test_ids(folder: Path) -> None:
    table = open_table(folder=folder)
    assert table.has("iron") and not table.has("gold")
    ids = ("acetone", "dilute-acid", "hydrogen-gas", "iron", "propanal", "sodium-chloride", "soil", "water")
    assert table.substance_ids() == ids
    assert table.mixture_ids() == ("iron-lump", "salt-water", "soil")
    with pytest.raises(KeyError, match="gold"):
        table.substance("gold")
    with pytest.raises(KeyError, match="gold"):
        table.mixture("gold")


def test_substances_of_the_question_go_before_the_tables_own(folder: Path) -> None:
    table = open_table(folder=folder)
    boiling = {"boiling_point": Value("boiling_point", "60 °C", "given", 333.15, 333.15)}
    liquid = Substance("liquid-x", "liquid X of the long bottle", "liquid", "organic", values=boiling, given=True)
    other_iron = Substance("iron", "iron", "solid", "metal", given=True)
    view = table.with_given({"liquid-x": liquid, "iron": other_iron})
    found = view.name("Liquid X")
    assert found is not None and view.substance(found.id) is liquid
    assert view.has("liquid-x") and "liquid-x" in view.substance_ids()
    assert view.longest_name() == 6
    assert view.substance("iron").given and not table.substance("iron").given
    assert view.suggest("liqud x")[0][1].id == "liquid-x"
    assert not table.has("liquid-x") and table.name("liquid x") is None
    assert view.name("iron filings") == table.name("iron filings")


def test_the_report_counts_by_where_values_come_from(folder: Path) -> None:
    report = dict(table_report(open_table(folder=folder)))
    assert report["substances"] == 8 and report["named mixtures"] == 3 and report["dangers"] == 3
    assert report["rows about pairs"] == 3 and report["rows about pairs: partition"] == 1
    # By hand from the files of the small table: acetone 3 and water 1 and salt 2 from the handbook ...
    assert report["values measured"] == 6
    # ... from memory: water's and acetone's hazards, 2 solubilities, 2 reagents, 2 pairs; one pair is an estimate.
    assert report["values memory"] == 8
    assert report["values common practice"] == 2 and report["values estimated"] == 1
    assert report["values without a known source"] == 0
