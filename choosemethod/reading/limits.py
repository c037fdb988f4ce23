"""What may not be used or is not there: the scope of "no", "without", "only", "is broken"; what gave no limit is told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from choosemethod.reading.lattice import Piece
from choosemethod.reading.lexicon import Lexicon
from choosemethod.table import Table

__all__ = ["Limits", "read_limits", "shown"]

_FAR = 7  # pieces a negation reaches over
_SKIPPED = ("light", "be", "person", "by", "only", "without", "negation", "with", "whole", "at_hand", "condition")
_SKIPPED_VERBS = ("use", "have", "separate", "want", "dry", "purify", "add", "remove")


class Limits(NamedTuple):
    """keys: of rules/setting/without.yaml, and ids of substances that may not be used; excluded, required: techniques by
    slug; used: piece -> (role, because); vain: stretches that sound like a limit and gave none."""

    keys: tuple[str, ...] = ()
    excluded: tuple[str, ...] = ()
    used: Mapping[int, tuple[str, str]] = {}
    vain: tuple[str, ...] = ()


class _Limiter:
    def __init__(self, pieces: Sequence[Piece], words: Lexicon, table: Table) -> None:
        self.pieces = pieces
        self.words = words
        self.table = table
        self.keys: list[str] = []
        self.excluded: list[str] = []
        self.used: dict[int, tuple[str, str]] = {}
        self.vain: list[str] = []

    def use(self, places: Sequence[int], because: str) -> None:
        for place in places:
            self.used[place] = ("limit", because)

    def key_of(self, piece: Piece) -> str:
        if "thing" in piece.cues:
            return piece.cues["thing"]
        if "limit_key" in piece.cues:
            return piece.cues["limit_key"]
        return ""

    def deny(self, place: int) -> bool:
        """Take the piece as what is not there; False if it is nothing that could be missing."""
        piece = self.pieces[place]
        key, slugs = self.key_of(piece), piece.cues.get("technique", "").split()
        if key:
            self.keys.append(key)
        if slugs:
            self.excluded.append(slugs[0])
        if not key and not slugs and piece.name is not None and piece.name.kind == "substance":
            self.keys.append(piece.name.id)
            key = piece.name.id
        return bool(key or slugs)

    def clause(self, place: int) -> range:
        """The pieces of the sentence from here on, up to its end or a strong mark."""
        end = place
        while end < len(self.pieces) and not (self.pieces[end].mark and self.pieces[end].mark in ".?!;:)>\n"):
            end += 1
        return range(place, end)

    def of_product(self, place: int) -> bool:
        """ "to get pure acid without water": how the product is wanted, no limit."""
        after = self.pieces[place + 1] if place + 1 < len(self.pieces) else None
        before = self.pieces[place - 1] if place else None
        named = before is not None and before.kind in ("name", "class")
        if after is None or after.kind != "name" or not named or "thing" in after.cues:
            return False
        for piece in reversed(self.pieces[max(0, place - 5) : place - 1]):
            if piece.mark or piece.has("from", "in"):
                return False
            if piece.cues.get("verb") == "want":
                return True
        return False

    def denied(self, place: int) -> None:
        """What follows a negation."""
        if self.pieces[place].norm == "without" and self.of_product(place):
            self.used[place] = self.used[place + 1] = ("property", "of the product")
            return
        follows = self.pieces[place + 1] if place + 1 < len(self.pieces) else None
        if self.pieces[place].norm == "nothing" and follows is not None and follows.has("person"):
            return  # "nothing I do with it"
        used = [place]
        found = False
        joined, marked = True, False
        for other in self.clause(place + 1):
            piece = self.pieces[other]
            if piece.has("property") and not found and "thing" not in piece.cues:
                return  # "does not dissolve", "not magnetic"
            if piece.mark or piece.has("join", "but") or (piece.has("from", "in", "to", "of") and found):
                if piece.mark and piece.mark not in ",/&":
                    break
                if piece.has("from", "in", "to", "but"):
                    break
                joined, marked = True, not piece.has("join")
                continue
            able = "thing" in piece.cues or "technique" in piece.cues or "limit_key" in piece.cues
            if able and marked and "thing" not in piece.cues:
                break  # "no heat, use a salt"
            if able and self.unwilling(place, other):
                self.used[place] = self.used[other] = ("property", "what does not happen by itself")
                return
            if able or (piece.name is not None and not found):
                if not joined and found:
                    break
                if piece.name is not None and not able and self.is_component(place, other):
                    break
                if not self.deny(other):
                    break
                found, joined = True, False
                used = [*range(used[0], other + 1)]
            elif found or other - place > _FAR:
                if joined and found:
                    break
                if found and not piece.has("apparatus", "whole", "light", "at_hand", "gone"):
                    break
            elif not (piece.kind == "cue" and (piece.has(*_SKIPPED) or piece.cues.get("verb") in _SKIPPED_VERBS)):
                break
        if found:
            self.use([other for other in used if other not in self.used], f"after {self.pieces[place].text!r}")

    def unwilling(self, negation: int, place: int) -> bool:
        """ "never settles", "does not dissolve": told of a thing, unless a person is not to do it."""
        piece = self.pieces[place]
        verb = "technique" in piece.cues and not piece.norm.endswith(
            ("ion", "ing", "phy", "sis", "funnel", "agent", "ed")
        )
        told = self.pieces[negation].norm in ("not", "never") and verb and piece.kind != "name"
        around = self.pieces[max(0, negation - 4) : place]
        return told and not any(one.has("person") or one.cues.get("verb") in ("use", "have") for one in around)

    def is_component(self, negation: int, place: int) -> bool:
        """ "does not mix with water", "not the sand": the name stands for a part, only "no" and "without" deny it."""
        word = self.pieces[negation].norm
        return word not in ("no", "without", "avoid", "avoiding") and not any(
            self.pieces[other].cues.get("verb") in ("use", "add") for other in range(negation, place)
        )

    def gone(self, place: int, named: bool = False) -> bool:
        """ "the centrifuge and the pump are broken": things before the word; named: the nearest, a substance too."""
        start, found = place - 1, []
        while start >= 0:
            piece = self.pieces[start]
            able = "thing" in piece.cues or (piece.kind != "name" and "technique" in piece.cues)
            able = (able or (named and piece.kind == "name")) and piece.cues.get("ending") != "ed"
            if able and start not in self.used:
                found.append(start)
                if named:
                    break
            elif not (piece.has("light", "join", "be", "whole", "only", "verb") or piece.mark == ","):
                break
            start -= 1
        for other in found:
            self.deny(other)
        if found:
            self.use([*range(found[-1], place + 1)], f"before {self.pieces[place].text!r}")
        return bool(found)

    def forbidden(self, place: int) -> bool:
        """ "a sieve is not available", "filtration must not be used": things before a negation that says they are barred."""
        for other in self.clause(place + 1)[:3]:
            piece = self.pieces[other]
            if piece.has("at_hand") or (piece.cues.get("verb") == "use" and piece.cues.get("ending") == "ed"):
                after = self.pieces[other + 1] if other + 1 < len(self.pieces) else None
                ends = after is None or bool(after.mark) or after.kind in ("cue", "word")
                return ends and self.gone(place, named=True)
            if not piece.has("light", "be"):
                return False
        return False

    def vain_by(self, place: int) -> bool:
        """ "they cannot be separated by distillation, because ...": told, not asked, so the technique is no answer."""
        stretch = self.clause(place)
        end = self.pieces[stretch.stop] if stretch.stop < len(self.pieces) else None
        parted = [other for other in stretch if self.pieces[other].cues.get("verb") in ("separate", "remove", "purify")]
        if not parted or parted[0] > place + 3 or end is None or end.mark != ".":
            return False
        found = False
        for other in range(parted[0] + 1, stretch.stop):
            piece = self.pieces[other]
            if "technique" in piece.cues and any(one.has("by") for one in self.pieces[parted[0] : other]):
                self.excluded.append(piece.cues["technique"].split()[0])
                found = True
                self.use([other], "told to be of no use")
            elif piece.has("but", "when") or (found and not piece.has("join") and piece.mark != ","):
                break
        return found

    def only(self, place: int) -> None:
        """ "only water": what follows from naming the only thing there is."""
        allowed = any(one.has("at_hand", "use") or one.cues.get("verb") in ("use", "have") for one in self.pieces)
        for other in (*range(place + 1, min(place + 5, len(self.pieces))), *([place - 1] if place else [])):
            piece = self.pieces[other]
            told = other > place and (piece.has("property") or (piece.kind == "name" and "only_implies" not in piece.cues))
            if piece.mark or told:
                return  # "only slightly soluble in water"
            if "only_implies" in piece.cues and allowed:
                self.keys.append(piece.cues["only_implies"])
                self.use([place, other], "only")
                return

    def read(self) -> Limits:
        for place, piece in enumerate(self.pieces):
            if place in self.used:
                continue
            if "limit" in piece.cues and not (piece.has("condition") and self.wished(place)):
                self.keys.append(piece.cues["limit"])
                self.use([place], "says so")
            elif piece.kind != "name" and piece.has("gone") and self.gone(place):
                continue
            elif piece.kind != "name" and piece.has("negation", "without", "lost"):
                if not (self.forbidden(place) or self.vain_by(place)):
                    self.denied(place)
            elif piece.has("only") and piece.kind == "cue":
                self.only(place)
            elif piece.has("than") and piece.kind == "cue":
                self.denied(place)
        for place, piece in enumerate(self.pieces):
            if place not in self.used and piece.has("without", "lost") and piece.kind == "cue":
                stretch = self.clause(place)
                self.vain.append(" ".join([self.pieces[other].text for other in stretch][:_FAR]))
        return Limits(tuple(dict.fromkeys(self.keys)), tuple(dict.fromkeys(self.excluded)), self.used, tuple(self.vain))

    def wished(self, place: int) -> bool:
        return any(piece.cues.get("verb") in ("want", "purify") for piece in self.pieces[:place])


def read_limits(pieces: Sequence[Piece], words: Lexicon, table: Table) -> Limits:
    """The limits said in the pieces of a question."""
    return _Limiter(pieces, words, table).read()


def shown(limits: Limits) -> str:
    """The limits, a line each."""
    lines = [f"without {key}" for key in limits.keys] + [f"not by {slug}" for slug in limits.excluded]
    return "\n".join([*lines, *[f"no limit found in: {text}" for text in limits.vain]])
