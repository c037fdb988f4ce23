"""A small table written anew for each test; caches and the user's own folder lie in the test's temporary folder."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from choosemethod import places

FILES = {
    "properties.yaml": """\
melting_point: {form: number, dimension: temperature, meaning: melting point}
boiling_point: {form: range, dimension: temperature, meaning: boiling point}
density: {form: range, dimension: density, meaning: density}
particle_size: {form: range, dimension: length, meaning: size of the pieces}
pka: {form: number, dimension: pure number, meaning: pKa}
colour: {form: text, meaning: colour}
magnetic: {form: word, words: [strongly, weakly, "no"], meaning: drawn by a magnet}
hazards: {form: words, meaning: hazard statements}
solubility:
  form: solubility
  meaning: solubility
  words:
    miscible: {meaning: mixes}
    freely soluble: {at_least: 10, below: 100}
    insoluble: {below: 0.01}
vapour_pressure: {form: vapour_pressure, meaning: vapour pressure}
dissolves_in_reagent: {form: by_reagent, words: ["yes", "no"], meaning: taken up by a reagent}
""",
    "sources.yaml": """\
memory: {title: From memory, kind: memory}
common-practice: {title: "Common practice, no source", kind: practice}
""",
    "sources/more.yaml": "handbook-a: {title: A handbook, kind: handbook}\n",
    "classes.yaml": """\
ionic: made of ions
metal: a metal
flammable liquid: burns
hypochlorite: bleach
acid: an acid
""",
    "kinds.yaml": """\
salt: a salt
metal: a metal
organic: an organic compound
acid: an acid
liquid: a liquid
mineral: {meaning: a mineral, goes_by_formula: "no"}
""",
    "hazard-statements.yaml": """\
H225: {text: Highly flammable liquid and vapour, pictogram: flame, source: handbook-a}
H319: {text: Causes serious eye irritation, pictogram: exclamation mark, source: handbook-a}
EUH066: {text: Repeated exposure may cause skin dryness or cracking, pictogram: none, source: handbook-a}
""",
    "liquids/common.yaml": """\
water:
  name: water
  also: [distilled water, aqua]
  formula: H2O
  cas: 7732-18-5
  kind: liquid
  phase: liquid
  boiling_point: {is: 100 °C, source: handbook-a}
  hazards: {is: [], source: memory}
acetone:
  name: acetone
  also: [propanone]
  formula: C3H6O
  cas: 67-64-1
  kind: organic
  classes: [flammable liquid]
  phase: liquid
  boiling_point: {is: 56.1 °C, source: handbook-a}
  density: {is: 0.784 g/cm3, at: 25 °C, source: handbook-a}
  solubility:
    water: {is: miscible, source: memory}
  vapour_pressure:
    {equation: antoine, A: 9.2184, B: 1197.01, C: -45.09, from: -25.8 °C, to: 77.5 °C, source: handbook-a}
  hazards: {is: [H225, H319], source: memory}
propanal:
  name: propanal
  formula: C3H6O
  kind: organic
  phase: liquid
""",
    "solids/common.yaml": """\
sodium-chloride:
  name: sodium chloride
  also: [table salt, common salt]
  formula: NaCl
  cas: 7647-14-5
  kind: salt
  classes: [ionic]
  phase: solid
  melting_point: {is: 801 °C, source: handbook-a, note: "anhydrous, pure", plus_minus: 1 K}
  particle_size: {is: 0.2 to 0.6 mm, source: common-practice}
  solubility:
    water: {curve: {0 °C: 35.6, 20 °C: 35.9, 100 °C: 39.0}, unit: g/100 g, of: anhydrous, source: handbook-a}
    acetone: {is: insoluble, source: memory}
iron:
  name: iron
  also: [iron filings, iron powder]
  formula: Fe
  cas: 7439-89-6
  kind: metal
  classes: [metal]
  phase: solid
  magnetic: {is: strongly, source: common-practice}
  dissolves_in_reagent:
    dilute-acid: {is: "yes", gives: an iron(II) salt, gas: hydrogen-gas, source: memory}
    water: {is: "no", source: memory}
dilute-acid: {name: dilute acid, kind: acid, phase: liquid}
hydrogen-gas: {name: hydrogen, kind: liquid, phase: gas}
soil: {name: soil, also: [earth], kind: salt, phase: solid}
""",
    "mixtures/water.yaml": """\
salt-water:
  name: salt water
  also: [brine]
  components:
    - {substance: water, form: liquid, share: 96.5 %}
    - {substance: sodium-chloride, form: dissolved, in: water, share: 3 to 4 %}
  by: mass
  usual_aim: [sodium-chloride]
  note: Water and salt.
  source: common-practice
soil:
  name: soil
  also: [garden earth, aqua]
  components:
    - {substance: soil, form: solid, size: 0.1 to 2 mm, role: main}
    - {substance: water, form: liquid}
  usual_aim: every component
  source: memory
iron-lump: {name: piece of iron, really: one substance, made_of: [iron], source: memory}
""",
    "pairs/azeotropes.yaml": """\
- {first: acetone, second: water, kind: none, pressure: 101.325 kPa, source: memory}
- {first: propanone, second: propanal, kind: none, estimate: by rule of thumb}
""",
    "pairs/partition.yaml": "- {solute: iron, from: water, into: acetone, ratio: 2, source: memory}\n",
    "pairs/miscibility-by-family.yaml": """\
families:
  water: {members: [water]}
  ketone: {members: [acetone]}
rows:
  - {first: water, second: ketone, mixes: fully, source: common-practice}
""",
    "incompatibles.yaml": """\
- {between: [class: hypochlorite, class: acid], danger: gives off chlorine, severity: refuse, source: memory}
- {between: [substance: acetone], danger: burns, severity: caution, source: memory, note: no flames}
- {between: [kind: metal, {class: acid}, substance: water], danger: warms up, severity: caution, source: memory}
""",
}


@pytest.fixture(autouse=True)
def own_places(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test reads or writes the folders of whoever runs it."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setattr(places, "_named", [])  # what --table of an earlier test named


@pytest.fixture
def write(tmp_path: Path) -> Callable[[dict[str, str]], Path]:
    """Write files, by path inside it, into the folder `substances` of the test; gives the folder."""

    def written(files: dict[str, str]) -> Path:
        folder = tmp_path / "substances"
        for name, text in files.items():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_text(text, encoding="utf-8")
        return folder

    return written


@pytest.fixture
def folder(write: Callable[[dict[str, str]], Path]) -> Path:
    """The small table."""
    return write(FILES)
