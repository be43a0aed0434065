"""What closed jobs say of how often a cause shows an answer: Dirichlet updating, cause by cause and check by check.

Only jobs count whose one cause was told. Given the cause, the answers to different checks are independent in the
model; so it does no harm that a check was asked only where the answers before made it worth while.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from engine.inference.belief import TreeModel
from engine.learning.replayed import ReplayedJob
from engine.learning.scores import Estimate
from engine.learning.shares import interval

PRIOR_STRENGTH = 20.0
"""The present answers of a cause weigh as much as so many jobs with it: judgement."""
LEAST_JOBS = 10
"""Of fewer nothing is proposed: judgement."""


@dataclass(frozen=True)
class AnswerProposal:
    """How often a cause shows an answer: now, and as the jobs speak for, both of 1."""

    tree: str
    cause: str
    check: str
    answer: str
    now: float
    proposed: Estimate
    jobs: int

    @property
    def differs(self) -> bool:
        """Whether the jobs speak against it as it is."""
        return not self.proposed.low <= self.now <= self.proposed.high


def answer_proposals(
    model: TreeModel, answers: Mapping[str, Sequence[str]], jobs: Sequence[ReplayedJob], strength: float
) -> Iterator[AnswerProposal]:
    """Every answer of every cause that enough jobs of one tree speak of.

    Args: the tree as numbers, the answers of each check and finding in their order, its jobs, and the prior's weight.
    """
    by_cause: dict[str, list[ReplayedJob]] = {}
    for job in jobs:
        if job.turned_out is not None and len(job.turned_out) == 1:
            by_cause.setdefault(job.turned_out[0], []).append(job)
    for place, hypothesis in enumerate(model.hypotheses):
        if len(hypothesis) == 1 and hypothesis[0] in by_cause:
            yield from _of_cause(model, answers, by_cause[hypothesis[0]], place, strength)


def _of_cause(
    model: TreeModel, answers: Mapping[str, Sequence[str]], jobs: Sequence[ReplayedJob], place: int, strength: float
) -> Iterator[AnswerProposal]:
    found: dict[str, list[tuple[float, ...]]] = {}
    for job in jobs:
        for check, weights in job.answered:
            found.setdefault(check, []).append(weights)
    for check, rows in found.items():
        if len(rows) < LEAST_JOBS or check not in answers:
            continue
        now = model.tables[check][:, place]
        soft = np.asarray(rows) * now
        total = soft.sum(axis=1, keepdims=True)
        counts = np.where(total > 0, soft / np.maximum(total, 1e-300), now)
        new = (strength * now + counts.sum(axis=0)) / (strength + len(rows))
        for row, answer in enumerate(answers[check]):
            estimate = interval(float(new[row]), counts[:, row], strength)
            cause = model.hypotheses[place][0]
            yield AnswerProposal(model.tree, cause, check, answer, float(now[row]), estimate, len(rows))
