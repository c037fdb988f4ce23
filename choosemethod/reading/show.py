"""The reading of a question, printed: every mention, its role and what decided it."""

from __future__ import annotations

from choosemethod.interpretation import interpret
from choosemethod.reading import amounts, limits, properties
from choosemethod.reading.lexicon import lexicon
from choosemethod.reading.question import prepared, read_words, utterance_of
from choosemethod.table import Table

__all__ = ["reading_text"]


def reading_text(text: str, table: Table) -> str:
    """Mentions with role and reason, a line each; then limits, what is told, what was understood and what played no part."""
    words = lexicon()
    mended, pieces, _ = prepared(text, table, words)
    said = interpret(utterance_of(mended, pieces, table, words), table)
    question = read_words(text, table)
    lines = [
        f"{mention.role:12} {mention.text!r}{' = ' + mention.meanings[0] if mention.meanings else ''}  ({mention.because})"
        for mention in question.mentions
    ]
    told = (limits.shown(said.limits), amounts.shown(said.whole), properties.shown(said.told))
    lines += [line for block in told for line in block.splitlines()]
    lines += [f"inferred     {sentence} ({rule})" for rule, sentence in question.inferred]
    lines += [f"understood   {sentence}" for sentence in question.understood]
    lines += [f"unknown      {word}" for word, _ in question.unknown]
    lines += [f"not used     {unused.text}: {unused.because}" for unused in question.not_used]
    left = question.left._asdict()
    lines += [f"left over    {kind}: {', '.join(found)}" for kind, found in left.items() if kind != "length" and found]
    return "\n".join(lines) + "\n"
