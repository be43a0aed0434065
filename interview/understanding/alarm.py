"""Danger in people's own words, in any line: which dangers it reports, and which it may mean; pure."""

from __future__ import annotations

import itertools
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import NamedTuple

from engine.foundation.plain_text import without_accents
from engine.foundation.texts import language_in_use, once_a_language, say_in
from engine.knowledge.model import Danger, Knowledge
from interview.understanding.listening.words import KnownPhrases, one_of, phrase_at, talk_of

_LOOSE = 3
"""Words of weight that may stand between the words of a phrase."""
_REACH = 6
"""Words before a phrase in which it can be denied."""
_LIST_REACH = 14
"""The same where all between are a list of what is denied."""
_LONG = 7
"""So many letters a word of danger has at least in which a slip is allowed for: shorter ones are too like others."""
_WORD = re.compile(r"[^\W_]+|[.;:!?,()]")
_OWNS = re.compile(r"(?<=[a-z]{3})['\N{RIGHT SINGLE QUOTATION MARK}`]s\b", re.IGNORECASE)
_DASH, _SLASH = re.compile(r"\s[-\N{EN DASH}\N{EM DASH}]+\s"), re.compile(r"\s/+\s")
_ENDS_SENTENCE, _PARTS = frozenset(".;!?"), frozenset(".;:!?,()")


@dataclass(frozen=True)
class Alarm:
    """A danger in a line: `sure` where it is reported, else it may be meant; `words` are those that say so.

    `places` are the places in `words_in` of all words that say so, `of_a_part` whether they tell only how a part was
    found (`plug burnt`) and nothing of the danger as people meet it (`smoke`).
    """

    danger: str
    sure: bool
    words: str
    places: frozenset[int] = frozenset()
    of_a_part: bool = False


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
    """Words around a danger: what denies it, what a denial reaches over, what leaves it open.

    `other_words` look like a slip in a word of danger and are none; `met` are words of danger as people meet it.
    `others` are names of things that are not ours; a part that begins by a word that `refers` goes on with such a one.
    """

    denies: frozenset[str]
    carries: frozenset[str]
    joins: frozenset[str]
    ends: frozenset[str]
    light: frozenset[str]
    other_words: _Ways
    met: _Ways
    open: tuple[_Phrase, ...]
    doubts: tuple[_Phrase, ...]
    others: tuple[KnownPhrases, ...]
    refers: frozenset[str]


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
    key = (line, language_in_use())
    if not _LAST or _LAST[0][0] is not knowledge or _LAST[0][1] != key:
        _LAST[:] = [(knowledge, key, _alarms_in(line, knowledge))]
    return _LAST[0][2]


def _alarms_in(line: str, knowledge: Knowledge) -> tuple[Alarm, ...]:
    found: dict[str, Alarm] = {}
    typed = words_in(line)
    talk = _talk_in((language_in_use(), *knowledge.dangers_elsewhere))
    for dangers in (knowledge.dangers, *knowledge.dangers_elsewhere.values()):
        heard = _Heard(_spelled(typed, dangers, talk), talk, _single_ways(_phrases_of(dangers))) if typed else None
        for alarm in () if heard is None else filter(None, map(heard.alarm, dangers.values())):
            if alarm.sure or alarm.danger not in found:
                found[alarm.danger] = alarm
    return tuple(sorted(found.values(), key=lambda alarm: not alarm.sure))


_LAST: list[tuple[Knowledge, tuple[str, str], tuple[Alarm, ...]]] = []
"""The line that was heard last: it is asked for once to be shown, and once to be acted on."""


