"""Roles swapped: the technique is right, but what stays, passes, sublimes or comes first is not.

Which is which is common practice, no source; densities, boiling points and solubilities are those of the CRC Handbook.
"""

from __future__ import annotations

import pytest

from choosemethod.classroom.worksheet import Asked, Checker

CHECKER = Checker()


@pytest.mark.parametrize(
    ("mixture", "right", "swapped"),
    [
        (
            "sand and salt",
            "dissolve, filter to remove the sand, evaporate to get the salt",
            "dissolve, filter to remove the salt, evaporate to get the sand",
        ),
        ("iron filings and sand", "Use a magnet to pick up the iron", "Use a magnet to pick up the sand"),
        ("iodine and sand", "sublime the iodine", "sublime the sand"),
        (
            "oil and water",
            "separating funnel; the water is run off first from the bottom",
            "separating funnel; the oil is run off first from the bottom",
        ),
        (
            "hexane and heptane",
            "fractional distillation: hexane comes over first",
            "fractional distillation: heptane comes over first",
        ),
        ("salt water", "evaporate the water", "evaporate the salt"),
        ("wheat and chaff", "winnowing: the wind carries the chaff away", "winnowing: the wind carries the wheat away"),
        (
            "sand and water",
            "filtration. The sand stays on the filter paper.",
            "filtration. The water stays on the filter paper.",
        ),
    ],
)
def test_a_swapped_role_does_not_pass(mixture: str, right: str, swapped: str) -> None:
    assert CHECKER.check(Asked(mixture, right)).verdict in ("right", "acceptable")
    found = CHECKER.check(Asked(mixture, swapped))
    assert found.verdict in ("wrong", "incomplete")
    assert any(claim.verdict == "false" for claim in found.claims)


@pytest.mark.parametrize(
    ("mixture", "statement", "expected"),
    [
        ("sand and gravel", "Both are insoluble in water.", "true"),
        ("iron filings and sulfur", "Both are magnetic.", "false"),
        ("iron filings and sulfur", "Only iron is magnetic.", "true"),
        ("sand and salt", "Neither dissolves in water.", "false"),
        ("hexane and heptane", "Hexane boils at 69 °C and heptane at 98 °C.", "true"),
        ("hexane and heptane", "Hexane boils at 342 K.", "true"),
        ("hexane and heptane", "Hexane boils at 69 K.", "false"),
        ("acetone and water", "The boiling points are 44 degrees apart.", "true"),
        ("mercury and water", "Mercury's density is 13 600 kg/m3.", "true"),
        ("acetone and water", "frobnicol boils at 30 °C", "not known"),
    ],
)
def test_one_grammar_reads_claims(mixture: str, statement: str, expected: str) -> None:
    found = {claim.verdict for claim in CHECKER.check(Asked(mixture, "x", statement)).claims}
    assert found == {expected}
