"""Ask: from the words of a question to its answer, with the table and the rulebook opened on the way."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from choosemethod.advice.answer import Advice
from choosemethod.advice.compose import Composer
from choosemethod.advice.doubt import doubted
from choosemethod.advice.method import answered_as_told, answered_by_method
from choosemethod.advice.practice import by_practice
from choosemethod.advice.readings import with_other_readings
from choosemethod.errors import UsageError
from choosemethod.interpretation.described import asks_whether, says
from choosemethod.mixture import HIGHEST_PRESSURE, LEVELS, LOWEST_PRESSURE, Question
from choosemethod.places import user_files
from choosemethod.quantity import QuantityError, parse_number
from choosemethod.reading import given_substances, read_words
from choosemethod.rulebook import Rulebook, open_rulebook
from choosemethod.rulebook.practice import practised
from choosemethod.table.names import spaced
from choosemethod.table.table import Table, open_table

__all__ = ["answer", "ask", "opened"]

_CHOICE = 2  # answers offered, from which on one is to be chosen
_YAML = re.compile(r"^[ ]*(?:components|mixture)[ ]*:", re.M)  # what a mixture file on standard input begins with


def opened(extra: tuple[Path, ...] = ()) -> tuple[Table, Rulebook]:
    """The table (with the user's own and further files) and the rulebook, opened once a process for the same files."""
    return _opened(extra, user_files())


@lru_cache(maxsize=4)
def _opened(extra: tuple[Path, ...], _own: tuple[Path, ...]) -> tuple[Table, Rulebook]:
    table = open_table(extra)
    return table, open_rulebook(table)


def _number(given: str | float | None, dimension: str, what: str) -> float | None:
    if given is None or isinstance(given, (int, float)):
        return None if given is None else float(given)
    try:
        return parse_number(given, dimension)
    except QuantityError as error:
        raise UsageError(f"{what}: {error}") from None


def _many(given: str | Sequence[str]) -> tuple[str, ...]:
    return (given,) if isinstance(given, str) else tuple(given)


def answer(table: Table, book: Rulebook, question: Question, why_not: Sequence[str] = ()) -> Advice:
    """The answer to a question as understood."""
    given = given_substances(question)
    view = table.with_given(given) if given else table
    if asks_whether(question.asked):  # "can it be done by ...?" is answered for that technique too
        why_not = tuple(dict.fromkeys((*why_not, *question.techniques.asked_about, *question.techniques.required)))
    facts = practised(book.practice, spaced(question.stem))
    done = {slug for fact in facts for slug in fact.by}
    if len(question.techniques.offered) < _CHOICE:
        composer = Composer(view, book, question)
        found = composer.answer(why_not)
        sure = doubted(answered_by_method(found, question, view, book), question, found, done)
        sure = answered_as_told(by_practice(sure, facts, question, composer.planner, view, book), question, book)
        if says("truth", spaced(question.asked)):
            from choosemethod.judging.choice import stated

            sure = stated(sure, question, view, book)
        return with_other_readings(composer.with_cautions(sure), question, found, view, book)
    from choosemethod.judging.choice import chosen  # loaded only for a multiple choice

    stem = replace(question, techniques=question.techniques._replace(offered=()))
    composer = Composer(view, book, stem)
    found = composer.answer(why_not)._replace(asked_techniques=question.techniques)
    choice = composer.with_cautions(chosen(found, question, view, book))
    return choice if choice.option else doubted(choice, question, found, done)


def slug_of(book: Rulebook, words: str) -> str:
    """The slug of a technique named by slug or name; UsageError if there is none."""
    wanted = words.strip().lower().replace(" ", "-")
    if wanted in book.techniques:
        return wanted
    for technique in book.techniques.values():
        if technique.name.lower().replace(" ", "-") == wanted:
            return technique.id
    from difflib import get_close_matches

    near = get_close_matches(wanted, list(book.techniques), 3, 0.5)
    hint = f"; did you mean {' or '.join(near)}?" if near else ""
    raise UsageError(f"{words!r} is no technique of the catalogue{hint}")


def ask(
    question: str | Path,
    want: str | Sequence[str] = (),
    without: str | Sequence[str] = (),
    pressure: str | float | None = None,
    altitude: str | float | None = None,
    level: str = "",
    why_not: str | Sequence[str] = (),
    front: str | float | None = None,
    spots: str | Sequence[str | float] = (),
    extra: Sequence[Path] = (),
) -> Advice:
    """See `choosemethod.advise`."""
    table, book = opened(tuple(Path(path) for path in extra))
    local = _number(pressure, "pressure", "pressure")
    if altitude is not None:
        from choosemethod.chemistry.atmosphere import pressure_at_altitude

        height = _number(altitude, "length", "altitude")
        try:
            local = pressure_at_altitude(height or 0.0)
        except ValueError as error:
            raise UsageError(f"altitude: {error}") from None
    if local is not None and not LOWEST_PRESSURE <= local <= HIGHEST_PRESSURE:
        raise UsageError("the pressure must lie between 0.1 kPa and 10 MPa, for example 84 kPa")
    wanted, lacking = _many(want), _many(without)
    if level and level not in LEVELS:
        raise UsageError(f"{level!r} is no level; the levels are {', '.join(LEVELS)}")
    if isinstance(question, Path) or _YAML.search(question):
        from choosemethod.reading.file import read_file

        asked = read_file(question, table, want=wanted, without=lacking, pressure=local, level=level)
    else:
        asked = read_words(question, table, want=wanted, without=lacking, pressure=local, level=level)
    distance = _number(front, "length", "front")
    listed = spots.split(",") if isinstance(spots, str) else list(spots)
    places = tuple(found for spot in listed if spot != "" and (found := _number(spot, "length", "spot")) is not None)
    if distance is not None or places:
        if distance is None or distance <= 0 or not places:
            raise UsageError(
                "an Rf needs the distance of the solvent front and of at least one spot: --front '150 mm' --spots '90 mm'"
            )
        if any(not 0 <= place <= distance for place in places):
            raise UsageError("a spot cannot be farther from the start than the solvent front")
        asked = replace(asked, front=distance, spots=places)
    return answer(table, book, asked, [slug_of(book, words) for words in _many(why_not)])
