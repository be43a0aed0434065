"""A pool told by its sides, as the water in it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from engine.foundation.plain_text import without_accents
from engine.foundation.texts import once_a_language, say_in
from engine.quantities.quantity import QuantityError, read_quantity
from interview.understanding.listening.words import Word
from interview.understanding.quantities_said.figures import Figure

_LONGEST_M, _DEEPEST_M = 60.0, 6.0
"""No side of a private pool is longer, and no depth deeper: judgement, no source."""
_NEAR = 4
"""Words between a depth and what calls it one."""


@once_a_language
def _words(language: str, name: str) -> frozenset[str]:
    return frozenset(without_accents(say_in(language, f"listening.{name}")).split())


def with_volumes(figures: Sequence[Figure], words: Sequence[Word], language: str) -> list[Figure]:
    """The figures, sides with a depth as one of so many cubic metres: `8 by 4 by 1.5 m`, `5 m round and 1.2 deep`."""
    found: list[Figure] = []
    at = 0
    while at < len(figures):
        taken, figure = _volume(figures[at:], words, language)
        found.append(figure or figures[at])
        at += max(taken, 1)
    return found


def _volume(figures: Sequence[Figure], words: Sequence[Word], language: str) -> tuple[int, Figure | None]:
    """How many of the first figures are the sides of a pool, and its volume."""
    by = _words(language, "by")
    sides = 1
    while sides < min(3, len(figures)) and _between(figures[sides - 1], figures[sides], words) & by:
        sides += 1
    depth = sides
    if sides < 3:
        if depth >= len(figures) or not _is_depth(figures[depth], words, language):
            return 0, None
        if sides == 1 and not _is_round(figures[0], figures[depth], words, language):
            return 0, None
    inside = figures[: 3 if sides == 3 else sides + 1]
    unit = next((figure.unit for figure in inside if figure.unit), "m")
    lengths = [_metres(figure, unit) for figure in inside]
    if any(length is None for length in lengths):
        return 0, None
    *flat, deep = (float(length) for length in lengths if length is not None)
    if not (0 < deep <= _DEEPEST_M and all(0 < side <= _LONGEST_M for side in flat)):
        return 0, None
    area = flat[0] * flat[1] if len(flat) == 2 else math.pi / 4 * flat[0] ** 2
    return len(inside), Figure(inside[0].first, inside[-1].last, f"{area * deep:.4g}", "m3")


def _between(one: Figure, other: Figure, words: Sequence[Word]) -> set[str]:
    between = [word.text for word in words[one.last + 1 : other.first]]
    return set(between) if len(between) <= 2 else set()


def _is_depth(figure: Figure, words: Sequence[Word], language: str) -> bool:
    near = words[max(0, figure.first - _NEAR) : figure.last + 1 + _NEAR]
    return any(word.text in _words(language, "depth") for word in near)


def _is_round(side: Figure, depth: Figure, words: Sequence[Word], language: str) -> bool:
    near = words[max(0, side.first - _NEAR) : depth.first]
    return any(word.text in _words(language, "round") for word in near)


def _metres(figure: Figure, unit: str) -> float | None:
    try:
        return read_quantity(f"{figure.number} {figure.unit or unit}", "m", "", None).value
    except QuantityError:
        return None
