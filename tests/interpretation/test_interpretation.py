"""Interpretation rules: what they change is kept with rule and sentence; faulty ones are refused; silence costs nothing."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path

import pytest

from choosemethod.data import Names
from choosemethod.errors import DataError
from choosemethod.facts import Fact
from choosemethod.interpretation import facts_of, interpret
from choosemethod.reading.lexicon import lexicon
from choosemethod.reading.question import prepared, read_words, utterance_of
from choosemethod.reading.show import reading_text
from choosemethod.reading.utterance import Utterance
from choosemethod.rulebook import open_rulebook, rulebook_in_use
from choosemethod.rulebook.language import Pattern, Rule
from choosemethod.rulebook.load import load_rule
from choosemethod.table import Table, open_table

TABLE: Table = open_table()
SOUND = """\
id: aged
concludes: peroxides
find:
  whole: {is: utterance, words: {has: old}}
  thing: {is: mention, peroxide_former: "yes"}
does:
  - {adds: ether peroxides, form: dissolved, in: thing, role: impurity}
because: "{thing.name} is old."
principle: ethers take up oxygen
source: common-practice
examples:
  - {name: old, mixture: old THF, expect: fires}
  - {name: new, mixture: new THF, expect: silent}
"""


def said(words: str) -> Utterance:
    text, pieces, _ = prepared(words, TABLE, lexicon())
    return utterance_of(text, pieces, TABLE, lexicon())


def load(tmp_path: Path, text: str) -> object:
    path = tmp_path / "aged.yaml"
    path.write_text(text, encoding="utf-8")
    known = {
        "source": Names(["common-practice"]),
        "relation": Names(["ions"]),
        "name": Names((), lambda text: text if TABLE.name(text) else ""),
    }
    return load_rule(path, "rules/interpretation/aged.yaml", known)


def test_a_sound_rule_is_read(tmp_path: Path) -> None:
    assert load(tmp_path, SOUND)


@pytest.mark.parametrize(
    ("old", "new", "line", "word"),
    [
        ("adds: ether peroxides", "adds: ether peroxydes of nowhere", 7, "no name of the table"),
        ("in: thing", "in: whole", 6, "no mention"),
        ("in: thing", "in: thyng", 7, "thyng"),
        ("role: impurity", "role: dirt", 7, "dirt"),
        ("form: dissolved", "form: liqud", 7, "liqud"),
        ("adds: ether", "plus: ether", 7, "plus"),
        ("does:\n  - {adds: ether peroxides, form: dissolved, in: thing, role: impurity}\n", "", 2, "what it does"),
        ("{adds: ether peroxides, form: dissolved, in: thing, role: impurity}", "{reads: thing}", 7, "nothing changes"),
        (
            "{adds: ether peroxides, form: dissolved, in: thing, role: impurity}",
            "{reads: thing, as: iron}",
            7,
            "relation",
        ),
        ("{adds: ether peroxides, form: dissolved, in: thing, role: impurity}", "{asks: gold}", 7, "aim"),
        ("{adds: ether peroxides, form: dissolved, in: thing, role: impurity}", "{says: pure, in: thing}", 7, "pure"),
        ("is: mention, perox", "is: component, perox", 3, "component"),
        ("is: mention, peroxide_former", "is: component, form", 5, "component"),
        ("concludes: peroxides", "refuses: unsafe", 6, "only a rule that concludes"),
        ("{thing.name} is old", "{thyng.name} is old", 8, "thyng"),
    ],
)
def test_a_faulty_rule_is_refused_with_file_line_and_mend(
    tmp_path: Path, old: str, new: str, line: int, word: str
) -> None:
    assert old in SOUND
    with pytest.raises(DataError) as caught:
        load(tmp_path, SOUND.replace(old, new))
    faults = str(caught.value)
    assert f"rules/interpretation/aged.yaml, line {line}: " in faults, faults
    assert word in faults
    assert "Write instead: " in faults


def test_what_was_inferred_is_kept_with_its_rule_and_shown() -> None:
    question = read_words("a bottle of THF ten years old, distil it?", TABLE)
    (found,) = question.inferred
    assert found[0] == "old-ether-holds-peroxides"
    assert found[1].startswith("tetrahydrofuran forms peroxides")
    assert found[1] in question.understood
    assert f"inferred     {found[1]} ({found[0]})" in reading_text("a bottle of THF ten years old, distil it?", TABLE)
    assert {one.substance for one in question.mixture.components} == {"tetrahydrofuran", "ether-peroxides"}


def test_a_metal_dissolved_is_there_as_its_ions_and_keeps_its_wish() -> None:
    question = read_words("cadmium dissolved in water", TABLE, want=["cadmium"])
    assert {one.substance: one.form for one in question.mixture.components} == {
        "cadmium-ion": "dissolved",
        "water": "liquid",
    }
    assert question.wish.want == ("cadmium-ion",)


def test_where_no_rule_can_fire_nothing_changes_and_no_network_is_built() -> None:
    book = open_rulebook(TABLE)
    assert rulebook_in_use(TABLE) is book
    for words in ("sand and salt", "acetone and water", "iron filings and sulfur powder"):
        utterance = said(words)
        assert interpret(utterance, TABLE) is utterance
    engines = [engine for (stage, _), engine in book._engines.items() if stage == "interpretation"]
    assert len(engines) == 1
    assert engines[0]._engine is None


def test_rules_leave_what_is_named_explicitly() -> None:
    """A named impurity, rock or filler is what is there; the usual one is not added to it (common practice, no source)."""
    for words, absent in (
        ("crude oxalic acid and sand", "soluble-impurity"),
        ("copper pyrites and quartz", "gangue"),
        ("tablets of ibuprofen and chalk", "starch"),
    ):
        question = read_words(words, TABLE)
        assert absent not in {one.substance for one in question.mixture.components}, words


def _holds(find: tuple[Pattern, ...], unless: tuple[Pattern, ...], facts: dict[str, list[Fact]]) -> bool:
    """Whether a rule of these patterns would fire, worked out without the engine."""
    fitting = [[fact for fact in facts.get(one.kind, ()) if one.accepts(fact.slots)] for one in find]
    for chosen in itertools.product(*fitting):
        keys = {pattern.role: fact.key for pattern, fact in zip(find, chosen, strict=True)}
        apart = all(keys[pattern.role] != keys[other] for pattern in find for _, other in pattern.differs)
        blocked = any(
            one.accepts(fact.slots) and all(fact.key != keys[other] for _, other in one.differs)
            for one in unless
            for fact in facts.get(one.kind, ())
        )
        if apart and not blocked:
            return True
    return False


def _without_one(rule: Rule) -> Iterator[tuple[tuple[Pattern, ...], tuple[Pattern, ...]]]:
    """The rule's patterns with one condition taken away, each in turn."""
    for place, pattern in enumerate(rule.find):
        for test in pattern.tests:
            less = pattern._replace(tests=tuple(other for other in pattern.tests if other is not test))
            yield (*rule.find[:place], less, *rule.find[place + 1 :]), rule.unless
    for blocker in rule.unless:
        yield rule.find, tuple(other for other in rule.unless if other is not blocker)


RULES = open_rulebook(TABLE).stage("interpretation")


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_two_examples_miss_by_one_condition(rule: Rule) -> None:
    """At least two silent examples fail exactly one condition: without it the rule would fire on them."""
    related = rulebook_in_use(TABLE).related
    near = []
    for example in rule.examples:
        facts = facts_of(said(example.mixture), TABLE, related)
        assert _holds(rule.find, rule.unless, facts) is example.fires, example.mixture
        if not example.fires and any(_holds(*patterns, facts) for patterns in _without_one(rule)):
            near.append(example.mixture)
    assert len(near) >= 2, near
