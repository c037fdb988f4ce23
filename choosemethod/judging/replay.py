"""Judge: whether a given sequence of techniques answers a question, and why.

The answer is replayed on the mixture: each step must be one that some rule proposes for a product that is there at that
point, or a helper step that rules/judging.yaml lets pass. What the steps reach is compared with the best plan.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice

from choosemethod.advice.answer import Advice
from choosemethod.advice.compose import Composer
from choosemethod.advice.nearest import unknown_only
from choosemethod.advice.plan import Look, Plan, Proposal
from choosemethod.advice.wording import joined, sentence, shown_slot
from choosemethod.facts import KINDS, Fact
from choosemethod.judging.rules import Judging, Same, judging
from choosemethod.mixture import Component
from choosemethod.rulebook.engine import Firing
from choosemethod.rulebook.language import Rule
from choosemethod.table.names import normalise

__all__ = ["Given", "Judge", "Judgement", "Taken", "judge"]

_BRINGS = ("solvent", "extractant", "reagent", "absorbent", "dryer")  # kinds of fact about what a step could bring in
_DOES = (
    ("takes", "takes up {}"),
    ("dissolves", "dissolves {}"),
    ("leaves", "leaves {} as before"),
    ("undecided", "does to {} what is not known here"),
)
_LONGEST_THING = 4  # words of the name of a mixture inside a question
_MOST_BINDINGS = 24  # ways in which a rule finds its facts that are looked at
_RIGHT, _ACCEPTABLE, _INCOMPLETE, _WRONG = range(4)
_NAMED = ("right", "acceptable", "incomplete", "wrong")


@dataclass(frozen=True, slots=True)
class Given:
    """One step of an answer.

    slugs: the technique (several: any of them is meant); kinds: others the word may stand for, which would have to be
    named; adds: ids of what the answer says is brought in, or *organic, *acid, *base; words: as written.
    """

    slugs: tuple[str, ...]
    kinds: tuple[str, ...] = ()
    adds: tuple[str, ...] = ()
    words: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """What a step of the answer was taken as.

    said: slug said ("" for one left unsaid); technique: slug it counts as; note: "", "counts as", "left unsaid",
    "helper step" or "not needed"; rule: the rule that proposes it.
    """

    said: str
    technique: str
    note: str = ""
    rule: str = ""


@dataclass(frozen=True, slots=True)
class Judgement:
    """A verdict (see choosemethod.judging.rules.VERDICTS) with its reason.

    rule, source: what decides, "" if no rule does; best: slugs of the best plan; stands: how the question stands (see
    STANDS); steps: what the answer's steps were taken as; left: slugs of what is still to be done; missing: what would
    have to be known; rejects: the technique that fails, "" if none does; acted: what each step was carried out on.
    """

    verdict: str
    reason: str
    rule: str = ""
    source: str = ""
    best: tuple[str, ...] = ()
    stands: str = "answered"
    steps: tuple[Taken, ...] = ()
    left: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    rejects: str = ""
    acted: tuple[tuple[Look, Proposal], ...] = field(default=(), compare=False, repr=False)


Components = tuple[Component, ...]


def _place(components: Components) -> tuple[tuple[str, ...], ...]:
    return tuple((c.substance, c.form, c.host, str(c.added), str(c.trace), c.reacted) for c in components)


@dataclass(frozen=True, slots=True)
class _State:
    """Where a replay stands: products to be worked on and finished ones, what the steps scored and were taken as."""

    open: tuple[Components, ...]
    done: tuple[Components, ...] = ()
    score: float = 0.0
    taken: tuple[Taken, ...] = ()
    acted: tuple[tuple[Look, Proposal], ...] = ()
    extra: bool = False  # a step was not needed
    named: bool = True  # no general word had to be read as another kind


@dataclass(frozen=True, slots=True)
class _Meant:
    """A proposal a step of an answer may be. named: the word said is precise; weaker: it is acceptable at best."""

    proposal: Proposal
    slug: str
    named: bool = True
    weaker: bool = False


@dataclass(slots=True)
class _End:
    """A replay that came to the end of the answer."""

    rank: int
    total: float
    state: _State
    left: tuple[tuple[Components, Plan], ...]


@dataclass(slots=True)
class _Replay:
    """One answer on its way through the states."""

    given: Sequence[Given]
    tries: int
    seen: set[object] = field(default_factory=set)
    ends: list[_End] = field(default_factory=list)
    failed: tuple[int, _State] | None = None
    danger: tuple[int, _State] | None = None  # where what a step brings in would meet something it must not


class Judge:
    """Judges answers to one question; the mixtures looked at are kept from answer to answer."""

    def __init__(self, composer: Composer, rules: Judging | None = None) -> None:
        self.composer = composer
        self.rules = rules or judging()
        self.planner = composer.planner
        self.book = composer.book
        self.advice: Advice = composer.answer()
        self.start: Components = self.planner.start()
        self.stands = self._stands()
        plans = [plan for _, plan in self.planner.plans()] if self.stands == "answered" else []
        self.plan: Plan | None = next(iter([plan for plan in plans if not plan.together] or plans), None)
        self._second: dict[tuple[Components, str], list[Proposal]] = {}
        self._held_back: dict[str, list[Rule]] = {}
        for rule in self.book.stage("selection"):
            relaxed = self._relaxed(rule)
            better = bool(rule.unless) and all(pattern.kind in _BRINGS for pattern in rule.unless)
            if relaxed is not rule or better:
                self._held_back.setdefault(rule.says[0], []).append(relaxed)
        self._same: dict[str, list[Same]] = {}
        for same in self.rules.same:
            self._same.setdefault(same.said, []).append(same)
        self.things = self._named_things()

    def _stands(self) -> str:
        advice = self.advice
        if advice.status == "refused":
            return advice.refusal.kind if advice.refusal is not None else "not-separable"
        return "ask" if advice.status == "needs-information" else advice.status

    def _relaxed(self, rule: Rule) -> Rule:
        """A rule without the conditions that say what is preferred; the rule itself if it has none."""
        wished = bool(self.composer.question.wish.want)
        find = []
        for pattern in rule.find:
            slots = self.rules.preferences.get(pattern.kind, ())
            # what is asked for is no mere preference where something is
            tests = tuple(t for t in pattern.tests if t.slot not in slots or (wished and t.slot == "asked_for"))
            find.append(pattern._replace(tests=tests) if len(tests) < len(pattern.tests) else pattern)
        return rule._replace(find=tuple(find)) if tuple(find) != rule.find else rule

    def _named_things(self) -> tuple[frozenset[str], ...]:
        """Ids of what makes up each mixture that the question names beside something else ("the sea water" of an oil spill)."""
        table = self.composer.table
        words = normalise(self.composer.question.asked).split()
        whole = set(self.composer.question.mixture.substances)
        found: dict[frozenset[str], None] = {}
        runs = [
            " ".join(words[first:last])
            for first in range(len(words))
            for last in range(first + 1, min(first + _LONGEST_THING, len(words)) + 1)
        ]
        self._said = apart = {name.id for run in runs if (name := table.name(run, "substance")) is not None}
        for run in runs:
            name = table.name(run, "mixture")
            if name is not None:
                parts = frozenset(part.substance for part in table.mixture(name.id).components)
                rest = parts if whole - parts else parts - apart
                if len(rest) > 1 and whole - rest:
                    found.setdefault(rest)
        return tuple(found)

    @property
    def best(self) -> tuple[str, ...]:
        """Slugs of the best plan; empty if there is none."""
        return tuple(step.technique for step in self.advice.plan)

    def name(self, slug: str) -> str:
        """A technique's name."""
        technique = self.book.techniques.get(slug)
        return technique.name if technique is not None else slug

    def names(self, slugs: Sequence[str]) -> str:
        """Techniques in their order, in words."""
        return ", then ".join(self.name(slug) for slug in slugs)

    def best_text(self) -> str:
        """The best answer in words: the best plan, or how the question stands."""
        if self.best:
            return self.names(self.best)
        return {
            "unsafe": "not safe to separate",
            "not-separable": "cannot be separated",
            "nothing-to-separate": "nothing to separate",
            "blocked": "not with what is available",
            "ask": "more information is needed",
        }.get(self.stands, "")

    # ---- the verdict ---------------------------------------------------------------------------------------------

    def judge(self, steps: Sequence[Given | str], status: str = "") -> Judgement:
        """Judge an answer.

        steps: its techniques in order (slugs will do); status: what it says instead of techniques (see STATUSES), ""
        if nothing.
        """
        given = [self._in_solution(step) if isinstance(step, Given) else Given((step,)) for step in steps]
        found = self._judge(given, status)
        return replace(found, best=self.best, stands=self.stands)

    def _in_solution(self, step: Given) -> Given:
        """A step with the solutions of what it names as brought in (who shakes with NaOH uses its solution), without the
        solids the question names ("steam through the flowers")."""
        named = {*(c.substance for c in self.start), *self._said}
        there = {one for one in named if self.composer.table.substance(one).phase == "solid"}
        also = [other for add in step.adds for other in self.rules.solutions.get(add, ())]
        return replace(step, adds=tuple(one for one in dict.fromkeys((*step.adds, *also)) if one not in there))

    def _judge(self, given: Sequence[Given], status: str) -> Judgement:
        reasons = rule = source = ""
        if self.plan is None:
            refusal = self.advice.refusal
            reasons = " ".join(refusal.reasons[:2]) if refusal is not None else ""
            deciding = next((entry for entry in self.advice.trace if entry.stage == "rejection"), None)
            rule, source = (deciding.rule, deciding.source) if deciding is not None else ("", "")
        if not given:
            return self._judge_status(status, reasons, rule, source)
        if self.stands == "unknown":
            return Judgement("cannot tell", self._not_known())
        if self.stands == "unsafe":
            return Judgement("unsafe", reasons, rule, source)
        really = self.composer.question.mixture.really
        chemical = any(slug in self.rules.chemical for step in given for slug in step.slugs)
        elements = self.stands == "nothing-to-separate" and self._said - set(self.composer.question.mixture.substances)
        if chemical and self.stands != "answered" and (really in self.rules.chemical_of or elements):
            text = f"This takes a chemical change, not a separation. {reasons}"
            return Judgement("acceptable", text.strip(), rule, source)
        if self.stands == "nothing-to-separate" and self._parts_the_forms(given):
            text = f"This parts the solid from the liquid, though it is one and the same substance. {reasons}"
            return Judgement("acceptable", text, rule, source)
        if self.stands == "nothing-to-separate" or (self.stands == "not-separable" and rule):
            return Judgement("wrong", reasons or "There is nothing to separate.", rule, source)
        replay = self._replay(given)
        end = min(replay.ends, key=lambda one: (one.rank, one.total)) if replay.ends else None
        state = (
            end.state if end is not None else replay.failed[1] if replay.failed is not None else _State((self.start,))
        )
        if end is not None:
            return replace(self._reached(end, given), acted=state.acted)
        assert replay.failed is not None
        found = self._failed(given, *replay.failed)
        if self.stands == "ask" and found.verdict == "wrong":
            text = f"{found.reason} Yet more would have to be known to decide: {self._missing_text()}"
            found = replace(found, verdict="cannot tell", reason=text, missing=self._missing())
        return replace(found, acted=state.acted)

    def _parts_the_forms(self, given: Sequence[Given]) -> bool:
        """Whether an answer parts a substance from itself in another form (ice from water)."""
        components = self.composer.question.mixture.components
        forms = {component.form for component in components}
        alike = len({component.substance for component in components}) == 1 and len(forms) > 1
        return alike and all(slug in self.rules.two_forms for step in given for slug in step.slugs)

    def _not_known(self) -> str:
        unknown = [words for words, _ in self.advice.unknown]
        if unknown:
            near = [name for _, names in self.advice.unknown for name in names][:3]
            hint = f" Is {joined(near)} meant?" if near else ""
            return f"Not known here: {joined(unknown)}.{hint}"
        return "The mixture was not understood."

    def _judge_status(self, status: str, reasons: str, rule: str, source: str) -> Judgement:
        if not status:
            return Judgement("cannot tell", "The answer names no technique that is known here.")
        stands = self.stands
        if stands == "answered" and self.composer.question.given:
            stands = "described"
        verdict = self.rules.status_verdicts[stands][status]
        if stands == "unknown":
            return Judgement(verdict, self._not_known())
        if stands in ("answered", "described"):
            text = (
                f"{self._begin(self.plan)} It can be done: {self.names(self.best)}."
                if verdict == "wrong"
                else (f"More could be asked about what is only described; with what is said: {self.names(self.best)}.")
            )
            return Judgement(verdict, text.strip())
        if stands == "ask":
            return Judgement(verdict, "More would have to be known: " + self._missing_text(), missing=self._missing())
        return Judgement(verdict, reasons, rule, source)

    def _missing(self) -> tuple[str, ...]:
        return tuple(fact.what for fact in self.advice.missing)

    def _missing_text(self) -> str:
        missing = self._missing()
        return (joined(missing) if missing else "what the components are") + "."

    def _begin(self, plan: Plan | None) -> str:
        """The reason of a plan's first step."""
        if plan is None or not plan.steps:
            return ""
        step = plan.steps[0]
        return next(iter(self.composer.reasons(step.look, step.proposal.firings[:1])), "")

    # ---- replay --------------------------------------------------------------------------------------------------

    def _replay(self, given: Sequence[Given]) -> _Replay:
        replay = _Replay(given, int(self.rules.margins["tries"]))
        self._walk(replay, 0, _State((self.start,)))
        if not replay.ends:
            replay.failed = replay.danger or replay.failed or (0, _State((self.start,)))
        return replay

    def _walk(self, replay: _Replay, place: int, state: _State) -> None:
        """Go on with the answer's step at `place`; ends and failures are kept in the replay."""
        if replay.tries <= 0 or any(end.rank == _RIGHT for end in replay.ends):
            return
        key = (
            place,
            tuple(_place(c) for c in state.open),
            tuple((t.technique, t.note) for t in state.taken),
            state.named,
            state.extra,
        )
        if key in replay.seen:
            return
        replay.seen.add(key)
        replay.tries -= 1
        if place == len(replay.given):
            replay.ends.append(self._end(state, tuple(add for step in replay.given for add in step.adds)))
            return
        adds = replay.given[place].adds
        if adds and any(self._meets(self.planner.look(c), adds) for c in (*state.open, *state.done)):
            replay.danger = replay.danger or (place, state)
            return  # whatever else it may be, this must not be done
        before = len(replay.ends)
        moved = False
        for after, length in self._moves(replay, place, state):
            moved = True
            self._walk(replay, place + length, after)
        if not moved and len(replay.ends) == before and (replay.failed is None or replay.failed[0] < place):
            replay.failed = (place, state)

    def _moves(self, replay: _Replay, place: int, state: _State) -> Iterator[tuple[_State, int]]:
        """Every state the answer's step at `place` can lead to, with how many steps of the answer that takes."""
        given = replay.given
        step = given[place]
        said = step.slugs[0]
        for slug, spelled in self.rules.spelled:
            part = given[place : place + len(spelled)]
            if len(part) == len(spelled) and all(one in other.slugs for one, other in zip(spelled, part, strict=True)):
                whole = Given((slug,), (), tuple(add for other in part for add in other.adds), step.words)
                for after in self._applied(state, whole, "counts as" if slug != said else ""):
                    yield after, len(spelled)
                for after in self._after_instead(state, whole):
                    yield after, len(spelled)
        note = self._free(given, place, state)
        proposed = {p.technique.id for c in state.open for p in self.planner.look(c).proposals}
        if note == "helper step" and not proposed & set(step.slugs):
            yield replace(state, taken=(*state.taken, Taken(said, said, note))), 1
        for after in self._applied(state, step, "", len(given) == 1):
            yield after, 1
        for after in self._after_unsaid(state, step, len(given) == 1):
            yield after, 1
        for after in self._after_instead(state, step):
            yield after, 1
        if note:
            taken = Taken(said, said, note)
            extra = state.extra or note == "not needed"
            yield replace(state, taken=(*state.taken, taken), extra=extra), 1

    def _applied(self, state: _State, step: Given, note: str = "", alone: bool = False) -> Iterator[_State]:
        """The step carried out on each product it can be carried out on, those still to be worked on first."""
        for where, components in [*((True, c) for c in state.open), *((False, c) for c in state.done)]:
            if not where and sum(not c.trace for c in components) < 2:
                continue
            look = self.planner.look(components)
            for meant in self._ways_of(look, step, alone):
                how = note or ("counts as" if meant.proposal.technique.id != meant.slug else "")
                taken = Taken(step.slugs[0], meant.proposal.technique.id, how, meant.proposal.firings[0].rule.id)
                yield self._after(state, look, components, meant, taken)

    def _after(self, state: _State, look: Look, acted_on: Components, meant: _Meant, taken: Taken) -> _State:
        proposal, outcome = meant.proposal, meant.proposal.outcome
        fresh = [p.components for p in outcome.products if not (p.part.lost or p.part.done or p.part.shown)]
        if not outcome.products:
            fresh = [outcome.whole]
        # what parts nothing (dissolving) keeps its product open
        finished = [c for c in fresh if outcome.products and self.planner.finished(c)]
        still = [c for c in fresh if c not in finished]
        remaining = [c for c in state.open if c != acted_on]
        return _State(
            tuple(sorted([*remaining, *still], key=_place)),
            tuple(sorted([*(c for c in state.done if c != acted_on), *finished], key=_place)),
            state.score + proposal.score,
            (*state.taken, taken),
            (*state.acted, (look, proposal)),
            state.extra or meant.weaker,
            state.named and meant.named,
        )

    def _after_unsaid(self, state: _State, step: Given, alone: bool, depth: int = 2) -> Iterator[_State]:
        """The step carried out after one or two that common practice leaves unsaid. alone: nothing else is said."""
        for implied in self.rules.implied:
            said_here = [said for said in step.slugs if said in implied.before]
            if alone > implied.alone or not said_here:
                continue
            if implied.after and not any(t.said in implied.after or t.technique in implied.after for t in state.taken):
                continue
            for components in state.open:
                look = self.planner.look(components)
                later = tuple(s for s in said_here if not any(s == p.technique.id for p in look.proposals))
                if not later:
                    continue  # it can be done as it is
                meant_step = replace(step, slugs=later)
                unsaid = self._ways_of(look, Given((implied.step,), (), step.adds), True)
                if step.adds and not unsaid:  # what is said to be brought in belongs to the later step
                    unsaid = self._ways_of(look, Given((implied.step,)), True)
                for meant in unsaid:
                    proposal = meant.proposal
                    taken = Taken("", proposal.technique.id, "left unsaid", proposal.firings[0].rule.id)
                    middle = self._after(state, look, components, meant, taken)
                    if not middle.open:
                        last = Taken(step.slugs[0], step.slugs[0], "not needed")
                        yield replace(middle, taken=(*middle.taken, last), extra=True)
                    yield from self._applied(middle, meant_step)
                    if depth > 1:
                        yield from self._after_unsaid(middle, meant_step, alone, depth - 1)

    def _after_instead(self, state: _State, step: Given) -> Iterator[_State]:
        """The step carried out as the sequence of others whose work it does, where it cannot be carried out itself."""
        for instead in self.rules.instead:
            if instead.said not in step.slugs or self._blocked(instead.said):
                continue
            for components in state.open:
                look = self.planner.look(components)
                if any(p.technique.id == instead.said for p in look.proposals) or self._dangerous(look, instead.said):
                    continue
                facts = [fact for fact in look.facts["component"] if fact.slots["added"] == "no"]
                rises = [fact.slots.get("solubility_rise") for fact in facts]
                if not self._has(instead.some, facts) or not any(
                    isinstance(rise, float) and rise >= instead.rises for rise in (rises if instead.rises else [1.0])
                ):
                    continue
                states = [replace(state, extra=True)]
                for slug in instead.steps:
                    one = Given((slug,), (), (), step.words)
                    states = [
                        replace(after, taken=(*after.taken[:-1], replace(after.taken[-1], said=step.slugs[0])))
                        for before in states
                        for after in self._applied(before, one, "counts as", True)
                    ][: int(self.rules.margins["choice"])]
                yield from states

    @staticmethod
    def _has(slots: Sequence[tuple[str, tuple[str, ...]]], facts: Sequence[Fact], every: bool = False) -> bool:
        """Whether some (or every) of these facts has one of the words in each of the slots."""

        def holds(fact: Fact, slot: str, words: tuple[str, ...]) -> bool:
            value = fact.slots.get(slot)
            return any(word in words for word in value) if isinstance(value, tuple) else value in words

        test = all if every else any
        return all(test(holds(fact, slot, words) for fact in facts) for slot, words in slots)

    def _dangerous(self, look: Look, slug: str) -> bool:
        """Whether a technique is rejected here because it is dangerous."""
        return any(self._is_danger(firing.rule) for firing in look.rejections.get(slug, ()))

    def _ways_of(self, look: Look, step: Given, alone: bool = False) -> list[_Meant]:
        """Proposals that are this step, those of the technique said first."""
        out: list[_Meant] = []
        known: set[object] = set()
        for slug, named in [*((s, True) for s in step.slugs), *((s, False) for s in step.kinds)]:
            meant = [_Meant(p, slug, named) for p in look.proposals if p.technique.id == slug]
            vetoes = {firing.rule.id for firing in look.rejections.get(slug, ())}
            if vetoes <= set(self.rules.words["degree"]):
                meant += [_Meant(p, slug, named, True) for p in self._second_best(look, slug, bool(vetoes))]
            for same in self._same.get(slug, ()):
                barred = not vetoes <= set(self.rules.words["degree"]) and (
                    not same.despite or self._dangerous(look, slug)
                )
                if barred or (alone and not same.alone) or (same.named and not step.adds) or self._blocked(slug):
                    continue
                others = [p for p in look.proposals if p.technique.id in same.others and self._fits(same, look, p)]
                meant += [_Meant(p, slug, named, same.weaker) for p in others]
                second = [p for other in same.others for p in self._second_best(look, other)]
                meant += [_Meant(p, slug, named, True) for p in second if self._fits(same, look, p)]
            for one in meant:
                effect = self._effect(one.proposal)
                if effect in known or (step.adds and not self._brings(look, one.proposal, step.adds)):
                    continue
                known.add(effect)
                out.append(one)
        return out[: int(self.rules.margins["choice"]) * max(1, len(step.slugs))]

    def _second_best(self, look: Look, slug: str, every: bool = False) -> list[Proposal]:
        """Proposals of a technique that the rules hold back only because something better could be brought in.

        every: all its rules, where what rejects it is a matter of degree.
        """
        key = (look.components, slug)
        if key not in self._second:
            technique = self.book.techniques[slug]
            found: list[Proposal] = []
            singles = {fact.key: fact for fact in look.facts["component"]}
            rules = (
                [r for r in self.book.stage("selection") if r.says[0] == slug]
                if every
                else self._held_back.get(slug, ())
            )
            for rule in rules:
                barring = [pattern for pattern in rule.unless if pattern.kind not in _BRINGS]
                if any(p.accepts(fact.slots) for p in barring for fact in look.facts.get(p.kind, ())):
                    continue
                for roles in _bindings(rule, look):
                    outcome = self.planner.carried_out(technique, look.components, singles, roles)
                    if outcome is None or self.planner.why_blocked(technique, outcome):
                        continue
                    if self.planner.gives_up_wanted(outcome):
                        continue
                    if not self.planner.may_meet(technique, roles, outcome, look.components):
                        continue
                    firing = Firing(rule, {role: fact.key for role, fact in roles.items()})
                    score = self.book.ranking.cost(technique) + self.book.ranking.strength[rule.strength]
                    found.append(Proposal(technique, [firing], outcome, score))
            self._second[key] = sorted(found, key=lambda proposal: proposal.order)
        return self._second[key]

    def _fits(self, same: Same, look: Look, proposal: Proposal) -> bool:
        """Whether the conditions of an equivalence hold for a proposal."""
        if same.adds and not self._is_sort(proposal.outcome.added, same.adds):
            return False
        there = [f for f in look.facts["component"] if f.slots["added"] == "no" and f.key not in self._clinging(look)]
        if not self._has(same.some, there) or not self._has(same.each, there, True):
            return False
        if same.coarser and not self._coarser(there, proposal, same.coarser, same.pieces_from):
            return False
        if same.off:
            first = [product.components for product in proposal.outcome.products][:1] or [()]
            if not any(self._is_sort(c.substance, same.off) for c in first[0]):
                return False
        for least, slot in ((0.0 if same.coarser else same.pieces_from, "size_low"), (same.pieces_to, "size_high")):
            sizes = [fact.slots.get(slot) for fact in look.facts["component"] if fact.slots["form"] == "suspended"]
            if least and not all(isinstance(size, float) and size >= least for size in sizes):
                return False
        if same.boils_from:
            points = [
                fact.slots.get("boiling_point") for fact in look.facts["component"] if fact.slots["form"] == "liquid"
            ]
            if not any(isinstance(point, float) and point >= same.boils_from for point in points):
                return False
        if same.gives_off:
            off, *rest = [product.components for product in proposal.outcome.products] or [()]
            wanted = self.composer.question.wish.want
            if len({c.substance for components in rest for c in components if not c.added and not c.trace}) != 1:
                return False
            if not off or any(c.substance in wanted or not self._is_sort(c.substance, same.gives_off) for c in off):
                return False
        return True

    @staticmethod
    def _clinging(look: Look) -> frozenset[str]:
        """Keys of the components of which only a trace clings."""
        traces = {c.substance for c in look.components if c.trace} - {
            c.substance for c in look.components if not c.trace
        }
        return frozenset(f.key for f in look.facts["component"] if f.slots["substance"] in traces)

    @staticmethod
    def _coarser(facts: Sequence[Fact], proposal: Proposal, times: float, least: float) -> bool:
        """Whether the pieces of one product are usually so many times larger than those of the other, and not small (m)."""
        sizes = {str(f.slots["substance"]): (f.slots.get("size_low"), f.slots.get("size_high")) for f in facts}
        groups: list[tuple[float, float]] = []
        for product in proposal.outcome.products:
            low, high = [], []
            for component in product.components:
                one = sizes.get(component.substance, (None, None))
                if not isinstance(one[0], float) or not isinstance(one[1], float):
                    return False
                low.append(one[0])
                high.append(one[1])
            if low:
                groups.append((min(low), max(high)))
        if len(groups) != 2:
            return False
        fine, coarse = sorted(groups, key=lambda group: group[1])
        return coarse[1] >= max(times * fine[1], least) and coarse[0] >= fine[0]

    def _blocked(self, slug: str) -> str:
        """Why a technique is not available here; "" if it is."""
        return self.planner.why_blocked(self.book.techniques[slug])

    def _effect(self, proposal: Proposal) -> object:
        """What a proposal does, liquids of the same use taken as one."""
        products = [p.components for p in proposal.outcome.products] or [proposal.outcome.whole]
        parted = sorted(tuple(sorted((c.substance, c.form) for c in part if not c.added)) for part in products)
        return proposal.technique.id, self._is_sort(proposal.outcome.added, "ordinary"), tuple(parted)

    def _is_sort(self, added: str, sort: str) -> bool:
        """Whether what is brought in is of a sort: organic (liquid), ordinary (solvent) or reagent."""
        if not added:
            return False
        slots = self.planner.bench.known.pure(added)[0]
        classes = slots["classes"] if isinstance(slots["classes"], tuple) else ()
        ordinary = slots["ordinary"] == "yes"
        organic = "organic" in classes and slots["phase"] == "liquid"
        return {"ordinary": ordinary, "organic": organic, "reagent": not ordinary and not organic}.get(
            sort, sort in classes
        )

    def _brings(self, look: Look, proposal: Proposal, adds: Sequence[str]) -> bool:
        """Whether a proposal brings in one of what the answer names; yes if nothing is known of what it brings in."""
        brought = {proposal.outcome.added} if proposal.outcome.added else set()
        if not brought:
            for fact in look.roles(proposal.firings[0]).values():
                brought |= {str(fact.slots["with"])} if fact.slots.get("with") else set()
                brought |= {str(fact.slots["id"])} if fact.kind in _BRINGS else set()
        return not brought or any(
            add in brought or (add.startswith("*") and any(self._is_sort(one, add[1:]) for one in brought))
            for add in adds
        )

    def _free(self, given: Sequence[Given], place: int, state: _State) -> str:
        """Why a step may pass without doing anything: "helper step", "not needed", or "" if it may not."""
        step = given[place]
        rules = self.rules
        reagent = len(step.slugs) > 1 and not all(
            add[1:] == "organic" or (add[0] != "*" and any(self._is_sort(add, s) for s in ("ordinary", "organic")))
            for add in step.adds
        )  # it does something
        if any(slug in rules.anywhere for slug in step.slugs) and len(given) > 1:
            return "helper step"
        for slug in step.slugs:
            if any(
                slug in rules.includes.get(earlier, ())
                for taken in state.taken
                for earlier in (taken.said, taken.technique)
            ):
                return "helper step"
            following = given[place + 1 :] if not reagent else ()
            ready = rules.before.get(slug, ())
            for later in following:
                if any(other in ready for other in later.slugs):
                    return "helper step"
                if not any(set(rules.before.get(other, ())) for other in later.slugs):
                    break  # only other helper steps may stand between
        if state.taken and not state.open:
            return "not needed"
        return ""

    # ---- what was reached ----------------------------------------------------------------------------------------

    def _end(self, state: _State, adds: Sequence[str] = ()) -> _End:
        """What a replay reached; adds: ids of what the answer says is brought in."""
        total = state.score
        left: list[tuple[Components, Plan]] = []
        said = [slug for taken in state.taken for slug in (taken.said, taken.technique)]
        stuck = 0
        for components in state.open:
            plan = self.planner.solve(components)
            total += plan.score
            if self._as_named(components):
                continue
            stuck += len(plan.together)
            if not self._recovered(components, plan, said, adds):
                left.append((components, plan))
        best = self.plan.score if self.plan is not None else float("inf")
        allowed = len(self.plan.together) if self.plan is not None else 0
        acted = any(taken.note in ("", "counts as") for taken in state.taken)
        if not acted or stuck > allowed:
            rank = _WRONG
        elif not left:
            rank = _RIGHT if total <= best + self.rules.margins["nearly"] and not state.extra else _ACCEPTABLE
            if rank == _ACCEPTABLE and not state.extra and self._gets_more(state):
                rank = _RIGHT
            if not state.named:
                rank = _INCOMPLETE
        else:
            rank = _INCOMPLETE if total <= best + self.rules.margins["detour"] else _WRONG
        return _End(rank, total, state, tuple(left))

    def _gets_more(self, state: _State) -> bool:
        """Whether an answer recovers all that the best plan does, and something that plan lets go."""

        def lost(proposals: Sequence[Proposal]) -> set[str]:
            lost = [p for one in proposals for p in one.outcome.products if p.part.lost]
            return {c.substance for product in lost for c in product.components if not c.trace and not c.added}

        return self.plan is not None and lost([p for _, p in state.acted]) < lost([s.proposal for s in self.plan.steps])

    def _as_named(self, components: Components) -> bool:
        """Whether a product may stay as it is: a thing the question names, or a liquid in which only the finest dirt floats."""
        wanted = set(self.composer.question.wish.want)
        asked = [c for c in components if not c.added and not c.trace]
        there = {c.substance for c in asked}
        if len(asked) < len([c for c in components if not c.trace]):
            return False
        hosts = {c.host for c in self.start if c.substance in there and c.host}
        if not wanted & there and hosts <= there and any(there <= thing for thing in self.things):
            return True
        dust = {c.substance for c in self.start if c.form == "airborne"}
        if there <= dust and not there & wanted:
            return True  # what is caught out of a gas together
        fine = {c.substance for c in asked if c.form == "colloidal" and self._is_dirt(c.substance)}
        return bool(fine) and len(there - fine) == 1 and not fine & wanted

    def _is_dirt(self, substance: str) -> bool:
        """Whether a substance is of the dirt of natural water (mud, clay)."""
        return bool(self._classes(substance) & set(self.planner.bench.limits.dirt))

    def _classes(self, substance: str) -> set[str]:
        return set(self.composer.table.substance(substance).classes)

    def _is_gas(self, substance: str) -> bool:
        return self.composer.table.substance(substance).phase == "gas"

    def _recovered(self, components: Components, plan: Plan, said: Sequence[str], adds: Sequence[str] = ()) -> bool:
        """Whether what is left to do with a product is free at the end of an answer."""
        if not plan.steps:
            return True  # nothing more can be done with it, or it stays together in the best plan too
        held = [c for c in components if not c.added and not c.trace]
        wanted = self.composer.question.wish.want
        if len({c.substance for c in held}) == 1 and all(c.reacted and c.substance not in wanted for c in held):
            return True  # what a reagent took away is not usually asked for again
        if len(wanted) == 1 and len(held) > 1 and wanted[0] in {c.substance for c in held}:
            kin = [self._classes(c.substance) & set(self.rules.kin) for c in held]
            if set.intersection(*kin):
                return True  # one of a kind was asked for, and the whole kind was got
        dry = self.composer.question.wish.form == "dry"
        if len(held) == 1 and self._is_gas(held[0].substance) and not (dry and held[0].substance in wanted):
            return True  # nor is a gas that a liquid or a solid took up
        covered = {slug for one in said for slug in self.rules.includes.get(one, ())}
        again = [slug for slug in said[-1:] if slug in self.rules.repeated]
        for step in plan.steps:
            slug = step.proposal.technique.id
            now = step.look.components
            alone = len({c.substance for c in now if not c.added and not c.trace}) == 1
            repeats = slug in again and (not adds or self._brings(step.look, step.proposal, adds))
            if slug in self.rules.anywhere or slug in covered or repeats or (alone and slug in said):
                continue
            liquids = [c for c in now if c.form == "liquid" and not c.trace]
            drives_off = slug in self.rules.drives_off and liquids and all(c.added for c in liquids)
            if alone and drives_off and not any(self._is_sort(c.substance, "ordinary") for c in liquids):
                continue
            return False
        return True

    def _reached(self, end: _End, given: Sequence[Given]) -> Judgement:
        state = end.state
        verdict = _NAMED[end.rank]
        rule, source, reason = "", "", ""
        main = self._deciding(state)
        if main is not None:
            look, proposal = main
            reason = next(iter(self.composer.reasons(look, proposal.firings[:1])), "")
            rule, source = proposal.firings[0].rule.id, proposal.firings[0].rule.source
        steps = state.taken
        if end.rank == _RIGHT:
            return Judgement(verdict, reason, rule, source, steps=steps)
        if end.rank == _ACCEPTABLE:
            why = self._dearer(state)
            return Judgement(verdict, f"{reason}{why}".strip(), rule, source, steps=steps)
        if not state.named and not end.left:
            kind = self.name(state.acted[-1][1].technique.id)
            return Judgement(verdict, f"The kind has to be named: {kind}. {reason}".strip(), rule, source, steps=steps)
        needed = tuple(dict.fromkeys(s.proposal.technique.id for _, plan in end.left for s in plan.steps))
        together = self._together(end)
        if end.rank == _INCOMPLETE:
            first = end.left[0][1].steps[0]
            why = next(iter(self.composer.reasons(first.look, first.proposal.firings[:1])), "")
            text = f"A right beginning, but not the whole answer: {together}. Still to do: {self.names(needed)}. {why}"
            firing = first.proposal.firings[0]
            return Judgement(verdict, text.strip(), firing.rule.id, firing.rule.source, steps=steps, left=needed)
        said = self.names([step.slugs[0] for step in given])
        text = f"After {said} {together}"
        text += f", and what would still be needed ({self.names(needed)}) is a long way round." if needed else "."
        return Judgement(verdict, sentence(text), rule, source, steps=steps, left=needed, rejects=given[0].slugs[0])

    def _deciding(self, state: _State) -> tuple[Look, Proposal] | None:
        """The step that first parts something, else the first."""
        parting = [one for one in state.acted if one[1].outcome.products]
        return next(iter(parting or state.acted), None)

    def _together(self, end: _End) -> str:
        """What an answer leaves mixed, in words."""
        out = []
        for components, _ in end.left or tuple((c, Plan(0.0)) for c in end.state.open):
            names = [self.composer.name(c.substance) for c in components if not c.trace]
            verb = "is left as it was" if len(set(names)) == 1 else "are still together"
            out.append(f"{joined(names)} {verb}")
        return "; ".join(dict.fromkeys(out)) or "nothing has been separated"

    def _dearer(self, state: _State) -> str:
        """Why an acceptable answer is not the best."""
        mine = [proposal.technique for _, proposal in state.acted]
        used = tuple(dict.fromkeys(technique.id for technique in mine))
        if not self.best or used == self.best:
            return ""
        theirs = [self.book.techniques[slug] for slug in self.best]
        more = [
            f"more {word}"
            for index, word in enumerate(("work", "time", "danger", "loss"))
            if sum(t.cost[index] for t in mine) > sum(t.cost[index] for t in theirs)
        ]
        return f" The first choice is {self.names(self.best)}" + (f" (this means {joined(more)})." if more else ".")

    # ---- what fails ----------------------------------------------------------------------------------------------

    def _failed(self, given: Sequence[Given], place: int, state: _State) -> Judgement:
        """Why the step at `place` cannot be done in a state."""
        step = given[place]
        slug = step.slugs[0]
        lead = f"Step {place + 1}, {self.name(slug)}: " if len(given) > 1 else ""
        products = state.open or state.done or (self.start,)
        looks = [self.planner.look(c) for c in sorted(products, key=lambda c: (-len(c), _place(c)))]
        common = {"steps": state.taken, "rejects": slug}

        def found(
            verdict: str, reason: str, rule: str = "", source: str = "", missing: tuple[str, ...] = ()
        ) -> Judgement:
            return Judgement(verdict, f"{lead}{sentence(reason)}", rule, source, missing=missing, **common)  # type: ignore[arg-type]

        for look in looks:
            danger = self._meets(look, step.adds)
            if danger:
                return found("unsafe", danger)
        rejected = [(look, firing) for look in looks for s in step.slugs for firing in look.rejections.get(s, ())]
        for look, firing in sorted(rejected, key=lambda item: not self._is_danger(item[1].rule)):
            reason = next(iter(self.composer.reasons(look, [firing])), "")
            verdict = "unsafe" if self._is_danger(firing.rule) else "wrong"
            return found(verdict, reason, firing.rule.id, firing.rule.source)
        for look in looks:
            for proposal in look.blocked:
                if proposal.technique.id in step.slugs:
                    rule = proposal.firings[0].rule
                    return found("wrong", f"It is not available here: {proposal.blocked}.", rule.id, rule.source)
        if self._nothing_said():
            return found(
                "cannot tell", "Nothing is said of something that is only named by a letter or a word of the question."
            )
        for look in looks:
            text = self._unsuited(look, step)
            if text:
                return found("wrong", text)
        counting = [other for s in step.slugs for same in self._same.get(s, ()) for other in same.others]
        meant = {*step.slugs, *step.kinds, *counting}
        rules = [rule for rule in self.book.stage("selection") if rule.says[0] in meant]
        for look in looks:
            missing, open_question = self._missing_for(rules, look)
            if missing and not open_question:
                return found("wrong", f"Nothing in the question says it would serve ({'; '.join(missing)}).")
            if missing:
                return found(
                    "cannot tell", f"It hangs on what is not known here ({'; '.join(missing)}).", missing=missing
                )
        nearest = self.composer.why_not(slug, looks[0], [])
        return found("wrong", nearest.reason, nearest.rule)

    def _missing_for(self, rules: Sequence[Rule], look: Look) -> tuple[tuple[str, ...], bool]:
        """What is not known and alone keeps one of these rules from proposing, and whether it could be known.

        Of an impurity without a name, or of something only described in the question, nothing more can be known than
        the question says.
        """
        out: dict[str, None] = {}
        could = False
        for miss in unknown_only(rules, look):
            for _, fact, test in miss.failed:
                if fact is None or test is None or fact.kind not in ("component", "pair"):
                    continue
                about = (
                    [fact]
                    if fact.kind == "component"
                    else [look.by_key[("component", str(fact.slots[end]))] for end in ("first", "second")]
                )
                slot = test.slot
                for place, one in zip(("first_", "second_"), about, strict=False):
                    if (
                        fact.kind == "pair"
                        and slot.startswith(place)
                        and slot.removeprefix(place) in KINDS["component"]
                    ):
                        about, slot = [one], slot.removeprefix(place)
                kind = KINDS[fact.kind if len(about) > 1 or fact.kind == "component" else "component"][slot]
                out.setdefault(f"{joined(str(one.slots['name']) for one in about)}: {kind.meaning}")
                could = could or not any(
                    one.slots["given"] == "yes" or one.slots["role"] == "impurity" for one in about
                )
        return tuple(out), could

    def _is_danger(self, rule: object) -> bool:
        """Whether a rejecting rule looks at a danger."""
        if getattr(rule, "id", "") in self.rules.danger_rules:
            return True
        for pattern in getattr(rule, "find", ()):
            if pattern.kind in self.rules.danger_kinds:
                return True
            if any(test.slot in self.rules.danger_slots and test.value not in ("no", "none") for test in pattern.tests):
                return True
        return False

    def _nothing_said(self) -> bool:
        """Whether the question only gives names that mean nothing, with no property."""
        question = self.composer.question
        substances = question.mixture.substances
        return any(s in question.given and not set(question.given[s]) - {"name"} for s in substances)

    def _meets(self, look: Look, adds: Sequence[str]) -> str:
        """The danger of something the answer brings in, with what is there; "" if none is known."""
        table = self.composer.table
        for add in adds:
            if not table.has(add) or add in self.rules.solutions:
                continue  # of what is used as its solution, the solution is asked for
            for component in look.components:
                danger = self.planner.bench.known.danger(table.substance(add), table.substance(component.substance))
                if danger is not None and danger.severity in ("refuse", "no-acid") and component.substance != add:
                    return f"{self.composer.name(add)} with {self.composer.name(component.substance)}: {danger.danger}."
        return ""

    def _unsuited(self, look: Look, step: Given) -> str:
        """Why what the answer brings in does not serve, from the facts about it; "" if nothing is known of it."""
        bench, table = self.planner.bench, self.composer.table
        for add in step.adds:
            if not table.has(add):
                continue
            for kind in _BRINGS:
                for fact in look.facts.get(kind, ()):
                    if add in (fact.slots.get("id"), fact.key):
                        return self._described(fact, add)
            liquid = table.substance(add)
            solids = [c for c in look.components if c.form == "solid" and not c.trace]
            if liquid.phase == "liquid" and solids:
                grades = [(c.substance, bench.known.grade(table.substance(c.substance), liquid)[0]) for c in solids]
                return f"In {liquid.name} {joined(f'{self.composer.name(one)} is {grade}' for one, grade in grades)}."
        return ""

    def _described(self, fact: Fact, add: str) -> str:
        """What one fact says of something that could be added."""
        name = self.composer.name(add)
        because = fact.slots.get("because")
        if isinstance(because, str) and because:
            return f"{name}: {because}."
        parts = []
        for slot, words in _DOES:
            shown = shown_slot(fact, slot, self.composer.name) if slot in fact.slots else None
            if shown:
                parts.append(words.replace("{}", shown))
        return f"{name} {joined(parts)}." if parts else ""


def _bindings(rule: Rule, look: Look) -> Iterator[dict[str, Fact]]:
    """Every way a rule finds its facts in a look, whatever its `unless` says."""
    patterns = sorted(rule.find, key=lambda pattern: pattern.kind == "pair")

    def go(place: int, roles: dict[str, Fact]) -> Iterator[dict[str, Fact]]:
        if place == len(patterns):
            if all(
                all(roles[role].key == roles[p.role].slots.get(slot) for slot, role in p.joins if role in roles)
                and all(roles[role].key != roles[p.role].slots.get(slot) for slot, role in p.differs if role in roles)
                for p in patterns
            ):
                yield dict(roles)
            return
        pattern = patterns[place]
        for fact in look.facts.get(pattern.kind, ()):
            if pattern.accepts(fact.slots):
                yield from go(place + 1, {**roles, pattern.role: fact})

    yield from islice(go(0, {}), _MOST_BINDINGS)


def judge(composer: Composer, steps: Sequence[Given | str], status: str = "") -> Judgement:
    """Judge one answer to the question of a composer; see `Judge.judge`. Several answers: make one `Judge`."""
    return Judge(composer).judge(steps, status)
