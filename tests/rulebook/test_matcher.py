"""The engine fires exactly what the independent matcher of the rule language finds.

Over the mixture of every rule example, and over what the planner looks at on the way to an answer with the steps of the
best plan: a few dozen looks by default, CHOOSEMETHOD_LOOKS says how many.
"""

from __future__ import annotations

import contextlib
import itertools
import os
import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from choosemethod import interpretation
from choosemethod.advice.plan import Planner, Step
from choosemethod.describe import Bench
from choosemethod.errors import ChooseMethodError, DataError
from choosemethod.facts import Fact, SlotValue
from choosemethod.interpretation import facts_of
from choosemethod.mixture import Question
from choosemethod.quantity import parse_number
from choosemethod.reading import given_substances, read_words
from choosemethod.rulebook import open_rulebook
from choosemethod.rulebook.engine import Engine
from choosemethod.rulebook.language import STAGES, Rule
from choosemethod.rulebook.load import load_rule
from choosemethod.table import open_table
from choosemethod.yamltext import read_yaml

from .matcher import Match, matches

TABLE = open_table()
BOOK = open_rulebook(TABLE)
RULES = {stage: BOOK.stage(stage) for stage in STAGES}
EXAMPLES = sorted({(one.mixture, one.pressure) for stage in STAGES for rule in RULES[stage] for one in rule.examples})
LOOKS = int(os.environ.get("CHOOSEMETHOD_LOOKS", "40"))
QUESTIONS = Path(__file__).parents[1] / "questions"
PARTS = 8
LEAVE_TRACES = ("powdered copper and powdered zinc", "tin and iron")  # a step of theirs leaves a trace behind
OF_A_LOOK, OF_A_STEP = ("selection", "rejection"), ("caution",)


def _planner(words: str, pressure: str = "") -> Planner:
    question: Question = read_words(words, TABLE)
    if pressure:
        at = parse_number(pressure, "pressure")
        question = replace(question, setting=replace(question.setting, pressure=at))
    table = TABLE.with_given(given_substances(question)) if question.given else TABLE
    return Planner(Bench(table, BOOK.limits, question), BOOK, question)


def _only_asked(rule: Rule, roles: dict[str, str]) -> Match:
    """A firing without the roles that only the engine needs."""
    asked = {pattern.role for pattern in rule.find}
    return rule.id, tuple(sorted((role, key) for role, key in roles.items() if role in asked))


def _differences(
    facts: dict[str, list[Fact]], stages: Sequence[str] = ("selection", "rejection", "caution")
) -> list[str]:
    out = []
    for stage in stages:
        matcher = matches(RULES[stage], facts)
        engine = {_only_asked(firing.rule, firing.roles) for firing in BOOK.run(stage, facts)}
        out += [f"only the matcher: {one}" for one in sorted(matcher - engine)]
        out += [f"only the engine: {one}" for one in sorted(engine - matcher)]
    return out


def _of_step(number: int, step: Step, bench: Bench) -> dict[str, list[Fact]]:
    """The facts a caution reads during a step."""
    technique, added = step.proposal.technique, step.proposal.outcome.added
    slots: dict[str, SlotValue] = {
        "id": str(number),
        "technique": technique.id,
        "name": technique.name,
        "traits": technique.traits,
        "added": added,
        "added_name": bench.table.substance(added).name if added else "",
    }
    facts = dict(bench.facts(step.proposal.outcome.whole) if added else step.look.facts)
    return {**facts, "step": [Fact("step", str(number), slots)]}


@pytest.mark.parametrize("part", range(PARTS))
def test_no_difference_over_the_mixtures_of_rule_examples(part: int) -> None:
    compared = 0
    for words, pressure in EXAMPLES[part::PARTS]:
        planner = _planner(words, pressure)
        if not planner.start():
            continue
        compared += 1
        assert _differences(planner.look(planner.start()).facts) == [], words
    assert compared > 0.8 * len(EXAMPLES) / PARTS


def test_no_difference_over_what_was_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """The facts of interpretation: what the words of each rule example and of some questions were taken as."""
    seen: list[dict[str, list[Fact]]] = []

    def recording(*args: Any) -> dict[str, list[Fact]]:
        facts = facts_of(*args)
        seen.append(facts)
        return facts

    monkeypatch.setattr(interpretation, "facts_of", recording)
    fired = 0
    for words in [words for words, _ in EXAMPLES] + list(itertools.islice(_questions(), LOOKS)):
        seen.clear()
        with contextlib.suppress(ChooseMethodError):
            read_words(words, TABLE)
        for facts in seen:
            assert _differences(facts, ("interpretation",)) == [], words
            fired += len(matches(RULES["interpretation"], facts))
    assert fired


def _questions() -> Iterator[str]:
    """Questions of the other tests and the rule examples, in an order that is the same each time."""
    asked = [words for words, _ in EXAMPLES]
    for path in sorted(QUESTIONS.glob("*.yaml")):
        items: object = read_yaml(path)
        assert isinstance(items, list)
        asked += [str(item["question"]) for item in items]
    random.Random(10).shuffle(asked)
    return iter(asked)


