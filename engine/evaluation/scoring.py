"""A worked call's run held against what was really wrong."""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from engine.evaluation.calls import WorkedCall
from engine.evaluation.simulate import Run, run_call
from engine.inference.belief import Hypothesis
from engine.knowledge.model import SOMETHING_ELSE
from engine.session.models import Models


@dataclass(frozen=True)
class Score:
    """One call's run against what was really wrong. The three marks are None where the call does not say."""

    call: WorkedCall
    run: Run
    ranked: tuple[tuple[Hypothesis, float], ...]
    causes: tuple[tuple[str, float], ...]
    first: bool | None
    exact: bool | None
    top3: bool | None

    @property
    def expected(self) -> list[str]:
        """The causes the call names, `something_else` for a fault the trees do not know."""
        if self.call.causes is None:
            return []
        return list(self.call.causes) or [SOMETHING_ELSE]

    @property
    def named(self) -> Hypothesis:
        """What is believed first."""
        return self.ranked[0][0]

    @property
    def left_out(self) -> tuple[tuple[str, float], ...]:
        """Of a call that counts as right, the true causes that were not named, each with its probability."""
        if not self.first or self.exact:
            return ()
        believed = dict(self.causes)
        return tuple((cause, believed.get(cause, 0.0)) for cause in self.expected if cause not in self.named)


def score(models: Models, call: WorkedCall) -> Score:
    """Run a call and score it."""
    return scored(call, run_call(models, call))


def scored(call: WorkedCall, run: Run) -> Score:
    """The run of a call, held against what was really wrong."""
    ranked = tuple(run.session.hypotheses())
    causes = tuple(run.session.marginals().items())
    if call.causes is None:
        return Score(call, run, ranked, causes, None, None, None)
    true, best = set(call.causes), set(ranked[0][0])
    unknown = next(share for hypothesis, share in ranked if not hypothesis)
    leading = sorted([*causes, (SOMETHING_ELSE, unknown)], key=lambda item: -item[1])[:3]
    first = best <= true and bool(best) == bool(true)
    top3 = (true or {SOMETHING_ELSE}) <= {cause for cause, _ in (leading if not true else causes[:3])}
    return Score(call, run, ranked, causes, first, best == true, top3)


def totals_of(scores: Sequence[Score]) -> dict[str, int | float | None]:
    """What many calls come to: how many there are, shares of those whose cause is known, questions, minutes."""
    scored = [item for item in scores if item.first is not None]

    def share(marks: Iterable[bool | None]) -> float | None:
        values = [bool(mark) for mark in marks]
        return sum(values) / len(values) if values else None

    return {
        "calls": len(scores),
        "first": share(item.first for item in scored),
        "exact": share(item.exact for item in scored),
        "top3": share(item.top3 for item in scored),
        "median_asked": statistics.median(len(item.run.session.job.asked) for item in scores) if scores else None,
        "mean_minutes": statistics.fmean(item.run.minutes for item in scores) if scores else None,
    }
