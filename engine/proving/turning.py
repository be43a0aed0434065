"""The smallest change of one number that would turn a call, and what else it would turn."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from engine.evaluation.calls import WorkedCall
from engine.evaluation.scoring import Score, score
from engine.inference.belief import Array, Hypothesis, posterior
from engine.inference.compiling import compile_tree
from engine.knowledge.model import SOMETHING_ELSE, Knowledge, frozen
from engine.proving.numbers import LIKELIER, SHARE, Number, behind, numbers_of, share_of, with_number
from engine.proving.reasons import band_of
from engine.proving.touch import touched
from engine.session.models import Models
from engine.session.session import Session

MOST_TRIED = 6
"""So many changes are tried by a whole run, the smallest first; the answers may be others then."""
_LEADING = 6
"""The numbers of so many hypotheses are looked at, the most probable first."""
_LEAST_SHARE, _MOST_SHARE = 0.001, 0.98
_LEAST_FACTOR, _MOST_FACTOR = 0.02, 50.0
_HALVINGS = 12


@dataclass(frozen=True)
class Turn:
    """One number, as it stands and as it would turn the call (shares of 1), and what stands first then.

    `decibans` is how far the number moves: its odds, or of a factor the factor itself. `confirmed`: a whole run with
    it comes out so; else it holds for the answers of the run as it is.
    """

    number: Number
    now: float
    then: float
    decibans: float
    first: Hypothesis
    confirmed: bool


@dataclass(frozen=True)
class AlsoTurned:
    """What a change does to the other calls: how many it can touch, and the names of those it turns wrong and right."""

    touched: int
    wrong: tuple[str, ...]
    right: tuple[str, ...]


def smallest_turn(models: Models, item: Score) -> Turn | None:
    """The smallest change of one number that turns a call: right where it is wrong, and wrong where it is right.

    What must add up to 1 gives way in proportion. None where no number within its range turns it alone.
    """
    assert item.call.causes is not None
    turns = sorted(turns_of(models.knowledge, item), key=lambda turn: abs(turn.decibans))
    for turn in turns[:MOST_TRIED]:
        changed = Models(with_number(models.knowledge, turn.number, turn.then))
        again = score(changed, item.call)
        if again.first is not item.first:
            return replace(turn, first=again.named, confirmed=True)
    return turns[0] if turns else None


def turns_of(knowledge: Knowledge, item: Score) -> Iterator[Turn]:
    """For each number that the call meets, its least change that turns the call as it was answered."""
    session = item.run.session
    believed = _believer(knowledge, session)
    true = set(item.call.causes or ())

    def is_first(belief: Array) -> bool:
        best = set(session.model.hypotheses[int(np.argmax(belief))])
        return best <= true and bool(best) == bool(true)

    stands = numbers_of(knowledge)
    for number in _met(knowledge, session, true):
        now = stands[number]
        turns = partial(_turned, is_first, believed, number, bool(item.first))
        found = [then for end in _ends(number, now) if (then := _least(turns, number, now, end)) is not None]
        if found:
            then = min(found, key=lambda value: abs(moved(number, now, value)))
            first = session.model.hypotheses[int(np.argmax(believed(number, then)))]
            yield Turn(number, now, then, moved(number, now, then), first, False)


def _turned(
    is_first: Callable[[Array], bool],
    believed: Callable[[Number, float], Array],
    number: Number,
    was_first: bool,
    value: float,
) -> bool:
    """Whether the call is turned where a number has this value."""
    return is_first(believed(number, value)) is not was_first


def beside(models: Models, turn: Turn, item: Score, calls: Sequence[Score]) -> AlsoTurned:
    """What the change that turns one call does to others, as they were scored before it."""
    changed = Models(with_number(models.knowledge, turn.number, turn.then))
    may = touched(models.knowledge, changed.knowledge)
    near = [other for other in calls if other.call != item.call and other.first is not None and may(other.call)]
    after = [(other, score(changed, other.call).first) for other in near]
    return AlsoTurned(
        len(near),
        tuple(other.call.name for other, first in after if other.first and not first),
        tuple(other.call.name for other, first in after if first and not other.first),
    )


def may_be_touched(knowledge: Knowledge, turn: Turn) -> Callable[[WorkedCall], bool]:
    """Whether a change can touch a call."""
    return touched(knowledge, with_number(knowledge, turn.number, turn.then))


def moved(number: Number, now: float, then: float) -> float:
    """How far a number moves, in decibans: its odds, or of a factor the factor itself."""
    if number.path[0] == LIKELIER:
        return 10.0 * math.log10(then / max(now, 1e-9))
    return 10.0 * (_log_odds(then) - _log_odds(now))


def _log_odds(share: float) -> float:
    kept = min(max(share, 1e-6), 1.0 - 1e-6)
    return math.log10(kept / (1.0 - kept))


def _believer(knowledge: Knowledge, session: Session) -> Callable[[Number, float], Array]:
    """The belief with the call's answers once a number has another value; only what was answered is compiled."""
    spoken = {found.id for found in session.evidence}
    kept = spoken | {*session.tree.given}
    small = replace(
        knowledge,
        checks=frozen({name: check for name, check in knowledge.checks.items() if name in kept}),
        findings=frozen({name: finding for name, finding in knowledge.findings.items() if name in spoken}),
    )

    def believed(number: Number, value: float) -> Array:
        changed = with_number(small, number, value)
        return posterior(compile_tree(changed, changed.trees[session.tree.id]), session.evidence)

    return believed


