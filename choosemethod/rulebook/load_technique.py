"""What a technique's file holds, and how it is read."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from choosemethod.data import (
    FAULTY,
    SOURCE,
    Entry,
    FileId,
    Flag,
    Listed,
    Names,
    Own,
    Plain,
    Problems,
    Reading,
    Record,
    Ref,
    Table,
    Text,
    Word,
    read_file,
)
from choosemethod.facts import KINDS
from choosemethod.mixture import FORMS, LEVELS
from choosemethod.rulebook.conditions import CONDITIONS, read_tests
from choosemethod.rulebook.language import HARMS, Test
from choosemethod.rulebook.technique import PLACE, Change, Line, Part, Takes, Technique
from choosemethod.yamltext import Block, Node

__all__ = ["TECHNIQUE", "load_technique"]

_COMPARED = ("at_least", "at_most", "above", "below", "is")  # operators that can compare with a role's number
_ANY_ROLE = ("any", "none", "added", "organic")  # words for components that a condition may speak of besides the roles


def _kind(role: str, file: Reading) -> str | None:
    """The kind of fact of a role, "" if it is a role whose kind is faulty, None if it is no role."""
    if role in _ANY_ROLE:
        return "component"
    found: str | None = "mixture" if role == "mixture" else file.context["roles"].get(role)
    return found


def _has_slot(role: str, slot: str, file: Reading) -> bool:
    kind = _kind(role, file)
    return kind is not None and (kind not in KINDS or slot in KINDS[kind])


class _RoleSlot(Text):
    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        role, dot, slot = text.partition(".")
        if dot and role in file.context["roles"] and _has_slot(role, slot, file):
            return role, slot
        wrong = f"{text!r} is no slot of a role of this technique"
        return file.fault(line, wrong, "ROLE.SLOT, a role named under roles:")


_ROLE = Ref("role", own=("added",), mend="a role named under roles:")
_SLOT = _RoleSlot()
_ROLES, _SLOTS = Listed(_ROLE), Listed(_SLOT)


def _takes(node: Node, line: int, what: str, file: Reading) -> Any:
    """One mapping of conditions on a component: slots of its own, numbers compared with a role's, roles, lists."""
    if node == "rest":
        return Takes(rest=True)
    if not isinstance(node, Block):
        wrong = f"{what} must be a mapping of conditions, or the word rest"
        return file.fault(line, wrong, "takes: {form: solid}")
    before = len(file.problems)
    tests: list[Test] = []
    compare: list[tuple[str, str, str, str]] = []
    for name, wanted in node.items():
        if name in ("role", "in", "not_in"):
            continue
        own = wanted
        if isinstance(wanted, Block):
            own = Block(wanted.line)
            own.lines.update(wanted.lines)
            for operator, value in wanted.items():
                if not (isinstance(value, str) and value.partition(".")[0] in file.context["roles"]):
                    own[operator] = value
                    continue
                at = wanted.at(operator)
                if operator not in _COMPARED:
                    file.fault(at, f"{operator} cannot compare with a role", "at_least or at_most")
                elif name not in KINDS["component"]:
                    file.fault(at, f"a component has no slot {name!r}", "a slot of a component")
                elif (found := _SLOT.read(value, at, name, file)) is not FAULTY:
                    compare.append((name, operator, *found))
            if not own and wanted:
                continue
        tests += read_tests("component", name, own, node.at(name), file)
    roles = _ROLES.read(node["role"], node.at("role"), "role", file) if "role" in node else ()
    within, outside = (
        _SLOTS.read(node[key], node.at(key), key, file) if key in node else () for key in ("in", "not_in")
    )
    if len(file.problems) > before:
        return FAULTY
    return Takes(False, tuple(tests), roles, within, outside, tuple(compare))


_NAMES = {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}
TAKES = Listed(
    Own(
        _takes,
        {
            "anyOf": [
                {"const": "rest"},
                {
                    "type": "object",
                    "properties": {**CONDITIONS["component"], **dict.fromkeys(("role", "in", "not_in"), _NAMES)},
                    "additionalProperties": False,
                },
            ]
        },
        example="{form: solid}",
    )
)
_HOST = Ref("role", own=("added", "none"), mend="added, none, or a role", empty="keep")
_FORM = Word(tuple(FORMS), noun="form")
PART = Record(
    "a part",
    {
        "name": Text(example="the residue"),
        "takes": TAKES,
        "each?": Flag(),
        "each_layer?": Flag(),
        "with_held?": Flag(),
        "form?": _FORM,
        "keeps?": Word(("liquid",), noun="thing to keep"),
        "lost?": Flag(),
        "done?": Flag(),
        "shown?": Flag(),
        "state?": Text(example="dry"),
        "host?": _HOST,
        "carries?": Ref("role", mend="a role named under roles:"),
    },
    make=lambda one: one.values,
)
CHANGE = Record(
    "a change",
    {
        "takes": TAKES,
        "form?": _FORM,
        "host?": Ref("role", own=("added", "none", "organic"), mend="added, none, organic, or a role", empty="keep"),
        "reacted?": Text(example="its salt"),
        "becomes?": Word(("ordinary",), noun="thing to become"),
    },
    make=lambda one: Change(**one.values),
)


def _parts(found: dict[str, Any], block: Block, file: Reading) -> tuple[Part, ...]:
    return tuple(Part(key, **values) for key, values in found.items())


def _operation(one: Entry) -> Any:
    if not one["parts"] and not one["changes"]:
        return one.fault("parts", "the operation neither changes nor parts anything", "parts: or changes:")
    return one.values


