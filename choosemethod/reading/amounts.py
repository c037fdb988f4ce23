"""Numbers that belong to the whole question: pressure, altitude, ratio, chromatogram, level, how little there is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from choosemethod.quantity import STANDARD_PRESSURE, UNITS
from choosemethod.reading.lattice import Piece

__all__ = ["Whole", "pressure_at", "read_whole", "shown"]

_LEAST_ALTITUDE = 100.0  # m; a shorter length is no altitude


class Whole(NamedTuple):
    """pressure: Pa; altitude: m; ratio: of the parts; front, spots: of a chromatogram, m; level: who asks; small: only a
    little of it; works: on a large scale; used: piece -> (role, because)."""

    pressure: float | None = None
    altitude: float | None = None
    ratio: tuple[float, ...] = ()
    front: float | None = None
    spots: tuple[float, ...] = ()
    level: str = ""
    small: bool = False
    works: bool = False
    used: Mapping[int, tuple[str, str]] = {}


def pressure_at(altitude: float) -> float:
    """Pressure (Pa) of the standard atmosphere at an altitude (m), -500 to 11 000; ValueError outside.

    Source: ICAO Doc 7488, Manual of the ICAO Standard Atmosphere (troposphere).
    """
    if not -500.0 <= altitude <= 11_000.0:
        raise ValueError(f"{altitude:g} m: the altitude must be between -500 and 11 000 m")
    return float(STANDARD_PRESSURE * (1 - 0.0065 * altitude / 288.15) ** 5.255_877)


def _chromatogram(pieces: Sequence[Piece]) -> tuple[float | None, list[float], range]:
    """Distances of the front and the spots, each beside the word it belongs to."""
    values: dict[int, float] = {}
    for place in range(len(pieces) - 1, -1, -1):
        piece = pieces[place]
        after = pieces[place + 2] if place + 2 < len(pieces) else None
        shared = (
            after is not None
            and place + 2 in values
            and (pieces[place + 1].has("join") or pieces[place + 1].mark == ",")
        )
        if piece.dimension == "length":
            values[place] = piece.number
        elif piece.kind == "number" and not piece.dimension and shared and after is not None:
            values[place] = piece.number * UNITS[after.unit or "mm"][1]  # "90 and 120 mm"
    lengths = sorted(values)
    words = [(place, "front") for place, piece in enumerate(pieces) if piece.has("front")]
    words += [(place, "spot") for place, piece in enumerate(pieces) if piece.has("spot")]
    if not lengths or {word for _, word in words} != {"front", "spot"}:
        return None, [], range(0)
    words.sort()
    front: float | None = None
    spots: list[float] = []
    for length in lengths:
        before = [word for place, word in words if place < length]
        word = before[-1] if before else words[0][1]
        if word == "front" and front is None:
            front = values[length]
        else:
            spots.append(values[length])
    return front, spots, range(min(lengths[0], words[0][0]), max(lengths[-1], words[-1][0]) + 1)


def _of_a_way(pieces: Sequence[Piece], place: int) -> bool:
    """ "the primary methods": no school."""
    after = pieces[place + 1] if place + 1 < len(pieces) else None
    return (
        " " not in pieces[place].norm
        and after is not None
        and (after.kind == "word" or after.has("light", "technique"))
    )


def _somebody_does(pieces: Sequence[Piece], place: int) -> bool:
    """Whether a word is what somebody does ("you accidentally drop oil"), not an amount."""
    before = pieces[place - 1] if place else None
    return before is not None and pieces[place].has("verb") and (before.has("person") or before.norm.endswith("ly"))


def _first_of_it(pieces: Sequence[Piece], place: int) -> bool:
    """ "the first few drops": what comes over first, not how much there is."""
    before = pieces[place - 1] if place else None
    return before is not None and before.has("first_of")


def read_whole(pieces: Sequence[Piece]) -> Whole:
    """What the pieces say of the whole question."""
    used: dict[int, tuple[str, str]] = {}
    pressure = altitude = None
    ratio: tuple[float, ...] = ()
    level, small, works = "", False, False
    front, spots, chromatogram = _chromatogram(pieces)
    for place in chromatogram:
        used[place] = ("amount", "chromatogram")
    for place, piece in enumerate(pieces):
        if place in used:
            continue
        if piece.dimension == "pressure":
            pressure = piece.number
            used[place] = ("limit", "a pressure")
        elif piece.dimension == "length" and piece.unit in ("m", "km", "ft") and piece.number >= _LEAST_ALTITUDE:
            altitude = piece.number
            used[place] = ("limit", "an altitude")
        elif piece.kind == "ratio":
            ratio = ratio or piece.parts
            used[place] = ("amount", "a ratio")
        elif "level" in piece.cues and piece.kind != "name" and not _of_a_way(pieces, place):
            level = level or piece.cues["level"]
            used[place] = ("level", "who asks")
        elif piece.kind != "name" and piece.has("small") and not (_somebody_does(pieces, place) or _first_of_it(pieces, place)):
            small = True
            used[place] = ("amount", "little of it")
        elif piece.kind != "name" and piece.has("works_scale"):
            works = True
        elif piece.kind != "name" and piece.has("altitude", "pressure_words"):
            near = [pieces[other] for other in range(max(0, place - 4), min(len(pieces), place + 5))]
            if any(other.dimension in ("pressure", "length") for other in near):
                used[place] = ("limit", "beside a pressure or height")
    return Whole(pressure, altitude, ratio, front, tuple(spots), level, small, works, used)


def shown(whole: Whole) -> str:
    """What was said of the whole question, a line each."""
    said = [(name, getattr(whole, name)) for name in Whole._fields if name != "used"]
    return "\n".join(f"{name} {value}" for name, value in said if value not in (None, "", (), False))
