"""Gather rules/ from its YAML files into plain tuples for the cache. Only imported when the cache has to be made."""

from __future__ import annotations

import marshal
from collections.abc import Collection
from pathlib import Path
from typing import Any

from choosemethod.errors import DataError
from choosemethod.load_laboratory import read_laboratory
from choosemethod.quantity import QuantityError, parse_number
from choosemethod.rulebook.load import STRENGTHS, load_rule
from choosemethod.rulebook.load_technique import load_technique
from choosemethod.yamltext import Block, Items, read_mapping

__all__ = ["gather", "shown_path"]

_DIMENSIONS = ("temperature", "density", "length", "solubility")
_STAGE_FOLDERS = ("inference", "selection", "rejection", "caution")


def _number(shown: str, block: Block, key: str) -> float:
    text = block.get(key)
    try:
        return float(str(text))
    except ValueError:
        raise DataError(shown, block.at(key), f"{key} must be a number", f"{key}: 1") from None


def _limit(shown: str, block: Block, name: str, sources: Collection[str]) -> float:
    entry = block[name]
    if not isinstance(entry, Block) or not isinstance(entry.get("is"), str):
        raise DataError(
            shown, block.at(name), f"the limit {name} needs a value", "{is: 1 mm, meaning: ..., source: KEY}"
        )
    _source(shown, entry, sources)
    text = str(entry["is"])
    try:
        return float(text)
    except ValueError:
        pass
    for dimension in _DIMENSIONS:
        try:
            return parse_number(text, dimension)
        except QuantityError:
            continue
    raise DataError(shown, entry.at("is"), f"{text!r} is no number with a unit", "is: 20 µm (or °C, g/cm3, g/100 g)")


def _source(shown: str, block: Block, sources: Collection[str]) -> None:
    source = block.get("source")
    if not isinstance(source, str) or source not in sources:
        raise DataError(
            shown, block.at("source"), f"{source!r} is no source", "source: a key of substances/sources.yaml"
        )


def _words(shown: str, block: Block, key: str) -> tuple[str, ...]:
    node = block.get(key)
    if not isinstance(node, Items) or not all(isinstance(item, str) for item in node):
        raise DataError(shown, block.at(key), f"{key} must be a list", f"{key}: [first, second]")
    return tuple(str(item) for item in node)


def _blocks(shown: str, block: Block) -> list[tuple[str, Block]]:
    out = []
    for key, node in block.items():
        if not isinstance(node, Block):
            raise DataError(shown, block.at(key), f"{key} must be a mapping", f"{key}: {{...}}")
        out.append((key, node))
    return out


