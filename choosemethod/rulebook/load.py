"""What a rule's file holds, and how it is read; patterns are merged for the engine."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from choosemethod.data import (
    FAULTY,
    SOURCE,
    Entry,
    FileId,
    Flag,
    Listed,
    Names,
    Own,
    Problems,
    Reading,
    Record,
    Ref,
    Table,
    Text,
    Word,
    read_file,
)
from choosemethod.facts import COMPONENT, KINDS
from choosemethod.mixture import AIMS
from choosemethod.rulebook.conditions import CONDITIONS, read_tests
from choosemethod.rulebook.language import HARMS, HEADS, PLACE, Deed, Example, Pattern, Rule, Test
from choosemethod.yamltext import Block, Node

__all__ = ["DEEDS", "REFUSALS", "RULE", "SEVERITIES", "STRENGTHS", "load_rule"]

STRENGTHS = ("best", "good", "fair", "possible")
REFUSALS = ("unsafe", "not-separable", "nothing-to-separate")
SEVERITIES = ("danger", "care", "note", "waste")
# What a conclusion may do, and which keys stand beside each verb.
DEEDS: Mapping[str, tuple[str, ...]] = {
    "reads": ("as", "name", "form", "role"),
    "adds": ("form", "in", "role"),
    "asks": (),
    "says": (),
}
_PARTS = ("component", "host", "wanted", "removed", "impurity", "main", "reagent", "story", "looked for")
_FLAGS = ("purify", "reacted", "alloy", "apart", "fine")
_ROLE = re.compile(r"[a-z][a-z0-9_]*\Z")
# Slots of a kind that hold the key of a component, and so may name a role.
_REFERENCES = {
    "component": ("host",),
    "pair": ("first", "second"),
    "finding": ("about", "other"),
    "dryer": ("dries",),
    "extractant": ("host",),
    "help": ("first", "second"),
}


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


def _pattern(node: Node, line: int, role: str, file: Reading) -> Any:
    """A pattern; `role` is its name in `find`, or "unless". Other roles it may name are those known to the reading."""
    if not isinstance(node, Block):
        return file.fault(line, f"{role} must be a mapping", "{is: component, form: solid}")
    kind = node.get("is")
    if not isinstance(kind, str) or kind not in KINDS:
        return file.fault(node.at("is"), f"{kind!r} is no kind of fact", "is: one of " + ", ".join(KINDS))
    before = len(file.problems)
    tests: list[Test] = []
    joins: list[tuple[str, str]] = []
    differs: list[tuple[str, str]] = []
    for name, wanted in node.items():
        at = node.at(name)
        if name == "other_than":
            differs += [("id", other) for other in _ROLES.read(wanted, at, name, file) or ()]
        elif name == "same_as":
            joins.append(("id", _AS_ROLE.read(wanted, at, name, file)))
        elif name in _REFERENCES.get(kind, ()) and (wanted in file.known["role"].words or kind == "pair"):
            joins.append((name, _AS_ROLE.read(wanted, at, name, file)))
        elif name != "is":
            tests += read_tests(kind, name, wanted, at, file)
    slot = _contradiction(tests)
    if slot:
        wrong = f"the conditions on {role}.{slot} contradict each other"
        file.fault(line, wrong, "conditions that can hold together")
    if len(file.problems) > before:
        return FAULTY
    return Pattern("" if role == "unless" else role, kind, tuple(tests), tuple(joins), tuple(differs))


_AS_ROLE = Ref("role", noun="role of this rule", mend="the name of a role")
_ROLES = Listed(_AS_ROLE)
_NAMED = {"anyOf": [_AS_ROLE.schema(), {"type": "array"}]}
PATTERN = Own(
    _pattern,
    {
        "type": "object",
        "properties": {"is": {"enum": list(KINDS)}},
        "required": ["is"],
        "allOf": [
            {
                "if": {"properties": {"is": {"const": kind}}},
                "then": {
                    "properties": {"is": True, "other_than": _NAMED, "same_as": _NAMED, **CONDITIONS[kind]},
                    "additionalProperties": False,
                },
            }
            for kind in KINDS
        ],
    },
    example="{is: component, form: solid}",
)


class _Wide(NamedTuple):
    """A pair pattern being made."""

    tests: list[Test]
    joins: list[tuple[str, str]]
    differs: list[tuple[str, str]]

    def pattern(self, role: str) -> Pattern:
        return Pattern(role, "pair", tuple(self.tests), tuple(self.joins), tuple(self.differs))


def _related(find: tuple[Pattern, ...]) -> set[str]:
    """Component roles that stand in a relation to another component role: in it, told apart from it, or a pair."""
    components = {p.role for p in find if p.kind == "component"}
    related: set[str] = set()
    for pattern in find:
        named = {role for _, role in (*pattern.joins, *pattern.differs)} & components
        if pattern.kind == "pair":
            related |= named
        elif pattern.kind == "component" and named:
            related |= named | {pattern.role}
    return related


def merged(find: tuple[Pattern, ...]) -> tuple[Pattern, ...]:
    """The patterns with component roles folded into pair facts, which hold both components' slots already.

    The engine then matches one wide fact where it would else join three. A component that stands to another as its host,
    or is told apart from it, is no mere trace: of traces there are no pair facts, and what is not folded says so.
    """
    components = {p.role: p for p in find if p.kind == "component"}
    pairs = [p for p in find if p.kind == "pair"]
    # the one fact of the whole mixture decides most rules at once, so it is matched first
    whole = [p for p in find if p.kind == "mixture"]
    others = [p for p in find if p.kind not in ("component", "pair", "mixture")]
    joined: set[str] = set()
    out: list[Pattern] = []

    def fold(role: str, place: str, partner: str, into: _Wide) -> None:
        """Move a component's conditions into the pair fact it is an end of; what it says of its partner holds there."""
        if role in joined or role not in components:
            return
        joined.add(role)
        pattern = components[role]
        into.tests.extend(Test(f"{place}_{t.slot}", t.operator, t.value, t.text) for t in pattern.tests)
        for slot, other in pattern.joins:
            if slot == "host" and other == partner and place == "first":
                into.tests.append(Test("holds", "is", "yes", "yes"))
            else:
                into.joins.append((f"{place}_{slot}", other))
        into.differs.extend((f"{place}_{slot}", other) for slot, other in pattern.differs if other != partner)

    for pair in pairs:
        ends = dict(pair.joins)
        wide = _Wide(list(pair.tests), list(pair.joins), list(pair.differs))
        for place, beside in (("first", "second"), ("second", "first")):
            if place in ends:
                fold(ends[place], place, ends.get(beside, ""), wide)
        out.append(wide.pattern(pair.role))
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
            held = any(slot == "host" and r == partner for slot, r in pattern.joins)
            first, second = (role, partner) if held else (partner, role)
            wide = _Wide([], [("first", first), ("second", second)], [])
            fold(partner, "second" if held else "first", role, wide)
            fold(role, "first" if held else "second", partner, wide)
            out.append(wide.pattern(f"{first}_{second}"))
    related = _related(find)
    for role in left:
        if role not in joined:
            one = components[role]
            tests = (*one.tests, Test("trace", "is", "no", "no")) if role in related else one.tests
            out.append(one._replace(tests=tests))
    return (*whole, *out, *others)


