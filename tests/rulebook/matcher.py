"""The rule language read a second time: which rules fire over given facts, by trying every fact in every role.

It shares nothing with the engine but the rules as written (`find`, `unless`) and the facts: it knows neither the patterns
as merged for the engine nor its operators. Slow and plain on purpose, it is what the engine is held to.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from choosemethod.facts import Fact, SlotValue
from choosemethod.rulebook.language import Pattern, Rule, Test

__all__ = ["Match", "matches"]

Match = tuple[str, tuple[tuple[str, str], ...]]  # id of the rule, and (role, key of the fact bound to it), sorted


def _passes(test: Test, value: SlotValue) -> bool:
    """One condition, as DEVELOPERS.md words it: `not` accepts what is unknown, every other operator fails on it."""
    wanted = test.value
    unknown = value is None or value == "unknown"
    number = value if isinstance(value, float) else None
    several = value if isinstance(value, tuple) else None
    match test.operator:
        case "is":
            return value == wanted
        case "not":
            return value != wanted
        case "unknown":
            return unknown is wanted
        case "one_of":
            return value in wanted  # the word "unknown" may be asked for
        case "none_of":
            return not unknown and value not in wanted
        case "has":
            return several is not None and wanted in several
        case "has_any":
            return several is not None and not set(several).isdisjoint(wanted)
        case "lacks":
            return several is not None and set(several).isdisjoint(wanted)
        case "below":
            return number is not None and number < wanted
        case "above":
            return number is not None and number > wanted
        case "at_least":
            return number is not None and number > wanted - 1.1e-9
        case "at_most":
            return number is not None and number < wanted + 1.1e-9
        case "between":
            return number is not None and wanted[0] <= number <= wanted[1]
    raise AssertionError(f"the matcher knows no operator {test.operator!r}")


def _related(pattern: Pattern, fact: Fact, bound: Mapping[str, Fact]) -> bool:
    """Whether a fact stands to the facts bound so far as its pattern says; roles not bound yet are left for later."""
    for slot, role in pattern.joins:
        if role in bound and fact.slots.get(slot) != bound[role].slots["id"]:
            return False
    return all(role not in bound or fact.slots.get(slot) != bound[role].slots["id"] for slot, role in pattern.differs)


def _ways(rule: Rule, candidates: Sequence[Sequence[Fact]], bound: dict[str, Fact]) -> Iterator[dict[str, Fact]]:
    """Every way to fill the roles of `find` from the candidates of each, related to one another as the patterns say."""
    place = len(bound)
    if place == len(rule.find):
        yield dict(bound)
        return
    pattern = rule.find[place]
    for fact in candidates[place]:
        bound[pattern.role] = fact
        if all(_related(one, bound[one.role], bound) for one in rule.find[: place + 1]):
            yield from _ways(rule, candidates, bound)
        del bound[pattern.role]


def _taking_part(rule: Rule) -> set[str]:
    """Roles of components that another component of the rule is in, told apart from or paired with: no mere traces."""
    kinds = {pattern.role: pattern.kind for pattern in rule.find}
    taking = set()
    for pattern in rule.find:
        for _, role in pattern.joins + pattern.differs:
            if kinds.get(role) == "component" and pattern.kind in ("component", "pair"):
                taking.update((role, pattern.role))
    return {role for role in taking if kinds[role] == "component"}


def matches(rules: Iterable[Rule], facts: Mapping[str, Sequence[Fact]]) -> set[Match]:
    """All that fires: each rule with each way to fill its roles for which none of its `unless` patterns finds a fact."""
    accepted: dict[tuple[str, tuple[Test, ...]], list[Fact]] = {}

    def accepts(pattern: Pattern) -> list[Fact]:
        key = pattern.kind, pattern.tests
        if key not in accepted:
            accepted[key] = [
                fact
                for fact in facts.get(pattern.kind, ())
                if all(_passes(test, fact.slots.get(test.slot)) for test in pattern.tests)
            ]
        return accepted[key]

    found: set[Match] = set()
    for rule in rules:
        candidates = []
        taking = _taking_part(rule)
        for pattern in rule.find:
            here = accepts(pattern)
            candidates.append([f for f in here if f.slots["trace"] == "no"] if pattern.role in taking else here)
            if not candidates[-1]:
                break
        else:
            for bound in _ways(rule, candidates, {}):
                if not any(_related(pattern, fact, bound) for pattern in rule.unless for fact in accepts(pattern)):
                    found.add((rule.id, tuple(sorted((role, fact.key) for role, fact in bound.items()))))
    return found