def gather(folder: Path, substances: Path, sources: Collection[str]) -> dict[str, Any]:
    """Read and check everything in rules/; DataError for the first fault, with file, line and mend."""

    def mapping(*parts: str) -> tuple[str, Block]:
        path = folder.joinpath(*parts)
        shown = shown_path(path, folder)
        return shown, read_mapping(path, shown)

    shown, block = mapping("limits.yaml")
    limits = [(name, _limit(shown, block, name, sources)) for name in block]
    shown, block = mapping("solvents.yaml")
    solvents, ordinary = [], ""
    for ident, entry in _blocks(shown, block):
        _source(shown, entry, sources)
        solvents.append((ident, _number(shown, entry, "order"), _words(shown, entry, "use")))
        if entry.get("ordinary") == "yes":
            ordinary = ident
    if not ordinary:
        raise DataError(shown, 1, "no solvent is marked as the ordinary one", 'ordinary: "yes" on one of them')
    shown, block = mapping("hazard-groups.yaml")
    groups = []
    for group, entry in _blocks(shown, block):
        _source(shown, entry, sources)
        groups.append((group, _words(shown, entry, "codes")))
    shown, block = mapping("inert.yaml")
    inert = [(prop, _words(shown, entry, "classes")) for prop, entry in _blocks(shown, block)]
    shown, block = mapping("granular.yaml")
    granular = (_words(shown, block, "kinds"), _words(shown, block, "not-classes"))
    dirt = _words(shown, block, "dirt")
    _source(shown, block, sources)
    shown, block = mapping("ranking.yaml")
    strength, weight = block.get("strength"), block.get("weight")
    if not isinstance(strength, Block) or not isinstance(weight, Block):
        raise DataError(
            shown, 1, "strength and weight must be mappings", "strength: {best: 0, good: 3, fair: 7, possible: 14}"
        )
    ranking = (
        tuple((key, _number(shown, strength, key)) for key in STRENGTHS),
        tuple((key, _number(shown, weight, key)) for key in ("work", "minutes", "hazard", "loss")),
        _number(shown, block, "left-together"),
        _number(shown, block, "step"),
    )
    shown, block = mapping("setting", "without.yaml")
    without = []
    for key, entry in _blocks(shown, block):
        if not key.startswith("_"):
            implies = entry.get("implies", Items())
            without.append((key, (str(entry.get("meaning", key)), tuple(str(i) for i in implies))))
    lacking = {key for key, _ in without}
    scale_file = substances / "properties.yaml"
    properties = read_mapping(scale_file, shown_path(scale_file, substances))
    techniques = []
    for path in sorted((folder / "techniques").glob("*.yaml")):
        techniques.append(load_technique(path, shown_path(path, folder), lacking.__contains__, sources.__contains__))
    slugs = {technique.id for technique in techniques}
    roles = {technique.id: technique.roles for technique in techniques}
    laboratory = read_laboratory(folder, sources, slugs)
    rules = []
    seen: dict[str, str] = {}
    replaced: list[tuple[str, int, str]] = []
    for stage in _STAGE_FOLDERS:
        for path in sorted((folder / stage).rglob("*.yaml")):
            shown = shown_path(path, folder)
            rule = load_rule(path, shown, slugs.__contains__, sources.__contains__)
            if rule.stage != stage:
                raise DataError(
                    shown,
                    rule.line,
                    f"a rule that {rule.head} belongs to the folder {rule.stage}",
                    f"the file moved to rules/{rule.stage}",
                )
            if rule.id in seen:
                raise DataError(
                    shown, rule.line, f"the id {rule.id!r} is also that of {seen[rule.id]}", "another id and file name"
                )
            seen[rule.id] = shown
            replaced += [(shown, rule.line, other) for other in rule.replaces]
            if rule.head == "proposes":
                found = {p.role: p.kind for p in rule.find}
                for role, kind in roles[rule.says[0]]:
                    if role in found and found[role] != kind:
                        raise DataError(
                            shown,
                            rule.line,
                            f"{rule.says[0]} needs the role {role} to be a {kind}",
                            f"{role}: {{is: {kind}, ...}}",
                        )
            family = "/".join(path.relative_to(folder / stage).parts[:-1])
            matched = tuple((p.kind, tuple((t.slot, t.operator, t.value) for t in p.tests)) for p in rule.matched)
            rules.append((rule.id, stage, family, rule.says, matched, marshal.dumps(rule.plain())))
    for shown, line, other in replaced:
        if other not in seen:
            raise DataError(shown, line, f"it replaces {other!r}, which is no rule", "the id of a caution rule")
    return {
        "limits": tuple(limits),
        "solvents": tuple(solvents),
        "water": ordinary,
        "hazard_groups": tuple(groups),
        "inert": tuple(inert),
        "granular": granular,
        "dirt": dirt,
        "ranking": ranking,
        "without": tuple(without),
        "scale": _scale(properties),
        "forecasts": tuple(sorted(laboratory.techniques.items())),
        "laboratory": marshal.dumps(laboratory.plain()),
        "techniques": tuple((technique.id, marshal.dumps(technique.plain())) for technique in techniques),
        "rules": tuple(rules),
    }


def _scale(properties: Block) -> tuple[tuple[str, float | None, float | None], ...]:
    solubility = properties.get("solubility")
    words = solubility.get("words") if isinstance(solubility, Block) else None
    out: list[tuple[str, float | None, float | None]] = []
    if isinstance(words, Block):
        for word, entry in words.items():
            low = entry.get("at_least") if isinstance(entry, Block) else None
            high = entry.get("below") if isinstance(entry, Block) else None
            out.append((word, float(str(low)) if low else None, float(str(high)) if high else None))
    return tuple(out)


def shown_path(path: Path, folder: Path) -> str:
    """A file's name as messages show it: from the data folder on."""
    return str(Path(folder.name) / path.relative_to(folder)).replace("\\", "/")
