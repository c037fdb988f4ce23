"""Show a quiz: plain text, Markdown, a self-contained HTML page, CSV and JSON; the key always after the questions."""

from __future__ import annotations

import csv
import io
import json
from html import escape
from textwrap import fill as wrapped

from choosemethod.classroom.items import Item
from choosemethod.classroom.quiz import Quiz
from choosemethod.judging.scheme import scheme_text
from choosemethod.show.markdown import escape as plain_markdown

__all__ = [
    "answer_line",
    "key_lines",
    "marks_of",
    "plain_markdown",
    "quiz_csv",
    "quiz_html",
    "quiz_json",
    "quiz_markdown",
    "quiz_scheme",
    "quiz_text",
    "safe_cell",
]

SCHEMA_VERSION = 1
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
COLUMNS = (
    "number",
    "id",
    "kind",
    "level",
    "topic",
    "mixture",
    "want",
    "question",
    "steps",
    "choices",
    "key",
    "answer",
    "value",
    "tolerance",
    "unit",
    "marks",
    "marking points",
    "why the others are wrong",
    "sources",
)


def marks_of(item: Item) -> str:
    return f"{item.marks} mark" + ("s" if item.marks != 1 else "")


def key_lines(item: Item) -> list[str]:
    """The key of one question: answer, marking points, why the other choices are wrong, sources."""
    lines = [item.answer]
    if len(item.points) > 1 or item.kind in ("why-not", "compute"):
        lines += [f"{point.marks} for: {point.text}" if point.marks else f"note: {point.text}" for point in item.points]
    if item.kind == "compute":
        lines.append(f"accept {item.value:g} ± {item.tolerance:g} {item.unit}".rstrip())
    if item.kind in ("choose", "layer", "first-over"):
        lines += [f"not {choice.id}, {choice.text}: {choice.reason}" for choice in item.choices if not choice.right]
    if item.sources:
        lines.append("source: " + "; ".join(title for _, title in item.sources))
    return lines


def answer_line(item: Item) -> str:
    if item.orders:
        return "Order: " + "  ".join("__" for _ in item.choices)
    if item.kind == "compute":
        return f"Answer: ____________ {item.unit}".rstrip()
    return ""


def quiz_text(quiz: Quiz, width: int = 78, key: bool = True) -> str:
    """Plain text in lines of at most `width` columns."""

    def put(text: str, indent: str = "", first: str | None = None) -> str:
        return wrapped(
            text,
            width,
            initial_indent=indent if first is None else first,
            subsequent_indent=indent,
            break_long_words=False,
            break_on_hyphens=False,
        )

    out = [put(quiz.title), "=" * min(width, len(quiz.title)), ""]
    about = [f"level: {quiz.level}"] if quiz.level else []
    about += [f"questions: {len(quiz.items)}", f"marks: {quiz.marks}", f"seed: {quiz.seed}"]
    out += [put("; ".join(about)), ""]
    for number, item in enumerate(quiz.items, 1):
        out.append(put(f"{item.stem} [{marks_of(item)}]", "    ", f"{number}.".ljust(4)))
        out += [put(line, "        ", f"    {place}.".ljust(8)) for place, line in enumerate(item.lines, 1)]
        for choice in item.choices:
            out.append(put(choice.text, "        ", f"    {choice.id}".ljust(8)))
        if answer_line(item):
            out.append("    " + answer_line(item))
        out.append("")
    if key:
        out += ["Key", "---", ""]
        for number, item in enumerate(quiz.items, 1):
            first, *rest = key_lines(item)
            out.append(put(first, "    ", f"{number}.".ljust(4)))
            out += [put(line, "      ", "    - ") for line in rest]
            out.append("")
    return "\n".join(out).rstrip() + "\n"


def quiz_markdown(quiz: Quiz, key: bool = True) -> str:
    """Markdown with the key under a heading of its own."""
    out = [f"# {plain_markdown(quiz.title)}", ""]
    about = [f"Level: {quiz.level}."] if quiz.level else []
    out += [
        " ".join([*about, f"{len(quiz.items)} questions, {quiz.marks} marks. Seed {quiz.seed}."]),
        "",
        "## Questions",
        "",
    ]
    for number, item in enumerate(quiz.items, 1):
        out += [f"**{number}.** {plain_markdown(item.stem)} ({marks_of(item)})", ""]
        if item.lines:
            out += [f"{place}. {plain_markdown(line)}" for place, line in enumerate(item.lines, 1)] + [""]
        if item.choices:
            out += [f"- **{choice.id}** {plain_markdown(choice.text)}" for choice in item.choices] + [""]
        if answer_line(item):
            out += [plain_markdown(answer_line(item)), ""]
    if key:
        out += ["## Key", ""]
        for number, item in enumerate(quiz.items, 1):
            first, *rest = key_lines(item)
            out += [f"**{number}.** {plain_markdown(first)}", ""]
            out += [f"- {plain_markdown(line)}" for line in rest] + ([""] if rest else [])
    return "\n".join(out).rstrip() + "\n"


