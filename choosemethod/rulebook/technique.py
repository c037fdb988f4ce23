"""Techniques as data: principle, apparatus, steps, cautions, and what the operation does to a mixture."""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from choosemethod.rulebook.language import Test

__all__ = ["PLACE", "Change", "Line", "Part", "Takes", "Technique", "technique_from_plain"]

# {role.slot}, or {part} for the names of what a part of the operation holds
PLACE = re.compile(r"\{([a-z][a-z0-9_]*)(?:\.([a-z][a-z0-9_]*))?\}")


class Takes(NamedTuple):
    """Which components a part or change takes. rest: whatever no other part took.

    within, without: (role, slot) of a list of keys it must (not) be in; roles: roles it may be;
    compare: (slot, operator, role, slot) against a number of a role's fact.
    """

    rest: bool = False
    tests: tuple[Test, ...] = ()
    roles: tuple[str, ...] = ()
    within: tuple[tuple[str, str], ...] = ()
    outside: tuple[tuple[str, str], ...] = ()
    compare: tuple[tuple[str, str, str, str], ...] = ()

    def plain(self) -> tuple[Any, ...]:
        return self.rest, tuple(t.plain() for t in self.tests), self.roles, self.within, self.outside, self.compare


class Part(NamedTuple):
    """One product of the operation.

    each: every component taken is a product of its own; each_layer: every liquid layer is; with_held: what the taken
    components hold goes with them; form: form they have afterwards ("" as before); keeps: clings to it ("" nothing,
    or liquid: a trace of the liquid it came from); lost: given up (driven off); done: needs no further separation;
    shown: only shown, not obtained; host: "added", "none", a role, or "keep"; carries: a role of which a little comes along
    (the water of an azeotrope); the part is there only if the rule binds that role.
    """

    key: str
    name: str
    takes: tuple[Takes, ...]  # any of these
    each: bool = False
    each_layer: bool = False
    with_held: bool = False
    form: str = ""
    keeps: str = ""
    lost: bool = False
    done: bool = False
    shown: bool = False
    state: str = ""
    host: str = "keep"
    carries: str = ""


class Change(NamedTuple):
    """What the operation turns components into before they part.

    host: "added", "none", a role, "keep", or "organic" (the liquid the bench has for shaking out with; without one the
    change does not happen); reacted: what they have become, "none" for themselves again; becomes: "ordinary" for a liquid of
    which only the ordinary solvent, with salts in it, is left.
    """

    takes: tuple[Takes, ...]
    form: str = ""
    host: str = "keep"
    reacted: str = ""
    becomes: str = ""


class Line(NamedTuple):
    """A line of text, shown when every condition holds: (role or mixture or any, tests).

    keep: danger, must or may: a danger and what must be told stand in every answer, what may be told in a full one;
    harm: of a caution, a word of HARMS.
    """

    text: str
    when: tuple[tuple[str, tuple[Test, ...]], ...] = ()
    keep: str = "must"
    harm: str = ""

    def plain(self) -> tuple[Any, ...]:
        when = tuple((role, tuple(t.plain() for t in tests)) for role, tests in self.when)
        return self.text, when, self.keep, self.harm


class Technique(NamedTuple):
    """One technique of the catalogue; see DEVELOPERS.md for its YAML form."""

    id: str
    name: str
    verb: str
    principle: str
    roles: tuple[tuple[str, str], ...]
    traits: tuple[str, ...]
    needs: tuple[str, ...]
    level: str
    order: float
    cost: tuple[float, float, float, float]
    adds: str
    adds_form: str
    changes: tuple[Change, ...]
    parts: tuple[Part, ...]
    apparatus: tuple[Line, ...]
    steps: tuple[Line, ...]
    seen: tuple[Line, ...]
    cautions: tuple[Line, ...]
    limits: tuple[Line, ...]
    residues: tuple[Line, ...]
    source: str
    file: str = ""
    line: int = 0

    def plain(self) -> tuple[Any, ...]:
        """As nested tuples of text and numbers."""
        return (
            self.id, self.name, self.verb, self.principle, self.roles, self.traits, self.needs, self.level, self.order,
            self.cost, self.adds, self.adds_form,
            tuple((tuple(t.plain() for t in c.takes), c.form, c.host, c.reacted, c.becomes) for c in self.changes),
            tuple(
                (p.key, p.name, tuple(t.plain() for t in p.takes), p.each, p.each_layer, p.with_held, p.form, p.keeps, p.lost,
                 p.done, p.shown, p.state, p.host, p.carries)
                for p in self.parts
            ),
            *(tuple(line.plain() for line in lines) for lines in (
                self.apparatus, self.steps, self.seen, self.cautions, self.limits, self.residues)),
            self.source, self.file, self.line,
        )  # fmt: skip


def _takes_from(plain: tuple[Any, ...]) -> tuple[Takes, ...]:
    return tuple([Takes(rest, tuple([Test(*test) for test in tests]), *others) for rest, tests, *others in plain])


def _line_from(plain: tuple[Any, ...]) -> Line:
    text, when, keep, harm = plain
    return Line(text, tuple([(role, tuple([Test(*test) for test in tests])) for role, tests in when]), keep, harm)


def technique_from_plain(plain: tuple[Any, ...]) -> Technique:
    """The technique that `Technique.plain` wrote."""
    head, changes, parts, texts, tail = plain[:12], plain[12], plain[13], plain[14:20], plain[20:]
    return Technique._make(
        (
            *head,
            tuple([Change(_takes_from(takes), *rest) for takes, *rest in changes]),
            tuple([Part(key, name, _takes_from(takes), *rest) for key, name, takes, *rest in parts]),
            *(tuple([_line_from(line) for line in lines]) for lines in texts),
            *tail,
        )
    )
