"""The parts of a line between its marks: which are doubtful, asked, long ago, elsewhere, or yet to come."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import pairwise

from interview.understanding.listening.clause import Clause
from interview.understanding.listening.things import mark_things
from interview.understanding.listening.times import mark_times
from interview.understanding.listening.words import KnownPhrases, Talk, Word, ends_sentence, phrase_at

_REACH = 4
"""Words of weight over which a denial reaches."""
_LIST = 2
"""So many parts of a sentence that begin by a denial are a list of them."""


@dataclass(frozen=True)
class Clauses:
    """The clauses of a line, and which one each place belongs to."""

    clauses: Sequence[Clause]
    of: Sequence[int]
    words: Sequence[Word]
    talk: Talk
    small: frozenset[int]

    def touching(self, places: Collection[int]) -> list[Clause]:
        """The clauses in which places stand."""
        return [self.clauses[number] for number in sorted({self.of[at] for at in places})]

    def holds_only(self, places: Sequence[int]) -> bool:
        """Whether a clause has these places, and no other word of weight."""
        clause = self.clauses[self.of[places[0]]]
        inside = {at for at in range(clause.start, clause.end) if self.words[at].kind != "mark"}
        return inside - self.small <= set(places)

    def after(self, clause: Clause) -> Clause | None:
        """The next clause of the same sentence."""
        number = next(k for k, each in enumerate(self.clauses) if each is clause) + 1
        there = number < len(self.clauses) and self.clauses[number].sentence == clause.sentence
        return self.clauses[number] if there else None

    def is_doubted_after(self, clause: Clause) -> bool:
        """Whether what comes behind a clause, and those joined to it, makes it doubtful."""
        after = self.after(clause)
        while after is not None and after.joined and not after.doubts_before:
            after = self.after(after)
        return after is not None and after.doubts_before

    def corrected(self, first: Collection[int], last: Collection[int]) -> bool:
        """Whether what stands last puts right what stands first."""
        between = range(self.of[max(first)] + 1, self.of[max(last)] + 1)
        # The `no` of `no chlorine` takes nothing back.
        corrects = (self.clauses[number] for number in between if self.clauses[number].corrects)
        return any(self._begins(clause) not in last for clause in corrects)

    def _begins(self, clause: Clause) -> int:
        """The place of the first word of a clause that does not join it."""
        inside = range(clause.start, clause.end)
        return next((at for at in inside if self.words[at].text not in self.talk.parting), clause.start)

    def weighs(self, at: int) -> bool:
        """Whether a word says more than that something is put right, or is another thing's."""
        clause = self.clauses[self.of[at]]
        word = self.words[at]
        if at in self.small or word.kind != "word" or word.text in self.talk.parting or clause.elsewhere:
            return False
        return not (clause.corrects and word.text in self.talk.sayings["corrects"].words)

    def begins_with_ours(self, clause: Clause) -> bool:
        """Whether a clause begins by whose thing it is alone, and that is ours: `his own draws 6`, `la suya 4`."""
        texts = [word.text for word in self.words[: clause.end]]
        return phrase_at(texts, self._begins(clause), self.talk.sayings["ours_alone"]) > 0

    def on_condition(self, places: Collection[int]) -> bool:
        """Whether what stands there tells when something else is so: `leaks when the pump is on`."""
        low = min(places)
        inside = (at for at in range(low, max(places)) if at not in places)
        if self.clauses[self.of[low]].elsewhere and any(self._is_condition(at) for at in inside):
            return True
        before = next((at for at in range(low - 1, -1, -1) if at not in self.small or self._is_condition(at)), None)
        return before is not None and self._is_condition(before)

    def _is_condition(self, at: int) -> bool:
        return self.words[at].text in self.talk.words["conditions"]

    def before_correction(self, places: Collection[int]) -> bool:
        """Whether a clause behind takes something back."""
        return any(clause.corrects for clause in self.clauses[self.of[max(places)] + 1 :])

    def taken_back(self, places: Collection[int]) -> bool:
        """Whether what stands there is taken back at once and more follows: `salt yesterday, no, sorry, saturday`."""
        corrects = self.talk.sayings["corrects"].words | self.talk.denies
        begun = False
        for clause in self.clauses[self.of[max(places)] + 1 :]:
            inside = range(clause.start, clause.end)
            if any(self.words[at].text not in corrects and at not in self.small for at in inside):
                return begun
            begun |= clause.corrects
        return False

    def denied_again(self, places: Collection[int]) -> bool:
        """Whether a denial stands before a saying that denies, only how it is told between: `not saying no flow`."""
        telling = self.talk.words["telling"]
        at = min(places) - 1
        while at >= 0 and (self.words[at].text in telling or at in self.small):
            at -= 1
        told = any(self.words[k].text in telling for k in range(at + 1, max(places)))
        # `not no flow`.
        twice = at == min(places) - 1 and self.words[at + 1].text in self.talk.denies
        return (told or twice) and at >= 0 and self.words[at].text in self.talk.denies

    def only_left(self, places: Collection[int]) -> bool:
        """Whether what is left of what is denied there comes next: `no scale, only a twig`."""
        after = self.after(self.clauses[self.of[max(places)]])
        if after is None or not after.excepts:
            return False
        return self.talk.words["ours"].isdisjoint(word.text for word in self.words[after.start : after.end])

    def in_list(self, places: Collection[int]) -> bool:
        """Whether it stands in a list of what is denied: `no leaks, no rain, no backwashing`."""
        clause = self.clauses[self.of[min(places)]]
        firsts = (self.words[self._begins(each)].text for each in self.clauses if each.sentence == clause.sentence)
        return sum(first in self.talk.denies for first in firsts) >= _LIST

    def only_ought(self, places: Collection[int]) -> bool:
        """Whether all that stands there is what should be, and says so by none of its own words."""
        touched = self.touching(places)
        return all(clause.ought and clause.ought.isdisjoint(places) for clause in touched)

    def denied(self, places: Collection[int]) -> bool:
        """Whether a saying without a denial of its own is denied: by a word before it, or among its words."""
        low, high = min(places), max(places)
        texts = self.words
        end = next((at for at in range(high + 1, len(texts)) if texts[at].kind == "mark"), len(texts))
        behind = [texts[at].text for at in range(high + 1, end) if at not in self.small][:2]
        if behind and behind[0] in self.talk.denies and set(behind[1:]) <= self.talk.words["undone"]:
            # `the salt light is not on`.
            return True
        if any(texts[at].text in self.talk.denies for at in range(low, high) if at not in places):
            return True
        reach = 0
        for at in range(low - 1, -1, -1):
            word = texts[at]
            if word.kind == "mark" or word.text in self.talk.parting:
                return False
            if word.text in self.talk.denies:
                return True
            reach += at not in self.small
            if reach > _REACH:
                return False
        return False


