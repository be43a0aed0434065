"""What the words of a clause may mean that no saying fits: the likeliest answers, and how sure they are; pure.

How sure one is, was fitted as a logistic regression on every other line of tests/spoken that the reader was built with,
each read with half of the sayings left out at random (three times). In the other lines, where one clause in three lines
was guessed at, of a hundred stated facts so many more were among three answers offered: by the weight of the best
saying 7.8 (Spanish 7.0), by naive Bayes 8.7 (7.1), by both 9.5 (7.6); before, by a bound of that weight and where
nothing else was understood in a clause, 2.3 (2.6). Words of the questions' own texts added nothing, nor did how a
word's other ways of saying it share its weight. Nothing is taken by this: of those surest, one in twenty was wrong.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from interview.understanding.listening.likelihood import Answer, posterior
from interview.understanding.listening.phrase import Phrase
from interview.understanding.listening.phrasebook import Phrasebook
from interview.understanding.listening.words import Word

_FEWEST = 2
"""Of fewer words nothing is guessed."""
_NUMBER_SAID = 0.62
"""So much of a saying of a number has to be there: such have few, of common words."""
_WEIGHED = 6
"""So many of the likeliest are held beside their sayings."""
_ALL, _POSTERIOR, _LIKELIER, _MOST_LIKELIER = -5.07, 0.56, 0.18, 15.0
_SHARE, _LEFT, _MOST_LEFT, _UNKNOWN, _MOST_UNKNOWN, _DOUBTFUL = 4.63, 0.38, 6, 0.6, 4, 1.58
"""What counts for an answer: its posterior, how much likelier the words are where it is meant, the share of its best
saying, each word that says nothing else; and against it: each word that stands in no saying, and doubt."""
_OTHERWISE, _ALONE = 0.6, 3.0
"""The share of a saying that denies where the clause does not, or the other way; and the rarity of an unknown word."""


@dataclass(frozen=True)
class Guess:
    """An answer that a clause may mean, and how sure that is: from 0 to 1."""

    answer: Answer
    sure: float


def guesses(
    words: Sequence[Word],
    left: Collection[int],
    book: Phrasebook,
    said: Collection[str],
    told: Collection[Answer],
    doubtful: bool,
) -> list[Guess]:
    """The answers that a clause may mean, the likeliest first.

    Args:
        words: the clause.
        left: the places of its words that say nothing else.
        said: checks that are answered already; `told` the answers that this clause gave.
        doubtful: whether it is said with doubt.
    """
    talk, likelihood = book.talk, book.likelihood
    weighty = [at for at, word in enumerate(words) if word.kind == "word" and word.text not in talk.small | talk.denies]
    keys = {words[at].key for at in weighty}
    # `lately` behind `nobody added salt` is how that is said too, and no word left over.
    sayings = [phrase for answer in told for phrase in likelihood.sayings.get(answer, ())]
    used = {key for phrase in sayings for part in phrase.parts for key in part.keys}
    left = [at for at in left if words[at].key not in used]
    open_ones = {words[at].key for at in weighty if at in left}
    tells = any(
        words[at].text not in book.talk.ordinary and likelihood.knows(words[at].key) for at in weighty if at in left
    )
    if not tells or len(keys) < _FEWEST:
        return []
    denies = any(word.text in talk.denies for word in words)
    weights = likelihood.weighed(keys, denies, any(word.kind == "number" for word in words))
    weights = {answer: weight for answer, weight in weights.items() if answer[0] not in said}
    if not weights:
        return []
    likely = posterior(weights)
    known = sum(likelihood.knows(key) for key in open_ones)
    about = _ALL + _LEFT * min(known, _MOST_LEFT) - _DOUBTFUL * doubtful
    about -= _UNKNOWN * min(sum(not likelihood.knows(key) for key in keys), _MOST_UNKNOWN)
    found = []
    for answer in sorted(weights, key=lambda each: -weights[each])[:_WEIGHED]:
        share = max((_share(phrase, words, keys, book, denies) for phrase in likelihood.sayings[answer]), default=0.0)
        if isinstance(answer[1], float) and share < _NUMBER_SAID:
            continue
        odds = about + _POSTERIOR * likely[answer] + _LIKELIER * min(weights[answer], _MOST_LIKELIER) + _SHARE * share
        found.append(Guess(answer, 1 / (1 + math.exp(-odds))))
    return sorted(found, key=lambda each: -each.sure)


def _share(phrase: Phrase, words: Sequence[Word], keys: Collection[str], book: Phrasebook, denies: bool) -> float:
    """How much of a saying's weight stands in the words."""
    total = found = 0.0
    for part in phrase.parts:
        weight = max((book.rarity.get(key, 0.0) for key in part.keys), default=_ALONE)
        total += weight
        if not part.keys.isdisjoint(keys) or (bool(part.begins) and any(part.has(word) for word in words)):
            found += weight
    return found / total * (_OTHERWISE if denies != phrase.denies else 1.0) if total else 0.0
