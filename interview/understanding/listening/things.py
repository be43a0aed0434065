"""Of which thing each part of a line tells: of ours, of another one, or of one that is lent."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from interview.understanding.listening.clause import Clause
from interview.understanding.listening.words import KnownPhrases, Talk, Word, one_of, phrase_at

_NEAR = 3
"""So many words before a name one may stand that makes it only a place, a time or what something is like."""


def mark_things(clauses: Sequence[Clause], words: Sequence[Word], typed: Sequence[Word], talk: Talk) -> None:
    """Mark the parts of a line that tell of another thing than ours.

    Args:
        clauses: the parts in their order.
        words: the words of the line, `typed` those before slips and other ways of saying them were mended: `heat pump`
            is another thing, also where it is read as a heater.
    """
    others = _named(words, typed, talk, talk.things["others"])
    lent = _named(words, typed, talk, talk.things["lent"])
    for clause in clauses:
        clause.others = tuple(each for each in others if clause.start <= min(each) < clause.end)
        clause.elsewhere = bool(clause.others)
        clause.lent = any(clause.start <= min(each) < clause.end for each in lent)
    told = [clause for clause in clauses if _tells(clause, words, talk)]
    for before, after in pairwise(told):
        if after.elsewhere and before.sentence == after.sentence and _says_whose(after, words, talk):
            before.elsewhere, before.others = True, before.others + after.others
    for before, after in pairwise(clauses):
        if (before.elsewhere or before.lent) and before.sentence == after.sentence and _goes_on(after, words, talk):
            after.elsewhere |= before.elsewhere
            after.others += before.others
            after.lent |= before.lent


def _named(words: Sequence[Word], typed: Sequence[Word], talk: Talk, names: KnownPhrases) -> list[frozenset[int]]:
    """The places where the things of a list are named."""
    found = set()
    for line in (words, typed):
        keys = [one_of(word.text) for word in line]
        for at in range(len(line)):
            before = {word.text for word in line[max(0, at - _NEAR) : at]}
            if (size := phrase_at(keys, at, names)) and talk.words["beside"].isdisjoint(before):
                start, end = line[at].start, line[at + size - 1].end
                found.add(frozenset(k for k, word in enumerate(words) if word.start < end and start < word.end))
    return sorted((each for each in found if each), key=min)


def _tells(clause: Clause, words: Sequence[Word], talk: Talk) -> bool:
    """Whether more is said than that something is taken back: `no, sorry`."""
    empty = talk.small | talk.denies | talk.parting | (talk.sayings["corrects"].words if clause.corrects else set())
    return any(word.kind != "mark" and word.text not in empty for word in words[clause.start : clause.end])


def _says_whose(clause: Clause, words: Sequence[Word], talk: Talk) -> bool:
    """Whether a part of a line only says whose is what stands before it: `7.2, no, that is the spa's`."""
    inside = words[clause.start : clause.end]
    first = next((word for word in inside if word.text not in talk.parting | talk.denies), None)
    named = frozenset().union(*clause.others)
    left = [
        at
        for at in range(clause.start, clause.end)
        if at not in named and words[at].text not in talk.small | talk.denies | talk.words["refers"]
    ]
    return first is not None and first.text in talk.words["refers"] and not left


def _goes_on(clause: Clause, words: Sequence[Word], talk: Talk) -> bool:
    """Whether a part of a line goes on with what the one before tells of: `robot is dead, its motor burnt`."""
    inside = words[clause.start : clause.end]
    first = next((word for word in inside if word.text not in talk.parting), None)
    if first is not None and first.text in talk.words["refers"]:
        return True
    opens = inside[0] if inside else None
    joined = clause.joined and opens is not None and opens.text in talk.words["joins"]
    # `and the water's 29`.
    return joined and talk.words["ours"].isdisjoint(way for word in inside for way in (word.text, one_of(word.text)))
