"""What a condition given beside the question says: what is missing, the pressure, the level, that there is little of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from choosemethod.reading.items import Item, itemise
from choosemethod.reading.language import Language, without_keys_of
from choosemethod.reading.setting import read_setting
from choosemethod.reading.words import cut
from choosemethod.table import Table

__all__ = ["Condition", "read_condition"]


@dataclass(slots=True)
class Condition:
    """One condition as understood.

    without: keys of rules/setting/without.yaml; pressure: Pa; altitude: m; level: "" or a level; small: only a little.
    only_wishes: it says how the work should be (quick, cheap), which rules no technique out.
    understood: whether it says anything the program can use, or only such a wish.
    """

    without: tuple[str, ...] = ()
    pressure: float | None = None
    altitude: float | None = None
    level: str = ""
    small: bool = False
    only_wishes: bool = False

    @property
    def understood(self) -> bool:
        used = self.without or self.level or self.small or self.only_wishes
        return bool(used) or self.pressure is not None or self.altitude is not None


def read_condition(words: str, table: Table, language: Language) -> Condition:
    """Understand words such as "no heating allowed", "only kitchen equipment", "at 1600 m" or "must be quick".

    Bare names of things ("fume cupboard") count as missing. A condition that denies something unknown ("no flux
    capacitor") is not understood; one that denies nothing and names nothing that could be missing is a wish.
    """
    items = itemise(words, cut(words, table.formula), table, language)
    told = list(items)
    denies = any(item.kind == "phrase" and item.has("not_before", "not_after") for item in told)
    confines = any(item.has("only") for item in told if item.kind == "phrase")
    implied = [item.roles["only_implies"] for item in told if item.has("only_implies")] if confines else []
    plain = _bare_things(told)
    said = read_setting(items)
    keys = [*said.without, *implied]
    if not keys and (plain or (denies and not confines)):
        keys = without_keys_of(words)
    found = Condition(tuple(dict.fromkeys(keys)), said.pressure, said.altitude, said.level, said.small)
    found.only_wishes = not found.understood and not denies
    return found


def _bare_things(items: Sequence[Item]) -> bool:
    """Whether the words only list things ("fume cupboard", "heat, vacuum"): given as a condition these are missing."""
    real = [item for item in items if item.kind not in ("mark", "gap")]
    return bool(real) and all(
        item.has("thing", "limit_key", "limit", "not_joined")
        or (item.kind == "phrase" and item.has("join", "not_between"))
        for item in real
    )
