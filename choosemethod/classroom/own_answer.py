"""One answer of one's own at the prompt: a verdict and a hint, and only then the solution."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path

from choosemethod.advice.answer import SCHEMA_VERSION
from choosemethod.classroom.worksheet import Asked, Checker, Marked
from choosemethod.judging.rules import judging
from choosemethod.table.names import normalise

__all__ = ["answer_text", "asks_whether_right", "mark_answer"]

_FINE = ("right", "acceptable")


def asks_whether_right(text: str) -> str:
    """What is told before a question such as "Is that right?"; "" if nothing of the kind is asked."""
    plain = text.strip()
    for words in judging().words["asks-whether"]:
        for end in (f"{words}?", words):
            if plain.lower().endswith(end):
                return plain[: -len(end)].strip(" .,;-")
    return ""


def mark_answer(
    mixture: str,
    answer: str,
    *,
    want: Sequence[str] = (),
    without: Sequence[str] = (),
    level: str = "",
    table: Sequence[str] = (),
) -> Marked:
    """An answer to one question, marked as in a worksheet. mixture: in plain words, or the sentence that tells the answer."""
    checker = Checker([Path(name) for name in table], None, level)
    asked = Asked(mixture, answer, wish=", ".join(want), constraint=", ".join(without))
    found = checker.check(asked)
    if mixture != answer or found.verdict == "unsafe":
        return found
    judge = checker.judge_of(asked)[0]
    if judge.stands == "answered":
        return found
    # what was done to it is told in the same breath, and may have been taken for what the mixture has become
    added = {one for choice in checker.reader.read(answer).choices for step in choice for one in step.adds}
    names = " and ".join(judge.composer.name(one) for one in sorted(judge.said - added))
    plain = replace(asked, mixture=names) if names else asked
    return checker.check(plain) if names and checker.judge_of(plain)[0].stands == "answered" else found


def answer_text(mixture: str, answer: str, found: Marked, form: str) -> str:
    """What was found, as lines of text, or as one JSON object."""
    if form == "json":
        whole = {
            "schema_version": SCHEMA_VERSION,
            "kind": "answer",
            "mixture": mixture,
            "answer": answer,
            **asdict(found),
        }
        return json.dumps(whole, ensure_ascii=False, indent=2) + "\n"
    lines = [f"Your answer is {found.verdict}." if found.verdict != "cannot tell" else "This answer cannot be judged."]
    if found.understood and normalise(found.understood) != normalise(answer):
        lines.append(f"Read as: {found.understood}")
    lines.append(f"{'Why' if found.verdict in _FINE else 'Hint'}: {found.hint}")
    lines += [f"  - {award.shown()}" for award in found.awarded if award.given != "awarded" or found.verdict in _FINE]
    if found.best and normalise(found.best) != normalise(found.understood):
        lines += ["", f"Solution: {found.best}"]
    return "\n".join(lines) + "\n"
