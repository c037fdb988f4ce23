"""Second stage of reading: tokens grouped into names, class nouns, letters, cue words and numbers, with all meanings kept.

Of all ways to cut the tokens the one that covers most is taken, not the first that fits: "black lead(II) sulfide" is no
black lead. Names win over cue words of the same length; grammar inside a name ("red and blue ink") costs it something.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from choosemethod.quantity import UNITS
from choosemethod.reading.english import english
from choosemethod.reading.lexicon import NO_CUES, Lexicon
from choosemethod.reading.tokens import Token
from choosemethod.table import Name, Table

__all__ = ["Piece", "bare", "lattice", "shown"]

_LONGEST_UNIT = 4  # words
_LABEL = re.compile(r"[A-Z]\d")
# What follows "A" where it is a letter that stands for something, besides a verb in -s.
_OF_A_LETTER = {"be", "join", "negation", "measured", "stated", "liquid", "from", "in", "with", "to", "but", "when", "only"}
_FEW = 6  # pieces a name that holds grammar may span
_GRAMMAR = ("join", "from", "in", "with", "into", "verb", "by", "without", "negation", "than")
_FUNCTION = (
    "light",
    "pronoun",
    "be",
    "person",
    "join",
    "from",
    "in",
    "into",
    "to",
    "of",
    "with",
    "by",
    "for",
    "after",
    "but",
)
_NUMERALS = ("i", "ii", "iii", "iv", "v", "vi", "vii")
_CHEMICAL_ENDINGS = (
    "yl",
    "ide",
    "ate",
    "ite",
    "oxy",
    "oxo",
    "ene",
    "ine",
    "onium",
    "azo",
    "nitro",
    "amine",
    "aldehyde",
)
# What a token is worth to a path: more than its neighbours' gain for covering it otherwise.
_NAME, _CUE, _ORDINARY, _LETTER = 10.0, 10.0, 4.0, 9.0


class Piece(NamedTuple):
    """One piece of a question.

    kind: name, class (a class noun), letter, cue, number, ratio, mark, option, word (ordinary English) or unknown;
    text: as written; norm: normalised words; start, end: place in the text; cues: class of cue -> value, also of a name;
    meanings: what a name stands for, the one taken first; found: exact, plural, formula, ellipsis, adjective or class;
    number, high: SI value and upper end (bare numbers as they are); unit, dimension: of a number; parts: of a ratio;
    mark, state, sentence, depth: as of a token; plural: the head ends with an s that its normal form has not.
    """

    kind: str
    text: str
    norm: str
    start: int
    end: int
    cues: Mapping[str, str] = NO_CUES
    meanings: tuple[Name, ...] = ()
    found: str = ""
    number: float = 0.0
    high: float = 0.0
    unit: str = ""
    dimension: str = ""
    bulk: str = ""
    parts: tuple[float, ...] = ()
    mark: str = ""
    state: str = ""
    sentence: int = 0
    depth: int = 0
    plural: bool = False
    article: str = ""

    def has(self, *classes: str) -> bool:
        """Whether one of its words is of one of these classes."""
        return bool(self.cues) and not self.cues.keys().isdisjoint(classes)

    @property
    def reacts(self) -> bool:
        """Whether it says that something reacts."""
        return self.kind == "cue" and (self.cues.get("verb") == "react" or self.cues.get("liquid", "").endswith("reacts"))

    @property
    def name(self) -> Name | None:
        """The meaning taken."""
        return self.meanings[0] if self.meanings else None


class _Lattice:
    def __init__(self, text: str, tokens: Sequence[Token], table: Table, words: Lexicon) -> None:
        self.text = text
        self.tokens = tokens
        self.table = table
        self.words = words
        self.longest = table.longest_name()
        self.formulae = sum(
            token.name is not None and (len(token.text) > 2 or not token.text.isalpha()) for token in tokens
        )

    def piece(self, kind: str, start: int, after: int, **more: object) -> Piece:
        first, last = self.tokens[start], self.tokens[after - 1]
        norm = " ".join([token.norm for token in self.tokens[start:after]])
        found = Piece(kind, self.text[first.start : last.end], norm, first.start, last.end)
        return found._replace(sentence=first.sentence, depth=first.depth, **more)  # type: ignore[arg-type]

    def ways(self, start: int, run: int) -> list[tuple[float, int, Piece]]:
        """Every piece that can begin here, as (worth, token after it, piece)."""
        token = self.tokens[start]
        found: list[tuple[float, int, Piece]] = []
        if token.kind == "number":
            after, piece = self.number(start)
            found.append((10.0 * (after - start), after, piece))
            glued = self.tokens[start + 1] if run > 1 and self.tokens[start + 1].start == token.end else None
            isotope = self.table.name(token.norm + glued.norm) if glued is not None else None
            if isotope is not None:  # "35Cl"
                found.append((30.0, start + 2, self.named(start, start + 2, (isotope,), "formula")))
        if token.kind == "ratio":
            parts = tuple(float(part) for part in token.norm.replace(" ", "").split(":"))
            return [(10.0, start + 1, self.piece("ratio", start, start + 1, parts=parts))]
        again = self.again(start)
        if again is not None:
            return [(15.0, start + 1, self.named(start, start + 1, (again,), "formula"))]
        if token.name is not None and not self.ordinary_formula(start):
            names = self.table.formulae(token.text) or (token.name,)
            names = (token.name, *[name for name in names if name != token.name])
            found.append((15.0, start + 1, self.named(start, start + 1, names, "formula")))
        most = max(self.table.name_length(token.norm), self.words.longest.get(token.norm, 0))
        single = False
        for length in range(min(run, most), 0, -1):
            after = start + length
            if after < len(self.tokens) and self.tokens[after].joined:
                tail = self.tokens[after].norm
                if tail.isdigit() or tail in _NUMERALS:
                    continue  # "but-1-ene", "carbon(IV)"
            key = " ".join([inner.norm for inner in self.tokens[start:after]]) if length > 1 else token.norm
            cues = self.words.words.get(key)
            names = self.table.names(key)
            if names and not self.misnamed(start, after, key, names[0]):
                worth = (_NAME + 4.0) * length - 1.0
                worth -= (12.0 + _NAME) * self.grammar(start, after, names[0]) if length > 1 else 0.0
                found.append((worth, after, self.named(start, after, names, "")))
                single = single or length == 1
            if cues is not None:
                kind = "class" if "noun" in cues else "cue"
                plural = self.tokens[after - 1].text.lower() != self.tokens[after - 1].norm
                piece = self.piece(kind, start, after, cues=cues, plural=plural)
                found.append((_CUE * length + 4.0 * (length - 1), after, piece))
                single = single or length == 1
        if token.kind == "word":
            if self.letter(start):
                found.append((_LETTER + 2.0, start + 1, self.piece("letter", start, start + 1)))
            if not single:
                known = self.ordinary(token)
                kind = "word" if known else "unknown"
                found.append((_ORDINARY if known else 0.0, start + 1, self.piece(kind, start, start + 1)))
            end = start + 1
            while end < len(self.tokens) and self.tokens[end].joined:
                end += 1
            if end > start + 1 and not token.joined and any(t.norm in _NUMERALS for t in self.tokens[start + 1 : end]):
                found.append((1.0, end, self.piece("unknown", start, end)))
        return found

    def grammar(self, start: int, after: int, name: Name) -> int:
        """How many words of grammar stand in a name; "and" counts only after what is a name itself ("red and blue ink")."""
        count = 0
        for inner in range(start + 1, after):
            word = self.tokens[inner]
            cues = self.words.cues(word.norm)
            if word.joined or not any(kind in cues for kind in _GRAMMAR):
                continue
            follows = self.words.cues(self.tokens[after].norm) if after < len(self.tokens) else NO_CUES
            ends = (
                after >= len(self.tokens)
                or bool(self.tokens[after].mark)
                or any(kind in follows for kind in _GRAMMAR[:5])
            )
            if inner == after - 1 and "verb" in cues and ends:
                continue  # "cell extract"
            front = " ".join([token.norm for token in self.tokens[start:inner]])
            whole = name.kind == "mixture" and not self.table.mixture(name.id).really
            count += not whole or "join" not in cues or self.table.name(front) is not None
        return count

    def named(self, start: int, after: int, names: tuple[Name, ...], found: str) -> Piece:
        last = self.tokens[after - 1]
        plural = last.text.lower().endswith("s") and not last.norm.endswith("s")
        cues = self.words.cues(" ".join([token.norm for token in self.tokens[start:after]]))
        how = found or ("plural" if plural else "exact")
        return self.piece(
            "name", start, after, meanings=names, found=how, plural=plural, cues=cues, state=self.tokens[start].state
        )

    def ordinary(self, token: Token) -> bool:
        """Whether it is an English word as written or normalised, a number in words, or one sign."""
        word = token.text.lower()
        if len(token.norm) < 2 or token.norm.isdigit() or (token.norm[0] == "q" and token.norm[1:].isdigit()):
            return True
        known = english(token.norm) or english(word)
        if not known and word.startswith("un"):
            known = english(word[2:])
        if not known and "-" in word:
            known = "rare" if all(english(part) or len(part) < 5 for part in word.split("-")) else ""
        if known in ("", "rare") and token.norm.endswith(_CHEMICAL_ENDINGS) and len(token.norm) > 4:
            return False  # "lactate" is part of a name
        return bool(known) and (known != "proper" or token.text[:1].isupper())

    def misnamed(self, start: int, after: int, key: str, name: Name) -> bool:
        """Names that are none here: "mixture of sugar" for "mixture of sugars", "solid A", a bare letter or number."""
        last = self.tokens[after - 1]
        if after - start == 1 and (len(key) == 1 or key.isdigit()):
            return True
        if (
            after - start == 1
            and not last.text.lower().endswith("s")
            and any(k in self.words.cues(key) for k in _FUNCTION)
        ):
            return True  # "can" is no can
        cues = self.words.cues(self.tokens[start].norm)
        only_plural = name.written.endswith("s") and not name.written.endswith("ss") and " " not in name.written
        goes_on = (
            after < len(self.tokens)
            and self.tokens[after].kind == "word"
            and not self.words.cues(self.tokens[after].norm)
        )
        article = after < len(self.tokens) and self.tokens[after].norm in ("the", "a", "an", "each")
        if after - start == 1 and only_plural and not last.text.lower().endswith("s") and (goes_on or article):
            return True  # "sweet tea": no sweets
        if after - start > 2 and "whole" in cues and self.tokens[start + 1].norm == "of":
            return name.written.endswith("s") != last.text.lower().endswith("s")
        follows = self.tokens[after] if after < len(self.tokens) else None
        lettered = follows is not None and len(follows.text) == 1 and follows.text.isupper() and follows.text != "I"
        return lettered and "noun" in self.words.cues(last.norm)

    def ordinary_formula(self, place: int) -> bool:
        """Whether a formula is a plain word here ("He", "As", "I", "No") or a letter that stands for something."""
        token = self.tokens[place]
        if self.in_series(token):
            return True
        if len(token.text) > 2 or not token.text.isalpha():
            return False
        if len(token.text) == 1 and (not self.formulae or self.stands_for(place)):
            return True
        if not english(token.text.lower()) and not self.words.cues(token.text.lower()) and len(token.text) == 2:
            return False
        beside = [self.tokens[other] for other in (place - 1, place + 1) if 0 <= other < len(self.tokens)]
        for other in beside:
            if (other.mark and other.mark in "+/&,") or any(
                kind in self.words.cues(other.norm) for kind in ("join", "from", "in", "of")
            ):
                return False
        return len(self.tokens) > 1

    def in_series(self, token: Token) -> bool:
        """ "P1 ... P2 ... P4": one of several labels of a letter and a figure, most of which are no formula."""
        if not _LABEL.fullmatch(token.text):
            return False
        same = {one.text: one for one in self.tokens if one.text[:1] == token.text[0] and _LABEL.fullmatch(one.text)}
        return 2 * sum(one.name is None for one in same.values()) > len(same)

    def again(self, place: int) -> Name | None:
        """The name before a bracket that only holds its symbol: "carbon (C)"."""
        if not 1 < place < len(self.tokens) - 1 or self.tokens[place - 1].mark + self.tokens[place + 1].mark != "()":
            return None
        name, symbol = self.table.name(self.tokens[place - 2].norm), self.tokens[place].text
        own = name is not None and name.kind == "substance" and self.table.substance(name.id).formula.rstrip("0123456789")
        return name if own and own == symbol else None

    def stands_for(self, place: int) -> bool:
        """ "B is 4-nitroaniline": the letter is no formula."""
        be, named = (self.tokens[other] if other < len(self.tokens) else None for other in (place + 1, place + 2))
        return (
            be is not None
            and named is not None
            and "be" in self.words.cues(be.norm)
            and self.table.name_length(named.norm) > 0
        )

    def letter(self, place: int) -> bool:
        """Whether a single letter, or a figure after "liquid", can stand for a substance."""
        token = self.tokens[place]
        if len(token.text) != 1 or not token.text.isalpha() or token.joined:
            return False
        before = self.tokens[place - 1] if place else None
        after = self.tokens[place + 1] if place + 1 < len(self.tokens) else None
        of = self.words.cues(before.norm) if before is not None else {}
        if "labelled" in of or "container" in of or (
            before is not None and before.kind == "number" and token.text.isupper()
        ):
            return False  # "jar B"; "1 N hydrochloric acid": a unit
        noun = "noun" in of
        if token.text.islower():
            return noun and token.text in "bcdpqrstuvwxyz"
        if token.text == "I" and not (noun and (after is None or after.kind == "mark")):
            return False
        if noun:
            return True
        if before is not None and before.kind == "word" and not self.words.cues(before.norm):
            return False
        if token.text == "A" and after is not None and after.kind == "word":
            titled = before is not None and before.text.istitle() and after.text.istitle()  # "Describe A Suitable Method"
            if titled or not self.words.cues(after.norm):
                return False
        past = self.tokens[place + 3] if place + 3 < len(self.tokens) else None
        if token.text == "A" and after is not None and after.kind == "number" and past is not None and past.kind == "word":
            return "join" in self.words.cues(past.norm)  # "A 4.50 g sample of", but "A 20 g and B 30 g"
        nouns = ("noun", "whole", "person", "container", "colour", "place", "apparatus", "lesser")
        cues = {} if after is None else self.words.cues(after.norm)
        begins = token.text == "A" and after is not None and after.kind == "word" and (before is None or before.kind == "mark")
        said = cues.keys() & _OF_A_LETTER or ("verb" in cues and after is not None and after.text.endswith("s"))
        article = token.text == "A" and (any(kind in cues for kind in nouns) or (begins and not said))
        return not article

    def number(self, start: int) -> tuple[int, Piece]:
        """A number or range with its unit, as (token after it, piece)."""
        token = self.tokens[start]
        value = high = float(token.norm)
        place = start + 1
        if place + 1 < len(self.tokens) and self.tokens[place + 1].kind == "number":
            between = self.tokens[place]
            if between.mark == "-" or between.norm == "to":  # 56 - 57 °C, 40 to 60 °C
                high = float(self.tokens[place + 1].norm)
                place += 2
        negative = start and self.tokens[start - 1].mark == "-" and self.tokens[start - 1].end == token.start
        for length in range(_LONGEST_UNIT, 0, -1):
            part = self.tokens[place : place + length]
            if len(part) < length or any(inner.kind == "mark" and inner.mark not in "/" for inner in part[:-1]):
                continue
            raw = self.text[part[0].start : part[-1].end]
            unit = (
                self.words.units.get(raw) or self.words.units.get(raw.lower()) or self.words.units.get(raw.rstrip("."))
            )
            if unit is None or (len(raw) == 1 and raw.isalpha() and part[0].kind != "word"):
                continue
            _, factor, offset = UNITS[unit[0]]
            sign = -1.0 if negative and (unit[1] in ("temperature", "pressure") or not self.listed(start)) else 1.0
            return place + length, self.piece(
                "number",
                start,
                place + length,
                number=sign * value * factor + offset,
                high=sign * high * factor + offset,
                unit=unit[0],
                dimension=unit[1],
                bulk=self.words.bulk.get(raw, ""),
            )
        return place, self.piece("number", start, place, number=value, high=high)

    def listed(self, start: int) -> bool:
        """Whether a dash before a number only sets it off from the thing before: "salt -5 g, sand -10 g"."""
        before = self.tokens[start - 2] if start > 1 else None
        if before is None or before.kind != "word":
            return False
        cues = self.words.cues(before.norm)
        return not cues or "noun" in cues

    def path(self) -> list[Piece]:
        """The pieces of the way through the tokens that covers most."""
        tokens = self.tokens
        ends = len(tokens)
        runs = [0] * (ends + 1)
        for place in range(ends - 1, -1, -1):
            runs[place] = 0 if tokens[place].kind in ("mark", "option") else runs[place + 1] + 1
        best: list[tuple[float, int, Piece | None]] = [(0.0, -1, None), *[(-1e9, -1, None) for _ in range(ends)]]
        for place in range(ends):
            so_far = best[place][0]
            if so_far < -1e8:
                continue
            token = tokens[place]
            if token.kind in ("mark", "option"):
                found = [(0.0, place + 1, self.piece(token.kind, place, place + 1, mark=token.mark))]
            else:
                found = self.ways(place, runs[place])
            for worth, after, piece in found:
                if so_far + worth > best[after][0]:
                    best[after] = (so_far + worth, place, piece)
        pieces: list[Piece] = []
        place = ends
        while place > 0:
            _, before, piece_there = best[place]
            if piece_there is not None:
                pieces.append(piece_there)
            place = before
        pieces.reverse()
        return pieces


def bare(norm: str) -> str:
    """Normalised words without an article before them."""
    first, _, rest = norm.partition(" ")
    return rest if first in ("a", "an", "the") else norm


def _beside(pieces: Sequence[Piece], place: int, step: int) -> Piece | None:
    place += step
    return pieces[place] if 0 <= place < len(pieces) else None


def _whole(piece: Piece, name: Name, norm: str) -> Piece:
    """A piece that stands for a longer name."""
    return piece._replace(kind="name", meanings=(name,), norm=norm, found="ellipsis", cues=NO_CUES)


def completed(pieces: Sequence[Piece], table: Table) -> list[Piece]:
    """Names shared over a list, made whole: "cobalt and nickel chlorides", "vitamins B2 and C", "ortho- and para-xylene"."""
    found = list(pieces)
    for place in range(len(found) - 1, -1, -1):
        piece = found[place]
        inner = found[place + 2] if place + 2 < len(found) else None
        if piece.mark == "(" and inner is not None and inner.mark == ")" and place:
            whole = table.name(f"{found[place + 1].norm} {found[place - 1].norm}")
            head = found[place - 1]
            if head.kind == "name" and whole is None and found[place + 1].kind in ("unknown", "word"):
                whole = table.name(f"{found[place + 1].norm} {head.norm.split()[-1]}")
                whole = None if whole in head.meanings else whole  # "an acid (ethanoic)"
            if whole is not None and head.kind in ("class", "unknown", "name") and found[place + 1].kind != "number":
                found[place - 1 : place + 3] = [_whole(head, whole, f"{found[place + 1].norm} {head.norm}")]
                continue  # "nitrate (potassium)"
        link = piece.has("join") or (bool(piece.mark) and piece.mark in ",/&")
        before, after = _beside(found, place, -1), _beside(found, place, 1)
        if not link or before is None or after is None:
            continue
        start = place - 1
        while start > 0 and found[start].mark == "-":
            start -= 1
        before = found[start]
        shared = after.name is not None and " " in after.norm and (before.kind != "name" or after.plural)
        if shared and (before.kind in ("name", "unknown", "word", "class", "letter") or before.has("colour")):
            words = after.norm.split()
            for tail in (words[1:], words[-1:], words[2:]):
                name = table.name(" ".join((before.norm, *tail))) if tail else None
                if name is not None and name not in before.meanings:
                    found[start] = _whole(before, name, " ".join((before.norm, *tail)))
                    break
        short = after.kind in ("unknown", "letter", "word", "number") or (after.kind == "class" and not after.plural)
        if before.name is not None and " " in before.norm and (short or after.found == "formula"):
            front_words = before.norm.split()
            for front in (front_words[:-1], front_words[:1]):
                name = table.name(" ".join((*front, after.norm)))
                if name is not None and front and after.norm not in ("salt", "solution"):
                    found[place + 1] = _whole(after, name, " ".join((*front, after.norm)))
                    break
    return _whole_named(found, table)


def _whole_named(found: list[Piece], table: Table) -> list[Piece]:
    """All that is named, from first to last, as one named mixture: "egg yolk and egg white", "fluoride in well water".

    Not where it is understood as well from its parts: they are in it, and at most one of them is a liquid.
    """
    places = [place for place, piece in enumerate(found) if piece.kind in ("name", "class", "unknown")]
    if not 1 < len(places) < 4 or places[-1] - places[0] > _FEW or any(p.mark for p in found[places[0] : places[-1]]):
        return found
    norm = " ".join([piece.norm for piece in found[places[0] : places[-1] + 1]])
    whole = table.name(norm, "mixture")
    names = [name for place in places for name in found[place].meanings[:1]]
    several = sum(name.kind == "mixture" for name in names) > 1
    if whole is None or table.mixture(whole.id).really or (several and " from " not in norm):
        return found
    if " from " in norm and not table.mixture(whole.id).usual_aim:
        return found  # what is wanted of it would be lost
    held = {part.substance for part in table.mixture(whole.id).components}
    ids = [name.id for name in names if name.kind == "substance"]
    liquids = sum(table.substance(id).phase == "liquid" for id in ids)
    parts_say_it = liquids < 2 and ids and held.issuperset(ids) and len(names) == len(places)
    if parts_say_it and " from " not in norm:
        return found
    first, last = found[places[0]], found[places[-1]]
    one = _whole(first, whole, norm)._replace(end=last.end, text=f"{first.text} ... {last.text}")
    return [*found[: places[0]], one, *found[places[-1] + 1 :]]


def _qualified(pieces: list[Piece], table: Table) -> list[Piece]:
    """Names that a word beside them makes another compound: "tungsten carbide" is no tungsten."""
    found: list[Piece] = []
    for piece in pieces:
        last = found[-1] if found else None
        metal = last.name if last is not None and last.kind == "name" else None
        if metal is not None and piece.norm in ("salt", "ion") and metal.kind == "substance" and metal.id != piece.norm:
            ions = table.name(f"{metal.written} ion") if table.substance(metal.id).kind == "metal" else None
            if ions is not None and last is not None:  # "lithium salts"
                found[-1] = _whole(last, ions, f"{last.norm} {piece.norm}")._replace(end=piece.end)
                continue
        beside = last is not None and last.kind in ("name", "unknown") and last.end < piece.start
        salt = piece.name if piece.kind == "name" and last is not None and last.end + 1 == piece.start else None
        if metal is not None and salt is not None and metal.kind == salt.kind == "substance" and last is not None:
            first, second = table.substance(metal.id), table.substance(salt.id)
            if first.kind == "metal" and second.kind == "salt" and " " in piece.norm:  # "nickel ammonium sulfate"
                text = f"{last.text} {piece.text}"
                found[-1] = last._replace(kind="unknown", text=text, end=piece.end, meanings=())
                continue
        if beside and last is not None and piece.has("compound") and " " not in piece.norm:
            while len(found) > 1 and found[-2].kind == "name" and found[-2].end + 1 >= last.start:
                front = found.pop(-2)  # "lithium aluminium hydride"
                last = last._replace(
                    text=f"{front.text} {last.text}", norm=f"{front.norm} {last.norm}", start=front.start
                )
            text = f"{last.text} {piece.text}"
            found[-1] = last._replace(
                kind="unknown", text=text, norm=f"{last.norm} {piece.norm}", end=piece.end, meanings=()
            )
        else:
            found.append(piece)
    return found


def lattice(text: str, tokens: Sequence[Token], table: Table, words: Lexicon) -> tuple[Piece, ...]:
    """The pieces of a text, in order. tokens: of the same text; table: looks names up; words: the cue words."""
    return tuple(_qualified(completed(_Lattice(text, tokens, table, words).path(), table), table))


def shown(pieces: Sequence[Piece]) -> str:
    """The pieces, a line each: kind, as written, meanings or what the words do."""
    lines = []
    for piece in pieces:
        means = ", ".join(f"{name.kind} {name.id}" for name in piece.meanings)
        says = ", ".join(f"{key}:{value}" if value else key for key, value in piece.cues.items())
        size = f"{piece.number:g} {piece.dimension}" if piece.kind == "number" else ""
        lines.append(f"{piece.kind:8} {piece.text!r} {means} {piece.found} {size} [{says}]".rstrip(" []"))
    return "\n".join(lines)
