"""Which worked calls are tried again after a save, in what order, and how the edit moves what they name first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engine.evaluation.calls import WorkedCall
from engine.evaluation.simulate import run_call
from engine.knowledge.model import Knowledge
from engine.proving.touch import bare, touched
from engine.session.models import Models

LEAST_MOVED = 0.01
"""A share that moves by less is not told: judgement."""


@dataclass(frozen=True)
class FirstMoved:
    """A call that an edit moves: its first cause or causes with their share, before and after; () for none listed."""

    call: str
    before: tuple[tuple[str, ...], float]
    after: tuple[tuple[str, ...], float]


def touched_calls(calls: Sequence[WorkedCall], old: Knowledge, new: Knowledge) -> list[WorkedCall]:
    """The calls that an edit may move, those first that turned out to be a cause that it changed."""
    causes = {name for name, cause in new.causes.items() if bare(old.causes.get(name)) != bare(cause)}
    may_move = touched(old, new)
    return sorted(filter(may_move, calls), key=lambda call: causes.isdisjoint(call.causes or ()))


def first_moved(call: WorkedCall, before: Models, after: Models) -> FirstMoved | None:
    """How a call is moved from one knowledge to another; None where it is not, or the former one cannot hold it."""
    if call.complaint not in before.knowledge.trees or not call.facts.keys() <= before.knowledge.checks.keys():
        return None
    first, second = (run_call(models, call).session.hypotheses()[0] for models in (before, after))
    if first[0] == second[0] and abs(first[1] - second[1]) < LEAST_MOVED:
        return None
    return FirstMoved(call.name, (first[0], first[1]), (second[0], second[1]))