def _met(knowledge: Knowledge, session: Session, true: set[str]) -> list[Number]:
    """The numbers that the leading hypotheses and the true one have of this call, each once."""
    order = np.argsort(-session.belief)[:_LEADING]
    leading = [session.model.hypotheses[int(k)] for k in order]
    leading += [h for h in session.model.hypotheses if set(h) == true and h not in leading]
    stands, found = numbers_of(knowledge), dict[Number, None]()
    for hypothesis in leading:
        found[share_of(session.tree, hypothesis, SOMETHING_ELSE)] = None
        for speaking in session.evidence:
            answer = band_of(knowledge, speaking)
            for cause in hypothesis or (None,):
                number = behind(knowledge, session.tree, cause, speaking.id, answer)
                line = [number] if number in stands else [one for one in stands if _in_line(one, number)]
                found.update(dict.fromkeys(line))
                if cause is not None and answer in knowledge.causes[cause].likelier.get(speaking.id, {}):
                    found[Number("cause", cause, (LIKELIER, speaking.id, answer))] = None
    return [number for number in found if number in stands]


def _in_line(one: Number, number: Number) -> bool:
    return (one.kind, one.entry, one.path[:-1]) == (number.kind, number.entry, number.path[:-1])


def _ends(number: Number, now: float) -> tuple[float, ...]:
    """How far down and up a number may go."""
    low, high = (_LEAST_FACTOR, _MOST_FACTOR) if number.path[0] == LIKELIER else (_LEAST_SHARE, _MOST_SHARE)
    return (*((low,) if now > low else ()), *((high,) if now < high else ()))


def _least(turns: Callable[[float], bool], number: Number, now: float, end: float) -> float | None:
    """The value nearest to the present one at which the call turns, in few figures; None where the end does not."""
    if not turns(end):
        return None
    there, back = (_exponent, _power) if number.path[0] in (LIKELIER, SHARE) else (_log_odds, _share)
    near, far = there(max(now, 1e-6)), there(end)
    for _ in range(_HALVINGS):
        middle = (near + far) / 2
        near, far = (near, middle) if turns(back(middle)) else (middle, far)
    exact = back(far)
    for digits in (2, 3):
        rounded = _rounded(exact, digits, up=end > now)
        if 0.0 < rounded < (1.0 if end <= 1.0 else math.inf) and turns(rounded):
            return rounded
    return exact


def _exponent(value: float) -> float:
    return math.log10(value)


def _power(exponent: float) -> float:
    return float(10.0**exponent)


def _share(log_odds: float) -> float:
    return 1.0 / (1.0 + _power(-log_odds))


def _rounded(value: float, digits: int, up: bool) -> float:
    """A value in so many figures, away from where it came from."""
    step = 10.0 ** (math.floor(math.log10(value)) - digits + 1)
    return round((math.ceil if up else math.floor)(value / step) * step, 12)
