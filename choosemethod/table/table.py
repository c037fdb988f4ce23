"""The table: exact look-up of names and everything known about them, from a kept database."""

from __future__ import annotations

import marshal
import os
import sqlite3
import stat
import time
from collections.abc import Callable, Collection, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from choosemethod.cache import JUST_NOW, content_name, read_own, stored
from choosemethod.facts import how_of_kind
from choosemethod.places import cache_folder, substances_folder, user_files, users_own
from choosemethod.table.model import Danger, Name, NamedMixture, Reactivity, Source, Substance
from choosemethod.table.names import normalise
from choosemethod.table.pack import text_hash, unpack_danger, unpack_mixture, unpack_reactivity, unpack_substance

__all__ = ["Table", "open_table"]

# The modules that decide what a kept database holds: it is built anew when they change.
CODE = (
    "build",
    "checks",
    "contents",
    "defaults",
    "load",
    "load_mixtures",
    "load_pairs",
    "masses",
    "model",
    "names",
    "pack",
    "schema",
    "suggest",
)
PARTS = ("quantity", "yamltext", "mixture", "data/compound", "data/reading", "data/scalar")

MAPPED = 1 << 28  # bytes of a database read as memory and not page by page


def _files(folder: Path, extra: Sequence[Path]) -> list[Path]:
    """Every file the table depends on, in a fixed order."""
    found: list[str] = []
    for entry in os.scandir(folder):
        if entry.is_dir():
            found += [inner.path for inner in os.scandir(entry.path) if inner.name.endswith(".yaml")]
        elif entry.name.endswith(".yaml"):
            found.append(entry.path)
    here = os.path.dirname(__file__)
    code = [os.path.join(here, f"{name}.py") for name in CODE]
    code += [os.path.join(os.path.dirname(here), f"{name}.py") for name in PARTS]
    return [Path(path) for path in sorted(found) + code] + list(extra)


class _Note(NamedTuple):
    """What is kept of a database: its file name, size and time stamps (ns), and whether those alone tell a change."""

    name: str
    size: int
    changed: int
    moved: int
    sure: bool

    @classmethod
    def of(cls, path: Path, found: os.stat_result) -> _Note:
        last = max(found.st_mtime, found.st_ctime)
        return cls(path.name, found.st_size, found.st_mtime_ns, found.st_ctime_ns, time.time() - last > JUST_NOW)


def _connect(folder: Path, extra: Sequence[Path], anew: bool = False) -> sqlite3.Connection:
    cache = cache_folder()
    if cache is not None:

        def build() -> tuple[Any, ...]:
            from choosemethod.table.build import build_file

            path = cache / build_file(folder, extra, cache)
            return tuple(_Note.of(path, os.lstat(path)))

        def make(kept: tuple[Any, ...]) -> tuple[_Note, _Note, sqlite3.Connection]:
            note = _Note(*kept)
            now = _checked(cache, note)
            database = sqlite3.connect(
                (cache / note.name).as_uri() + "?mode=ro&immutable=1", uri=True, check_same_thread=False
            )
            database.execute(f"PRAGMA mmap_size = {MAPPED}")
            return note, now, database

        try:
            files = _files(folder, extra)
            before, now, database = stored("table", files, build, anew, make)
            if now != before:  # the same bytes under new time stamps: the next start need not read them all
                stored("table", files, lambda: tuple(now), anew=True)
            return database
        except (OSError, sqlite3.Error, ValueError):
            pass  # the cache cannot be written or read after all
    from choosemethod.table.build import build_memory

    return build_memory(folder, extra)


def _checked(cache: Path, note: _Note) -> _Note:
    """The note of a database as it is now; ValueError unless it is the user's own and holds the bytes it was made with.

    Time stamps tell that it is unchanged; where they do not, the hash of its bytes, which its name holds.
    """
    path = cache / note.name
    found = os.lstat(path)
    if not stat.S_ISREG(found.st_mode) or not users_own(found):
        raise ValueError(f"{path} is not to be trusted")
    now = _Note.of(path, found)
    if not (note.sure and now[:4] == note[:4]):
        content = read_own(path)
        if content is None or content_name(content[0]) != note.name:
            raise ValueError(f"{path} has changed")
    return now


