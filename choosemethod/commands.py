"""The commands that show what the program knows: table, techniques, rules, and single calculations."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from choosemethod.errors import NotKnown, UsageError
from choosemethod.show.blocks import Block, Heading
from choosemethod.show.output import encoding_of, write

if TYPE_CHECKING:
    from choosemethod.table import Table

__all__ = ["calculate", "rules", "table", "techniques"]


def table(options: Namespace) -> int:
    """Counts over the table, or one substance or named mixture of it."""
    from choosemethod.show import catalogue
    from choosemethod.table import open_table
    from choosemethod.table.report import coverage, table_report

    if options.schema:
        return _schema(options.schema)
    if options.check:
        return _check(options)
    opened = open_table([Path(name) for name in options.table])
    words = " ".join(options.words)
    if options.new:
        return _new(options, opened)
    if options.list:
        listed = opened.words(options.list)
        return _show(options, catalogue.list_page(options.list, listed), {options.list: listed})
    if not words:
        return _show(
            options, catalogue.counts_page(opened), {**dict(table_report(opened)), "coverage": coverage(opened)}
        )
    found = opened.name(words) or opened.formula(words)
    if found is None:
        near = [written for written, _, _ in opened.suggest(words)]
        guess = f"; did you mean {', '.join(near)}?" if near else ""
        if len(options.words) > 1:
            guess += f' For advice on a mixture, put its words in quotes: choosemethod "table {words}"'
        raise NotKnown(f"the table has no {words!r}{guess}")
    if found.kind == "mixture":
        mixture = opened.mixture(found.id)
        return _show(options, catalogue.mixture_page(opened, mixture), mixture)
    substance = opened.substance(found.id)
    from choosemethod.rulebook import open_rulebook

    return _show(options, catalogue.substance_page(opened, substance, open_rulebook(opened)), substance)


def _schema(kind: str) -> int:
    """Print the JSON Schema of a kind of file, or of the kind that a file of rules/ or substances/ is."""
    from json import dumps

    from choosemethod.data import KINDS, json_schema, kind_of

    kind = kind_of(kind) or kind
    if kind not in KINDS:
        raise UsageError(f"there is no kind of file {kind!r}; write one of: {', '.join(KINDS)}")
    write(dumps(json_schema(kind), indent=2, ensure_ascii=False) + "\n")
    return 0


def _check(options: Namespace) -> int:
    """Say everything that is wrong in a file; DataError (5) with all of it if there is anything.

    The file is a user's table file, or one of the program's own, under substances/ or rules/.
    """
    from choosemethod.data import raise_all
    from choosemethod.places import rules_folder, substances_folder
    from choosemethod.table import open_table
    from choosemethod.table.contents import read_contents
    from choosemethod.yamltext import read_mapping, read_yaml

    path, tables = Path(options.check), [Path(name) for name in options.table]
    folders = (substances_folder(), rules_folder())
    folder = next((one for one in folders if path.resolve().is_relative_to(one.resolve())), None)
    shown = str(path) if folder is None else path.resolve().relative_to(folder.resolve().parent).as_posix()
    contents = read_contents(substances_folder(), tables if folder is not None else [*tables, path])
    raise_all([*contents.problems, *(one for one in contents.problems.asked if one.file == shown)])
    if folder is None:
        held = sum(one.file == shown for one in contents.substances.values())
        held += sum(one.file == shown for one in contents.mixtures.values())
        held += sum(row.file == shown for rows in contents.pairs.values() for row in rows)
        held += len(read_mapping(path).get("dangers") or ())
    elif folder == rules_folder():
        from choosemethod.data import kind_of, read_file, spec_of
        from choosemethod.rulebook import open_rulebook

        kind = kind_of(shown)
        if not kind:
            raise UsageError(f"no file is read from {shown}")
        if kind not in ("rule", "interpretation", "technique"):  # those need the others beside them to be read
            read_file(path, spec_of(kind), shown)
        open_rulebook(open_table(tables))
        tried = f"; its examples are tried by: python -m pytest tests/rules -k {path.stem}"
        tried = tried if kind in ("rule", "interpretation") else ""
        write(f"{path}: nothing is wrong in it{tried}\n")
        return 0
    else:
        held = len(read_yaml(path))
    write(f"{path}: nothing is wrong in it; it holds {held} {'entry' if held == 1 else 'entries'}.\n")
    return 0


def _new(options: Namespace, opened: Table) -> int:
    """Print an entry to fill in."""
    from choosemethod.table.template import entry_to_fill_in

    found = opened.name(options.new, "substance")
    if found is not None:
        raise UsageError(
            f"the table already has {options.new!r} as {found.id}; an entry of that id in a file of your own overrides it"
        )
    write(entry_to_fill_in(options.new, opened))
    return 0


def techniques(options: Namespace) -> int:
    """The catalogue of techniques, or one of them by its slug or name."""
    from choosemethod.rulebook import open_rulebook
    from choosemethod.show import catalogue
    from choosemethod.table import open_table

    opened = open_table()
    book = open_rulebook(opened)
    words = " ".join(options.words)
    if not words:
        listed = {
            one.id: {"name": one.name, "principle": one.principle, "level": one.level}
            for one in book.techniques.values()
        }
        return _show(options, catalogue.techniques_page(book), {"techniques": listed})
    names = {one.id: one.id for one in book.techniques.values()} | {
        one.name: one.id for one in book.techniques.values()
    }
    slug = names.get(words) or names.get(words.lower().replace(" ", "-"))
    if slug is None:
        raise UsageError(f"there is no technique {words!r}{_near(words, names)}; choosemethod techniques lists them")
    technique = book.techniques[slug]
    return _show(options, catalogue.technique_page(book, technique, opened), technique)


def rules(options: Namespace) -> int:
    """All rules, or one of them by its id."""
    from choosemethod.rulebook import open_rulebook
    from choosemethod.show import catalogue
    from choosemethod.table import open_table

    opened = open_table()
    book = open_rulebook(opened)
    words = " ".join(options.words)
    if not words:
        listed = {
            one.id: {"stage": one.stage, one.head: list(one.says), "file": one.file} for one in book.rules.values()
        }
        return _show(options, catalogue.rules_page(tuple(book.rules.values())), {"rules": listed})
    rule = book.rules.get(words)
    if rule is None:
        raise UsageError(f"there is no rule {words!r}{_near(words, book.rules)}; choosemethod rules lists them")
    return _show(options, catalogue.rule_page(rule, opened), rule)


def calculate(options: Namespace) -> int:
    """One calculation from its name and values written key=value, or the list of calculations."""
    from choosemethod import calculate as works
    from choosemethod.show import catalogue
    from choosemethod.table import open_table

    if not options.words:
        listed = {
            one.name: {"meaning": one.meaning, "parameters": list(one.parameters)}
            for one in works.CALCULATIONS.values()
        }
        return _show(options, catalogue.calculations_page(works.CALCULATIONS), {"calculations": listed})
    name, *values = options.words
    given: dict[str, str] = {}
    for value in values:
        key, equals, said = value.partition("=")
        if not equals or not key or not said.strip():
            raise UsageError(f"{value!r} is no value; write it as key=value, for example pressure=84kPa")
        if key in given:
            raise UsageError(f"{key} is given twice")
        given[key] = said.strip()
    opened = open_table([Path(path) for path in options.table])
    found = works.calculate(name, given, opened)
    return _show(options, catalogue.calculation_page(found, works.CALCULATIONS[name].meaning, opened), found)


def _near(word: str, known: Iterable[str]) -> str:
    from difflib import get_close_matches

    found = get_close_matches(word.lower(), sorted(known), n=3)
    return f"; did you mean {', '.join(found)}?" if found else ""


def _show(options: Namespace, blocks: list[Block], thing: Any) -> int:
    """Write a page in the form asked for; as JSON, the thing it shows."""
    if options.format == "json":
        from choosemethod.advice.answer import SCHEMA_VERSION
        from choosemethod.show.jsontext import json_text

        write(json_text({"schema_version": SCHEMA_VERSION, **_plain(thing)}, encoding_of(sys.stdout)))
    elif options.format == "markdown":
        from choosemethod.show.markdown import markdown_of

        title = blocks[0].text if isinstance(blocks[0], Heading) else ""
        write(markdown_of(blocks[1:], title))
    elif options.format == "words":
        from choosemethod.show.words import words_of

        write(words_of(blocks))
    else:
        from choosemethod.show.terminal import terminal_text

        write(terminal_text(blocks, options.color, options.width))
    return 0


def _plain(thing: Any) -> Any:
    """Anything the table or the rulebook holds, as JSON has it; a record becomes an object of its fields."""
    if is_dataclass(thing):
        return {one.name: _plain(getattr(thing, one.name)) for one in fields(thing)}
    if isinstance(thing, tuple) and hasattr(thing, "_fields"):
        return {name: _plain(getattr(thing, name)) for name in thing._fields}
    if isinstance(thing, Mapping):
        return {str(key): _plain(value) for key, value in thing.items()}
    if isinstance(thing, (tuple, list)):
        return [_plain(value) for value in thing]
    if isinstance(thing, (set, frozenset)):
        return sorted((_plain(value) for value in thing), key=str)
    return thing
