"""Words grouped into items: names of the table, phrases of the language, quantities, and words not known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from choosemethod.quantity import UNITS
from choosemethod.reading.language import Language
from choosemethod.reading.words import Word
from choosemethod.table import Name, Table

__all__ = ["Item", "itemise"]

_NOTHING: Mapping[str, str] = {}
_NO_NUMBER: tuple[int, Item | None] = (0, None)
_LONGEST_UNIT = 4  # words
_GRAMMAR = ("join", "from", "in", "with", "into", "to", "want", "separate", "remove", "purify")


@dataclass(slots=True, eq=False)  # an item is itself; comparing fields would cost a long text minutes
class Item:
    """One item of a question.

    kind: name, phrase, number, ratio, mark, bracket, unknown or gap (taken out).
    text: as written; norm: normalised words; roles: what a phrase does (see Language.phrases), also of a name.
    number: SI value for a number with a unit, the bare number without; high: upper end of a range; dimension: "" for a
    bare number; parts: of a ratio; items: of a bracket; sort: of a name that is a formula "formula".
    """

    kind: str
    text: str = ""
    norm: str = ""
    roles: Mapping[str, str] = field(default_factory=dict)
    name: Name | None = None
    number: float = 0.0
    high: float = 0.0
    unit: str = ""
    dimension: str = ""
    parts: tuple[float, ...] = ()
    items: list[Item] = field(default_factory=list)
    mark: str = ""
    sort: str = ""
    state: str = ""
    plural: bool = False
    start: int = 0
    end: int = 0

    def has(self, *roles: str) -> bool:
        """Whether the item plays one of these roles."""
        return any(role in self.roles for role in roles)


class _Itemiser:
    def __init__(self, text: str, words: list[Word], table: Table, language: Language, whole_names: bool) -> None:
        self.whole_names = whole_names
        self.text = text
        self.words = words
        self.table = table
        self.language = language
        self.longest = table.longest_name()
        self.start = self.stop = 0  # the run of words last counted

    def run(self, start: int) -> int:
        """Number of words from here to the next mark."""
        end = max(start, self.stop) if start >= self.start else start  # known from an earlier word of the same run
        while end < len(self.words) and self.words[end].kind != "mark":
            end += 1
        self.start, self.stop = start, end
        return end - start

    def phrase(self, start: int, run: int) -> tuple[int, Mapping[str, str]]:
        most = min(run, self.language.first.get(self.words[start].norm, 0))
        for length in range(most, 0, -1):
            after = start + length
            if after < len(self.words) and self.words[after].norm.isdigit() and self.words[after].joined:
                continue  # "but-1-ene"
            key = " ".join([word.norm for word in self.words[start:after]])
            roles = self.language.phrases.get(key)
            if roles is not None:
                return length, roles
        return 0, _NOTHING

    def unbroken(self, start: int, run: int) -> int:
        """Number of words before the next one that belongs to the grammar (and, from, in, with, a verb)."""
        for place in range(start + 1, start + min(run, self.longest)):
            if not self.words[place].joined:
                roles = self.language.phrases.get(self.words[place].norm)
                if roles is not None and any(role in roles for role in _GRAMMAR):
                    return place - start
        return run

    def ends_a_name(self, start: int, run: int, whole: int) -> Name | None:
        """The name that the verb-like word after this run ends ("cell extract"), if nothing follows that it could act on."""
        if run >= whole or run < 1 or "want" not in self.language.phrases.get(self.words[start + run].norm, _NOTHING):
            return None
        after = self.words[start + run + 1] if run + 1 < whole else None
        if after is not None:
            roles = self.language.phrases.get(after.norm, _NOTHING)
            if not any(role in roles for role in ("join", "from", "in", "with")):
                return None
        return self.table.name(" ".join([word.norm for word in self.words[start : start + run + 1]]))

    def named(self, start: int, run: int, shortest: int) -> tuple[int, Name | None]:
        """The longest name of at least `shortest` words that begins here."""
        if not self.whole_names:
            whole = run
            run = self.unbroken(start, run)
            ending = self.ends_a_name(start, run, whole)
            if ending is not None:
                return run + 1, ending
        for length in range(min(run, self.longest), max(shortest, 1) - 1, -1):
            after = start + length
            key = " ".join([word.norm for word in self.words[start:after]])
            name = self.table.name(key)
            if name is not None and self.lettered(after):
                continue  # "an unknown solid A"
            if name is not None and (self.whole_names or not self.other_number(key, name, self.words[after - 1])):
                return length, name
        return 0, None

    def lettered(self, after: int) -> bool:
        """Whether a word such as "solid" ends before this place and a single letter follows."""
        if not 0 < after < len(self.words) or "unnamed" not in self.language.phrases.get(
            self.words[after - 1].norm, {}
        ):
            return False
        return len(self.words[after].raw) == 1 and self.words[after].raw.isupper()

    def listed(self, place: int) -> bool:
        """Whether a formula that is also a word ("He", "As") stands in a list, beside "and", "+" or "from"."""
        for beside in (place - 1, place + 1):
            if 0 <= beside < len(self.words):
                word = self.words[beside]
                roles = self.language.phrases.get(word.norm, {})
                if (word.mark in ("+", "/", "&", ",") and word.mark) or any(
                    role in roles for role in ("join", "from", "in")
                ):
                    return True
        return len(self.words) == 1

    def names_on(self, place: int, run: int, length: int) -> bool:
        """Whether a longer name begins within a filler phrase: "a mixture of proteins" after "a"."""
        first = self.language.phrases.get(self.words[place].norm, _NOTHING)
        return first.get("filler") == "function_words" and self.named(place + 1, run - 1, length)[1] is not None

    def other_number(self, key: str, name: Name, last: Word) -> bool:
        """Whether "mixture of sugar (and salt)" was taken for the name "mixture of sugars"."""
        begins = self.language.phrases.get(" ".join(key.split()[:2]), {})
        return (
            "filler" in begins and key.split()[1:2] == ["of"] and name.written.endswith("s") != last.raw.endswith("s")
        )

    def number(self, start: int, run: int) -> tuple[int, Item]:
        """A number or range with its unit."""
        word = self.words[start]
        value = high = float(word.norm)
        place = start + 1
        # A range: 56 - 57 °C, 40 to 60 °C, 40-60 °C.
        if place + 1 < len(self.words) and self.words[place + 1].kind == "number":
            between = self.words[place]
            if between.mark == "-" or between.norm == "to":
                high = float(self.words[place + 1].norm)
                place += 2
        for length in range(_LONGEST_UNIT, 0, -1):
            part = self.words[place : place + length]
            if len(part) < length:
                continue
            if length > 1 and any(inner.kind == "mark" and inner.mark not in "/" for inner in part):
                continue
            raw = self.text[part[0].start : part[-1].end]
            found = self.language.units.get(raw) or self.language.units.get(raw.lower())
            if found is None and len(raw) > 1:
                found = self.language.units.get(raw.rstrip("."))
            if found is None:
                continue
            unit, dimension = found
            _, factor, offset = UNITS[unit]
            text = self.text[word.start : part[-1].end]
            bulk = self.language.bulk.get(raw, "")
            item = Item(
                "number",
                text,
                number=value * factor + offset,
                high=high * factor + offset,
                unit=unit,
                dimension=dimension,
                start=word.start,
                end=part[-1].end,
                state=bulk,
            )
            return place + length - start, item
        if high != value:
            text = self.text[word.start : self.words[place - 1].end]
            return place - start, Item(
                "number", text, number=value, high=high, start=word.start, end=self.words[place - 1].end
            )
        return 1, Item("number", word.raw, word.norm, number=value, high=value, start=word.start, end=word.end)

    def negative(self, place: int, before: list[Item]) -> tuple[int, Item] | None:
        """A number with a minus sign. Between a name and an amount the sign is a dash: "salt -5 g, sand -10 g"."""
        sign, after = self.words[place], place + 1
        if (
            sign.raw != "-"
            or after == len(self.words)
            or self.words[after].kind != "number"
            or sign.end != self.words[after].start
        ):
            return None
        length, item = self.number(after, self.run(after))
        listed = (
            bool(before)
            and before[-1].kind in ("name", "unknown")
            and item.dimension not in ("temperature", "pressure")
        )
        if not item.dimension or item.high != item.number or listed:
            return None
        item.number = item.high = 2 * UNITS[item.unit][2] - item.number
        item.start, item.text = sign.start, self.text[sign.start : item.end]
        return length + 1, item

    def items(self) -> list[Item]:
        words, found, place = self.words, list[Item](), 0
        while place < len(words):
            word = words[place]
            below = self.negative(place, found)
            if below is not None:
                found.append(below[1])
                place += below[0]
                continue
            if word.kind == "mark":
                found.append(Item("mark", word.raw, mark=word.mark, start=word.start, end=word.end))
                place += 1
                continue
            if word.kind == "ratio":
                parts = tuple(float(part) for part in word.norm.split(":"))
                found.append(Item("ratio", word.raw, parts=parts, start=word.start, end=word.end))
                place += 1
                continue
            run = self.run(place)
            length, roles = self.phrase(place, run)
            if length > 1 and "filler" in roles and self.names_on(place, run, length):
                length, roles = 1, self.language.phrases.get(word.norm, _NOTHING)
            function = roles.get("filler") == "function_words" and length == 1
            number, item = self.number(place, run) if word.kind == "number" else _NO_NUMBER
            if word.formula is not None and length < 2 and (not roles or self.listed(place)):
                part = Item(
                    "name",
                    word.raw,
                    word.norm,
                    roles,
                    word.formula,
                    sort="formula",
                    state=word.state,
                    start=word.start,
                    end=word.end,
                )
                found.append(part)
                place += 1
                continue
            # A name that begins with a word such as "an" is no name, but a phrase somebody listed as one.
            skip = function and (run == 1 or not self.whole_names)
            size, name = (0, None) if skip else self.named(place, run, max(length, 1 + bool(number), 2 * function))
            if name is not None and size >= length and size > (1 if number else 0):
                last = words[place + size - 1]
                text = self.text[word.start : last.end]
                norm = " ".join([inner.norm for inner in words[place : place + size]])
                part = Item(
                    "name", text, norm, roles if size == length else _NOTHING, name, start=word.start, end=last.end
                )
                if size == 1:
                    part.roles = self.language.phrases.get(norm, _NOTHING)
                part.plural = last.raw.lower().endswith("s") and not norm.endswith("s")
                found.append(part)
                place += size
            elif item is not None:
                found.append(item)
                place += number
            elif length:
                last = words[place + length - 1]
                norm = " ".join([inner.norm for inner in words[place : place + length]])
                part = Item("phrase", self.text[word.start : last.end], norm, roles, start=word.start, end=last.end)
                part.plural = last.raw.lower().endswith("s") and not norm.endswith("s")
                found.append(part)
                place += length
            else:
                found.append(
                    Item("unknown", word.raw, word.norm, start=word.start, end=word.end, plural=word.raw.endswith("s"))
                )
                place += 1
        return found


def _bracketed(items: list[Item]) -> list[Item]:
    """Items with what stands in round brackets gathered into one item each."""
    stack: list[list[Item]] = [[]]
    for item in items:
        if item.mark == "(":
            stack.append([])
        elif item.mark == ")":
            if len(stack) > 1:
                inner = stack.pop()
                stack[-1].append(
                    Item(
                        "bracket", items=inner, start=inner[0].start if inner else 0, end=inner[-1].end if inner else 0
                    )
                )
        else:
            stack[-1].append(item)
    while len(stack) > 1:  # a bracket that was never closed counts as plain text
        rest = stack.pop()
        stack[-1].extend(rest)
    return stack[0]


def _same_unit(items: list[Item]) -> None:
    """ "90 and 120 mm": a bare number takes the unit of the number it is listed with."""
    for place in range(len(items) - 3, -1, -1):
        item, between, other = items[place : place + 3]
        if item.kind != "number" or item.dimension or other.kind != "number" or not other.dimension:
            continue
        if between.mark == "," or (between.kind == "phrase" and between.norm in ("and", "or")):
            _, factor, offset = UNITS[other.unit]
            item.number, item.high = item.number * factor + offset, item.high * factor + offset
            item.unit, item.dimension = other.unit, other.dimension


def _compounds(items: list[Item], text: str) -> list[Item]:
    """Items with a name and a compound word after it ("silver fulminate") as one unknown item.

    The table does not hold the compound, and to answer about silver instead would be wrong and unsafe.
    """
    found: list[Item] = []
    for item in items:
        if item.has("compound") and (item.kind == "name" or len(item.roles) == 1):
            run = [item]
            while found and (
                found[-1].kind == "name" or (found[-1].kind == "unknown" and not found[-1].norm.strip("ivx"))
            ):
                run.insert(0, found.pop())  # "lead(IV) chloride" has its numeral as an item of its own
            if len(run) > 1:
                start, end = run[0].start, item.end
                norm = " ".join([part.norm for part in run])
                item = Item("unknown", text[start:end], norm, {"compound": ""}, start=start, end=end)
            elif item.kind == "phrase":
                item.kind = "unknown"
        found.append(item)
    return found


def itemise(text: str, words: list[Word], table: Table, language: Language, whole_names: bool = False) -> list[Item]:
    """Items of a question's words; the longest match wins, and a name over a phrase of the same length.

    whole_names: also take names that hold a word of the grammar ("oil and vinegar"), else read in their parts.
    """
    items = _compounds(_Itemiser(text, words, table, language, whole_names).items(), text)
    _same_unit(items)
    return _bracketed(items)
