"""The numbers of a line, each with its unit: in figures, in words, as dates and as stretches of time."""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from interview.understanding.listening.words import SPAN, Word, phrase_at
from interview.understanding.numbers import in_signs
from interview.understanding.quantities_said.counting import (
    Counting,
    counting_of,
    hundreds_behind,
    hundreds_said,
    number_said,
)
from interview.understanding.units_typed import is_unit

_UNIT_WORDS = 3
"""A unit such as `degrees Celsius` or `grams per litre` has at most so many words."""
_ALSO_WORDS = frozenset({"a", "in"})
"""Units that are words as well: such a one stands close behind its number."""
_NO_UNITS = frozenset({"x", "times"})
"""What stands between the sides of a pool, though it is how often as well."""
_NAMES_TOO = frozenset({"ph", "cc"})
"""Units that are names of readings as well: the number of such a one may stand behind it."""
_HALF, _OLDEST = 0.5, 45
_APOSTROPHES = ("'", "\u2019")
_OF, _PER = frozenset({"of", "de", "del"}), frozenset({"a", "per", "each", "every", "al", "por"})


@dataclass(frozen=True)
class Figure:
    """A number with its unit: the places of its words, and its text as a typed quantity.

    `is_time` where it is said as a date or a stretch of time, without a number: `last month`; `is_date` where a year or
    a month says when. A `loose` one is only near what is meant: `under 10`, `50 or 55`. A number of `things` is no
    reading: `six bags`, `a 10 A fuse`.
    """

    first: int
    last: int
    number: str
    unit: str = ""
    is_time: bool = False
    is_date: bool = False
    loose: bool = False
    things: bool = False

    @property
    def typed(self) -> str:
        """The number with its unit, as the reader of quantities takes it."""
        return f"{self.number} {self.unit}".strip()


def figures_in(line: str, words: Sequence[Word], language: str, today: datetime.date | None) -> list[Figure]:
    """The numbers of a line in their order.

    Args:
        today: the date of the job, from which a date is a stretch of time; without it dates say nothing.
    """
    counting = counting_of(language)
    found: list[Figure] = []
    at = 0
    while at < len(words):
        if (last := _share(line, words, at, counting)) is not None:
            at = last + 1
            continue
        figure = (
            _span(words, at)
            or _year(line, words, at, counting, today)
            or _since(line, words, at, counting, today)
            or _stretch(words, at, counting)
            or _written(line, words, at, counting)
            or _worded(line, words, at, counting)
        )
        if figure is not None:
            figure = _and_centimetres(line, words, _and_a_half(words, figure, counting), counting)
            found.append(_as_said(words, figure, counting))
            at = found[-1].last
        at += 1
    return _of_two(line, found, words, counting)


def _span(words: Sequence[Word], at: int) -> Figure | None:
    """So many hours between two times of the clock."""
    return Figure(at, at + 1, words[at].text, "h") if words[at].kind == SPAN else None


def _share(line: str, words: Sequence[Word], at: int, counting: Counting) -> int | None:
    """The last word of `3/4`, a share or a date, and of `1 to 4`, `4 of 5`: none is a reading."""
    if at + 1 >= len(words) or words[at].kind != "number":
        return None
    between = at + 1
    slash = line[words[at].end : words[at].end + 1] == "/"
    colon = line[words[at].end : words[at].end + 1] == ":"
    ratio = words[at].text == "1" and (colon or words[between].text in counting.ratio)
    last = between if words[between].kind == "number" else between + 1
    if last >= len(words) or words[last].kind != "number" or last > between + 1:
        return None
    numbers = [words[at].text, words[last].text]
    if slash and words[last].start == words[at].end + 1 and all(re.fullmatch(r"[0-9]{1,2}", each) for each in numbers):
        return last
    some_of = words[between].text in _OF and last == between + 1
    return last if (ratio or some_of) and re.fullmatch(r"[0-9]{1,2}", numbers[1]) else None


def _year(line: str, words: Sequence[Word], at: int, counting: Counting, today: datetime.date | None) -> Figure | None:
    """A year behind `in`, `since`, `fitted`: so many years ago."""
    if today is None or at == 0 or words[at - 1].text not in counting.since:
        return None
    year = _as_year(line, words[at], today)
    return Figure(at, at, str(today.year - year), counting.year, is_date=True) if year is not None else None


