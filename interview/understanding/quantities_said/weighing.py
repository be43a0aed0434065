"""How strongly what is said beside a number says of which check it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from interview.understanding.listening.clauses import Clauses
from interview.understanding.listening.phrase import Found, Meaning
from interview.understanding.listening.words import ends_sentence
from interview.understanding.quantities_said.figures import Figure

_FAR, _OVER_COMMA, _OVER_NUMBER = 0.1, 0.35, 0.8
"""What a word, a comma and another number between take off: judgement, as all weights here."""
_ONE, _LONGER, _PLACED = 0.8, 0.3, 0.4
_NEXT_ONES, _BEHIND = 1.2, 0.15


@dataclass(frozen=True)
class Beside:
    """What is said beside the numbers of a line.

    `kept` are the numbers, each with the place by which it is judged; `sayings` are those that say of which check a
    number is, or is not.
    """

    kept: Sequence[tuple[Figure, int]]
    sayings: Sequence[tuple[Meaning, Found]]
    clauses: Clauses

    def of(self, check: str, figure: Figure, anchor: int, kind: str = "number", by_more: bool = False) -> float:
        """How strongly what is said beside a number says that it is this check's, or else of this kind about it.

        Args: `by_more`, whether only what says more counts than which of our things is meant: `pool holds`, no `pool`.
        """
        best = 0.0
        # What is said of the number that it puts right, as that it was long ago, is not said of it.
        places = {figure.first} if kind == "never" else {anchor, figure.first}
        longer = self._longer(check) if kind == "never" else []
        for meaning, found in self.sayings:
            if meaning.check == check and meaning.kind == kind:
                words = {at for at in found.places if self.clauses.words[at].kind != "number"}
                if by_more and all(self.clauses.words[at].text in self._things for at in words):
                    continue
                if kind == "number" and len(words) == 1 and self._is_part_of_a_name(words, check):
                    # The `test` of a `salt test` is of no other thing.
                    continue
                if kind == "never" and (self._is_parted(found, anchor) or any(found.words < each for each in longer)):
                    # The longer saying wins, as everywhere.
                    continue
                # What puts another number right is judged by its own place too: `3200, sorry, 2300 on the unit`.
                best = max(best, *(self._strength(found, figure, at) for at in places))
        return best

    def _longer(self, check: str) -> list[frozenset[int]]:
        """The words of sayings by which a number is a check's, and that no longer one says is none of its."""
        own = [(meaning.kind, found.words) for meaning, found in self.sayings if meaning.check == check]
        never = [words for kind, words in own if kind == "never"]
        longer = [words for kind, words in own if kind == "number" and not any(words < other for other in never)]
        marks = {at for at, word in enumerate(self.clauses.words) if word.kind == "mark"}
        return [words for words in longer if marks.isdisjoint(range(min(words), max(words)))]

    def _is_parted(self, found: Found, anchor: int) -> bool:
        """Whether a comma stands between where a saying begins and the number: `low on the display, salt test 2400`."""
        return any(word.kind == "mark" for word in self.clauses.words[min(found.places) : anchor])

    @cached_property
    def _things(self) -> frozenset[str]:
        return self.clauses.talk.words["ours"] | self.clauses.talk.small

    @cached_property
    def _names(self) -> list[tuple[str, frozenset[int]]]:
        """The names of readings that stand in a run, without a number, and whose they are."""
        runs = [
            (meaning.check, found)
            for meaning, found in self.sayings
            if meaning.kind == "number" and found.places[-1] - found.places[0] == len(found.places) - 1
        ]
        words = self.clauses.words
        return [(check, found.words) for check, found in runs if all(words[at].kind == "word" for at in found.places)]

    def _is_part_of_a_name(self, words: set[int], check: str) -> bool:
        return any(owner != check and words < others for owner, others in self._names)

    def _strength(self, found: Found, figure: Figure, anchor: int) -> float:
        words, own = self.clauses.words, range(figure.first, figure.last + 1)
        placed = [at for at in found.places if words[at].kind == "number"]
        if (placed and not set(placed) & {*own, anchor}) or self._belongs_elsewhere(found, own, anchor, bool(placed)):
            return 0.0
        near = min((at for at in found.places if at not in own), key=lambda at: abs(at - anchor), default=anchor)
        low, high = sorted((near, anchor))
        between = [at for at in range(low + 1, high) if at not in own and at not in found.places]
        if any(ends_sentence(words[at]) for at in between):
            return 0.0
        parting = self.clauses.talk.parting
        commas = sum(words[at].kind == "mark" or words[at].text in parting for at in between)
        weighty = sum(words[at].kind == "word" and at not in self.clauses.small for at in between)
        numbers = sum(any(other.first == at for other, _ in self.kept) for at in between)
        if (
            words[figure.first].text.isalpha()
            and figure.number == "0"
            and near < anchor
            and commas
            and self._leads(figure)
        ):
            # `clear water, zero chlorine` tells nothing of the water.
            return 0.0
        strength = _ONE * (1 + _LONGER * (found.weight - 1)) + (_PLACED if placed else 0.0)
        last = max(found.places)
        if figure.last < last < len(words) - 1 and words[last + 1].kind == "number":
            # `ph 7.4 cya 45`: the name behind a number belongs to the next one.
            strength -= _NEXT_ONES
        # `free 1.4`, and not `2.0 free`, where both can be read; what follows behind a comma is mostly of the next one.
        behind = _BEHIND * (1 + 2 * (commas > 0) + 2 * (found.weight <= 1)) if near > anchor else 0.0
        return strength - behind - _FAR * weighty - _OVER_COMMA * commas - _OVER_NUMBER * numbers

    def _leads(self, figure: Figure) -> bool:
        """Whether a word of weight follows a number at once."""
        behind = self.clauses.words[figure.last + 1 : figure.last + 2]
        return bool(behind) and behind[0].kind == "word" and figure.last + 1 not in self.clauses.small

    def _belongs_elsewhere(self, found: Found, own: range, anchor: int, placed: bool) -> bool:
        """Whether a saying over another number is of that one, or a name right behind it: `3.0 free, 3.1 total`."""
        words, low, high = self.clauses.words, min(found.places), max(found.places)
        numbered = {other.first for other, _ in self.kept} - {*own, *found.places}
        if placed and numbered & set(range(low, high)):
            return True
        marks = [at for at in range(low, anchor) if words[at].kind == "mark"]
        names = [at for at in found.places if at > 0 and not {at, at - 1} & {*own}]
        return any(words[at - 1].kind == "number" and at < mark for at in names for mark in marks)
