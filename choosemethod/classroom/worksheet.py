"""Check a worksheet: each row's answer judged, each claim checked, and what a change of table or rules would change.

Identical questions are planned once; what is kept of them is bounded, so memory does not grow with the rows.
"""

from __future__ import annotations

import re
from collections import OrderedDict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, TypeVar

from choosemethod.advice.compose import Composer
from choosemethod.advice.plan import Look
from choosemethod.classroom.readers import Row
from choosemethod.errors import ChooseMethodError, UsageError
from choosemethod.judging.answers import Said, TechniqueReader, bringing_in
from choosemethod.judging.awards import Award, awards
from choosemethod.judging.claims import Claim, Claims
from choosemethod.judging.clauses import tokens
from choosemethod.judging.lexicon import lexicon
from choosemethod.judging.replay import Given, Judge, Judgement
from choosemethod.judging.rules import VERDICTS, Judging, judging
from choosemethod.judging.safety import unsafe_acts
from choosemethod.judging.scheme import Scheme, by_scheme, in_so_many_words, of_cells, read_scheme, written_scheme
from choosemethod.judging.statements import statements
from choosemethod.judging.truth import Truth
from choosemethod.mixture import LEVELS, Component, Question, Wish
from choosemethod.quantity import QuantityError, parse_number
from choosemethod.reading import given_substances, level_of, read_words
from choosemethod.reading.lexicon import without_keys_of
from choosemethod.rulebook import Rulebook, open_rulebook
from choosemethod.table import Table, open_table
from choosemethod.table.names import normalise

__all__ = ["ADDED", "Asked", "Checked", "Checker", "Columns", "Marked", "Summary", "columns_of", "compare"]

ROLES = (
    "mixture", "answer", "reason", "wish", "constraint", "level", "marks", "front", "spot", "accept", "refuse", "points",
)  # fmt: skip
# The columns a checked worksheet gets, in their order.
ADDED = (
    "verdict",
    "verdict reason",
    "best answer",
    "understood",
    "claims checked",
    "rule",
    "source",
    "place",
    "awarded",
)
_KEPT_QUESTIONS = 64
_KEPT_ROWS = 4096
_MOST_REVIEWED = 200
_KEPT_LOOKS = 3000
_LONGEST_QUESTION = 4_000  # characters

# "[2]", "[2 marks]", "(2 marks)" at the end of a question.
_MARKS = re.compile(r"\s*(?:\[\s*(\d+)\s*(?:marks?|points?)?\s*\]|\(\s*(\d+)\s*(?:marks?|points?)\s*\))\s*\Z", re.I)

T = TypeVar("T")


# ---- columns ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Columns:
    """Which column holds what: role -> place (0-based), and the columns of claims as (place, kind, about).

    kind "" is a column of free claims; about: what the heading says the claim is about.
    """

    roles: Mapping[str, int]
    claims: tuple[tuple[int, str, str], ...] = ()

    def cell(self, cells: Sequence[str], role: str) -> str:
        """The cell of a role, "" if there is no such column."""
        place = self.roles.get(role)
        return cells[place].strip() if place is not None and place < len(cells) else ""


def known_headings(headings: Sequence[str], rules: Judging) -> int:
    """How many of the roles these headings name."""
    return len(_by_heading(headings, rules))


def _by_heading(headings: Sequence[str], rules: Judging) -> dict[str, int]:
    plain = [normalise(heading) for heading in headings]
    found: dict[str, int] = {}
    for role in ROLES:  # a heading that is just the word
        for phrase in rules.columns.get(role, ()):
            places = [i for i, heading in enumerate(plain) if heading == normalise(phrase) and i not in found.values()]
            if places and role not in found:
                found[role] = places[0]
    claimed = {place for place, _, _ in _claim_columns(headings, rules, ())}
    rest: list[tuple[int, int, str, int]] = []
    for place, heading in enumerate(plain):  # a heading that holds the word, the earliest in it
        if place in found.values() or place in claimed:
            continue
        for role in ROLES:
            if role in found:
                continue
            for phrase in rules.columns.get(role, ()):
                where = f" {heading} ".find(f" {normalise(phrase)} ")
                if where >= 0:
                    rest.append((where, -len(phrase), role, place))
    for _, _, role, place in sorted(rest):
        if role not in found and place not in found.values():
            found[role] = place
    return found


