"""Reads a question in plain words; misspelt words are mended where only one reading is near."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from choosemethod.errors import UsageError
from choosemethod.mixture import Question
from choosemethod.quantity import Quantity
from choosemethod.reading.answer import Answer
from choosemethod.reading.describing import substances_of
from choosemethod.reading.forms import Entry
from choosemethod.reading.ions import ions_in_words
from choosemethod.reading.items import Item
from choosemethod.reading.sentence import Sentence
from choosemethod.reading.spelling import mended_name, mended_word, recased, unknown_runs
from choosemethod.table import Table, normalise

__all__ = ["MOST_WORDS", "question_of", "read_words"]

MOST_WORDS = 2000  # of a question; more is no question about a mixture, and would take long to read
MOST_LETTERS = 20_000
_ROUNDS = 6  # readings of one question, each with one more spelling mended
_TRIES = 8  # stretches of words looked up for a misspelling in one reading
_SPACED_NUMERAL = re.compile(r"(?<=[a-z]) +\((?=[IV]{1,3}\))")  # "lead (II) nitrate" is written lead(II) nitrate


def _read_once(text: str, table: Table) -> Sentence:
    """The reading of a text; names that hold words of the grammar count where the parts alone are not understood."""
    reader = Sentence(text, table, whole_names=False)
    reader.read()
    ids = {entry.id for entry in reader.draft.entries}
    whole = _one_name(text, table)
    if whole is not None and len(reader.draft.entries) > 1 and " from " not in whole.draft.entries[0].words:
        named = [entry.id for entry in reader.draft.entries if entry.kind == "substance"]
        liquids = [id for id in named if table.has(id) and table.substance(id).phase == "liquid"]
        mixture = table.mixture(whole.draft.entries[0].id)
        held = {part.substance for part in mixture.components}
        several = sum(entry.kind == "mixture" for entry in reader.draft.entries) > 1
        if (len(liquids) < 2 and held.issuperset(named) and not several) or mixture.really:
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
    tried = runs[:_TRIES]
    if not unknown:  # chatter is tried less, but not words that may belong to the name beside them ("sodium cloride")
        beside = [run for run in tried if len(run) == 2 and any(item.kind == "name" for item in run)]
        tried = list({id(run): run for run in (*tried[: _TRIES // 4], *beside)}.values())
    for run in tried:
        first, last = run[0], run[-1]
        written = text[first.start : last.end]
        if written in seen:
            continue
        seen.add(written)
        formula = recased(written, reader.base)
        if formula:
            return text[: first.start] + formula + text[last.end :], (written, formula)
        name = mended_name(written, reader.base)
        if name and normalise(name) != normalise(written) and _keeps(run, name):
            return text[: first.start] + name + text[last.end :], (written, name)
    for item in context:
        if item.kind == "unknown":
            word = mended_word(item, reader.language)
            if word and word != item.norm:
                return text[: item.start] + word + text[item.end :], (item.text, word)
    return None


def _keeps(run: Sequence[Item], name: str) -> bool:
    """Whether a mended name keeps the compound words, which are right as they are: no "nitrate" turns into "citrate"."""
    kept = normalise(name).split()
    return all(item.norm in kept for item in run if item.has("compound"))


def _miswritten(items: Sequence[Item]) -> list[tuple[Item, str]]:
    """Words that the language lists as misspelt, and "an" for "and" ("kerosene an water"), with the right ones."""
    found: list[tuple[Item, str]] = []
    for place, item in enumerate(items):
        if item.kind != "phrase":
            continue
        if item.has("misspelt"):
            found.append((item, item.roles["misspelt"]))
        elif item.norm == "an" and 0 < place < len(items) - 1:
            before, after = items[place - 1], items[place + 1]
            things = all(other.kind in ("name", "unknown") for other in (before, after))
            if things and after.text[:1].lower() not in "aeiouh":
                found.append((item, "and"))
    return found


def _together(listed: Sequence[tuple[Item, str]]) -> list[tuple[str, str]]:
    """(written, read as) of misspelt words, those side by side as one."""
    found: list[tuple[str, str]] = []
    end = -1
    for item, right in listed:
        if found and item.start == end + 1:
            found[-1] = f"{found[-1][0]} {item.text}", f"{found[-1][1]} {right}"
        else:
            found.append((item.text, right))
        end = item.end
    return found


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
    current = _SPACED_NUMERAL.sub("(", ions_in_words(text, table))
    reader = _read_once(current, table)
    for _ in range(_ROUNDS):
        for _ in range(2):  # "irn fillings": mended words may be a misspelling of two words
            listed = _miswritten(reader.items)
            if not listed:
                break
            for item, right in reversed(listed):
                current = current[: item.start] + right + current[item.end :]
            corrections += _together(listed)
            reader = _read_once(current, table)
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
    corrections.sort(key=lambda mended: text.find(mended[0]) % (len(text) + 1))  # as in the text
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
