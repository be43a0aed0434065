"""What was promised for the first cause against what came true, a square for each tree, as the report's steps tell."""

from __future__ import annotations

import math
from collections.abc import Sequence

from engine.foundation.texts import say
from engine.learning.scores import Reliability, ReliabilityStep
from reports.charts.canvas import FAINT, INK, LEAST, MAIN, WIDTH, Canvas
from reports.document import Picture

_LEFT, _SIDE = 46.0, 300.0
_GAP = 20.0
_LARGEST = 9.0
"""The largest disc's radius: that of the step with most guesses."""


def reliability_picture(trees: Sequence[tuple[str, Reliability]]) -> Picture | None:
    """The diagrams of these trees, by their names, below one another; None where there is none.

    Across is what was promised, upwards what came true, both in per cent; on the slanting line both are alike. A step
    reaches over the promises that isotonic regression takes together (Dimitriadis, Gneiting & Jordan 2021, from
    memory), and its disc has an area that goes by its number of guesses.
    """
    if not trees:
        return None
    canvas, y, words = Canvas(), 6.0, list[str]()
    title = say("learning.picture.title")
    for name, found in trees:
        y = canvas.paragraph(_LEFT, y, name, WIDTH - _LEFT, bold=True) + _GAP / 2
        y = _square(canvas, y, found)
        words += [_told(name, step) for step in found.steps]
    return Picture(title, canvas.svg(y, title, words), tuple(words))


def _square(canvas: Canvas, top: float, found: Reliability) -> float:
    """Draw one tree's diagram; where it ends."""
    below = top + _SIDE
    canvas.box(_LEFT, top, _SIDE, _SIDE, edge=FAINT, thick=0.8)
    canvas.line([(_LEFT, below), (_LEFT + _SIDE, top)], FAINT, 1.0, "4 3")
    for mark in (0, 50, 100):
        along = _SIDE * mark / 100
        canvas.text(_LEFT + along, below + LEAST + 4.0, f"{mark} %", anchor="middle")
        canvas.text(_LEFT - 6.0, below - along + LEAST / 3, f"{mark} %", anchor="end")
    most = max(step.guesses for step in found.steps)
    points = []
    for step in found.steps:
        y = below - step.came_true * _SIDE
        points += [(_LEFT + share * _SIDE, y) for share in (step.promised_from, step.promised_to)]
    canvas.line(points, MAIN, 2.0)
    for step in found.steps:
        middle = (step.promised_from + step.promised_to) / 2
        radius = max(2.0, _LARGEST * math.sqrt(step.guesses / most))
        canvas.disc(_LEFT + middle * _SIDE, below - step.came_true * _SIDE, radius, MAIN, INK)
    end = canvas.paragraph(_LEFT, below + 2 * LEAST, say("learning.picture.axes"), WIDTH - _LEFT)
    return end + _GAP


def _told(name: str, step: ReliabilityStep) -> str:
    shares = (f"{100 * share:.0f}" for share in (step.promised_from, step.promised_to, step.came_true))
    low, high, came = shares
    return say("learning.picture.step", tree=name, low=low, high=high, came=came, guesses=step.guesses)