def _claim_columns(headings: Sequence[str], rules: Judging, taken: Iterable[int]) -> tuple[tuple[int, str, str], ...]:
    out = []
    used = set(taken)
    free = {normalise(words) for words in rules.words["claims-heading"]}
    for place, heading in enumerate(headings):
        if place in used:
            continue
        plain = normalise(heading)
        if plain in free:
            out.append((place, "", ""))
            continue
        for kind, phrases in rules.claim_columns.items():
            words = [normalise(phrase) for phrase in phrases]
            words.sort(key=len, reverse=True)
            begins = next((word for word in words if plain == word or plain.startswith(f"{word} of ")), None)
            if begins is not None:
                out.append((place, kind, plain[len(begins) :].removeprefix(" of ").strip()))
                break
    return tuple(out)


def columns_of(
    headings: Sequence[str],
    rules: Judging,
    named: Mapping[str, str] | None = None,
    needed: Sequence[str] = ("mixture", "answer"),
) -> Columns:
    """The columns by their headings; named: role -> heading or number (from 1). UsageError if one is missing."""
    named = named or {}
    given: dict[str, int] = {}
    for role, heading in named.items():
        if role not in (*ROLES, "claims"):
            raise UsageError(f"{role!r} is no column this program knows; write one of: {', '.join((*ROLES, 'claims'))}")
        plain = [normalise(one) for one in headings]
        if heading in headings:
            given[role] = list(headings).index(heading)
        elif normalise(heading) in plain:
            given[role] = plain.index(normalise(heading))
        elif heading.isdigit() and 1 <= int(heading) <= len(headings):
            given[role] = int(heading) - 1
        else:
            raise UsageError(f"there is no column {heading!r}; the columns are: {', '.join(headings)}")
    free = [given.pop("claims")] if "claims" in given else []
    found = {
        role: place for role, place in _by_heading(headings, rules).items() if place not in (*given.values(), *free)
    }
    roles = {**found, **given}
    for role in needed:
        if role not in roles:
            listed = ", ".join(headings)
            raise UsageError(
                f"no column of the {role} was recognised among: {listed}; name it: --columns {role}=HEADING"
            )
    claims = _claim_columns(headings, rules, (*roles.values(), *free))
    return Columns(roles, (*((place, "", "") for place in free), *claims))


# ---- one row ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Asked:
    """What a row asks, as plain text: the parts of the question, the answer, and its claims as (kind, about, cell)."""

    mixture: str
    answer: str
    reason: str = ""
    wish: str = ""
    constraint: str = ""
    level: str = ""
    marks: str = ""
    front: str = ""
    spot: str = ""
    accept: str = ""
    refuse: str = ""
    points: str = ""
    claims: tuple[tuple[str, str, str], ...] = ()

    @property
    def question(self) -> tuple[str, str, str]:
        """What decides the plan: rows with the same are planned once."""
        return self.mixture, self.wish, self.constraint


def without_marks(question: str) -> tuple[str, str]:
    """A question without the marks in brackets at its end, and these; "" if there are none."""
    found = _MARKS.search(question)
    return (question[: found.start()], found[1] or found[2]) if found else (question, "")


def asked_of(cells: Sequence[str], columns: Columns) -> Asked:
    """A row's cells by their columns; marks may stand at the end of the question."""
    values = {role: columns.cell(cells, role) for role in ROLES}
    values["mixture"], marks = without_marks(values["mixture"])
    values["marks"] = values["marks"] or marks
    claims = tuple((kind, about, cells[place]) for place, kind, about in columns.claims if cells[place].strip())
    return Asked(**values, claims=claims)


