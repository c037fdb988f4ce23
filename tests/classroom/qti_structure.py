"""The structure of the QTI 3.0 elements a quiz uses, to check documents by when the published schema is not at hand.

Source: 1EdTech, Question and Test Interoperability 3.0, Assessment, Section and Item information model and XML binding
(final release 1 May 2022), and the example packages published with it. For each element: required attributes, further
allowed ones, and the children allowed, in the order they must have where `ordered`.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass

ASI = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
CP = "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1"
XSI = "{http://www.w3.org/2001/XMLSchema-instance}"
XML = "{http://www.w3.org/XML/1998/namespace}"
NCNAME = re.compile(r"[A-Za-z_][\w.\-]*\Z")
BASE_TYPES = {
    "boolean",
    "directedPair",
    "duration",
    "file",
    "float",
    "identifier",
    "integer",
    "pair",
    "point",
    "string",
    "uri",
}
CARDINALITIES = {"multiple", "ordered", "record", "single"}
BLOCKS = (
    "p",
    "ol",
    "ul",
    "qti-choice-interaction",
    "qti-order-interaction",
    "qti-extended-text-interaction",
    "qti-rubric-block",
)
EXPRESSIONS = (
    "qti-match",
    "qti-equal",
    "qti-or",
    "qti-variable",
    "qti-correct",
    "qti-base-value",
    "qti-ordered",
    "qti-sum",
    "qti-test-variables",
)


@dataclass(frozen=True)
class Element:
    required: tuple[str, ...] = ()
    allowed: tuple[str, ...] = ()
    children: tuple[str, ...] = ()
    ordered: bool = False
    text: bool = False


ITEM: dict[str, Element] = {
    "qti-assessment-item": Element(
        ("identifier", "title", "time-dependent"),
        ("adaptive", "label", "tool-name", "tool-version", XML + "lang", XSI + "schemaLocation"),
        (
            "qti-context-declaration",
            "qti-response-declaration",
            "qti-outcome-declaration",
            "qti-template-declaration",
            "qti-template-processing",
            "qti-assessment-stimulus-ref",
            "qti-companion-materials-info",
            "qti-stylesheet",
            "qti-item-body",
            "qti-catalog-info",
            "qti-response-processing",
            "qti-modal-feedback",
        ),
        True,
    ),
    "qti-response-declaration": Element(
        ("identifier", "cardinality"),
        ("base-type",),
        ("qti-default-value", "qti-correct-response", "qti-mapping", "qti-area-mapping"),
        True,
    ),
    "qti-outcome-declaration": Element(
        ("identifier", "cardinality"),
        ("base-type", "view", "normal-maximum", "normal-minimum"),
        ("qti-default-value",),
    ),
    "qti-correct-response": Element((), ("interpretation",), ("qti-value",)),
    "qti-default-value": Element((), ("interpretation",), ("qti-value",)),
    "qti-value": Element((), ("field-identifier", "base-type"), (), text=True),
    "qti-item-body": Element((), ("id", "class"), BLOCKS),
    "p": Element((), ("id", "class"), ("qti-text-entry-interaction",), text=True),
    "ol": Element((), ("id", "class"), ("li",)),
    "ul": Element((), ("id", "class"), ("li",)),
    "li": Element((), ("id", "class"), (), text=True),
    "qti-choice-interaction": Element(
        ("response-identifier",),
        ("shuffle", "max-choices", "min-choices", "orientation"),
        ("qti-prompt", "qti-simple-choice"),
        True,
    ),
    "qti-order-interaction": Element(
        ("response-identifier",),
        ("shuffle", "max-choices", "min-choices", "orientation"),
        ("qti-prompt", "qti-simple-choice"),
        True,
    ),
    "qti-text-entry-interaction": Element(
        ("response-identifier",),
        ("base", "string-identifier", "expected-length", "pattern-mask", "placeholder-text", "format"),
    ),
    "qti-extended-text-interaction": Element(
        ("response-identifier",),
        (
            "base",
            "string-identifier",
            "expected-length",
            "expected-lines",
            "pattern-mask",
            "placeholder-text",
            "format",
            "max-strings",
            "min-strings",
        ),
        ("qti-prompt",),
    ),
    "qti-prompt": Element((), ("id", "class"), (), text=True),
    "qti-simple-choice": Element(("identifier",), ("fixed", "template-identifier", "show-hide"), ("p",), text=True),
    "qti-rubric-block": Element(("use", "view"), (), ("qti-content-body",)),
    "qti-content-body": Element((), (), ("p", "ul", "ol")),
    "qti-response-processing": Element((), ("template", "template-location"), ("qti-response-condition",)),
    "qti-response-condition": Element((), (), ("qti-response-if", "qti-response-else-if", "qti-response-else"), True),
    "qti-response-if": Element((), (), (*EXPRESSIONS, "qti-set-outcome-value")),
    "qti-response-else": Element((), (), ("qti-set-outcome-value",)),
    "qti-set-outcome-value": Element(("identifier",), (), EXPRESSIONS),
    "qti-match": Element((), (), EXPRESSIONS),
    "qti-or": Element((), (), EXPRESSIONS),
    "qti-ordered": Element((), (), EXPRESSIONS),
    "qti-sum": Element((), (), EXPRESSIONS),
    "qti-equal": Element(("tolerance-mode",), ("tolerance", "include-lower-bound", "include-upper-bound"), EXPRESSIONS),
    "qti-variable": Element(("identifier",), ("weight-identifier",)),
    "qti-correct": Element(("identifier",)),
    "qti-base-value": Element(("base-type",), (), (), text=True),
    "qti-modal-feedback": Element(("outcome-identifier", "identifier", "show-hide"), ("title",), ("qti-content-body",)),
    "qti-test-variables": Element(("variable-identifier",), ("base-type", "section-identifier", "weight-identifier")),
}
TEST: dict[str, Element] = {
    "qti-assessment-test": Element(
        ("identifier", "title"),
        ("tool-name", "tool-version", XML + "lang", XSI + "schemaLocation"),
        (
            "qti-context-declaration",
            "qti-outcome-declaration",
            "qti-time-limits",
            "qti-stylesheet",
            "qti-rubric-block",
            "qti-test-part",
            "qti-outcome-processing",
            "qti-test-feedback",
        ),
        True,
    ),
    "qti-test-part": Element(
        ("identifier", "navigation-mode", "submission-mode"),
        ("title",),
        ("qti-assessment-section",),
    ),
    "qti-assessment-section": Element(
        ("identifier", "title", "visible"),
        ("required", "fixed", "keep-together"),
        ("qti-assessment-item-ref",),
    ),
    "qti-assessment-item-ref": Element(("identifier", "href"), ("required", "fixed", "category")),
    "qti-outcome-processing": Element((), (), ("qti-set-outcome-value",)),
    **ITEM,
}
MANIFEST: dict[str, Element] = {
    "manifest": Element(
        ("identifier",),
        (XSI + "schemaLocation",),
        ("metadata", "organizations", "resources"),
        True,
    ),
    "metadata": Element((), (), ("schema", "schemaversion"), True),
    "schema": Element(text=True),
    "schemaversion": Element(text=True),
    "organizations": Element(),
    "resources": Element((), (), ("resource",)),
    "resource": Element(("identifier", "type"), ("href",), ("metadata", "file", "dependency"), True),
    "file": Element(("href",)),
    "dependency": Element(("identifierref",)),
}


def check(raw: bytes, namespace: str, known: dict[str, Element], root: str) -> ET.Element:
    """Assert that a document is well-formed and built as the table says; its root element."""
    tree = ET.fromstring(raw)
    assert tree.tag == f"{{{namespace}}}{root}", tree.tag
    for element in tree.iter():
        space, _, name = element.tag[1:].partition("}")
        assert space == namespace, element.tag
        assert name in known, name
        rule = known[name]
        for attribute in rule.required:
            assert attribute in element.attrib, f"{name} lacks {attribute}"
        for attribute in element.attrib:
            assert attribute in (*rule.required, *rule.allowed), f"{name} cannot have {attribute}"
        for attribute in (
            "identifier",
            "response-identifier",
            "outcome-identifier",
            "identifierref",
            "variable-identifier",
        ):
            if attribute in element.attrib:
                assert NCNAME.match(element.attrib[attribute]), element.attrib[attribute]
        for attribute in ("shuffle", "adaptive", "time-dependent", "visible"):
            assert element.attrib.get(attribute, "true") in ("true", "false")
        assert element.attrib.get("base-type", "float") in BASE_TYPES
        assert element.attrib.get("cardinality", "single") in CARDINALITIES
        children = [child.tag.partition("}")[2] for child in element]
        for child in children:
            assert child in rule.children, f"{child} cannot stand in {name}"
        if rule.ordered:
            places = [rule.children.index(child) for child in children]
            assert places == sorted(places), f"{name}: {children} stand in the wrong order"
        if not rule.text:
            assert not (element.text or "").strip(), f"text stands in {name}"
    return tree


def tags(tree: ET.Element, name: str) -> list[ET.Element]:
    """Every element of a local name."""
    return [element for element in tree.iter() if element.tag.partition("}")[2] == name]
