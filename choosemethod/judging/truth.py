"""Truth: whether what an answer states is so, from the table and from the states the answer's own steps lead through."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from choosemethod.advice.compose import Composer
from choosemethod.advice.wording import joined
from choosemethod.judging.about import About, Acted, Found
from choosemethod.judging.in_steps import InSteps
from choosemethod.judging.lexicon import Lexicon
from choosemethod.judging.properties import Properties
from choosemethod.judging.quantities import Quantities
from choosemethod.judging.statements import Statement
from choosemethod.table.model import Substance

__all__ = ["Acted", "Found", "Truth"]


class Truth(About):
    """Holds statements against one question's mixture."""

    def __init__(self, composer: Composer, lexicon: Lexicon, tolerances: dict[str, float]) -> None:
        super().__init__(composer, lexicon, tolerances)
        self.quantities = Quantities(self)
        self.properties = Properties(self, self.quantities)
        self.steps = InSteps(self)

    def of(self, statement: Statement, acted: Acted = ()) -> Found | None:
        """Whether a statement is true; None if it is nothing that can be checked. acted: the steps the answer takes."""
        if statement.unknown:
            return Found(None, f"{statement.unknown!r} is not known here")
        if statement.relation == "percent":
            return self.quantities.percent(statement)
        statement = statement._replace(
            subjects=self._opened(statement.subjects), objects=self._opened(statement.objects)
        )
        kind, _, key = statement.relation.partition(":")
        if kind == "number":
            return self.quantities.number(key, statement)
        if kind == "compare":
            return self.quantities.compare(key, statement)
        if kind == "gap":
            return self.quantities.gap(statement)
        relation = self.lexicon.relations[kind]
        if relation.says == "part":
            return self.steps.part(relation, statement, acted)
        if (
            relation.of
            and statement.group == ""
            and (shown := self.steps.part(relation, statement, acted, strict=True)) is not None
        ):
            return shown
        if relation.says == "reacts":
            return self.steps.reacts(statement, acted)
        if relation.says == "layer" and (shown := self.steps.part(relation, statement, acted, strict=True)) is not None:
            return shown
        if (
            relation.says == "dissolves"
            and statement.group == ""
            and (shown := self.steps.in_step(statement, acted)) is not None
        ):
            return shown
        if relation.says == "layer":
            return self._each(statement, lambda s: self.properties.layer(relation.place, s, statement))
        if relation.says == "phase":
            return self._each(statement, lambda s: Found(s.phase == relation.place, f"{s.name} is a {s.phase}"))
        if relation.says == "order":
            return self.properties.order(relation.place, statement)
        if relation.says == "mixes":
            return self.properties.mixes(statement)
        if relation.says == "taken":
            return self.properties.taken(statement)
        if relation.says == "spoils":
            return self._each(statement, self.properties.spoils)
        if relation.says == "azeotrope":
            return self.properties.azeotrope(statement)
        if relation.says == "dissolves":
            return self._each(statement, lambda s: self.properties.dissolves(s, statement))
        return self._each(statement, lambda s: self.properties.flag(relation.says, s))

    def _opened(self, idents: Sequence[str]) -> tuple[str, ...]:
        """Ids with a named mixture replaced by those of its parts that are there."""
        out: list[str] = []
        for ident in idents:
            if ident.startswith("*"):
                out += [p.substance for p in self.table.mixture(ident[1:]).components if p.substance in self.everything]
            else:
                out.append(ident)
        return tuple(dict.fromkeys(out))

    def _each(self, statement: Statement, check: Callable[[Substance], Found | None]) -> Found | None:
        """A statement about each of its subjects, with both, neither and only."""
        subjects = [s for ident in statement.subjects if (s := self.substance(ident)) is not None]
        if not subjects:
            return None
        denied = statement.denied and statement.group != "neither"
        want = not (denied or statement.group == "neither")
        found: list[Found] = [f for s in subjects if (f := check(s)) is not None]
        if not found:
            return None
        if statement.group == "only":
            others = [
                s for i in self.everything if i not in statement.subjects and (s := self.substance(i)) is not None
            ]
            found += [
                f._replace(true=None if f.true is None else not f.true) for s in others if (f := check(s)) is not None
            ]
        words = joined(dict.fromkeys(f.words for f in found))
        source = joined(dict.fromkeys(f.source for f in found if f.source))
        if any(f.true is not None and f.true != want for f in found):
            return Found(False, words, source)
        if any(f.true is None for f in found):
            return Found(None, words, source)
        return Found(True, words, source)
