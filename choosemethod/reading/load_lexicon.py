"""Compiles the files of words that the reader knows; a faulty one is refused with file, line and what to write."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from choosemethod.errors import DataError
from choosemethod.quantity import UNITS, QuantityError, parse_number, parse_range
from choosemethod.table.names import normalise
from choosemethod.yamltext import Block, Items, Node, read_mapping, read_yaml

__all__ = ["compile_lexicon", "inflected"]

# Classes of cues.yaml that patterns ask for; those with values hold a block of lists.
FLAT = (
    "join", "from", "in", "into", "to", "of", "with", "by", "for", "between", "without", "than", "example", "after", "but", "when",
    "through", "strength", "compound",
    "lesser", "pronoun", "every", "person", "be", "light", "instruct", "howmuch", "which", "whole", "container", "place",
    "apparatus", "negation", "gone", "only", "at_hand", "supplies", "lost", "tried", "claimed", "small", "works_scale", "colour",
    "unknown_word", "front", "spot", "first_of", "second_of", "apart", "reacted", "altitude", "offered",
)  # fmt: skip
NESTED = ("condition", "number_words", "misspelt")
_VOWELS = "aeiou"
# What a misspelt word may be read as: words of these classes.
MENDABLE = ("verb", "state", "piece", "noun", "technique", "thing", "condition", "whole", "property", "lesser")


def inflected(verb: str) -> Iterator[tuple[str, str]]:
    """The -ed and -ing forms of a verb by the regular rules, as (form, ending); of two words the first changes."""
    first, _, rest = verb.partition(" ")
    tail = f" {rest}" if rest else ""
    if first.endswith("e") and not first.endswith("ee"):
        stem = first[:-1]
        yield f"{first}d{tail}", "ed"
    elif first.endswith("y") and first[-2:-1] not in _VOWELS:
        stem = first
        yield f"{first[:-1]}ied{tail}", "ed"
    else:
        stem = first
        short = (
            len(first) > 2 and first[-1] not in _VOWELS + "wxy" and first[-2] in _VOWELS and first[-3] not in _VOWELS
        )
        if short and (len(first) < 5 or first.endswith(("til", "fer"))):
            stem = first + first[-1]
        yield f"{stem}ed{tail}", "ed"
    yield f"{stem}ing{tail}", "ing"


class _Compiler:
    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.found: dict[str, dict[str, str]] = {}

    def read(self, stem: str) -> Block:
        return read_mapping(self.path(stem), self.shown(stem))

    def path(self, stem: str) -> Path:
        folder = {"without": "setting", "inert": ""}.get(stem, "reading")
        return self.folder / folder / f"{stem}.yaml"

    def shown(self, stem: str) -> str:
        return self.path(stem).relative_to(self.folder.parent).as_posix()

    def fault(self, stem: str, line: int, wrong: str, write: str) -> DataError:
        return DataError(self.shown(stem), line, wrong, write)

    def texts(self, stem: str, node: Node, line: int) -> list[str]:
        """A list of words; a single word counts as a list of one."""
        if isinstance(node, str):
            return [node]
        if isinstance(node, Items) and all(isinstance(item, str) for item in node):
            return [str(item) for item in node]
        raise self.fault(stem, line, "a list of words is wanted here", "[word, another word]")

    def block(self, stem: str, node: Node | None, line: int) -> Block:
        if not isinstance(node, Block):
            raise self.fault(stem, line, "KEY: VALUE pairs are wanted here", "KEY: [word, another word]")
        return node

    def blocks(self, stem: str, node: Node | None, line: int) -> Iterator[tuple[str, Block, int]]:
        outer = self.block(stem, node, line)
        for key, inner in outer.items():
            yield key, self.block(stem, inner, outer.at(key)), outer.at(key)

    def words(self, stem: str, entry: Block, line: int) -> list[str]:
        if "words" not in entry:
            raise self.fault(stem, line, "no words are given", "words: [word, another word]")
        return self.texts(stem, entry["words"], entry.at("words"))

    def add(self, kind: str, value: str, phrases: Iterable[str]) -> None:
        for phrase in phrases:
            key = normalise(phrase)
            if key:
                self.found.setdefault(key, {}).setdefault(kind, value)

    def cues(self) -> None:
        block = self.read("cues")
        for key, node in block.items():
            line = block.at(key)
            if key in FLAT:
                self.add(key, "", self.texts("cues", node, line))
            elif key == "verbs":
                self.verbs(self.block("cues", node, line), self.block("cues", block.get("irregular"), line))
            elif key == "irregular":
                continue  # read with the verbs
            elif key in NESTED:
                inner = self.block("cues", node, line)
                for value, phrases in inner.items():
                    self.add(key, value, self.texts("cues", phrases, inner.at(value)))
            else:
                raise self.fault(
                    "cues", line, f"{key!r} is no class of cue", "one of " + ", ".join((*FLAT, *NESTED, "verbs"))
                )

    def verbs(self, verbs: Block, irregular: Block) -> None:
        for kind, node in verbs.items():
            for verb in self.texts("cues", node, verbs.at(kind)):
                self.add("verb", kind, [verb])
                forms = [*inflected(normalise(verb))]
                for form in self.texts("cues", irregular.get(verb, Items()), irregular.line):
                    forms.append((normalise(form), "ing" if form.split()[0].endswith("ing") else "ed"))
                for form, ending in forms:
                    self.add("verb", kind, [form])
                    self.add("ending", ending, [form])

    def nouns(self) -> dict[str, Any]:
        found: dict[str, Any] = {}
        block = self.read("class-nouns")
        for key, entry, line in self.blocks("class-nouns", block, 1):
            self.add("noun", key, self.words("class-nouns", entry, line))
            means = self.block("class-nouns", entry.get("means"), line)
            told = self.block("class-nouns", entry.get("is", Block()), line)
            known = {name: tuple(self.texts("class-nouns", value, means.at(name))) for name, value in means.items()}
            says = {name: str(value) for name, value in told.items()}
            found[key] = (known, "is" in entry, says, str(entry.get("aim", "")), str(entry.get("alone", "")))
        return found

    def forms(self) -> dict[str, Any]:
        block = self.read("forms")
        pieces: dict[str, tuple[float, float]] = {}
        for key, entry, line in self.blocks("forms", block.get("pieces"), block.at("pieces")):
            self.add("piece", key, self.words("forms", entry, line))
            try:
                pieces[key] = parse_range(str(entry.get("size", "")), "length")
            except QuantityError as error:
                raise self.fault("forms", line, str(error), "size: 0.1 to 2 mm") from None
        states: dict[str, dict[str, str]] = {}
        for key, entry, line in self.blocks("forms", block.get("states"), block.at("states")):
            self.add("state", key, self.words("forms", entry, line))
            states[key] = {name: value for name, value in entry.items() if isinstance(value, str)}
        holding: dict[str, str] = {}
        for word, name in self.block("forms", block.get("holding"), block.at("holding")).items():
            holding[normalise(word)] = str(name)
            self.add("holding", normalise(word), [word])
        limit = self.block("forms", block.get("dissolves_from"), block.at("dissolves_from"))
        try:
            least = parse_number(str(limit.get("is", "")), "solubility")
        except QuantityError as error:
            raise self.fault("forms", limit.at("is"), str(error), "{is: 1 g/100 g, at: 20 °C}") from None
        really = self.block("forms", block.get("really"), block.at("really"))
        return {
            "pieces": pieces,
            "states": states,
            "holding": holding,
            "dissolves_from": least,
            "really": {word: str(node) for word, node in really.items()},
            "embedding": self.lists(block, "embedded_in"),
            "dilute": self.lists(block, "dilute"),
            "plain": self.lists(block, "plain_liquids"),
            "assumed_liquid": str(block.get("assumed_liquid", "")),
            **{
                key: tuple(self.texts("forms", block.get(key, Items()), block.at(key)))
                for key in ("dissolving_words", "insoluble_words", "stands_for", "solvent_adjectives")
            },
        }

    def lists(self, block: Block, key: str) -> dict[str, tuple[str, ...]]:
        """The lists of words of a block of forms.yaml."""
        inner = self.block("forms", block.get(key), block.at(key))
        return {name: tuple(self.texts("forms", node, inner.at(name))) for name, node in inner.items()}

    def inert(self) -> dict[str, tuple[str, ...]]:
        """Class of a liquid -> classes and kinds of solids that dissolve in none of it."""
        found: dict[str, tuple[str, ...]] = {}
        for key, node in self.read("inert").items():
            if key.startswith("in ") and isinstance(node, Block):
                found[key[3:]] = tuple(self.texts("inert", node.get("classes", Items()), node.at("classes")))
        return found

    def properties(self) -> dict[str, Any]:
        block = self.read("told")
        found: dict[str, Any] = {}
        for key, entry, line in self.blocks("told", block.get("measured"), block.at("measured")):
            self.add("measured", f"measured {key}", self.words("told", entry, line))
            found[f"measured {key}"] = (
                "measured",
                key,
                str(entry.get("implies", "")),
                "",
                str(entry.get("dimension", "")),
            )
        rows = block.get("stated", Items())
        for index, node in enumerate(rows if isinstance(rows, Items) else ()):
            entry = self.block("told", node, block.at("stated"))
            self.add("stated", f"stated {index}", self.words("told", entry, entry.line))
            said = [str(entry.get(name, "")) for name in ("property", "value", "not")]
            found[f"stated {index}"] = ("stated", *said, "")
        for key, entry, line in self.blocks("told", block.get("liquid"), block.at("liquid")):
            self.add("liquid", f"liquid {key}", self.words("told", entry, line))
            found[f"liquid {key}"] = ("liquid", "solubility", key, str(entry.get("not", "")), "")
        for phrase, roles in list(self.found.items()):
            if any(kind in roles for kind in ("measured", "stated", "liquid")):
                self.found[phrase]["property"] = ""
                if " " not in phrase and phrase.endswith(("e", "l", "t", "k")):
                    for form, _ in inflected(phrase):
                        for kind in ("measured", "stated", "liquid"):
                            if kind in roles:
                                self.add(kind, roles[kind], [form])
                                self.add("property", "", [form])
        return found

    def units(self) -> tuple[dict[str, tuple[str, str]], dict[str, str]]:
        block = self.read("units")
        units: dict[str, tuple[str, str]] = {}
        bulk: dict[str, str] = {}
        for key, node in block.items():
            if key in ("altitude", "pressure_words"):
                self.add(key, "", self.texts("units", node, block.at(key)))
            elif key in ("volume_words", "mass_words"):
                for phrase in self.texts("units", node, block.at(key)):
                    bulk[phrase] = key.removesuffix("_words")
            else:
                inner = self.block("units", node, block.at(key))
                for unit, spellings in inner.items():
                    if unit not in UNITS:
                        known = "one of " + ", ".join(UNITS)
                        raise self.fault("units", inner.at(unit), f"{unit!r} is no unit of the program", known)
                    for spelling in self.texts("units", spellings, inner.at(unit)):
                        units.setdefault(spelling, (unit, UNITS[unit][0]))
        return units, bulk

    def techniques(self) -> None:
        block = self.read("technique-names")
        for slug, node in block.items():
            for phrase in (*self.texts("technique-names", node, block.at(slug)), slug):
                slugs = self.found.setdefault(normalise(phrase), {})
                slugs["technique"] = " ".join(dict.fromkeys((*slugs.get("technique", "").split(), slug)))

    def without(self) -> dict[str, tuple[str, tuple[str, ...]]]:
        block = self.read("without")
        keys = {key for key in block if not key.startswith("_")}
        found: dict[str, tuple[str, tuple[str, ...]]] = {}
        for key, entry, line in self.blocks("without", block, 1):
            if key == "_negation":
                implies = entry.get("only_implies", Block())
                for word, other in self.block("without", implies, line).items():
                    self.add("only_implies", str(other), [word])
                continue
            self.add("thing", key, self.texts("without", entry.get("things", Items()), line))
            self.add("limit_key", key, [key])
            self.add("limit", key, self.texts("without", entry.get("phrases", Items()), line))
            implied = self.texts("without", entry.get("implies", Items()), line)
            for other in implied:
                if other not in keys:
                    write = "one of " + ", ".join(sorted(keys))
                    raise self.fault("without", entry.at("implies"), f"{other!r} is no key of this file", write)
            if not isinstance(entry.get("meaning"), str):
                raise self.fault("without", line, f"{key} has no meaning", "meaning: WHAT IS MISSING OR NOT ALLOWED")
            found[key] = (str(entry["meaning"]), tuple(implied))
        return found

    def roles(self) -> list[tuple[Any, ...]]:
        path = self.path("roles")
        rows = read_yaml(path, self.shown("roles"))
        found: list[tuple[Any, ...]] = []
        for index, node in enumerate(rows if isinstance(rows, Items) else ()):
            entry = self.block("roles", node, 1)
            for key in entry:
                if key not in ("verb", "link", "ending", "after", "lesser", "phase", "role", "because"):
                    raise self.fault(
                        "roles",
                        entry.at(key),
                        f"{key!r} is no key of a row",
                        "verb, link, ending, after, lesser, phase, role, because",
                    )
            keys = [
                tuple(self.texts("roles", entry[key], entry.at(key))) if key in entry else None
                for key in ("verb", "link", "ending", "after", "lesser", "phase")
            ]
            if "role" not in entry or "because" not in entry:
                line = rows.at(index) if isinstance(rows, Items) else 1
                raise self.fault(
                    "roles", line, "a row needs role and because", "{link: [in], role: host, because: WHY}"
                )
            found.append((*keys, str(entry["role"]), str(entry["because"])))
        return found

    def compile(self) -> dict[str, Any]:
        self.cues()
        result: dict[str, Any] = {"nouns": self.nouns(), **self.forms(), "properties": self.properties()}
        result["units"], result["bulk"] = self.units()
        self.techniques()
        levels = self.read("levels")
        for level, node in levels.items():
            self.add("level", level, (*self.texts("levels", node, levels.at(level)), level))
        result["without"] = self.without()
        result["roles"] = self.roles()
        result["inert"] = self.inert()
        longest: dict[str, int] = {}
        mendable: set[str] = set()
        for key, roles in self.found.items():
            parts = key.split(" ")
            longest[parts[0]] = max(longest.get(parts[0], 0), len(parts))
            if any(kind in roles for kind in MENDABLE):
                mendable.update(part for part in parts if part.isalpha())
        return {**result, "words": self.found, "longest": longest, "mendable": tuple(sorted(mendable))}


def compile_lexicon(folder: Path) -> dict[str, Any]:
    """The fields of `choosemethod.reading.lexicon.Lexicon` from the files of a rules folder; DataError if one is faulty."""
    return _Compiler(folder).compile()
