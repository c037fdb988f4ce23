"""The grammar of a question: clauses, verbs and slots in which components or wishes stand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from choosemethod.reading.items import Item
from choosemethod.table import Name

__all__ = ["Part", "Segment", "Slot", "clauses", "segments"]

VERBS = ("separate", "remove", "purify", "free", "dry", "identify", "want")
_JOINING = (",", "+", "/", "&")
_BREAKING = (".", ";", "?", "!", ":", "-", ">")


@dataclass(slots=True)
class Slot:
    """A stretch of words in which one component (or wish) stands.

    link: how it is joined to the slot before: "" (first), join, with, in, beside (nothing between two names);
    value: of the link (impurity; dissolved, suspended ...); soft: unknown words in it are no components.
    names: names in it, in order; given: ids of described substances; of: whether names stand after an "of".
    """

    link: str = ""
    value: str = ""
    soft: bool = False
    items: list[Item] = field(default_factory=list)
    names: list[Item] = field(default_factory=list)
    given: list[str] = field(default_factory=list)
    unknown: list[Item] = field(default_factory=list)
    amounts: list[Item] = field(default_factory=list)
    brackets: list[Item] = field(default_factory=list)
    pieces: list[str] = field(default_factory=list)
    states: list[str] = field(default_factory=list)
    holding: list[str] = field(default_factory=list)
    groups: list[str] = field(default_factory=list)
    conditions: list[str] = field(default_factory=list)
    pronoun: str = ""
    impurity: bool = False
    place: bool = False
    their: bool = False
    reacted: bool = False
    of: bool = False
    lesser: bool = False  # named as the lesser part ("as an impurity")
    bare: bool = True  # the link is the plain word alone ("with")

    @property
    def empty(self) -> bool:
        """Whether nothing in it could be a component or a wish."""
        return not (
            self.names
            or self.given
            or self.unknown
            or self.groups
            or self.pronoun
            or self.states
            or self.holding
            or self.conditions
            or self.pieces
            or self.impurity
            or self.brackets
            or self.reacted
            or self.lesser
            or self.amounts
        )

    @property
    def bare_colour(self) -> bool:
        """Whether only a colour stands in it, whose noun comes later ("red, yellow and blue dye")."""
        told = [item for item in self.items if item.kind == "phrase" and not item.has("filler")]
        coloured = [item for item in self.items if item.kind == "phrase" and item.has("colour")]
        return self.empty and bool(coloured) and len(told) <= len(coloured)

    @property
    def words(self) -> str:
        """The slot as written."""
        return " ".join(item.text for item in self.items if item.text)


Part = list[Slot]


@dataclass(slots=True)
class Segment:
    """A verb with its objects: what stands directly after it, and after "from", "into" and "to".

    verb: a key of VERBS, "technique" or "" for none; wanted: "X wanted" stands after the objects.
    """

    verb: str = ""
    item: Item | None = None
    objects: Part = field(default_factory=list)
    source: Part = field(default_factory=list)
    into: Part = field(default_factory=list)
    to: Part = field(default_factory=list)
    sources: int = 0
    repeated: bool = False
    wanted: bool = False
    wish_mark: bool = False  # after an arrow
    weak: bool = False
    items: list[Item] = field(default_factory=list)

    @property
    def said(self) -> str:
        """The words of the segment as written."""
        return " ".join(item.text for item in self.items if item.text).strip(" ,.;:?!->")


def clauses(items: Sequence[Item]) -> list[tuple[str, list[Item]]]:
    """Items between strong marks, each with the mark before it."""
    found: list[tuple[str, list[Item]]] = []
    mark, current = "", list[Item]()
    for item in items:
        if item.mark in _BREAKING and item.mark:
            if current:
                found.append((mark, current))
            mark, current = item.mark, []
        else:
            current.append(item)
    if current:
        found.append((mark, current))
    return found


def _verb(item: Item, items: Sequence[Item], place: int) -> str:
    """The verb an item is in its place, "" if it is none there."""
    if item.kind != "phrase" or _no_verb(item, items, place):
        return ""
    for verb in VERBS:
        if verb in item.roles and (verb not in ("want", "purify") or not _adjective(item, items, place)):
            return verb
    return "technique" if item.sort == "verb" else ""


def _no_verb(item: Item, items: Sequence[Item], place: int) -> bool:
    """Whether a verb's word is no verb here: "after making tea", "a leaf extract"."""
    before = next((other for other in reversed(items[:place]) if other.kind != "gap"), None)
    if before is None or item.sort == "verb":
        return False
    if before.kind == "phrase" and before.has("tail"):
        return True
    after = items[place + 1] if place + 1 < len(items) else None
    ends = after is None or after.kind == "mark" or (after.kind == "phrase" and after.has("in", "with", "join"))
    return item.has("want") and before.kind == "name" and ends and " " not in item.norm


