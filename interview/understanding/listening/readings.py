"""Which check each number of a line belongs to: by what is said beside it, by its unit, by what can be."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from engine.foundation.texts import say
from engine.knowledge.model import Check
from engine.knowledge.said import SaidOf
from engine.quantities.quantity import QuantityError
from engine.quantities.units import ASK_WHICH, UNIT_NAMES, UNITS, convert
from interview.understanding.listening.clauses import Clauses
from interview.understanding.listening.figures import Figure
from interview.understanding.listening.phrase import Found
from interview.understanding.listening.phrasebook import Meaning
from interview.understanding.listening.words import ends_sentence, phrase_at
from interview.understanding.numbers import read_typed
from interview.understanding.units_typed import is_plain_degrees

_SURE = 0.6
"""From this weight on a number is taken, where no other check comes within `_MARGIN` of it: judgement."""
_MARGIN = 0.3
_FAR, _OVER_COMMA, _OVER_NUMBER = 0.1, 0.35, 0.8
_LONGER, _NEXT_ONES = 0.3, 1.2
_BEHIND = 0.15
_UNIT, _ONLY_UNIT, _UNLIKELY, _PLACED, _ASKED = 0.5, 1.0, 0.9, 0.4, 0.9

_RIVAL, _DIFFERENCE = 0.5, 9.0
_SAME = 1e-6
_WHEN = frozenset({"month", "months", "weeks", "years", "days", "day"})
_MOST_BESIDE = 2
_MOST_MEANT = 3
UNITS_OF_ANYTHING = frozenset({"%", "percent", "pct", "per cent", "por ciento"})
"""Of these nothing is said by the unit alone but where nothing else is said."""
_TIMES = frozenset({"age", "time"})
"""Kinds of which a number says nothing by its unit alone: so many hours or weeks of what?"""
_POLES = frozenset({"voltage", "current"})
"""Kinds whose sign says only how the leads of the meter were held."""
_IN_ANOTHER_UNIT = frozenset({"concentration", "temperature"})
"""Kinds of which people leave the unit away, and may mean another than the question's."""


@dataclass(frozen=True)
class CheckReading:
    """A number as a check's: its value in the check's unit, and how far that is certain."""

    check: str
    value: float
    weight: float
    first: int
    last: int
    likely: bool = True
    loose: bool = False


@dataclass
class CheckReadings:
    """The numbers of a line as readings, those that are sure and those that may be meant, by their figure."""

    sure: list[CheckReading] = field(default_factory=list)
    unsure: list[tuple[Figure, list[CheckReading]]] = field(default_factory=list)


Beside = Sequence[tuple[Meaning, Found]]


