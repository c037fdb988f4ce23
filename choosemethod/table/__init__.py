"""The table: what is known of substances, pairs and named mixtures, read from substances/ and kept in a cache."""

from choosemethod.errors import DataError
from choosemethod.table.model import Danger, Name, NamedMixture, Source, Substance, Value
from choosemethod.table.names import normalise
from choosemethod.table.table import Table, open_table

__all__ = [
    "Danger",
    "DataError",
    "Name",
    "NamedMixture",
    "Source",
    "Substance",
    "Table",
    "Value",
    "normalise",
    "open_table",
]
