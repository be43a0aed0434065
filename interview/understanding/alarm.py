"""Danger in people's own words, in any line: which dangers it reports, and which it may mean; pure."""

from __future__ import annotations

import itertools
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from engine.foundation.texts import language_in_use, once_a_language, say_in
from engine.knowledge.model import Danger, Knowledge
from interview.understanding.normalize import without_accents

_LOOSE = 3
"""Words of weight that may stand between the words of a phrase."""
_REACH = 6
"""Words before a phrase in which it can be denied."""
_LONG = 7
"""So many letters a word of danger has at least in which a slip is allowed for: shorter ones are too like others."""
_WORD = re.compile(r"[^\W_]+|[.;:!?,()]")
_ENDS_SENTENCE, _PARTS = frozenset(".;!?"), frozenset(".;:!?,()")


@dataclass(frozen=True)
class Alarm:
    """A danger in a line: `sure` where it is reported, else it may be meant; `words` are those that say so."""

    danger: str
    sure: bool
    words: str


class _Ways(NamedTuple):
    """The ways in which one word of a phrase may stand: whole words, and beginnings with any ending."""

    whole: frozenset[str]
    begin: tuple[str, ...]

    def has(self, word: str) -> bool:
        """Whether a word is one of them."""
        return word in self.whole or word.startswith(self.begin)


_Phrase = tuple[_Ways, ...]


@dataclass(frozen=True)
class _Talk:
    """Words of a language around a danger: what denies it, what a denial reaches over, what leaves it open.

    `other_words` look like a slip in a word of danger and are none.
    """

    denies: frozenset[str]
    carries: frozenset[str]
    ends: frozenset[str]
    light: frozenset[str]
    other_words: _Ways
    open: tuple[_Phrase, ...]
    doubts: tuple[_Phrase, ...]


def alarms_in(line: str, knowledge: Knowledge) -> tuple[Alarm, ...]:
    """The dangers that a line reports or may mean, each once, the sure ones first.

    Args:
        line: whatever was typed.
        knowledge: its dangers, with the words by which people say them in each of its languages: in a fright people
            speak their own, whichever is in use.

    What is plainly denied (`no smell of gas`) is none; what is denied at a distance, feared, asked or long ago is not
    sure. `not_words` of a danger say that its words beside them mean something else. A long word that is one letter
    off a word of danger, and no other word, counts as that.
    """
    found: dict[str, Alarm] = {}
    typed = words_in(line)
    for language, dangers in ((language_in_use(), knowledge.dangers), *knowledge.dangers_elsewhere.items()):
        heard = _Heard(_spelled(typed, dangers, _talk(language)), _talk(language)) if typed else None
        for alarm in () if heard is None else filter(None, map(heard.alarm, dangers.values())):
            if alarm.sure or alarm.danger not in found:
                found[alarm.danger] = alarm
    return tuple(sorted(found.values(), key=lambda alarm: not alarm.sure))


@dataclass(frozen=True)
class _Heard:
    """A line as its words, heard in one language."""

    words: Sequence[str]
    talk: _Talk

    def alarm(self, danger: Danger) -> Alarm | None:
        """What the line says of one danger; None for nothing."""
        others = [places for phrase in danger.not_words for places in self._places(_parts(phrase))]
        best: Alarm | None = None
        for phrases, sure in ((danger.words, True), (danger.perhaps, False)):
            for places in (each for phrase in phrases for each in self._places(_parts(phrase))):
                plain = self._affirmed(places)
                beside = [other for other in others if set(other) & set(places)]
                bare = len(places) == 1 or not sure
                if plain is None or any(self._runs_on(other, most=1 if bare else 0) for other in beside):
                    continue
                said = " ".join(self.words[place] for place in sorted(places))
                if sure and plain and not beside:
                    return Alarm(danger.id, True, said)
                best = best or Alarm(danger.id, False, said)
        return best

    def _runs_on(self, places: Sequence[int], most: int) -> bool:
        """Whether a phrase stands in its order, at most so many words of weight between: `shock dose`."""
        between = range(places[0], places[-1])
        weighty = [at for at in between if at not in places and self.words[at] not in self.talk.light]
        return list(places) == sorted(places) and len(weighty) <= most

    def _affirmed(self, places: Sequence[int]) -> bool | None:
        """Whether a phrase is said as it is now: None where it is denied, False where that is left open."""
        denials = [self._denied(place, places) for place in places]
        if True in denials:
            return None
        parted = _PARTS.intersection(self.words[min(places) : max(places)])
        return None not in denials and not parted and not any(map(self._places, self.talk.open))

    def _denied(self, place: int, places: Sequence[int]) -> bool | None:
        """Whether one word of a phrase is plainly denied; None where it may be, as a denial stands at a distance."""
        talk, words = self.talk, self.words
        for at in range(place - 1, max(place - 1 - _REACH, -1), -1):
            word = words[at]
            if word in _PARTS or word in talk.ends or at in places:
                break
            if word in talk.denies:
                between = [each for each in words[at + 1 : place] if each not in talk.light | talk.carries]
                doubted = any(at in those for phrase in talk.doubts for those in self._places(phrase))
                return True if not between and not doubted else None
        return False

    def _places(self, phrase: _Phrase) -> list[tuple[int, ...]]:
        """Where the words of a phrase stand close together inside one sentence.

        In any order, unless one of them is a small word: `water in box` is not `box in water`.
        """
        words, light = self.words, self.talk.light
        spots: list[list[int]] = []
        for part in phrase:
            spots.append([at for at, word in enumerate(words) if part.has(word)])
            if not spots[-1]:
                return []
        found = []
        for places in itertools.product(*(each[:6] for each in spots)):
            low, high = min(places), max(places)
            between = [word for at, word in enumerate(words[low:high], start=low) if at not in places]
            weighty = [word for word in between if word not in light and word not in _PARTS]
            ordered = list(places) == sorted(places) or light.isdisjoint(words[at] for at in places)
            close = len(weighty) <= _LOOSE and not _ENDS_SENTENCE.intersection(between)
            if ordered and close and len(set(places)) == len(places):
                found.append(places)
        return found


