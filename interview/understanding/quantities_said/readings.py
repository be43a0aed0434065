"""Which check each number of a line belongs to: by what is said beside it, by its unit, by what can be."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from engine.foundation.plain_text import without_accents
from engine.knowledge.model import Check
from engine.knowledge.said import SaidOf
from engine.quantities.units import UNITS, convert
from interview.understanding.listening.clauses import Clauses
from interview.understanding.listening.phrase import Found, Meaning
from interview.understanding.listening.words import Word, phrase_at
from interview.understanding.quantities_said.differences import SURELY, CheckReading, differences
from interview.understanding.quantities_said.figures import Figure
from interview.understanding.quantities_said.values import Values
from interview.understanding.quantities_said.weighing import Beside
from interview.understanding.units_typed import is_age

_SURE, _MARGIN = 0.6, 0.3
"""From the first weight on a number is taken, where no other check comes within the second of it: judgement."""
_UNIT, _ONLY_UNIT, _UNLIKELY, _ASKED = 0.5, 1.0, 0.9, 0.9
_RIVAL, _NEVER = 0.5, 0.4
_OTHER_UNIT = 0.2
"""Less than `_MARGIN`, so that it is asked back."""
_SECOND, _SECOND_TIMES, _BEHIND = 1.8, 3.0, 3
"""What a second reading of one kind weighs, how many times the first it is at most, and words behind that say so."""
_MOST_BESIDE, _MOST_MEANT, _MOST_CORRECTING = 2, 3, 3
_UNITS_OF_ANYTHING = frozenset({"%", "percent", "pct", "per cent", "por ciento"})
"""Of these nothing is said by the unit alone but where nothing else is said."""
_MANY = 20
"""From so many on things are counted in figures: judgement."""
_TIMES = frozenset({"age", "time"})
"""Kinds of which a number says nothing by its unit alone: so many hours or weeks of what?"""


@dataclass
class CheckReadings:
    """The numbers of a line as readings, those that are sure and those that may be meant, by their figure."""

    sure: list[CheckReading] = field(default_factory=list)
    unsure: list[tuple[Figure, list[CheckReading]]] = field(default_factory=list)


def read_numbers(
    figures: Sequence[Figure],
    sayings: Sequence[tuple[Meaning, Found]],
    clauses: Clauses,
    checks: Mapping[str, Check],
    said_of: Mapping[str, SaidOf],
    named: Mapping[str, Collection[str]],
    plausible: Callable[[Check], tuple[float, float]],
    asked: str,
) -> CheckReadings:
    """Give each number its check.

    Args:
        figures: the numbers of the line in their order.
        sayings: the sayings found that say of which check a number is, or is not.
        clauses: the parts of the line.
        checks: the checks with a unit, by their ids; `said_of` is how people say them.
        named: the words that say of which check a number is.
        plausible: between which numbers a check's mostly lies, in its unit.
        asked: the check whose question stands; a bare number is its.
    """
    kept = _last_said(figures, clauses)
    reader = _Numbers(said_of, named, Values(checks, plausible), Beside(kept, sayings, clauses), asked)
    return reader.given()


def _last_said(figures: Sequence[Figure], clauses: Clauses) -> list[tuple[Figure, int]]:
    """The numbers that stand, each with the place by which it is judged: that of the one that it puts right."""
    kept: list[tuple[Figure, int]] = []
    for figure in figures:
        said = next((k for k in range(len(kept) - 1, -1, -1) if not kept[k][0].is_time), None)
        if kept and kept[-1][0].is_time and is_age(figure.unit):
            # `cleaned a year ago, no, 8 months ago`.
            said = len(kept) - 1
        times = {at for each, _ in kept if each.is_time for at in range(each.first, each.last + 1)}
        if said is not None and not figure.is_time and _puts_right(kept[said][0], figure, times, clauses):
            before, anchor = kept[said]
            kept[said] = (replace(figure, unit=figure.unit or before.unit), anchor)
        else:
            kept.append((figure, figure.first))
    return [pair for pair in kept if not clauses.clauses[clauses.of[pair[0].first]].measures_nothing]


def _puts_right(before: Figure, figure: Figure, times: set[int], clauses: Clauses) -> bool:
    """Whether a number is said instead of the one before: `3400, no, 4300`, or `8.0 last month, today 7.5`."""
    texts = [word.text for word in clauses.words]
    between = range(before.last + 1, figure.first)
    corrects = any(phrase_at(texts, at, clauses.talk.sayings["corrects"]) for at in between)
    was, now = clauses.clauses[clauses.of[before.first]], clauses.clauses[clauses.of[figure.first]]
    weighty = [at for at in between if at not in times and clauses.weighs(at)]
    then = was is not now and (
        (was.earlier and now.later and not now.earlier)
        or (was.past and now.now)
        or (was.was and now.since and not was.since)
    )
    ours = bool(was.measures_nothing or was.ought) and clauses.begins_with_ours(now)
    ours |= bool(was.ought) and now.joined
    ours &= not (now.ought or now.measures_nothing)
    return (corrects or then or ours) and len(weighty) <= _MOST_CORRECTING


@dataclass(frozen=True)
class _Numbers:
    """The numbers of one line."""

    said: Mapping[str, SaidOf]
    named: Mapping[str, Collection[str]]
    values: Values
    beside: Beside
    asked: str

    def given(self) -> CheckReadings:
        """The weightiest readings first, each check and each number once."""
        figures = [figure for figure, _ in self.beside.kept]
        found, taken, used = CheckReadings(), set[str](), set[int]()
        units: dict[int, str] = {}
        for reading, first, second in differences(figures, self.said, self.values, self.beside):
            if first != second and not self._is_spoken_of(reading.check, figures):
                continue
            found.sure.append(reading)
            taken.add(reading.check)
            used |= {first} if first == second else set()
            unit = next((figure.unit for figure in figures if figure.first in (first, second) and figure.unit), "")
            units |= {first: unit, second: unit}
        options: list[tuple[Figure, list[CheckReading]]] = []
        for each, anchor in self.beside.kept:
            # Of two numbers that are one difference both are in the unit of either.
            figure = replace(each, unit=each.unit or units.get(each.first, ""))
            listed = self._options(figure, anchor)
            likelier = self._second(figure, options[-1]) if options else None
            if likelier is not None:
                listed = [likelier, *(other for other in listed if other.check != likelier.check)]
            options.append((figure, listed))
        pairs = [
            (reading, figure, listed) for figure, listed in options if figure.first not in used for reading in listed
        ]
        clauses = self.beside.clauses
        # How it should be goes behind how it is.
        ought = {figure.first for figure in figures if clauses.only_ought([figure.first])}
        for reading, figure, listed in sorted(pairs, key=lambda each: (each[1].first in ought, -each[0].weight)):
            if figure.first in used:
                continue
            if reading.check in taken:
                self._doubt(found, reading, figure, listed)
                continue
            rivals = [other for other in listed if other.check != reading.check and other.check not in taken]
            margin = reading.weight - max((other.weight for other in rivals), default=0.0)
            used.add(figure.first)
            sure = reading.weight >= _SURE and margin >= _MARGIN
            if sure:
                taken.add(reading.check)
            if sure and not reading.loose:
                found.sure.append(reading)
            else:
                same = [other for other in listed if other.check == reading.check]
                found.unsure.append((figure, [*same, *rivals][:_MOST_MEANT]))
        self._doubt_of_two(found, [figure for figure in figures if figure.first not in used])
        return found

    def _is_spoken_of(self, check: str, figures: Sequence[Figure]) -> bool:
        """Whether a number has a unit, or some word is of the check: `was 30, up to 90` is of anything."""
        talk, words = self.beside.clauses.talk, self.beside.clauses.words
        any_ones = talk.words["was"] | talk.words["fixed"] | talk.small
        said = {at for meaning, found in self.beside.sayings if meaning.check == check for at in found.places}
        named = any(words[at].kind == "word" and words[at].text not in any_ones for at in said)
        return named or any(figure.unit for figure in figures)

    def _doubt_of_two(self, found: CheckReadings, left: Sequence[Figure]) -> None:
        """Take back a reading where a number of no check, likely of the same, follows it at once: `3200 then 2900`."""
        clauses = self.beside.clauses
        times = {at for each, _ in self.beside.kept if each.is_time for at in range(each.first, each.last + 1)}
        for figure in left:
            before = next((each for each in found.sure if each.last < figure.first and each.weight < SURELY), None)
            if before is None or figure.unit or figure.things or figure.is_time:
                continue
            between = set(range(before.last + 1, figure.first)) - times
            if any(at not in clauses.small or clauses.words[at].kind == "mark" for at in between):
                continue
            value = self.values.value_of(figure, self.values.checks[before.check])
            if value is not None and value != before.value and self.values.is_likely(before.check, value):
                other = replace(before, value=value, first=figure.first, last=figure.last)
                found.sure.remove(before)
                found.unsure.append((replace(figure, first=before.first), [other, before]))

    def _doubt(
        self, found: CheckReadings, reading: CheckReading, figure: Figure, listed: Sequence[CheckReading]
    ) -> None:
        """Take back a reading where another number is the same check's as surely: it is one of the two."""
        best = max(other.weight for other in listed)
        before = next((each for each in found.sure if each.check == reading.check), None)
        if before is None or reading.weight < max(_SURE, best, before.weight - _MARGIN) or before.weight >= SURELY:
            return
        if before.value != reading.value:
            found.sure.remove(before)
            found.unsure.append((replace(figure, first=before.first, last=before.last), [before, reading]))

    def _second(self, figure: Figure, before: tuple[Figure, Sequence[CheckReading]]) -> CheckReading | None:
        """A bare number as another check of the kind of the number before it: `display 2.6 g/l, ours says 3.6`.

        The words beside it say whose it is, and none that it is of another kind.
        """
        first, readings = before
        near = {each.check for each in readings if each.weight > readings[0].weight - _MARGIN}
        sure = len(near) == 1 and readings[0].weight >= _SURE
        words = {word.key for word in self._words_near(figure)}
        if figure.unit or figure.things or figure.loose or not (sure or first.unit) or not self._goes_on(first, figure):
            return None
        first_check = readings[0].check if sure else ""
        found = [
            (name, value)
            for name, check in self.values.checks.items()
            if name != first_check
            and not self._is_difference(name)
            and words & set(self.named.get(name, ()))
            and (value := self._beside(figure, first, check)) is not None
            and (not sure or self._unit(first_check) == check.unit)
        ]
        if len(found) != 1:
            return None
        ((name, value),) = found
        others = set[str]().union(*(self.named[each] for each in self.named if self._unit(each) != self._unit(name)))
        others -= {*self.named[name], *self.named.get(first_check, ())}
        called = {
            way
            for each, check in self.values.checks.items()
            if each != name
            for way in (check.id, *map(without_accents, check.names))
        }
        if words & others or called & {word.text for word in self._words_near(figure)}:
            return None
        return CheckReading(name, value, _SECOND, figure.first, figure.last)

    def _beside(self, figure: Figure, first: Figure, check: Check) -> float | None:
        """The number in the unit of the first one, where it is likely and of its size."""
        value = self.values.value_of(replace(figure, unit=first.unit), check)
        other = self.values.value_of(first, check)
        if value is None or other is None or not self.values.is_likely(check.id, value):
            return None
        return value if max(value, other) <= _SECOND_TIMES * min(value, other) else None

    def _words_near(self, figure: Figure) -> list[Word]:
        """The words of weight before a number in its part of the line, and right behind it."""
        clauses = self.beside.clauses
        clause = clauses.clauses[clauses.of[figure.first]]
        places = range(clause.start, min(clause.end, figure.last + 1 + _BEHIND))
        return [clauses.words[at] for at in places if at not in clauses.small and clauses.words[at].kind == "word"]

    def _goes_on(self, one: Figure, other: Figure) -> bool:
        """Whether two numbers stand in two parts of one sentence."""
        clauses = self.beside.clauses
        first, last = clauses.clauses[clauses.of[one.first]], clauses.clauses[clauses.of[other.first]]
        return first is not last and first.sentence == last.sentence

    def _unit(self, check: str) -> str:
        return str(self.values.checks[check].unit) if check in self.values.checks else ""

    def _options(self, figure: Figure, anchor: int) -> list[CheckReading]:
        """What a number may be, the weightiest first."""
        if figure.things:
            return []
        checks = self.values.checks.items()
        direct = {name: check for name, check in checks if name == self.asked or not self._is_difference(name)}
        sized = {name: self.values.value_of(figure, check) for name, check in direct.items()}
        fitting = {name: value for name, value in sized.items() if value is not None}
        likely = {name for name in fitting if self.values.is_likely(name, fitting[name])}
        found = list(self._weighed(figure, anchor, fitting, likely))
        if not found and figure.unit and self.beside.clauses.holds_only(range(figure.first, figure.last + 1)):
            kinds = sorted(name for name in likely if self._kind(name) not in _TIMES)
            found = [CheckReading(name, fitting[name], 0, figure.first, figure.last) for name in kinds]
            return found if len(found) <= _MOST_MEANT else []
        return sorted(found, key=lambda each: -each.weight)

    def _weighed(
        self, figure: Figure, anchor: int, fitting: Mapping[str, float], likely: set[str]
    ) -> Iterator[CheckReading]:
        strengths = {name: self.beside.of(name, figure, anchor) for name in fitting}
        # What is likely as it was typed goes before what is likely in another unit alone, and before what is not.
        said_so = {name for name in likely if strengths[name] >= _RIVAL}
        plainly = {name for name in said_so if figure.unit or self.values.is_as_typed(figure, name, fitting[name])}
        for name, value in fitting.items():
            said = strengths[name]
            weight = said + self._by_unit(figure, name, said, likely) + (_ASKED if name == self.asked else 0.0)
            never = self.beside.of(name, figure, anchor, "never")
            if weight <= 0 or (never > 0 and never >= said - _NEVER):
                continue
            unnamed = self._kind(name) == "volume" and not figure.unit and name != self.asked
            unnamed = unnamed and self.beside.of(name, figure, anchor, by_more=True) < _RIVAL
            odd = said < 1 or bool(said_so) if name not in likely else bool(plainly) and name not in plainly
            if odd and not (name in likely and name == self.asked):
                # Said as clearly as what is likely as typed, it is one of the two: `display shows 2.9`.
                tied = name in likely and said >= max(strengths[other] for other in plainly)
                weight -= _OTHER_UNIT if tied else _UNLIKELY
            # A date of something else: `hosed the cell out last week`.
            loose = figure.loose or unnamed or (figure.is_time and name not in likely)
            loose |= (
                (self._is_rated(figure) and not self._is_named(figure, name))
                or self._is_new(figure, name, value)
                or self._counts(figure)
            )
            reading = CheckReading(name, value, weight, figure.first, figure.last, name in likely, loose)
            other = self.values.other_size(figure, self.values.checks[name])
            yield reading if other is None else replace(reading, loose=True)
            if other is not None:
                yield replace(reading, value=other, weight=weight - 0.01, loose=True)

    def _is_rated(self, figure: Figure) -> bool:
        """Whether a number by its unit alone may be what a thing of its sentence is made for: `fuse ok, 13 A`."""
        clauses = self.beside.clauses
        sentence = clauses.clauses[clauses.of[figure.first]].sentence
        inside = [each for each in clauses.clauses if each.sentence == sentence]
        texts = {word.text for each in inside for word in clauses.words[each.start : each.end]}
        return not texts.isdisjoint(clauses.talk.words["rated"])

    def _is_named(self, figure: Figure, check: str) -> bool:
        """Whether more than its unit says that a number is a check's."""
        own = {*range(figure.first, figure.last + 1)}
        words = self.beside.clauses.words
        return any(
            meaning.check == check and meaning.kind == "number" and words[at].kind != "number" and at not in own
            for meaning, found in self.beside.sayings
            for at in found.places
        )

    def _is_new(self, figure: Figure, check: str, value: float) -> bool:
        """Whether a time is too short for the age of a thing: `packed up two days before`."""
        return self._unit(check) == "years" and not figure.is_time and 0 < value < convert(7, "days", "years")

    def _counts(self, figure: Figure) -> bool:
        """Whether a small number in words rather counts what is named right behind it: `two different kits`."""
        words = self.beside.clauses.words
        if figure.unit or not words[figure.first].text.isalpha() or not figure.number.isdigit():
            return False
        behind = words[figure.last + 1 : figure.last + 2]
        if not 1 < int(figure.number) < _MANY or not behind or behind[0].kind != "word":
            return False
        named = any(behind[0].key in names for names in self.named.values())
        return not named and figure.last + 1 not in self.beside.clauses.small

    def _by_unit(self, figure: Figure, check: str, said: float, likely: set[str]) -> float:
        """What a unit says for a check: much where it can be of no other."""
        if not figure.unit:
            return 0.0
        alone = likely == {check} and self._kind(check) not in _TIMES and self._is_bare(figure)
        return _ONLY_UNIT if alone else _UNIT if said > 0 else 0.0

    def _kind(self, check: str) -> str:
        return UNITS[str(self.values.checks[check].unit)].kind

    def _is_bare(self, figure: Figure) -> bool:
        """Whether hardly anything but readings is said: then a unit tells what each of them is."""
        clauses, kept = self.beside.clauses, self.beside.kept
        clause = clauses.clauses[clauses.of[figure.first]]
        inside = sum(clause.start <= each.first < clause.end for each, _ in kept)
        most = 0 if figure.unit.lower() in _UNITS_OF_ANYTHING else _MOST_BESIDE * inside
        numbers = {at for each, _ in kept for at in range(each.first, each.last + 1)}
        words = [at for at in range(clause.start, clause.end) if at not in clauses.small and at not in numbers]
        return sum(clauses.words[at].kind == "word" for at in words) <= most

    def _is_difference(self, check: str) -> bool:
        """Whether a number alone is no reading of a check, but one over or under another."""
        said = self.said.get(check)
        return said is not None and bool(said.base)
