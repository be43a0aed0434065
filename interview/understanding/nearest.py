"""Which entries a line in somebody's own words may mean: those with most of its words; pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from engine.knowledge.model import Knowledge
from interview.understanding.matching import akin, in_plain_words, words_of
from interview.understanding.names import checks_named

_LEAST_LETTERS = 3
"""Shorter words say nothing by themselves."""
MOST_MEANT = 5


def checks_meant(knowledge: Knowledge, line: str) -> tuple[str, ...]:
    """The checks that a line may mean: by a whole name, else those with most of its words."""
    if line.strip() in knowledge.checks:
        return (line.strip(),)
    if named := checks_named(knowledge, line):
        return named
    checks = (check for check in knowledge.checks.values() if not check.from_record)
    texts = {c.id: (c.id, *c.names, c.wording.customer, c.wording.technician) for c in checks}
    return entries_meant(texts, line)


def entries_meant(texts: Mapping[str, Iterable[str]], line: str) -> tuple[str, ...]:
    """The entries that a line may mean, by their texts: one by a whole text, else those with most of its words."""
    plain = in_plain_words(line)
    whole = tuple(name for name, own in texts.items() if plain and plain in {in_plain_words(text) for text in own})
    if whole:
        return whole
    typed = [word for word in words_of(line) if len(word) >= _LEAST_LETTERS]
    scores = {}
    for name, own in texts.items():
        words = {word for text in own for word in words_of(text)}
        scores[name] = sum(any(akin(one, other) for other in words) for one in typed)
    best = max(scores.values(), default=0)
    return tuple(name for name, score in scores.items() if score == best and best > 0)[:MOST_MEANT]


def cautions_told(texts: Mapping[str, Iterable[str]], line: str) -> set[str]:
    """The cautions that a line tells of: at least two of its telling words, or one where the caution has no more."""
    typed = {word for word in words_of(line) if len(word) > _LEAST_LETTERS}
    told = set()
    for name, own in texts.items():
        words = {word for text in own for word in words_of(text) if len(word) > _LEAST_LETTERS}
        met = sum(any(akin(one, other) for other in words) for one in typed)
        if met >= min(2, len(words)):
            told.add(name)
    return told
