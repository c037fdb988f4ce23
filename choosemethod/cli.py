"""The command line: which command is meant, its options, and how it ends.

    0 answered   1 the worksheet has wrong answers   2 usage   3 not known   4 refused   5 faulty data or rule file
    70 a fault of the program   74 the output cannot be written   130 interrupted (Ctrl-C)   143 ended (SIGTERM)

Standard output carries the answer, standard error one line for each message.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, NoReturn

from choosemethod.ending import INTERRUPTED, watch_signals
from choosemethod.errors import ChooseMethodError, DataError, UsageError

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Callable
    from pathlib import Path

    from choosemethod.advice.answer import Advice

__all__ = ["COMMANDS", "main", "parser_for", "run"]

COMMANDS = ("advise", "calculate", "table", "techniques", "rules", "check", "quiz", "handout")
FORMATS = ("terminal", "words", "json", "markdown")
LISTS = ("kinds", "classes", "properties", "sources", "substances")
LONGEST = 65_536  # bytes of a question
FAULT, NO_OUTPUT = 70, 74

OVERVIEW = """\
choosemethod: which separation technique for a mixture, why, in what order, and how.

  choosemethod "WORDS"               the advice for a mixture in plain words (the same as: choosemethod advise "WORDS")
  choosemethod advise FILE.yaml      the advice for a mixture written as YAML;  -  reads standard input
  choosemethod calculate NAME k=v    one calculation (without a name: all of them)
  choosemethod table [NAME]          what is known of a substance, with sources (without a name: how much there is)
  choosemethod table --check FILE    everything that is wrong in a table file of your own (--new NAME: one to fill in)
  choosemethod techniques [NAME]     one technique (without a name: all of them)
  choosemethod rules [ID]            one rule with its reason, source and examples (without an id: all of them)
  choosemethod check FILE            mark a worksheet
  choosemethod quiz, handout         quiz questions and handouts for a class

Every command has --help.  choosemethod --version says the version.

examples:
  choosemethod "acetone and water"
  choosemethod "sand, salt and iron filings" --want salt --level primary
  choosemethod "ethanol and water" --pressure "84 kPa" --why-not separating-funnel
  choosemethod "sand and salt" --my-answer "dissolve, filter, evaporate"
  choosemethod "red and blue ink" --front "150 mm" --spots "90 mm, 120 mm"
  echo "muddy water" | choosemethod advise - --format json
"""
EXAMPLES = """\
examples:
  choosemethod advise "iodine and sand" --without "fume cupboard"
  choosemethod advise "salt water" --want water --altitude "1600 m"
  choosemethod advise mixture.yaml --table my-substances.yaml --trace