def _as_year(line: str, word: Word, today: datetime.date, short: bool = False) -> int | None:
    """A year of four figures, or of two behind an apostrophe or where it may be `short`: `'19`, `abril del 21`."""
    if re.fullmatch(r"(?:19|20)[0-9]{2}", word.text):
        year = int(word.text)
    elif re.fullmatch(r"[0-9]{2}", word.text) and (short or line[word.start - 1 : word.start] in _APOSTROPHES):
        year = today.year - (today.year - int(word.text)) % 100
    else:
        return None
    return year if 0 <= today.year - year < _OLDEST else None


def _year_behind(line: str, words: Sequence[Word], at: int, today: datetime.date) -> tuple[int, int] | None:
    """The year that follows a month, and the place where it stands."""
    of = at < len(words) and words[at].text in _OF
    place = at + of
    if place >= len(words) or words[place].kind != "number":
        return None
    year = _as_year(line, words[place], today, short=of)
    return None if year is None else (year, place)


def _and_a_half(words: Sequence[Word], figure: Figure, counting: Counting) -> Figure:
    """`2 and a half years`, `2 years and a half`."""
    texts = [word.text for word in words]
    more = phrase_at(texts, figure.last + 1, counting.halves)
    if not more or not figure.number.isdigit():
        return figure
    last = figure.last + more
    number = f"{int(figure.number) + _HALF:g}"
    if not figure.unit and last + 1 < len(words) and is_unit(words[last + 1].text):
        return replace(figure, last=last + 1, number=number, unit=words[last + 1].text)
    return replace(figure, last=last, number=number)


def _and_centimetres(line: str, words: Sequence[Word], figure: Figure, counting: Counting) -> Figure:
    """`one metre fifty`, `1 metro 20`."""
    at = figure.last + 1
    if in_signs(figure.unit) != "m" or not figure.number.isdigit() or at >= len(words):
        return figure
    more = _written(line, words, at, counting) or _worded(line, words, at, counting)
    if more is None or more.unit or not re.fullmatch(r"[1-9][0-9]", more.number):
        return figure
    return replace(figure, last=more.last, number=f"{figure.number}.{more.number}")


def _as_said(words: Sequence[Word], figure: Figure, counting: Counting) -> Figure:
    """The figure, loose where it is only a bound, and of things where such are counted."""
    texts = [word.text for word in words]
    begins = figure.first - 1
    while begins >= 0 and texts[begins] in counting.articles:
        begins -= 1
    starts = range(max(0, begins - 3), begins + 1)
    loose = any(phrase_at(texts[: begins + 1], at, counting.bounds) == begins + 1 - at for at in starts)
    behind = [text for text in texts[figure.last + 1 : figure.last + 3] if text not in counting.articles][:1]
    counted = not figure.unit and bool(behind) and behind[0] in counting.things
    of_thing = (behind and behind[0] in counting.rated) or (begins >= 0 and texts[begins] in counting.rated)
    return replace(figure, loose=loose, things=counted or (bool(figure.unit) and bool(of_thing)))


def _of_two(line: str, figures: Sequence[Figure], words: Sequence[Word], counting: Counting) -> list[Figure]:
    """The figures, those of which one or the other is meant loose."""
    loose = set[int]()
    for k, (one, other) in enumerate(pairwise(figures)):
        either = counting.either | counting.parting if one.loose else counting.either
        joined = other.first == one.last + 2 and words[one.last + 1].text in either
        dash = line[words[one.last].end : words[other.first].start] in ("-", "\u2013")
        loose |= {k, k + 1} if joined or (other.first == one.last + 1 and dash) else set()
    return [replace(figure, loose=figure.loose or k in loose) for k, figure in enumerate(figures)]


def _written(line: str, words: Sequence[Word], at: int, counting: Counting) -> Figure | None:
    """A number in figures, with its sign, its thousands after a space, and its unit."""
    if words[at].kind != "number":
        return None
    last = at
    while last + 1 < len(words) and words[last + 1].kind == "number" and words[last + 1].start == words[last].end + 1:
        grouped = line[words[at].start : words[last + 1].end]
        if not re.fullmatch(r"[0-9]{1,3}(?: [0-9]{3})+", grouped):
            break
        last += 1
    start = words[at].start
    signed = line[start - 1 : start] in ("-", "\u2212") and not line[start - 2 : start - 1].strip() and start > 0
    minus = signed or (at > 0 and words[at - 1].text in counting.minus)
    number = ("-" if minus else "") + line[start : words[last].end]
    thousand = (
        last + 1 < len(words)
        and words[last + 1].text in counting.thousand
        and number.lstrip("-").replace(".", "", 1).isdigit()
    )
    if thousand:
        number, last = f"{float(number) * 1000:g}", last + 1
        if (more := hundreds_behind(words, last + 1, counting)) is not None:
            number, last = f"{float(number) + more:g}", last + 1
    return _with_unit(line, words, at, last, number, counting)


