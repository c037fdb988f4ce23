"""Whether a word is English: the word list beside the rules, searched on disk."""

from __future__ import annotations

import mmap
from functools import lru_cache
from pathlib import Path

from choosemethod.places import rules_folder

__all__ = ["english", "words_file"]


def words_file() -> Path:
    """The list: a word a line, in order; ~ after a less common one, ^ after a name of a person or place."""
    return rules_folder() / "reading" / "english" / "words.txt"


@lru_cache(maxsize=1)
def _words() -> mmap.mmap | bytes:
    with words_file().open("rb") as file:
        try:
            return mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
        except (OSError, ValueError):  # a file system that cannot map, or an empty file
            file.seek(0)
            return file.read()


# What may stand before or after a common word and leave it a common word ("stepwise", "ultracentrifuge"). Nothing that the
# names of compounds are made with.
_BEFORE = ("ultra", "super", "semi", "multi", "inter", "over", "under", "non", "pre", "un", "re")
_AFTER = ("wise", "like", "less", "ness", "able", "ful")
_STEM = 4  # letters the word in it must have at least


@lru_cache(maxsize=4096)
def english(word: str) -> str:
    """How common a lower-case word is: common, rare, proper (of a person or place), or "" if the list has it not.

    A common word with a usual beginning or ending counts as rare.
    """
    if not word.isascii():
        return ""
    found = _listed(word)
    if found:
        return found
    stems = [word.removeprefix(one) for one in _BEFORE if word.startswith(one)]
    stems += [word.removesuffix(one) for one in _AFTER if word.endswith(one)]
    return "rare" if any(len(stem) >= _STEM and _listed(stem) == "common" for stem in stems) else ""


def _listed(word: str) -> str:
    words, sought = _words(), word.encode("utf-8", "surrogatepass")
    low, high = 0, len(words)
    while low < high:
        middle = (low + high) // 2
        start = words.rfind(b"\n", 0, middle) + 1
        end = words.find(b"\n", start)
        end = len(words) if end < 0 else end
        line = words[start:end]
        flag = line[-1:]
        bare = line[:-1] if flag in (b"~", b"^") else line
        if bare == sought:
            return {b"~": "rare", b"^": "proper"}.get(flag, "common")
        if bare < sought:
            low = end + 1
        else:
            high = start
    return ""
