"""Drawings of apparatus, from data: as an SVG that needs nothing else, and as a picture in letters."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from html import escape

from choosemethod.classroom.materials import Picture, materials

__all__ = ["picture_of", "svg_of", "text_of"]

WIDTH, HEIGHT = 520, 255
_PAINT = {
    "": "none",
    "liquid": "#cfe6f5",
    "solid": "#b89b72",
    "paper": "#f3eecf",
    "metal": "#9aa0a6",
    "heat": "#f2a07b",
}


def picture_of(technique: str) -> Picture | None:
    """The drawing for a technique; None if there is none."""
    return materials().pictures.get(technique)


def _n(number: float) -> str:
    return f"{number:g}"


def _named(text: str, product: str, products: Mapping[str, str]) -> str:
    return f"{text}: {products[product]}" if product in products else text


def svg_of(
    picture: Picture, products: Mapping[str, str] | None = None, number: int = 1, say: Callable[[str], str] = str
) -> str:
    """The drawing as an SVG element. products: of the step, by name; number: for the id; say: words of a level."""
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img"'
        f' aria-labelledby="picture-{number}">',
        f'<title id="picture-{number}">{escape(picture.title)}</title>',
        '<g stroke="#222" stroke-width="1.5" stroke-linejoin="round" stroke-linecap="round">',
    ]
    for kind, numbers, fill in picture.shapes:
        paint = f'fill="{_PAINT[fill]}"'
        if kind == "circle":
            x, y, radius = numbers
            out.append(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}" {paint}/>')
        elif kind == "box":
            x, y, width, height = numbers
            out.append(f'<rect x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}" {paint}/>')
        else:
            points = " ".join(f"{_n(x)},{_n(y)}" for x, y in zip(numbers[::2], numbers[1::2], strict=True))
            out.append(f'<{"polygon" if kind == "area" else "polyline"} points="{points}" {paint}/>')
    out.append("</g>")
    out.append('<g font-family="sans-serif" font-size="11" fill="#111">')
    for x, y, to_x, to_y, text, product in picture.labels:
        said = _named(say(text), product, products or {})
        # the line leaves the label at the end that is nearer to what it names
        begin = x - 2 if to_x <= x else min(x + 5.6 * len(text) + 2, to_x)
        out.append(
            f'<line x1="{_n(begin)}" y1="{_n(y - 4)}" x2="{_n(to_x)}" y2="{_n(to_y)}" '
            'stroke="#555" stroke-width="0.7"/>'
        )
        out.append(f'<text x="{_n(x)}" y="{_n(y)}">{escape(said)}</text>')
    return "\n".join([*out, "</g>", "</svg>"])


def text_of(picture: Picture, products: Mapping[str, str] | None = None) -> str:
    """The drawing in letters, with a line for each product it names."""
    lines = [line.rstrip() for line in picture.text.rstrip("\n").split("\n")]
    named = [_named(text, product, products or {}) for *_, text, product in picture.labels if product]
    return "\n".join([*lines, *[f"    {line}" for line in named if ":" in line]])