def _adjective(item: Item, items: Sequence[Item], place: int) -> bool:
    """Whether "clean", "clear" or the like stands before a noun inside a slot."""
    before = items[place - 1] if place else None
    if before is None or not item.has("condition"):
        return False
    after = items[place + 1] if place + 1 < len(items) else None
    listed = before.kind == "phrase" and before.has("join", "colour") and after is not None and after.kind == "name"
    return before.kind in ("name", "unknown") or listed


def segments(items: Sequence[Item], mark: str, resolve: Callable[[Slot], None]) -> list[Segment]:
    """Cut a clause at its verbs and each piece into its slots. resolve: fills a finished slot."""
    found: list[Segment] = [Segment(wish_mark=mark == ">")]
    for place, item in enumerate(items):
        verb = _verb(item, items, place)
        if verb:
            found.append(Segment(verb, item, items=[item]))
        else:
            found[-1].items.append(item)
    for segment in found:
        rest = segment.items[1:] if segment.verb else segment.items
        _Cutter(segment, resolve).cut(rest)
    return [segment for segment in found if segment.items]


class _Cutter:
    def __init__(self, segment: Segment, resolve: Callable[[Slot], None]) -> None:
        self.segment = segment
        self.resolve = resolve
        self.part = segment.objects
        self.slot = Slot()

    def close(self) -> None:
        slot = self.slot
        if slot.items or slot.names:
            self.resolve(slot)
            if not slot.empty or slot.place or slot.bare_colour:
                if not self.part:
                    slot.link = "" if slot.link == "join" else slot.link
                self.part.append(slot)

    def open(self, link: str, value: str = "", soft: bool = False) -> None:
        self.close()
        self.slot = Slot(link, value, soft)

    def move(self, part: Part) -> None:
        self.close()
        self.part = part
        self.slot = Slot("from" if part is self.segment.source else "")

    def cut(self, items: Sequence[Item]) -> None:
        tail = mixing = doing = False
        for place, item in enumerate(items):
            if item.kind == "phrase" and item.has("reacted") and _names_next(items, place):
                self.open("join", soft=True)  # "after heating lead nitrate": what it was made from
                tail = True
                continue
            if item.kind == "gap":
                self.segment.weak = self.segment.weak or item.sort == "weak"
                continue
            if item.kind == "mark":
                if item.mark in _JOINING:
                    tail = tail and item.mark != ","
                    if not tail:
                        self.open("join", soft=self.slot.soft and not self.slot.items)
                continue
            if item.kind == "phrase":
                mixing = mixing or item.has("mixing")
                if item.has("wanted") and not self.segment.verb:
                    self.close()
                    self.slot = Slot()
                    self.segment.wanted = True
                    tail = True
                    continue
                if item.has("from"):
                    tail = False
                    self.segment.sources += 1
                    if self.segment.sources > 1 and self.part is self.segment.source:
                        self.open("from")
                    else:
                        self.move(self.segment.source)
                    continue
                if item.has("into") and self.segment.verb in ("separate", "technique", "") and not mixing:
                    self.move(self.segment.into)
                    tail = False
                    continue
                if item.has("to") and mixing:
                    self.open("join")
                    continue
                if item.has("to") and not self.segment.verb and place:
                    self.move(self.segment.to)
                    tail = False
                    continue
                if item.has("with"):
                    if tail and doing:
                        continue  # "after reducing nitrobenzene with tin"
                    tail = False
                    self.open("with", item.roles["with"])
                    self.slot.bare = " " not in item.norm and not item.norm.startswith("contain")
                    continue
                if item.has("in", "into"):
                    tail = False
                    # What lies on something unknown lies on no component.
                    self.open(
                        "in", item.roles.get("in", "plain"), soft="on" in item.norm.split() or "over" in item.norm
                    )
                    continue
                if not place and not self.segment.verb and item.has("opening"):
                    continue  # "When sand is shaken with water, ..." states the mixture
                if item.has("tail") and not item.has("state"):
                    self.open("join", soft=True)
                    tail = True
                    after = items[place + 1] if place + 1 < len(items) else None
                    doing = after is not None and after.kind == "unknown" and after.norm.endswith("ing")
                    continue
                if item.has("soft") and not item.has("number_words"):
                    keep = "tail" if tail and not item.text.lower().startswith("for") else ""
                    if not keep:
                        self.open("join", soft=True)
                        tail = False
                    continue
                if item.has("join"):
                    if not tail:
                        self.open("join")
                    continue
            if tail and item.kind == "number":
                tail = False  # "at 80 °C"
            elif not tail:
                self.slot.items.append(item)
        self.close()


def _names_next(items: Sequence[Item], place: int) -> bool:
    """Whether the next word that is not a filler is a name."""
    following = (
        item for item in items[place + 1 :] if item.kind != "gap" and not (item.kind == "phrase" and item.has("filler"))
    )
    after = next(following, None)
    return after is not None and after.kind == "name"


def same_names(first: Sequence[Name], second: Sequence[Name]) -> bool:
    """Whether two lists of names stand for the same things."""
    return bool(first) and {(name.kind, name.id) for name in first} == {(name.kind, name.id) for name in second}
