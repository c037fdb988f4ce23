"""Quiz questions: the key holds when worked out again, no wrong choice is acceptable, and a seed fixes them all."""

from __future__ import annotations

import pytest
from quiz_rerun import check_item

from choosemethod.classroom.items import KINDS
from choosemethod.classroom.levels import Level
from choosemethod.classroom.materials import materials
from choosemethod.classroom.quiz import QuizRequest, UnknownMixture, make_quiz
from choosemethod.classroom.truth import truth_of
from choosemethod.errors import UsageError
from choosemethod.mixture import LEVELS

# The technique (the first of several steps) that textbooks give for these mixtures: common practice, no source.
TEXTBOOK = {
    "iron filings and sand": {"magnetic-separation"},
    "sand and gravel": {"sieving"},
    "flour and dried peas": {"sieving"},
    "wheat and husk": {"winnowing"},
    "iron filings and sulfur powder": {"magnetic-separation"},
    "iodine and sand": {"sublimation"},
    "ammonium chloride and sodium chloride": {"sublimation"},
    "sand and water": {"filtration", "decantation"},
    "chalk powder and water": {"filtration"},
    "tea leaves and water": {"filtration"},
    "sand and salt": {"dissolving"},
    "sand, salt and iron filings": {"magnetic-separation"},
    "oil and water": {"separating-funnel"},
    "hexane and water": {"separating-funnel"},
    "dichloromethane and water": {"separating-funnel"},
    "ethanol and water": {"fractional-distillation"},
    "methanol and ethanol": {"fractional-distillation"},
    "acetone and water": {"simple-distillation", "fractional-distillation"},
    "black ink": {"paper-chromatography"},
    "carbon dioxide and nitrogen": {"gas-absorption"},
    "impure aspirin": {"recrystallisation"},
    "benzoic acid and naphthalene": {"acid-base-extraction"},
}
# The same with something wanted: (mixture, what is wanted).
WANTED = {
    ("salt water", "salt"): {"evaporation", "crystallisation"},
    ("salt water", "water"): {"simple-distillation"},
    ("sea water", "water"): {"simple-distillation"},
    ("copper sulfate solution", "copper sulfate"): {"crystallisation"},
}


@pytest.mark.parametrize(("mixture", "answers"), TEXTBOOK.items())
def test_key_is_the_textbook_answer(mixture: str, answers: set[str]) -> None:
    assert truth_of(mixture).slugs()[0] in answers


@pytest.mark.parametrize(("asked", "answers"), WANTED.items())
def test_key_for_what_is_wanted(asked: tuple[str, str], answers: set[str]) -> None:
    assert truth_of(asked[0], (asked[1],)).slugs()[0] in answers


# Right or acceptable besides the best by common practice, no source: never to be offered as wrong.
NEVER_WRONG = [
    ("sand and water", "", {"filtration", "decantation", "sedimentation", "centrifugation", "vacuum-filtration"}),
    ("salt water", "salt", {"evaporation", "crystallisation"}),
    ("ethanol and water", "", {"simple-distillation", "fractional-distillation"}),
    ("oil and water", "", {"decantation", "separating-funnel"}),
    ("black ink", "", {"thin-layer-chromatography", "paper-chromatography"}),
    ("iodine and sand", "", {"dissolving", "sublimation"}),
    ("sand and gravel", "", {"sieving", "hand-picking"}),
    ("hexane and heptane", "", {"simple-distillation", "fractional-distillation"}),
]


@pytest.mark.parametrize(("mixture", "want", "acceptable"), NEVER_WRONG)
def test_acceptable_techniques_are_not_called_wrong(mixture: str, want: str, acceptable: set[str]) -> None:
    truth = truth_of(mixture, (want,) if want else ())
    assert not acceptable.intersection(truth.wrong())
    assert len(truth.wrong()) >= 5


@pytest.mark.parametrize("level", LEVELS)
def test_keys_hold_when_worked_out_again(level: str) -> None:
    quiz = make_quiz(QuizRequest(level=level, count=28, seed=11))
    assert len(quiz.items) == 28
    for item in quiz.items:
        check_item(item)
        assert item.sources, item.id
    assert len({item.id for item in quiz.items}) == 28
    assert {item.kind for item in quiz.items} == set(materials().levels[level]["kinds"])


def test_same_seed_same_questions_and_another_seed_others() -> None:
    first = make_quiz(QuizRequest(level="upper-secondary", count=12, seed=5))
    again = make_quiz(QuizRequest(level="upper-secondary", count=12, seed=5))
    other = make_quiz(QuizRequest(level="upper-secondary", count=12, seed=6))
    assert first.items == again.items
    assert {item.id for item in first.items} != {item.id for item in other.items}


