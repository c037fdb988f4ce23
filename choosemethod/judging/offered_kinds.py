"""Answers offered that are no techniques: mixtures that the technique of the stem serves for, pure substances among
mixtures, principles or uses of a technique, and what is added."""

from __future__ import annotations

from dataclasses import replace

from choosemethod.advice.answer import Advice
from choosemethod.advice.method import by_description
from choosemethod.interpretation.described import Described, described, says, signs
from choosemethod.judging.answers import bringing_in
from choosemethod.judging.offer import FITS, READ, SERVES, SURE, Offer, Weighed
from choosemethod.judging.replay import Given, Judge
from choosemethod.judging.rules import judging
from choosemethod.mixture import OfferedOption
from choosemethod.reading import read_words
from choosemethod.table.names import spaced

__all__ = ["brought", "mixtures", "principles", "reagents", "states"]

_FIRST = 5  # how well it fits: it is the first step of the best plan
_PURE = ("", "compound", "element", "one substance")


def mixtures(offer: Offer) -> Advice | None:
    """The mixture that the technique of the stem serves for (or does not); None if the answers are no mixtures."""
    slug = offer.named[0]
    meant = offer.kin(slug, offer.stem)
    weighed = []
    for option in offer.options:
        found = offer.read(option)
        if found is None:
            weighed.append(Weighed(option, None))
            continue
        verdict = Judge(offer.composer(found[0])).judge([Given(meant)])
        fit: float | None = FITS.get(verdict.verdict)
        plan = [step.technique for step in found[1].plan]
        if fit and plan[0] in meant:
            fit = _FIRST
        weighed.append(Weighed(option, fit, verdict.reason, advice=found[1]))
        if found[1].plan and not set(plan) & set(meant) and fit:
            weighed[-1] = weighed[-1]._replace(advice=offer.by_way_of(found[0], (slug,)))
    known = [one for one in weighed if one.fit is not None]
    if len(known) < READ:
        return None
    most = max(one.fit or 0 for one in known)
    if offer.excepts:
        fits = [one for one in known if one.fit == 0] if len(known) == len(weighed) else []
    else:
        fits = [one for one in known if one.fit == most and most >= SERVES]
    return offer.of_options(fits, weighed)


def states(offer: Offer) -> Advice:
    """The pure substance among mixtures, or the mixture among pure substances."""
    rest = offer.stem
    for phrase in signs().lists["pure"]:
        rest = rest.replace(f" {phrase} ", "  ")
    pure = rest != offer.stem
    if says("except", rest):
        pure = not pure
    weighed = []
    for option in offer.options:
        found = offer.read(option, beside=False)
        if found is None:
            weighed.append(Weighed(option, None))
            continue
        refusal = found[1].refusal
        there, really = found[0].mixture.substances, found[0].mixture.really
        told = bool(really) or all(offer.table.has(one) and offer.table.substance(one).formula for one in there)
        single = found[1].status == "nothing-to-separate" and really in _PURE and told  # cement is no pure substance
        why = refusal.reasons[0] if refusal is not None and refusal.reasons else "It is a mixture."
        weighed.append(Weighed(option, float(single == pure), why, advice=found[1]))
    fits = [one for one in weighed if one.fit]
    return offer.of_options(fits if len(fits) == 1 else [], weighed) or offer.undecided()


def principles(offer: Offer, least: int) -> Advice | None:
    """The principle or use of the technique of the stem; None where the answers do not tell by their words."""
    meant = offer.kin(offer.named[0], offer.stem)
    base = {one.technique: one.weight for one in described(offer.stem, meant)}
    weighed = []
    for option in offer.options:
        told = described(offer.stem + spaced(option.text)[1:], meant)
        gains = [(one.weight - base.get(one.technique, 0), one.technique == meant[0], one) for one in told]
        gain, _, hint = max(gains, key=lambda item: item[:2], default=(0, False, None))
        weighed.append(Weighed(option, float(gain), hint=hint))
    ranked = sorted(weighed, key=lambda one: -(one.fit or 0))
    if not ranked[0].fit or ranked[0].fit < least or ranked[0].fit == ranked[1].fit or ranked[0].hint is None:
        return None
    if offer.excepts:
        return None
    return by_description(offer.advice, [ranked[0].hint], offer.book)._replace(option=ranked[0].shown)


