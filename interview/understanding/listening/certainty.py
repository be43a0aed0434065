"""How sure it is that an answer found in a line is meant: from this its saying is taken, below it is offered; pure.

The sum was fitted, as a logistic regression, on the lines of tests/spoken that the reader was built with, each read
with half of the sayings left out at random (four times; those that say what is none of a check's as well), so that the
lines were as new to it as those of anybody; then the weights were rounded. Beside the saying itself it weighs what all
the words of its parts of the line lean to, by the likelihoods by which answers are guessed at: of what was found by
sayings, where the words lean to it too one in seventy was wrong, where they lean to another answer of the same check
one in ten, and where to another check one in eleven. Where one right answer in ten was only offered, 1.2 of a hundred
taken were wrong in those lines, and 1.6 by the saying alone; in lines nobody had read (the first half of
tests/spoken/built/counter.yaml) 3.0 and 6.8. The bound was chosen by what such lines cost: raised from 2.1 to 2.7, of a
hundred stated 2.9 fewer are taken at once and 0.12 fewer wrongly, where lines that nobody has read have some four times
as many wrong ones; a wrong answer counts as ten that are only offered.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from interview.understanding.listening.phrasebook import Phrasebook
from interview.understanding.listening.words import Word

_RARE, _UNKNOWN = 0.3, 3.0
"""For the rarity of each word of the saying; the rarity of a word of no saying."""
_AGREED, _HALF = 0.26, 0.5
"""For the odds at which sayings with these words say this answer; what is added to both sides of them."""
_AGAIN, _MOST_AGAIN = 0.5, 4
"""For each saying of the line that says the same answer, so many at most."""
_LEANS, _OTHERWISE = 0.3, 1.02
"""For the logarithm of how likely all the words of its parts of the line make it; off where they make another answer of
the same check the likeliest of all."""
_NEW, _MOST_NEW = 0.96, 3
"""Off for each word of these parts that no saying has, so many at most."""
_WHOLE, _ALONE, _START = 1.2, 2.0, 1.62
"""For a saying that is all that a part of the line says, as in a list of short facts, and that all of the line is: by
judgement more than was fitted, as the lines fitted with hardly have any such; and for the trouble or the place, which
are seldom mentioned without being meant."""
_BROAD, _APART = 0.44, 1.02
"""Off for the breadth of the saying, and for what its words lose by standing apart or turned."""
_SHARED, _INSIDE, _DENIED, _RIVAL = 0.73, 1.86, 0.99, 1.98
"""Off where its words say another check too, unless all of them stand inside that; off for a denial that is none of its
words, and where another answer is said as well."""
SURE = 2.7
"""From this on an answer is taken."""


@dataclass(frozen=True)
class Signs:
    """What speaks for an answer and against it.

    `again` is how many sayings of the line say the same; `whole` whether its parts of the line say nothing beside it,
    `alone` whether all of the line does not; `new` how many of their words are in no saying, `likely` what they lean to
    it by, and `otherwise` whether they lean most to another answer of its check. `start` it is for the trouble or the
    place, `apart` what its words lose by where they stand; `shared` it is with another check, `inside` where all are.
    """

    again: int
    whole: bool
    alone: bool
    new: int
    likely: float
    otherwise: bool
    start: bool
    breadth: float
    apart: float
    shared: bool
    inside: bool
    denied: bool
    rival: bool


def certainty(
    meaning: tuple[str, str | float], words: Sequence[Word], places: Collection[int], signs: Signs, book: Phrasebook
) -> float:
    """How sure an answer is, about from -5 to 8.

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
    found += _AGAIN * min(signs.again, _MOST_AGAIN) + _WHOLE * signs.whole
    found += _ALONE * signs.alone + _START * signs.start
    found += _LEANS * signs.likely - _OTHERWISE * signs.otherwise - _NEW * min(signs.new, _MOST_NEW)
    found += _INSIDE * signs.inside - _SHARED * signs.shared - _BROAD * signs.breadth - _APART * signs.apart
    return found - _DENIED * signs.denied - _RIVAL * signs.rival
