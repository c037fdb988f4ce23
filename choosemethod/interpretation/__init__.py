"""Interpretation: what was said, turned by rules into what is there ("lead in drinking water" is there as its ions)."""

from __future__ import annotations

from choosemethod.facts import Fact, yes_no
from choosemethod.reading.roles import Part
from choosemethod.reading.utterance import Utterance
from choosemethod.table import Name, Table, normalise

__all__ = ["facts_of", "interpret"]


def _held(name: Name, table: Table) -> tuple[str, ...]:
    if name.kind == "substance":
        return ()
    whole = table.mixture(name.id)
    return tuple(part.substance for part in whole.components) or whole.made_of


def _mention(part: Part, utterance: Utterance, table: Table) -> Fact:
    name = part.name
    substance = table.substance(name.id) if name is not None and name.kind == "substance" else None
    mixture = table.mixture(name.id) if name is not None and name.kind == "mixture" else None
    meaning = name.kind if name is not None else "described" if part.given else "class" if part.noun else ""
    held = () if name is None else _held(name, table)
    wholes = [other.name for other in utterance.there() if other is not part and other.name is not None]
    gas = any(one.form == "gas" for one in mixture.components) if mixture is not None else False
    shown = substance.name if substance is not None else mixture.name if mixture is not None else part.text
    return Fact(
        "mention",
        f"m{part.place}",
        {
            "id": f"m{part.place}",
            "means": name.id if name is not None else part.given[0] if part.given else "",
            "meaning": meaning,
            "name": shown,
            "words": tuple(part.norm.split()),
            "last_word": part.norm.split()[-1] if part.norm else "",
            "found": part.found,
            "own_name": yes_no(substance is not None and part.norm == normalise(substance.name)),
            "noun": part.noun,
            "role": part.role,
            "link": part.link,
            "verb": part.verb,
            "lesser": yes_no(part.lesser or part.role == "impurity"),
            "plural": yes_no(part.plural),
            "article": part.article,
            "form": utterance.forms.get(part.place, ""),
            "states": part.states,
            "pieces": part.sizes,
            "amount": yes_no(bool(part.numbers)),
            "phase": substance.phase if substance is not None else "unknown",
            "kind": substance.kind if substance is not None else "",
            "classes": substance.classes if substance is not None else (),
            "organic": yes_no(substance is not None and "organic" in substance.classes),
            "holds": held,
            "holds_gas": yes_no(gas or (substance is not None and substance.phase == "gas")),
            "held_by_other": yes_no(name is not None and any(name.id in _held(other, table) for other in wholes)),
        },
    )


def facts_of(utterance: Utterance, table: Table) -> list[Fact]:
    """The facts that interpretation rules look at: the utterance, and each mention with a meaning."""
    there = utterance.there()
    ids = {part.name.id if part.name is not None else part.given[0] for part in there}
    mixtures = {part.name.id for part in there if part.name is not None and part.name.kind == "mixture"}
    words = tuple(dict.fromkeys(utterance.words))
    whole = Fact(
        "utterance",
        "utterance",
        {
            "id": "utterance",
            "words": words,
            "last_words": utterance.words[-3:],
            "parts": float(len(ids)),
            "named_mixtures": float(len(mixtures)),
            "wanted": float(sum(part.role == "wanted" for part in there)),
            "removed": float(sum(part.role == "removed" for part in there)),
            "aim": utterance.aim,
            "purpose": utterance.purpose,
            "form": utterance.form,
            "flags": tuple(sorted(utterance.flags)),
            "unknown": float(len(utterance.unknown)),
            "level": utterance.whole.level,
            "without": utterance.limits.keys,
        },
    )
    parts = [part for part in utterance.parts if part.meanings or part.given or part.noun]
    return [whole, *[_mention(part, utterance, table) for part in parts]]


def interpret(utterance: Utterance, table: Table) -> Utterance:
    """The utterance after the rules of rules/interpretation have fired on it. table: the substances.

    HOOK: the rules run here, on `facts_of(utterance, table)`, head `concludes:`; their conclusions change parts
    (Part._replace: meanings, role, states, or a part dropped), forms, extras, aim, flags, notes and inferred of the
    utterance, nothing else. A question in which no rule can fire builds no network (the rulebook's prefilter).
    """
    return utterance