def test_decision_is_the_same_at_every_level() -> None:
    keys: dict[tuple[str, tuple[str, ...]], set[str]] = {}
    for level in LEVELS:
        for item in make_quiz(
            QuizRequest(topics=("dry-solids", "solutions", "colours"), kinds=("choose",), level=level, count=20, seed=2)
        ).items:
            keys.setdefault((item.mixture, item.want), set()).add(item.technique)
    assert len(keys) >= 5
    assert all(len(techniques) == 1 for techniques in keys.values())


def test_a_level_only_names_techniques_that_belong_to_it() -> None:
    from choosemethod.advice.ask import opened

    book = opened()[1]
    for level in LEVELS:
        reached = LEVELS.index(level)
        for item in make_quiz(QuizRequest(level=level, count=20, seed=3, kinds=("choose", "why-not"))).items:
            for slug in (item.technique, *(choice.technique for choice in item.choices)):
                assert LEVELS.index(book.techniques[slug].level) <= reached


def test_questions_about_given_mixtures_and_techniques() -> None:
    quiz = make_quiz(QuizRequest(mixtures=("salt water", "oil and water"), level="lower-secondary", count=8, seed=1))
    assert {item.mixture for item in quiz.items} == {"salt water", "oil and water"}
    quiz = make_quiz(QuizRequest(techniques=("separating-funnel",), level="upper-secondary", count=6, seed=1))
    assert all("separating-funnel" in truth_of(item.mixture, item.want).slugs() for item in quiz.items if item.mixture)
    quiz = make_quiz(QuizRequest(kinds=("compute",), level="undergraduate", count=8, seed=1))
    assert {item.kind for item in quiz.items} == {"compute"}


@pytest.mark.parametrize(
    ("request_", "error"),
    [
        (QuizRequest(topics=("no such topic",)), UsageError),
        (QuizRequest(kinds=("no such kind",)), UsageError),
        (QuizRequest(level="no such level"), UsageError),
        (QuizRequest(count=0), UsageError),
        (QuizRequest(mixtures=("xyzzy and water",)), UnknownMixture),
    ],
)
def test_what_cannot_be_asked_is_refused(request_: QuizRequest, error: type[Exception]) -> None:
    with pytest.raises(error):
        make_quiz(request_)


def test_every_mistake_and_every_order_stands_in_its_technique() -> None:
    """A technique whose steps were reworded would silently drop out of the quiz; this says which."""
    from choosemethod.advice.ask import opened

    book = opened()[1]
    for technique, mistakes in materials().mistakes.items():
        lines = [line.text for line in book.techniques[technique].steps]
        for mistake in mistakes:
            assert any(mistake.step in line for line in lines), f"{technique}: no step holds {mistake.step!r}"
            assert all(mistake.instead != line for line in lines)
    for technique, order in materials().orders.items():
        lines = [line.text for line in book.techniques[technique].steps]
        places = [next((i for i, line in enumerate(lines) if words in line), None) for _, words in order.steps]
        assert None not in places, (
            f"{technique}: {[w for (_, w), p in zip(order.steps, places, strict=True) if p is None]}"
        )
        assert places == sorted(places), technique  # type: ignore[type-var]


def test_every_slug_of_the_classroom_data_is_a_technique() -> None:
    from choosemethod.advice.ask import opened

    table, book = opened()
    data = materials()
    slugs = {*data.mistakes, *data.orders, *data.confusions, *data.sheets, *data.pictures}
    slugs.update(slug for group in data.kin for slug in group)
    slugs.update(slug for listed in data.confusions.values() for slug in listed)
    slugs.update(slug for level in data.levels.values() for slug in level["names"])
    assert not slugs.difference(book.techniques)
    assert not data.degree.difference(book.rules)
    sources = {one.source for topic in data.topics for one in topic.mixtures}
    sources.update(one.source for listed in data.mistakes.values() for one in listed)
    sources.update(str(entry["source"]) for entry in data.numbers.values())
    assert not {source for source in sources if source not in table.source_keys()}
    assert set(KINDS) <= set(data.questions)


def test_most_mixtures_of_the_topics_can_be_asked_about() -> None:
    asked = [one for topic in materials().topics for one in topic.mixtures]
    unsettled = [one.words for one in asked if not truth_of(one.words, one.want).settled]
    assert not unsettled


def test_plainer_words_are_said_once() -> None:
    level = Level("primary")
    assert level.say("Sodium chloride") == "Salt (sodium chloride)"
    assert level.say("salt (sodium chloride)") == "salt (sodium chloride)"
    assert level.say("The residue is sand.") == "The solid left behind is sand."
    assert Level("").say("The residue is sand.") == "The residue is sand."