def _when(node: Node, line: int, what: str, file: Reading) -> Any:
    if not isinstance(node, Block) or not node:
        return file.fault(line, f"{what} must be a mapping", '{when: {any.flammable: "yes"}, must: "..."}')
    when: list[tuple[str, tuple[Test, ...]]] = []
    for name, wanted in node.items():
        role, dot, slot = name.partition(".")
        kind = _kind(role, file)
        if not dot or kind is None:
            write = "any.SLOT, none.SLOT, mixture.SLOT, added.SLOT, organic.SLOT or ROLE.SLOT"
            file.fault(node.at(name), f"{name!r} is no slot of a role", write)
        elif kind in KINDS:
            when.append((role, tuple(read_tests(kind, slot, wanted, node.at(name), file))))
    return tuple(when)


class _Sentence(Text):
    """A text with places for slots of roles and names of parts."""

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        parts = file.context["parts"]
        for role, slot in PLACE.findall(text):
            if slot and (role == "none" or not _has_slot(role, slot, file)):
                file.fault(line, f"{{{role}.{slot}}} is no slot of a role of this technique", "{ROLE.SLOT}")
            elif not slot and parts is not None and role not in parts:
                file.fault(line, f"{{{role}}} is no part of this operation", "one of " + ", ".join(parts))
        rest = PLACE.sub("", text)
        if "{" in rest or "}" in rest:
            file.fault(line, "a brace that is no place", "{role.slot} or {part}")
        return text


_WHEN = Own(_when, {"type": "object", "minProperties": 1}, example='{any.flammable: "yes"}')
_KEEPS = ("danger", "must", "may")  # how a line of text is kept; only a caution can be a danger


def _one_text(line: Entry) -> None:
    told = [word for word in _KEEPS if word in line]
    if len(told) != 1:
        line.file.fault(line.line, "a line says one thing", 'must: "..." if it has to be told, else may: "..."')


def _line(line: Entry) -> Line:
    keep = next(word for word in _KEEPS if word in line)
    return Line(line[keep], line.values.get("when") or (), keep, line.values.get("harm") or "")


_SENTENCE = _Sentence(example="what to do")
_TOLD_LINE = {"when?": _WHEN, "must?": _SENTENCE, "may?": _SENTENCE}
LINE = Record("a line of text", _TOLD_LINE, check=_one_text, make=_line)
CAUTION = Record(
    "a caution",
    {**_TOLD_LINE, "danger?": _SENTENCE, "harm": Word(HARMS, noun="thing a caution guards against")},
    check=_one_text,
    make=_line,
)
_LINES = Listed(LINE, alone=False, partly=True, example="a list, each line beginning with a hyphen")
_CAUTIONS = Listed(CAUTION, alone=False, partly=True, example="a list, each line beginning with a hyphen")


class _Need(Ref):
    """Something a bench may lack, or several of which one will do ("oven or burner")."""

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        found = [super(_Need, self).convert(one, line, what, file) for one in text.split(" or ")]
        return FAULTY if FAULTY in found else text


_LIST_KEYS = ("apparatus", "steps", "seen", "cautions", "limits", "residues")
_TOLD = ("id", "name", "verb", "principle", "traits", "needs", "level", "order")


def _made(one: Entry) -> Technique:
    ident, name, verb, principle, traits, needs, level, order = one.pick(*_TOLD)
    apparatus, steps, seen, cautions, limits, residues = (tuple(one[key]) for key in _LIST_KEYS)
    work, minutes, hazard, loss = one["cost"].values()
    adds, adds_form, changes, parts = one["operation"].values()
    return Technique(
        ident, name, verb, principle, tuple(one["roles"].items()), traits, needs, level, order,
        (work, minutes, hazard, loss), adds, adds_form, changes, parts,
        apparatus, steps, seen, cautions, limits, residues, one["source"], one.file.shown, one.line,
    )  # fmt: skip


TECHNIQUE = Record(
    "a technique",
    {
        "id": FileId(),
        "name": Text(),
        "verb": Text(example="use a magnet"),
        "principle": Text(example="why it works"),
        "roles?": Table(Word(tuple(KINDS), noun="kind of fact"), example="{low: component, high: component}"),
        "traits?": Listed(Text()),
        "needs?": Listed(_Need("need", noun="thing a bench may lack", mend="a key of rules/setting/without.yaml")),
        "level": Word(LEVELS),
        "order": Plain(),
        "cost": Record("a cost", {"work": Plain(), "minutes": Plain(), "hazard": Plain(), "loss": Plain()}),
        "operation": Record(
            "an operation",
            {
                "adds?": Ref("role", own=("ordinary",), mend="a role named under roles:, or ordinary"),
                "as?": Text(empty="liquid"),
                "changes?": Listed(CHANGE, alone=False),
                "parts?": Table(PART, make=_parts, empty=()),
            },
            make=_operation,
            example="{parts: ...} (see another technique)",
        ),
        "apparatus": _LINES,
        "steps": _LINES,
        "seen": _LINES,
        "cautions?": _CAUTIONS,
        "limits?": _LINES,
        "residues?": _LINES,
        "source": SOURCE,
    },
    make=_made,
)


def load_technique(path: Path, shown: str, known: Mapping[str, Names], problems: Problems | None = None) -> Any:
    """Read and check one technique file: a Technique. known: names of needs and sources (a sort not there: any).

    Raises DataError with every fault of the file; with `problems` they are noted there, and FAULTY is given.
    """

    def roles(block: Block) -> tuple[Mapping[str, Names], Mapping[str, Any]]:
        written, operation = block.get("roles"), block.get("operation")
        kinds = {role: str(kind) for role, kind in written.items()} if isinstance(written, Block) else {}
        parts = operation.get("parts", Block()) if isinstance(operation, Block) else None
        return {"role": Names(kinds)}, {"roles": kinds, "parts": parts if isinstance(parts, Block) else None}

    return read_file(path, TECHNIQUE, shown, known, problems, ahead=roles)