def check_places(line: int, text: str, roles: Mapping[str, str], what: str, file: Reading) -> None:
    """Note each {role.slot} of a text that names no role or no slot of its fact, and any other brace."""
    for role, slot in PLACE.findall(text):
        kind = roles.get(role, "component")
        if role not in roles:
            file.fault(line, f"{what} names the role {role!r}, which is not found", "one of " + ", ".join(roles))
        elif kind in KINDS and slot not in KINDS[kind] and not (kind == "pair" and slot in COMPONENT):
            from difflib import get_close_matches

            near = get_close_matches(slot, list(KINDS[kind]), 3)
            file.fault(line, f"{what}: a {kind} has no slot {slot!r}", ", ".join(near) or "a slot of that fact")
    if "{" in PLACE.sub("", text) or "}" in PLACE.sub("", text):
        file.fault(line, f"{what} holds a brace that is no place", "{role.slot}, for example {low.name}")


def _both(examples: tuple[Example, ...], line: int, what: str, file: Reading) -> Any:
    for fires, word in ((True, "fires"), (False, "silent")):
        if not any(example.fires is fires for example in examples):
            return file.fault(line, f"no example says 'expect: {word}'", f"an example with expect: {word}")
    return examples


class _RoleName(Text):
    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        if _ROLE.match(text):
            return text
        return file.fault(line, f"{text!r} is no name for a role", "small letters, digits and _ only")


