"""The rule engine: negation is sound, order is total, and only one module knows experta."""

from __future__ import annotations

import itertools
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from choosemethod.facts import Fact
from choosemethod.rulebook.engine import Engine, Firing
from choosemethod.rulebook.language import Rule
from choosemethod.rulebook.load import load_rule

ROOT = Path(__file__).resolve().parents[2]

BLOCKED = """
id: lone-solid
proposes: magnetic-separation
strength: best
find:
  a: {is: component, form: solid}
unless:
  - {is: component, form: liquid}
because: "{a.name} is dry."
principle: p
source: s
examples: [{name: x, mixture: sand, expect: fires}, {name: y, mixture: wet sand, expect: silent}]
"""

OTHER = """
id: nothing-else-magnetic
proposes: magnetic-separation
strength: best
find:
  a: {is: component, magnetic: strongly}
unless:
  - {is: component, magnetic: strongly, other_than: a}
because: "{a.name}"
principle: p
source: s
examples: [{name: x, mixture: sand, expect: fires}, {name: y, mixture: wet sand, expect: silent}]
"""

PAIR = """
id: two-that-differ
proposes: sieving
strength: best
find:
  a: {is: component, form: solid}
  b: {is: component, form: solid, other_than: a}
  pair: {is: pair, first: a, second: b, size_ratio: {above: 2}}
unless:
  - {is: finding, word: stuck, about: a, other: b}
because: "{a.name} {b.name}"
principle: p
source: s
examples: [{name: x, mixture: sand, expect: fires}, {name: y, mixture: wet sand, expect: silent}]
"""


def _rule(tmp_path: Path, text: str) -> Rule:
    ident = re.search(r"^id: (.*)$", text, re.M)
    assert ident is not None
    path = tmp_path / f"{ident[1]}.yaml"
    path.write_text(text)
    return load_rule(path, path.name, {})


def _engine(*rules: Rule) -> Engine:
    by_id = {rule.id: rule for rule in rules}
    members = [
        (rule.id, [(p.kind, [(t.slot, t.operator, t.value) for t in p.tests]) for p in rule.matched])
        for rule in sorted(rules, key=lambda r: r.id)
    ]
    return Engine(members, by_id.__getitem__)


def _component(key: str, **slots: str) -> Fact:
    return Fact("component", key, {"id": key, "name": key, "form": "solid", "magnetic": "no", **slots})


def _named(firings: list[Firing]) -> list[tuple[str, tuple[tuple[str, str], ...]]]:
    return [(firing.rule.id, tuple(sorted(firing.roles.items()))) for firing in firings]


def test_a_blocker_declared_second_still_blocks(tmp_path: Path) -> None:
    """With experta's own strategy an activation made before its blocker came can survive; here it never does."""
    engine = _engine(_rule(tmp_path, BLOCKED))
    dry = _component("sand")
    wet = _component("water", form="liquid")
    assert [firing.rule.id for firing in engine.run({"component": [dry]})] == ["lone-solid"]
    for _ in range(20):
        assert engine.run({"component": [dry, wet]}) == []
        assert engine.run({"component": [wet, dry]}) == []


def test_every_order_of_the_facts_gives_the_same_firings(tmp_path: Path) -> None:
    """24 permutations of four facts: negation over another fact of the same kind."""
    engine = _engine(_rule(tmp_path, OTHER))
    facts = [
        _component("iron", magnetic="strongly"),
        _component("sand"),
        _component("salt"),
        _component("nickel", magnetic="strongly"),
    ]
    seen = {json.dumps(_named(engine.run({"component": list(order)}))) for order in itertools.permutations(facts)}
    assert seen == {"[]"}
    one = [_component("iron", magnetic="strongly"), *facts[1:3], _component("copper")]
    seen = {json.dumps(_named(engine.run({"component": list(order)}))) for order in itertools.permutations(one)}
    assert len(seen) == 1
    assert "iron" in seen.pop()


def test_correlated_negation_blocks_only_its_own_pair(tmp_path: Path) -> None:
    engine = _engine(_rule(tmp_path, PAIR))
    keys = ("a", "b", "c")
    components = [_component(key) for key in keys]
    pairs = []
    for one, other in itertools.permutations(components, 2):
        slots = {"id": f"{one.key} & {other.key}", "first": one.key, "second": other.key, "size_ratio": 3.0}
        slots.update({f"first_{name}": value for name, value in one.slots.items()})
        slots.update({f"second_{name}": value for name, value in other.slots.items()})
        pairs.append(Fact("pair", str(slots["id"]), slots))
    stuck = Fact("finding", "stuck", {"id": "stuck", "word": "stuck", "about": "a", "other": "b"})
    for order in itertools.permutations(pairs):
        fired = engine.run({"component": components, "pair": list(order), "finding": [stuck]})
        assert [(f.roles["a"], f.roles["b"]) for f in fired] == [
            ("a", "c"),
            ("b", "a"),
            ("b", "c"),
            ("c", "a"),
            ("c", "b"),
        ]


def test_an_unknown_slot_never_passes_a_number_test(tmp_path: Path) -> None:
    engine = _engine(_rule(tmp_path, PAIR))
    one, other = _component("a"), _component("b")
    slots: dict[str, object] = {"id": "a & b", "first": "a", "second": "b", "size_ratio": None}
    slots.update({f"first_{name}": value for name, value in one.slots.items()})
    slots.update({f"second_{name}": value for name, value in other.slots.items()})
    assert engine.run({"component": [one, other], "pair": [Fact("pair", "a & b", slots)]}) == []  # type: ignore[arg-type]


def test_only_one_module_imports_experta() -> None:
    named = [
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "choosemethod").rglob("*.py")
        if re.search(r"^\s*(import|from)\s+experta\b", path.read_text(encoding="utf-8"), re.M)
    ]
    assert named == ["choosemethod/rulebook/engine.py"]


def test_importing_the_engine_leaves_no_trace() -> None:
    """experta adds a handler to the root logger and needs a name Python removed; neither stays behind."""
    code = (
        "import collections, logging; before = list(logging.getLogger().handlers); import choosemethod.rulebook.engine; "
        "print(hasattr(collections, 'Mapping'), logging.getLogger().handlers == before)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert done.stdout.split() == ["False", "True"]


@pytest.mark.parametrize(
    "question", ["acetone and water", "sand, salt, iron filings and ammonium chloride", "benzoic acid and naphthalene"]
)
def test_the_same_question_gives_the_same_bytes_in_every_process(question: str) -> None:
    code = f"import json; from choosemethod import advise; print(json.dumps(advise({question!r}).as_dict(), sort_keys=False))"
    outputs = set()
    for seed in ("0", "1", "2", "77"):
        env = {**os.environ, "PYTHONHASHSEED": seed}
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, env=env, check=True
        )
        outputs.add(done.stdout)
    assert len(outputs) == 1
