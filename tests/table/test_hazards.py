"""Hazard statements against the two lists they cite, row by row.

reference/clp-annex-vi.csv: Regulation (EC) No 1272/2008, Annex VI, table 3, as amended by the 17th adaptation (2021),
the rows whose CAS number is in the table. reference/hcis-australia.csv: Safe Work Australia, Hazardous Chemical
Information System. Left out, as on labels: H400 beside H410, and H318 beside H314 (CLP, article 27 and annex III).
"""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from choosemethod.table import Substance, Table, Value, open_table

HERE = Path(__file__).with_name("reference")
IMPLIED = {"H400": {"H410"}, "H318": {"H314"}, "H315": {"H314"}, "H319": {"H314", "H318"}}


def rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def table() -> Table:
    return open_table()


def with_hazards(table: Table) -> list[tuple[Substance, Value | None]]:
    found = (table.substance(id) for id in table.substance_ids())
    return [(one, one.values.get("hazards")) for one in found if one.cas]


def lacking(codes: str, value: Value) -> list[str]:
    held = set(value.words)
    return [code for code in codes.split() if code not in held and not IMPLIED.get(code, set()) & held]


def test_every_substance_of_annex_vi_holds_its_statements_or_says_why_not(table: Table) -> None:
    listed: dict[str, list[dict[str, str]]] = {}
    for row in rows("clp-annex-vi.csv"):
        listed.setdefault(row["cas"], []).append(row)
    met, explained = 0, []
    for substance, value in with_hazards(table):
        if substance.cas not in listed:
            continue
        met += 1
        assert value is not None, f"{substance.id} is in Annex VI and holds no statements"
        for row in listed[substance.cas]:
            if missing := lacking(row["codes"], value):
                assert value.note, (substance.id, row["index_number"], missing)
                said = row["index_number"] in value.note or value.row != row["index_number"]
                assert said or all(code in value.note for code in missing), (substance.id, missing, value.note)
                explained.append(substance.id)
                break
    assert met >= 390
    assert len(explained) < 0.1 * met


def test_what_cites_annex_vi_is_what_its_row_says(table: Table) -> None:
    listed = {(row["index_number"], row["cas"]): row for row in rows("clp-annex-vi.csv")}
    cited = 0
    for substance, value in with_hazards(table):
        if value is None or value.source != "clp-annex-vi":
            continue
        cited += 1
        row = listed[value.row, substance.cas]
        added = {word for _, words in value.besides for word in words}
        own = {word for word in value.words if word not in added}
        assert own and own <= set(row["codes"].split()), (substance.id, own, row["codes"])
    assert cited >= 385


def test_what_cites_the_australian_list_is_in_it(table: Table) -> None:
    listed: dict[str, set[str]] = {}
    for row in rows("hcis-australia.csv"):
        listed.setdefault(row["cas"], set()).update(row["codes"].split())
    cited = 0
    for substance, value in with_hazards(table):
        if value is None:
            continue
        added = {word for _, words in value.besides for word in words}
        own = tuple(word for word in value.words if word not in added)
        for source, words in ((value.source, own), *value.besides):
            if source == "hcis-australia":
                cited += 1
                assert set(words) <= listed[substance.cas], (substance.id, words)
        if "hcis-australia" in value.agrees:
            assert not [code for code in own if code not in listed[substance.cas] and code not in IMPLIED]
    assert cited >= 100


def test_no_substance_of_the_lists_goes_without_statements(table: Table) -> None:
    listed = {row["cas"] for name in ("clp-annex-vi.csv", "hcis-australia.csv") for row in rows(name)}
    held = [one.id for one, value in with_hazards(table) if one.cas in listed and value is not None]
    assert len(held) >= 466
    assert [one.id for one, value in with_hazards(table) if one.cas in listed and value is None] == []


def test_what_of_the_lists_is_not_cited_says_why_and_the_rest_is_said_to_be_unlisted(table: Table) -> None:
    listed: dict[str, list[dict[str, str]]] = {}
    for name in ("clp-annex-vi.csv", "hcis-australia.csv"):
        for row in rows(name):
            listed.setdefault(row["cas"], []).append(row)
    unlisted = explained = 0
    unsaid: list[str] = []
    for substance, value in with_hazards(table):
        if value is None or not value.line or value.source == "by-class":
            continue
        if substance.cas not in listed:
            unlisted += value.source == "clp-unlisted"
            unsaid += [substance.id] if value.source != "clp-unlisted" else []
        elif table.how(value.source) != "measured":
            named = [row.get("index_number", "Australian list") for row in listed[substance.cas]]
            assert any(name in value.note for name in named), (substance.id, value.note)
            explained += 1
        else:
            assert value.source != "clp-unlisted", substance.id
    assert unlisted > 500 and len(unsaid) <= 10, unsaid
    assert explained <= 10


def test_every_code_is_written_as_the_regulation_writes_it(table: Table) -> None:
    for substance, value in with_hazards(table):
        for code in value.words if value is not None else ():
            assert re.fullmatch(r"(?:EU)?H\d{3}[iFDfd]{0,2}", code), (substance.id, code)