def _spelled(typed: Sequence[str], dangers: Mapping[str, Danger], talk: _Talk) -> list[str]:
    """The words of a line, a long one that is one slip off a word of danger as that word."""
    ways = _ways_of(tuple(phrase for each in dangers.values() for phrase in (*each.words, *each.perhaps)))
    known = [len(word) < _LONG - 1 or ways.has(word) or talk.other_words.has(word) for word in typed]
    return [word if is_known else _meant(word, ways) for word, is_known in zip(typed, known, strict=True)]


@lru_cache(maxsize=20)
def _ways_of(phrases: tuple[str, ...]) -> _Ways:
    parts = [part for phrase in phrases for part in _parts(phrase)]
    begin = sorted({way for part in parts for way in part.begin})
    return _Ways(frozenset(way for part in parts for way in part.whole), tuple(begin))


@lru_cache(maxsize=5000)
def _meant(word: str, ways: _Ways) -> str:
    """The word of danger, the longest first, of which a word is a slip; itself where it is none."""
    meant = [(way, {word}) for way in ways.whole]
    meant += [(way, {word[: len(way) + more] for more in (-1, 0, 1)}) for way in ways.begin]
    for way, heads in sorted(meant, key=lambda each: (-len(each[0]), each[0])):
        if len(way) >= _LONG and way[0] == word[0] and any(_one_slip(head, way) for head in heads):
            return way
    return word


def _one_slip(typed: str, meant: str) -> bool:
    """Whether a word has one letter too many, too few, another, or two in the wrong order."""
    for _ in range(2):
        while typed and meant and typed[-1] == meant[-1]:
            typed, meant = typed[:-1], meant[:-1]
        typed, meant = typed[::-1], meant[::-1]
    return max(len(typed), len(meant)) <= 1 or (len(typed) == 2 and typed == meant[::-1])


@lru_cache(maxsize=5000)
def _parts(phrase: str) -> _Phrase:
    """A phrase of the catalogue as its words, each with the ways in which it may stand there."""
    return tuple(_ways(part.split("/")) for part in _plain(phrase).split())


def _ways(said: Collection[str]) -> _Ways:
    begin = tuple(way[:-1] for way in said if way.endswith("*"))
    return _Ways(frozenset(way for way in said if not way.endswith("*")), begin)


def words_in(line: str) -> tuple[str, ...]:
    """A line as plain words and the signs that part it; an apostrophe joins, so `can't` is one word."""
    return tuple(_WORD.findall(_plain(line)))


def _plain(text: str) -> str:
    return re.sub(r"['\N{RIGHT SINGLE QUOTATION MARK}`]", "", without_accents(text))


@once_a_language
def _talk(language: str) -> _Talk:
    def listed(name: str) -> frozenset[str]:
        return frozenset(_plain(say_in(language, f"danger_talk.{name}")).split())

    def phrases(name: str) -> tuple[_Phrase, ...]:
        return tuple(_parts(phrase.strip()) for phrase in say_in(language, f"danger_talk.{name}").split(","))

    return _Talk(
        listed("denies"),
        listed("carries"),
        listed("ends"),
        listed("light"),
        _ways(listed("other_words")),
        phrases("open"),
        phrases("doubts"),
    )
