"""What a value cites is what the cited table says: value by value against the tables of the library `chemicals`.

The library's tables are transcriptions of the works named beside them, always asked for by name. reference/aqsoldb.csv:
the rows of AqSolDB (Sorkun, Khetan and Er, Scientific Data 6 (2019) 143) for substances of the table, in mol/L.
With CHOOSEMETHOD_RANDOM set every value is checked; otherwise every third.
"""

from __future__ import annotations

import csv
import itertools
import math
import os
from pathlib import Path

import pytest

from choosemethod.table import Substance, Table, open_table
from choosemethod.table.report import can_be_looked_up, coverage

chemicals = pytest.importorskip("chemicals")

STEP = 1 if os.environ.get("CHOOSEMETHOD_RANDOM") else 3
# source key: the library's name of the table
TABLES = {
    "crc-organic": "CRC_ORG",
    "crc-inorganic": "CRC_INORG",
    "nist-webbook": "WEBBOOK",
    "cas-common-chemistry": "COMMON_CHEMISTRY",
    "bradley-2014": "OPEN_NTBKM",
    "vrandecic-2014": "WIKIDATA",
    "yaws-boiling-points": "YAWS",
    "iec-60079-20-1": "IEC 60079-20-1 (2010)",
    "nfpa-497": "NFPA 497 (2008)",
    "serat-2017": "Serat DIPPR (2017)",
}
# property: the library's function, how far the value may be from the cited table (rounding of the print), and how far
# that of a second source which agrees (repeatability of the measurement)
CITED = {
    "melting_point": ("Tm", 0.6, 3.0),
    "boiling_point": ("Tb", 0.8, 2.0),
    "condensation_point": ("Tb", 0.8, 2.0),
    "flash_point": ("T_flash", 0.6, 5.0),
    "autoignition": ("T_autoignition", 0.6, 10.0),
}
SCALE = ("very soluble", "freely soluble", "soluble", "sparingly soluble", "slightly soluble")
SCALE += ("very slightly soluble", "insoluble")
# Sold or found under another name than the row's: the row is that of the compound, or of the product.
ANOTHER_ROW = {"cassiterite", "fluorspar", "galena", "haematite", "petrol"}
ANOTHER_ROW |= {"gold-grains", "platinum-grains", "native-copper", "native-silver"}


@pytest.fixture(scope="module")
def table() -> Table:
    return open_table()


def cas_of(table: Table, substance: Substance) -> str:
    """The CAS number of a substance, or of that which it is a form of."""
    return substance.cas or (table.substance(substance.like).cas if substance.like else "")


@pytest.mark.parametrize("prop", sorted(CITED))
def test_a_cited_temperature_is_in_the_table_it_cites(table: Table, prop: str) -> None:
    name, rounding, agreeing = CITED[prop]
    function = getattr(chemicals, name)
    asked = seconds = 0
    for ident in table.substance_ids()[::STEP]:
        substance = table.substance(ident)
        value = substance.values.get(prop)
        if value is None or value.number is None or value.high is None or ident in ANOTHER_ROW:
            continue
        for key, within in ((value.source, rounding), *((one, agreeing) for one in value.agrees)):
            if key in TABLES:
                theirs = function(cas_of(table, substance), method=TABLES[key])
                assert theirs is not None, f"{ident}: {prop} cites {key}, which does not hold it"
                assert value.number - within <= theirs <= value.high + within, (ident, prop, value.text, key, theirs)
                asked += 1
                seconds += within == agreeing
    assert asked > {"melting_point": 300, "boiling_point": 220}.get(prop, 15)
    assert seconds > 10


def test_a_cited_solubility_is_in_aqsoldb(table: Table) -> None:
    rows = {(row["id"], row["cas"]): row for row in reference("aqsoldb.csv")}
    scale = dict(zip(SCALE, itertools.pairwise((1e9, 100.0, 10.0, 3.3, 1.0, 0.1, 0.01, 0.0)), strict=True))
    cited = 0
    for ident in table.substance_ids():
        substance = table.substance(ident)
        entry = substance.solubility.get("water")
        if entry is None or entry.source != "aqsoldb-2019":
            continue
        cited += 1
        cas = cas_of(table, substance)
        grams = 10 ** float(rows[entry.row, cas]["log10_mol_per_litre"]) * float(chemicals.MW(cas)) / 10  # in 100 mL
        if entry.points:  # 100 g of water and what it takes up fill 100 to 170 mL
            ours = 100 * entry.points[0][1]
            assert 0.93 * grams <= ours <= 1.45 * grams, (ident, ours, grams)
        else:
            high, low = scale[entry.word]
            most = 100 * grams / max(100 - grams, 1.0)  # if each gram takes up 1 mL
            assert low <= most and grams < high, (ident, entry.word, grams)
    assert cited >= 290