@dataclass(frozen=True, slots=True)
class Marked:
    """What checking a row found.

    verdict: one of VERDICTS; reason; best: the best answer in words; understood: the answer as read; claims: checked;
    rule, source: what decides; remark: what the level adds; marks: what the answer earns, None if that is not said;
    awarded: its points one by one; hint: the reason without what would have to be done; scheme: the question of the
    author's own scheme that was used, "" if none was.
    """

    verdict: str
    reason: str
    best: str = ""
    understood: str = ""
    claims: tuple[Claim, ...] = ()
    rule: str = ""
    source: str = ""
    remark: str = ""
    marks: float | None = None
    most: float | None = None
    awarded: tuple[Award, ...] = ()
    hint: str = ""
    scheme: str = ""

    @property
    def fine(self) -> bool:
        """Whether nothing is wrong: the answer is right or acceptable and no claim is false."""
        return self.verdict in ("right", "acceptable") and not any(claim.verdict == "false" for claim in self.claims)

    def added(self, place: str) -> tuple[str, ...]:
        """The cells of the columns ADDED."""
        reason = f"{self.reason} {self.remark}".strip()
        claims = "; ".join(claim.shown() for claim in self.claims)
        awarded = "; ".join(award.shown() for award in self.awarded)
        return self.verdict, reason, self.best, self.understood, claims, self.rule, self.source, place, awarded


@dataclass(frozen=True, slots=True)
class Checked:
    """A row of the worksheet with what was found; found is None for a blank row."""

    row: Row
    found: Marked | None


@dataclass(slots=True)
class Summary:
    """Counts over the rows: by verdict, by truth of the claims, and the marks."""

    verdicts: dict[str, int] = field(default_factory=lambda: dict.fromkeys(VERDICTS, 0))
    claims: dict[str, int] = field(default_factory=lambda: {"true": 0, "false": 0, "not known": 0})
    marks: float = 0.0
    most: float = 0.0
    rows: int = 0
    wrong: bool = False
    review: list[str] = field(default_factory=list)
    schemes: set[str] = field(default_factory=set)

    def add(self, found: Marked, place: str = "") -> None:
        """Count a row; where nothing sure can be said of it, a person is to look at it."""
        self.rows += 1
        self.schemes.add(found.scheme)
        if len(self.review) < _MOST_REVIEWED and found.verdict == "cannot tell":
            self.review.append(place)
        self.verdicts[found.verdict] += 1
        for claim in found.claims:
            self.claims[claim.verdict] += 1
        if found.marks is not None and found.most is not None:
            self.marks += found.marks
            self.most += found.most
        self.wrong = self.wrong or not found.fine

    @property
    def text(self) -> str:
        """The summary in one line."""
        parts = [f"{count} {verdict}" for verdict, count in self.verdicts.items() if count]
        out = f"{self.rows} {'row' if self.rows == 1 else 'rows'}: {', '.join(parts) or 'no answers'}"
        if any(self.claims.values()):
            out += "; claims: " + ", ".join(f"{count} {verdict}" for verdict, count in self.claims.items() if count)
        if self.most:
            out += f"; marks: {self.marks:g} of {self.most:g}"
        if any(self.review):
            out += f"; for a person to look at: {', '.join(self.review)}"
        return out


class _Kept(OrderedDict[object, T]):
    """A bounded memory: the least recently used goes first."""

    def __init__(self, most: int) -> None:
        super().__init__()
        self.most = most

    def find(self, key: object) -> T | None:
        found = self.get(key)
        if found is not None:
            self.move_to_end(key)
        return found

    def keep(self, key: object, value: T) -> T:
        self[key] = value
        if len(self) > self.most:
            self.popitem(last=False)
        return value


