"""How the ranking moved: a line for each leading cause over the answers, named at its end, each dashed its own way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engine.foundation.texts import say
from reports.charts.canvas import FAINT, INK, LEAST, MAIN, WIDTH, Canvas
from reports.charts.lettering import LINE, lines_in
from reports.document import Picture
from reports.phrases import percent
from reports.view import JobView
from reports.view.drawn import Movement, MovementLine

_LEFT, _RIGHT, _TOP = 32.0, 212.0, 22.0
_HEIGHT = 170.0
_NAMES = _RIGHT + 20.0
_DASHES = ("", "7 3", "2 2", "9 3 2 3")
_THICK = (3.0, 2.0, 2.0, 1.6)
_GAP = 5.0


@dataclass(frozen=True)
class _Scale:
    """The axes: steps to the right, per cent up to `top`."""

    steps: int
    top: int
    height: float

    def x(self, step: int) -> float:
        return _LEFT + (_RIGHT - _LEFT) * step / self.steps

    def y(self, probability: float) -> float:
        return _TOP + (1.0 - 100.0 * probability / self.top) * self.height


def movement_picture(view: JobView) -> Picture | None:
    """The leading causes over the answers; None where no answer moved the ranking."""
    moved = view.movement
    if moved is None:
        return None
    canvas = Canvas()
    names = [lines_in(_named(line), WIDTH - _NAMES - 4.0, LEAST) for line in moved.lines]
    sizes = [len(name) * LEAST * LINE for name in names]
    height = max(_HEIGHT, sum(sizes) + _GAP * len(sizes))
    scale = _Scale(len(moved.steps), _top_of(moved), height)
    _axes(canvas, scale)
    ends = [scale.y(line.probabilities[-1]) for line in moved.lines]
    tops = apart([end - size / 2 for end, size in zip(ends, sizes, strict=True)], sizes, _TOP - 8.0, _GAP)
    for place, line in enumerate(moved.lines):
        _draw(canvas, scale, line, place)
        middle = tops[place] + sizes[place] / 2
        canvas.line([(_RIGHT + 3.0, ends[place]), (_NAMES - 4.0, middle)], FAINT, 0.8)
        for row, text in enumerate(names[place]):
            canvas.text(_NAMES, tops[place] + LEAST * (LINE * row + 1.0), text, bold=place == 0)
    plot_end = _TOP + height + 22.0
    y = max(plot_end, max(top + size for top, size in zip(tops, sizes, strict=True)) + 6.0) + 6.0
    y = _steps(canvas, moved, y)
    title = say("pictures.movement.title")
    words = _told(moved)
    return Picture(title, canvas.svg(y + 6.0, title, words), words)


def apart(wanted: Sequence[float], sizes: Sequence[float], top: float, gap: float) -> list[float]:
    """Where things of these sizes stand so that none meets another: as wanted, or pushed down, never above `top`."""
    order = sorted(range(len(wanted)), key=lambda place: wanted[place] + sizes[place] / 2)
    placed = [0.0] * len(wanted)
    for place in order:
        placed[place] = max(wanted[place], top)
        top = placed[place] + sizes[place] + gap
    return placed


def _named(line: MovementLine) -> str:
    return say("pictures.movement.share", cause=line.text, percent=percent(line.probabilities[-1]))


def _top_of(moved: Movement) -> int:
    """Where the axis ends, in per cent: the quarter above all lines."""
    highest = max(max(line.probabilities) for line in moved.lines)
    return next(top for top in (25, 50, 75, 100) if highest * 100 <= top)


def _axes(canvas: Canvas, scale: _Scale) -> None:
    canvas.text(4.0, LEAST, say("pictures.movement.axis"))
    marks = range(0, scale.top + 1, 5 if scale.top == 25 else 25)
    for share in marks:
        y = scale.y(share / 100)
        canvas.line([(_LEFT, y), (_RIGHT, y)], FAINT, 0.5, "" if share == 0 else "1 3")
        canvas.text(_LEFT - 5.0, y + 4.0, str(share), LEAST, "end")
    foot = _TOP + scale.height
    for step in range(scale.steps + 1):
        canvas.line([(scale.x(step), foot), (scale.x(step), foot + 4.0)], INK)
        if step:
            canvas.text(scale.x(step), foot + 17.0, str(step), LEAST, "middle")


def _draw(canvas: Canvas, scale: _Scale, line: MovementLine, place: int) -> None:
    points = [(scale.x(step), scale.y(share)) for step, share in enumerate(line.probabilities)]
    colour = MAIN if place == 0 else INK
    canvas.line(points, colour, _THICK[place], _DASHES[place])
    for x, y in points:
        canvas.disc(x, y, 2.4 if place == 0 else 1.8, colour, colour)


def _steps(canvas: Canvas, moved: Movement, y: float) -> float:
    """The answers by their numbers on the axis; gives where the last one ends."""
    if moved.left_out:
        y = canvas.paragraph(4.0, y, say("pictures.movement.left_out", count=moved.left_out), WIDTH - 8.0) + 2.0
    for number, answer in enumerate(moved.steps, start=1):
        canvas.text(22.0, y + LEAST, str(number), LEAST, "end", bold=True)
        y = max(canvas.paragraph(30.0, y, answer, WIDTH - 34.0), y + LEAST * LINE) + 2.0
    return y


def _told(moved: Movement) -> tuple[str, ...]:
    """The same in words: each cause with its likelihood after every answer, then the answers."""
    told = []
    for line in moved.lines:
        shares = ", ".join(percent(share) for share in line.probabilities)
        told.append(say("pictures.movement.row", cause=line.text, shares=shares))
    told.append(say("pictures.movement.order"))
    if moved.left_out:
        told.append(say("pictures.movement.left_out", count=moved.left_out))
    told += [
        say("pictures.movement.step", number=number, answer=answer)
        for number, answer in enumerate(moved.steps, start=1)
    ]
    return tuple(told)
