"""What a question says of the setting: what is missing, the pressure, the level, small amounts, techniques named."""

from __future__ import annotations

from dataclasses import dataclass, field

from choosemethod.quantity import STANDARD_PRESSURE
from choosemethod.reading.items import Item
from choosemethod.reading.language import language
from choosemethod.table import normalise

__all__ = ["Said", "pressure_at", "read_setting"]

_LEAST_ALTITUDE = 100.0  # m; a shorter length is no altitude
_PLAIN_NO = {
    normalise(words)
    for words in (
        *("no", "without", "there is no", "without any", "but no", "and no", "without using", "without using any"),
        *(
            "without the use of",
            "do not use",
            "don't use",
            "cannot use",
            "can't use",
            "must not use",
            "avoid",
            "avoiding",
        ),
    )
}
_TECHNIQUE_NOUNS = ("ion", "ing", "phy", "sis", "funnel", "agent")


@dataclass(slots=True)
class Said:
    """What was said of the setting: keys of without.yaml, pressure (Pa), altitude (m), level, little of it, techniques,
    chromatogram distances (m), ratio."""

    without: list[str] = field(default_factory=list)
    pressure: float | None = None
    altitude: float | None = None
    level: str = ""
    small: bool = False
    tried: list[str] = field(default_factory=list)
    front: float | None = None
    spots: list[float] = field(default_factory=list)
    ratio: tuple[float, ...] = ()
    said_small: str = ""


def pressure_at(altitude: float) -> float:
    """Pressure (Pa) of the standard atmosphere at an altitude (m), -500 to 11 000; ValueError outside.

    Source: ICAO Doc 7488, Manual of the ICAO Standard Atmosphere (troposphere).
    """
    if not -500.0 <= altitude <= 11_000.0:
        raise ValueError(f"{altitude:g} m: the altitude must be between -500 and 11 000 m")
    return float(STANDARD_PRESSURE * (1 - 0.0065 * altitude / 288.15) ** 5.255_877)


def _gap(*items: Item) -> None:
    for item in items:
        item.kind, item.sort, item.mark = "gap", "", ""


def _next(items: list[Item], place: int, skip: tuple[str, ...], most: int = 4) -> int:
    """Place of the next item that is none of the roles to skip; -1 if there is none near, or "only" comes before it."""
    end = min(len(items), place + most)
    while place < end:
        item = items[place]
        if item.kind == "phrase" and item.has("only"):
            return -1  # "no burner, only the sun": what follows is there
        if item.kind != "gap" and not (item.kind == "phrase" and item.has(*skip) and not item.has("thing")):
            return place
        place += 1
    return -1


def _limits(items: list[Item], said: Said) -> None:
    place = 0
    while place < len(items):
        item = items[place]
        if item.kind == "phrase" and item.has("limit") and not (item.has("condition") and _wished(items, place)):
            said.without.append(item.roles["limit"])
            _gap(item)
        elif item.kind == "phrase" and item.has("not_before"):
            place = _negated(items, place, said)
        elif item.kind != "gap" and item.has("thing"):
            _negated_after(items, place, said)
        place += 1


def _wished(items: list[Item], place: int) -> bool:
    """Whether a verb of wishing stands before: "to get acid without water" asks for a dry product."""
    return any(item.kind == "phrase" and item.has("want", "purify") for item in items[:place])


def _only(items: list[Item], said: Said) -> None:
    """ "only water, acid and alkali allowed": such a clause names no components."""
    start = 0
    for place in range(len(items) + 1):
        if place == len(items) or (items[place].mark and items[place].mark not in ",/+&"):
            clause = items[start:place]
            phrases = [item for item in clause if item.kind in ("phrase", "name")]
            only = next((item for item in phrases if item.has("only")), None)
            if (
                only is not None
                and any(item.has("allowing") for item in phrases)
                and not any(item.has("want", "remove") for item in phrases)
            ):
                begin = clause.index(only)
                allowing = [
                    index for index, item in enumerate(clause) if item.kind == "phrase" and item.has("allowing")
                ]
                begin = min(begin, *allowing)
                for item in clause[begin:]:
                    if item.has("only_implies") and item.kind in ("phrase", "name"):
                        said.without.append(item.roles["only_implies"])
                    if item.kind in ("phrase", "name", "unknown"):
                        _gap(item)
            start = place + 1


def _told(items: list[Item]) -> bool:
    """Whether items name a mixture: two names, or one that something is to be got from or that stands in another."""
    names = sum(item.kind == "name" for item in items)
    return names > 1 or (names == 1 and any(item.has("want", "remove", "purify", "separate") for item in items))


def _listed(item: Item) -> bool:
    """Whether an item belongs to a list of names."""
    if item.kind == "phrase":
        return item.has("join", "filler", "thing") and not item.has("in")
    return item.kind in ("name", "gap", "number") or item.mark in (",", "+", "&", "/")


def _at_hand(items: list[Item], told: bool) -> None:
    """ "marble and sand, vinegar at hand": a clause of its own that ends so names no components. told: by what stands before."""
    for place, item in enumerate(items):
        if item.kind != "phrase" or not item.has("at_hand"):
            continue
        begin = place
        while begin and _listed(items[begin - 1]):
            begin -= 1
        if begin and not items[begin - 1].mark:
            begin = next((index for index in range(begin, place) if items[index].mark == ","), place)
        while begin < place and not (told or _told(items[:begin])):
            begin = next((index for index in range(begin + 1, place) if items[index].mark == ","), place)
        if any(inner.kind == "name" for inner in items[begin:place]):
            _gap(*items[begin : place + 1])


