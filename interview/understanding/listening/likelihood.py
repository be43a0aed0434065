"""How likely the words of a clause are where an answer is meant, beside where anything is: naive Bayes over sayings.

Counted from the sayings of the phrasebook when a clause is first guessed at: in how many of an answer's sayings each
word stands. An answer's shares are smoothed towards those of its check, and these towards those of all sayings, so
that a check with few sayings is no surer than one with many. Whether a clause denies, and whether it has a number,
count as a word more.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass

from interview.understanding.listening.phrase import NUMBER, Meaning, Phrase

Answer = tuple[str, str | float]
_TO_CHECK, _TO_ALL = 10.0, 30.0
"""So many words of the check's sayings are added to an answer's, and of all sayings to a check's."""
_SAYINGS = 4.0
"""So many sayings with the usual share of denials, and of numbers, are added to each answer's."""
_TEMPER = 0.5
"""The words of a clause hang together: each counts for so much of what it would say alone."""


class Likelihood:
    """The answers that are said somehow, weighed by the words of clauses.

    `sayings` are those of each answer, the words of each being those by which they are found.
    """

    def __init__(self, sayings_with: Mapping[str, Sequence[tuple[Phrase, Meaning]]]) -> None:
        sayings: dict[Answer, dict[int, Phrase]] = {}
        answers: Counter[Answer] = Counter()
        for pairs in sayings_with.values():
            for phrase, meaning in pairs:
                sayings.setdefault((meaning.check, meaning.what), {})[id(phrase)] = phrase
                answers[meaning.check, meaning.what] += 1
        self.sayings: Mapping[Answer, Sequence[Phrase]] = {each: [*had.values()] for each, had in sayings.items()}
        self._with = sayings_with
        self._answers = answers
        self._checks: Counter[str] = Counter()
        for (check, _), count in answers.items():
            self._checks[check] += count
        self._words: dict[str, list[float]] = {}
        self._denying = self._by_sayings(lambda phrase: phrase.denies)
        self._numbered = self._by_sayings(lambda phrase: phrase.mentions(NUMBER))

    def knows(self, key: str) -> bool:
        """Whether a word stands in any saying."""
        return key in self._with

    def weighed(self, keys: Collection[str], denies: bool, numbered: bool) -> dict[Answer, float]:
        """For each answer the logarithm of how much likelier the words are where it is meant than where any is.

        Args:
            keys: the words as they are compared; those of no saying say nothing.
            denies: whether the clause denies.
            numbered: whether a number stands in it.
        """
        rows = [self._of_word(key) for key in sorted(keys) if self.knows(key)]
        rows += [self._denying[denies], self._numbered[numbered]]
        return dict(zip(self._answers, map(sum, zip(*rows, strict=True)), strict=True))

    def _of_word(self, key: str) -> list[float]:
        if key not in self._words:
            pairs = self._with[key]
            answers = Counter((meaning.check, meaning.what) for _, meaning in pairs)
            checks = Counter(meaning.check for _, meaning in pairs)
            anywhere = len(pairs) / self._answers.total()
            in_checks = {
                check: (checks[check] + _TO_ALL * anywhere) / (total + _TO_ALL) for check, total in self._checks.items()
            }
            self._words[key] = [
                math.log((answers[answer] + _TO_CHECK * in_checks[answer[0]]) / (total + _TO_CHECK) / anywhere)
                for answer, total in self._answers.items()
            ]
        return self._words[key]

    def _by_sayings(self, has: Callable[[Phrase], bool]) -> tuple[list[float], list[float]]:
        """For each answer what it says that a clause has something not, and that it has it."""
        counts = {answer: sum(map(has, self.sayings[answer])) for answer in self._answers}
        usual = (sum(counts.values()) + 1) / (sum(map(len, self.sayings.values())) + 2)
        shares = [
            (counts[answer] + _SAYINGS * usual) / (len(self.sayings[answer]) + _SAYINGS) for answer in self._answers
        ]
        return [math.log((1 - share) / (1 - usual)) for share in shares], [math.log(share / usual) for share in shares]


def posterior(weights: Mapping[Answer, float]) -> dict[Answer, float]:
    """The logarithm of how likely each of the answers is, if one of them is meant."""
    most = max(weights.values())
    total = math.log(sum(math.exp(_TEMPER * (weight - most)) for weight in weights.values()))
    return {answer: _TEMPER * (weight - most) - total for answer, weight in weights.items()}


@dataclass(frozen=True)
class Leaning:
    """What some words lean to: how likely each answer is, as a logarithm, which one most, and how many are new."""

    likely: Mapping[Answer, float]
    most: Answer
    new: int

    def is_otherwise(self, answer: Answer) -> bool:
        """Whether the words lean most to another answer of the same check."""
        return self.most != answer and self.most[0] == answer[0]


def leaning(keys: Collection[str], denies: bool, numbered: bool, likelihood: Likelihood) -> Leaning:
    """What the words of a part of a line lean to, all of them taken together.

    Args:
        keys: the words of weight as they are compared.
        denies: whether a denial stands among them, `numbered` whether a number does.
    """
    likely = posterior(likelihood.weighed(keys, denies, numbered))
    return Leaning(likely, max(likely, key=likely.__getitem__), sum(not likelihood.knows(key) for key in keys))
