"""The rule engine: compiled rules, run over facts by experta. The only module that knows experta.

What experta cannot do soundly is kept away from it: every fact is declared before the run, nothing is retracted,
conclusions are collected and not declared, comparisons between facts are slots of pair facts, and the order of firing
is total, so the same facts give the same firings in the same order in every process.
"""

from __future__ import annotations

import collections
import collections.abc
import inspect
import logging
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from choosemethod.facts import KINDS, Fact, SlotValue
from choosemethod.rulebook.language import OPERATORS, Pattern, Rule, Test

__all__ = ["Engine", "Firing"]


def _import_experta() -> Any:
    """Import experta, whose pinned dependency still asks for a name Python 3.10 removed; leave no trace of the help."""
    handlers = list(logging.getLogger().handlers)
    missing = not hasattr(collections, "Mapping")
    if missing:
        collections.Mapping = collections.abc.Mapping  # type: ignore[attr-defined]
    try:
        import experta
    finally:
        if missing:
            del collections.Mapping  # type: ignore[attr-defined]
        logging.getLogger().handlers[:] = handlers  # importing it adds a handler to the root logger
    return experta


_experta: Any = _import_experta()
_KIND_CLASSES: dict[str, Any] = {kind: type(f"{kind.capitalize()}Fact", (_experta.Fact,), {}) for kind in KINDS}
# experta tells predicates apart by identity, so equal tests must share one function for as long as the program runs
_PREDICATES: dict[tuple[str, Any], Any] = {}


_SIGNATURE = inspect.Signature(
    [
        inspect.Parameter("engine", inspect.Parameter.POSITIONAL_OR_KEYWORD),
        inspect.Parameter("roles", inspect.Parameter.VAR_KEYWORD),
    ]
)
BUILDS = 6  # after so many the whole family joins: building anew costs more than the rules that never fire


class Firing:
    """A rule that fired, with the key of the fact bound to each role."""

    __slots__ = ("roles", "rule")

    def __init__(self, rule: Rule, roles: Mapping[str, str]) -> None:
        self.rule = rule
        self.roles = dict(roles)

    @property
    def order(self) -> tuple[str, tuple[tuple[str, str], ...]]:
        """What firings are sorted by."""
        return self.rule.id, tuple(sorted(self.roles.items()))

    def __repr__(self) -> str:
        return f"Firing({self.rule.id}, {self.roles})"


class _TotalOrder(_experta.strategies.DepthStrategy):  # type: ignore[misc]
    """Agenda order that leaves nothing to chance: salience, fact ids, rule name, bindings.

    experta's own order compares only salience and fact ids; equals then fire in random order, and a removed
    activation can be missed. A total order removes exactly the right one.
    """

    def get_key(self, activation: Any) -> tuple[Any, ...]:
        ids = tuple(sorted((fact["__factid__"] for fact in activation.facts), reverse=True))
        bound = tuple(sorted((str(name), str(value)) for name, value in activation.context.items()))
        return (activation.rule.salience, ids, activation.rule.__name__, bound)


def _predicate(test: Test) -> Any:
    key = (test.operator, test.value)
    found = _PREDICATES.get(key)
    if found is None:
        operator, value = test.operator, test.value
        check = OPERATORS[operator]
        found = _PREDICATES[key] = lambda actual: check(actual, value)
    return found


def _constraint(tests: Sequence[Test]) -> Any:
    constraint = None
    for test in tests:
        one = (
            _experta.L(test.value)
            if test.operator == "is" and isinstance(test.value, str)
            else _experta.P(_predicate(test))
        )
        constraint = one if constraint is None else constraint & one
    return constraint


def _element(pattern: Pattern, binds: bool, bound: set[str]) -> Any:
    """The experta pattern of one of ours. `bound` holds the roles already bound; binding ones add to it."""
    slots: dict[str, list[Test]] = {}
    for test in pattern.tests:
        slots.setdefault(test.slot, []).append(test)
    fields: dict[str, Any] = {slot: _constraint(tests) for slot, tests in slots.items()}

    def conjoin(slot: str, constraint: Any) -> None:
        fields[slot] = constraint & fields[slot] if slot in fields else constraint

    for slot, role in pattern.differs:
        conjoin(slot, ~getattr(_experta.MATCH, role))
    for slot, role in pattern.joins:
        conjoin(slot, getattr(_experta.MATCH, role))
        bound.add(role)
    if binds and pattern.role and not any(slot == "id" for slot, _ in pattern.joins):
        # a binding must stand first in the chain, or experta tests the negated variable before it knows this one
        own = getattr(_experta.MATCH, pattern.role)
        fields["id"] = own & fields["id"] if "id" in fields else own
        bound.add(pattern.role)
    return _KIND_CLASSES[pattern.kind](**fields)


