"""Reads a question in plain words; misspelt words are mended where only one reading is near."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from choosemethod.errors import UsageError
from choosemethod.mixture import Question
from choosemethod.quantity import Quantity
from choosemethod.reading.answer import Answer
from choosemethod.reading.describing import substances_of
from choosemethod.reading.forms import Entry
from choosemethod.reading.items import Item
from choosemethod.reading.sentence import Sentence
from choosemethod.reading.spelling import mended_name, mended_word, recased, unknown_runs
from choosemethod.table import Table, normalise

__all__ = ["MOST_WORDS", "question_of", "read_words"]

MOST_WORDS = 2000  # of a question; more is no question about a mixture, and would take long to read
MOST_LETTERS = 20_000
_ROUNDS = 6  # readings of one question, each with one more spelling mended
_TRIES = 8  # stretches of words looked up for a misspelling in one reading


def _read_once(text: str, table: Table) -> Sentence:
    """The reading of a text; names that hold words of the grammar count where the parts alone are not understood."""
    reader = Sentence(text, table, whole_names=False)
    reader.read()
    ids = {entry.id for entry in reader.draft.entries}
    whole = _one_name(text, table)
    if whole is not None and len(reader.draft.entries) > 1 and " from " not in whole.draft.entries[0].words:
        named = [entry.id for entry in reader.draft.entries if entry.kind == "substance"]
        liquids = [id for id in named if table.has(id) and table.substance(id).phase == "liquid"]
        if len(liquids) < 2 or table.mixture(whole.draft.entries[0].id).really:
            whole = None  # understood as well from its parts
    if whole is not None and whole.draft.entries[0].id not in ids:
        usual = table.mixture(whole.draft.entries[0].id).usual_aim
        if usual or not (reader.draft.want or reader.draft.remove):
            return whole
    if reader.draft.unknown or not reader.draft.entries:
        other = Sentence(text, table, whole_names=True)
        other.read()
        if other.draft.entries and len(other.draft.unknown) < max(len(reader.draft.unknown), 1) + (
            not reader.draft.entries
        ):
            return other
    return reader


def _one_name(text: str, table: Table) -> Sentence | None:
    """The reading of a text that is one named mixture whose name holds words of the grammar ("red and blue ink")."""
    whole = Sentence(text, table, whole_names=True)
    told = [item for item in whole.items if item.kind != "mark"]
    names = [item for item in told if item.kind == "name"]
    if len(names) != 1 or names[0].name is None or names[0].name.kind != "mixture" or " " not in names[0].norm:
        return None
    others = [item for item in told if item is not names[0]]
    if any(item.kind != "phrase" or not item.has("filler", "separate", "soft", "tail") for item in others):
        return None
    grammar = ("want", "remove", "join", "from", "in", "with", "into", "to", "condition", "state")
    if any(item.has(*grammar) for item in others):
        return None
    whole.read()
    return whole if len(whole.draft.entries) == 1 and whole.draft.entries[0].kind == "mixture" else None


def _mended(reader: Sentence, text: str) -> tuple[str, tuple[str, str]] | None:
    """The text with one misspelling mended, and (written, read as); None if nothing can be mended for sure."""
    unknown = reader.draft.unknown or ([] if reader.draft.entries else reader.draft.loose)
    slots = [list(run) for run in unknown]
    context = [item for item in reader.items if item.kind in ("unknown", "name", "phrase")]
    runs: list[list[Item]] = []
    for run in slots:
        neighbours = _around(reader.items, run)
        runs += unknown_runs(neighbours)
        if len(runs) >= _TRIES:
            break
    for item in context:
        if len(runs) >= _TRIES:
            break
        if item.kind == "unknown":
            neighbours = _around(reader.items, [item])
            runs += [found for found in unknown_runs(neighbours) if len(found) > 1 and item in found]
    seen: set[str] = set()
    for run in runs[: _TRIES if unknown else _TRIES // 4]:
        first, last = run[0], run[-1]
        written = text[first.start : last.end]
        if written in seen:
            continue
        seen.add(written)
        formula = recased(written, reader.base)
        if formula:
            return text[: first.start] + formula + text[last.end :], (written, formula)
        name = mended_name(written, reader.base)
        if name and normalise(name) != normalise(written):
            return text[: first.start] + name + text[last.end :], (written, name)
    for item in context:
        if item.kind == "unknown":
            word = mended_word(item, reader.language)
            if word and word != item.norm:
                return text[: item.start] + word + text[item.end :], (item.text, word)
    return None


def _around(items: Sequence[Item], run: Sequence[Item]) -> list[Item]:
    """A run with the names and plain words directly beside it."""
    start = items.index(run[0]) if run[0] in items else -1
    if start < 0:
        return list(run)
    end = start
    while start > 0 and _plain(items[start - 1]):
        start -= 1
    while end + 1 < len(items) and _plain(items[end + 1]):
        end += 1
    return list(items[start : end + 1])


def _plain(item: Item) -> bool:
    grammar = ("join", "from", "in", "with", "of", "want", "remove", "separate", "tail", "soft", "filler", "to", "into")
    return item.kind in ("unknown", "name") or (item.kind == "phrase" and not item.has(*grammar))


def read_words(
    text: str,
    table: Table,
    want: Sequence[str] = (),
    without: Sequence[str] = (),
    pressure: float | None = None,
    level: str = "",
) -> Question:
    """Understand a question in plain words.

    want: names or words of what is wanted, which go before a wish in the text; without: words for what is
    missing on the bench ("no fume cupboard"), added to those in the text; pressure: local pressure in Pa; level:
    primary, lower-secondary, upper-secondary or undergraduate. What is not understood is in the question's `unknown`
    and `missing`; a question without components was not understood at all. Raises
    UsageError for a text of more than MOST_WORDS words or MOST_LETTERS letters, and for amounts, pressures and altitudes
    that cannot be.
    """
    if len(text) > MOST_LETTERS or len(text.split()) > MOST_WORDS:
        raise UsageError(
            f"the question has more than {MOST_WORDS} words or {MOST_LETTERS} letters; name the mixture in a sentence or two"
        )
    corrections: list[tuple[str, str]] = []
    current = text
    reader = _read_once(current, table)
    for _ in range(_ROUNDS):
        if not any(item.kind == "unknown" for item in _all(reader.items)):
            break
        mended = _mended(reader, current)
        if mended is None:
            break
        other = _read_once(mended[0], table)
        if len(other.draft.unknown) > len(reader.draft.unknown):
            break
        current, reader = mended[0], other
        corrections.append(mended[1])
    question = Answer(reader, want, text).question(without, pressure, level)
    understood = tuple(f"{written!r} read as {read!r}" for written, read in corrections) + question.understood
    return replace(question, corrections=tuple(corrections), understood=understood)


def question_of(
    entries: list[Entry],
    given: dict[str, dict[str, str]],
    amounts: dict[str, Quantity],
    table: Table,
    want: Sequence[str] = (),
    without: Sequence[str] = (),
    pressure: float | None = None,
    level: str = "",
) -> Question:
    """A question from components that are already told apart, with the descriptions of those without a name.

    Other arguments as in `read_words`.
    """
    reader = Sentence("", table, whole_names=False)
    reader.described.given.update(given)
    reader.table = table.with_given(substances_of(given)) if given else table
    reader.draft.entries = entries
    reader.draft.amounts = amounts
    return Answer(reader, want, "").question(without, pressure, level)


def _all(items: Sequence[Item]) -> list[Item]:
    return [inner for item in items for inner in (item, *item.items)]
