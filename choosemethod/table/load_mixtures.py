"""Named mixtures ("sea water") and dangers (what must not meet) from YAML to the table's model."""

from __future__ import annotations

from collections.abc import Collection

from choosemethod.mixture import FORMS
from choosemethod.table.load import Reader
from choosemethod.table.model import Danger, MixturePart, NamedMixture
from choosemethod.table.schema import nearest, text_of
from choosemethod.yamltext import Block, Items, Node

__all__ = ["read_dangers", "read_mixture"]

MIXTURE_KEYS = ("name", "also", "components", "by", "really", "made_of", "usual_aim", "note", "source")
PART_KEYS = ("substance", "form", "in", "share", "size", "role", "note", "source")
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
DANGER_KEYS = (
    "between", "danger", "severity", "trigger", "reaction", "gives", "then", "at_once", "when", "fumes", "note", "source",
)  # fmt: skip
SEVERITIES = ("refuse", "reacts", "no-heat", "no-acid", "caution")
TRIGGERS = ("heat", "friction", "spark", "shock", "water", "acid", "base")
USUAL_TRIGGER = {"no-heat": ("heat",), "no-acid": ("acid",)}
HOW = ("substance", "class", "kind", "group")
DANGER_ROW = "- {between: [class: WORD, substance: ID], danger: WHAT HAPPENS, severity: refuse, source: KEY}"


def read_mixture(reader: Reader, id: str, entry: Node, line: int) -> NamedMixture | None:
    """One named mixture; None with faults noted in the reader if it cannot be read."""
    if not isinstance(entry, Block):
        reader.fault(line, f"{id} has no entry", f"{id}: followed by indented keys such as name: and components:")
        return None
    before = len(reader.problems)
    reader.keys(entry, MIXTURE_KEYS, "a named mixture")
    name = reader.text(entry, "name", id.replace("-", " "))
    source = reader.source(entry, id)
    really = reader.word(entry, "really", REALLY, needed=False)
    by = reader.word(entry, "by", ("mass", "volume"), needed=False)
    listed = entry.get("components")
    parts: list[MixturePart] = []
    if isinstance(listed, Items):
        for index, item in enumerate(listed):
            part = _part(reader, item, listed.at(index))
            if part is not None:
                parts.append(part)
    elif listed not in (None, "") or not really:
        example = "components: followed by lines such as - {substance: ID, form: liquid}"
        reader.fault(entry.at("components"), f"{id} has no list of components", example)
    there = {part.substance for part in parts}
    if len(reader.problems) == before:
        _check_hosts(reader, id, parts, entry.at("components"))
    made_of = tuple(reader.reference(word, entry.at("made_of"), "made_of") for word in reader.texts(entry, "made_of"))
    aims: list[str] = []
    for word in reader.texts(entry, "usual_aim"):
        aim = word if word in AIMS else reader.known.find(word)
        if not aim or (aim not in AIMS and aim not in there and aim not in made_of):
            near = nearest(word, there | set(AIMS)) or "every component"
            if len(reader.problems) == before:  # else a component that could not be read may be the one
                reader.fault(entry.at("usual_aim"), f"{id}: the aim {word!r} is no component", f"usual_aim: [{near}]")
        aims.append(aim)
    also, note = reader.texts(entry, "also"), reader.text(entry, "note")
    if len(reader.problems) > before:
        return None
    return NamedMixture(id, name, source, also, tuple(parts), by, really, made_of, tuple(aims), note, reader.file, line)


def _check_hosts(reader: Reader, id: str, parts: list[MixturePart], line: int) -> None:
    """What is dissolved, suspended and so on is in another component of a form that can hold it; nothing else is."""
    forms: dict[str, set[str]] = {}  # a substance can be there in two forms, solid and dissolved
    for part in parts:
        forms.setdefault(part.substance, set()).add(part.form)
    for part in parts:
        wanted = HOSTS.get(part.form, ())
        fitting = [other for other, found in forms.items() if found.intersection(wanted) and other != part.substance]
        write = f"{{substance: {part.substance}, form: {part.form}, in: {(fitting or ['ID of a component'])[0]}}}"
        if not wanted:
            if part.host:
                wrong = f"{id}: {part.substance} is {part.form} and so in nothing"
                reader.fault(line, wrong, f"{{substance: {part.substance}, form: {part.form}}} without in:")
        elif not part.host:
            reader.fault(line, f"{id}: {part.substance} is {part.form}, but in what is not said", write)
        elif part.host not in forms:
            reader.fault(line, f"{id}: {part.substance} is in {part.host}, which is no component", write)
        elif not forms[part.host].intersection(wanted):
            held = " and ".join(sorted(forms[part.host]))
            wrong = f"{id}: {part.substance} is {part.form} in {part.host}, which is {held}"
            reader.fault(line, f"{wrong} and not {' or '.join(wanted)}", write)


