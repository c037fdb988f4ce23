"""Where data, the user's files and the cache are looked for."""

from __future__ import annotations

from pathlib import Path

import pytest

from choosemethod import places


def test_the_data_beside_the_package_and_inside_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "choosemethod"
    package.mkdir()
    monkeypatch.setattr(places, "PACKAGE", package)
    assert places.rules_folder() == tmp_path / "rules"
    assert places.substances_folder() == tmp_path / "substances"
    (package / "_data" / "rules").mkdir(parents=True)
    (package / "_data" / "substances").mkdir(parents=True)
    assert places.rules_folder() == package / "_data" / "rules"
    assert places.substances_folder() == package / "_data" / "substances"


def test_this_installation_has_its_data() -> None:
    assert (places.substances_folder() / "properties.yaml").is_file()
    assert places.rules_folder().is_dir()


def test_the_xdg_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # XDG Base Directory Specification 0.8: defaults, and relative paths are to be ignored.
    monkeypatch.setenv("HOME", str(tmp_path))
    for variable in ("XDG_CONFIG_HOME", "XDG_CACHE_HOME"):
        monkeypatch.delenv(variable)
    assert places.user_folder() == tmp_path / ".config" / "choosemethod"
    assert places.cache_folder() == tmp_path / ".cache" / "choosemethod"
    monkeypatch.setenv("XDG_CONFIG_HOME", "relative")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "elsewhere"))
    assert places.user_folder() == tmp_path / ".config" / "choosemethod"
    assert places.cache_folder() == tmp_path / "elsewhere" / "choosemethod"


def test_no_user_folder_is_no_error() -> None:
    assert places.user_files() == ()
