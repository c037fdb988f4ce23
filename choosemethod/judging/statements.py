"""Statements: the sentences of an answer as (subject, relation, object, value), by one grammar for claims and actions.

The words are those of rules/classroom/statements.yaml. Nothing is judged here: see `choosemethod.judging.truth`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from choosemethod.judging.clauses import Names, Token, segments, tokens
from choosemethod.judging.lexicon import Lexicon, Relation

__all__ = ["Statement", "statements"]

_MOST = 60  # statements of one text


class Statement(NamedTuple):
    """What a stretch of an answer states.

    relation: key of the lexicon's relations, or number:<quantity>, compare:<quantity>, gap, percent; subjects: ids;
    group: "" or both, neither, only, other; denied; objects: ids named after it; numbers: (value, unit) as written; more:
    1 more, -1 less, 0 neither (of a comparison or a limit); hint: words of the segment that matter (hot, cold, first);
    text: as written; start: where it begins; acted: something is done to the subject; of: techniques the clause tells of;
    unknown: words in the place of a subject that name nothing known; implied: the subject is not named in the clause.
    """

    relation: str
    subjects: tuple[str, ...]
    group: str = ""
    denied: bool = False
    objects: tuple[str, ...] = ()
    numbers: tuple[tuple[float, str], ...] = ()
    more: int = 0
    hint: tuple[str, ...] = ()
    text: str = ""
    start: int = 0
    acted: bool = False
    of: tuple[str, ...] = ()
    unknown: str = ""
    implied: bool = False


def _hits(run: Sequence[Token], lexicon: Lexicon) -> list[tuple[int, int, Relation]]:
    """(first, last, relation) of every relation said in a clause, the longest wordings first, none inside another."""
    out: list[tuple[int, int, Relation]] = []
    used: set[int] = set()
    for wording, gap, relation in lexicon.wordings:
        for first in range(len(run)):
            if first in used or run[first].kind not in ("word", "name") or run[first].base != wording[0]:
                continue
            if run[first].kind == "name" and len(wording) == 1:
                continue
            last = _match(run, first, wording, gap)
            if last < 0 or last in used:
                continue
            out.append((first, last, relation))
            if not gap:
                used.update(range(first, last + 1))
            else:
                used.update((first, last))
            break
    return sorted(out, key=lambda hit: hit[0])


def _match(run: Sequence[Token], first: int, wording: Sequence[str], gap: int) -> int:
    """Where a wording that begins at `first` ends; -1 if it is not said there. gap: words that may stand between."""
    place = first
    for word in wording[1:]:
        for step in range(1, gap + 2):
            if place + step < len(run) and run[place + step].kind != "mark" and run[place + step].base == word:
                place += step
                break
        else:
            return -1
    return place


class _Clause(NamedTuple):
    """A clause and what is plain in it. hits: relations said; named: (place, id) of each name; denied_at: places of negations;
    words: every word in both forms; group, more, hint, text, start: as of a `Statement`."""

    run: Sequence[Token]
    hits: Sequence[tuple[int, int, Relation]]
    numbers: tuple[tuple[float, str], ...]
    named: Sequence[tuple[int, str]]
    denied_at: Sequence[int]
    words: set[str]
    group: str
    more: int
    hint: tuple[str, ...]
    text: str
    start: int

    @property
    def ids(self) -> tuple[str, ...]:
        return tuple(ident for _, ident in self.named)

    def states(self, relation: str, subjects: tuple[str, ...], **slots: Any) -> Statement:
        """A statement of this clause."""
        said = {"group": self.group, "more": self.more, "hint": self.hint, "text": self.text, "start": self.start}
        return Statement(relation, subjects, **{**said, **slots})

    def strange(self, relation: str, unknown: str) -> Statement:
        """A statement of something that names nothing known."""
        return Statement(relation, (), text=self.text, start=self.start, unknown=unknown)


class _Reader:
    """Reads the statements of one text, clause after clause; remembers what "it" and an ellipsis stand for."""

    def __init__(self, text: str, lexicon: Lexicon, everything: tuple[str, ...], about: tuple[str, ...] = ()) -> None:
        self.text = text
        self.lexicon = lexicon
        self.everything = everything
        self.last: tuple[str, ...] = about  # what "it" stands for
        self.pending: tuple[str, ...] = ()  # names of the clause before, which had no verb ("oil and water do not mix")
        self.before: Statement | None = None

    def clause(self, run: Sequence[Token]) -> Iterator[Statement]:
        """The statements of one clause."""
        if run and run[0].kind == "mark":
            self.pending, run = (), run[1:]
        if run and run[0].base in self.lexicon.breaks and run[0].base not in ("and", "or"):
            self.pending = ()
        said = self._plain(run)
        alone = self._whole(said)
        if alone is not None:
            yield self._keep(alone)
            return
        comparison = self._comparison(run)
        compared = self._compared(said, comparison) if comparison is not None else None
        if compared is not None:
            yield self._keep(compared)
        key = next((key for place in range(len(run)) if (key := self.lexicon.quantity_at(run, place))), "")
        if key and said.numbers and compared is None:
            yield from self._told(said, key)
            self.pending = ()
            return
        made = compared is not None
        for first, last, relation in said.hits:
            if comparison is not None and first - 1 <= comparison[0] <= last + 1:
                continue
            found = self._related(said, first, last, relation)
            if found is not None:
                yield found if found.unknown else self._keep(found)
                made = made or not found.unknown
        if made:
            self.pending = ()
            return
        like_before = self._like_before(said)
        if like_before is not None:
            yield self._keep(like_before)
        else:
            self._remember(said)

    def _plain(self, run: Sequence[Token]) -> _Clause:
        """What is plain in a clause."""
        lexicon = self.lexicon
        hits = _hits(run, lexicon)
        numbers = tuple((t.value, t.unit) for t in run if t.kind == "number")
        denied_at = [
            place
            for place, t in enumerate(run)
            if t.kind == "word" and (t.base in lexicon.no or t.text.lower().endswith("n't"))
        ]
        denied_at += [
            place
            for place, t in enumerate(run)
            if t.text.lower() == "too"
            and any(x.text.lower() == "to" for x in run[place + 1 : place + 4])
            and not any(first <= place <= last for first, last, _ in hits)
        ]  # "too big to go through"
        words = {token.base for token in run} | {token.text.lower() for token in run}
        until = hits[0][0] if hits and not numbers else len(run)
        front = {word for token in run[: until + 1] for word in (token.base, token.text.lower())}
        return _Clause(
            run, hits, numbers, [(place, token.id) for place, token in enumerate(run) if token.kind == "name"], denied_at, words,
            next((group for group, some in lexicon.groups.items() if front & some), ""), self._direction(run),
            tuple(sorted(words & lexicon.hints)), self.text[run[0].start : run[-1].end] if run else "",
            run[0].start if run else 0,
        )  # fmt: skip

    def _whole(self, said: _Clause) -> Statement | None:
        """The one thing a clause states that tells a difference ("40 degrees apart") or a percentage."""
        denied = bool(said.denied_at)
        if said.numbers and said.words & self.lexicon.gap:
            subjects = tuple(dict.fromkeys(said.ids)) or self.everything
            return said.states("gap", subjects, denied=denied, numbers=said.numbers[:1])
        percent = next((number for number in said.numbers if number[1] == "%"), None)
        if percent is not None and said.named:
            return said.states("percent", said.ids, denied=denied, numbers=(percent,))
        return None

    def _compared(self, said: _Clause, comparison: tuple[int, str, int]) -> Statement | None:
        """What a comparison states: "oil is less dense than water", "both boil at the same temperature"."""
        place, key, way = comparison
        subjects, objects = self._around(said, place)
        if not way:
            subjects, objects = (subjects or self.everything), ()
        if not subjects:
            return None
        denied = any(at < place + 1 for at in said.denied_at)
        return said.states(f"compare:{key}", subjects, denied=denied, objects=objects, more=way)

    def _related(self, said: _Clause, first: int, last: int, relation: Relation) -> Statement | None:
        """What a relation said from `first` to `last` states; None if it is nothing by itself."""
        run, hits = said.run, said.hits
        if relation.says == "part" and any(other.says in ("order", "layer") for _, _, other in hits):
            return None  # "comes over first" is about the order, "stays on top" about the layer
        if "what" in {token.base for token in run[:first]}:
            return None  # "what is left"
        done = run[first].text.lower().endswith("ed") and not said.words & self.lexicon.auxiliaries
        if relation.acts_on and not said.named and done:
            return None  # "and evaporated": what somebody did, to nothing that is named
        begin = first
        if relation.says in ("layer", "order") and not any(hits[0][0] < at < first for at, _ in said.named):
            begin = hits[0][0]  # "goes to the bottom": the subject is before the first of these words
        subjects, objects = self._around(said, begin, last, relation.acts_on)
        acted = False
        if relation.acts_on:
            direct = self._direct(run, first, last)
            if direct:
                objects = tuple(i for i in (*subjects, *objects) if i not in direct)
                subjects, acted = direct, True
            elif last - first > 1 and (between := self._unknown(run[first + 1 : last])):
                return said.strange(relation.key, between)  # "lets the drink through"
        if not subjects:
            unknown = self._unknown(run[:first])
            told = relation.acts_on or relation.says in ("part", "order", "phase")
            return said.strange(relation.key, unknown) if unknown and not told else None
        of = () if relation.of or relation.says in ("layer", "order") else tuple(s for *_, o in hits for s in o.of)
        denied = relation.denied != any(at <= last + 1 for at in said.denied_at)
        implied = not acted and not any(ident in subjects for ident in said.ids)
        return said.states(
            relation.key, subjects, denied=denied, objects=objects, numbers=said.numbers, acted=acted, of=of, implied=implied
        )

    def _like_before(self, said: _Clause) -> Statement | None:
        """What a clause without a verb states of other things: "acetone boils at 56 and water at 100", "oil does, water not"."""
        before = self.before
        if not said.named or before is None:
            return None
        if said.numbers and before.relation.startswith("number:"):
            number = (said.numbers[0][0], said.numbers[0][1] or before.numbers[0][1])
            return before._replace(subjects=said.ids[:1], numbers=(number,), text=said.text, start=said.start, group="")
        if said.denied_at:
            return before._replace(
                subjects=said.ids, denied=not before.denied, text=said.text, start=said.start, group=""
            )
        return None

    def _remember(self, said: _Clause) -> None:
        """Keep what a clause that states nothing leaves for the next one: names without a verb, and what "it" is."""
        lexicon = self.lexicon
        if said.words & lexicon.than:
            return
        plain = all(
            t.kind == "name" or t.text.lower() in lexicon.small or t.base in lexicon.articles for t in said.run
        )
        self.pending = (*self.pending, *said.ids) if plain else ()
        self.last = self._doers(said.run)[-1:] or said.ids[-1:] or self.last

    def _doers(self, run: Sequence[Token]) -> tuple[str, ...]:
        """Ids of the names in a clause that no preposition leads in ("the gangue is wetted by the oil": the gangue)."""
        out: list[str] = []
        led = False
        for token in run:
            if token.kind == "name" and not led:
                out.append(token.id)
            if token.kind == "name" or token.base not in self.lexicon.articles:
                led = token.kind == "word" and token.base in self.lexicon.prepositions
        return tuple(out)

    def _unknown(self, run: Sequence[Token]) -> str:
        """Words that stand where a name would, and are none."""
        known = self.lexicon.small | self.lexicon.words | self.lexicon.links
        return " ".join(t.text for t in run if t.kind == "word" and t.text.lower() not in known and t.base not in known)

    def _keep(self, statement: Statement) -> Statement:
        self.before = statement
        if statement.subjects:
            self.last = statement.subjects
        return statement

    def _direct(self, run: Sequence[Token], first: int, last: int) -> tuple[str, ...]:
        """Ids of what directly follows a verb, or stands between its two parts ("blow the husk away")."""
        out: list[str] = []
        if any(token.base in self.lexicon.prepositions and token.base != "to" for token in run[first + 1 : last]):
            run = run[: last + 1]  # "left on the filter paper"
        for place, token in enumerate(run[first + 1 :], first + 1):
            if place == last and out:
                break  # "extract the acid with alkali"
            if place == last:
                continue
            if token.kind == "name":
                out.append(token.id)
            elif place > last and (token.base not in self.lexicon.articles or token.base in self.lexicon.prepositions):
                break
        return tuple(out)

    def _around(
        self, said: _Clause, place: int, last: int | None = None, order: bool = False
    ) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Ids of the subject and of what follows. order: a bare verb may be an order, which has no subject."""
        lexicon, run, group = self.lexicon, said.run, said.group
        before = tuple(i for at, i in said.named if at < place)
        after = tuple(i for at, i in said.named if at > place)
        if before:
            joined = (*self.pending, *before) if run[0].base in ("and",) or self.pending else before
            return tuple(dict.fromkeys(joined)), after
        words = [token.text.lower() for token in run[:place]]
        if group in ("both", "neither"):
            return self.everything, after
        if group == "other":
            return tuple(i for i in self.everything if i not in self.last), after
        if set(words) & lexicon.it:
            return self.last[:1], after
        if set(words) & lexicon.their:
            return self.everything, after
        following = [t for t in run[(last if last is not None else place) + 1 :] if t.base not in lexicon.tails]
        links = (
            ("is", "be", "are", "will", "was", "=", ":") if last is not None else ("is", "be", "are", "of", "=", ":")
        )
        if after and following and following[0].text.lower() in links:
            return after, ()  # "the top layer is oil", "the boiling point of acetone"
        if not all(word in lexicon.breaks or word in lexicon.links for word in words):
            return (), after
        if order and run[place].text.lower() == run[place].base:
            return (), after
        if self.pending:
            return self.pending, after
        return self.last if run[0].base in ("and", "but", "so", "then") or not after else (), after

    def _direction(self, run: Sequence[Token]) -> int:
        for token in run:
            word = token.text.lower()
            if word in self.lexicon.more:
                return 1
            if word in self.lexicon.less or word == "within":
                return -1
        return 0

    def _comparison(self, run: Sequence[Token]) -> tuple[int, str, int] | None:
        """(place, quantity, 1 more or -1 less) of a comparison; None if there is none."""
        lexicon = self.lexicon
        if any(token.base in lexicon.same for token in run):
            alike = next(((at, key) for at in range(len(run)) if (key := lexicon.quantity_at(run, at))), None)
            return None if alike is None else (alike[0], alike[1], 0)
        for place, token in enumerate(run):
            word = token.text.lower()
            for key, quantity in lexicon.quantities.items():
                for adjectives, sign in ((quantity.more, 1), (quantity.less, -1)):
                    if token.base not in adjectives or token.kind != "word":
                        continue
                    front = run[place - 1].text.lower() if place else ""
                    if front in lexicon.more:
                        return place, key, sign
                    if front in lexicon.less:
                        return place, key, -sign
                    if word != token.base and word.endswith("er"):
                        return place, key, sign
            if word in lexicon.more or word in lexicon.less:
                sign = 1 if word in lexicon.more else -1
                for other in range(place + 1, min(place + 4, len(run))):
                    key = lexicon.quantity_at(run, other)
                    if key and not any(t.kind == "number" for t in run[place:other]):
                        return place, key, sign
                if place and place + 1 < len(run) and run[place + 1].base == "temperature":
                    return place, "boiling_point", sign
        return None

    def _told(self, said: _Clause, key: str) -> Iterator[Statement]:
        """Numbers told of a quantity: one, one of each name, or of all that is there."""
        ids = list(dict.fromkeys(said.ids))
        suited = [number for number in said.numbers if self.lexicon.fits(key, number[1])]
        if not suited:
            return
        unknown = self._unknown(said.run) if not ids else ""
        if unknown:
            yield said.strange(f"number:{key}", unknown)
            return
        if not ids:
            words = {token.text.lower() for token in said.run}
            ids = list(
                self.everything
                if words & (self.lexicon.their | self.lexicon.groups["both"])
                else self.last or self.pending
            )
            if len(suited) > 1 and not words & self.lexicon.their:
                ids = list(self.everything)
        if len(ids) == len(suited) > 1 and said.named:
            for ident, number in zip(ids, suited, strict=True):
                yield self._keep(said.states(f"number:{key}", (ident,), numbers=(number,), group=""))
        else:
            yield self._keep(said.states(f"number:{key}", tuple(ids), numbers=tuple(suited)))


_ABBREVIATED = ((re.compile(r"\bb\.\s?p\b\.?", re.I), "bp"), (re.compile(r"\bm\.\s?p\b\.?", re.I), "mp"))


def statements(
    text: str, lexicon: Lexicon, names: Names, everything: tuple[str, ...], about: tuple[str, ...] = ()
) -> tuple[Statement, ...]:
    """Every statement of a text.

    names: id of what a stretch of words names, "" if nothing; everything: ids of the parts of the mixture, for "both";
    about: ids of what "it" means at the beginning (the thing a question asks of).
    """
    for pattern, plain in _ABBREVIATED:
        text = pattern.sub(plain, text)
    reader = _Reader(text, lexicon, everything, about)
    out: list[Statement] = []
    for run in segments(tokens(text, lexicon, names), lexicon):
        out += reader.clause(run)
        if len(out) >= _MOST:
            break
    return tuple(dict.fromkeys(out))