@dataclass(frozen=True)
class _Heard:
    """A line as its words, heard for the dangers of one language."""

    words: Sequence[str]
    talk: _Talk
    single: _Ways
    """Words that each speak of a danger: a denial goes on from one to another (`no smoke or tingle`)."""
    spots: dict[int, list[int]] = field(default_factory=dict, compare=False)
    """Where each word of the phrases stands, by its identity, as far as it was looked for: many phrases share one."""

    def alarm(self, danger: Danger) -> Alarm | None:
        """What the line says of one danger; None for nothing."""
        others = [places for phrase in danger.not_words for places in self._places(_parts(phrase))]
        sure: list[tuple[int, ...]] = []
        may: list[tuple[int, ...]] = []
        for phrases, reports in ((danger.words, True), (danger.perhaps, False)):
            for places in (each for phrase in phrases for each in self._places(_parts(phrase))):
                plain = self._affirmed(places)
                beside = [other for other in others if set(other) & set(places)]
                bare = len(places) == 1 or not reports
                if plain is None or any(self._runs_on(other, most=1 if bare else 0) for other in beside):
                    continue
                (sure if reports and plain and not beside else may).append(places)
        ways = sure or may
        if not ways:
            return None
        said = " ".join(self.words[place] for place in sorted(ways[0]))
        met = any(self.talk.met.has(self.words[place]) for way in (*sure, *may) for place in way)
        return Alarm(danger.id, bool(sure), said, frozenset(place for way in ways for place in way), not met)

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
        elsewhere = not self._elsewhere.isdisjoint(places)
        return None not in denials and not parted and not elsewhere and not self._is_open(places)

    @cached_property
    def _elsewhere(self) -> frozenset[int]:
        """The places in parts that tell of a thing that is not ours: what is said there is asked back."""
        names = [one_of(word) for word in self.words]
        found: set[int] = set()
        start, goes_on = 0, False
        for end in [*(at for at, word in enumerate(self.words) if word in _PARTS), len(self.words)]:
            part = range(start, end)
            goes_on = goes_on and self.words[start:end][:1] != () and self.words[start] in self.talk.refers
            if goes_on or any(phrase_at(names, at, each) for at in part for each in self.talk.others):
                found.update(part)
                goes_on = True
            goes_on &= end < len(self.words) and self.words[end] not in _ENDS_SENTENCE
            start = end + 1
        return frozenset(found)

    def _is_open(self, places: Sequence[int]) -> bool:
        """Whether something in the same sentence leaves open what is said there."""
        ends = [at for at, word in enumerate(self.words) if word in _ENDS_SENTENCE]
        first = max((at for at in ends if at <= min(places)), default=-1)
        last = min((at for at in ends if at >= max(places)), default=len(self.words))
        found = (those for phrase in self.talk.open for those in self._places(phrase))
        return any(first < min(those) and max(those) <= last for those in found)

    def _denied(self, place: int, places: Sequence[int]) -> bool | None:
        """Whether one word of a phrase is plainly denied; None where it may be, as a denial stands at a distance.

        A denial goes on over a list: all of it where that ends in an `or` (`no gas, smoke or tingle`), else perhaps.
        """
        talk, words = self.talk, self.words
        listed = plain = True
        over = False
        for at in range(place - 1, -1, -1):
            word = words[at]
            if at in places or (at < place - _REACH and not (plain and at >= place - _LIST_REACH)):
                break
            if word in talk.denies:
                doubted = any(at in those for phrase in talk.doubts for those in self._places(phrase))
                return True if plain and listed and not doubted else None
            if (word in _PARTS and (word != "," or not plain)) or word in talk.ends:
                break
            if word == ",":
                listed, over = self._ends_in_or(place), True
            elif not (word in talk.light | talk.carries | talk.joins or self.single.has(word)):
                if over:
                    break
                plain = False
        return False

    def _ends_in_or(self, place: int) -> bool:
        """Whether a word stands in a list that an `or` ends."""
        if place and self.words[place - 1] in self.talk.joins:
            return True
        for word in self.words[place + 1 :]:
            if word in self.talk.joins:
                return True
            known = word == "," or word in self.talk.light | self.talk.carries or self.single.has(word)
            if not known:
                return False
        return False

    def _places(self, phrase: _Phrase) -> list[tuple[int, ...]]:
        """Where the words of a phrase stand close together inside one sentence.

        In any order, unless one of them is a small word: `water in box` is not `box in water`.
        """
        words, light = self.words, self.talk.light
        spots: list[list[int]] = []
        for part in phrase:
            here = self.spots.get(id(part))
            if here is None:
                # As `has`, but a line is looked through for hundreds of these before it goes on.
                whole, begin = part
                here = [at for at, word in enumerate(words) if word in whole or word.startswith(begin)]
                self.spots[id(part)] = here
            if not here:
                return []
            spots.append(here)
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
    ways = _ways_of(_phrases_of(dangers))
    known = [len(word) < _LONG - 1 or ways.has(word) or talk.other_words.has(word) for word in typed]
    return [word if is_known else _meant(word, ways) for word, is_known in zip(typed, known, strict=True)]


def _phrases_of(dangers: Mapping[str, Danger]) -> tuple[str, ...]:
    return tuple(phrase for each in dangers.values() for phrase in (*each.words, *each.perhaps))


@lru_cache(maxsize=20)
def _single_ways(phrases: tuple[str, ...]) -> _Ways:
    """The words that are a phrase of a danger each by itself."""
    return _ways_of(tuple(phrase for phrase in phrases if len(_parts(phrase)) == 1))


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
    return tuple(_part(part) for part in _plain(phrase).split())


@lru_cache(maxsize=5000)
def _part(part: str) -> _Ways:
    return _ways(part.split("/"))


def _ways(said: Collection[str]) -> _Ways:
    begin = tuple(way[:-1] for way in said if way.endswith("*"))
    return _Ways(frozenset(way for way in said if not way.endswith("*")), begin)


def words_in(line: str) -> tuple[str, ...]:
    """A line as words and the signs that part it; an apostrophe joins: `can't` is one word, `sensor's` is `sensor`.

    A dash or a slash that stands alone parts, too.
    """
    return tuple(_WORD.findall(_SLASH.sub(" ; ", _DASH.sub(" , ", _plain(_OWNS.sub("", line))))))


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
        listed("joins"),
        listed("ends"),
        listed("light"),
        _ways(listed("other_words")),
        _ways(listed("met")),
        phrases("open"),
        phrases("doubts"),
        (talk_of(language).things["others"],),
        talk_of(language).words["refers"],
    )


@lru_cache(maxsize=8)
def _talk_in(languages: tuple[str, ...]) -> _Talk:
    """The words around a danger in several languages: a word of danger may be one of each (`electrocuted`)."""
    talks = [_talk(language) for language in languages]

    def ways(name: str) -> _Ways:
        each: list[_Ways] = [getattr(talk, name) for talk in talks]
        return _Ways(frozenset().union(*(one.whole for one in each)), tuple(way for one in each for way in one.begin))

    def words(name: str) -> frozenset[str]:
        return frozenset().union(*(getattr(talk, name) for talk in talks))

    return _Talk(
        words("denies"),
        words("carries"),
        words("joins"),
        words("ends"),
        words("light"),
        ways("other_words"),
        ways("met"),
        tuple(phrase for talk in talks for phrase in talk.open),
        tuple(phrase for talk in talks for phrase in talk.doubts),
        tuple(phrases for talk in talks for phrases in talk.others),
        words("refers"),
    )
