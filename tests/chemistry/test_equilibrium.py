"""Boiling equilibria against published measurements, and against CoolProp and thermo."""

from __future__ import annotations

from math import log

import pytest
from hypothesis import given
from hypothesis import strategies as st
from published_liquids import LAWS, MODELS, STANDARD, pair

from choosemethod.chemistry.activity import NRTL, Margules, fit_to_azeotrope
from choosemethod.chemistry.equilibrium import (
    Curve,
    Pair,
    boiling_as_two_layers,
    bubble_point,
    constant_volatility,
    curve_of,
    find_azeotrope,
    layers,
)
from choosemethod.chemistry.vapour_pressure import OutOfRange

# Perry's Chemical Engineers' Handbook, 8th ed., table 13-1 (101.3 kPa), from memory: x, y of the first, °C.
ETHANOL_WATER = [
    (0.0966, 0.4375, 86.7), (0.1238, 0.4704, 85.3), (0.1661, 0.5089, 84.1), (0.2337, 0.5445, 82.7),
    (0.3273, 0.5826, 81.5), (0.3965, 0.6122, 80.7), (0.5079, 0.6564, 79.8), (0.6763, 0.7385, 78.74),
    (0.7472, 0.7815, 78.41), (0.8943, 0.8943, 78.15),
]  # fmt: skip
METHANOL_WATER = [
    (0.10, 0.418, 87.7), (0.20, 0.579, 81.7), (0.30, 0.665, 78.0), (0.40, 0.729, 75.3), (0.50, 0.779, 73.1),
    (0.60, 0.825, 71.2), (0.80, 0.915, 67.6), (0.95, 0.979, 65.0),
]  # fmt: skip
# Geankoplis, Transport Processes and Unit Operations, table 11.1-1 (101.32 kPa), from memory.
BENZENE_TOLUENE = [(0.780, 0.900, 85.0), (0.581, 0.777, 90.0), (0.411, 0.632, 95.0), (0.258, 0.456, 100.0)]


@pytest.mark.parametrize(
    ("names", "points"),
    [
        (("ethanol", "water"), ETHANOL_WATER), (("methanol", "water"), METHANOL_WATER),
        (("benzene", "toluene"), BENZENE_TOLUENE),
    ],
)  # fmt: skip
def test_measured_vapours(names: tuple[str, str], points: list[tuple[float, float, float]]) -> None:
    for x, y, celsius in points:
        found = bubble_point(pair(*names), x)
        assert found.y == pytest.approx(y, abs=0.015), x
        assert found.temperature - 273.15 == pytest.approx(celsius, abs=0.6), x


@pytest.mark.parametrize(
    ("first", "second", "kind", "celsius", "x"),
    # CRC Handbook, 97th ed., sec. 6 (azeotropes) and Lange's Handbook; mole fractions from their mass fractions.
    [
        ("ethanol", "water", "minimum", 78.15, 0.894),
        ("ethyl-acetate", "ethanol", "minimum", 71.8, 0.538),
        ("chloroform", "methanol", "minimum", 53.5, 0.653),
        ("methanol", "toluene", "minimum", 63.6, 0.88),
        ("acetone", "chloroform", "maximum", 64.7, 0.353),
    ],
)
def test_azeotropes(first: str, second: str, kind: str, celsius: float, x: float) -> None:
    found = find_azeotrope(pair(first, second))
    assert found is not None
    assert found.kind == kind
    assert found.temperature - 273.15 == pytest.approx(celsius, abs=0.5)
    assert found.x == pytest.approx(x, abs=0.02)


@pytest.mark.parametrize(
    "names", [("methanol", "water"), ("acetone", "water"), ("benzene", "toluene"), ("hexane", "heptane")]
)
def test_no_azeotrope_where_none_is_known(names: tuple[str, str]) -> None:
    # CRC Handbook and Lange's Handbook list none.
    assert find_azeotrope(pair(*names)) is None


