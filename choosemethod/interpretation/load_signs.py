"""Reads rules/reading/signs.yaml; needed only while what is kept of it is not good."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from choosemethod.data import Entry, Listed, Names, Plain, Reading, Record, Ref, Table, Text, read_file
from choosemethod.table.names import normalise

__all__ = ["SIGNS", "compile_signs"]

_ASKING = ("naming", "asking", "wondering", "serving")
_LISTS = ("several", "besides", "doubting", "except", "none", "all", "mixed", "pure", "order", "truth")
_WRITTEN = ("several", "besides")  # lists of words as they are written


def _word(written: str) -> str:
    """A word of a sign or idea, normalised; its * is kept."""
    return normalise(written.replace("_", " ").strip("=*")) + "*" * written.endswith("*")


class _Sign(Text):
    """Ideas that must all be said; a word by itself begins with = or ends in *."""

    def convert(self, text: str, line: int, what: str, file: Reading) -> Any:
        ideas = file.known["idea"].words
        for part in text.replace("~", " ").split():
            if part not in ideas and not part.startswith("=") and not part.endswith("*"):
                return file.fault(line, f"{part!r} is no idea", f"a key of ideas, or the word itself: ={part}")
        return tuple(text.split())


def _made(one: Entry) -> dict[str, Any]:
    signs = [*(sign for key in _ASKING for sign in one[key]), *(sign for held in one["signs"].values() for sign in held)]
    alone = {part: (_word(part),) for sign in signs for near in sign for part in near.split("~")}
    return {
        "techniques": {slug: tuple(held.items()) for slug, held in one["signs"].items()},
        "families": one["families"],
        **{key: one[key] for key in _ASKING},
        "lists": {key: one[key] if key in _WRITTEN else tuple(map(normalise, one[key])) for key in _LISTS},
        "ideas": alone | {key: tuple(map(_word, words)) for key, words in one["ideas"].items()},
        "impure_with": one["impure_with"],
    }


_WORDS = Listed(Text(), alone=False, least=1)
_SLUG = Ref("technique", mend="the slug of a file of rules/techniques")
_SIGNS = Listed(_Sign(), alone=False, least=1)
_WEIGHT = Plain(whole=True, low=1, high=5)
SIGNS = Record(
    "this file",
    {
        "source": Text(),
        **dict.fromkeys(_ASKING, _SIGNS),
        **dict.fromkeys(_LISTS, _WORDS),
        "impure_with": Text(),
        "families": Table(Listed(_SLUG, alone=False, least=1)),
        "ideas": Table(_WORDS),
        "signs": Table(Table(_WEIGHT, key=_Sign(), example="{spin*: 4}"), key=_SLUG),
    },
    make=_made,
)


def compile_signs(folder: Path, file: str) -> dict[str, Any]:
    """The fields of `choosemethod.interpretation.described.Signs`; DataError with every fault."""
    known = {"technique": Names({path.stem for path in (folder / "techniques").glob("*.yaml")})}
    ideas: Any = lambda block: ({"idea": Names(block.get("ideas", ()))}, {})  # noqa: E731
    found: dict[str, Any] = read_file(folder / file, SIGNS, f"rules/{file}", known, ahead=ideas)
    return found
