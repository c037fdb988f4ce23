"""Why not a technique: the rule that rejects it, or the rule nearest to proposing it with the condition that failed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import islice, permutations, product

from choosemethod.advice.plan import Look
from choosemethod.advice.wording import shown_slot, slot_label
from choosemethod.facts import KINDS, UNKNOWN, Fact
from choosemethod.rulebook.language import Pattern, Rule, Test

__all__ = ["Miss", "nearest_miss", "unknown_only"]

TRIED = 4000  # assignments of facts to roles that are looked at for one rule


class Miss:
    """The best assignment of facts to a rule's roles, with the tests that fail: (role, fact, test)."""

    def __init__(self, rule: Rule, failed: list[tuple[str, Fact | None, Test | None]]) -> None:
        self.rule = rule
        self.failed = failed

    def worded(self, names: Callable[[str], str]) -> tuple[tuple[str, str], ...]:
        """Each failed condition in words with the value found."""
        out = []
        for role, fact, test in self.failed:
            if fact is None or test is None:
                out.append((f"there is a {role.replace('_', ' ')}", "there is none"))
                continue
            found = shown_slot(fact, test.slot, names)
            about = names(str(fact.slots.get("id", ""))) if fact.kind == "component" else fact.kind
            if fact.kind == "pair":
                about = f"{names(str(fact.slots['first']))} and {names(str(fact.slots['second']))}"
            described = KINDS[fact.kind].get(test.slot)
            label = f"{slot_label(test.slot)} of {about}"
            if described is not None and fact.kind == "mixture":
                label = described.meaning
            elif described is not None and "yes" in described.words:
                label = f"{about} ({described.meaning})"
            wanted = test.text.replace(", ", " and ", 1) if test.text.startswith("between ") else test.text
            out.append((f"{label}: {wanted}", "not known" if found is None else found or "none"))
        return tuple(dict.fromkeys(out))


def _assignments(rule: Rule, look: Look) -> Iterator[dict[str, Fact]]:
    singles = [p for p in rule.find if p.kind == "component"]
    others = [p for p in rule.find if p.kind not in ("component", "pair")]
    components = [fact for fact in look.facts["component"] if fact.slots["trace"] == "no"]
    pools: list[Sequence[Fact | None]] = [look.facts.get(p.kind, []) or [None] for p in others]
    for chosen in permutations(components, len(singles)) if len(singles) <= len(components) else ():
        for rest in product(*pools):
            roles = {p.role: fact for p, fact in zip(singles, chosen, strict=True)}
            roles.update({p.role: fact for p, fact in zip(others, rest, strict=True) if fact is not None})
            yield roles


def _failures(rule: Rule, look: Look, roles: Mapping[str, Fact]) -> list[tuple[str, Fact | None, Test | None]]:
    failed: list[tuple[str, Fact | None, Test | None]] = []
    for pattern in rule.find:
        fact: Fact | None = roles.get(pattern.role)
        if pattern.kind == "pair":
            fact = _pair(pattern, look, roles)
        if fact is None:
            failed.append((pattern.kind, None, None))
            continue
        failed += [(pattern.role, fact, test) for test in pattern.tests if not test(fact.slots.get(test.slot))]
        for slot, role in pattern.joins:
            if pattern.kind != "pair" and role in roles and fact.slots.get(slot) != roles[role].key:
                failed.append((slot, None, None))
    return failed


def _pair(pattern: Pattern, look: Look, roles: Mapping[str, Fact]) -> Fact | None:
    ends = dict(pattern.joins)
    first, second = roles.get(ends.get("first", "")), roles.get(ends.get("second", ""))
    if first is None or second is None:
        return None
    return look.by_key.get(("pair", f"{first.key} & {second.key}"))


def nearest_miss(rules: Sequence[Rule], look: Look) -> Miss | None:
    """Of rules that did not fire, the one with the fewest failing conditions; None if there is no rule."""
    best: Miss | None = None
    for rule in rules:
        for roles in islice(_assignments(rule, look), TRIED):
            failed = _failures(rule, look, roles)
            if failed and (best is None or len(failed) < len(best.failed)):
                best = Miss(rule, failed)
        if best is None:
            best = Miss(rule, [(p.kind, None, None) for p in rule.find])
    return best


def unknown_only(rules: Sequence[Rule], look: Look) -> list[Miss]:
    """Rules that fail only because something is not known, with what that is."""
    out = []
    for rule in rules:
        for roles in islice(_assignments(rule, look), TRIED):
            failed = _failures(rule, look, roles)
            if (
                failed
                and len(failed) <= 2
                and all(
                    fact is not None and test is not None and fact.slots.get(test.slot) in (None, UNKNOWN)
                    for _, fact, test in failed
                )
            ):
                out.append(Miss(rule, failed))
                break
    return out
