"""The answer: everything the program says to a question, as plain data that any form of output can show."""

from __future__ import annotations

from typing import Any, NamedTuple

from choosemethod.mixture import NO_SCALE, NO_TECHNIQUES, Mention, OtherReading, Scale, Techniques, Unused
from choosemethod.quantity import UNITS
from choosemethod.rulebook.language import HARMS

__all__ = [
    "SCHEMA_VERSION",
    "Advice",
    "Caution",
    "ComponentSeen",
    "Forecast",
    "MissingFact",
    "Nearest",
    "NumberShown",
    "PlanStep",
    "ProductShown",
    "Refusal",
    "Rejected",
    "SourceShown",
    "StepRef",
    "TechniqueAdvice",
    "TraceEntry",
    "TraceFact",
    "gravity",
]  # fmt: skip

SCHEMA_VERSION = 1


class ComponentSeen(NamedTuple):
    """A component as understood, or as it is at a step of the plan.

    form: a key of FORMS; host: name of what holds it; amount: as shown, "" if none; reacted: what it has become, "" while it
    is still itself; added: brought in by a step; trace: only what clings from an earlier step.
    """

    id: str
    name: str
    form: str
    phase: str
    host: str = ""
    amount: str = ""
    reacted: str = ""
    added: bool = False
    trace: bool = False


class NumberShown(NamedTuple):
    """A number that decides: name ("boiling point of a liquid"), value with its unit, how obtained, source key.

    number: in SI units; `Advice.as_dict` gives it in `unit` instead.
    """

    name: str
    value: str
    number: float | None
    unit: str
    how: str
    source: str
    note: str = ""
    file: str = ""


class Caution(NamedTuple):
    """A caution. degree: danger, care or note; technique: slug it belongs to ("" for the mixture).

    harm: what it guards against, a word of `choosemethod.rulebook.language.HARMS`; kept: it stands in every answer.
    """

    text: str
    degree: str
    technique: str = ""
    rule: str = ""
    source: str = ""
    harm: str = ""
    kept: bool = False


_DEGREES = ("danger", "care", "note", "waste")


def gravity(caution: Caution) -> tuple[int, int, str, str]:
    """The order of cautions: by degree, then by what they can do to a person."""
    degree = _DEGREES.index(caution.degree) if caution.degree in _DEGREES else len(_DEGREES)
    harm = HARMS.index(caution.harm) if caution.harm in HARMS else len(HARMS)
    return degree, harm, caution.rule, caution.text


class TechniqueAdvice(NamedTuple):
    """A technique that serves, best first. strength: best, good, fair or possible; plan: slugs of the plan it begins."""

    technique: str
    name: str
    strength: str
    reasons: tuple[str, ...]
    rules: tuple[str, ...]
    principles: tuple[str, ...] = ()
    plan: tuple[str, ...] = ()
    score: float = 0.0


class Rejected(NamedTuple):
    """A technique that would not serve. rule: the rule that says so, "" if no rule proposes it."""

    technique: str
    name: str
    reason: str
    rule: str = ""


class ProductShown(NamedTuple):
    """A product of a step: what it is called, the components in it by name, its state, and what becomes of it.

    fate: product, continues (a later step takes it on), lost (driven off), by-product, shown (only seen), recovered, spent
    (a reagent or liquid that is used up).
    amounts: (substance, mass in kg or volume in m3, "mass" or "volume") of what the question gave amounts for: the most
    there can be of it, before losses.
    """

    name: str
    components: tuple[str, ...]
    state: str
    fate: str
    number: int = 0  # the step that takes it on, 0 if none
    amounts: tuple[tuple[str, float, str], ...] = ()


class PlanStep(NamedTuple):
    """One step of the plan; texts have the mixture's own numbers filled in."""

    number: int
    technique: str
    name: str
    acts_on: tuple[str, ...]
    adds: str
    gives: tuple[ProductShown, ...]
    reasons: tuple[str, ...]
    rules: tuple[str, ...]
    principle: str
    apparatus: tuple[str, ...]
    steps: tuple[str, ...]
    seen: tuple[str, ...]
    cautions: tuple[Caution, ...]
    limits: tuple[str, ...]
    residues: tuple[str, ...]
    numbers: tuple[NumberShown, ...]
    source: str
    forecast: tuple[str, ...] = ()  # what to expect, in numbers
    before: tuple[ComponentSeen, ...] = ()  # the mixture as the step finds it
    after: tuple[ComponentSeen, ...] = ()  # all that is there when it is done, in every product
    optional: tuple[str, ...] = ()  # those of the texts that a short answer leaves out


class Forecast(NamedTuple):
    """What to expect of a step: sentences, the numbers in them, the keys of their sources, and the sentences that a short
    answer leaves out."""

    lines: tuple[str, ...] = ()
    numbers: tuple[NumberShown, ...] = ()
    sources: tuple[str, ...] = ()
    optional: tuple[str, ...] = ()


class StepRef(NamedTuple):
    """An alternative plan in short: slugs, score, what it costs more, in words."""

    techniques: tuple[str, ...]
    score: float
    costs: str


class TraceFact(NamedTuple):
    """A fact a rule fired on: role, what it is, and the slots that mattered as (slot, value shown, how, source)."""

    role: str
    fact: str
    slots: tuple[tuple[str, str, str, str], ...]


