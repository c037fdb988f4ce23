"""A plan drawn as a flow from top to bottom: mixture, step, products; only a true branch moves to the right.

iron filings + sand
│ 1 magnetic separation
├─► iron filings (product)
└─► sand (product)
"""

from __future__ import annotations

from typing import NamedTuple

from choosemethod.show.blocks import Flow, FlowProduct, FlowStep

__all__ = ["Row", "flow_rows", "flow_sentences"]


class Row(NamedTuple):
    """One entry of the drawing. first, rest: what stands before its first line and before the lines it wraps to."""

    first: str
    rest: str
    text: str
    kind: str  # mixture, step or product


class _Signs(NamedTuple):
    bar: str
    side: str
    last: str
    down: str


_BOX = _Signs("│", "├─►", "└─►", "▼")
_ASCII = _Signs("|", "+->", "`->", "v")


def product_words(product: FlowProduct) -> str:
    """What a product is and what becomes of it."""
    return f"{product.text} ({product.fate})" if product.fate else product.text


def flow_rows(flow: Flow, ascii_only: bool = False) -> list[Row]:
    """The drawing of a plan, row by row. Every step is drawn once, where the first product it takes on comes from."""
    signs = _ASCII if ascii_only else _BOX
    steps = {step.number: step for step in flow.steps}
    drawn: set[int] = set()
    rows: list[Row] = []

    def draw(step: FlowStep, indent: str) -> None:
        while True:
            drawn.add(step.number)
            rows.append(Row(f"{indent}{signs.bar} {step.number} ", f"{indent}{signs.bar}   ", step.text, "step"))
            onward = _onward(step, steps, drawn)
            drawn.update(product.to for product in onward)
            going = {id(product) for product in onward}
            ends = [product for product in step.products if id(product) not in going]
            branches, main = onward[:-1], onward[-1:]
            for place, product in enumerate(ends):
                final = not onward and place == len(ends) - 1
                sign = signs.last if final else signs.side
                rest = f"{indent}    " if final else f"{indent}{signs.bar}   "
                text = f"{product.text} (joins step {product.to})" if product.to else product_words(product)
                rows.append(Row(f"{indent}{sign} ", rest, text, "product"))
            inside = f"{indent}{signs.bar}   "
            for product in branches:
                rows.append(Row(f"{indent}{signs.side} ", inside, product.text, "mixture"))
                draw(steps[product.to], inside)
            if not main:
                return
            rows.append(Row(f"{indent}{signs.down} ", f"{indent}{signs.bar} ", main[0].text, "mixture"))
            step = steps[main[0].to]

    if flow.start:
        rows.append(Row("", "  ", flow.start, "mixture"))
    for step in flow.steps:
        if step.number not in drawn:
            draw(step, "")
    return rows


def _onward(step: FlowStep, steps: dict[int, FlowStep], drawn: set[int]) -> list[FlowProduct]:
    """The products that lead to steps not drawn yet, one for each such step, in the order of those steps."""
    found: dict[int, FlowProduct] = {}
    for product in step.products:
        if product.to in steps and product.to not in drawn:
            found.setdefault(product.to, product)
    return [found[number] for number in sorted(found)]


def flow_sentences(flow: Flow) -> list[str]:
    """The plan in sentences, one for each step."""
    out = [f"It starts from {flow.start}."] if flow.start else []
    for step in flow.steps:
        said = [
            f"{product.text}, which goes on to step {product.to}"
            if product.to
            else f"{product.text}, {product.fate}"
            if product.fate
            else product.text
            for product in step.products
        ]
        gives = f" It gives: {'; '.join(said)}." if said else ""
        out.append(f"Step {step.number} of {len(flow.steps)}: {step.text}.{gives}")
    return out
