"""An entry of a substance to fill in, out of the properties there are."""

from __future__ import annotations

from choosemethod.data.scalar import EXAMPLES, quoted
from choosemethod.table.load import PHASES, normal_id
from choosemethod.table.table import Table

__all__ = ["entry_to_fill_in"]

_HEAD = """\
# A substance of your own. Take away the # of what is known and put the right value; leave the rest out.
# source: memory for what is remembered; your own sources stand under sources: (choosemethod table --list sources).
# Then: choosemethod table --check FILE
"""


def entry_to_fill_in(name: str, table: Table) -> str:
    """An entry in YAML that is sound as printed: what must be there, and as remarks every property there is."""
    kinds = table.words("kinds")
    lines = [
        f"{normal_id(name) or 'new-substance'}:",
        f"  name: {name}",
        "  # also: [another name, one more]",
        "  # formula: NaCl",
        "  # cas: 7647-14-5",
        f"  kind: {'organic' if 'organic' in kinds else next(iter(kinds))}  # one of {', '.join(kinds)}",
        "  # classes: [WORD]  # choosemethod table --list classes",
        f"  phase: solid  # at 20 °C: {', '.join(PHASES)}",
    ]
    for prop, form, dimension, words, meaning in table.schema():
        said = _example(form, dimension, words)
        lines.append(f"  # {prop}: {said}  # {meaning}")
    return _HEAD + "\n".join(lines) + "\n"


def _example(form: str, dimension: str, words: tuple[str, ...]) -> str:
    if form == "solubility":
        return "{water: {is: 12 g/100 g, at: 20 °C, source: memory}}"
    if form == "vapour_pressure":
        return "{equation: antoine, A: 9.2, B: 1210.6, C: -43.5, from: -10 °C, to: 80 °C, source: memory}"
    if form == "by_reagent":
        return f"{{water: {{is: {quoted(words[0])}, source: memory}}}}"
    if form == "words":
        return "{is: [], source: memory}"
    value = EXAMPLES.get(dimension, "18.015 g/mol") if form in ("number", "range") else "TEXT"
    return f"{{is: {quoted(words[0]) if words else value}, source: memory}}"
