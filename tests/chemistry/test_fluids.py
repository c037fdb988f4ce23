"""Live reference equations, and that nothing else pulls in a heavy library."""

from __future__ import annotations

import subprocess
import sys

import pytest

from choosemethod.chemistry import fluids
from choosemethod.chemistry.vapour_pressure import OutOfRange


@pytest.mark.oracle
def test_reference_equations() -> None:
    pytest.importorskip("CoolProp")
    # IAPWS-95: water boils at 179.88 °C under 1 MPa; by CAS number, as the table holds it.
    assert fluids.fluid_boiling_point("7732-18-5", 1e6) - 273.15 == pytest.approx(179.88, abs=0.02)
    assert fluids.covers("64-17-5")
    assert not fluids.covers("no such fluid")
    with pytest.raises(OutOfRange, match="no reference equation"):
        fluids.fluid_boiling_point("no such fluid", 1e5)


@pytest.mark.oracle
def test_no_boiling_point_below_the_triple_point() -> None:
    pytest.importorskip("CoolProp")
    # Carbon dioxide sublimes at 101.325 kPa (triple point 517.95 kPa, Span and Wagner 1996); the library alone
    # gives the boiling point of a supercooled liquid.
    with pytest.raises(OutOfRange, match="boils between"):
        fluids.fluid_boiling_point("124-38-9", 101_325)


def test_heavy_libraries_stay_out() -> None:
    modules = "activity amounts atmosphere chromatography distillation equilibrium extraction fluids gases layers"
    modules += " reduced_pressure settling solubility steam sublimation vapour_pressure"
    lines = "; ".join(f"import choosemethod.chemistry.{name}" for name in modules.split())
    heavy = "('numpy', 'CoolProp', 'scipy')"
    check = f"{lines}; import choosemethod.calculate, sys; print([m for m in {heavy} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", check], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
