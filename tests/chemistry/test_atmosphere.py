"""Standard atmosphere against the tables of ISO 2533:1975 and the U.S. Standard Atmosphere 1976."""

from __future__ import annotations

import pytest

from choosemethod.chemistry.atmosphere import pressure_at_altitude
from choosemethod.chemistry.vapour_pressure import OutOfRange

# Altitude (m, geometric) and pressure (Pa), U.S. Standard Atmosphere 1976, table I.
TABLE = [(0, 101325), (500, 95461), (1000, 89876), (1500, 84560), (2000, 79501), (3000, 70121), (4000, 61660)]


@pytest.mark.parametrize(("altitude", "pressure"), TABLE)
def test_table(altitude: float, pressure: float) -> None:
    assert pressure_at_altitude(altitude) == pytest.approx(pressure, abs=1.0)


def test_outside() -> None:
    for altitude in (-600.0, 12_000.0, float("nan")):
        with pytest.raises(OutOfRange):
            pressure_at_altitude(altitude)


@pytest.mark.oracle
def test_against_fluids() -> None:
    fluids = pytest.importorskip("fluids")
    for altitude in (250.0, 1609.0, 3650.0, 8848.0):
        assert pressure_at_altitude(altitude) == pytest.approx(fluids.ATMOSPHERE_1976(altitude).P, rel=1e-5)
