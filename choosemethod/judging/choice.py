"""A multiple choice: every answer offered is judged as an answer, and the one that fits is named with its letter.

Offered are techniques or orders of them (judged on the mixture of the stem, or held against what the stem describes),
mixtures (each is read and answered, and the technique of the stem judged on it), pure substances among mixtures, principles
of a technique, or what is added. Where none, or more than one, can be told from the others, nothing is guessed.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import NamedTuple

from choosemethod.advice.answer import Advice
from choosemethod.advice.compose import Composer
from choosemethod.advice.method import answered_by_method, by_description, is_dangerous
from choosemethod.advice.practice import as_done
from choosemethod.advice.wording import joined
from choosemethod.interpretation.described import Described, asks_name, described, says, signs
from choosemethod.judging.replay import Given, Judge
from choosemethod.judging.rules import judging
from choosemethod.mixture import NO_TECHNIQUES, OfferedOption, Question
from choosemethod.reading import given_substances, read_words
from choosemethod.reading.lexicon import lexicon, technique_slugs
from choosemethod.rulebook.book import Rulebook
from choosemethod.rulebook.practice import Fact, practised
from choosemethod.table.names import spaced
from choosemethod.table.table import Table

__all__ = ["chosen"]

_FITS = {"right": 4, "acceptable": 3, "incomplete": 2, "wrong": 0, "unsafe": 0}
_SERVES, _MOSTLY, _FIRST = 2, 3, 5  # it does part; it is acceptable; it is the first step of the best plan
_ENOUGH, _SURE, _CERTAIN = 2, 3, 5  # weights of a description: nothing else answers; a name is asked for; anyhow
_READ = 2  # so many answers at least must be understood as mixtures, or as steps of an order
_ALIKE = 6  # letters in which a word and the name of a technique agree
_VAGUE = "unspecified"  # class of what is only called something ("impurities")
_PURE = ("", "compound", "element", "one substance")


class _Weighed(NamedTuple):
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


class _Choice:
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

    # ---- what an answer is judged by ------------------------------------------------------------------------------

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
                family = next((slugs for word, slugs in signs().families.items() if last.startswith(word[:-1])), ())
                alike = [one for one in self.book.techniques if last in one.split("-")]
                return tuple(dict.fromkeys((slug, *family, *alike)))
        return (slug,)

    def means(self, option: OfferedOption) -> list[tuple[str, ...]]:
        """The steps of an answer, each with the techniques that its word may mean: a family only if no answer is another of it."""
        others = {slug for one in self.options if one != option for slug in one.techniques}
        if len(option.techniques) != 1:
            return [(slug,) for slug in option.techniques]
        kin = self.kin(option.techniques[0], spaced(option.text))
        return [kin[:1] if others & set(kin[1:]) else kin]

    # ---- techniques -------------------------------------------------------------------------------------------------

    def hint(self, option: OfferedOption, steps: Sequence[tuple[str, ...]]) -> Described | None:
        """What of the stem describes an answer; of one that names no technique, which technique the two together describe."""
        if len(steps) > 1:
            found = [described(self.stem, step)[:1] for step in steps]
            return found[0][0]._replace(weight=sum(one[0].weight for one in found)) if all(found) else None
        own = spaced(option.text)
        among = steps[0] if steps else ()
        if steps and (len(among) < 2 or len(own.split()) < 2):
            return next((one for one in described(self.stem, among) if one.weight > 0), None)
        alone = {one.technique: one.weight for one in described(own, among)}
        if not steps and max(alone.values(), default=0) >= _ENOUGH:
            among = tuple(slug for slug, weight in alone.items() if weight == max(alone.values()))
            return next((one for one in described(self.stem, among) if one.weight > 0), None)
        told = [one for one in described(self.stem, among, own) if one.weight > 0]
        told = [one for one in told if steps or one.fits or one.technique in alone]
        return max(told, key=lambda one: one.weight + alone.get(one.technique, 0), default=None)

    def fits_itself(self, one: _Weighed) -> int:
        """How well the words of an answer beyond the name of its technique fit what is asked."""
        parts = {part[:_ALIKE] for slug in one.option.techniques for part in slug.split("-")}
        own = spaced(" ".join([word for word in spaced(one.option.text).split() if word[:_ALIKE] not in parts]))
        return sum(told.weight for told in described(self.stem, one.option.techniques, own))

    def judge(self) -> Judge | None:
        """Judges the answers on what is there; a single substance to be made pure is taken to hold what the rules say."""
        there = self.question.mixture.components
        if len(there) == 1 and self.advice.status in ("needs-information", "nothing-to-separate"):
            name = self.table.substance(there[0].substance).name
            question = read_words(f"{name} and {signs().impure_with}", self.table)
            said = self.question
            self.question = replace(question, techniques=said.techniques, stem=said.stem, asked=said.asked)
        return Judge(self.composer(self.question)) if there else None

    def in_order(self) -> Advice:
        """The answers as the steps they are (techniques, or what is added), in the order of the plan; nothing is guessed
        where the plan has other steps."""
        if self.advice.status != "answered" or self.advice.left_together:
            return self.undecided()
        found: list[OfferedOption] = []
        for step in self.advice.plan:
            for one in self.options:
                means = self.means(one)
                if step.technique in means[0] if means else step.adds and f" {step.adds} " in spaced(one.text):
                    found.append(one)
                    break
        if not found and not any(one.techniques for one in self.options):
            return self.named_by_letter(None, [])  # orders of numbers: which one it is is not read
        if len(found) < max(_READ, len(self.advice.plan)):
            return self.undecided()
        return self.advice._replace(option="; ".join([_Weighed(one, None).shown for one in found]))

    def techniques(self) -> Advice:
        judge = self.judge()
        weighed = []
        for option in self.options:
            steps = self.means(option)
            hint = self.hint(option, steps)
            fit, why = None, ""
            if judge is not None and steps:
                verdict = judge.judge([Given(step) for step in steps])
                fit, why = _FITS.get(verdict.verdict), verdict.reason
                rest = iter([one.technique for one in self.advice.plan])
                if fit == 0 and all(any(slug in step for slug in rest) for step in steps):
                    fit = _SERVES  # a step of the best plan that parts nothing by itself
            weighed.append(_Weighed(option, fit, why, hint))
        serve = [one for one in weighed if one.fit is not None and one.fit >= _SERVES]
        if self.excepts:
            odd = [one for one in weighed if one.fit == 0]
            return self.named_by_letter(odd[0], weighed) if serve and len(odd) == 1 else self.undecided()
        by_words = self.by_words(weighed)
        if not serve:
            if by_words is not None:
                return self.carried_out(by_words, weighed)
            none = next((one for one in self.question.techniques.offered if says("none", spaced(one.text))), None)
            known = [one for one in weighed if one.fit is not None]
            if known and self.advice.status == "answered":
                kept = _Weighed(none, None) if none is not None else None
                return self.named_by_letter(kept, weighed)
            return self.undecided()
        best = self.by_plan(serve)
        words = by_words.hint.weight if by_words is not None and by_words.hint is not None else 0
        clear = best is not None and (best.fit or 0) > _SERVES and by_words not in serve
        free = asks_name(self.stem) or by_words in serve
        enough = _SURE if self.nameless or (free and not clear) else _CERTAIN
        if by_words is not None and by_words is not best and words >= enough:
            best = by_words
        return self.carried_out(best, weighed) if best is not None else self.undecided()

    def by_words(self, weighed: Sequence[_Weighed]) -> _Weighed | None:
        """The answer the stem describes, if it is clearly that one; without a letter if several stand for the technique."""
        told = [(one.hint.weight, one.hint.technique, one) for one in weighed if one.hint is not None]
        most = max((weight for weight, _, _ in told), default=0)
        best = [(slug, one) for weight, slug, one in told if weight == most]
        if most < _ENOUGH or len({slug for slug, _ in best}) > 1:
            return None
        ranked = sorted((one for _, one in best), key=lambda one: -self.fits_itself(one))
        tie = len(ranked) > 1 and self.fits_itself(ranked[0]) == self.fits_itself(ranked[1])
        return ranked[0]._replace(option=ranked[0].option._replace(letter="", text="")) if tie else ranked[0]

    def by_plan(self, serve: Sequence[_Weighed]) -> _Weighed | None:
        """The answer that serves best: by its verdict, then what of the best plan it names, then what it is said to be."""
        plan = [step.technique for step in self.advice.plan]
        counts_as = {same.said: same.others for same in judging().same}

        def order(one: _Weighed) -> tuple[float, ...]:
            steps = self.means(one.option)
            alike = [{*step, *(other for slug in step for other in counts_as.get(slug, ()))} for step in steps]
            met = [next((at for at, slug in enumerate(plan) if slug in step), len(plan)) for step in alike]
            whole = max(met) < len(plan) and met == sorted(met)
            there = sum(at < len(plan) for at in met)
            words = one.hint.weight if one.hint else 0
            return (-(whole or (one.fit or 0) > _MOSTLY), -(one.fit or 0), -there, min(met), -len(steps), -words)

        ranked = sorted(serve, key=order)
        tie = len(ranked) > 1 and order(ranked[0]) == order(ranked[1])
        return None if tie and ranked[0].option.techniques != ranked[1].option.techniques else ranked[0]

    def carried_out(self, one: _Weighed, weighed: Sequence[_Weighed]) -> Advice:
        """The plan by way of an answer, or what is to be said of its technique where no mixture is planned for."""
        steps = self.means(one.option)
        slugs = tuple(step[0] for step in steps)
        if one.fit is not None and one.fit >= _SERVES:
            for advice in (self.advice, self.by_way_of(self.question, slugs)):
                plan = iter([step.technique for step in advice.plan])
                own = advice is self.advice or len(advice.plan) <= len(steps) + 1  # not with a detour
                if own and all(any(slug in step for slug in plan) for step in steps):
                    return self.named_by_letter(one, weighed, advice)
        told = one.hint
        names = [told.technique] if told is not None and len(steps) < 2 else list(slugs)
        told = told or Described(slugs[0], 0, (), 0)
        hints = [told._replace(technique=slug) for slug in names]
        return self.named_by_letter(one, weighed, by_description(self.advice, hints, self.book, one.why))

    def by_way_of(self, question: Question, slugs: tuple[str, ...]) -> Advice:
        named = NO_TECHNIQUES._replace(offered=question.techniques.offered, required=slugs)
        return self.composer(replace(question, techniques=named)).answer(())

    # ---- mixtures, states, principles, reagents ---------------------------------------------------------------------

    def read(self, option: OfferedOption, beside: bool = True) -> tuple[Question, Advice] | None:
        """An answer that is a mixture, with what is in the stem beside it; None if it is not understood."""
        there = [self.table.substance(c.substance).name for c in self.question.mixture.components if beside]
        question = read_words(" and ".join([option.text, *there]), self.table)
        if question.unknown or not (question.mixture.components or question.mixture.really):
            return None
        return question, self.composer(question).answer(())

    def mixtures(self) -> Advice | None:
        """The mixture that the technique of the stem serves for (or does not); None if the answers are no mixtures."""
        slug = self.named[0]
        meant = self.kin(slug, self.stem)
        weighed = []
        for option in self.options:
            found = self.read(option)
            if found is None:
                weighed.append(_Weighed(option, None))
                continue
            verdict = Judge(self.composer(found[0])).judge([Given(meant)])
            fit: float | None = _FITS.get(verdict.verdict)
            plan = [step.technique for step in found[1].plan]
            if fit and plan[0] in meant:
                fit = _FIRST
            weighed.append(_Weighed(option, fit, verdict.reason, advice=found[1]))
            if found[1].plan and not set(plan) & set(meant) and fit:
                weighed[-1] = weighed[-1]._replace(advice=self.by_way_of(found[0], (slug,)))
        known = [one for one in weighed if one.fit is not None]
        if len(known) < _READ:
            return None
        most = max(one.fit or 0 for one in known)
        if self.excepts:
            fits = [one for one in known if one.fit == 0] if len(known) == len(weighed) else []
        else:
            fits = [one for one in known if one.fit == most and most >= _SERVES]
        return self.of_options(fits, weighed)

    def states(self) -> Advice:
        """The pure substance among mixtures, or the mixture among pure substances."""
        rest = self.stem
        for phrase in signs().lists["pure"]:
            rest = rest.replace(f" {phrase} ", "  ")
        pure = rest != self.stem
        if says("except", rest):
            pure = not pure
        weighed = []
        for option in self.options:
            found = self.read(option, beside=False)
            if found is None:
                weighed.append(_Weighed(option, None))
                continue
            refusal = found[1].refusal
            there, really = found[0].mixture.substances, found[0].mixture.really
            told = bool(really) or all(self.table.has(one) and self.table.substance(one).formula for one in there)
            single = (
                found[1].status == "nothing-to-separate" and really in _PURE and told
            )  # cement is no pure substance
            why = refusal.reasons[0] if refusal is not None and refusal.reasons else "It is a mixture."
            weighed.append(_Weighed(option, float(single == pure), why, advice=found[1]))
        fits = [one for one in weighed if one.fit]
        return self.of_options(fits if len(fits) == 1 else [], weighed) or self.undecided()

    def of_options(self, fits: Sequence[_Weighed], weighed: Sequence[_Weighed]) -> Advice | None:
        """The answer to the mixture that an answer names; of several that fit alike all are named, but not if all do."""
        if not fits or len(fits) == len(weighed):
            return None
        first = fits[0]
        assert first.advice is not None
        said = self.question
        told = first.advice._replace(asked=said.asked, corrections=said.corrections, asked_techniques=said.techniques)
        told = self.named_by_letter(first, weighed, told)
        return told._replace(option="; ".join([one.shown for one in fits]))

    def principles(self, least: int) -> Advice | None:
        """The principle or use of the technique of the stem; None where the answers do not tell by their words."""
        meant = self.kin(self.named[0], self.stem)
        base = {one.technique: one.weight for one in described(self.stem, meant)}
        weighed = []
        for option in self.options:
            told = described(self.stem + spaced(option.text)[1:], meant)
            gains = [(one.weight - base.get(one.technique, 0), one.technique == meant[0], one) for one in told]
            gain, _, hint = max(gains, key=lambda item: item[:2], default=(0, False, None))
            weighed.append(_Weighed(option, float(gain), hint=hint))
        ranked = sorted(weighed, key=lambda one: -(one.fit or 0))
        if not ranked[0].fit or ranked[0].fit < least or ranked[0].fit == ranked[1].fit or ranked[0].hint is None:
            return None
        if self.excepts:
            return None
        return by_description(self.advice, [ranked[0].hint], self.book)._replace(option=ranked[0].shown)

    def reagents(self) -> Advice:
        """What the plan adds, among the answers; what the stem says without its answers where that does not tell."""
        self.advice = self.described_stem()
        brought = {step.adds for step in self.advice.plan if step.adds}
        fits = []
        for option in self.options:
            found = read_words(option.text, self.table)
            if {self.table.substance(one).name for one in found.mixture.substances if self.table.has(one)} & brought:
                fits.append(_Weighed(option, None))
        if len(fits) == 1 and self.advice.status == "answered":
            return self.named_by_letter(fits[0], fits)
        plan = [step.technique for step in self.advice.plan]
        told = described(self.stem)
        if told and told[0].weight >= _SURE and (len(told) < _READ or told[1].weight < told[0].weight):
            return self.named_by_letter(None, [], by_description(self.advice, told[:1], self.book))
        if self.named and not set(self.named) & set(plan) and not self.excepts:
            hints = described(self.stem, self.named[:1]) or (Described(self.named[0], 0, (), 0),)
            return self.named_by_letter(None, [], by_description(self.advice, hints[:1], self.book))
        return self.named_by_letter(None, []) if self.advice.status == "answered" else self.advice

    def described_stem(self) -> Advice:
        """What the stem would be answered without the answers offered."""
        question = replace(self.question, asked=self.question.stem)
        return answered_by_method(self.advice, question, self.table, self.book)

    # ---- what is said -----------------------------------------------------------------------------------------------

    def named_by_letter(
        self, one: _Weighed | None, weighed: Sequence[_Weighed], advice: Advice | None = None
    ) -> Advice:
        """The answer with the letter and the reason for or against every other answer; without one, that none is it."""
        advice = advice or self.advice
        others = [f"{other.shown}. {other.why}" for other in weighed if other is not one and other.why]
        if one is None:
            none = (
                "None of the answers offered does it."
                if weighed
                else "Which of the answers offered it is, is not known here."
            )
            others.insert(0, none)
        contrast = " ".join([*others] or [advice.contrast])
        return advice._replace(option=one.shown.strip(": ") if one is not None else "", contrast=contrast)

    def in_practice(self) -> Advice | None:
        """The answer that is what is done in practice: by its technique, or by words of its own that complete a fact."""
        facts, stem = self.book.practice, self.stem
        of_stem = practised(facts, stem)
        weighed: list[tuple[Fact, OfferedOption]] = []
        for option in self.options:
            means = self.means(option)
            told = practised(facts, stem, means[0]) if means else practised(facts, stem + spaced(option.text)[1:])
            weighed += [(fact, option) for fact in told if means or fact not in of_stem][:1]
        weighed.sort(key=lambda one: one[0].rank, reverse=True)
        if not weighed or (len(weighed) > 1 and weighed[0][0].rank == weighed[1][0].rank):
            return None
        fact, option = weighed[0]
        return self.named_by_letter(_Weighed(option, None), [], as_done(self.advice, fact, self.table, self.book))

    def undecided(self) -> Advice:
        """Nothing is guessed: what would decide is asked for, unless an answer not known may be what the stem describes."""
        if any(not one.techniques for one in self.options) and self.advice.status != "answered":
            told = self.described_stem()
            if told.status == "answered":
                return self.named_by_letter(None, [], told)
        if self.advice.status in ("unknown", "needs-information"):
            return self.advice
        from choosemethod.advice.answer import MissingFact

        texts = joined([one.text for one in self.options])
        missing = MissingFact(
            f"which of these is meant, or what tells them apart: {texts}", "which answer is the right one"
        )
        return self.advice._replace(
            status="needs-information", plan=(), techniques=(), products=(), alternatives=(), cautions=(), missing=(missing,),
            contrast="", refusal=None,
        )  # fmt: skip

    def answer(self) -> Advice:
        if says("order", self.stem) and all(len(one.techniques) < _READ for one in self.options):
            return self.in_order()
        if any(option.techniques for option in self.options):
            return self.techniques()
        by_words = self.by_words([_Weighed(one, None, hint=self.hint(one, [])) for one in self.options])
        weight = by_words.hint.weight if by_words is not None and by_words.hint is not None else 0
        if self.named:
            tries: tuple[Callable[[], Advice | None], ...] = (
                lambda: self.principles(_ENOUGH), self.mixtures, lambda: self.principles(1),
            )  # fmt: skip
            found = next((found for attempt in tries if (found := attempt()) is not None), None)
            if found is None and by_words is not None and weight >= _SURE:
                found = self.carried_out(by_words, [])
            return found or self.reagents()
        if says("mixed", self.stem) or says("pure", self.stem):
            return self.states()
        if by_words is not None and weight >= (_ENOUGH if self.advice.status != "answered" else _SURE):
            return self.carried_out(by_words, [])
        return self.reagents()


_ASKS = ("which", "what", "following", "all")
_AUXILIARY = ("is", "are", "can", "could", "do", "would", "will", "be", "was", "should")
_RELATIVE = ("that", "which", "whose", "who", "where", "when", "but")


def chosen(advice: Advice, question: Question, table: Table, book: Rulebook) -> Advice:
    """The answer to a multiple choice. advice: the answer to its stem; table: with the described substances."""
    unsafe = advice.refusal is not None and advice.refusal.kind in ("unsafe", "blocked")
    if unsafe or is_dangerous(question, table):
        return advice
    choice = _Choice(advice, question, table, book)
    found = choice.answer()
    return found if found.option or choice.excepts else choice.in_practice() or found
