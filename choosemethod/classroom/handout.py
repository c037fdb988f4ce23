"""A practical sheet for a mixture and a level: what the pupil needs on one part, the teacher's key on another."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from choosemethod.advice.answer import NumberShown, PlanStep
from choosemethod.advice.ask import opened
from choosemethod.advice.plan import Plan
from choosemethod.advice.wording import joined
from choosemethod.classroom.items import Item, fill
from choosemethod.classroom.levels import Level, level_of, sentence
from choosemethod.classroom.materials import Sheet, TopicMixture, materials
from choosemethod.classroom.numbers import ask_boiling_gap, asked_at
from choosemethod.classroom.picture import picture_of
from choosemethod.classroom.questions import (
    ask_first_over,
    ask_layer,
    ask_mistake,
    ask_procedure,
    ask_why_not,
    mistakes_of,
    source_titles,
    wrong_options,
)
from choosemethod.classroom.quiz import UnknownMixture
from choosemethod.classroom.truth import Truth
from choosemethod.errors import ChooseMethodError
from choosemethod.facts import how_said
from choosemethod.reading import read_words
from choosemethod.reading.file import read_file

__all__ = ["Handout", "NoHandout", "Part", "handout_markdown", "make_handout", "number_line"]

_ORDER = ("danger", "care", "note")


class NoHandout(ChooseMethodError):
    """There is no safe or possible separation to hand out; `str()` says why."""

    exit_code = 4


@dataclass(frozen=True, slots=True)
class Part:
    """One step of the plan on the sheet. products: what each holds, by name; sheet: amounts and table columns."""

    number: int
    technique: str
    name: str
    acts_on: str
    principle: str
    reasons: tuple[str, ...]
    apparatus: tuple[str, ...]
    steps: tuple[str, ...]
    products: Mapping[str, str]
    told: tuple[str, ...]
    seen: tuple[str, ...]
    limits: tuple[str, ...]
    numbers: tuple[NumberShown, ...]
    sheet: Sheet


@dataclass(frozen=True, slots=True)
class Handout:
    """A sheet in the words of its level. cautions: (degree, text), the worst first."""

    title: str
    level: Level
    mixture: str
    aim: str
    parts: tuple[Part, ...]
    amounts: tuple[str, ...]
    cautions: tuple[tuple[str, str], ...]
    disposal: tuple[str, ...]
    notes: tuple[str, ...]
    questions: tuple[Item, ...]
    sources: tuple[tuple[str, str], ...]

    def heading(self, key: str) -> str:
        """Heading of a section at this level."""
        return self.level.headings[key]

    def word(self, key: str) -> str:
        """A phrase of the sheet."""
        return materials().questions["handout"][key]


def _chosen(truth: Truth, level: Level) -> Plan:
    """The best plan whose techniques the level names; the best of all if there is none."""
    plans = [plan for _, plan in (truth.done or truth.plans)]
    return next(
        (plan for plan in plans if all(level.allows(truth.book.techniques[slug]) for slug in truth.slugs(plan))),
        plans[0],
    )


def _said(level: Level, lines: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(level.say(line) for line in lines))


def _products(step: PlanStep, truth: Truth) -> dict[str, str]:
    """What each product of a step holds, by the product's name. Layers are numbered from below if that is known."""
    names = [product.name for product in step.gives]
    out = {p.name: joined(p.components) for p in step.gives if names.count(p.name) == 1}
    for name in {name for name in names if names.count(name) > 1}:
        alike = [product for product in step.gives if product.name == name]
        densities = [_density(truth, product.components[:1]) for product in alike]
        known = [density for density in densities if density is not None]
        if len(known) == len(alike) and all(low > high + 1.0 for low, high in pairwise(known)):
            out.update({f"{name} {place}": joined(product.components) for place, product in enumerate(alike, 1)})
    return out


def _density(truth: Truth, names: tuple[str, ...]) -> float | None:
    """Density (kg/m3) of the liquid a layer is named after; None if it is not known."""
    for fact in truth.components():
        if names and fact.slots["name"] == names[0] and fact.slots["form"] == "liquid":
            density = fact.slots["density"]
            return density if isinstance(density, float) else None
    return None


