"""The commands of the classroom - check, quiz, handout - each with its own options."""

from __future__ import annotations

from argparse import ArgumentParser, RawDescriptionHelpFormatter
from collections.abc import Sequence
from importlib import import_module
from typing import NoReturn

from choosemethod.errors import UsageError

__all__ = ["COMMANDS", "main"]

# Command -> (module with add_arguments(parser) and run(options), what it does, examples).
COMMANDS = {
    "check": (
        "command",
        "Check a worksheet: mark each answer, check each claim, say why.",
        "examples:\n"
        "  choosemethod check answers.csv\n"
        "  choosemethod check answers.xlsx --columns mixture=Q,answer=A --format csv --output marked.csv\n"
        "  choosemethod check answers.md --compare-table my-substances.yaml\n"
        "exit codes: 0 everything is right, 1 something is wrong or cannot be judged, 2 usage, 5 faulty data file",
    ),
    "quiz": ("quiz_command", "Write a quiz with its key.", None),
    "handout": ("handout_command", "Write a practical sheet.", None),
}


class _Parser(ArgumentParser):
    def error(self, message: str) -> NoReturn:
        raise UsageError(f"{message} (see: {self.prog} --help)")


def main(name: str, words: Sequence[str]) -> int:
    """Do what a command of the classroom is told to; returns its exit code. name: a key of COMMANDS."""
    module, description, examples = COMMANDS[name]
    found = import_module(f"choosemethod.classroom.{module}")
    parser = _Parser(
        prog=f"choosemethod {name}",
        description=description,
        epilog=examples,
        allow_abbrev=False,
        formatter_class=RawDescriptionHelpFormatter,
    )
    found.add_arguments(parser)
    own = all("--table" not in action.option_strings for action in parser._actions)
    if own:
        parser.add_argument(
            "--table", action="append", default=[], metavar="FILE", help="a table file of your own (repeatable)"
        )
    options = parser.parse_intermixed_args(list(words))
    if own:
        from choosemethod.places import name_files

        name_files(options.table)
    code: int = found.run(options)
    return code
