"""One saying of the knowledge, and where it stands in a line."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from interview.understanding.listening.words import Word, ends_sentence

NUMBER = "#"
_MOST_BETWEEN = 3
"""So many words of weight may stand between those of a saying, and always fewer than it has itself."""
_MOST_PLACES = 8
"""So often a word is looked for in a line: nobody says one more often, and every choice of places is tried."""
_BETWEEN, _COMMA, TURNED = 0.25, 0.4, 0.45
"""What is taken off the weight for a word between, a comma between, and another order: judgement, no source."""


class Meaning(NamedTuple):
    """What a saying means: the check, and its answer or number; or what it is about the check otherwise."""

    check: str
    what: str | float
    kind: str = "answer"


@dataclass(frozen=True, slots=True)
class SayingWord:
    """One word of a saying: any of these keys, or any word that begins so; whether it denies what follows."""

    keys: frozenset[str]
    begins: tuple[str, ...] = ()
    denies: bool = False

    def has(self, word: Word) -> bool:
        """Whether a word of a line is this one."""
        if word.kind == "number" and NUMBER in self.keys:
            return True
        return word.key in self.keys or (bool(self.begins) and word.text.startswith(self.begins))


@dataclass(frozen=True, slots=True)
class Phrase:
    """A saying as its parts.

    `denies` where one of them is a denial; `turns` where its order may be another; `tight` where no other word of
    weight, and no comma, stands between. A `weak` one has words alone that say nothing of this trade, and is only
    offered. `fixed` are the numbers of its parts that belong close to the word before them: `popped in`.
    """

    parts: tuple[SayingWord, ...]
    denies: bool
    turns: bool
    tight: bool
    weak: bool
    fixed: tuple[int, ...]
    says: str

    @property
    def breadth(self) -> float:
        """How many ways of saying it there are, as a logarithm."""
        return sum(math.log(max(len(part.keys) + 3 * len(part.begins), 1)) for part in self.parts)

    def mentions(self, key: str) -> bool:
        """Whether a word is one of its parts."""
        return any(key in part.keys for part in self.parts)


@dataclass(frozen=True, slots=True)
class Found:
    """Where a saying stands: the places of its words among those of the line, rising, and what that weighs.

    `breadth` is how many lines the saying allows for, as a logarithm: `jets/flow weak/poor/slow` those of six.
    """

    places: tuple[int, ...]
    weight: float
    denies: bool = False
    weak: bool = False
    breadth: float = 0.0

    @property
    def words(self) -> frozenset[int]:
        """The places as a set."""
        return frozenset(self.places)


def find(phrase: Phrase, words: Sequence[Word], between: Sequence[float]) -> Found | None:
    """Where a saying stands best in a line; None where it does not.

    Args:
        words: the line, marks among them.
        between: for each word what it counts for between two others: nothing for one of little weight, more than one
            for the name of another thing.
    """
    spots = []
    for part in phrase.parts:
        here = [at for at, word in enumerate(words) if part.has(word)][:_MOST_PLACES]
        if not here:
            return None
        spots.append(here)
    best: Found | None = None
    for places in _orders(spots, phrase.turns):
        cost = _cost(places, words, between)
        if cost is not None and _is_denial_parted(phrase, places, words):
            continue
        if cost is not None and phrase.fixed and _is_particle_parted(phrase, places, between):
            continue
        if phrase.tight and cost not in (0.0, TURNED):
            continue
        if cost is not None and (best is None or len(places) - cost > best.weight):
            weak = phrase.weak or _is_loose(places, words, between)
            best = Found(tuple(sorted(places)), len(places) - cost, phrase.denies, weak, phrase.breadth)
    return best


def _orders(spots: Sequence[Sequence[int]], turns: bool, before: tuple[int, ...] = ()) -> Iterator[tuple[int, ...]]:
    """Each choice of one place a part, no place twice: in the order of the parts, or in any."""
    if not spots:
        yield before
        return
    for at in spots[0]:
        if at not in before and (turns or not before or before[-1] < at):
            yield from _orders(spots[1:], turns, (*before, at))


def _cost(places: Sequence[int], words: Sequence[Word], weights: Sequence[float]) -> float | None:
    """What stands between and the order cost; None where the words stand too far apart, or in two sentences."""
    rising = sorted(places)
    turned = rising != list(places)
    between, commas = 0.0, 0
    for before, after in pairwise(rising):
        for at in range(before + 1, after):
            if ends_sentence(words[at]):
                return None
            commas += words[at].kind == "mark"
            between += weights[at]
    # A pair of words over a comma, or the wrong way round, hardly belongs together where more stands between.
    most = 0 if commas and len(rising) == 2 else min(_MOST_BETWEEN, len(rising) - 1)
    if between > (min(most, 1) if turned else most) or (turned and commas):
        return None
    return _BETWEEN * between + _COMMA * commas + TURNED * turned


def _is_loose(places: Sequence[int], words: Sequence[Word], between: Sequence[float]) -> bool:
    """Whether two words hardly belong together: turned with another between, or over a comma that more follows.

    `pump, silent` do, and `cell housing, water sprays` does not.
    """
    if len(places) != 2:
        return False
    last = max(places)
    inner = range(min(places) + 1, last)
    if any(words[at].kind == "mark" for at in inner):
        return last + 1 < len(words) and words[last + 1].kind != "mark"
    return places[0] > places[1] and any(between[at] for at in inner)


def _is_denial_parted(phrase: Phrase, places: Sequence[int], words: Sequence[Word]) -> bool:
    """Whether a comma stands between a denial of the saying and what it denies: `no scale, pump runs`."""
    parts = zip(phrase.parts, places, places[1:], strict=False)
    return any(part.denies and any(word.kind == "mark" for word in words[at + 1 : after]) for part, at, after in parts)


def _is_particle_parted(phrase: Phrase, places: Sequence[int], between: Sequence[float]) -> bool:
    """Whether a word of weight stands before a word that belongs close to the one before it."""
    return any(
        part > 0
        and any(between[at] for at in range(min(places[part - 1 : part + 1]) + 1, max(places[part - 1 : part + 1])))
        for part in phrase.fixed
    )
