"""QTI 3.0 packages: valid by the standard's schema, responses fit their interactions, the key is that of the quiz.

Every document is validated against a transcription of the part of the published schema that a quiz uses. With the
variable CHOOSEMETHOD_QTI_SCHEMA naming 1EdTech's imsqti_asiv3p0_v1p0.xsd they are also validated against that schema
itself, and the manifest too if imsqtiv3p0_imscpv1p2_v1p0.xsd lies beside it.
"""

from __future__ import annotations

import io
import os
import zipfile
from pathlib import Path

import pytest
from lxml import etree
from qti_schema import ASI, check, faults, tags

from choosemethod.classroom.items import Item
from choosemethod.classroom.qti import qti_package
from choosemethod.classroom.quiz import Quiz, QuizRequest, make_quiz


@pytest.fixture(scope="module")
def quiz() -> Quiz:
    return make_quiz(QuizRequest(level="undergraduate", count=35, seed=7, title='Layers & "boiling" <points>'))


@pytest.fixture(scope="module")
def package(quiz: Quiz) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(qti_package(quiz))) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


def test_package_holds_manifest_test_and_every_item(quiz: Quiz, package: dict[str, bytes]) -> None:
    assert list(package)[:2] == ["imsmanifest.xml", "test.xml"]
    manifest = check(package["imsmanifest.xml"], "manifest")
    test = check(package["test.xml"], "qti-assessment-test")
    resources = tags(manifest, "resource")
    assert [one.attrib["type"] for one in resources] == [
        "imsqti_test_xmlv3p0",
        *["imsqti_item_xmlv3p0"] * len(quiz.items),
    ]
    assert {one.attrib["href"] for one in resources} == set(package) - {"imsmanifest.xml"}
    assert [one.attrib["href"] for one in tags(manifest, "file")] == [one.attrib["href"] for one in resources]
    named = [one.attrib["identifier"] for one in resources]
    assert len(named) == len(set(named))
    assert {one.attrib["identifierref"] for one in tags(manifest, "dependency")} == set(named[1:])
    referred = tags(test, "qti-assessment-item-ref")
    assert [one.attrib["identifier"] for one in referred] == [item.id for item in quiz.items]
    assert all(one.attrib["href"] in package for one in referred)
    assert test.attrib["title"] == quiz.title


INTERACTIONS = {
    "qti-choice-interaction": ("single", "identifier"),
    "qti-order-interaction": ("ordered", "identifier"),
    "qti-text-entry-interaction": ("single", "float"),
    "qti-extended-text-interaction": ("single", "string"),
}


def _check_item(item: Item, raw: bytes) -> str:
    tree = check(raw, "qti-assessment-item")
    assert tree.attrib["identifier"] == item.id
    declared = tags(tree, "qti-response-declaration")
    asked = [one for name in INTERACTIONS for one in tags(tree, name)]
    assert len(declared) == len(asked) == 1
    name = etree.QName(asked[0]).localname
    assert asked[0].attrib["response-identifier"] == declared[0].attrib["identifier"]
    assert (declared[0].attrib["cardinality"], declared[0].attrib["base-type"]) == INTERACTIONS[name]
    values = [one.text for correct in tags(tree, "qti-correct-response") for one in correct]
    choices = {one.attrib["identifier"]: one.text for one in tags(tree, "qti-simple-choice")}
    assert choices == {choice.id: choice.text for choice in item.choices}
    if choices:
        assert values == list(item.key)
        assert set(values) <= set(choices)
    elif item.value is not None:
        assert [float(value or "") for value in values] == [pytest.approx(item.value, rel=1e-5)]
    else:
        assert not values
    if name == "qti-order-interaction":
        assert sorted(str(value) for value in values) == sorted(choices)
        accepted = [tuple(one.text or "" for one in ordered) for ordered in tags(tree, "qti-ordered")]
        assert (tuple(accepted) or (tuple(str(value) for value in values),)) == item.orders
    if name == "qti-choice-interaction":  # the published schema's RULE 2 SPECIFIC CLASS RESPONSEDEC, a Schematron rule
        assert asked[0].attrib["max-choices"] == "1"
    outcomes = {one.attrib["identifier"]: one for one in tags(tree, "qti-outcome-declaration")}
    assert {"SCORE", "MAXSCORE"} <= set(outcomes)
    # Information model, OutcomeDeclaration: external-scored says that a human gives the marks
    by_hand = not tags(tree, "qti-response-processing")
    assert outcomes["SCORE"].attrib.get("external-scored") == ("human" if by_hand else None)
    rubric = "".join(tags(tree, "qti-rubric-block")[0].itertext())
    assert all(point.text in rubric for point in item.points)
    assert item.answer in rubric
    return name


def test_every_item_is_built_as_the_standard_says(quiz: Quiz, package: dict[str, bytes]) -> None:
    used = {_check_item(item, package[f"items/{item.id}.xml"]) for item in quiz.items}
    assert used == set(INTERACTIONS)


def test_same_quiz_same_bytes(quiz: Quiz) -> None:
    assert qti_package(quiz) == qti_package(quiz)


def test_any_title_gives_well_formed_documents() -> None:
    # XML 1.0, section 2.2: these characters stand in no document, not even as references
    made = make_quiz(
        QuizRequest(level="upper-secondary", count=2, seed=3, title="Bell\x07, tab\x0b, half \ud800 & \uffff")
    )
    with zipfile.ZipFile(io.BytesIO(qti_package(made))) as archive:
        assert [faults(archive.read(name)) for name in archive.namelist()] == [[]] * len(archive.namelist())


