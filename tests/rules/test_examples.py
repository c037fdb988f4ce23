"""Every rule's own examples, run through the program: the rule fires, or stays silent, where it says so.

An interpretation rule fires if it does on the question as it was said. A rule about a mixture fires if it does for the
mixture of the question or for any mixture on the way to its products. A caution fires if it does for the mixture of the
question or in a step of a plan that is offered; it is silent if it does for neither the mixture nor a step of the best
plan.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

import pytest

from choosemethod.advice.plan import Look, Planner, Step
from choosemethod.describe import Bench
from choosemethod.facts import Fact, SlotValue
from choosemethod.interpretation import fired as interpreting
from choosemethod.places import rules_folder
from choosemethod.quantity import parse_number
from choosemethod.reading import given_substances, read_words
from choosemethod.reading.lexicon import lexicon, without_keys_of
from choosemethod.reading.question import prepared, utterance_of
from choosemethod.rulebook import Rulebook, open_rulebook
from choosemethod.rulebook.language import STAGES, Example, Rule
from choosemethod.table import Table, open_table

TABLE: Table = open_table()
BOOK: Rulebook = open_rulebook(TABLE)


@dataclass(frozen=True)
class Asked:
    """What an example asks, so that examples that ask the same are answered once."""

    mixture: str
    want: tuple[str, ...]
    without: tuple[str, ...]
    pressure: str


@dataclass(frozen=True)
class Fired:
    """Ids of the rules that fired: rules on mixtures, cautions in the best plan, cautions in any plan offered.

    unknown: what was not understood; understood: what the words were read as.
    """

    rules: frozenset[str]
    best: frozenset[str]
    offered: frozenset[str]
    unknown: tuple[str, ...]
    understood: str


def _step_fact(number: int, step: Step) -> Fact:
    """The fact a caution reads about a step."""
    technique, added = step.proposal.technique, step.proposal.outcome.added
    slots: dict[str, SlotValue] = {
        "id": str(number),
        "technique": technique.id,
        "name": technique.name,
        "traits": technique.traits,
        "added": added,
        "added_name": TABLE.substance(added).name if added else "",
        "embedded_before": step.look.facts["mixture"][0].slots["embedded"],
    }
    return Fact("step", str(number), slots)


def _cautions(bench: Bench, start: Look, steps: Sequence[Step]) -> Iterator[str]:
    """Cautions of the mixture by itself and of each step, with what the step brings in."""
    for firing in BOOK.run("caution", start.facts):
        yield firing.rule.id
    for number, step in enumerate(steps, 1):
        outcome = step.proposal.outcome
        facts = dict(bench.facts(outcome.whole) if outcome.added else step.look.facts)
        facts["step"] = [_step_fact(number, step)]
        for firing in BOOK.run("caution", facts):
            yield firing.rule.id


@cache
def fired(asked: Asked) -> Fired:
    """Run the program on a question and collect every rule that fires."""
    question = read_words(asked.mixture, TABLE)
    wish, setting = question.wish, question.setting
    if asked.want:
        names = [TABLE.name(word, "substance") for word in asked.want]
        assert all(names), f"no substance is called {asked.want}"
        wish = replace(wish, want=tuple(name.id for name in names if name))
    if asked.without:
        keys = list(setting.without)
        for words in asked.without:
            keys += [words] if words in BOOK.without else without_keys_of(words)
        setting = replace(setting, without=tuple(dict.fromkeys(keys)))
    if asked.pressure:
        setting = replace(setting, pressure=parse_number(asked.pressure, "pressure"))
    question = replace(question, wish=wish, setting=setting)
    table = TABLE.with_given(given_substances(question)) if question.given else TABLE
    bench = Bench(table, BOOK.limits, question)
    planner = Planner(bench, BOOK, question)
    looks: list[Look] = []
    look_at = planner._look

    def looked(components: tuple[object, ...]) -> Look:
        look = look_at(components)  # type: ignore[arg-type]
        looks.append(look)
        return look

    planner._look = looked  # type: ignore[method-assign]
    start = planner.look(planner.start())
    plans = planner.plans()
    rules: set[str] = set()
    for look in looks:
        for stage in ("selection", "rejection"):
            rules.update(firing.rule.id for firing in BOOK.run(stage, look.facts))
    best = frozenset(_cautions(bench, start, plans[0][1].steps if plans else []))
    offered = best.union(*(_cautions(bench, start, plan.steps) for _, plan in plans[1:]))
    unknown = tuple(words for words, _ in question.unknown)
    return Fired(frozenset(rules), best, offered, unknown, "; ".join(question.understood))


@cache
def concluded(words: str) -> frozenset[str]:
    """Ids of the interpretation rules that fire on a question as it was said."""
    text, pieces, _ = prepared(words, TABLE, lexicon())
    return frozenset([firing.rule.id for firing in interpreting(utterance_of(text, pieces, TABLE, lexicon()), TABLE)])


def _examples() -> list[tuple[Rule, Example]]:
    return [(rule, example) for stage in STAGES for rule in BOOK.stage(stage) for example in rule.examples]


def _name(rule: Rule, example: Example) -> str:
    return f"{rule.id}: {'fires' if example.fires else 'silent'}: {example.mixture}"


EXAMPLES = _examples()


@pytest.mark.parametrize(("rule", "example"), EXAMPLES, ids=[_name(*pair) for pair in EXAMPLES])
def test_example(rule: Rule, example: Example) -> None:
    """The rule does on its example what the example says."""
    if rule.stage == "interpretation":
        which = concluded(example.mixture)
        assert (rule.id in which) == example.fires, (
            f"{rule.file}: {example.mixture!r}: rules that fire: {sorted(which)}"
        )
        return
    found = fired(Asked(example.mixture, example.want, example.without, example.pressure))
    about_unknown = any(test.slot == "unknown_words" for pattern in rule.find for test in pattern.tests)
    assert about_unknown or not found.unknown, f"{example.mixture!r}: not understood: {found.unknown}"
    which = found.rules
    if rule.stage == "caution":
        which = found.offered if example.fires else found.best
    did = rule.id in which
    said = "fires" if did else "stays silent"
    others = ", ".join(sorted(which)) or "none"
    where = f"{rule.file}: on {example.mixture!r} ({found.understood})"
    assert did == example.fires, f"{where} {rule.id} {said}; rules that fire: {others}"


def test_every_rule_file_is_reached() -> None:
    """Each rule file of the four folders is in the rulebook and among the examples."""
    files = {path.stem for stage in STAGES for path in (rules_folder() / stage).rglob("*.yaml")}
    assert files == set(BOOK.rules)
    assert files == {rule.id for rule, _ in EXAMPLES}


@pytest.mark.parametrize("rule", list(BOOK.rules.values()), ids=list(BOOK.rules))
def test_rule_has_both_examples(rule: Rule) -> None:
    """Deleting a rule must fail a test: it has an example that fires, and one that stays silent."""
    assert {example.fires for example in rule.examples} == {True, False}


@pytest.mark.parametrize("rule", BOOK.stage("interpretation"), ids=lambda rule: rule.id)
def test_an_interpretation_rule_has_two_near_misses(rule: Rule) -> None:
    """What a rule must not take for granted is shown by at least two questions on which it stays silent."""
    assert sum(not example.fires for example in rule.examples) >= 2


def _rejected_by(rules: list[Rule]) -> set[str]:
    return {slug for rule in rules for slug in rule.says}


def test_no_technique_that_heats_is_left_for_what_reacts_on_heating() -> None:
    """What must not be heated together is heated by no technique of the catalogue (common practice, no source)."""

    def guards_heat(rule: Rule) -> bool:
        tests = [test for pattern in rule.find for test in pattern.tests]
        return rule.head == "rejects" and [(test.slot, test.value) for test in tests] == [("heat_danger", "yes")]

    guards = [rule for rule in BOOK.stage("rejection") if guards_heat(rule)]
    heating = {technique.id for technique in BOOK.techniques.values() if "heats" in technique.traits}
    assert heating
    assert heating <= _rejected_by(guards)


def test_why_not_has_an_answer_for_every_technique_but_a_reaction() -> None:
    """Every technique is rejected by some rule; a reaction need not be, for the rules that propose it say what it does."""
    rejecting = [rule for rule in BOOK.stage("rejection") if rule.head == "rejects"]
    assert set(BOOK.techniques) - _rejected_by(rejecting) <= {"chemical-reaction"}
