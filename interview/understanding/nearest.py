"""Which entries a line in somebody's own words may mean: those whose own words it has, the rarer the more; pure."""

from __future__ import annotations

import math
import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from engine.foundation.texts import language_in_use
from engine.knowledge.model import Knowledge
from interview.understanding.listening.library import book_of
from interview.understanding.listening.phrasebook import Phrasebook
from interview.understanding.listening.words import cut
from interview.understanding.matching import akin, in_plain_words, words_of
from interview.understanding.names import checks_named

_LEAST_LETTERS = 3
"""Shorter words say nothing by themselves."""
MOST_MEANT = 5
_NEAR = 0.8
"""What comes this near to the best may be meant as well: judgement."""
_NAMED = 2.0
"""A whole name in a line counts so much more than its words: judgement."""
_SAYING_SIGNS = re.compile(r"[/!*#]+")


@dataclass(frozen=True)
class SpokenOf:
    """How people speak of an entry: what it is called, and other words that are about it."""

    names: tuple[str, ...]
    about: tuple[str, ...]


class Index:
    """Entries by the words with which people speak of them, in the language in use."""

    def __init__(self, knowledge: Knowledge, entries: Mapping[str, SpokenOf]) -> None:
        """Args: the knowledge, by whose sayings words are compared, and the entries by their ids."""
        self._book = book = book_of(knowledge)
        self._whole: dict[str, list[str]] = {}
        for name, own in entries.items():
            for text in {in_plain_words(text) for text in (*own.names, *own.about)} - {""}:
                self._whole.setdefault(text, []).append(name)
        self._called = {name: [_keys(book, text) for text in own.names] for name, own in entries.items()}
        self._words = {
            name: Counter(key for text in (*own.names, *own.about) for key in _keys(book, text))
            for name, own in entries.items()
        }
        self._frequency = Counter(key for own in self._words.values() for key in own)
        self._typical = sum(map(len, self._words.values())) / max(len(self._words), 1)

    def meant(self, line: str) -> tuple[str, ...]:
        """The entries that a line may mean: by a whole text, else those whose words it has, the likeliest first.

        A word counts the more the fewer entries have it (Spaerck Jones 1972), and the more the fewer words an entry
        has (Robertson & Zaragoza 2009); both from memory.
        """
        if (whole := self._whole.get(in_plain_words(line))) is not None:
            return tuple(whole[:MOST_MEANT])
        typed = [key for key in sorted(_keys(self._book, line)) if key in self._frequency]
        rarity = {key: math.log(1 + len(self._words) / (1 + self._frequency[key])) for key in typed}
        scores = {name: self._score(name, rarity) for name in self._words}
        best = max(scores.values(), default=0.0)
        near = [name for name, score in scores.items() if score > 0 and score >= _NEAR * best]
        return tuple(sorted(near, key=lambda name: -scores[name])[:MOST_MEANT])

    def _score(self, name: str, rarity: Mapping[str, float]) -> float:
        own = self._words[name]
        length = 0.5 + 0.5 * len(own) / self._typical
        found = sum(rare * own[key] / (own[key] + length) for key, rare in rarity.items() if key in own)
        called = (sum(rarity[key] for key in keys) for keys in self._called[name] if keys and keys <= rarity.keys())
        return found + _NAMED * max(called, default=0.0)


_KEPT: list[tuple[Knowledge, str, Index]] = []
"""The checks last asked about, of one knowledge in one language: they are put together once."""


def checks_meant(knowledge: Knowledge, line: str) -> tuple[str, ...]:
    """The checks that a line may mean: by a whole name, else those whose words and sayings it has."""
    if line.strip() in knowledge.checks:
        return (line.strip(),)
    if len(named := checks_named(knowledge, line)) == 1:
        return named
    if not _KEPT or _KEPT[0][0] is not knowledge or _KEPT[0][1] != language_in_use():
        _KEPT[:] = [(knowledge, language_in_use(), Index(knowledge, _checks(knowledge)))]
    return _KEPT[0][2].meant(line)


def _checks(knowledge: Knowledge) -> dict[str, SpokenOf]:
    """How people speak of each check: its names and wordings, its answers, and the sayings of both."""
    said = knowledge.said(language_in_use()).checks
    found = {}
    for check in knowledge.checks.values():
        if not check.from_record:
            own = said.get(check.id)
            sayings = [] if own is None else [*own.number, *(one for listed in own.answers.values() for one in listed)]
            words = (check.wording.customer, check.wording.technician, *(a.wording.customer for a in check.answers))
            plain = (_SAYING_SIGNS.sub(" ", saying) for saying in sayings)
            found[check.id] = SpokenOf((check.id, *check.names), (*words, *plain))
    return found


def _keys(book: Phrasebook, text: str) -> frozenset[str]:
    """The words of a text by what they are compared by, slips mended; those of little weight say nothing."""
    composed = unicodedata.normalize("NFC", text.replace("_", " "))
    found = (word for word in book.words_of(cut(composed, book.language)) if word.kind == "word")
    return frozenset(word.key for word in found if word.text not in book.talk.small and len(word.text) > 1)


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
