"""A compound the table does not hold is never read as its element, nor as another compound with a name like it."""

from __future__ import annotations

import pytest

from choosemethod.reading import read_words
from choosemethod.table.table import Table, open_table


@pytest.fixture(scope="module")
def table() -> Table:
    return open_table()


# None of these is in the table (silver fulminate and lithium aluminium hydride are by now, so their neighbours of the same
# family stand here). They are dangerous where their metals are not (or otherwise so), and no nitrate is a citrate: IUPAC
# Red Book 2005, IR-5, names a salt by its cation and its anion.
@pytest.mark.parametrize(
    ("words", "unknown", "never"),
    [
        ("thallium fulminate and sand", "thallium fulminate", {"thallium", "silver-fulminate"}),
        ("lead(IV) fulminate and water", "lead(IV) fulminate", {"lead"}),
        ("caesium aluminium hydride and sand", "caesium aluminium hydride", {"caesium", "aluminium"}),
        ("tungsten carbide and sand", "tungsten carbide", {"tungsten", "calcium-carbide"}),
        ("uranyl nitrate and sand", "uranyl", {"sodium-citrate"}),
    ],
)
def test_unknown_compounds_stay_unknown(table: Table, words: str, unknown: str, never: set[str]) -> None:
    question = read_words(words, table)
    assert any(unknown in said for said, _ in question.unknown)
    assert not never & {component.substance for component in question.mixture.components}


@pytest.mark.parametrize(
    ("words", "substance"),
    [
        ("lead (II) nitrate and sand", "lead-ii-nitrate"),
        ("copper (II) sulphate and sand", "copper-ii-sulfate"),
        ("copper sulfat and sand", "copper-ii-sulfate"),
        ("calcium carbide and sand", "calcium-carbide"),
    ],
)
def test_known_compounds_are_read_as_written_or_nearly_so(table: Table, words: str, substance: str) -> None:
    question = read_words(words, table)
    assert substance in {component.substance for component in question.mixture.components}
    assert not question.unknown
