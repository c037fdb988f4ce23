"""Pages of what the program knows: substances of the table, techniques and rules, one or all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from choosemethod.facts import how_of_kind, how_said
from choosemethod.mixture import FORMS
from choosemethod.quantity import show
from choosemethod.rulebook.book import Rulebook
from choosemethod.rulebook.language import Pattern, Rule, Test
from choosemethod.rulebook.technique import PLACE, Line, Technique
from choosemethod.show.blocks import Block, Heading, Pairs, Para, Points, clean, sentence
from choosemethod.table.model import NamedMixture, Source, Substance, Value
from choosemethod.table.report import can_be_looked_up, coverage, table_report
from choosemethod.table.table import Table

if TYPE_CHECKING:
    from choosemethod.calculate import Calculation, Formula

__all__ = [
    "calculation_page",
    "calculations_page",
    "counts_page",
    "list_page",
    "mixture_page",
    "rule_page",
    "rules_page",
    "substance_page",
    "technique_page",
    "techniques_page",
]

_UNPUBLISHED = ("memory", "practice", "given")  # kinds of source that are not worth listing
_HEADS = {
    "proposes": "proposes",
    "rejects": "rules out",
    "refuses": "refuses because",
    "concludes": "finds",
    "warns": "warns",
}


def _words(key: str) -> str:
    return key.replace("_", " ").replace("-", " ")


class _Sources:
    """The sources met on a page, in the order met."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self.met: dict[str, Source] = {}

    def __call__(self, key: str) -> str:
        """How a value is known, from the kind of its source, with the key of the source."""
        if not key:
            return ""
        source = self.met.get(key) or self.table.source(key)
        self.met[key] = source
        how = how_of_kind(source.kind)
        return how_said(how) if source.kind in (*_UNPUBLISHED, "class") else f"{how}, {key}"

    def cited(self, key: str, row: str, agrees: Sequence[str]) -> str:
        """How a value is known, what to look it up by, and which further sources agree."""
        said = self(key) + (f", row {row}" if row else "")
        for other in agrees:
            self(other)
        return f"{said}; {' and '.join(agrees)} {'agree' if len(agrees) > 1 else 'agrees'}" if agrees else said

    def blocks(self) -> list[Block]:
        rows = [(key, clean(source.title)) for key, source in self.met.items() if source.kind not in _UNPUBLISHED]
        return [Heading("Sources"), Pairs(tuple(rows))] if rows else []


# ---- the table ---------------------------------------------------------------------------------------------------


def counts_page(table: Table) -> list[Block]:
    """How much the table holds and how well it is founded."""
    rows = [(name, f"{count}") for name, count in table_report(table)]
    blocks: list[Block] = [
        Heading("The table of substances"),
        Pairs(tuple(rows)),
        Heading("What can be looked up", minor=True),
    ]
    covered = []
    for name, counts in coverage(table).items():
        stated = sum(counts.values()) - counts["by class"]
        said = ", ".join(f"{how_said(how)} {count}" for how, count in counts.items() if count)
        covered.append((name, f"{100 * can_be_looked_up(counts):.1f} % of {stated} stated one by one ({said})"))
    return [*blocks, Pairs(tuple(covered))]


def list_page(what: str, listed: Mapping[str, str]) -> list[Block]:
    """The words of one sort, each with what it means."""
    return [Heading(f"The {len(listed)} {what}"), _rows(listed.items())]


# What rules ask a property by, where it is not the property's own name.
_ASKED_AS = {
    "boiling_point": ("boiling_gap", "boiling_range", "boils_undecomposed"),
    "condensation_point": ("boiling_point", "boiling_gap"),
    "melting_point": ("melting_gap",),
    "density": ("density_gap", "settles", "layers"),
    "particle_size": ("size_low", "size_high", "hand_size", "fine", "settles"),
    "colour": ("coloured",),
    "decomposes_at": ("boils_undecomposed",),
    "hydrate_formula": ("hydrate",),
    "solubility": (
        "in_water", "water_soluble", "hot_solubility", "solubility_rise", "solubility_ratio", "in_host",
        "first_in_second", "first_dissolves_in_second", "miscibility",
    ),
}  # fmt: skip
_MOST_RULES = 4  # rules named for one property


