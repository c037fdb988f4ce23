"""Statements: the sentences of an answer as (subject, relation, object, value), by one grammar for claims and actions.

The words are those of rules/classroom/statements.yaml. Nothing is judged here: see `choosemethod.judging.truth`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from choosemethod.judging.lexicon import Lexicon, Relation
from choosemethod.quantity import UNITS

__all__ = ["Statement", "Token", "segments", "statements"]

Names = Callable[[str], str]  # id of what is called so, "" if nothing is

_LONGEST_NAME = 5
_POINTS = ("it", "they", "the", "this", "these", "both")  # after "as": a reason follows
_MOST = 60  # statements of one text
_UNIT_WORDS = {
    "°c": "°C", "ºc": "°C", "℃": "°C", "c": "°C", "degrees": "°C", "degree": "°C", "deg": "°C", "celsius": "°C", "°": "°C",
    "k": "K", "kelvin": "K", "°f": "°F", "f": "°F", "g/cm3": "g/cm3", "g/cm³": "g/cm3", "g/ml": "g/mL", "kg/m3": "kg/m3",
    "kg/m³": "kg/m3", "g/cm^3": "g/cm3", "kg/m^3": "kg/m3", "%": "%", "percent": "%", "g": "g", "mm": "mm", "cm": "cm",
    "µm": "µm", "um": "µm", "ml": "mL", "cm3": "cm3", "cm³": "cm3", "grams": "g", "g/l": "g/L", "gcm-3": "g/cm3", "kgm-3": "kg/m3",
}  # fmt: skip
_NUMBER = r"[-−–]?\d+(?:[ \u00a0\u202f]\d{3})*(?:[.,]\d+)?(?![\w])|[-−–]?\d+(?:[.,]\d+)?"
_TOKENS = re.compile(
    r"(?P<unit>(?:k?g)\s?(?:cm|m)\s?(?:⁻³|-3|−3|\^-3)|k?g\s?/\s?(?:c?m\^?[3³]|m[lL]|[lL])|°\s?[CFKcf]?|º\s?C|℃|%)"
    rf"|(?P<number>(?<![\w.]){_NUMBER})"
    r"|(?P<word>[^\W\d_][^\W_]*(?:['’\-][^\W_]+)*(?:\([IVX]+\))?)"
    r"|(?P<mark>[.;:!?,\n()=→]|->|=>)"
)
_ENDING = ("s", "es", "ed", "d", "ing", "er", "r")


class Token(NamedTuple):
    """A word, name, number or mark. kind: word, name, number, mark; base: the word without its ending; id: of a name."""

    kind: str
    text: str
    base: str
    start: int
    end: int
    id: str = ""
    value: float = 0.0
    unit: str = ""


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


def _base(word: str, lexicon: Lexicon) -> str:
    """The word of the lexicon this is a form of; the word itself if none."""
    word = word.lower().replace("’", "'")
    found = lexicon.irregular.get(word)
    if found is not None:
        return found
    if word in lexicon.words:
        return word
    for ending in _ENDING:
        if word.endswith(ending) and len(word) >= len(ending) + 2:
            stem = word[: -len(ending)]
            for form in (
                stem,
                f"{stem}e",
                stem[:-1] if stem[-1:] == stem[-2:-1] else stem,
                f"{stem[:-1]}y" if stem.endswith("i") else stem,
            ):
                if form in lexicon.words:
                    return form
    return word


def tokens(text: str, lexicon: Lexicon, names: Names) -> list[Token]:
    """The tokens of a text: names as long as they are known, numbers with their units."""
    plain: list[Token] = []
    for match in _TOKENS.finditer(text):
        kind, raw = str(match.lastgroup), match[0]
        if kind == "number":
            value = float(re.sub(r"[ \u00a0\u202f]", "", raw).replace(",", ".").replace("−", "-").replace("–", "-"))
            plain.append(Token("number", raw, raw, match.start(), match.end(), value=value))
        elif kind == "unit":
            unit = re.sub(r"\s", "", raw.lower()).replace("⁻³", "-3").replace("−3", "-3").replace("^", "")
            plain.append(Token("unit", raw, unit, match.start(), match.end()))
        elif kind == "word":
            raw = raw.replace("’", "'")
            owner = raw.endswith("'s")
            core = raw[:-2] if owner else raw
            plain.append(Token("word", raw, _base(core, lexicon), match.start(), match.end()))
        else:
            plain.append(Token("mark", raw, raw, match.start(), match.end()))
    return list(_joined(plain, text, lexicon, names))


def _joined(plain: Sequence[Token], text: str, lexicon: Lexicon, names: Names) -> Iterator[Token]:
    place = 0
    while place < len(plain):
        token = plain[place]
        after = plain[place + 1] if place + 1 < len(plain) else None
        if token.kind == "number":
            unit = _UNIT_WORDS.get(after.base if after is not None and after.kind == "unit" else "", "")
            if after is not None and after.kind == "word" and after.text.lower() in _UNIT_WORDS:
                unit = _UNIT_WORDS[after.text.lower()]
            taken = 2 if unit else 1
            nearby = plain[place + 2] if place + 2 < len(plain) else None
            if unit == "°C" and nearby is not None and nearby.text.lower() in ("c", "celsius", "k", "f", "centigrade"):
                taken, unit = 3, _UNIT_WORDS.get(nearby.text.lower(), "°C")
            last = plain[place + taken - 1]
            yield token._replace(unit=unit, end=last.end, text=text[token.start : last.end])
            place += taken
            continue
        if token.kind == "word":
            size, found = _name(plain, place, lexicon, names, text)
            if found:
                last = plain[place + size - 1]
                while place + size < len(plain) and plain[place + size].base in lexicon.tails:
                    size += 1
                yield Token("name", text[token.start : last.end], token.base, token.start, last.end, found)
                place += size
                continue
        yield token
        place += 1


def _name(plain: Sequence[Token], place: int, lexicon: Lexicon, names: Names, text: str) -> tuple[int, str]:
    """Number of words of the longest name that begins at a place, and its id; (0, "") if there is none."""
    if plain[place].text.lower() in lexicon.small or plain[place].base in lexicon.tails:
        return 0, ""
    for size in range(min(_LONGEST_NAME, len(plain) - place), 0, -1):
        run = plain[place : place + size]
        if any(one.kind not in ("word", "number") for one in run) or run[-1].text.lower() in lexicon.small:
            continue
        words = text[run[0].start : run[-1].end].replace("’", "'")
        words = words[:-2] if words.endswith("'s") else words
        if size == 1 and plain[place].base in lexicon.heads_of_relations and names(words) == "":
            return 0, ""
        found = names(words)
        if found:
            following = plain[place + size] if place + size < len(plain) else None
            if following is not None and following.base in lexicon.heads and not names(f"{words} {following.text}"):
                return 0, ""  # "the salt solution" is not the salt
            return size, found
    return 0, ""


def segments(found: Sequence[Token], lexicon: Lexicon) -> Iterator[list[Token]]:
    """The clauses of a text: between marks and the small words that begin a clause; the break stays with what follows."""
    current: list[Token] = []
    for place, token in enumerate(found):
        if token.kind == "mark" and token.text not in "()=":
            if current:
                yield current
            current = [token] if token.text in ".;!?\n" else []
            continue
        following = found[place + 1] if place + 1 < len(found) else None
        numbers = (
            bool(current) and current[-1].kind == "number" and following is not None and following.kind == "number"
        )
        why = token.base == "as" and following is not None and (following.kind == "name" or following.text in _POINTS)
        if token.kind == "word" and (token.base in lexicon.breaks or why) and current and not numbers:
            yield current
            current = []
        current.append(token)
    if current:
        yield current


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
        lexicon = self.lexicon
        if run and run[0].kind == "mark":
            self.pending, run = (), run[1:]
        if run and run[0].base in lexicon.breaks and run[0].base not in ("and", "or"):
            self.pending = ()
        hits = _hits(run, lexicon)
        numbers = tuple((t.value, t.unit) for t in run if t.kind == "number")
        quantity = next(
            ((place, key) for place, token in enumerate(run) if (key := lexicon.quantity_at(run, place))), None
        )
        named = [(place, token.id) for place, token in enumerate(run) if token.kind == "name"]
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
        hint = tuple(sorted(words & lexicon.hints))
        text = self.text[run[0].start : run[-1].end] if run else ""
        start = run[0].start if run else 0
        until = hits[0][0] if hits and not numbers else len(run)
        front = {word for token in run[: until + 1] for word in (token.base, token.text.lower())}
        group = next((g for g, some in lexicon.groups.items() if front & some), "")
        more = self._direction(run)
        made = False
        if len(numbers) and words & lexicon.gap:
            subjects = tuple(dict.fromkeys(i for _, i in named)) or self.everything
            yield self._keep(
                Statement("gap", subjects, group, bool(denied_at), (), numbers[:1], more, hint, text, start)
            )
            return
        percent = next((n for n in numbers if n[1] == "%"), None)
        if percent is not None and named:
            ids = tuple(i for _, i in named)
            yield self._keep(Statement("percent", ids, group, bool(denied_at), (), (percent,), more, hint, text, start))
            return
        comparison = self._comparison(run)
        if comparison is not None:
            place, key, way = comparison
            subjects, objects = self._around(named, place, run, group)
            if not way:
                subjects, objects = (subjects or self.everything), ()
            if subjects:
                yield self._keep(
                    Statement(
                        f"compare:{key}",
                        subjects,
                        group,
                        any(d < place + 1 for d in denied_at),
                        objects,
                        (),
                        way,
                        hint,
                        text,
                        start,
                    )
                )
                made = True
        if quantity is not None and numbers and not made:
            yield from self._told(run, quantity[1], named, numbers, group, more, hint, text, start)
            self.pending = ()
            return
        for first, last, relation in hits:
            if relation.says == "part" and any(other.says in ("order", "layer") for _, _, other in hits):
                continue  # "comes over first" is about the order, "stays on top" about the layer
            if "what" in {token.base for token in run[:first]}:
                continue  # "what is left"
            if comparison is not None and first - 1 <= comparison[0] <= last + 1:
                continue
            if (
                relation.acts_on
                and not named
                and run[first].text.lower().endswith("ed")
                and not words & lexicon.auxiliaries
            ):
                continue  # "and evaporated": what somebody did, to nothing that is named
            begin = first
            if relation.says in ("layer", "order") and not any(hits[0][0] < at < first for at, _ in named):
                begin = hits[0][0]  # "goes to the bottom": the subject is before the first of these words
            subjects, objects = self._around(named, begin, run, group, last, relation.acts_on)
            acted = False
            if relation.acts_on:
                direct = self._direct(run, first, last)
                if direct:
                    objects = tuple(i for i in (*subjects, *objects) if i not in direct)
                    subjects, acted = direct, True
                elif last - first > 1 and (between := self._unknown(run[first + 1 : last])):
                    yield Statement(relation.key, (), text=text, start=start, unknown=between)
                    continue  # "lets the drink through"
            if not subjects:
                unknown = self._unknown(run[:first])
                if unknown and not relation.acts_on and relation.says not in ("part", "order", "phase"):
                    yield Statement(relation.key, (), text=text, start=start, unknown=unknown)
                continue
            of = () if relation.of or relation.says in ("layer", "order") else tuple(s for *_, o in hits for s in o.of)
            denied = relation.denied != any(d <= last + 1 for d in denied_at)
            yield self._keep(
                Statement(
                    relation.key,
                    subjects,
                    group,
                    denied,
                    objects,
                    numbers,
                    more,
                    hint,
                    text,
                    start,
                    acted,
                    of,
                    implied=not acted and not any(i in subjects for _, i in named),
                )
            )
            made = True
        if made:
            self.pending = ()
            return
        ids = tuple(i for _, i in named)
        if ids and self.before is not None and numbers and self.before.relation.startswith("number:"):
            unit = numbers[0][1] or self.before.numbers[0][1]
            yield self._keep(
                self.before._replace(
                    subjects=ids[:1], numbers=((numbers[0][0], unit),), text=text, start=start, group=""
                )
            )
        elif ids and denied_at and self.before is not None:
            yield self._keep(
                self.before._replace(subjects=ids, denied=not self.before.denied, text=text, start=start, group="")
            )
        else:
            if not words & lexicon.than:
                plain = all(
                    t.kind == "name" or t.text.lower() in lexicon.small or t.base in lexicon.articles for t in run
                )
                self.pending = (*self.pending, *ids) if plain else ()
                self.last = self._doers(run)[-1:] or ids[-1:] or self.last

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
        self,
        named: Sequence[tuple[int, str]],
        place: int,
        run: Sequence[Token],
        group: str,
        last: int | None = None,
        order: bool = False,
    ) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Ids of the subject and of what follows. order: a bare verb may be an order, which has no subject."""
        lexicon = self.lexicon
        before = tuple(i for at, i in named if at < place)
        after = tuple(i for at, i in named if at > place)
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

    def _told(
        self, run: Sequence[Token], key: str, named: Sequence[tuple[int, str]], numbers: Sequence[tuple[float, str]],
        group: str, more: int, hint: tuple[str, ...], text: str, start: int,
    ) -> Iterator[Statement]:  # fmt: skip
        """Numbers told of a quantity: one, one of each name, or of all that is there."""
        ids = list(dict.fromkeys(i for _, i in named))
        suited = [n for n in numbers if self.lexicon.fits(key, n[1])]
        if not suited:
            return
        unknown = self._unknown(run) if not ids else ""
        if unknown:
            yield Statement(f"number:{key}", (), text=text, start=start, unknown=unknown)
            return
        if not ids:
            words = {token.text.lower() for token in run}
            ids = list(
                self.everything
                if words & (self.lexicon.their | self.lexicon.groups["both"])
                else self.last or self.pending
            )
            if len(suited) > 1 and not words & self.lexicon.their:
                ids = list(self.everything)
        if len(ids) == len(suited) > 1 and named:
            for ident, number in zip(ids, suited, strict=True):
                yield self._keep(
                    Statement(f"number:{key}", (ident,), "", False, (), (number,), more, hint, text, start)
                )
        else:
            yield self._keep(
                Statement(f"number:{key}", tuple(ids), group, False, (), tuple(suited), more, hint, text, start)
            )


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


assert all(unit in UNITS or unit == "%" for unit in _UNIT_WORDS.values())
