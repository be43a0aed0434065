"""Why a call came out as it did: the share, each answer, and what was not asked that would have told."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from engine.evaluation.scoring import Score
from engine.findings.evidence import Observation, evidence
from engine.inference.belief import Array, Evidence, Hypothesis, TreeModel, likelihood, posterior
from engine.knowledge.model import DANGER_CHECK, SOMETHING_ELSE, Check, Knowledge, Need
from engine.proving.numbers import Number, behind, share_of
from engine.session.availability import asked_checks, makes_sense, open_checks
from engine.session.session import Session
from engine.strategy.costs import chance_to_say

WhyNot = Literal["pointless", "needs", "never_known", "barred", "limit", "cost", "danger"]
SHARE = "share"
"""Stands where an answer's check stands, for what is known before any answer."""
TELLS_DB, DECIDES_DB = 0.5, 3.0
"""What moves the odds by less than the first is not named; a check that is not asked is named from the second on."""
_TINY = 1e-300


@dataclass(frozen=True)
class Spoken:
    """What speaks for one hypothesis against another: the share or an answer, in decibans, and the numbers behind it.

    `answer` is what was found: an answer's id, a number in the check's unit, of a derived finding its likeliest band.
    `number` is that of the first hypothesis, `against` that of the other.
    """

    about: str
    answer: str
    decibans: float
    number: Number
    against: Number


@dataclass(frozen=True)
class Unasked:
    """A check that nobody answered and that would tell: its fact in the call (empty where it has none) and why not.

    `decibans`: how much it speaks for what is true, with this fact, else on average. `after` is how likely the true
    hypothesis would be with this fact; None where the call does not know it. `needs` is what the check takes, `chance`
    how often such a person can say; `minutes` and `gain` are what it costs and saves now, 0 where it cannot be asked.
    """

    check: str
    answer: str
    why: WhyNot
    decibans: float
    after: float | None
    needs: Need
    chance: float
    minutes: float = 0.0
    gain: float = 0.0


@dataclass(frozen=True)
class Because:
    """Why the first hypothesis and not the true one.

    `true` is None where this tree has no such hypothesis. `spoken` is what speaks for the one named, the most first;
    together it is all that lies between the two. `unasked` would have spoken for the true one, the most first.
    """

    named: Hypothesis
    true: Hypothesis | None
    believed: float
    spoken: tuple[Spoken, ...]
    unasked: tuple[Unasked, ...]

    @property
    def misled(self) -> tuple[Spoken, ...]:
        """What speaks for the one named by enough to be told."""
        return tuple(one for one in self.spoken if one.decibans > TELLS_DB)


def because(item: Score) -> Because | None:
    """Why a call came out otherwise than it was; None where it came out as it was, or the call does not say."""
    if item.call.causes is None or item.exact:
        return None
    session, model = item.run.session, item.run.session.model
    place = place_of(model, item.call.causes)
    named = place_of(model, item.named)
    assert named is not None
    if place is None:
        return Because(item.named, None, 0.0, (), ())
    unasked = tuple(_unasked(item, place, named)) if session.job.danger is None else ()
    return Because(
        item.named, model.hypotheses[place], float(session.belief[place]), between(session, named, place), unasked
    )


def place_of(model: TreeModel, causes: Sequence[str]) -> int | None:
    """Where a hypothesis stands in a tree's model, whatever the order of its causes; None where it has none such."""
    return next((k for k, h in enumerate(model.hypotheses) if set(h) == set(causes)), None)


def between(session: Session, one: int, other: int) -> tuple[Spoken, ...]:
    """What speaks for one hypothesis against another by their places, the most first; it adds up to their odds.

    Source: the weight of evidence is the logarithm of the likelihood ratio; Good, Probability and the Weighing of
    Evidence, 1950 (from memory).
    """
    model, tree, known = session.model, session.tree, session.knowledge
    first, second = model.hypotheses[one], model.hypotheses[other]
    found = [
        Spoken(
            SHARE, "", _decibans(model.prior, one, other),
            share_of(tree, first, SOMETHING_ELSE), share_of(tree, second, SOMETHING_ELSE),
        )
    ]  # fmt: skip
    for speaking in session.evidence:
        answer = band_of(known, speaking)
        numbers = (_behind(session, h, speaking.id, answer) for h in (first, second))
        decibans = _decibans(likelihood(model, speaking), one, other)
        found.append(Spoken(speaking.id, said_by(session, speaking), decibans, *numbers))
    return tuple(sorted(found, key=lambda each: -each.decibans))


