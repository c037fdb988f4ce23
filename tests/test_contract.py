"""What the parts of the program hand to one another is frozen, and every field of it is documented where it is defined."""

from __future__ import annotations

import ast
import inspect
import re

import pytest

from choosemethod import mixture

SOURCE = inspect.getsource(mixture)
CLASSES = [node for node in ast.parse(SOURCE).body if isinstance(node, ast.ClassDef)]


@pytest.mark.parametrize("part", CLASSES, ids=lambda part: part.name)
def test_every_field_is_documented(part: ast.ClassDef) -> None:
    said = ast.get_docstring(part) or ""
    for field in [node for node in part.body if isinstance(node, ast.AnnAssign)]:
        assert isinstance(field.target, ast.Name)
        beside = SOURCE.splitlines()[(field.end_lineno or field.lineno) - 1].partition("#")[2]
        assert beside or re.search(rf"\b{field.target.id}\b", said), f"{part.name}.{field.target.id}"


@pytest.mark.parametrize("part", CLASSES, ids=lambda part: part.name)
def test_what_is_handed_over_is_frozen(part: ast.ClassDef) -> None:
    kind = ast.unparse(part.bases[0]) if part.bases else ""
    frozen = any("frozen=True" in ast.unparse(decorator) for decorator in part.decorator_list)
    assert frozen or kind == "NamedTuple" or issubclass(getattr(mixture, part.name), Exception)
