"""Proposals as YAML that a senior technician reads, edits and takes over; nothing of it is applied by itself."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from engine.foundation.texts import say
from engine.learning.answers import AnswerProposal
from engine.learning.lessons import TreeLesson
from engine.learning.scores import Estimate
from engine.learning.shares import ShareProposal


def overlay_lines(found: Sequence[TreeLesson], fingerprint: str, weights: tuple[float, float]) -> Iterator[str]:
    """The lines of the file: of each tree its shares, those that jobs speak against marked, and answers of causes."""
    head = say("learning.overlay.head", fingerprint=fingerprint, shares=f"{weights[0]:g}", answers=f"{weights[1]:g}")
    yield from (f"# {line}" for line in head.splitlines())
    for lesson in found:
        yield from _tree(lesson)
    for lesson in found:
        for cause in dict.fromkeys(one.cause for one in lesson.answers if one.differs):
            yield from _cause(lesson.tree, cause, [one for one in lesson.answers if one.cause == cause])


def _tree(lesson: TreeLesson) -> Iterator[str]:
    yield from ("", f"tree: {lesson.tree}", "of_100_calls:")
    for one, value in zip(lesson.shares, shares_to_take(lesson.shares), strict=True):
        mark = say("learning.overlay.differs") if one.differs else say("learning.overlay.as_it_is")
        fields = {"now": _hundredth(one.now), "interval": _between(one.proposed), "jobs": f"{one.jobs:.1f}"}
        yield f"  {one.cause}: {value:g}    # {mark} {say('learning.overlay.share', **fields)}"


def shares_to_take(shares: Sequence[ShareProposal]) -> list[float]:
    """The shares to take over, of 100 together: what jobs speak against is as proposed, the rest keeps its ratios."""
    changed = math.fsum(one.proposed.value for one in shares if one.differs)
    kept = math.fsum(one.now for one in shares if not one.differs)
    factor = (1.0 - changed) / kept if kept > 0 else 0.0
    found = [round(100 * (one.proposed.value if one.differs else one.now * factor), 2) for one in shares]
    largest = max(range(len(found)), key=found.__getitem__)
    found[largest] = round(found[largest] + 100 - math.fsum(found), 2)
    return found


def _cause(tree: str, cause: str, answers: Sequence[AnswerProposal]) -> Iterator[str]:
    yield from ("", f"cause: {cause}    # {say('learning.overlay.behind', tree=tree)}", "shows:")
    for check in dict.fromkeys(one.check for one in answers if one.differs):
        of_it = [one for one in answers if one.check == check]
        told = say("learning.overlay.answers", jobs=of_it[0].jobs)
        yield f"  {check}:    # {told}"
        for one in of_it:
            mark = say("learning.overlay.differs") if one.differs else say("learning.overlay.as_it_is")
            was = say("learning.overlay.was", now=f"{one.now:.2f}", interval=_between(one.proposed))
            yield f"    {one.answer}: {one.proposed.value:.2f}    # {mark} {was}"


def _hundredth(share: float) -> str:
    return f"{100 * share:.3g}"


def _between(estimate: Estimate) -> str:
    return say("learning.overlay.between", low=_hundredth(estimate.low), high=_hundredth(estimate.high))
