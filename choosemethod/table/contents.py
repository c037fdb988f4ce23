"""Everything the folder substances/ and the user's own files say, read, checked and merged."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from choosemethod.data import FAULTY, SOURCE, Either, Flag, Names, Problems, Reading, Record, Table, Text, read_node
from choosemethod.errors import DataError
from choosemethod.table.checks import check_values
from choosemethod.table.defaults import read_defaults, with_defaults
from choosemethod.table.load import SOURCES, Known, Substances, a_form_of
from choosemethod.table.load_mixtures import read_dangers, read_mixture
from choosemethod.table.load_pairs import Families, PairRow, read_families, read_pairs
from choosemethod.table.load_reactivity import read_reactivity
from choosemethod.table.masses import ATOMIC_WEIGHTS, with_masses
from choosemethod.table.model import Danger, Name, NamedMixture, Reactivity, Source, Substance
from choosemethod.table.names import normalise
from choosemethod.table.schema import PROPERTIES, Schema, text_of
from choosemethod.yamltext import Block, Items, Node, read_mapping, read_yaml

__all__ = ["Contents", "read_contents"]


class _Meaning(Text):
    """A meaning alone stands for the record that holds it."""

    def read(self, node: Node, line: int, what: str, file: Reading) -> Any:
        if node == "":
            return file.fault(line, f"{what} has no meaning", f"{what}: WHAT IT MEANS")
        return {"meaning": super().read(node, line, what, file), "goes_by_formula": True}


APART = ("sources", "pairs", "mixtures")  # folders of substances/ that hold no substance files
WHOLE = (
    "properties.yaml",
    "defaults.yaml",
    "checks.yaml",
    "atomic-weights.yaml",
    "sources.yaml",
    "classes.yaml",
    "kinds.yaml",
    "hazard-statements.yaml",
    "incompatibles.yaml",
    "reactivity.yaml",
)
DANGER_FILES = "incompatibles*.yaml"  # read in the order of their names
FAMILY_FILE = "miscibility-by-family"
# A word of a closed list: WORD: MEANING, or WORD: {meaning: TEXT, ...}.
_WORD = Record("a word", {"meaning": Text(), "note?": Text(), "goes_by_formula?": Flag(empty=True)})
WORDS = Table(Either(text=_Meaning(), block=_WORD))
STATEMENTS = Table(
    Record(
        "a hazard statement",
        {"text": Text(example="STATEMENT"), "pictogram?": Text(), "source": SOURCE, "note?": Text()},
        make=lambda one: (one["text"], "" if one["pictogram"] == "none" else one["pictogram"]),
        shape=("{what} has no source", "{what}: {text: STATEMENT, pictogram: flame, source: KEY}"),
    )
)
EXTRA_KEYS = ("substances", "mixtures", "pairs", "dangers", "sources")

# Symbols with numbers, perhaps brackets and water of crystallisation: "Na2CO3.10H2O", "CH3CH2OH", "S8".
_FORMULA = re.compile(r"(?=[^a-z]*[A-Z])(?=.*\d)(?:[A-Z][a-z]?|\d+|[().]|\[|\])+")


@dataclass(slots=True)
class Contents:
    """What was read; `problems` holds every fault found on the way, in the order of the files."""

    sources: dict[str, Source] = field(default_factory=dict)
    substances: dict[str, Substance] = field(default_factory=dict)
    mixtures: dict[str, NamedMixture] = field(default_factory=dict)
    pairs: dict[str, list[PairRow]] = field(default_factory=dict)
    dangers: list[Danger] = field(default_factory=list)
    reactivity: Reactivity = field(default_factory=Reactivity)
    words: dict[str, dict[str, str]] = field(default_factory=dict)  # what kinds, classes and properties mean
    schema: tuple[tuple[str, str, str, tuple[str, ...], str], ...] = ()  # name, form, dimension, words, meaning
    statements: dict[str, tuple[str, str]] = field(default_factory=dict)  # hazard statement and pictogram by code
    families: Families = field(default_factory=Families)
    names: dict[str, list[Name]] = field(default_factory=dict)  # the meaning to be taken first comes first
    formulae: dict[str, tuple[bool, list[Name]]] = field(default_factory=dict)  # whether it means the first of them
    problems: Problems = field(default_factory=Problems)


@dataclass(frozen=True, slots=True)
class _Claim:
    """A name taken by a substance or mixture. own: it is its id or its name, not one of its further names."""

    name: Name
    own: bool
    file: str
    line: int


@dataclass(slots=True)
class _File:
    shown: str
    block: Block
    path: Path


class _Builder:
    """Reads the files in two passes: ids, sources and schema first, then everything that refers to them."""

    def __init__(self, folder: Path, extra: Sequence[Path]) -> None:
        self.folder = folder
        self.contents = Contents()
        self.problems = self.contents.problems
        self.extra = [found for path in extra if (found := self._extra(path)) is not None]
        self.not_by_formula: set[str] = set()
        self.claims: dict[tuple[str, str], _Claim] = {}  # by kind and normalised name

    # Reading files.

    def _shown(self, path: Path) -> str:
        return path.relative_to(self.folder.parent).as_posix()

    def _node(self, path: Path) -> Node | None:
        try:
            return read_yaml(path, self._shown(path))
        except DataError as error:
            self.problems.append(error)
            return None

    def _file(self, path: Path) -> _File | None:
        if not path.is_file():
            return None
        try:
            return _File(self._shown(path), read_mapping(path, self._shown(path)), path)
        except DataError as error:
            self.problems.append(error)
            return None

    def _files(self, pattern: str, apart: Sequence[str] = ()) -> Iterator[_File]:
        for path in sorted(self.folder.glob(pattern)):
            found = None if path.parent.name in apart else self._file(path)
            if found is not None:
                yield found

    def _extra(self, path: Path) -> _File | None:
        """A user's file in the full form: one without any of EXTRA_KEYS is a plain mapping of substances."""
        try:
            block = read_mapping(path)
        except DataError as error:
            self.problems.append(error)
            return None
        if not any(key in block for key in EXTRA_KEYS):
            whole = Block(1)
            whole["substances"], whole.lines["substances"] = block, 1
            block = whole
        for key, node in block.items():
            if key not in EXTRA_KEYS:
                write = "one of " + ", ".join(f"{known}:" for known in EXTRA_KEYS)
                self.problems.add(str(path), block.at(key), f"{key!r} is no part of a table file", write)
            elif not isinstance(node, Block) and node != "" and key != "dangers":
                self.problems.add(
                    str(path), block.at(key), f"{key} must hold a mapping", f"{key}: followed by indented NAME: entries"
                )
        return _File(str(path), block, path)

    def _strays(self) -> None:
        """Note YAML files that lie where nothing is read, lest somebody waits for them to take effect."""
        for path in sorted(path for ending in ("*.yaml", "*.yml") for path in self.folder.rglob(ending)):
            inside = path.relative_to(self.folder).parts
            if (
                path.suffix != ".yaml"
                or len(inside) > 2
                or (len(inside) == 1 and inside[0] not in WHOLE and not path.match(DANGER_FILES))
            ):
                write = "the file in a sub-folder, such as substances/GROUP/NAME.yaml"
                self.problems.add(self._shown(path), 1, "no file is read from this place", write)

    # The two passes.

    def build(self) -> Contents:
        contents = self.contents
        schema = self._schema()
        self._strays()
        groups = list(self._files("*/*.yaml", APART))
        mixtures = list(self._files("mixtures/*.yaml"))
        for found in (*self._files("sources.yaml"), *self._files("sources/*.yaml")):
            self._sources(found.shown, found.block)
        for extra in self.extra:
            self._sources(extra.shown, _part(extra, "sources"))
        given = [found.block for found in groups] + [_part(extra, "substances") for extra in self.extra]
        for found in groups:
            for id, entry in found.block.items():
                self._claim("substance", id, entry, found.shown, found.block.at(id))
        for extra in self.extra:
            block = _part(extra, "substances")
            for id, entry in block.items():
                self._claim("substance", id, entry, extra.shown, block.at(id))
        ids = frozenset(id for block in given for id in block)
        known: dict[str, Names] = {
            "substance": Known(ids, {key: claim.name.id for (_, key), claim in self.claims.items()}),
            "source": Names(contents.sources),
        }
        known |= {sort: Names(words) for sort, words in (("kind", schema.kinds), ("class", schema.classes)) if words}

        def reader(shown: str) -> Reading:
            return Reading(shown, known, self.problems)

        self._statements(reader)
        if contents.statements:
            known["statement"] = Names(contents.statements)
        substances = Substances(schema)

        for found in groups:
            for id, entry in found.block.items():
                line = found.block.at(id)
                if id in contents.substances:
                    first = contents.substances[id]
                    wrong = f"the id {id} is already given in {first.file}, line {first.line}"
                    self.problems.add(found.shown, line, wrong, "another id, or one entry for both")
                    continue
                substance = substances.read(id, entry, line, reader(found.shown))
                if substance is not None:
                    contents.substances[id] = substance
        for extra in self.extra:
            block = _part(extra, "substances")
            for id, entry in block.items():
                base = contents.substances.get(id)
                substance = substances.read(id, entry, block.at(id), reader(extra.shown), base)
                if substance is not None:
                    contents.substances[id] = substance
        self._defaults(schema, reader)
        for found in mixtures:
            self._mixtures(reader(found.shown), found.block, override=False)
        for extra in self.extra:
            self._mixtures(reader(extra.shown), _part(extra, "mixtures"), override=True)
        self._pairs(reader)
        bounds = self.folder / "checks.yaml"
        asked = self._node(bounds) if bounds.is_file() else None
        if asked is not None:
            check_values(asked, reader(self._shown(bounds)), contents.substances, contents.pairs, self.problems)
        told = self._file(self.folder / "reactivity.yaml")
        if told is not None:
            contents.reactivity = read_reactivity(reader(told.shown), told.block)
        groups_told = told.block.get("groups") if told is not None else None
        known["group"] = Names(groups_told if isinstance(groups_told, Block) else ())
        for path in sorted(self.folder.glob(DANGER_FILES)):
            node = self._node(path)
            if node is not None:
                contents.dangers += read_dangers(reader(self._shown(path)), node)
        for extra in self.extra:
            if extra.block.get("dangers"):
                contents.dangers += read_dangers(reader(extra.shown), extra.block["dangers"])
        self._names()
        self._formulae()
        return contents

    def _schema(self) -> Schema:
        found = self._file(self.folder / "properties.yaml")
        if found is None:
            if not self.problems:
                shown = self._shown(self.folder / "properties.yaml")
                self.problems.add(
                    shown, 1, "the table of properties is missing", "NAME: {form: text, meaning: WHAT IT MEANS}"
                )
            return Schema({})
        reading = Reading(found.shown, None, self.problems)
        properties = read_node(found.block, PROPERTIES, reading)
        classes, kinds = self._words("classes.yaml"), self._words("kinds.yaml")
        self.contents.words = {
            "kinds": {word: said.get("meaning", "") for word, said in kinds.items()},
            "classes": {word: said.get("meaning", "") for word, said in classes.items()},
            "properties": {name: one.meaning for name, one in properties.items()},
        }
        self.contents.schema = tuple(
            (one.name, one.form, one.dimension, one.words, one.meaning) for one in properties.values()
        )
        self.not_by_formula = {word for word, said in kinds.items() if not said["goes_by_formula"]}
        return Schema(properties, frozenset(classes), frozenset(kinds))

    def _words(self, name: str) -> dict[str, dict[str, Any]]:
        """The words of a closed list: WORD: MEANING, or WORD: {meaning: TEXT, ...}; empty if there is no such file."""
        found = self._file(self.folder / name)
        if found is None:
            return {}
        words: dict[str, dict[str, Any]] = read_node(found.block, WORDS, Reading(found.shown, None, self.problems))
        return {word: words.get(word, {"goes_by_formula": True}) for word in found.block}

    def _statements(self, reader: Callable[[str], Reading]) -> None:
        found = self._file(self.folder / "hazard-statements.yaml")
        if found is not None:
            self.contents.statements = read_node(found.block, STATEMENTS, reader(found.shown))

    def _defaults(self, schema: Schema, reader: Callable[[str], Reading]) -> None:
        """Add what kinds and classes imply, and what a form shares with its substance (like: ID), built in or the user's."""
        path = self.folder / "defaults.yaml"
        node = self._node(path) if path.is_file() else None
        rows = [] if node is None else read_defaults(schema, node, reader(self._shown(path)))
        told = self._file(self.folder / "atomic-weights.yaml")
        weights = None if told is None else read_node(told.block, ATOMIC_WEIGHTS, reader(told.shown))
        weights = None if weights is FAULTY else weights
        of_shape = [name for name, prop in schema.properties.items() if prop.of_shape]
        known = self.contents.substances
        for one in sorted(known.values(), key=lambda one: bool(one.like)):  # what forms are of comes before them
            base = known.get(one.like)
            if base is not None and base.like:
                wrong = f"{one.id} is like {base.id}, which is itself a form of {base.like}"
                self.problems.add(one.file, one.line, wrong, f"like: {base.like}")
            whole = one if base is None else a_form_of(base, one, of_shape)
            whole = whole if weights is None else with_masses(whole, weights, self.not_by_formula)
            known[one.id] = with_defaults(whole, rows)

    def _sources(self, shown: str, block: Block) -> None:
        for key, source in read_node(block, SOURCES, Reading(shown, None, self.problems)).items():
            known = self.contents.sources.get(key)
            if known is not None and known != source:
                self.problems.add(
                    shown, block.at(key), f"the source {key} is already given with another title or kind", "another key"
                )
                continue
            self.contents.sources[key] = source

    def _mixtures(self, reader: Reading, block: Block, override: bool) -> None:
        for id, entry in block.items():
            line = block.at(id)
            first = self.contents.mixtures.get(id)
            if first is not None and not override:
                wrong = f"the id {id} is already given in {first.file}, line {first.line}"
                reader.fault(line, wrong, "another id, or one entry for both")
                continue
            mixture = read_mixture(reader, id, entry, line)
            if mixture is not None:
                self.contents.mixtures[id] = mixture
                self._claim("mixture", id, entry, reader.shown, line)

    def _pairs(self, reader: Callable[[str], Reading]) -> None:
        for path in sorted(self.folder.glob("pairs/*.yaml")):
            node = self._node(path)
            if node is None:
                continue
            if path.stem == FAMILY_FILE:
                if isinstance(node, Block):
                    self.contents.families = read_families(reader(self._shown(path)), node)
            else:
                self.contents.pairs.setdefault(path.stem, []).extend(
                    read_pairs(reader(self._shown(path)), path.stem, node)
                )
        for extra in self.extra:
            for kind, node in _part(extra, "pairs").items():
                rows = read_pairs(reader(extra.shown), kind, node)
                # The user's rows come first, so that they are found in place of built-in ones.
                self.contents.pairs[kind] = rows + self.contents.pairs.get(kind, [])

    # Names.

    def _claim(self, kind: str, id: str, entry: Node, shown: str, line: int) -> None:
        """Note every name of an entry: its id, its name and its further names."""
        if not isinstance(entry, Block):
            return
        words = id.replace("-", " ")
        self._claim_one(Name(kind, id, text_of(entry.get("name")) or words), words, True, shown, line)
        if text_of(entry.get("name")):
            self._claim_one(
                Name(kind, id, text_of(entry["name"])), text_of(entry["name"]), True, shown, entry.at("name")
            )
        also = entry.get("also", "")
        for index, item in enumerate(also if isinstance(also, Items) else [also]):
            at = also.at(index) if isinstance(also, Items) else entry.at("also")
            if text_of(item):
                self._claim_one(Name(kind, id, text_of(item)), text_of(item), False, shown, at)

    def _claim_one(self, name: Name, text: str, own: bool, shown: str, line: int) -> None:
        key = normalise(text)
        if not key:
            self.problems.add(shown, line, f"the name {text!r} of {name.id} holds no letter or digit", "a name")
            return
        taken = self.claims.get((name.kind, key))
        if taken is None:
            self.claims[name.kind, key] = _Claim(name, own, shown, line)
        elif taken.name.id != name.id:
            wrong = (
                f"the name {text!r} of {name.id} already stands for {taken.name.id} in {taken.file}, line {taken.line}"
            )
            self.problems.add(
                shown, line, wrong, "the name under one of them only, or a longer name that tells them apart"
            )

    def _names(self) -> None:
        """Names by normalised form. One that a mixture and a substance share means the one whose own name it is;
        if it is both's own, or neither's, the mixture: who asks about one of them alone asks what is in it."""
        for (kind, key), claim in sorted(
            self.claims.items(), key=lambda item: (not item[1].own, item[0][0] != "mixture")
        ):
            known = self.contents.mixtures if kind == "mixture" else self.contents.substances
            if claim.name.id in known:
                self.contents.names.setdefault(key, []).append(claim.name)

    def _formulae(self) -> None:
        """Which substances have each formula, and whether it means one of them."""
        found: dict[str, list[Substance]] = {}
        for _, substance in sorted(self.contents.substances.items()):
            if substance.formula:
                found.setdefault(substance.formula, []).append(substance)
        for formula, claimants in found.items():
            by_formula = [entry for entry in claimants if entry.kind not in self.not_by_formula] or claimants
            words = {entry.id: set(normalise(entry.name).split()) for entry in by_formula}
            meant = [entry for entry in by_formula if all(words[entry.id] <= other for other in words.values())]
            ordered = meant + [entry for entry in claimants if entry not in meant]
            names = [Name("substance", entry.id, formula) for entry in ordered]
            self.contents.formulae[formula] = len(meant) == 1, names
        self._other_formulae()

    def _other_formulae(self) -> None:
        """Formulae among the other names of a substance: its hydrate, its molecule, its structure written in a line."""
        others: dict[str, list[Name]] = {}
        for id, substance in sorted(self.contents.substances.items()):
            hydrate = substance.values.get("hydrate_formula")
            for text in dict.fromkeys([*substance.also, *([hydrate.text] if hydrate is not None else [])]):
                written = text.replace("·", ".")
                if _FORMULA.fullmatch(written) and written not in self.contents.formulae:
                    names = others.setdefault(written, [])
                    if all(name.id != id for name in names):
                        names.append(Name("substance", id, written))
        for written, names in others.items():
            self.contents.formulae[written] = len(names) == 1, names


def _part(extra: _File, key: str) -> Block:
    node = extra.block.get(key)
    return node if isinstance(node, Block) else Block()


def read_contents(folder: Path, extra: Sequence[Path] = ()) -> Contents:
    """Read and check the folder and the user's files; faults are in `problems`, and what they spoil is left out."""
    return _Builder(folder, extra).build()
