"""A multiple choice: every answer offered is judged as an answer, and the one that fits is named with its letter.

Offered are techniques or orders of them (judged on the mixture of the stem, or held against what the stem describes),
numbers that stand for several of these (`composed`), mixtures, pure substances, principles or what is added
(`offered_kinds`). Where none, or more than one, can be told from the others, nothing is guessed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from choosemethod.advice.answer import Advice
from choosemethod.advice.method import by_description, is_dangerous
from choosemethod.advice.practice import as_done, only_named
from choosemethod.interpretation.described import Described, asks_name, described, says, signs
from choosemethod.judging.composed import best_order, best_selection
from choosemethod.judging.offer import ENOUGH, FITS, READ, SERVES, SURE, Offer, Weighed
from choosemethod.judging.offered_kinds import brought, mixtures, principles, reagents, states
from choosemethod.judging.paired import pairs
from choosemethod.judging.replay import Given, Judge
from choosemethod.judging.rules import judging
from choosemethod.mixture import OfferedOption, Question
from choosemethod.reading import read_words
from choosemethod.rulebook.book import Rulebook
from choosemethod.rulebook.practice import Fact, practised
from choosemethod.table.names import spaced
from choosemethod.table.table import Table

__all__ = ["chosen", "stated"]

_MOSTLY = 3  # how well it fits: it is acceptable
_CERTAIN = 5  # weight of a description that counts anyhow
_ALIKE = 6  # letters in which a word and the name of a technique agree


class _Choice(Offer):
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
        if not steps and max(alone.values(), default=0) >= ENOUGH:
            among = tuple(slug for slug, weight in alone.items() if weight == max(alone.values()))
            return next((one for one in described(self.stem, among) if one.weight > 0), None)
        told = [one for one in described(self.stem, among, own) if one.weight > 0]
        told = [one for one in told if steps or one.fits or one.technique in alone]
        return max(told, key=lambda one: one.weight + alone.get(one.technique, 0), default=None)

    def fits_itself(self, one: Weighed) -> int:
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
                if step.technique in _alike(means[0]) if means else step.adds and f" {step.adds} " in spaced(one.text):
                    found.append(one)
                    break
        if not found and not any(one.techniques for one in self.options):
            return self.named_by_letter(None, [])  # orders of numbers: which one it is is not read
        if len(found) < max(READ, len(self.advice.plan)):
            return self.undecided()
        return self.advice._replace(option="; ".join([Weighed(one, None).shown for one in found]))

    def weigh(self, judge: Judge | None, option: OfferedOption) -> Weighed:
        """How well the techniques of an answer serve."""
        steps = self.means(option)
        fit, why = None, ""
        if judge is not None and steps:
            verdict = judge.judge([Given(step) for step in steps])
            fit, why = FITS.get(verdict.verdict), verdict.reason
            rest = iter([one.technique for one in self.advice.plan])
            if fit == 0 and all(any(slug in step for slug in rest) for step in steps):
                fit = SERVES  # a step of the best plan that parts nothing by itself
        return Weighed(option, fit, why, self.hint(option, steps))

    def composed(self) -> Advice:
        """The order, or the selection, of other letters that is right."""
        judge = self.judge()
        if says("order", self.stem):
            best, weighed = best_order(self, judge) if judge is not None else (None, [])
            return self.carried_out(best, weighed) if best is not None else self.undecided()
        best, right, weighed = best_selection(self, lambda part: self.weigh(judge, part))
        if best is None:
            return self.undecided()
        first = self.by_plan(right) or right[0]
        return self.named_by_letter(best, weighed, self.carried_out(first, []))

    def techniques(self) -> Advice:
        judge = self.judge()
        weighed = [self.weigh(judge, option) for option in self.options]
        serve = [one for one in weighed if one.fit is not None and one.fit >= SERVES]
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
                kept = Weighed(none, None) if none is not None else None
                return self.named_by_letter(kept, weighed)
            return self.undecided()
        every = next((one for one in self.question.techniques.offered if says("all", spaced(one.text))), None)
        if every is not None and len(serve) == len(weighed):
            first = self.by_plan(serve) or serve[0]
            return self.carried_out(first, [])._replace(option=Weighed(every, SERVES).shown)
        best = self.by_plan(serve)
        words = by_words.hint.weight if by_words is not None and by_words.hint is not None else 0
        clear = best is not None and (best.fit or 0) > SERVES and by_words not in serve
        free = asks_name(self.stem) or by_words in serve
        enough = SURE if self.nameless or (free and not clear) else _CERTAIN
        if by_words is not None and by_words is not best and words >= enough:
            best = by_words
        return self.carried_out(best, weighed) if best is not None else self.undecided()

    def by_words(self, weighed: Sequence[Weighed]) -> Weighed | None:
        """The answer the stem describes, if it is clearly that one; without a letter if several stand for the technique."""
        told = [(one.hint.weight, one.hint.technique, one) for one in weighed if one.hint is not None]
        most = max((weight for weight, _, _ in told), default=0)
        best = [(slug, one) for weight, slug, one in told if weight == most]
        if most < ENOUGH or len({slug for slug, _ in best}) > 1:
            return None
        ranked = sorted((one for _, one in best), key=lambda one: -self.fits_itself(one))
        tie = len(ranked) > 1 and self.fits_itself(ranked[0]) == self.fits_itself(ranked[1])
        return ranked[0]._replace(option=ranked[0].option._replace(letter="", text="")) if tie else ranked[0]

    def by_plan(self, serve: Sequence[Weighed]) -> Weighed | None:
        """The answer that serves best: by its verdict, then what of the best plan it names, then what it is said to be."""
        plan = [step.technique for step in self.advice.plan]

        def order(one: Weighed) -> tuple[float, ...]:
            steps = self.means(one.option)
            alike = [_alike(step) for step in steps]
            met = [next((at for at, slug in enumerate(plan) if slug in step), len(plan)) for step in alike]
            whole = max(met) < len(plan) and met == sorted(met)
            there = sum(at < len(plan) for at in met)
            words = one.hint.weight if one.hint else 0
            named = sum(slug in plan for step in steps for slug in step)  # itself, not by one that counts as it
            return (-(whole or (one.fit or 0) > _MOSTLY), -(one.fit or 0), -there, min(met), -len(steps), -words, -named)

        ranked = sorted(serve, key=order)
        tie = len(ranked) > 1 and order(ranked[0]) == order(ranked[1])
        return None if tie and ranked[0].option.techniques != ranked[1].option.techniques else ranked[0]

    def carried_out(self, one: Weighed, weighed: Sequence[Weighed]) -> Advice:
        """The plan by way of an answer, or what is to be said of its technique where no mixture is planned for."""
        steps = self.means(one.option)
        slugs = tuple(step[0] for step in steps)
        if one.fit is not None and one.fit >= SERVES:
            for advice in (self.advice, self.by_way_of(self.question, slugs)):
                plan = iter([step.technique for step in advice.plan])
                own = advice is self.advice or len(advice.plan) <= len(steps) + 1  # not with a detour
                if own and all(any(slug in step for slug in plan) for step in steps):
                    return self.up_to(len(list(plan)), self.named_by_letter(one, weighed, advice))
        told = one.hint
        names = [told.technique] if told is not None and len(steps) < 2 else list(slugs)
        told = told or Described(slugs[0], 0, (), 0)
        hints = [told._replace(technique=slug) for slug in names]
        return self.named_by_letter(one, weighed, by_description(self.advice, hints, self.book, one.why))

    def up_to(self, more: int, advice: Advice) -> Advice:
        """The plan as far as the answer offered goes. more: steps that it leaves, which are told."""
        before = judging().before
        while more and advice.plan[-more].technique in before.get(advice.plan[-more - 1].technique, ()):
            more -= 1  # what has come down has to be filtered off
        if not more:
            return advice
        rest = ", then ".join([step.name for step in advice.plan[-more:]])
        contrast = f"Still to do where all is to be parted: {rest}. {advice.contrast}".strip()
        return advice._replace(plan=advice.plan[:-more], products=(), contrast=contrast)

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
        return self.named_by_letter(Weighed(option, None), [], as_done(self.advice, fact, self.table, self.book))

    def answer(self) -> Advice:
        if self.question.techniques.paired:
            return pairs(self)
        if any(option.parts for option in self.options):
            return self.composed()
        if says("order", self.stem) and all(len(one.techniques) < READ for one in self.options):
            return self.in_order()
        named = sum(bool(option.techniques) for option in self.options)
        added = brought(self) if 2 * named < len(self.options) else None
        if added is not None or named:
            return added or self.techniques()
        by_words = self.by_words([Weighed(one, None, hint=self.hint(one, [])) for one in self.options])
        weight = by_words.hint.weight if by_words is not None and by_words.hint is not None else 0
        if self.named:
            tries: tuple[Callable[[], Advice | None], ...] = (
                lambda: principles(self, ENOUGH), lambda: mixtures(self), lambda: principles(self, 1),
            )  # fmt: skip
            found = next((found for attempt in tries if (found := attempt()) is not None), None)
            if found is None and by_words is not None and weight >= SURE:
                found = self.carried_out(by_words, [])
            return found or reagents(self)
        if says("mixed", self.stem) or says("pure", self.stem):
            return states(self)
        if by_words is not None and weight >= (ENOUGH if self.advice.status != "answered" else SURE):
            return self.carried_out(by_words, [])
        return reagents(self)


def _alike(slugs: Sequence[str]) -> set[str]:
    """Techniques and those that the judging takes for the same."""
    counts_as = {same.said: same.others for same in judging().same}
    return {*slugs, *(other for slug in slugs for other in counts_as.get(slug, ()))}


def stated(advice: Advice, question: Question, table: Table, book: Rulebook) -> Advice:
    """The answer to whether a statement is true that names one technique for what is there: with the verdict, if it is clear."""
    named = dict.fromkeys((*question.techniques.required, *question.techniques.asked_about, *question.techniques.tried))
    if advice.status != "answered" or len(named) != 1:
        return advice
    choice = _Choice(advice, question, table, book)
    verdict = choice.weigh(choice.judge(), OfferedOption("", choice.stem, tuple(named)))
    if verdict.fit is None or verdict.fit == SERVES:
        return advice
    said = "true" if verdict.fit else "false"
    told = advice if not verdict.fit else choice.carried_out(verdict, [])
    return told._replace(option=said, contrast=f"{verdict.why} {told.contrast}".strip() if not verdict.fit else told.contrast)


def chosen(advice: Advice, question: Question, table: Table, book: Rulebook) -> Advice:
    """The answer to a multiple choice. advice: the answer to its stem; table: with the described substances."""
    choice, refusal = _Choice(advice, question, table, book), advice.refusal
    if is_dangerous(question, table) or (refusal is not None and refusal.kind == "blocked"):
        return advice
    if refusal is not None and refusal.kind == "unsafe":
        named = None if choice.excepts else choice.in_practice()
        return only_named(named, refusal) if named is not None else advice
    found = choice.answer()
    return found if found.option or choice.excepts else choice.in_practice() or found
