"""The words that the reader knows by what they do: rules/reading/*.yaml and rules/setting/without.yaml, compiled."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from choosemethod.cache import stored
from choosemethod.places import rules_folder

__all__ = ["NO_CUES", "Lexicon", "Noun", "PropertyWord", "RoleRow", "lexicon"]

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
    role: str
    because: str


class Lexicon(NamedTuple):
    """words: normalised phrase -> {class of word: value}; longest: first word -> words in the longest phrase with it;
    units: spelling -> (unit, dimension); bulk: spelling of "%" -> mass or volume; pieces: key -> size (m); states:
    key -> its entry; holding: adjective -> name of what it holds; nouns, properties: key -> entry; without: key ->
    (meaning, keys that follow); mendable: words that a misspelling may be read as; roles: rows that give a role."""

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

    def cues(self, phrase: str) -> Mapping[str, str]:
        """What a normalised word or phrase does: class -> value; empty if it does nothing."""
        return self.words.get(phrase, NO_CUES)


def _files(folder: Path) -> list[Path]:
    here = Path(__file__).resolve().parent
    data = [folder / "reading" / f"{stem}.yaml" for stem in FILES] + [folder / "setting" / "without.yaml"]
    code = [here / "lexicon.py", here / "load_lexicon.py", here.parent / "table" / "names.py"]
    return [*data, *code, here.parent / "quantity.py"]


@lru_cache(maxsize=1)
def lexicon() -> Lexicon:
    """The lexicon as the files say it, from the cache while they are unchanged. DataError if a file is faulty."""
    folder = rules_folder()

    def build() -> dict[str, Any]:
        from choosemethod.reading.load_lexicon import compile_lexicon

        return compile_lexicon(folder)

    kept = stored("lexicon", _files(folder), build)
    kept["nouns"] = {key: Noun(*entry) for key, entry in kept["nouns"].items()}
    kept["properties"] = {key: PropertyWord(*entry) for key, entry in kept["properties"].items()}
    kept["roles"] = tuple([RoleRow(*row) for row in kept["roles"]])
    return Lexicon(**kept)
