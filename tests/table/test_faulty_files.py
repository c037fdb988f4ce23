"""Faulty table files: each is refused with its file, its line and what to write instead."""

# ruff: noqa: E501  (one fault to a line can be compared with the next; broken lines cannot)

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from choosemethod import places
from choosemethod.table import DataError, open_table
from choosemethod.table.contents import read_contents

Write = Callable[[dict[str, str]], Path]

HEAD = "sand:\n  name: sand\n  kind: salt\n  phase: solid\n"  # four good lines of a substance
MIXTURE = "mud:\n  name: mud\n  source: memory\n  components:\n"  # four good lines of a mixture


def sand(line: str) -> str:
    return f"{HEAD}  {line}\n"


def mud(*parts: str) -> str:
    return MIXTURE + "".join(f"    - {part}\n" for part in parts)


# what is tried, file, its text, line of the fault, words of what is wrong, words of the mend
FAULTS = [
    ("unknown key", "x/y.yaml", sand("meltingpoint: {is: 1700 °C, source: memory}"), 5, "'meltingpoint'", "melting_point:"),
    ("unknown key of a value", "x/y.yaml", sand("colour: {is: brown, sorce: memory}"), 5, "'sorce'", "source:"),
    ("comma in a note", "x/y.yaml", sand("colour: {is: a, note: wet, then dark, source: memory}"), 5, "then dark", "quotes"),
    ("missing unit", "x/y.yaml", sand("melting_point: {is: 1700, source: memory}"), 5, "needs a unit", "56.1 °C"),
    ("wrong dimension", "x/y.yaml", sand("melting_point: {is: 1700 g/cm3, source: memory}"), 5, "that is a density", "°C"),
    ("no number", "x/y.yaml", sand("density: {is: heavy, source: memory}"), 5, "no number", "0.79 g/cm3"),
    ("unit on a pure number", "x/y.yaml", sand("pka: {is: 4.8 °C, source: memory}"), 5, "plain number", "pure number"),
    ("range where one number is due", "x/y.yaml", sand("melting_point: {is: 1 to 2 °C, source: memory}"), 5, "1 to 2", "°C"),
    ("low above high", "x/y.yaml", sand("particle_size: {is: 2 to 1 mm, source: memory}"), 5, "lower end", "length"),
    ("below absolute zero", "x/y.yaml", sand("melting_point: {is: -300 °C, source: memory}"), 5, "absolute zero", "-273.15"),
    ("negative density", "x/y.yaml", sand("density: {is: -2 g/cm3, source: memory}"), 5, "cannot be negative", "2 g/cm3"),
    ("missing source", "x/y.yaml", sand("colour: {is: brown}"), 5, "colour has no source", "source: memory"),
    ("bare value", "x/y.yaml", sand("colour: brown"), 5, "colour has no source", "{is: brown, source: KEY}"),
    ("unknown source", "x/y.yaml", sand("colour: {is: brown, source: handbook}"), 5, "'handbook'" , "handbook-a"),
    ("no value", "x/y.yaml", sand("colour: {source: memory}"), 5, "colour has no value", "{is: TEXT"),
    ("empty value", "x/y.yaml", sand("colour: {is: , source: memory}"), 5, "colour has no value", "{is: TEXT"),
    ("unknown word", "x/y.yaml", sand("magnetic: {is: strong, source: memory}"), 5, "'strong'", "strongly"),
    ("unquoted-looking word", "x/y.yaml", sand("magnetic: {is: none, source: memory}"), 5, "'none'", '"no"'),
    ("unknown hazard", "x/y.yaml", sand("hazards: {is: [H226], source: memory}"), 5, "'H226'", "H225"),
    ("bad at", "x/y.yaml", sand("density: {is: 2 g/cm3, at: 20, source: memory}"), 5, "density, at", "56.1 °C"),
    ("bad plus_minus", "x/y.yaml", sand("melting_point: {is: 5 °C, plus_minus: 3 g, source: memory}"), 5, "plus_minus", "K"),
    ("bad of", "x/y.yaml", sand("density: {is: 2 g/cm3, of: hydrat, source: memory}"), 5, "'hydrat'", "of: hydrate"),
    ("CAS check digit", "x/y.yaml", sand("cas: 7631-86-8"), 5, "check digit", "7631-86-9"),
    ("CAS form", "x/y.yaml", sand("cas: '7631869'"), 5, "check digit", "7647-14-5"),
    ("unknown class", "x/y.yaml", sand("classes: [ionic, metall]"), 5, "'metall'", "metal"),
    ("unknown kind", "x/y.yaml", "sand: {name: sand, kind: slat, phase: solid}\n", 1, "'slat'", "kind: salt"),
    ("unknown phase", "x/y.yaml", "sand:\n  name: sand\n  kind: salt\n  phase: sold\n", 4, "'sold'", "phase: solid"),
    ("missing name", "x/y.yaml", "sand:\n  kind: salt\n  phase: solid\n", 2, "name is missing", "name: sand"),
    ("no entry", "x/y.yaml", "sand:\n", 1, "sand has no entry", "name:"),
    ("id not in kebab case", "x/y.yaml", "Sand Stone: {name: z, kind: salt, phase: solid}\n", 1, "no id", "sand-stone"),
    ("id twice", "x/y.yaml", "\niron: {name: iron bar, kind: metal, phase: solid}\n", 2, "solids/common.yaml, line ", "another id"),
    ("synonym twice", "x/y.yaml", sand("also: [grit,\n    Table-Salt]"), 6, "stands for sodium-chloride in", "one of them only"),
    ("solvent unknown", "x/y.yaml", sand("solubility: {watter: {is: insoluble, source: memory}}"), 5, "'watter'", "water"),
    ("solubility word", "x/y.yaml", sand("solubility: {water: {is: solubl, source: memory}}"), 5, "'solubl'", "soluble"),
    ("solubility bare", "x/y.yaml", sand("solubility: {water: insoluble}"), 5, "no source", "water: {is: insoluble"),
    ("solubility without unit", "x/y.yaml", sand("solubility: {water: {is: 35.9, source: memory}}"), 5, "unit", "g/100 g"),
    ("word and curve", "x/y.yaml", sand("solubility: {water: {is: insoluble, curve: {0 °C: 1, 9 °C: 2}, unit: g/100 g, source: memory}}"), 5, "a word and a curve", "one of the two"),
    ("curve without unit", "x/y.yaml", sand("solubility: {water: {curve: {0 °C: 1}, source: memory}}"), 5, "unit is missing", "g/100 g"),
    ("curve falling back", "x/y.yaml", sand("solubility: {water: {curve: {9 °C: 1, 0 °C: 2}, unit: g/100 g, source: memory}}"), 5, "do not rise", "20 °C"),
    ("liquid twice", "x/y.yaml", sand("solubility: {water: {is: insoluble, source: memory}, aqua: {is: insoluble, source: memory}}"), 5, "already given", "once"),
    ("vapour equation", "x/y.yaml", sand("vapour_pressure: {equation: anton, A: 1, B: 2, C: 3, from: 1 °C, to: 2 °C, source: memory}"), 5, "'anton'", "antoine"),
    ("vapour range", "x/y.yaml", sand("vapour_pressure: {equation: antoine, A: 1, B: 2, C: 3, from: 9 °C, to: 2 °C, source: memory}"), 5, "above", "from: 2 °C"),
    ("vapour constant missing", "x/y.yaml", sand("vapour_pressure: {equation: antoine, A: 1, C: 3, from: 1 °C, to: 2 °C, source: memory}"), 5, "B is missing", "B: 1210.6"),
    ("reagent unknown", "x/y.yaml", sand("dissolves_in_reagent: {dilute-acd: {is: 'yes', source: memory}}"), 5, "'dilute-acd'", "dilute-acid"),
    ("reagent word", "x/y.yaml", sand("dissolves_in_reagent: {dilute-acid: {is: true, source: memory}}"), 5, "'true'", '"yes"'),
    ("reagent gas", "x/y.yaml", sand("dissolves_in_reagent: {water: {is: 'yes', gas: hydrogn, source: memory}}"), 5, "'hydrogn'", "hydrogen-gas"),
    ("source kind", "sources/x.yaml", "new: {title: A thing, kind: blog}\n", 1, "'blog'", "handbook"),
    ("source title", "sources/x.yaml", "new: {kind: book}\n", 1, "title is missing", "title:"),
    ("source twice", "sources/x.yaml", "\nmemory: {title: Another, kind: memory}\n", 2, "already given", "another key"),
    ("component unknown", "mixtures/x.yaml", mud("{substance: watr, form: liquid}"), 5, "'watr'", "water"),
    ("form unknown", "mixtures/x.yaml", mud("{substance: water, form: liqid}"), 5, "'liqid'", "form: liquid"),
    ("dissolved in nothing", "mixtures/x.yaml", mud("{substance: iron, form: dissolved}", "{substance: water, form: liquid}"), 4, "in what is not said", "in: water"),
    ("suspended in a solid", "mixtures/x.yaml", mud("{substance: iron, form: suspended, in: soil}", "{substance: soil, form: solid}", "{substance: water, form: liquid}"), 4, "is suspended in soil, which is solid", "in: water"),
    ("host no component", "mixtures/x.yaml", mud("{substance: iron, form: suspended, in: acetone}", "{substance: water, form: liquid}"), 4, "no component", "in: water"),
    ("solid in something", "mixtures/x.yaml", mud("{substance: iron, form: solid, in: water}", "{substance: water, form: liquid}"), 4, "in nothing", "without in:"),
    ("share above the whole", "mixtures/x.yaml", mud("{substance: water, form: liquid, share: 120 %}"), 5, "more than the whole", "100 %"),
    ("share without unit", "mixtures/x.yaml", mud("{substance: water, form: liquid, share: 12}"), 5, "share", "fraction"),
    ("aim no component", "mixtures/x.yaml", mud("{substance: water, form: liquid}") + "  usual_aim: [iron]\n", 6, "'iron'", "every component"),
    ("mixture without components", "mixtures/x.yaml", "mud: {name: mud, source: memory}\n", 1, "no list of components", "substance: ID"),
    ("mixture without source", "mixtures/x.yaml", "mud: {name: mud, really: alloy}\n", 1, "mud has no source", "source: KEY"),
    ("mixture id twice", "mixtures/x.yaml", "salt-water: {name: s, really: alloy, source: memory}\n", 1, "mixtures/water.yaml, line 1", "another id"),
    ("mixture name twice", "mixtures/x.yaml", "mud:\n  name: brine\n  really: alloy\n  source: memory\n", 2, "stands for salt-water", "one of them only"),
    ("mixture really", "mixtures/x.yaml", "mud: {name: mud, really: aloy, source: memory}\n", 1, "'aloy'", "really: alloy"),
    ("pair unknown id", "pairs/azeotropes.yaml", "- {first: acetone, second: watter, source: memory}\n", 1, "'watter'", "water"),
    ("pair without source", "pairs/azeotropes.yaml", "- {first: acetone,\n   second: water, kind: none}\n", 1, "no source", "estimate:"),
    ("pair no row", "pairs/azeotropes.yaml", "- acetone and water\n", 1, "must be a mapping", "first: ID"),
    ("pair without substances", "pairs/azeotropes.yaml", "- {at: 5 °C, kind: none, source: memory}\n", 1, "names no substance", "first: ID"),
    ("pair bad temperature", "pairs/azeotropes.yaml", "- {first: acetone, second: water, at: 78, source: memory}\n", 1, "at:", "56.1 °C"),
    ("pair key", "pairs/azeotropes.yaml", "- {first: acetone, second: water, kind: none, fist_mass: 2 %, source: memory}\n", 1, "'fist_mass' is no key", "first_mass:"),
    ("pair kind", "pairs/azeotrope.yaml", "- {first: acetone, second: water, source: memory}\n", 1, "'azeotrope' is no kind of pairs", "azeotropes:"),
    ("pair bad word", "pairs/miscibility.yaml", "- {first: acetone, second: water, mixes: full, source: memory}\n", 1, "'full'", "fully"),
    ("family member unknown", "pairs/miscibility-by-family.yaml", "families:\n  water: {members: [aqva]}\n", 2, "'aqva'", "add aqva"),
    ("family row unknown", "pairs/miscibility-by-family.yaml", "families:\n  water: {members: [water]}\nrows:\n  - {first: water, second: oil, mixes: fully, source: memory}\n", 4, "'oil'", "families"),
    ("danger class", "incompatibles.yaml", "- {between: [class: acids], danger: x, severity: refuse, source: memory}\n", 1, "'acids'", "acid"),
    ("danger substance", "incompatibles.yaml", "- {between: [substance: watr], danger: x, severity: refuse, source: memory}\n", 1, "'watr'", "water"),
    ("danger kind", "incompatibles.yaml", "- {between: [kind: metals], danger: x, severity: refuse, source: memory}\n", 1, "'metals'", "kind: metal"),
    ("danger member", "incompatibles.yaml", "- {between: [class: acid,\n   klass: acid], danger: x, severity: refuse, source: memory}\n", 2, "'klass' is no key of a member", "class:"),
    ("danger between nothing", "incompatibles.yaml", "- {danger: x, severity: refuse, source: memory}\n", 1, "between what", "between: ["),
    ("danger severity", "incompatibles.yaml", "- {between: [class: acid], danger: x, severity: refused, source: memory}\n", 1, "'refused'", "severity: refuse"),
    ("danger without source", "incompatibles.yaml", "- {between: [class: acid], danger: x, severity: refuse}\n", 1, "no source", "source: KEY"),
    ("dangers no list", "incompatibles.yaml", "bleach: acid\n", 1, "list of dangers", "- {between:"),
    ("statement without source", "hazard-statements.yaml", "H225: {text: Burns}\n", 1, "no source", "source: KEY"),
    ("statement bare", "hazard-statements.yaml", "H225: Burns\n", 1, "no source", "{text: STATEMENT"),
    ("class without meaning", "classes.yaml", "ionic: ions\nmetal:\n", 2, "no meaning", "metal: WHAT"),
    ("property form", "properties.yaml", "taste: {form: txt, meaning: none}\n", 1, "'txt'", "text"),
    ("property dimension", "properties.yaml", "heat: {form: number, dimension: temprature, meaning: none}\n", 1, "'temprature'", "temperature"),
    ("property words", "properties.yaml", "taste: {form: word, meaning: none}\n", 1, "no words", "words:"),
    ("file at the top", "mine.yaml", "gold: {}\n", 1, "no file is read", "sub-folder"),
    ("file too deep", "a/b/c.yaml", "gold: {}\n", 1, "no file is read", "sub-folder"),
    ("file with another ending", "a/b.yml", "gold: {}\n", 1, "no file is read", "NAME.yaml"),
    ("no YAML", "x/y.yaml", "sand:\n  name: sand: fine\n", 2, "no YAML", "quotes"),
    ("list for a mapping", "x/y.yaml", "- sand\n", 1, "KEY: VALUE", "indented entry"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("file", "text", "line", "wrong", "mend"), [fault[1:] for fault in FAULTS], ids=[fault[0] for fault in FAULTS]
)
def test_fault(folder: Path, write: Write, file: str, text: str, line: int, wrong: str, mend: str) -> None:
    assert read_contents(folder).problems == []  # without the faulty file there is no fault
    write({file: text})
    found = [error for error in read_contents(folder).problems if error.file == f"substances/{file}"]
    assert [error.line for error in found][:1] == [line], [str(error) for error in found]
    assert wrong in found[0].wrong
    assert mend in found[0].write
    assert str(found[0]).startswith(f"substances/{file}, line {line}: ")


def test_opening_raises_every_fault(folder: Path, write: Write) -> None:
    write({"x/y.yaml": HEAD + "  colour: brown\n  density: {is: 2, source: memory}\n"})
    faults = read_contents(folder).problems
    assert len(faults) == 2
    with pytest.raises(DataError) as caught:
        open_table(folder=folder)
    assert str(caught.value) == "\n".join(str(fault) for fault in faults)
    assert (caught.value.line, caught.value.exit_code) == (5, 5)


def test_faults_of_the_installed_table_stop_the_program(
    folder: Path, write: Write, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(places, "PACKAGE", tmp_path / "choosemethod")
    assert open_table().has("iron")
    write({"x/y.yaml": HEAD + "  colour: brown\n"})
    with pytest.raises(DataError, match="substances/x/y.yaml, line 5: colour has no source"):
        open_table()


def test_each_fault_of_a_file_is_reported(folder: Path, write: Write) -> None:
    lines = ["colour: brown", "density: {is: 2, source: memory}", "cas: 7631-86-8", "classes: [x]", "colr: {}"]
    write({"x/y.yaml": HEAD + "".join(f"  {line}\n" for line in lines)})
    assert sorted(error.line for error in read_contents(folder).problems) == [5, 6, 7, 8, 9]


def test_a_missing_folder_is_a_data_error(tmp_path: Path) -> None:
    with pytest.raises(DataError, match="properties.yaml, line 1: the table of properties is missing"):
        open_table(folder=tmp_path / "nowhere")


@pytest.mark.parametrize(
    # CAS Registry Numbers as printed on the Common Chemistry pages of the American Chemical Society.
    "cas",
    ["7732-18-5", "7647-14-5", "64-17-5", "67-64-1", "7439-89-6", "57-50-1", "9005-25-8", "71-43-2", "50-78-2"],
)
def test_cas_numbers_hold_and_a_changed_digit_does_not(folder: Path, write: Write, cas: str) -> None:
    write({"x/y.yaml": sand(f"cas: {cas}")})
    assert read_contents(folder).problems == []
    wrong = cas[:-1] + str((int(cas[-1]) + 1) % 10)
    write({"x/y.yaml": sand(f"cas: {wrong}")})
    (error,) = read_contents(folder).problems
    assert cas in error.write
