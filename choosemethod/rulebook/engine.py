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
from functools import reduce
from operator import or_
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
REMEMBERED = 5_000  # signatures kept for each family, a bound on memory of some megabytes each
_FEW = ("component", "mixture")  # kinds of fact a mixture has few of
FEW = 3  # patterns that are tried one by one
_CHOOSING = ("is", "one_of")  # operators that name the words a slot may have
_Signature = tuple[frozenset[int], tuple[tuple[str, int, tuple[int, ...]], ...]]
BUILDS, RUNS = 6, 40  # after so many the whole family joins: it costs more to ask which rules could fire


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


_Tests = tuple[tuple[str, str, Any], ...]  # of a pattern: slot, operator, value


class _Sorted:
    """Patterns of one kind of fact, sorted by the words a slot must have, then by another slot, and so on.

    Few patterns then need be tried on a fact. A branch is grown when the first fact comes down it.
    """

    def __init__(self, patterns: Sequence[tuple[int, _Tests]]) -> None:
        """patterns: the bit of each pattern and its tests."""
        self._patterns = patterns
        self._slot = ""
        self._branches: dict[Any, _Sorted] = {}
        self._words: frozenset[Any] = frozenset()
        self._tried: list[tuple[int, list[tuple[str, Callable[[SlotValue, Any], bool], Any]]]] | None = None

    def _grow(self) -> None:
        words: dict[str, set[Any]] = {}
        counts: collections.Counter[str] = collections.Counter()
        for _, tests in self._patterns:
            for slot, operator, value in tests:
                if operator in _CHOOSING:
                    words.setdefault(slot, set()).update((value,) if operator == "is" else value)
                    counts[slot] += 1
        if len(self._patterns) > FEW and counts:
            self._slot = min(counts, key=lambda slot: (-counts[slot], slot))
            self._words = frozenset(words[self._slot])
        self._tried = [
            (bit, [(slot, OPERATORS[operator], value) for slot, operator, value in tests])
            for bit, tests in self._patterns
        ]

    def _branch(self, word: Any) -> _Sorted:
        """The patterns left when the slot has this word (None: none of those named), without the tests that settles."""
        left = []
        for bit, tests in self._patterns:
            mine = [test for test in tests if test[0] == self._slot and test[1] in _CHOOSING]
            if all(word is not None and word in ((test[2],) if test[1] == "is" else test[2]) for test in mine):
                left.append((bit, tuple([test for test in tests if test not in mine])))
        return _Sorted(left)

    def passed(self, slots: Mapping[str, SlotValue]) -> int:
        """Which patterns accept a fact's slots, a bit for each."""
        node = self
        while True:
            if node._tried is None:
                node._grow()
            if not node._slot:
                break
            word = slots.get(node._slot)
            if word not in node._words:
                word = None
            branch = node._branches.get(word)
            if branch is None:
                branch = node._branches[word] = node._branch(word)
            node = branch
        passed = 0
        for bit, tests in node._tried or ():
            for slot, check, value in tests:
                if not check(slots.get(slot), value):
                    break
            else:
                passed |= bit
        return passed


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
        self._builds = self._runs = 0
        self._rules: tuple[Rule, ...] = ()
        self._slots: dict[str, list[str]] = {}
        self._patterns: dict[str, _Sorted] = {}
        self._needs: dict[str, dict[int, int]] = {}  # by kind: the patterns each rule must find, as bits
        self._uses: dict[str, dict[int, int]] = {}  # the same, with the patterns it must not find
        self._bars: dict[str, dict[int, int]] = {}  # those it must not find whatever else is there, named by no join
        self._read: dict[frozenset[int], dict[str, int]] = {}  # by rules: all the patterns they use of each kind
        self._dead: dict[str, dict[int, frozenset[int]]] = {}  # by kind and patterns found: the rules that cannot fire
        self._all: frozenset[int] = frozenset()
        self._keys: dict[str, tuple[str, ...]] = {}
        self._fired: dict[_Signature, tuple[tuple[int, tuple[tuple[str, int], ...]], ...]] = {}
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
        few = self._builds < BUILDS and self._runs < RUNS
        self._joined |= idents if few else {ident for ident, _ in self._members}
        self._rules = tuple(self._rule(ident) for ident in sorted(self._joined))
        used: dict[str, set[str]] = {}
        keys: dict[str, set[str]] = {}
        patterns: dict[str, dict[tuple[tuple[str, str, Any], ...], int]] = {}
        self._fired.clear()
        body: dict[str, Any] = {"__strategy__": _TotalOrder}
        self._needs, self._uses, self._bars = {}, {}, {}
        self._read.clear()
        for index, rule in enumerate(self._rules):
            for place, pattern in enumerate((*rule.matched, *rule.unless)):
                joining = [slot for slot, _ in (*pattern.joins, *pattern.differs)]
                keys.setdefault(pattern.kind, {"id"}).update(joining)
                used.setdefault(pattern.kind, {"id"}).update(joining, (test.slot for test in pattern.tests))
                tests = tuple([(test.slot, test.operator, test.value) for test in pattern.tests])
                known = patterns.setdefault(pattern.kind, {})
                bit = 1 << known.setdefault(tests, len(known))
                needs, uses = self._needs.setdefault(pattern.kind, {}), self._uses.setdefault(pattern.kind, {})
                needs[index] = needs.get(index, 0) | (bit if place < len(rule.matched) else 0)
                uses[index] = uses.get(index, 0) | bit
                if place >= len(rule.matched) and not joining:
                    bars = self._bars.setdefault(pattern.kind, {})
                    bars[index] = bars.get(index, 0) | bit
            bound: set[str] = set()
            elements = [_element(pattern, True, bound) for pattern in rule.matched]
            elements += [_experta.NOT(_element(pattern, False, set())) for pattern in rule.unless]
            name = "rule_" + rule.id.replace("-", "_")
            body[name] = _experta.Rule(_experta.AND(*elements))(_recorder(index, name))
        self._all = frozenset(range(len(self._rules)))
        self._dead = {kind: {} for kind in patterns}
        self._slots = {kind: sorted(slots) for kind, slots in used.items()}
        self._keys = {kind: tuple(sorted(slots)) for kind, slots in keys.items()}
        # the kinds of which there are few facts first: often they show that no rule can fire
        self._patterns = {
            kind: _Sorted([(1 << place, tests) for place, tests in enumerate(patterns[kind])])
            for kind in sorted(patterns, key=lambda kind: (kind not in _FEW, kind))
        }
        self._engine = type("ChooseMethodEngine", (_experta.KnowledgeEngine,), body)()

    def run(self, facts: Mapping[str, Sequence[Fact]], wanted: set[str] | None = None) -> list[Firing]:
        """Fire all rules over facts (by kind); the firings in the order of rule id and bindings.

        wanted: ids of the rules that matter; if none of them could fire nothing is run.

        What fires hangs only on which facts pass which patterns' tests and share which names, so it is remembered by
        that and the network is run once for all mixtures alike in it.
        """
        if len(self._joined) < len(self._members):
            self._runs += 1
            possible = self._could_fire(facts, wanted)
            if not possible:
                return []
            if not possible <= self._joined or self._runs >= RUNS:
                self._join(possible)
        signature, names, accepted = self._signature(facts, self._asked(wanted))
        if not accepted:
            return []
        fired = self._fired.get(signature)
        if fired is None:
            if len(self._fired) >= REMEMBERED:
                self._fired.clear()
            places = {name: place for place, name in enumerate(names)}
            fired = self._fired[signature] = tuple(
                [
                    (index, tuple([(role, places[name]) for role, name in roles.items()]))
                    for index, roles in self._fire(accepted)
                    if index in signature[0]
                ]
            )
        firings = [Firing(self._rules[index], {role: names[place] for role, place in roles}) for index, roles in fired]
        return sorted(firings, key=lambda firing: firing.order)

    def _asked(self, wanted: set[str] | None) -> frozenset[int]:
        """The rules of the network that are wanted, by index."""
        if wanted is None:
            return self._all
        return frozenset([index for index, rule in enumerate(self._rules) if rule.id in wanted])

    def _signature(
        self, facts: Mapping[str, Sequence[Fact]], alive: frozenset[int]
    ) -> tuple[_Signature, list[str], list[Fact]]:
        """All that matters of facts for the rules in `alive`.

        The rules that find a fact for each of their patterns, and for each fact one of those patterns accepts: which do,
        and what it joins by. The names it joins by are numbered in the order they turn up, so mixtures of other
        substances that pass the same tests share a signature; returned beside it, with the facts that matter.
        """
        found: list[tuple[str, int, Fact]] = []
        for kind, patterns in self._patterns.items():
            needs = self._needs[kind]
            if alive.isdisjoint(needs):
                continue
            some = 0
            for fact in facts.get(kind, ()):
                passed = patterns.passed(fact.slots)
                if passed:
                    some |= passed
                    found.append((kind, passed, fact))
            dead = self._dead[kind].get(some)
            if dead is None:
                bars = self._bars.get(kind, {})
                dead = self._dead[kind][some] = frozenset(
                    [rule for rule, needed in needs.items() if needed & ~some or bars.get(rule, 0) & some]
                )
            alive -= dead
            if not alive:
                return (alive, ()), [], []
        read = self._read.get(alive)
        if read is None:
            if len(self._read) >= REMEMBERED:
                self._read.clear()
            read = self._read[alive] = {
                kind: reduce(or_, [bits for rule, bits in uses.items() if rule in alive], 0)
                for kind, uses in self._uses.items()
            }
        places: dict[Any, int] = {}
        seen: dict[tuple[str, int, tuple[int, ...]], None] = {}
        accepted = []
        for kind, passed, fact in found:
            passed &= read[kind]
            if passed:
                slots = fact.slots
                row = (kind, passed, tuple([places.setdefault(slots.get(k), len(places)) for k in self._keys[kind]]))
                if row not in seen:
                    seen[row] = None
                    accepted.append(fact)
        return (alive, tuple(seen)), list(places), accepted

    def _fire(self, facts: Sequence[Fact]) -> list[tuple[int, dict[str, str]]]:
        """Run the network over facts, with only the slots some pattern reads; (index of rule, key by role)."""
        engine = self._engine
        engine.reset()
        engine.fired = []
        engine.declare(
            *[
                _KIND_CLASSES[fact.kind](**{slot: fact.slots.get(slot) for slot in self._slots[fact.kind]})
                for fact in facts
            ]
        )
        engine.run()
        fired: list[tuple[int, dict[str, str]]] = engine.fired
        return fired
