"""The author's own scheme: accepted and refused answers and required points, which rule over the program's own verdict.

A scheme stands in columns of the worksheet (accept, refuse, points) or in a YAML file, a list of questions:

    - mixture: sand and salt
      accept: [dissolve then filter then evaporate]
      refuse: [sieving]
      points: [dissolve / add water, filter, evaporate / crystallise]
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from choosemethod.classroom.materials import materials
from choosemethod.data import Listed, Record, Table, Text, read_file
from choosemethod.judging.answers import Said, TechniqueReader
from choosemethod.judging.replay import Given, Judge, Judgement
from choosemethod.table.names import normalise

__all__ = ["Scheme", "by_scheme", "in_so_many_words", "of_cells", "points_of", "read_scheme", "scheme_text", "written_scheme"]

_APART = re.compile(r"[;\n]")
_FINE = ("right", "acceptable")
_MOST_REFUSED = 6


class Scheme(NamedTuple):
    """What an author accepts and refuses as the answer to one question, and the points an answer must have."""

    accept: tuple[str, ...] = ()
    refuse: tuple[str, ...] = ()
    points: tuple[str, ...] = ()


def of_cells(cells: Sequence[str]) -> Scheme:
    """A scheme from its three cells, whose entries are set apart by semicolons or lines."""
    return Scheme(*(tuple(one.strip() for one in _APART.split(cell) if one.strip()) for cell in cells))


_ANSWERS = Listed(Text(), alone=False, example="[filtration]")
SCHEME = Listed(
    Record(
        "a question of the scheme",
        {
            "mixture": Text(example="sand and salt", lacking="a question of the scheme names no mixture"),
            "accept?": _ANSWERS,
            "refuse?": _ANSWERS,
            "points?": _ANSWERS,
            "reasons?": Table(Text(may_be_empty=True)),
        },
        make=lambda one: (normalise(one["mixture"]), Scheme(*one.pick("accept", "refuse", "points"))),
        same="",
    ),
    alone=False,
    example="- {mixture: ..., accept: [...], refuse: [...]}",
)


def read_scheme(path: Path) -> dict[str, Scheme]:
    """The schemes of a YAML file by their question, normalised; DataError names the line of every fault."""
    return dict(read_file(path, SCHEME))


def _alike(one: Sequence[Given], other: Sequence[Given]) -> bool:
    return len(one) == len(other) and all(set(a.slugs) & set(b.slugs) for a, b in zip(one, other, strict=True))


def _matches(answer: str, said: Said, listed: Sequence[str], reader: TechniqueReader) -> str:
    """The listed answer that this one is: in the same words, or with the same techniques in the same order."""
    for entry in listed:
        if normalise(entry) == normalise(answer):
            return entry
        meant = reader.read(entry)
        if any(_alike(mine, theirs) for mine in said.choices for theirs in meant.choices):
            return entry
        if said.status and said.status == meant.status and not said.choices:
            return entry
    return ""


def points_of(answer: str, said: Said, points: Sequence[str], reader: TechniqueReader) -> tuple[tuple[str, bool], ...]:
    """Each required point and whether the answer has it: one of its ways (set apart by /), as technique or in words."""
    words = f" {normalise(answer)} "
    slugs = {slug for choice in (*said.choices, *said.others) for step in choice for slug in step.slugs}
    out = []
    for point in points:
        ways = [way.strip() for way in point.split("/") if way.strip()]
        had = False
        for way in ways:
            meant = {step.slugs[0] for choice in reader.read(way).choices for step in choice}
            had = had or f" {normalise(way)} " in words or (bool(meant) and meant <= slugs)
        out.append((point, had))
    return tuple(out)


def by_scheme(
    answer: str, said: Said, found: Judgement, scheme: Scheme, reader: TechniqueReader
) -> tuple[Judgement, float | None]:
    """The judgement by the author's scheme, and the share of the marks by its points (None: the verdict decides).

    What is unsafe stays unsafe; where the scheme and the chemistry differ, the reason says so.
    """
    accepted = _matches(answer, said, scheme.accept, reader)
    refused = "" if accepted else _matches(answer, said, scheme.refuse, reader)
    against = f"The scheme accepts {accepted!r}; the chemistry speaks against it: {found.reason}"
    if accepted and found.verdict == "unsafe":
        found = replace(found, reason=against)
    elif accepted:
        text = f"Accepted by the scheme ({accepted!r}). {found.reason}" if found.verdict in _FINE else against
        found = replace(found, verdict="right", reason=text)
    elif refused:
        differs = "; the chemistry would allow it" if found.verdict in _FINE else ""
        verdict = "unsafe" if found.verdict == "unsafe" else "wrong"
        found = replace(found, verdict=verdict, reason=f"Refused by the scheme ({refused!r}){differs}. {found.reason}")
    if not scheme.points or refused or found.verdict == "unsafe":
        return found, None
    had = points_of(answer, said, scheme.points, reader)
    lacking = [point for point, yes in had if not yes]
    share = 1.0 - len(lacking) / len(had)
    if lacking and not accepted:
        text = f"Points of the scheme not made: {'; '.join(lacking)}. {found.reason}"
        verdict = "incomplete" if found.verdict in _FINE else found.verdict
        return replace(found, verdict=verdict, reason=text), share
    return found, 1.0 if accepted else share


def in_so_many_words(answer: str, found: Judgement, scheme: Scheme) -> Judgement:
    """What the scheme accepts word for word is right though something in it is not so, unless it is unsafe."""
    if all(normalise(entry) != normalise(answer) for entry in scheme.accept):
        return found
    verdict = "unsafe" if found.verdict == "unsafe" else "right"
    text = f"The scheme accepts {answer!r}; the chemistry speaks against it: {found.reason}"
    return replace(found, verdict=verdict, reason=text)


def written_scheme(judges: Mapping[str, Judge]) -> str:
    """A scheme as YAML text: for each question what is accepted, what is refused, and why, by the program's own key."""
    entries = []
    for text, judge in judges.items():
        accept: dict[str, str] = {judge.best_text(): judge.judge(judge.best).reason} if judge.best_text() else {}
        refuse: dict[str, str] = {}
        vetoes = {rule.id for rule in judge.book.stage("rejection")}  # a sure reason, not only that no rule proposes it
        confused = [other for slug in judge.best for other in materials().confusions.get(slug, ())]
        for slug in dict.fromkeys((*confused, *sorted(judge.book.techniques))):
            found = judge.judge((slug,))
            name = judge.name(slug)
            if found.verdict in _FINE:
                if all(not taken.note for taken in found.steps):
                    accept.setdefault(name, found.reason)
            elif found.verdict in ("wrong", "unsafe") and found.rule in vetoes and len(refuse) < _MOST_REFUSED:
                refuse.setdefault(name, found.reason)
        entries.append((text, accept, refuse))
    return scheme_text(entries)


def scheme_text(entries: Iterable[tuple[str, Mapping[str, str], Mapping[str, str]]]) -> str:
    """A scheme as YAML text, of (question, accepted answers with their reasons, refused ones with theirs)."""
    lines = ["# A marking scheme to change: what it accepts and refuses rules over the program's own verdict."]
    for text, accept, refuse in entries:
        lines.append(f"- mixture: {_quoted(text)}")
        for key, listed in (("accept", accept), ("refuse", refuse)):
            lines.append(f"  {key}: [{', '.join(_quoted(one) for one in listed)}]")
        lines.append("  reasons:")
        lines += [f"    {_quoted(one)}: {_quoted(why)}" for one, why in {**accept, **refuse}.items() if why]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    escaped = " ".join(text.split()).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
