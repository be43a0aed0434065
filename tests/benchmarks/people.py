"""Drawn pools with the people who read them: what a pool truly shows, and what is said of it, with slips."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from engine.findings.evidence import Observation
from engine.inference.belief import Hypothesis
from engine.knowledge.model import DANGER_CHECK, Check, RoleId
from engine.knowledge.required import DEFAULT_UNIT
from engine.session.availability import asked_checks
from engine.strategy import Situation
from engine.strategy.costs import chance_to_say
from engine.strategy.options import points, shown
from tests.shipped import models

SAME_AGAIN = float(os.environ.get("PRHO", "0.3"))
"""So often whoever is asked to read again says what was said before, without a look: assumed."""


@dataclass(frozen=True)
class Call:
    """One drawn call: who asks behind which complaint, and what is wrong, by the hypothesis' place."""

    tree: str
    role: RoleId
    number: int
    seed: int
    place: int

    @property
    def brought(self) -> tuple[str, ...]:
        """A counter is brought a bottle of water."""
        return ("water_sample",) if self.role == "counter" else ()


@dataclass(frozen=True)
class Reading:
    """How people read: the share of answers in whose place another is given, and instruments' errors.

    `error` is the standard deviation of a number as often as is declared; a drawn reading has the declared one already.
    """

    slips: float = 0.0
    error: float = 1.0


def drawn(tree: str, role: RoleId, number: int, seed: int) -> Call:
    """One call by its number, by the shares of its tree."""
    prior = models().tree(tree).prior
    return Call(tree, role, number, seed, int(_rng(seed, number, tree, role, "fault").choice(len(prior), p=prior)))


def _rng(*key: int | str) -> np.random.Generator:
    numbers = [part if isinstance(part, int) else int.from_bytes(part.encode(), "big") % 2**63 for part in key]
    return np.random.default_rng(numbers)


@lru_cache(maxsize=64)
def _shows(call: Call) -> dict[str, str | float]:
    """What every check truly shows at this pool, each drawn given those before it: readings of one finding agree."""
    said: dict[str, str | float] = {}
    for check in asked_checks(models().knowledge):
        if check.id != DANGER_CHECK:
            said[check.id] = _draw(call, check, said)
    return said


def _draw(call: Call, check: Check, said: dict[str, str | float]) -> str | float:
    known, model = models().knowledge, models().tree(call.tree)
    unit = known.units[DEFAULT_UNIT]
    planner = models().planner(call.tree, known.roles[call.role], unit, ())
    readings = {name: Observation(value) for name, value in said.items()}
    situation = Situation(known.roles[call.role], "running", (), readings, call.brought)
    chances = planner.outcomes(check, situation)[:, call.place]
    rng = _rng(call.seed, call.number, call.tree, call.role, check.id, "shows")
    row = int(rng.choice(len(chances), p=chances / chances.sum()))
    answer = shown(model, check, len(chances))[row]
    if not check.is_number:
        return answer
    spots = points(check, unit)
    if len(chances) == len(spots):
        return spots[row]
    # Where no finding is completed a row is a band, for which two readings stand.
    bands = [band.id for band in check.bands for _ in range(2)]
    return spots[bands.index(answer) + int(rng.integers(2))]


class Person:
    """Whoever stands at a drawn pool: says what it shows as often as such a person can, with slips."""

    def __init__(self, call: Call, reading: Reading) -> None:
        """Begin a call. Args: how well this person reads."""
        self.call, self.reading = call, reading
        self.slipped: dict[str, str | float] = {}
        """What was said otherwise than it is, and is not set right yet."""
        self._times: dict[str, int] = {}
        self._said: dict[str, str | float] = {}

    def truth(self, check: str) -> str | float:
        """What the pool shows."""
        return _shows(self.call)[check]

    def says(self, name: str) -> str | float | None:
        """What is said when a check is asked, once more or for the first time; None for don't know."""
        call, check = self.call, models().knowledge.checks[name]
        role = models().knowledge.roles[call.role]
        if _rng(call.seed, call.number, call.tree, call.role, name, "knows").random() >= chance_to_say(
            check, role, call.brought
        ):
            return None
        nth = self._times[name] = self._times.get(name, 0) + 1
        rng = _rng(call.seed, call.number, call.tree, call.role, name, "says", nth)
        if nth > 1 and rng.random() < SAME_AGAIN:
            return self._said[name]
        value = self._read(check, rng)
        self._said[name] = value
        self.slipped.pop(name, None)
        if self._answer(check, value) != self._answer(check, self.truth(name)):
            self.slipped[name] = value
        return value

    def _read(self, check: Check, rng: np.random.Generator) -> str | float:
        true = self.truth(check.id)
        slips, which, noise = rng.random() < self.reading.slips, rng.random(), rng.normal()
        if slips:
            now = self._answer(check, true)
            others = [value for value in self._possible(check) if self._answer(check, value) != now]
            return others[int(which * len(others))] if others else true
        if check.is_number and self.reading.error > 1.0:
            assert check.error is not None
            assert check.possible is not None
            sd = check.error.of(float(true)) * float(np.sqrt(self.reading.error**2 - 1.0))
            return float(np.clip(float(true) + sd * noise, *check.possible))
        return true

    def _possible(self, check: Check) -> list[str | float]:
        if check.is_number:
            return [*points(check, models().knowledge.units[DEFAULT_UNIT])]
        given = models().tree(self.call.tree).given.get(check.id)
        ids = [answer.id for answer in check.answers]
        return [*ids] if given is None else [ids[k] for k in given]

    def _answer(self, check: Check, value: str | float) -> str:
        return answer_for(check, value)


def answer_for(check: Check, value: str | float) -> str:
    """The answer that a value is; of a number, the band in which it lies."""
    if isinstance(value, str):
        return value
    unit = models().knowledge.units[DEFAULT_UNIT]
    return next(band.id for band in check.bands if band.under is None or value < band.under.value(unit))


class Fault:
    """What is wrong at a drawn pool, as repairs change it."""

    def __init__(self, call: Call) -> None:
        """Begin with the fault that was drawn."""
        self.call = call
        self.causes: Hypothesis = models().tree(call.tree).hypotheses[call.place]
        self.unknown = not self.causes

    def cured_by(self, repair: str) -> bool:
        """Carry a repair out: which of the causes go is drawn, the same whoever tries; whether the plant works then."""
        cures = models().knowledge.repairs[repair].cures
        call = self.call
        left = tuple(
            cause
            for cause in self.causes
            if _rng(call.seed, call.number, call.tree, call.role, repair, cause, "cured").random()
            >= cures.get(cause, 0.0)
        )
        undone = models().knowledge.repairs[repair].swap_back is not None
        if self.unknown or (left and undone):
            return False
        self.causes = left
        return not left

    def place(self) -> int:
        """The place of the hypothesis that is left."""
        hypotheses = models().tree(self.call.tree).hypotheses
        return hypotheses.index(self.causes) if self.causes in hypotheses else hypotheses.index(())
