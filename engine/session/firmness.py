"""How firm a decision is: the chance that it stands once all else is answered, and the answer on which it turns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from engine.findings.evidence import telling
from engine.inference.belief import Array, Indices
from engine.knowledge.model import Plant
from engine.session.availability import open_checks
from engine.session.believed import BelievedJob
from engine.session.keeping_off import kept_off_by
from engine.strategy import Situation
from engine.strategy.acting import first_on
from engine.strategy.decision import Look
from engine.strategy.options import PLANTS, shown, single_looks

DRAWN = 400
"""So many ways in which all else may be answered are drawn, the same each time: a share is right to some .02."""
OF_NOTE = 0.03
"""An answer that is less likely than this is not named as the one on which a decision turns."""


@dataclass(frozen=True)
class TurningAnswer:
    """An answer that would change the decision: how likely it is, and the repair then; None is handing on unknown."""

    check: str
    answer: str
    probability: float
    repair: str | None


@dataclass(frozen=True)
class Firmness:
    """P(the decision stays the same when this person has answered all else that they can say), and what it turns on."""

    stands: float
    turns: TurningAnswer | None


def firmness(asked: BelievedJob, repair: str | None) -> Firmness | None:
    """How firm it is to set this repair going, or with None to hand on unknown.

    None where the belief does not decide: in danger, and where something keeps the plant off.

    Source: same-decision probability, Chen, Choi and Darwiche 2014 (from memory), here drawn and not summed; answers
    are taken as independent given the fault, as everywhere before a finding is worked out from several.
    """
    if asked.job.danger is not None or kept_off_by(asked.knowledge, asked.job):
        return None
    known, job = asked.knowledge, asked.job
    plant: Plant = "running" if job.plant == "running" else "isolated"
    situation = Situation(asked.role, plant, open_checks(known, job), telling(known, job.readings), job.brought)
    looks = single_looks(known, situation, asked.planner.outcomes)
    model, at = asked.planner.decision, PLANTS.index(plant)
    decided = model.repairs.index(repair) if repair in model.repairs else len(model.repairs)
    if int(first_on(model, asked.belief[None, :], at)[0]) != decided:
        # Something else than the belief decided: the tree's written end, or what lies at the counter.
        return None
    after = first_on(model, all_answered(asked.belief, looks), at)
    return Firmness(float((after == decided).mean()), _turn(asked, looks, decided, at))


def all_answered(belief: Array, looks: Sequence[Look], drawn: int = DRAWN) -> Array:
    """Beliefs once all looks were taken that can be said, drawn by the belief; shape (drawn, hypotheses)."""
    rng = np.random.default_rng(1)
    true: Indices = rng.choice(len(belief), size=drawn, p=belief / belief.sum())
    likelihoods = np.concatenate([belief[None, :], *(look.outcomes for look in looks)])
    # Which rows of these each draw multiplies: the belief itself, and of each look that is told the one it shows.
    taken, first = np.zeros((drawn, len(likelihoods))), 1
    taken[:, 0] = 1.0
    for look in looks:
        below = np.cumsum(look.outcomes, axis=0)[:, true]
        shown_row = (rng.random(drawn) * below[-1] > below).sum(axis=0)
        says = rng.random(drawn) < look.chance
        taken[says, first + shown_row[says]] = 1.0
        first += len(look.outcomes)
    logs = taken @ np.log(np.maximum(likelihoods, 1e-300))
    raised = np.exp(logs - logs.max(axis=1, keepdims=True))
    return np.asarray(raised / raised.sum(axis=1, keepdims=True))


def _turn(asked: BelievedJob, looks: list[Look], decided: int, plant: int) -> TurningAnswer | None:
    """The one answer that is likeliest to change the decision by itself."""
    model, answers = asked.planner.decision, [each for look in looks for each in _answers(asked, look)]
    if not answers:
        return None
    then = first_on(model, np.array([together for _, _, together in answers]), plant)
    best = None
    for (look, answer, together), first in zip(answers, then, strict=True):
        chance = look.chance * float(together.sum())
        if first != decided and chance >= OF_NOTE and (best is None or chance > best.probability):
            best = TurningAnswer(look.id, answer, chance, model.repairs[first] if first < len(model.repairs) else None)
    return best


def _answers(asked: BelievedJob, look: Look) -> Iterator[tuple[Look, str, Array]]:
    """Each answer that a look may come out with, and the belief together with it, which sums to its chance."""
    joint: dict[str, Array] = {}
    answers = shown(asked.model, asked.knowledge.checks[look.id], len(look.outcomes))
    for answer, row in zip(answers, look.outcomes * asked.belief, strict=True):
        joint[answer] = joint[answer] + row if answer in joint else row
    yield from ((look, answer, together) for answer, together in joint.items())
