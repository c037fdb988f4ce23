"""Why a step of an answer cannot be done in a state of the mixture."""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.advice.nearest import unknown_only
from choosemethod.advice.plan import Look
from choosemethod.advice.wording import joined, sentence, shown_slot
from choosemethod.facts import KINDS, Fact
from choosemethod.judging.case import Case
from choosemethod.judging.steps import Given, Judgement, State, place_of
from choosemethod.judging.ways import BRINGS, Ways, bindings
from choosemethod.rulebook.language import Rule

__all__ = ["Failing"]

_AIMS = ("asked_for", "added", "role")  # slots of a component that say what it is there for
_DOES = (
    ("takes", "takes up {}"),
    ("dissolves", "dissolves {}"),
    ("leaves", "leaves {} as before"),
    ("undecided", "does to {} what is not known here"),
)


class Failing:
    """Finds why steps of answers to one question fail."""

    def __init__(self, case: Case, ways: Ways) -> None:
        self.case, self.ways = case, ways

    def failed(self, given: Sequence[Given], place: int, state: State) -> Judgement:
        """Why the step at `place` cannot be done in a state."""
        step = given[place]
        slug = step.slugs[0]
        lead = f"Step {place + 1}, {self.case.name(slug)}: " if len(given) > 1 else ""
        products = state.open or state.done or (self.case.start,)
        looks = [self.case.planner.look(c) for c in sorted(products, key=lambda c: (-len(c), place_of(c)))]
        common = {"steps": state.taken, "rejects": slug}

        def found(
            verdict: str, reason: str, rule: str = "", source: str = "", missing: tuple[str, ...] = ()
        ) -> Judgement:
            return Judgement(verdict, f"{lead}{sentence(reason)}", rule, source, missing=missing, **common)  # type: ignore[arg-type]

        for look in looks:
            danger = self.meets(look, step.adds)
            if danger:
                return found("unsafe", danger)
        rejected = [(look, firing) for look in looks for s in step.slugs for firing in look.rejections.get(s, ())]
        for look, firing in sorted(rejected, key=lambda item: not self.case.is_danger(item[1].rule)):
            reason = next(iter(self.case.composer.reasons(look, [firing])), "")
            verdict = "unsafe" if self.case.is_danger(firing.rule) else "wrong"
            return found(verdict, reason, firing.rule.id, firing.rule.source)
        for look in looks:
            for proposal in look.blocked:
                if proposal.technique.id in step.slugs:
                    rule = proposal.firings[0].rule
                    return found("wrong", f"It is not available here: {proposal.blocked}.", rule.id, rule.source)
        if self.case.nothing_said():
            return found(
                "cannot tell", "Nothing is said of something that is only named by a letter or a word of the question."
            )
        for look in looks:
            text = self._unsuited(look, step)
            if text:
                return found("wrong", text)
        counting = [other for s in step.slugs for same in self.ways.same.get(s, ()) for other in same.others]
        meant = {*step.slugs, *step.kinds, *counting}
        rules = [rule for rule in self.case.book.stage("selection") if rule.says[0] in meant]
        for look in looks:
            missing, open_question = self._missing_for(rules, look)
            if missing and not open_question:
                return found("wrong", f"Nothing in the question says it would serve ({'; '.join(missing)}).")
            if missing:
                return found(
                    "cannot tell", f"It hangs on what is not known here ({'; '.join(missing)}).", missing=missing
                )
        for look in looks:
            if lost := self._gives_up(look, step):
                return found("wrong", f"{joined(lost)} {'is' if len(lost) == 1 else 'are'} wanted, and would be let go.")
        nearest = self.case.composer.why_not(slug, looks[0], [])
        return found("wrong", nearest.reason, nearest.rule)

    def _gives_up(self, look: Look, step: Given) -> tuple[str, ...]:
        """Names of what is wanted that a step would let go, if that is all that speaks against it."""
        singles = {fact.key: fact for fact in look.facts["component"]}
        for rule in self.case.book.stage("selection"):
            if rule.says[0] not in step.slugs:
                continue
            find = tuple(p._replace(tests=tuple(t for t in p.tests if t.slot not in _AIMS)) for p in rule.find)
            for roles in bindings(rule._replace(find=find), look):
                technique = self.case.book.techniques[rule.says[0]]
                outcome = self.case.planner.carried_out(technique, look.components, singles, roles)
                if outcome is not None and self.case.planner.gives_up_wanted(outcome):
                    wanted = self.case.composer.question.wish.want
                    return tuple(
                        self.case.composer.name(one)
                        for one in wanted
                        if any(one == c.substance for c in look.components)
                    )
        return ()

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

    def meets(self, look: Look, adds: Sequence[str]) -> str:
        """The danger of something the answer brings in, with what is there; "" if none is known."""
        table = self.case.composer.table
        for add in adds:
            if not table.has(add) or add in self.case.rules.solutions:
                continue  # of what is used as its solution, the solution is asked for
            for component in look.components:
                danger = self.case.planner.bench.known.danger(
                    table.substance(add), table.substance(component.substance)
                )
                if danger is not None and danger.severity in ("refuse", "no-acid") and component.substance != add:
                    return f"{self.case.composer.name(add)} with {self.case.composer.name(component.substance)}: {danger.danger}."
        return ""

    def _unsuited(self, look: Look, step: Given) -> str:
        """Why what the answer brings in does not serve, from the facts about it; "" if nothing is known of it."""
        bench, table = self.case.planner.bench, self.case.composer.table
        for add in step.adds:
            if not table.has(add):
                continue
            for kind in BRINGS:
                for fact in look.facts.get(kind, ()):
                    if add in (fact.slots.get("id"), fact.key):
                        return self._described(fact, add)
            liquid = table.substance(add)
            solids = [c for c in look.components if c.form == "solid" and not c.trace]
            if liquid.phase == "liquid" and solids:
                grades = [(c.substance, bench.known.grade(table.substance(c.substance), liquid)[0]) for c in solids]
                return (
                    f"In {liquid.name} {joined(f'{self.case.composer.name(one)} is {grade}' for one, grade in grades)}."
                )
        return ""

    def _described(self, fact: Fact, add: str) -> str:
        """What one fact says of something that could be added."""
        name = self.case.composer.name(add)
        because = fact.slots.get("because")
        if isinstance(because, str) and because:
            return f"{name}: {because}."
        parts = []
        for slot, words in _DOES:
            shown = shown_slot(fact, slot, self.case.composer.name) if slot in fact.slots else None
            if shown:
                parts.append(words.replace("{}", shown))
        return f"{name} {joined(parts)}." if parts else ""
