"""A drawing as SVG text: a few plain shapes and texts, all escaped; no script, no style sheet, no reference."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

from reports.charts.lettering import LINE, lines_in, shown

WIDTH = 400.0
"""The width of a picture in its own units; it has none in any other unit, and fills what it is put in."""
LEAST = 11.0
"""The smallest letters: at a width of 340 px they still are 9.35 px high."""

INK, PAPER = "#1a1a1a", "#ffffff"
MAIN, FAINT = "#0c4a5a", "#767676"
"""Ink and paper, what matters, lines that only guide. All above 4.5 to 1 on paper (WCAG 2)."""

Anchor = Literal["start", "middle", "end"]


class Canvas:
    """Collects the shapes of one drawing; x to the right, y down, all in its own units."""

    def __init__(self, width: float = WIDTH) -> None:
        """Args: the width; the height is said at the end, when everything has its place."""
        self.width = width
        self._parts: list[str] = []

    def line(
        self, points: Sequence[tuple[float, float]], colour: str = INK, thick: float = 1.0, dash: str = ""
    ) -> None:
        """A line through these points; `dash` as in SVG, such as `4 3`."""
        through = " ".join(f"{_figure(x)},{_figure(y)}" for x, y in points)
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self._parts.append(
            f'<polyline points="{through}" fill="none" stroke="{colour}" stroke-width="{_figure(thick)}"{dashed}/>'
        )

    def box(
        self,
        left: float,
        top: float,
        width: float,
        height: float,
        fill: str = PAPER,
        edge: str = INK,
        thick: float = 1.0,
        dash: str = "",
        round_by: float = 0.0,
    ) -> None:
        """A box; its edge lies half inside, half outside."""
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        rounded = f' rx="{_figure(round_by)}"' if round_by else ""
        self._parts.append(
            f'<rect x="{_figure(left)}" y="{_figure(top)}" width="{_figure(width)}" height="{_figure(height)}"{rounded}'
            f' fill="{fill}" stroke="{edge}" stroke-width="{_figure(thick)}"{dashed}/>'
        )

    def shape(
        self, points: Sequence[tuple[float, float]], fill: str = INK, edge: str = INK, thick: float = 1.0
    ) -> None:
        """A closed shape with these corners."""
        through = " ".join(f"{_figure(x)},{_figure(y)}" for x, y in points)
        self._parts.append(
            f'<polygon points="{through}" fill="{fill}" stroke="{edge}" stroke-width="{_figure(thick)}"/>'
        )

    def disc(self, x: float, y: float, radius: float, fill: str = INK, edge: str = INK) -> None:
        """A filled circle."""
        self._parts.append(
            f'<circle cx="{_figure(x)}" cy="{_figure(y)}" r="{_figure(radius)}" fill="{fill}" stroke="{edge}"/>'
        )

    def arrow(
        self, points: Sequence[tuple[float, float]], colour: str = INK, thick: float = 1.5, dash: str = ""
    ) -> None:
        """A line through these points with a head at its end, pointing the way that the last piece of it runs."""
        (x, y) = points[-1]
        x0, y0 = next((p for p in reversed(points[:-1]) if p != points[-1]), (x, y - 1.0))
        length = math.hypot(x - x0, y - y0)
        dx, dy = (x - x0) / length, (y - y0) / length
        size = 4.0 + thick
        foot_x, foot_y = x - dx * size, y - dy * size
        self.line([*points[:-1], (foot_x, foot_y)], colour, thick, dash)
        wing = size * 0.55
        left, right = (foot_x - dy * wing, foot_y + dx * wing), (foot_x + dy * wing, foot_y - dx * wing)
        self.shape([(x, y), left, right], colour, colour)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float = LEAST,
        anchor: Anchor = "start",
        colour: str = INK,
        bold: bool = False,
    ) -> None:
        """One line of text; `y` is where its letters stand."""
        weight = ' font-weight="bold"' if bold else ""
        self._parts.append(
            f'<text x="{_figure(x)}" y="{_figure(y)}" font-size="{_figure(size)}" text-anchor="{anchor}"'
            f' fill="{colour}"{weight}>{escape(shown(text))}</text>'
        )

    def paragraph(
        self,
        x: float,
        top: float,
        text: str,
        width: float,
        size: float = LEAST,
        anchor: Anchor = "start",
        bold: bool = False,
    ) -> float:
        """A text in lines of this width, its first line right below `top`; gives where its last line ends."""
        for line in lines_in(text, width, size):
            self.text(x, top + size, line, size, anchor, bold=bold)
            top += size * LINE
        return top

    def label(
        self, left: float, top: float, width: float, height: float, lines: Sequence[str], bold: bool = False
    ) -> None:
        """Lines of the smallest letters in the middle of a place."""
        top += (height - LEAST * LINE * len(lines)) / 2
        for row, line in enumerate(lines):
            self.text(left + width / 2, top + LEAST * (LINE * row + 1.0), line, LEAST, "middle", bold=bold)

    def number(self, x: float, y: float, number: int, radius: float = 8.5) -> None:
        """A number in a dark disc, as a mark that the words below refer to."""
        self.disc(x, y, radius, INK, PAPER)
        self.text(x, y + LEAST * 0.36, str(number), LEAST, "middle", PAPER, bold=True)

    def svg(self, height: float, title: str, words: Sequence[str]) -> str:
        """The whole drawing, with its title and words for whoever hears it read."""
        label = quoteattr(shown(title))
        told = escape(" ".join(map(shown, words)))
        width, high = _figure(self.width), _figure(height)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {high}" role="img"'
            f' aria-label={label} font-family="sans-serif"><title>{escape(shown(title))}</title><desc>{told}</desc>'
            f'<rect width="{width}" height="{high}" fill="{PAPER}"/>{"".join(self._parts)}</svg>'
        )


def _figure(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
