"""The practical sheet as one HTML page that needs nothing else: prints on paper, the key on a page of its own."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from choosemethod.advice.wording import joined
from choosemethod.classroom.handout import Handout, Part, number_line
from choosemethod.classroom.items import Item, fill
from choosemethod.classroom.levels import sentence
from choosemethod.classroom.picture import picture_of, svg_of
from choosemethod.classroom.quiz_output import answer_line, key_lines, marks_of

__all__ = ["handout_html"]

STYLE = """\
body { font: 12pt/1.45 Georgia, "Times New Roman", serif; max-width: 48rem;
  margin: 1.5rem auto; padding: 0 1rem; color: #111; background: #fff; }
h1 { font-size: 1.7rem; margin-bottom: 0.4rem; }
h2 { font-size: 1.2rem; border-bottom: 1px solid #555; margin: 1.2rem 0 0.5rem; }
h3 { font-size: 1.05rem; margin: 0.9rem 0 0.3rem; }
ul, ol { margin: 0.3rem 0 0.3rem 1.4rem; padding: 0; }
p.note, .cautions { border: 2px solid #111; padding: 0.4rem 0.8rem; }
.danger { font-weight: bold; }
figure { margin: 0.5rem 0; break-inside: avoid; }
svg { width: 100%; max-width: 34rem; height: auto; }
table { border-collapse: collapse; width: 100%; break-inside: avoid; }
th, td { border: 1px solid #444; padding: 0.25rem 0.4rem; text-align: left; }
td { height: 1.7rem; }
.choices { list-style: none; margin-left: 0; }
.choices b { display: inline-block; width: 2rem; }
.question { break-inside: avoid; margin: 0.8rem 0; }
.write { border-bottom: 1px dotted #555; height: 1.7rem; }
.small { font-size: 0.9rem; }
section.key { break-before: page; page-break-before: always; }
@media print { body { margin: 0; max-width: none; font-size: 10.5pt; }
h2, h3 { break-after: avoid; }
@page { size: A4; margin: 16mm; } }
"""


def _list(lines: Iterable[str], tag: str = "ul", kind: str = "") -> list[str]:
    mark = f' class="{kind}"' if kind else ""
    return [f"<{tag}{mark}>", *(f"<li>{escape(line)}</li>" for line in lines), f"</{tag}>"]


def _part_title(sheet: Handout, part: Part) -> str:
    said = fill(sheet.word("part"), number=str(part.number), technique=part.name, acts_on=part.acts_on)
    return f"<h3>{escape(said)}</h3>"


def _section(sheet: Handout, name: str, body: Iterable[str]) -> list[str]:
    return [f'<section class="{name}">', f"<h2>{escape(sheet.heading(name))}</h2>", *body, "</section>"]


def _table(sheet: Handout, part: Part) -> list[str]:
    columns = [escape(sheet.level.say(column)) for column in part.sheet.results]
    rows = ["<tr>" + "<td></td>" * len(columns) + "</tr>"] * 4
    return [
        "<table>",
        "<thead><tr>" + "".join(f'<th scope="col">{column}</th>' for column in columns) + "</tr></thead>",
        "<tbody>",
        *rows,
        "</tbody>",
        "</table>",
    ]


def _question(number: int, item: Item) -> list[str]:
    out = [f'<div class="question"><p><b>{number}.</b> {escape(item.stem)} [{marks_of(item)}]</p>']
    if item.lines:
        out += _list(item.lines, "ol")
    if item.choices and item.kind != "mistake":
        out += ['<ul class="choices">', *(f"<li><b>{c.id}</b> {escape(c.text)}</li>" for c in item.choices), "</ul>"]
    if answer_line(item):
        out.append(f"<p>{escape(answer_line(item))}</p>")
    if item.kind in ("why-not", "mistake"):
        out += ['<div class="write"></div>'] * 2
    return [*out, "</div>"]


def _key(sheet: Handout) -> list[str]:
    out = ['<section class="key">', f"<h2>{escape(sheet.heading('key'))}</h2>"]
    titles = dict(sheet.sources)

    def block(word: str, lines: Iterable[str]) -> None:
        told = list(lines)
        if told:
            out.extend([f"<h3>{escape(sheet.word(word))}</h3>", *_list(told)])

    block("why", (line for part in sheet.parts for line in part.reasons))
    block("products", (line for part in sheet.parts for line in part.told))
    block("seen", (line for part in sheet.parts for line in part.seen))
    if "numbers" in sheet.level.shows:
        numbers = {number.name: number for part in sheet.parts for number in part.numbers}
        block("numbers", (number_line(number, titles) for number in numbers.values()))
    if "limits" in sheet.level.shows:
        block("limits", (line for part in sheet.parts for line in part.limits))
    if sheet.questions:
        out.append(f"<h3>{escape(sheet.word('answers'))}</h3>")
        out.append("<ol>")
        for item in sheet.questions:
            first, *rest = key_lines(item)
            out += [f"<li>{escape(first)}", *(_list(rest, "ul", "small") if rest else []), "</li>"]
        out.append("</ol>")
    block("sources", (title for _, title in sheet.sources))
    return [*out, "</section>"]


def handout_html(sheet: Handout, key: bool = True) -> str:
    """The page; without the key if that is not wanted."""
    several = len(sheet.parts) > 1
    level = sheet.level
    out = [
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(sheet.title)}</title>",
        f"<style>\n{STYLE}</style>",
        "</head>",
        "<body>",
        f"<h1>{escape(sheet.title)}</h1>",
        f"<p>{escape(sheet.word('who'))}</p>",
        *(f'<p class="note">{escape(note)}</p>' for note in sheet.notes),
    ]
    out += _section(sheet, "aim", [f"<p>{escape(sheet.aim)}</p>"])
    if "principle" in level.shows:
        body = []
        for part in sheet.parts:
            body.append(f"<p><b>{escape(sentence(part.name))}</b>: {escape(part.principle)}</p>")
            if "reasons" in level.shows:
                body += _list(part.reasons)
        out += _section(sheet, "principle", body)
    out += _section(sheet, "apparatus", _list(dict.fromkeys(line for part in sheet.parts for line in part.apparatus)))
    out += _section(sheet, "amounts", _list(sheet.amounts))
    cautions = ["<ul>"]
    cautions += [f'<li class="{degree}"><b>{degree}:</b> {escape(text)}</li>' for degree, text in sheet.cautions]
    out += _section(sheet, "cautions", [*cautions, "</ul>"])
    body = []
    for part in sheet.parts:
        body += [*([_part_title(sheet, part)] if several else []), *_list(part.steps, "ol")]
    out += _section(sheet, "steps", body)
    body, drawn = [], list[str]()
    for part in sheet.parts:
        picture = picture_of(part.technique)
        if picture is not None and part.technique not in drawn:
            drawn.append(part.technique)
            body += [
                "<figure>",
                svg_of(picture, part.products, len(drawn), level.say),
                f"<figcaption>{escape(level.say(picture.title))}</figcaption>",
                "</figure>",
            ]
    if not drawn:
        body.append(
            f"<p>{escape(fill(sheet.word('no-picture'), techniques=joined(part.name for part in sheet.parts)))}</p>"
        )
    out += _section(sheet, "picture", body)
    body = []
    for part in sheet.parts:
        body += [*([_part_title(sheet, part)] if several else []), *_table(sheet, part)]
    out += _section(sheet, "results", body)
    out += _section(sheet, "disposal", _list(sheet.disposal))
    if sheet.questions:
        out += _section(
            sheet, "questions", [line for n, item in enumerate(sheet.questions, 1) for line in _question(n, item)]
        )
    if key:
        out += _key(sheet)
    return "\n".join([*out, "</body>", "</html>"]) + "\n"
