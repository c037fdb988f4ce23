"""Published constants of a few liquids, for the tests: Antoine (log10 p/Pa, K) and activity models.

Antoine: B. E. Poling, J. M. Prausnitz, J. P. O'Connell, The Properties of Gases and Liquids, 5th ed., appendix A; water
and benzene fitted to their reference equations of state. NRTL and Wilson: DECHEMA Vapor-Liquid Equilibrium Data
Collection at 101.325 kPa, as published with ChemSep (H. Kooijman, R. Taylor, 2008); ethanol and water fitted to the
measurements of Perry's Chemical Engineers' Handbook, 8th ed., table 13-1, and the azeotrope of the CRC Handbook.
"""

from __future__ import annotations

from choosemethod.chemistry.activity import NRTL, Ideal, Model, Wilson
from choosemethod.chemistry.equilibrium import Pair
from choosemethod.chemistry.vapour_pressure import Antoine

LAWS = {
    "water": Antoine(10.168875, 1715.7769, -40.8128, 280.15, 393.35),
    "methanol": Antoine(10.20277, 1580.08, -33.65, 262.55, 356.05),
    "ethanol": Antoine(10.33675, 1648.22, -42.232, 276.55, 369.55),
    "acetone": Antoine(9.2184, 1197.01, -45.09, 247.35, 350.65),
    "benzene": Antoine(9.02804, 1209.36, -52.559, 278.65, 377.05),
    "toluene": Antoine(9.05043, 1327.62, -55.525, 286.45, 409.65),
    "hexane": Antoine(9.00139, 1170.875, -48.833, 254.25, 365.25),
    "heptane": Antoine(9.02023, 1263.909, -56.718, 277.75, 396.55),
    "ethyl-acetate": Antoine(9.13361, 1195.13, -60.68, 265.55, 372.55),
    "chloroform": Antoine(8.96288, 1106.904, -54.598, 250.15, 356.85),
}
# First, second (the lower boiling comes first) and the model.
MODELS: dict[tuple[str, str], Model] = {
    ("acetone", "water"): Wilson(-1.4078, -221.24, 1.4078, -707.27),
    ("methanol", "ethanol"): NRTL(-165.06, 189.34, 0.3057),
    ("methanol", "water"): NRTL(-95.13, 398.95, 0.2999),
    ("ethanol", "water"): NRTL(95.88, 544.32, 0.5253),
    ("benzene", "toluene"): NRTL(30.29, -25.71, 0.3019),
    ("hexane", "heptane"): Ideal(),
    ("ethyl-acetate", "ethanol"): NRTL(153.79, 166.32, 0.2988),
    ("methanol", "toluene"): NRTL(472.89, 548.98, 0.4643),
    ("acetone", "chloroform"): NRTL(-327.69, 151.89, 0.3054),
    ("chloroform", "methanol"): NRTL(711.69, -71.36, 0.2949),
}
STANDARD = 101_325.0


def pair(first: str, second: str, pressure: float = STANDARD) -> Pair:
    """The pair of two of these liquids."""
    return Pair(LAWS[first], LAWS[second], MODELS[first, second], pressure)