def _part(step: PlanStep, truth: Truth, level: Level) -> Part:
    products = {name: level.say(held) for name, held in _products(step, truth).items()}
    told = tuple(
        f"{product.name}: {joined(product.components)}" + (f" ({product.state})" if product.state else "")
        for product in step.gives
    )
    return Part(
        step.number,
        step.technique,
        level.technique(truth.book.techniques[step.technique]),
        level.say(joined(step.acts_on)),
        level.say(step.principle),
        _said(level, step.reasons),
        _said(level, step.apparatus),
        _said(level, step.steps),
        products,
        _said(level, told),
        _said(level, step.seen),
        _said(level, step.limits),
        step.numbers,
        materials().sheets.get(step.technique, Sheet((), ("What was done", "What was seen"))),
    )


def _questions(truth: Truth, asked: TopicMixture, level: Level, count: int, rng: random.Random) -> tuple[Item, ...]:
    """Questions on this very practical; never which technique, which the sheet itself says."""
    found: list[Item | None] = []
    mistakes = mistakes_of(truth, level)
    rng.shuffle(mistakes)
    wrong = wrong_options(truth, level, truth.slugs()[0])[:4]
    rng.shuffle(wrong)
    found += [ask_mistake(truth, asked, level, rng, which) for which in mistakes[:1]]
    if "layer" in level.kinds:
        found.append(ask_layer(truth, asked, level, rng))
    if "first-over" in level.kinds:
        found.append(ask_first_over(truth, asked, level, rng))
    found += [ask_why_not(truth, asked, level, one) for one in wrong[:1]]
    if "compute" in level.kinds and asked_at("boiling-gap", level):
        found.append(ask_boiling_gap(truth, asked, level))
    found.append(ask_procedure(truth, asked, level, rng))
    found += [ask_mistake(truth, asked, level, rng, which) for which in mistakes[1:3]]
    found += [ask_why_not(truth, asked, level, one) for one in wrong[1:]]
    unique = {item.id: item for item in found if item is not None}
    return tuple(unique.values())[:count]


