"""How a language says numbers, months and stretches of time, and a number said in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from engine.foundation.plain_text import without_accents
from engine.foundation.texts import once_a_language, say_in
from interview.understanding.listening.words import KnownPhrases, Word, talk_of
from interview.understanding.units_typed import is_unit

_TEN, _TWENTY, _HUNDRED, _THOUSAND = 10, 20, 100, 1000


@dataclass(frozen=True)
class Counting:
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
    since: frozenset[str]
    year: str
    halves: KnownPhrases
    bounds: KnownPhrases
    either: frozenset[str]
    ratio: frozenset[str]
    things: frozenset[str]
    articles: frozenset[str]
    rated: frozenset[str]
    joins: frozenset[str]
    joins_hundreds: frozenset[str]


@once_a_language
def counting_of(language: str) -> Counting:
    """How a language says them."""

    def words(name: str) -> list[str]:
        return without_accents(say_in(language, f"listening.{name}")).split()

    def each(listed: Sequence[str], first: int, step: int) -> dict[str, float]:
        return {way: float(first + step * k) for k, ways in enumerate(listed) for way in ways.split("/")}

    def phrases(name: str) -> KnownPhrases:
        listed = without_accents(say_in(language, f"listening.{name}")).replace("'", "").split(",")
        return KnownPhrases.of(each.split() for each in listed)

    worth = {word: float(amount) for word, amount in (each.split("=") for each in words("worth"))}
    stretches = {}
    for row in without_accents(say_in(language, "listening.stretches")).replace("'", "").split(","):
        said, _, amount = row.partition("=")
        stretches[tuple(said.split())] = amount.strip()
    return Counting(
        each(words("digits"), 0, 1) | each(words("tens"), 20, 10) | worth,
        hundred=frozenset(words("hundred")),
        thousand=frozenset(words("thousand")),
        point=frozenset(words("point")),
        minus=frozenset(words("minus")),
        to=frozenset(words("to")),
        parting=talk_of(language).parting,
        months={name: 1 + k for k, ways in enumerate(words("month_names")) for name in ways.split("/")},
        stretches=dict(sorted(stretches.items(), key=lambda each: -len(each[0]))),
        since=frozenset(words("since")),
        year=words("year")[0],
        halves=phrases("halves"),
        bounds=phrases("bounds"),
        either=frozenset(words("either")),
        ratio=frozenset(words("ratio")),
        things=frozenset(words("things")),
        articles=frozenset(words("articles")),
        rated=frozenset(words("rated")),
        joins=frozenset(words("number_joins")),
        joins_hundreds=frozenset(words("hundred_joins")),
    )


def number_words(language: str) -> Mapping[str, float]:
    """The numbers that are one word."""
    return counting_of(language).values


def zero_word(language: str) -> str:
    """The word for nothing at all."""
    return next(iter(number_words(language)))


def hundreds_behind(words: Sequence[Word], at: int, counting: Counting) -> float | None:
    """What a digit right behind a thousand counts: `three thousand two` is 3200."""
    after = words[at + 1].text if at + 1 < len(words) else ""
    if at >= len(words) or after in counting.hundred | counting.point or is_unit(after):
        return None
    digit = counting.values.get(words[at].text, float(words[at].text) if words[at].text.isdigit() else 0.0)
    return _HUNDRED * digit if 1 < digit < _TEN and after not in counting.values else None


def number_said(words: Sequence[Word], at: int, counting: Counting) -> tuple[float, int] | None:
    """The number in words that begins at a place, and the place of its last word; None where none does."""
    total, part, last, seen = 0.0, 0.0, at - 1, False
    place = at
    while place < len(words):
        text = words[place].text
        if text in counting.values and (not seen or part % _TEN == 0 or counting.values[text] >= _HUNDRED):
            part += counting.values[text]
            seen, last = True, place
        elif seen and place == at + 1 and part < _TEN and counting.values.get(text, _TEN) < _TEN:
            # `seven four` is 7.4.
            part, last = part + counting.values[text] / _TEN, place
            break
        elif seen and part >= _TWENTY and _joins_on(words, place, part, counting):
            # `cuarenta y cinco`, `two hundred and thirty`.
            pass
        elif text in counting.hundred:
            # `a hundred`, `ciento veinte`.
            part, last, seen = max(part, 1) * _HUNDRED, place, True
        elif text in counting.thousand and (seen or _follows(words, place, counting)):
            total, part, last, seen = total + max(part, 1) * _THOUSAND, 0.0, place, True
            if (more := hundreds_behind(words, place + 1, counting)) is not None:
                part, last = more, place + 1
                break
        elif text in counting.point and _tenths(words, place + 1, counting) is not None:
            # `point five` as well.
            part += _tenths(words, place + 1, counting) or 0.0
            seen, last = True, place + 1
            break
        else:
            break
        place += 1
    return (total + part, last) if seen else None


def _follows(words: Sequence[Word], at: int, counting: Counting) -> bool:
    """Whether a number in words follows a place: `mil doscientos`, `mil cien`."""
    return at + 1 < len(words) and words[at + 1].text in counting.values.keys() | counting.hundred


def _tenths(words: Sequence[Word], at: int, counting: Counting) -> float | None:
    """What a number of one figure behind a point counts."""
    value = counting.values.get(words[at].text, _TEN) if at < len(words) else _TEN
    return value / _TEN if value < _TEN else None


def _joins_on(words: Sequence[Word], at: int, part: float, counting: Counting) -> bool:
    """Whether a word joins a smaller number to round tens or hundreds."""
    follows = counting.values.get(words[at + 1].text, 0.0) if at + 1 < len(words) else 0.0
    if words[at].text in counting.joins and part % _HUNDRED:
        return part % _TEN == 0 and 0 < follows < _TEN
    return words[at].text in counting.joins_hundreds and part % _HUNDRED == 0 and 0 < follows < _HUNDRED


def hundreds_said(words: Sequence[Word], at: int, counting: Counting) -> tuple[float, int, bool] | None:
    """`two thirty one`: a digit before tens as hundreds, its last place, and whether another digit makes it certain."""
    if at + 1 >= len(words):
        return None
    hundreds, tens = (counting.values.get(word.text, 0.0) for word in words[at : at + 2])
    if not 1 < hundreds < _TEN or not _TWENTY <= tens < _HUNDRED or tens % _TEN:
        return None
    ones = counting.values.get(words[at + 2].text, 0.0) if at + 2 < len(words) else 0.0
    certain = 0 < ones < _TEN
    return hundreds * _HUNDRED + tens + ones * certain, at + 1 + certain, certain
