"""A quiz as a QTI 3.0 package (1EdTech Question and Test Interoperability): items, test and manifest in a zip."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
import zipfile

from choosemethod.classroom.items import Item
from choosemethod.classroom.materials import materials
from choosemethod.classroom.quiz import Quiz

__all__ = ["ASI", "CP", "item_xml", "manifest_xml", "qti_package", "test_xml"]

ASI = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
CP = "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1"
XSI = "http://www.w3.org/2001/XMLSchema-instance"
XML = "http://www.w3.org/XML/1998/namespace"
ASI_SCHEMA = "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqti_asiv3p0_v1p0.xsd"
CP_SCHEMA = "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqtiv3p0_imscpv1p2_v1p0.xsd"
# what no XML document can hold (XML 1.0, section 2.2), not even as a reference
_UNFIT = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_LINES = 6  # of an open answer
_MOMENT = (1980, 1, 1, 0, 0, 0)  # the earliest a zip can say: the package must not depend on the clock


def _root(tag: str, namespace: str, schema: str, **attributes: str) -> ET.Element:
    element = ET.Element(tag, {"xmlns": namespace, "xmlns:xsi": XSI, "xsi:schemaLocation": f"{namespace} {schema}"})
    element.attrib.update({name.replace("_", "-"): value for name, value in attributes.items()})
    return element


def _add(parent: ET.Element, tag: str, said: str = "", **attributes: str) -> ET.Element:
    element = ET.SubElement(parent, tag, {name.replace("_", "-"): value for name, value in attributes.items()})
    if said:
        element.text = said
    return element


def _bytes(root: ET.Element) -> bytes:
    ET.indent(root, "  ")
    text: str = _UNFIT.sub("\ufffd", ET.tostring(root, encoding="unicode"))
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()


def _value(parent: ET.Element, said: str) -> None:
    _add(parent, "qti-value", said)


def _declarations(root: ET.Element, item: Item) -> None:
    if item.orders:
        kind, cardinality, values = "identifier", "ordered", list(item.orders[0])
    elif item.choices:
        kind, cardinality, values = "identifier", "single", list(item.key)
    elif item.value is not None:
        kind, cardinality, values = "float", "single", [f"{item.value:g}"]
    else:
        kind, cardinality, values = "string", "single", []
    declared = _add(root, "qti-response-declaration", identifier="RESPONSE", cardinality=cardinality, base_type=kind)
    if values:
        correct = _add(declared, "qti-correct-response")
        for value in values:
            _value(correct, value)
    for name, value in (("SCORE", "0"), ("MAXSCORE", str(_machine_marks(item)))):
        outcome = _add(root, "qti-outcome-declaration", identifier=name, cardinality="single", base_type="float")
        if name == "SCORE" and not _marked(item):
            outcome.set("external-scored", "human")
        _value(_add(outcome, "qti-default-value"), value)
    if _marked(item):
        _add(root, "qti-outcome-declaration", identifier="FEEDBACK", cardinality="single", base_type="identifier")


def _marked(item: Item) -> bool:
    """Whether a machine can mark it; an open answer is for the teacher."""
    return bool(item.choices) or item.value is not None


def _machine_marks(item: Item) -> int:
    """The marks a machine can give: of "spot the mistake" only those for the step, not for what is wrong with it."""
    return item.points[0].marks if item.kind == "mistake" else item.marks


def _body(root: ET.Element, item: Item) -> None:
    body = _add(root, "qti-item-body")
    if item.lines:
        _add(body, "p", item.stem)
        listed = _add(body, "ol")
        for shown in item.lines:
            _add(listed, "li", shown)
    if item.orders:
        asked = _add(body, "qti-order-interaction", response_identifier="RESPONSE", shuffle="false")
    elif item.choices:
        asked = _add(
            body,
            "qti-choice-interaction",
            response_identifier="RESPONSE",
            shuffle="false",
            max_choices="1",
            min_choices="1",
        )
    elif item.value is not None:
        line = _add(body, "p", item.stem + " ")
        entry = _add(line, "qti-text-entry-interaction", response_identifier="RESPONSE", expected_length="10")
        entry.tail = f" {item.unit}" if item.unit else None
    else:
        asked = _add(body, "qti-extended-text-interaction", response_identifier="RESPONSE", expected_lines=str(_LINES))
        _add(asked, "qti-prompt", item.stem)
    if item.choices:
        if not item.lines:
            _add(asked, "qti-prompt", item.stem)
        for choice in item.choices:
            _add(asked, "qti-simple-choice", choice.text, identifier=choice.id)
    rubric = _add(_add(body, "qti-rubric-block", view="scorer", use="scoring"), "qti-content-body")
    points = _add(rubric, "ul")
    for point in item.points:
        _add(points, "li", f"{point.marks}: {point.text}")
    _add(rubric, "p", item.answer)
    if item.sources:
        _add(rubric, "p", "Source: " + "; ".join(title for _, title in item.sources))


def _processing(root: ET.Element, item: Item) -> None:
    if not _marked(item):
        return
    condition = _add(_add(root, "qti-response-processing"), "qti-response-condition")
    right = _add(condition, "qti-response-if")
    if item.value is not None:
        bounds = f"{item.tolerance:g} {item.tolerance:g}"
        test = _add(right, "qti-equal", tolerance_mode="absolute", tolerance=bounds)
        _add(test, "qti-variable", identifier="RESPONSE")
        _add(test, "qti-correct", identifier="RESPONSE")
    elif len(item.orders) > 1:
        any_of = _add(right, "qti-or")
        for order in item.orders:
            test = _add(any_of, "qti-match")
            _add(test, "qti-variable", identifier="RESPONSE")
            ordered = _add(test, "qti-ordered")
            for choice in order:
                _add(ordered, "qti-base-value", choice, base_type="identifier")
    else:
        test = _add(right, "qti-match")
        _add(test, "qti-variable", identifier="RESPONSE")
        _add(test, "qti-correct", identifier="RESPONSE")
    _add(_add(right, "qti-set-outcome-value", identifier="SCORE"), "qti-variable", identifier="MAXSCORE")
    _add(_add(right, "qti-set-outcome-value", identifier="FEEDBACK"), "qti-base-value", "right", base_type="identifier")
    wrong = _add(condition, "qti-response-else")
    _add(_add(wrong, "qti-set-outcome-value", identifier="FEEDBACK"), "qti-base-value", "wrong", base_type="identifier")


def _feedback(root: ET.Element, item: Item) -> None:
    if not _marked(item):
        return
    for name in ("right", "wrong"):
        shown = _add(root, "qti-modal-feedback", outcome_identifier="FEEDBACK", show_hide="show", identifier=name)
        content = _add(shown, "qti-content-body")
        _add(content, "p", item.answer)
        others = [choice for choice in item.choices if choice.reason and not choice.right and item.kind != "mistake"]
        if name == "wrong" and others:
            listed = _add(content, "ul")
            for choice in others:
                _add(listed, "li", f"{choice.id}, {choice.text}: {choice.reason}")


def item_xml(item: Item) -> bytes:
    """One item as a qti-assessment-item document."""
    root = _root(
        "qti-assessment-item",
        ASI,
        ASI_SCHEMA,
        identifier=item.id,
        title=materials().questions[item.kind]["title"],
        adaptive="false",
        time_dependent="false",
    )
    root.set("xml:lang", "en")
    _declarations(root, item)
    _body(root, item)
    _processing(root, item)
    _feedback(root, item)
    return _bytes(root)


def test_xml(quiz: Quiz) -> bytes:
    """The quiz as a qti-assessment-test document that refers to its items."""
    root = _root("qti-assessment-test", ASI, ASI_SCHEMA, identifier=f"quiz-{quiz.seed}", title=quiz.title)
    outcome = _add(root, "qti-outcome-declaration", identifier="TOTAL", cardinality="single", base_type="float")
    _value(_add(outcome, "qti-default-value"), "0")
    part = _add(root, "qti-test-part", identifier="part-1", navigation_mode="nonlinear", submission_mode="individual")
    section = _add(part, "qti-assessment-section", identifier="section-1", title=quiz.title, visible="true")
    for item in quiz.items:
        _add(section, "qti-assessment-item-ref", identifier=item.id, href=f"items/{item.id}.xml")
    total = _add(_add(root, "qti-outcome-processing"), "qti-set-outcome-value", identifier="TOTAL")
    _add(_add(total, "qti-sum"), "qti-test-variables", variable_identifier="SCORE")
    return _bytes(root)


def manifest_xml(quiz: Quiz) -> bytes:
    """The imsmanifest of the package."""
    root = _root("manifest", CP, CP_SCHEMA, identifier=f"package-quiz-{quiz.seed}")
    metadata = _add(root, "metadata")
    _add(metadata, "schema", "QTI Package")
    _add(metadata, "schemaversion", "3.0.0")
    _add(root, "organizations")
    resources = _add(root, "resources")
    test = _add(resources, "resource", identifier="quiz", type="imsqti_test_xmlv3p0", href="test.xml")
    _add(test, "file", href="test.xml")
    for item in quiz.items:
        _add(test, "dependency", identifierref=item.id)
    for item in quiz.items:
        href = f"items/{item.id}.xml"
        _add(_add(resources, "resource", identifier=item.id, type="imsqti_item_xmlv3p0", href=href), "file", href=href)
    return _bytes(root)


def qti_package(quiz: Quiz) -> bytes:
    """The whole package as the bytes of a zip file; the same quiz gives the same bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as package:

        def put(name: str, raw: bytes) -> None:
            entry = zipfile.ZipInfo(name, _MOMENT)
            entry.create_system = 3
            entry.external_attr = 0o644 << 16
            package.writestr(entry, raw)

        put("imsmanifest.xml", manifest_xml(quiz))
        put("test.xml", test_xml(quiz))
        for item in quiz.items:
            put(f"items/{item.id}.xml", item_xml(item))
    return out.getvalue()