def make_handout(
    words: str | Path,
    want: tuple[str, ...] = (),
    without: tuple[str, ...] = (),
    level: str = "",
    questions: int = 4,
    seed: int = 1,
) -> Handout:
    """Make the sheet.

    words: the mixture in words, or the path of a YAML mixture file; want, without: as of advice; level: a level's name;
    questions: how many at most; seed: of the questions. Raises UnknownMixture, NoHandout, UsageError.
    """
    at = level_of(level)
    table = opened()[0]
    if isinstance(words, Path):
        question = read_file(words, table, want=want, without=without, level=at.name)
    else:
        question = read_words(words, table, want=want, without=without, level=at.name)
    truth = Truth(str(words), want, question)
    if not truth.known:
        unknown = "; ".join(
            name + (f" (did you mean {', '.join(near)}?)" if near else "") for name, near in question.unknown
        )
        raise UnknownMixture(f"{words!s} is not known: {unknown or 'no substance was recognised in it'}")
    assert truth.look is not None
    if truth.look.refusals:
        raise NoHandout(" ".join(truth.composer.reasons(truth.look, truth.look.refusals[:2])))
    if not truth.plans:
        advice = truth.composer.answer()
        reasons = advice.refusal.reasons[:2] if advice.refusal is not None else ()
        raise NoHandout(" ".join(reasons) or f"no separation of {words!s} is known that could be handed out")
    plan = _chosen(truth, at)
    truth.prefer(plan)
    steps = truth.steps(plan)
    names = [at.technique(truth.book.techniques[step.technique]) for step in steps]
    phrases = materials().questions["handout"]
    whole = truth.question.mixture.name or joined(str(fact.slots["name"]) for fact in truth.components())
    wanted = joined(truth.composer.name(ident) for ident in question.wish.want)
    aim = fill(
        phrases["aim-want" if wanted else "aim"],
        mixture=whole,
        want=wanted,
        techniques=", then ".join(dict.fromkeys(names)),
    )
    notes = []
    above = [
        at.technique(truth.book.techniques[step.technique])
        for step in steps
        if not at.allows(truth.book.techniques[step.technique])
    ]
    if above:
        notes.append(fill(phrases["above"], techniques=joined(above)))
    for word in ("teacher only", "not in schools"):
        held = [str(fact.slots["name"]) for fact in truth.components() if fact.slots["school_use"] == word]
        if held and at.name != "undergraduate":
            notes.append(fill(phrases[word.replace(" ", "-")], names=joined(held)))
    if plan.together:
        left = [
            joined(str(fact.slots["name"]) for fact in look.facts["component"] if fact.slots["added"] == "no")
            for look in plan.together
        ]
        notes.append(fill(phrases["together"], names="; ".join(left)))
    seen: dict[str, str] = {}
    for step in steps:
        for caution in step.cautions:
            text = at.say(caution.text)
            if text not in seen or _ORDER.index(caution.degree) < _ORDER.index(seen[text]):
                seen[text] = caution.degree
    cautions = sorted(((degree, text) for text, degree in seen.items()), key=lambda item: _ORDER.index(item[0]))
    given = [f"{seen_as.amount} {seen_as.name}" for seen_as in truth.composer.answer().components if seen_as.amount]
    parts = tuple(_part(step, truth, at) for step in steps)
    amounts = [fill(phrases["given"], amounts=joined(given))] if given else []
    for part in parts:
        if part.sheet.amounts:
            usual = "; ".join(at.say(line) for line in part.sheet.amounts)
            amounts.append(fill(phrases["usual"], technique=part.name, amounts=usual))
    asked = TopicMixture(at.say(whole), (wanted,) if wanted else (), at.name or "upper-secondary", "", "given")
    items = _questions(truth, asked, at, questions, random.Random(seed)) if questions > 0 else ()
    keys = [step.source for step in steps]
    keys += [c.source for step in steps for c in step.cautions] + [n.source for step in steps for n in step.numbers]
    keys += [truth.book.rules[rule].source for step in steps for rule in step.rules]
    return Handout(
        sentence(at.say(whole)),
        at,
        whole,
        at.say(aim),
        parts,
        tuple(dict.fromkeys(amounts)),
        tuple(cautions),
        _said(at, (line for step in steps for line in step.residues)),
        tuple(notes),
        items,
        source_titles(truth, keys),
    )


