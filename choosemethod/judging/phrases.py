"""The words in which answers name techniques, cut, found and told apart: rules/judging.yaml and the words of the language."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from choosemethod.judging.lexicon import lexicon
from choosemethod.judging.mending import Mender
from choosemethod.judging.rules import Judging
from choosemethod.reading.lexicon import lexicon as reading_lexicon
from choosemethod.table.names import normalise
from choosemethod.table.table import Table

__all__ = ["STRONG", "Hit", "Phrases", "Word"]

STRONG = ".;!?\n"
_ARROWS = ("->", "-->", "=>", "→", "⇒", "–", "—", "-", ">", "==>", "--->")
_GAP = "..."
_LONGEST = 4_000  # characters of an answer that are read
_TOKEN = re.compile(r"[^\W_]+(?:[.'’‘-][^\W_]+)*\.?|[,;:.!?()/+&\n]|[-=]+>|→|⇒|[-–—]")
_WIDEST_GAP = 4  # words between the parts of a phrase


@dataclass(slots=True)
class Word:
    """A normalised word or a mark, with where it stands in the text."""

    norm: str
    raw: str
    start: int
    end: int
    mark: str = ""


@dataclass(slots=True)
class Hit:
    """A phrase found: kind (technique, general, helper, status, way, plain), its value, its place among the words."""

    kind: str
    value: str
    first: int
    last: int
    denied: bool = False
    adds: list[str] = field(default_factory=list)
    phrase: str = ""


class Phrases:
    """Finds the phrases of the language and of the judging rules among the words of an answer."""

    def __init__(self, table: Table, rules: Judging, adding: Sequence[str]) -> None:
        """adding: slugs of the techniques that bring something in, whose "in water" is taken up."""
        self.table = table
        self.rules = rules
        self.adding = frozenset(adding)
        self.phrases: dict[str, tuple[str, str]] = {}
        self.apart: list[
            tuple[tuple[str, ...], tuple[str, ...], str, str, str]
        ] = []  # "pour ... off": both parts, and the slug
        for phrase, roles in reading_lexicon().words.items():
            if "technique" in roles:
                self.phrases[phrase] = ("technique", roles["technique"].split()[0])
        for slug, phrases in rules.techniques.items():
            self._add("technique", slug, phrases)
        for number, general in enumerate(rules.general):
            self._add("general", str(number), general.words)
        for status, phrases in rules.statuses.items():
            self._add("status", status, phrases)
        self._add("helper", "", rules.words["helpers"])
        self._add("plain", "", rules.words["plain"])
        self.not_words = self._phrase_set("not")
        self.or_words = self._phrase_set("or")
        self.after_words = self._phrase_set("after")
        self.before_words = self._phrase_set("before-words")
        self.reason_words = self._phrase_set("reason")
        self.added_after = self._phrase_set("added-after")
        self.skipped = self._phrase_set("added-skip")
        self.told = frozenset(words.lower() for words in self.rules.words["told"])
        self.half = frozenset(words.lower() for words in self.rules.words["halfway"])
        self.past = dict(pair.split() for pair in self.rules.words["past"])
        self.verbs = {phrase.split()[0] for phrase in self.phrases} | {begin[0] for begin, *_ in self.apart if begin}
        self.tellers = self._phrase_set("tellers")
        self.relative = frozenset(words.lower() for words in self.rules.words["relative"])
        self.half_amounts = self._phrase_set("half")
        self.classes = {
            f"*{key}": frozenset(normalise(phrase) for phrase in phrases) for key, phrases in rules.added.items()
        }
        self.dismissing = self._phrase_set("dismissing")
        self.added_verbs = self._phrase_set("added-verbs")
        self.adding_word = next((str(number) for number, general in enumerate(rules.general) if general.added), "")
        self.longest = max(phrase.count(" ") + 1 for phrase in (*self.phrases, *self.reason_words, *self.not_words))
        known = reading_lexicon().words
        self.known_words = {word for phrase in (*known, *self.phrases) for word in phrase.split()}
        for key in ("not", "or", "after", "before-words", "reason", "added-after", "added-skip"):
            self.known_words |= {word for phrase in self._phrase_set(key) for word in phrase.split()}
        words = lexicon()
        vocabulary = {
            word
            for key in ("not", "reason", "mended")
            for phrase in rules.words[key]
            for word in phrase.lower().split()
        }
        vocabulary |= {
            w for phrase, (kind, _) in self.phrases.items() if kind in ("technique", "general") for w in phrase.split()
        }
        self.mender = Mender(
            {*vocabulary, *words.words, *words.irregular, *words.no, *words.denial}, lambda w: table.name(w) is not None
        )

    def _phrase_set(self, key: str) -> frozenset[str]:
        return frozenset(normalise(words) for words in self.rules.words[key])

    def _add(self, kind: str, value: str, words: Sequence[str]) -> None:
        for phrase in words:
            if _GAP in phrase:
                begin, end = (tuple(normalise(part).split()) for part in phrase.split(_GAP))
                self.apart.append((begin, end, kind, value, phrase.lower()))
            else:
                self.phrases[normalise(phrase)] = (kind, value)

    def cut(self, text: str) -> list[Word]:
        words: list[Word] = []
        for match in _TOKEN.finditer(text[:_LONGEST]):
            raw = match[0]
            if raw[0].isalnum():
                core, stop = (raw[:-1], raw.endswith(".")) if raw.endswith(".") else (raw, False)
                parts = normalise(core).split()
                words += [Word(part, raw, match.start(), match.end()) for part in parts]
                if stop and self._ends_sentence(text, match.end(), core):
                    words.append(Word("", ".", match.end() - 1, match.end(), "."))
            else:
                mark = ">" if (raw in _ARROWS and len(raw) > 1) or raw in "→⇒" else raw
                if raw in "-–—" and not (match.start() and text[match.start() - 1].isspace()):
                    continue  # a hyphen that joins
                words.append(Word("", raw, match.start(), match.end(), mark))
        return words

    @staticmethod
    def _ends_sentence(text: str, end: int, core: str) -> bool:
        """Whether a full stop ends a sentence rather than an abbreviation ("sep. funnel")."""
        following = text[end:].lstrip()
        return not following or following[0].isupper() or len(core) > 4

    def found(self, words: Sequence[Word], place: int, phrases: frozenset[str] | Mapping[str, object]) -> int:
        """Number of words of the longest of these phrases that begins at a place; 0 if none."""
        run: list[str] = []
        best = 0
        for offset in range(self.longest):
            if place + offset >= len(words) or words[place + offset].mark:
                break
            run.append(words[place + offset].norm)
            if " ".join(run) in phrases:
                best = offset + 1
        return best

    def find_apart(self, words: Sequence[Word], place: int) -> tuple[int, str, str, str]:
        """Number of words of a phrase in two parts ("pour the water off") that begins at a place, kind, value, itself."""
        for begin, end, kind, value, phrase in self.apart:
            if tuple(word.norm for word in words[place : place + len(begin)]) != begin:
                continue
            for first in range(place + len(begin), min(place + len(begin) + _WIDEST_GAP, len(words)) + 1):
                if tuple(word.norm for word in words[first : first + len(end)]) == end:
                    return first + len(end) - place, kind, value, phrase
                if first >= len(words) or words[first].mark or words[first].norm in ("and", "then"):
                    break
        return 0, "", "", ""

    def substance_at(self, words: Sequence[Word], place: int, end: int) -> list[str]:
        """The substance (or class of them) named from a place on, small words skipped."""
        while place < end and words[place].norm in self.skipped and not self.class_at(words, place):
            if self._named(words, place, end)[0]:
                break  # "concentrated sulfuric acid" may be a name of its own
            place += 1
        found = self.class_at(words, place)
        named, length = self._named(words, place, end) if place < end else ("", 0)
        if named and length > (self.found(words, place, self.classes[found]) if found else 0):
            return [named]
        return [found] if found and place < end else []

    def class_at(self, words: Sequence[Word], place: int) -> str:
        return next((key for key, phrases in self.classes.items() if self.found(words, place, phrases)), "")

    def _named(self, words: Sequence[Word], place: int, end: int) -> tuple[str, int]:
        """Id of the longest name of a substance from a place on, and its number of words."""
        best, length = "", 0
        run: list[str] = []
        for offset in range(5):
            if place + offset >= end or words[place + offset].mark:
                break
            run.append(words[place + offset].norm)
            name = self.table.name(" ".join(run), "substance")
            if name is None and not offset:
                name = self.table.formula(words[place].raw.strip("."))
            if name is not None:
                best, length = name.id, offset + 1
        return best, length

    def is_known(self, word: str) -> bool:
        return word in self.known_words or word.isdigit() or len(word) < 3 or self.table.name(word) is not None

    def is_told(self, words: Sequence[Word], hit: Hit) -> bool:
        """Whether a word tells what happens rather than what is done ("the salt dissolves", "iron is magnetic")."""
        if hit.kind != "technique":
            return False
        phrase = f"{hit.phrase} "
        spread = any(
            value == hit.value and phrase.startswith(f"{' '.join(begin)} ") and phrase.endswith(f" {' '.join(end)} ")
            for begin, end, _, value, told in self.apart
            if told in self.told
        )
        return spread or hit.phrase in self.told or self.happens(words, hit)

    @staticmethod
    def happens(words: Sequence[Word], hit: Hit) -> bool:
        """Whether a verb follows the thing that does it ("the ammonium chloride sublimes")."""
        ends = hit.phrase.endswith("s") and not words[hit.first].norm.endswith("s")
        return hit.first == hit.last and ends and hit.first > 0 and not words[hit.first - 1].mark
