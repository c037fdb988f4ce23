"""The form of rules/doubt.yaml."""

from __future__ import annotations

from choosemethod.data import Listed, Plain, Record, Table, Text, Word

__all__ = ["DOUBT"]

_KEYS = (
    "nothing-to-separate", "not-separable", "weak-technique", "left-together", "missing", "many-parts", "one-part", "words",
    "strange", "told-before", "reagents", "techniques", "described", "confirmed", "length", "names", "limits", "nouns", "offered",
)  # fmt: skip
_WEIGHT = Record(
    "a weight",
    {
        "points": Plain(whole=True),
        "most?": Plain(whole=True, empty=10_000),
        "per?": Plain(whole=True, empty=1),
        "least?": Plain(whole=True, empty=1),
        "says": Text(),
    },
    make=lambda one: tuple(one[key] for key in ("points", "most", "per", "least", "says")),
)
DOUBT = Record(
    "this file",
    {
        "asks_from": Plain(whole=True, example="18"),
        "only_if_all_is_used?": Listed(Word(_KEYS[:2])),
        "points": Table(_WEIGHT, key=Word(_KEYS)),
    },
    make=lambda one: {"asks_from": one["asks_from"], "strict": one["only_if_all_is_used"], "weights": one["points"]},
)
