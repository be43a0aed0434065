"""What words may mean that no saying fits: the answers whose sayings have most of their weight in them."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from interview.messages import Candidate
from interview.understanding.listening.phrase import Phrase
from interview.understanding.listening.phrasebook import Phrasebook
from interview.understanding.listening.words import Word

_LEAST = 0.62
"""From this share of its weight on a saying is offered: chosen on the lines that the reader was built with."""
_MOST = 3
_FEWEST = 2


def guesses(words: Sequence[Word], book: Phrasebook, said: Collection[str]) -> tuple[Candidate, ...]:
    """The answers that a clause may mean, the likeliest first, three at most.

    Args:
        words: the words of the clause that say nothing else.
        said: checks that are answered already.
    """
    denied = any(word.text in book.talk.denies for word in words)
    keys = {word.key for word in words if word.kind == "word" and word.text not in book.talk.small}
    if len(keys) < _FEWEST:
        return ()
    seen: set[int] = set()
    best: dict[tuple[str, str | float], float] = {}
    for key in keys:
        for phrase, meaning in book.by_each.get(key, ()):
            if id(phrase) in seen or meaning.check in said:
                continue
            seen.add(id(phrase))
            share = _share(phrase, words, keys, book)
            if denied and not phrase.denies:
                share *= 0.5
            if share >= _LEAST:
                answer = (meaning.check, meaning.what)
                best[answer] = max(best.get(answer, 0.0), share)
    ranked = sorted(best.items(), key=lambda each: -each[1])[:_MOST]
    return tuple(Candidate(check, value) for (check, value), _ in ranked)


def _share(phrase: Phrase, words: Sequence[Word], keys: Collection[str], book: Phrasebook) -> float:
    """How much of a saying's weight stands in the words; nothing where that is one word alone."""
    total = found = 0.0
    hits = 0
    for part in phrase.parts:
        weight = max((book.rarity.get(key, 0.0) for key in part.keys), default=3.0)
        total += weight
        hit = not part.keys.isdisjoint(keys) or (bool(part.begins) and any(part.has(word) for word in words))
        hits += hit
        found += weight * hit
    return found / total if total and hits >= min(2, len(phrase.parts)) and hits > 1 else 0.0
