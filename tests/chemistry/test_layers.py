"""Layers: order, lever rule and salting out."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from choosemethod.chemistry.layers import (
    lever,
    order_by_density,
    two_layers,
)
from choosemethod.chemistry.vapour_pressure import OutOfRange


def test_order() -> None:
    # Densities at 20 °C, CRC Handbook: hexane 660.6, water 998.2, dichloromethane 1326.6 kg/m3.
    found = order_by_density([(660.6, 660.6), (998.2, 998.2), (1326.6, 1326.6)], 20.0)
    assert [layer.index for layer in found] == [2, 1, 0]
    assert found[0].above is None
    assert found[1].above == pytest.approx(328.4)
    assert not any(layer.emulsion for layer in found)
    # Aniline (1021.7) under water: only 24 kg/m3 apart; and an oil of 910 to 1010 kg/m3 may lie either way.
    close = order_by_density([(998.2, 998.2), (1021.7, 1021.7)], 30.0)
    assert [layer.index for layer in close] == [1, 0]
    assert close[1].emulsion
    assert not order_by_density([(998.2, 998.2), (910.0, 1010.0)], 20.0)[1].sure


def test_mutual_solubility() -> None:
    # Ethyl acetate and water at 20 °C (IUPAC-NIST Solubility Data Series 88): 8.7 and 3.3 % by mass.
    found = two_layers(0.05, 0.05, 0.087, 0.033)
    assert found is not None
    assert found.rich_in_first + found.rich_in_second == pytest.approx(0.1, abs=1e-12)
    assert found.first_in_rich + found.first_in_poor == pytest.approx(0.05, abs=1e-12)
    assert found.first_in_poor / found.rich_in_second == pytest.approx(0.087)
    assert two_layers(0.005, 0.095, 0.087, 0.033) is None  # 5 % dissolves altogether


@given(st.floats(1e-3, 10.0), st.floats(1e-3, 10.0), st.floats(0.0, 0.45), st.floats(0.0, 0.45))
def test_split_balances(first: float, second: float, one: float, other: float) -> None:
    found = two_layers(first, second, one, other)
    if found is not None:
        assert found.first_in_rich + found.first_in_poor == pytest.approx(first, abs=1e-9)
        assert found.rich_in_first + found.rich_in_second == pytest.approx(first + second, abs=1e-9)
        assert min(found.rich_in_first, found.rich_in_second) >= -1e-12


@given(st.floats(0.0, 1.0))
def test_lever(overall: float) -> None:
    low, high = lever(overall, 0.0, 1.0)
    assert low + high == pytest.approx(1.0)
    assert high == pytest.approx(overall)


def test_refusals() -> None:
    for call in (
        lambda: order_by_density([(0.0, 1.0)], 20.0),
        lambda: lever(0.1, 0.2, 0.8),
        lambda: lever(0.5, 0.8, 0.2),
        lambda: two_layers(0.0, 1.0, 0.1, 0.1),
        lambda: two_layers(1.0, 1.0, 0.6, 0.6),
    ):
        with pytest.raises(OutOfRange):
            call()
