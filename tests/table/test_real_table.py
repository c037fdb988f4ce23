"""The table that comes with the program: nothing in it is faulty, and everything in it says where it comes from."""

from __future__ import annotations

from choosemethod.places import substances_folder
from choosemethod.table import open_table
from choosemethod.table.contents import read_contents
from choosemethod.table.report import sources_of, table_report


def test_no_file_is_faulty() -> None:
    assert [str(error) for error in read_contents(substances_folder()).problems] == []


def test_every_value_has_a_source() -> None:
    table = open_table()
    for id in table.substance_ids():
        for what, source in sources_of(table.substance(id)):
            assert table.source(source).title, (id, what)
    for id in table.mixture_ids():
        assert table.source(table.mixture(id).source).title, id
    report = dict(table_report(table))
    assert report["values without a known source"] == 0
    assert report["substances"] > 500


def test_every_name_leads_back_to_its_substance() -> None:
    table = open_table()
    for id in table.substance_ids():
        substance = table.substance(id)
        for written in (substance.name, *substance.also):
            found = table.name(written, "substance")
            assert found is not None and found.id == id, (id, written)