def _serves(judge: Judge, adding: tuple[str, ...], ids: tuple[str, ...]) -> tuple[float, str, str]:
    """How well a technique serves with what an answer brings in, why, and which: by what is known of drying agents and of
    what helps a distillation, or as the step of an answer."""
    facts, ways = judge.planner.look(judge.start).facts, judging().brings_in
    for kind, slot in (("dryer", "substance"), ("help", "with")):
        for fact in facts.get(kind, ()):
            if fact.slots[slot] in ids:
                suits = fact.slots.get("suits", "yes") == "yes"
                why = str(fact.slots.get("because") or fact.slots.get("note") or "")
                return FITS["right"] if suits else 0, why, ways.get(str(fact.slots.get("by", kind)), "")
    if adding == (ways.get("dryer"),):
        return 0, "It is not known here to dry it.", ""
    verdict = judge.judge([Given(adding, adds=ids)])
    return FITS.get(verdict.verdict, 0), verdict.reason, next((one.technique for one in verdict.steps), "")


def _as_added(offer: Offer, judge: Judge, option: OfferedOption) -> Weighed:
    """How well an answer serves that names what is brought in for a technique of the plan."""
    able = bringing_in(offer.book)
    adding = tuple(step.technique for step in offer.advice.plan if step.technique in able)
    found = read_words(option.text, offer.table)
    there = [offer.table.substance(c.substance).name for c in offer.question.mixture.components]
    beside = read_words(f"{' and '.join(there)}, using {option.text}", offer.table).reagents
    ids = beside or found.mixture.substances or found.reagents  # beside ions an alkali is its solution
    ids = tuple(one for one in ids if len(ids) == 1 or one not in offer.question.mixture.substances)
    if not ids or found.unknown or set(ids) & {*found.given, *offer.question.given}:
        return Weighed(option, None)
    fit, why, slug = _serves(judge, adding or tuple(able), ids)
    plan = [step.technique for step in offer.advice.plan]
    way = offer.by_way_of(offer.question, (slug,)) if fit and slug and slug not in plan else None
    if fit >= FITS["right"] and slug in plan and beside:
        way = offer.composer(replace(offer.question, reagents=beside)).answer(())  # the plan with what is chosen
    return Weighed(option, fit, why if adding or fit else "", advice=way if way is not None and way.plan else None)


def brought(offer: Offer) -> Advice | None:
    """What is brought in for the plan, among the answers; None if they are no such things or cannot be told apart."""
    if offer.advice.status != "answered":
        return None
    judge = Judge(offer.composer(replace(offer.question, asked=offer.question.stem)))  # what is offered is not there yet
    weighed = [_as_added(offer, judge, option) for option in offer.options]
    known = [one.fit for one in weighed if one.fit is not None]
    sought = 0 if offer.excepts else max(known, default=0)
    fits = [one for one in weighed if one.fit == sought]
    if len(known) < READ or len(fits) == len(weighed) or not max(known) or (sought < SERVES and not offer.excepts):
        return None
    if len(fits) > 1 and sought <= SERVES:
        return None  # several begin it, none does it
    told = offer.named_by_letter(fits[0], [one for one in weighed if one not in fits], fits[0].advice)
    why = [f"{one.shown}. {one.why}" for one in fits if one.why]
    return told._replace(option="; ".join([one.shown for one in fits]), contrast=" ".join([*why, told.contrast]).strip())


def reagents(offer: Offer) -> Advice:
    """What the stem says without its answers, where which of them it is cannot be told."""
    offer.advice = offer.described_stem()
    plan = [step.technique for step in offer.advice.plan]
    told = described(offer.stem)
    if told and told[0].weight >= SURE and (len(told) < READ or told[1].weight < told[0].weight):
        return offer.named_by_letter(None, [], by_description(offer.advice, told[:1], offer.book))
    if offer.named and not set(offer.named) & set(plan) and not offer.excepts:
        hints = described(offer.stem, offer.named[:1]) or (Described(offer.named[0], 0, (), 0),)
        return offer.named_by_letter(None, [], by_description(offer.advice, hints[:1], offer.book))
    return offer.named_by_letter(None, []) if offer.advice.status == "answered" else offer.advice
