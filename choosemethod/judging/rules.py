"""The knowledge of judging answers: rules/judging.yaml, checked, and kept in the cache while it is unchanged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from choosemethod.cache import stored
from choosemethod.data import (
    Either,
    Entry,
    Flag,
    Listed,
    Names,
    Number,
    Record,
    Ref,
    Spec,
    Table,
    Text,
    Word,
    read_file,
)
from choosemethod.places import rules_folder

__all__ = [
    "ADDS",
    "STANDS",
    "STATUSES",
    "VERDICTS",
    "General",
    "Implied",
    "Instead",
    "Judging",
    "Same",
    "judging",
]

VERDICTS = ("right", "acceptable", "incomplete", "wrong", "unsafe", "cannot tell")
STATUSES = ("unsafe", "not-separable", "nothing-to-separate", "ask")  # what an answer may say instead of a technique
STANDS = ("answered", "unsafe", "not-separable", "nothing-to-separate", "blocked", "described", "ask", "unknown")
ADDS = ("", "organic", "ordinary", "reagent")
_MARGINS = ("nearly", "detour", "choice", "tries")
_TOLERANCES = {
    "boiling_point": "temperature difference",
    "melting_point": "temperature difference",
    "density": "density",
    "retention": "pure number",
    "gap": "temperature difference",
}
_WORDS = (
    "helpers",
    "not",
    "reason",
    "or",
    "after",
    "before-words",
    "plain",
    "added-after",
    "added-skip",
    "added-verbs",
    "relative",
    "mended",
    "told",
    "dismissing",
    "explains",
    "claims-heading",
    "halfway",
    "half",
    "half-done",
    "degree",
    "asks-whether",
    "tellers",
    "past",
)


@dataclass(frozen=True, slots=True)
class Same:
    """A technique that counts as others.

    adds: "" or the sort of what the other must bring in (see ADDS); alone: whether it may be all that is said;
    despite: whether it counts even where the technique said is rejected as such; gives_off: "ordinary" if what comes
    off must be the ordinary solvent, not be wanted, and leave one substance; boils_from: boiling point (K) that some
    liquid of the mixture must reach; pieces_from: size (m) every suspended solid must have; pieces_to: that
    its largest pieces must have; weaker: acceptable at best;
    some: (slot, words) that some component must have; each: that every component must have (what was brought in and
    what only clings is not counted); off: "organic" if what boils off must be an organic liquid; coarser: how many
    times larger the largest piece of one product must be than that of any other (and at least pieces_from); named: only
    where the answer says what is brought in.
    """

    said: str
    others: tuple[str, ...]
    adds: str = ""
    alone: bool = True
    despite: bool = False
    gives_off: str = ""
    boils_from: float = 0.0
    pieces_from: float = 0.0
    weaker: bool = False
    some: tuple[tuple[str, tuple[str, ...]], ...] = ()
    each: tuple[tuple[str, tuple[str, ...]], ...] = ()
    off: str = ""
    coarser: float = 0.0
    named: bool = False
    pieces_to: float = 0.0


@dataclass(frozen=True, slots=True)
class Instead:
    """A technique that does what a sequence of others does; acceptable at best.

    some: (slot, words) that some component must have; rises: how many times more of some component must dissolve hot
    than cold.
    """

    said: str
    steps: tuple[str, ...]
    some: tuple[tuple[str, tuple[str, ...]], ...] = ()
    rises: float = 0.0


@dataclass(frozen=True, slots=True)
class Implied:
    """A step left unsaid before others. alone: even where such a one is all that is said; after: said before it."""

    step: str
    before: tuple[str, ...]
    alone: bool
    after: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class General:
    """A general word for several techniques.

    every: all kinds are meant equally, else the first is; added: it is a step only where it names what is added.
    """

    words: tuple[str, ...]
    every: bool
    kinds: tuple[str, ...]
    added: bool = False


@dataclass(frozen=True, slots=True)
class Judging:
    """What rules/judging.yaml says; techniques are slugs, words are as written in the file."""

    source: str
    margins: Mapping[str, float]
    marks: Mapping[str, float]
    danger_slots: tuple[str, ...]
    danger_kinds: tuple[str, ...]
    danger_rules: tuple[str, ...]
    preferences: Mapping[str, tuple[str, ...]]
    same: tuple[Same, ...]
    instead: tuple[Instead, ...]
    chemical: tuple[str, ...]
    chemical_of: tuple[str, ...]
    two_forms: tuple[str, ...]
    includes: Mapping[str, tuple[str, ...]]
    owes: Mapping[str, tuple[str, tuple[str, ...]]]
    before: Mapping[str, tuple[str, ...]]
    anywhere: tuple[str, ...]
    kin: tuple[str, ...]
    spelled: tuple[tuple[str, tuple[str, ...]], ...]
    repeated: tuple[str, ...]
    implied: tuple[Implied, ...]
    brings_in: Mapping[str, str]
    drives_off: tuple[str, ...]
    techniques: Mapping[str, tuple[str, ...]]
    general: tuple[General, ...]
    statuses: Mapping[str, tuple[str, ...]]
    status_verdicts: Mapping[str, Mapping[str, str]]
    added: Mapping[str, tuple[str, ...]]
    solutions: Mapping[str, tuple[str, ...]]
    tolerances: Mapping[str, float]
    claims: Mapping[str, str]
    claim_columns: Mapping[str, tuple[str, ...]]
    columns: Mapping[str, tuple[str, ...]]
    words: Mapping[str, tuple[str, ...]]


_SLUG = Ref("technique", mend="the slug of a file of rules/techniques")
_SLUGS = Listed(_SLUG, alone=False)
_WORD_LIST = Listed(Text(), alone=False)
_LISTS = Table(_WORD_LIST)
_SLOTS = Table(_WORD_LIST, make=lambda found, *_: tuple(found.items()), empty=())


def _number(dimension: str) -> Either:
    """A number alone, or with what it means."""
    value = Number(dimension, empty=0.0)
    return Either(value, block=Record("a number", {"is": value, "meaning": Text()}, make=lambda one: one["is"]))


def _row(title: str, keys: dict[str, Spec]) -> Listed:
    """A list of records, each as the tuple of its values in this order."""
    return Listed(Record(title, keys, make=lambda one: tuple(one.values.values())), alone=False)


_GENERAL = Record(
    "a general word",
    {"means": Word(("every", "first")), "kinds": _SLUGS, "words": _WORD_LIST, "added?": Flag()},
    make=lambda one: (one["words"], one["means"] == "every", one["kinds"], one["added"]),
)
_VERDICTS = Record("verdicts by status", {status: Word(VERDICTS, noun="verdict") for status in STATUSES})
_FORMS: dict[str, Spec] = {
    "source": Text(),
    "margins": Record("margins", {key: _number("pure number") for key in _MARGINS}),
    "marks": Record("marks", {key: _number("pure number") for key in VERDICTS[:-1]}),
    "danger": Record("danger", {"slots": _WORD_LIST, "kinds": _WORD_LIST, "rules": _WORD_LIST}),
    "preferences": _LISTS,
    "same": _row(
        "a technique that counts as others",
        {
            "said": _SLUG,
            "as": _SLUGS,
            "adds?": Word(ADDS[1:], noun="sort of what is added", empty=""),
            "alone?": Flag(empty=True),
            "despite?": Flag(),
            "gives-off?": Text(),
            "boils-from?": _number("temperature"),
            "pieces-from?": _number("length"),
            "weaker?": Flag(),
            "some?": _SLOTS,
            "each?": _SLOTS,
            "boils-off?": Word(("organic",), noun="sort of what boils off", empty=""),
            "coarser?": _number("pure number"),
            "named?": Flag(),
            "pieces-to?": _number("length"),
        },
    ),
    "instead": _row(
        "a technique instead of others",
        {"said": _SLUG, "steps": _SLUGS, "some?": _SLOTS, "rises?": _number("pure number")},
    ),
    "chemical": Record("chemical", {"techniques": _SLUGS, "of": _WORD_LIST}),
    "two-forms": _SLUGS,
    "includes": Table(_SLUGS, key=_SLUG),
    "owes": Table(
        Record("what is owed", {"part": Text(), "steps": _SLUGS}, make=lambda one: (one["part"], one["steps"])), key=_SLUG
    ),
    "before": Table(_SLUGS, key=_SLUG),
    "anywhere": _SLUGS,
    "kin": _WORD_LIST,
    "repeated": _SLUGS,
    "spelled-out": Table(Listed(_SLUGS, alone=False), key=_SLUG),
    "implied": _row("a step left unsaid", {"step": _SLUG, "before": _SLUGS, "alone?": Flag(), "after?": _SLUGS}),
    "brings-in": Table(_SLUG),
    "drives-off": _SLUGS,
    "techniques": Table(_WORD_LIST, key=_SLUG),
    "general": Table(_GENERAL, make=lambda found, *_: tuple(found.values())),
    "statuses": Table(_WORD_LIST, key=Word(STATUSES, noun="status")),
    "status-verdicts": Record("status-verdicts", dict.fromkeys(STANDS, _VERDICTS)),
    "added": _LISTS,
    "solutions": _LISTS,
    "tolerances": Record("tolerances", {key: _number(dimension) for key, dimension in _TOLERANCES.items()}),
    "claims": Table(Text()),
    "claim-columns": _LISTS,
    "columns": _LISTS,
}


def _file(one: Entry) -> dict[str, Any]:
    """The fields of `Judging`, as they are kept."""
    fields = {key.replace("-", "_"): one[key] for key in _FORMS}
    danger, chemical, spelled = (fields.pop(key) for key in ("danger", "chemical", "spelled_out"))
    steps = [(slug, each) for slug, rows in spelled.items() for each in rows]
    return {
        **fields,
        **{f"danger_{key}": words for key, words in danger.items()},
        "chemical": chemical["techniques"],
        "chemical_of": chemical["of"],
        "spelled": tuple(sorted(steps, key=lambda step: (-len(step[1]), step))),
        "words": dict(zip(_WORDS, one.pick(*_WORDS), strict=True)),
    }


JUDGING = Record("this file", _FORMS | dict.fromkeys(_WORDS, _WORD_LIST), make=_file)


def _judging(plain: Mapping[str, Any]) -> Judging:
    parts = dict(plain)
    parts["same"] = tuple(Same(*one) for one in plain["same"])
    parts["instead"] = tuple(Instead(*one) for one in plain["instead"])
    parts["implied"] = tuple(Implied(*one) for one in plain["implied"])
    parts["general"] = tuple(General(*one) for one in plain["general"])
    return Judging(**parts)


@lru_cache(maxsize=2)
def judging(folder: Path | None = None) -> Judging:
    """What judging.yaml of a rules folder says (the installed one if none is given)."""
    where = folder or rules_folder()
    path = where / "judging.yaml"
    here = Path(__file__).resolve().parent.parent
    code = ["judging/rules.py", "data/compound.py", "data/reading.py", "data/scalar.py", "quantity.py", "yamltext.py"]

    def build() -> dict[str, Any]:
        slugs = {file.stem for file in (where / "techniques").glob("*.yaml")}
        read: dict[str, Any] = read_file(path, JUDGING, f"{where.name}/judging.yaml", {"technique": Names(slugs)})
        return read

    return stored("judging", [path, *(here / name for name in code)], build, make=_judging)
