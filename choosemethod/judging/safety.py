"""Safety: acts of an answer that must not be done, whatever the technique, told by rules/classroom/unsafe.yaml."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from choosemethod.facts import Fact, SlotValue
from choosemethod.judging.clauses import Token, tokens
from choosemethod.judging.lexicon import Lexicon, UnsafeAct

__all__ = ["Unsafe", "unsafe_acts"]

Pure = Mapping[str, SlotValue]


class Unsafe(NamedTuple):
    """An unsafe act that was found: its key in the rules, the words quoted, and why it must not be done."""

    key: str
    text: str
    because: str
    verdict: str = "unsafe"


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


def _place(run: Sequence[Token], words: frozenset[str], sort: str, lexicon: Lexicon) -> int:
    """Where one of these words stands, as a verb, noun or state where that is asked for; -1 if nowhere."""
    for at, token in enumerate(run):
        if token.base not in words:
            continue
        before = run[at - 1] if at else None
        if (
            sort == "verb"
            and before is not None
            and before.kind == "word"
            and before.text.lower() not in lexicon.before_verbs
        ):
            continue
        if sort == "state" and (before is None or before.kind == "mark" or before.base in ("and", "then")):
            continue  # an order: "dry the residue"
        if sort == "noun" and (before is None or before.text.lower() not in lexicon.before_nouns):
            continue
        return at
    return -1


def _said(run: Sequence[Token], act: UnsafeAct, lexicon: Lexicon) -> bool:
    """Whether an act stands in a sentence and is not taken back there."""
    places = [_place(run, words, act.sort if not number else "", lexicon) for number, words in enumerate(act.words)]
    if min(places) < 0 or any(token.base in act.unless for token in run):
        return False
    first = places[0]
    begin = max((at + 1 for at, token in enumerate(run[:first]) if token.base in ("then", "but", ",", ":")), default=0)
    denied = any(token.base in lexicon.denial or token.text.lower().endswith("n't") for token in run[begin:first])
    after = [token.base for token in run[first + 1 :]]
    for words in lexicon.after_denial:
        denied = denied or any(tuple(after[at : at + len(words)]) == words for at in range(len(after)))
    return denied == act.denied


def unsafe_acts(
    text: str, lexicon: Lexicon, facts: Sequence[Fact], pure: Sequence[tuple[str, Pure]],
    dangers: Sequence[str], heats: bool, boils: bool,
) -> tuple[Unsafe, ...]:  # fmt: skip
    """The unsafe acts of an answer.

    facts: component facts of the mixture; pure: (name, slots) of what the answer names besides; dangers: severities of
    the mixture's known dangers; heats, boils: whether a step the answer takes heats or distils.
    """
    out: list[Unsafe] = []
    found = tokens(text, lexicon, lambda words: "")
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
                fit = [
                    n
                    for n, slots in (*there, *pure)
                    if any(slots.get(slot) in words for slot, words in act.any.items())
                ]
                if not fit:
                    continue
                name = fit[0]
            if _said(run, act, lexicon):
                because = act.because.replace(
                    "{name}", name[:1].upper() + name[1:] if act.because.startswith("{name}") else name
                )
                out.append(Unsafe(act.key, text[run[0].start : run[-1].end], because, act.verdict))
    return tuple(dict.fromkeys(out))
