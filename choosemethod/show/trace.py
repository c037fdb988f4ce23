"""The trace on the page: which rules fired on which facts, down to the sourced values."""

from __future__ import annotations

from collections.abc import Iterator

from choosemethod.advice.answer import Advice, TraceEntry, TraceFact
from choosemethod.show.blocks import Block, Heading, Para, Points, sentence

__all__ = ["trace_blocks"]


def trace_blocks(advice: Advice) -> list[Block]:
    """The rules that fired, those of the whole mixture first and then step by step."""
    blocks: list[Block] = [Heading("Trace: the rules that fired, and on what")]
    if not advice.trace:
        blocks.append(Para("No rule fired."))
        return blocks
    names = {step.number: step.name for step in advice.plan}
    for number in sorted({entry.step for entry in advice.trace}):
        if number:
            blocks.append(
                Heading(f"Step {number}: {names[number]}" if number in names else f"Step {number}", minor=True)
            )
        else:
            blocks.append(Heading("The whole mixture", minor=True))
        for entry in advice.trace:
            if entry.step == number:
                blocks += _entry(entry)
    return blocks


def _entry(entry: TraceEntry) -> Iterator[Block]:
    yield Para(f"{entry.rule} ({entry.stage}) says: {entry.says}", "Rule")
    if entry.because:
        yield Para(sentence(entry.because), "Because")
    if entry.principle:
        yield Para(sentence(entry.principle), "Principle")
    facts = [_fact(fact) for fact in entry.facts]
    if facts:
        yield Points(tuple(facts))
    where = [entry.source, entry.file]
    yield Para("; ".join(word for word in where if word), "Source of the rule", "faint")


def _fact(fact: TraceFact) -> str:
    said = []
    for slot, value, how, source in fact.slots:
        about = ", ".join(word for word in (how, source) if word)
        said.append(f"{slot.replace('_', ' ')} = {value}" + (f" ({about})" if about else ""))
    head = f"{fact.role}: {fact.fact}" if fact.role and fact.role != fact.fact else fact.fact
    return f"{head}; {'; '.join(said)}" if said else head
