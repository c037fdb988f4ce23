"""The rules of separation: their language, their checks, and the engine that fires them."""

from __future__ import annotations

import os
from pathlib import Path

from choosemethod.places import rules_folder, substances_folder
from choosemethod.rulebook.book import Rulebook
from choosemethod.table.table import Table

__all__ = ["Rulebook", "open_rulebook", "rulebook_in_use"]

_IN_USE: dict[Path, Rulebook] = {}  # by folder: the one opened last

_CODE = (
    "data/compound.py",
    "data/reading.py",
    "data/scalar.py",
    "facts.py",
    "quantity.py",
    "yamltext.py",
    "laboratory.py",
    "load_laboratory.py",
    "rulebook/book.py",
    "rulebook/conditions.py",
    "rulebook/gather.py",
    "rulebook/language.py",
    "rulebook/load.py",
    "rulebook/load_practice.py",
    "rulebook/load_technique.py",
    "rulebook/technique.py",
    "table/schema.py",
)


def open_rulebook(table: Table, folder: Path | None = None) -> Rulebook:
    """All rules, techniques and limits of a folder of the form of rules/ (the installed one if none is given).

    Raises DataError, naming file and line, if a file is faulty.
    """
    from choosemethod.cache import stored

    where = folder or rules_folder()
    substances = substances_folder()
    files: list[str] = []
    for top, folders, names in os.walk(where):
        folders.sort()
        if os.path.basename(top) != "reading":
            files += [os.path.join(top, name) for name in names if name.endswith(".yaml")]
    code = [os.path.join(os.path.dirname(os.path.dirname(__file__)), name) for name in _CODE]
    watched = [Path(path) for path in [*sorted(files), str(substances / "properties.yaml"), *code]]

    def named(text: str) -> str:
        return text if table.name(text) is not None else ""

    def build() -> dict[str, object]:
        from choosemethod.rulebook.gather import gather

        return gather(where, substances, set(table.source_keys()), named)

    book = _IN_USE[where] = stored("rules", watched, build, make=Rulebook)
    return book


def rulebook_in_use(table: Table) -> Rulebook:
    """The installed rulebook as it was opened last in this process; opened now if it was not."""
    book = _IN_USE.get(rules_folder())
    return open_rulebook(table) if book is None else book
