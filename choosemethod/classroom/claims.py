"""Claims in an answer's reason or in columns of their own: true, false or not known, with the sourced value.

How claims are worded, and how far a number may be off, is said in rules/judging.yaml.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from choosemethod.advice.compose import Composer
from choosemethod.advice.judging import Judging
from choosemethod.advice.wording import joined
from choosemethod.facts import UNKNOWN, Evidence, Fact
from choosemethod.mixture import STANDARD_PRESSURE
from choosemethod.quantity import QuantityError, parse_number, show
from choosemethod.table.model import Substance
from choosemethod.table.names import normalise

__all__ = ["Claim", "Claims"]

NUMBER_KINDS = {"boiling_point": "temperature", "melting_point": "temperature", "density": "density"}
_GAPS = ("gap-less", "gap-more")
_FLAGS = ("magnetic", "sublimes", "flammable", "toxic", "corrosive")
_UNIT = (
    r"(?:°\s?[CFK]|º\s?C|℃|deg(?:rees?)?\.?\s?(?:C|celsius|centigrade)?|celsius|K|C"
    r"|g\s?/\s?cm\^?[3³]|g\s?/\s?m[Ll]|kg\s?/\s?m\^?[3³]|g\s?cm-3)"
)
_ABOUT = r"(?:about|approximately|around|roughly|approx\.?|c\.|ca\.?|~|≈)?\s*"
_NUMBER = rf"{_ABOUT}(?P<number>[-−]?\d+(?:[.,]\d+)?)\s*(?P<unit>{_UNIT}(?!\w))?"
_NAME = r"[^,;:!?=]{1,70}?"
_RF = re.compile(
    r"\br\.?f\.?\b\s*(?:value)?\s*(?:of [^=;,]{1,40}?)?\s*(?:=|is|:|of|was)?\s*(?P<value>[01]?[.,]\d+|[01])(?![\d.])",
    re.IGNORECASE,
)
_OVER = r"(?:/|÷|divided by|out of|and the (?:solvent )?front(?: moved| travelled)?)"
_DISTANCES = re.compile(
    rf"(?P<spot>\d+(?:\.\d+)?)\s*(?P<a>mm|cm)?\s*{_OVER}\s*(?P<front>\d+(?:\.\d+)?)\s*(?P<b>mm|cm)", re.IGNORECASE
)
_ALSO_AT = re.compile(
    rf"\s*(?:,|and|but|while|whereas|;)+\s*(?:and |but )?(?P<x>[^,;:!?=\d]{{1,60}}?)\s+at\s+{_NUMBER}", re.IGNORECASE
)
_CLAUSE = re.compile(r"[;!?\n]|\.(?!\d)(?=\s|$)|\b(?:but|while|whereas|because|since|so that|so)\b", re.IGNORECASE)
_ABBREVIATIONS = ((re.compile(r"\bb\.\s?p\.", re.IGNORECASE), "bp"), (re.compile(r"\bm\.\s?p\.", re.IGNORECASE), "mp"))
_LONGEST = 4_000  # characters of a text that are searched for claims
_MOST = 20  # claims of one row


@dataclass(frozen=True, slots=True)
class Claim:
    """One claim as checked.

    text: as written; kind: which sort of claim; verdict: true, false or not known; found: the sourced value or fact in
    words; source: its key, "" if none; tolerance: what was allowed, "" if it does not matter.
    """

    text: str
    kind: str
    verdict: str
    found: str
    source: str = ""
    tolerance: str = ""

    def shown(self) -> str:
        """The claim in one line."""
        source = f" [{self.source}]" if self.source else ""
        allowed = f" (±{self.tolerance})" if self.tolerance else ""
        return f"{self.text}: {self.verdict} - {self.found}{allowed}{source}"


@dataclass(frozen=True, slots=True)
class _Template:
    """A wording as a pattern. lead: the name it begins with ("x", "y" or ""); needle: text that must be there."""

    kind: str
    pattern: re.Pattern[str]
    lead: str
    weight: int
    needle: str


@lru_cache(maxsize=2)
def _templates(claims: tuple[tuple[str, tuple[str, ...]], ...], both: tuple[str, ...]) -> tuple[_Template, ...]:
    """The templates of the judging rules as patterns, the longest first."""
    out = []
    others = "|".join(re.escape(words) for words in sorted(both, key=len, reverse=True))
    for kind, wordings in claims:
        for wording in wordings:
            parts = re.split(r"(\{(?:x|y|n|both)\})", wording)
            text = ""
            for place, part in enumerate(parts):
                if part == "{n}":
                    text += _NUMBER
                elif part == "{both}":
                    text += rf"(?:{others})"
                elif part in ("{x}", "{y}"):
                    last = not any(p for p in parts[place + 1 :])
                    text += f"(?P<{part[1]}>{_NAME}{'(?=$|[,;:!?=])' if last else ''})"
                else:
                    literal = re.escape(part).replace(r"\ ", r"\s+").replace("'", "['’]")
                    before, after = part[:1].isalnum(), part[-1:].isalnum()
                    text += (r"\b" if before else "") + literal + (r"\b" if after else "")
            lead = wording[1] if wording.startswith(("{x}", "{y}")) else ""
            literals = re.split(r"\{\w+\}", wording)
            needle = max(literals, key=len).strip().lower()
            out.append(_Template(kind, re.compile(text, re.IGNORECASE), lead, len("".join(literals)), needle))
    return tuple(sorted(out, key=lambda template: -template.weight))


class Claims:
    """Checks claims about one question's mixture and what is in it."""

    def __init__(self, composer: Composer, rules: Judging) -> None:
        self.composer = composer
        self.rules = rules
        self.table = composer.table
        self.bench = composer.planner.bench
        self.templates = _templates(tuple(rules.claims.items()), rules.words["both"])
        self.components = composer.question.mixture.components
        self._facts: list[Fact] | None = None
        self._last = ""  # the substance "it" stands for
        self._known: dict[str, str] = {}
        self._lead, self._no_name = frozenset(rules.words["claim-lead"]), frozenset(rules.words["no-name"])

    # ---- finding claims ------------------------------------------------------------------------------------------

    def check(self, text: str, front: float | None = None, spots: Sequence[float] = ()) -> tuple[Claim, ...]:
        """Every claim found in a text. front, spots: chromatogram distances (m) of the row, for an Rf."""
        out: list[Claim] = []
        self._last = ""
        text = text[:_LONGEST]
        for pattern, plain in _ABBREVIATIONS:
            text = pattern.sub(plain, text)
        for claim in self._retention(text, front, spots):
            out.append(claim)
        for clause in _CLAUSE.split(text):
            out += self._clause(clause)
        return tuple(dict.fromkeys(out))[:_MOST]

    def column(
        self, kind: str, about: str, cell: str, front: float | None = None, spots: Sequence[float] = ()
    ) -> tuple[Claim, ...]:
        """The claims of a cell in a column that claims one thing. about: what the heading says it is about, or ""."""
        cell = cell.strip()
        if not cell:
            return ()
        if kind == "rf":
            return tuple(self._retention(f"Rf = {cell.lower().removeprefix('rf').strip(' =:')}", front, spots))
        out = []
        for piece in re.split(r"[;\n]", cell):
            name, _, rest = piece.rpartition(":")
            if kind in NUMBER_KINDS:
                match = re.search(_NUMBER, rest)
                out.append(self._number(kind, self._who(name or about), name or about, match, piece.strip()))
            else:
                out.append(self._evaluate(kind, piece, "", None, piece.strip()))
        return tuple(claim for claim in out if claim is not None)

    def _clause(self, clause: str) -> Iterator[Claim]:
        taken: list[tuple[int, int]] = []
        clause = " ".join(clause.replace("’", "'").split())
        plain = clause.lower()
        for template in self.templates:
            if template.needle not in plain:
                continue
            for match in template.pattern.finditer(clause):
                groups = match.groupdict()
                begin, core = match.start(), match.start()
                names = {slot: groups.get(slot) or "" for slot in ("x", "y")}
                if template.lead:
                    words = names[template.lead]
                    core += len(words)
                    names[template.lead] = self._end_of(words)
                    begin = core - len(names[template.lead])
                if any(core < end and start < match.end() for start, end in taken):
                    continue
                if any(
                    words.lower().split()[:1] and words.lower().split()[0] in self._no_name for words in names.values()
                ):
                    continue
                claim = self._evaluate(
                    template.kind, names["x"], names["y"], match, _trimmed(clause[begin : match.end()])
                )
                if claim is None:
                    continue
                taken.append((core, match.end()))
                yield claim
                if template.kind in ("boiling_point", "melting_point"):
                    yield from self._also(template.kind, clause, match.end())
                    break

    def _also(self, kind: str, clause: str, place: int) -> Iterator[Claim]:
        """ "... boils at 56 °C and water at 100 °C"."""
        while (match := _ALSO_AT.match(clause, place)) is not None:
            claim = self._number(
                kind,
                self._who(match["x"]),
                match["x"],
                match,
                f"{match['x'].strip()} at {match['number']} {match['unit'] or ''}".strip(),
            )
            if claim is not None:
                yield claim
            place = match.end()

    def _end_of(self, words: str) -> str:
        """The end of a piece of text that is a name; its last word or two if none is known."""
        parts = list(re.finditer(r"\S+", words))
        for count in range(min(6, len(parts)), 0, -1):
            piece = words[parts[-count].start() :]
            if self._exact(piece) and piece.split()[0].lower() not in self._lead:
                return piece
        return words[parts[-min(2, len(parts))].start() :] if parts else words

    # ---- names ---------------------------------------------------------------------------------------------------

    def _exact(self, words: str) -> str:
        """Id of the substance a name means, those of the mixture first; "" if it is not known."""
        plain = normalise(words)
        if plain not in self._known:
            self._known[plain] = self._look_up(plain) if plain else ""
        return self._known[plain]

    def _look_up(self, plain: str) -> str:
        name = self.table.name(plain, "substance")
        mine = {c.substance for c in self.components}
        if name is not None and name.id in mine:
            return name.id
        held = [ident for ident in sorted(mine) if self._is_called(ident, plain)]
        if len(held) == 1:
            return held[0]
        return name.id if name is not None else ""

    def _is_called(self, ident: str, plain: str) -> bool:
        substance = self.table.substance(ident) if self.table.has(ident) else None
        names = [substance.name, *substance.also] if substance is not None else [ident.replace("-", " ")]
        return any(set(plain.split()) <= set(normalise(name).split()) for name in names)

    def _who(self, words: str) -> str:
        """Id of the substance named by words around which small words may stand; "" if none."""
        parts = words.strip().strip("()").split()
        if [part.lower() for part in parts] == ["it"]:
            return self._last
        while parts:
            for count in range(min(6, len(parts)), 0, -1):
                found = self._exact(" ".join(parts[:count]))
                if found:
                    self._last = found
                    return found
            if parts[0].lower() not in self._lead:
                return ""
            parts = parts[1:]
        return ""

    def _substance(self, ident: str) -> Substance | None:
        return self.table.substance(ident) if ident and self.table.has(ident) else None

    # ---- checking ------------------------------------------------------------------------------------------------

    def _evaluate(self, kind: str, x: str, y: str, match: re.Match[str] | None, text: str) -> Claim | None:
        denied = kind.startswith("not-")
        bare = kind.removeprefix("not-")
        if kind in NUMBER_KINDS:
            return self._number(kind, self._who(x), x, match, text)
        if kind in _GAPS:
            return self._gap(kind, x, y, match, text)
        if kind in ("miscible", "immiscible") and not x:
            liquids = [self._substance(c.substance) for c in self.components if c.form == "liquid"]
            if len(liquids) == 2 and liquids[0] is not None and liquids[1] is not None:
                return self._mixes(kind, liquids[0], liquids[1], text)
            return None
        first = self._who(x)
        one = self._substance(first)
        if one is None:
            return (
                Claim(text, kind, "not known", f"{x.strip()!r} is not known here")
                if len(x.split()) < 4 and x.strip()
                else None
            )
        if bare in _FLAGS:
            return self._flag(kind, bare, denied, one, text)
        if kind in ("upper", "lower"):
            return self._layer(kind, one, text)
        if kind in ("comes-over-first", "comes-over-last"):
            return self._order(kind, one, text)
        other = y or (self.bench.limits.water if bare == "dissolves" else "")
        two = self._substance(self._who(other)) if y else self._substance(other)
        if two is None:
            return Claim(text, kind, "not known", f"{y.strip()!r} is not known here")
        if bare == "dissolves":
            return self._dissolves(kind, denied, one, two, text)
        if kind in ("miscible", "immiscible"):
            return self._mixes(kind, one, two, text)
        if kind in ("boils-first", "boils-later"):
            return self._compared(kind, one, two, text)
        return self._denser(kind, one, two, text)

    def _claimed(self, match: re.Match[str] | None, kind: str) -> float | None:
        """The claimed number in SI units; a bare number has the usual unit."""
        if match is None:
            return None
        number = match["number"].replace(",", ".").replace("−", "-")
        unit = (match["unit"] or "").replace(" ", "").replace("^", "").replace("³", "3")
        usual = {"density": "g/cm3"}.get(kind, "°C")
        unit = {"gcm-3": "g/cm3", "g/ml": "g/mL"}.get(unit, unit)
        if unit.lower().startswith(("deg", "cels", "c", "º", "℃", "°c")) or unit == "°":
            unit = "°C"
        dimension = "temperature difference" if kind in _GAPS else NUMBER_KINDS[kind]
        try:
            return parse_number(f"{number} {unit.replace('°K', 'K') or usual}", dimension)
        except QuantityError:
            return None

    def _number(self, kind: str, ident: str, said: str, match: re.Match[str] | None, text: str) -> Claim | None:
        substance = self._substance(ident)
        claimed = self._claimed(match, kind)
        if claimed is None:
            return None
        if substance is None:
            return Claim(text, kind, "not known", f"{said.strip()!r} is not known here") if said.strip() else None
        label = kind.replace("_", " ")
        allowed = self.rules.tolerances[kind]
        shown = show(allowed, "density") if kind == "density" else show(allowed, "temperature difference")
        known = list(self._values(kind, substance))
        if not known:
            return Claim(text, kind, "not known", f"the {label} of {substance.name} is not known here")
        for low, high, found, source in known:
            if low - allowed - 1e-6 <= claimed <= high + allowed + 1e-6:
                return Claim(text, kind, "true", f"{label} of {substance.name}: {found}", source, shown)
        found, source = known[0][2], known[0][3]
        return Claim(text, kind, "false", f"{label} of {substance.name}: {found}", source, shown)

    def _values(self, kind: str, substance: Substance) -> Iterator[tuple[float, float, str, str]]:
        """What is known of a property: (low, high, shown, source); a boiling point here and at the normal pressure."""
        if kind == "boiling_point" and abs(self.bench.pressure - STANDARD_PRESSURE) > 1.0:
            local = self.bench.known.boiling_point(substance)
            if local is not None:
                at = show(self.bench.pressure, "pressure")
                yield local[0], local[0], f"{show(local[0], 'temperature')} at {at}", local[1].source
        value = substance.values.get(kind)
        if value is None and kind == "boiling_point":
            value = substance.values.get("condensation_point")
        if value is not None and value.number is not None:
            yield value.number, value.high if value.high is not None else value.number, value.text, value.source

    def _gap(self, kind: str, x: str, y: str, match: re.Match[str] | None, text: str) -> Claim | None:
        claimed = self._claimed(match, kind)
        if claimed is None:
            return None
        found = (
            [self._substance(self._who(words)) for words in (x, y)]
            if x and y
            else [
                self._substance(c.substance)
                for c in self.components
                if c.form in ("liquid", "gas", "emulsified", "dissolved")
            ]
        )
        pair = [one for one in found if one is not None]
        points = [(one, point) for one in pair if (point := self.bench.known.boiling_point(one)) is not None]
        if len(points) != 2 or len(pair) != 2:
            return Claim(text, kind, "not known", "the two boiling points are not both known here")
        (one, (a, first)), (two, (b, second)) = points
        gap = abs(a - b)
        words = f"{one.name} {show(a, 'temperature')}, {two.name} {show(b, 'temperature')}: {gap:.0f} K apart"
        source = (
            joined(dict.fromkeys(e.source for e in (first, second) if e.source))
            if first.source != second.source
            else first.source
        )
        allowed = self.rules.tolerances["gap"]
        if abs(gap - claimed) <= allowed:
            return Claim(
                text,
                kind,
                "not known",
                f"{words}, too near the limit to say",
                source,
                show(allowed, "temperature difference"),
            )
        return Claim(text, kind, _verdict((gap < claimed) == (kind == "gap-less")), words, source)

    def _flag(self, kind: str, slot: str, denied: bool, one: Substance, text: str) -> Claim:
        slots, evidence = self.bench.known.pure(one.id)
        value = str(slots.get(slot, UNKNOWN))
        hazards = one.values.get("hazards")
        source = (
            evidence[slot].source
            if slot in evidence
            else hazards.source
            if hazards is not None and slot not in ("magnetic", "sublimes")
            else ""
        )
        label = {"magnetic": "magnetic", "sublimes": "known to sublime on the bench"}.get(
            slot, f"{slot} by its hazard statements"
        )
        if value == UNKNOWN:
            return Claim(text, kind, "not known", f"whether {one.name} is {label} is not known here")
        if value == "weakly":
            return Claim(
                text,
                kind,
                "not known",
                f"{one.name} is only weakly magnetic: a bar magnet does not pick it up, a strong electromagnet does",
                source,
            )
        yes = value in ("yes", "strongly")
        return Claim(text, kind, _verdict(yes != denied), f"{one.name} is {'' if yes else 'not '}{label}", source)

    def _component_facts(self) -> list[Fact]:
        if self._facts is None:
            look = self.composer.planner.look(self.composer.planner.start())
            self._facts = look.facts["component"]
        return self._facts

    def _layer(self, kind: str, one: Substance, text: str) -> Claim:
        mine = {
            fact.slots["substance"]: fact.slots.get("layer")
            for fact in self._component_facts()
            if fact.slots["form"] == "liquid"
        }
        if one.id not in mine:
            return Claim(text, kind, "not known", f"{one.name} is not one of the liquids of this mixture")
        layers = sorted({layer for layer in mine.values() if isinstance(layer, float)})
        if any(not isinstance(layer, float) for layer in mine.values()):
            return Claim(text, kind, "not known", "how these liquids lie is not known here")
        if len(layers) < 2:
            return Claim(text, kind, "false", "these liquids mix: there is one layer")
        wanted = layers[-1] if kind == "upper" else layers[0]
        densities = [self._density_text(str(ident)) for ident in mine]
        sources = dict.fromkeys(source for _, source in densities if source)
        return Claim(
            text, kind, _verdict(mine[one.id] == wanted), joined(words for words, _ in densities), joined(sources)
        )

    def _density_text(self, ident: str) -> tuple[str, str]:
        substance = self.table.substance(ident)
        value = substance.values.get("density")
        if value is None:
            return f"density of {substance.name} not known", ""
        return f"density of {substance.name} {value.text}", value.source

    def _denser(self, kind: str, one: Substance, two: Substance, text: str) -> Claim:
        a, b = one.values.get("density"), two.values.get("density")
        if a is None or b is None or a.number is None or b.number is None:
            lacking = joined(s.name for s, v in ((one, a), (two, b)) if v is None or v.number is None)
            return Claim(text, kind, "not known", f"the density of {lacking} is not known here")
        words = f"density of {one.name} {a.text}, of {two.name} {b.text}"
        source = joined(dict.fromkeys((a.source, b.source)))
        if a.number <= (b.high or b.number) and b.number <= (a.high or a.number):
            return Claim(text, kind, "not known", f"{words}: too near to say", source)
        return Claim(text, kind, _verdict((a.number > b.number) == (kind == "denser")), words, source)

    def _dissolves(self, kind: str, denied: bool, one: Substance, two: Substance, text: str) -> Claim:
        yes = self.bench.known.dissolves(one, two)
        word, _, evidence = self.bench.known.grade(one, two)
        if yes is None:
            return Claim(text, kind, "not known", f"whether {one.name} dissolves in {two.name} is not known here")
        words = f"{one.name} in {two.name}: {word}"
        if evidence is not None and evidence.text != word:
            words += f" ({evidence.text})"
        return Claim(text, kind, _verdict(yes != denied), words, _source(evidence))

    def _mixes(self, kind: str, one: Substance, two: Substance, text: str) -> Claim:
        word, evidence = self.bench.known.mixes(one, two)
        if word == UNKNOWN:
            return Claim(text, kind, "not known", f"whether {one.name} and {two.name} mix is not known here")
        words = {"fully": "mix completely", "partly": "mix only partly and form two layers", "no": "do not mix"}[word]
        return Claim(
            text,
            kind,
            _verdict((word == "fully") == (kind == "miscible")),
            f"{one.name} and {two.name} {words}",
            _source(evidence),
        )

    def _compared(self, kind: str, one: Substance, two: Substance, text: str) -> Claim:
        a, b = self.bench.known.boiling_point(one), self.bench.known.boiling_point(two)
        if a is None or b is None:
            lacking = joined(s.name for s, p in ((one, a), (two, b)) if p is None)
            return Claim(text, kind, "not known", f"the boiling point of {lacking} is not known here")
        words = f"{one.name} boils at {show(a[0], 'temperature')}, {two.name} at {show(b[0], 'temperature')}"
        source = joined(dict.fromkeys(e.source for _, e in (a, b) if e.source))
        if abs(a[0] - b[0]) <= self.rules.tolerances["gap"]:
            return Claim(text, kind, "not known", f"{words}: too near to say", source)
        return Claim(text, kind, _verdict((a[0] < b[0]) == (kind == "boils-first")), words, source)

    def _order(self, kind: str, one: Substance, text: str) -> Claim:
        liquids = [s for c in self.components if c.form == "liquid" and (s := self._substance(c.substance)) is not None]
        points = {s.id: p for s in liquids if (p := self.bench.known.boiling_point(s)) is not None}
        if one.id not in points or len(points) < len(liquids) or len(points) < 2:
            return Claim(text, kind, "not known", "the boiling points of the liquids are not all known here")
        wanted = (min if kind == "comes-over-first" else max)(points, key=lambda ident: points[ident][0])
        words = joined(
            f"{self.table.substance(ident).name} {show(points[ident][0], 'temperature')}" for ident in points
        )
        source = joined(dict.fromkeys(e.source for _, e in points.values() if e.source))
        return Claim(text, kind, _verdict(wanted == one.id), f"boiling points: {words}", source)

    # ---- chromatography ------------------------------------------------------------------------------------------

    def _retention(self, text: str, front: float | None, spots: Sequence[float]) -> Iterator[Claim]:
        """An Rf with its distances: in the same text, in columns of the row, or in the question."""
        question = self.composer.question
        for match in _RF.finditer(text):
            claimed = float(match["value"].replace(",", "."))
            distances = [
                (float(m["spot"]) * _SCALE[(m["a"] or m["b"]).lower()], float(m["front"]) * _SCALE[m["b"].lower()])
                for m in _DISTANCES.finditer(text)
            ]
            ends = front if front is not None else question.front
            if not distances and ends:
                distances = [(spot, ends) for spot in (spots or question.spots)]
            pairs = [(spot, end) for spot, end in distances if end > 0]
            written = match[0].strip()
            if not pairs:
                yield Claim(
                    written, "rf", "not known", "the distances of the spot and of the solvent front are not given"
                )
                continue
            allowed = self.rules.tolerances["retention"]
            near = min(pairs, key=lambda pair: abs(pair[0] / pair[1] - claimed))
            value = near[0] / near[1]
            words = f"{show(near[0], 'length')} / {show(near[1], 'length')} = {value:.2f}"
            if near[0] > near[1]:
                yield Claim(
                    written, "rf", "false", f"{words}: a spot cannot be farther from the start than the solvent front"
                )
                continue
            yield Claim(
                written, "rf", _verdict(abs(value - claimed) <= allowed + 1e-9), words, "given", f"{allowed:.2f}"
            )


_SCALE: Mapping[str, float] = {"mm": 1e-3, "cm": 1e-2}


def _trimmed(text: str) -> str:
    """A claim's words without what does not belong to them."""
    text = text.strip(" ,")
    return text + ")" if text.count("(") > text.count(")") else text


def _verdict(yes: bool) -> str:
    return "true" if yes else "false"


def _source(evidence: Evidence | None) -> str:
    return evidence.source if evidence is not None else ""