def _negated(items: list[Item], place: int, said: Said) -> int:
    start, found = place, _next(items, place + 1, ("not_between", "not_before", "filler"))
    if found >= 0 and items[found].kind == "name" and not items[found].has("thing") and items[place].norm in _PLAIN_NO:
        name = items[found].name
        if name is not None and name.kind == "substance" and name.id not in language().without:
            said.without.append(name.id)  # nor may it be added
        _gap(items[place], items[found])  # "sand and gold, no mercury": what is not there is no component
        return found
    while found >= 0 and items[found].has("thing"):
        said.without.append(items[found].roles["thing"])
        _gap(*items[start : found + 1])
        start = place = found
        joined = found + 1
        while joined < len(items) and (
            (items[joined].mark in (",", "/") and items[joined].mark)
            or (items[joined].has("not_joined", "not_before") and items[joined].kind == "phrase")
        ):
            joined += 1
        if joined == found + 1:
            break
        found = _next(items, joined, ("not_between", "not_before", "filler"))
    return place


def _negated_after(items: list[Item], place: int, said: Said) -> None:
    """ "the filter paper has run out", "the centrifuge and the vacuum pump are broken"."""
    things, end = [items[place]], place + 1
    while end < len(items):
        item = items[end]
        if item.kind == "phrase" and item.has("not_after"):
            for thing in things:
                said.without.append(thing.roles["thing"])
            _gap(*items[place : end + 1])
            return
        if item.has("thing") and item.kind != "gap":
            things.append(item)
        elif not (
            item.kind == "gap" or (item.kind == "phrase" and item.has("join", "filler", "not_between", "not_joined"))
        ):
            return
        end += 1


def _numbers(items: list[Item], said: Said) -> None:
    for place, item in enumerate(items):
        if item.kind != "number":
            continue
        before = items[place - 1] if place else None
        if item.dimension == "pressure":
            said.pressure = item.number
        elif item.dimension == "length" and item.unit in ("m", "km", "ft") and item.number >= _LEAST_ALTITUDE:
            said.altitude = item.number
        else:
            continue
        _gap(item)
        if before is not None and before.kind == "phrase" and before.has("tail", "altitude", "pressure_words"):
            _gap(before)


def _chromatogram(items: list[Item], said: Said) -> None:
    """Distances of the front and the spots, each beside the word it belongs to."""
    lengths = [place for place, item in enumerate(items) if item.kind == "number" and item.dimension == "length"]
    fronts = [place for place, item in enumerate(items) if item.kind == "phrase" and item.has("front")]
    spots = [place for place, item in enumerate(items) if item.kind == "phrase" and item.has("spot")]
    if not lengths or not fronts or not spots:
        return
    words = sorted([(place, "front") for place in fronts] + [(place, "spot") for place in spots])
    for length in lengths:
        before = [word for place, word in words if place < length]
        word = before[-1] if before else words[0][1]
        if word == "front" and said.front is None:
            said.front = items[length].number
        else:
            said.spots.append(items[length].number)
    first, last = min(lengths[0], words[0][0]), max(lengths[-1], words[-1][0])
    _gap(*items[first : last + 1])


def _techniques(items: list[Item], said: Said) -> None:
    for place, item in enumerate(items):
        if item.kind != "phrase" or not item.has("technique") or item.has("property", "want", "separate", "in", "with"):
            continue
        before = next((other for other in reversed(items[:place]) if other.kind != "gap"), None)
        after = next((other for other in items[place + 1 :] if other.kind != "gap"), None)
        word = item.norm.split()[-1]
        slugs = item.roles["technique"].split()
        if word.endswith("ed") and after is not None and after.kind == "name":
            continue  # "distilled water"
        by = before is not None and before.kind == "phrase" and before.has("tail", "with")
        starts = (
            before is None
            or before.kind == "mark"
            or (before.kind == "phrase" and before.has("filler", "to", "want", "join", "person"))
        )
        objects = after is not None and (
            after.kind in ("name", "number", "unknown", "given")
            or (after.kind == "phrase" and after.has("filler", "pronoun", "piece", "holding"))
        )
        if (
            not by
            and starts
            and objects
            and not word.endswith(_TECHNIQUE_NOUNS)
            and not (before is not None and before.norm in ("a", "an", "the"))
        ):
            item.sort = "verb"
            said.tried += slugs[:1]
            continue
        said.tried += slugs[:1]
        _gap(item)
        if by and before is not None:
            _gap(before)


def read_setting(items: list[Item]) -> Said:
    """Take what is said of the setting out of the items; they become gaps."""
    said = Said()
    for part in (items, *(item.items for item in items if item.kind == "bracket")):
        _only(part, said)
        _limits(part, said)
        _at_hand(part, part is not items and _told(items))
    _chromatogram(items, said)
    _numbers(items, said)
    _techniques(items, said)
    for item in [inner for outer in items for inner in (outer, *outer.items)]:
        if item.kind == "ratio" and not said.ratio:
            said.ratio = item.parts
            _gap(item)
        elif item.kind == "phrase" and item.has("level"):
            said.level = said.level or item.roles["level"]
            _gap(item)
        elif item.kind == "phrase" and item.has("small"):
            said.small = True
            _gap(item)
    said.without = list(dict.fromkeys(said.without))
    said.tried = list(dict.fromkeys(said.tried))
    return said