def test_layers_of_the_symmetric_solution() -> None:
    # ln gamma1 = A x2^2: the layers solve ln(x/(1-x)) = A (2x - 1); none up to A = 2 (J. M. Smith, H. C. Van Ness,
    # M. M. Abbott, Introduction to Chemical Engineering Thermodynamics, liquid-liquid equilibrium).
    assert layers(Margules(1.9, 1.9), 300.0) is None
    for a in (2.2, 2.5, 3.0, 6.0):
        found = layers(Margules(a, a), 300.0)
        assert found is not None
        assert found[0] + found[1] == pytest.approx(1.0, abs=1e-9)
        assert log(found[0] / found[1]) == pytest.approx(a * (2 * found[0] - 1), abs=1e-8)


def test_two_layers_boil_at_one_temperature() -> None:
    two_layers = Pair(LAWS["hexane"], LAWS["water"], Margules(6.0, 6.0), STANDARD)
    boiling = boiling_as_two_layers(two_layers)
    assert boiling is not None
    found = find_azeotrope(two_layers)
    assert found is not None
    assert found.kind == "heterogeneous"
    for x in (0.1, 0.4, 0.8):
        point = bubble_point(two_layers, x)
        assert (point.temperature, point.y) == pytest.approx((boiling.temperature, boiling.y), abs=1e-6)
    # Below both boiling points, and the vapour nearly as from layers that do not mix at all (Young, 1922).
    assert boiling.temperature < LAWS["hexane"].boiling_point(STANDARD)
    assert find_azeotrope(Pair(LAWS["hexane"], LAWS["water"], Margules(6.0, 6.0), STANDARD, one_layer=True)) is not None


def test_a_fitted_azeotrope_is_found_where_it_was_put() -> None:
    # Chloroform and methanol: 53.5 °C, 87.5 % chloroform by mass (CRC Handbook, 97th ed., sec. 6) = 0.653 by moles.
    pures = (LAWS[name].pressure(53.5 + 273.15) for name in ("chloroform", "methanol"))
    model = fit_to_azeotrope(0.653, STANDARD, *pures)
    found = find_azeotrope(Pair(LAWS["chloroform"], LAWS["methanol"], model, STANDARD))
    assert found is not None
    assert (found.x, found.temperature - 273.15) == pytest.approx((0.653, 53.5), abs=1e-3)


@given(st.sampled_from(sorted(MODELS)), st.floats(0.0, 1.0))
def test_vapour_lies_between_0_and_1_and_the_curve_is_that_of_the_points(names: tuple[str, str], x: float) -> None:
    curve = curve_of(pair(*names))
    y = curve.vapour(x)
    assert 0.0 <= y <= 1.0
    assert y == pytest.approx(bubble_point(pair(*names), x).y, abs=2e-3)
    assert curve.temperature(x) == pytest.approx(bubble_point(pair(*names), x).temperature, abs=0.3)
    assert curve.swapped().vapour(1.0 - x) == pytest.approx(1.0 - y, abs=1e-9)
    if 0.0 < x < 1.0:
        assert curve.vapour(curve.liquid(y)) == pytest.approx(y, abs=1e-9)


def test_refusals() -> None:
    with pytest.raises(OutOfRange):
        bubble_point(pair("benzene", "toluene"), 1.2)
    with pytest.raises(OutOfRange, match="constants hold"):
        bubble_point(Pair(LAWS["benzene"], LAWS["toluene"], MODELS["benzene", "toluene"], 3e6, reach=10.0), 0.5)
    with pytest.raises(OutOfRange):
        constant_volatility(0.0)
    with pytest.raises(OutOfRange, match="known only from"):
        Curve((0.2, 0.8), (0.5, 0.5)).vapour(0.9)
    with pytest.raises(OutOfRange):
        Curve((0.5, 0.2), (0.0, 0.0))
    assert curve_of(pair("ethanol", "water")).pinches()[0] == pytest.approx(0.88, abs=0.02)


@pytest.mark.oracle
@pytest.mark.parametrize("names", [("benzene", "toluene"), ("hexane", "heptane"), ("methanol", "ethanol")])
def test_against_coolprop_mixtures(names: tuple[str, str]) -> None:
    library = pytest.importorskip("CoolProp.CoolProp")
    state = library.AbstractState("HEOS", "&".join(name.capitalize() for name in names))
    for x in (0.25, 0.5, 0.75):
        state.set_mole_fractions([x, 1 - x])
        state.update(library.PQ_INPUTS, STANDARD, 0.0)
        ours = bubble_point(pair(*names), x)
        assert ours.temperature == pytest.approx(state.T(), abs=0.7)
        assert ours.y == pytest.approx(state.mole_fractions_vapor()[0], abs=0.015)


