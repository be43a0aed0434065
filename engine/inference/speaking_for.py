"""What speaks for a cause, in few figures: the answer that tells most, and how far one moves the odds; pure."""

from __future__ import annotations

import math

from engine.knowledge.model import Check, Finding, Knowledge, Tree

_SPEAKS_FROM = 1.5
"""An answer speaks for a cause that makes it likelier than usual by half. Judgement."""
_SURE = 1e-6
"""No probability is taken as nearer to none or to certainty."""


def spoken_for(knowledge: Knowledge, tree: Tree, cause: str, item: Check | Finding) -> str | None:
    """The answer that this cause makes most likelier than usual, by half or more."""
    here = tree.here.get(cause, {}).get(item.id)
    shows = here or knowledge.causes[cause].shows.get(item.id, {})
    factors = {answer: share / max(item.usual[answer], 0.001) for answer, share in shows.items()}
    factors |= knowledge.causes[cause].likelier.get(item.id, {})
    best = max(factors, key=lambda answer: factors[answer], default=None)
    return best if best is not None and factors[best] >= _SPEAKS_FROM else None


def decibans_moved(before: float, after: float) -> float:
    """How far the odds of a cause move, in decibans, from its probabilities before and after (0 to 1, both included).

    Source: the weight of evidence is ten times the logarithm, to the base ten, of the change of the odds.
    """
    return 10.0 * (_log_odds(after) - _log_odds(before))


def _log_odds(probability: float) -> float:
    kept = min(max(probability, _SURE), 1.0 - _SURE)
    return math.log10(kept / (1.0 - kept))