def open_table(extra: Sequence[Path] = (), folder: Path | None = None) -> Table:
    """The installed table with the user's own files (those of the user's folder, then `extra`), which override it.

    folder: another folder of the form of substances/, for checking data before they are installed.
    Raises DataError, naming file and line, if a file is faulty.
    """
    return Table(folder or substances_folder(), (*user_files(), *extra))


class Table:
    """What is known, looked up when asked. Made by `open_table`."""

    def __init__(self, folder: Path, extra: Sequence[Path] = ()) -> None:
        self._folder = folder
        self._extra = tuple(extra)
        self._database = _connect(folder, self._extra)
        self._mended = False
        self._substances: dict[str, Substance] = {}
        self._mixtures: dict[str, NamedMixture] = {}
        self._kept: dict[str, Any] = {}
        self._given: dict[str, Substance] = {}
        self._given_names: dict[str, Name] = {}

    def _read(self, question: Callable[[sqlite3.Connection], Any]) -> Any:
        """Ask the database; one that turns out to be damaged is built anew and asked again."""
        try:
            return question(self._database)
        except (sqlite3.Error, ValueError, EOFError, TypeError, AttributeError, LookupError):
            if self._mended:
                raise
            self._mended = True
            self._database = _connect(self._folder, self._extra, anew=True)
            return question(self._database)

    def _hashed(self, table: str, text: str, unpack: Callable[[Any], Any] | None = None) -> Any:
        """The thing a table keeps under a text, or None."""
        sql = f"SELECT blob FROM {table} WHERE hash = ?"

        def question(database: sqlite3.Connection) -> Any:
            row = database.execute(sql, (text_hash(text),)).fetchone()
            found = None if row is None else marshal.loads(row[0]).get(text)
            return found if found is None or unpack is None else unpack(found)

        return self._read(question)

    def _thing(self, key: str) -> Any:
        """One of the small things that are kept whole."""
        if key not in self._kept:
            sql = "SELECT blob FROM kept WHERE key = ?"
            self._kept[key] = self._read(lambda database: marshal.loads(database.execute(sql, (key,)).fetchone()[0]))
        return self._kept[key]

    # Names.

    def name(self, text: str, kind: str = "") -> Name | None:
        """What goes by this name (normalised), or None.

        kind: "substance" or "mixture" asks for that only. A few words are both; then the one whose own
        name it is comes first, and of two such the mixture.
        """
        key = normalise(text)
        if kind != "mixture" and key in self._given_names:
            return self._given_names[key]
        return next((name for name in self._meanings(key) if not kind or name.kind == kind), None)

    def _meanings(self, key: str) -> list[Name]:
        return [Name(*row) for row in self._hashed("names", key) or ()]

    def formulae(self, text: str) -> tuple[Name, ...]:
        """Every substance with this formula, in this case of letters; the one it means first, if any."""
        names = (self._hashed("formulae", text) or (False, ()))[1]
        return tuple(Name(*name) for name in names)

    def formula(self, text: str) -> Name | None:
        """The substance this formula means, upper and lower case as written; None if there is none or it is not sure.

        Of several with the formula it means the compound rather than its minerals, and the one whose name is part of
        all the others' (the salt rather than the anhydrous salt). Isomers stay unsure: see `formulae`.
        """
        found = self._hashed("formulae", text)
        return Name(*found[1][0]) if found is not None and found[0] else None

    def longest_name(self) -> int:
        """Number of words in the longest name."""
        longest: int = self._thing("longest")
        return max([longest, *(key.count(" ") + 1 for key in self._given_names)])

    def name_length(self, first: str) -> int:
        """Number of words in the longest name that begins with this word (normalised); 0 if none does."""
        given = [key.count(" ") + 1 for key in self._given_names if key.split(" ")[0] == first]
        return max([int(self._thing("firsts").get(first, 0)), *given])

    def names(self, text: str) -> tuple[Name, ...]:
        """Everything that goes by this name (normalised): the substance and the mixture of two with one name."""
        given = self._given_names.get(text)
        found = self._meanings(text)
        return tuple(found) if given is None else (given, *found)

    def name_count(self) -> int:
        """Number of different names, ids and synonyms."""
        return int(self._read(lambda database: database.execute("SELECT count(*) FROM keys").fetchone()[0]))

    def suggest(self, text: str, most: int = 3) -> tuple[tuple[str, Name, float], ...]:
        """The nearest names as (written name, Name, score 0 to 100), best first; empty if none is near."""
        from choosemethod.table.suggest import suggest

        also = sorted(self._given_names.items())

        def question(database: sqlite3.Connection) -> tuple[tuple[str, Name, float], ...]:
            return suggest(database, self._meanings, text, most, also)

        found: tuple[tuple[str, Name, float], ...] = self._read(question)
        return found

    # Substances and mixtures.

    def substance(self, id: str) -> Substance:
        """The substance of this id; KeyError if there is none."""
        found = self._given.get(id) or self._substances.get(id)
        if found is None:
            found = self._hashed("substances", id, unpack_substance)
            if found is None:
                raise KeyError(id)
            self._substances[id] = found
        return found

    def has(self, id: str) -> bool:
        """Whether there is a substance of this id."""
        if id in self._given or id in self._substances:
            return True
        return self._hashed("substances", id) is not None

    def mixture(self, id: str) -> NamedMixture:
        """The named mixture of this id; KeyError if there is none."""
        found = self._mixtures.get(id)
        if found is None:
            found = self._hashed("mixtures", id, unpack_mixture)
            if found is None:
                raise KeyError(id)
            self._mixtures[id] = found
        return found

    def substance_ids(self) -> tuple[str, ...]:
        """Ids of all substances, in alphabetical order."""
        return tuple(sorted({*self._thing("substances"), *self._given}))

    def made_of(self, substances: Collection[str]) -> tuple[NamedMixture, ...]:
        """Named mixtures that are really one thing made of just these substances (ids), in order of id."""
        ids = self._thing("made_of").get(",".join(sorted(substances)), ())
        return tuple([self.mixture(id) for id in ids])

    def mixture_ids(self) -> tuple[str, ...]:
        """Ids of all named mixtures, in alphabetical order."""
        return tuple(self._thing("mixtures"))

    def with_given(self, substances: Mapping[str, Substance], aliases: Mapping[str, str] = {}) -> Table:
        """This table and the substances a question describes, which go before those of the same id or name. aliases: other
        spellings -> id of a substance."""
        view = Table.__new__(Table)
        view.__dict__.update(self.__dict__)
        view._given = {**self._given, **{id: self._likened(one) for id, one in substances.items()}}
        view._given_names = dict(self._given_names)
        for id, substance in substances.items():
            for written in (id.replace("-", " "), *substance.also, substance.name):
                if key := normalise(written):
                    view._given_names[key] = Name("substance", id, written)
        view._given_names.update(
            {normalise(written): Name("substance", id, written) for written, id in aliases.items()}
        )
        return view

    def _likened(self, one: Substance) -> Substance:
        """What a question only calls by another name of an everyday kind, with all that is known of the kind."""
        if not one.like:
            return one
        kind = self.substance(one.like)
        return kind._replace(id=one.id, name=one.name, also=(), like=kind.like or kind.id)

    # Sources, pairs, dangers.

    def source(self, key: str) -> Source:
        """The bibliographic entry of a source key; KeyError if there is none."""
        title, kind = self._thing("sources")[key]
        return Source(key, title, kind)

    def how(self, key: str) -> str:
        """How what a source states is known (a word of facts.HOW); "" for no source, KeyError for one not known."""
        return how_of_kind(self._thing("sources")[key][1]) if key else ""

    def source_keys(self) -> tuple[str, ...]:
        """Keys of all sources, in alphabetical order."""
        return tuple(sorted(self._thing("sources")))

    def pair(self, kind: str, a: str, b: str) -> Mapping[str, str] | None:
        """The row of pairs/KIND.yaml for two ids in either order, as written, or None.

        Its key "swapped" is "yes" if b is the one the row names first, else "no". Of several rows the first counts.
        """
        sql = (
            "SELECT row, swapped FROM pair_ids JOIN pairs USING (kind, n) "
            "WHERE pair_ids.kind = ? AND pair_ids.a = ? AND pair_ids.b = ?"
        )

        def question(database: sqlite3.Connection) -> dict[str, str] | None:
            row = database.execute(sql, (kind, a, b)).fetchone()
            return None if row is None else {**marshal.loads(row[0]), "swapped": "yes" if row[1] else "no"}

        found: dict[str, str] | None = self._read(question)
        return found

    def pairs(self, kind: str) -> tuple[Mapping[str, str], ...]:
        """All rows of pairs/KIND.yaml, as written and in their order; empty if there is no such kind."""
        sql = "SELECT row FROM pairs WHERE kind = ? ORDER BY n"
        rows: list[dict[str, str]] = self._read(
            lambda database: [marshal.loads(row[0]) for row in database.execute(sql, (kind,))]
        )
        return tuple(rows)

    def pair_kinds(self) -> tuple[str, ...]:
        """Kinds of pairs there are rows for, in alphabetical order."""
        return tuple(self._thing("kinds"))

    def dangers(self) -> tuple[Danger, ...]:
        """What one substance, or two together, can do. Of more than two together: see dangers_between_several."""
        return tuple(danger for danger in self._dangers() if not danger.more)

    def dangers_between_several(self) -> tuple[Danger, ...]:
        """Dangers that take three or more members (first, second and all of more) together."""
        return tuple(danger for danger in self._dangers() if danger.more)

    def _dangers(self) -> tuple[Danger, ...]:
        return tuple(unpack_danger(entry) for entry in self._thing("dangers"))

    def reactivity(self) -> Reactivity:
        """What reactions are told by: groups of substances that react alike, ions, what supplies a trigger."""
        return unpack_reactivity(self._thing("reactivity"))

    def hazard_statement(self, code: str) -> str:
        """The text of a hazard statement (H225); KeyError if the code is not known."""
        said: str = self._thing("statements")[code][0]
        return said

    def pictogram(self, code: str) -> str:
        """Name of the GHS pictogram that goes with a hazard statement, "" if none; KeyError if it is not known."""
        name: str = self._thing("statements")[code][1]
        return name

    def words(self, what: str) -> dict[str, str]:
        """The kinds, classes, properties, sources or substances there are, each with what it means."""
        if what == "sources":
            return {key: self.source(key).title for key in self.source_keys()}
        if what == "substances":
            return {id: self.substance(id).name for id in self.substance_ids()}
        found: dict[str, str] = self._thing("words")[what]
        return dict(found)

    def schema(self) -> tuple[tuple[str, str, str, tuple[str, ...], str], ...]:
        """The properties a substance may state: (name, form, dimension, words, meaning), in their usual order."""
        found: tuple[tuple[str, str, str, tuple[str, ...], str], ...] = self._thing("schema")
        return found

    def family(self, id: str) -> str:
        """The liquid family a substance belongs to; "" if none."""
        found: str = self._thing("families").get(id, "")
        return found

    def family_mixes(self, first: str, second: str) -> str:
        """How liquids of two families mix, in the word of the family file; "" if it is not known."""
        found: str = self._thing("mixes").get((first, second), "")
        return found
