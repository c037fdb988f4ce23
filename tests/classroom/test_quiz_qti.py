"""QTI 3.0 packages: built as the standard says, responses fit their interactions, the key is that of the quiz.

With the variable CHOOSEMETHOD_QTI_SCHEMA naming 1EdTech's imsqti_asiv3p0_v1p0.xsd, and lxml installed, every item and
the test are also validated against that published schema.
"""

from __future__ import annotations

import io
import os
import zipfile
from pathlib import Path

import pytest
from qti_structure import ASI, CP, ITEM, MANIFEST, TEST, check, tags

from choosemethod.classroom.items import Item
from choosemethod.classroom.qti import item_xml, qti_package
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
    manifest = check(package["imsmanifest.xml"], CP, MANIFEST, "manifest")
    test = check(package["test.xml"], ASI, TEST, "qti-assessment-test")
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
    tree = check(raw, ASI, ITEM, "qti-assessment-item")
    assert tree.attrib["identifier"] == item.id
    declared = tags(tree, "qti-response-declaration")
    asked = [one for name in INTERACTIONS for one in tags(tree, name)]
    assert len(declared) == len(asked) == 1
    name = asked[0].tag.partition("}")[2]
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
    outcomes = {one.attrib["identifier"] for one in tags(tree, "qti-outcome-declaration")}
    assert {"SCORE", "MAXSCORE"} <= outcomes
    for used in (*tags(tree, "qti-set-outcome-value"), *tags(tree, "qti-variable")):
        assert used.attrib["identifier"] in {*outcomes, "RESPONSE"}
    for shown in tags(tree, "qti-modal-feedback"):
        assert shown.attrib["outcome-identifier"] in outcomes
    rubric = "".join(tags(tree, "qti-rubric-block")[0].itertext())
    assert all(point.text in rubric for point in item.points)
    assert item.answer in rubric
    return name


def test_every_item_is_built_as_the_standard_says(quiz: Quiz, package: dict[str, bytes]) -> None:
    used = {_check_item(item, package[f"items/{item.id}.xml"]) for item in quiz.items}
    assert used == set(INTERACTIONS)


def test_same_quiz_same_bytes(quiz: Quiz) -> None:
    assert qti_package(quiz) == qti_package(quiz)


def test_the_structure_check_finds_faults(quiz: Quiz) -> None:
    raw = item_xml(next(item for item in quiz.items if item.kind == "choose"))
    for good, bad in (
        (b"qti-item-body", b"itemBody"),
        (b' response-identifier="RESPONSE"', b""),
        (b' time-dependent="false"', b""),
        (ASI.encode(), b"http://www.imsglobal.org/xsd/imsqti_v2p1"),
        (b' cardinality="single"', b' cardinality="one"'),
    ):
        assert good in raw
        with pytest.raises(AssertionError):
            check(raw.replace(good, bad), ASI, ITEM, "qti-assessment-item")


@pytest.mark.skipif("CHOOSEMETHOD_QTI_SCHEMA" not in os.environ, reason="the published schema is not named")
def test_published_schema_accepts_every_document(package: dict[str, bytes]) -> None:
    etree = pytest.importorskip("lxml.etree")
    schema = etree.XMLSchema(etree.parse(str(Path(os.environ["CHOOSEMETHOD_QTI_SCHEMA"]))))
    for name, raw in package.items():
        if name != "imsmanifest.xml":
            assert schema.validate(etree.fromstring(raw)), f"{name}: {schema.error_log}"
