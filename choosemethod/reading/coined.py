"""Names the table does not have, whose make-up tells their class: "4-ethoxyaniline" is an amine.

What names are made of, and what each piece makes of the class, is data: rules/reading/systematic-names.yaml. A name counts
only if it is taken apart to the last letter.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

from choosemethod.cache import stored
from choosemethod.places import rules_folder
from choosemethod.reading.lexicon import Lexicon
from choosemethod.table import Table, normalise

__all__ = ["Coined", "coined", "coined_file"]

_FILE = "reading/systematic-names.yaml"
_WORDS = re.compile(r"(?:[A-Za-z0-9'′()\[\]-]|(?<=[\dNO'′]),(?=[\dNO]))+")
_MOST_WORDS = 4  # of one name, as written
_SHORTEST = 5  # letters of such a name
_ENDING = 3  # letters by which a word is seen at once to end no such name
Pieces = tuple[tuple[int, int], ...]  # groups (numbers of their rows) and how often each stands


class Coined(NamedTuple):
    """given: id -> property -> value text of each name taken apart; aliases: other spellings of names of the table ("nitro
    aniline") -> the name; notes: a sentence about each."""

    given: dict[str, dict[str, str]] = {}
    aliases: dict[str, str] = {}
    notes: tuple[str, ...] = ()


def coined_file() -> Any:
    """The form of the file."""
    from choosemethod.data import SOURCE, Flag, Listed, Plain, Record, Table, Text

    words, counts = Listed(Text()), Table(Plain(whole=True))
    parent = {"noun": Text(), "ring?": Flag(), "ester?": Flag(), "names": words}
    group = {
        "names": words,
        "ring?": Flag(),
        "alkyl?": Flag(),
        "never?": words,
        "turns?": Table(Text()),
        "most?": counts,
    }
    return Record(
        "this file",
        {
            "locants": words,
            "multipliers": counts,
            "chains": words,
            "told": Table(Text()),
            "parents": Listed(Record("a parent", parent)),
            "groups": Listed(Record("a group", group)),
            "source": SOURCE,
        },
    )


class _Names:
    """The compiled file. parents: name -> its row; groups: name -> number of its row."""

    def __init__(self, told: Mapping[str, Any]) -> None:
        self.locants = frozenset(told["locants"])
        self.multipliers: Mapping[str, int] = told["multipliers"]
        self.told: Mapping[str, str] = told["told"]
        self.source: str = told["source"]
        self.rows: list[Mapping[str, Any]] = list(told["groups"])
        self.groups = {name: number for number, row in enumerate(self.rows) for name in row["names"]}
        self.parents: dict[str, Mapping[str, Any]] = {}
        for row in told["parents"]:
            for name in row["names"]:
                filled = [name.replace("{chain}", chain) for chain in told["chains"]] if "{chain}" in name else [name]
                self.parents.update(dict.fromkeys([one.replace(" ", "") for one in filled], row))

        self.endings = {name[-_ENDING:] for name in self.parents}

    def bare(self, word: str) -> str:
        """A written name in small letters without brackets, hyphens and the numbers and letters that tell places."""
        parts = re.split(r"[-,\s]+", re.sub(r"[()\[\]'′]", "", word.lower()))
        return "".join([part for part in parts if part not in self.locants and not re.fullmatch(r"\d+[a-z]?", part)])

    def pieces(self, front: str) -> Iterator[Pieces]:
        """Every way to take what stands before a parent apart into groups."""
        if not front:
            yield ()
            return
        for times, rest in [(1, front)] + [
            (n, front[len(m) :]) for m, n in self.multipliers.items() if front.startswith(m)
        ]:
            for name, row in self.groups.items():
                if rest.startswith(name):
                    for more in self.pieces(rest[len(name) :]):
                        yield ((row, times), *more)

    def noun(self, name: str, alkyl: bool) -> str:
        """The class noun of a bare name; "" if it is not taken apart, or its pieces decide too little. alkyl: whether the
        name of an alkyl group stands before it as a word."""
        for start in range(len(name)):
            parent = self.parents.get(name[start:])
            if parent is None or parent["ester"] is not alkyl:
                continue
            for pieces in self.pieces(name[:start]):
                found = self.turned(parent, pieces)
                if found:
                    return found
        return ""

    def turned(self, parent: Mapping[str, Any], pieces: Pieces) -> str:
        noun = str(parent["noun"])
        counts: Counter[int] = Counter()
        for row, times in pieces:
            counts[row] += times
        for row, times in sorted(counts.items()):  # what turns the class stands last in the file
            group = self.rows[row]
            if (
                noun in group["never"]
                or times > group["most"].get(noun, times)
                or (group["ring"] and not parent["ring"])
            ):
                return ""
            noun = group["turns"].get(noun, noun)
        return noun if all(noun not in self.rows[row]["never"] for row in counts) else ""

    def group_only(self, name: str) -> bool:
        return bool(name) and next(self.pieces(name), None) is not None

    def alkyl(self, name: str) -> bool:
        """Whether a word names an alkyl group alone, as before the name of an ester."""
        return any(all(self.rows[row]["alkyl"] for row, _ in pieces) for pieces in self.pieces(name) if pieces)


def _compiled(folder: Path) -> dict[str, Any]:
    from choosemethod.data import read_file

    path = folder / _FILE
    found: dict[str, Any] = read_file(path, coined_file(), f"rules/{_FILE}")
    return found


@cache
def _names() -> _Names:
    folder = rules_folder()
    return _Names(stored("coined", [folder / _FILE, Path(__file__)], lambda: _compiled(folder)))


def _written(known: _Names, table: Table, run: Sequence[str]) -> tuple[str, str]:
    """What a run of words is: a name of the table written apart (its id), or one that can be taken apart (its class noun)."""
    bare = [known.bare(word) for word in run]
    alkyl = len(run) > 1 and known.alkyl(bare[0])
    apart = len(run) > 1 and all(known.group_only(one) or not one for one in bare[:-1])
    if apart and not alkyl:
        joined = table.name("".join(run)) or table.name("-".join(run))
        if joined is not None and joined.kind == "substance":
            return joined.id, ""
    return "", (known.noun("".join(bare[1:]), True) if alkyl else "") or known.noun("".join(bare), False)


def coined(text: str, table: Table, words: Lexicon) -> Coined:
    """What a text names that the table does not have and that can be taken apart, the longest names first."""
    known = _names()
    found = Coined({}, {}, ())
    taken = 0  # words before this one belong to a name already
    written = [(word.start(), word.end()) for word in _WORDS.finditer(text)]
    for last, (_, end) in enumerate(written):
        if text[end - _ENDING : end].lower().rstrip(")]") not in known.endings:
            continue
        for first in range(max(taken, last + 1 - _MOST_WORDS), last + 1):
            name = text[written[first][0] : end]
            name = name.strip("-'()[]" if name.count("(") != name.count(")") else "-'")
            run = name.split()
            between = [text[one:other] for (_, one), (other, _) in pairwise(written[first : last + 1])]
            if any(not gap.isspace() for gap in between) or len(run) != last + 1 - first or len(name) < _SHORTEST:
                continue
            id, key = _written(known, table, run)
            if not (id or key) or table.name(name) is not None or words.cues(normalise(name)):
                continue
            taken = last + 1
            noun = words.nouns.get(key)
            if id:
                found.aliases[name] = id
            elif noun is not None:
                told = {**noun.told, **known.told, "name": name, "source": known.source}
                found.given[normalise(name).replace(" ", "-")] = told
                character = f"{told['acid_base']}, taken to be a {told['phase']}"
                note = f"{name} is not in the table; of what its name tells, only the class is used: {character}"
                found = found._replace(notes=(*found.notes, note))
            break
    return found