@pytest.mark.oracle
def test_seven_pairs_against_thermo() -> None:
    """Modified UNIFAC (Dortmund) of thermo: relative volatility of the equal mixture within 9 %."""
    thermo = pytest.importorskip("thermo")
    unifac = pytest.importorskip("thermo.unifac")
    pairs = [
        ("acetone", "water"), ("methanol", "ethanol"), ("ethanol", "water"), ("benzene", "toluene"),
        ("hexane", "heptane"), ("ethyl-acetate", "ethanol"), ("methanol", "toluene"),
    ]  # fmt: skip
    numbers = {
        "acetone": "67-64-1", "water": "7732-18-5", "methanol": "67-56-1", "ethanol": "64-17-5", "benzene": "71-43-2",
        "toluene": "108-88-3", "hexane": "110-54-3", "heptane": "142-82-5", "ethyl-acetate": "141-78-6",
    }  # fmt: skip
    groups = {
        "acetone": {1: 1, 18: 1}, "water": {16: 1}, "methanol": {15: 1}, "ethanol": {1: 1, 2: 1, 14: 1},
        "benzene": {9: 6}, "toluene": {9: 5, 11: 1}, "hexane": {1: 2, 2: 4}, "heptane": {1: 2, 2: 5},
        "ethyl-acetate": {1: 1, 2: 1, 21: 1},
    }  # fmt: skip
    laws = {name: thermo.VaporPressure(CASRN=number) for name, number in numbers.items()}
    for first, second in pairs:
        ours = bubble_point(pair(first, second), 0.5)
        model = unifac.UNIFAC.from_subgroups(
            T=ours.temperature, xs=[0.5, 0.5], chemgroups=[groups[first], groups[second]], version=1,
            subgroups=unifac.DOUFSG, interaction_data=unifac.DOUFIP2006,
        )  # fmt: skip
        gammas = model.gammas()
        theirs = gammas[0] * laws[first](ours.temperature) / (gammas[1] * laws[second](ours.temperature))
        assert ours.volatility == pytest.approx(theirs, rel=0.09), (first, second)


@pytest.mark.oracle
def test_heterogeneous_azeotrope_of_butanol_and_water() -> None:
    """NRTL constants collected in thermo (ChemSep) put it where the CRC Handbook and Horsley do: 92.7 °C, 0.24."""
    parameters = pytest.importorskip("thermo.interaction_parameters")
    numbers = ["71-36-3", "7732-18-5"]
    constants = parameters.IPDB.get_ip_asymmetric_matrix("ChemSep NRTL", numbers, "bij")
    alphas = parameters.IPDB.get_ip_asymmetric_matrix("ChemSep NRTL", numbers, "alphaij")
    model = NRTL(constants[0][1], constants[1][0], alphas[0][1])
    # Butan-1-ol: Antoine constants fitted here to thermo's vapour pressure at three temperatures.
    thermo = pytest.importorskip("thermo")
    law = _through(thermo.VaporPressure(CASRN=numbers[0]), 350.0, 370.0, 391.0)
    found = find_azeotrope(Pair(law, LAWS["water"], model, STANDARD))
    assert found is not None
    assert found.kind == "heterogeneous"
    assert found.temperature - 273.15 == pytest.approx(92.7, abs=0.7)
    assert found.x == pytest.approx(0.24, abs=0.02)


def _through(pressure: object, *temperatures: float) -> object:
    """The Antoine law through three points of a vapour-pressure function."""
    from math import log10

    from choosemethod.chemistry.vapour_pressure import Antoine

    (t1, t2, t3), (p1, p2, p3) = temperatures, [log10(pressure(t)) for t in temperatures]  # type: ignore[operator]
    # a - b/(t + c): eliminate a and b
    ratio = (p2 - p1) * (t3 - t2) / ((p3 - p2) * (t2 - t1))  # = (t3 + c)/(t1 + c)
    c = (t3 - ratio * t1) / (ratio - 1.0)
    b = (p2 - p1) / (1.0 / (t1 + c) - 1.0 / (t2 + c))
    return Antoine(p1 + b / (t1 + c), b, c, 340.0, 395.0)
