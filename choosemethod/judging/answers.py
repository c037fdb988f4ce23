"""Free-text answers read as techniques in order: "use a sep. funnel", "filter, then evaporate", "distil it".

The words are those of rules/reading/technique-names.yaml and of rules/judging.yaml. What is read is shown; a word that
stands in the place of a step and is not known is said so, and never guessed at unless one spelling is near.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from choosemethod.judging.phrases import STRONG, Hit, Phrases, Word
from choosemethod.judging.rules import Judging
from choosemethod.judging.sequences import Sequences
from choosemethod.judging.steps import Given
from choosemethod.reading.english import english
from choosemethod.rulebook.book import Rulebook
from choosemethod.table.table import Table

__all__ = ["Said", "TechniqueReader", "bringing_in"]

_ADDING = ("dryer", "absorbent", "help")  # kinds of fact about what a technique adds
_BREAK = re.compile(r"[ \t]*\r?\n(?!\s*(?:\d+[.)]|[-*•]\s))")  # a line break inside a sentence
_FARTHEST_WITH = 6  # words between a verb and the "with" that belongs to it
_LONGEST = 4_000  # characters of an answer that are read
_SHORT_PIECE = 3  # words of a piece between separators that must be known to be passed over


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


class TechniqueReader(Phrases):
    """Reads answers with the words of the language and of the judging rules."""

    def __init__(self, table: Table, rules: Judging, adding: Sequence[str]) -> None:
        """adding: slugs of the techniques that bring something in, whose "in water" is taken up."""
        super().__init__(table, rules, adding)
        self.sequences = Sequences(self)

    def read(self, text: str) -> Said:
        """An answer as understood; an empty `Said` if nothing was."""
        text, mended = self.mender.mend(_BREAK.sub(" ", text[:_LONGEST]))
        words = self.cut(text)
        self._as_orders(words)
        words, reason = self._without_reason(words, text)
        hits = self._hits(words)
        steps = [hit for hit in hits if hit.kind in ("technique", "general") and not hit.denied]
        denied = tuple(
            hit.value if hit.kind == "technique" else self.rules.general[int(hit.value)].kinds[0]
            for hit in hits
            if hit.kind in ("technique", "general") and hit.denied
        )
        told = [hit for hit in steps if self.is_told(words, hit)]
        firm = [hit for hit in steps if hit not in told]
        readings = [steps] if told and firm else [[hit] for hit in told] if told else []
        if told and firm:  # with the verbs that tell what happens, without the things that are only used
            readings.append([hit for hit in steps if hit in firm or self.happens(words, hit)])
        colon = next((place for place, word in enumerate(words) if word.mark == ":"), -1)
        if colon > 0 and firm and firm[0].last < colon:
            readings.append([hit for hit in firm if hit.last < colon])
        steps = firm or steps
        status = next((hit.value for hit in hits if hit.kind == "status"), "")
        if steps:
            status = ""
        unknown, unused = self._unknown(words, hits, bool(steps or status))
        choices = self.sequences.choices(words, steps)
        others = tuple(
            one for reading in readings for one in self.sequences.choices(words, reading) if one not in choices
        )
        return Said(choices, others, status, reason, unknown, mended, denied, unused, self._halfway(words, steps))

    def _as_orders(self, words: list[Word]) -> None:
        """What somebody tells of having done, in place as what is done ("I dissolved it and evaporated": dissolve)."""
        if not any(word.norm in self.tellers for word in words):
            return
        for before, word in pairwise([Word("", "", 0, 0, "."), *words]):
            led = before.mark or before.norm in self.tellers or before.norm in ("and", "then")
            if led and word.norm in self.past:
                word.norm = self.past[word.norm]
            elif led and word.norm.endswith("ed"):
                stems = (word.norm[:-1], word.norm[:-2], word.norm[:-3], word.norm)
                named = (one for one in stems if self.phrases.get(one, ("",))[0] == "technique")
                word.norm = next(named, next((one for one in stems if one in self.verbs), word.norm))

    def _halfway(self, words: Sequence[Word], steps: Sequence[Hit]) -> str:
        """The words of a last step that only begins it, as written; "" if there is none."""
        if not steps:
            return ""
        last = steps[-1]
        end = last.last + 1
        while end < len(words) and not (words[end].mark and words[end].mark in STRONG):
            end += 1
        some = next((at for at in range(last.first, end) if self.found(words, at, self.half_amounts)), -1)
        bare = all(hit.phrase in self.half or self.is_told(words, hit) for hit in steps)
        begun = (bare and len({hit.value for hit in steps}) == 1 and any(hit.phrase in self.half for hit in steps)) or (
            last.kind == "general" and last.value == self.adding_word
        )
        if some < 0 and not begun:
            return ""
        return " ".join(dict.fromkeys(word.raw for word in words[last.first : max(some, last.last) + 1]))

    def _without_reason(self, words: list[Word], text: str) -> tuple[list[Word], str]:
        """The words without the reasons, and the reasons as written; a reason goes to the end of its sentence."""
        kept: list[Word] = []
        reasons: list[str] = []
        place = 0
        while place < len(words):
            word = words[place]
            if not word.mark and kept and self.found(words, place, self.reason_words):
                end = place
                while (
                    end < len(words)
                    and not (words[end].mark and words[end].mark in STRONG)
                    and words[end].norm != "then"
                ):
                    end += 1
                reasons.append(text[word.start : words[end - 1].end].strip())
                place = end
                continue
            kept.append(word)
            place += 1
        return kept, ". ".join(reasons)

    def _hits(self, words: Sequence[Word]) -> list[Hit]:
        hits: list[Hit] = []
        place = 0
        plain = 0  # where the last plain phrase ended: a denial in it is its own
        while place < len(words):
            length = 0 if words[place].mark else self.found(words, place, self.phrases)
            wide, kind, value, phrase = (0, "", "", "") if words[place].mark else self.find_apart(words, place)
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
            hit = Hit(kind, value, place, place + length - 1, phrase=phrase)
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

    def _verb_and_what_is_added(self, words: Sequence[Word], place: int) -> int:
        """Number of words up to the "with" of "shake the tea with ether"; 0 if nothing that is known is brought in."""
        for other in range(place + 1, min(place + 1 + _FARTHEST_WITH, len(words))):
            if words[other].mark:
                return 0
            if words[other].norm in self.added_after:
                return other + 1 - place if self.substance_at(words, other + 1, len(words)) else 0
        return 0

    def _is_denied(self, words: Sequence[Word], hits: Sequence[Hit], hit: Hit, plain: int = 0) -> bool:
        """Whether a word of denial stands between the hit and what goes before it in its clause."""
        begin = max([plain, *(other.last + 1 for other in hits if other.kind != "status")])
        for place in range(hit.first - 1, begin - 1, -1):
            if words[place].mark and words[place].mark in ",;:.!?\n>":
                return False
            if self.found(words, place, self.not_words):
                return True
        for other in hits:  # "cannot be separated by filtration"
            if other.kind == "status" and other.value == "not-separable" and other.last + 2 >= hit.first > other.last:
                return True
        return False

    def _dismissed(self, words: Sequence[Word], hit: Hit) -> bool:
        """Whether the rest of the sentence says that it would not do ("a magnet would be useless")."""
        start = hit.first
        while start and not words[start - 1].mark:
            start -= 1
        if any(words[place].norm not in self.skipped for place in range(start, hit.first)):
            return False
        place = hit.last + 1
        while place < len(words) and not words[place].mark:
            if self.found(words, place, self.dismissing):
                return True
            if self.found(words, place, self.phrases):
                return False
            place += 1
        return False

    def _added(self, words: Sequence[Word], hit: Hit) -> list[str]:
        """What a step brings in by its words: "dissolve in water", "add water", "bubble through lime water"."""
        if hit.kind == "technique" and hit.value not in self.adding:
            return []
        if hit.kind == "general" and not self.rules.general[int(hit.value)].added:
            return []
        out: list[str] = []
        inside = [word.norm for word in words[hit.first : hit.last + 1]]
        for place, norm in enumerate(inside):
            if norm in self.added_after or place == len(inside) - 1:
                out += self.substance_at(words, hit.first + place + (norm in self.added_after), hit.last + 1)
        place = hit.last + 1
        if inside[-1] in self.added_after:
            place -= 1
        while place < len(words) and not words[place].mark and words[place].norm not in self.relative:
            length = self.found(words, place, self.phrases)
            if length and words[place].norm not in self.added_after:
                kind, _ = self.phrases[" ".join(w.norm for w in words[place : place + length])]
                if kind in ("technique", "general"):
                    break
            if words[place].norm in self.added_after:
                out += self.substance_at(words, place + 1, len(words))
            place += 1
        return list(dict.fromkeys(out))

    def _unknown(
        self, words: Sequence[Word], hits: Sequence[Hit], understood: bool
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
            if understood and (len(piece) > _SHORT_PIECE or any(self.is_known(words[place].norm) for place in piece)):
                continue
            plain = understood and all(english(words[place].raw.lower().strip(".")) for place in piece)
            (unused if plain else unknown).append(
                " ".join(dict.fromkeys(words[place].raw.strip(".") for place in piece))
            )
        return tuple(unknown), tuple(unused)


def bringing_in(book: Rulebook) -> list[str]:
    """The techniques that bring something in."""
    return [one.id for one in book.techniques.values() if one.adds or any(kind in _ADDING for _, kind in one.roles)]