def _check(rule: Entry) -> None:
    heads = [head for head in HEADS if head in rule]
    if len(heads) != 1:
        rule.file.fault(rule.line, "a rule says exactly one thing", "one of " + ", ".join(f"{one}:" for one in HEADS))
    elif heads[0] == "proposes" and "strength" not in rule:
        rule.fault("strength", "strength is missing", "strength: best")
    elif heads[0] != "proposes" and "strength" in rule:
        rule.fault("strength", "only a proposal has a strength", "no strength: here")
    _check_conclusion(rule, heads[0] if heads else "")
    _check_caution(rule, heads[0] if heads else "")
    if rule["find"] is not FAULTY:
        find = tuple(pattern for pattern in rule["find"].values() if pattern is not FAULTY)
        for pattern in find:
            if pattern.role in _related(find) and any(t.slot == "trace" and not t("no") for t in pattern.tests):
                wrong = f"{pattern.role} stands in a relation to another component, so it is never a mere trace"
                rule.fault("find", wrong, 'trace: "yes" on a component by itself')
    if rule["because"] is not FAULTY and (roles := rule.file.context.get("roles")) is not None:
        check_places(rule.at("because"), rule["because"], roles, "because", rule.file)


def _check_conclusion(rule: Entry, head: str) -> None:
    """A conclusion says what it does, and looks at what was said; other rules look at the mixture."""
    concludes = head == "concludes"
    if concludes and not rule["does"]:
        if rule["does"] is not FAULTY:
            rule.fault("concludes", "a conclusion says what it does", "does: [{reads: ROLE, as: RELATION}]")
    elif "does" in rule and not concludes:
        rule.fault("does", "only a rule that concludes does something", "no does: here")
    roles = rule.file.context.get("roles") or {}
    for role, kind in roles.items():
        if kind in KINDS and (kind in ("mention", "utterance")) is not concludes and head:
            write = "is: mention or utterance" if concludes else "is: component, pair or mixture, or concludes:"
            rule.fault("find", f"{role}: a rule that {head} does not look at a {kind}", write)
    if not concludes or rule["does"] is FAULTY:
        return
    for deed in rule["does"]:
        for role in (deed.of if deed.verb == "reads" else "", deed.host):
            if role and roles.get(role) != "mention":
                mentions = [one for one, kind in roles.items() if kind == "mention"]
                rule.fault("does", f"{role!r} is no mention of this rule", "one of " + ", ".join(mentions))


def _check_deed(deed: Entry) -> None:
    verbs = [verb for verb in DEEDS if verb in deed]
    if len(verbs) != 1:
        deed.file.fault(deed.line, "each thing done has one verb", "one of " + ", ".join(f"{one}:" for one in DEEDS))
        return
    for key in ("as", "name", "form", "in", "role"):
        if key in deed and key not in DEEDS[verbs[0]]:
            keys = " or ".join(f"{one}:" for one in DEEDS[verbs[0]])
            deed.fault(key, f"{verbs[0]}: takes no {key}", keys or f"nothing beside {verbs[0]}:")
    if verbs == ["reads"] and not any(key in deed for key in DEEDS["reads"]):
        deed.file.fault(deed.line, "nothing changes", "as: RELATION, or name:, form: or role:")


def _deed(deed: Entry) -> Deed:
    verb = next(verb for verb in DEEDS if verb in deed)
    related, name, form, host, role = deed.pick("as", "name", "form", "in", "role")
    return Deed(verb, deed[verb], related, name, form, host, role)


def _check_caution(rule: Entry, head: str) -> None:
    """What only a caution has: what it guards against, and how several components are told of together."""
    told = head == "warns" and rule["warns"] != "waste"
    for key in ("harm", "several", "least", "replaces", "kept"):
        if key in rule and not (told if key == "harm" else head == "warns"):
            rule.fault(key, f"only a caution has {key}", "a rule with warns: danger, care or note")
    if told and "harm" not in rule:
        rule.fault("warns", "harm is missing: what the caution guards against", "one of " + ", ".join(HARMS))
    if ("several" in rule) != ("least" in rule):
        rule.fault("several" if "several" in rule else "least", "several and least go together", "least: x.flash_point")
    roles = rule.file.context.get("roles")
    if "several" not in rule or "least" not in rule or roles is None:
        return
    role, dot, slot = str(rule["least"]).partition(".")
    kind = roles.get(role, "")
    if not dot or slot not in KINDS.get(kind, ()):
        rule.fault("least", f"{rule['least']!r} is no slot of a role", "ROLE.SLOT, for example x.flash_point")
    check_places(rule.at("several"), str(rule["several"]), {**roles, "least": kind}, "several", rule.file)


