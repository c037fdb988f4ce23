"""What the files of named mixtures ("sea water") and of dangers (what must not meet) hold."""

from __future__ import annotations

from typing import Any

from choosemethod.data import (
    FAULTY,
    SOURCE,
    Entry,
    Flag,
    Listed,
    Reading,
    Record,
    Ref,
    Span,
    Spec,
    Table,
    Text,
    Word,
    nearest,
)
from choosemethod.mixture import FORMS
from choosemethod.table.load import ALSO, SUBSTANCE
from choosemethod.table.model import Danger, MixturePart, NamedMixture
from choosemethod.yamltext import Block, Items, Node

__all__ = ["DANGERS", "MEMBERS", "MIXTURE", "TRIGGERS", "read_dangers", "read_mixture"]

REALLY = ("one substance", "compound", "alloy", "element", "isotopes", "changed")
ROLES = ("main", "impurity", "product")
AIMS = ("identify", "every component")
# Forms that are in something -> the forms that something can have. Every other form is in nothing.
HOSTS = {
    "dissolved": ("liquid", "emulsified", "airborne"),
    "suspended": ("liquid", "emulsified"),
    "colloidal": ("liquid", "emulsified"),
    "emulsified": ("liquid",),
    "airborne": ("gas",),
    "embedded": ("solid", "suspended"),
}


class _Share(Span):
    """A share of the whole, the middle of a range."""

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        found = super().convert(text, line, what, file)
        return found if found is FAULTY else (found[0] + found[1]) / 2


PART = Record(
    "a component",
    {
        "substance": SUBSTANCE,
        "form": Word(tuple(FORMS)),
        "in?": SUBSTANCE,
        "share?": _Share("fraction"),
        "size?": Span("length"),
        "role?": Word(ROLES, empty=""),
        "note?": Text(),
        "source?": SOURCE,
    },
    make=lambda one: MixturePart(*(one[key] for key in ("substance", "form", "in", "share", "size", "role"))),
    shape=("a component needs a substance and a form", "- {substance: ID, form: liquid}"),
)
_NO_PARTS = "components: followed by lines such as - {substance: ID, form: liquid}"


def _mixture(one: Entry) -> Any:
    id, parts = one.what, one["components"]
    if not parts and not one["really"]:
        return one.fault("components", f"{id} has no list of components", _NO_PARTS)
    _check_hosts(id, parts, one)
    there = {part.substance for part in parts}
    find = one.file.known["substance"].find if "substance" in one.file.known else str
    aims = [word if word in AIMS else find(word) for word in one["usual_aim"]]
    for word, aim in zip(one["usual_aim"], aims, strict=True):
        if aim not in AIMS and aim not in there and aim not in one["made_of"]:
            near = nearest(word, there | set(AIMS)) or "every component"
            one.fault("usual_aim", f"{id}: the aim {word!r} is no component", f"usual_aim: [{near}]")
    if not one.sound:
        return FAULTY
    name, source, also, by, really, made_of, note = one.pick(
        "name", "source", "also", "by", "really", "made_of", "note"
    )
    return NamedMixture(id, name, source, also, parts, by, really, made_of, tuple(aims), note, one.file.shown, one.line)


def _check_hosts(id: str, parts: tuple[MixturePart, ...], one: Entry) -> None:
    """What is dissolved, suspended and so on is in another component of a form that can hold it; nothing else is."""
    forms: dict[str, set[str]] = {}  # a substance can be there in two forms, solid and dissolved
    for part in parts:
        forms.setdefault(part.substance, set()).add(part.form)
    for part in parts:
        wanted = HOSTS.get(part.form, ())
        fitting = [other for other, found in forms.items() if found.intersection(wanted) and other != part.substance]
        write = f"{{substance: {part.substance}, form: {part.form}, in: {(fitting or ['ID of a component'])[0]}}}"
        is_in = f"{id}: {part.substance} is {part.form}"
        if not wanted:
            if part.host:
                write = f"{{substance: {part.substance}, form: {part.form}}} without in:"
                one.fault("components", f"{is_in} and so in nothing", write)
        elif not part.host:
            one.fault("components", f"{is_in}, but in what is not said", write)
        elif part.host not in forms:
            one.fault("components", f"{id}: {part.substance} is in {part.host}, which is no component", write)
        elif not forms[part.host].intersection(wanted):
            held = " and ".join(sorted(forms[part.host]))
            one.fault("components", f"{is_in} in {part.host}, which is {held} and not {' or '.join(wanted)}", write)