def _asking(book: Rulebook, substance: Substance) -> list[tuple[str, str]]:
    """For each property the substance states: the rules that ask for it, the first few by name."""
    asked: dict[str, list[str]] = {}
    for rule in book.rules.values():
        for slot in {test.slot for pattern in (*rule.find, *rule.unless) for test in pattern.tests}:
            asked.setdefault(slot, []).append(rule.id)
    rows = []
    stated = [*substance.values, *(["solubility"] if substance.solubility else [])]
    for name in stated:
        slots = {name, *_ASKED_AS.get(name, ())}
        slots |= {group.replace("-", "_") for group in book.limits.hazard_groups} if name == "hazards" else set()
        rules = sorted({rule for slot in slots for rule in asked.get(slot, ())})
        if rules:
            more = f" and {len(rules) - _MOST_RULES} more" if len(rules) > _MOST_RULES else ""
            rows.append((_words(name), ", ".join(rules[:_MOST_RULES]) + more))
    return rows


def substance_page(table: Table, substance: Substance, book: Rulebook | None = None) -> list[Block]:
    """One substance: names, every value with unit, how it is known and its source, and hazard statements.

    book: names the rules that ask for each property.
    """
    sources = _Sources(table)
    rows = [("phase at 20 °C", substance.phase), ("kind", substance.kind)]
    rows += [("formula", substance.formula)] if substance.formula else []
    rows += [("CAS number", substance.cas)] if substance.cas else []
    rows += [("also called", ", ".join(substance.also))] if substance.also else []
    rows += [("classes", ", ".join(substance.classes))] if substance.classes else []
    rows += [("a form of", table.substance(substance.like).name)] if substance.like else []
    blocks: list[Block] = [Heading(clean(substance.name)), _rows(rows)]
    values = [(_words(name), _value(value, sources)) for name, value in substance.values.items() if name != "hazards"]
    for solvent, found in substance.solubility.items():
        liquid = table.substance(solvent).name if table.has(solvent) else _words(solvent)
        said = [found.word] if found.word else []
        said += [f"{show(amount, 'solubility')} at {show(kelvin, 'temperature')}" for kelvin, amount in found.points]
        values.append(
            (
                f"solubility in {liquid}",
                _about(", ".join(said), found.of, found.note, sources.cited(found.source, found.row, found.agrees)),
            )
        )
    if (pressure := substance.vapour_pressure) is not None:
        equation = f"log10(p/Pa) = {pressure.a:g} - {pressure.b:g}/(T/K {pressure.c:+g})"
        span = f"{show(pressure.low, 'temperature')} to {show(pressure.high, 'temperature')}"
        values.append(("vapour pressure", _about(f"{equation}, {span}", pressure.note, sources(pressure.source))))
    for name, entries in substance.reagents.items():
        for entry in entries:
            reagent = table.substance(entry.reagent).name if table.has(entry.reagent) else _words(entry.reagent)
            gives = f"gives {entry.gives}" if entry.gives else ""
            gas = f"gas: {entry.gas}" if entry.gas else ""
            said_yes = "in part" if entry.yes is None else "yes" if entry.yes else "no"
            values.append(
                (f"{_words(name)} {reagent}", _about(said_yes, gives, gas, entry.note, sources(entry.source)))
            )
    if values:
        blocks += [Heading("Values"), _rows(values)]
    hazards = substance.values.get("hazards")
    if hazards is not None and hazards.words:
        blocks.append(Heading("Hazard statements"))
        blocks.append(_rows([(code, table.hazard_statement(code)) for code in hazards.words]))
        more = [f"{', '.join(words)}: {sources(source)}" for source, words in hazards.besides]
        told = [sources.cited(hazards.source, hazards.row, hazards.agrees), *more, hazards.note]
        blocks.append(Para("; ".join(clean(one) for one in told if one), "How known", "faint"))
    if book is not None and (asking := _asking(book, substance)):
        blocks += [Heading("Rules that ask for it", minor=True), _rows(asking)]
    blocks += sources.blocks()
    if substance.file:
        blocks.append(Para(clean(f"{substance.file}, line {substance.line}"), "Written in", "faint"))
    return blocks


def _rows(rows: Iterable[tuple[str, str]]) -> Pairs:
    return Pairs(tuple((clean(name), clean(said)) for name, said in rows))


def _about(said: str, *about: str) -> str:
    notes = "; ".join(word for word in about if word)
    return f"{said} ({notes})" if notes else said


def _value(value: Value, sources: _Sources) -> str:
    said = ", ".join(value.words) if len(value.words) > 1 else value.text
    if value.at is not None:
        # the properties that hold at a pressure are temperatures; every other one holds at a temperature
        pressure = value.prop.endswith(("_point", "_at"))
        said += f" at {show(value.at, 'pressure' if pressure else 'temperature')}"
    more = [f"{', '.join(words)}: {sources(source)}" for source, words in value.besides]
    return _about(said, value.of, value.note, sources.cited(value.source, value.row, value.agrees), *more)


