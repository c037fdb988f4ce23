"""A file being read: where its faults are noted, and the names it may refer to."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from functools import lru_cache
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any

from choosemethod.errors import DataError
from choosemethod.yamltext import Block, Node, read_mapping, read_yaml

if TYPE_CHECKING:
    from choosemethod.data.scalar import Spec

__all__ = ["FAULTY", "Names", "Problems", "Reading", "nearest", "raise_all", "read_file", "read_node"]


class _Faulty:
    """The value of what could not be read; its faults are noted."""

    def __repr__(self) -> str:
        return "FAULTY"

    def __bool__(self) -> bool:
        return False


FAULTY: Any = _Faulty()


class Problems(list[DataError]):
    """Faults found while reading, in the order met; `asked`: what can be read, but may have been meant otherwise."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: list[DataError] = []

    def add(self, file: str, line: int, wrong: str, write: str) -> None:
        """Note a fault: where, what is wrong, what to write instead."""
        self.append(DataError(file, line, wrong, write))


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word most like this one, or "" if none is near."""
    return _nearest(word, frozenset(known))


@lru_cache(maxsize=1024)
def _nearest(word: str, known: frozenset[str]) -> str:
    import difflib

    found = difflib.get_close_matches(word, sorted(known), n=1, cutoff=0.6)
    return found[0] if found else ""


class Names:
    """What a reference may name. words: what is there; find: the id a text stands for ("" for none), if not itself."""

    __slots__ = ("find", "words")

    def __init__(self, words: Collection[str], find: Callable[[str], str] | None = None) -> None:
        self.words = words
        self.find: Callable[[str], str] = find or (lambda text: text if text in words else "")


class Reading:
    """One file being read.

    shown: its name in faults; known: what references may name, by sort ("source"; a sort that is not there is not
    checked); context: what else a loader's own functions need; title: the file's name without its ending.
    """

    __slots__ = ("context", "known", "problems", "shown", "title")

    def __init__(
        self,
        shown: str,
        known: Mapping[str, Names] | None = None,
        problems: Problems | None = None,
        context: Mapping[str, Any] | None = None,
    ) -> None:
        self.shown = shown
        self.known: Mapping[str, Names] = known or {}
        self.problems = Problems() if problems is None else problems
        self.context: Mapping[str, Any] = context or {}
        self.title = PurePath(shown).stem

    def fault(self, line: int, wrong: str, write: str) -> Any:
        """Note a fault of this file; gives FAULTY, so that a reader can return it."""
        self.problems.add(self.shown, line, wrong, write)
        return FAULTY


def raise_all(problems: Collection[DataError]) -> None:
    """Raise all faults as one error, those of a file in the order of its lines; nothing if there are none."""
    if problems:
        place = {name: index for index, name in enumerate(dict.fromkeys(one.file for one in problems))}
        raise DataError.of(sorted(problems, key=lambda one: (place[one.file], one.line)))


def read_node(node: Node, spec: Spec, reading: Reading, what: str = "the file", line: int = 1) -> Any:
    """The value of a node by a specification; FAULTY (or what of it is sound) with the faults noted in `reading`."""
    return spec.read(node, line, what, reading)


def read_file(
    path: Path,
    spec: Spec,
    shown: str = "",
    known: Mapping[str, Names] | None = None,
    problems: Problems | None = None,
    ahead: Callable[[Block], tuple[Mapping[str, Names], Mapping[str, Any]]] | None = None,
) -> Any:
    """The value of a YAML file by a specification.

    shown: the name faults give; known: what references may name; ahead: from the file as written to more names, and a
    context for the loader's own functions (the roles of a rule, to which its other parts refer). Without `problems` a
    DataError with all faults of the file is raised; with it they are noted there, and the value is FAULTY or holds what
    is sound.
    """
    reading = Reading(shown or str(path), known, problems)
    try:
        node = read_mapping(path, reading.shown) if spec.mapping else read_yaml(path, reading.shown)
    except DataError as error:
        if problems is None:
            raise
        problems.append(error)
        return FAULTY
    if ahead is not None and isinstance(node, Block):
        more, reading.context = ahead(node)
        reading.known = {**reading.known, **more}
    found = spec.read(node, node.line if isinstance(node, Block) else 1, "the file", reading)
    if problems is None:
        raise_all(reading.problems)
    return found
