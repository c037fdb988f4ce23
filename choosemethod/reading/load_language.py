"""The language of questions from YAML: read, checked and compiled. Only imported when the cache has to be made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from choosemethod.errors import DataError
from choosemethod.quantity import UNITS, QuantityError, parse_number, parse_range
from choosemethod.table.names import normalise
from choosemethod.yamltext import Block, Items, Node, read_mapping

__all__ = ["compile_language"]

MENDABLE = (
    "join",
    "separate",
    "want",
    "remove",
    "purify",
    "identify",
    "state",
    "piece",
    "group",
    "technique",
    "with",
    "in",
    "thing",
)


class _Compiler:
    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.phrases: dict[str, dict[str, str]] = {}

    def path(self, stem: str) -> Path:
        if stem == "inert":
            return self.folder / "inert.yaml"
        return (
            self.folder / "setting" / "without.yaml" if stem == "without" else self.folder / "reading" / f"{stem}.yaml"
        )

    def shown(self, stem: str) -> str:
        return self.path(stem).relative_to(self.folder.parent).as_posix()

    def read(self, stem: str) -> Block:
        return read_mapping(self.path(stem), self.shown(stem))

    def fault(self, stem: str, line: int, wrong: str, write: str) -> DataError:
        return DataError(self.shown(stem), line, wrong, write)

    def texts(self, stem: str, node: Node, line: int) -> list[str]:
        """A list of words; a single word counts as a list of one."""
        if isinstance(node, str):
            return [node]
        if isinstance(node, Items):
            found = []
            for index, item in enumerate(node):
                if not isinstance(item, str):
                    raise self.fault(stem, node.at(index), "a list of words is wanted here", "[word, another word]")
                found.append(item)
            return found
        raise self.fault(stem, line, "a list of words is wanted here", "[word, another word]")

    def block(self, stem: str, node: Node, line: int) -> Block:
        if not isinstance(node, Block):
            raise self.fault(stem, line, "KEY: VALUE pairs are wanted here", "KEY: [word, another word]")
        return node

    def add(self, kind: str, value: str, phrases: Iterable[str]) -> None:
        for phrase in phrases:
            key = normalise(phrase)
            if key:
                self.phrases.setdefault(key, {}).setdefault(kind, value)

    def words(self) -> None:
        flat = (
            "join",
            "into",
            "to",
            "of",
            "separate",
            "want",
            "wanted",
            "remove",
            "purify",
            "free",
            "dry",
            "identify",
            "place",
            "container",
            "opening",
            "tail",
            "soft",
            "claim",
            "small",
            "front",
            "spot",
            "their",
            "first_of",
            "second_of",
            "each_of",
            "none_of",
            "unnamed_impurity",
            "colour",
            "from",
            "mixing",
            "apart",
            "lesser",
            "origin",
            "compound",
        )
        nested = ("with", "in", "pronoun", "unnamed", "number_words", "misspelt")
        block = self.read("words")
        for key, node in block.items():
            line = block.at(key)
            if key in flat:
                self.add(key, "", self.texts("words", node, line))
            elif key in nested:
                inner = self.block("words", node, line)
                for value, phrases in inner.items():
                    self.add(key, value, self.texts("words", phrases, inner.at(value)))
            else:
                raise self.fault(
                    "words", line, f"{key!r} is no kind of small word", "one of " + ", ".join((*flat, *nested))
                )
        filler = self.read("filler")
        for key, node in filler.items():
            self.add("person" if key == "people" else "filler", key, self.texts("filler", node, filler.at(key)))

    def forms(self) -> dict[str, Any]:
        block = self.read("forms")
        pieces: dict[str, tuple[float, float]] = {}
        for key, node in self.block("forms", block.get("pieces", ""), block.at("pieces")).items():
            entry = self.block("forms", node, block.at("pieces"))
            self.add("piece", key, self.texts("forms", entry.get("words", ""), entry.at("words")))
            try:
                pieces[key] = parse_range(str(entry.get("size", "")), "length")
            except QuantityError as error:
                raise self.fault("forms", entry.at("size"), str(error), "size: 0.1 to 2 mm") from None
        states: dict[str, dict[str, str]] = {}
        for key, node in self.block("forms", block.get("states", ""), block.at("states")).items():
            entry = self.block("forms", node, block.at("states"))
            self.add("state", key, self.texts("forms", entry.get("words", ""), entry.at("words")))
            states[key] = {name: value for name, value in entry.items() if isinstance(value, str)}
        self.add("reacted", "", self.texts("forms", block.get("reacted", Items()), block.at("reacted")))
        holding: dict[str, str] = {}
        for word, name in self.block("forms", block.get("holding", ""), block.at("holding")).items():
            holding[normalise(word)] = str(name)
            self.add("holding", normalise(word), [word])
        locked = self.block("forms", block.get("embedded_in", ""), block.at("embedded_in"))
        embedding = {key: tuple(self.texts("forms", node, locked.at(key))) for key, node in locked.items()}
        limit = self.block("forms", block.get("dissolves_from", ""), block.at("dissolves_from"))
        try:
            least = parse_number(str(limit.get("is", "")), "solubility")
        except QuantityError as error:
            raise self.fault("forms", limit.at("is"), str(error), "{is: 1 g/100 g, at: 20 °C}") from None
        words = self.texts("forms", block.get("dissolving_words", Items()), block.at("dissolving_words"))
        never = self.texts("forms", block.get("insoluble_words", Items()), block.at("insoluble_words"))
        really = {
            word: str(node) for word, node in self.block("forms", block.get("really", ""), block.at("really")).items()
        }
        unclean = self.block("forms", block.get("crude", ""), block.at("crude"))
        crude = {key: tuple(self.texts("forms", node, unclean.at(key))) for key, node in unclean.items()}
        thin = self.block("forms", block.get("dilute", ""), block.at("dilute"))
        dilute = {key: tuple(self.texts("forms", node, thin.at(key))) for key, node in thin.items()}
        stands = self.block("forms", block.get("plain_liquids", ""), block.at("plain_liquids"))
        plain = {key: tuple(self.texts("forms", node, stands.at(key))) for key, node in stands.items()}
        inert: dict[str, tuple[str, ...]] = {}
        for key, node in self.read("inert").items():
            if key.startswith("in ") and isinstance(node, Block):
                inert[key[3:]] = tuple(self.texts("inert", node.get("classes", Items()), node.at("classes")))
        return {
            "crude": crude,
            "dilute": dilute,
            "plain": plain,
            "inert": inert,
            "pieces": pieces,
            "states": states,
            "holding": holding,
            "embedding": embedding,
            "dissolves_from": least,
            "dissolving_words": words,
            "insoluble_words": never,
            "really": really,
        }

    def groups(self) -> dict[str, dict[str, Any]]:
        block = self.read("groups")
        groups: dict[str, dict[str, Any]] = {}
        for key, node in block.items():
            entry = self.block("groups", node, block.at(key))
            if key == "_condition":
                for value, phrases in entry.items():
                    self.add("condition", value, self.texts("groups", phrases, entry.at(value)))
                continue
            self.add("group", key, self.texts("groups", entry.get("words", Items()), entry.at("words")))
            groups[key] = {
                name: list(self.texts("groups", value, entry.at(name)))
                if name in ("classes", "kinds", "forms", "roles")
                else value
                for name, value in entry.items()
                if name != "words"
            }
        return groups

    def properties(self) -> tuple[dict[str, dict[str, str]], str]:
        block = self.read("properties")
        found: dict[str, dict[str, str]] = {}

        def keep(key: str, kind: str, entry: Mapping[str, str], phrases: list[str]) -> None:
            found[key] = {**entry, "kind": kind}
            for phrase in phrases:
                normal = normalise(phrase)
                if normal:
                    self.phrases.setdefault(normal, {}).setdefault("property", key)

        for key, node in self.block("properties", block.get("measured", ""), block.at("measured")).items():
            entry = self.block("properties", node, block.at("measured"))
            said = {name: value for name, value in entry.items() if isinstance(value, str)}
            phrases = self.texts("properties", entry.get("phrases", Items()), entry.at("phrases"))
            keep(f"measured {key}", "measured", {**said, "property": key}, phrases)
        for kind in ("stated", "with_liquid"):
            rows = block.get(kind, Items())
            for index, node in enumerate(rows if isinstance(rows, Items) else ()):
                entry = self.block("properties", node, block.at(kind))
                said = {name: value for name, value in entry.items() if isinstance(value, str)}
                keep(
                    f"{kind} {index}",
                    kind,
                    said,
                    self.texts("properties", entry.get("phrases", Items()), entry.at("phrases")),
                )
        for kind in ("bare_solubility", "pair"):
            inner = self.block("properties", block.get(kind, ""), block.at(kind))
            for value, node in inner.items():
                keep(f"{kind} {value}", kind, {"value": value}, self.texts("properties", node, inner.at(value)))
        return found, str(block.get("liquid_assumed", ""))

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
                        raise self.fault(
                            "units", inner.at(unit), f"{unit!r} is no unit of the program", "one of " + ", ".join(UNITS)
                        )
                    for spelling in self.texts("units", spellings, inner.at(unit)):
                        units.setdefault(spelling, (unit, UNITS[unit][0]))
        return units, bulk

    def without(self) -> dict[str, tuple[str, tuple[str, ...]]]:
        block = self.read("without")
        keys = {key for key in block if not key.startswith("_")}
        found: dict[str, tuple[str, tuple[str, ...]]] = {}
        for key, node in block.items():
            entry = self.block("without", node, block.at(key))
            if key == "_negation":
                for place, phrases in entry.items():
                    if place == "only_implies":
                        for word, implied_key in self.block("without", phrases, entry.at(place)).items():
                            self.add("only_implies", str(implied_key), [word])
                    elif place in ("only", "allowing", "at_hand"):
                        self.add(place, "", self.texts("without", phrases, entry.at(place)))
                    else:
                        self.add(f"not_{place}", "", self.texts("without", phrases, entry.at(place)))
                continue
            self.add("thing", key, self.texts("without", entry.get("things", Items()), entry.at("things")))
            self.add("limit_key", key, [key])
            self.add("limit", key, self.texts("without", entry.get("phrases", Items()), entry.at("phrases")))
            implied = self.texts("without", entry.get("implies", Items()), entry.at("implies"))
            for other in implied:
                if other not in keys:
                    raise self.fault(
                        "without",
                        entry.at("implies"),
                        f"{other!r} is no key of this file",
                        "one of " + ", ".join(sorted(keys)),
                    )
            if not isinstance(entry.get("meaning"), str):
                raise self.fault(
                    "without", entry.line, f"{key} has no meaning", "meaning: WHAT IS MISSING OR NOT ALLOWED"
                )
            found[key] = (str(entry["meaning"]), tuple(implied))
        return found

    def compile(self) -> dict[str, Any]:
        self.words()
        result: dict[str, Any] = self.forms()
        result["groups"] = self.groups()
        result["properties"], result["assumed_liquid"] = self.properties()
        result["units"], result["bulk"] = self.units()
        techniques = self.read("technique-names")
        for slug, node in techniques.items():
            for phrase in (*self.texts("technique-names", node, techniques.at(slug)), slug):
                slugs = self.phrases.setdefault(normalise(phrase), {})
                known = slugs.get("technique", "").split()
                slugs["technique"] = " ".join(dict.fromkeys((*known, slug)))
        levels = self.read("levels")
        for level, node in levels.items():
            self.add("level", level, (*self.texts("levels", node, levels.at(level)), level))
        result["without"] = self.without()
        first: dict[str, int] = {}
        words: set[str] = set()
        for key in self.phrases:
            parts = key.split(" ")
            first[parts[0]] = max(first.get(parts[0], 0), len(parts))
            if any(kind in self.phrases[key] for kind in MENDABLE):
                words.update(part for part in parts if part.isalpha())
        result["phrases"], result["first"], result["words"] = self.phrases, first, tuple(sorted(words))
        return result


def compile_language(folder: Path) -> dict[str, Any]:
    """The fields of `choosemethod.reading.language.Language` from the files of a rules folder; DataError if one is faulty."""
    return _Compiler(folder).compile()
