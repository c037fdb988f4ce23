"""Techniques from YAML: read and check every word. Faults name file and line and the mend."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from choosemethod.facts import KINDS
from choosemethod.mixture import FORMS
from choosemethod.rulebook.language import HARMS, Test
from choosemethod.rulebook.load import _File, read_tests
from choosemethod.rulebook.technique import LEVELS, PLACE, Change, Line, Part, Takes, Technique
from choosemethod.yamltext import Block, Items, Node, read_mapping

__all__ = ["load_technique"]

_KEYS = (
    "id", "name", "verb", "principle", "roles", "traits", "needs", "level", "order", "cost", "operation", "apparatus",
    "steps", "seen", "cautions", "limits", "residues", "source",
)  # fmt: skip
_TAKES_KEYS = ("role", "in", "not_in")
_PART_KEYS = (
    "name",
    "takes",
    "each",
    "each_layer",
    "with_held",
    "form",
    "keeps",
    "lost",
    "done",
    "shown",
    "state",
    "host",
)
_CHANGE_KEYS = ("takes", "form", "host", "reacted")
_KEEPS = ("danger", "must", "may")  # how a line of text is kept; only a caution can be a danger
_COSTS = ("work", "minutes", "hazard", "loss")


class _TechniqueFile(_File):
    def __init__(self, shown: str, roles: Mapping[str, str]) -> None:
        super().__init__(shown)
        self.roles = dict(roles)

    def role_slot(self, line: int, text: str) -> tuple[str, str]:
        role, dot, slot = text.partition(".")
        kind = self.roles.get(role)
        if not dot or kind is None or slot not in KINDS[kind]:
            raise self.fault(
                line, f"{text!r} is no slot of a role of this technique", "ROLE.SLOT, a role named under roles:"
            )
        return role, slot

    def takes(self, line: int, node: Node | None) -> tuple[Takes, ...]:
        if isinstance(node, Items):
            return tuple(takes for index, item in enumerate(node) for takes in self.takes(node.at(index), item))
        if node == "rest":
            return (Takes(rest=True),)
        if not isinstance(node, Block):
            raise self.fault(line, "'takes' must be a mapping of conditions, or the word rest", "takes: {form: solid}")
        compare: list[tuple[str, str, str, str]] = []
        plain = Block(node.line)
        plain.lines.update(node.lines)
        for name, wanted in node.items():
            if name in _TAKES_KEYS:
                continue
            if isinstance(wanted, Block):
                kept = Block(wanted.line)
                kept.lines.update(wanted.lines)
                for operator, value in wanted.items():
                    if isinstance(value, str) and value.partition(".")[0] in self.roles:
                        if operator not in ("at_least", "at_most", "above", "below", "is"):
                            raise self.fault(
                                wanted.at(operator), f"{operator} cannot compare with a role", "at_least or at_most"
                            )
                        if name not in KINDS["component"]:
                            raise self.fault(
                                wanted.at(operator), f"a component has no slot {name!r}", "a slot of a component"
                            )
                        compare.append((name, operator, *self.role_slot(wanted.at(operator), value)))
                    else:
                        kept[operator] = value
                if kept:
                    plain[name] = kept
            else:
                plain[name] = wanted

        def roles(key: str) -> tuple[str, ...]:
            names = self.texts(node, key)
            for name in names:
                if name not in self.roles and name != "added":
                    raise self.fault(
                        node.at(key), f"{key} names {name!r}, which is no role", "a role named under roles:"
                    )
            return names

        takes = Takes(
            False,
            read_tests(self.shown, plain, "component"),
            roles("role"),
            tuple(self.role_slot(node.at("in"), text) for text in self.texts(node, "in")),
            tuple(self.role_slot(node.at("not_in"), text) for text in self.texts(node, "not_in")),
            tuple(compare),
        )
        return (takes,)

    def flag(self, block: Block, key: str) -> bool:
        value = block.get(key, "no")
        if value not in ("yes", "no"):
            raise self.fault(block.at(key), f"{key} is yes or no", f'{key}: "yes"')
        return value == "yes"

    def host(self, block: Block) -> str:
        host = self.text(block, "host", "added", required=False)
        if host not in ("", "added", "none") and host not in self.roles:
            raise self.fault(block.at("host"), f"host cannot be {host!r}", "added, none, or a role")
        return host or "keep"

    def form(self, block: Block) -> str:
        form = self.text(block, "form", "solid", required=False)
        if form and form not in FORMS:
            raise self.fault(block.at("form"), f"{form!r} is no form", "one of " + ", ".join(FORMS))
        return form

    def places(self, line: int, text: str, parts: Mapping[str, Any]) -> None:
        for role, slot in PLACE.findall(text):
            if not slot:
                if role not in parts:
                    raise self.fault(line, f"{{{role}}} is no part of this operation", "one of " + ", ".join(parts))
            else:
                kind = (
                    "component"
                    if role in ("added", "any")
                    else "mixture"
                    if role == "mixture"
                    else self.roles.get(role)
                )
                if kind is None or slot not in KINDS[kind]:
                    raise self.fault(line, f"{{{role}.{slot}}} is no slot of a role of this technique", "{ROLE.SLOT}")
        rest = PLACE.sub("", text)
        if "{" in rest or "}" in rest:
            raise self.fault(line, "a brace that is no place", "{role.slot} or {part}")

    def lines(self, block: Block, key: str, parts: Mapping[str, Any], required: bool) -> tuple[Line, ...]:
        node = block.get(key)
        if node is None and not required:
            return ()
        if not isinstance(node, Items):
            raise self.fault(
                block.at(key), f"{key!r} must be a list of texts", f"{key}: a list, each line beginning with a hyphen"
            )
        out = []
        for index, item in enumerate(node):
            at = node.at(index)
            when: list[tuple[str, tuple[Test, ...]]] = []
            caution = key == "cautions"
            keeps = _KEEPS if caution else _KEEPS[1:]
            if not isinstance(item, Block):
                raise self.fault(at, "a line says whether it must or may be told", 'must: "..." or may: "..."')
            self.known_keys(item, ("when", *keeps, *(("harm",) if caution else ())), "a line of text")
            told = [word for word in keeps if word in item]
            if len(told) != 1:
                raise self.fault(at, "a line says one thing", " or ".join(f'{word}: "..."' for word in keeps))
            harm = self.text(item, "harm", "fire", required=caution)
            if caution and harm not in HARMS:
                raise self.fault(
                    item.at("harm"), f"{harm!r} is nothing a caution guards against", "one of " + ", ".join(HARMS)
                )
            condition = item.get("when")
            if condition is not None:
                if not isinstance(condition, Block) or not condition:
                    raise self.fault(at, "'when' must be a mapping", '{when: {any.flammable: "yes"}, must: "..."}')
                for name, wanted in condition.items():
                    role, dot, slot = name.partition(".")
                    kind = (
                        "component"
                        if role in ("any", "none", "added")
                        else "mixture"
                        if role == "mixture"
                        else self.roles.get(role)
                    )
                    if not dot or kind is None:
                        raise self.fault(
                            condition.at(name),
                            f"{name!r} is no slot of a role",
                            "any.SLOT, none.SLOT, mixture.SLOT, added.SLOT or ROLE.SLOT",
                        )
                    single = Block(condition.at(name))
                    single[slot] = wanted
                    single.lines[slot] = condition.at(name)
                    when.append((role, read_tests(self.shown, single, kind)))
            text = self.text(item, told[0], "what to do")
            self.places(at, text, parts)
            out.append(Line(text, tuple(when), told[0], harm))
        return tuple(out)


def load_technique(path: Path, shown: str, is_need: Any, is_source: Any) -> Technique:
    """Read and check one technique file. Raises DataError naming file, line, fault and mend."""
    block = read_mapping(path, shown)
    roles_node = block.get("roles")
    roles = dict(roles_node) if isinstance(roles_node, Block) else {}
    file = _TechniqueFile(shown, {})
    file.known_keys(block, _KEYS, "a technique")
    for role, kind in roles.items():
        if not isinstance(kind, str) or kind not in KINDS:
            raise file.fault(
                block.at("roles"), f"the role {role!r} needs a kind of fact", "{low: component, high: component}"
            )
        file.roles[role] = kind
    ident = file.text(block, "id", path.stem)
    if ident != path.stem:
        raise file.fault(block.at("id"), f"the id {ident!r} is not the file's name", f"id: {path.stem}")
    level = file.text(block, "level", "lower-secondary")
    if level not in LEVELS:
        raise file.fault(block.at("level"), f"{level!r} is no level", "one of " + ", ".join(LEVELS))
    needs = file.texts(block, "needs")
    for need in needs:
        for one in need.split(" or "):
            if not is_need(one):
                raise file.fault(
                    block.at("needs"), f"{one!r} is nothing a bench may lack", "a key of rules/setting/without.yaml"
                )
    cost_node = block.get("cost")
    if not isinstance(cost_node, Block):
        raise file.fault(block.at("cost"), "'cost' is missing", "cost: {work: 2, minutes: 10, hazard: 0, loss: 1}")
    file.known_keys(cost_node, _COSTS, "a cost")
    numbers = []
    for key in (*_COSTS, "order"):
        text = file.text(block if key == "order" else cost_node, key, "1")
        try:
            numbers.append(float(text))
        except ValueError:
            raise file.fault(
                (block if key == "order" else cost_node).at(key), f"{key} must be a number", f"{key}: 1"
            ) from None
    operation = block.get("operation")
    if not isinstance(operation, Block):
        raise file.fault(
            block.at("operation"), "'operation' is missing", "operation: {parts: ...} (see another technique)"
        )
    file.known_keys(operation, ("adds", "as", "changes", "parts"), "an operation")
    adds = file.text(operation, "adds", "solvent", required=False)
    if adds and adds != "ordinary" and adds not in file.roles:
        raise file.fault(
            operation.at("adds"), f"adds names {adds!r}, which is no role", "a role named under roles:, or ordinary"
        )
    adds_form = file.text(operation, "as", "liquid", required=False) or "liquid"
    changes_node = operation.get("changes", Items())
    if not isinstance(changes_node, Items):
        raise file.fault(
            operation.at("changes"),
            "'changes' must be a list",
            "changes: [{takes: {...}, form: dissolved, host: added}]",
        )
    changes = []
    for index, item in enumerate(changes_node):
        if not isinstance(item, Block):
            raise file.fault(
                changes_node.at(index),
                "a change must be a mapping",
                "{takes: {form: solid}, form: dissolved, host: added}",
            )
        file.known_keys(item, _CHANGE_KEYS, "a change")
        reacted = file.text(item, "reacted", "its salt", required=False)
        changes.append(
            Change(file.takes(changes_node.at(index), item.get("takes")), file.form(item), file.host(item), reacted)
        )
    parts_node = operation.get("parts", Block())
    if not isinstance(parts_node, Block):
        raise file.fault(
            operation.at("parts"),
            "'parts' must be a mapping of named parts",
            "parts: {residue: {...}, filtrate: {...}}",
        )
    parts = []
    for key, item in parts_node.items():
        at = parts_node.at(key)
        if not isinstance(item, Block):
            raise file.fault(at, "a part must be a mapping", "{name: the residue, takes: {form: suspended}}")
        file.known_keys(item, _PART_KEYS, "a part")
        keeps = file.text(item, "keeps", "liquid", required=False)
        if keeps not in ("", "liquid"):
            raise file.fault(item.at("keeps"), "keeps can only be liquid", "keeps: liquid")
        parts.append(
            Part(
                key,
                file.text(item, "name", "the residue"),
                file.takes(at, item.get("takes")),
                file.flag(item, "each"),
                file.flag(item, "each_layer"),
                file.flag(item, "with_held"),
                file.form(item),
                keeps,
                file.flag(item, "lost"),
                file.flag(item, "done"),
                file.flag(item, "shown"),
                file.text(item, "state", "dry", required=False),
                file.host(item),
            )
        )
    if not parts and not changes:
        raise file.fault(
            block.at("operation"), "the operation neither changes nor parts anything", "parts: or changes:"
        )
    named = {part.key: part for part in parts}
    source = file.text(block, "source", "common-practice")
    if not is_source(source):
        raise file.fault(block.at("source"), f"{source!r} is no source", "a key of substances/sources.yaml")
    texts = [file.lines(block, key, named, key in ("apparatus", "steps", "seen")) for key in
             ("apparatus", "steps", "seen", "cautions", "limits", "residues")]  # fmt: skip
    return Technique(
        ident, file.text(block, "name", ident.replace("-", " ")), file.text(block, "verb", "use a magnet"),
        file.text(block, "principle", "why it works"), tuple(file.roles.items()), file.texts(block, "traits"), needs, level,
        numbers[4], (numbers[0], numbers[1], numbers[2], numbers[3]), adds, adds_form, tuple(changes), tuple(parts),
        texts[0], texts[1], texts[2], texts[3], texts[4], texts[5], source, shown, block.line,
    )  # fmt: skip
