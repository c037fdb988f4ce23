"""Gather rules/ from its YAML files into plain tuples for the cache. Only imported when the cache has to be made."""

from __future__ import annotations

import marshal
from collections.abc import Callable, Collection
from pathlib import Path
from typing import Any

from choosemethod.data import (
    FAULTY,
    SOURCE,
    Flag,
    Listed,
    Names,
    Number,
    Plain,
    Problems,
    Reading,
    Record,
    Ref,
    Spec,
    Table,
    Text,
    raise_all,
    read_file,
)
from choosemethod.load_laboratory import read_laboratory
from choosemethod.rulebook.language import Rule
from choosemethod.rulebook.load import STRENGTHS, load_rule
from choosemethod.rulebook.load_practice import PRACTICE
from choosemethod.rulebook.load_technique import load_technique
from choosemethod.rulebook.technique import Technique
from choosemethod.table.schema import PROPERTIES
from choosemethod.yamltext import Block

__all__ = [
    "CHARACTERS",
    "GRANULAR",
    "HAZARD_GROUPS",
    "INERT",
    "LIMITS",
    "RANKING",
    "RELATED",
    "SOLVENTS",
    "WITHOUT",
    "gather",
    "shown_path",
]

_STAGE_FOLDERS = ("interpretation", "selection", "rejection", "caution")
_WORDS = Listed(Text())
LIMITS = Table(
    Record(
        "a limit",
        {
            "is": Number(
                "pure number",
                "temperature",
                "density",
                "length",
                "solubility",
                "pressure",
                example="20 µm (or °C, g/cm3, g/100 g)",
            ),
            "meaning": Text(),
            "source": SOURCE,
        },
        make=lambda one: one["is"],
    )
)


def _solvents(found: dict[str, Any], block: Block, file: Reading) -> Any:
    ordinary = [ident for ident, one in found.items() if one["ordinary"]]
    if len(ordinary) != 1:
        wrong = "exactly one solvent must be marked as the ordinary one"
        return file.fault(block.line, wrong, 'ordinary: "yes" on one of them')
    return [(ident, one["order"], one["use"], one["not-with"]) for ident, one in found.items()], ordinary[0]


SOLVENTS = Table(
    Record("a solvent", {"order": Plain(), "ordinary?": Flag(), "use": _WORDS, "not-with?": _WORDS, "source": SOURCE}),
    make=_solvents,
)
HAZARD_GROUPS = Table(
    Record("a group of hazards", {"codes": Listed(Text()), "source": SOURCE}, make=lambda one: one["codes"])
)
INERT = Table(
    Record("an entry", {"classes": _WORDS, "source": SOURCE, "note?": Text()}, make=lambda one: one["classes"])
)


def _characters(found: dict[str, Any], block: Block, file: Reading) -> Any:
    return [
        (
            word,
            [
                (reagent, "yes", one["source"], one["gives"], one["frees"].get(reagent, ""), one["because"])
                for reagent in one["dissolves-in"]
            ]
            + [(reagent, "unknown", one["source"], "", "", one["because"]) for reagent in one["not-known"]],
        )
        for word, one in found.items()
    ]


CHARACTERS = Table(
    Record(
        "a character",
        {
            "dissolves-in": _WORDS,
            "frees?": Table(Text()),
            "not-known?": _WORDS,
            "gives": Text(),
            "because": Text(),
            "source": SOURCE,
        },
    ),
    make=_characters,
)
GRANULAR = Record("this file", {"kinds": _WORDS, "not-classes": _WORDS, "dirt": _WORDS, "source": SOURCE})
RANKING = Record(
    "this file",
    {
        "strength": Record("the strengths", dict.fromkeys(STRENGTHS, Plain())),
        "weight": Record("the weights", {"work": Plain(), "minutes": Plain(), "hazard": Plain(), "loss": Plain()}),
        "left-together": Plain(),
        "step": Plain(),
        "source": SOURCE,
    },
    make=lambda one: (
        tuple(one["strength"].items()), tuple(one["weight"].items()), one["left-together"], one["step"],
    ),
)  # fmt: skip
_NEED = Ref("need", noun="key of this file")
WITHOUT = Record(
    "this file",
    {"_negation": Record("what a negation implies", {"only_implies": Table(_NEED)})},
    other=Record(
        "a thing a bench may lack",
        {"meaning": Text(), "things": _WORDS, "phrases?": _WORDS, "implies?": Listed(_NEED)},
    ),
    make=lambda one: {key: one[key] for key in one.block},
)
RIVALS = Table(Listed(Text()), skip="_")


class _Called(Text):
    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        if "{name}" in text:
            return text
        return file.fault(line, f"{text!r} does not hold the name it starts from", "{name} ions")


RELATED = Table(Listed(_Called(), least=1))


