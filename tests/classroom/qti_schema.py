"""Validates the documents of a QTI 3.0 package against XML Schemas of the part of the standard that a quiz uses.

The schemas beside this file are our own transcriptions of 1EdTech's published ones, strict subsets of them; each says
its source. See DEVELOPERS.md for checking against the published schemas themselves.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from lxml import etree

ASI = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
CP = "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1"
_HERE = Path(__file__).resolve().parent
_SCHEMAS = {ASI: _HERE / "qti_items_subset.xsd", CP: _HERE / "qti_package_subset.xsd"}


@cache
def schema(path: Path) -> Any:
    """An XML Schema, read once."""
    return etree.XMLSchema(etree.parse(str(path)))


def faults(raw: bytes, path: Path | None = None) -> list[str]:
    """What is wrong with a document, a line each, by the schema of its namespace or the one at path; none if valid."""
    try:
        root = etree.fromstring(raw)
    except etree.XMLSyntaxError as error:
        return [f"not well-formed: {error}"]
    used = path or _SCHEMAS.get(etree.QName(root).namespace or "")
    if used is None:
        return [f"{root.tag}: a namespace that QTI 3.0 does not have"]
    checked = schema(used)
    return [] if checked.validate(root) else [f"line {one.line}: {one.message}" for one in checked.error_log]


def check(raw: bytes, root: str) -> Any:
    """Assert that a document is valid and has this root element; that element."""
    assert faults(raw) == []
    tree = etree.fromstring(raw)
    assert etree.QName(tree).localname == root, tree.tag
    return tree


def tags(tree: Any, name: str) -> list[Any]:
    """Every element of a local name."""
    return [element for element in tree.iter() if etree.QName(element).localname == name]
