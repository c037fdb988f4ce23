"""Lines of a technique that hold only if no component fits: nobody is told to crush an explosive."""

from __future__ import annotations

import pytest

from choosemethod import advise


def _steps(mixture: str) -> str:
    return " ".join(line for step in advise(mixture).plan for line in (*step.apparatus, *step.steps))


# National Research Council, Prudent Practices in the Laboratory (2011), section 4.D.3: explosives are not ground.
@pytest.mark.parametrize(("mixture", "crushed"), [("salt and sand", True), ("ammonium nitrate and sand", False)])
def test_only_what_cannot_explode_is_crushed(mixture: str, crushed: bool) -> None:
    said = _steps(mixture)
    assert ("pestle" in said) is crushed
    assert ("Crush lumps" in said) is crushed


# The same, section 4.D.1: no burner under a solvent that burns or whose vapour a flame turns into phosgene.
@pytest.mark.parametrize(("mixture", "burner"), [("salt water", True), ("caffeine dissolved in chloroform", False)])
def test_no_burner_under_a_solvent(mixture: str, burner: bool) -> None:
    assert ("gauze and burner" in _steps(mixture)) is burner