def clauses_of(
    words: Sequence[Word], typed: Sequence[Word], dated: Collection[int], talk: Talk, small: frozenset[int]
) -> Clauses:
    """The clauses of a line.

    Args:
        words: its words, `typed` those before slips and other ways of saying them were mended.
        dated: the places where a date stands.
        small: the places of the words of little weight.
    """
    clauses: list[Clause] = []
    of: list[int] = []
    start = sentence = 0
    asked_sentences = set()
    for at, word in enumerate(words):
        of.append(len(clauses))
        if ((word.kind == "mark" or word.text in talk.parting) and at > start) or ends_sentence(word):
            clauses.append(Clause(start, at, sentence, joined=start > 0 and words[start - 1].kind != "mark"))
            start = at + 1
            if word.kind != "mark":
                start = at
                of[-1] = len(clauses)
            elif ends_sentence(word):
                if word.text == "?":
                    asked_sentences.add(sentence)
                sentence += 1
    clauses.append(Clause(start, len(words), sentence, joined=start > 0 and words[start - 1].kind != "mark"))
    texts = [word.text for word in words]
    for clause in clauses:
        _mark(clause, texts, talk)
    mark_things(clauses, words, typed, talk)
    _mark_asked(clauses, asked_sentences)
    mark_times(clauses, texts, dated, talk, small)
    return Clauses(clauses, of, words, talk, small)


def _mark(clause: Clause, texts: Sequence[str], talk: Talk) -> None:
    def has(phrases: KnownPhrases) -> bool:
        return any(phrase_at(texts[: clause.end], at, phrases) for at in range(clause.start, clause.end))

    # What a unit thinks is what it shows, and no doubt of whoever tells it.
    tellers = [[word] for word in talk.words["tellers"]]
    clause.doubtful = any(
        phrase_at(texts[: clause.end], at, talk.sayings["hedges"]) and texts[at - 1 : at] not in tellers
        for at in range(clause.start, clause.end)
    )
    clause.doubts_before = has(talk.sayings["hedges_before"])
    clause.ahead = has(talk.sayings["ahead"])
    first = next((at for at in range(clause.start, clause.end) if texts[at] not in talk.parting), clause.start)
    begins = first == clause.start and not clause.joined
    clause.asked = phrase_at(texts[: clause.end], first, talk.sayings["asks"]) > 0
    clause.asked |= begins and phrase_at(texts[: clause.end], first, talk.sayings["asks_first"]) > 0
    clause.asked &= phrase_at(texts[: clause.end], first, talk.sayings["asks_not"]) == 0
    clause.corrects = phrase_at(texts[: clause.end], first, talk.sayings["corrects"]) > 0
    clause.excepts = phrase_at(texts[: clause.end], first, talk.sayings["excepts"]) > 0
    sizes = {at: phrase_at(texts[: clause.end], at, talk.sayings["ought"]) for at in range(clause.start, clause.end)}
    clause.ought = frozenset(place for at, size in sizes.items() for place in range(at, at + size))


def _mark_asked(clauses: Sequence[Clause], sentences: Collection[int]) -> None:
    """Where a sentence ends by a question mark, its clauses from the one that asks are asked, or else the last one.

    What is joined to an asked clause is asked as well, and to a doubtful one doubtful.
    """
    for sentence in sentences:
        inside = [clause for clause in clauses if clause.sentence == sentence]
        begun = False
        for clause in inside:
            begun |= clause.asked
            clause.asked = begun
        for before, after in [(None, inside[-1]), *reversed(list(pairwise(inside)))] if inside and not begun else []:
            if before is None:
                after.asked = True
            elif after.asked and after.joined:
                before.asked = True
    for before, after in pairwise(clauses):
        after.asked |= before.asked and after.joined
        after.doubtful |= before.doubtful and after.joined
