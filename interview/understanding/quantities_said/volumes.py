"""A pool told by its sides, as the water in it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from engine.foundation.plain_text import without_accents
from engine.foundation.texts import once_a_language, say_in
from engine.quantities.quantity import QuantityError, read_quantity
from interview.understanding.listening.words import Word
from interview.understanding.numbers import in_signs
from interview.understanding.quantities_said.figures import Figure

_LONGEST_M, _DEEPEST_M = 60.0, 6.0
"""No side of a private pool is longer, and no depth deeper: judgement, no source."""
_NEAR, _APART = 4, 6
"""Words between a depth and what calls it one, and between two depths."""


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
    depth = min(sides, 2)
    if depth >= len(figures):
        return 0, None
    if sides < 3 and not _is_depth(figures[depth], words, language):
        return 0, None
    if sides == 1 and not _is_round(figures[0], figures[depth], words, language):
        return 0, None
    ends = figures[depth : depth + 2]
    slopes = len(ends) == 2 and _slopes(ends[0], ends[1], words, language)
    unit = next((figure.unit for figure in figures[: depth + 1] if figure.unit), "m")
    depths = [_metres(figure, unit) for figure in (ends if slopes else ends[:1])]
    lengths = [_metres(figure, unit) for figure in figures[:depth]]
    if not (all(_is_up_to(each, _DEEPEST_M) for each in depths) and all(_is_up_to(e, _LONGEST_M) for e in lengths)):
        return 0, None
    flat = [each for each in lengths if each is not None]
    deep = sum(each for each in depths if each is not None) / len(depths)
    area = flat[0] * flat[1] if len(flat) == 2 else math.pi / 4 * flat[0] ** 2
    count = depth + len(depths)
    return count, Figure(figures[0].first, figures[count - 1].last, f"{area * deep:.4g}", "m3")


def _is_up_to(length: float | None, most: float) -> bool:
    return length is not None and 0 < length <= most


def _slopes(one: Figure, other: Figure, words: Sequence[Word], language: str) -> bool:
    """Whether a second depth follows: `1.2 shallow 1.8 deep`, `de 1,2 a 1,8 de hondo`. Of these the mean counts."""
    between = words[one.last + 1 : other.first]
    if len(between) > _APART or other.things:
        return False
    near = [*between, *words[other.last + 1 : other.last + _NEAR]]
    both = any(word.text in _words(language, "depth") for word in near)
    depths = [_metres(figure, one.unit or other.unit or "m") for figure in (one, other)]
    return both and all(_is_up_to(each, _DEEPEST_M) for each in depths)


def _between(one: Figure, other: Figure, words: Sequence[Word]) -> set[str]:
    between = [word.text for word in words[one.last + 1 : other.first]]
    return set(between) if len(between) <= 2 else set()


def _is_depth(figure: Figure, words: Sequence[Word], language: str) -> bool:
    near = words[max(0, figure.first - _NEAR) : figure.last + 1 + _NEAR]
    behind = tuple(word.text for word in words[figure.last + 1 : figure.last + 3])
    of_water = tuple(without_accents(say_in(language, "listening.of_water")).split())
    return behind == of_water or any(word.text in _words(language, "depth") for word in near)


def _is_round(side: Figure, depth: Figure, words: Sequence[Word], language: str) -> bool:
    near = words[max(0, side.first - _NEAR) : depth.first]
    return any(word.text in _words(language, "round") for word in near)


def _metres(figure: Figure, unit: str) -> float | None:
    try:
        return read_quantity(f"{figure.number} {in_signs(figure.unit or unit)}", "m", "", None).value
    except QuantityError:
        return None
