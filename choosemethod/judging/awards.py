"""The points of an answer one by one: technique, order, object, product, reason, safety, each with the words it rests on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from choosemethod.judging.answers import Said
from choosemethod.judging.claims import Claim
from choosemethod.judging.lexicon import Lexicon
from choosemethod.judging.replay import Judgement

__all__ = ["POINTS", "Award", "awards"]

POINTS = ("technique", "order", "object", "product", "reason", "safety")
_FINE = ("right", "acceptable")


class Award(NamedTuple):
    """One point: which of POINTS, awarded or denied or cannot tell, the words of the answer quoted, and why."""

    point: str
    given: str
    words: str = ""
    because: str = ""

    def shown(self) -> str:
        """The point in one line."""
        quoted = f" ({self.words!r})" if self.words else ""
        return f"{self.point} {self.given}{quoted}" + (f": {self.because}" if self.because else "")


def awards(
    said: Said, plain: Judgement, found: Judgement, claims: Sequence[Claim], lexicon: Lexicon, reason: str
) -> tuple[Award, ...]:
    """The points an answer earns; a point it says nothing of is left out.

    plain: the judgement of its techniques alone; found: with everything it says; reason: its reason as written.
    """
    out: list[Award] = []
    steps = max(said.choices, key=len, default=())
    words = "; ".join(dict.fromkeys(step.words for step in steps if step.words))
    fine = plain.verdict in _FINE
    done = any(taken.note in ("", "counts as") for taken in plain.steps)
    why = "" if fine else plain.reason.partition(" Still to do:")[0]
    if steps:
        begun = fine or (plain.verdict == "incomplete" and done)
        given = "awarded" if begun else "cannot tell" if plain.verdict == "cannot tell" else "denied"
        out.append(Award("technique", given, words, "" if begun else why))
        if len(steps) > 1:
            given = "awarded" if fine else "cannot tell" if plain.verdict == "cannot tell" else "denied"
            out.append(Award("order", given, words, why))
    sorts: dict[str, list[Claim]] = {}
    for claim in claims:
        relation = lexicon.relations.get(claim.kind)
        result = relation is not None and relation.says in ("part", "layer", "order")
        sorts.setdefault("object" if claim.acted else "product" if result else "reason", []).append(claim)
    for point in ("object", "product", "reason"):
        told = sorts.get(point, [])
        worst = next((c for verdict in ("false", "true") for c in told if c.verdict == verdict), None)
        if worst is not None:
            so = worst.verdict == "true" and not (point == "reason" and fine and found.verdict == "incomplete")
            because = worst.found if worst.verdict == "false" else "" if so else found.reason
            out.append(Award(point, "awarded" if so else "denied", worst.text.strip(), because))
        elif told or (point == "reason" and reason):
            because = told[0].found if told else "not understood, or no reason for the technique"
            denied = point == "reason" and fine and found.verdict == "incomplete"
            text = told[0].text.strip() if told else reason.strip()
            out.append(Award(point, "denied" if denied else "cannot tell", text, because))
    if steps or found.verdict == "unsafe":
        unsafe = found.verdict == "unsafe"
        out.append(
            Award("safety", "denied" if unsafe else "awarded", "", found.reason if unsafe else "nothing unsafe said")
        )
    return tuple(out)