def gather(
    folder: Path, substances: Path, sources: Collection[str], find_name: Callable[[str], str] | None = None
) -> dict[str, Any]:
    """Read and check everything in rules/; DataError with every fault, each with file, line and mend.

    find_name: the name itself if the table has it, else "" (left out: names are not checked).
    """
    problems = Problems()
    known = {"source": Names(sources)}
    if find_name is not None:
        known["name"] = Names((), find_name)

    def part(spec: Spec, *parts: str) -> Any:
        path = folder.joinpath(*parts)
        return read_file(path, spec, shown_path(path, folder), known, problems)

    limits, solvents, groups = (
        part(LIMITS, "limits.yaml"),
        part(SOLVENTS, "solvents.yaml"),
        part(HAZARD_GROUPS, "hazard-groups.yaml"),
    )
    inert, granular, ranking = part(INERT, "inert.yaml"), part(GRANULAR, "granular.yaml"), part(RANKING, "ranking.yaml")
    characters = part(CHARACTERS, "characters.yaml")
    without = part(WITHOUT, "setting", "without.yaml")
    related = part(RELATED, "related.yaml")
    if related is not FAULTY:
        known["relation"] = Names(related)
    if without is not FAULTY:
        known["need"] = Names([key for key in without if not key.startswith("_")])
    techniques: dict[str, Technique] = {}
    files = sorted((folder / "techniques").glob("*.yaml"))
    for path in files:
        technique = load_technique(path, shown_path(path, folder), known, problems)
        if technique is not FAULTY:
            techniques[technique.id] = technique
    known["technique"] = Names([path.stem for path in files])
    laboratory = read_laboratory(folder, sources, known["technique"].words, problems)
    rules: dict[str, tuple[Rule, str, str]] = {}
    for stage in _STAGE_FOLDERS:
        for path in sorted((folder / stage).rglob("*.yaml")):
            rule = load_rule(path, shown_path(path, folder), known, problems)
            if rule is not FAULTY:
                _check_place(rule, stage, rules, techniques, problems)
                rules[rule.id] = rule, stage, "/".join(path.relative_to(folder / stage).parts[:-1])
    for one, _, _ in rules.values():
        for other in one.replaces:
            if other not in rules:
                problems.add(one.file, one.line, f"it replaces {other!r}, which is no rule", "the id of a caution rule")
    practice: dict[str, tuple[Any, ...]] = {}
    for path in sorted((folder / "practice").glob("*.yaml")):
        for ident, entry in (part(PRACTICE, "practice", path.name) or {}).items():
            if ident in practice:
                problems.add(shown_path(path, folder), 1, f"the id {ident!r} is also that of another fact", "another id")
            practice[ident] = entry
    scale = substances / "properties.yaml"
    properties = read_file(scale, PROPERTIES, shown_path(scale, substances), None, problems)
    rivals = part(RIVALS, "classroom", "confusions.yaml")
    raise_all(problems)
    return {
        "rivals": tuple(rivals.items()),
        "limits": tuple(limits.items()),
        "solvents": tuple(solvents[0]),
        "water": solvents[1],
        "hazard_groups": tuple(groups.items()),
        "inert": tuple(inert.items()),
        "characters": tuple(characters),
        "granular": (granular["kinds"], granular["not-classes"]),
        "dirt": granular["dirt"],
        "practice": marshal.dumps(tuple(practice.values())),
        "ranking": ranking,
        "without": tuple((key, (without[key]["meaning"], without[key]["implies"])) for key in known["need"].words),
        "scale": properties["solubility"].bounds if "solubility" in properties else (),
        "forecasts": tuple(sorted(laboratory.techniques.items())),
        "laboratory": marshal.dumps(laboratory.plain()),
        "techniques": tuple((technique.id, marshal.dumps(technique.plain())) for technique in techniques.values()),
        "related": tuple(related.items()),
        "rules": tuple(_packed(*entry) for entry in rules.values()),
    }


def _packed(rule: Rule, stage: str, family: str) -> tuple[Any, ...]:
    matched = tuple((p.kind, tuple((t.slot, t.operator, t.value) for t in p.tests)) for p in rule.matched)
    return rule.id, stage, family, rule.says, matched, marshal.dumps(rule.plain())


def _check_place(
    rule: Rule,
    stage: str,
    before: dict[str, tuple[Rule, str, str]],
    techniques: dict[str, Technique],
    problems: Problems,
) -> None:
    """Note what is wrong with a rule among the others: its folder, its id, the roles its technique needs."""
    if rule.stage != stage:
        wrong = f"a rule that {rule.head} belongs to the folder {rule.stage}"
        problems.add(rule.file, rule.line, wrong, f"the file moved to rules/{rule.stage}")
    if rule.id in before:
        wrong = f"the id {rule.id!r} is also that of {before[rule.id][0].file}"
        problems.add(rule.file, rule.line, wrong, "another id and file name")
    found = {pattern.role: pattern.kind for pattern in rule.find}
    needed = techniques[rule.says[0]].roles if rule.head == "proposes" and rule.says[0] in techniques else ()
    for role, kind in needed:
        if role in found and found[role] != kind:
            wrong = f"{rule.says[0]} needs the role {role} to be a {kind}"
            problems.add(rule.file, rule.line, wrong, f"{role}: {{is: {kind}, ...}}")


def shown_path(path: Path, folder: Path) -> str:
    """A file's name as messages show it: from the data folder on."""
    return str(Path(folder.name) / path.relative_to(folder)).replace("\\", "/")
