"""What is offered to choose from, the words it is offered with, and how the choice is told: what every kind of choice needs."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from choosemethod.advice.answer import Advice, MissingFact
from choosemethod.advice.compose import Composer
from choosemethod.advice.method import answered_by_method
from choosemethod.advice.wording import joined
from choosemethod.interpretation.described import Described, namesakes, says, signs
from choosemethod.mixture import NO_TECHNIQUES, OfferedOption, Question
from choosemethod.reading import given_substances, read_words
from choosemethod.reading.lexicon import lexicon, technique_slugs
from choosemethod.rulebook.book import Rulebook
from choosemethod.table.names import spaced
from choosemethod.table.table import Table

__all__ = ["ENOUGH", "FITS", "READ", "SERVES", "SURE", "Offer", "Weighed"]

FITS = {"right": 4, "acceptable": 3, "incomplete": 2, "wrong": 0, "unsafe": 0}
SERVES = 2  # it does part
ENOUGH, SURE = 2, 3  # weights of a description: nothing else answers; a name is asked for
READ = 2  # so many answers at least must be understood as mixtures, or as steps of an order
_VAGUE = "unspecified"  # class of what is only called something ("impurities")
_ASKS = ("which", "what", "following", "all")
_AUXILIARY = ("is", "are", "can", "could", "do", "would", "will", "be", "was", "should")
_RELATIVE = ("that", "which", "whose", "who", "where", "when", "but")


class Weighed(NamedTuple):
    """An answer offered. fit: how well it serves, None if that cannot be told; why: in words; hint: what of the stem
    describes it; advice: the answer to what it names, if that is a mixture."""

    option: OfferedOption
    fit: float | None
    why: str = ""
    hint: Described | None = None
    advice: Advice | None = None

    @property
    def shown(self) -> str:
        letter, text = self.option.letter, self.option.text
        return text if letter == text else f"{letter}: {text}"


class Offer:
    """A multiple choice. advice: the answer to its stem; table: with the described substances."""

    def __init__(self, advice: Advice, question: Question, table: Table, book: Rulebook) -> None:
        self.advice = advice
        self.question = question
        self.table = table
        self.book = book
        self.stem = spaced(question.stem)
        named = question.techniques
        self.barred = named.excluded
        self.named = tuple(dict.fromkeys((*named.required, *named.asked_about, *named.tried, *named.excluded)))
        self.options = [one for one in named.offered if not self.refers(one)]

    def refers(self, option: OfferedOption) -> bool:
        """ "none of the above", "all of these"."""
        return any(says(what, spaced(option.text)) for what in ("none", "all"))

    @property
    def excepts(self) -> bool:
        """Whether the one that does not fit is asked for: "which of these is not ...?", but not "liquids that do not mix"."""
        if self.barred and not any(one.techniques for one in self.options):
            return True
        words = self.stem.split()
        begin = next((at for at, word in enumerate(words) if word in _ASKS), 0)
        clause: list[str] = []
        for word in words[begin:]:
            if word in _RELATIVE and len(clause) > 1:
                break
            clause.append(word)
        denied = any(word == "not" and before in _AUXILIARY for before, word in itertools.pairwise(clause))
        return denied or says("except", f" {' '.join(clause)} ") or says("except", f" {' '.join(words[-2:])} ")

    @property
    def nameless(self) -> bool:
        """Whether the stem names no substance, so that what it says counts for more than what it is taken for."""
        usual = self.table.name(lexicon().assumed_liquid)
        named = [one for one in self.question.mixture.substances if one not in self.question.given]
        named = [one for one in named if usual is None or one != usual.id]
        return all(_VAGUE in self.table.substance(one).classes for one in named)

    def composer(self, question: Question) -> Composer:
        given = given_substances(question)
        return Composer(self.table.with_given(given) if given else self.table, self.book, question)

    def kin(self, slug: str, text: str) -> tuple[str, ...]:
        """The techniques a text means that names a whole family ("distillation", and not "simple distillation")."""
        for last in slug.split("-"):
            at = text.find(f" {last} ")
            if at < 0 or technique_slugs(last)[:1] != (slug,):
                continue
            if not any(technique_slugs(f"{before} {last}") for before in text[:at].split()[-1:]):
                kin = next((slugs for word, slugs in signs().families.items() if last.startswith(word[:-1])), ())
                return tuple(dict.fromkeys((slug, *kin, *namesakes(last, self.book.techniques))))
        return (slug,)

    def means(self, option: OfferedOption) -> list[tuple[str, ...]]:
        """The steps of an answer, each with the techniques that its word may mean: a family only if no answer is another of it."""
        others = {slug for one in self.options if one != option for slug in one.techniques}
        if len(option.techniques) != 1:
            return [(slug,) for slug in option.techniques]
        kin = self.kin(option.techniques[0], spaced(option.text))
        return [kin[:1] if others & set(kin[1:]) else kin]

    def by_way_of(self, question: Question, slugs: tuple[str, ...]) -> Advice:
        named = NO_TECHNIQUES._replace(offered=question.techniques.offered, required=slugs)
        return self.composer(replace(question, techniques=named)).answer(())

    def read(self, option: OfferedOption, beside: bool = True) -> tuple[Question, Advice] | None:
        """An answer that is a mixture, with what is in the stem beside it; None if it is not understood."""
        there = [self.table.substance(c.substance).name for c in self.question.mixture.components if beside]
        question = read_words(" and ".join([option.text, *there]), self.table)
        if question.unknown or not (question.mixture.components or question.mixture.really):
            return None
        return question, self.composer(question).answer(())

    def of_options(self, fits: Sequence[Weighed], weighed: Sequence[Weighed]) -> Advice | None:
        """The answer to the mixture that an answer names; of several that fit alike all are named, but not if all do."""
        if not fits or len(fits) == len(weighed):
            return None
        first = fits[0]
        assert first.advice is not None
        said = self.question
        told = first.advice._replace(asked=said.asked, corrections=said.corrections, asked_techniques=said.techniques)
        told = self.named_by_letter(first, weighed, told)
        return told._replace(option="; ".join([one.shown for one in fits]))

    def described_stem(self) -> Advice:
        """What the stem would be answered without the answers offered."""
        question = replace(self.question, asked=self.question.stem)
        return answered_by_method(self.advice, question, self.table, self.book)

    def named_by_letter(self, one: Weighed | None, weighed: Sequence[Weighed], advice: Advice | None = None) -> Advice:
        """The answer with the letter and the reason for or against every other answer; without one, that none is it."""
        advice = advice or self.advice
        others = [f"{other.shown}. {other.why}" for other in weighed if other is not one and other.why]
        if one is None:
            none = "None of the answers offered does it." if weighed else "Which of the answers offered it is, is not known here."
            others.insert(0, none)
        contrast = " ".join(others or [advice.contrast])
        return advice._replace(option=one.shown.strip(": ") if one is not None else "", contrast=contrast)

    def undecided(self) -> Advice:
        """Nothing is guessed: what would decide is asked for, unless an answer not known may be what the stem describes."""
        if any(not one.techniques for one in self.options) and self.advice.status != "answered":
            told = self.described_stem()
            if told.status == "answered":
                return self.named_by_letter(None, [], told)
        if self.advice.status in ("unknown", "needs-information"):
            return self.advice
        texts = joined([one.text for one in self.options])
        missing = MissingFact(f"which of these is meant, or what tells them apart: {texts}", "which answer is the right one")
        return self.advice._replace(
            status="needs-information", plan=(), techniques=(), products=(), alternatives=(), cautions=(), missing=(missing,),
            contrast="", refusal=None,
        )  # fmt: skip
