"""Third stage of reading: every name starts as a component and is moved by the words beside it.

Pieces are gathered into groups (what stands between two links, verbs or marks); a group's verb and link give its role by
the rows of rules/reading/roles.yaml; lists and brackets hand their role on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from choosemethod.reading.lattice import Piece
from choosemethod.reading.lexicon import Lexicon
from choosemethod.table import Name, Table

__all__ = ["ARTICLES", "REACTED", "Part", "Roles", "read_roles", "shown"]

LINKS = ("from", "into", "in", "to", "of", "with", "by", "for", "between", "without", "than", "likened", "example")
REACTED = "has reacted"
ARTICLES = ("a", "an", "the", "some", "any", "my", "our", "this", "that", "these", "its", "no")
_RELATIVE = ("that", "this", "these")
_BACK = ("want", "remove", "identify", "measure", "separate", "purify", "dry")  # verbs that can follow their object
_ADJECTIVES = ("purify", "dry", "dissolve", "react", "separate", "impure", "add", "want")
_SENTENCE = ("be", "person", "light", "which", "instruct", "negation", "only", "at_hand", "claimed", "tried")
_PRESENT = (
    "component",
    "host",
    "source",
    "wanted",
    "removed",
    "impurity",
    "purified",
    "dried",
    "looked for",
    "measured",
)
_VERBAL = ("ed", "ing", "ly")  # endings of words that say how or what is done
_NAMING = ("whole", "lesser", "condition", "piece", "state")  # words of a name's own group


class Part(NamedTuple):
    """A name, letter or class noun with its role and what stands beside it.

    place: of its piece; text, norm, start, end: as of the piece; meanings: what it stands for; given: ids of described
    substances; noun: key of a class noun; found: how; role: of rules/reading/roles.yaml; because: what decided; link,
    verb, ending: of its group; group, clause, sentence: their numbers; bracket: group it explains, -1 for none;
    lesser: little of it; states, sizes, conditions, holding: keys of words beside it; numbers: amounts beside it;
    pronoun: the word that stands for what was named; article: "a", "the" or ""; unknown: words beside it that make it
    something else; state: aq, s, l, g of a formula.
    """

    place: int
    text: str
    norm: str
    start: int
    end: int
    meanings: tuple[Name, ...] = ()
    given: tuple[str, ...] = ()
    noun: str = ""
    found: str = ""
    role: str = "component"
    because: str = ""
    link: str = ""
    verb: str = ""
    ending: str = ""
    verb_word: str = ""
    group: int = 0
    clause: int = 0
    sentence: int = 0
    bracket: int = -1
    lesser: bool = False
    states: tuple[str, ...] = ()
    sizes: tuple[str, ...] = ()
    conditions: tuple[str, ...] = ()
    holding: tuple[str, ...] = ()
    numbers: tuple[Piece, ...] = ()
    pronoun: str = ""
    article: str = ""
    unknown: str = ""
    state: str = ""
    plural: bool = False
    spread: bool = False

    @property
    def name(self) -> Name | None:
        """The meaning taken."""
        return self.meanings[0] if self.meanings else None


class Roles(NamedTuple):
    """parts: in order; used: piece -> (role, because) for all others; unknown: stretches not understood that may be
    parts; loose: unknown words away from a list; aside: ordinary words beside a part or in the place of one, each with what
    it is beside; options: pieces of answers offered, by letter; taken: sentences about names
    taken by their noun."""

    parts: tuple[Part, ...]
    used: Mapping[int, tuple[str, str]]
    unknown: tuple[str, ...] = ()
    loose: tuple[str, ...] = ()
    aside: tuple[tuple[str, str], ...] = ()
    options: Mapping[str, tuple[int, ...]] = {}
    taken: tuple[str, ...] = ()


@dataclass(slots=True)
class Group:
    """Pieces between two boundaries; see Part for the fields they share."""

    number: int
    link: str
    verb: str
    ending: str
    clause: int
    sentence: int
    bracket: int
    places: list[int] = field(default_factory=list)
    article: str = ""
    lesser: bool = False
    pronoun: str = ""
    joined: bool = False
    closed: bool = False  # words of the sentence stand before it, so it is no member of a list
    verb_word: str = ""
    role: str = ""
    because: str = ""
    front: list[int] = field(default_factory=list)  # pieces of what it is of: "25 g of sand", "crystals of alum"


class _Reader:
    def __init__(
        self,
        pieces: Sequence[Piece],
        used: Mapping[int, tuple[str, str]],
        subjects: Mapping[int, tuple[str, ...]],
        table: Table,
        words: Lexicon,
    ) -> None:
        self.pieces = pieces
        self.used = dict(used)
        self.subjects = subjects
        self.table = table
        self.words = words
        self.groups: list[Group] = []
        self.options: dict[str, tuple[int, ...]] = {}
        self.called: set[int] = set()  # groups called an impurity
        self.explained: set[int] = set()  # groups whose class is told by examples
        self.taken: list[str] = []  # sentences about names taken by their noun
        self.tools: set[int] = set()  # groups whose noun makes them a tool, a place or a person
        self.titles: set[int] = set()  # clauses that end with a colon
        self.when_clauses: set[int] = set()  # "since wood is magnetic"
        self.told_clauses: set[int] = set()  # clauses that only tell what went before ("after making oxygen")

    # Groups.

    def verb(self, place: int) -> str:
        """The class of verb a piece is here, "" if it is none or only an adjective or noun."""
        piece = self.pieces[place]
        value = piece.cues.get("verb", "") if piece.kind in ("cue", "class") else ""
        if (
            not value
            and "state" in piece.cues
            and place + 1 < len(self.pieces)
            and self.pieces[place + 1].norm in ("the", "this")
        ):
            return "want" if not place or self.pieces[place - 1].mark else ""  # "precipitate the casein"
        if not value and piece.kind == "cue" and "technique" in piece.cues and not piece.has("noun"):
            value = "technique"
        if not value:
            return ""
        before = self.pieces[place - 1] if place else None
        after = self.pieces[place + 1] if place + 1 < len(self.pieces) else None
        if value in ("want", "have", "use"):  # "got mixed", "want to separate": the verb after it counts
            other = place + 1
            while (
                other < len(self.pieces)
                and self.pieces[other].kind == "cue"
                and self.pieces[other].has("to", "be", "light")
            ):
                if self.pieces[other].norm in ARTICLES:
                    break
                other += 1
            follows = self.pieces[other] if other < len(self.pieces) else None
            if (
                follows is not None
                and follows.kind == "cue"
                and follows.cues.get("verb", "") not in ("", "have", "hold")
            ):
                return "" if follows.cues.get("ending") != "ed" or other == place + 1 else value
        if value == "technique":
            noun = piece.norm.endswith(("ion", "phy", "sis", "funnel", "agent", "ing")) or (
                before is not None
                and (
                    before.norm in ARTICLES
                    or before.has("by", "with", "of", "use")
                    or before.cues.get("verb") == "use"
                )
            )
            objects = after is not None and (
                after.kind in ("name", "unknown", "letter", "class")
                or after.norm in ("the", "off", "it", "out", "this")
            )
            return "technique" if objects and not noun else ""
        nominal = piece.norm.endswith(("ion", "val", "sis", "covery"))
        if after is not None and after.has("of") and (nominal or piece.norm.endswith("ing")):
            return value
        if nominal:
            return ""
        determined = (
            before is not None and before.kind == "cue" and before.norm in ARTICLES and before.norm not in _RELATIVE
        )
        if determined and piece.norm not in ("have",):
            return ""
        noun_follows = after is not None and (
            after.kind in ("name", "class", "letter") or after.has("colour", "whole", "piece")
        )
        begins = before is None or (
            before.kind in ("cue", "mark") and not before.has("be", "person", "verb", "pronoun", "which")
        )
        if piece.cues.get("ending") == "ed" and noun_follows and begins and value in _ADJECTIVES:
            return ""  # "dried peas", "a purified sample"
        ends = after is None or bool(after.mark)
        if (
            value in ("dry", "purify", "remove")
            and piece.has("condition")
            and ends
            and before is not None
            and before.has("pronoun", "be")
        ):
            return ""  # "need it dry"
        if (
            value == "add"
            and not piece.cues.get("ending")
            and before is not None
            and before.kind in ("name", "word", "class")
            and not before.norm.endswith("ly")
        ):
            return ""  # "an oil spill", but "you accidentally spill oil"
        adjective = (
            piece.has("condition")
            and not piece.cues.get("ending")
            and before is not None
            and before.has("join", "in", "from", "of", "with")
        )
        beside = self.pieces[place - 2] if before is not None and before.mark == "," and place > 1 else before
        adjective = adjective or (piece.has("condition") and beside is not None and beside.has("condition"))  # "pure dry X"
        if value in ("dry", "purify") and adjective and after is not None and (
            after.kind in ("name", "word", "class") or after.has("whole")
        ):
            return ""  # "and dry garden soil"
        number = before is not None and (before.kind == "number" or before.has("every", "number_words"))
        if value == "separate" and piece.norm == value and number and after is not None and after.kind in ("class", "name", "word"):
            return ""  # "three separate things"
        if before is not None and before.mark == ":" and piece.has("condition") and not piece.cues.get("ending"):
            return ""  # "water: clear liquid"
        if piece.norm == "like" and (before is None or before.kind in ("name", "class", "word") or before.has("noun")):
            return ""
        if value == "have" and piece.norm in ("give", "given") and before is not None and before.has("be"):
            return "have"
        return value

    def chunk(self) -> None:
        clause = 0
        link, verb, ending, verb_word = "", "", "", ""
        joined = closed = False
        stack: list[tuple[str, str, str, bool]] = []
        bracket = -1
        group: Group | None = None
        option = ""
        first = next((place for place, piece in enumerate(self.pieces) if piece.kind == "option"), len(self.pieces))
        asked = any(piece.mark == "?" or piece.has("which", "offered", "technique") for piece in self.pieces[:first])
        last = next((one for one in reversed(self.pieces[:first]) if not one.mark), None)
        ends = last is not None and (last.has("be", "by", "with", "in", "from") or last.cues.get("verb") in ("add", "use"))
        offers = asked or ends or any("technique" in piece.cues for piece in self.pieces[first:])
        for place, piece in enumerate(self.pieces):
            if piece.kind == "option" and not offers:
                joined, group = True, None  # a numbered list
                self.used[place] = ("ordinary", "a number of a list")
                continue
            if piece.kind == "option":
                option, group = piece.norm, None
                if option:
                    self.options[option] = ()
                self.used[place] = ("option", "an answer offered")
                continue
            if option:
                self.options[option] = (*self.options[option], place)
                self.used[place] = ("option", f"answer {option}")
                continue
            if place in self.used and self.used[place][0] != "component":
                if self.used[place][0] in ("limit", "level"):
                    group, closed = None, True
                continue
            if piece.kind == "mark":
                after = self.pieces[place + 1] if place + 1 < len(self.pieces) else None
                if piece.mark == "-" and group is not None and after is not None and after.kind == "number":
                    continue  # "salt - 5 g"
                group = None
                if piece.mark == "(":
                    stack.append((link, verb, ending, joined))
                    bracket = len(self.groups) - 1 if self.groups else -1
                    joined, link = False, ""
                elif piece.mark == ")":
                    if stack:
                        link, verb, ending, joined = stack.pop()
                    bracket = -1
                elif (piece.mark and piece.mark in ",/+&") or (piece.mark == "-" and not joined):
                    if piece.mark == "," and (self.starts_clause(place) or self.opens(clause, place)):
                        clause += 1
                        link, joined, closed = "", False, False
                        verb, ending = ("", "")
                    else:
                        joined = True
                elif piece.mark == ":":
                    self.titles.add(clause)
                    clause += 1
                    link, joined, closed = ("colon" if not verb or verb in ("have", "separate") else ""), False, False
                elif piece.mark == ">":
                    clause += 1
                    link, verb, ending, joined, closed = "", "want", "", False, False
                elif piece.mark == ";" or piece.mark == "\n":
                    clause += 1
                    link, verb, ending, joined, closed = "", "", "", True, False
                else:
                    clause += 1
                    link, verb, ending, joined, closed = "", "", "", False, False
                continue
            kind = piece.kind
            value = self.verb(place)
            if value:
                if value == "technique" and verb in ("want", "remove"):
                    value = verb
                self.used[place] = ("instruction", f"a verb: {value}")
                if joined and verb and group is None:
                    clause += 1
                verb, ending, link, joined, closed, group = value, piece.cues.get("ending", ""), "", False, False, None
                verb_word = piece.norm
                continue
            if kind == "cue":
                found = next((name for name in LINKS if name in piece.cues), "")
                if piece.has("join"):
                    joined, group = True, None
                    self.used[place] = ("ordinary", "joins")
                    continue
                if found:
                    if found == "of" and group is None and verb and link == "":
                        self.used[place] = ("ordinary", "links")
                        continue  # "separation of", "get rid of"
                    before = self.pieces[place - 1] if place else None
                    if found == "with" and before is not None and before.kind == "cue" and "technique" in before.cues:
                        verb, ending = "technique", ""  # "extraction with alkali"
                    link, joined, group = found, False, None
                    self.used[place] = ("ordinary", "links")
                    continue
                if piece.has("after", "but", "when"):
                    clause += 1
                    link, joined, closed, group = ("after" if piece.has("after") else ""), False, False, None
                    if piece.has("after"):
                        self.told_clauses.add(clause)
                    elif piece.has("when"):
                        self.when_clauses.add(clause)
                    verb = ending = ""
                    self.used[place] = ("ordinary", "begins a clause")
                    continue
                if piece.norm in ARTICLES:
                    if group is not None and group.places:
                        group = None
                        closed = True
                    self.used[place] = ("ordinary", "an article")
                    continue
                if piece.has(*_SENTENCE) and not piece.has(*_NAMING):
                    group = None
                    closed = True
                    if link == "by" and piece.has("which"):
                        link = ""  # "the process by which water is separated"
                    self.used[place] = ("ordinary", "a word of the sentence")
                    if piece.has("at_hand") and not (place and "limit_key" in self.pieces[place - 1].cues):
                        self.at_hand(clause, bool(place) and self.pieces[place - 1].has("be"))
                        if self.heads_supplies(place, clause):
                            verb, ending, link = "use", "", ""
                    continue
            if piece.has("supplies") and place + 1 < len(self.pieces) and self.pieces[place + 1].mark == ":":
                verb, ending, link, joined, group = "use", "", "", False, None
                self.used[place] = ("ordinary", "heads what is there to be used")
                continue
            if group is None:
                group = Group(
                    len(self.groups),
                    link,
                    verb,
                    ending,
                    clause,
                    piece.sentence,
                    bracket if piece.depth else -1,
                    joined=joined,
                    closed=closed,
                    verb_word=verb_word,
                )
                group.article = (
                    self.pieces[place - 1].norm if place and self.pieces[place - 1].norm in ARTICLES else ""
                )
                before = self.pieces[place - 1] if place else None
                group.lesser = before is not None and before.has("lesser")
                self.groups.append(group)
                joined = False
            group.places.append(place)
            if kind == "cue" and piece.has("lesser"):
                group.lesser = True
            if kind == "cue" and piece.has("pronoun"):
                group.pronoun = piece.norm

    def starts_clause(self, comma: int) -> bool:
        """Whether what follows a comma is no further member of a list."""
        for place in range(comma + 1, min(len(self.pieces), comma + 5)):
            piece = self.pieces[place]
            if piece.kind in ("name", "letter", "class", "unknown", "number"):
                if piece.kind == "class":
                    continue
                after = self.pieces[place + 1] if place + 1 < len(self.pieces) else None
                return (
                    after is not None
                    and after.kind == "cue"
                    and (after.has("be") or after.norm in ("has", "have", "must"))
                )
            if piece.has("join") or piece.norm in ARTICLES or piece.has("colour", "piece", "state", "lesser", "whole"):
                continue
            if "limit_key" in piece.cues:
                return False  # "..., filter paper and funnels": a tool in the list
            if (
                place in self.used
                or self.verb(place)
                or piece.has("person", "light", "pronoun", "instruct", "which", "be", "after", "but")
            ):
                return True
            if piece.kind == "mark":
                return False
        return False

    def opens(self, clause: int, comma: int) -> bool:
        """ "In a flour mill, ...": a comma after what opens the sentence, which only says where or when."""
        mine = [group for group in self.groups if group.clause == clause]
        place = comma
        while place and self.pieces[place - 1].sentence == self.pieces[comma].sentence:
            place -= 1
        first = self.pieces[place]
        opening = first.kind == "cue" and first.has("in", "for", "after") and first.text[:1].isupper()
        return opening and len(mine) == 1 and mine[0].places[0] <= place + 2

    def heads_supplies(self, place: int, clause: int) -> bool:
        """ "available: ether and alkali": what follows is there to be used, if nothing before it is."""
        after = self.pieces[place + 1] if place + 1 < len(self.pieces) else None
        follows = after is not None and (after.mark == ":" or after.has("be"))
        return follows and not any(group.clause == clause and self.heads(group) for group in self.groups)

    def at_hand(self, clause: int, subject: bool) -> None:
        """ "vinegar and salt at hand": what stands before is there to be used, with what "and" joins to it; where it is the
        subject ("ether, acid and alkali are available") with its whole list."""
        for group in reversed(self.groups):
            if group.clause != clause or group.verb:
                return
            group.verb, group.link = "use", ""
            before = self.pieces[group.places[0] - 1] if group.places and group.places[0] else None
            if not group.joined or before is None or not (subject or before.has("join")):
                return

    def kit(self) -> None:
        """ "You have water, hexane, filter paper and a dish": a list that holds apparatus is of what is there to be used."""
        begin = 0
        for end in range(1, len(self.groups) + 1):
            if end < len(self.groups) and self.groups[end].joined and self.groups[end].verb == "have":
                continue
            listed = self.groups[begin:end]
            tools = [one for one in listed if self.pieces[one.places[-1]].has("apparatus", "container", "thing")]
            if len(listed) > 1 and tools and listed[0].verb == "have":
                for one in listed:
                    one.verb = "use"
            begin = end

    def back(self) -> None:
        """Verbs that follow their object: "salt wanted", "the sand is removed"."""
        for place, piece in enumerate(self.pieces):
            value = self.used.get(place, ("", ""))[1].removeprefix("a verb: ")
            ending = piece.cues.get("ending", "")
            if value not in _BACK or not (ending == "ed" or (place and self.pieces[place - 1].has("be"))):
                continue
            before = [
                group
                for group in self.groups
                if group.places and group.places[-1] < place and group.sentence == piece.sentence
            ]
            after = [group for group in self.groups if group.places and group.places[0] > place and group.verb == value]
            if not before or any(
                group.link == "" and self.heads(group) and group.clause == before[-1].clause for group in after
            ):
                continue
            last = before[-1].clause
            for group in reversed(before):
                if group.clause != last or (group.verb and group.verb not in ("have",)):
                    break
                if group.link in ("", "of") or group.joined:
                    group.verb, group.ending = value, ending
                    if not group.joined and group.link == "":
                        break

    # Parts.

    def of_what_kind(self, group: Group) -> list[int]:
        """Unknown words before a material whose noun alone decides ("neem oil", "moringa seeds"): they only say of which
        plant or place it is. A word that may be of the name of a compound never does."""
        found: list[int] = []
        rows = self.words.materials
        for place in self.heads(group):
            name, first = self.pieces[place].name, place
            if name is None or name.kind != "substance" or not self.table.has(name.id):
                continue
            one = self.table.substance(name.id)
            water = one.solubility.get("water")
            solid = one.phase == "solid" and (water is None or water.word in self.words.insoluble_words)
            if not (solid and one.kind in rows["kinds"]) and not set(one.classes) & set(rows["classes"]):
                continue
            while first - 1 in group.places and self.pieces[first - 1].kind == "unknown":
                first -= 1
            said = [self.pieces[other].text.lower() for other in range(first, place)]
            if all(word.isalpha() and not word.endswith(tuple(rows["never_after"])) for word in said):
                found += range(first, place)
                written = " ".join([*said, self.pieces[place].text])
                self.taken += [f"{written} is not in the table: taken as {one.name}"] * bool(said)
        return found

    def strange(self, group: Group, front: Sequence[int] = ()) -> list[int]:
        """Unknown words of a group, and of what stands in front of it, that may change what it names."""
        heads, kinds = self.heads(group), self.of_what_kind(group)
        unknown = [place for place in (*front, *group.places) if self.pieces[place].kind == "unknown" and place not in kinds]
        other = [place for place in group.places if place + 1 in heads and self.other_salt(place)]
        return [place for place in unknown if not (heads and self.owner(place))] + other

    def other_salt(self, place: int) -> bool:
        """Whether a word tells of another compound than the name behind it does: "sulfate salts" are no sodium chloride."""
        name = self.pieces[place + 1].name
        if not self.pieces[place].has("compound") or name is None or not self.table.has(name.id):
            return False
        one = self.table.substance(name.id)
        return bool(one.formula) and self.pieces[place].norm not in one.classes

    def heads(self, group: Group) -> list[int]:
        """Pieces of a group that name something."""
        found: list[int] = []
        if group.number in self.explained:
            return found
        for place in group.places:
            piece = self.pieces[place]
            if piece.kind == "name" and found and found[-1] == place - 1 and piece.has("piece", "state"):
                continue  # "zinc dust": what it is like
            if self.is_how(place):
                continue
            called = piece.cues.get("noun") == "impurity" and place not in self.subjects
            if piece.kind == "name" and called and (found or self.after_as(place)):
                continue  # "copper as an impurity"
            if piece.kind in ("name", "letter") or place in self.subjects:
                found.append(place)
        return found

    def is_how(self, place: int) -> bool:
        """Whether a name says how another one comes: the grains of "grains of pepper" are no cereal."""
        piece, link, name = ((*self.pieces[place : place + 3], None, None))[:3]
        named = link is not None and name is not None and link.norm == "of" and name.kind in ("name", "letter")
        return named and piece is not None and piece.kind == "name" and piece.has("piece")

    def tool(self, group: Group) -> str:
        """What the last word makes of the names before it: "iron mesh" is apparatus, "soap factory" a place."""
        last = self.pieces[group.places[-1]]
        if (
            last.has("container", "apparatus")
            and last.kind == "cue"
            and not self.heads(group)
            and not last.has("piece", "state")
        ):
            end = group.places[-1] + 1
            return (
                "" if end < len(self.pieces) and self.pieces[end].has("of") else "apparatus"
            )  # "a semi-micro test tube"
        if last.kind == "name" or len(group.places) < 2 or not self.heads(group):
            return ""
        if last.has("container") and not last.has("piece"):
            names = [self.pieces[place].name for place in self.heads(group)]
            if all(name is not None and self.kept(name) for name in names):
                return ""
        if last.has("apparatus", "container") and not last.has("piece", "state"):
            return "apparatus"
        if last.has("place") and not last.has("piece", "state"):
            return "origin"
        return "story" if last.has("person") else ""

    def kept(self, name: Name) -> bool:
        """Whether a tank, bowl or tin is named after what it holds."""
        if name.kind == "mixture":
            return True
        substance = self.table.substance(name.id)
        return substance.phase == "liquid" or substance.kind in ("food", "salt") or "sugar" in substance.classes

    def phase(self, piece: Piece) -> str:
        name = piece.name
        return self.table.substance(name.id).phase if name is not None and name.kind == "substance" else ""

    def decide(self, group: Group) -> tuple[str, str]:
        link = "" if group.link == "colon" else group.link
        heads = [self.pieces[place] for place in self.heads(group)]
        tools = bool(heads) and all(piece.has("apparatus", "technique", "thing") for piece in heads)
        if tools and (link in ("with", "by") or group.verb in ("use", "have", "add")):
            return "apparatus", "a tool"
        before_it = self.pieces[group.places[0] - 1] if group.places and group.places[0] else None
        named = bool(heads) or any(self.pieces[place].has("thing", "apparatus") for place in group.places)
        only = before_it is not None and before_it.has("only")
        if named and only and any(self.heads(g) for g in self.groups[: group.number]):
            return "reagent", "the only thing there"
        if group.clause in self.when_clauses and heads:
            after = self.used.get(group.places[-1] + 2, ("", ""))[0] if group.places else ""
            if after == "property" and self.pieces[group.places[-1] + 1].has("be"):
                return "story", "only told of"
        if group.clause in self.told_clauses and (heads or group.verb):
            return "story", "tells what went before"
        for row in self.words.roles:
            if row.verb is not None and group.verb not in row.verb:
                continue
            if row.link is not None and link not in row.link:
                continue
            if row.ending is not None and group.ending not in row.ending:
                continue
            if row.phase is not None and not all(self.phase(piece) in row.phase for piece in heads):
                continue
            if row.lesser is not None and ("yes" if group.lesser else "no") not in row.lesser:
                continue
            if row.after is not None and not any(
                other.clause == group.clause and other.role in row.after for other in self.groups[: group.number]
            ):
                continue
            return row.role, row.because
        return "component", "named"

    def give_roles(self) -> None:
        for place, group in enumerate(self.groups):
            before = self.groups[place - 1] if place else None
            tool = self.tool(group)
            if tool:
                group.role, group.because = tool, f"the noun is {self.pieces[group.places[-1]].text!r}"
                self.tools.add(place)
                continue
            while before is not None and group.joined and before.number in self.tools:
                before = self.groups[before.number - 1] if before.joined and before.number else None
            if group.link == "example" and not group.joined and before is not None and self.example_of(before):
                group.role, group.because = before.role, "an example of what stands before"
                group.lesser = before.lesser
                continue
            if (
                group.joined
                and before is not None
                and before.sentence == group.sentence
                and before.role
                and (group.verb == before.verb or group.link == before.link == "example")
            ):
                group.lesser = group.lesser or (before.lesser and group.link == "example")
                group.role, group.because = before.role, before.because
                first = group.places[0] if group.places else 0
                if group.link == "example" and any(one.norm == "or" for one in self.pieces[max(0, first - 2) : first]):
                    group.role, group.because = "example", "an example in place of the one before"
                if before.lesser and before.link == "with":
                    group.lesser = True
                continue
            if group.link == "of" and before is not None and before.clause == group.clause:
                if not self.heads(before) and not any(
                    self.pieces[p].kind == "class" and not self.pieces[p].has("state") for p in before.places
                ):
                    group.verb, group.ending, group.link, group.joined = (
                        before.verb,
                        before.ending,
                        before.link,
                        before.joined,
                    )
                    group.lesser = group.lesser or before.lesser
                    group.front = [*before.front, *before.places]
                    group.role, group.because = before.role, before.because
                    if group.role:
                        continue
                elif self.heads(before) or before.places:
                    group.role, group.because = "host", "what it is of"
                    continue
            group.role, group.because = self.decide(group)
            if group.role == "source":
                self.from_it(place)
            first = group.places[0] if group.places else 0
            if before is not None and self.says_impurity(group) and not self.heads(group) and self.after_as(first):
                before.lesser = True  # "phenol as an impurity"
                self.called.add(before.number)
            elif self.says_impurity(group) and self.heads(group):
                group.lesser = True  # "copper impurity"

    def reacted(self) -> None:
        """ "A reacts with B to form C": A and B are gone, where enough is there without them."""
        forming = [place for place, piece in enumerate(self.pieces) if piece.kind != "name" and piece.has("forming")]
        for place in forming:
            sentence = [g for g in self.groups if g.sentence == self.pieces[place].sentence and self.heads(g)]
            before = [group for group in sentence if group.places[-1] < place]
            verbs = [self.pieces[one] for one in range(place) if self.pieces[one].sentence == self.pieces[place].sentence]
            if len(before) == len(sentence) or not any(one.reacts for one in verbs):
                continue
            gone = [group for group in before if not group.lesser]
            names = [{self.pieces[one].name for one in self.heads(group)} for group in gone]
            kept = {
                self.pieces[one].name
                for group in self.groups
                if group not in gone and group.role in _PRESENT
                for one in self.heads(group)
            }
            if len(kept.difference(*names)) > 1:
                for group in gone:
                    group.role, group.because = "story", REACTED

    def example_of(self, group: Group) -> bool:
        """Whether a class stands before "such as": what follows is there in its place."""
        last = self.pieces[group.places[-1]] if group.places else None
        if last is None or "noun" not in last.cues:
            return False
        if last.cues["noun"] == "impurity":
            group.lesser = True
        group.places = [place for place in group.places if "noun" not in self.pieces[place].cues] or group.places
        if group.places and "noun" in self.pieces[group.places[-1]].cues:
            self.explained.add(group.number)
        return True

    def says_impurity(self, group: Group) -> bool:
        return any(
            self.pieces[place].cues.get("noun") == "impurity" and place not in self.subjects for place in group.places
        )

    def noun(self, piece: Piece, group: Group) -> str:
        """Key of a class noun; "impurity" for a name that is called one."""
        if piece.kind == "class":
            return piece.cues.get("noun", "")
        said = group.number in self.called or (group.lesser and self.says_impurity(group))
        return "impurity" if said else ""

    def owner(self, place: int) -> bool:
        """Whether a word tells whose the next thing is ("gran's nail varnish remover")."""
        return self.pieces[place].text.lower().endswith(("'s", "\u2019s"))

    def after_as(self, place: int) -> bool:
        return any(self.pieces[other].norm == "as" for other in range(max(0, place - 3), place))

    def from_it(self, place: int) -> None:
        """ "salt from sea water", "separate salt from sand": what stands before "from" is wanted."""
        source = self.groups[place]
        before = range(max(0, source.places[0] - 2), source.places[0])
        out = "out of" if any(self.pieces[other].norm.startswith("out") for other in before) else "from"
        for group in reversed(self.groups[:place]):
            verbs = {group.verb, source.verb}
            if group.clause != source.clause or not verbs <= {"", "have", "technique", "separate", "want"}:
                return
            if group.role in ("component", "wanted") and group.link in ("", "colon"):
                group.role, group.because = "wanted", f"{out} what follows"

    def parts(self) -> list[Part]:
        found: list[Part] = []
        for group in self.groups:
            heads = self.heads(group)
            states, sizes, conditions, holding = list[str](), list[str](), list[str](), list[str]()
            numbers: list[Piece] = []
            nouns = [
                place for place in group.places if self.pieces[place].kind == "class" and place not in self.subjects
            ]
            for place in (*group.front, *group.places):
                piece = self.pieces[place]
                if piece.kind == "number" or piece.has("number_words"):
                    numbers.append(piece)
                if place in heads and piece.kind != "class":
                    continue
                for key, kept in (("state", states), ("piece", sizes), ("condition", conditions), ("holding", holding)):
                    if key in piece.cues:
                        kept.append(piece.cues[key])
            for place in heads:
                inner = self.pieces[place].norm.split()
                conditions += [cue for word in inner[:-1] if (cue := self.words.cues(word).get("condition"))]
            shared = {
                "role": group.role,
                "because": group.because,
                "link": group.link,
                "verb": group.verb,
                "ending": group.ending,
                "verb_word": group.verb_word,
                "group": group.number,
                "clause": group.clause,
                "sentence": group.sentence,
                "bracket": group.bracket,
                "lesser": group.lesser,
                "states": tuple(states),
                "sizes": tuple(sizes),
                "conditions": tuple(conditions),
                "holding": tuple(holding),
                "numbers": tuple(numbers),
                "pronoun": group.pronoun,
                "article": group.article,
                "unknown": " ".join([self.pieces[place].text for place in self.strange(group, group.front)]),
            }
            for place in heads or nouns[-1:] or group.places[-1:]:
                piece = self.pieces[place]
                found.append(
                    Part(
                        place,
                        piece.text,
                        piece.norm,
                        piece.start,
                        piece.end,
                        () if self.is_how(place) else piece.meanings,
                        self.subjects.get(place, ()),
                        self.noun(piece, group),
                        piece.found
                        or ("letter" if piece.kind == "letter" else "class" if piece.kind == "class" else ""),
                        state=piece.state,
                        plural=piece.plural,
                        **shared,  # type: ignore[arg-type]
                    )
                )
        return found

    def read(self) -> Roles:
        self.chunk()
        self.kit()
        self.back()
        self.give_roles()
        self.reacted()
        parts = self.parts()
        unknown, loose = self.strangers()
        aside = tuple([one for one in self.aside() if one[0] not in unknown])
        taken = tuple(dict.fromkeys(self.taken))
        return Roles(tuple(parts), self.used, tuple(unknown), tuple(loose), aside, self.options, taken)

    def aside(self) -> list[tuple[str, str]]:
        """Ordinary words beside a part ("pumpkin oil"), or in the place of one, which name nothing known."""
        found: list[tuple[str, str]] = []
        for number, group in enumerate(self.groups):
            words = [self.pieces[place] for place in group.places if self.pieces[place].kind == "word"]
            words = [one for one in words if one.text.isalpha() and len(one.text) > 2 and not one.text.endswith(_VERBAL)]
            near = [one for one in (group, *self.groups[max(0, number - 1) : number + 2]) if self.touch(group, one)]
            if words and group.role in _PRESENT and near:
                beside = [self.pieces[place].text for place in self.heads(near[0])]
                found.append((" ".join([word.text for word in words]), " ".join(beside)))
        return found

    def touch(self, group: Group, other: Group) -> bool:
        """Whether a group is one that names something, or only words that link stand between it and one that does."""
        first, last = sorted((group, other), key=lambda one: one.number)
        between = self.pieces[first.places[-1] + 1 : last.places[0]] if first is not last else ()
        linked = all(
            one.norm in ARTICLES or one.mark == "," or (one.kind == "cue" and one.has("join", *LINKS)) for one in between
        )
        return bool(self.heads(other)) and linked

    def value_told(self, place: int) -> bool:
        """ "phenol (pKa = 10)": in brackets after a name, a sign and its value."""
        if not 1 < place < len(self.pieces) - 2:
            return False
        name, opens, _, value, closes = self.pieces[place - 2 : place + 3]
        told = value.kind == "number" and not value.dimension and not value.unit
        return name.kind in ("name", "class") and opens.mark == "(" and told and closes.mark in (")", ",", ";")

    def strangers(self) -> tuple[list[str], list[str]]:
        """Words not known: those that may be a part of the mixture, and those away from any list."""
        unknown: list[str] = []
        loose: list[str] = []
        nothing = not any(self.heads(group) for group in self.groups)
        for number, group in enumerate(self.groups):
            pieces = [self.pieces[place] for place in group.places]
            heads = self.heads(group)
            strange = [self.pieces[place] for place in self.strange(group)]
            if (
                strange
                and not heads
                and all(piece.text[:1].isupper() and piece.text[1:].islower() for piece in strange)
            ):
                loose.append(" ".join(piece.text for piece in strange))  # a person or place
                continue
            said = [piece for piece in pieces if piece.kind in ("unknown", "word", "name") or piece.has("compound")]
            text = " ".join(dict.fromkeys(piece.text for piece in said))
            if not heads and group.role in _PRESENT and any(piece.has("compound") for piece in pieces[:-1]):
                unknown.append(" ".join(piece.text for piece in pieces))  # "cyanide solution": of which cyanide
                continue
            if strange and not heads and self.value_told(group.places[0]):
                loose.append(text)
                continue
            part = group.role in _PRESENT
            if group.clause in self.titles and not any(self.heads(g) for g in self.groups if g.clause == group.clause):
                loose += [text] if strange else []  # "std 6 activity: ..."
                continue
            end = group.places[-1] + 1
            follows = self.pieces[end] if end < len(self.pieces) else None
            opens = not heads and not group.joined and not group.link and not group.verb
            if (
                strange
                and opens
                and follows is not None
                and follows.kind == "cue"
                and follows.has("instruct", "light", "person")
            ):
                loose.append(text)  # "breifly describe ..."
                continue
            if strange:
                classes = any(
                    (piece.kind == "class" and not piece.has("compound")) or piece.has("piece") for piece in pieces
                )
                named = sum(len(self.heads(other)) for other in self.groups[:number])
                inside = group.link == "in" and (group.verb in ("want", "use", "have") or (group.article and named > 1))
                whole = any(piece.has("whole") for piece in pieces)
                away = not heads and (inside or group.link == "for" or classes or whole)
                (unknown if part and not away else loose).append(text)
                continue
            asked = nothing and bool(group.verb) and part and not group.pronoun
            opening = group.verb == "separate" and number + 1 < len(self.groups) and self.groups[number + 1].joined
            if heads or not part or ((group.closed or not group.joined) and not asked and not opening):
                continue
            words = [piece for piece in pieces if piece.kind == "word"]
            if not words or words[-1] is not pieces[-1] or len(words) < len(pieces) - 2 or group.pronoun:
                continue
            before = self.groups[number - 1] if number else None
            end = group.places[-1] + 1
            after = self.pieces[end] if end < len(self.pieces) else None
            bounded = after is None or after.kind == "mark" or after.has("join", "from")
            listed = before is not None and before.clause == group.clause and bool(self.heads(before))
            beyond = self.groups[number + 1] if number + 1 < len(self.groups) else None
            leads = (  # "separate slat and sand": the first of a list that goes on with something known
                group.verb == "separate"
                and not group.link
                and after is not None
                and after.has("join")
                and beyond is not None
                and beyond.clause == group.clause
                and bool(self.heads(beyond))
            )
            if (bounded and listed) or asked or leads:
                unknown.append(text)
        return unknown, loose


def read_roles(
    pieces: Sequence[Piece],
    used: Mapping[int, tuple[str, str]],
    subjects: Mapping[int, tuple[str, ...]],
    table: Table,
    words: Lexicon,
) -> Roles:
    """The roles of the names in the pieces. used: pieces with a role already; subjects: described substances by piece."""
    return _Reader(pieces, used, subjects, table, words).read()


def shown(roles: Roles) -> str:
    """The parts, a line each: role, as written, what decided."""
    lines = []
    for part in roles.parts:
        means = part.name.id if part.name is not None else ",".join(part.given) or part.noun or "-"
        lines.append(
            f"{part.role:10} {part.text!r} {means} ({part.because}; verb {part.verb or '-'}, link {part.link or '-'})"
        )
    lines += [f"unknown    {text!r}" for text in roles.unknown]
    return "\n".join(lines)
