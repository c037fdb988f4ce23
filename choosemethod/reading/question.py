"""From a text to a Question: the stages of reading in their order, and what each component is in the end."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from choosemethod.errors import UsageError
from choosemethod.mixture import (
    HIGHEST_PRESSURE,
    LOWEST_PRESSURE,
    STANDARD_PRESSURE,
    Component,
    Mixture,
    Question,
    Scale,
    Setting,
    Techniques,
    Unused,
)  # fmt: skip
from choosemethod.mixture import OfferedOption as Option
from choosemethod.quantity import Quantity, parse_number, show
from choosemethod.reading.amounts import Whole, pressure_at, read_whole
from choosemethod.reading.coined import Coined, coined
from choosemethod.reading.conservation import conserved, left_over
from choosemethod.reading.entries import assemble, elements
from choosemethod.reading.forms import Built, Entry, build
from choosemethod.reading.given import substances_of
from choosemethod.reading.ions import ions_in_words, without_products
from choosemethod.reading.kindred import told_apart
from choosemethod.reading.lattice import Piece, bare, lattice
from choosemethod.reading.lexicon import Lexicon, lexicon, without_implied
from choosemethod.reading.limits import Limits, read_limits
from choosemethod.reading.options import Label, find_options, grouped, made_of
from choosemethod.reading.precipitates import precipitated
from choosemethod.reading.properties import Told, read_properties
from choosemethod.reading.roles import REACTED, Part, Roles, read_roles
from choosemethod.reading.spelling import mend, suggestions
from choosemethod.reading.tokens import tokenise
from choosemethod.reading.utterance import PARTS, Utterance
from choosemethod.reading.wish import Wisher, asked_parts
from choosemethod.table import Table, normalise

__all__ = ["MOST_LETTERS", "MOST_WORDS", "prepared", "question_of", "read_limit", "read_words", "utterance_of"]

MOST_WORDS = 2000  # of a question; more is no question about a mixture, and would take long to read
MOST_LETTERS = 20_000
_SPACED_NUMERAL = re.compile(r"(?<=[a-z]) +\((?=[IV]{1,3}\))")  # "lead (II) nitrate" is written lead(II) nitrate
_BRACKETED = re.compile(r"(\w+|\))(\s+(?:and|or|,)\s+|\s*)\(([A-Z])\)")
_ROUNDS = 6  # readings of one question, each with one more spelling mended
_LITTLE = (5e-6, 1e-4)  # m3, kg: amounts up to these are "only a little"


# Reading.


def _pieces(text: str, table: Table, words: Lexicon) -> tuple[Piece, ...]:
    return lattice(text, tokenise(text, table.formula, _labels(text, words)), table, words)


def _labels(text: str, words: Lexicon) -> tuple[Label, ...]:
    """Where the answers offered begin."""

    def names_technique(part: str) -> bool:
        return "technique" in words.cues(bare(normalise(part)))

    def offers(stem: str, known: bool) -> bool:
        """Whether a stem says that it offers a choice, and of what a technique does or what is a mixture; of known
        techniques, whether it asks which."""
        said = normalise(stem).split()
        runs = [words.cues(" ".join(said[at : at + size])) for at in range(len(said)) for size in (1, 2, 3)]
        choice, which = any("offered" in cues for cues in runs), any("which" in cues for cues in runs)
        if (known and which) or (choice and which):
            return True
        return choice and (known or any("technique" in cues or "whole" in cues for cues in runs))

    def tried(stem: str) -> bool:
        return any("tried" in words.cues(word) for word in normalise(stem).split())

    def asks(part: str) -> bool:
        first = normalise(part).split()[:1]
        return bool(first) and any(kind in words.cues(first[0]) for kind in ("instruct", "which"))

    said = normalise(text).split()
    runs = (" ".join(said[at : at + size]) for at in range(len(said)) for size in (1, 2))
    matching = any("matching" in words.cues(run) for run in runs)
    return find_options(text, names_technique, offers, tried, asks, matching)


def _lettered(text: str, words: Lexicon) -> str:
    """The text with the letters of substances out of their brackets: "two liquids (A) and (B)" is two liquids A and B."""
    if "(" not in text or _labels(text, words):
        return text

    def plain(found: re.Match[str]) -> str:
        noun = "noun" in words.cues(bare(normalise(found[1])))
        joined = found[2].strip() and found[1] in freed
        if not noun and not joined:
            return found[0]
        freed.add(found[3])
        return f"{found[1]}{found[2] or ' '}{found[3]}"

    freed: set[str] = set()
    for _ in range(_ROUNDS):
        before, text = text, _BRACKETED.sub(plain, text)
        if text == before:
            break
    return text


def _joined(numeral: re.Match[str], table: Table) -> str:
    """The bracket of a metal's number joined to it, but not a symbol that stands beside its element: "iodine (I)"."""
    name = table.name(normalise(numeral.string[: numeral.start()].split()[-1]))
    formula = table.substance(name.id).formula if name is not None and name.kind == "substance" else ""
    symbol = formula.rstrip("0123456789")
    return numeral[0] if symbol and numeral.string.startswith(f"{symbol})", numeral.end()) else "("


