"""What is known of the language of questions: rules/reading/*.yaml and rules/setting/without.yaml, compiled."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from choosemethod.cache import stored
from choosemethod.places import rules_folder
from choosemethod.table.names import normalise

__all__ = ["Language", "language", "level_of", "technique_slugs", "without_implied", "without_keys", "without_keys_of"]

FILES = ("words", "filler", "forms", "groups", "properties", "technique-names", "units", "levels")


class Language(NamedTuple):
    """The compiled language.

    phrases: normalised phrase -> {what it does: value}; first: first word of a phrase -> words in the
    longest such phrase.
    units: spelling -> (unit of choosemethod.quantity, dimension); bulk: spellings of "%" that say "mass" or "volume".
    pieces: key -> particle size (m); states: key -> its entry; holding: adjective -> name of what it holds.
    embedding: classes and kinds that lock a component in; dissolves_from: kg per kg from which a solid counts
    as dissolved; dissolving_words: words of the solubility scale that say so;
    insoluble_words: those that gainsay "dissolved in";
    really: class -> why components that are all of this class are no mixture to separate.
    crude: words -> words that call a single substance impure; solid, liquid -> the impurities it then holds.
    dilute: classes -> classes of solids that count as dissolved however little dissolves; words -> grades from which.
    plain: mixtures -> named mixtures that stand for the usual liquid where something they do not hold is in them; dirty ->
    those of them whose other contents are impurities.
    inert: class of a liquid -> classes and kinds of solids that do not dissolve in such a liquid.
    groups: key -> its entry; properties: key of a property reading -> its entry; assumed_liquid: name of
    the usual liquid.
    without: key -> (meaning, keys that follow from it, keys and more in the order of the file).
    words: single words of the language that a misspelling may be read as.
    """

    phrases: Mapping[str, Mapping[str, str]]
    first: Mapping[str, int]
    units: Mapping[str, tuple[str, str]]
    bulk: Mapping[str, str]
    pieces: Mapping[str, tuple[float, float]]
    states: Mapping[str, Mapping[str, str]]
    holding: Mapping[str, str]
    embedding: Mapping[str, tuple[str, ...]]
    dissolves_from: float
    dissolving_words: tuple[str, ...]
    insoluble_words: tuple[str, ...]
    really: Mapping[str, str]
    crude: Mapping[str, tuple[str, ...]]
    dilute: Mapping[str, tuple[str, ...]]
    plain: Mapping[str, tuple[str, ...]]
    inert: Mapping[str, tuple[str, ...]]
    groups: Mapping[str, Mapping[str, Any]]
    properties: Mapping[str, Mapping[str, str]]
    assumed_liquid: str
    without: Mapping[str, tuple[str, tuple[str, ...]]]
    words: tuple[str, ...]


def _files(folder: Path) -> list[Path]:
    data = [folder / "reading" / f"{stem}.yaml" for stem in FILES] + [
        folder / "setting" / "without.yaml",
        folder / "inert.yaml",
    ]
    here = Path(__file__).resolve().parent
    code = [
        here / "language.py",
        here / "load_language.py",
        here.parent / "table" / "names.py",
        here.parent / "quantity.py",
    ]
    return [*data, *code]


@lru_cache(maxsize=1)
def language() -> Language:
    """The language as the files say it, from the cache while they are unchanged. DataError if a file is faulty."""
    folder = rules_folder()

    def build() -> dict[str, Any]:
        from choosemethod.reading.load_language import compile_language

        return compile_language(folder)

    return stored("language", _files(folder), build, make=lambda plain: Language(**plain))


def without_keys() -> dict[str, str]:
    """Every key of Setting.without with its meaning."""
    return {key: meaning for key, (meaning, _) in language().without.items()}


def without_implied(keys: Iterable[str]) -> tuple[str, ...]:
    """The keys with all that follow from them, each once, those given first; of a substance's id nothing follows."""
    found = list(dict.fromkeys(keys))
    for key in found:  # grows while it is walked
        found += [other for other in language().without.get(key, ("", ()))[1] if other not in found]
    return tuple(found)


def technique_slugs(words: str) -> tuple[str, ...]:
    """Slugs of the technique that goes by these words, the usual one first; empty if the words name none."""
    return tuple(language().phrases.get(normalise(words), {}).get("technique", "").split())


def level_of(words: str) -> str:
    """The level these words stand for ("year 7" -> lower-secondary); "" if none."""
    return language().phrases.get(normalise(words), {}).get("level", "")


def without_keys_of(words: str) -> list[str]:
    """Keys of rules/setting/without.yaml that words such as "no heating allowed" stand for; empty if they name none."""
    known = language()
    normal = normalise(words)
    parts = normal.split()
    found: list[str] = []
    place = 0
    while place < len(parts):
        for end in range(len(parts), place, -1):
            roles = known.phrases.get(" ".join(parts[place:end]), {})
            key = roles.get("limit") or roles.get("thing") or roles.get("limit_key")
            if key:
                found.append(key)
                place = end - 1
                break
        place += 1
    return list(dict.fromkeys(found))
