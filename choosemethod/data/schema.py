"""JSON Schemas for editors out of the specifications of the files."""

from __future__ import annotations

from fnmatch import fnmatch
from importlib import import_module
from typing import Any

from choosemethod.data.scalar import Spec

__all__ = ["KINDS", "json_schema", "kind_of", "spec_of"]

# Files of one folder whose specifications stand in one mapping (FILES) of a module.
_CLASSROOM = ("levels", "mixtures", "mistakes", "orders", "confusions", "questions", "numbers", "sheets", "pictures")
_READING = ("cues", "class-nouns", "forms", "told", "units", "technique-names", "levels", "roles")


def _listed(folder: str, module: str, key: str, names: tuple[str, ...]) -> dict[str, tuple[str, str]]:
    return {f"{folder} {name}": (f"rules/{folder}/{name}.yaml", f"{module}:FILES:{key}{name}") for name in names}


# Kind of file -> (the files, module and name of the specification or of a function without arguments that makes it,
# or of a mapping that holds it under the key that follows).
KINDS: dict[str, tuple[str, str]] = {
    "columns": ("rules/columns.yaml", "choosemethod.load_laboratory:COLUMNS"),
    "conventions": ("rules/conventions.yaml", "choosemethod.load_laboratory:CONVENTIONS"),
    "pumps": ("rules/pumps.yaml", "choosemethod.load_laboratory:PUMPS"),
    "vessels": ("rules/vessels.yaml", "choosemethod.load_laboratory:VESSEL_SIZES"),
    "forecasts": ("rules/forecasts.yaml", "choosemethod.load_laboratory:FORECASTS"),
    "limits": ("rules/limits.yaml", "choosemethod.rulebook.gather:LIMITS"),
    "solvents": ("rules/solvents.yaml", "choosemethod.rulebook.gather:SOLVENTS"),
    "hazard-groups": ("rules/hazard-groups.yaml", "choosemethod.rulebook.gather:HAZARD_GROUPS"),
    "inert": ("rules/inert.yaml", "choosemethod.rulebook.gather:INERT"),
    "characters": ("rules/characters.yaml", "choosemethod.rulebook.gather:CHARACTERS"),
    "granular": ("rules/granular.yaml", "choosemethod.rulebook.gather:GRANULAR"),
    "ranking": ("rules/ranking.yaml", "choosemethod.rulebook.gather:RANKING"),
    "without": ("rules/setting/without.yaml", "choosemethod.rulebook.gather:WITHOUT"),
    "systematic names": ("rules/reading/systematic-names.yaml", "choosemethod.reading.coined:coined_file"),
    "technique": ("rules/techniques/*.yaml", "choosemethod.rulebook.load_technique:TECHNIQUE"),
    "practice": ("rules/practice/*.yaml", "choosemethod.rulebook.load_practice:PRACTICE"),
    "doubt": ("rules/doubt.yaml", "choosemethod.advice.load_doubt:DOUBT"),
    "related": ("rules/related.yaml", "choosemethod.rulebook.gather:RELATED"),
    "interpretation": ("rules/interpretation/*.yaml", "choosemethod.rulebook.load:RULE"),
    "rule": ("rules/[isrc]*/*/*.yaml", "choosemethod.rulebook.load:RULE"),
    "sources": ("substances/sources/*.yaml", "choosemethod.table.load:SOURCES"),
    "main sources": ("substances/sources.yaml", "choosemethod.table.load:SOURCES"),
    "mixtures": ("substances/mixtures/*.yaml", "choosemethod.table.load_mixtures:mixture_file"),
    "families": ("substances/pairs/miscibility-by-family.yaml", "choosemethod.table.load_pairs:FAMILIES"),
    "pairs": ("substances/pairs/*.yaml", "choosemethod.table.load_pairs:ROWS"),
    "incompatibles": ("substances/incompatibles*.yaml", "choosemethod.table.load_mixtures:DANGERS"),
    "reactivity": ("substances/reactivity.yaml", "choosemethod.table.load_reactivity:REACTIVITY"),
    "classes": ("substances/classes.yaml", "choosemethod.table.contents:WORDS"),
    "kinds": ("substances/kinds.yaml", "choosemethod.table.contents:WORDS"),
    "hazard-statements": ("substances/hazard-statements.yaml", "choosemethod.table.contents:STATEMENTS"),
    "checks": ("substances/checks.yaml", "choosemethod.table.checks:CHECKS"),
    "atomic weights": ("substances/atomic-weights.yaml", "choosemethod.table.masses:ATOMIC_WEIGHTS"),
    "defaults": ("substances/defaults.yaml", "choosemethod.table.defaults:default_file"),
    "properties": ("substances/properties.yaml", "choosemethod.table.schema:PROPERTIES"),
    **_listed("classroom", "choosemethod.classroom.materials", "", _CLASSROOM),
    **_listed("reading", "choosemethod.reading.load_lexicon", "reading/", _READING),
    "signs": ("rules/reading/signs.yaml", "choosemethod.interpretation.load_signs:SIGNS"),
    "judging": ("rules/judging.yaml", "choosemethod.judging.rules:JUDGING"),
    "statements": ("rules/classroom/statements.yaml", "choosemethod.judging.lexicon:STATEMENTS"),
    "unsafe": ("rules/classroom/unsafe.yaml", "choosemethod.judging.lexicon:UNSAFE"),
    "marking scheme": ("a marking scheme of a user's own", "choosemethod.judging.scheme:SCHEME"),
    "mixture file": ("a mixture file of a user's own", "choosemethod.reading.file:question_file"),
    "substances": ("substances/*/*.yaml", "choosemethod.table.load:substance_file"),
}


def kind_of(file: str) -> str:
    """The kind of a file of the program, by its path from rules/ or substances/ on; "" if it has none."""
    return next((kind for kind, (pattern, _) in KINDS.items() if fnmatch(file, pattern)), "")


def spec_of(kind: str) -> Spec:
    """The specification of a kind of file (a key of KINDS)."""
    module, name, *key = KINDS[kind][1].split(":")
    found = getattr(import_module(module), name)
    if key:
        found = found[key[0]]
    spec: Spec = found if isinstance(found, Spec) else found()
    return spec


def json_schema(kind: str) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a kind of file (a key of KINDS).

    Scalars may be written with or without quotes, as in the files; KeyError for a kind that there is not.
    """
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"choosemethod: {KINDS[kind][0]}",
        **spec_of(kind).schema(),
    }
