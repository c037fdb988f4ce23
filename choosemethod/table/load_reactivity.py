"""What reactions are told by (substances/reactivity.yaml) from YAML to the table's model: groups, ions, triggers."""

from __future__ import annotations

from choosemethod.mixture import FORMS
from choosemethod.table.load import Reader
from choosemethod.table.load_mixtures import HOW, TRIGGERS
from choosemethod.table.model import Group, Reactivity
from choosemethod.table.schema import nearest, text_of
from choosemethod.yamltext import Block, Node

__all__ = ["read_reactivity"]

KEYS = ("groups", "anions", "cations", "adding")
GROUP_KEYS = ("meaning", *HOW, "but", "forms")


def read_reactivity(reader: Reader, node: Block) -> Reactivity:
    """Groups, ions and added triggers; faults are noted in the reader and what they are about is left out."""
    reader.keys(node, KEYS, "reactivity.yaml")
    blocks = {key: found for key in KEYS if isinstance(found := node.get(key), Block)}
    entries = blocks.get("groups", Block(1))
    groups = []
    for name, entry in entries.items():
        if not isinstance(entry, Block):
            reader.fault(entries.at(name), f"the group {name} has no entry", "NAME: {meaning: TEXT, class: [WORD]}")
            continue
        reader.keys(entry, GROUP_KEYS, "a group")
        reader.text(entry, "meaning", "WHAT ITS SUBSTANCES HAVE IN COMMON")
        but = entry.get("but")
        forms = tuple(reader.texts(entry, "forms")) if "forms" in entry else ()
        for form in forms:
            if form not in FORMS:
                mend = nearest(form, FORMS) or "one of " + ", ".join(FORMS)
                reader.fault(entry.at("forms"), f"{form!r} is no form", f"forms: [{mend}]")
        of = _named(reader, entry, entries)
        if not of:
            reader.fault(
                entries.at(name), f"the group {name} holds nothing", "class: [WORD], kind: [WORD] or substance: [ID]"
            )
        groups.append(Group(name, of, _named(reader, but, entries) if isinstance(but, Block) else (), forms))
    ions = []
    for key in ("anions", "cations"):
        block = blocks.get(key, Block(1))
        ions.append(tuple((reader.reference(id, block.at(id), key), text_of(word)) for id, word in block.items()))
    adding = []
    block = blocks.get("adding", Block(1))
    for trigger, word in block.items():
        group = text_of(word)
        if trigger not in TRIGGERS or group not in entries:
            reader.fault(
                block.at(trigger), f"{trigger}: {group} is no trigger with its group", "water: NAME OF A GROUP"
            )
        adding.append((trigger, group))
    return Reactivity(tuple(groups), ions[0], ions[1], tuple(adding))


def _named(reader: Reader, entry: Block, groups: Block) -> tuple[tuple[str, str], ...]:
    """The (how, word) of every substance, class, kind and group an entry names."""
    known: dict[str, Node] = dict(groups)
    out: list[tuple[str, str]] = []
    for how in HOW:
        for word in reader.texts(entry, how) if how in entry else ():
            line = entry.at(how)
            if how == "substance":
                if id := reader.reference(word, line, how):
                    out.append((how, id))
                continue
            words = {"class": reader.schema.classes, "kind": reader.schema.kinds}.get(how, known)
            if words and word not in words:
                reader.fault(line, f"{word!r} is no {how}", f"{how}: [{nearest(word, words) or 'a word of ' + how}]")
                continue
            out.append((how, word))
    return tuple(out)