def _part(reader: Reader, item: Node, line: int) -> MixturePart | None:
    if not isinstance(item, Block):
        reader.fault(line, "a component needs a substance and a form", "- {substance: ID, form: liquid}")
        return None
    before = len(reader.problems)
    reader.keys(item, PART_KEYS, "a component")
    substance = reader.text(item, "substance", "ID")
    if substance:
        substance = reader.reference(substance, item.at("substance"), "component")
    form = reader.word(item, "form", tuple(FORMS))
    host = reader.text(item, "in")
    if host:
        host = reader.reference(host, item.at("in"), "in")
    role = reader.word(item, "role", ROLES, needed=False)
    share: float | None = None
    written = reader.text(item, "share")
    if written:
        found = reader.range(written, "fraction", item.at("share"), "share")
        share = None if found is None else (found[0] + found[1]) / 2
        if share is not None and share > 1:
            reader.fault(item.at("share"), f"share: {written} is more than the whole", "a share of at most 100 %")
    size: tuple[float, float] | None = None
    written = reader.text(item, "size")
    if written:
        size = reader.range(written, "length", item.at("size"), "size")
    if len(reader.problems) > before:
        return None
    return MixturePart(substance, form, host, share, size, role)


def _member(reader: Reader, node: Node, line: int, groups: Collection[str]) -> tuple[str, str] | None:
    """One member of a danger as (how, word); None with the fault noted."""
    how, word = "", ""
    if isinstance(node, Block) and len(node) == 1:
        how, word = next(iter(node)), text_of(next(iter(node.values())))
    if how not in HOW or not word:
        wrong = "a member of a danger must name a substance, a class, a kind or a group"
        reader.fault(line, wrong, "between: [class: WORD, substance: ID]")
        return None
    if how == "substance":
        word = reader.reference(word, line, "between")
        return (how, word) if word else None
    if how == "group":
        if word not in groups:
            mend = nearest(word, groups) or "one of groups: in reactivity.yaml"
            reader.fault(line, f"between: {word!r} is no group", f"group: {mend}")
            return None
        return how, word
    known = reader.schema.classes if how == "class" else reader.schema.kinds
    if known and word not in known:
        reader.fault(
            line, f"between: {word!r} is no {how}", f"{how}: {nearest(word, known) or 'one of ' + how + 'es.yaml'}"
        )
        return None
    return how, word


def read_dangers(reader: Reader, node: Node, groups: Collection[str] = ()) -> list[Danger]:
    """The rows of a file of incompatibles; faults are noted in the reader and their rows left out."""
    found: list[Danger] = []
    rows = node if isinstance(node, Items) else Items()
    if not isinstance(node, Items):
        reader.fault(1, "the file must hold a list of dangers", DANGER_ROW)
    for index, row in enumerate(rows):
        line = rows.at(index)
        if not isinstance(row, Block):
            reader.fault(line, "a danger needs between, danger, severity and source", DANGER_ROW)
            continue
        before = len(reader.problems)
        reader.keys(row, DANGER_KEYS, "a danger")
        listed = row.get("between")
        members: list[tuple[str, str]] = []
        if isinstance(listed, Items) and listed:
            for place, item in enumerate(listed):
                member = _member(reader, item, listed.at(place), groups)
                if member is not None:
                    members.append(member)
        else:
            reader.fault(row.at("between"), "a danger does not say between what", DANGER_ROW)
        danger, severity = reader.text(row, "danger", "WHAT HAPPENS"), reader.word(row, "severity", SEVERITIES)
        source = reader.source(row, "a danger")
        gives, note = reader.text(row, "gives"), reader.text(row, "note")
        triggers = tuple(reader.texts(row, "trigger")) if "trigger" in row else USUAL_TRIGGER.get(severity, ())
        for word in triggers:
            if word not in TRIGGERS:
                mend = nearest(word, TRIGGERS) or "one of " + ", ".join(TRIGGERS)
                reader.fault(row.at("trigger"), f"{word!r} is no trigger", f"trigger: {mend}")
        when = reader.word(row, "when", ("wet", "dry")) if "when" in row else ""
        fumes = reader.word(row, "fumes", ("yes", "no")) == "yes" if "fumes" in row else False
        reaction, then, at_once = (reader.text(row, key) for key in ("reaction", "then", "at_once"))
        if len(reader.problems) == before:
            first, *others = members
            second = others[0] if others else None
            more = tuple(others[1:])
            found.append(
                Danger(
                    first,
                    second,
                    danger,
                    severity,
                    source,
                    gives,
                    note,
                    more,
                    triggers,
                    reaction,
                    then,
                    at_once,
                    when,
                    fumes,
                )
            )
    return found
