"""What substances/reactivity.yaml holds: groups of substances that react alike, ions, and added triggers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from choosemethod.data import FAULTY, Entry, Listed, Names, Reading, Record, Ref, Spec, Table, Text, Word
from choosemethod.mixture import FORMS
from choosemethod.table.load import SUBSTANCE
from choosemethod.table.load_mixtures import MEMBERS, TRIGGERS
from choosemethod.table.model import Group, Reactivity
from choosemethod.yamltext import Block

__all__ = ["REACTIVITY", "read_reactivity"]

_NAMED: Mapping[str, Spec] = {f"{how}?": Listed(spec) for how, spec in MEMBERS.items()}


def _names(values: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """(how, word) of all that an entry names."""
    return tuple((how, word) for how in MEMBERS for word in values[how])


def _group(one: Entry) -> Any:
    of = _names(one.values)
    if not of:
        write = "class: [WORD], kind: [WORD] or substance: [ID]"
        return one.fault("", f"the group {one.what} holds nothing", write)
    return Group(one.what, of, one["but"], one["forms"])


_BUT = Record("what is left out of a group", _NAMED, make=lambda one: _names(one.values), empty=())
_IONS = Table(Text(), key=SUBSTANCE, make=lambda found, block, file: tuple(found.items()), empty=())
REACTIVITY = Record(
    "reactivity.yaml",
    {
        "groups?": Table(
            Record(
                "a group",
                {
                    "meaning": Text(example="WHAT ITS SUBSTANCES HAVE IN COMMON"),
                    **_NAMED,
                    "but?": _BUT,
                    "forms?": Listed(Word(tuple(FORMS), noun="form")),
                },
                make=_group,
                shape=("the group {what} has no entry", "{what}: {meaning: TEXT, class: [WORD]}"),
            )
        ),
        "anions?": _IONS,
        "cations?": _IONS,
        "adding?": Table(Ref("group", mend="a name under groups:"), key=Word(TRIGGERS, noun="trigger")),
    },
    make=lambda one: Reactivity(
        tuple(one["groups"].values()), one["anions"], one["cations"], tuple(one["adding"].items())
    ),
)


def read_reactivity(file: Reading, block: Block) -> Reactivity:
    """Groups, ions and added triggers; faults are noted in the file, and nothing of it is used if there are any."""
    groups = block.get("groups")
    names = Names(groups if isinstance(groups, Block) else ())
    inner = Reading(file.shown, {**file.known, "group": names}, file.problems)
    found = REACTIVITY.read(block, block.line, "the file", inner)
    return Reactivity() if found is FAULTY else found
