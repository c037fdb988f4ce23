"""The questions that can be asked of a mixture, each made with its key from what the rules and the table say."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence

from choosemethod.classroom.items import Choice, Item, Point, fill, identifier
from choosemethod.classroom.levels import Level, sentence
from choosemethod.classroom.materials import Mistake, TopicMixture, materials
from choosemethod.classroom.truth import Truth, Wrong
from choosemethod.facts import Fact
from choosemethod.quantity import show

__all__ = [
    "ask_choose",
    "ask_first_over",
    "ask_layer",
    "ask_mistake",
    "ask_order",
    "ask_procedure",
    "ask_why_not",
    "listed_mixture",
    "mistakes_of",
    "source_titles",
    "wrong_options",
]

LETTERS = "ABCDEFGHIJ"
_SHOWN_STEPS = 6  # steps of a procedure shown at a time
_CLEAR_DENSITY = 20.0  # kg/m3 between layers that is asked about
_CLEAR_BOILING = 5.0  # K between liquids that is asked about


def _wording(kind: str, *keys: str) -> str:
    texts = materials().questions[kind]
    return next(texts[key] for key in keys if key in texts)


def source_titles(truth: Truth, keys: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """(key, title) of source keys, each once, those unknown to the table left out."""
    known = set(truth.table.source_keys())
    return tuple((key, truth.table.source(key).title) for key in dict.fromkeys(keys) if key in known)


def listed_mixture(asked: TopicMixture) -> str:
    """The mixture as a question names it."""
    return asked.words


def _wanted(asked: TopicMixture) -> str:
    return " and ".join(asked.want)


def _named(truth: Truth, level: Level) -> bool:
    """Whether the level names every technique of the best plan."""
    return all(level.allows(truth.book.techniques[slug]) for slug in truth.slugs())


def _lettered(choices: Sequence[Choice]) -> tuple[Choice, ...]:
    return tuple(
        Choice(LETTERS[index], choice.text, choice.right, choice.reason, choice.rule, choice.technique)
        for index, choice in enumerate(choices)
    )


def _item(
    kind: str,
    asked: TopicMixture,
    level: Level,
    truth: Truth,
    stem: str,
    answer: str,
    points: tuple[Point, ...],
    *,
    technique: str,
    sources: Iterable[str],
    choices: tuple[Choice, ...] = (),
    lines: tuple[str, ...] = (),
    orders: tuple[tuple[str, ...], ...] = (),
    data: tuple[tuple[str, str], ...] = (),
) -> Item:
    """A question about a mixture at a level; its id comes from the stem and the lines (or else the choices).

    kind, stem, answer, points, choices, lines, orders, technique, data: as in `Item`; sources: keys, those unknown to
    the table are left out.
    """
    return Item(
        identifier(kind, stem, *(lines or [choice.text for choice in choices])),
        kind,
        stem,
        answer,
        points,
        level.name,
        asked.topic,
        asked.words,
        asked.want,
        lines,
        choices,
        orders,
        technique=technique,
        sources=source_titles(truth, sources),
        data=data,
    )


def wrong_options(truth: Truth, level: Level, best: str) -> list[Wrong]:
    """The wrong techniques to offer: those usually taken for the right one first, then the rest in trade order."""
    wrong = {slug: one for slug, one in truth.wrong().items() if level.allows(one.technique)}
    likely = [slug for slug in materials().confusions.get(best, ()) if slug in wrong]
    others = sorted(set(wrong).difference(likely), key=lambda slug: (wrong[slug].technique.order, slug))
    usual = {slug for slugs in materials().confusions.values() for slug in slugs}
    return [wrong[slug] for slug in (*likely, *[slug for slug in others if slug in usual])]


def _take_wrong(truth: Truth, level: Level, best: str, count: int, rng: random.Random) -> list[Wrong]:
    """Some of the wrong options that the judge calls wrong too; the likeliest are taken oftenest."""
    pool = wrong_options(truth, level, best)
    taken: list[Wrong] = []
    names: set[str] = {level.technique(truth.book.techniques[best]).lower()}
    while pool and len(taken) < count:
        one = pool.pop(min(int(rng.expovariate(0.45)), len(pool) - 1))
        name = level.technique(one.technique).lower()
        if name not in names and truth.judged_wrong(one.technique.id):
            names.add(name)
            taken.append(one)
    return taken


# ---- choose the technique --------------------------------------------------------------------------------------------


def ask_choose(truth: Truth, asked: TopicMixture, level: Level, rng: random.Random) -> Item | None:
    """Which technique (or first step) serves; None if the level does not name it or too few wrong ones are sure."""
    best = truth.first
    technique = best.technique
    if not _named(truth, level):
        return None
    taken = _take_wrong(truth, level, technique.id, level.choices - 1, rng)
    if len(taken) < min(2, level.choices - 1):
        return None
    reason = level.say(truth.reason(best))
    right = Choice("", sentence(level.technique(technique)), True, reason, best.firings[0].rule.id, technique.id)
    options = [right]
    options += [
        Choice("", sentence(level.technique(one.technique)), False, level.say(one.reason), one.rule, one.technique.id)
        for one in taken
    ]
    rng.shuffle(options)
    choices = _lettered(options)
    several = len(truth.slugs()) > 1
    primary = f"-{level.name}"
    keys = (
        (("first-want",) if asked.want else ("first",))
        if several
        else ((f"want{primary}", "want") if asked.want else (level.name or "every", "every"))
    )
    stem = fill(_wording("choose", *keys), mixture=listed_mixture(asked), want=_wanted(asked))
    rules = truth.book.rules
    keys_of_sources = [rules[choice.rule].source for choice in choices if choice.rule in rules] + [technique.source]
    key = next(choice for choice in choices if choice.right)
    return _item(
        "choose",
        asked,
        level,
        truth,
        stem,
        f"{key.id}. {key.text}. {reason}",
        (Point(f"{key.text} ({key.id})"),),
        choices=choices,
        technique=technique.id,
        sources=keys_of_sources,
    )


# ---- put in order ----------------------------------------------------------------------------------------------------


def _mixed(count: int, rng: random.Random) -> list[int]:
    """Places in an order that is not the right one."""
    places = list(range(count))
    while places == sorted(places):
        rng.shuffle(places)
    return places


def ask_order(truth: Truth, asked: TopicMixture, level: Level, rng: random.Random) -> Item | None:
    """Put the techniques of the plan in order; None unless there are three or more and every working order is known."""
    own = truth.slugs()
    if len(own) < 3 or not _named(truth, level):
        return None
    orders = truth.orders()
    if not orders:
        return None
    places = _mixed(len(own), rng)
    while tuple(own[place] for place in places) in orders:
        rng.shuffle(places)
    letters = {own[place]: LETTERS[index] for index, place in enumerate(places)}
    choices = tuple(
        Choice(LETTERS[index], sentence(level.technique(truth.book.techniques[own[place]])), technique=own[place])
        for index, place in enumerate(places)
    )
    accepted = tuple(tuple(letters[slug] for slug in order) for order in orders)
    stem = fill(_wording("order", "plan"), mixture=listed_mixture(asked))
    names = ", then ".join(level.technique(truth.book.techniques[slug]) for slug in own)
    reasons = [level.say(line) for step in truth.steps() for line in step.reasons[:1]]
    points = (Point("the steps in an order that works: " + " or ".join(" ".join(order) for order in accepted), 2),)
    return _item(
        "order",
        asked,
        level,
        truth,
        stem,
        f"{' '.join(accepted[0])}: {names}. {' '.join(reasons)}",
        points,
        choices=choices,
        orders=accepted,
        technique=own[0],
        sources=[truth.book.techniques[slug].source for slug in own],
    )


def ask_procedure(truth: Truth, asked: TopicMixture, level: Level, rng: random.Random) -> Item | None:
    """Put steps of a technique in order; None if there is no such procedure or its steps are not the technique's."""
    for step in truth.steps():
        order = materials().orders.get(step.technique)
        technique = truth.book.techniques[step.technique]
        if order is None or not level.allows(technique):
            continue
        places = [next((i for i, line in enumerate(step.steps) if words in line), -1) for _, words in order.steps]
        said = [text for (text, _), place in zip(order.steps, places, strict=True) if place >= 0]
        found = [place for place in places if place >= 0]
        if len(found) < 4 or found != sorted(set(found)):
            continue
        count = min(len(said), 4 if level.name == "primary" else 5)
        kept = sorted(rng.sample(range(len(said)), count))
        lines = [level.say(said[place]) for place in kept]
        mixed = _mixed(count, rng)
        choices = tuple(Choice(LETTERS[index], lines[place]) for index, place in enumerate(mixed))
        accepted = tuple(LETTERS[mixed.index(place)] for place in range(count))
        stem = fill(_wording("order", "procedure"), technique=level.technique(technique))
        return _item(
            "order",
            asked,
            level,
            truth,
            stem,
            f"{' '.join(accepted)}. {level.say(order.because)}",
            (Point(f"the order {' '.join(accepted)}", 2), Point(level.say(order.because), 0)),
            choices=choices,
            orders=(accepted,),
            technique=technique.id,
            sources=[technique.source],
        )
    return None