@dataclass(frozen=True)
class Numbers:
    """What is needed to read numbers: the checks with a unit, how they are said, and what is likely of each."""

    checks: Mapping[str, Check]
    said: Mapping[str, SaidOf]
    plausible: Callable[[Check], tuple[float, float]]
    asked: str = ""

    def read(self, figures: Sequence[Figure], beside: Beside, clauses: Clauses) -> CheckReadings:
        """Give each number its check.

        Args:
            figures: the numbers of the line in their order.
            beside: the sayings found that say of which check a number is, or is not.
            clauses: the parts of the line.
        """
        kept = self._last_said(figures, clauses)
        options = [(figure, self._options(figure, anchor, kept, beside, clauses)) for figure, anchor in kept]
        found = CheckReadings()
        taken: set[str] = set()
        differences = self._differences(options, beside, clauses)
        used: set[int] = set()
        for reading, first, second in differences:
            found.sure.append(reading)
            taken.add(reading.check)
            used |= {first} if first == second else set()
        left = [(figure, listed) for figure, listed in options if figure.first not in used]
        pairs = [(reading, figure, listed) for figure, listed in left for reading in listed]
        given: set[int] = set()
        for reading, figure, listed in sorted(pairs, key=lambda each: -each[0].weight):
            if figure.first in given:
                continue
            if reading.check in taken:
                self._doubt(found, reading, figure, listed)
                continue
            rivals = [other for other in listed if other.check != reading.check and other.check not in taken]
            margin = reading.weight - max((other.weight for other in rivals), default=0.0)
            given.add(figure.first)
            if reading.weight >= _SURE and margin >= _MARGIN and not reading.loose:
                found.sure.append(reading)
                taken.add(reading.check)
            else:
                same = [other for other in listed if other.check == reading.check]
                found.unsure.append((figure, [*same, *rivals][:3]))
                if reading.weight >= _SURE and margin >= _MARGIN:
                    taken.add(reading.check)
        return found

    def _doubt(
        self, found: CheckReadings, reading: CheckReading, figure: Figure, listed: Sequence[CheckReading]
    ) -> None:
        """Take back a reading where another number is the same check's as surely: it is one of the two."""
        best = max(other.weight for other in listed)
        before = next((each for each in found.sure if each.check == reading.check), None)
        if before is None or reading.weight < max(_SURE, best, before.weight - _MARGIN) or before.weight >= _DIFFERENCE:
            return
        if before.value != reading.value:
            found.sure.remove(before)
            found.unsure.append((replace(figure, first=before.first, last=before.last), [before, reading]))

    def _last_said(self, figures: Sequence[Figure], clauses: Clauses) -> list[tuple[Figure, int]]:
        """The numbers that stand, each with the place by which it is judged: that of the one that it puts right."""
        kept: list[tuple[Figure, int]] = []
        texts = [word.text for word in clauses.words]
        for figure in figures:
            said = next((k for k in range(len(kept) - 1, -1, -1) if not kept[k][0].is_time), None)
            if said is not None and not figure.is_time:
                before, anchor = kept[said]
                between = range(before.last + 1, figure.first)
                corrects = any(phrase_at(texts, at, clauses.talk.sayings["corrects"]) for at in between)
                times = {at for each, _ in kept if each.is_time for at in range(each.first, each.last + 1)}
                weighty = [at for at in between if at not in clauses.small | times and clauses.words[at].kind == "word"]
                if (corrects or self._is_now(before, figure, clauses)) and len(weighty) <= 3:
                    same = replace(figure, unit=figure.unit or before.unit)
                    kept[said] = (same, anchor)
                    continue
            kept.append((figure, figure.first))
        return kept

    def _is_when(self, figure: Figure, clauses: Clauses) -> bool:
        """Whether a figure is when something was."""
        return figure.unit in _WHEN and clauses.clauses[clauses.of[figure.first]].past

    def _is_now(self, before: Figure, figure: Figure, clauses: Clauses) -> bool:
        """Whether one number is how it was, and the next how it is: `8.0 last month, today 7.5`."""
        was, now = clauses.clauses[clauses.of[before.first]], clauses.clauses[clauses.of[figure.first]]
        return was.past and now.now and was is not now

    def _options(
        self, figure: Figure, anchor: int, kept: Sequence[tuple[Figure, int]], beside: Beside, clauses: Clauses
    ) -> list[CheckReading]:
        if figure.things:
            return []
        direct = {
            name: check for name, check in self.checks.items() if name == self.asked or not self._is_difference(name)
        }
        fitting = {name: value for name, check in direct.items() if (value := self.value_of(figure, check)) is not None}
        likely = {name for name in fitting if self._is_likely(name, fitting[name])}
        found = []
        bare = self._is_bare(figure, kept, clauses)
        strengths = {name: self._beside(name, figure, anchor, kept, beside, clauses) for name in fitting}
        # What is likely as it was typed goes before what is likely in another unit alone, and before what is not.
        said_so = {name for name in likely if strengths[name] >= _RIVAL}
        plainly = {name for name in said_so if figure.unit or self._is_as_typed(figure, fitting[name])}
        for name, value in fitting.items():
            said = weight = strengths[name]
            if figure.unit:
                alone = likely == {name} and UNITS[str(self.checks[name].unit)].kind not in _TIMES and bare
                by_unit = _ONLY_UNIT if alone else _UNIT if said > 0 else 0.0
                weight += by_unit
            if name == self.asked:
                weight += _ASKED
            if weight <= 0 or self._kept_off(name, figure, anchor, kept, beside, clauses, said):
                continue
            if name not in likely:
                weight -= _UNLIKELY if said < 1 or said_so else 0.0
            elif plainly and name not in plainly and name != self.asked:
                weight -= _UNLIKELY
            reading = CheckReading(name, value, weight, figure.first, figure.last, name in likely, figure.loose)
            found.append(reading)
            if (other := self._other_size(figure, self.checks[name])) is not None:
                found[-1] = replace(reading, loose=True)
                found.append(replace(reading, value=other, weight=weight - 0.01, loose=True))
        if not found and figure.unit and clauses.holds_only(range(figure.first, figure.last + 1)):
            kinds = {name for name in likely if UNITS[str(self.checks[name].unit)].kind not in _TIMES}
            found = [CheckReading(name, fitting[name], 0, figure.first, figure.last) for name in sorted(kinds)]
            return found if len(found) <= _MOST_MEANT else []
        return sorted(found, key=lambda each: -each.weight)

    def _is_bare(self, figure: Figure, kept: Sequence[tuple[Figure, int]], clauses: Clauses) -> bool:
        """Whether hardly anything but readings is said: then a unit tells what each of them is."""
        clause = clauses.clauses[clauses.of[figure.first]]
        most = _MOST_BESIDE * sum(clause.start <= each.first < clause.end for each, _ in kept)
        if UNITS_OF_ANYTHING & {figure.unit.lower()}:
            most = 0
        numbers = {at for each, _ in kept for at in range(each.first, each.last + 1)}
        words = [at for at in range(clause.start, clause.end) if at not in clauses.small and at not in numbers]
        return sum(clauses.words[at].kind == "word" for at in words) <= most

    def _is_difference(self, check: str) -> bool:
        """Whether a number alone is no reading of a check, but one over or under another."""
        said = self.said.get(check)
        return said is not None and bool(said.base)

    def _beside(
        self,
        check: str,
        figure: Figure,
        anchor: int,
        kept: Sequence[tuple[Figure, int]],
        beside: Beside,
        clauses: Clauses,
        kind: str = "number",
    ) -> float:
        """How strongly what is said beside a number says that it is this check's."""
        best = 0.0
        pairs = (found for meaning, found in beside if meaning.check != check and meaning.kind == "number")
        named = [found.words for found in pairs if found.places[-1] - found.places[0] == len(found.places) - 1]
        named = [places for places in named if all(clauses.words[at].kind == "word" for at in places)]
        for meaning, found in beside:
            if meaning.check == check and meaning.kind == kind:
                words = {at for at in found.places if clauses.words[at].kind != "number"}
                if kind == "number" and len(words) == 1 and any(words < others for others in named):
                    # The `test` of a `salt test` is of no other thing.
                    continue
                best = max(best, self._strength(found, figure, anchor, kept, clauses))
        return best

    def _strength(
        self, found: Found, figure: Figure, anchor: int, kept: Sequence[tuple[Figure, int]], clauses: Clauses
    ) -> float:
        own = range(figure.first, figure.last + 1)
        placed = [at for at in found.places if clauses.words[at].kind == "number"]
        if placed and not set(placed) & {*own, anchor}:
            return 0.0
        near = min((at for at in found.places if at not in own), key=lambda at: abs(at - anchor), default=anchor)
        low, high = sorted((near, anchor))
        between = [at for at in range(low + 1, high) if at not in own and at not in found.places]
        if any(ends_sentence(clauses.words[at]) for at in between):
            return 0.0
        commas = sum(
            clauses.words[at].kind == "mark" or clauses.words[at].text in clauses.talk.parting for at in between
        )
        words = sum(clauses.words[at].kind == "word" and at not in clauses.small for at in between)
        numbers = sum(any(other.first == at for other, _ in kept) for at in between)
        strength = 0.8 * (1 + _LONGER * (found.weight - 1)) + (_PLACED if placed else 0.0)
        # A saying over another number is rather of that one, and so is a name right behind it: `3.0 free, 3.1 total`.
        numbered = {at for other, _ in kept for at in (other.first,) if at not in own and at not in found.places}
        if placed and numbered & set(range(min(found.places), max(found.places))):
            return 0.0
        marks = [at for at in range(min(found.places), anchor) if clauses.words[at].kind == "mark"]
        names = [at for at in found.places if at > 0 and not {at, at - 1} & {*own}]
        if any(clauses.words[at - 1].kind == "number" and at < mark for at in names for mark in marks):
            return 0.0
        # `free 1.4`, and not `2.0 free`, where both can be read; what follows behind a comma is mostly of the next one.
        last = max(found.places)
        if figure.last < last < len(clauses.words) - 1 and clauses.words[last + 1].kind == "number":
            # `ph 7.4 cya 45`: the name behind a number belongs to the next one.
            strength -= _NEXT_ONES
        behind = _BEHIND * (1 + 2 * (commas > 0) + 2 * (found.weight <= 1)) if near > anchor else 0.0
        return strength - behind - _FAR * words - _OVER_COMMA * commas - _OVER_NUMBER * numbers

    def _kept_off(
        self,
        check: str,
        figure: Figure,
        anchor: int,
        kept: Sequence[tuple[Figure, int]],
        beside: Beside,
        clauses: Clauses,
        said: float,
    ) -> bool:
        """Whether something said beside a number says that it is none of this check's."""
        never = self._beside(check, figure, anchor, kept, beside, clauses, "never")
        return never > 0 and never >= said - 0.1

    def _differences(
        self, options: Sequence[tuple[Figure, list[CheckReading]]], beside: Beside, clauses: Clauses
    ) -> list[tuple[CheckReading, int, int]]:
        """CheckReadings that are what one number is over another: each with the places of both."""
        found = []
        kept = [(figure, figure.first) for figure, _ in options]
        for name, said in self.said.items():
            if name not in self.checks or not (said.base or said.over or said.under):
                continue
            check = self.checks[name]
            sized = [(figure, self.value_of(figure, check, signed=True)) for figure, _ in options]
            near = {
                kind: [
                    self._beside(name, figure, figure.first, kept, beside, clauses, kind) if value is not None else 0.0
                    for figure, value in sized
                ]
                for kind in ("number", "base", "over", "under")
            }
            single = max(range(len(sized)), key=lambda k: max(near["over"][k], near["under"][k]), default=None)
            if single is not None and max(near["over"][single], near["under"][single]) >= 0.7:
                figure, value = sized[single]
                assert value is not None
                below = near["under"][single] > near["over"][single]
                reading = CheckReading(name, -value if below else value, _DIFFERENCE, figure.first, figure.last)
                found.append((reading, figure.first, figure.first))
                continue
            base = max(range(len(sized)), key=lambda k: near["base"][k], default=None)
            if base is None or near["base"][base] < 0.5:
                continue
            others = [k for k in range(len(sized)) if k != base and sized[k][1] is not None]
            now = max(others, key=lambda k: near["number"][k] - 0.2 * abs(k - base), default=None)
            if now is None or max(near["number"][now], near["number"][base]) < 0.3:
                continue
            unit = sized[now][0].unit or sized[base][0].unit
            if unit:
                sized = [(f, self.value_of(replace(f, unit=f.unit or unit), check, signed=True)) for f, _ in sized]
            first, second = sized[now], sized[base]
            if first[1] is None or second[1] is None:
                continue
            places = sorted((first[0].first, second[0].first))
            reading = CheckReading(
                name, first[1] - second[1], _DIFFERENCE, places[0], max(first[0].last, second[0].last)
            )
            found.append((reading, first[0].first, second[0].first))
        return found

    def value_of(self, figure: Figure, check: Check, signed: bool = False) -> float | None:
        """The number in a check's unit; None where it can be none of this check's."""
        assert check.unit is not None
        assert check.possible is not None
        if is_plain_degrees(figure.unit) and UNITS[check.unit].kind == "temperature":
            # `25 degrees`, and nothing of whose: as a bare number.
            figure = replace(figure, unit="")
        try:
            value = read_typed(figure.typed, check.unit, "", check.possible).value
        except QuantityError:
            return next(iter(self._sized(figure, check)), None)
        low, high = check.possible
        if UNITS[check.unit].kind in _POLES:
            value = abs(value)
        if not signed and not figure.unit and not self._is_likely(check.id, value):
            value = self._in_another_unit(value, check)
        return value if signed or low <= value <= high else None

    def _in_another_unit(self, bare: float, check: Check) -> float:
        """A bare number that is not likely, in the one other unit in which it is: `2.7` of salt is g/L."""
        assert check.unit is not None
        low, high = self.plausible(check)
        likely = set()
        for unit in UNIT_NAMES if UNITS[check.unit].kind in _IN_ANOTHER_UNIT else ():
            if unit != check.unit:
                try:
                    value = convert(bare, unit, check.unit)
                except ValueError:
                    continue
                if low <= value <= high and value > 0:
                    likely.add(round(value, 6))
        return likely.pop() if len(likely) == 1 else bare

    def _is_as_typed(self, figure: Figure, value: float) -> bool:
        """Whether a bare number is in the unit of the question, and not in another."""
        for sign in ("", "."):
            try:
                if abs(float(figure.number.replace(",", sign)) - value) < _SAME:
                    return True
            except ValueError:
                continue
        return False

    def _other_size(self, figure: Figure, check: Check) -> float | None:
        """The other value of a unit of two sizes, as gallons are, where both are likely."""
        sizes = self._sized(figure, check)
        return sizes[1] if len(sizes) > 1 else None

    def _sized(self, figure: Figure, check: Check) -> list[float]:
        """The values of a figure whose unit has two sizes: those that are likely, else none."""
        found = []
        for unit in ASK_WHICH.get(figure.unit.lower(), ())[:2]:
            try:
                value = read_typed(f"{figure.number} {unit}", str(check.unit), "", check.possible).value
            except QuantityError:
                continue
            if self._is_likely(check.id, value):
                found.append(value)
        return found

    def _is_likely(self, check: str, value: float) -> bool:
        low, high = self.plausible(self.checks[check])
        return value == 0 or low <= value <= high


def doubt_of(reading: CheckReading) -> str:
    """What is said of a number that is hardly meant."""
    return say("answering.again") if not reading.likely else ""
