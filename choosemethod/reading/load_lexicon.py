"""Compiles the files of words that the reader knows; a faulty one is refused with file, line and what to write."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from choosemethod.data import (
    Entry,
    Listed,
    Names,
    Number,
    Problems,
    Reading,
    Record,
    Ref,
    Span,
    Spec,
    Table,
    Text,
    Word,
    raise_all,
    read_file,
)
from choosemethod.mixture import LEVELS
from choosemethod.quantity import UNITS
from choosemethod.rulebook.gather import INERT, WITHOUT
from choosemethod.table.names import normalise

__all__ = ["compile_lexicon", "inflected"]

# Classes of cues.yaml that patterns ask for; those with values hold a block of lists.
FLAT = (
    "join", "from", "in", "into", "to", "of", "with", "by", "for", "between", "without", "than", "likened", "example", "after",
    "but", "when", "through", "strength", "compound",
    "lesser", "pronoun", "every", "person", "be", "light", "instruct", "howmuch", "which", "whole", "container", "place",
    "apparatus", "negation", "gone", "only", "at_hand", "supplies", "lost", "tried", "claimed", "small", "works_scale", "colour",
    "unknown_word", "forming", "front", "spot", "first_of", "second_of", "apart", "reacted", "altitude", "offered", "matching",
    "labelled", "azeotropic", "arose",
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


_WORDS = Listed(Text())
_LISTS = Table(_WORDS)


class _Folded(Text):
    """A text as it is looked up: normalised."""

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        return normalise(text)


def _as_written(one: Entry) -> dict[str, Any]:
    """The values of a record in the order of the file: of two that claim a word the first has it."""
    return {key: one[key] for key in one.block}


CUES = Record(
    "this file",
    {
        **dict.fromkeys(FLAT, _WORDS),
        **dict.fromkeys((*NESTED, "verbs", "irregular"), _LISTS),
    },
    make=_as_written,
    noun="class of cue",
)
CLASS_NOUNS = Table(
    Record(
        "a class noun",
        {"words": _WORDS, "means": _LISTS, "is?": Table(Text(), empty=None), "aim?": Text(), "alone?": Text()},
        make=lambda one: (
            one["words"],
            (one["means"], one["is"] is not None, one["is"] or {}, one["aim"], one["alone"]),
        ),
    )
)
FORMS = Record(
    "this file",
    {
        "pieces": Table(Record("pieces", {"words": _WORDS, "size": Span("length", example="0.1 to 2 mm")})),
        "states": Table(Record("a state", {"words": _WORDS}, other=Text())),
        "holding": Table(Text(), key=_Folded()),
        "dissolves_from": Record(
            "a solubility", {"is": Number("solubility"), "at": Number("temperature")}, make=lambda one: one["is"]
        ),
        "really": Table(Text()),
        **dict.fromkeys(("embedded_in", "dilute", "plain_liquids", "materials"), _LISTS),
        "assumed_liquid": Text(),
        **dict.fromkeys(("dissolving_words", "insoluble_words", "stands_for", "solvent_adjectives"), _WORDS),
    },
)
TOLD = Record(
    "this file",
    {
        "measured": Table(Record("a property", {"words": _WORDS, "dimension": Text(), "implies?": Text()})),
        "stated": Listed(
            Record("what is stated", {"words": _WORDS, "property": Text(), "value": Text(), "not?": Text(may_be_empty=True)}),
            alone=False,
        ),
        "liquid": Table(Record("a word of the scale", {"words": _WORDS, "not?": Text(may_be_empty=True)})),
    },
)
_KINDS_OF_WORDS = ("altitude", "pressure_words", "volume_words", "mass_words")
UNIT_WORDS = Record(
    "this file",
    dict.fromkeys(_KINDS_OF_WORDS, _WORDS),
    other=Table(_WORDS, key=Word(UNITS, noun="unit of the program")),
    make=_as_written,
)
TECHNIQUE_NAMES = Table(_WORDS, key=Ref("technique"))
LEVEL_WORDS = Table(_WORDS, key=Word(LEVELS, noun="level"))
_OF_A_ROW = Listed(Text(may_be_empty=True), empty=None)
ROLES = Listed(
    Record(
        "a row",
        {
            **{f"{key}?": _OF_A_ROW for key in ("verb", "link", "ending", "after", "lesser", "phase")},
            "role": Text(),
            "because": Text(),
        },
        make=lambda one: tuple(one.values.values()),
    ),
    alone=False,
)
FILES: dict[str, Spec] = {
    "reading/cues": CUES,
    "reading/class-nouns": CLASS_NOUNS,
    "reading/forms": FORMS,
    "reading/told": TOLD,
    "reading/units": UNIT_WORDS,
    "reading/technique-names": TECHNIQUE_NAMES,
    "reading/levels": LEVEL_WORDS,
    "reading/roles": ROLES,
    "setting/without": WITHOUT,
    "inert": INERT,
}


class _Compiler:
    """Every word and phrase of the files with the classes it belongs to: of two that claim it for one the first has it."""

    def __init__(self) -> None:
        self.found: dict[str, dict[str, str]] = {}

    def add(self, kind: str, value: str, phrases: Iterable[str]) -> None:
        for phrase in phrases:
            key = normalise(phrase)
            if key:
                self.found.setdefault(key, {}).setdefault(kind, value)

    def cues(self, cues: Mapping[str, Any]) -> None:
        for key, words in cues.items():
            if key in FLAT:
                self.add(key, "", words)
            elif key in NESTED:
                for value, phrases in words.items():
                    self.add(key, value, phrases)
            elif key == "verbs":
                for kind, verbs in words.items():
                    for verb in verbs:
                        self.verb(kind, verb, cues["irregular"].get(verb, ()))

    def verb(self, kind: str, verb: str, irregular: Iterable[str]) -> None:
        self.add("verb", kind, [verb])
        forms = [*inflected(normalise(verb))]
        forms += [(normalise(form), "ing" if form.split()[0].endswith("ing") else "ed") for form in irregular]
        for form, ending in forms:
            self.add("verb", kind, [form])
            self.add("ending", ending, [form])

    def entries(self, kind: str, entries: Mapping[str, Mapping[str, Any]], prefix: str = "") -> None:
        """Words of the entries of a block, each with its key."""
        for key, entry in entries.items():
            self.add(kind, f"{prefix}{key}", entry["words"])

    def properties(self, told: Mapping[str, Any]) -> dict[str, Any]:
        found: dict[str, Any] = {}
        stated = {str(number): row for number, row in enumerate(told["stated"])}
        for key, one in told["measured"].items():
            found[f"measured {key}"] = ("measured", key, one["implies"], "", one["dimension"])
        for key, one in stated.items():
            found[f"stated {key}"] = ("stated", one["property"], one["value"], one["not"], "")
        for key, one in told["liquid"].items():
            found[f"liquid {key}"] = ("liquid", "solubility", key, one["not"], "")
        for kind, entries in (("measured", told["measured"]), ("stated", stated), ("liquid", told["liquid"])):
            self.entries(kind, entries, f"{kind} ")
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

    def units(self, words: Mapping[str, Any]) -> tuple[dict[str, tuple[str, str]], dict[str, str]]:
        units: dict[str, tuple[str, str]] = {}
        bulk: dict[str, str] = {}
        for key, found in words.items():
            if key in ("altitude", "pressure_words"):
                self.add(key, "", found)
            elif key in _KINDS_OF_WORDS:
                bulk.update(dict.fromkeys(found, key.removesuffix("_words")))
            else:
                for unit, spellings in found.items():
                    for spelling in spellings:
                        units.setdefault(spelling, (unit, UNITS[unit][0]))
        return units, bulk

    def techniques(self, names: Mapping[str, Sequence[str]]) -> None:
        for slug, phrases in names.items():
            for phrase in (*phrases, slug):
                slugs = self.found.setdefault(normalise(phrase), {})
                slugs["technique"] = " ".join(dict.fromkeys((*slugs.get("technique", "").split(), slug)))

    def without(self, entries: Mapping[str, Mapping[str, Any]]) -> dict[str, tuple[str, tuple[str, ...]]]:
        found: dict[str, tuple[str, tuple[str, ...]]] = {}
        for key, entry in entries.items():
            if key == "_negation":
                for word, other in entry["only_implies"].items():
                    self.add("only_implies", other, [word])
                continue
            self.add("thing", key, entry["things"])
            self.add("limit_key", key, [key])
            self.add("limit", key, entry["phrases"])
            found[key] = (entry["meaning"], entry["implies"])
        return found

    def compile(self, files: Mapping[str, Any]) -> dict[str, Any]:
        self.cues(files["reading/cues"])
        nouns = files["reading/class-nouns"]
        for key, (words, _) in nouns.items():
            self.add("noun", key, words)
        forms = files["reading/forms"]
        self.entries("piece", forms["pieces"])
        self.entries("state", forms["states"])
        for word in forms["holding"]:
            self.add("holding", word, [word])
        properties = self.properties(files["reading/told"])
        units, bulk = self.units(files["reading/units"])
        self.techniques(files["reading/technique-names"])
        for level, phrases in files["reading/levels"].items():
            self.add("level", level, (*phrases, level))
        without = self.without(files["setting/without"])
        longest: dict[str, int] = {}
        mendable: set[str] = set()
        for key, roles in self.found.items():
            parts = key.split(" ")
            longest[parts[0]] = max(longest.get(parts[0], 0), len(parts))
            if any(kind in roles for kind in MENDABLE):
                mendable.update(part for part in parts if part.isalpha())
        fields = {key: forms[key] for key in ("holding", "dissolves_from", "really", "dilute", "assumed_liquid")}
        fields |= {key: forms[key] for key in ("dissolving_words", "insoluble_words", "stands_for", "solvent_adjectives")}
        return fields | {
            "nouns": {key: entry for key, (_, entry) in nouns.items()},
            "pieces": {key: entry["size"] for key, entry in forms["pieces"].items()},
            "states": {
                key: {name: value for name, value in entry.items() if name != "words"}
                for key, entry in forms["states"].items()
            },
            "embedding": forms["embedded_in"],
            "plain": forms["plain_liquids"],
            "materials": forms["materials"],
            "properties": properties,
            "units": units,
            "bulk": bulk,
            "without": without,
            "roles": list(files["reading/roles"]),
            "inert": {key[3:]: classes for key, classes in files["inert"].items() if key.startswith("in ")},
            "words": self.found,
            "longest": longest,
            "mendable": tuple(sorted(mendable)),
        }


def compile_lexicon(folder: Path) -> dict[str, Any]:
    """The fields of `choosemethod.reading.lexicon.Lexicon` from the files of a rules folder; DataError with all faults."""
    problems = Problems()
    slugs = {path.stem for path in (folder / "techniques").glob("*.yaml")}
    known = {"technique": Names(slugs)} if slugs else {}
    files: dict[str, Any] = {}
    for name, form in FILES.items():
        path = folder / f"{name}.yaml"
        shown = path.relative_to(folder.parent).as_posix()
        files[name] = read_file(path, form, shown, known, problems, ahead=lambda block: ({"need": Names(block)}, {}))
    raise_all(problems)
    return _Compiler().compile(files)
