"""Rules from YAML: read, check every word, and merge patterns for the engine. Faults name file and line and the mend."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Container
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from choosemethod.errors import DataError
from choosemethod.facts import COMPONENT, KINDS, UNKNOWN, Slot
from choosemethod.quantity import QuantityError, parse_number
from choosemethod.rulebook.language import HARMS, HEADS, OPERATORS, Example, Pattern, Rule, Test
from choosemethod.yamltext import Block, Items, Node, read_mapping

__all__ = ["PLACE", "REFUSALS", "SEVERITIES", "STRENGTHS", "load_rule", "read_tests"]

STRENGTHS = ("best", "good", "fair", "possible")
REFUSALS = ("unsafe", "not-separable", "nothing-to-separate")
SEVERITIES = ("danger", "care", "note", "waste")
PLACE = re.compile(r"\{([a-z][a-z0-9_]*)\.([a-z][a-z0-9_]*)\}")
_ROLE = re.compile(r"[a-z][a-z0-9_]*\Z")
_KEYS = (
    *HEADS, "id", "strength", "about", "other", "find", "where", "unless", "because", "principle", "source",
    "goes_wrong_when", "examples", "harm", "several", "least", "replaces",
)  # fmt: skip
_EXAMPLE_KEYS = ("name", "mixture", "expect", "want", "without", "pressure")
_SEVERAL = (("several", "the text for several at once"), ("least", "x.flash_point"))
# Slots of a kind that hold the key of a component, and so may name a role.
_REFERENCES = {
    "component": ("host",),
    "pair": ("first", "second"),
    "finding": ("about", "other"),
    "dryer": ("dries",),
    "extractant": ("host",),
    "help": ("first", "second"),
}


class _File:
    """A rule file being read: raises its faults with file and line."""

    def __init__(self, shown: str) -> None:
        self.shown = shown

    def fault(self, line: int, wrong: str, write: str) -> DataError:
        return DataError(self.shown, line, wrong, write)

    def known_keys(self, block: Block, allowed: Collection[str], what: str) -> None:
        for key in block:
            if key not in allowed:
                near = get_close_matches(key, list(allowed), 1)
                write = near[0] if near else "one of " + ", ".join(sorted(allowed))
                raise self.fault(block.at(key), f"{key!r} is no key of {what}", write)

    def text(self, block: Block, key: str, example: str, required: bool = True) -> str:
        value = block.get(key)
        if value is None and not required:
            return ""
        if not isinstance(value, str) or not value.strip():
            raise self.fault(block.at(key), f"{key!r} is missing or empty", f"{key}: {example}")
        return " ".join(value.split())

    def texts(self, block: Block, key: str) -> tuple[str, ...]:
        value = block.get(key)
        if value is None:
            return ()
        items = [value] if isinstance(value, str) else list(value)
        if not isinstance(value, (str, Items)) or not all(isinstance(item, str) and item for item in items):
            raise self.fault(block.at(key), f"{key!r} must be a text or a list of texts", f"{key}: [first, second]")
        return tuple(str(item) for item in items)


def _value(file: _File, line: int, slot_name: str, slot: Slot, word: str) -> Any:
    """One value of a test, converted to what the slot holds."""
    if slot.dimension:
        if word == UNKNOWN:
            return None
        try:
            return parse_number(word, slot.dimension)
        except QuantityError as error:
            raise file.fault(line, f"{slot_name}: {error}", f"{slot_name} with a {slot.dimension}") from None
    if slot.words and word not in slot.words:
        raise file.fault(
            line,
            f"{slot_name} is never {word!r}, so the rule could not fire",
            "one of " + ", ".join(w or "''" for w in slot.words),
        )
    return word


def _test(file: _File, line: int, kind: str, name: str, node: Node) -> list[Test]:
    slots = KINDS[kind]
    slot = slots.get(name)
    if slot is None:
        near = get_close_matches(name, list(slots), 3)
        raise file.fault(
            line, f"a {kind} has no slot {name!r}", ", ".join(near) or "a slot listed in the rule language"
        )
    if isinstance(node, str):
        operator = "has" if slot.many else "is"
        return [Test(name, operator, _value(file, line, name, slot, node), node)]
    if isinstance(node, Items):
        raise file.fault(line, f"{name}: a list needs an operator", f"{name}: {{one_of: [...]}}")
    tests = []
    for operator, wanted in node.items():
        where = node.at(operator)
        if operator not in OPERATORS:
            raise file.fault(where, f"{operator!r} is no operator", "one of " + ", ".join(OPERATORS))
        if operator in ("below", "above", "at_least", "at_most", "between") and not slot.dimension:
            raise file.fault(
                where, f"{name} is a word, {operator!r} compares numbers", f"{name}: WORD or {{one_of: [WORDS]}}"
            )
        if operator in ("has", "has_any", "lacks") and not slot.many:
            raise file.fault(
                where, f"{name} holds one value, {operator!r} asks for one of several", f"{name}: {{one_of: [...]}}"
            )
        value: Any
        if operator == "unknown":
            if wanted not in ("yes", "no"):
                raise file.fault(where, f"{name}: unknown takes yes or no", f'{name}: {{unknown: "yes"}}')
            value = wanted == "yes"
        elif operator in ("one_of", "none_of", "has_any", "lacks", "between"):
            if not isinstance(wanted, Items) or not wanted or not all(isinstance(w, str) for w in wanted):
                raise file.fault(where, f"{operator} takes a list", f"{name}: {{{operator}: [first, second]}}")
            value = tuple(_value(file, where, name, slot, str(w)) for w in wanted)
            if operator == "between" and (len(value) != 2 or not value[0] < value[1]):
                raise file.fault(
                    where, "between takes two numbers, the lower first", f"{name}: {{between: [20 K, 30 K]}}"
                )
        else:
            if not isinstance(wanted, str):
                raise file.fault(where, f"{operator} takes one value", f"{name}: {{{operator}: VALUE}}")
            value = _value(file, where, name, slot, wanted)
        shown = wanted if isinstance(wanted, str) else ", ".join(str(w) for w in wanted)
        tests.append(Test(name, operator, value, f"{operator.replace('_', ' ')} {shown}"))
    return tests


def _contradiction(tests: list[Test]) -> str:
    """Name of a slot whose tests can never all hold; "" if there is none."""
    by_slot: dict[str, list[Test]] = {}
    for test in tests:
        by_slot.setdefault(test.slot, []).append(test)
    for slot, group in by_slot.items():
        low, high = float("-inf"), float("inf")
        words: set[Any] | None = None
        for test in group:
            if test.operator in ("above", "at_least"):
                low = max(low, test.value)
            elif test.operator in ("below", "at_most"):
                high = min(high, test.value)
            elif test.operator == "between":
                low, high = max(low, test.value[0]), min(high, test.value[1])
            elif test.operator in ("is", "one_of"):
                allowed = set(test.value) if test.operator == "one_of" else {test.value}
                words = allowed if words is None else words & allowed
        if low > high or (words is not None and not words):
            return slot
        if words is not None:
            for test in group:
                if test.operator in ("not", "none_of"):
                    words -= set(test.value) if test.operator == "none_of" else {test.value}
            if not words:
                return slot
    return ""


def read_tests(shown: str, block: Block, kind: str, skip: Container[str] = ()) -> tuple[Test, ...]:
    """The tests of a mapping of slots, for other files that use the same conditions (techniques). Raises DataError."""
    file = _File(shown)
    tests: list[Test] = []
    for name, node in block.items():
        if name not in skip:
            tests.extend(_test(file, block.at(name), kind, name, node))
    return tuple(tests)


def _pattern(file: _File, line: int, role: str, node: Node, roles: Container[str]) -> Pattern:
    if not isinstance(node, Block):
        raise file.fault(line, f"{role or 'a pattern'} must be a mapping", "{is: component, form: solid}")
    kind = node.get("is")
    if not isinstance(kind, str) or kind not in KINDS:
        raise file.fault(node.at("is"), f"{kind!r} is no kind of fact", "is: one of " + ", ".join(KINDS))
    tests: list[Test] = []
    joins: list[tuple[str, str]] = []
    differs: list[tuple[str, str]] = []
    for name, wanted in node.items():
        at = node.at(name)
        if name == "is":
            continue
        if name == "other_than":
            others = [wanted] if isinstance(wanted, str) else list(wanted)
            for other in others:
                if not isinstance(other, str) or other not in roles:
                    raise file.fault(
                        at, f"other_than names {other!r}, which is no role of this rule", "the name of a role"
                    )
                differs.append(("id", other))
        elif name == "same_as":
            if not isinstance(wanted, str) or wanted not in roles:
                raise file.fault(at, f"same_as names {wanted!r}, which is no role of this rule", "the name of a role")
            joins.append(("id", wanted))
        elif name in _REFERENCES.get(kind, ()) and isinstance(wanted, str) and wanted in roles:
            joins.append((name, wanted))
        elif name in _REFERENCES.get(kind, ()) and kind == "pair":
            raise file.fault(
                at, f"{name} names {wanted!r}, which is no role of this rule", "the name of a component role"
            )
        else:
            tests.extend(_test(file, at, kind, name, wanted))
    return Pattern(role, kind, tuple(tests), tuple(joins), tuple(differs))


def merged(find: tuple[Pattern, ...]) -> tuple[Pattern, ...]:
    """The patterns with component roles folded into pair facts, which hold both components' slots already.

    The engine then matches one wide fact where it would else join three.
    """
    components = {p.role: p for p in find if p.kind == "component"}
    pairs = [p for p in find if p.kind == "pair"]
    # the one fact of the whole mixture decides most rules at once, so it is matched first
    whole = [p for p in find if p.kind == "mixture"]
    others = [p for p in find if p.kind not in ("component", "pair", "mixture")]
    joined: set[str] = set()
    out: list[Pattern] = []

    def fold(role: str, place: str, tests: list[Test]) -> None:
        if role in joined or role not in components:
            return
        joined.add(role)
        tests.extend(Test(f"{place}_{t.slot}", t.operator, t.value, t.text) for t in components[role].tests)

    for pair in pairs:
        ends = dict(pair.joins)
        tests = list(pair.tests)
        for place in ("first", "second"):
            if place in ends:
                fold(ends[place], place, tests)
        out.append(Pattern(pair.role, "pair", tuple(tests), pair.joins, pair.differs))
    left = [role for role in components if role not in joined]
    # a component held by another, or told apart from it, is matched as a pair as well
    for role in list(left):
        if role in joined:
            continue
        pattern = components[role]
        partner = next(
            (r for slot, r in (*pattern.joins, *pattern.differs) if r in components and r not in joined and r != role),
            "",
        )
        if partner:
            tests = []
            held = any(slot == "host" and r == partner for slot, r in pattern.joins)
            fold(partner, "second" if held else "first", tests)
            fold(role, "first" if held else "second", tests)
            if held:
                tests.append(Test("holds", "is", "yes", "yes"))
            first, second = (role, partner) if held else (partner, role)
            rest = tuple((slot, r) for slot, r in pattern.differs if r != partner)
            rest += components[partner].differs
            place = "first" if held else "second"
            extra = tuple((place, r) for _, r in rest)
            hosts = tuple((f"{place}_{slot}", r) for slot, r in pattern.joins if r != partner)
            out.append(
                Pattern(
                    f"{first}_{second}", "pair", tuple(tests), (("first", first), ("second", second), *hosts), extra
                )
            )
    for role in left:
        if role not in joined:
            out.append(components[role])
    return (*whole, *out, *others)


def _places(file: _File, line: int, text: str, roles: dict[str, str], what: str) -> None:
    for role, slot in PLACE.findall(text):
        if role not in roles:
            raise file.fault(line, f"{what} names the role {role!r}, which is not found", "one of " + ", ".join(roles))
        kind = roles[role]
        if slot not in KINDS[kind] and not (kind == "pair" and slot in COMPONENT):
            near = get_close_matches(slot, list(KINDS[kind]), 3)
            raise file.fault(line, f"{what}: a {kind} has no slot {slot!r}", ", ".join(near) or "a slot of that fact")
    if "{" in PLACE.sub("", text) or "}" in PLACE.sub("", text):
        raise file.fault(line, f"{what} holds a brace that is no place", "{role.slot}, for example {low.name}")


def _examples(file: _File, block: Block) -> tuple[Example, ...]:
    node = block.get("examples")
    if not isinstance(node, Items) or not node:
        raise file.fault(
            block.at("examples"),
            "'examples' is missing",
            "examples: a list with one that fires and one that stays silent",
        )
    out = []
    for index, item in enumerate(node):
        line = node.at(index)
        if not isinstance(item, Block):
            raise file.fault(line, "an example must be a mapping", "{name: ..., mixture: ..., expect: fires}")
        file.known_keys(item, _EXAMPLE_KEYS, "an example")
        expect = file.text(item, "expect", "fires")
        if expect not in ("fires", "silent"):
            raise file.fault(item.at("expect"), f"expect cannot be {expect!r}", "expect: fires, or expect: silent")
        out.append(
            Example(
                file.text(item, "name", "what this shows"),
                file.text(item, "mixture", "sand and water"),
                expect == "fires",
                file.texts(item, "want"),
                file.texts(item, "without"),
                file.text(item, "pressure", "84 kPa", required=False),
            )
        )
    for fires, word in ((True, "fires"), (False, "silent")):
        if not any(example.fires is fires for example in out):
            raise file.fault(
                block.at("examples"), f"no example says 'expect: {word}'", f"an example with expect: {word}"
            )
    return tuple(out)


def load_rule(path: Path, shown: str, is_technique: Callable[[str], bool], is_source: Callable[[str], bool]) -> Rule:
    """Read and check one rule file. Raises DataError naming file, line, fault and mend."""
    file = _File(shown)
    block = read_mapping(path, shown)
    file.known_keys(block, _KEYS, "a rule")
    ident = file.text(block, "id", path.stem)
    if ident != path.stem:
        raise file.fault(block.at("id"), f"the id {ident!r} is not the file's name", f"id: {path.stem}")
    heads = [head for head in HEADS if head in block]
    if len(heads) != 1:
        raise file.fault(
            block.line, "a rule says exactly one thing", "one of " + ", ".join(f"{head}:" for head in HEADS)
        )
    head = heads[0]
    says = file.texts(block, head)
    if not says:
        raise file.fault(block.at(head), f"{head!r} is empty", f"{head}: NAME")
    for word in says:
        line = block.at(head)
        if head in ("proposes", "rejects") and not is_technique(word):
            raise file.fault(line, f"{word!r} is no technique", "the id of a file in rules/techniques")
        if head == "refuses" and word not in REFUSALS:
            raise file.fault(line, f"{word!r} is no kind of refusal", "one of " + ", ".join(REFUSALS))
        if head == "warns" and word not in SEVERITIES:
            raise file.fault(line, f"{word!r} is no degree of a caution", "one of " + ", ".join(SEVERITIES))
    if head in ("proposes", "concludes", "refuses", "warns") and len(says) != 1:
        raise file.fault(block.at(head), f"{head!r} takes one word", f"{head}: {says[0]}")
    strength = file.text(block, "strength", "best", required=head == "proposes")
    if strength and (head != "proposes" or strength not in STRENGTHS):
        raise file.fault(block.at("strength"), f"strength cannot be {strength!r}", "one of " + ", ".join(STRENGTHS))
    find_node = block.get("find")
    if not isinstance(find_node, Block) or not find_node:
        raise file.fault(block.at("find"), "'find' is missing or empty", "find: {name: {is: component, ...}}")
    for role in find_node:
        if not _ROLE.match(role):
            raise file.fault(find_node.at(role), f"{role!r} is no name for a role", "small letters, digits and _ only")
    find = [_pattern(file, find_node.at(role), role, node, find_node) for role, node in find_node.items()]
    roles = {pattern.role: pattern.kind for pattern in find}
    where = block.get("where")
    if where is not None:
        find = _with_where(file, block.at("where"), where, find)
    for pattern in find:
        slot = _contradiction(list(pattern.tests))
        if slot:
            raise file.fault(
                find_node.at(pattern.role),
                f"the conditions on {pattern.role}.{slot} contradict each other",
                "conditions that can hold together",
            )
    unless_node = block.get("unless")
    unless: list[Pattern] = []
    if unless_node is not None:
        if not isinstance(unless_node, Items):
            raise file.fault(
                block.at("unless"), "'unless' must be a list of patterns", "unless: [{is: component, ...}]"
            )
        unless = [_pattern(file, unless_node.at(i), "", node, roles) for i, node in enumerate(unless_node)]
    because = file.text(block, "because", "the reason, in one sentence")
    _places(file, block.at("because"), because, roles, "'because'")
    about, other = (file.text(block, key, "a role", required=False) for key in ("about", "other"))
    for key, role in (("about", about), ("other", other)):
        if role and role not in roles:
            raise file.fault(block.at(key), f"{key} names {role!r}, which is no role", "one of " + ", ".join(roles))
    if head == "concludes" and not about:
        raise file.fault(block.at("concludes"), "a conclusion is about a role", "about: NAME OF A ROLE")
    harm, several, least = _caution_keys(file, block, head, says, roles)
    source = file.text(block, "source", "common-practice")
    if not is_source(source):
        raise file.fault(block.at("source"), f"{source!r} is no source", "a key of substances/sources.yaml")
    return Rule(
        ident, head, says, tuple(find), merged(tuple(find)), tuple(unless), because,
        file.text(block, "principle", "the principle behind it"), source, strength, about, other,
        file.texts(block, "goes_wrong_when"), _examples(file, block), shown, block.line, harm, several, least,
        file.texts(block, "replaces"),
    )  # fmt: skip


def _caution_keys(
    file: _File, block: Block, head: str, says: tuple[str, ...], roles: dict[str, str]
) -> tuple[str, str, tuple[str, str]]:
    """What only a caution has: what it guards against, and how several components are told of together."""
    told = head == "warns" and says[0] != "waste"
    for key in ("harm", "several", "least", "replaces"):
        if key in block and not (told if key == "harm" else head == "warns"):
            raise file.fault(block.at(key), f"only a caution has {key!r}", "a rule with warns: danger, care or note")
    harm = file.text(block, "harm", "fire", required=told)
    if told and harm not in HARMS:
        raise file.fault(
            block.at("harm"), f"{harm!r} is nothing a caution guards against", "one of " + ", ".join(HARMS)
        )
    several, least = (file.text(block, key, example, required=False) for key, example in _SEVERAL)
    if bool(several) != bool(least):
        raise file.fault(block.line, "'several' and 'least' go together", "least: x.flash_point")
    if not several:
        return harm, "", ("", "")
    role, dot, slot = least.partition(".")
    if not dot or role not in roles or slot not in KINDS[roles[role]]:
        raise file.fault(block.at("least"), f"{least!r} is no slot of a role", "ROLE.SLOT, for example x.flash_point")
    _places(file, block.at("several"), several, {**roles, "least": roles[role]}, "'several'")
    return harm, several, (role, slot)


def _with_where(file: _File, line: int, where: Node, find: list[Pattern]) -> list[Pattern]:
    if not isinstance(where, Items):
        raise file.fault(line, "'where' must be a list of conditions", "where: [{pair.boiling_gap: {below: 25 K}}]")
    extra: dict[str, list[Test]] = {}
    kinds = {pattern.role: pattern.kind for pattern in find}
    for index, item in enumerate(where):
        if not isinstance(item, Block):
            raise file.fault(where.at(index), "a condition must be a mapping", "{pair.boiling_gap: {below: 25 K}}")
        for name, wanted in item.items():
            role, dot, slot = name.partition(".")
            if not dot or role not in kinds:
                raise file.fault(
                    item.at(name), f"{name!r} does not name a role and a slot", "ROLE.SLOT with a role of 'find'"
                )
            extra.setdefault(role, []).extend(_test(file, item.at(name), kinds[role], slot, wanted))
    return [Pattern(p.role, p.kind, (*p.tests, *extra.get(p.role, ())), p.joins, p.differs) for p in find]