def mixture_page(table: Table, mixture: NamedMixture) -> list[Block]:
    """One named mixture: what is in it and in what form."""
    blocks: list[Block] = [Heading(clean(mixture.name))]
    rows = []
    for part in mixture.components:
        name = table.substance(part.substance).name if table.has(part.substance) else _words(part.substance)
        share = f"{part.share * 100:.3g} % by {mixture.by or 'mass'}" if part.share is not None else ""
        host = f"in {_words(part.host)}" if part.host else ""
        rows.append((name, _about(FORMS[part.form], host, share, part.role)))
    blocks.append(_rows(rows))
    if mixture.note:
        blocks.append(Para(clean(sentence(mixture.note))))
    if mixture.really:
        blocks.append(Para(f"It is no mixture: {mixture.really}."))
    if mixture.also:
        blocks.append(Para(clean(", ".join(mixture.also)), "Also called"))
    sources = _Sources(table)
    blocks.append(Para(sources(mixture.source), "How known", "faint"))
    return blocks + sources.blocks()


# ---- techniques --------------------------------------------------------------------------------------------------


def techniques_page(book: Rulebook) -> list[Block]:
    """All techniques, in the order of the trade."""
    techniques = sorted(book.techniques.values(), key=lambda one: (one.order, one.id))
    rows = [(one.id, sentence(one.principle)) for one in techniques]
    return [Heading(f"The {len(rows)} techniques"), _rows(rows)]


def technique_page(book: Rulebook, technique: Technique, table: Table) -> list[Block]:
    """One technique: principle, apparatus, steps, cautions, limits, residues, and the rules that speak of it.

    Where an answer puts the mixture's own names and numbers, the page says in brackets what goes there.
    """
    blocks: list[Block] = [Heading(clean(technique.name)), Para(clean(sentence(technique.principle)))]
    rows = [("from", _words(technique.level))]
    if technique.needs:
        rows.append(("needs", ", ".join(_words(need) for need in technique.needs)))
    rows += [(f"“{role}”", f"a {kind}") for role, kind in technique.roles]
    blocks.append(_rows(rows))
    parts = {part.key: part.name for part in technique.parts}
    sections = (
        ("Cautions", technique.cautions, False),
        ("Apparatus", technique.apparatus, False),
        ("Steps", technique.steps, True),
        ("What will be seen", technique.seen, False),
        ("Limits", technique.limits, False),
        ("Left over", technique.residues, False),
    )
    for title, lines, numbered in sections:
        if lines:
            blocks += [Heading(title, minor=True), Points(tuple(clean(_line(line, parts)) for line in lines), numbered)]
    speaking = [rule for rule in book.rules.values() if technique.id in rule.says]
    if speaking:
        said = [
            (rule.id, f"{_HEADS[rule.head]} it: {_places(rule.because)}") for rule in sorted(speaking, key=_stage_order)
        ]
        blocks += [Heading("Rules that speak of it", minor=True), _rows(said)]
    sources = _Sources(table)
    blocks.append(Para(sources(technique.source), "How known", "faint"))
    return blocks + sources.blocks()


def _stage_order(rule: Rule) -> tuple[bool, str]:
    return rule.head != "proposes", rule.id


def _places(text: str, parts: dict[str, str] | None = None) -> str:
    """The text with each place of a name or number as words in brackets."""

    def words(role: str, slot: str) -> str:
        if not slot:
            return f"[{(parts or {}).get(role, role)}]"
        return f"[{role}]" if slot == "name" else f"[{_words(slot)} of {role}]"

    return PLACE.sub(lambda found: words(found[1], found[2] or ""), text)


def _line(line: Line, parts: dict[str, str]) -> str:
    text = sentence(_places(line.text, parts))
    if not line.when:
        return text
    when = " and ".join(
        f"{'a component' if role == 'any' else 'the mixture' if role == 'mixture' else role} has {_tests(tests)}"
        for role, tests in line.when
    )
    return f"If {when}: {text}"


# ---- rules -------------------------------------------------------------------------------------------------------


def rules_page(rules: Sequence[Rule]) -> list[Block]:
    """All rules, stage by stage."""
    blocks: list[Block] = [Heading(f"The {len(rules)} rules")]
    stages: dict[str, list[Rule]] = {}
    for rule in rules:
        stages.setdefault(rule.stage, []).append(rule)
    for stage in ("interpretation", "selection", "rejection", "caution"):
        found = sorted(stages.get(stage, ()), key=lambda rule: rule.id)
        if found:
            blocks.append(Heading(f"{stage.capitalize()} ({len(found)})", minor=True))
            blocks.append(_rows((rule.id, f"{_HEADS[rule.head]} {', '.join(rule.says)}") for rule in found))
    return blocks


