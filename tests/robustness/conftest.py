"""Bounds that every example keeps, and a home of its own for each test."""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path

import pytest

SLOWEST = 2.0  # s of processor time, looked at only where CHOOSEMETHOD_ROBUST is set: a shared machine has no clock
LARGEST = 250  # MB in all; what the program takes before the first question is about 100


def _memory(name: str) -> float:
    """A figure of this process in MB: VmRSS (now) or VmHWM (the most since it was last set back)."""
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith(name + ":"):
            return float(line.split()[1]) / 1024
    return 0.0


@contextmanager
def _bounded() -> Iterator[None]:
    with contextlib.suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5")
    try:
        before = _memory("VmRSS")
    except OSError:  # no such system
        yield
        return
    begun = time.process_time()
    yield
    took, more = time.process_time() - begun, _memory("VmHWM") - before
    if os.environ.get("CHOOSEMETHOD_ROBUST"):
        assert took < SLOWEST, f"{took:.1f} s"
    assert more < LARGEST - 100, f"{more:.0f} MB more"


@pytest.fixture(scope="session")
def bounded() -> Callable[[], AbstractContextManager[None]]:
    """What is done within takes at most so much memory (and time, where all examples are tried on a machine of its own);
    what is loaded or built once is not counted."""
    import CoolProp.CoolProp  # noqa: F401

    from choosemethod import advise

    advise("sand and water")
    return _bounded


@pytest.fixture(scope="session")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A cache folder for all tests, so that what is kept is built once."""
    return tmp_path_factory.mktemp("cache")


@pytest.fixture
def home(tmp_path: Path, kept: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty home; the cache lies elsewhere."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_CACHE_HOME", str(kept))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / ".config"))
    return tmp_path