# what is done to which document, and a word of what the validator must say of it
FAULTS = [
    ("choose", b"qti-item-body>", b"itemBody>", "itemBody"),
    ("choose", ASI.encode(), b"http://www.imsglobal.org/xsd/imsqti_v2p1", "namespace"),
    ("choose", b"</qti-item-body>", b"", "not well-formed"),
    ("choose", b' time-dependent="false"', b"", "'time-dependent' is required"),
    ("choose", b' time-dependent="false"', b' time-dependent="no"', "xs:boolean"),
    ("choose", b' time-dependent="false"', b' time-dependent="false" timeDependent="false"', "'timeDependent' is not"),
    ("choose", b' response-identifier="RESPONSE"', b"", "'response-identifier' is required"),
    ("choose", b' response-identifier="RESPONSE"', b' response-identifier="ANSWER"', "No match found"),
    ("choose", b' cardinality="single"', b' cardinality="one"', "not an element of the set"),
    ("choose", b' base-type="identifier"', b' base-type="Identifier"', "not an element of the set"),
    ("choose", b'<qti-simple-choice identifier="A"', b'<qti-simple-choice identifier="1 A"', "Identifier"),
    ("choose", b'<qti-simple-choice identifier="B"', b'<qti-simple-choice identifier="A"', "Duplicate"),
    ("choose", b' max-choices="1"', b' max-choices="-1"', "nonNegativeInteger"),
    ("choose", b"<qti-item-body>", b"<qti-item-body>Choose.", "Character content"),
    ("choose", b"<qti-prompt>", b"<qti-prompt><script/>", "script"),
    ("choose", b' use="scoring"', b"", "'use' is required"),
    ("choose", b' use="scoring"', b' use="marking"', "RubricUse"),
    ("choose", b' view="scorer"', b' view="teacher"', "View"),
    ("choose", b"<qti-correct-response>", b"<qti-mapping/><qti-correct-response>", "qti-mapping"),
    ("choose", b' show-hide="show"', b"", "'show-hide' is required"),
    ("choose", b' outcome-identifier="FEEDBACK"', b' outcome-identifier="SHOWN"', "No match found"),
    ("choose", b'<qti-correct identifier="RESPONSE" />', b"", "Missing child"),
    ("choose", b"<qti-match>", b'<qti-match><qti-variable identifier="SCORE" />', "not expected"),
    (
        "choose",
        b'<qti-variable identifier="RESPONSE" />',
        b'<qti-variable identifier="RESPONSE">A</qti-variable>',
        "empty",
    ),
    ("compute", b'tolerance-mode="absolute"', b'tolerance-mode="about"', "not an element of the set"),
    ("compute", b' tolerance="', b' tolerance="x ', "xs:double"),
    ("compute", b' expected-length="10"', b' expected-length="ten"', "nonNegativeInteger"),
    ("order", b"<qti-prompt>", b"<p>Think.</p><qti-prompt>", "}p': This element is not expected"),
    ("why-not", b' expected-lines="6"', b' expectedLines="6"', "'expectedLines' is not"),
    ("why-not", b"<ul>", b"<ul><p>1</p>", "not expected"),
    ("test.xml", b' navigation-mode="nonlinear"', b' navigation-mode="free"', "not an element of the set"),
    ("test.xml", b' visible="true"', b"", "'visible' is required"),
    ("test.xml", b"<qti-test-variables ", b"<qti-match /><qti-test-variables ", "qti-match"),
    ("test.xml", b" xmlns:xsi=", b' xml:lang="en" xmlns:xsi=', "lang"),
    ("imsmanifest.xml", b"3.0.0", b"3.0", "not an element of the set"),
    ("imsmanifest.xml", b"  <organizations />\n", b"", "organizations"),
    ("imsmanifest.xml", b'"imsqti_item_xmlv3p0"', b'"imsqti_item_xmlv2p2"', "not an element of the set"),
    ("imsmanifest.xml", b'<resource identifier="quiz"', b'<resource identifier="quiz one"', "xs:ID"),
    ("imsmanifest.xml", b'<dependency identifierref="', b'<dependency identifierref="no-', "No match found"),
]


@pytest.mark.parametrize("where, good, bad, says", FAULTS)
def test_the_schema_finds_faults(
    quiz: Quiz, package: dict[str, bytes], where: str, good: bytes, bad: bytes, says: str
) -> None:
    named = [f"items/{item.id}.xml" for item in quiz.items if item.kind == where]
    raw = package[named[0] if named else where]
    assert good in raw
    assert faults(raw) == []
    found = faults(raw.replace(good, bad, 1))
    assert any(says in fault for fault in found), found


def test_the_schema_finds_elements_in_the_wrong_order(quiz: Quiz, package: dict[str, bytes]) -> None:
    for item in quiz.items[:7]:
        tree = etree.fromstring(package[f"items/{item.id}.xml"])
        for child in list(tree)[:-1]:
            following = child.getnext()
            if following.tag == child.tag:
                continue
            following.addnext(child)
            assert any("not expected" in fault for fault in faults(etree.tostring(tree)))
            following.addprevious(child)
        assert faults(etree.tostring(tree)) == []


@pytest.mark.skipif("CHOOSEMETHOD_QTI_SCHEMA" not in os.environ, reason="the published schema is not named")
def test_published_schema_accepts_every_document(package: dict[str, bytes]) -> None:
    items = Path(os.environ["CHOOSEMETHOD_QTI_SCHEMA"])
    manifest = items.with_name("imsqtiv3p0_imscpv1p2_v1p0.xsd")
    for name, raw in package.items():
        if name != "imsmanifest.xml":
            assert faults(raw, items) == [], name
        elif manifest.exists():
            assert faults(raw, manifest) == [], name
