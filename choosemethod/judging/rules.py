"""The knowledge of judging answers: rules/judging.yaml, checked, and kept in the cache while it is unchanged."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from choosemethod.cache import stored
from choosemethod.errors import DataError
from choosemethod.places import rules_folder
from choosemethod.quantity import QuantityError, parse_number
from choosemethod.yamltext import Block, Items, Node, read_mapping

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
)
_KEYS = (
    "source",
    "margins",
    "marks",
    "danger",
    "preferences",
    "same",
    "instead",
    "chemical",
    "two-forms",
    "includes",
    "before",
    "anywhere",
    "kin",
    "repeated",
    "spelled-out",
    "implied",
    "drives-off",
    "techniques",
    "general",
    "statuses",
    "status-verdicts",
    "added",
    "solutions",
    "tolerances",
    "claims",
    "claim-columns",
    "columns",
    *_WORDS,
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
    before: Mapping[str, tuple[str, ...]]
    anywhere: tuple[str, ...]
    kin: tuple[str, ...]
    spelled: tuple[tuple[str, tuple[str, ...]], ...]
    repeated: tuple[str, ...]
    implied: tuple[Implied, ...]
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


class _File:
    """Reads the file; every fault names the line and what to write."""

    def __init__(self, path: Path, shown: str, slugs: Collection[str]) -> None:
        self.shown = shown
        self.slugs = slugs
        self.root = read_mapping(path, shown)

    def fault(self, line: int, wrong: str, write: str) -> DataError:
        return DataError(self.shown, line, wrong, write)

    def block(self, key: str, of: Block | None = None) -> Block:
        holder = self.root if of is None else of
        node = holder.get(key)
        if not isinstance(node, Block):
            raise self.fault(holder.at(key), f"{key} must hold KEY: VALUE pairs", f"{key}: {{...}}")
        return node

    def text(self, node: Node | None, line: int, what: str) -> str:
        if not isinstance(node, str) or not node:
            raise self.fault(line, f"{what} must be one text", f"{what}: TEXT")
        return node

    def words(self, node: Node | None, line: int, what: str) -> tuple[str, ...]:
        if not isinstance(node, Items) or not all(isinstance(item, str) for item in node):
            raise self.fault(line, f"{what} must be a list of words", f"{what}: [word, another word]")
        return tuple(str(item) for item in node)

    def known(self, slugs: tuple[str, ...], line: int) -> tuple[str, ...]:
        for slug in slugs:
            if slug not in self.slugs:
                raise self.fault(line, f"{slug!r} is no technique", "the slug of a file of rules/techniques")
        return slugs

    def slug_list(self, key: str) -> tuple[str, ...]:
        return self.known(self.words(self.root.get(key), self.root.at(key), key), self.root.at(key))

    def lists(self, key: str, slug_keys: bool = False, slug_values: bool = False) -> dict[str, tuple[str, ...]]:
        """A mapping of lists of words."""
        block = self.block(key)
        out = {}
        for name, node in block.items():
            found = self.words(node, block.at(name), name)
            out[name] = self.known(found, block.at(name)) if slug_values else found
            if slug_keys:
                self.known((name,), block.at(name))
        return out

    def number(self, block: Block, key: str, dimension: str) -> float:
        entry = block.get(key)
        text = entry.get("is") if isinstance(entry, Block) else entry
        line = entry.line if isinstance(entry, Block) else block.at(key)
        try:
            return parse_number(str(text), dimension)
        except QuantityError as error:
            raise self.fault(line, f"{key}: {error}", f"{key}: {{is: NUMBER, meaning: ...}}") from None

    def items(self, key: str) -> list[tuple[Block, int]]:
        node = self.root.get(key)
        if not isinstance(node, Items):
            raise self.fault(self.root.at(key), f"{key} must be a list", f"{key}: [{{...}}]")
        out = []
        for index, item in enumerate(node):
            if not isinstance(item, Block):
                raise self.fault(node.at(index), f"{key} holds mappings", "- {said: SLUG, as: [SLUG]}")
            out.append((item, node.at(index)))
        return out

    # The parts of the file.

    def same(self) -> tuple[tuple[Any, ...], ...]:
        out = []
        for block, line in self.items("same"):
            said = self.text(block.get("said"), line, "said")
            others = self.known(self.words(block.get("as"), line, "as"), line)
            adds = str(block.get("adds", ""))
            if adds not in ADDS:
                raise self.fault(line, f"{adds!r} is no sort of what is added", "adds: " + " or ".join(ADDS[1:]))
            self.known((said,), line)
            high = self.number(block, "boils-from", "temperature") if "boils-from" in block else 0.0
            alone, despite = block.get("alone") != "no", block.get("despite") == "yes"
            large = self.number(block, "pieces-from", "length") if "pieces-from" in block else 0.0
            weaker = block.get("weaker") == "yes"
            gives_off = str(block.get("gives-off", ""))
            off = str(block.get("off", ""))
            if off not in ("", "organic"):
                raise self.fault(line, f"{off!r} is no sort of what boils off", "off: organic")
            coarser = self.number(block, "coarser", "pure number") if "coarser" in block else 0.0
            some, each = self.slots("some", block, line), self.slots("each", block, line)
            named = block.get("named") == "yes"
            largest = self.number(block, "pieces-to", "length") if "pieces-to" in block else 0.0
            sort = (said, others, adds, alone, despite, gives_off, high, large, weaker)
            out.append((*sort, some, each, off, coarser, named, largest))
        return tuple(out)

    def slots(self, key: str, block: Block, line: int) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """{slot: words} of a component, () if the key is not there."""
        listed = self.block(key, block) if key in block else Block()
        return tuple((slot, self.words(node, line, slot)) for slot, node in listed.items())

    def instead(self) -> tuple[tuple[Any, ...], ...]:
        out = []
        for block, line in self.items("instead"):
            said = self.text(block.get("said"), line, "said")
            steps = self.known((said, *self.words(block.get("steps"), line, "steps")), line)[1:]
            rises = self.number(block, "rises", "pure number") if "rises" in block else 0.0
            out.append((said, steps, self.slots("some", block, line), rises))
        return tuple(out)

    def implied(self) -> tuple[tuple[Any, ...], ...]:
        out = []
        for block, line in self.items("implied"):
            step = self.text(block.get("step"), line, "step")
            before = self.known(self.words(block.get("before"), line, "before"), line)
            after = self.known(self.words(block.get("after", Items()), line, "after"), line)
            self.known((step,), line)
            out.append((step, before, block.get("alone") == "yes", after))
        return tuple(out)

    def spelled(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        block = self.block("spelled-out")
        out = []
        for slug, node in block.items():
            self.known((slug,), block.at(slug))
            if not isinstance(node, Items):
                raise self.fault(block.at(slug), f"{slug} must be a list of lists", f"{slug}: [[SLUG, SLUG]]")
            for index, item in enumerate(node):
                steps = self.known(self.words(item, node.at(index), slug), node.at(index))
                out.append((slug, steps))
        return tuple(sorted(out, key=lambda one: (-len(one[1]), one)))

    def general(self) -> tuple[tuple[Any, ...], ...]:
        block = self.block("general")
        out = []
        for key in block:
            entry = self.block(key, block)
            means = self.text(entry.get("means"), entry.line, "means")
            if means not in ("every", "first"):
                raise self.fault(entry.at("means"), f"{means!r} says nothing here", "means: every (or first)")
            kinds = self.known(self.words(entry.get("kinds"), entry.line, "kinds"), entry.at("kinds"))
            words = self.words(entry.get("words"), entry.line, "words")
            out.append((words, means == "every", kinds, entry.get("added") == "yes"))
        return tuple(out)

    def status_verdicts(self) -> dict[str, dict[str, str]]:
        block = self.block("status-verdicts")
        out: dict[str, dict[str, str]] = {}
        for stand in STANDS:
            entry = self.block(stand, block)
            out[stand] = {status: self.text(entry.get(status), entry.line, status) for status in STATUSES}
            for status, verdict in out[stand].items():
                if verdict not in VERDICTS:
                    raise self.fault(entry.at(status), f"{verdict!r} is no verdict", "one of " + ", ".join(VERDICTS))
        return out

    def read(self) -> dict[str, Any]:
        for key in self.root:
            if key not in _KEYS:
                raise self.fault(self.root.at(key), f"{key!r} is no key of this file", "one of " + ", ".join(_KEYS))
        marks, margins, danger = self.block("marks"), self.block("margins"), self.block("danger")
        chemical = self.block("chemical")
        tolerances, statuses = self.block("tolerances"), self.lists("statuses")
        for status in statuses:
            if status not in STATUSES:
                line = self.block("statuses").at(status)
                raise self.fault(line, f"{status!r} is no status", "one of " + ", ".join(STATUSES))
        return {
            "source": self.text(self.root.get("source"), 1, "source"),
            "margins": {key: self.number(margins, key, "pure number") for key in _MARGINS},
            "marks": {key: self.number(marks, key, "pure number") for key in VERDICTS[:-1]},
            "danger_slots": self.words(danger.get("slots"), danger.line, "slots"),
            "danger_kinds": self.words(danger.get("kinds"), danger.line, "kinds"),
            "danger_rules": self.words(danger.get("rules"), danger.line, "rules"),
            "preferences": self.lists("preferences"),
            "same": self.same(),
            "instead": self.instead(),
            "chemical": self.known(self.words(chemical.get("techniques"), chemical.line, "techniques"), chemical.line),
            "chemical_of": self.words(chemical.get("of"), chemical.line, "of"),
            "two_forms": self.slug_list("two-forms"),
            "includes": self.lists("includes", True, True),
            "before": self.lists("before", True, True),
            "anywhere": self.slug_list("anywhere"),
            "kin": self.words(self.root.get("kin"), self.root.at("kin"), "kin"),
            "repeated": self.slug_list("repeated"),
            "spelled": self.spelled(),
            "implied": self.implied(),
            "drives_off": self.slug_list("drives-off"),
            "techniques": self.lists("techniques", True),
            "general": self.general(),
            "statuses": statuses,
            "status_verdicts": self.status_verdicts(),
            "added": self.lists("added"),
            "solutions": self.lists("solutions"),
            "tolerances": {key: self.number(tolerances, key, what) for key, what in _TOLERANCES.items()},
            "claims": {
                key: self.text(node, block.at(key), key)
                for block in [self.block("claims")]
                for key, node in block.items()
            },
            "claim_columns": self.lists("claim-columns"),
            "columns": self.lists("columns"),
            "words": {key: self.words(self.root.get(key), self.root.at(key), key) for key in _WORDS},
        }


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
    here = Path(__file__).resolve()
    files = [path, here, here.parent.parent / "yamltext.py", here.parent.parent / "quantity.py"]

    def build() -> dict[str, Any]:
        slugs = {file.stem for file in (where / "techniques").glob("*.yaml")}
        return _File(path, f"{where.name}/judging.yaml", slugs).read()

    return stored("judging", files, build, make=_judging)