def handout_markdown(sheet: Handout, key: bool = True) -> str:
    """The sheet as Markdown; the key begins on a new page where the Markdown is printed."""
    from choosemethod.classroom.picture import text_of
    from choosemethod.classroom.quiz_output import answer_line, key_lines, marks_of, plain_markdown

    at = sheet.level
    several = len(sheet.parts) > 1

    def part_title(part: Part) -> str:
        said = fill(sheet.word("part"), number=str(part.number), technique=part.name, acts_on=part.acts_on)
        return f"### {plain_markdown(said)}"

    out = [f"# {plain_markdown(sheet.title)}", "", plain_markdown(sheet.word("who")), ""]
    for note in sheet.notes:
        out += [f"> **{plain_markdown(note)}**", ""]
    out += [f"## {sheet.heading('aim')}", "", plain_markdown(sheet.aim), ""]
    if "principle" in at.shows:
        out += [f"## {sheet.heading('principle')}", ""]
        for part in sheet.parts:
            out += [f"- **{plain_markdown(sentence(part.name))}**: {plain_markdown(part.principle)}"]
            if "reasons" in at.shows:
                out += [f"  - {plain_markdown(reason)}" for reason in part.reasons]
        out.append("")
    out += [f"## {sheet.heading('apparatus')}", ""]
    out += [
        f"- {plain_markdown(line)}" for line in dict.fromkeys(line for part in sheet.parts for line in part.apparatus)
    ]
    out += ["", f"## {sheet.heading('amounts')}", "", *[f"- {plain_markdown(line)}" for line in sheet.amounts], ""]
    out += [f"## {sheet.heading('cautions')}", ""]
    out += [f"- **{degree}:** {plain_markdown(text)}" for degree, text in sheet.cautions]
    out += ["", f"## {sheet.heading('steps')}", ""]
    for part in sheet.parts:
        if several:
            out += [part_title(part), ""]
        out += [f"{place}. {plain_markdown(line)}" for place, line in enumerate(part.steps, 1)] + [""]
    out += [f"## {sheet.heading('picture')}", ""]
    drawn = set()
    for part in sheet.parts:
        picture = picture_of(part.technique)
        if picture is not None and part.technique not in drawn:
            drawn.add(part.technique)
            out += [f"{plain_markdown(picture.title)}:", "", "```text", text_of(picture, part.products), "```", ""]
    if not drawn:
        out += [
            plain_markdown(fill(sheet.word("no-picture"), techniques=joined(part.name for part in sheet.parts))),
            "",
        ]
    out += [f"## {sheet.heading('results')}", ""]
    for part in sheet.parts:
        if several:
            out += [part_title(part), ""]
        columns = [plain_markdown(at.say(column)) for column in part.sheet.results]
        out += ["| " + " | ".join(columns) + " |", "|" + "---|" * len(columns)]
        out += ["| " + " | ".join("   " for _ in columns) + " |"] * 3 + [""]
    out += [f"## {sheet.heading('disposal')}", "", *[f"- {plain_markdown(line)}" for line in sheet.disposal], ""]
    if sheet.questions:
        out += [f"## {sheet.heading('questions')}", ""]
        for number, item in enumerate(sheet.questions, 1):
            out += [f"**{number}.** {plain_markdown(item.stem)} ({marks_of(item)})", ""]
            out += [f"{place}. {plain_markdown(line)}" for place, line in enumerate(item.lines, 1)] + (
                [""] if item.lines else []
            )
            if item.kind != "mistake" and item.choices:
                out += [f"- **{choice.id}** {plain_markdown(choice.text)}" for choice in item.choices] + [""]
            if answer_line(item):
                out += [plain_markdown(answer_line(item)), ""]
    if key:
        out += ['<div style="break-before: page"></div>', "", f"## {sheet.heading('key')}", ""]
        out += [
            f"### {sheet.word('why')}",
            "",
            *[f"- {plain_markdown(line)}" for part in sheet.parts for line in part.reasons],
            "",
        ]
        out += [
            f"### {sheet.word('products')}",
            "",
            *[f"- {plain_markdown(line)}" for part in sheet.parts for line in part.told],
            "",
        ]
        out += [
            f"### {sheet.word('seen')}",
            "",
            *[f"- {plain_markdown(line)}" for part in sheet.parts for line in part.seen],
            "",
        ]
        titles = dict(sheet.sources)
        numbers = {number.name: number for part in sheet.parts for number in part.numbers}
        if numbers and "numbers" in at.shows:
            out += [f"### {sheet.word('numbers')}", ""]
            out += [f"- {plain_markdown(number_line(number, titles))}" for number in numbers.values()] + [""]
        if "limits" in at.shows:
            out += [
                f"### {sheet.word('limits')}",
                "",
                *[f"- {plain_markdown(line)}" for part in sheet.parts for line in part.limits],
                "",
            ]
        if sheet.questions:
            out += [f"### {sheet.word('answers')}", ""]
            for number, item in enumerate(sheet.questions, 1):
                first, *rest = key_lines(item)
                out += [
                    f"**{number}.** {plain_markdown(first)}",
                    "",
                    *[f"- {plain_markdown(line)}" for line in rest],
                    "",
                ]
        out += [f"### {sheet.word('sources')}", "", *[f"- {plain_markdown(title)}" for _, title in sheet.sources], ""]
    return "\n".join(out).rstrip() + "\n"


def number_line(number: NumberShown, titles: dict[str, str]) -> str:
    """A value with how it was obtained and where it comes from."""
    source = titles.get(number.source, "")
    return f"{number.name}: {number.value} ({how_said(number.how)}{'; ' + source if source else ''})"
