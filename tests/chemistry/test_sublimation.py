"""Sublimation: triple points of the handbooks."""

from __future__ import annotations

import pytest

from choosemethod.chemistry.sublimation import (
    melts_before,
)
from choosemethod.chemistry.vapour_pressure import OutOfRange

# Triple-point pressures (Pa): iodine (CRC sublimation pressures), naphthalene (D. Ambrose 1975), camphor (handbooks),
# all from memory; carbon dioxide (R. Span, W. Wagner 1996).
TRIPLE = {"iodine": 12_100.0, "naphthalene": 1_000.0, "camphor": 51_000.0, "carbon dioxide": 517_950.0}


def test_only_carbon_dioxide_sublimes_at_one_atmosphere_before_it_melts() -> None:
    assert {name: melts_before(triple, 101_325.0) for name, triple in TRIPLE.items()} == {
        "iodine": True, "naphthalene": True, "camphor": True, "carbon dioxide": False,
    }  # fmt: skip


def test_refusals() -> None:
    for call in (lambda: melts_before(0.0, 101_325.0),):
        with pytest.raises(OutOfRange):
            call()