def _made(rule: Entry) -> Rule:
    head = next(head for head in HEADS if head in rule)
    says = rule[head] if isinstance(rule[head], tuple) else (rule[head],)
    find = tuple(rule["find"].values())
    principle, source, strength, about, other = rule.pick("principle", "source", "strength", "about", "other")
    return Rule(
        rule["id"], head, says, find, merged(find), rule["unless"], rule["because"], principle, source, strength,
        about, other, rule["goes_wrong_when"], rule["examples"], rule.file.shown, rule.line,
        rule["harm"], rule["several"], tuple(rule["least"].split(".")) if rule["least"] else ("", ""),
        rule["replaces"], rule["kept"], rule["does"],
    )  # fmt: skip


_TECHNIQUE = Ref("technique", mend="the id of a file in rules/techniques")
EXAMPLE = Record(
    "an example",
    {
        "name": Text(example="what this shows"),
        "mixture": Text(example="sand and water"),
        "expect": Word(("fires", "silent"), noun="outcome of an example"),
        "want?": Listed(Text()),
        "without?": Listed(Text()),
        "pressure?": Text(example="84 kPa"),
    },
    make=lambda one: Example(
        one["name"], one["mixture"], one["expect"] == "fires", one["want"], one["without"], one["pressure"]
    ),
)
_NAME = Ref("name", noun="name of the table", mend="a name of a file in substances/")
DEED = Record(
    "what a conclusion does",
    {
        "reads?": _AS_ROLE,
        "adds?": _NAME,
        "asks?": Word((*AIMS, "consume"), noun="aim or purpose"),
        "says?": Word(_FLAGS, noun="thing said of the whole"),
        "as?": Ref("relation", mend="a key of rules/related.yaml"),
        "name?": _NAME,
        "form?": Word(COMPONENT["form"].words, noun="form"),
        "in?": _AS_ROLE,
        "role?": Word(_PARTS, noun="role of a mention"),
    },
    check=_check_deed,
    make=_deed,
)
RULE = Record(
    "a rule",
    {
        "id": FileId(),
        "proposes?": _TECHNIQUE,
        "rejects?": Listed(_TECHNIQUE, least=1),
        "refuses?": Word(REFUSALS, noun="kind of refusal"),
        "warns?": Word(SEVERITIES, noun="degree of a caution"),
        "concludes?": Text(),
        "does?": Listed(DEED, alone=False),
        "strength?": Word(STRENGTHS),
        "about?": _AS_ROLE,
        "other?": _AS_ROLE,
        "find": Table(PATTERN, key=_RoleName(), least=1),
        "unless?": Listed(PATTERN, alone=False),
        "harm?": Word(HARMS, noun="thing a caution guards against"),
        "several?": Text(example="the text for several at once"),
        "least?": Text(example="x.flash_point"),
        "replaces?": Listed(Text()),
        "kept?": Flag(),
        "because": Text(example="the reason, in one sentence"),
        "principle": Text(example="the principle behind it"),
        "source": SOURCE,
        "goes_wrong_when?": Listed(Text()),
        "examples": Listed(EXAMPLE, alone=False, least=1, make=_both),
    },
    check=_check,
    make=_made,
)


def load_rule(path: Path, shown: str, known: Mapping[str, Names], problems: Problems | None = None) -> Any:
    """Read and check one rule file: a Rule. known: names of techniques and sources (a sort that is not there: any).

    Raises DataError with every fault of the file; with `problems` they are noted there, and FAULTY is given.
    """

    def roles(block: Block) -> tuple[Mapping[str, Names], Mapping[str, Any]]:
        find = block.get("find")
        if not isinstance(find, Block):
            return {"role": Names(())}, {}
        kinds = {role: str(node.get("is")) if isinstance(node, Block) else "" for role, node in find.items()}
        return {"role": Names(kinds)}, {"roles": kinds}

    return read_file(path, RULE, shown, known, problems, ahead=roles)
