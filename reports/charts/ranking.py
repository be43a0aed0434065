"""The ranking as bars: every cause with its number at the bar, the leading one solid, the others hatched."""

from __future__ import annotations

from engine.foundation.texts import say
from reports.charts.canvas import INK, LEAST, MAIN, PAPER, WIDTH, Canvas
from reports.document import Picture
from reports.phrases import percent, sentence
from reports.view import JobView

_EDGE = 8.0
_LONGEST = WIDTH - 2 * _EDGE - 78.0
"""A bar of 100 %; its number still stands beside it."""
_BAR = 13.0


def ranking_picture(view: JobView) -> Picture | None:
    """The causes as bars from 0 to 100 %; None where nothing was ranked."""
    if not view.causes:
        return None
    canvas = Canvas()
    y = _EDGE
    words = []
    for rank, cause in enumerate(view.causes, start=1):
        share = percent(cause.probability)
        text = sentence(cause.text)
        words.append(say("pictures.ranking.row", rank=rank, cause=text, percent=share, chance=cause.chance))
        label = say("pictures.ranking.label", rank=rank, cause=text)
        y = canvas.paragraph(_EDGE, y, label, WIDTH - 2 * _EDGE, bold=rank == 1) + 3.0
        _bar(canvas, y, max(cause.probability, 0.004) * _LONGEST, solid=rank == 1, open_ended=not cause.cause)
        canvas.text(_EDGE + cause.probability * _LONGEST + 6.0, y + _BAR - 2.5, share, LEAST + 1.0, bold=True)
        y += _BAR + 9.0
    # The whole range as a thin line at the foot, so that half a bar is seen to be half.
    canvas.line([(_EDGE, y), (_EDGE + _LONGEST, y)], INK)
    for mark in (0, 50, 100):
        x = _EDGE + _LONGEST * mark / 100
        canvas.line([(x, y), (x, y + 4.0)], INK)
        canvas.text(x, y + 16.0, f"{mark} %", LEAST, "middle" if mark else "start")
    title = say("pictures.ranking.title_before" if view.solved else "pictures.ranking.title")
    return Picture(title, canvas.svg(y + 22.0, title, words), tuple(words))


def _bar(canvas: Canvas, y: float, length: float, solid: bool, open_ended: bool) -> None:
    if solid:
        canvas.box(_EDGE, y, length, _BAR, MAIN, MAIN)
        return
    canvas.box(_EDGE, y, length, _BAR, PAPER, MAIN, 1.2, "3 2" if open_ended else "")
    if open_ended:
        return
    # Slanting lines, each cut where the bar ends.
    x = _EDGE - _BAR + 5.0
    while x < _EDGE + length:
        left, right = max(x, _EDGE), min(x + _BAR, _EDGE + length)
        if right > left:
            canvas.line([(left, y + _BAR - (left - x)), (right, y + _BAR - (right - x))], MAIN, 1.0)
        x += 5.0
