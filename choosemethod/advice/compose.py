"""Compose the answer to a question: status, techniques, plan with its texts, reasons, cautions, numbers, trace."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from choosemethod.advice.answer import (
    Advice,
    Caution,
    ComponentSeen,
    Forecast,
    MissingFact,
    Nearest,
    NumberShown,
    PlanStep,
    ProductShown,
    Refusal,
    Rejected,
    SourceShown,
    StepRef,
    TechniqueAdvice,
    TraceEntry,
    TraceFact,
    gravity,
)
from choosemethod.advice.nearest import nearest_miss, unknown_only
from choosemethod.advice.operation import Product
from choosemethod.advice.plan import Look, Plan, Planner, Proposal, Step, sound, with_implied_wish
from choosemethod.advice.wording import ROLE_SLOT as PLACE
from choosemethod.advice.wording import (
    agreeing,
    is_plural,
    joined,
    lines_filled,
    reason,
    sentence,
    shown_slot,
    slot_label,
)
from choosemethod.describe import Bench
from choosemethod.errors import UsageError
from choosemethod.facts import KINDS, Evidence, Fact, SlotValue, how_said
from choosemethod.mixture import LEVELS, MOST_COMPONENTS, Component, Question
from choosemethod.quantity import show
from choosemethod.rulebook.book import Rulebook
from choosemethod.rulebook.engine import Firing
from choosemethod.rulebook.technique import Line, Technique
from choosemethod.table.names import spaced
from choosemethod.table.table import Table

if TYPE_CHECKING:
    from choosemethod.advice.forecast import Scene

__all__ = ["Composer"]

_STATUS = {"unsafe": "refused", "not-separable": "refused", "nothing-to-separate": "nothing-to-separate"}
_ALTERNATIVES = 2
_SCHOOL = LEVELS[1]  # what is taught up to here counts as equally near to a learner who names no level
_FAMILY = 3  # a rejection of more techniques than this is about a family of them
_NO_FORECAST = Forecast()
_WASTE = "waste"  # the degree of cautions that say where residues go: they are told with the residues
_KEPT = {"danger": "danger", "must": "care", "may": "note"}  # degree of a technique's own caution, by how it is kept
_BOTH = re.compile(r"\{([a-z][a-z0-9_]*)\.name\} and \{([a-z][a-z0-9_]*)\.name\}")
_DECIDING = ("best", "good")  # strengths of the rules whose missing facts are worth asking for


def _said_once(cautions: Sequence[Caution]) -> list[Caution]:
    """Cautions without those whose words are all in another one, in the same order."""
    plain = [re.sub(r"[^a-z0-9 ]", "", c.text.lower()) for c in cautions]
    return [
        caution
        for place, (caution, words) in enumerate(zip(cautions, plain, strict=True))
        if not any(words in other and (words != other or at < place) for at, other in enumerate(plain) if at != place)
    ]


def _widest(look: Look, firings: Sequence[Firing]) -> list[Firing]:
    """Firings of one rule without those of a danger between some of what another one holds of together."""

    def between(firing: Firing) -> set[str]:
        facts = [fact for fact in look.roles(firing).values() if fact.kind == "danger"]
        return {key for fact in facts if isinstance(keys := fact.slots["between"], tuple) for key in keys}

    parts = [between(firing) for firing in firings]
    return [f for f, part in zip(firings, parts, strict=True) if not any(part and part < other for other in parts)]


def _how(shown: Evidence | None) -> str:
    """How a value was obtained, with the file of the user's own that states it, if it is no file of the table's."""
    if shown is None:
        return ""
    own = shown.file and not shown.file.startswith("substances/")
    how = how_said(shown.how)
    return f"{how}, as {shown.file} says" if own else how


def _afterwards(step: Step) -> tuple[Component, ...]:
    """All that is there when a step is done: what each product holds, or the mixture where nothing is parted."""
    if not step.products:
        return step.proposal.outcome.whole
    return tuple(component for product in step.products for component in product.components)


def _alike(bound: Sequence[Mapping[str, Fact]], role: str, slot: str) -> bool:
    """Whether a slot of a role has one value in all bindings, so that one sentence holds for all."""
    return len({repr(roles[role].slots.get(slot)) for roles in bound if role in roles}) == 1


class Composer:
    """Answers one question from a table and a rulebook."""

    def __init__(self, table: Table, book: Rulebook, question: Question) -> None:
        """Raises UsageError for a mixture of more than MOST_COMPONENTS."""
        count = len(question.mixture.components)
        if count > MOST_COMPONENTS:
            raise UsageError(
                f"the mixture has {count} components, and at most {MOST_COMPONENTS} can be planned for at once; "
                "ask about some of them, or name a class of them as one thing"
            )
        self.table = table
        self.book = book
        self.question = question = with_implied_wish(question)
        self.bench = Bench(table, book.limits, question)
        self.planner = Planner(self.bench, book, question)
        self._sources: dict[str, None] = {}
        self._trace: list[TraceEntry] = []

    # ---- words ---------------------------------------------------------------------------------------------------

    def name(self, key: str) -> str:
        """Name of a component key or substance id."""
        ident = key.split("|")[0].rstrip("+")
        return self.table.substance(ident).name if self.table.has(ident) else key

    def _names(self, components: Iterable[Component]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(self.name(c.substance) for c in components))

    def _cite(self, key: str) -> str:
        if key:
            self._sources.setdefault(key)
        return key

    def together(self, look: Look, firings: Sequence[Firing]) -> tuple[str, ...]:
        """The texts of one caution rule: several components in one sentence where the rule has a text for that."""
        rule = firings[0].rule
        role, slot = rule.least
        if not rule.several or len(firings) == 1:
            return self.reasons(look, firings)
        bound = [look.roles(firing) for firing in firings]
        names = sorted({str(roles[role].slots["name"]) for roles in bound})
        if len(names) == 1:
            return self.reasons(look, firings[:1])

        def least(roles: Mapping[str, Fact]) -> tuple[float, str]:
            value = roles[role].slots.get(slot)
            return value if isinstance(value, float) else float("inf"), str(roles[role].slots["name"])

        first = min(bound, key=least)
        fact = first[role]
        if fact.slots.get(slot) is None:  # of none of them: nothing tells which has the least
            named = Fact(fact.kind, fact.key, {**fact.slots, "name": joined(names)}, fact.evidence)
            return (reason(rule.because, {**first, role: named}, self.name),)
        named = Fact(fact.kind, fact.key, {**fact.slots, "name": joined(names)}, fact.evidence)
        return (reason(rule.several, {**first, role: named, "least": fact}, self.name),)

    def reasons(self, look: Look, firings: Sequence[Firing]) -> tuple[str, ...]:
        """The reasons of firings, those of one rule told together where only names differ."""
        out: list[str] = []
        by_rule: dict[str, list[Firing]] = {}
        for firing in firings:
            by_rule.setdefault(firing.rule.id, []).append(firing)
        for group in by_rule.values():
            rule = group[0].rule
            bound = [look.roles(firing) for firing in group]
            varied = {role for role in bound[0] if len({roles[role].key for roles in bound if role in roles}) > 1}
            in_text = {(role, slot) for role, slot in PLACE.findall(rule.because)}
            if len(group) > 1 and all(
                slot == "name" or _alike(bound, role, slot) for role, slot in in_text if role in varied
            ):
                text = rule.because
                alike = [pair for pair in _BOTH.findall(text) if set(pair) <= varied]
                for one, other in alike:  # "{one.name} and {other.name}" of several pairs names each once
                    text = text.replace(f"{{{one}.name}} and {{{other}.name}}", f"{{{one}.name}}")
                if len({r for r, _ in PLACE.findall(text)} & varied) > 1:
                    out.extend(dict.fromkeys(reason(rule.because, roles, self.name) for roles in bound[:3]))
                    continue
                together = dict(bound[0])
                for role in varied:
                    of = {role, *(other for one, other in alike if one == role)}
                    names = joined(
                        sorted({str(roles[r].slots.get("name", "")) for roles in bound for r in of if r in roles})
                    )
                    fact = together[role]
                    together[role] = Fact(fact.kind, fact.key, {**fact.slots, "name": names}, fact.evidence)
                out.append(reason(text, together, self.name))
            else:
                out.extend(dict.fromkeys(reason(rule.because, roles, self.name) for roles in bound[:3]))
        return tuple(dict.fromkeys(out))

    # ---- evidence ------------------------------------------------------------------------------------------------

    def _evidence(self, look: Look, fact: Fact, slot: str) -> Evidence | None:
        found = fact.evidence.get(slot)
        if found is None and fact.kind == "pair":
            for place in ("first", "second"):
                if slot.startswith(place + "_"):
                    single = look.by_key.get(("component", str(fact.slots[place])))
                    found = single.evidence.get(slot.removeprefix(place + "_")) if single is not None else None
        return found

    def numbers(self, look: Look, firings: Sequence[Firing]) -> tuple[NumberShown, ...]:
        """The numbers the reasons and conditions of these firings rest on, each once."""
        out: dict[str, NumberShown] = {}
        for firing in firings:
            roles = look.roles(firing)
            wanted = list(PLACE.findall(firing.rule.because))
            wanted += [(pattern.role, test.slot) for pattern in firing.rule.find for test in pattern.tests]
            for role, slot in wanted:
                fact = roles.get(role)
                kind = KINDS.get(fact.kind, {}).get(slot) if fact is not None else None
                value = fact.slots.get(slot) if fact is not None else None
                if fact is None or kind is None or not isinstance(value, float) or not kind.dimension:
                    continue
                if not value and kind.dimension == "temperature difference":  # a pure liquid has no boiling range
                    continue
                if fact.kind == "mixture" or (kind.dimension == "pure number" and fact.kind != "pair"):
                    continue
                label = self._label(fact, slot)
                if label in out:
                    continue
                shown = self._evidence(look, fact, slot)
                text = shown_slot(fact, slot, self.name) or ""
                unit = text.rpartition(" ")[2] if " " in text else ""
                out[label] = NumberShown(
                    label, text, value, unit, shown.how if shown is not None else "computed",
                    self._cite(shown.source) if shown is not None else "", shown.note if shown is not None else "",
                    shown.file if shown is not None else "",
                )  # fmt: skip
        return tuple(out.values())

    def _label(self, fact: Fact, slot: str) -> str:
        if fact.kind == "pair":
            first, second = self.name(str(fact.slots["first"])), self.name(str(fact.slots["second"]))
            if slot.startswith("first_") and slot[6:] in KINDS["component"]:
                return f"{slot_label(slot)} of {first}"
            if slot.startswith("second_"):
                return f"{slot_label(slot)} of {second}"
            return f"{slot_label(slot)} between {first} and {second}"
        return f"{slot_label(slot)} of {fact.slots.get('name', f'the {fact.kind}')}"

    def trace(self, look: Look, firing: Firing, step: int) -> None:
        """Add a firing to the trace."""
        rule = firing.rule
        roles = look.roles(firing)
        facts = []
        for pattern in rule.find:
            fact = roles.get(pattern.role)
            if fact is None:
                continue
            slots = []
            told = [slot for role, slot in PLACE.findall(rule.because) if role == pattern.role and slot != "name"]
            for slot in dict.fromkeys([*(test.slot for test in pattern.tests), *told]):
                shown = self._evidence(look, fact, slot)
                slots.append(
                    (
                        slot,
                        shown_slot(fact, slot, self.name) or "not known",
                        _how(shown),
                        self._cite(shown.source) if shown else "",
                    )
                )
            what = str(fact.slots.get("name") or fact.key)
            if fact.kind == "pair":
                what = f"{self.name(str(fact.slots['first']))} and {self.name(str(fact.slots['second']))}"
            facts.append(TraceFact(pattern.role, what, tuple(slots)))
        entry = TraceEntry(
            rule.id, rule.stage, f"{rule.head} {joined(rule.says)}", reason(rule.because, roles, self.name), rule.principle,
            self._cite(rule.source), rule.file, step, tuple(facts),
        )  # fmt: skip
        if entry not in self._trace:
            self._trace.append(entry)

    # ---- the plan ------------------------------------------------------------------------------------------------

    def _step_facts(self, step: Step, number: int) -> tuple[Look, dict[str, Fact], list[Fact]]:
        """The look at the mixture as it is during the step, the facts bound to roles, and its component facts."""
        proposal = step.proposal
        roles = step.look.roles(proposal.firings[0])
        during = step.look
        if proposal.outcome.added:
            facts = {kind: list(some) for kind, some in self.bench.facts(proposal.outcome.whole).items()}
            told = {fact.slots["between"] for fact in facts["danger"]}
            facts["danger"] += [fact for fact in step.look.facts["danger"] if fact.slots["between"] not in told]
            during = Look(proposal.outcome.whole, facts)
            pure, evidence = self.bench.known.pure(proposal.outcome.added)
            roles = {**roles, "added": Fact("component", proposal.outcome.added, dict(pure), evidence)}
        if proposal.outcome.organic:
            pure, evidence = self.bench.known.pure(proposal.outcome.organic)
            roles = {**roles, "organic": Fact("component", proposal.outcome.organic, dict(pure), evidence)}
        whole = step.look.facts["mixture"][0]
        if "boils" in proposal.technique.traits and sum(c.form == "liquid" for c in step.look.components) == 2:
            from choosemethod.advice.forecast_distillation import boiling

            whole = Fact("mixture", whole.key, {**whole.slots, **boiling(self._scene(step, during))}, whole.evidence)
        roles = {**roles, "mixture": whole}
        return during, roles, [fact for fact in during.facts["component"] if fact.slots["trace"] == "no"]

    def _step_fact(self, technique: Technique, number: int, added: str = "", embedded: SlotValue = 0.0) -> Fact:
        return Fact(
            "step", str(number),
            {"id": str(number), "technique": technique.id, "name": technique.name, "traits": technique.traits,
             "added": added, "added_name": self.name(added) if added else "", "embedded_before": embedded},
        )  # fmt: skip

    def _cautions(self, during: Look, before: Look, proposal: Proposal, number: int) -> list[Caution]:
        technique = proposal.technique
        embedded = before.facts["mixture"][0].slots["embedded"]
        added = proposal.outcome.added
        step = self._step_fact(technique, number, added, embedded)
        return self._warnings(Look(during.components, {**during.facts, "step": [step]}), technique.id, number)

    def with_cautions(self, advice: Advice) -> Advice:
        """An answer about techniques, with what must be minded of the substances named when each is carried out."""
        there = self.planner.start() or tuple(
            Component(one, phase)
            for one in self.question.wish.want
            if self.table.has(one) and (phase := self.table.substance(one).phase) in ("solid", "liquid", "gas")
        )
        if advice.about != "technique" or not there or len(there) > MOST_COMPONENTS:
            return advice
        look, plan, added = self.planner.look(there), [], []
        for step in advice.plan:
            technique = self.book.techniques[step.technique]
            now = Look(there, {**look.facts, "step": [self._step_fact(technique, step.number)]})
            warned = self._warnings(now, technique.id, step.number)
            found = [one for one in warned if one.degree != _WASTE]
            waste = [one.text for one in warned if one.degree == _WASTE]
            added += found
            residues = tuple(dict.fromkeys((*waste, *step.residues)))
            plan.append(step._replace(cautions=tuple(_said_once([*found, *step.cautions])), residues=residues))
        cited = dict.fromkeys(one.source for one in added if one.source)
        shown = [SourceShown(key, self.table.source(key).title) for key in cited]
        cautions = tuple(sorted(_said_once([*advice.cautions, *dict.fromkeys(added)]), key=gravity))
        return advice._replace(
            plan=tuple(plan), cautions=cautions, sources=tuple(dict.fromkeys((*advice.sources, *shown)))
        )

    def _warnings(self, look: Look, slug: str = "", number: int = 0) -> list[Caution]:
        """What the caution rules say of a mixture during a step, or as it stands if its facts hold no step."""
        out = []
        firings = self.book.run("caution", look.facts)
        special = {(other, key) for f in firings for other in f.rule.replaces for key in f.roles.values()}
        firings = [f for f in firings if not any((f.rule.id, key) in special for key in f.roles.values())]
        for rule_id in dict.fromkeys(f.rule.id for f in firings):
            group = _widest(look, [f for f in firings if f.rule.id == rule_id])
            rule = group[0].rule
            for text in self.together(look, group):
                out.append(Caution(text, rule.says[0], slug, rule_id, self._cite(rule.source), rule.harm, rule.kept))
            for firing in group[:1]:
                self.trace(look, firing, number)
        return sorted(out, key=gravity)

    def _step(self, step: Step, number: int, takers: Mapping[tuple[Component, ...], int]) -> PlanStep:
        proposal = step.proposal
        technique = proposal.technique
        during, roles, present = self._step_facts(step, number)
        held: dict[str, list[str]] = {}
        for product in step.products:
            present_here = [c for c in product.components if not c.trace]
            names = self._as_they_are(present_here)
            held.setdefault(product.part.key, []).extend(names)
        parts = {key: joined(names) for key, names in held.items()}

        optional: list[str] = []

        def text(lines: Sequence[Line], whole: bool = True) -> tuple[str, ...]:
            said = lines_filled(lines, roles, present, self.name, parts, whole)
            optional.extend(text for text, line in said if line.keep == "may")
            return tuple(text for text, _ in said)

        for firing in proposal.firings:
            self.trace(step.look, firing, number)
        cautions = self._cautions(during, step.look, proposal, number)
        cautions += [
            Caution(said, _KEPT[line.keep], technique.id, "", technique.source, line.harm)
            for said, line in lines_filled(technique.cautions, roles, present, self.name, parts)
        ]
        cautions.sort(key=gravity)
        residues = tuple(
            dict.fromkeys([c.text for c in cautions if c.degree == _WASTE] + list(text(technique.residues)))
        )
        cautions = _said_once([c for c in cautions if c.degree != _WASTE])
        rules = tuple(dict.fromkeys(f.rule.id for f in proposal.firings))
        foretold = self._forecast(step, during)
        return PlanStep(
            number, technique.id, technique.name, self._names(c for c in step.look.components if not c.trace),
            self.name(proposal.outcome.added) if proposal.outcome.added else "",
            tuple(self._product(product, takers, number) for product in step.products),
            self.reasons(step.look, proposal.firings), rules, technique.principle, text(technique.apparatus, False),
            text(technique.steps), text(technique.seen), tuple(cautions), text(technique.limits), residues,
            (*self.numbers(step.look, proposal.firings), *foretold.numbers), self._cite(technique.source), foretold.lines,
            tuple(self._seen(c) for c in step.look.components), tuple(self._seen(c) for c in _afterwards(step)),
            optional=(*optional, *foretold.optional),
        )  # fmt: skip

    def _as_they_are(self, components: Sequence[Component]) -> tuple[str, ...]:
        """Names of components with what they have become; a reagent that was used up is not told beside what it holds."""
        held = {c.host for c in components if c.reacted and not c.added}
        out = []
        for c in components:
            if c.added and c.reacted:
                if c.substance not in held:
                    name = self.name(c.substance)
                    if c.reacted.startswith("with "):
                        out.append(f"{name} {c.reacted}")
                    else:
                        out.append(c.reacted if c.substance == self.bench.limits.water else f"{name} ({c.reacted})")
            else:
                out.append(self.name(c.substance) + (f" (as {c.reacted})" if c.reacted else ""))
        return tuple(out)

    def _scene(self, step: Step, during: Look) -> Scene:
        """A step as forecasts see it."""
        from choosemethod.advice.forecast import Scene

        outcome, technique = step.proposal.outcome, step.proposal.technique
        facts = {fact.key: fact for fact in during.facts["component"]}
        return Scene(
            self.table, self.book.laboratory, self.bench.pressure, self.bench.limits.water, self.question.mixture,
            step.look.components, outcome.whole, [product.components for product in step.products], outcome.added, facts,
            "boils" in technique.traits, during.facts["mixture"][0].slots.get("heat_danger") == "yes", self.bench.limits.values,
        )  # fmt: skip

    def _forecast(self, step: Step, during: Look) -> Forecast:
        """What to expect of the step in numbers; nothing is loaded for a technique that has no forecast."""
        kinds = self.book.forecasts.get(step.proposal.technique.id)
        if kinds is None:
            return _NO_FORECAST
        from choosemethod.advice.forecast import forecast

        found = forecast(kinds, self._scene(step, during))
        for key in found.sources:
            self._cite(key)
        return found

    def _product(self, product: Product, takers: Mapping[tuple[Component, ...], int], number: int) -> ProductShown:
        part = product.part
        names = self._names(c for c in product.components if not c.trace)
        taker = takers.get(product.components, 0)
        if part.lost:
            fate = "lost"
        elif part.shown:
            fate = "shown"
        elif taker > number:
            fate = "continues"
        elif not product.asked:
            fate = "spent" if any(c.reacted for c in product.components) else "recovered"
        elif self.question.wish.want and not any(c.substance in self.question.wish.want for c in product.asked):
            fate = "by-product"
        else:
            fate = "product"
        reacted = joined(c.reacted for c in product.components if c.reacted and not c.added)
        state = part.state or (f"as {reacted}" if reacted else "")
        if not state and not part.shown:
            state = joined(dict.fromkeys(c.form for c in product.components if not c.trace and not c.added))
        amounts = tuple(
            (
                self.name(c.substance),
                c.mass if c.mass is not None else c.volume or 0.0,
                "mass" if c.mass is not None else "volume",
            )
            for c in product.asked
            if c.mass is not None or c.volume is not None
        )
        return ProductShown(part.name, names, state, fate, taker if fate == "continues" else 0, amounts)

    def plan_steps(self, plan: Plan) -> tuple[PlanStep, ...]:
        """The plan's steps with their texts."""
        takers = {step.look.components: number for number, step in reversed(list(enumerate(plan.steps, 1)))}
        return tuple(self._step(step, number, takers) for number, step in enumerate(plan.steps, 1))

    def _bench(self, plan: Plan) -> tuple[str, tuple[tuple[str, str], ...]]:
        """Who works at the level asked for ("" everybody, teacher, nobody), and what to take instead of what is not for it."""
        level = self.question.setting.level
        if not level:
            return "", ()
        from choosemethod.classroom.materials import materials

        who = materials().levels[level]["bench"]
        used = dict.fromkeys(self.question.mixture.substances)
        for step in plan.steps:
            used.update(dict.fromkeys(c.substance for c in step.proposal.outcome.whole))
        found: dict[str, list[str]] = {}
        for ident in used:
            slots = self.bench.known.pure(ident)[0]
            found.setdefault(who.get(str(slots["school_use"]), ""), []).append(ident)
        if "nobody" not in found:
            return ("teacher" if "teacher" in found else ""), ()
        instead = {self.name(one): str(self.bench.known.pure(one)[0]["safer_instead"]) for one in found["nobody"]}
        return "nobody", tuple(instead.items())

    # ---- the whole answer ----------------------------------------------------------------------------------------

    def answer(self, why_not: Sequence[str] = (), brief: bool = False) -> Advice:
        """The answer to the question. brief: where it has a plan, only that it has (for judging, which words nothing)."""
        question = self.question
        if question.unknown and question.mixture.components:
            look = self.planner.look(self.planner.start())
            if any(f.rule.says[0] == "unsafe" for f in look.refusals):
                return self._refused(look)  # what was understood is dangerous, whatever the unknown word means
        if question.unknown or (not question.mixture.components and not question.mixture.really):
            missing = tuple(MissingFact(what, "") for what in question.missing)
            return self._advice("unknown", missing=missing)
        start = self.planner.start()
        look = self.planner.look(start)
        if look.refusals:
            only = all(f.rule.says[0] == "nothing-to-separate" for f in look.refusals)
            if only and question.missing and not question.mixture.really:  # something named is left over
                missing = tuple(MissingFact(what, "say what it is, or name the mixture") for what in question.missing)
                return self._advice("needs-information", missing=missing)
            return self._refused(look)
        wish, present = question.wish.want, {c.substance for c in question.mixture.components}
        if wish and not present & set(wish):
            names = joined(self.name(ident) for ident in wish)
            what = f"what holds {names}: it is not among {joined(self._names(question.mixture.components))}"
            return self._advice(
                "needs-information", missing=(MissingFact(what, "name the mixture it is to come from"),)
            )
        plans = self.planner.plans()
        done = [item for item in plans if not item[1].together]
        kept = done or plans
        if kept and brief:
            return self._advice("answered")
        nearest = tuple(self.why_not(slug, look, kept) for slug in why_not)
        rejected = self._rejected(look, kept)
        if not kept:
            return self._none(look, rejected, nearest)
        best = kept[0][1]
        steps = self.plan_steps(best)
        bench, instead = self._bench(best)
        if bench == "nobody":  # the way is told, but nothing is put on a bench
            steps = tuple(step._replace(apparatus=(), steps=(), seen=()) for step in steps)
        kept = [kept[0], *(item for item in kept[1:] if sound(item[1], best, question.wish.want))]
        taught = [kept[0], *(item for item in kept[1:] if not self._beyond(item[1]))]
        techniques = self._techniques(look, taught)
        cautions = sorted(dict.fromkeys(c for step in steps for c in step.cautions), key=gravity)
        numbers = {n.name: n for step in steps for n in step.numbers}
        products = tuple(p for step in steps for p in step.gives if p.fate in ("product", "by-product", "shown"))
        together = tuple(
            self._names(c for c in left.components if not c.added and not c.trace) for left in best.together
        )
        missing = self._missing(best.together[0]) if best.together else ()
        return self._advice(
            "answered", techniques=techniques, rejected=rejected, plan=steps, products=products,
            alternatives=self._alternatives(kept), left_together=together, missing=missing, cautions=tuple(cautions),
            numbers=tuple(numbers.values()), contrast=self._contrast(look, kept, rejected), why_not=nearest,
            bench=bench, instead=instead,
        )  # fmt: skip

    def _techniques(self, look: Look, kept: Sequence[tuple[Proposal, Plan]]) -> tuple[TechniqueAdvice, ...]:
        out: dict[str, TechniqueAdvice] = {}
        for proposal, plan in kept:
            slug = proposal.technique.id
            if slug in out:
                continue
            firings = proposal.firings
            out[slug] = TechniqueAdvice(
                slug, proposal.technique.name, firings[0].rule.strength, self.reasons(look, firings),
                tuple(dict.fromkeys(f.rule.id for f in firings)), tuple(dict.fromkeys(f.rule.principle for f in firings)),
                tuple(step.proposal.technique.id for step in plan.steps), round(plan.score, 3),
            )  # fmt: skip
        return tuple(out.values())

    def _rejected(self, look: Look, kept: Sequence[tuple[Proposal, Plan]]) -> tuple[Rejected, ...]:
        serving = {proposal.technique.id for proposal, _ in kept}
        out = []
        for slug, firings in look.rejections.items():
            if slug in serving or slug not in self.book.techniques:
                continue
            for firing in firings[:1]:
                self.trace(look, firing, 0)
            reason = self.reasons(look, firings[:1])
            out.append(Rejected(slug, self.book.techniques[slug].name, reason[0] if reason else "", firings[0].rule.id))
        known = serving | {r.technique for r in out}
        for proposal in look.blocked:
            if proposal.technique.id not in known:
                known.add(proposal.technique.id)
                out.append(
                    Rejected(proposal.technique.id, proposal.technique.name, f"not available here: {proposal.blocked}")
                )
        return tuple(sorted(out, key=lambda r: (self.book.techniques[r.technique].order, r.technique)))

    def _alternatives(self, kept: Sequence[tuple[Proposal, Plan]]) -> tuple[StepRef, ...]:
        best = kept[0][1]
        first = tuple(step.proposal.technique.id for step in best.steps)
        out: list[StepRef] = []
        for _, plan in kept[1:]:
            slugs = tuple(step.proposal.technique.id for step in plan.steps)
            if self._beyond(plan) or slugs == first or len(out) == _ALTERNATIVES:
                continue
            if any(ref.techniques == slugs for ref in out):
                continue
            more = []
            for index, word in enumerate(("work", "time", "hazard", "loss")):
                mine = sum(step.proposal.technique.cost[index] for step in plan.steps)
                theirs = sum(step.proposal.technique.cost[index] for step in best.steps)
                if mine > theirs:
                    more.append(f"more {word}")
            other_order = sorted(slugs) == sorted(first)
            said = "the same steps in another order" if other_order else joined(more) or "less usual for this mixture"
            out.append(StepRef(slugs, round(plan.score, 3), said))
        return tuple(out)

    def _beyond(self, plan: Plan) -> bool:
        """Whether a plan needs a technique that is taught later than the level asked for."""
        level = self.question.setting.level
        return bool(level) and any(
            LEVELS.index(step.proposal.technique.level) > LEVELS.index(level) for step in plan.steps
        )

    def _contrast(self, look: Look, kept: Sequence[tuple[Proposal, Plan]], rejected: Sequence[Rejected]) -> str:
        """One sentence on the runner-up, or on the likeliest wrong idea."""
        best = kept[0][0].technique.id
        rivals, used = self.book.rivals.get(best, ()), {step.proposal.technique.id for step in kept[0][1].steps}
        for proposal, plan in kept[1:]:
            serves = proposal.firings[0].rule.strength != "possible" or proposal.technique.id in rivals
            if proposal.technique.id not in used and serves and not self._beyond(plan):
                name = proposal.technique.name
                reason = self.reasons(look, proposal.firings[:1])
                steps, others = ([s.proposal.technique.id for s in one.steps] for one in (kept[0][1], plan))
                if sorted(steps) == sorted(others):
                    return (
                        f"The order may be changed: {name} can also come first. {self._customary(kept[0][0], proposal)}"
                    )
                ref = next((r for r in self._alternatives(kept) if r.techniques[0] == proposal.technique.id), None)
                costs = f", with {ref.costs}" if ref is not None and ref.costs.startswith("more ") else ""
                wrong = proposal.firings[0].rule.goes_wrong_when
                warning = f" It goes wrong when {wrong[0]}." if not costs and wrong else ""
                return f"{sentence(name)} would also serve{costs}. {reason[0] if reason else ''}{warning}".strip()
        wide = {slug: len(firings[0].rule.says) for slug, firings in look.rejections.items()}

        told = {one.technique: one for one in rejected if one.rule and wide.get(one.technique, 0) <= _FAMILY}
        near = next((told[slug] for slug in rivals if slug in told and slug not in used), None)
        return f"{sentence(near.name)} would not do. {near.reason}" if near else ""

    @staticmethod
    def _customary(first: Proposal, other: Proposal) -> str:
        """Why a plan begins with one technique although the other could as well."""
        mine, theirs = first.technique, other.technique
        if mine.cost[:2] < theirs.cost[:2]:
            return f"It is customary to begin with {mine.name}: it is the simpler and quicker step."
        if mine.cost[2] < theirs.cost[2]:
            return f"It is customary to begin with {mine.name}: it is the safer step."
        return (
            f"It is customary to begin with {mine.name}, so that what it takes out does not get into the later steps."
        )

    def why_not(self, slug: str, look: Look, kept: Sequence[tuple[Proposal, Plan]]) -> Nearest:
        """Why a technique of the catalogue is not the answer (or that it is)."""
        technique = self.book.techniques[slug]
        if kept and any(step.proposal.technique.id == slug for step in kept[0][1].steps):
            step = next(step for step in kept[0][1].steps if step.proposal.technique.id == slug)
            return Nearest(
                slug,
                technique.name,
                "chosen",
                self.reasons(step.look, step.proposal.firings)[0],
                step.proposal.firings[0].rule.id,
            )
        for proposal, plan in kept:
            if proposal.technique.id == slug:
                ref = next((r for r in self._alternatives(kept) if r.techniques[0] == slug), None)
                rated = f"its plan scores {plan.score:.1f} against {kept[0][1].score:.1f} (lower is better)"
                costs = f"{ref.costs}; {rated}" if ref is not None else rated
                reason = f"{self.reasons(look, proposal.firings)[0]} {sentence(costs)}."
                return Nearest(slug, technique.name, "also-serves", reason, proposal.firings[0].rule.id)
        if slug in look.rejections:
            firing = look.rejections[slug][0]
            return Nearest(slug, technique.name, "rejected", self.reasons(look, [firing])[0], firing.rule.id)
        for proposal in look.blocked:
            if proposal.technique.id == slug:
                return Nearest(
                    slug,
                    technique.name,
                    "not-available",
                    f"Not available here: {proposal.blocked}.",
                    proposal.firings[0].rule.id,
                )
        rules = [rule for rule in self.book.stage("selection") if rule.says[0] == slug]
        miss = nearest_miss(rules, look)
        if miss is None:
            return Nearest(slug, technique.name, "not-proposed", "It is not used for a mixture of this kind.")
        failed = miss.worded(self.name)
        listed = "; ".join(f"{condition} ({value})" for condition, value in failed[:2])
        return Nearest(
            slug, technique.name, "not-proposed", f"What it would need, and what there is: {listed}.", miss.rule.id, failed
        )  # fmt: skip

    def _missing(self, look: Look) -> tuple[MissingFact, ...]:
        """What is not known and would decide, with the techniques it would decide about."""
        out: dict[str, list[str]] = {}
        rules = [rule for rule in self.book.stage("selection") if rule.strength in _DECIDING]
        for miss in unknown_only(rules, look):
            for _, fact, test in miss.failed:
                if fact is not None and test is not None and fact.kind in ("component", "pair"):
                    names = out.setdefault(self._unknown_label(fact, test.slot), [])
                    name = self.book.techniques[miss.rule.says[0]].name
                    if name not in names:
                        names.append(name)
        found = [MissingFact(what, f"it would decide about {joined(names)}") for what, names in out.items()]
        return tuple([MissingFact(what, "") for what in self.question.missing] + found)[:6]

    def _unknown_label(self, fact: Fact, slot: str) -> str:
        """What would have to be known, as a question: "whether sand comes over with steam", "the density of oil"."""
        described = KINDS[fact.kind][slot]
        name = str(fact.slots.get("name", fact.key))
        if fact.kind == "pair":
            place = next(
                (
                    p
                    for p in ("first", "second")
                    if slot.startswith(p + "_") and slot[len(p) + 1 :] in KINDS["component"]
                ),
                "",
            )
            if not place:
                return "the " + self._label(fact, slot) if described.dimension else self._label(fact, slot)
            name, described = self.name(str(fact.slots[place])), KINDS["component"][slot[len(place) + 1 :]]
            slot = slot[len(place) + 1 :]
        if "yes" in described.words:
            meaning = " " + described.meaning
            return f"whether {name}{agreeing(meaning) if is_plural(name) else meaning}"
        return f"the {slot_label(slot)} of {name}"

    def _none(self, look: Look, rejected: tuple[Rejected, ...], nearest: tuple[Nearest, ...]) -> Advice:
        """No plan: because something is not available, or not known, or because no method is known."""
        beware = tuple(_said_once([c for c in self._warnings(look) if c.degree != _WASTE]))
        if look.blocked:
            lines = tuple(
                dict.fromkeys(
                    f"{p.technique.name} would serve, but is ruled out here ({p.blocked}). {self.reasons(look, p.firings[:1])[0]}"
                    for p in look.blocked
                )
            )
            advice = tuple(dict.fromkeys(f"It could be done if this did not hold: {p.blocked}." for p in look.blocked))
            refusal = Refusal("blocked", lines[:4], advice[:3])
            return self._advice("refused", refusal=refusal, rejected=rejected, cautions=beware, why_not=nearest)
        perils = tuple(dict.fromkeys(self._perils(look)))
        if perils:  # what they do to each other comes before what is not known of each
            refusal = Refusal(
                "not-known-here", (*perils, "No way of parting them that does not set this off is known here.")
            )
            return self._advice("refused", refusal=refusal, rejected=rejected, cautions=beware, why_not=nearest)
        missing = self._missing(look)
        if missing:
            return self._advice(
                "needs-information", missing=missing, rejected=rejected, cautions=beware, why_not=nearest
            )
        refusal = Refusal(
            "not-known-here", ("No rule here says how to separate this mixture; it may still be possible.",)
        )
        return self._advice("refused", refusal=refusal, rejected=rejected, cautions=beware, why_not=nearest)

    def _perils(self, look: Look) -> Iterator[str]:
        """What components would do to each other if a step set it off."""
        for fact in look.facts["danger"]:
            between, triggers = fact.slots["between"], fact.slots["triggers"]
            several = isinstance(between, tuple) and bool(between[1:])
            if several and triggers and (fact.slots["severity"] != "caution" or fact.slots["now"] == "no"):
                yield f"{sentence(str(fact.slots['names']))}: {fact.slots['text']}."

    def _refused(self, look: Look) -> Advice:
        order = ("unsafe", "nothing-to-separate", "not-separable")
        kind = min((f.rule.says[0] for f in look.refusals), key=order.index)
        firings = [f for f in look.refusals if f.rule.says[0] == kind]
        for firing in firings:
            self.trace(look, firing, 0)
        reasons = self.reasons(look, firings)
        return self._advice(_STATUS[kind], refusal=Refusal(kind, reasons))

    def _advice(
        self, status: str, *, techniques: tuple[TechniqueAdvice, ...] = (), rejected: tuple[Rejected, ...] = (),
        plan: tuple[PlanStep, ...] = (), products: tuple[ProductShown, ...] = (), alternatives: tuple[StepRef, ...] = (),
        left_together: tuple[tuple[str, ...], ...] = (), refusal: Refusal | None = None,
        missing: tuple[MissingFact, ...] = (), cautions: tuple[Caution, ...] = (), numbers: tuple[NumberShown, ...] = (),
        contrast: str = "", why_not: tuple[Nearest, ...] = (), bench: str = "", instead: tuple[tuple[str, str], ...] = (),
    ) -> Advice:  # fmt: skip
        question = self.question
        mixture = question.mixture
        seen = tuple(self._seen(component) for component in mixture.components)
        sources = tuple(SourceShown(key, self.table.source(key).title) for key in sorted(self._sources) if key)
        return Advice(
            question.asked, mixture.name or joined(c.name for c in seen), seen, mixture.note, question.understood,
            question.corrections, question.unknown, self._ids(question.wish.want), self._ids(question.wish.remove),
            question.wish.aim, question.setting.pressure, question.setting.without, question.setting.level, status,
            techniques, rejected, plan, products, alternatives, left_together, refusal, missing, cautions, numbers, contrast,
            why_not, self._retention(), sources, tuple(self._trace), self._called(), question.not_used, question.readings,
            question.mentions, question.inferred, self._ids(question.reagents), question.wish.purpose, question.scale,
            question.techniques, bench, instead,
        )  # fmt: skip

    def _called(self) -> tuple[tuple[str, str], ...]:
        """Components the question calls by another of their names: (name of the table, that name)."""
        asked = self.question.asked.lower()
        words = spaced(asked)
        found = {}
        for ident in self.question.mixture.substances:
            substance = self.table.substance(ident)
            if spaced(substance.name) in words:
                continue
            names = [name for name in substance.also if name.lower() in asked and spaced(name) in words]
            names = [name for name in names if name[0].islower() and is_plural(name) == is_plural(substance.name)]
            if names and f" {substance.name} " not in f" {max(names, key=len)} ":
                found[substance.name] = max(names, key=len)
        return tuple(found.items())

    def _ids(self, ids: Sequence[str]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(self.name(ident) for ident in ids))

    def _seen(self, component: Component) -> ComponentSeen:
        amount = ""
        if component.mass is not None:
            amount = show(component.mass, "mass")
        elif component.volume is not None:
            amount = show(component.volume, "volume")
        elif component.share is not None:
            amount = show(component.share, "fraction")
        phase = self.table.substance(component.substance).phase if self.table.has(component.substance) else ""
        host = self.name(component.host) if component.host else ""
        return ComponentSeen(
            component.substance, self.name(component.substance), component.form, phase, host, amount,
            component.reacted, component.added, component.trace,
        )  # fmt: skip

    def _retention(self) -> tuple[tuple[str, str], ...]:
        front = self.question.front
        if front is None or not self.question.spots:
            return ()
        out = []
        for spot in self.question.spots:
            out.append(
                (f"Rf = {spot / front:.2f}", f"{show(spot, 'length')} / {show(front, 'length')} = {spot / front:.2f}")
            )
        return tuple(out)
