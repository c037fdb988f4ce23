"""The command `quiz`: its options, and what it does."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from choosemethod.errors import UsageError
from choosemethod.show.output import output_to, refuse_output

__all__ = ["FORMATS", "add_arguments", "run", "save_or_write"]

FORMATS = ("terminal", "markdown", "html", "csv", "json", "qti", "scheme")


def add_arguments(parser: ArgumentParser) -> None:
    """Add the options of `choosemethod quiz`."""
    add = parser.add_argument
    add(
        "mixtures",
        nargs="*",
        metavar="MIXTURE",
        help="mixtures in plain words, each in quotes; none: those of the topics",
    )
    add("--topic", action="append", default=[], metavar="TOPIC", help="ask about a topic (repeatable; see --list)")
    add(
        "--technique", action="append", default=[], metavar="NAME", help="ask where this technique is used (repeatable)"
    )
    add("--kind", action="append", default=[], metavar="KIND", help="kind of question (repeatable; see --list)")
    add("--level", default="", metavar="LEVEL", help="primary, lower-secondary, upper-secondary or undergraduate")
    add("--count", type=int, default=10, metavar="N", help="number of questions (10)")
    add(
        "--seed",
        type=int,
        default=1,
        metavar="N",
        help="another number gives other questions, the same one the same (1)",
    )
    add("--title", default="", metavar="WORDS", help="title of the quiz")
    add("--no-key", action="store_true", help="leave the key out (a QTI package always holds it)")
    add("--list", action="store_true", help="list topics, kinds and levels, and stop")
    add(
        "--format",
        choices=FORMATS,
        default="terminal",
        help="form of the quiz; qti: a QTI 3.0 package (zip); scheme: its key, for check --scheme",
    )
    add("--output", metavar="FILE", help="write to this file instead of standard output (needed for qti)")
    add("--width", type=int, default=78, metavar="N", help="columns of the plain form (78)")


def save_or_write(text: str | bytes, output: str | None) -> None:
    """Write to the file named, or to standard output; see `choosemethod.show.output.output_to` for what it raises."""
    with output_to(output) as out:
        out(text)


def _listed() -> str:
    from choosemethod.classroom.items import KINDS
    from choosemethod.classroom.materials import materials
    from choosemethod.mixture import LEVELS

    data = materials()
    lines = ["topics:"]
    lines += [f"  {topic.id}: {topic.title} ({len(topic.mixtures)} mixtures)" for topic in data.topics]
    lines += ["kinds of question:", *(f"  {kind}: {data.questions[kind]['title']}" for kind in KINDS)]
    lines += ["levels:", *(f"  {level}: {', '.join(data.levels[level]['kinds'])}" for level in LEVELS)]
    return "\n".join(lines) + "\n"


def run(namespace: Namespace) -> int:
    """Make the quiz and write it; 0. Raises UsageError and UnknownMixture."""
    if namespace.list:
        save_or_write(_listed(), namespace.output)
        return 0
    if namespace.format == "qti" and namespace.output is None:
        raise UsageError("a QTI package is a zip file: say where to, with --output quiz.zip")
    refuse_output(namespace.output)
    if not 20 <= namespace.width <= 400:
        raise UsageError("--width must lie between 20 and 400 columns")
    from choosemethod.advice.ask import opened, slug_of
    from choosemethod.classroom import quiz_output
    from choosemethod.classroom.quiz import QuizRequest, make_quiz

    book = opened()[1]
    quiz = make_quiz(
        QuizRequest(
            tuple(namespace.mixtures),
            tuple(namespace.topic),
            tuple(slug_of(book, name) for name in namespace.technique),
            tuple(namespace.kind),
            namespace.level,
            namespace.count,
            namespace.seed,
            namespace.title,
        )
    )
    key = not namespace.no_key
    made: str | bytes
    if namespace.format == "qti":
        from choosemethod.classroom.qti import qti_package

        made = qti_package(quiz)
    elif namespace.format == "scheme":
        made = quiz_output.quiz_scheme(quiz)
    elif namespace.format == "terminal":
        made = quiz_output.quiz_text(quiz, namespace.width, key)
    else:
        shown = {
            "markdown": quiz_output.quiz_markdown,
            "html": quiz_output.quiz_html,
            "csv": quiz_output.quiz_csv,
            "json": quiz_output.quiz_json,
        }[namespace.format]
        made = shown(quiz, key)
    save_or_write(made, namespace.output)
    if len(quiz.items) < quiz.wanted:
        from choosemethod.show.output import say

        say(f"only {len(quiz.items)} of {quiz.wanted} questions can be asked about that; no more are sure to be right")
    return 0