MIXTURE = Record(
    "a named mixture",
    {
        "name": Text(give="{key}: {what}"),
        "also?": ALSO,
        "components?": Listed(PART, alone=False),
        "by?": Word(("mass", "volume"), empty=""),
        "really?": Word(REALLY, empty=""),
        "made_of?": Listed(SUBSTANCE),
        "usual_aim?": Listed(Text()),
        "note?": Text(),
        "source": SOURCE,
    },
    make=_mixture,
    shape=("{what} has no entry", "{what}: followed by indented keys such as name: and components:"),
)


def mixture_file() -> Table:
    """The form of a file of named mixtures."""
    return Table(MIXTURE)


def read_mixture(file: Reading, id: str, entry: Node, line: int) -> NamedMixture | None:
    """One named mixture; None with faults noted in the file if it cannot be read."""
    found = MIXTURE.read(entry, line, id, file)
    return None if found is FAULTY else found


# What a member of a danger may be named by, and the form of the name.
MEMBERS: dict[str, Spec] = {
    "substance": SUBSTANCE,
    "class": Ref("class", mend="a word of classes.yaml"),
    "kind": Ref("kind", mend="a word of kinds.yaml"),
    "group": Ref("group", mend="one of groups: in reactivity.yaml"),
}
SEVERITIES = ("refuse", "reacts", "no-heat", "no-acid", "caution")
TRIGGERS = ("heat", "friction", "spark", "shock", "water", "acid", "base")
USUAL_TRIGGER = {"no-heat": ("heat",), "no-acid": ("acid",)}
DANGER_ROW = "- {between: [class: WORD, substance: ID], danger: WHAT HAPPENS, severity: refuse, source: KEY}"


def _member(one: Entry) -> Any:
    named = [(how, one[how]) for how in MEMBERS if how in one]
    if len(named) != 1:
        wrong = "a member of a danger must name one: " + ", ".join(MEMBERS)
        return one.fault("", wrong, "between: [class: WORD, substance: ID]")
    return named[0]


def _danger(one: Entry) -> Danger:
    first, *others = one["between"]
    danger, severity, source, gives, note = one.pick("danger", "severity", "source", "gives", "note")
    triggers = one["trigger"] if "trigger" in one else USUAL_TRIGGER.get(severity, ())
    return Danger(
        first, others[0] if others else None, danger, severity, source, gives, note, tuple(others[1:]), triggers,
        *(one[key] for key in ("reaction", "then", "at_once", "when", "fumes")),
    )  # fmt: skip


DANGERS = Listed(
    Record(
        "a danger",
        {
            "between": Listed(
                Record("a member of a danger", {f"{how}?": spec for how, spec in MEMBERS.items()}, make=_member),
                alone=False,
                least=1,
                lacking="a danger does not say between what",
                give=DANGER_ROW,
            ),
            "danger": Text(example="WHAT HAPPENS"),
            "severity": Word(SEVERITIES),
            "trigger?": Listed(Word(TRIGGERS)),
            "reaction?": Text(),
            "gives?": Text(),
            "then?": Text(),
            "at_once?": Text(),
            "when?": Word(("wet", "dry"), empty=""),
            "fumes?": Flag(),
            "note?": Text(),
            "source": SOURCE,
        },
        make=_danger,
        shape=("a danger needs between, danger, severity and source", DANGER_ROW),
    ),
    alone=False,
    partly=True,
)


def read_dangers(file: Reading, node: Node) -> list[Danger]:
    """The rows of incompatibles.yaml; faults are noted in the file and their rows left out."""
    if not isinstance(node, Items):
        line = node.line if isinstance(node, Block) else 1
        file.fault(line, "the file must hold a list of dangers", DANGER_ROW)
        return []
    return list(DANGERS.read(node, 1, "dangers", file))
