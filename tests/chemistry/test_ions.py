"""Ions in formulas, and fractional precipitation by solubility products.

The products and the order are those of general chemistry texts (OpenStax Chemistry, chapter on equilibria of dissolution and
precipitation, and its appendix of solubility products at 25 °C).
"""

from __future__ import annotations

import pytest

from choosemethod.chemistry.ions import counts, ions_of, left, needed, written


@pytest.mark.parametrize(
    ("formula", "ions"),
    [
        ("AgNO3", ("Ag+", "NO3-")),
        ("CuSO4", ("Cu2+", "SO42-")),
        ("Pb(NO3)2", ("Pb2+", "NO3-")),
        ("FeCl3", ("Fe3+", "Cl-")),
        ("Al2(SO4)3", ("Al3+", "SO42-")),
        ("NH4Cl", ("NH4+", "Cl-")),
    ],
)
def test_a_salt_holds_its_ions(formula: str, ions: tuple[str, str]) -> None:
    assert ions in list(ions_of(formula))


def test_what_is_no_salt_holds_none() -> None:
    assert counts("") is None
    assert counts("2Na") is None
    assert list(ions_of("")) == []


def test_formulas_are_written_with_the_least_numbers() -> None:
    assert written("Ca", "F", 2, 1) == "CaF2"
    assert written("Al", "SO4", 3, 2) == "Al2(SO4)3"
    assert written("Mg", "CO3", 2, 2) == "MgCO3"


def test_calcium_fluoride_falls_first_then_magnesium_then_barium() -> None:
    """0.10 mol/L of each; CaF2 3.45e-11, MgF2 5.16e-11, BaF2 1.84e-7."""
    at = {name: needed(product, (1, 2), 0.1) for name, product in (("Ca", 3.45e-11), ("Mg", 5.16e-11), ("Ba", 1.84e-7))}
    assert sorted(at, key=at.__getitem__) == ["Ca", "Mg", "Ba"]
    assert at["Ca"] == pytest.approx(1.9e-5, rel=0.03)
    assert left(3.45e-11, (1, 2), at["Mg"]) > 0.05  # so they are not parted cleanly
    assert left(5.16e-11, (1, 2), at["Ba"]) < 1e-4


def test_iodide_is_gone_before_chloride_falls() -> None:
    """AgCl 1.8e-10, AgI 8.3e-17; 0.1 mol/L of each: silver rises to 1.8e-9 before chloride begins."""
    begins = needed(1.8e-10, (1, 1), 0.1)
    assert begins == pytest.approx(1.8e-9)
    assert left(8.3e-17, (1, 1), begins) == pytest.approx(4.6e-8, rel=0.01)
