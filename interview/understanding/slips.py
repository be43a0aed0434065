"""A slip of the fingers in an answer or a command: the one word that was meant, to be proposed; pure."""

from __future__ import annotations

from collections.abc import Iterable

from rapidfuzz.distance import OSA

from engine.foundation.plain_text import without_accents

_SHORTEST = 4
_SIGNS = " .!?:,;"


def meant_by(typed: str, words: Iterable[str]) -> str:
    """The one of some words of which a typed one is a slip; empty where none is, or two are as near.

    One slip (a letter too many, too few, another, or two in the wrong order) is allowed for from four letters on, two
    from eight on; a word of fewer letters is too like others.
    """
    plain = without_accents(typed).strip(_SIGNS)
    if len(plain) < _SHORTEST:
        return ""
    most = 1 + (len(plain) >= 2 * _SHORTEST)
    near: dict[str, int] = {}
    for word in words:
        slips = OSA.distance(plain, without_accents(word).strip(_SIGNS), score_cutoff=most)
        if 0 < slips <= most and len(word) >= _SHORTEST:
            near[word] = slips
    best = [word for word, slips in near.items() if slips == min(near.values())]
    return best[0] if len(best) == 1 else ""


def mended(line: str, commands: Iterable[str]) -> str:
    """A line whose first word is a slip in a command, with the command in its place; empty where it is none."""
    first, _, rest = line.partition(" ")
    meant = meant_by(first, commands)
    return f"{meant} {rest}".strip() if meant and rest else ""