class TraceEntry(NamedTuple):
    """A rule that fired. stage: inference, selection, rejection or caution; step: number of the plan step, 0 for none."""

    rule: str
    stage: str
    says: str
    because: str
    principle: str
    source: str
    file: str
    step: int
    facts: tuple[TraceFact, ...]


class Nearest(NamedTuple):
    """Why not a technique: the rule that rejected it, or the one nearest to proposing it with the conditions that failed.

    failed: (condition in words, value found); verdict: chosen, also-serves, rejected, not-available, not-proposed.
    """

    technique: str
    name: str
    verdict: str
    reason: str
    rule: str = ""
    failed: tuple[tuple[str, str], ...] = ()


class MissingFact(NamedTuple):
    """A fact that is not known and would decide: what it is, and what each answer would lead to."""

    what: str
    decides: str


class Refusal(NamedTuple):
    """Why there is no separation. kind: unsafe, not-separable, nothing-to-separate, not-known-here, blocked."""

    kind: str
    reasons: tuple[str, ...]
    advice: tuple[str, ...] = ()


class SourceShown(NamedTuple):
    """A source that was used."""

    key: str
    title: str


class Advice(NamedTuple):
    """The whole answer. status: answered, unknown, refused, nothing-to-separate or needs-information."""

    asked: str
    name: str
    components: tuple[ComponentSeen, ...]
    note: str
    understood: tuple[str, ...]
    corrections: tuple[tuple[str, str], ...]
    unknown: tuple[tuple[str, tuple[str, ...]], ...]
    want: tuple[str, ...]
    remove: tuple[str, ...]
    aim: str
    pressure: float
    without: tuple[str, ...]
    level: str
    status: str
    techniques: tuple[TechniqueAdvice, ...] = ()
    rejected: tuple[Rejected, ...] = ()
    plan: tuple[PlanStep, ...] = ()
    products: tuple[ProductShown, ...] = ()
    alternatives: tuple[StepRef, ...] = ()
    left_together: tuple[tuple[str, ...], ...] = ()
    refusal: Refusal | None = None
    missing: tuple[MissingFact, ...] = ()
    cautions: tuple[Caution, ...] = ()
    numbers: tuple[NumberShown, ...] = ()
    contrast: str = ""
    why_not: tuple[Nearest, ...] = ()
    retention: tuple[tuple[str, str], ...] = ()  # chromatography: (Rf = ..., formula filled in)
    sources: tuple[SourceShown, ...] = ()
    trace: tuple[TraceEntry, ...] = ()
    called: tuple[tuple[str, str], ...] = ()  # (name here, name in the question) of components asked about by another
    not_used: tuple[Unused, ...] = ()
    readings: tuple[OtherReading, ...] = ()
    mentions: tuple[Mention, ...] = ()
    inferred: tuple[tuple[str, str], ...] = ()
    reagents: tuple[str, ...] = ()  # names of what is at hand, no part of the mixture
    purpose: str = ""
    scale: Scale = NO_SCALE
    asked_techniques: Techniques = NO_TECHNIQUES  # those the question names
    bench: str = ""  # who works at a level: "" all, teacher: only the teacher, nobody: not at this level
    instead: tuple[tuple[str, str], ...] = ()  # what the level must not handle, and what to take instead ("" not known)
    option: str = ""  # letter and words of the answer chosen among those offered
    doubt: tuple[str, ...] = ()  # why too little of the question was understood to be sure, empty where that is not so
    tentative: str = ""  # what the answer would be if nothing else mattered, where it is in doubt
    about: str = "mixture"  # mixture, or technique: the question describes a technique, and no mixture is planned for

    @property
    def exit_code(self) -> int:
        """0 answered or nothing to separate, 3 not known or not enough known, 4 refused."""
        return {"answered": 0, "nothing-to-separate": 0, "unknown": 3, "needs-information": 3, "refused": 4}[
            self.status
        ]

    def as_dict(self) -> dict[str, Any]:
        """The answer as one JSON object; fields are only ever added within a schema version."""
        plain = self._asdict()
        understood = {
            key: plain.pop(key)
            for key in (
                "asked", "name", "components", "note", "understood", "corrections", "unknown", "not_used", "readings",
                "mentions", "inferred", "reagents", "scale",
            )
        }  # fmt: skip
        setting = {key: plain.pop(key) for key in ("pressure", "without", "level")}
        wish = {key: plain.pop(key) for key in ("want", "remove", "aim", "purpose")}
        whole = {
            "schema_version": SCHEMA_VERSION,
            "mixture": understood,
            "wish": wish,
            "setting": {"pressure_Pa": setting["pressure"], "without": setting["without"], "level": setting["level"]},
            **plain,
        }
        return {key: _listed(value) for key, value in whole.items()}


def _listed(value: Any) -> Any:
    """Records as objects and tuples as lists, through and through, as JSON has them."""
    if isinstance(value, NumberShown) and value.number is not None and value.unit in UNITS:
        _, factor, offset = UNITS[value.unit]
        value = value._replace(number=float(f"{(value.number - offset) / factor:.10g}"))
    if hasattr(value, "_asdict"):
        return {key: _listed(item) for key, item in value._asdict().items()}
    if isinstance(value, dict):
        return {key: _listed(item) for key, item in value.items()}
    if isinstance(value, (tuple, list)):
        return [_listed(item) for item in value]
    return value
