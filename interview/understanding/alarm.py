"""Danger in people's own words, in any line: which dangers it reports, and which it may mean; pure."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from engine.foundation.texts import once_a_language, say
from engine.knowledge.model import Danger, Knowledge
from interview.understanding.normalize import without_accents

_LOOSE = 3
"""Words of weight that may stand between the words of a phrase."""
_REACH = 6
"""Words before a phrase in which it can be denied."""
_WORD = re.compile(r"[^\W_]+|[.;:!?,()]")
_ENDS_SENTENCE, _PARTS = frozenset(".;!?"), frozenset(".;:!?,()")


@dataclass(frozen=True)
class Alarm:
    """A danger in a line: `sure` where it is reported, else it may be meant; `words` are those that say so."""

    danger: str
    sure: bool
    words: str


@dataclass(frozen=True)
class _Talk:
    """Words of a language around a danger: what denies it, what a denial reaches over, what leaves it open."""

    denies: frozenset[str]
    carries: frozenset[str]
    ends: frozenset[str]
    light: frozenset[str]
    open: tuple[tuple[frozenset[str], ...], ...]


def alarms_in(line: str, knowledge: Knowledge) -> tuple[Alarm, ...]:
    """The dangers that a line reports or may mean, each once, the sure ones first.

    Args:
        line: whatever was typed.
        knowledge: its dangers, with the words by which people say them in the language in use.

    What is plainly denied (`no smell of gas`) is none; what is denied at a distance, feared, asked or long ago is not
    sure. `not_words` of a danger say that its words beside them mean something else.
    """
    words = _words(line)
    if not words:
        return ()
    found = [alarm for danger in knowledge.dangers.values() if (alarm := _alarm(words, danger)) is not None]
    return tuple(sorted(found, key=lambda alarm: not alarm.sure))


def _alarm(words: Sequence[str], danger: Danger) -> Alarm | None:
    """What a line says of one danger; None for nothing."""
    others = [places for phrase in danger.not_words for places in _found(words, phrase)]
    best: Alarm | None = None
    for phrases, sure in ((danger.words, True), (danger.perhaps, False)):
        for places in (each for phrase in phrases for each in _found(words, phrase)):
            plain = _affirmed(words, places)
            beside = [other for other in others if set(other) & set(places)]
            bare = len(places) == 1 or not sure
            if plain is None or any(_runs_on(words, other, most=1 if bare else 0) for other in beside):
                continue
            said = " ".join(words[place] for place in sorted(places))
            if sure and plain and not beside:
                return Alarm(danger.id, True, said)
            best = best or Alarm(danger.id, False, said)
    return best


def _runs_on(words: Sequence[str], places: Sequence[int], most: int) -> bool:
    """Whether the words of a phrase stand in its order, at most so many words of weight between: `shock dose`."""
    between = range(places[0], places[-1])
    weighty = [at for at in between if at not in places and words[at] not in _talk().light]
    return list(places) == sorted(places) and len(weighty) <= most


def _affirmed(words: Sequence[str], places: Sequence[int]) -> bool | None:
    """Whether a phrase is said as it is now: None where it is denied, False where that is left open."""
    denials = [_denied(words, place, places) for place in places]
    if True in denials:
        return None
    parted = _PARTS.intersection(words[min(places) : max(places)])
    return None not in denials and not parted and not any(_places(words, phrase) for phrase in _talk().open)


def _denied(words: Sequence[str], place: int, places: Sequence[int]) -> bool | None:
    """Whether one word of a phrase is plainly denied; None where it may be, as a denial stands at a distance."""
    talk = _talk()
    for at in range(place - 1, max(place - 1 - _REACH, -1), -1):
        word = words[at]
        if word in _PARTS or word in talk.ends or at in places:
            break
        if word in talk.denies:
            between = [each for each in words[at + 1 : place] if each not in talk.light | talk.carries]
            return True if not between and not _doubts(words, at) else None
    return False


def _doubts(words: Sequence[str], at: int) -> bool:
    """Whether a denial is none: `not sure`, `do not know`, `not only`."""
    return any(at in places for phrase in _doubting() for places in _places(words, phrase))


def _found(words: Sequence[str], phrase: str) -> list[tuple[int, ...]]:
    return _places(words, _parts(phrase))


def _places(words: Sequence[str], phrase: Sequence[frozenset[str]]) -> list[tuple[int, ...]]:
    """Where the words of a phrase stand close together inside one sentence.

    In any order, unless one of them is a small word: `water in box` is not `box in water`.
    """
    spots: list[list[int]] = []
    for part in phrase:
        spots.append([at for at, word in enumerate(words) if _is_one_of(word, part)])
        if not spots[-1]:
            return []
    found = []
    for places in itertools.product(*(each[:6] for each in spots)):
        low, high = min(places), max(places)
        between = [word for at, word in enumerate(words[low:high], start=low) if at not in places]
        weighty = [word for word in between if word not in _talk().light and word not in _PARTS]
        ordered = list(places) == sorted(places) or _talk().light.isdisjoint(words[at] for at in places)
        close = len(weighty) <= _LOOSE and not _ENDS_SENTENCE.intersection(between)
        if ordered and close and len(set(places)) == len(places):
            found.append(places)
    return found


def _is_one_of(word: str, ways: frozenset[str]) -> bool:
    return any(word.startswith(way[:-1]) if way.endswith("*") else word == way for way in ways)


@lru_cache(maxsize=2000)
def _parts(phrase: str) -> tuple[frozenset[str], ...]:
    """A phrase of the catalogue as its words, each with the ways in which it may stand there."""
    return tuple(frozenset(_plain(part).split("/")) for part in phrase.split())


def _words(line: str) -> tuple[str, ...]:
    """A line as plain words and the signs that part it; an apostrophe joins, so `can't` is one word."""
    return tuple(_WORD.findall(_plain(line)))


def _plain(text: str) -> str:
    return re.sub(r"['\N{RIGHT SINGLE QUOTATION MARK}`]", "", without_accents(text))


@once_a_language
def _talk() -> _Talk:
    lists = {
        name: frozenset(_plain(say(f"danger_talk.{name}")).split()) for name in ("denies", "carries", "ends", "light")
    }
    return _Talk(**lists, open=tuple(_phrases("open")))


@once_a_language
def _doubting() -> tuple[tuple[frozenset[str], ...], ...]:
    return tuple(_phrases("doubts"))


def _phrases(name: str) -> Iterator[tuple[frozenset[str], ...]]:
    yield from (_parts(phrase.strip()) for phrase in say(f"danger_talk.{name}").split(","))
