"""Deleting any one rule file makes a test fail.

tests/rules/test_examples.py runs every rule's examples and asks for the rule by its id, but it takes the examples
from the rule files: with a file, its examples would go, too. So every_rule.txt names the files that must be there: a
deleted or renamed file fails here, and the example that fires fails there when the rule no longer does its work.
Changing a rule needs no change of the list; adding or removing one does, on purpose:

    python tests/rulebook/test_every_rule_matters.py
"""

from __future__ import annotations

import ast
import sys
from pathlib import Path

import pytest

from choosemethod.places import rules_folder
from choosemethod.rulebook import Rulebook, open_rulebook
from choosemethod.rulebook.language import STAGES
from choosemethod.table import open_table

LIST = Path(__file__).with_name("every_rule.txt")
EXAMPLES = Path(__file__).resolve().parents[1] / "rules" / "test_examples.py"


def files_there() -> list[str]:
    """Paths of all rule files below rules/, in order."""
    top = rules_folder()
    return sorted(path.relative_to(top).as_posix() for stage in STAGES for path in (top / stage).rglob("*.yaml"))


@pytest.fixture(scope="module")
def book() -> Rulebook:
    return open_rulebook(open_table())


def test_no_rule_file_is_missing_and_none_is_unlisted() -> None:
    listed = [line for line in LIST.read_text(encoding="utf-8").split("\n") if line and not line.startswith("#")]
    there = files_there()
    assert [file for file in listed if file not in there] == [], "a rule is gone"
    assert [file for file in there if file not in listed] == [], "a new rule is to be added to every_rule.txt"
    assert listed == sorted(set(listed))


def test_the_book_holds_every_listed_rule_and_no_other(book: Rulebook) -> None:
    assert sorted(book.rules) == sorted(Path(file).stem for file in files_there())


def test_every_rule_has_an_example_that_only_it_can_satisfy(book: Rulebook) -> None:
    """The examples are asked for by id, so no other rule can fire in a rule's place; each has one that fires."""
    for ident, rule in book.rules.items():
        assert rule.id == ident
        assert any(example.fires for example in rule.examples), ident
        assert any(not example.fires for example in rule.examples), ident
    collected = ast.parse(EXAMPLES.read_text(encoding="utf-8"))
    (test,) = [node for node in collected.body if isinstance(node, ast.FunctionDef) and node.name == "test_example"]
    compared = [ast.unparse(node) for node in ast.walk(test) if isinstance(node, ast.Compare)]
    assert "rule.id in which" in compared  # whether this very rule fired


def test_no_two_rules_are_the_same(book: Rulebook) -> None:
    """Two rules with the same conditions and conclusion: one could be deleted and nobody would see it."""
    seen: dict[tuple[object, ...], str] = {}
    for ident, rule in book.rules.items():
        key = (rule.head, rule.says, rule.find, rule.unless, rule.strength, rule.about, rule.other, rule.because)
        assert key not in seen, (ident, seen.get(key))
        seen[key] = ident


if __name__ == "__main__":
    head = "# Every rule file there must be; see test_every_rule_matters.py."
    LIST.write_text("\n".join([head, *files_there(), ""]), encoding="utf-8")
    sys.exit(0)
