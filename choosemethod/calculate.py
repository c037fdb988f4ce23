"""The calculations open on their own: what each needs, and its answer with the formula filled in."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from difflib import get_close_matches

from choosemethod.chemistry import chromatography, distillation, extraction, settling, solubility
from choosemethod.chemistry.amounts import mass_fraction
from choosemethod.chemistry.atmosphere import pressure_at_altitude
from choosemethod.chemistry.equilibrium import Curve, constant_volatility
from choosemethod.chemistry.steam import steam_distillation
from choosemethod.chemistry.vapour_pressure import STANDARD_PRESSURE, OutOfRange
from choosemethod.errors import ChooseMethodError
from choosemethod.facts import weakest
from choosemethod.places import rules_folder
from choosemethod.quantity import NUMBER, Quantity, QuantityError, parse_number, show
from choosemethod.reactions import Part, Reactions
from choosemethod.table import Substance, Table
from choosemethod.vle import Equilibrium, NotKnown, boiling_law, equilibrium_of

__all__ = [
    "CALCULATIONS",
    "Calculation",
    "CalculationError",
    "Formula",
    "NotKnown",
    "Parameter",
    "Result",
    "UnknownSubstance",
    "calculate",
]

# Units of quantities that occur only here.
_LOCAL: Mapping[str, Mapping[str, float]] = {
    "viscosity": {"Pa s": 1.0, "mPa s": 1e-3, "cP": 1e-3, "Pa·s": 1.0, "mPa·s": 1e-3},
}
_CHROMATOGRAPHY = ("iupac-chromatography",)
_NUMBER = re.compile(rf"\s*({NUMBER})\s*(.*?)\s*\Z")


class CalculationError(ChooseMethodError):
    """A calculation asked for wrongly, or outside the range in which it holds: the message says what to write."""


class UnknownSubstance(ChooseMethodError):
    """A name the table does not know."""

    exit_code = 3


@dataclass(frozen=True, slots=True)
class Parameter:
    """What a calculation needs: name as written on the command line, its dimension, meaning and an example.

    dimension: one of choosemethod.quantity, or substance, viscosity, share (a fraction or a percentage), count, or
    reading (a number with any unit, the same for all readings). usual: said in place of a value that is left out.
    """

    name: str
    dimension: str
    meaning: str
    example: str
    required: bool = True
    usual: str = ""


@dataclass(frozen=True, slots=True)
class Result:
    """One result: what it is, and the quantity."""

    name: str
    quantity: Quantity


@dataclass(frozen=True, slots=True)
class Calculation:
    """The answer: results in order, the formula filled in, how it was obtained, keys of sources, notes."""

    name: str
    results: tuple[Result, ...]
    formula: str
    how: str = "computed"
    sources: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        """The results without their names."""
        return tuple(result.quantity for result in self.results)


@dataclass(frozen=True, slots=True)
class _Given:
    """Arguments read: numbers in SI units, substances, units of readings, and sources of values taken by name."""

    table: Table
    numbers: dict[str, float] = field(default_factory=dict)
    substances: dict[str, Substance] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    sources: list[str] = field(default_factory=list)

    def pressure(self) -> float:
        """The pressure stated, that of the altitude stated, or the standard one."""
        if "pressure" in self.numbers and "altitude" in self.numbers:
            raise CalculationError("give a pressure or an altitude, not both")
        if "altitude" in self.numbers:
            self.sources.append("iso-2533")
            return pressure_at_altitude(self.numbers["altitude"])
        return self.numbers.get("pressure", STANDARD_PRESSURE)


@dataclass(frozen=True, slots=True)
class Formula:
    """A calculation that can be asked for: its name, what it works out, its parameters, and the function."""

    name: str
    meaning: str
    parameters: tuple[Parameter, ...]
    work: Callable[[_Given], Calculation] = field(repr=False)


def _n(value: float) -> str:
    return f"{value:.0f}" if 1e4 <= abs(value) < 1e9 else f"{value:.4g}"


def _c(temperature: float) -> str:
    return f"{temperature - 273.15:.1f} °C"


def _grams(mass: float) -> str:
    return f"{1000 * mass:.4g} g"


def _unique(*keys: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(key for key in keys if key))


def _quantity(value: float, dimension: str, how: str = "computed", source: str = "") -> Quantity:
    return Quantity(value, dimension, how, source)


def _ordinary(table: Table) -> Substance:
    """The ordinary solvent, as rules/solvents.yaml marks it."""
    from choosemethod.yamltext import Block, read_mapping

    path = rules_folder() / "solvents.yaml"
    for key, entry in read_mapping(path, "rules/solvents.yaml").items():
        if isinstance(entry, Block) and entry.get("ordinary") == "yes" and table.has(key):
            return table.substance(key)
    raise NotKnown("no solvent is marked as the ordinary one: name one")


def _columns() -> tuple[tuple[str, float, float], ...]:
    """Laboratory columns with the plates they give."""
    from choosemethod.load_laboratory import read_laboratory

    columns = read_laboratory(rules_folder()).columns
    return tuple((f"{column.name} ({column.length})", column.least, column.most) for column in columns)


def _named(table: Table, text: str, wanted: str) -> Substance:
    found = table.name(text, "substance") or table.formula(text.strip())
    if found is None or found.kind != "substance":
        near = ", ".join(written for written, name, _ in table.suggest(text) if name.kind == "substance")
        raise UnknownSubstance(f"{wanted}: {text!r} is not known" + (f"; did you mean {near}?" if near else ""))
    return table.substance(found.id)


def _value(substance: Substance, prop: str, what: str) -> tuple[float, str]:
    value = substance.values.get(prop)
    if value is None or value.number is None:
        raise NotKnown(f"the {what} of {substance.name} is not known")
    return (value.number if value.high is None else (value.number + value.high) / 2), value.source


def _read(given: _Given, parameter: Parameter, text: str) -> None:
    """Read one argument into `given`; CalculationError or UnknownSubstance with what to write instead."""
    name, dimension = parameter.name, parameter.dimension
    hint = f"{name} ({parameter.meaning}), for example {parameter.example!r}"
    try:
        if dimension == "substance":
            given.substances[name] = _named(given.table, text, name)
            return
        match = _NUMBER.match(text)
        if dimension == "density" and match is None:
            substance = _named(given.table, text, name)
            given.numbers[name], source = _value(substance, "density", "density")
            given.sources.append(source)
            return
        if match is None:
            raise QuantityError(f"{text!r} is no number")
        number, unit = float(match[1].replace("−", "-")), match[2]
        if dimension == "reading":
            given.numbers[name], given.units[name] = number, unit
        elif dimension == "share" and not unit:
            given.numbers[name] = number
        elif dimension == "share":
            given.numbers[name] = parse_number(text, "fraction")
        elif dimension == "count":
            if unit or number != int(number) or number < 0:
                raise QuantityError(f"{text!r} is no whole number")
            given.numbers[name] = number
        elif dimension in _LOCAL:
            units = _LOCAL[dimension]
            if unit not in units:
                raise QuantityError(f"{text!r}: a {dimension} needs one of the units {', '.join(units)}")
            given.numbers[name] = number * units[unit]
        else:
            given.numbers[name] = parse_number(text, dimension)
    except QuantityError as fault:
        raise CalculationError(f"{hint}: {fault}") from fault
    if dimension == "share" and not 0.0 <= given.numbers[name] <= 1.0:
        raise CalculationError(f"{hint}: it lies between 0 and 1 (or 0 % and 100 %)")


def _same_unit(given: _Given, *names: str) -> str:
    units = {given.units[name] for name in names}
    if len(units) > 1:
        raise CalculationError(f"write {', '.join(names)} in one unit")
    return units.pop()


# ---- the calculations ------------------------------------------------------------------------------------------------


def _boiling_point(given: _Given) -> Calculation:
    substance, pressure = given.substances["substance"], given.pressure()
    triple = substance.values.get("triple_point_pressure")
    if triple is not None and triple.number is not None and pressure < triple.number:
        raise NotKnown(
            f"{substance.name} does not boil at {show(pressure, 'pressure')}: below its triple point "
            f"({show(triple.number, 'pressure')}) it sublimes"
        )
    law = boiling_law(substance)
    constants = law.antoine
    how, sources, notes = law.how, law.sources, []
    try:
        temperature = constants.boiling_point(pressure)
        formula = (
            f"T = B / (A - log10(p/Pa)) - C = {_n(constants.b)} / ({constants.a:.5f} - log10({pressure:.0f})) "
            f"- ({_n(constants.c)}) = {temperature:.2f} K = {_c(temperature)}"
        )
        if how == "estimated":
            notes.append("no vapour-pressure constants are stored: Trouton's rule, from the normal boiling point")
    except OutOfRange as fault:
        from choosemethod.chemistry.fluids import covers, fluid_boiling_point

        if not substance.cas or not covers(substance.cas):
            raise CalculationError(f"{substance.name}: {fault}") from fault
        temperature = fluid_boiling_point(substance.cas, pressure)
        how, sources = "computed", ("bell-2014",)
        formula = f"p(T) = {show(pressure, 'pressure')} on the reference equation of state gives {_c(temperature)}"
        notes.append("outside the range of the stored constants: reference equation of state")
    spoils = substance.values.get("decomposes_at")
    if spoils is not None and spoils.number is not None and spoils.number <= temperature + 5.0:
        notes.append(f"decomposes from about {_c(spoils.number)}: it cannot be boiled at this pressure")
    result = Result(
        f"boiling point of {substance.name} at {show(pressure, 'pressure')}", _quantity(temperature, "temperature", how)
    )
    return Calculation("boiling-point", (result,), formula, how, _unique(*sources, *given.sources), tuple(notes))


def _altitude(given: _Given) -> Calculation:
    altitude = given.numbers["altitude"]
    pressure = pressure_at_altitude(altitude)
    formula = (
        f"p = 101325 Pa (1 - 0.0065 h / 288.15)^5.2559 with h = {altitude:.0f} m (as geopotential altitude) "
        f"= {pressure:.0f} Pa"
    )
    notes = ("real weather moves the pressure by up to about 4 %",)
    result = Result(f"pressure of the standard atmosphere at {altitude:.0f} m", _quantity(pressure, "pressure"))
    return Calculation("altitude", (result,), formula, "computed", ("iso-2533",), notes)


def _safe_to_heat(table: Table, first: Substance, second: Substance) -> None:
    """Raises CalculationError for two substances that react, must not be together, or must not be heated together."""
    for held in Reactions(table, "").held((Part("first", first), Part("second", second)), wet=True):
        if len(held.between) > 1 and (held.severity in ("refuse", "reacts") or "heat" in held.triggers):
            raise CalculationError(f"{first.name} with {second.name} must not be heated: {held.row.danger}")


def _two(given: _Given) -> Equilibrium:
    first, second = given.substances["first"], given.substances["second"]
    _safe_to_heat(given.table, first, second)
    return equilibrium_of(given.table, first, second, given.pressure())


def _azeotrope(given: _Given) -> Calculation:
    found = _two(given)
    first, second = found.first, found.second
    row = given.table.pair("azeotropes", first.id, second.id)
    notes = list(found.notes)
    sources = list(found.sources)
    if row is not None:
        share = f", {row['first_mass']} {row['first'].replace('-', ' ')} by mass" if row.get("first_mass") else ""
        at = f" at {row['at']}" if row.get("at") else ""
        notes.append(f"measured ({row.get('pressure', '101.325 kPa')}): {row['kind']} azeotrope{at}{share}")
        sources.append(row.get("source", ""))
    elif given.table.pair("non-azeotropes", first.id, second.id) is not None:
        notes.append("no azeotrope is known at 101.325 kPa")
    if found.pair is None:
        raise NotKnown(f"whether {first.name} and {second.name} form an azeotrope is only estimated: {found.basis}")
    azeotrope = found.azeotrope
    if azeotrope is None:
        ends = [found.curve.volatility(x) for x in (found.curve.xs[0], found.curve.xs[-1])]
        formula = (
            f"alpha = (y1/x1)/(y2/x2) runs from {_n(ends[0])} to {_n(ends[1])} and never passes 1: no azeotrope "
            f"({found.basis})"
        )
        results = tuple(
            Result(f"relative volatility, {word} {first.name}", _quantity(alpha, "pure number", found.how))
            for word, alpha in zip(("little", "much"), ends, strict=True)
        )
        return Calculation("azeotrope", results, formula, found.how, _unique(*sources), tuple(notes))
    masses = [_value(substance, "molar_mass", "molar mass")[0] for substance in (first, second)]
    ours = mass_fraction(azeotrope.x, masses[0], masses[1])
    formula = (
        f"alpha = (gamma1 p1)/(gamma2 p2) = 1 at mole fraction {azeotrope.x:.3f} of {first.name} and "
        f"{_c(azeotrope.temperature)} ({found.basis})"
    )
    if azeotrope.kind == "heterogeneous":
        formula = (
            f"both layers boil together at {_c(azeotrope.temperature)}; vapour {azeotrope.x:.3f} {first.name} "
            f"({found.basis})"
        )
    results = (
        Result(f"{azeotrope.kind} azeotrope boils at", _quantity(azeotrope.temperature, "temperature", found.how)),
        Result(f"mole fraction of {first.name}", _quantity(azeotrope.x, "pure number", found.how)),
        Result(f"mass fraction of {first.name}", _quantity(ours, "fraction", found.how)),
    )
    return Calculation("azeotrope", results, formula, found.how, _unique(*sources), tuple(notes))


def _plates(given: _Given) -> Calculation:
    found = _two(given)
    charge, purity = given.numbers.get("charge", 0.5), given.numbers.get("purity", 0.95)
    if not 0 < charge < 1 or not 0 < purity < 1:
        raise CalculationError("charge and purity are mole fractions between 0 and 1, the ends left out")
    curve = found.curve
    wanted, notes = found.first, list(found.notes)
    if given.substances["first"].id != found.first.id:
        notes.append(f"{found.first.name} boils lower and comes over first; charge and purity are its mole fractions")
    if curve.volatility(charge) < 1.0:
        raise CalculationError(
            f"over this mixture the vapour is richer in {found.second.name}"
            + (
                f": an azeotrope lies at mole fraction {found.azeotrope.x:.3f} of {wanted.name}"
                if found.azeotrope
                else ""
            )
            + f"; {wanted.name} cannot be distilled off pure"
        )
    alpha = curve.volatility(charge)
    first = distillation.first_drop(curve, charge)
    tenth = distillation.first_fraction(curve, charge)
    results = [
        Result("relative volatility of the charge", _quantity(alpha, "pure number", found.how)),
        Result(
            f"mole fraction of {wanted.name} in the first drop, simple distillation",
            _quantity(first, "pure number", found.how),
        ),
        Result("the same in the first tenth distilled", _quantity(tenth.distillate, "pure number", found.how)),
    ]
    try:
        plates = distillation.plates_for(curve, charge, purity)
    except OutOfRange as fault:
        if not curve.pinches():
            raise
        notes.append(str(fault))
        pinch = curve.pinches()[0]
        results.append(Result("no column gives more than mole fraction", _quantity(pinch, "pure number", found.how)))
        formula = f"the vapour equals the liquid at x = {pinch:.3f}, below the purity of {_n(purity)} ({found.basis})"
        return Calculation(
            "plates", tuple(results), formula, found.how, _unique(*found.sources, "fenske-1932"), tuple(notes)
        )
    steps, x = [_n(charge)], charge
    while x < purity and len(steps) < 12:
        x = curve.vapour(x)
        steps.append(_n(x))
    mean = (curve.volatility(charge) * curve.volatility(min(purity, curve.xs[-1]))) ** 0.5
    fenske = distillation.fenske(mean, purity, charge) if purity > charge and mean > 1 else 0.0
    formula = (
        f"y = alpha x / (1 + (alpha - 1) x), step by step at total reflux: {' -> '.join(steps)}; stages with the flask "
        f"= {plates + 1:.1f}, less the flask = {plates:.1f} plates. Fenske: ln[({_n(purity)}/{_n(1 - purity)}) "
        f"({_n(1 - charge)}/{_n(charge)})] / ln {_n(mean)} = {fenske:.1f} stages ({found.basis})"
    )
    results.append(
        Result(
            f"theoretical plates for mole fraction {_n(purity)} of {wanted.name}",
            _quantity(plates, "pure number", found.how),
        )
    )
    words = {"yes": "suffices", "perhaps": "may suffice", "no": "does not suffice"}
    for name, verdict in distillation.columns_that_suffice(plates, _columns()):
        notes.append(f"{name}: {words[verdict]}")
    notes.append("least number, at total reflux; a real run draws off product and needs more")
    return Calculation(
        "plates", tuple(results), formula, found.how, _unique(*found.sources, "fenske-1932"), tuple(notes)
    )


def _rayleigh(given: _Given) -> Calculation:
    numbers = given.numbers
    charge = numbers["charge"]
    how, notes, basis = "computed", list[str](), ""
    sources: tuple[str, ...] = ()
    curve: Curve
    if "alpha" in numbers:
        if given.substances:
            raise CalculationError("give two liquids or a relative volatility (alpha), not both")
        curve = constant_volatility(numbers["alpha"])
        basis, name = f"alpha = {_n(numbers['alpha'])}", "the more volatile"
    elif len(given.substances) == 2:
        found = _two(given)
        curve, how, sources, basis = found.curve, found.how, found.sources, found.basis
        name = found.first.name
        notes = [f"mole fractions are those of {name}", *found.notes]
    else:
        raise CalculationError("rayleigh needs two liquids (first, second) or a relative volatility (alpha)")
    if ("distilled" in numbers) == ("residue" in numbers):
        raise CalculationError("rayleigh needs the share distilled or the mole fraction of the residue, one of them")
    if "distilled" in numbers:
        done = distillation.rayleigh(curve, charge, numbers["distilled"])
    else:
        done = distillation.rayleigh_to(curve, charge, numbers["residue"])
    left = 1.0 - done.distilled
    formula = (
        f"ln(F/W) = integral of dx/(y - x) from {_n(done.residue)} to {_n(charge)}: W/F = {_n(left)}; distillate = "
        f"(F x_F - W x_W)/(F - W) = ({_n(charge)} - {_n(left)} x {_n(done.residue)})/{_n(done.distilled)} "
        f"= {_n(done.distillate)} ({basis})"
    )
    results = (
        Result("share distilled, by moles", _quantity(done.distilled, "pure number", how)),
        Result(f"mole fraction of {name} in the distillate", _quantity(done.distillate, "pure number", how)),
        Result(f"mole fraction of {name} in the residue", _quantity(done.residue, "pure number", how)),
        Result(f"share of {name} recovered", _quantity(done.recovery, "fraction", how)),
    )
    return Calculation("rayleigh", results, formula, how, _unique(*sources, "rayleigh-1902"), tuple(notes))


def _steam(given: _Given) -> Calculation:
    substance, pressure = given.substances["substance"], given.pressure()
    carrier = given.substances.get("with") or _ordinary(given.table)
    if carrier.id == substance.id:
        raise CalculationError(f"{substance.name} cannot be distilled with itself")
    row = given.table.pair("miscibility", substance.id, carrier.id)
    entry = substance.solubility.get(carrier.id)
    _safe_to_heat(given.table, substance, carrier)
    mixing = ("miscible", "reacts", "very soluble", "freely soluble", "soluble")
    if (row is not None and row["mixes"] == "fully") or (row is None and entry is not None and entry.word in mixing):
        raise CalculationError(f"{substance.name} mixes or reacts with {carrier.name}: this is not steam distillation")
    laws = boiling_law(carrier), boiling_law(substance)
    masses = [_value(each, "molar_mass", "molar mass") for each in (carrier, substance)]
    try:
        found = steam_distillation(pressure, laws[0].antoine, laws[1].antoine, masses[0][0], masses[1][0], reach=20.0)
    except OutOfRange as fault:
        raise NotKnown(f"{substance.name} with {carrier.name}: {fault}") from fault
    how = "estimated" if "estimated" in (laws[0].how, laws[1].how) or found.beyond > 1.0 else "computed"
    notes = []
    if found.beyond > 1.0:
        notes.append(f"vapour-pressure constants used {found.beyond:.0f} K outside their range")
    if row is None and entry is None:
        notes.append(f"whether it dissolves in {carrier.name} is not known; the calculation takes it not to")
    if row is not None and row["mixes"] == "partly":
        notes.append("the two dissolve in each other a little, which the calculation leaves out")
    spoils = substance.values.get("decomposes_at")
    if spoils is not None and spoils.number is not None and spoils.number <= found.temperature:
        notes.append(f"decomposes from about {_c(spoils.number)}")
    for measured in given.table.pairs("steam-distillation"):
        if measured.get("substance") == substance.id and not measured.get("estimate"):
            notes.append(f"stated in the table at {measured.get('pressure', '101.325 kPa')}: {measured['at']}")
    formula = (
        f"p({carrier.name}) + p({substance.name}) = {found.carrier / 1000:.2f} + {found.substance / 1000:.2f} = "
        f"{pressure / 1000:.2f} kPa at {_c(found.temperature)}; mass ratio = ({found.substance / 1000:.2f} x "
        f"{1000 * masses[1][0]:.1f}) / ({found.carrier / 1000:.2f} x {1000 * masses[0][0]:.2f}) "
        f"= {_n(found.mass_ratio)}"
    )
    results = (
        Result("temperature of the distillation", _quantity(found.temperature, "temperature", how)),
        Result(
            f"mass of {substance.name} per mass of {carrier.name} in the distillate",
            _quantity(found.mass_ratio, "pure number", how),
        ),
        Result(f"vapour pressure of {substance.name}", _quantity(found.substance, "pressure", how)),
        Result(f"vapour pressure of {carrier.name}", _quantity(found.carrier, "pressure", how)),
    )
    sources = _unique(*laws[0].sources, *laws[1].sources, *(source for _, source in masses), *given.sources)
    return Calculation("steam", results, formula, how, sources, tuple(notes))


def _curve(substance: Substance, solvent: Substance) -> tuple[Sequence[tuple[float, float]], str, str]:
    entry = substance.solubility.get(solvent.id)
    if entry is None or not entry.points:
        raise NotKnown(f"the solubility of {substance.name} in {solvent.name} is not known as numbers")
    return entry.points, entry.source, entry.of


def _yield(given: _Given) -> Calculation:
    substance, numbers = given.substances["substance"], given.numbers
    solvent = given.substances.get("solvent") or _ordinary(given.table)
    points, source, of = _curve(substance, solvent)
    mass, liquid, hot, cold = (numbers[name] for name in ("mass", "solvent-mass", "hot", "cold"))
    notes: list[str] = []
    if cold > hot:
        raise CalculationError("cold must lie below hot")
    shape = solubility.trend(points)
    if shape in ("falling", "maximum"):
        notes.append("its solubility falls on warming over part of the range: cooling is not the way there")
    spoils = substance.values.get("decomposes_at")
    if spoils is not None and spoils.number is not None and spoils.number <= hot:
        notes.append(f"decomposes from about {_c(spoils.number)}: do not heat so far")
    at_hot, at_cold = (solubility.at_temperature(points, temperature) for temperature in (hot, cold))
    hydrate = substance.values.get("hydrate_molar_mass")
    plain = substance.values.get("molar_mass")
    ordinary = _ordinary(given.table).id == solvent.id
    if hydrate is not None and hydrate.number and plain is not None and plain.number and of == "anhydrous" and ordinary:
        if at_hot is None:
            solubility.solvent_needed(points, mass, hot)  # raises, saying what is measured
        dissolved = min(mass, (at_hot or 0.0) * liquid)
        crystals = solubility.hydrate_on_cooling(points, dissolved, liquid, cold, plain.number, hydrate.number)
        share = plain.number / hydrate.number
        formula = (
            f"crystals h take water along: {_grams(dissolved)} - {_n(share)} h = {_n(at_cold or 0)} ({_grams(liquid)} "
            f"- {_n(1 - share)} h), so h = {_grams(crystals.crystals)}"
        )
        name = substance.values["hydrate_formula"].text if "hydrate_formula" in substance.values else "hydrate"
        notes.append(
            "mass is that of the anhydrous substance; in crystals count the water of crystallisation as solvent"
        )
        undissolved = mass - dissolved
    else:
        crystals = solubility.crystallise_on_cooling(points, mass, liquid, hot, cold)
        taken = mass - crystals.undissolved
        formula = (
            f"crystals = dissolved hot - solubility at {_c(cold)} x solvent = {_grams(taken)} - "
            f"{_n(100 * (at_cold or 0))} g/100 g x {_grams(liquid)} = {_grams(crystals.crystals)}"
        )
        name, undissolved = substance.name, crystals.undissolved
        if of == "hydrate":
            notes.append("solubility and masses are those of the hydrate")
    if undissolved > 1e-9:
        notes.append(f"{_grams(undissolved)} does not dissolve at {_c(hot)} and is filtered off hot")
    if crystals.crystals == 0:
        notes.append("the cold solution holds it all: nothing crystallises")
    results = (
        Result(f"crystals of {name}", _quantity(crystals.crystals, "mass")),
        Result("left in solution", _quantity(crystals.dissolved, "mass")),
        Result("recovery", _quantity(crystals.recovery, "fraction")),
    )
    notes.append("linear between measured solubilities; washing and transfer losses are not counted")
    return Calculation("yield-on-cooling", results, formula, "computed", _unique(source), tuple(notes))


def _hydrate(given: _Given) -> Calculation:
    substance, mass = given.substances["substance"], given.numbers["mass"]
    plain, source = _value(substance, "molar_mass", "molar mass")
    hydrate, other = _value(substance, "hydrate_molar_mass", "molar mass of a hydrate")
    name = substance.values["hydrate_formula"].text if "hydrate_formula" in substance.values else "hydrate"
    whole = solubility.hydrate_from_anhydrous(mass, plain, hydrate)
    formula = f"m({name}) = {_grams(mass)} x {1000 * hydrate:.2f} / {1000 * plain:.2f} = {_grams(whole)}"
    if ("water" in given.numbers) != ("temperature" in given.numbers):
        raise CalculationError("water and temperature go together: the crystals that a solution gives on cooling")
    results = [Result(f"{name} that holds {_grams(mass)} of the anhydrous substance", _quantity(whole, "mass"))]
    notes: list[str] = []
    sources = [source, other]
    if "water" in given.numbers:
        points, curve_source, of = _curve(substance, _ordinary(given.table))
        if of == "hydrate":
            raise NotKnown(f"the solubility of {substance.name} is known only as that of the hydrate")
        water, cold = given.numbers["water"], given.numbers["temperature"]
        found = solubility.hydrate_on_cooling(points, mass, water, cold, plain, hydrate)
        at_cold = solubility.at_temperature(points, cold) or 0.0
        share = plain / hydrate
        formula += (
            f"; from solution: {_grams(mass)} - {_n(share)} h = {_n(at_cold)} ({_grams(water)} - {_n(1 - share)} h), "
            f"so h = {_grams(found.crystals)}"
        )
        results.append(Result(f"{name} that crystallises at {_c(cold)}", _quantity(found.crystals, "mass")))
        results.append(Result("anhydrous substance left in solution", _quantity(found.dissolved, "mass")))
        results.append(Result("recovery", _quantity(found.recovery, "fraction")))
        sources.append(curve_source)
    loses = substance.values.get("loses_water_at")
    if loses is not None and loses.number is not None:
        notes.append(
            f"loses water of crystallisation from about {_c(loses.number)}: dry the crystals cold, between paper"
        )
    return Calculation("hydrate-mass", tuple(results), formula, "computed", _unique(*sources), tuple(notes))


def _rcf(given: _Given) -> Calculation:
    radius, speed = given.numbers["radius"], given.numbers["speed"]
    force = settling.relative_centrifugal_force(radius, speed)
    formula = f"RCF = 1.118e-5 x r(cm) x rpm^2 = 1.118e-5 x {_n(100 * radius)} x {60 * speed:.0f}^2 = {_n(force)}"
    notes = ("never above the speed the rotor is rated for; load it balanced",)
    return Calculation(
        "rcf",
        (Result("relative centrifugal force, in multiples of gravity", _quantity(force, "pure number")),),
        formula,
        notes=notes,
    )


def _rf(given: _Given) -> Calculation:
    unit = _same_unit(given, "spot", "front")
    spot, front = given.numbers["spot"], given.numbers["front"]
    value = chromatography.retardation_factor(spot, front)
    formula = (
        f"Rf = distance of the spot / distance of the front = {_n(spot)} / {_n(front)} {unit}".rstrip()
        + f" = {value:.2f}"
    )
    return Calculation("rf", (Result("Rf", _quantity(value, "pure number")),), formula, "computed", _CHROMATOGRAPHY)


def _resolution(given: _Given) -> Calculation:
    names = ("first", "second", "first-width", "second-width")
    _same_unit(given, *names)
    first, second, wide, wider = (given.numbers[name] for name in names)
    value = chromatography.resolution(first, second, wide, wider)
    formula = f"Rs = 2 ({_n(max(first, second))} - {_n(min(first, second))}) / ({_n(wide)} + {_n(wider)}) = {value:.3g}"
    results = [Result("resolution", _quantity(value, "pure number"))]
    for label, time, width in (("first", first, wide), ("second", second, wider)):
        plates = chromatography.plates_from_base_width(time, width)
        results.append(Result(f"plates by the {label} peak, 16 (t/w)^2", _quantity(plates, "pure number")))
        formula += f"; N = 16 ({_n(time)}/{_n(width)})^2 = {plates:.0f}"
    notes = ("1.5 or more: separated to the baseline",) if value >= 1.5 else ("below 1.5: the peaks overlap",)
    return Calculation("resolution", tuple(results), formula, "computed", _CHROMATOGRAPHY, notes)


def _extraction(given: _Given) -> Calculation:
    numbers = given.numbers
    ratio, volume, portion = numbers["ratio"], numbers["volume"], numbers["portion"]
    single = f"V / (V + D v) = {_n(1e6 * volume)} / ({_n(1e6 * volume)} + {_n(ratio)} x {_n(1e6 * portion)})"
    if "target" in numbers and "portions" in numbers:
        raise CalculationError("give the number of portions or the target, not both")
    if "target" in numbers:
        count = extraction.portions_for(ratio, volume, portion, numbers["target"])
    else:
        count = int(numbers.get("portions", 1))
    left = extraction.fraction_left(ratio, volume, portion, count)
    once = extraction.fraction_left(ratio, volume, portion * count, 1) if count else 1.0
    per_portion = extraction.fraction_left(ratio, volume, portion)
    formula = f"left after n portions = ({single})^n = {_n(per_portion)}^{count} = {_n(left)}"
    results = [
        Result("portions", _quantity(float(count), "pure number")),
        Result("fraction left", _quantity(left, "fraction")),
        Result("fraction extracted", _quantity(1.0 - left, "fraction")),
    ]
    if count > 1:
        results.append(Result("fraction left by one portion of the same total volume", _quantity(once, "fraction")))
    notes = ("vent the funnel often: swirling releases vapour",)
    return Calculation("extraction", tuple(results), formula, "computed", ("harvey-extraction",), notes)


def _stokes(given: _Given) -> Calculation:
    numbers = given.numbers
    diameter, particle = numbers["diameter"], numbers["particle-density"]
    liquid, viscosity = numbers["liquid-density"], numbers["viscosity"]
    fall = settling.settling_velocity(diameter, particle, liquid, viscosity)
    if fall.velocity == 0:
        raise CalculationError("a particle as dense as the liquid does not settle")
    ideal = (particle - liquid) * settling.GRAVITY * diameter**2 / (18 * viscosity)
    formula = (
        f"v = (rho_p - rho_l) g d^2 / (18 eta) = ({_n(particle)} - {_n(liquid)}) x 9.807 x ({_n(diameter)})^2 / "
        f"(18 x {_n(viscosity)}) = {_n(ideal)} m/s; Re = v d rho_l / eta = {_n(fall.reynolds)}"
    )
    notes = ["single spheres in a liquid at rest; real grains and crowded ones fall more slowly"]
    if fall.law != "Stokes":
        formula += f"; above 0.25, so with the drag of {fall.law}: v = {_n(abs(fall.velocity))} m/s"
        notes.append("too coarse for Stokes' law: the drag correction is used")
    way = "falls" if fall.velocity > 0 else "rises"
    results = [
        Result(f"{way} each second", _quantity(abs(fall.velocity), "length")),
        Result("Reynolds number", _quantity(fall.reynolds, "pure number")),
    ]
    if "depth" in numbers:
        time = numbers["depth"] / abs(fall.velocity)
        results.insert(1, Result(f"time for {show(numbers['depth'], 'length')}", _quantity(time, "time")))
        formula += f"; t = depth / v = {_n(numbers['depth'])} / {_n(abs(fall.velocity))} = {_n(time)} s"
    return Calculation(
        "stokes", tuple(results), formula, "computed", _unique(*given.sources, "stokes-1851"), tuple(notes)
    )


# ---- the register ----------------------------------------------------------------------------------------------------

_PRESSURE = Parameter("pressure", "pressure", "local pressure", "84 kPa", False, "101.325 kPa")
_HEIGHT = Parameter("altitude", "length", "altitude, in place of the pressure", "1600 m", False, "sea level")
_FIRST = Parameter("first", "substance", "one liquid", "NAME")
_SECOND = Parameter("second", "substance", "the other liquid", "NAME")
_CHARGE = "mole fraction of the lower-boiling liquid in the flask"
_SUBSTANCE = Parameter("substance", "substance", "substance", "NAME")


def _formulas() -> tuple[Formula, ...]:
    p = Parameter
    return (
        Formula("altitude", "air pressure at an altitude", (p("altitude", "length", "altitude", "1600 m"),), _altitude),
        Formula(
            "azeotrope", "whether two liquids form an azeotrope, and where",
            (_FIRST, _SECOND, _PRESSURE, _HEIGHT), _azeotrope,
        ),
        Formula(
            "boiling-point", "boiling point at a pressure or altitude",
            (_SUBSTANCE, _PRESSURE, _HEIGHT), _boiling_point,
        ),
        Formula(
            "extraction", "what stays after extracting with portions of a second liquid",
            (
                p("ratio", "pure number", "distribution ratio, extracting liquid over the other", "5"),
                p("volume", "volume", "volume of the solution extracted", "50 mL"),
                p("portion", "volume", "volume of each portion", "15 mL"),
                p("portions", "count", "number of portions", "3", False, "1"),
                p("target", "share", "fraction that may be left, in place of portions", "0.1 %", False),
            ), _extraction,
        ),
        Formula(
            "hydrate-mass", "mass of hydrate crystals from the anhydrous substance, or from its solution",
            (
                p("substance", "substance", "substance", "NAME"),
                p("mass", "mass", "mass of the anhydrous substance", "16 g"),
                p("water", "mass", "mass of water it is dissolved in", "50 g", False),
                p("temperature", "temperature", "temperature to which the solution is cooled", "20 °C", False),
            ), _hydrate,
        ),
        Formula(
            "plates", "purity by simple distillation and plates for a purity",
            (
                _FIRST, _SECOND, p("charge", "share", _CHARGE, "0.5", False, "0.5"),
                p("purity", "share", "mole fraction wanted of the lower-boiling liquid", "0.95", False, "0.95"),
                _PRESSURE, _HEIGHT,
            ), _plates,
        ),
        Formula(
            "rayleigh", "distillate and residue of a simple distillation",
            (
                p("first", "substance", "one liquid", "NAME", False),
                p("second", "substance", "the other liquid", "NAME", False),
                p("alpha", "pure number", "relative volatility, in place of the liquids", "2.16", False),
                p("charge", "share", _CHARGE, "0.18"),
                p("distilled", "share", "share distilled, by moles", "0.6", False),
                p("residue", "share", "mole fraction of the residue, in place of the share", "0.06", False),
                _PRESSURE, _HEIGHT,
            ), _rayleigh,
        ),
        Formula(
            "rcf", "relative centrifugal force",
            (p("radius", "length", "radius of the rotor", "5 cm"), p("speed", "frequency", "speed", "10000 rpm")), _rcf,
        ),
        Formula(
            "resolution", "resolution of two peaks and plates",
            (
                p("first", "reading", "retention time (or distance) of the first peak", "8.36 min"),
                p("second", "reading", "that of the second", "9.54 min"),
                p("first-width", "reading", "width of the first at its base", "0.96 min"),
                p("second-width", "reading", "width of the second at its base", "0.64 min"),
            ), _resolution,
        ),
        Formula(
            "rf", "retardation factor",
            (
                p("spot", "reading", "distance from the start line to the centre of the spot", "3.2 cm"),
                p("front", "reading", "distance from the start line to the solvent front", "8.0 cm"),
            ), _rf,
        ),
        Formula(
            "steam", "temperature and composition of a steam distillation",
            (
                p("substance", "substance", "substance carried over", "NAME"),
                p("with", "substance", "liquid it is boiled with", "NAME", False, "the ordinary solvent"),
                _PRESSURE, _HEIGHT,
            ), _steam,
        ),
        Formula(
            "stokes", "how fast particles settle",
            (
                p("diameter", "length", "diameter of the particle", "2 µm"),
                p("particle-density", "density", "density of the particle, or a substance", "2.65 g/cm3"),
                p("liquid-density", "density", "density of the liquid, or a substance", "0.998 g/cm3"),
                p("viscosity", "viscosity", "viscosity of the liquid", "1.002 mPa s"),
                p("depth", "length", "depth to fall through", "10 cm", False),
            ), _stokes,
        ),
        Formula(
            "yield-on-cooling", "crystals from a hot solution on cooling",
            (
                _SUBSTANCE, p("mass", "mass", "mass of the substance", "100 g"),
                p("solvent-mass", "mass", "mass of the solvent", "100 g"),
                p("hot", "temperature", "temperature of the hot solution", "80 °C"),
                p("cold", "temperature", "temperature it is cooled to", "20 °C"),
                p("solvent", "substance", "solvent", "NAME", False, "the ordinary solvent"),
            ), _yield,
        ),
    )  # fmt: skip


CALCULATIONS: Mapping[str, Formula] = {formula.name: formula for formula in _formulas()}


def calculate(name: str, arguments: Mapping[str, str], table: Table) -> Calculation:
    """Work out one calculation by its name; `arguments` as written ("84 kPa", a name), by parameter name.

    Raises CalculationError for an unknown calculation, a missing, unknown or unreadable argument, or one outside
    the range in which the calculation holds; UnknownSubstance for a name; NotKnown where the table holds too little.
    """
    formula = CALCULATIONS.get(name)
    if formula is None:
        near = get_close_matches(name, CALCULATIONS, 1)
        raise CalculationError(
            f"{name!r} is no calculation"
            + (f"; did you mean {near[0]}?" if near else "")
            + f" There are: {', '.join(CALCULATIONS)}"
        )
    known = {parameter.name: parameter for parameter in formula.parameters}
    for key in arguments:
        if key not in known:
            near = get_close_matches(key, known, 1)
            raise CalculationError(
                f"{name} takes no {key!r}"
                + (f"; did you mean {near[0]}?" if near else f"; it takes {', '.join(known)}")
            )
    missing = [parameter for parameter in formula.parameters if parameter.required and parameter.name not in arguments]
    if missing:
        wanted = "; ".join(f"{each.name} ({each.meaning}), for example {each.example!r}" for each in missing)
        raise CalculationError(f"{name} still needs {wanted}")
    given = _Given(table)
    for key, text in arguments.items():
        _read(given, known[key], text)
    try:
        found = formula.work(given)
    except OutOfRange as fault:
        raise CalculationError(f"{name}: {fault}") from fault
    known_as = [table.how(source) for source in found.sources]  # no result is better known than what it rests on
    results = tuple(
        replace(one, quantity=replace(one.quantity, how=weakest(one.quantity.how, *known_as))) for one in found.results
    )
    return replace(found, results=results, how=weakest(found.how, *known_as))
