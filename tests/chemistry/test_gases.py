"""Condensing gases."""

from __future__ import annotations

import pytest

from choosemethod.chemistry.gases import order_of_condensation
from choosemethod.chemistry.vapour_pressure import OutOfRange


def test_air() -> None:
    # Boiling points (CRC Handbook): nitrogen 77.36 K, oxygen 90.19 K, argon 87.30 K: oxygen condenses first.
    assert order_of_condensation([77.36, 90.19, 87.30]) == (1, 2, 0)
    with pytest.raises(OutOfRange):
        order_of_condensation([0.0])
