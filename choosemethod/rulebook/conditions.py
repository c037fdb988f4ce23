"""Conditions on the slots of facts, as rules and techniques write them."""

from __future__ import annotations

from typing import Any

from choosemethod.data import FAULTY, Reading
from choosemethod.facts import KINDS, UNKNOWN, Slot
from choosemethod.quantity import QuantityError, parse_number
from choosemethod.rulebook.language import OPERATORS, Test
from choosemethod.yamltext import Items, Node

__all__ = ["CONDITIONS", "read_tests"]

_OF_NUMBERS = ("below", "above", "at_least", "at_most", "between")
_OF_SEVERAL = ("has", "has_any", "lacks")
_WITH_LISTS = ("one_of", "none_of", "has_any", "lacks", "between")


def _operators(slot: Slot) -> tuple[str, ...]:
    """The operators that a slot can be asked with."""
    return tuple(
        operator
        for operator in OPERATORS
        if (slot.dimension or operator not in _OF_NUMBERS) and (slot.many or operator not in _OF_SEVERAL)
    )


def _condition(slot: Slot) -> dict[str, Any]:
    word: dict[str, Any] = {"type": ["string", "number", "boolean"]}
    words = {"type": "array", "items": word, "minItems": 1}
    asked = {operator: words if operator in _WITH_LISTS else word for operator in _operators(slot)}
    block = {"type": "object", "properties": asked, "additionalProperties": False}
    return {"description": slot.meaning, "anyOf": [word, block]}


# Kind of fact -> slot -> the JSON Schema of a condition on it.
CONDITIONS = {kind: {name: _condition(slot) for name, slot in slots.items()} for kind, slots in KINDS.items()}


def _value(line: int, name: str, slot: Slot, word: Node, file: Reading) -> Any:
    """One value of a test, converted to what the slot holds."""
    if not isinstance(word, str):
        return file.fault(line, f"{name} takes one value here", f"{name}: VALUE")
    if slot.dimension:
        try:
            return None if word == UNKNOWN else parse_number(word, slot.dimension)
        except QuantityError as error:
            return file.fault(line, f"{name}: {error}", f"{name} with a {slot.dimension}")
    if slot.words and word not in slot.words:
        known = "one of " + ", ".join(one or "''" for one in slot.words)
        return file.fault(line, f"{name} is never {word!r}, so the rule could not fire", known)
    return word


def read_tests(kind: str, name: str, node: Node, line: int, file: Reading) -> list[Test]:
    """The tests of one slot of a kind of fact; what is wrong with them is noted in the file."""
    slots = KINDS[kind]
    slot = slots.get(name)
    if slot is None:
        from difflib import get_close_matches

        near = get_close_matches(name, list(slots), 3)
        file.fault(line, f"a {kind} has no slot {name!r}", ", ".join(near) or "a slot listed in the rule language")
        return []
    if isinstance(node, Items):
        file.fault(line, f"{name}: a list needs an operator", f"{name}: {{one_of: [...]}}")
        return []
    if isinstance(node, str):
        value = _value(line, name, slot, node, file)
        return [] if value is FAULTY else [Test(name, "has" if slot.many else "is", value, node)]
    tests = []
    for operator, wanted in node.items():
        value = _asked(node.at(operator), name, slot, operator, wanted, file)
        if value is not FAULTY:
            shown = wanted if isinstance(wanted, str) else ", ".join(str(word) for word in wanted)
            tests.append(Test(name, operator, value, f"{operator.replace('_', ' ')} {shown}"))
    return tests


def _asked(line: int, name: str, slot: Slot, operator: str, wanted: Node, file: Reading) -> Any:
    """The value of an operator on a slot."""
    if operator not in OPERATORS:
        return file.fault(line, f"{operator!r} is no operator", "one of " + ", ".join(OPERATORS))
    if operator not in _operators(slot):
        wrong = "is a word, {} compares numbers" if operator in _OF_NUMBERS else "holds one value, {} asks for several"
        return file.fault(line, f"{name} {wrong.replace('{}', repr(operator))}", f"{name}: WORD or {{one_of: [WORDS]}}")
    if operator == "unknown":
        if wanted not in ("yes", "no"):
            return file.fault(line, f"{name}: unknown takes yes or no", f'{name}: {{unknown: "yes"}}')
        return wanted == "yes"
    if operator not in _WITH_LISTS:
        return _value(line, name, slot, wanted, file)
    if not isinstance(wanted, Items) or not wanted:
        return file.fault(line, f"{operator} takes a list", f"{name}: {{{operator}: [first, second]}}")
    values = tuple(_value(line, name, slot, word, file) for word in wanted)
    if FAULTY in values:
        return FAULTY
    if operator == "between" and (len(values) != 2 or not values[0] < values[1]):
        write = f"{name}: {{between: [20 K, 30 K]}}"
        return file.fault(line, "between takes two numbers, the lower first", write)
    return values