# ---- layers and boiling ----------------------------------------------------------------------------------------------


def _liquid_pair(truth: Truth) -> Fact | None:
    """The pair fact of the only two liquids of a mixture of two components, the first key first; None otherwise."""
    if truth.look is None or len(truth.components()) != 2:
        return None
    if any(fact.slots["form"] != "liquid" for fact in truth.components()):
        return None
    return truth.look.facts["pair"][0]


def ask_layer(truth: Truth, asked: TopicMixture, level: Level, rng: random.Random) -> Item | None:
    """Which liquid is the lower (or upper) layer; None unless two liquids do not mix and both densities are known."""
    pair = _liquid_pair(truth)
    if pair is None or pair.slots["same_layer"] != "no" or pair.slots["miscibility"] != "no":
        return None
    names = {end: str(pair.slots[f"{end}_name"]) for end in ("first", "second")}
    densities = {end: pair.slots[f"{end}_density"] for end in ("first", "second")}
    first, second = densities["first"], densities["second"]
    if not isinstance(first, float) or not isinstance(second, float) or abs(first - second) < _CLEAR_DENSITY:
        return None
    low, up = ("first", "second") if first > second else ("second", "first")
    place = rng.choice(("lower", "upper"))
    right, other = (low, up) if place == "lower" else (up, low)
    shown = {end: show(float(densities[end] or 0.0), "density") for end in names}  # type: ignore[arg-type]
    text = materials().questions["layer"]
    why = fill(text["why"], lower=names[low], upper=names[up], lower_density=shown[low], upper_density=shown[up])
    relation = "less than" if right == low else "more than"
    not_other = fill(
        text["not-other"],
        other=sentence(names[other]),
        other_density=shown[other],
        relation=relation,
        right=names[right],
        right_density=shown[right],
    )
    options = [
        Choice("", sentence(names[right]), True, sentence(why)),
        Choice("", sentence(names[other]), False, not_other),
    ]
    fillers = [Choice("", text[key], False, text[f"not-{key}"]) for key in ("one", "poured", "amount")]
    options += rng.sample(fillers, level.choices - 2)
    rng.shuffle(options)
    choices = _lettered(options)
    ends = [names["first"], names["second"]]
    rng.shuffle(ends)
    stem = fill(text["every"], first=sentence(ends[0]), second=ends[1], place=place)
    key = next(choice for choice in choices if choice.right)
    sources = [e.source for end in names if (e := pair.evidence.get(f"{end}_density")) is not None]
    for fact in truth.components():
        if "density" in fact.evidence:
            sources.append(fact.evidence["density"].source)
    ids = {end: str(pair.slots[f"{end}_substance"]) for end in names}
    return _item(
        "layer",
        asked,
        level,
        truth,
        stem,
        f"{key.id}. {key.text}. {sentence(why)}",
        (Point(f"{key.text} ({key.id})"),),
        choices=choices,
        technique=truth.slugs()[0],
        sources=sources,
        data=(("right", ids[right]), ("other", ids[other]), ("place", place)),
    )