def prepared(text: str, table: Table, words: Lexicon) -> tuple[str, tuple[Piece, ...], list[tuple[str, str]]]:
    """The text with what could be mended, its pieces, and (written, read as) of each mend."""
    text = _lettered(_SPACED_NUMERAL.sub(lambda found: _joined(found, table), ions_in_words(text, table)), words)
    pieces = _pieces(text, table, words)
    mends: list[tuple[str, str]] = []
    for _ in range(_ROUNDS):
        listed = next(
            (piece for piece in pieces if piece.has("misspelt") and piece.cues["misspelt"] != piece.text.lower()), None
        )  # "leafs", not "leaves", which only looks alike once both are singular
        if listed is not None:
            right = listed.cues["misspelt"]
            found: tuple[str, tuple[str, str]] | None = (
                text[: listed.start] + right + text[listed.end :],
                (listed.text, right),
            )
        elif any(piece.kind == "unknown" for piece in pieces):
            found = mend(text, pieces, table, words)
        else:
            break
        if found is None:
            break
        text = found[0]
        mends.append(found[1])
        pieces = _pieces(text, table, words)
    return text, pieces, mends


def _techniques(
    whole: str, pieces: Sequence[Piece], used: Mapping[int, tuple[str, str]], limits: Limits, roles: Roles
) -> Techniques:
    """Techniques the question names, by what is said of them."""
    required: list[str] = []
    tried: list[str] = []
    asked: list[str] = []
    offered: list[Option] = []
    def aims(place: int) -> bool:  # "run electrophoresis to separate ..."
        to, verb = (pieces[other] if other < len(pieces) else None for other in (place + 1, place + 2))
        aim = verb is not None and verb.cues.get("verb") in ("separate", "purify", "remove")
        return aim and to is not None and to.has("to")

    in_options = {place for places in roles.options.values() for place in places}
    sure = 0  # answers that are mostly the names of techniques; if they are most, the others are techniques too
    for letter, places in roles.options.items():
        inner = [pieces[place] for place in places]
        while inner and inner[-1].has("join"):
            inner.pop()  # "sieving or", the last but one of a list
        words = " ".join([p.norm for p in inner if p.kind != "mark"]).split()
        named = [p for p in inner if "technique" in p.cues]
        told = sum(len(p.norm.split()) for p in named)
        ordinary = sum(len(p.norm.split()) for p in inner if p.has("light", "join", "by", "after", "use", "of", "with"))
        sure += len(named) > 1 or (told > 0 and 2 * told >= len(words) - ordinary)
        slugs = tuple(dict.fromkeys(p.cues["technique"].split()[0] for p in named))
        offered.append(Option(letter, whole[inner[0].start : inner[-1].end].strip(" .,;?/") if inner else "", slugs))
    if 2 * sure < sum(bool(one.techniques) for one in offered):
        offered = [one._replace(techniques=()) for one in offered]
    begins = grouped([one.letter for one in offered]) if any(p.has("matching") for p in pieces) else []
    paired, codes = offered[:0], offered[:0]
    if len(begins) > 1:
        lists = [offered[begin:end] for begin, end in itertools.pairwise([*begins, len(offered)])]
        named_in = [sum(bool(one.techniques) for one in many) for many in lists[:2]]
        paired, offered = lists[:2] if named_in[1] >= named_in[0] else lists[1::-1]
        codes = [*lists[2:], []][0]
    else:
        offered = _whole(offered)
    for place, piece in enumerate(pieces):
        if "technique" not in piece.cues or place in in_options or used.get(place, ("",))[0] in ("limit", "property"):
            continue
        slug = piece.cues["technique"].split()[0]
        before = pieces[max(0, place - 4) : place]
        if any(one.has("by") or one.cues.get("verb") == "use" for one in before[-3:]) or aims(place):
            required.append(slug)
        elif any(one.has("tried") for one in before):
            tried.append(slug)
        else:
            asked.append(slug)
    unique = [tuple(dict.fromkeys(slugs)) for slugs in (limits.excluded, required, tried, asked)]
    lists_of = (tuple(paired), tuple(codes))
    return Techniques(tuple(offered), unique[0], unique[1], unique[2], unique[3], *lists_of)


