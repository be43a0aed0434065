"""From one time of the clock to another, as so many hours: `9-5`, `from six in the morning till two`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from engine.foundation.plain_text import without_accents
from engine.foundation.texts import once_a_language, say_in
from interview.understanding.listening.words import SPAN, Word, stem
from interview.understanding.quantities_said.counting import number_words
from interview.understanding.quantities_said.figures import Figure

_TIME = re.compile(r"([0-9]{1,2})(?:[.:h]([0-5][0-9]))?")
_DAY, _NOON = 24.0, 12.0
_EARLY = 6.0
"""Before this hour a time that ends in the afternoon begins there too: `1 till 4 pm`, but `8 till 4 pm`."""
_BEFORE = 4
"""Words before two times among which one tells that they are times."""


@dataclass(frozen=True)
class _Time:
    """A time of the clock in a line: its words, its hour, and whether it is before noon, after it, or either."""

    first: int
    last: int
    hour: float
    half: str = ""


@once_a_language
def _listed(language: str, name: str) -> frozenset[str]:
    return frozenset(without_accents(say_in(language, f"listening.{name}")).split())


def with_spans(line: str, words: Sequence[Word], language: str) -> list[Word]:
    """The words, two times with what is between as a number and the word for hours; spans side by side are one."""
    found: list[Word] = []
    at = 0
    while at < len(words):
        last, hours = _span(line, words, at, language)
        if hours == 0.0:
            found.append(words[at])
            at += 1
            continue
        start = words[at].start
        while True:
            near = range(last + 1, min(last + 4, len(words)))
            following = next((k for k in near if _span(line, words, k, language)[1]), None)
            if following is None:
                break
            last, more = _span(line, words, following, language)
            hours += more
        name = min(_listed(language, "span_hours"))
        middle = words[last].start
        found.append(Word(f"{hours:g}", "#", start, middle, SPAN))
        found.append(replace(words[last], text=name, key=stem(name, language), kind="word"))
        at = last + 1
    return found


def without_times(figures: Sequence[Figure], words: Sequence[Word], language: str) -> list[Figure]:
    """The figures, times of the clock as what is no reading: `on at 7am`, `till 9`, `a las 14`."""
    return [replace(figure, things=True) if _is_time(figure, words, language) else figure for figure in figures]


def _is_time(figure: Figure, words: Sequence[Word], language: str) -> bool:
    if figure.unit or figure.is_time or not (figure.number.isdigit() and int(figure.number) <= _DAY):
        return False
    before = words[figure.first - 1].text if figure.first else ""
    behind = words[figure.last + 1].text if figure.last + 1 < len(words) else ""
    two_before = tuple(word.text for word in words[max(0, figure.first - 2) : figure.first])
    clocked = two_before[-1:] == ("at",) and two_before[0] in _listed(language, "begins_at")
    return behind in ("am", "pm") or before in _listed(language, "till") | _listed(language, "at_the") or clocked


def _span(line: str, words: Sequence[Word], at: int, language: str) -> tuple[int, float]:
    """The last word of a span that begins at a place, and its hours; none where none begins."""
    begin = _time(line, words, at, language)
    if begin is None:
        return at, 0.0
    place, joined = begin.last + 1, False
    strong = False
    if place < len(words) and line[words[begin.last].end : words[place].start] in ("-", "\u2013", "\u2014"):
        joined = True
    while place < len(words) and place <= begin.last + 3 and not joined:
        text = words[place].text
        strong |= text in _listed(language, "till")
        if text not in _listed(language, "till") | _listed(language, "till_or_to"):
            return at, 0.0
        place += 1
        joined = place < len(words) and _time(line, words, place, language) is not None
    end = _time(line, words, place, language) if joined else None
    if end is None:
        return at, 0.0
    before = {word.text for word in words[max(0, at - _BEFORE) : at]}
    if not (strong or begin.half or end.half or before & _listed(language, "clocked")):
        return at, 0.0
    hours = _hours(begin, end)
    return (end.last, hours) if 0 < hours <= _DAY else (at, 0.0)


def _hours(begin: _Time, end: _Time) -> float:
    """The hours from one time to the other."""
    start, stop = begin.hour, end.hour
    if begin.half == "pm" or (not begin.half and end.half == "pm" and start < min(_EARLY, stop % _NOON or _NOON)):
        start = start % _NOON + _NOON
    elif begin.half == "am":
        start %= _NOON
    if end.half == "pm":
        stop = stop % _NOON + _NOON
    elif end.half == "am":
        stop %= _NOON
    elif stop <= start and stop + _NOON > start:
        stop += _NOON
    return stop - start if stop > start else stop + _DAY - start


def _time(line: str, words: Sequence[Word], at: int, language: str) -> _Time | None:
    """The time of the clock that begins at a place."""
    if at >= len(words):
        return None
    word = words[at]
    for name, hour in (("noon", _NOON), ("midnight", _DAY)):
        if word.text in _listed(language, name):
            return _Time(at, at, hour, "named")
    last = at
    if word.kind == "number":
        text = line[word.start : word.end]
        if at + 1 < len(words) and words[at + 1].kind == "number" and line[word.end : words[at + 1].start] == ":":
            text, last = f"{text}:{line[words[at + 1].start : words[at + 1].end]}", at + 1
        typed = _TIME.fullmatch(text)
        if typed is None or int(typed[1]) > _DAY:
            return None
        hour = int(typed[1]) + int(typed[2] or 0) / 60
    elif word.text in number_words(language) and number_words(language)[word.text] <= _DAY:
        hour = number_words(language)[word.text]
    else:
        return None
    return _with_half(words, _Time(at, last, hour), language)


def _with_half(words: Sequence[Word], time: _Time, language: str) -> _Time:
    """A time with what is said behind it: the half of the day."""
    last = time.last
    for place in range(last + 1, min(last + 4, len(words))):
        text = words[place].text
        for half in ("am", "pm"):
            if text in _listed(language, half):
                return replace(time, last=place, half=half)
        if text in _listed(language, "oclock"):
            last = place
        elif text not in _listed(language, "of_day"):
            break
    return replace(time, last=last)