def _worded(line: str, words: Sequence[Word], at: int, counting: Counting) -> Figure | None:
    """A number in words: `fifteen`, `twenty five`, `three thousand four hundred`, `seven point four`."""
    if (said := hundreds_said(words, at, counting)) is not None:
        # `two thirty one volts`; `two thirty` without a unit is rather a time of the clock.
        number, last, certain = said
        figure = _with_unit(line, words, at, last, f"{number:g}", counting)
        if certain or figure.unit:
            return figure
    if (read := number_said(words, at, counting)) is None:
        return None
    number, last = read
    figure = _with_unit(line, words, at, last, f"{number:g}", counting)
    # `one` alone, and `a`, are mostly no numbers.
    return figure if figure.unit or number != 1 else None


def _with_unit(line: str, words: Sequence[Word], at: int, last: int, number: str, counting: Counting) -> Figure:
    for count in range(min(_UNIT_WORDS, len(words) - last - 1), 0, -1):
        inside = words[last + 1 : last + 1 + count]
        if any(word.kind == "number" or (word.kind == "mark" and line[word.start] != "/") for word in inside):
            continue
        typed = line[words[last].end : inside[-1].end]
        apart = typed[:1].isspace()
        if apart and inside[0].text in _ALSO_WORDS and count == 1 and not _closes(line, words, last + 1):
            continue
        if apart and count == 1 and _leads_on(words, last + 1, counting):
            continue
        if inside[0].text in _NAMES_TOO and last + 2 < len(words) and words[last + 2].kind == "number":
            continue
        if apart and line[inside[0].start : inside[0].end] == "of":
            # `1.2 of water` is no temperature, as `80 oF` is.
            continue
        if is_unit(typed) and inside[0].text not in _NO_UNITS:
            return _of_something(words, Figure(at, last + count, number, typed.strip()))
    degrees = line[words[last].end : words[last].end + 1] in ("\u00b0", "\u00ba")
    return Figure(at, last, number, "deg" if degrees else "")


def _of_something(words: Sequence[Word], figure: Figure) -> Figure:
    """`1 lb of chlorine a day` is a rate: the figure with what it is per."""
    behind = [word.text for word in words[figure.last + 1 : figure.last + 5]]
    if len(behind) == 4 and behind[0] in _OF and behind[2] in _PER:
        for unit in (f"{figure.unit}/{behind[3]}", f"{figure.unit} {behind[2]} {behind[3]}"):
            if is_unit(unit):
                return replace(figure, last=figure.last + 4, unit=unit)
    return figure


def _closes(line: str, words: Sequence[Word], at: int) -> bool:
    """Whether a letter is rather a unit than a word: a capital, or nothing but a mark or a number follows."""
    if line[words[at].start].isupper():
        return True
    return at + 1 >= len(words) or words[at + 1].kind != "word"


def _leads_on(words: Sequence[Word], at: int, counting: Counting) -> bool:
    """Whether a word leads on to what follows: `de 10 a 18` are no amps, and `7,4 y 2` no years."""
    if words[at].text in counting.parting:
        return True
    return words[at].text in counting.to and at + 1 < len(words) and words[at + 1].kind == "number"


def _stretch(words: Sequence[Word], at: int, counting: Counting) -> Figure | None:
    """`last month`, `a fortnight`, `a year and a half`: so long ago."""
    for said, amount in counting.stretches.items():
        if tuple(word.text for word in words[at : at + len(said)]) == said:
            number, _, unit = amount.partition(" ")
            return Figure(at, at + len(said) - 1, number, unit, is_time=True)
    return None


def _since(line: str, words: Sequence[Word], at: int, counting: Counting, today: datetime.date | None) -> Figure | None:
    """A month, with its year or without: the months since then."""
    if today is None or words[at].text not in counting.months or words[at].kind != "word":
        return None
    month, last = counting.months[words[at].text], at
    year = today.year if month <= today.month else today.year - 1
    if (told := _year_behind(line, words, at + 1, today)) is not None:
        year, last = told
    day = words[at - 1].text if at > 0 and words[at - 1].kind == "number" else ""
    if re.fullmatch(r"[0-3]?[0-9]", day) and (year, month, int(day)) == (today.year, today.month, today.day):
        return Figure(at - 1, last, "0", "today", is_time=True)
    months = (today.year - year) * 12 + today.month - month
    return Figure(at, last, str(months), "months", is_time=True, is_date=True) if months >= 0 else None