def _whole(offered: list[Option]) -> list[Option]:
    """The answers offered, with what those that are made of the letters of others stand for, without these others."""
    by_letter = {one.letter: one for one in offered}
    made = {one.letter: made_of(one.text, by_letter.keys() - {one.letter}) for one in offered}
    inner = {letter for letters in made.values() for letter in letters}
    if not inner or any(made[letter] for letter in inner):
        return offered
    return [
        one._replace(
            parts=tuple(by_letter[letter][:3] for letter in made[one.letter]),
            techniques=tuple(slug for letter in made[one.letter] for slug in by_letter[letter].techniques),
        )
        for one in offered
        if one.letter not in inner
    ]  # fmt: skip


def _told_much(pieces: Sequence[Piece], place: int) -> bool:
    """Whether an amount is told, not asked for: "at concentrations of 0.1 mol/L"; or something is done: "heating and
    concentration"."""
    before, after = pieces[place - 1] if place else None, pieces[place + 1 : place + 3]
    done = before is not None and before.has("join") and not (after and after[0].has("of"))
    return done or any(one.kind == "number" for one in after)


def _asks_content(pieces: Sequence[Piece], roles: Roles, place: int) -> bool:
    """Whether "which" or "what" here asks for what is in something: "which dyes are in it", "what is in kerosene?"."""
    for other in range(place + 1, min(len(pieces), place + 7)):
        piece = pieces[other]
        if piece.mark or "technique" in piece.cues or roles.used.get(other, ("", ""))[1].startswith("a verb"):
            return False
        if piece.has("be"):
            after = pieces[other + 1 : other + 3]
            return any(one.kind == "cue" and (one.has("in") or one.norm == "there") for one in after)
    return False


def utterance_of(text: str, pieces: tuple[Piece, ...], table: Table, words: Lexicon) -> Utterance:
    """The stages after the lattice, up to the interpretation rules."""
    whole = read_whole(pieces)
    limits = read_limits(pieces, words, table)
    used = {**whole.used, **limits.used}
    told = read_properties(pieces, used, table, words)
    used.update(told.used)
    roles = read_roles(pieces, used, told.subjects, table, words)
    parts, kinds = told_apart(roles.parts, pieces, table, words)
    told = told._replace(given={**told.given, **kinds})

    def used_at(place: int) -> tuple[str, str]:
        return roles.used.get(place, ("", ""))

    def solid(piece: Piece) -> bool:
        name = piece.name
        return name is not None and table.has(name.id) and table.substance(name.id).phase == "solid"

    flags = set()
    aim, form, purpose = "separate", "", ""
    for place, piece in enumerate(pieces):
        because = roles.used.get(place, ("", ""))[1]
        verb = because.removeprefix("a verb: ") if because.startswith("a verb") else ""
        if verb == "identify" and any(one.has("labelled") for one in pieces[place + 1 : place + 4]):
            continue  # "identify the process"
        if verb == "identify" or verb == "measure":
            aim, purpose = (
                ("identify", "measure" if verb == "measure" else "identify") if aim == "separate" else (aim, purpose)
            )
        elif verb == "purify":
            flags.add("purify")
            form = form or "pure"
        elif verb == "dry":
            form = form or "dry"
        elif verb in ("separate", "want", "remove") and aim == "identify":
            aim, purpose = "separate", ""
        if piece.kind == "cue" and piece.has("which") and aim == "separate" and _asks_content(pieces, roles, place):
            aim, purpose = "identify", "identify"
        if (
            piece.kind == "cue"
            and piece.has("howmuch")
            and not _told_much(pieces, place)
            and not any("a verb: want" in b for _, b in roles.used.values())
        ):
            aim, purpose = "identify", "measure"
        if piece.kind == "cue" and piece.has("apart"):
            flags.add("apart")
        if piece.kind == "cue" and piece.has("reacted"):
            goes_on = any(one.kind == "name" and one.sentence == piece.sentence for one in pieces[place + 1 :])
            distilled = any("technique" in one.cues and one.norm.endswith("ed") for one in pieces[:place])
            if not (goes_on and piece.has("after")) and not distilled:  # "was distilled; on heating it ..."
                flags.add("reacted")
        if piece.reacts:
            after = [one for one in pieces[place + 1 :] if one.sentence == piece.sentence and one.kind != "name"]
            as_property = any(  # "reacts with dilute acid to give a solution" tells of one part, not of what happened
                used_at(other)[1] == "the liquid of a told property" and not solid(pieces[other])
                for other in range(place, min(place + 4, len(pieces)))
            )
            gone = any(part.because == REACTED for part in roles.parts)
            if any(one.has("forming") for one in after) and not as_property and not gone:
                flags.add("reacted")
        if piece.norm and words.cues(piece.norm.split()[-1]).get("state") == "alloy":
            flags.add("alloy")
        if "through" in piece.cues and any(
            one.cues.get("thing") == "filter-paper" for one in pieces[place + 1 : place + 5]
        ):
            flags.add("fine")  # goes through the filter paper
        settles = "technique" in piece.cues and piece.cues["technique"].startswith("sedimentation")
        if settles and any(one.has("negation") for one in pieces[max(0, place - 3) : place]):
            flags.add("fine")  # never settles
    for part, whole_part in itertools.pairwise(roles.parts):
        noun = words.nouns.get(words.cues(bare(part.norm)).get("noun", ""))
        shown = part.role in ("component", "wanted", "looked for") and noun is not None and bool(noun.aim)
        if shown and part.plural and whole_part.link in ("in", "of", "from") and aim == "separate":
            aim, purpose = "identify", "identify"  # "the dyes in ink"
    return Utterance(
        text,
        pieces,
        parts,
        roles.used,
        limits,
        whole,
        told,
        _techniques(text, pieces, roles.used, limits, roles),
        tuple(word for piece in pieces for word in piece.norm.split()),
        aim,
        purpose,
        form,
        frozenset(flags),
        roles.unknown,
        roles.loose,
        roles.aside,
        notes=roles.taken,
    )


