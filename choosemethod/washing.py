"""Washing: what water, shaken with an organic liquid, takes out of it and what it leaves there."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from choosemethod.facts import UNKNOWN, Fact, SlotValue, yes_no
from choosemethod.properties import Properties

__all__ = ["washings"]

_HELD = ("liquid", "dissolved", "solid", "suspended")
_INTO_WATER = ("miscible", "very soluble", "freely soluble")
_STAYS = ("slightly soluble", "very slightly soluble", "insoluble")


def washings(
    live: Sequence[Fact], known: Properties, liquid: Callable[[str], Mapping[str, SlotValue]]
) -> list[Fact]:
    """Water as what washes an organic liquid: at most one fact.

    Where no liquid is there that water leaves, one has to be added for what is to stay: `lifts`. liquid: the slots of a
    liquid that is added. None is made where water is a liquid of the mixture, where something is not known of a part, or
    where a solid would be taken (that one is dissolved away).
    """
    water = known.limits.water
    if any(f.slots["form"] not in _HELD or f.slots["reacted"] == "yes" for f in live):
        return []
    parts = [f for f in live if f.slots["substance"] != water or f.slots["form"] == "liquid"]
    liquids = [f for f in parts if f.slots["form"] == "liquid"]
    if not liquids or any(f.slots["substance"] == water for f in liquids):
        return []
    words = {f.key: _goes(f, known) for f in parts}
    takes, leaves = ([f for f in parts if words[f.key] == word] for word in ("yes", "no"))
    if not takes or not leaves or any(f.slots["phase"] == "liquid" and f.slots["form"] == "solid" for f in parts):
        return []
    host = next((f for f in leaves if f in liquids), None)
    lifts = tuple(f.key for f in leaves if f not in liquids and (host is None or f.slots["form"] == "solid"))
    density, other = host.slots["density"] if host is not None else None, known.pure(water)[0]["density"]
    slots: dict[str, SlotValue] = {
        **liquid(water),
        "id": "washing with water",
        "substance": water,
        "host": host.key if host is not None else "",
        "host_name": host.slots["name"] if host is not None else "the liquid added for it",
        "takes": tuple(f.key for f in takes),
        "leaves": tuple(f.key for f in leaves),
        "undecided": tuple(key for key, word in words.items() if word == UNKNOWN),
        "takes_count": float(len(takes)),
        "leaves_count": float(len(leaves)),
        "undecided_count": float(sum(word == UNKNOWN for word in words.values())),
        "takes_wanted": float(sum(f.slots["asked_for"] == "yes" for f in takes)),
        "density_gap": None,
        "lower": yes_no(density < other) if isinstance(density, float) and isinstance(other, float) else UNKNOWN,
        "order": 0.0,
        "way": "washing",
        "lifts": lifts,
        "wets": (),
    }
    del slots["organic"]
    return [Fact("extractant", "washing with water", slots)]


def _goes(part: Fact, known: Properties) -> str:
    """Whether a part goes into the water: yes, no or unknown. A liquid does that mixes with it in all proportions."""
    classes, word = part.slots["classes"], part.slots["in_water"]
    salt = isinstance(classes, tuple) and "ionic" in classes
    if part.slots["phase"] == "liquid":
        mixes = known.between(str(part.slots["substance"]), known.limits.water)[0]["miscibility"]
        if mixes != UNKNOWN:
            return yes_no(mixes == "fully")
    if part.slots["kind"] == "ion" or word in _INTO_WATER or (salt and word == "soluble"):
        return "yes"
    return "no" if word in _STAYS and not salt else UNKNOWN