def band_of(knowledge: Knowledge, found: Evidence) -> str:
    """The answer that a finding fits best, by its id."""
    answers = knowledge.observable(found.id).answers
    return answers[int(np.argmax(found.weights))].id


def said_by(session: Session, found: Evidence) -> str:
    """What was found, as it was said: an answer's id or a number; of a derived finding the band that it fits best."""
    reading = session.job.readings.get(found.id)
    if reading is None:
        return band_of(session.knowledge, found)
    return reading.value if isinstance(reading.value, str) else f"{reading.value:g}"


def _behind(session: Session, hypothesis: Hypothesis, item: str, answer: str) -> Number:
    """The number that says how often a hypothesis gives an answer: that of its cause which says most often."""
    numbers = [behind(session.knowledge, session.tree, cause, item, answer) for cause in hypothesis or (None,)]
    return next((number for number in numbers if number.kind in ("tree", "cause")), numbers[0])


def _decibans(shares: Array, one: int, other: int) -> float:
    return 10.0 * math.log10(max(float(shares[one]), _TINY) / max(float(shares[other]), _TINY))


def _unasked(item: Score, true: int, named: int, least: float = DECIDES_DB) -> list[Unasked]:
    """The checks without an answer that would have told the true hypothesis from the one named."""
    session = item.run.session
    worth = {found.check: found for found in session.appraise("settle")}
    found = []
    for check in asked_checks(session.knowledge):
        if check.id == DANGER_CHECK or check.id in session.job.answers:
            continue
        fact = item.call.facts.get(check.id)
        if fact is None and check.id in session.job.unknown:
            continue
        after = None if fact is None else _with_fact(session, check.id, fact)
        decibans = (
            _expected(session.model, check, true, named)
            if after is None
            else _decibans(after, true, named) - _decibans(session.belief, true, named)
        )
        if decibans < least:
            continue
        appraisal = worth.get(check.id)
        found.append(
            Unasked(
                check.id,
                "" if fact is None else fact if isinstance(fact, str) else f"{fact:g}",
                why_not(session, check),
                decibans,
                None if after is None else float(after[true]),
                check.needs,
                chance_to_say(check, session.role, session.job.brought),
                *((appraisal.minutes, appraisal.gain) if appraisal is not None else ()),
            )
        )
    return sorted(found, key=lambda each: (each.after is None, -each.decibans))


def untold_facts(item: Score, one: int, other: int) -> list[Unasked]:
    """All that a call knows and nobody asked, with what it would speak for one hypothesis against another."""
    return [found for found in _unasked(item, one, other, -math.inf) if found.after is not None]


def _with_fact(session: Session, check: str, fact: str | float) -> Array:
    """The belief with one more answer."""
    readings = {**session.job.readings, check: Observation(fact)}
    return posterior(session.model, evidence(session.knowledge, session.unit, readings))


def _expected(model: TreeModel, check: Check, true: int, named: int) -> float:
    """What a check tells on average for the true hypothesis against the one named, in decibans; Kullback, Leibler."""
    table = model.tables[check.id]
    rows = list(model.given.get(check.id, range(len(table))))
    one, other = (np.maximum(table[rows, k], 1e-12) for k in (true, named))
    one, other = one / one.sum(), other / other.sum()
    return float(10.0 / math.log(10.0) * (one * np.log(one / other)).sum())


def why_not(session: Session, check: Check) -> WhyNot:
    """Why a check that nobody answered was not asked in a job that is at its end."""
    knowledge, job, role = session.knowledge, session.job, session.role
    if not makes_sense(knowledge, job, check):
        return "pointless"
    if check.needs not in role.can_use and not (role.id == "counter" and check.brought in job.brought):
        return "needs"
    if chance_to_say(check, role, job.brought) == 0.0:
        return "never_known"
    if job.made_safe or job.but_for_danger:
        return "danger"
    if check.id not in open_checks(knowledge, job):
        return "barred"
    return "limit" if len(job.asked) >= role.limit else "cost"
