"""How sure it is that an answer found in a line is meant: from this its saying is taken, below it is offered; pure.

The sum was fitted, as a logistic regression, on the lines of tests/spoken that the reader was built with, each read
with half of the sayings left out at random (three times), so that the lines were as new to it as those of anybody; then
the weights were rounded. In the half of those lines by which the ways were compared, wrong answers in a hundred stated,
where one right one in ten was only offered: by the length of the saying alone 4.6, by how rare its words are 3.5, by
how far other sayings with these words agree 3.2, by this sum 2.7. What its breadth takes off, and the bound, were
chosen by the figures of lines typed before any saying was read (tests/spoken/built/typed_odd.yaml and typed_even.yaml).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from interview.understanding.listening.phrasebook import Phrasebook
from interview.understanding.listening.words import Word

_RARE, _UNKNOWN = 0.3, 3.0
"""For the rarity of each word of the saying; the rarity of a word of no saying."""
_AGREED, _HALF = 0.35, 0.5
"""For the odds at which sayings with these words say this answer; what is added to both sides of them."""
_AGAIN, _MOST_AGAIN = 0.33, 4
"""For each saying of the line that says the same answer, so many at most."""
_UNSAID, _MOST_UNSAID = 0.27, 5
"""Off for each word of weight in the same parts of the line that the saying leaves over, so many at most."""
_WHOLE = 1.0
"""For a saying that is all that a part of the line says, as in a list of short facts: judgement."""
_BROAD = 0.4
"""Off for the breadth of the saying."""
_SHARED, _INSIDE, _DENIED, _RIVAL = 0.9, 1.75, 1.0, 1.55
"""Off where its words say another check too, unless all of them stand inside that; off for a denial that is none of its
words, and where another answer is said as well."""
SURE = 1.7
"""From this on an answer is taken."""


@dataclass(frozen=True)
class Signs:
    """What speaks for an answer and against it.

    `again` is how many sayings of the line say the same, `unsaid` how many words of weight its parts of the line have
    beside it; `shared` with another check it is where words are, `inside` where all are.
    """

    again: int
    unsaid: int
    breadth: float
    shared: bool
    inside: bool
    denied: bool
    rival: bool


def certainty(
    meaning: tuple[str, str | float], words: Sequence[Word], places: Collection[int], signs: Signs, book: Phrasebook
) -> float:
    """How sure an answer is, about from -2 to 8.

    Args:
        meaning: the check and its answer.
        words: the line.
        places: where the words of the saying stand in it.
        book: all sayings.
    """
    keys = {words[at].key for at in places}
    same, all_of_them = book.agreeing(keys, meaning)
    found = _RARE * sum(book.rarity.get(words[at].key, _UNKNOWN) for at in places)
    found += _AGREED * math.log((same + _HALF) / (all_of_them - same + _HALF))
    found += _AGAIN * min(signs.again, _MOST_AGAIN) - _UNSAID * min(signs.unsaid, _MOST_UNSAID)
    found += _WHOLE * (signs.unsaid == 0) - _BROAD * signs.breadth
    found += _INSIDE * signs.inside - _SHARED * signs.shared
    return found - _DENIED * signs.denied - _RIVAL * signs.rival
