"""The forms made of several values: lists, records with named keys, tables by name, and one of several forms."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from choosemethod.data.reading import FAULTY, Reading, nearest
from choosemethod.data.scalar import Ref, Spec, Text, listed
from choosemethod.yamltext import Block, Items, Node

__all__ = ["SOURCE", "Either", "Entry", "Listed", "Record", "Table"]

# The source of a value or an entry, a key of the sources.
SOURCE = Ref(
    "source",
    noun="source that is known",
    lacking="{what} has no source",
    give="source: KEY, a key of substances/sources.yaml (source: memory if remembered)",
    mend="source: KEY, a key of substances/sources.yaml",
    meaning="a key of substances/sources.yaml or substances/sources/",
)


class Entry:
    """A record as read: `entry[key]` gives a value (FAULTY if it could not be read), `key in entry` if it is written, even
    wrongly.

    what: its name in messages; line: where it begins; sound: whether nothing in it is faulty.
    """

    __slots__ = ("block", "file", "line", "sound", "values", "what")

    def __init__(self, values: dict[str, Any], block: Block, what: str, line: int, file: Reading) -> None:
        self.values = values
        self.block = block
        self.what = what
        self.line = line
        self.file = file
        self.sound = True

    def __getitem__(self, key: str) -> Any:
        return self.values[key]

    def __contains__(self, key: str) -> bool:
        return key in self.block or self.values.get(key) is FAULTY

    def pick(self, *keys: str) -> list[Any]:
        """The values of several keys."""
        return [self.values[key] for key in keys]

    def at(self, key: str) -> int:
        """The line of a key, or of the entry if it is not written."""
        return self.block.lines.get(key, self.line)

    def fault(self, key: str, wrong: str, write: str) -> Any:
        """Note a fault on the line of a key; gives FAULTY."""
        self.sound = False
        return self.file.fault(self.at(key), wrong, write)


class Record(Spec):
    """A mapping with known keys, in their usual order; a key that ends in "?" may be left out.

    title: "a pump", as in "'reech' is no key of a pump" (noun: the word for "key" there). other: what any further key
    holds. make: from an Entry without faults to the value; check: called with the Entry in any case. named: the values
    are called "melting_point, at" in messages and not "at"; the value of `same` always goes by the record's own name.
    shape: what is written in place of something that is no mapping, as (wrong, write) with {what} and {written}.
    blanks: a key that may be left out may also be written without a value.
    """

    mapping = True

    def __init__(
        self,
        title: str,
        keys: Mapping[str, Spec],
        *,
        make: Callable[[Entry], Any] | None = None,
        check: Callable[[Entry], None] | None = None,
        other: Spec | None = None,
        noun: str = "key",
        named: bool = False,
        same: str = "is",
        shape: tuple[str, str] = ("", ""),
        blanks: bool = False,
        **words: Any,
    ) -> None:
        self.blanks = blanks
        self.keys = {key.rstrip("?"): spec for key, spec in keys.items()}
        self.needed = [key for key in keys if not key.endswith("?")]
        first = next(iter(self.keys), "KEY")
        words.setdefault("example", f"{{{first}: {self.keys[first].example if self.keys else 'VALUE'}, ...}}")
        super().__init__(**words)
        self.title = title
        self.make = make
        self.check = check
        self.other = other
        self.noun = noun
        self.named = named
        self.same = same
        self.wrong = shape[0] or "{what} must be a mapping"
        self.write = shape[1] or "{what}: " + self.example
        self.empties = {key: spec.empty for key, spec in self.keys.items()}

    def read(self, node: Node, line: int, what: str, file: Reading) -> Any:
        if not isinstance(node, Block):
            written = node if isinstance(node, str) and node else "VALUE"
            wrong, write = (text.replace("{what}", what) for text in (self.wrong, self.write))
            return file.fault(line, wrong, write.replace("{written}", written))
        before = len(file.problems)
        values = self.empties.copy()
        keys, lines = self.keys, node.lines
        unknown: list[str] = []
        for key, part in node.items():
            spec = keys.get(key, self.other)
            if spec is None:
                unknown.append(key)
            elif part == "" and key in self.needed and isinstance(spec, Text) and not spec.may_be_empty:
                values[key] = FAULTY
                spec.missing(lines.get(key, line), key, what, file)
            elif part == "" and self.blanks and key not in self.needed:
                continue
            else:
                name = what if key == self.same else f"{what}, {key}" if self.named else key
                values[key] = spec.read(part, lines.get(key, line), name, file)
        missing = [key for key in self.needed if key not in node]
        for key in unknown:
            meant = self._unknown(key, node, missing, len(unknown) == 1, file)
            if meant and meant not in node:
                values[meant] = FAULTY
        for key in missing:
            values[key] = FAULTY
            keys[key].missing(node.line, key, what, file)
        entry = Entry(values, node, what, line, file)
        entry.sound = len(file.problems) == before
        if self.check is not None:
            self.check(entry)
        if len(file.problems) > before:
            return FAULTY
        return values if self.make is None else self.make(entry)

    def _unknown(self, key: str, node: Block, missing: list[str], alone: bool, file: Reading) -> str:
        """Note an unknown key; gives the key that is meant, "" if that cannot be seen.

        One that is near to a key that is missing is that one misspelt, and is one fault; so is the only unknown one
        where one is missing.
        """
        near = nearest(key, [known for known in self.keys if known not in node]) or nearest(key, self.keys)
        if alone and not near and len(missing) == 1:
            near = missing[0]
        if near in missing:
            missing.remove(near)
        write = f"{near}:" if near else listed(self.keys, "another key")
        if node[key] == "" and (not near or " " in key):
            write = "the text before it in quotes, if this is a part of it that follows a comma"
        file.fault(node.at(key), f"{key!r} is no {self.noun} of {self.title}", write)
        return near

    def schema(self) -> dict[str, Any]:
        shape: dict[str, Any] = {
            "type": "object",
            "properties": {key: _described(spec) for key, spec in self.keys.items()},
            "additionalProperties": False if self.other is None else _described(self.other),
        }
        return shape | ({"required": self.needed} if self.needed else {})


class Table(Spec):
    """A mapping of names to values of one form, as a dict; what is faulty in it is left out, its faults noted.

    key: the form of the names; least: how many there are at least; make: from (dict, Block, Reading) to the value;
    skip: how names begin that are not of this table; called: the values' name in messages, with {name}.
    """

    mapping = True

    def __init__(
        self,
        value: Spec,
        *,
        key: Text | None = None,
        least: int = 0,
        make: Callable[[dict[str, Any], Block, Reading], Any] | None = None,
        skip: str = "",
        called: str = "{name}",
        **words: Any,
    ) -> None:
        words.setdefault("example", f"{{NAME: {value.example}}}")
        words.setdefault("empty", {})
        super().__init__(**words)
        self.value = value
        self.key = key
        self.least = least
        self.make = make
        self.skip = skip
        self.called = called

    def read(self, node: Node, line: int, what: str, file: Reading) -> Any:
        if not isinstance(node, Block):
            return file.fault(line, f"{what} must be a mapping", f"{what}: {self.example}")
        if len(node) < self.least:
            return file.fault(line, f"{what} holds nothing", f"{what}: {self.example}")
        found: dict[str, Any] = {}
        for name, part in node.items():
            if self.skip and name.startswith(self.skip):
                continue
            at = node.lines.get(name, line)
            key = name if self.key is None else self.key.convert(name, at, what, file)
            value = self.value.read(part, at, self.called.replace("{name}", name), file)
            if value is FAULTY or key is FAULTY:
                continue
            if key in found:
                file.fault(at, f"{what}: {key} is already given", "each once")
            found[key] = value
        return found if self.make is None else self.make(found, node, file)

    def schema(self) -> dict[str, Any]:
        shape: dict[str, Any] = {"type": "object", "additionalProperties": _described(self.value)}
        if self.key is not None and "enum" in (names := self.key.schema()):
            shape["propertyNames"] = names
        if self.skip:
            shape["patternProperties"] = {f"^{self.skip}": True}
        return shape


class Listed(Spec):
    """A list as a tuple. alone: one value without a list is a list of one. least: how many there are at least.

    A faulty item makes the list faulty, unless `partly`: then the sound ones are kept. make: from the tuple, with the
    line, the name and the file, to the value.
    """

    def __init__(
        self,
        item: Spec,
        *,
        alone: bool = True,
        least: int = 0,
        partly: bool = False,
        make: Callable[[tuple[Any, ...], int, str, Reading], Any] | None = None,
        **words: Any,
    ) -> None:
        words.setdefault("example", f"[{item.example}, ...]")
        words.setdefault("empty", ())
        super().__init__(**words)
        self.item = item
        self.alone = alone
        self.least = least
        self.partly = partly
        self.make = make

    def read(self, node: Node, line: int, what: str, file: Reading) -> Any:
        if self.alone and not isinstance(node, Items):
            one = self.item.read(node, line, what, file)
            values = [] if one is FAULTY else [one]
            whole = bool(values)
        elif isinstance(node, Items):
            item, lines = self.item, node.lines
            read = [item.read(part, lines[index], what, file) for index, part in enumerate(node)]
            values = [one for one in read if one is not FAULTY]
            whole = len(values) == len(read)
        else:
            return file.fault(line, f"{what} must be a list", f"{what}: {self.example}")
        if whole and len(values) < self.least:
            return file.fault(line, f"{what} holds too little", f"{what}: {self.example}")
        if not whole and not self.partly:
            return FAULTY
        return tuple(values) if self.make is None else self.make(tuple(values), line, what, file)

    def schema(self) -> dict[str, Any]:
        item = _described(self.item)
        shape: dict[str, Any] = {"type": "array", "items": item} | ({"minItems": self.least} if self.least else {})
        return {"anyOf": [item, shape]} if self.alone else shape


class Either(Spec):
    """A form for each shape that YAML has: one text, a list, a mapping. A shape without a form is a fault."""

    def __init__(
        self, text: Spec | None = None, items: Spec | None = None, block: Spec | None = None, **words: Any
    ) -> None:
        forms = [form for form in (text, items, block) if form is not None]
        words.setdefault("example", " or ".join(form.example for form in forms))
        words.setdefault("empty", forms[0].empty)
        super().__init__(**words)
        self.forms = forms
        self.by_shape: dict[type, Spec | None] = {str: text, Items: items, Block: block}

    def read(self, node: Node, line: int, what: str, file: Reading) -> Any:
        form = self.by_shape.get(type(node))
        if form is None:
            return file.fault(line, f"{what} cannot be a {_SHAPES[type(node)]}", f"{what}: {self.example}")
        return form.read(node, line, what, file)

    def schema(self) -> dict[str, Any]:
        return {"anyOf": [_described(form) for form in self.forms]}


_SHAPES: dict[type, str] = {str: "text", Items: "list", Block: "mapping"}


def _described(spec: Spec) -> dict[str, Any]:
    shape = spec.schema()
    if spec.meaning and "description" not in shape:
        shape["description"] = spec.meaning
    return shape