def ask_first_over(truth: Truth, asked: TopicMixture, level: Level, rng: random.Random) -> Item | None:
    """Which liquid distils first; None unless they mix, boil clearly apart and are known to form no azeotrope."""
    pair = _liquid_pair(truth)
    distilled = any("distillation" in slug for slug in truth.slugs())
    if pair is None or not distilled or pair.slots["azeotrope"] != "none" or pair.slots["miscibility"] != "fully":
        return None
    points = {end: pair.slots[f"{end}_boiling_point"] for end in ("first", "second")}
    one, two = points["first"], points["second"]
    if not isinstance(one, float) or not isinstance(two, float) or abs(one - two) < _CLEAR_BOILING:
        return None
    low, high = ("first", "second") if one < two else ("second", "first")
    names = {end: str(pair.slots[f"{end}_name"]) for end in ("first", "second")}
    places = {
        "low": names[low],
        "high": names[high],
        "low_boiling": show(min(one, two), "temperature"),
        "high_boiling": show(max(one, two), "temperature"),
    }
    text = materials().questions["first-over"]
    why = sentence(fill(text["why"], **places))
    options = [
        Choice("", sentence(names[low]), True, why),
        Choice("", sentence(names[high]), False, sentence(fill(text["not-other"], **places))),
    ]
    fillers = [Choice("", text[key], False, fill(text[f"not-{key}"], **places)) for key in ("both", "denser", "heated")]
    options += rng.sample(fillers, level.choices - 2)
    rng.shuffle(options)
    choices = _lettered(options)
    ends = [names["first"], names["second"]]
    rng.shuffle(ends)
    stem = fill(text["every"], first=ends[0], second=ends[1])
    key = next(choice for choice in choices if choice.right)
    sources = [fact.evidence["boiling_point"].source for fact in truth.components() if "boiling_point" in fact.evidence]
    return _item(
        "first-over",
        asked,
        level,
        truth,
        stem,
        f"{key.id}. {key.text}. {why}",
        (Point(f"{key.text} ({key.id})"),),
        choices=choices,
        technique=truth.slugs()[0],
        sources=sources,
        data=(("right", str(pair.slots[f"{low}_substance"])), ("other", str(pair.slots[f"{high}_substance"]))),
    )


