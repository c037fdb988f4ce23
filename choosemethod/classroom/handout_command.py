"""The command `handout`: its options, and what it does."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from choosemethod.errors import UsageError
from choosemethod.show.output import refuse_output

__all__ = ["FORMATS", "add_arguments", "run"]

FORMATS = ("markdown", "html")


def add_arguments(parser: ArgumentParser) -> None:
    """Add the options of `choosemethod handout`."""
    add = parser.add_argument
    add("words", nargs="*", metavar="WORDS", help="the mixture in plain words, or a YAML file")
    add("--want", action="append", default=[], metavar="NAME", help="what is to be obtained (repeatable)")
    add("--without", action="append", default=[], metavar="WORDS", help="what is not there or not allowed (repeatable)")
    add("--level", default="", metavar="LEVEL", help="primary, lower-secondary, upper-secondary or undergraduate")
    add("--questions", type=int, default=4, metavar="N", help="number of questions at most (4)")
    add("--seed", type=int, default=1, metavar="N", help="another number gives other questions (1)")
    add("--no-key", action="store_true", help="leave the teacher's key out")
    add(
        "--format",
        choices=FORMATS,
        default="markdown",
        help="form of the sheet; html prints with the key on its own page",
    )
    add("--output", metavar="FILE", help="write to this file instead of standard output")


def run(namespace: Namespace) -> int:
    """Make the sheet and write it; 0. Raises UsageError, UnknownMixture (3) and NoHandout (4)."""
    words = " ".join(namespace.words).strip()
    if not words:
        raise UsageError('say what the mixture is, for example: choosemethod handout "sand and water"')
    refuse_output(namespace.output)
    if not 0 <= namespace.questions <= 20:
        raise UsageError("--questions lies between 0 and 20")
    from choosemethod.classroom.handout import handout_markdown, make_handout
    from choosemethod.classroom.quiz_command import save_or_write

    path = Path(words) if words.endswith((".yaml", ".yml")) else None
    sheet = make_handout(
        path if path is not None else words,
        tuple(namespace.want),
        tuple(namespace.without),
        namespace.level,
        namespace.questions,
        namespace.seed,
    )
    if namespace.format == "html":
        from choosemethod.classroom.handout_html import handout_html

        save_or_write(handout_html(sheet, not namespace.no_key), namespace.output)
    else:
        save_or_write(handout_markdown(sheet, not namespace.no_key), namespace.output)
    return 0