def test_no_difference_over_the_looks_of_the_planner() -> None:
    """Mixtures on the way to an answer hold what steps added, traces that cling and liquids that have reacted."""
    looks = traces = 0
    for words in (*LEAVE_TRACES, *_questions()):
        try:
            planner = _planner(words)
        except ChooseMethodError:
            continue
        if not planner.start():
            continue
        plans = planner.plans()
        for look in planner.looks.values():
            traces += any(component.trace for component in look.components)
            assert _differences(look.facts, OF_A_LOOK) == [], f"{words}: {look.components}"
        for number, step in enumerate(plans[0][1].steps if plans else (), 1):
            during = _of_step(number, step, planner.bench)
            assert _differences(during, OF_A_STEP) == [], f"{words}: step {number}"
        looks += len(planner.looks)
        if looks >= LOOKS:
            break
    assert looks >= LOOKS
    assert traces


# ---- relations between components, one by one ------------------------------------------------------------------------

RULE = """
id: related
proposes: sieving
strength: best
find:
  {find}
because: "it is so"
principle: p
source: s
examples: [{{name: x, mixture: sand, expect: fires}}, {{name: y, mixture: wet sand, expect: silent}}]
"""
RELATIONS = {
    "in it, first of a pair": (
        "liquid: {is: component, form: liquid}",
        "one: {is: component, form: dissolved, host: liquid}",
        "two: {is: component, form: dissolved}",
        "pair: {is: pair, first: one, second: two}",
    ),
    "in the other of a pair": (
        "liquid: {is: component, form: liquid}",
        "one: {is: component, form: dissolved, host: liquid}",
        "pair: {is: pair, first: liquid, second: one}",
    ),
    "in it, no pair": (
        "liquid: {is: component, form: liquid}",
        "one: {is: component, host: liquid}",
    ),
    "both in it": (
        "liquid: {is: component}",
        "one: {is: component, form: dissolved, host: liquid}",
        "two: {is: component, form: dissolved, host: liquid, other_than: one}",
    ),
    "three told apart": (
        "one: {is: component}",
        "two: {is: component, other_than: one}",
        "three: {is: component, other_than: [one, two]}",
    ),
}


def _load(tmp_path: Path, *find: str) -> Rule:
    path = tmp_path / "related.yaml"
    path.write_text(RULE.format(find="\n  ".join(find)))
    rule = load_rule(path, path.name, {})
    assert isinstance(rule, Rule)
    return rule


def _facts() -> dict[str, list[Fact]]:
    """Two liquids, a trace of a third, and solutes in the first, the second and the trace."""
    rows = [
        ("w", "liquid", "", "no"),
        ("e", "liquid", "", "no"),
        ("t", "liquid", "", "yes"),
        ("a", "dissolved", "w", "no"),
        ("b", "dissolved", "w", "no"),
        ("c", "dissolved", "e", "no"),
        ("d", "dissolved", "t", "no"),
    ]
    components = [
        Fact("component", key, {"id": key, "form": form, "host": host, "trace": trace})
        for key, form, host, trace in rows
    ]
    pairs = []
    for one, other in itertools.permutations([fact for fact in components if fact.slots["trace"] == "no"], 2):
        slots: dict[str, SlotValue] = {"id": f"{one.key} & {other.key}", "first": one.key, "second": other.key}
        slots["holds"] = "yes" if one.slots["host"] == other.key else "no"
        slots.update({f"first_{name}": value for name, value in one.slots.items()})
        slots.update({f"second_{name}": value for name, value in other.slots.items()})
        pairs.append(Fact("pair", str(slots["id"]), slots))
    return {"component": components, "pair": pairs}


@pytest.mark.parametrize("name", RELATIONS)
def test_a_relation_holds_however_it_is_merged(tmp_path: Path, name: str) -> None:
    """`host:` is kept beside a pair fact, and what stands in a relation is no trace."""
    rule = _load(tmp_path, *RELATIONS[name])
    members = [(rule.id, [(p.kind, [(t.slot, t.operator, t.value) for t in p.tests]) for p in rule.matched])]
    fired = {_only_asked(rule, firing.roles) for firing in Engine(members, lambda _: rule).run(_facts())}
    assert fired == matches([rule], _facts())
    assert fired
    assert not any(key in ("t", "d & t") for _, roles in fired for _, key in roles)
    if "liquid" in {pattern.role for pattern in rule.find}:
        held = {(dict(roles)["one"], dict(roles)["liquid"]) for _, roles in fired}
        assert held == ({("a", "w"), ("b", "w")} if name == "both in it" else {("a", "w"), ("b", "w"), ("c", "e")})


def test_a_trace_in_a_relation_is_a_fault(tmp_path: Path) -> None:
    with pytest.raises(DataError, match="never a mere trace"):
        _load(tmp_path, "liquid: {is: component, trace: 'yes'}", "one: {is: component, host: liquid}")