# ---- spot the mistake ------------------------------------------------------------------------------------------------


def mistakes_of(truth: Truth, level: Level) -> list[tuple[int, int, Mistake]]:
    """Every mistake that can be made in the plan's own steps: (number of the plan step, place of its line, mistake)."""
    present = truth.components()
    found = []
    for number, step in enumerate(truth.steps()):
        if not level.allows(truth.book.techniques[step.technique]):
            continue
        for mistake in materials().mistakes.get(step.technique, ()):
            if not all(any(fact.slots.get(slot) == "yes" for fact in present) for slot in mistake.needs):
                continue
            place = next((i for i, line in enumerate(step.steps) if mistake.step in line), None)
            if place is not None and len(step.steps) >= 3:
                found.append((number, place, mistake))
    return found


def ask_mistake(
    truth: Truth, asked: TopicMixture, level: Level, rng: random.Random, which: tuple[int, int, Mistake]
) -> Item:
    """Find the one wrong step among the technique's own. which: one of `mistakes_of`."""
    number, place, mistake = which
    step = truth.steps()[number]
    lines = [mistake.instead if index == place else line for index, line in enumerate(step.steps)]
    count = min(len(lines), 4 if level.name == "primary" else _SHOWN_STEPS)
    begin = rng.randint(max(0, place - count + 1), min(place, len(lines) - count))
    shown = tuple(level.say(line) for line in lines[begin : begin + count])
    text = materials().questions["mistake"]
    right = place - begin
    why = level.say(mistake.why)
    choices = tuple(
        Choice(
            LETTERS[index],
            fill(text["choice"], number=str(index + 1)),
            index == right,
            why if index == right else text["other"],
        )
        for index in range(count)
    )
    technique = truth.book.techniques[step.technique]
    stem = fill(text["every"], technique=level.technique(technique), mixture=listed_mixture(asked))
    own = level.say(step.steps[place])
    return _item(
        "mistake",
        asked,
        level,
        truth,
        stem,
        f"Step {right + 1}. {why} Right would be: {own}",
        (Point(f"step {right + 1}"), Point(why)),
        choices=choices,
        lines=shown,
        technique=technique.id,
        sources=[technique.source, mistake.source],
        data=(("right step", own), ("danger", "yes" if mistake.danger else "no")),
    )


# ---- explain why not -------------------------------------------------------------------------------------------------


def ask_why_not(truth: Truth, asked: TopicMixture, level: Level, which: Wrong) -> Item | None:
    """Explain why a technique is wrong; None if the judge does not agree, or the level does not name the right one."""
    best = truth.first
    if not _named(truth, level) or not truth.judged_wrong(which.technique.id):
        return None
    text = materials().questions["why-not"]
    stem = fill(
        text["want" if asked.want else "every"],
        technique=level.technique(which.technique),
        mixture=listed_mixture(asked),
        want=_wanted(asked),
    )
    reason = level.say(which.reason)
    better = level.say(truth.reason(best))
    names = ", then ".join(level.technique(truth.book.techniques[slug]) for slug in truth.slugs())
    rule = truth.book.rules[which.rule]
    return _item(
        "why-not",
        asked,
        level,
        truth,
        stem,
        f"{reason} Better: {names}. {better}",
        (Point(fill(text["reason"], reason=reason), 2), Point(fill(text["better"], technique=names, reason=better))),
        technique=which.technique.id,
        sources=[rule.source, truth.book.rules[best.firings[0].rule.id].source],
        data=(("rule", which.rule), ("better", best.technique.id)),
    )
