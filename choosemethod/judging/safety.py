"""Safety: acts of an answer that must not be done, whatever the technique, told by rules/classroom/unsafe.yaml."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from choosemethod.facts import Fact, SlotValue
from choosemethod.judging.lexicon import Lexicon, UnsafeAct
from choosemethod.judging.statements import Names, Token, tokens

__all__ = ["Unsafe", "unsafe_acts"]

Pure = Mapping[str, SlotValue]


class Unsafe(NamedTuple):
    """An unsafe act that was found: its key in the rules, the words quoted, and why it must not be done."""

    key: str
    text: str
    because: str


def _sentences(found: Sequence[Token]) -> Iterator[list[Token]]:
    current: list[Token] = []
    for token in found:
        if token.kind == "mark" and token.text in ".;!?\n":
            if current:
                yield current
            current = []
        else:
            current.append(token)
    if current:
        yield current


def _said(run: Sequence[Token], act: UnsafeAct, lexicon: Lexicon) -> bool:
    """Whether an act stands in a sentence and is not taken back there."""
    bases = [token.base for token in run]
    first = -1
    for words in act.words:
        place = next((at for at, base in enumerate(bases) if base in words), -1)
        if place < 0:
            return False
        first = place if first < 0 else first
    if any(base in act.unless for base in bases):
        return False
    begin = max((at + 1 for at, token in enumerate(run[:first]) if token.base in ("then", ",", "but") and at < first), default=0)
    end = next((at for at in range(first, len(run)) if run[at].base in ("then", "because", "but")), len(run))
    return not any(token.base in lexicon.denial or token.text.lower().endswith("n't") for token in run[begin:end])


def unsafe_acts(
    text: str, lexicon: Lexicon, names: Names, facts: Sequence[Fact], pure: Sequence[tuple[str, Pure]],
    dangers: Sequence[str], heats: bool, boils: bool,
) -> tuple[Unsafe, ...]:  # fmt: skip
    """The unsafe acts of an answer.

    facts: component facts of the mixture; pure: (name, slots) of what the answer names besides; dangers: severities of
    the mixture's known dangers; heats, boils: whether a step the answer takes heats or distils.
    """
    out: list[Unsafe] = []
    found = tokens(text, lexicon, names)
    heated = heats or any(token.base in lexicon.heat for token in found)
    there = [(str(f.slots.get("name", "")), f.slots) for f in facts if f.slots.get("trace") != "yes"]
    for run in _sentences(found):
        for act in lexicon.acts:
            if act.heats and not heated and not (act.heats == "acid" and pure):
                continue
            if act.boils and not boils:
                continue
            if act.danger and not set(act.danger) & set(dangers):
                continue
            name = ""
            if act.any:
                fit = [n for n, slots in (*there, *pure) if any(slots.get(slot) in words for slot, words in act.any.items())]
                if not fit:
                    continue
                name = fit[0]
            if _said(run, act, lexicon):
                because = act.because.replace("{name}", name[:1].upper() + name[1:] if act.because.startswith("{name}") else name)
                out.append(Unsafe(act.key, text[run[0].start : run[-1].end], because))
    return tuple(dict.fromkeys(out))