def rule_page(rule: Rule, table: Table) -> list[Block]:
    """One rule: what it looks for, what follows, the reason, the principle, the source and the examples."""
    said = f"{_HEADS[rule.head]} {', '.join(rule.says)}" + (f" ({rule.strength})" if rule.strength else "")
    blocks: list[Block] = [Heading(f"Rule {rule.id}"), Para(said, mark="verdict")]
    blocks.append(Para(clean(sentence(_places(rule.because))), "Because"))
    blocks.append(Para(clean(sentence(rule.principle)), "Principle"))
    if rule.find:
        blocks += [Heading("If there is", minor=True), Points(tuple(clean(_pattern(pattern)) for pattern in rule.find))]
    if rule.unless:
        blocks += [
            Heading("Unless there is", minor=True),
            Points(tuple(clean(_pattern(pattern)) for pattern in rule.unless)),
        ]
    if rule.goes_wrong_when:
        wrong = tuple(clean(sentence(text)) for text in rule.goes_wrong_when)
        blocks += [Heading("It goes wrong when", minor=True), Points(wrong)]
    if rule.examples:
        rows = []
        for example in rule.examples:
            setting = [f"wanted: {', '.join(example.want)}"] if example.want else []
            setting += [f"without: {', '.join(_words(key) for key in example.without)}"] if example.without else []
            setting += [example.pressure] if example.pressure else []
            fires = "fires" if example.fires else "stays silent"
            rows.append((_about(example.mixture, *setting), f"{fires}: {example.name}"))
        blocks += [Heading("Examples", minor=True), _rows(rows)]
    sources = _Sources(table)
    blocks.append(Para(sources(rule.source), "How known", "faint"))
    blocks.append(Para(clean(f"{rule.file}, line {rule.line}"), "Written in", "faint"))
    return blocks + sources.blocks()


def _pattern(pattern: Pattern) -> str:
    said = f"{pattern.role}: a {pattern.kind}" if pattern.role != pattern.kind else f"a {pattern.kind}"
    more = [_tests(pattern.tests)] if pattern.tests else []
    more += [f"{_words(slot)} = {role}" for slot, role in pattern.joins]
    more += [f"other than {role}" for _, role in pattern.differs]
    return f"{said}, {', '.join(more)}" if more else said


def _tests(tests: Iterable[Test]) -> str:
    return ", ".join(_test(test) for test in tests)


def _test(test: Test) -> str:
    slot, operator = _words(test.slot), _words(test.operator)
    if test.operator == "unknown":
        return f"{slot} {'not known' if test.value else 'known'}"
    value = test.text or _shown(test.value)
    if test.operator == "is":
        return f"{slot} = {value}"
    if test.operator == "not" and not test.value:
        return f"{slot} not empty"
    return f"{slot} {value}" if value.startswith(operator) else f"{slot} {operator} {value}"


def _shown(value: object) -> str:
    if isinstance(value, (tuple, list, frozenset)):
        return ", ".join(_shown(one) for one in value)
    return f"{value}"


# ---- calculations ------------------------------------------------------------------------------------------------


def calculations_page(formulas: Mapping[str, Formula]) -> list[Block]:
    """All calculations with what each needs; what may be left out stands in brackets."""
    blocks: list[Block] = [Heading(f"The {len(formulas)} calculations")]
    for formula in formulas.values():
        blocks.append(Heading(f"{formula.name}: {formula.meaning}", minor=True))
        rows = []
        for one in formula.parameters:
            usual = f"; usually {one.usual}" if one.usual else ""
            rows.append(
                (one.name if one.required else f"[{one.name}]", f"{one.meaning}, for example {one.example}{usual}")
            )
        blocks.append(_rows(rows))
    return blocks


def calculation_page(found: Calculation, meaning: str, table: Table) -> list[Block]:
    """One calculation: its results with units, the formula filled in, how it was obtained, and its sources."""
    blocks: list[Block] = [Heading(clean(sentence(meaning).rstrip(".")))]
    blocks.append(_rows((one.name, f"{one.quantity}") for one in found.results))
    blocks.append(Para(clean(found.formula), "Formula"))
    blocks += [Para(clean(sentence(note)), "Note", "note") for note in found.notes]
    blocks.append(Para(how_said(found.how), "How known"))
    sources = _Sources(table)
    for key in found.sources:
        sources(key)
    return blocks + sources.blocks()
