"""Why not a technique: the rule that rejects it, or the rule nearest to proposing it with the condition that failed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import islice, permutations, product

from choosemethod.advice.plan import Look
from choosemethod.advice.wording import agreeing, shown_slot, slot_label
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
        """Each failed condition as a sentence says it: (what would have to be, what is)."""
        return tuple(dict.fromkeys(_worded(role, fact, test, names) for role, fact, test in self.failed))


# What a rule looks for besides the components of the mixture, as a sentence says it.
_THINGS = {
    "component": "one more part of the right kind",
    "pair": "two parts that differ in the right way",
    "solvent": "a liquid that dissolves one part and leaves the other",
    "extractant": "a solvent that takes one part out and leaves the other",
    "reagent": "a reagent that takes one part only",
    "absorbent": "something that takes one gas out and lets the other pass",
    "mesh": "a sieve that lets one part through and holds the other back",
    "dryer": "a part that is to be dried",
    "help": "a substance known to help these two apart",
}
_FORM_WORDS = {
    "solid": "a loose, dry solid",
    "suspended": "solid particles in a liquid",
    "colloidal": "very fine particles in a liquid",
    "emulsified": "droplets in another liquid",
    "dissolved": "in solution",
    "liquid": "a liquid of its own",
    "gas": "a gas",
    "airborne": "fine particles in a gas",
    "embedded": "locked inside another solid",
    "alloyed": "part of an alloy",
}
_AS_SAID = {"role": "named as", "asked_for": "asked for", "wanted": "asked for", "to_remove": "to be removed"}


def _negative(meaning: str) -> str:
    """ "dissolves in cold water" -> "does not dissolve in cold water"."""
    verb, _, rest = meaning.partition(" ")
    if verb in ("is", "are", "was", "has"):
        return f"{verb} {'no' if verb == 'has' else 'not'} {rest}"
    return f"does not {agreeing(' ' + verb).strip()} {rest}"


def _worded(role: str, fact: Fact | None, test: Test | None, names: Callable[[str], str]) -> tuple[str, str]:
    if fact is None or test is None:
        return _THINGS.get(role, "something more of the right kind"), "there is none here"
    slot = test.slot
    described = KINDS[fact.kind].get(slot)
    meaning = described.meaning if described is not None else slot.replace("_", " ")
    found = shown_slot(fact, slot, names)
    about = str(fact.slots.get("name") or names(str(fact.slots.get("id", ""))))
    if fact.kind == "pair":
        first, second = names(str(fact.slots["first"])), names(str(fact.slots["second"]))
        about = f"{first} and {second}"
        meaning = meaning.replace("the first", first).replace("the second", second)
    if fact.kind == "mixture":
        about = "the mixture"
    if described is not None and "yes" in described.words:
        wanted = test.value == "yes" if test.operator == "is" else test.value == "no"
        said = meaning if fact.kind == "pair" else f"{about} {meaning}"
        denied = f"{about} {_negative(meaning)}" if fact.kind not in ("pair", "mixture") else f"not so: {meaning}"
        if found is None:
            return f"whether {said}" if fact.kind != "mixture" else meaning, "not known"
        return (said, denied) if wanted else (denied, said)
    if slot == "form":
        wanted_forms = test.value if isinstance(test.value, (tuple, frozenset, list)) else (test.value,)
        words = " or ".join(_FORM_WORDS.get(str(one), str(one)) for one in sorted(map(str, wanted_forms)))
        nots = "not " if test.operator in ("not", "none_of") else ""
        return f"{about} as {nots}{words}", f"{about} is {_FORM_WORDS.get(str(found), found)}"
    if slot in _AS_SAID:
        return f"{about} {_AS_SAID[slot]} {test.text}".rstrip(), "it is not"
    if slot == "classes":
        listed = test.value if isinstance(test.value, (tuple, frozenset, list)) else (test.value,)
        words = " or ".join(sorted(map(str, listed)))
        lacks = test.operator == "lacks"
        return f"{about} {'not ' if lacks else ''}of the class {words}", f"it is {'' if lacks else 'not'}".rstrip()
    if fact.kind == "mixture":
        return f"{meaning}: {test.text}", "not known" if found is None else found or "none"
    label = slot_label(slot)
    if described is not None and described.dimension == "pure number":
        return f"{meaning}: {test.text}", "not known" if found is None else found
    text = test.text.replace(", ", " and ", 1) if test.text.startswith("between ") else test.text
    text = text.removeprefix("one of ").replace(", ", " or ") if text.startswith("one of ") else text
    said = f"the {label} of {about} {text}"
    if described is not None and not described.dimension:
        said = f"{about}, {meaning}: {text}"
    return said, "not known" if found is None else found or "none"


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
