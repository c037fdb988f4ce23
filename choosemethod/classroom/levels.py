"""Levels: how a technique is called, which words are made plainer, and how much is told. Never what is true."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from choosemethod.classroom.materials import materials
from choosemethod.errors import UsageError
from choosemethod.mixture import LEVELS
from choosemethod.reading.lexicon import level_of as _level_in_words
from choosemethod.rulebook.technique import Technique

__all__ = ["Level", "level_of", "sentence"]


def sentence(text: str) -> str:
    """Text with a capital at its beginning."""
    return text[:1].upper() + text[1:]


class Level:
    """One level of rules/classroom/levels.yaml; the level "" says everything in the catalogue's own words."""

    def __init__(self, name: str) -> None:
        self.name = name
        entry: Mapping[str, Any] = materials().levels[name or "upper-secondary"]
        self.title: str = str(entry["title"]) if name else ""
        self.kinds: tuple[str, ...] = tuple(entry["kinds"])
        self.choices: int = int(entry["choices"])
        self.shows: tuple[str, ...] = tuple(entry["shows"])
        self.headings: Mapping[str, str] = entry["headings"]
        self._names: Mapping[str, str] = entry["names"]
        self._words: dict[str, str] = {key.lower(): value for key, value in entry["words"].items()} if name else {}
        longest = sorted(self._words, key=lambda words: (-len(words), words))
        self._pattern = (
            re.compile(r"\b(" + "|".join(map(re.escape, longest)) + r")\b", re.IGNORECASE) if longest else None
        )

    def allows(self, technique: Technique) -> bool:
        """Whether a technique's name belongs to this level or one below it."""
        return not self.name or LEVELS.index(technique.level) <= LEVELS.index(self.name)

    def reaches(self, level: str) -> bool:
        """Whether what belongs to `level` may be asked at this one."""
        return not self.name or LEVELS.index(level) <= LEVELS.index(self.name)

    def technique(self, technique: Technique) -> str:
        """How the technique is called at this level."""
        return self._names.get(technique.id, technique.name)

    def say(self, text: str) -> str:
        """Text in the words of this level; what is said stays the same."""
        if self._pattern is None:
            return text

        def plainer(match: re.Match[str]) -> str:
            said = self._words[match[0].lower()]
            begin = match.start() - max(0, said.lower().find(match[0].lower()))
            if match.string[begin : begin + len(said)].lower() == said.lower():
                return match[0]  # it is said that way already
            return sentence(said) if match[0][:1].isupper() else said

        return self._pattern.sub(plainer, text)


def level_of(words: str) -> Level:
    """The level of a name ("primary") or of a usual name of it ("key stage 3"); UsageError if there is none."""
    name = words.strip().lower()
    if not name:
        return Level("")
    if name.replace(" ", "-") in LEVELS:
        return Level(name.replace(" ", "-"))
    if level := _level_in_words(name):
        return Level(level)
    raise UsageError(f"{words!r} is no level; the levels are {', '.join(LEVELS)}")
