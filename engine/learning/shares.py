"""What closed jobs say of a tree's shares: Dirichlet updating, with the jobs of unknown outcome by what is believed.

A job whose cause was told counts for that cause. One whose cause nobody told counts for each cause by its probability
given all that was answered and repaired, under the shares that are looked for: expectation maximisation (Dempster,
Laird & Rubin 1977), here with the present shares as a Dirichlet prior that weighs as many jobs as is said. Neither
leaving those jobs out nor counting their first guess would do: which outcomes are known hangs on the answers (what was
mended at once is known, what was sent away is not). Where it hangs on nothing else, the answers make up for it
(Rubin 1976, missing at random). That checks are asked only when suspected does no harm for the same reason: which check
is asked hangs on the answers before it. All from memory; `tests/engine/learning/test_shares.py` shows it by simulation.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from engine.learning.scores import Estimate, Z

Array = npt.NDArray[np.float64]
PRIOR_STRENGTH = 50.0
"""The present shares weigh as much as so many closed jobs: judgement."""
_ROUNDS, _SMALL = 500, 1e-9


@dataclass(frozen=True)
class ShareProposal:
    """One cause of a tree: its share now, and the one that the jobs speak for with its interval, both of 1."""

    cause: str
    now: float
    proposed: Estimate
    jobs: float

    @property
    def differs(self) -> bool:
        """Whether the jobs speak against the share as it is."""
        return not self.proposed.low <= self.now <= self.proposed.high


def updated(prior: Array, likelihoods: Array, told: Sequence[int | None], strength: float) -> tuple[Array, Array]:
    """The shares that jobs speak for, and what each job counts for each of them.

    Args:
        prior: the present shares, summing to 1, shape (causes,).
        likelihoods: P(all that is known of the job | cause) up to a constant of the job, shape (jobs, causes).
        told: which cause each job turned out to have; None where nobody said.
        strength: how many jobs the prior weighs.

    Returns: shares summing to 1, shape (causes,), and responsibilities, shape (jobs, causes), rows summing to 1.
    """
    known = np.array([place is not None for place in told], dtype=bool)
    sure = np.zeros_like(likelihoods)
    for row, place in enumerate(told):
        if place is not None:
            sure[row, place] = 1.0
    shares, counts = prior.copy(), sure
    for _ in range(_ROUNDS):
        soft = likelihoods * shares
        soft /= np.maximum(soft.sum(axis=1, keepdims=True), 1e-300)
        counts = np.where(known[:, None], sure, soft)
        new = strength * prior + counts.sum(axis=0)
        new /= new.sum()
        moved = float(np.abs(new - shares).max())
        shares = new
        if moved < _SMALL:
            break
    return shares, counts


def interval(share: float, responsibilities: Array, strength: float) -> Estimate:
    """A share with its interval of 95 %, in log odds so that it stays between 0 and 1.

    Its information is the prior's and that of each job: a told one has all of a job's, an untold one so much as its
    answers tell. Source: the empirical information of the score (Louis 1982, from memory).

    Args: the share, what each job counts for it (shape (jobs,)), and how many jobs the prior weighs.
    """
    room = max(share * (1.0 - share), 1e-12)
    told = float(((responsibilities - share) ** 2).sum()) / room
    half = Z / math.sqrt(max(strength + told, 1e-9) * room)
    odds = math.log(max(share, 1e-12) / max(1.0 - share, 1e-12))
    # Beyond these odds a share is 0 or 1 to the last digit.
    low, high = (1.0 / (1.0 + math.exp(min(-(odds + side * half), 700.0))) for side in (-1.0, 1.0))
    return Estimate(share, low, high)
