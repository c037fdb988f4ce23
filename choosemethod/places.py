"""Where the data folders, the user's own table files and the cache are."""

from __future__ import annotations

import os
import stat
from collections.abc import Sequence
from pathlib import Path

__all__ = ["cache_folder", "name_files", "rules_folder", "substances_folder", "user_files", "user_folder", "users_own"]

PACKAGE = Path(__file__).resolve().parent


def _data_folder(name: str) -> Path:
    """A wheel carries the data inside the package; in a checkout, an sdist or an editable install it lies beside it."""
    inside = PACKAGE / "_data" / name
    return inside if inside.is_dir() else PACKAGE.parent / name


def rules_folder() -> Path:
    """Folder of the rule files."""
    return _data_folder("rules")


def substances_folder() -> Path:
    """Folder of the substance files."""
    return _data_folder("substances")


def _home_folder(variable: str, usual: str) -> Path | None:
    """Folder named by an XDG variable (which must be absolute to count) or its usual place; None without a home."""
    named = os.environ.get(variable, "")
    if named and os.path.isabs(named):
        return Path(named)
    home = os.path.expanduser("~")
    return Path(home, usual) if os.path.isabs(home) else None


def user_folder() -> Path | None:
    """The user's own folder, $XDG_CONFIG_HOME/choosemethod or ~/.config/choosemethod; None if there is no home."""
    base = _home_folder("XDG_CONFIG_HOME", ".config")
    return None if base is None else base / "choosemethod"


_named: list[Path] = []  # table files named on the command line


def name_files(files: Sequence[str]) -> None:
    """From now on these table files count as the user's own, after those of the user's folder."""
    _named[:] = [Path(name) for name in files]


def user_files() -> tuple[Path, ...]:
    """The user's own table files, *.yaml of the user's folder in order of name, then those named; may be empty."""
    folder = user_folder()
    if folder is None:
        return tuple(_named)
    try:
        return (*(Path(folder, name) for name in sorted(os.listdir(folder)) if name.endswith(".yaml")), *_named)
    except OSError:
        return tuple(_named)


def cache_folder() -> Path | None:
    """A folder that the user alone can write, made if needed; None if there is no such place.

    $XDG_CACHE_HOME/choosemethod or ~/.cache/choosemethod; else a folder of the user's own in the temporary folder. One
    that is a link, belongs to somebody else or can be written by others is left alone: what lies there is not to be
    trusted, and nothing of it may be deleted.
    """
    base = _home_folder("XDG_CACHE_HOME", ".cache")
    if base is not None and _usable(base / "choosemethod"):
        return base / "choosemethod"
    import tempfile  # costs several milliseconds that the usual case need not pay

    owner = str(os.geteuid()) if hasattr(os, "geteuid") else os.environ.get("USERNAME", "user")
    try:
        folder = Path(tempfile.gettempdir()) / f"choosemethod-{owner}"
    except OSError:  # no temporary folder can be written
        return None
    return folder if _usable(folder) else None


def users_own(found: os.stat_result) -> bool:
    """Whether a file or folder, by what `lstat` or `fstat` says of it, is the user's and nobody else can write it."""
    if not hasattr(os, "geteuid"):  # no owners and no such permissions here
        return True
    return found.st_uid == os.geteuid() and not found.st_mode & 0o022


def _usable(folder: Path) -> bool:
    try:
        found = os.lstat(folder)
    except OSError:
        try:
            os.makedirs(folder, mode=0o700, exist_ok=True)
            found = os.lstat(folder)
        except (OSError, ValueError):
            return False
    return stat.S_ISDIR(found.st_mode) and users_own(found) and os.access(folder, os.W_OK | os.X_OK)
