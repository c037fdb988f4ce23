"""The boiling equilibrium of two liquids of the table, from the best that is known of the pair.

In this order: published parameters of an activity model; a model fitted to the azeotrope; the labelled estimate;
Raoult's law, said so. Liquids that do not mix are refused: they part as layers or come over with steam.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from choosemethod.chemistry.activity import Ideal, Model, VanLaar, fit_to_azeotrope, from_parameters
from choosemethod.chemistry.amounts import mole_fraction
from choosemethod.chemistry.equilibrium import (
    Azeotrope,
    Curve,
    Pair,
    constant_volatility,
    curve_of,
    find_azeotrope,
)
from choosemethod.chemistry.vapour_pressure import STANDARD_PRESSURE, Antoine, law_by_trouton
from choosemethod.errors import ChooseMethodError
from choosemethod.facts import weakest
from choosemethod.quantity import parse_number, show, temperature_or_none
from choosemethod.table import Substance, Table

__all__ = ["Equilibrium", "Law", "NotKnown", "boiling_law", "equilibrium_of"]


class NotKnown(ChooseMethodError):
    """A value the table does not hold, or a state of which nothing is known: the message says which."""

    exit_code = 3


class Law(NamedTuple):
    """The vapour-pressure law of a substance: how it was obtained and the keys of its sources."""

    antoine: Antoine
    how: str
    sources: tuple[str, ...]


class Equilibrium(NamedTuple):
    """Boiling equilibrium of two liquids; mole fractions are of `first`, the one that boils lower by itself.

    pair: None where only a relative volatility is known. basis: what it rests on, in words. how: computed or estimated.
    kind: published (parameters), ideal (close relatives), fitted (to a measured azeotrope), estimated, assumed (ideal).
    """

    first: Substance
    second: Substance
    curve: Curve
    pair: Pair | None
    azeotrope: Azeotrope | None
    basis: str
    how: str
    sources: tuple[str, ...]
    notes: tuple[str, ...]
    kind: str = "assumed"


def boiling_law(substance: Substance) -> Law:
    """The stored constants of a substance, or an estimate from its boiling point; NotKnown if there is neither."""
    stored = substance.vapour_pressure
    if stored is not None:
        return Law(Antoine(stored.a, stored.b, stored.c, stored.low, stored.high), "computed", (stored.source,))
    value = substance.values.get("boiling_point")
    if value is None or value.number is None:
        raise NotKnown(f"the boiling point and vapour pressure of {substance.name} are not known")
    if value.high is not None and value.high - value.number > 10.0:
        ends = f"{show(value.number, 'temperature')} to {show(value.high, 'temperature')}"
        raise NotKnown(f"{substance.name} has no one boiling point: it boils from {ends} at standard pressure")
    middle = value.number if value.high is None else (value.number + value.high) / 2
    return Law(law_by_trouton(middle), "estimated", (value.source,))


def _constants(row: Mapping[str, str]) -> dict[str, float]:
    """Constants of a row of vle-parameters: plain numbers, or numbers in K."""
    found = {}
    for key in ("a12", "a21", "c12", "c21", "alpha"):
        if key in row:
            number = row[key].split()[0]
            found[key] = float(number.replace("−", "-"))
    return found


def _mirrored(model: str, constants: Mapping[str, float], swapped: bool) -> dict[str, float]:
    """Constants for the two liquids in the other order."""
    if not swapped:
        return dict(constants)
    other = {"a12": "a21", "a21": "a12", "c12": "c21", "c21": "c12"}
    return {other.get(key, key): value for key, value in constants.items()}


def _mixing(table: Table, first: Substance, second: Substance) -> tuple[str, str]:
    """Whether two liquids mix (fully, partly, no or "" for not known) and the source of it."""
    row = table.pair("miscibility", first.id, second.id)
    if row is not None:
        return row["mixes"], row.get("source", "")
    for one, other in ((first, second), (second, first)):
        entry = one.solubility.get(other.id)
        if entry is not None and entry.word:
            if entry.word == "miscible":
                return "fully", entry.source
            if entry.word in ("insoluble", "very slightly soluble", "slightly soluble"):
                return "no", entry.source
    row = table.pair("estimates", first.id, second.id)
    if row is not None and row.get("layers"):
        return ("fully" if row["layers"] == "1" else "partly"), row.get("source", "")
    families = table.family(first.id), table.family(second.id)
    return (table.family_mixes(*families) if all(families) else ""), "common-practice"


def _measured(
    row: Mapping[str, str], swapped: bool, first: Substance, second: Substance
) -> tuple[float, float, float] | None:
    """Mole fraction of `first`, temperature (K), pressure (Pa) of a measured azeotrope; None if the row lacks one."""
    masses = first.values.get("molar_mass"), second.values.get("molar_mass")
    at = temperature_or_none(row.get("at", ""))
    if not row.get("first_mass") or at is None or any(mass is None or mass.number is None for mass in masses):
        return None
    share = parse_number(row["first_mass"], "fraction")
    one, two = (mass.number for mass in masses if mass is not None and mass.number is not None)
    pressure = parse_number(row["pressure"], "pressure") if row.get("pressure") else STANDARD_PRESSURE
    return mole_fraction(1.0 - share if swapped else share, one, two), at, pressure


def equilibrium_of(table: Table, one: Substance, other: Substance, pressure: float = STANDARD_PRESSURE) -> Equilibrium:
    """The equilibrium of two different liquids at `pressure` (Pa); the one that boils lower comes first.

    It is known as the least trusted of its sources is. Raises NotKnown if the liquids do not mix, or too little is known
    of them, and OutOfRange if a law does not reach.
    """
    found = _equilibrium_of(table, one, other, pressure)
    return found._replace(how=weakest(found.how, *(table.how(source) for source in found.sources)))


def _equilibrium_of(table: Table, one: Substance, other: Substance, pressure: float) -> Equilibrium:
    if one.id == other.id:
        raise NotKnown(f"{one.name} is named twice: two different liquids are wanted")
    for substance in (one, other):
        if substance.phase != "liquid":
            raise NotKnown(f"{substance.name} is a {substance.phase or 'substance'} at room temperature, not a liquid")
    laws = {substance.id: boiling_law(substance) for substance in (one, other)}
    points = {key: law.antoine.boiling_point(pressure, reach=60.0) for key, law in laws.items()}
    first, second = (one, other) if points[one.id] <= points[other.id] else (other, one)
    low, high = laws[first.id], laws[second.id]
    sources = [*low.sources, *high.sources]
    notes: list[str] = []
    how = "estimated" if "estimated" in (low.how, high.how) else "computed"
    for law, substance in ((low, first), (high, second)):
        if law.how == "estimated":
            notes.append(f"vapour pressure of {substance.name} estimated from its boiling point (Trouton's rule)")
    parameters = table.pair("vle-parameters", first.id, second.id)
    azeotropes = table.pair("azeotropes", first.id, second.id)
    estimate = table.pair("estimates", first.id, second.id)
    mixing, mixing_source = _mixing(table, first, second)
    names = f"{first.name} and {second.name}"
    acids = [
        s.name for s in (first, second) if (v := s.values.get("acid_base")) is not None and "carboxylic acid" in v.words
    ]
    if acids and parameters is None and azeotropes is None:
        raise NotKnown(
            f"{acids[0]} pairs up in its vapour, so that Raoult's law is far off, and nothing measured is known of {names}"
        )
    model: Model
    one_layer = False
    rests_on = "assumed"
    if parameters is not None:
        swapped = parameters["swapped"] == "yes"
        kind = parameters["model"]
        model = from_parameters(kind, _mirrored(kind, _constants(parameters), swapped))
        basis = f"{kind.upper() if kind == 'nrtl' else kind.capitalize()} activity model"
        if parameters.get("estimate"):
            basis += f", {parameters['estimate']} ({parameters['error']})"
        else:
            basis += f" fitted {parameters['fitted']}" if parameters.get("fitted") else " with published parameters"
        if kind == "ideal":
            basis = "Raoult's law, which holds for such close relatives"
        rests_on = "estimated" if parameters.get("estimate") else "ideal" if kind == "ideal" else "published"
        how = "estimated" if parameters.get("estimate") else how
        sources.append(parameters.get("source", ""))
        if mixing in ("partly", "no"):
            notes.append(f"cold, {names} can part into two layers")
    elif mixing == "no" or (azeotropes is not None and azeotropes["kind"] == "heterogeneous"):
        at = f" and boil together at {azeotropes['at']}" if azeotropes is not None and azeotropes.get("at") else ""
        raise NotKnown(f"{names} form two layers{at}: part the layers, or distil with steam; no plates are worked out")
    elif azeotropes is not None and (point := _measured(azeotropes, azeotropes["swapped"] == "yes", first, second)):
        x, at_temperature, at_pressure = point
        pures = (law.antoine.pressure(at_temperature, reach=60.0) for law in (low, high))
        model = fit_to_azeotrope(x, at_pressure, *pures)
        kind = "van Laar" if isinstance(model, VanLaar) else "Margules"
        basis = f"{kind} constants fitted to the measured azeotrope"
        how, one_layer, rests_on = "estimated", True, "fitted"
        sources.append(azeotropes.get("source", ""))
        notes.append("fitted to one measured point: away from the azeotrope the curve is an estimate")
    elif azeotropes is not None:
        lacking = "whose composition is not known" if not azeotropes.get("first_mass") else "that is known only by mass"
        raise NotKnown(f"{names} form a {azeotropes['kind']} azeotrope {lacking}")
    elif mixing == "partly":
        raise NotKnown(f"{names} mix only partly and nothing measured is known of their boiling")
    elif estimate is not None and estimate.get("azeotrope") == "heterogeneous":
        raise NotKnown(f"{names} are estimated to boil as two layers; no plates are worked out")
    elif estimate is not None and estimate.get("azeotrope", "none") != "none" and estimate.get("first_mole"):
        x = float(estimate["first_mole"])
        estimated_at = temperature_or_none(estimate.get("at", ""))
        if estimated_at is None:
            raise NotKnown(f"the azeotrope of {names} is estimated, but not its temperature")
        pures = (law.antoine.pressure(estimated_at, reach=60.0) for law in (low, high))
        model = fit_to_azeotrope(1.0 - x if estimate["swapped"] == "yes" else x, STANDARD_PRESSURE, *pures)
        basis, how = f"fitted to an estimated azeotrope ({estimate.get('estimate', 'estimate')})", "estimated"
        rests_on = "estimated"
        sources.append(estimate.get("source", ""))
        notes.append("an estimate, not a measurement: the azeotrope may lie elsewhere")
    elif estimate is not None and estimate.get("alpha_first_in_equal"):
        alpha = float(estimate["alpha_first_in_equal"])
        alpha = 1.0 / alpha if estimate["swapped"] == "yes" else alpha
        said = f"relative volatility {alpha:.3g} of the equal mixture, {estimate.get('estimate', 'an estimate')}"
        return Equilibrium(
            first, second, constant_volatility(alpha), None, None, f"{said}, taken as constant",
            "estimated", tuple(dict.fromkeys((*sources, estimate.get("source", "")))),
            (*notes, "an estimate, not a measurement"), "estimated",
        )  # fmt: skip
    else:
        known = table.pair("non-azeotropes", first.id, second.id)
        model, how = Ideal(), "estimated"
        if known is not None:
            basis = "Raoult's law, assumed; it is known that there is no azeotrope"
            sources.append(known.get("source", ""))
        elif mixing == "fully":
            basis = "Raoult's law, assumed: nothing measured is known of this pair"
            sources.append(mixing_source)
            notes.append("an azeotrope cannot be excluded")
        else:
            raise NotKnown(f"it is not known whether {names} mix, nor how they boil together")
    if abs(pressure - STANDARD_PRESSURE) > 0.1 * STANDARD_PRESSURE and not isinstance(model, Ideal):
        notes.append(f"the activity model was determined at about 101 kPa and is used at {show(pressure, 'pressure')}")
        how = "estimated"
    pair = Pair(low.antoine, high.antoine, model, pressure, one_layer=one_layer)
    curve = curve_of(pair)
    if curve.beyond > 1.0:
        notes.append(f"vapour-pressure constants used up to {curve.beyond:.0f} K outside their range")
    return Equilibrium(
        first, second, curve, pair, find_azeotrope(pair, curve), basis, how,
        tuple(dict.fromkeys(source for source in sources if source)), tuple(notes), rests_on,
    )  # fmt: skip
