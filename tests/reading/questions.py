"""A question, and what a chemist understands by it."""

from __future__ import annotations

from dataclasses import dataclass, field

from choosemethod.mixture import Question


@dataclass(frozen=True)
class Case:
    """What a question must be read as.

    parts: substance id -> form, or (form, host); rest: whether a named mixture may bring more components than these.
    """

    words: str
    source: str
    parts: dict[str, str | tuple[str, str]]
    rest: bool = False
    named: str | None = None
    really: str = ""
    want: tuple[str, ...] | None = None
    remove: tuple[str, ...] | None = None
    aim: str = "separate"
    form: str | None = None
    without: tuple[str, ...] = ()
    tried: tuple[str, ...] | None = None
    level: str = ""
    pressure: tuple[float, float] | None = None
    small: bool | None = None
    given: dict[str, dict[str, str]] = field(default_factory=dict)
    missing: bool | None = None
    unknown: tuple[str, ...] = ()
    corrected: tuple[str, ...] = ()


def differences(case: Case, question: Question) -> list[str]:
    """What a question was read as that it does not mean, one sentence each."""
    wrong: list[str] = []

    def same(what: str, found: object, expected: object) -> None:
        if found != expected:
            wrong.append(f"{what}: {found!r} and not {expected!r}")

    found = {}
    for component in question.mixture.components:
        found.setdefault(component.substance, []).append((component.form, component.host))
    for id, told in case.parts.items():
        forms = found.get(id, [])
        if isinstance(told, str):
            if told not in [form for form, _ in forms]:
                wrong.append(f"{id}: {forms} and not {told}")
        elif told not in forms:
            wrong.append(f"{id}: {forms} and not {told}")
    if not case.rest:
        same("components", sorted(found), sorted(case.parts))
    if case.named is not None:
        same("named mixture", question.mixture.named, case.named)
    same("really", question.mixture.really, case.really)
    if case.want is not None:
        same("wanted", set(question.wish.want), set(case.want))
    if case.remove is not None:
        same("to be removed", set(question.wish.remove), set(case.remove))
    same("aim", question.wish.aim, case.aim)
    if case.form is not None:
        same("form", question.wish.form, case.form)
    for key in case.without:
        if key not in question.setting.without:
            wrong.append(f"without: {question.setting.without} has no {key}")
    if not case.without:
        same("without", question.setting.without, ())
    if case.tried is not None:
        same("techniques named", question.tried, case.tried)
    same("level", question.setting.level, case.level)
    low, high = case.pressure or (101_300.0, 101_350.0)
    if not low <= question.setting.pressure <= high:
        wrong.append(f"pressure: {question.setting.pressure}")
    if case.small is not None:
        same("small", question.setting.small, case.small)
    for id, properties in case.given.items():
        for name, text in properties.items():
            same(f"{name} of {id}", question.given.get(id, {}).get(name), text)
    if case.missing is not None:
        same("something is missing", bool(question.missing), case.missing)
    same("unknown", tuple(words for words, _ in question.unknown), case.unknown)
    same("corrected", tuple(written for written, _ in question.corrections), case.corrected)
    return wrong
