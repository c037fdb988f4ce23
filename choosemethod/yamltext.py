"""Strict YAML: every scalar stays text, what is easily misread is refused, and line numbers are kept.

Refused: duplicate keys, anchors and aliases, tags, tab characters, several documents in a file, keys that are not text,
files over 2 MB, nesting deeper than 20. Errors of the YAML library do not leave this module: they become `DataError`.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import yaml  # type: ignore[import-untyped]

from choosemethod.errors import DataError

__all__ = ["DEEPEST", "LARGEST", "Block", "Items", "Node", "parse_yaml", "read_mapping", "read_yaml"]

LARGEST = 2_000_000  # bytes of one file
DEEPEST = 20  # mappings and lists inside one another

_Loader: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)


class Block(dict[str, "Node"]):
    """A mapping with the line it begins on and the line of each key."""

    __slots__ = ("line", "lines")

    def __init__(self, line: int = 1) -> None:
        super().__init__()
        self.line = line
        self.lines: dict[str, int] = {}

    def at(self, key: str) -> int:
        """Line of a key; the line of the mapping itself if it has no such key."""
        return self.lines.get(key, self.line)


class Items(list["Node"]):
    """A list with the line it begins on and the line of each item."""

    __slots__ = ("line", "lines")

    def __init__(self, line: int = 1) -> None:
        super().__init__()
        self.line = line
        self.lines: list[int] = []

    def at(self, index: int) -> int:
        """Line of an item; the line of the list itself if there is no such item."""
        return self.lines[index] if index < len(self.lines) else self.line


Node = str | Block | Items

# What the YAML library says -> what to do about it.
_MENDS: tuple[tuple[str, str], ...] = (
    ("mapping values are not allowed", 'KEY: "TEXT" with the text in quotes if it holds a colon followed by a space'),
    ("',' or '}'", "{key: value, key: value} with a comma between pairs and the closing brace; quote text with commas"),
    ("',' or ']'", "[one, two] with a comma between items and the closing bracket; quote text with commas"),
    ("flow", "{key: value, key: value} or [one, two], closed on the line where the next key begins at the latest"),
    ("could not find expected ':'", "KEY: VALUE with a colon and a space after the key"),
    ("cannot start any token", 'the text in quotes, as in KEY: "@text", if it begins with % @ ` or another sign'),
    ("expected key", "all keys of one mapping with the same indent, in steps of two spaces"),
    ("block end", "all keys of one mapping with the same indent, in steps of two spaces"),
    ("-' indicator", "all items of one list with the same indent, each beginning with a hyphen and a space"),
    ("quoted scalar", "the text with the same quotation mark at both ends"),
    ("escape", "'single quotes' around text with backslashes"),
    ("undefined alias", "the text in quotes if it begins with *"),
    ("directive", "the text in quotes if it begins with %"),
)


def _translated(error: Any, shown: str, text: str) -> DataError:
    said = " ".join(part for part in (getattr(error, "context", None), getattr(error, "problem", None)) if part)
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    if "quoted scalar" in said or "simple key" in said:  # where it begins tells more than where it breaks off
        mark = getattr(error, "context_mark", None) or mark
    if mark is not None:
        line = min(int(mark.line) + 1, text.count("\n") + 1)
    else:  # a character that YAML forbids
        position = getattr(error, "position", 0) or 0
        line = text.count("\n", 0, position) + 1
        for number, content in enumerate(text.split("\n"), 1):
            if any(
                (ord(sign) < 32 and sign not in "\r\t") or (127 <= ord(sign) < 160 and ord(sign) != 133)
                for sign in content
            ):
                line = number
                break
        return DataError(shown, line, "this line holds a control character", "the line without it")
    for sign, mend in _MENDS:
        if sign in said:
            return DataError(shown, line, f"this is no YAML: {said}", mend)
    return DataError(
        shown, line, f"this is no YAML: {said}", "KEY: VALUE, one to a line, indented by two spaces a level"
    )


def parse_yaml(text: str, shown: str) -> Node:
    """Read YAML text as nested Block, Items and str. An empty document is an empty Block.

    shown: the file name errors give. Raises DataError for whatever the module's head lists as refused.
    """
    tab = text.find("\t")
    if tab >= 0:
        line = text.count("\n", 0, tab) + 1
        raise DataError(shown, line, "this line holds a tab character", "spaces in its place (indent by two spaces)")
    try:
        text.encode()
    except UnicodeEncodeError as error:
        line = text.count("\n", 0, error.start) + 1
        raise DataError(shown, line, "this line holds half a character", "the line without it") from None
    try:
        return _built(text, shown)
    except yaml.YAMLError as error:
        raise _translated(error, shown, text) from None


def _built(text: str, shown: str) -> Node:
    root: Node | None = None
    stack: list[Block | Items] = []
    keys: list[str | None] = []  # for each open Block the key whose value comes next
    scalar, alias = yaml.ScalarEvent, yaml.AliasEvent
    mapping, sequence = yaml.MappingStartEvent, yaml.SequenceStartEvent
    ends = (yaml.MappingEndEvent, yaml.SequenceEndEvent)
    for event in yaml.parse(text, Loader=_Loader):
        kind = type(event)
        if kind in ends:
            stack.pop()
            keys.pop()
            continue
        if kind is scalar or kind is mapping or kind is sequence:
            line = event.start_mark.line + 1
            if event.anchor is not None:
                raise DataError(
                    shown, line, f"the anchor &{event.anchor} is not allowed", "the value itself, in each place"
                )
            if event.tag is not None:
                raise DataError(
                    shown, line, f"the tag {event.tag} is not allowed", "the value without a tag, in quotes if needed"
                )
        elif kind is alias:
            line = event.start_mark.line + 1
            raise DataError(shown, line, f"the alias *{event.anchor} is not allowed", "the value itself, in each place")
        else:
            if kind is yaml.DocumentStartEvent and root is not None:
                line = event.start_mark.line + 1
                raise DataError(shown, line, "a second document begins here", "one document to a file, without ---")
            continue
        node: Node = event.value if kind is scalar else Block(line) if kind is mapping else Items(line)
        if not stack:
            root = node
        else:
            top = stack[-1]
            if isinstance(top, Items):
                top.append(node)
                top.lines.append(line)
            elif (key := keys[-1]) is None:
                if not isinstance(node, str):
                    raise DataError(
                        shown,
                        line,
                        "a key must be plain text",
                        "KEY: VALUE, with the key in quotes if it begins with { or [",
                    )
                if node in top.lines:
                    raise DataError(
                        shown, line, f"the key {node!r} is already given on line {top.lines[node]}", "each key once"
                    )
                top.lines[node] = line
                keys[-1] = node
            else:
                top[key] = node
                keys[-1] = None
        if not isinstance(node, str):
            if len(stack) >= DEEPEST:
                raise DataError(shown, line, f"this is nested more than {DEEPEST} deep", "a flatter form")
            stack.append(node)
            keys.append(None)
    return Block() if root is None or root == "" else root


def read_yaml(path: Path, shown: str = "") -> Node:
    """Read a YAML file; see parse_yaml. Raises DataError also for a file that is missing, too large or not UTF-8."""
    shown = shown or str(path)
    try:
        with open(path, "rb") as file:
            raw = file.read(LARGEST + 1)
    except OSError as error:
        raise DataError(
            shown, 1, f"cannot be read ({error.strerror or error})", "the path of a file that can"
        ) from None
    if len(raw) > LARGEST:
        raise DataError(shown, 1, f"the file is larger than {LARGEST // 1_000_000} MB", "several smaller files")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise DataError(shown, line, "this line is not UTF-8 text", "the file saved with the UTF-8 encoding") from None
    return parse_yaml(text, shown)


def read_mapping(path: Path, shown: str = "") -> Block:
    """Read a YAML file whose top level is a mapping; DataError otherwise."""
    node = read_yaml(path, shown)
    if not isinstance(node, Block):
        line = node.line if isinstance(node, Items) else 1
        raise DataError(
            shown or str(path), line, "the file must hold KEY: VALUE pairs", "NAME: followed by its indented entry"
        )
    return node
