"""The form of a source: its key is named after the author or the body and the year, its title says who and when."""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path

import pytest

from choosemethod.yamltext import read_yaml

SUBSTANCES = Path(__file__).resolve().parents[2] / "substances"
FILES = [SUBSTANCES / "sources.yaml", *sorted((SUBSTANCES / "sources").glob("*.yaml"))]
PUBLISHED = ("paper", "book", "handbook", "standard", "dataset", "web")
KEY = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*\Z")
YEAR = re.compile(r"\b(1[6-9]|20)\d\d\b")


def _rows() -> list[tuple[str, dict[str, str]]]:
    rows = []
    for path in FILES:
        node: object = read_yaml(path)
        assert isinstance(node, dict)
        rows += [(key, dict(row)) for key, row in node.items()]
    return rows


ROWS = _rows()


def faults(key: str, kind: str, title: str) -> list[str]:
    """What is wrong with a source's key and title."""
    found = [] if KEY.match(key) else ["the key is small letters, digits and single hyphens"]
    if kind not in PUBLISHED:
        return found
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode()
    initials = "".join(word[0] for word in re.findall(r"[A-Z]\w*", plain)).lower()
    first = key.split("-")[0]
    if not any(word.startswith(first) for word in re.findall(r"[a-z0-9]+", plain.lower())) and first not in initials:
        found.append("the key begins with the author, the body or the book that the title names")
    if kind == "paper" and not re.search(r"-(1[6-9]|20)\d\d\Z", key):
        found.append("the key of a paper ends with its year")
    year = re.search(r"(1[6-9]|20)\d\d\Z", key)
    if year and year[0] not in title:
        found.append("the year of the key stands in the title")
    if not YEAR.search(title) and "undated" not in title and "as amended" not in title:
        found.append("the title says the year, or that there is none")
    return found


@pytest.mark.parametrize(("key", "row"), ROWS, ids=[key for key, _ in ROWS])
def test_a_source_names_author_and_year(key: str, row: dict[str, str]) -> None:
    assert faults(key, row["kind"], row["title"]) == []


def test_keys_are_unique_over_all_files() -> None:
    keys = [key for key, _ in ROWS]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize(
    ("key", "kind", "title"),
    [
        ("Smith2001", "paper", "Smith, J., On sand, J. Sand 1 (2001) 1"),
        ("smith", "paper", "Smith, J., On sand, J. Sand 1 (2001) 1"),
        ("sandbase-2001", "paper", "Smith, J., On grains, J. Grains 1 (2001) 1"),
        ("smith-2002", "paper", "Smith, J., On sand, J. Sand 1 (2001) 1"),
        ("smith-sand", "book", "Smith, J., On sand, 2nd ed."),
    ],
)
def test_other_forms_are_refused(key: str, kind: str, title: str) -> None:
    assert faults(key, kind, title)
