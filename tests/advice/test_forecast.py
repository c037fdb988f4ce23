"""What the answer foretells of a step, against an independent library and published examples."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise
from math import log

import pytest

from choosemethod import advise
from choosemethod.advice.answer import Advice, PlanStep


@lru_cache(maxsize=64)
def answer(words: str, pressure: str | None = None) -> Advice:
    return advise(words, pressure=pressure)


def step(words: str, technique: str, pressure: str | None = None) -> PlanStep:
    found = [one for one in answer(words, pressure).plan if one.technique == technique]
    assert found, [one.technique for one in answer(words, pressure).plan]
    return found[0]


def number(found: PlanStep, beginning: str) -> float:
    (value,) = [one.number for one in found.numbers if one.name.startswith(beginning)]
    assert value is not None
    return value


# ---- two liquids: seven pairs of teaching --------------------------------------------------------------------------

CAS = {
    "acetone": "67-64-1",
    "water": "7732-18-5",
    "methanol": "67-56-1",
    "ethanol": "64-17-5",
    "benzene": "71-43-2",
    "toluene": "108-88-3",
    "hexane": "110-54-3",
    "heptane": "142-82-5",
    "ethyl acetate": "141-78-6",
}
GROUPS = {
    "acetone": {1: 1, 18: 1},
    "water": {16: 1},
    "methanol": {15: 1},
    "ethanol": {1: 1, 2: 1, 14: 1},
    "benzene": {9: 6},
    "toluene": {9: 5, 11: 1},
    "hexane": {1: 2, 2: 4},
    "heptane": {1: 2, 2: 5},
    "ethyl acetate": {1: 1, 2: 1, 21: 1},
}
# Pairs, and whether an azeotrope stands in the way of 95 mol % (CRC Handbook, section 6, azeotropes).
PAIRS = [
    ("acetone", "water", False),
    ("methanol", "ethanol", False),
    ("ethanol", "water", True),
    ("benzene", "toluene", False),
    ("hexane", "heptane", False),
    ("ethyl acetate", "ethanol", True),
    ("methanol", "toluene", True),
]


class Theirs:
    """Boiling equilibrium of two liquids by thermo: modified UNIFAC (Dortmund) and its own vapour pressures."""

    def __init__(self, first: str, second: str) -> None:
        thermo = pytest.importorskip("thermo")
        unifac = pytest.importorskip("thermo.unifac")
        self.laws = [thermo.VaporPressure(CASRN=CAS[name]) for name in (first, second)]
        self.model = lambda t, x: unifac.UNIFAC.from_subgroups(
            T=t, xs=[x, 1 - x], chemgroups=[GROUPS[first], GROUPS[second]], version=1, subgroups=unifac.DOUFSG,
            interaction_data=unifac.DOUFIP2006,
        ).gammas()  # fmt: skip
        # 41 points, and straight lines of ln(relative volatility) between them
        self.xs = [0.0005 + 0.999 * i / 40 for i in range(41)]
        self.ln_alphas = [self._ln_alpha(x) for x in self.xs]

    def _ln_alpha(self, x: float) -> float:
        low, high = 300.0, 400.0
        for _ in range(30):
            t = (low + high) / 2
            g = self.model(t, x)
            k = [gamma * law(t) for gamma, law in zip(g, self.laws, strict=True)]
            low, high = (t, high) if x * k[0] + (1 - x) * k[1] < 101_325.0 else (low, t)
        return log(k[0] / k[1])

    def vapour(self, x: float) -> float:
        for (a, b), (u, v) in zip(pairwise(self.xs), pairwise(self.ln_alphas), strict=True):
            if x <= b or b == self.xs[-1]:
                alpha = 2.718281828459045 ** (u + (v - u) * (x - a) / (b - a))
                return alpha * x / (1 + (alpha - 1) * x)
        raise AssertionError("out of range")

    def first_tenth(self, x: float) -> float:
        """Mole fraction of the first tenth distilled, by small steps of a material balance."""
        left, start, steps = 1.0, x, 400
        for _ in range(steps):
            over = 0.1 / steps
            x, left = (x * left - self.vapour(x) * over) / (left - over), left - over
        return (start - left * x) / 0.1

    def plates(self, x: float, target: float) -> float:
        """Plates at total reflux, the last in part by ln(y/(1-y)); the flask is not counted."""
        count = 0.0
        while (y := self.vapour(x)) < target:
            assert y > x + 1e-6
            x, count = y, count + 1
        odds = [log(z / (1 - z)) for z in (x, target, y)]
        return count + (odds[1] - odds[0]) / (odds[2] - odds[0]) - 1.0


@pytest.mark.oracle
@pytest.mark.parametrize("first, second, azeotropic", PAIRS)
def test_seven_pairs_against_thermo(first: str, second: str, azeotropic: bool) -> None:
    found = answer(f"{first} and {second}").plan[0]
    said = " ".join(found.forecast)
    charge = float(re.search(rf"that is ([\d.]+) mol % {first}", said)[1]) / 100  # type: ignore[index]
    theirs = Theirs(first, second)
    purity = number(found, f"{first} in the first fraction")
    assert purity == pytest.approx(theirs.first_tenth(charge), abs=0.03)
    assert "Vigreux column" in said
    if azeotropic:
        assert "No column reaches 95 mol %" in said
        assert "the azeotrope comes over first" in said
        # thermo: the vapour passes the liquid below 95 mol %
        assert theirs.vapour(0.95) < 0.95
    else:
        low, high = re.search(r"That is ([\d.]+) to ([\d.]+) plates", said).groups()  # type: ignore[union-attr]
        needed = theirs.plates(charge, 0.95)
        assert float(low) - 0.05 <= needed <= float(high) + 0.05
        assert number(found, "theoretical plates") == pytest.approx(needed, abs=0.6)


def test_the_label_and_the_conventions() -> None:
    # Gap of methanol and toluene: 46 K. Simple from 25 K (Leadbeater) and 40 K (Gillman), fractional by the others.
    said = step("methanol and toluene", "fractional-distillation").forecast
    (gap,) = [line for line in said if line.startswith("Boiling points")]
    assert "simple distillation: from 25 and 40 K; fractional distillation: from 70, 80 and 100 K" in gap
    assert "because of the azeotrope" in gap
    assert any("computed: NRTL activity model with published parameters" in line for line in said)
    # CRC Handbook: 69 % methanol by mass at 63.5 °C.
    (limit,) = [line for line in said if "minimum azeotrope" in line]
    assert "(measured)" in limit
    assert float(re.search(r"boiling at ([\d.]+)", limit)[1]) == pytest.approx(63.5, abs=0.5)  # type: ignore[index]


def test_where_the_uncertainty_decides_it_says_so() -> None:
    said = " ".join(step("hexane and heptane", "fractional-distillation").forecast)
    assert "could change the verdict on the Vigreux column" in said
    said = " ".join(step("methanol and ethanol", "fractional-distillation").forecast)
    assert "could change" not in said


def test_local_pressure_changes_the_curve_and_is_labelled() -> None:
    low = " ".join(answer("acetone and water", "70 kPa").plan[0].forecast)
    assert "at 70 kPa; estimated" in low
    assert "determined at about 101 kPa and is used at 70 kPa" in low


def test_unknown_equilibrium_is_said_and_not_guessed() -> None:
    said = " ".join(answer("hexane, heptane and toluene").plan[0].forecast)
    assert "hexane (68.7 °C), heptane (98.4 °C) and toluene (110.6 °C)" in said
    assert said.count("Cut between") == 2


# ---- amounts ---------------------------------------------------------------------------------------------------------


def test_amounts_give_vessels_and_masses() -> None:
    # Common practice: a flask half to two thirds full. 50 mL of ethanol are 39.5 g (0.789 g/cm3, CRC Handbook).
    said = " ".join(step("50 mL of ethanol and 100 mL of water", "fractional-distillation").forecast)
    assert "150 mL of liquid: a 250 mL round-bottomed flask, then 60 % full" in said
    assert "39.5 g of ethanol" in said
    assert "50 mL of ethanol with 100 mL of water" in said
    # without amounts a stated basis
    assert "equal volumes (50 mL of each)" in " ".join(step("ethanol and water", "fractional-distillation").forecast)


def test_two_layers_share_out_by_the_lever_rule() -> None:
    # IUPAC-NIST Solubility Data Series: 7.4 and 20.4 mass % for butan-1-ol and water at 25 °C; lever rule by hand.
    found = " ".join(step("30 mL of butan-1-ol and 100 mL of water", "separating-funnel").forecast)
    butanol, water = 24.3, 99.8
    rich = (butanol - 0.074 * (butanol + water)) / (1 - 0.204 - 0.074)
    said = re.search(r"give ([\d.]+) g of the layer rich in butan-1-ol and ([\d.]+) g", found)
    assert said is not None
    assert float(said[1]) == pytest.approx(rich, abs=0.2)
    assert float(said[1]) + float(said[2]) == pytest.approx(butanol + water, abs=0.6)
    assert "250 mL separating funnel, 52 % full; never more than 67 %" in found


# ---- the other kinds -------------------------------------------------------------------------------------------------


def test_copper_sulfate_on_cooling() -> None:
    # CRC Handbook, 98th ed., section 5: 57 g and 20 g per 100 g; h = (57 - 20)/(0.6392 - 0.2 x 0.3608) = 65.2 g.
    found = step("copper sulfate crystals from copper sulfate solution", "crystallisation")
    assert number(found, "crystals of") == pytest.approx(0.0652, abs=0.001)
    assert "CuSO4" in " ".join(found.forecast)


def test_dissolving_and_the_first_crop() -> None:
    # CRC Handbook: 35.9 g of sodium chloride dissolve in 100 g of water at 20 °C.
    found = step("20 g of sodium chloride and 30 g of sand", "dissolving")
    assert number(found, "least water") == pytest.approx(0.0200 / 0.359, rel=0.01)
    # KNO3 170.3 g (80 °C), 13.3 g (0 °C): 100 g in 58.7 g of water gives 100 - 0.133 x 58.7 = 92.2 g in ice.
    crop = step("100 g of potassium nitrate with 10 g of sodium chloride", "fractional-crystallisation")
    assert number(crop, "first crop") == pytest.approx(0.0922, abs=0.001)
    assert "an estimate" in " ".join(crop.forecast)


def test_extraction_of_caffeine() -> None:
    # Partition coefficient 9.5 (Edwards 2015); three portions of a third: (1/(1 + 9.5/3))^3 = 1.4 %.
    found = step("caffeine from tea", "solvent-extraction")
    assert number(found, "caffeine left") == pytest.approx((1 / (1 + 9.5 * 0.333)) ** 3)


def test_steam_sublimation_and_gases() -> None:
    # Limonene with steam: 97.5 °C and about 0.7 to 0.8 g per g of water, from vapour pressures (thermo: 97.3 °C, 0.77).
    found = step("limonene from orange peel", "steam-distillation")
    assert number(found, "temperature of the distillation") - 273.15 == pytest.approx(97.3, abs=0.5)
    assert number(found, "mass of limonene") == pytest.approx(0.77, abs=0.08)
    # Iodine's triple point: 113.6 °C and 12.1 kPa (CRC Handbook): it does not sublime at 101 kPa, it melts.
    assert "heated above that it melts" in " ".join(step("iodine and sand", "sublimation").forecast)
    # Oxygen -183, argon -186, nitrogen -196 °C (CRC Handbook).
    said = " ".join(step("nitrogen, oxygen and argon", "fractional-distillation-of-liquefied-gas").forecast)
    assert re.search(r"condense in the order oxygen .* argon .* nitrogen", said)


def test_settling_by_stokes_law() -> None:
    # Yeast cells of 3 µm, 1.05 to 1.1 g/cm3: hours; in a centrifuge minutes. v = (rho_p - rho_l) g d2 / (18 eta).
    found = step("yeast in water", "centrifugation")
    assert number(found, "time for 3 µm") > 5 * 3600.0
    # RCF = 1.118e-5 r(cm) rpm2
    assert number(found, "relative centrifugal force") == pytest.approx(1.118e-5 * 10 * 3000**2, rel=1e-3)


def test_a_step_without_numbers_has_no_forecast() -> None:
    assert step("sand and salt", "filtration").forecast == ()


def test_every_forecast_cites_its_sources() -> None:
    found = answer("acetone and water")
    keys = {source.key for source in found.sources}
    assert {"kooijman-taylor-2008", "fenske-1932", "nichols-distillation", "leadbeater-distillation"} <= keys
    for one in found.plan[0].numbers:
        assert not one.source or one.source in keys


def test_nothing_is_loaded_for_a_step_without_numbers() -> None:
    """A fresh process: neither forecasts nor numpy nor CoolProp for a filtration; no numpy for a distillation."""
    import subprocess
    import sys

    code = (
        "import sys; from choosemethod import advise; advise('chalk in water'); "
        "assert not [m for m in sys.modules if 'forecast' in m or m == 'choosemethod.laboratory'], 'forecast'; "
        "advise('acetone and water'); assert 'choosemethod.advice.forecast_distillation' in sys.modules; "
        "assert not {'numpy', 'CoolProp', 'thermo', 'chemicals', 'scipy'} & set(sys.modules), 'heavy'; "
        "assert 'choosemethod.advice.forecast_layers' not in sys.modules"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
