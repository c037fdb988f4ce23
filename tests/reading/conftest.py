"""The installed table, opened once for all tests of the reading."""

from __future__ import annotations

import pytest

from choosemethod.table import Table, open_table


@pytest.fixture(scope="session")
def table() -> Table:
    return open_table()
