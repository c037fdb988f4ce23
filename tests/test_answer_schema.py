"""Every answer in JSON is what its JSON Schema says (JSON Schema, draft 2020-12, checked by the library jsonschema)."""

from __future__ import annotations

import json

import pytest
from jsonschema import Draft202012Validator

from choosemethod import advise
from choosemethod.show.answer_schema import PATH, answer_schema

SCHEMA = json.loads(PATH.read_text(encoding="utf-8"))
QUESTIONS = (
    "vegetable oil and water", "acetone and water", "sand, salt and iron filings", "red and blue ink", "bleach and vinegar",
    "brass", "flurbium and water", "liquid A boiling at 56 °C and liquid B boiling at 118 °C, miscible", "mercury and sand",
    "benzoic acid, aniline and naphthalene", "nitrogen and oxygen", "sea water", "iodine and sand without a fume cupboard", "",
)  # fmt: skip


def test_the_schema_kept_beside_the_code_is_what_the_records_say() -> None:
    assert answer_schema() == SCHEMA, "python -m choosemethod.show.answer_schema writes it anew"
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("words", QUESTIONS)
def test_answers_fit_the_schema(words: str) -> None:
    answer = json.loads(json.dumps(advise(words, why_not=["filtration"]).as_dict()))
    faults = [
        f"{list(one.absolute_path)}: {one.message[:150]}" for one in Draft202012Validator(SCHEMA).iter_errors(answer)
    ]
    assert not faults


@pytest.mark.parametrize("level", ["primary", "lower-secondary", "undergraduate"])
def test_answers_for_a_level_fit_the_schema(level: str) -> None:
    answer = json.loads(json.dumps(advise("benzene and toluene", level=level).as_dict()))
    assert not list(Draft202012Validator(SCHEMA).iter_errors(answer))
    assert (answer["bench"], bool(answer["instead"])) == (("nobody", True) if level != "undergraduate" else ("", False))


def test_a_wrong_answer_does_not_fit() -> None:
    answer = json.loads(json.dumps(advise("acetone and water").as_dict()))
    answer["cautions"][0]["harm"] = "boredom"
    del answer["mixture"]["not_used"]
    assert len(list(Draft202012Validator(SCHEMA).iter_errors(answer))) >= 2