def reference(name: str) -> list[dict[str, str]]:
    with Path(__file__).with_name("reference").joinpath(name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_a_cited_solubility_of_a_gas_is_that_of_its_henry_constant(table: Table) -> None:
    """reference/sander.csv: ln(H/Pa) = A + B/(T/K), H the Henry constant of the mole fraction; water by IAPWS-95."""
    rows = {row["cas"]: row for row in reference("sander.csv")}
    for cas, row in rows.items():
        (substance,) = (one for one in map(table.substance, table.substance_ids()) if one.cas == cas)
        entry = substance.solubility["water"]
        assert (entry.source, entry.row) == ("sander-2015", cas)
        for kelvin, ours in entry.points:
            gas = 101_325.0 - chemicals.iapws.iapws95_Psat(kelvin)
            fraction = gas / math.exp(float(row["A"]) + float(row["B"]) / kelvin)
            theirs = fraction * float(chemicals.MW(cas)) / 18.015
            assert ours == pytest.approx(theirs, rel=0.03, abs=6e-8), (substance.id, kelvin)
    cited = [one for one in table.substance_ids() if table.substance(one).solubility.get("water")]
    assert sum(table.substance(one).solubility["water"].source == "sander-2015" for one in cited) == len(rows) > 20


def test_a_cited_acid_constant_is_in_the_database_it_cites(table: Table) -> None:
    """reference/minteqa2.csv: log10 of the constants of the reactions that give these species."""
    rows = {row["id"]: abs(float(row["log10_k"])) for row in reference("minteqa2.csv")}
    cited = 0
    for ident in table.substance_ids():
        value = table.substance(ident).values.get("pka")
        if value is not None and value.source == "minteqa2-v4":
            first, *second = value.row.split(" - ")
            assert value.number == pytest.approx(rows[first] - sum(rows[one] for one in second), abs=0.006), ident
            cited += 1
    assert cited >= 30


def test_a_cited_partition_coefficient_is_in_the_table_it_cites(table: Table) -> None:
    names = {"crc-octanol-water": "CRC", "kowwin-2006": "SYRRES"}
    cited = 0
    for row in table.pairs("octanol-water"):
        if row["source"] in names:
            theirs = chemicals.logP(table.substance(row["solute"]).cas, method=names[row["source"]])
            assert theirs is not None and float(row["log_p"]) == pytest.approx(theirs, abs=0.006), row
            cited += 1
    assert cited > 350


def test_a_cited_solubility_in_an_organic_liquid_is_in_the_data_it_cites(table: Table) -> None:
    """reference/boobier.csv: mol in a litre of solution. The density of the solution is not known: it is bracketed."""
    rows = {(row["inchikey"], row["solvent"]): row for row in reference("boobier.csv")}
    bounds = dict(zip(SCALE, (100.0, 10.0, 3.3, 1.0, 0.1, 0.01, 0.0), strict=True))
    cited = 0
    for ident in table.substance_ids():
        substance = table.substance(ident)
        for solvent, entry in substance.solubility.items():
            if entry.source == "boobier-2020" and not substance.like:
                assert chemicals.search_chemical(substance.cas).InChI_key == entry.row, ident
                log10 = float(rows[entry.row, solvent]["log10_mol_per_litre"])
                grams = 10**log10 * float(chemicals.MW(substance.cas)) / 10  # in 100 mL of solution
                most = 100 * grams / max(78 - grams, 1.0)  # if the solution is no denser than the liquid
                least = 100 * grams / (78 + grams)
                above = min((low for low in bounds.values() if low > bounds[entry.word]), default=1e9)
                assert bounds[entry.word] <= most and least < above, (ident, solvent, entry.word, grams)
                cited += 1
    assert cited >= 90


@pytest.mark.parametrize(
    ("name", "share"),
    [
        ("melting point", 0.95),
        ("boiling point", 0.93),
        ("flash point", 0.83),
        ("density", 0.69),
        ("solubility in water", 0.45),
        ("pairs: octanol water", 0.95),
        ("vapour pressure", 0.99),
        ("autoignition", 0.95),
    ],
)
def test_what_can_be_looked_up(table: Table, name: str, share: float) -> None:
    """The shares that can be looked up, as `choosemethod table` counts them, do not fall."""
    found = coverage(table)
    assert can_be_looked_up(found[name]) >= share, (name, found[name])