# From parts to components.


class _Assembler:
    """Puts a Question together from an utterance."""

    def __init__(
        self, said: Utterance, table: Table, words: Lexicon, want: Sequence[str], asked: str, made: Coined | None = None
    ) -> None:
        self.said = said
        self.base = table
        self.given = {id: dict(told) for id, told in {**(made.given if made else {}), **said.told.given}.items()}
        self.table = table.with_given(substances_of(self.given)) if self.given else table
        self.words = words
        self.want = tuple(want)
        self.asked = asked
        self.amounts: dict[str, Quantity] = {}
        self.entries: list[Entry] = []
        self.notes: list[str] = [*(made.notes if made else ()), *said.notes]
        self.reacted = ""  # what two solutions poured together have given
        self.share_by = ""
        self.set_aside: list[str] = []
        self.one = self.into = False
        self.strange: list[str] = []

    def phase(self, id: str) -> str:
        return self.table.substance(id).phase if self.table.has(id) else ""

    def question(self, without: Sequence[str], pressure: float | None, level: str) -> Question:
        if not self.entries:
            there = assemble(self.said, self.base, self.table, self.words)
            self.entries, self.amounts, self.share_by = there.entries, there.amounts, there.share_by
            self.one, self.into, self.strange = there.one, there.into, there.strange
        built = build(self.entries, self.table, self.words)
        self.extras(built)
        if len(self.entries) > 1:
            made = precipitated(built.components, self.table, self.words)
            if made is not None:
                built.components, note = made
                built.named.clear()
                self.reacted = note
        mixture = self.mixture(built)
        wisher = Wisher(self.said, self.want, self.table, self.words, self.entries)
        wish = wisher.wish(mixture)
        vain = [text for text in self.want if not asked_parts(text, self.table, self.words)]
        self.notes += [f"not understood and set aside: the wish “{text}”" for text in vain]
        setting, unknown_limits = self.setting(without, pressure, level)
        held = {*mixture.substances, *wish.want, *wish.remove}
        unused, mentions = conserved(self.said, mixture)
        question = Question(
            mixture=mixture,
            wish=wish,
            setting=setting,
            given=self.given,
            unknown=(*self.unknown(mixture), *unknown_limits),
            missing=tuple(dict.fromkeys((*built.missing, *self.missing()))),
            tried=(*self.said.techniques.required, *self.said.techniques.tried, *self.said.techniques.asked_about),
            amounts=self.amounts,
            front=self.said.whole.front,
            spots=self.said.whole.spots,
            asked=self.asked,
            stem=self.stem(),
            mentions=mentions,
            techniques=self.said.techniques,
            scale=Scale("drop" if setting.small else "works" if self.said.whole.works else ""),
            reagents=tuple(
                dict.fromkeys(p.name.id for p in self.said.parts if p.role == "reagent" and p.name is not None)
            ),
            not_used=unused,
            inferred=self.said.inferred,
            left=left_over(self.said, unused, lambda part: self.there(part, mixture, held)),
        )
        return replace(question, understood=tuple(self.understood(question, built)))

    def stem(self) -> str:
        """What is asked, without the answers offered."""
        offered = [p for place, p in enumerate(self.said.pieces) if self.said.used.get(place, ("",))[0] == "option"]
        text = self.said.text
        for piece in reversed(offered):
            text = f"{text[: piece.start]} {text[piece.end :]}"
        return text

    def extras(self, built: Built) -> None:
        for extra in self.said.extras:
            for place, component in enumerate(built.components):
                if component.substance == extra.substance and extra.role == "main" and not component.role:
                    built.components[place] = replace(component, role="main")
            if extra.role != "main" and all(one.substance != extra.substance for one in built.components):
                held = any(one.substance == extra.host and one.form == "liquid" for one in built.components)
                form = extra.form or ("dissolved" if held else self.phase(extra.substance))
                host = extra.host if form == "dissolved" or extra.form else ""
                built.components.append(Component(extra.substance, form, host, role=extra.role))

    def mixture(self, built: Built) -> Mixture:
        components = tuple(self.shares(built.components))
        substances = {component.substance for component in components}
        wholes = (mixture for mixture in built.named if mixture.really and substances <= set(mixture.made_of))
        named = next(wholes, built.named[0] if built.named else None)
        really, note = "", self.reacted
        alone = named is not None and len(built.named) == 1 and len({entry.id for entry in self.entries}) == 1
        if named is not None:
            really, note = (named.really, named.note) if alone or substances <= set(named.made_of) else ("", named.note)
        flags = self.said.flags
        same = next(iter(self.table.made_of(substances)), None) if len(substances) > 1 else None
        if not really and same is not None and same.really in ("isotopes", "one substance"):
            really, note = same.really, same.note
        if "reacted" in flags and len(substances) > 1 and same is not None and same.really == "compound":
            parts = tuple(
                Component(p.substance, p.form, p.host, share=p.share, size=p.size, role=p.role) for p in same.components
            )
            return Mixture(parts, same.name, same.id, same.really, same.note, same.by)
        if "reacted" in flags and len(substances) > 1 and not really:
            really = "compound"
            note = "The components were heated until they reacted, so a compound is there now and not the mixture."
        if "alloy" in flags and len(components) > 1 and not really:
            really = "alloy"
            components = tuple(replace(component, form="alloyed", host="") for component in components)
        if "apart" in flags and len(substances) > 1 and not really:
            really = "apart"
        names = {entry.words for entry in self.entries if entry.words}
        if len(substances) == 1 and not really and (self.one or len(names) > 1 or len(components) > 1):
            really = "one substance"
        if len(substances) == 1 and not really and self.into:
            really = self.split(next(iter(substances)))
        name = named.name if named is not None else ""
        by = self.share_by or (named.by if named is not None else "")
        if not really and substances:
            really = "isotopes" if self.isotope_wanted() else self.by_class(substances)
        if not really and len(substances) > 1:
            really, note = self.same_formula(components, note)
        return Mixture(
            components, name, named.id if named is not None else "", really, note, by, self.as_one_thing(built)
        )

    def as_one_thing(self, built: Built) -> tuple[frozenset[str], ...]:
        """Parts of each product of the language's list that is named beside something it does not hold."""
        found: list[frozenset[str]] = []
        plain = self.words.plain
        for named in built.named:
            parts = frozenset(part.substance for part in named.components)
            others = {entry.id for entry in self.entries if entry.id != named.id}
            kept = named.id in plain.get("as_one", ())
            if named.id in plain.get("brines", ()):  # oil on the sea: nobody asks for the salt
                kept = any(self.phase(id) == "liquid" for id in others)
            if kept and others and not others & parts:
                found.append(parts)
        return tuple(found)

    def isotope_wanted(self) -> bool:
        """Whether an isotope is to be got out of something ("heavy water from tap water")."""
        marks = {word for word, why in self.words.really.items() if why == "isotopes"}
        for part in self.said.parts:
            name = part.name if part.role == "wanted" else None
            if name is not None and name.kind == "mixture" and self.table.mixture(name.id).really == "isotopes":
                return True
            if name is not None and name.kind == "substance" and marks & set(self.table.substance(name.id).classes):
                return True
        return False

    def same_formula(self, components: Sequence[Component], note: str) -> tuple[str, str]:
        """ "one substance" and a note, if all components are one inorganic solid under several names (calcite, chalk)."""
        found = [self.table.substance(component.substance) for component in components]
        formula = found[0].formula
        solid = all(component.form == "solid" for component in components)
        if solid and formula and all(one.formula == formula and "organic" not in one.classes for one in found):
            return "one substance", f"{' and '.join(sorted(one.name for one in found))} are both {formula}."
        return "", note

    def by_class(self, substances: set[str]) -> str:
        """Why it is no mixture for a separation, if all components share a class that says so (isotopes), or the
        element itself stands beside one of them ("chlorine-35 from chlorine")."""
        for word, really in self.words.really.items():
            marked = {id for id in substances if word in self.table.substance(id).classes}
            whole = {id.rpartition("-")[0] for id in marked if id.rpartition("-")[2].isdigit()}
            symbols = {self.table.substance(id).formula for id in whole if self.table.has(id)}
            whole |= {id for id in substances if self.table.substance(id).formula in symbols}
            if marked and substances <= marked | whole:
                return really
        return ""

    def split(self, id: str) -> str:
        """Why a substance that is to be taken apart is no mixture: a compound or an element."""
        found = elements(self.table.substance(id).formula)
        return "compound" if len(found) > 1 else "element" if found else "one substance"

    def shares(self, components: list[Component]) -> list[Component]:
        ratio = self.said.whole.ratio
        real = [place for place, component in enumerate(components) if component.role != "impurity"]
        if ratio and len(ratio) == len(real) and sum(ratio) > 0:
            for place, part in zip(real, ratio, strict=True):
                components[place] = replace(components[place], share=part / sum(ratio))
        elif len(components) == 2:
            first, second = components
            if first.share is not None and second.share is None:
                components[1] = replace(second, share=1 - first.share)
            elif second.share is not None and first.share is None:
                components[0] = replace(first, share=1 - second.share)
            elif first.share is None and second.share is None and self.at_azeotrope():
                row = self.table.pair("azeotropes", first.substance, second.substance) or {}
                if row.get("first_mass"):
                    mass = parse_number(row["first_mass"], "fraction")
                    mass = 1 - mass if row.get("swapped") == "yes" else mass
                    components[:] = [replace(first, share=mass), replace(second, share=1 - mass)]
                    self.share_by = "mass"
                    self.notes.append("the two are there in the proportion of their azeotrope, as the question says")
        return components

    def at_azeotrope(self) -> bool:
        """Whether the mixture is called azeotropic ("the azeotrope of ethanol and water"), not only said to form one."""
        pieces = self.said.pieces
        return any(
            one.has("azeotropic") and (after.has("whole", "of", "with", "solution") or after.cues.get("verb") == "add")
            for one, after in itertools.pairwise(pieces)
        )

    def setting(
        self, without: Sequence[str], pressure: float | None, level: str
    ) -> tuple[Setting, list[tuple[str, tuple[str, ...]]]]:
        whole = self.said.whole
        keys = list(self.said.limits.keys)
        unknown: list[tuple[str, tuple[str, ...]]] = []
        altitude, small, own = whole.altitude, whole.small, whole.level
        for text in without:
            found, told, understood = read_limit(text, self.base, self.words)
            keys += found
            pressure = told.pressure if pressure is None else pressure
            altitude = told.altitude if altitude is None else altitude
            small, own = small or told.small, own or told.level
            if understood and not found and not told.used:
                self.set_aside.append(text)
            if not understood:
                near = [key for key in self.words.without if any(word in key for word in normalise(text).split())]
                unknown.append((text, tuple(near[:3])))
        if pressure is None:
            pressure = whole.pressure
            if pressure is None and altitude is not None:
                try:
                    pressure = pressure_at(altitude)
                except ValueError as error:
                    raise UsageError(f"the altitude in the question: {error}") from None
            if pressure is not None and not LOWEST_PRESSURE <= pressure <= HIGHEST_PRESSURE:
                raise UsageError("the pressure in the question must lie between 0.1 kPa and 10 MPa, for example 84 kPa")
        amounts = [(entry.volume, entry.mass) for entry in self.entries]
        measured = [
            value <= limit for pair in amounts for value, limit in zip(pair, _LITTLE, strict=True) if value is not None
        ]
        small = small or (bool(measured) and all(measured))
        pascal = STANDARD_PRESSURE if pressure is None else pressure
        return Setting(pascal, without_implied(dict.fromkeys(keys)), level or own, small), unknown

    def unknown(self, mixture: Mixture) -> list[tuple[str, tuple[str, ...]]]:
        told = self.entries and mixture.really != "isotopes"  # which isotope is wanted is told by why it cannot be
        texts = [*self.said.unknown, *(self.strange if told else ())] + (
            [] if mixture.components else list(self.said.loose)
        )
        return [(text, suggestions(text, self.base)) for text in dict.fromkeys(texts) if text]

    def missing(self) -> list[str]:
        found: list[str] = []
        for id, told in self.given.items():
            if "like" in told or all(entry.id != id for entry in self.entries):
                continue
            name = told["name"]
            known = [key for key in told if key not in ("name", "phase", "colour")]
            if "phase" not in told:
                found.append(f"whether {name} is a solid, a liquid or a gas")
            if not known and all(entry.role != "impurity" for entry in self.entries if entry.id == id):
                phase = told.get("phase", "")
                if phase != "liquid":
                    found.append(f"what {name} dissolves in")
                if phase != "solid":
                    found.append(f"the boiling point of {name}")
        if len({entry.id for entry in self.entries}) < 2 and not any(entry.kind == "mixture" for entry in self.entries):
            for part in self.said.parts:  # nothing is "nothing to separate" while something named is left over
                if part.noun and not part.meanings and part.role in PARTS and not self.means_a_part(part):
                    found.append(f"which {part.text.lower()} it is")
            found += [f"what {text!r} stands for" for text in self.joined_to_nothing()]
        if "purify" in self.said.flags and len({entry.id for entry in self.entries}) == 1:
            found.append("what the impurities are")
        return found

    def joined_to_nothing(self) -> list[str]:
        """Words that stand beside the only thing there as a part of the mixture would, and name nothing ("the boys and sand",
        "a ring in flour", "sand and stuff")."""
        pieces, found = self.said.pieces, list[str]()
        for place, piece in enumerate(pieces[1:-1], 1):
            sides = [pieces[place - 1], next((p for p in pieces[place + 1 :] if not p.has("light")), pieces[-1])]
            listed = piece.has("join") and any(side.kind == "name" for side in sides)
            if not (listed or piece.has("in", "from")):
                continue
            known = ("person", "piece", *(("container", "place") if listed else ()))
            said = [p for p in sides if p.kind in ("word", "unknown") or (p.kind == "cue" and p.has(*known))]
            found += [p.text for p in said if not p.has("noun", "verb")]
            found += [p.text for p in sides if listed and p.kind == "class" and p.text not in found]
        return found

    def there(self, part: Part, mixture: Mixture, held: set[str]) -> bool:
        """Whether what a part names, or points back to, is held (in the mixture or the wish); what holds others is no part."""
        name = part.name
        if name is None:
            return not part.noun or (part.role not in ("source", "host") and self.means_a_part(part))
        if name.kind == "substance":
            return name.id in held
        whole = self.table.mixture(name.id)
        inside = {*whole.made_of, *[one.substance for one in whole.components]}
        return name.id in {mixture.named, *held} or bool(held & inside)

    def means_a_part(self, part: Part) -> bool:
        """Whether a class noun points back to what is there."""
        means = self.words.nouns[part.noun].means
        for entry in self.entries:
            one = self.table.substance(entry.id) if self.table.has(entry.id) else None
            if one is not None and (
                one.kind in means.get("kinds", ())
                or one.phase in means.get("phase", ())
                or set(one.classes) & set(means.get("classes", ()))
                or not means
            ):
                return True
        return False

    def understood(self, question: Question, built: Built) -> list[str]:
        mixture, wish, setting = question.mixture, question.wish, question.setting
        found: list[str] = []
        if mixture.name:
            found.append(f"mixture: {mixture.name}")
        if mixture.components:
            found.append("components: " + ", ".join(self.shown(component) for component in mixture.components))
        if mixture.really:
            found.append(f"really: {mixture.really}")
        if wish.aim == "identify":
            found.append("asked: what is in it")
        if wish.want:
            form = f" ({wish.form})" if wish.form else ""
            found.append("wanted: " + ", ".join(self.name(id) for id in wish.want) + form)
        elif wish.form:
            found.append(f"wanted: {wish.form}")
        if wish.purity:
            found.append(f"wanted purity: {show(wish.purity, 'fraction')}")
        if wish.remove:
            found.append("to be removed: " + ", ".join(self.name(id) for id in wish.remove))
        if setting.without:
            keys = list(self.said.limits.keys) or list(setting.without)
            found.append("without: " + ", ".join(key.replace("-", " ") for key in keys))
        if setting.pressure != STANDARD_PRESSURE:
            height = self.said.whole.altitude
            at = "" if height is None else f" (at {height:g} m)"
            found.append(f"pressure: {show(setting.pressure, 'pressure')}{at}")
        if setting.level:
            found.append(f"level: {setting.level}")
        if setting.small:
            found.append("only a small amount")
        if question.tried:
            found.append("techniques named: " + ", ".join(slug.replace("-", " ") for slug in question.tried))
        if question.front is not None:
            spots = ", ".join(show(spot, "length") for spot in question.spots)
            found.append(f"chromatogram: front {show(question.front, 'length')}, spots {spots}")
        found += [f"rules no technique out, so set aside: “{text}”" for text in self.set_aside]
        return [*found, *self.said.told.inferred, *built.notes, *self.notes]

    def name(self, id: str) -> str:
        return self.table.substance(id).name if self.table.has(id) else id.replace("-", " ")

    def shown(self, component: Component) -> str:
        host = ""
        if component.host:
            host = f" {'on' if component.form == 'solid' else 'in'} {self.name(component.host)}"
        pairs = ((component.mass, "mass"), (component.volume, "volume"), (component.share, "fraction"))
        much = [show(value, dimension) for value, dimension in pairs if value is not None]
        return f"{self.name(component.substance)} ({', '.join([component.form + host, *much])})"


