"""Entry point of the program: watches for signals before anything that takes time is loaded."""

from __future__ import annotations

from choosemethod.ending import watch_signals

__all__ = ["run"]


def run() -> None:
    """Do what the command line says and end the process."""
    watch_signals()
    from choosemethod.cli import run as whole

    whole()
