"""What a file of rules/practice holds: what is done in practice, each fact with the terms it is known by."""

from __future__ import annotations

from typing import Any

from choosemethod.data import SOURCE, Entry, Listed, Reading, Record, Ref, Table, Text
from choosemethod.table.names import normalise

__all__ = ["PRACTICE"]

_HELPS = "?"  # behind a term: it need not be said


class _Term(Text):
    """Words for the same, parted by "/"; as (normalised words, whether they must be said)."""

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        written = [one.strip() for one in text.rstrip(_HELPS).split("/")]
        words = [normalise(one.rstrip("*")) + "*" * one.endswith("*") for one in written]
        if not all(word.strip("*") for word in words):
            return file.fault(
                line, f"{text!r} holds an empty word", "crude oil / petroleum, or refin* for all that begin so"
            )
        return tuple(dict.fromkeys(words)), not text.endswith(_HELPS)


def _needed(terms: tuple[Any, ...], line: int, what: str, file: Reading) -> Any:
    if sum(needed for _, needed in terms) < 2 and not any(
        " " in word for words, needed in terms for word in words if needed
    ):
        return file.fault(
            line, "one word alone is no fact", "a second term that must be said, or a term of several words"
        )
    return terms


def _made(one: Entry) -> tuple[Any, ...]:
    terms = one["of"]
    return (
        one.what, tuple(words for words, needed in terms if needed), tuple(words for words, needed in terms if not needed),
        tuple(words for words, _ in one["unless"]),
        (one["by"], *one["then"]), one["or"], one["because"], one["mind"], one["source"],
    )  # fmt: skip


_SLUG = Ref("technique", mend="the slug of a file of rules/techniques")
PRACTICE = Table(
    Record(
        "what is done in practice",
        {
            "of": Listed(_Term(example="crude oil / petroleum"), alone=False, least=1, make=_needed),
            "unless?": Listed(_Term()),
            "by": _SLUG,
            "then?": Listed(_SLUG),
            "or?": Listed(_SLUG),
            "because": Text(example="the reason, in one sentence"),
            "mind?": Text(example="the danger, in one sentence"),
            "source": SOURCE,
        },
        make=_made,
    )
)