def read_limit(words: str, table: Table, lexicon: Lexicon) -> tuple[list[str], Whole, bool]:
    """What a condition given beside the question says: keys, the pressure and the like, and whether it was understood.

    Bare names of things ("fume cupboard") count as missing. A condition that denies something unknown is not understood;
    one that denies nothing and names nothing that could be missing is a wish, which rules no technique out.
    """
    pieces = _pieces(words, table, lexicon)
    limits, whole = read_limits(pieces, lexicon, table), read_whole(pieces)
    keys = list(limits.keys)
    denies = any(piece.has("negation", "without", "lost", "gone") for piece in pieces)
    confines = any(piece.has("only") for piece in pieces)
    if confines:
        keys += [piece.cues["only_implies"] for piece in pieces if "only_implies" in piece.cues]
    if not keys and not confines:
        found = [piece.cues.get("thing") or piece.cues.get("limit_key") or "" for piece in pieces]
        others = [
            p
            for p, key in zip(pieces, found, strict=True)
            if not key and not p.mark and not p.has("light", "join", "at_hand")
        ]
        keys += [key for key in found if key] if not others or denies else []
    said = bool(keys or limits.excluded or whole.used)
    return list(dict.fromkeys(keys)), whole, said or not denies


def read_words(
    text: str,
    table: Table,
    want: Sequence[str] = (),
    without: Sequence[str] = (),
    pressure: float | None = None,
    level: str = "",
) -> Question:
    """Understand a question in plain words.

    want: names or words of what is wanted, which go before a wish in the text; without: words for what is
    missing on the bench ("no fume cupboard"), added to those in the text; pressure: local pressure in Pa; level:
    primary, lower-secondary, upper-secondary or undergraduate. What is not understood is in the question's `unknown`
    and `missing`; a question without components was not understood at all. Raises
    UsageError for a text of more than MOST_WORDS words or MOST_LETTERS letters, and for amounts, pressures and altitudes
    that cannot be.
    """
    if len(text) > MOST_LETTERS or len(text.split()) > MOST_WORDS:
        raise UsageError(
            f"the question has more than {MOST_WORDS} words or {MOST_LETTERS} letters; name the mixture in a sentence or two"
        )
    from choosemethod.interpretation import interpret  # which itself builds on the stages before

    words = lexicon()
    plain, products = without_products(text)

    def read(made: Coined) -> tuple[Question, list[tuple[str, str]]]:
        own = table.with_given(substances_of(made.given), made.aliases) if made.given or made.aliases else table
        current, pieces, mends = prepared(plain, own, words)
        said = interpret(utterance_of(current, pieces, own, words), own)
        return _Assembler(said, own, words, want, text, made).question(without, pressure, level), mends

    made = coined(plain, table, words)
    question, mends = read(made)
    if made.given and not _told_apart(question, table.with_given(substances_of(question.given))):
        question, mends = read(Coined(aliases=made.aliases))
    mends.sort(key=lambda mended: text.find(mended[0]) % (len(text) + 1))  # as in the text
    understood = tuple(f"{written!r} read as {read!r}" for written, read in mends) + question.understood
    aside = tuple([Unused(one, "property", "a solubility product told: the table's own are reckoned with") for one in products])
    return replace(question, corrections=tuple(mends), understood=understood, not_used=question.not_used + aside)


def _told_apart(question: Question, table: Table) -> bool:
    """Whether what was named is of more than one acid or base character: only then does a class alone decide."""
    found = {
        table.substance(c.substance).values.get("acid_base") for c in question.mixture.components if c.form != "liquid"
    }
    return len({value.words for value in found if value is not None}) > 1


def question_of(
    entries: list[Entry],
    given: dict[str, dict[str, str]],
    amounts: dict[str, Quantity],
    table: Table,
    want: Sequence[str] = (),
    without: Sequence[str] = (),
    pressure: float | None = None,
    level: str = "",
) -> Question:
    """A question from components that are already told apart, with the descriptions of those without a name.

    Other arguments as in `read_words`.
    """
    nothing = Utterance("", (), (), {}, Limits(), Whole(), Told(given))
    assembler = _Assembler(nothing, table, lexicon(), want, "")
    assembler.entries, assembler.amounts = entries, amounts
    return assembler.question(without, pressure, level)
