"""Which of the sayings found in a line stand, and which of these are sure: the rest is offered; pure."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from interview.understanding.listening.certainty import SURE, Signs, certainty
from interview.understanding.listening.clauses import Clauses
from interview.understanding.listening.likelihood import Leaning, leaning
from interview.understanding.listening.phrase import Found, Meaning
from interview.understanding.listening.phrasebook import Phrasebook
from interview.understanding.listening.words import Word

START = ("role", "complaint")
"""What is said at the start and is no check."""
_CLEARLY = 1.4
"""So many times the weight of another answer one must have to be taken where both are said: judgement."""
_UNLIKELY = -15.0
"""What the words of a line lean by to an answer that no saying has."""


@dataclass(frozen=True)
class Match:
    """A saying of an answer in a line; `doubtful` where that is said with doubt, or another answer `rival` as well.

    `plain` where nothing of its parts of the line is said with doubt, whatever is thought of the saying.
    """

    check: str
    value: str | float
    found: Found
    doubtful: bool
    rival: str | float | None = None
    plain: bool = True

    @property
    def weight(self) -> float:
        """How much of the line says so."""
        return self.found.weight


class Choosing:
    """The choice among the answers that one line may state.

    Args:
        words: the line, `clauses` its parts; `book` all sayings.
        numbers: the places of its words that are of numbers.
    """

    def __init__(self, words: Sequence[Word], clauses: Clauses, book: Phrasebook, numbers: Collection[int]) -> None:
        self._words = words
        self._clauses = clauses
        self._book = book
        self._numbers = numbers
        self._leanings: dict[tuple[int, ...], Leaning] = {}

    def chosen(self, matches: Sequence[Match], said: Sequence[tuple[Meaning, Found]]) -> list[Match]:
        """The matches that stand: the weightiest first, and none that is part of what says something else."""
        never = [(meaning.check, found) for meaning, found in said if meaning.kind == "never" and not found.weak]
        kept: list[Match] = []
        for match in sorted(matches, key=lambda each: -each.weight):
            if any(check == match.check and self._rules_out(found, match.found) for check, found in never):
                continue
            loose = [at for at, other in enumerate(kept) if self._is_surer(match, other)]
            for at in loose:
                kept[at] = match
            if loose or any(self._covers(other, match) for other in kept):
                continue
            kept.append(match)
        settled = self._settled(kept)
        stands = {each.check: each.value for each in settled}
        over = [each.found.words for each in matches if stands.get(each.check, each.value) != each.value]
        found = []
        for each in settled:
            # `green, no, that is the spa, ours is clear`: what the green says the trouble is, is not meant either.
            overruled = each.check in START and each.found.words in over
            found.append(replace(each, doubtful=True) if overruled else each)
        weighed = [each if each.doubtful else self._weighed(each, matches, kept) for each in found]
        return weighed + self._released(weighed, matches, kept, never)

    def _released(
        self,
        chosen: Sequence[Match],
        matches: Sequence[Match],
        kept: Sequence[Match],
        never: Sequence[tuple[str, Found]],
    ) -> list[Match]:
        """What stands inside longer sayings that are not sure: `pump off` in `flow, pump off`."""
        freed: list[Match] = []
        unsure = [each for each in chosen if each.doubtful]
        for match in sorted(matches, key=lambda each: -each.weight):
            words = match.found.words
            known = any(each.check == match.check for each in (*chosen, *freed))
            if known or match.doubtful or not any(words < each.found.words for each in unsure):
                continue
            if any(self._covers(each, match) for each in (*chosen, *freed) if each not in unsure):
                continue
            if not any(check == match.check and self._rules_out(found, match.found) for check, found in never):
                freed.append(self._weighed(match, matches, kept))
        return freed

    def _weighed(self, match: Match, matches: Sequence[Match], kept: Sequence[Match]) -> Match:
        """A match, doubtful where what the line says for it makes it not sure enough."""
        words = match.found.words
        answers = [each for each in matches if each.check == match.check]
        touched = [at for c in self._clauses.touching(words) for at in range(c.start, c.end) if at not in words]
        left = [at for at in touched if self._words[at].kind == "word" and at not in self._clauses.small]
        beside = [each.found.words for each in kept if each.check != match.check and each.found.words & words]
        lean = self._leaning(tuple(clause.start for clause in self._clauses.touching(words)))
        meaning = (match.check, match.value)
        signs = Signs(
            again=sum(each.value == match.value for each in answers),
            whole=all(at in self._numbers for at in left),
            new=lean.new,
            likely=lean.likely.get(meaning, _UNLIKELY),
            otherwise=lean.is_otherwise(meaning),
            alone=self._is_all(words),
            start=match.check in START,
            # Of several sayings with these words that say so, the one that allows for least else.
            breadth=min(
                each.found.breadth for each in answers if each.value == match.value and each.found.words <= words
            ),
            apart=len(words) - match.weight,
            # What the trouble is, is told by the words of a finding: `drips at the nut`.
            shared=bool(beside) and match.check not in START,
            inside=any(words <= others for others in beside),
            denied=any(self._words[at].text in self._book.talk.denies for at in touched),
            rival=any(each.value != match.value for each in answers),
        )
        sure = certainty(meaning, self._words, words, signs, self._book) >= SURE
        return match if sure else replace(match, doubtful=True)

    def _is_all(self, places: Collection[int]) -> bool:
        """Whether a line says nothing else of weight."""
        said = {at for at, word in enumerate(self._words) if word.kind != "mark"}
        return said - self._clauses.small <= set(places)

    def _leaning(self, starts: tuple[int, ...]) -> Leaning:
        """What all the words of some parts of the line lean to."""
        if starts not in self._leanings:
            clauses = [each for each in self._clauses.clauses if each.start in starts]
            inside = [self._words[at] for each in clauses for at in range(each.start, each.end)]
            talk = self._book.talk
            keys = {word.key for word in inside if word.kind == "word" and word.text not in talk.small | talk.denies}
            denies = any(word.text in talk.denies for word in inside)
            numbered = any(word.kind == "number" for word in inside)
            self._leanings[starts] = leaning(keys, denies, numbered, self._book.likelihood)
        return self._leanings[starts]

    def _rules_out(self, never: Found, found: Found) -> bool:
        """Whether words of one clause that say nothing of a check are among those that would say something."""
        longer = len(never.words) >= len(found.words)
        return bool(never.words & found.words) and longer and len(self._clauses.touching(never.places)) == 1

    def _is_surer(self, match: Match, other: Match) -> bool:
        """Whether one is said plainly that more words, standing apart, hardly say: `storm` in `storm last week`."""
        same = (other.check, other.value) == (match.check, match.value)
        apart = other.doubtful and other.plain
        return same and apart and not match.doubtful

    def _covers(self, other: Match, match: Match) -> bool:
        """Whether what is kept already says this match's words otherwise."""
        if other.check == match.check:
            return other.value == match.value or bool(other.found.words & match.found.words)
        if match.check in START or other.check in START:
            return False
        said = self._book.said.get(match.check)
        return match.found.words < other.found.words and not (said is not None and said.within)

    def _settled(self, kept: Sequence[Match]) -> list[Match]:
        """One answer a check: the one that is said more clearly, or the last where it corrects; else both in doubt."""
        settled: dict[str, Match] = {}
        for match in kept:
            before = settled.get(match.check)
            if before is None:
                settled[match.check] = match
                continue
            first, last = sorted((before, match), key=lambda each: each.found.places[0])
            if self._clauses.corrected(first.found.places, last.found.places) or self._is_over(first, last):
                settled[match.check] = last
            elif before.weight < _CLEARLY * match.weight and not match.doubtful and not before.doubtful:
                settled[match.check] = replace(before, doubtful=True, rival=match.value)
        back = self._clauses.taken_back
        return [replace(each, doubtful=True) if back(each.found.places) else each for each in settled.values()]

    def _is_over(self, first: Match, last: Match) -> bool:
        """Whether one tells how it was, and the other how it became."""
        was = all(clause.was for clause in self._clauses.touching(first.found.places))
        return was and any(clause.since for clause in self._clauses.touching(last.found.places))
