"""Interpretation: what was said, turned by rules into what is there ("lead in drinking water" is there as its ions)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from choosemethod.facts import UNKNOWN, Fact, SlotValue, yes_no
from choosemethod.interpretation.told import named_twice, salt_makers, told_reaction
from choosemethod.mixture import AIMS, MOST_COMPONENTS
from choosemethod.reading.forms import dissolves
from choosemethod.reading.lexicon import lexicon
from choosemethod.reading.roles import Part
from choosemethod.reading.utterance import Extra, Utterance
from choosemethod.rulebook import rulebook_in_use
from choosemethod.rulebook.engine import Firing
from choosemethod.rulebook.language import PLACE, Deed
from choosemethod.table import Name, Table, normalise

__all__ = ["facts_of", "fired", "interpret"]

Relations = Mapping[str, Sequence[str]]


class _Slots(dict[str, SlotValue]):
    """Slots of a mention. Which related names it has, and what water does to it, is looked up only if a rule asks: it is dear."""

    def __init__(self, slots: Mapping[str, SlotValue], called: Sequence[str], relations: Relations, table: Table):
        super().__init__(slots)
        self.called = called
        self.relations = relations
        self.table = table

    def get(self, key: str, default: Any = None) -> Any:
        """As of a dict."""
        if key == "related" and key not in self:
            kind = str(self["meaning"])
            found = [word for word in self.relations if _related(word, self.called, self.relations, self.table, kind)]
            self[key] = tuple(found)
        if key == "in_water" and key not in self:
            words = lexicon()
            water, means = self.table.name(words.assumed_liquid), str(self["means"])
            known = water is not None and self["meaning"] == "substance"
            self[key] = dissolves(means, water.id, self.table, words) if water is not None and known else UNKNOWN
        return super().get(key, default)


def _related(relation: str, called: Sequence[str], relations: Relations, table: Table, kind: str) -> Name | None:
    """What the table calls by the names of a relation to one of these names; of a mixture only a substance is."""
    for text in relations[relation]:
        for name in called:
            found = table.name(text.replace("{name}", name), "substance" if kind == "mixture" else "")
            if found is not None and (kind == "mixture" or text != "{name}"):
                return found
    return None


def _called(part: Part, table: Table) -> tuple[str, ...]:
    name = part.name
    if name is None:
        return (part.norm,)
    own = table.substance(name.id).name if name.kind == "substance" else table.mixture(name.id).name
    return tuple(dict.fromkeys((own, part.norm)))


def _held(name: Name, table: Table) -> tuple[str, ...]:
    if name.kind == "substance":
        return ()
    whole = table.mixture(name.id)
    return tuple(part.substance for part in whole.components) or whole.made_of


def _holders(parts: Sequence[Part], table: Table) -> dict[str, set[int]]:
    """Substance -> the places of the parts whose mixture holds it; made once, as the mentions may be thousands."""
    found: dict[str, set[int]] = {}
    for part in parts:
        for id in _held(part.name, table) if part.name is not None else ():
            found.setdefault(id, set()).add(part.place)
    return found


def _mention(
    part: Part,
    utterance: Utterance,
    table: Table,
    relations: Relations,
    holders: Mapping[str, set[int]],
    reaction: Mapping[int, str],
    salts: Mapping[int, str],
    twice: Mapping[int, str],
) -> Fact:
    name = part.name
    substance = table.substance(name.id) if name is not None and name.kind == "substance" else None
    mixture = table.mixture(name.id) if name is not None and name.kind == "mixture" else None
    meaning = name.kind if name is not None else "described" if part.given else "class" if part.noun else ""
    held = () if name is None else _held(name, table)
    inside = {one.form for one in mixture.components} if mixture is not None else set[str]()
    inside |= {substance.phase} if substance is not None else set()
    former = substance.values.get("peroxide_former") if substance is not None else None
    told = utterance.told.given.get(part.given[0], {}) if part.given else {}
    classes = substance.classes if substance is not None else tuple(told.get("classes", "").split(", "))
    shown = substance.name if substance is not None else mixture.name if mixture is not None else part.text
    slots: dict[str, SlotValue] = {
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
        "explains": yes_no(part.bracket >= 0),
        "form": utterance.forms.get(part.place, ""),
        "states": part.states,
        "pieces": part.sizes,
        "in_pieces": yes_no(bool(part.sizes)),
        "amount": yes_no(bool(part.numbers)),
        "phase": substance.phase if substance is not None else told.get("phase", UNKNOWN),
        "kind": substance.kind if substance is not None else "",
        "classes": classes,
        "organic": yes_no("organic" in classes),
        "holds": held or ((substance.id,) if substance is not None else ()),
        "holds_gas": yes_no("gas" in inside),
        "forms": tuple(sorted(inside)),
        "really": mixture.really if mixture is not None else "",
        "peroxide_former": yes_no(former is not None and former.words == ("yes",)),
        "told_reaction": reaction.get(part.place, ""),
        "makes_salt": salts.get(part.place, ""),
        "named_twice": twice.get(part.place, ""),
        "held_by_other": yes_no(name is not None and bool(holders.get(name.id, set()) - {part.place})),
    }
    return Fact("mention", f"m{part.place}", _Slots(slots, _called(part, table), relations, table))


def facts_of(utterance: Utterance, table: Table, relations: Relations) -> dict[str, list[Fact]]:
    """The facts that interpretation rules look at, by kind: the utterance, and each mention with a meaning."""
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
    holders = _holders(there, table)
    reaction, salts, twice = told_reaction(utterance), salt_makers(parts, table), named_twice(there, table)
    return {"utterance": [whole], "mention": [
            _mention(part, utterance, table, relations, holders, reaction, salts, twice) for part in parts
        ]}


class _Change:
    """Carries conclusions out on an utterance. A mention is read anew once: what a first rule changed a second leaves."""

    def __init__(self, said: Utterance, facts: Sequence[Fact], relations: Relations, table: Table) -> None:
        self.said = said
        self.slots = {fact.key: fact.slots for fact in facts}
        self.relations = relations
        self.table = table
        self.parts = {f"m{part.place}": part for part in said.parts}
        self.forms = dict(said.forms)
        self.extras = list(said.extras)
        self.settled = set(said.settled)
        self.form = said.form
        self.aim, self.purpose, self.flags = said.aim, said.purpose, set(said.flags)
        self.heard: set[str] = set()  # words that a rule went by
        self.inferred: list[tuple[str, str]] = []
        self.read: dict[tuple[str, str], str] = {}  # (mention, what was changed) -> to what

    def meaning(self, deed: Deed, part: Part) -> Name | None:
        """What a mention is to be read as; None if it keeps its meaning."""
        if deed.name:
            return self.table.name(deed.name)
        kind = part.name.kind if part.name is not None else ""
        called = _called(part, self.table)
        return _related(deed.related, called, self.relations, self.table, kind) if deed.related else None

    def clash(self, deed: Deed, key: str) -> bool:
        """Whether a rule before has read the mention otherwise."""
        told = (("as", deed.related or deed.name), ("form", deed.form), ("role", deed.role))
        if any(word and self.read.get((key, what), word) != word for what, word in told):
            return True
        self.read.update({(key, what): word for what, word in told if word})
        return False

    def carry_out(self, firing: Firing) -> None:
        """Do what the rule of a firing says, and keep the sentence."""
        deeds = firing.rule.does
        if any(deed.verb == "reads" and self.clash(deed, firing.roles[deed.of]) for deed in deeds):
            return
        because = PLACE.sub(
            lambda found: _shown(found[2], self.slots[firing.roles[found[1]]].get(found[2])), firing.rule.because
        )
        for deed in deeds:
            if deed.verb == "reads":
                self.reads(deed, firing.roles[deed.of], because)
            elif deed.verb == "adds":
                self.adds(deed, firing)
            elif deed.verb == "asks":
                self.aim = deed.of if deed.of in AIMS else self.aim
                self.purpose = "" if deed.of == "separate" else deed.of
            else:
                self.flags.add(deed.of)
                self.form = self.form or ("pure" if deed.of == "purify" else "")
        asked = [test.value for one in firing.rule.find for test in one.tests if test.slot == "words"]
        self.heard.update(word for value in asked for word in ((value,) if isinstance(value, str) else value))
        if "crude" in firing.rule.says:  # what it was made from has gone, and what was made is there with what was left over
            self.flags.discard("reacted")
        if (firing.rule.id, because) not in self.inferred:
            self.inferred.append((firing.rule.id, because))

    def reads(self, deed: Deed, key: str, because: str) -> None:
        part = self.parts[key]
        name = self.meaning(deed, part)
        if name is not None:
            part = part._replace(meanings=(name,), noun="", given=(), because=because)
        if deed.form:
            self.forms[part.place] = deed.form
        if deed.role == "main":
            if part.name is not None and part.name.kind == "substance":
                self.extras.append(Extra(part.name.id, role="main"))
            elif part.given:
                self.extras.append(Extra(part.given[0], role="main"))
        elif deed.role:
            part = part._replace(role=deed.role, because=because)
            if deed.role == "story" and self.slots[key].get("told_reaction") == "start":
                self.flags.discard("reacted")  # what is left are its products, not one compound
            self.settled.add(part.place)
        self.parts[key] = part

    def adds(self, deed: Deed, firing: Firing) -> None:
        name = self.table.name(deed.of)
        host = self.parts[firing.roles[deed.host]] if deed.host else None
        held = "" if host is None else host.name.id if host.name is not None else host.given[0] if host.given else ""
        if name is not None and name.kind == "substance":
            self.extras.append(Extra(name.id, deed.form, held, deed.role))
        elif name is not None:
            for one in self.table.mixture(name.id).components:
                self.extras.append(Extra(one.substance, one.form, one.host, deed.role or one.role))

    def done(self) -> Utterance:
        """The utterance as changed."""
        said = self.said
        return said._replace(
            parts=tuple([self.parts[f"m{part.place}"] for part in said.parts]),
            forms=self.forms,
            settled=frozenset(self.settled),
            extras=tuple(dict.fromkeys(self.extras)),
            aim=self.aim,
            purpose=self.purpose,
            form=self.form,
            flags=frozenset(self.flags),
            aside=tuple([one for one in said.aside if self.heard.isdisjoint(normalise(one[0]).split())]),
            notes=(*said.notes, *[because for _, because in self.inferred]),
            inferred=(*said.inferred, *self.inferred),
        )


def _shown(slot: str, value: SlotValue) -> str:
    between = " " if slot == "words" else ", "
    return (
        between.join(value) if isinstance(value, tuple) else f"{value:g}" if isinstance(value, float) else value or ""
    )


def fired(utterance: Utterance, table: Table) -> list[Firing]:
    """The interpretation rules that fire on an utterance, in order of rule and bindings."""
    if not utterance.parts:
        return []
    book = rulebook_in_use(table)
    return book.run("interpretation", facts_of(utterance, table, book.related))


def interpret(utterance: Utterance, table: Table) -> Utterance:
    """The utterance after the rules of rules/interpretation have fired on it, in one stage. table: the substances.

    Their conclusions change what a mention means, its role or form, add substances nobody named, the aim and the flags;
    each keeps its rule and sentence in `inferred`. Where no rule can fire no network is built (the rulebook's prefilter).
    """
    if not utterance.parts:
        return utterance
    if len({part.meanings[:1] or part.given for part in utterance.there()}) > MOST_COMPONENTS:
        return utterance  # it will be refused as too much at once, and rules that join so many things take long
    book = rulebook_in_use(table)
    facts = facts_of(utterance, table, book.related)
    firings = book.run("interpretation", facts)
    if not firings:
        return utterance
    change = _Change(utterance, [*facts["utterance"], *facts["mention"]], book.related, table)
    for firing in firings:
        change.carry_out(firing)
    return change.done()
