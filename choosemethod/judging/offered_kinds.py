"""Answers offered that are no techniques: mixtures that the technique of the stem serves for, pure substances among
mixtures, principles or uses of a technique, and what is added."""

from __future__ import annotations

from choosemethod.advice.answer import Advice
from choosemethod.advice.method import by_description
from choosemethod.interpretation.described import Described, described, says, signs
from choosemethod.judging.offer import FITS, READ, SERVES, SURE, Offer, Weighed
from choosemethod.judging.replay import Given, Judge
from choosemethod.reading import read_words
from choosemethod.table.names import spaced

__all__ = ["mixtures", "principles", "reagents", "states"]

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


def reagents(offer: Offer) -> Advice:
    """What the plan adds, among the answers; what the stem says without its answers where that does not tell."""
    offer.advice = offer.described_stem()
    brought = {step.adds for step in offer.advice.plan if step.adds}
    fits = []
    for option in offer.options:
        found = read_words(option.text, offer.table)
        if {offer.table.substance(one).name for one in found.mixture.substances if offer.table.has(one)} & brought:
            fits.append(Weighed(option, None))
    if len(fits) == 1 and offer.advice.status == "answered":
        return offer.named_by_letter(fits[0], fits)
    plan = [step.technique for step in offer.advice.plan]
    told = described(offer.stem)
    if told and told[0].weight >= SURE and (len(told) < READ or told[1].weight < told[0].weight):
        return offer.named_by_letter(None, [], by_description(offer.advice, told[:1], offer.book))
    if offer.named and not set(offer.named) & set(plan) and not offer.excepts:
        hints = described(offer.stem, offer.named[:1]) or (Described(offer.named[0], 0, (), 0),)
        return offer.named_by_letter(None, [], by_description(offer.advice, hints[:1], offer.book))
    return offer.named_by_letter(None, []) if offer.advice.status == "answered" else offer.advice