exit codes: 0 answered, 2 usage, 3 not known, 4 no safe or possible separation, 5 faulty data or rule file
"""


def run() -> NoReturn:
    """Entry point of the console script: ends the process at once, without tidying memory the system frees anyway."""
    watch_signals()
    if len(sys.argv) < 2 or sys.argv[1] not in COMMANDS[1:]:
        import gc

        gc.disable()  # one answer is over before collecting garbage would pay
    code = main()
    for stream in (sys.stdout, sys.stderr):
        try:
            if stream is not None:
                stream.flush()
        except (OSError, ValueError):
            code = code or NO_OUTPUT
    os._exit(code)


def main(argv: Sequence[str] | None = None) -> int:
    """Do what the command line says and return the exit code. argv: without the name of the program."""
    from choosemethod.show.output import OutputError, ReaderGone, say

    words = list(sys.argv[1:] if argv is None else argv)
    try:
        return _command(words)
    except ChooseMethodError as error:
        for line in error.lines() if isinstance(error, DataError) else [str(error)]:
            say(line)
        return error.exit_code
    except OutputError as error:
        say(f"the answer cannot be written: {error}")
        return NO_OUTPUT
    except ReaderGone:
        return 0
    except KeyboardInterrupt:
        return INTERRUPTED
    except SystemExit as end:  # argparse after --help
        return end.code if isinstance(end.code, int) else 0
    except Exception as error:
        return _fault(error, words)


def _fault(error: Exception, words: list[str]) -> int:
    """A fault of the program: one line that asks to report it; the traceback only for whoever looks for the fault."""
    from choosemethod.quantity import QuantityError
    from choosemethod.show.output import say

    if isinstance(error, QuantityError):
        say(str(error))
        return 2
    if os.environ.get("CHOOSEMETHOD_DEBUG") == "1":
        import traceback

        traceback.print_exc()
    asked = " ".join(words)
    said = f"{type(error).__name__}: {error}"
    say(f"this is a fault of the program ({said[:200]}); please report it together with the question: {asked[:500]}")
    return FAULT


def _command(words: list[str]) -> int:
    first = words[0] if words else ""
    if not words:
        raise UsageError(
            'say what the mixture is, for example: choosemethod "sand and water" (or: choosemethod --help)'
        )
    if first in ("-h", "--help", "help"):
        from choosemethod.show.output import write

        write(OVERVIEW)
        return 0
    if first == "--version":
        return _version()
    if first not in COMMANDS:
        return _advise(parser_for("advise").parse_intermixed_args(words))
    if first in ("check", "quiz", "handout"):
        return _classroom(first, words[1:])
    options = parser_for(first).parse_intermixed_args(words[1:])
    if first == "advise":
        return _advise(options)
    from choosemethod import commands

    if first in ("techniques", "rules"):
        from choosemethod.places import name_files

        name_files(options.table)
    command: Callable[[Namespace], int] = getattr(commands, first)
    return command(options)


def _version() -> int:
    from choosemethod import __version__
    from choosemethod.show.output import write

    write(f"choosemethod {__version__}\n")
    return 0


def _classroom(name: str, words: list[str]) -> int:
    from importlib import import_module

    try:
        found = import_module("choosemethod.classroom.commands")
    except ModuleNotFoundError as error:
        if not (error.name or "").startswith("choosemethod.classroom"):
            raise
        raise UsageError(f"the command {name} is not part of this installation") from None
    code: int = found.main(name, words)
    return code


# ---- options -----------------------------------------------------------------------------------------------------


def parser_for(command: str) -> ArgumentParser:
    """The parser of one command; built when it is needed."""
    from argparse import ArgumentParser, RawDescriptionHelpFormatter

    class Parser(ArgumentParser):
        def error(self, message: str) -> NoReturn:
            raise UsageError(f"{message} (see: {self.prog} --help)")

    descriptions = {
        "advise": "Say which technique separates a mixture, why, and how to do it.",
        "calculate": "Do one calculation, or list them all.",
        "table": "Show a substance or a named mixture of the table, or how much the table holds.",
        "techniques": "Show one technique, or list them all.",
        "rules": "Show one rule, or list them all.",
    }
    parser = Parser(
        prog=f"choosemethod {command}",
        description=descriptions[command],
        allow_abbrev=False,
        epilog=EXAMPLES if command == "advise" else None,
        formatter_class=RawDescriptionHelpFormatter,
    )
    if command == "advise":
        _advise_options(parser)
    else:
        what = {"calculate": "NAME", "table": "NAME", "techniques": "NAME", "rules": "ID"}[command]
        rest = " and its values as key=value" if command == "calculate" else ""
        parser.add_argument("words", nargs="*", metavar=what, help=f"which one{rest}; nothing: all of them")
        parser.add_argument(
            "--table", action="append", default=[], metavar="FILE", help="a table file of your own (repeatable)"
        )
        if command == "table":
            parser.add_argument("--check", metavar="FILE", help="say everything that is wrong in a table file")
            parser.add_argument("--new", metavar="NAME", help="print an entry to fill in for a new substance")
            parser.add_argument(
                "--schema", metavar="KIND", help="print the JSON Schema of a kind of file, for an editor"
            )
            parser.add_argument("--list", choices=LISTS, metavar="WHAT", help=f"list {', '.join(LISTS)}")
    add = parser.add_argument
    add(
        "--format",
        choices=FORMATS,
        default="terminal",
        help="form of the answer; words: plain lines for a screen reader",
    )
    add(
        "--color",
        choices=("auto", "always", "never"),
        default="auto",
        help="colours in the terminal (auto honours NO_COLOR)",
    )
    add("--width", type=_width, metavar="N", help="columns of the terminal (20 to 400)")
    return parser


def _advise_options(parser: ArgumentParser) -> None:
    add = parser.add_argument
    add("words", nargs="*", metavar="WORDS", help="the mixture in plain words, a YAML file, or - for standard input")
    add("--want", action="append", default=[], metavar="NAME", help="what is to be obtained (repeatable)")
    add("--pressure", metavar="P", help='air pressure at the place, for example "84 kPa"')
    add("--altitude", metavar="H", help='or the height above the sea, for example "1600 m"')
    add(
        "--without",
        action="append",
        default=[],
        metavar="WORDS",
        help='what is not there or not allowed: "open flame" (repeatable)',
    )
    add(
        "--level",
        metavar="LEVEL",
        help="primary, lower-secondary, upper-secondary or undergraduate, or a usual name of it",
    )
    add("--why-not", action="append", default=[], metavar="TECHNIQUE", help="say why not this technique (repeatable)")
    add("--my-answer", metavar="WORDS", help="an answer of your own: a verdict and a hint before the solution")
    add("--front", metavar="D", help='chromatography: how far the solvent front moved, "150 mm"')
    add("--spots", metavar="D,D", help='chromatography: how far the spots moved, "90 mm, 120 mm"')
    add("--table", action="append", default=[], metavar="FILE", help="a table file of your own substances (repeatable)")
    add(
        "--show-reading", action="store_true", help="only show how the question was read: mentions, roles, what decided"
    )
    add("--trace", action="store_true", help="add the rules that fired and the sourced values they fired on")
    add("--full", action="store_true", help="every reason and every list whole")


def _width(text: str) -> int:
    from argparse import ArgumentTypeError

    if not text.isascii() or not text.isdigit() or not 20 <= int(text[:9]) <= 400:
        raise ArgumentTypeError(f"{text[:20]!r} is no width from 20 to 400 columns")
    return int(text)


# ---- advise ------------------------------------------------------------------------------------------------------


def _advise(options: Namespace) -> int:
    from contextlib import suppress

    from choosemethod import advise
    from choosemethod.show.output import ReaderGone, write

    if options.pressure and options.altitude:
        raise UsageError("give --pressure or --altitude, not both")
    if options.show_reading:
        return _show_reading(options)
    words = " ".join(options.words).strip()
    if options.my_answer or words.rstrip().endswith("?"):
        from choosemethod.classroom.own_answer import answer_text, asks_whether_right, mark_answer

        told = "" if options.my_answer else asks_whether_right(words)
        if options.my_answer or told:
            mixture, answer = (words, options.my_answer) if options.my_answer else (told, told)
            if not mixture:
                raise UsageError(
                    'say what is to be separated, too: choosemethod "sand and salt" --my-answer "dissolve, filter"'
                )
            found = mark_answer(
                mixture,
                answer,
                want=options.want,
                without=options.without,
                level=options.level or "",
                table=options.table,
            )
            with suppress(ReaderGone):
                write(answer_text(mixture, answer, found, options.format))
            return 0 if found.fine else 1
    advice = advise(
        _question(" ".join(options.words).strip()),
        want=tuple(options.want),
        without=tuple(options.without),
        pressure=options.pressure,
        altitude=options.altitude,
        level=options.level or "",
        why_not=tuple(options.why_not),
        front=options.front,
        spots=options.spots or (),
        table=tuple(options.table),
    )
    with suppress(ReaderGone):
        write(_shown(advice, options))
    return advice.exit_code


def _show_reading(options: Namespace) -> int:
    from pathlib import Path

    from choosemethod.reading.show import reading_text
    from choosemethod.show.output import write
    from choosemethod.table.table import open_table

    question = _question(" ".join(options.words).strip())
    if isinstance(question, Path):
        raise UsageError("--show-reading is for a question in words, not for a file")
    write(reading_text(question, open_table(tuple(Path(name) for name in options.table))))
    return 0


def _question(words: str) -> str | Path:
    if words.lower().endswith((".yaml", ".yml")):
        if not os.path.isfile(words):
            raise UsageError(f"there is no file {words!r}")
        from pathlib import Path

        return Path(words)
    if words == "-":
        words = _standard_input()
    if not words:
        raise UsageError('the question is empty; say what the mixture is, for example "sand and water"')
    if len(words.encode("utf-8", "replace")) > LONGEST:
        raise UsageError(f"the question is longer than {LONGEST // 1024} KiB; name the mixture in a sentence or two")
    return words


def _standard_input() -> str:
    """Words or YAML on standard input: at most 64 KiB of UTF-8 text."""
    if sys.stdin is None:
        raise UsageError("there is no standard input to read")
    stream = getattr(sys.stdin, "buffer", None)
    raw = stream.read(LONGEST + 1) if stream is not None else sys.stdin.read(LONGEST + 1).encode("utf-8", "replace")
    if len(raw) > LONGEST:
        raise UsageError(f"standard input is longer than {LONGEST // 1024} KiB; name the mixture in a sentence or two")
    try:
        text: str = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UsageError("standard input is no UTF-8 text") from None
    if any(letter < " " and letter not in "\t\n\r\f" for letter in text):
        raise UsageError("standard input is no text: it holds control characters")
    return text.strip()


def _shown(advice: Advice, options: Namespace) -> str:
    """The answer in the form asked for."""
    if options.format == "json":
        from choosemethod.show.jsontext import json_text
        from choosemethod.show.output import encoding_of

        return json_text(advice.as_dict(), encoding_of(sys.stdout))
    if options.format == "markdown":
        from choosemethod.show.markdown import render_markdown

        return render_markdown(advice, full=options.full, trace=options.trace)
    if options.format == "words":
        from choosemethod.show.words import render_words

        return render_words(advice, full=options.full, trace=options.trace)
    from choosemethod.show.page import page
    from choosemethod.show.terminal import terminal_text

    return terminal_text(page(advice, full=options.full, trace=options.trace), options.color, options.width)
