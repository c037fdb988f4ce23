"""Claims of an answer: every statement of its text held against the table and the steps, and Rf values."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from choosemethod.advice.compose import Composer
from choosemethod.judging.clauses import segments, tokens
from choosemethod.judging.lexicon import lexicon
from choosemethod.judging.rules import Judging
from choosemethod.judging.statements import Statement, statements
from choosemethod.judging.truth import Acted, Truth
from choosemethod.quantity import show

__all__ = ["Claim", "Claims"]

_RF = re.compile(
    r"\br\.?f\.?\b\s*(?:value)?\s*(?:of [^=;,]{1,40}?)?\s*(?:=|is|:|of|was)?\s*(?P<value>[01]?[.,]\d+|[01])(?![\d.])",
    re.IGNORECASE,
)
_OVER = r"(?:/|÷|divided by|out of|and the (?:solvent )?front(?: moved| travelled)?)"
_DISTANCES = re.compile(
    rf"(?P<spot>\d+(?:\.\d+)?)\s*(?P<a>mm|cm)?\s*{_OVER}\s*(?P<front>\d+(?:\.\d+)?)\s*(?P<b>mm|cm)", re.IGNORECASE
)
_SCALE: Mapping[str, float] = {"mm": 1e-3, "cm": 1e-2}
_LONGEST = 4_000  # characters of a text that are searched for claims
_GAP = 6  # words from one part of a misconception to the next
_MOST = 20  # claims of one row


@dataclass(frozen=True, slots=True)
class Claim:
    """One claim as checked.

    text: as written; kind: which sort of claim; verdict: true, false or not known; found: the sourced value or fact in
    words; source: its key, "" if none; tolerance: what was allowed, "" if it does not matter; acted: it says what is
    done to something ("evaporate the salt"), not what is so.
    """

    text: str
    kind: str
    verdict: str
    found: str
    source: str = ""
    tolerance: str = ""
    acted: bool = False

    def shown(self) -> str:
        """The claim in one line."""
        source = f" [{self.source}]" if self.source else ""
        allowed = f" (±{self.tolerance})" if self.tolerance else ""
        return f"{self.text}: {self.verdict} - {self.found}{allowed}{source}"


class Claims:
    """Checks claims about one question's mixture and what is in it."""

    def __init__(self, composer: Composer, rules: Judging) -> None:
        self.composer = composer
        self.rules = rules
        self.lexicon = lexicon()
        self.truth = Truth(composer, self.lexicon, dict(rules.tolerances))

    def check(
        self, text: str, front: float | None = None, spots: Sequence[float] = (), acted: Acted = (),
        used: Collection[str] = (), about: tuple[str, ...] = (),
    ) -> tuple[Claim, ...]:  # fmt: skip
        """Every claim found in a text.

        front, spots: chromatogram distances (m), for an Rf; acted: the answer's steps; used: slugs of its techniques;
        about: what "it" means at the beginning.
        """
        text = text[:_LONGEST]
        out = [*self._retention(text, front, spots), *self._believed(text, used)]
        for statement in statements(text, self.lexicon, self.truth.named, self.truth.everything, about):
            claim = self._claim(statement, acted)
            if claim is not None:
                out.append(claim)
        return tuple(dict.fromkeys(out))[:_MOST]

    def _believed(self, text: str, used: Collection[str]) -> Iterator[Claim]:
        """General statements about the techniques used that are not so."""
        known = [one for one in self.lexicon.misconceptions if not one.of or set(one.of) & set(used)]
        for run in segments(tokens(text, self.lexicon, lambda words: ""), self.lexicon) if known else ():
            for one in known:
                places = [next((at for at, t in enumerate(run) if t.base in words), -1) for words in one.words]
                denied = any(
                    t.base in self.lexicon.no or t.text.lower().endswith("n't") or t.text.lower() == "too" for t in run
                )
                apart = [b - a for a, b in pairwise(places)]
                if min(places) >= 0 and not denied and (not one.ordered or all(0 < gap <= _GAP for gap in apart)):
                    written = text[run[0].start : run[-1].end].strip(" .;!?\n")
                    yield Claim(written, one.key, "false", one.because)

    def _claim(self, statement: Statement, acted: Acted) -> Claim | None:
        found = self.truth.of(statement, acted)
        if found is None:
            return None
        verdict = "not known" if found.true is None else "true" if found.true else "false"
        kind = statement.relation.partition(":")[2] or statement.relation
        return Claim(statement.text, kind, verdict, found.words, found.source, found.tolerance, statement.acted)

    def column(
        self, kind: str, about: str, cell: str, front: float | None = None, spots: Sequence[float] = ()
    ) -> tuple[Claim, ...]:
        """The claims of a cell in a column that claims one thing. about: what the heading says it is about, or ""."""
        cell = cell.strip()
        if not cell:
            return ()
        if kind == "rf":
            return tuple(self._retention(f"Rf = {cell.lower().removeprefix('rf').strip(' =:')}", front, spots))
        wording = self.rules.claims.get(kind, "")
        out: list[Claim] = []
        for piece in re.split(r"[;\n]", cell):
            name, _, rest = piece.rpartition(":")
            told = wording.replace("{x}", (name or about or rest).strip()).replace("{n}", rest.strip())
            out += [Claim(piece.strip(), *_rest(claim)) for claim in self.check(told)]
        return tuple(out)

    def _retention(self, text: str, front: float | None, spots: Sequence[float]) -> Iterator[Claim]:
        """An Rf with its distances: in the same text, in columns of the row, or in the question."""
        question = self.composer.question
        for match in _RF.finditer(text):
            claimed = float(match["value"].replace(",", "."))
            distances = [
                (float(m["spot"]) * _SCALE[(m["a"] or m["b"]).lower()], float(m["front"]) * _SCALE[m["b"].lower()])
                for m in _DISTANCES.finditer(text)
            ]
            ends = front if front is not None else question.front
            if not distances and ends:
                distances = [(spot, ends) for spot in (spots or question.spots)]
            pairs = [(spot, end) for spot, end in distances if end > 0]
            written = match[0].strip()
            if not pairs:
                lacking = "the distances of the spot and of the solvent front are not given"
                yield Claim(written, "rf", "not known", lacking)
                continue
            allowed = self.rules.tolerances["retention"]
            near = min(pairs, key=lambda pair: abs(pair[0] / pair[1] - claimed))
            value = near[0] / near[1]
            words = f"{show(near[0], 'length')} / {show(near[1], 'length')} = {value:.2f}"
            if near[0] > near[1]:
                words += ": a spot cannot be farther from the start than the solvent front"
                yield Claim(written, "rf", "false", words)
                continue
            verdict = "true" if abs(value - claimed) <= allowed + 1e-9 else "false"
            yield Claim(written, "rf", verdict, words, "given", f"{allowed:.2f}")


def _rest(claim: Claim) -> tuple[str, str, str, str, str]:
    return claim.kind, claim.verdict, claim.found, claim.source, claim.tolerance
