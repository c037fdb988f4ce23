"""Free-text answers read as techniques in order: "use a sep. funnel", "filter, then evaporate", "distil it".

The words are those of rules/reading/technique-names.yaml and of rules/judging.yaml. What is read is shown; a word that
stands in the place of a step and is not known is said so, and never guessed at unless one spelling is near.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from choosemethod.judging.lexicon import lexicon
from choosemethod.judging.mending import Mender
from choosemethod.judging.replay import Given
from choosemethod.judging.rules import Judging
from choosemethod.reading.english import english
from choosemethod.reading.lexicon import lexicon as reading_lexicon
from choosemethod.table.names import normalise
from choosemethod.table.table import Table

__all__ = ["Said", "TechniqueReader"]

_TOKEN = re.compile(r"[^\W_]+(?:[.'’‘-][^\W_]+)*\.?|[,;:.!?()/+&\n]|[-=]+>|→|⇒|[-–—]")
_STRONG = ".;!?\n"
_BREAK = re.compile(r"[ \t]*\r?\n(?!\s*(?:\d+[.)]|[-*•]\s))")  # a line break inside a sentence
_ARROWS = ("->", "-->", "=>", "→", "⇒", "–", "—", "-", ">", "==>", "--->")
_GAP = "..."
_WIDEST_GAP = 4  # words between the parts of a phrase
_LONGEST = 4_000  # characters of an answer that are read
_FARTHEST_WITH = 6  # words between a verb and the "with" that belongs to it
_SHORT_PIECE = 3  # words of a piece between separators that must be known to be passed over


@dataclass(slots=True)
class _Word:
    """A normalised word or a mark, with where it stands in the text."""

    norm: str
    raw: str
    start: int
    end: int
    mark: str = ""


@dataclass(slots=True)
class _Hit:
    """A phrase found: kind (technique, general, helper, status, way, plain), its value, its place among the words."""

    kind: str
    value: str
    first: int
    last: int
    denied: bool = False
    adds: list[str] = field(default_factory=list)
    phrase: str = ""


@dataclass(frozen=True, slots=True)
class Said:
    """An answer as understood.

    choices: sequences of steps, usually one ("A or B" gives two); others: the same answer read with what it tells of
    happening taken as steps too ("the water evaporates"), or with the details after a colon left out; status: what is
    said instead of techniques ("" or one of STATUSES); reason: the part that gives a reason; unknown: words in the place
    of a step that are not known; mended: (written, read as); denied: slugs that are named but not meant; unused: pieces
    of ordinary words that played no part; halfway: the words of a last step that only begins it ("let it stand", "evaporate
    half of it", "add acid"), "" if it is whole.
    """

    choices: tuple[tuple[Given, ...], ...] = ()
    others: tuple[tuple[Given, ...], ...] = ()
    status: str = ""
    reason: str = ""
    unknown: tuple[str, ...] = ()
    mended: tuple[tuple[str, str], ...] = ()
    denied: tuple[str, ...] = ()
    unused: tuple[str, ...] = ()
    halfway: str = ""

    def shown(self, name: Mapping[str, str]) -> str:
        """What was understood, in one line; `name` turns a slug into a name."""
        sequences = [
            ", then ".join(
                name.get(step.slugs[0], step.slugs[0]) if len(step.slugs) == 1 and not step.kinds else step.words
                for step in steps
            )
            for steps in self.choices
        ]
        parts = [" or ".join(dict.fromkeys(sequences))] if sequences else []
        if self.status:
            parts.append(self.status.replace("-", " ") if self.status != "ask" else "more information is needed")
        parts += [f"{written!r} read as {read!r}" for written, read in self.mended]
        if self.unknown:
            parts.append("not understood: " + ", ".join(repr(words) for words in self.unknown))
        if self.unused:
            parts.append("not used: " + ", ".join(repr(words) for words in self.unused))
        return "; ".join(part for part in parts if part)


class TechniqueReader:
    """Reads answers with the words of the language and of the judging rules."""

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
        self.tellers = self._phrase_set("tellers")
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

    # ---- words ---------------------------------------------------------------------------------------------------

    def _cut(self, text: str) -> list[_Word]:
        words: list[_Word] = []
        for match in _TOKEN.finditer(text[:_LONGEST]):
            raw = match[0]
            if raw[0].isalnum():
                core, stop = (raw[:-1], raw.endswith(".")) if raw.endswith(".") else (raw, False)
                parts = normalise(core).split()
                words += [_Word(part, raw, match.start(), match.end()) for part in parts]
                if stop and self._ends_sentence(text, match.end(), core):
                    words.append(_Word("", ".", match.end() - 1, match.end(), "."))
            else:
                mark = ">" if (raw in _ARROWS and len(raw) > 1) or raw in "→⇒" else raw
                if raw in "-–—" and not (match.start() and text[match.start() - 1].isspace()):
                    continue  # a hyphen that joins
                words.append(_Word("", raw, match.start(), match.end(), mark))
        return words

    @staticmethod
    def _ends_sentence(text: str, end: int, core: str) -> bool:
        """Whether a full stop ends a sentence rather than an abbreviation ("sep. funnel")."""
        following = text[end:].lstrip()
        return not following or following[0].isupper() or len(core) > 4

    def _find(self, words: Sequence[_Word], place: int, phrases: frozenset[str] | Mapping[str, object]) -> int:
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

    # ---- reading -------------------------------------------------------------------------------------------------

    def read(self, text: str) -> Said:
        """An answer as understood; an empty `Said` if nothing was."""
        text, mended = self.mender.mend(_BREAK.sub(" ", text[:_LONGEST]))
        words = self._cut(text)
        self._as_orders(words)
        words, reason = self._without_reason(words, text)
        hits = self._hits(words)
        steps = [hit for hit in hits if hit.kind in ("technique", "general") and not hit.denied]
        denied = tuple(
            hit.value if hit.kind == "technique" else self.rules.general[int(hit.value)].kinds[0]
            for hit in hits
            if hit.kind in ("technique", "general") and hit.denied
        )
        told = [hit for hit in steps if self._told(words, hit)]
        firm = [hit for hit in steps if hit not in told]
        readings = [steps] if told and firm else [[hit] for hit in told] if told else []
        if told and firm:  # with the verbs that tell what happens, without the things that are only used
            readings.append([hit for hit in steps if hit in firm or self._happens(words, hit)])
        colon = next((place for place, word in enumerate(words) if word.mark == ":"), -1)
        if colon > 0 and firm and firm[0].last < colon:
            readings.append([hit for hit in firm if hit.last < colon])
        steps = firm or steps
        status = next((hit.value for hit in hits if hit.kind == "status"), "")
        if steps:
            status = ""
        unknown, unused = self._unknown(words, hits, bool(steps or status))
        choices = self._choices(words, steps)
        others = tuple(one for reading in readings for one in self._choices(words, reading) if one not in choices)
        return Said(choices, others, status, reason, unknown, mended, denied, unused, self._halfway(words, steps))

    def _as_orders(self, words: list[_Word]) -> None:
        """What somebody tells of having done, in place as what is done ("I dissolved it and evaporated": dissolve)."""
        if not any(word.norm in self.tellers for word in words):
            return
        for before, word in pairwise([_Word("", "", 0, 0, "."), *words]):
            led = before.mark or before.norm in self.tellers or before.norm in ("and", "then")
            if led and word.norm.endswith("ed"):
                stems = (word.norm[:-1], word.norm[:-2], word.norm)
                word.norm = next((one for one in stems if self.phrases.get(one, ("",))[0] == "technique"), word.norm)

    def _halfway(self, words: Sequence[_Word], steps: Sequence[_Hit]) -> str:
        """The words of a last step that only begins it, as written; "" if there is none."""
        if not steps:
            return ""
        last = steps[-1]
        end = last.last + 1
        while end < len(words) and not (words[end].mark and words[end].mark in _STRONG):
            end += 1
        some = next((at for at in range(last.first, end) if self._find(words, at, self.half_amounts)), -1)
        begun = (len(steps) == 1 and last.phrase in self.half) or (
            last.kind == "general" and last.value == self.adding_word
        )
        if some < 0 and not begun:
            return ""
        return " ".join(dict.fromkeys(word.raw for word in words[last.first : max(some, last.last) + 1]))

    def _without_reason(self, words: list[_Word], text: str) -> tuple[list[_Word], str]:
        """The words without the reasons, and the reasons as written; a reason goes to the end of its sentence."""
        kept: list[_Word] = []
        reasons: list[str] = []
        place = 0
        while place < len(words):
            word = words[place]
            if not word.mark and kept and self._find(words, place, self.reason_words):
                end = place
                while (
                    end < len(words)
                    and not (words[end].mark and words[end].mark in _STRONG)
                    and words[end].norm != "then"
                ):
                    end += 1
                reasons.append(text[word.start : words[end - 1].end].strip())
                place = end
                continue
            kept.append(word)
            place += 1
        return kept, ". ".join(reasons)

    def _hits(self, words: Sequence[_Word]) -> list[_Hit]:
        hits: list[_Hit] = []
        place = 0
        plain = 0  # where the last plain phrase ended: a denial in it is its own
        while place < len(words):
            length = 0 if words[place].mark else self._find(words, place, self.phrases)
            wide, kind, value, phrase = (0, "", "", "") if words[place].mark else self._find_apart(words, place)
            if wide > length:
                length = wide
            elif not length:
                place += 1
                continue
            else:
                kind, value = self.phrases[" ".join(word.norm for word in words[place : place + length])]
                phrase = " ".join(word.raw.lower().strip(".") for word in words[place : place + length])
            if (kind == "helper" or length == 1) and words[place].norm in self.added_verbs:
                wider = self._verb_and_what_is_added(words, place)
                if wider:
                    kind, value, length = "general", self.adding_word, wider
            hit = _Hit(kind, value, place, place + length - 1, phrase=phrase)
            if kind in ("technique", "general"):
                hit.denied = self._is_denied(words, hits, hit, plain) or self._dismissed(words, hit)
                if not hit.denied:
                    hit.adds = self._added(words, hit)
                if kind == "general" and self.rules.general[int(value)].added and not hit.adds:
                    hit.kind = "helper"
            place += length
            if kind == "plain":
                plain = place
            else:
                hits.append(hit)
        return hits

    def _find_apart(self, words: Sequence[_Word], place: int) -> tuple[int, str, str, str]:
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

    def _verb_and_what_is_added(self, words: Sequence[_Word], place: int) -> int:
        """Number of words up to the "with" of "shake the tea with ether"; 0 if nothing that is known is brought in."""
        for other in range(place + 1, min(place + 1 + _FARTHEST_WITH, len(words))):
            if words[other].mark:
                return 0
            if words[other].norm in self.added_after:
                return other + 1 - place if self._substance(words, other + 1, len(words)) else 0
        return 0

    def _is_denied(self, words: Sequence[_Word], hits: Sequence[_Hit], hit: _Hit, plain: int = 0) -> bool:
        """Whether a word of denial stands between the hit and what goes before it in its clause."""
        begin = max([plain, *(other.last + 1 for other in hits if other.kind != "status")])
        for place in range(hit.first - 1, begin - 1, -1):
            if words[place].mark and words[place].mark in ",;:.!?\n>":
                return False
            if self._find(words, place, self.not_words):
                return True
        for other in hits:  # "cannot be separated by filtration"
            if other.kind == "status" and other.value == "not-separable" and other.last + 2 >= hit.first > other.last:
                return True
        return False

    def _dismissed(self, words: Sequence[_Word], hit: _Hit) -> bool:
        """Whether the rest of the sentence says that it would not do ("a magnet would be useless")."""
        start = hit.first
        while start and not words[start - 1].mark:
            start -= 1
        if any(words[place].norm not in self.skipped for place in range(start, hit.first)):
            return False
        place = hit.last + 1
        while place < len(words) and not words[place].mark:
            if self._find(words, place, self.dismissing):
                return True
            if self._find(words, place, self.phrases):
                return False
            place += 1
        return False

    def _added(self, words: Sequence[_Word], hit: _Hit) -> list[str]:
        """What a step brings in by its words: "dissolve in water", "add water", "bubble through lime water"."""
        if hit.kind == "technique" and hit.value not in self.adding:
            return []
        if hit.kind == "general" and not self.rules.general[int(hit.value)].added:
            return []
        out: list[str] = []
        inside = [word.norm for word in words[hit.first : hit.last + 1]]
        for place, norm in enumerate(inside):
            if norm in self.added_after or place == len(inside) - 1:
                out += self._substance(words, hit.first + place + (norm in self.added_after), hit.last + 1)
        place = hit.last + 1
        if inside[-1] in self.added_after:
            place -= 1
        while place < len(words) and not words[place].mark:
            length = self._find(words, place, self.phrases)
            if length and words[place].norm not in self.added_after:
                kind, _ = self.phrases[" ".join(w.norm for w in words[place : place + length])]
                if kind in ("technique", "general"):
                    break
            if words[place].norm in self.added_after:
                out += self._substance(words, place + 1, len(words))
            place += 1
        return list(dict.fromkeys(out))

    def _substance(self, words: Sequence[_Word], place: int, end: int) -> list[str]:
        """The substance (or class of them) named from a place on, small words skipped."""
        while place < end and words[place].norm in self.skipped and not self._class(words, place):
            if self._named(words, place, end)[0]:
                break  # "concentrated sulfuric acid" may be a name of its own
            place += 1
        found = self._class(words, place)
        named, length = self._named(words, place, end) if place < end else ("", 0)
        if named and length > (self._find(words, place, self.classes[found]) if found else 0):
            return [named]
        return [found] if found and place < end else []

    def _class(self, words: Sequence[_Word], place: int) -> str:
        return next((key for key, phrases in self.classes.items() if self._find(words, place, phrases)), "")

    def _named(self, words: Sequence[_Word], place: int, end: int) -> tuple[str, int]:
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

    def _told(self, words: Sequence[_Word], hit: _Hit) -> bool:
        """Whether a word tells what happens rather than what is done ("the salt dissolves", "iron is magnetic")."""
        if hit.kind != "technique":
            return False
        phrase = f"{hit.phrase} "
        spread = any(
            value == hit.value and phrase.startswith(f"{' '.join(begin)} ") and phrase.endswith(f" {' '.join(end)} ")
            for begin, end, _, value, told in self.apart
            if told in self.told
        )
        return spread or hit.phrase in self.told or self._happens(words, hit)

    @staticmethod
    def _happens(words: Sequence[_Word], hit: _Hit) -> bool:
        """Whether a verb follows the thing that does it ("the ammonium chloride sublimes")."""
        ends = hit.phrase.endswith("s") and not words[hit.first].norm.endswith("s")
        return hit.first == hit.last and ends and hit.first > 0 and not words[hit.first - 1].mark

    # ---- order and choice ----------------------------------------------------------------------------------------

    def _given(self, words: Sequence[_Word], hit: _Hit) -> Given:
        written = " ".join(dict.fromkeys(word.raw for word in words[hit.first : hit.last + 1]))
        if hit.adds and hit.kind == "general":
            written += " " + ", ".join(add.lstrip("*").replace("-", " ") for add in hit.adds)
        if hit.kind == "general":
            general = self.rules.general[int(hit.value)]
            if general.every:
                return Given(general.kinds, (), tuple(hit.adds), written)
            return Given(general.kinds[:1], general.kinds[1:], tuple(hit.adds), written)
        return Given((hit.value,), (), tuple(hit.adds), written)

    def _choices(self, words: Sequence[_Word], hits: Sequence[_Hit]) -> tuple[tuple[Given, ...], ...]:
        sequences: list[list[list[Given]]] = [[]]  # whole alternatives, each a list of places with their alternatives
        previous: _Hit | None = None
        for hit in hits:
            given = self._given(words, hit)
            between = words[previous.last + 1 : hit.first] if previous is not None else words[: hit.first]
            places = sequences[-1]
            if previous is not None and self._has(between, self.or_words, "/"):
                if any(word.mark and word.mark in _STRONG for word in between):
                    sequences.append([[given]])
                else:
                    places[-1].append(given)
            elif places and any(one.slugs == given.slugs for one in places[-1]):
                places[-1] = [self._joined(one, given) for one in places[-1]]
            elif (
                places
                and len(places[-1]) == 1
                and self._same_step(places[-1][0], given, between, self._told(words, hit))
            ):
                before = places[-1][0]
                more = given if set(given.slugs) <= {*before.kinds, *before.slugs} else before
                places[-1] = [replace(more, adds=tuple(dict.fromkeys((*before.adds, *given.adds))))]
            elif previous is not None and self._goes_before(words, hits, previous, hit):
                places.insert(len(places) - 1, [given])
            else:
                places.append([given])
            previous = hit
        out: list[tuple[Given, ...]] = []
        for places in sequences:
            one: list[tuple[Given, ...]] = [()]
            for alternatives in places:
                one = [(*steps, given) for steps in one for given in alternatives][:8]
            out += [steps for steps in one if steps]
        return tuple(dict.fromkeys(out))[:8]

    @staticmethod
    def _same_step(one: Given, other: Given, between: Sequence[_Word], told: bool = False) -> bool:
        """Whether a general word and the precise one beside it are one step ("distil with a fractionating column").

        told: the later tells what happens in the step before it ("add water, the salt dissolves").
        """
        if told and len(one.slugs) > 1 and set(other.slugs) < set(one.slugs):
            return True
        if any(word.mark or word.norm in ("then", "next", "after", "before") for word in between):
            return False
        return set(other.slugs) <= set(one.kinds) or set(one.slugs) <= set(other.kinds)

    @staticmethod
    def _joined(one: Given, other: Given) -> Given:
        """One step said twice ("filtration: filter the sand off"): the more precise word, all that is added."""
        kinds = one.kinds if len(one.kinds) <= len(other.kinds) else other.kinds
        return replace(one, kinds=kinds, adds=tuple(dict.fromkeys((*one.adds, *other.adds))))

    def _has(self, between: Sequence[_Word], phrases: frozenset[str], mark: str = "") -> bool:
        return any(
            (mark and word.mark == mark) or (not word.mark and self._find(between, place, phrases))
            for place, word in enumerate(between)
        )

    def _goes_before(self, words: Sequence[_Word], hits: Sequence[_Hit], previous: _Hit, hit: _Hit) -> bool:
        """Whether the later hit comes first in time: "evaporate after filtering", "before evaporating, filter"."""
        between = words[previous.last + 1 : hit.first]
        if any(word.mark and word.mark in _STRONG for word in between):
            return False
        if self._has(between, self.after_words):
            return not any(word.mark == "," for word in between)
        start = previous.first
        while start and not (words[start - 1].mark and words[start - 1].mark in _STRONG):
            start -= 1
        lead = words[start : previous.first]
        return self._has(lead, self.before_words) and any(word.mark == "," for word in between)

    # ---- what is not known ---------------------------------------------------------------------------------------

    def _unknown(
        self, words: Sequence[_Word], hits: Sequence[_Hit], understood: bool
    ) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Short pieces between separators that hold no word known here, and those of them that are ordinary English.

        The whole text is not known if nothing was understood.
        """
        taken = {place for hit in hits for place in range(hit.first, hit.last + 1)}
        pieces: list[list[int]] = [[]]
        for place, word in enumerate(words):
            if (word.mark and word.mark in ",;.\n>+/") or word.norm in ("then", "and"):
                pieces.append([])
            elif not word.mark:
                pieces[-1].append(place)
        unknown: list[str] = []
        unused: list[str] = []
        for piece in pieces:
            if not piece or any(place in taken for place in piece):
                continue
            if understood and (len(piece) > _SHORT_PIECE or any(self._is_known(words[place].norm) for place in piece)):
                continue
            plain = understood and all(english(words[place].raw.lower().strip(".")) for place in piece)
            (unused if plain else unknown).append(
                " ".join(dict.fromkeys(words[place].raw.strip(".") for place in piece))
            )
        return tuple(unknown), tuple(unused)

    def _is_known(self, word: str) -> bool:
        return word in self.known_words or word.isdigit() or len(word) < 3 or self.table.name(word) is not None