def _recorder(index: int, name: str) -> Callable[..., None]:
    def fire(engine: Any, **roles: str) -> None:
        engine.fired.append((index, roles))

    fire.__name__ = name  # experta merges rules whose functions look alike
    fire.__signature__ = _SIGNATURE  # type: ignore[attr-defined]  # spares experta an inspection of each function
    return fire


class Engine:
    """A family of rules, compiled as far as needed and run on any number of mixtures.

    A rule takes part only if for each of its patterns there is a fact that passes the pattern's own tests; the others
    could not fire. The network is built of the rules that took part so far, and anew when one joins them.
    """

    def __init__(
        self,
        members: Sequence[tuple[str, Sequence[tuple[str, Sequence[tuple[str, str, Any]]]]]],
        rule: Callable[[str], Rule],
    ) -> None:
        """members: (rule id, for each pattern to be found its kind and tests); rule: gives the rule of an id."""
        self._members = [
            (
                ident,
                [
                    (kind, [(slot, OPERATORS[operator], value) for slot, operator, value in tests])
                    for kind, tests in patterns
                ],
            )
            for ident, patterns in members
        ]
        self._rule = rule
        self._joined: set[str] = set()
        self._builds = 0
        self._rules: tuple[Rule, ...] = ()
        self._slots: dict[str, list[str]] = {}
        self._patterns: dict[str, list[Pattern]] = {}
        self._engine: Any = None

    def _could_fire(self, facts: Mapping[str, Sequence[Fact]], wanted: set[str] | None) -> set[str]:
        """Ids of the rules that find a fact for each of their patterns, taken one by one."""
        found = set()
        for ident, patterns in self._members:
            if wanted is not None and ident not in wanted:
                continue
            for kind, tests in patterns:
                for fact in facts.get(kind, ()):
                    slots = fact.slots
                    for slot, check, value in tests:
                        if not check(slots.get(slot), value):
                            break
                    else:
                        break
                else:
                    break
            else:
                found.add(ident)
        return found

    def _join(self, idents: set[str]) -> None:
        """Take rules into the network."""
        self._builds += 1
        self._joined |= idents if self._builds < BUILDS else {ident for ident, _ in self._members}
        self._rules = tuple(self._rule(ident) for ident in sorted(self._joined))
        used: dict[str, set[str]] = {}
        self._patterns = {}
        body: dict[str, Any] = {"__strategy__": _TotalOrder}
        for index, rule in enumerate(self._rules):
            for pattern in (*rule.matched, *rule.unless):
                slots = used.setdefault(pattern.kind, {"id"})
                slots.update(test.slot for test in pattern.tests)
                slots.update(slot for slot, _ in (*pattern.joins, *pattern.differs))
                self._patterns.setdefault(pattern.kind, []).append(pattern)
            bound: set[str] = set()
            elements = [_element(pattern, True, bound) for pattern in rule.matched]
            elements += [_experta.NOT(_element(pattern, False, set())) for pattern in rule.unless]
            name = "rule_" + rule.id.replace("-", "_")
            body[name] = _experta.Rule(_experta.AND(*elements))(_recorder(index, name))
        self._slots = {kind: sorted(slots) for kind, slots in used.items()}
        self._engine = type("ChooseMethodEngine", (_experta.KnowledgeEngine,), body)()

    def run(self, facts: Mapping[str, Sequence[Fact]], wanted: set[str] | None = None) -> list[Firing]:
        """Fire all rules over facts (by kind); the firings in the order of rule id and bindings.

        wanted: ids of the rules that matter; if none of them could fire nothing is run.

        Only facts some pattern accepts are declared, with only the slots some pattern reads: the others cannot matter.
        """
        possible = self._could_fire(facts, wanted)
        if not possible:
            return []
        if not possible <= self._joined:
            self._join(possible)
        declared = []
        for kind, patterns in self._patterns.items():
            kept = self._slots[kind]
            known: set[tuple[SlotValue, ...]] = set()
            for fact in facts.get(kind, ()):
                slots = fact.slots
                if any(pattern.accepts(slots) for pattern in patterns):
                    values = tuple([slots.get(slot) for slot in kept])
                    if values not in known:
                        known.add(values)
                        declared.append(_KIND_CLASSES[kind](**dict(zip(kept, values, strict=True))))
        engine = self._engine
        engine.reset()
        engine.fired = []
        engine.declare(*declared)
        engine.run()
        firings = [Firing(self._rules[index], roles) for index, roles in engine.fired]
        return sorted(firings, key=lambda firing: firing.order)
