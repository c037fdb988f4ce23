"""Marks and settings of the chemistry tests: property tests are few and repeatable, oracles can be left out."""

from __future__ import annotations

import pytest
from hypothesis import settings

settings.register_profile("repeatable", derandomize=True, max_examples=30, deadline=None)
settings.load_profile("repeatable")


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "oracle: compares with an independent library (thermo, chemicals, CoolProp)")
