"""The numbers of a line, each with its unit: in figures, in words, as dates and as stretches of time."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from engine.foundation.texts import once_a_language, say_in
from interview.understanding.listening.words import Word, talk_of
from interview.understanding.normalize import without_accents
from interview.understanding.units_typed import is_unit

_UNIT_WORDS = 3
"""A unit such as `degrees Celsius` or `grams per litre` has at most so many words."""
_ALSO_WORDS = frozenset({"a", "in"})
"""Units that are words as well: such a one stands close behind its number."""
_NO_UNITS = frozenset({"x", "times"})
"""What stands between the sides of a pool, though it is how often as well."""


_OF, _PER = frozenset({"of", "de"}), frozenset({"a", "per", "each", "every", "al", "por"})


@dataclass(frozen=True)
class Figure:
    """A number with its unit: the places of its words, and its text as a typed quantity.

    `is_time` where it is said as a date or a stretch of time, without a number: `last month`.
    """

    first: int
    last: int
    number: str
    unit: str = ""
    is_time: bool = False

    @property
    def typed(self) -> str:
        """The number with its unit, as the reader of quantities takes it."""
        return f"{self.number} {self.unit}".strip()


@dataclass(frozen=True)
class _Counting:
    """How a language says numbers, months and stretches of time."""

    values: Mapping[str, float]
    hundred: frozenset[str]
    thousand: frozenset[str]
    point: frozenset[str]
    minus: frozenset[str]
    to: frozenset[str]
    parting: frozenset[str]
    months: Mapping[str, int]
    stretches: Mapping[tuple[str, ...], str]


@once_a_language
def _counting_of(language: str) -> _Counting:
    def words(name: str) -> list[str]:
        return without_accents(say_in(language, f"listening.{name}")).split()

    def each(listed: Sequence[str], first: int, step: int) -> dict[str, float]:
        return {way: float(first + step * k) for k, ways in enumerate(listed) for way in ways.split("/")}

    stretches = {}
    for row in without_accents(say_in(language, "listening.stretches")).replace("'", "").split(","):
        said, _, amount = row.partition("=")
        stretches[tuple(said.split())] = amount.strip()
    return _Counting(
        each(words("digits"), 0, 1) | each(words("tens"), 20, 10),
        hundred=frozenset(words("hundred")),
        thousand=frozenset(words("thousand")),
        point=frozenset(words("point")),
        minus=frozenset(words("minus")),
        to=frozenset(words("to")),
        parting=talk_of(language).parting,
        months={name: 1 + k for k, ways in enumerate(words("month_names")) for name in ways.split("/")},
        stretches=stretches,
    )


def figures_in(line: str, words: Sequence[Word], language: str, today: datetime.date | None) -> list[Figure]:
    """The numbers of a line in their order.

    Args:
        today: the date of the job, from which a date is a stretch of time; without it dates say nothing.
    """
    counting = _counting_of(language)
    found: list[Figure] = []
    at = 0
    while at < len(words):
        figure = (
            _since(words, at, counting, today)
            or _stretch(words, at, counting)
            or _written(line, words, at, counting)
            or _worded(line, words, at, counting)
        )
        if figure is not None:
            found.append(figure)
            at = figure.last
        at += 1
    return found


def _written(line: str, words: Sequence[Word], at: int, counting: _Counting) -> Figure | None:
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
    return _with_unit(line, words, at, last, number, counting)


def _worded(line: str, words: Sequence[Word], at: int, counting: _Counting) -> Figure | None:
    """A number in words: `fifteen`, `twenty five`, `three thousand four hundred`, `seven point four`."""
    total, part, last, seen = 0.0, 0.0, at - 1, False
    place = at
    while place < len(words):
        text = words[place].text
        if text in counting.values and (not seen or part % 10 == 0 or counting.values[text] >= 100):
            part += counting.values[text]
            seen, last = True, place
        elif seen and text in counting.hundred:
            part, last = max(part, 1) * 100, place
        elif seen and text in counting.thousand:
            total, part, last = total + max(part, 1) * 1000, 0.0, place
        elif seen and text in counting.point and place + 1 < len(words) and words[place + 1].text in counting.values:
            part += counting.values[words[place + 1].text] / 10
            last = place + 1
            break
        else:
            break
        place += 1
    if not seen:
        return None
    figure = _with_unit(line, words, at, last, f"{total + part:g}", counting)
    # `one` alone, and `a`, are mostly no numbers.
    return figure if figure.unit or total + part > 1 else None


def _with_unit(line: str, words: Sequence[Word], at: int, last: int, number: str, counting: _Counting) -> Figure:
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
        if is_unit(typed) and inside[0].text not in _NO_UNITS:
            return _of_something(words, Figure(at, last + count, number, typed.strip()))
    return Figure(at, last, number)


def _of_something(words: Sequence[Word], figure: Figure) -> Figure:
    """`1 lb of chlorine a day` is a rate: the figure with what it is per."""
    behind = [word.text for word in words[figure.last + 1 : figure.last + 5]]
    if len(behind) == 4 and behind[0] in _OF and behind[2] in _PER and is_unit(f"{figure.unit}/{behind[3]}"):
        return replace(figure, last=figure.last + 4, unit=f"{figure.unit}/{behind[3]}")
    return figure


def _closes(line: str, words: Sequence[Word], at: int) -> bool:
    """Whether a letter is rather a unit than a word: a capital, or nothing but a mark or a number follows."""
    if line[words[at].start].isupper():
        return True
    return at + 1 >= len(words) or words[at + 1].kind != "word"


def _leads_on(words: Sequence[Word], at: int, counting: _Counting) -> bool:
    """Whether a word leads on to what follows: `de 10 a 18` are no amps, and `7,4 y 2` no years."""
    if words[at].text in counting.parting:
        return True
    return words[at].text in counting.to and at + 1 < len(words) and words[at + 1].kind == "number"


def _stretch(words: Sequence[Word], at: int, counting: _Counting) -> Figure | None:
    """`last month`, `a fortnight`, `a year and a half`: so long ago."""
    for said, amount in counting.stretches.items():
        if tuple(word.text for word in words[at : at + len(said)]) == said:
            number, _, unit = amount.partition(" ")
            return Figure(at, at + len(said) - 1, number, unit, is_time=True)
    return None


def _since(words: Sequence[Word], at: int, counting: _Counting, today: datetime.date | None) -> Figure | None:
    """A month, with its year or without: the months since then."""
    if today is None or words[at].text not in counting.months or words[at].kind != "word":
        return None
    month, last = counting.months[words[at].text], at
    year = today.year if month <= today.month else today.year - 1
    if at + 1 < len(words) and re.fullmatch(r"(?:19|20)[0-9]{2}", words[at + 1].text):
        year, last = int(words[at + 1].text), at + 1
    day = words[at - 1].text if at > 0 and words[at - 1].kind == "number" else ""
    if re.fullmatch(r"[0-3]?[0-9]", day) and (year, month, int(day)) == (today.year, today.month, today.day):
        return Figure(at - 1, last, "0", "today", is_time=True)
    months = (today.year - year) * 12 + today.month - month
    return Figure(at, last, str(months), "months", is_time=True) if months >= 0 else None
