"""Where the suspected part sits: a plain drawing of the water's and the power's path, the part ringed and numbered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from engine.foundation.texts import said, say
from engine.knowledge.model import PLACES
from reports.charts.canvas import FAINT, INK, LEAST, MAIN, PAPER, WIDTH, Canvas
from reports.charts.lettering import lines_in
from reports.document import Picture
from reports.phrases import percent, sentence
from reports.view import JobView
from reports.view.model import CauseLine

_SUSPECT = 0.1
"""A cause less likely than this is not marked, unless it is the most likely one."""
_MOST = 3


@dataclass(frozen=True)
class _Part:
    """Where a part stands in the drawing."""

    left: float
    top: float
    width: float
    height: float


_PARTS: Mapping[str, _Part] = {
    "water": _Part(10, 24, 78, 140),
    "strainer": _Part(116, 24, 76, 40),
    "pump": _Part(212, 24, 76, 40),
    "filter": _Part(312, 24, 78, 40),
    "heater": _Part(312, 124, 78, 40),
    "flow_sensor": _Part(212, 124, 76, 40),
    "cell": _Part(116, 124, 76, 40),
    "pipes": _Part(180, 76, 96, 36),
    "cell_lead": _Part(116, 192, 76, 34),
    "power_pack": _Part(116, 254, 76, 40),
    "timer": _Part(212, 254, 76, 40),
    "supply": _Part(312, 254, 78, 40),
    "test_kit": _Part(10, 254, 78, 40),
}
_LOOSE = frozenset({"pipes", "cell_lead", "test_kit", "heater"})
"""Parts drawn with a dashed edge: they are not boxes that water or power runs through in every pool."""
_LAST_ROW = 250.0
_FOOT = 312.0


def place_picture(view: JobView) -> Picture | None:
    """The plant with the likely parts marked; None where no likely cause has a place."""
    suspects = [
        (rank, cause)
        for rank, cause in enumerate(view.causes, start=1)
        if cause.place in PLACES and (rank == 1 or cause.probability >= _SUSPECT)
    ][:_MOST]
    if not suspects:
        return None
    canvas = Canvas()
    _paths(canvas)
    marked: dict[str, list[int]] = {}
    for rank, cause in suspects:
        marked.setdefault(cause.place, []).append(rank)
    for name, part in _PARTS.items():
        _part(canvas, name, part, bool(marked.get(name)))
    for name, ranks in marked.items():
        part = _PARTS[name]
        for place, rank in enumerate(ranks):
            canvas.number(*_badge(name, part, place, len(ranks)), rank)
    y = _key(canvas, suspects)
    title = say("pictures.place.title")
    words = (*_told(suspects), say("pictures.place.path"))
    return Picture(title, canvas.svg(y, title, words), words)


def _part(canvas: Canvas, name: str, part: _Part, suspected: bool) -> None:
    dash = "" if suspected or name not in _LOOSE else "3 3"
    edge, thick = (MAIN, 4.0) if suspected else (FAINT if name in _LOOSE else INK, 1.2)
    canvas.box(part.left, part.top, part.width, part.height, PAPER, edge, thick, dash, round_by=4.0)
    label = say("pictures.place.heater") if name == "heater" else say(f"pictures.place.places.{name}")
    lines = lines_in(label, part.width - 8.0, LEAST)
    canvas.label(part.left, part.top, part.width, part.height, lines, bold=suspected)


def _badge(name: str, part: _Part, place: int, count: int) -> tuple[float, float]:
    """The middle of a number's disc, at an edge of its part where no line comes in; numbers rise to the right."""
    if name == "cell_lead":
        return part.left + part.width + 8.0 + 18.0 * place, part.top + part.height / 2
    x = part.left + part.width - 4.0 - 18.0 * (count - 1 - place)
    return x, part.top + part.height + 5.0 if part.top > _LAST_ROW else part.top - 5.0


def _paths(canvas: Canvas) -> None:
    """The way of the water, thick, and of the power, thin; the boxes are drawn over them."""
    water = [
        [(88.0, 44.0), (116.0, 44.0)],
        [(192.0, 44.0), (212.0, 44.0)],
        [(288.0, 44.0), (312.0, 44.0)],
        [(351.0, 64.0), (351.0, 124.0)],
        [(312.0, 144.0), (288.0, 144.0)],
        [(212.0, 144.0), (192.0, 144.0)],
        [(116.0, 144.0), (88.0, 144.0)],
    ]
    for points in water:
        canvas.arrow(points, MAIN, 2.5)
    # Valves and pipes are everywhere along the water's way; their box hangs between the two rows.
    canvas.line([(228.0, 76.0), (228.0, 64.0)], FAINT, 1.0, "3 3")
    canvas.line([(228.0, 112.0), (228.0, 124.0)], FAINT, 1.0, "3 3")
    for points in (
        [(312.0, 274.0), (288.0, 274.0)],
        [(212.0, 274.0), (192.0, 274.0)],
        [(154.0, 254.0), (154.0, 226.0)],
        [(154.0, 192.0), (154.0, 164.0)],
    ):
        canvas.arrow(points, INK, 1.2)
    canvas.line([(49.0, 164.0), (49.0, 254.0)], FAINT, 1.0, "3 3")


def _key(canvas: Canvas, suspects: Sequence[tuple[int, CauseLine]]) -> float:
    y = _FOOT
    for rank, cause in suspects:
        canvas.number(19.0, y + 8.0, rank)
        text = f"{sentence(cause.text)} {percent(cause.probability)}"
        y = max(canvas.paragraph(34.0, y, text, WIDTH - 42.0), y + 18.0) + 4.0
    return canvas.paragraph(10.0, y, say("pictures.place.note"), WIDTH - 20.0) + 6.0


def _told(suspects: Sequence[tuple[int, CauseLine]]) -> tuple[str, ...]:
    names = said("pictures.place.places")
    return tuple(
        say("pictures.place.told", rank=rank, cause=sentence(cause.text), place=names[cause.place])
        for rank, cause in suspects
    )
