"""The words that the reader knows by what they do: rules/reading/*.yaml and rules/setting/without.yaml, compiled."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from choosemethod.cache import stored
from choosemethod.places import rules_folder
from choosemethod.table.names import normalise

__all__ = [
    "NO_CUES",
    "Lexicon",
    "Noun",
    "PropertyWord",
    "RoleRow",
    "level_of",
    "lexicon",
    "technique_slugs",
    "without_implied",
    "without_keys_of",
]

FILES = ("cues", "class-nouns", "forms", "told", "technique-names", "units", "levels", "roles")
NO_CUES: Mapping[str, str] = {}


class Noun(NamedTuple):
    """A class noun. means: classes, kinds, phase, forms, roles of the parts it points back to; own: whether it can be a
    part itself, described by `told` (property -> value text); aim: what is wanted of several; alone: a named mixture."""

    means: Mapping[str, tuple[str, ...]]
    own: bool = False
    told: Mapping[str, str] = {}
    aim: str = ""
    alone: str = ""


class PropertyWord(NamedTuple):
    """What a property word says. kind: measured, stated or liquid; denied: the value its denial says, "" if none."""

    kind: str
    property: str = ""
    value: str = ""
    denied: str = ""
    dimension: str = ""


class RoleRow(NamedTuple):
    """A row of rules/reading/roles.yaml; None fits anything."""

    verb: tuple[str, ...] | None
    link: tuple[str, ...] | None
    ending: tuple[str, ...] | None
    after: tuple[str, ...] | None
    lesser: tuple[str, ...] | None
    phase: tuple[str, ...] | None
    role: str
    because: str


class Lexicon(NamedTuple):
    """words: normalised phrase -> {class of word: value}; longest: first word -> words in the longest phrase with it;
    units: spelling -> (unit, dimension); bulk: spelling of "%" -> mass or volume; pieces: key -> size (m); states:
    key -> its entry; holding: adjective -> name of what it holds; nouns, properties: key -> entry; without: key ->
    (meaning, keys that follow); mendable: words that a misspelling may be read as; roles: rows that give a role.

    Of rules/reading/forms.yaml and rules/inert.yaml: embedding: classes and kinds that lock a component in; dissolves_from:
    kg per kg from which a solid counts as dissolved; dissolving_words, insoluble_words: of the solubility scale; really:
    class -> why components that are all of it are no mixture; dilute: classes that count as dissolved however little
    dissolves; plain: named mixtures that stand for the usual liquid, or stay one thing; materials: what a noun alone
    decides, whatever unknown word stands before it; inert: class of a liquid -> classes
    and kinds of solids that do not dissolve in it; stands_for: classes by which a product wanted under its own name stands
    for the component it is made of; solvent_adjectives: words that name a solvent; assumed_liquid: name of the usual one."""

    words: Mapping[str, Mapping[str, str]]
    longest: Mapping[str, int]
    units: Mapping[str, tuple[str, str]]
    bulk: Mapping[str, str]
    pieces: Mapping[str, tuple[float, float]]
    states: Mapping[str, Mapping[str, str]]
    holding: Mapping[str, str]
    nouns: Mapping[str, Noun]
    properties: Mapping[str, PropertyWord]
    without: Mapping[str, tuple[str, tuple[str, ...]]]
    mendable: tuple[str, ...]
    roles: tuple[RoleRow, ...]
    embedding: Mapping[str, tuple[str, ...]]
    dissolves_from: float
    dissolving_words: tuple[str, ...]
    insoluble_words: tuple[str, ...]
    really: Mapping[str, str]
    dilute: Mapping[str, tuple[str, ...]]
    plain: Mapping[str, tuple[str, ...]]
    materials: Mapping[str, tuple[str, ...]]
    inert: Mapping[str, tuple[str, ...]]
    stands_for: tuple[str, ...]
    solvent_adjectives: tuple[str, ...]
    assumed_liquid: str

    def cues(self, phrase: str) -> Mapping[str, str]:
        """What a normalised word or phrase does: class -> value; empty if it does nothing."""
        return self.words.get(phrase, NO_CUES)


def _files(folder: Path) -> list[Path]:
    here = Path(__file__).resolve().parent
    data = [folder / "reading" / f"{stem}.yaml" for stem in FILES] + [
        folder / "setting" / "without.yaml",
        folder / "inert.yaml",
    ]
    code = [here / "lexicon.py", here / "load_lexicon.py", here.parent / "table" / "names.py"]
    return [*data, *code, here.parent / "quantity.py"]


@lru_cache(maxsize=1)
def lexicon() -> Lexicon:
    """The lexicon as the files say it, from the cache while they are unchanged. DataError if a file is faulty."""
    folder = rules_folder()

    def build() -> dict[str, Any]:
        from choosemethod.reading.load_lexicon import compile_lexicon

        return compile_lexicon(folder)

    kept: dict[str, Any] = stored("lexicon", _files(folder), build)
    kept["nouns"] = {key: Noun(*entry) for key, entry in kept["nouns"].items()}
    kept["properties"] = {key: PropertyWord(*entry) for key, entry in kept["properties"].items()}
    kept["roles"] = tuple([RoleRow(*row) for row in kept["roles"]])
    return Lexicon(**kept)


def without_implied(keys: Iterable[str]) -> tuple[str, ...]:
    """The keys with all that follow from them, each once, those given first; of a substance's id nothing follows."""
    found = list(dict.fromkeys(keys))
    for key in found:  # grows while it is walked
        found += [other for other in lexicon().without.get(key, ("", ()))[1] if other not in found]
    return tuple(found)


def technique_slugs(words: str) -> tuple[str, ...]:
    """Slugs of the technique that goes by these words, the usual one first; empty if the words name none."""
    return tuple(lexicon().cues(normalise(words)).get("technique", "").split())


def level_of(words: str) -> str:
    """The level these words stand for ("year 7" -> lower-secondary); "" if none."""
    return lexicon().cues(normalise(words)).get("level", "")


def without_keys_of(words: str) -> list[str]:
    """Keys of rules/setting/without.yaml that words such as "no heating allowed" stand for; empty if they name none."""
    known = lexicon()
    parts = normalise(words).split()
    found: list[str] = []
    place = 0
    while place < len(parts):
        for end in range(len(parts), place, -1):
            cues = known.cues(" ".join(parts[place:end]))
            key = cues.get("limit") or cues.get("thing") or cues.get("limit_key")
            if key:
                found.append(key)
                place = end - 1
                break
        place += 1
    return list(dict.fromkeys(found))