class _Looks(dict[tuple[Component, ...], Look]):
    """A planner's looks, with those of other questions of the same wish and setting at partly separated mixtures.

    What the rules say of such a mixture depends on nothing else; of the question's own mixture they may say more.
    """

    def __init__(self, question: Question, shared: _Kept[Look]) -> None:
        super().__init__()
        self.whole = frozenset(question.mixture.components)
        self.same = (question.wish, question.setting)
        self.shared = shared

    def get(self, components: tuple[Component, ...], default: Any = None) -> Any:
        """The look at these components; `default` if there has been none."""
        found = super().get(components)
        if found is None and frozenset(components) != self.whole:
            found = self.shared.find((self.same, components))
        return default if found is None else found

    def __setitem__(self, components: tuple[Component, ...], look: Look) -> None:
        super().__setitem__(components, look)
        if frozenset(components) != self.whole:
            self.shared.keep((self.same, components), look)


class Checker:
    """Checks rows with one table and one set of rules."""

    def __init__(
        self, extra: Sequence[Path] = (), folder: Path | None = None, level: str = "", scheme: Path | None = None
    ) -> None:
        """extra: table files; folder: another rules folder; level: of rows that name none; scheme: the author's own."""
        self.scheme = scheme
        self.schemes: dict[str, Scheme] = read_scheme(scheme) if scheme is not None else {}
        self.extra = tuple(extra)
        self.folder = folder
        self.level = level_of(level) if level else ""
        if level and not self.level:
            raise UsageError(f"{level!r} is no level; write one of: {', '.join(LEVELS)}")
        self.table: Table = open_table(self.extra)
        self.book: Rulebook = open_rulebook(self.table, folder)
        self.rules = judging(folder if folder is not None and (folder / "judging.yaml").is_file() else None)
        names = {slug: technique.name for slug, technique in self.book.techniques.items()}
        self.names = names
        self.lexicon = lexicon(
            folder if folder is not None and (folder / "classroom" / "statements.yaml").is_file() else None
        )
        self.reader = TechniqueReader(self.table, self.rules, bringing_in(self.book))
        self._questions: _Kept[tuple[Judge, Claims]] = _Kept(_KEPT_QUESTIONS)
        self._aimless: _Kept[tuple[Judge, ...]] = _Kept(_KEPT_QUESTIONS)
        self._looks: _Kept[Look] = _Kept(_KEPT_LOOKS)
        self._found: _Kept[Marked] = _Kept(_KEPT_ROWS)
        self._meanings: dict[object, str] = {}  # what the questions of the scheme mean, made when a row asks otherwise

    def known(self, headings: Sequence[str]) -> int:
        """How many of these headings are known."""
        return known_headings(headings, self.rules)

    # ---- the question --------------------------------------------------------------------------------------------

    def _question(self, asked: Asked) -> Question:
        """The question of a row. A constraint may be a phrase of what is lacking, a pressure or an altitude."""
        wish = (asked.wish,) if asked.wish else ()
        if not asked.constraint:
            return read_words(asked.mixture, self.table, want=wish)
        if without_keys_of(asked.constraint):
            question = read_words(asked.mixture, self.table, want=wish, without=(asked.constraint,))
            if not any(sign.isdigit() for sign in asked.constraint):
                return question
        told = read_words(f"{asked.mixture.rstrip(' .')}. {asked.constraint}", self.table, want=wish)
        plain = read_words(asked.mixture, self.table, want=wish)
        # a constraint that is not understood must not make the mixture unknown
        return told if len(told.unknown) <= len(plain.unknown) else plain

    def judge_of(self, asked: Asked) -> tuple[Judge, Claims]:
        """The judge and the claims checker of a row's question, made once for all rows that ask the same."""
        known = self._questions.find(asked.question)
        if known is not None:
            return known
        question = self._question(asked)
        # a level changes wording and remarks, never which answer is right
        question = replace(question, setting=replace(question.setting, level=""))
        given = given_substances(question)
        composer = Composer(self.table.with_given(given) if given else self.table, self.book, question)
        if not given:
            composer.planner.looks = _Looks(question, self._looks)
        return self._questions.keep(asked.question, (Judge(composer, self.rules), Claims(composer, self.rules)))

    # ---- a row ---------------------------------------------------------------------------------------------------

    def check(self, asked: Asked) -> Marked:
        """Check one row; whatever goes wrong in it becomes its verdict."""
        known = self._found.find(asked)
        if known is not None:
            return known
        try:
            found = self._check(asked)
        except ChooseMethodError as error:
            found = Marked("cannot tell", str(error))
        except Exception as error:  # one row must never stop the rest
            found = Marked("cannot tell", f"a fault of the program, please report it ({type(error).__name__}: {error})")
        return self._found.keep(asked, found)

    def _check(self, asked: Asked) -> Marked:
        if not asked.mixture:
            return Marked("cannot tell", "The row names no mixture.")
        if max(len(asked.mixture), len(asked.wish), len(asked.constraint)) > _LONGEST_QUESTION:
            return Marked("cannot tell", f"The question is longer than {_LONGEST_QUESTION} characters.")
        said = self.reader.read(asked.answer)
        answer, reason = (self.reader.mender.mend(text)[0] for text in (asked.answer, asked.reason))
        asked = replace(asked, answer=answer, reason=reason)
        judge, checker = self.judge_of(asked)
        if not asked.answer:
            claims = self._claims(asked, said, checker, Judgement("cannot tell", ""))
            return self._marked(asked, Judgement("cannot tell", "The row gives no answer."), judge, said, claims)
        said = self._observed(asked, said, checker)
        if any(f"{normalise(asked.mixture)} ".startswith(f"{words} ") for words in self.rules.words["explains"]):
            return self._explained(asked, judge, said, checker)
        found = self._judged(judge, said)
        if found.verdict == "wrong" and not asked.wish:
            again = (self._judged(other, said) for other in self._with_other_aims(asked, judge))
            fine = next((one for one in again if one.verdict in ("right", "acceptable")), None)
            found = replace(fine, verdict="acceptable") if fine is not None else found
        claims = self._claims(asked, said, checker, found)
        if said.unknown and found.verdict in ("right", "acceptable"):
            words = ", ".join(repr(words) for words in said.unknown)
            reason = f"Part of the answer was not understood: {words}. The rest: {found.reason}"
            found = replace(found, verdict="cannot tell", reason=reason)
        plain = self._begun(found, said)
        own = of_cells((asked.accept, asked.refuse, asked.points))
        entry = "" if any(own) else self._entry(asked, judge)
        own = self.schemes[entry] if entry else own
        schemed, share = by_scheme(asked.answer, said, plain, own, self.reader) if any(own) else (plain, None)
        found = self._weighed(asked, schemed, judge, said, claims, checker.truth)
        points = awards(said, plain, found, claims, self.lexicon, asked.reason or said.reason)
        if found.verdict != schemed.verdict:
            found, share = in_so_many_words(asked.answer, found, own), None
        return replace(self._marked(asked, found, judge, said, claims, points, share), scheme=entry)

    def _entry(self, asked: Asked, judge: Judge) -> str:
        """The question of the author's scheme that a row asks, in the same words or with the same mixture and wish."""
        plain = normalise(asked.mixture)
        if plain in self.schemes or not self.schemes:
            return plain if plain in self.schemes else ""
        if not self._meanings:
            for text in self.schemes:
                question = read_words(text, self.table)
                if question.mixture.components and not question.unknown:
                    self._meanings.setdefault(_meaning(question), text)
        return self._meanings.get(_meaning(judge.composer.question), "")

    def _begun(self, found: Judgement, said: Said) -> Judgement:
        """An answer whose last step is only begun is incomplete."""
        if not said.halfway or found.verdict not in ("right", "acceptable") or not found.steps:
            return found
        adding = bool(said.choices) and len(said.choices[0][-1].slugs) > 1 and bool(said.choices[0][-1].adds)
        if adding and found.steps[-1].technique not in self.rules.words["half-done"]:
            return found
        reason = f"{said.halfway!r} is only the beginning: what has to follow is not said. {found.reason}"
        return replace(found, verdict="incomplete", reason=reason)

    def _observed(self, asked: Asked, said: Said, checker: Claims) -> Said:
        """The answer with the techniques that its observations tell of, where it names none; what is stated is understood."""
        told = statements(asked.answer, self.lexicon, checker.truth.named, checker.truth.everything)
        texts = [set(normalise(one.text).split()) for one in told]
        unknown = tuple(
            words
            for words in said.unknown
            if not any(set(normalise(words).split()) <= text or text <= set(normalise(words).split()) for text in texts)
        )
        if said.choices or said.others:
            return replace(said, unknown=unknown)
        slugs = [slug for one in told if (relation := self.lexicon.relations.get(one.relation)) for slug in relation.of]
        others = tuple((Given((slug,)),) for slug in dict.fromkeys(slugs) if slug in self.book.techniques)
        return replace(said, unknown=unknown, others=others)

    def _explained(self, asked: Asked, judge: Judge, said: Said, checker: Claims) -> Marked:
        """An answer to "why ...?": its statements are what counts, held against the steps the question names."""
        steps = self.reader.read(asked.mixture)
        named = [t.id for t in tokens(asked.mixture, self.lexicon, checker.truth.named) if t.kind == "name"]
        about = tuple(i for i in named if i in checker.truth.everything)[:1]
        spoken = [replace(step, kinds=()) for choice in steps.choices for step in choice]
        spoken += [Given((slug,)) for slug in steps.denied]
        found = judge.judge(spoken) if spoken else Judgement("cannot tell", "")
        claims = self._claims(asked, said, checker, found, about)
        wrong = [claim for claim in claims if claim.verdict == "false"]
        right = [claim for claim in claims if claim.verdict == "true"]
        if wrong:
            found = Judgement(
                "wrong", f"{wrong[0].text.strip()!r} is not so: {wrong[0].found}.", source=wrong[0].source
            )
        elif right:
            found = Judgement("right", f"{right[0].found}.", source=right[0].source)
        else:
            found = Judgement("cannot tell", "The reason given was not understood.")
        return self._marked(asked, found, judge, said, claims)

    def _with_other_aims(self, asked: Asked, judge: Judge) -> tuple[Judge, ...]:
        """Judges of the same question where a named mixture only implies what is wanted: nothing, or its liquid."""
        key = (*asked.question, "other aims")
        known = self._aimless.find(key)
        if known is None:
            question = judge.composer.question
            aims: list[tuple[str, ...]] = []
            if not question.wish.said and question.wish.aim == "separate":
                whole = bool(question.mixture.named)
                aims += [()] if whole and question.wish.want else []
                parts = [c for c in judge.start if c.form == "dissolved"]
                hosts = {c.host for c in parts if whole or any({c.substance, c.host} <= one for one in judge.things)}
                aims += [(host,) for host in sorted(hosts - set(question.wish.want))]
            setting = replace(question.setting, level="")
            asks = [replace(question, wish=Wish(want=aim), setting=setting) for aim in aims]
            known = self._aimless.keep(key, tuple(Judge(Composer(self.table, self.book, q), self.rules) for q in asks))
        return known

    def _weighed(
        self, asked: Asked, found: Judgement, judge: Judge, said: Said, claims: tuple[Claim, ...], truth: Truth
    ) -> Judgement:
        """The judgement with what must not be done, and with what is said that is not so, taken into account."""
        facts = judge.planner.look(judge.start)
        steps = [
            self.book.techniques[taken.technique] for taken in found.steps if taken.technique in self.book.techniques
        ]
        steps += [
            self.book.techniques[step.slugs[0]]
            for choice in said.choices
            for step in choice
            if step.slugs[0] in self.book.techniques
        ]
        known = judge.composer.bench.known
        named = {
            t.id for t in tokens(asked.answer, self.lexicon, truth.named) if t.kind == "name" and self.table.has(t.id)
        }
        pure = [(self.table.substance(i).name, known.pure(i)[0]) for i in sorted(named - set(truth.everything))]
        acts = unsafe_acts(
            asked.answer, self.lexicon, facts.facts["component"], pure,
            [str(fact.slots["severity"]) for fact in facts.facts["danger"]],
            any("heats" in t.traits for t in steps), any("boils" in t.traits for t in steps),
        )  # fmt: skip
        if acts:
            worst = next((act for act in acts if act.verdict == "unsafe"), acts[0])
            return replace(found, verdict=worst.verdict, reason=worst.because, rule=worst.key)
        wrong = [claim for claim in claims if claim.verdict == "false"]
        if wrong and found.verdict in ("right", "acceptable"):
            acted = any(claim.acted for claim in wrong)
            verdict = "wrong" if acted else "incomplete"
            told = "; ".join(f"{claim.text.strip()!r} is not so: {claim.found}" for claim in wrong[:2])
            return replace(found, verdict=verdict, reason=f"{told}. {found.reason}")
        if found.verdict in ("right", "acceptable") and (beside := self._beside(asked, found, said, truth)):
            return replace(found, verdict="incomplete", reason=f"{beside} {found.reason}")
        return found

    def _beside(self, asked: Asked, found: Judgement, said: Said, truth: Truth) -> str:
        """Why a reason that may be true is none for the techniques used; "" if it is one, or nothing is said of it."""
        reason = asked.reason or said.reason
        told = statements(reason, self.lexicon, truth.named, truth.everything) if reason else ()
        quantities = self.lexicon.quantities_in(tokens(reason, self.lexicon, lambda words: "")) if reason else ()
        topics = {one.relation.partition(":")[2] or one.relation for one in told} | set(quantities)
        used = {slug for taken in found.steps for slug in (taken.said, taken.technique)}
        matters = {topic for slug in used for topic in self.lexicon.matters.get(slug, ())}
        told_of = {topic for listed in self.lexicon.matters.values() for topic in listed} | set(self.lexicon.quantities)
        if said.denied or not topics <= told_of:
            return ""  # why another technique would not do, or what must be minded
        if not topics or not matters or topics & matters or not used & set(self.lexicon.matters):
            return ""
        names = ", ".join(self.names.get(taken.technique, taken.technique) for taken in found.steps)
        return f"The reason given ({reason.strip()!r}) is not why {names} works."

    @staticmethod
    def _judged(judge: Judge, said: Said) -> Judgement:
        """The judgement of an answer; of alternatives the worst counts."""
        order = ("right", "acceptable", "incomplete", "cannot tell", "wrong", "unsafe")
        if not said.choices and not said.others:
            return judge.judge((), said.status)
        best = max(
            (judge.judge(steps) for steps in said.choices), key=lambda found: order.index(found.verdict),
            default=Judgement("cannot tell", "The answer names no technique that is known here."),
        )  # fmt: skip
        for steps in said.others:  # another way to read it counts where it makes more of the answer
            if best.verdict == "right":
                break
            best = min((best, judge.judge(steps)), key=lambda found: order.index(found.verdict))
        return best

    def _claims(
        self, asked: Asked, said: Said, checker: Claims, found: Judgement, about: tuple[str, ...] = ()
    ) -> tuple[Claim, ...]:
        front = _length(asked.front)
        spots = [value for part in asked.spot.replace(";", ",").split(",") if (value := _length(part)) is not None]
        used = {slug for taken in found.steps for slug in (taken.said, taken.technique)}
        used |= {slug for choice in said.choices for step in choice for slug in step.slugs}
        out: list[Claim] = []
        for text in (asked.answer, asked.reason):
            if text:
                out += checker.check(text, front, spots, found.acted, used, about)
        for kind, of_what, cell in asked.claims:
            out += (
                checker.column(kind, of_what, cell, front, spots)
                if kind
                else checker.check(cell, front, spots, found.acted, used)
            )
        return tuple(dict.fromkeys(out))

    def _marked(
        self, asked: Asked, found: Judgement, judge: Judge, said: Said, claims: tuple[Claim, ...],
        points: tuple[Award, ...] = (), share: float | None = None,
    ) -> Marked:  # fmt: skip
        most = _number(asked.marks)
        share = self.rules.marks.get(found.verdict) if share is None else share
        hint = found.reason
        if found.left and found.verdict == "incomplete":
            hint = hint.partition(" Still to do:")[0]
        marks = most * share if most is not None and share is not None else None
        return Marked(
            found.verdict,
            found.reason,
            judge.best_text(),
            said.shown(self.names),
            claims,
            found.rule,
            found.source,
            self._remark(asked, said),
            marks,
            most,
            points,
            hint,
        )

    def _remark(self, asked: Asked, said: Said) -> str:
        """What the level of the row adds: techniques that are usually taught later."""
        level = (level_of(asked.level) if asked.level else "") or self.level
        if not level:
            return ""
        later = [
            technique
            for steps in said.choices
            for step in steps
            for slug in step.slugs[:1]
            if (technique := self.book.techniques.get(slug)) is not None
            and LEVELS.index(technique.level) > LEVELS.index(level)
        ]
        parts = [f"{t.name} is usually taught from {t.level.replace('-', ' ')} on" for t in dict.fromkeys(later)]
        return f"({'; '.join(parts)}.)" if parts else ""

    def written_scheme(self, rows: Iterable[Row], columns: Columns) -> str:
        """A marking scheme for the questions of a worksheet, as YAML text."""
        judges: dict[str, Judge] = {}
        for row in rows:
            asked = asked_of(row.cells, columns)
            if asked.mixture and asked.mixture not in judges:
                with suppress(ChooseMethodError):
                    judges[asked.mixture] = self.judge_of(asked)[0]
        return written_scheme(judges)

    # ---- rows ----------------------------------------------------------------------------------------------------

    def check_rows(self, rows: Iterable[Row], columns: Columns) -> Iterator[Checked]:
        """Check rows one after the other, in this process."""
        for row in rows:
            yield self.checked(row, columns)

    def checked(self, row: Row, columns: Columns) -> Checked:
        """One row checked; a blank one is passed on as it is."""
        if row.fault:
            return Checked(row, Marked("cannot tell", row.fault))
        if row.blank:
            return Checked(row, None)
        return Checked(row, self.check(asked_of(row.cells, columns)))


def _meaning(question: Question) -> object:
    """What makes two questions the same one."""
    parts = frozenset((c.substance, c.form, c.host) for c in question.mixture.components)
    return parts, frozenset(question.wish.want), question.wish.aim


def _length(text: str) -> float | None:
    """A distance of a chromatogram in m; a bare number is in mm."""
    text = text.strip()
    if not text:
        return None
    try:
        return parse_number(text if not text.replace(".", "", 1).isdigit() else f"{text} mm", "length")
    except QuantityError:
        return None


def _number(text: str) -> float | None:
    """Marks as a number; None if the cell holds none."""
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        return None
    return value if 0 <= value < 1e6 else None


# ---- comparing -------------------------------------------------------------------------------------------------------


def compare(
    rows: Iterable[Row], columns: Columns, before: Checker, after: Checker
) -> Iterator[tuple[Row, Marked, Marked]]:
    """The rows whose verdict, or the truth of a claim, is another with `after` than with `before`; both findings."""
    for row in rows:
        one, other = before.checked(row, columns).found, after.checked(row, columns).found
        if one is None or other is None:
            continue
        if one.verdict != other.verdict or [c.verdict for c in one.claims] != [c.verdict for c in other.claims]:
            yield row, one, other