STYLE = """\
body { font: 12pt/1.45 Georgia, "Times New Roman", serif; max-width: 46rem;
  margin: 2rem auto; padding: 0 1rem; color: #111; background: #fff; }
h1 { font-size: 1.6rem; }
h2 { font-size: 1.25rem; border-bottom: 1px solid #555; }
ol.questions > li { margin: 0 0 1.4rem; break-inside: avoid; }
ol.choices { list-style: none; padding-left: 0; }
ol.choices b { display: inline-block; width: 2rem; }
.marks { color: #444; white-space: nowrap; }
.write { border-bottom: 1px dotted #555; height: 1.6rem; }
.small { color: #333; font-size: 0.9rem; }
section.key { break-before: page; page-break-before: always; }
@media print { body { margin: 0; max-width: none; font-size: 11pt; }
@page { margin: 18mm; } }
"""


def quiz_html(quiz: Quiz, key: bool = True) -> str:
    """A page that needs nothing else and prints with the key on a page of its own."""
    about = [f"Level: {escape(quiz.level)}."] if quiz.level else []
    out = [
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(quiz.title)}</title>",
        f"<style>\n{STYLE}</style>",
        "</head>",
        "<body>",
        f"<h1>{escape(quiz.title)}</h1>",
        f"<p>{' '.join([*about, f'{len(quiz.items)} questions, {quiz.marks} marks. Seed {quiz.seed}.'])}</p>",
        '<section class="questions">',
        "<h2>Questions</h2>",
        '<ol class="questions">',
    ]
    for item in quiz.items:
        out.append(
            f'<li id="{escape(item.id)}"><p>{escape(item.stem)} <span class="marks">[{marks_of(item)}]</span></p>'
        )
        if item.lines:
            out += ["<ol>", *(f"<li>{escape(line)}</li>" for line in item.lines), "</ol>"]
        if item.choices:
            out.append('<ol class="choices">')
            out += [f"<li><b>{choice.id}</b> {escape(choice.text)}</li>" for choice in item.choices]
            out.append("</ol>")
        if answer_line(item):
            out.append(f"<p>{escape(answer_line(item))}</p>")
        if item.kind == "why-not":
            out += ['<div class="write"></div>'] * 3
        out.append("</li>")
    out += ["</ol>", "</section>"]
    if key:
        out += ['<section class="key">', "<h2>Key</h2>", "<ol>"]
        for item in quiz.items:
            first, *rest = key_lines(item)
            out.append(f"<li><p>{escape(first)}</p>")
            if rest:
                out += ['<ul class="small">', *(f"<li>{escape(line)}</li>" for line in rest), "</ul>"]
            out.append("</li>")
        out += ["</ol>", "</section>"]
    return "\n".join([*out, "</body>", "</html>"]) + "\n"


def safe_cell(text: str) -> str:
    """A cell that a spreadsheet does not take for a formula."""
    return "'" + text if text.startswith(_FORMULA) else text


def quiz_csv(quiz: Quiz, key: bool = True) -> str:
    """One row for each question; lists within a cell are parted by line breaks."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    hidden = (
        () if key else ("key", "answer", "value", "tolerance", "marking points", "why the others are wrong", "sources")
    )
    writer.writerow([column for column in COLUMNS if column not in hidden])
    for number, item in enumerate(quiz.items, 1):
        row = {
            "number": str(number),
            "id": item.id,
            "kind": item.kind,
            "level": item.level,
            "topic": item.topic,
            "mixture": item.mixture,
            "want": ", ".join(item.want),
            "question": item.stem,
            "steps": "\n".join(f"{place}. {line}" for place, line in enumerate(item.lines, 1)),
            "choices": "\n".join(f"{choice.id}. {choice.text}" for choice in item.choices),
            "key": " or ".join(" ".join(order) for order in item.orders) if item.orders else " ".join(item.key),
            "answer": item.answer,
            "value": "" if item.value is None else f"{item.value:g}",
            "tolerance": "" if item.value is None else f"{item.tolerance:g}",
            "unit": item.unit,
            "marks": str(item.marks),
            "marking points": "\n".join(f"{point.marks}: {point.text}" for point in item.points),
            "why the others are wrong": "\n".join(
                f"{choice.id}: {choice.reason}" for choice in item.choices if choice.reason and not choice.right
            ),
            "sources": "\n".join(title for _, title in item.sources),
        }
        writer.writerow([safe_cell(row[column]) for column in COLUMNS if column not in hidden])
    return out.getvalue()


_KEY_FIELDS = ("answer", "points", "orders", "value", "tolerance", "key", "data", "technique", "sources")


def quiz_scheme(quiz: Quiz) -> str:
    """The key as a marking scheme: what is accepted and refused for each question, with the reasons."""
    entries = []
    for item in quiz.items:
        right = {choice.text: choice.reason for choice in item.choices if choice.right and not item.orders}
        wrong = {choice.text: choice.reason for choice in item.choices if not choice.right and not item.orders}
        entries.append((" ".join((item.stem, *item.lines)), {item.answer: "", **right}, wrong))
    return scheme_text(entries)


def quiz_json(quiz: Quiz, key: bool = True) -> str:
    """One JSON object; without the key, no field that gives it away."""
    items = []
    for number, item in enumerate(quiz.items, 1):
        plain = {"number": number, **item.as_dict()}
        if not key:
            for name in _KEY_FIELDS:
                plain.pop(name)
            plain["choices"] = [{"id": choice.id, "text": choice.text} for choice in item.choices]
        items.append(plain)
    whole = {
        "schema_version": SCHEMA_VERSION,
        "title": quiz.title,
        "level": quiz.level,
        "seed": quiz.seed,
        "wanted": quiz.wanted,
        "marks": quiz.marks,
        "items": items,
    }
    return json.dumps(whole, ensure_ascii=False, indent=2) + "\n"
