"""What closed jobs teach, as lines for a senior technician."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from engine.foundation.texts import say
from engine.knowledge.model import SOMETHING_ELSE, Knowledge
from engine.learning.lessons import TreeLesson
from engine.learning.scores import Estimate, Reliability
from engine.learning.taken_over import CallsTried

_MOST = 10
_BAR = 20
_FEW = 30
"""Of fewer closed jobs nothing should be read into a share: judgement."""


def lesson_lines(knowledge: Knowledge, lesson: TreeLesson) -> Iterator[str]:
    """The lines for one tree; what there is nothing to say of is left out."""
    tree, guesses = knowledge.trees[lesson.tree], lesson.guesses
    yield f"{tree.wording.technician.rstrip('.')} ({lesson.tree})"
    yield "  " + say("learning.jobs", jobs=guesses.jobs, told=guesses.told)
    if guesses.told < _FEW:
        yield "  " + say("learning.few", few=_FEW)
    if guesses.told:
        yield "  " + say("learning.first", share=_percent(guesses.first))
        yield "  " + say("learning.first_after", share=_percent(guesses.first_after))
        yield "  " + say("learning.scores", brier=_figure(guesses.brier), bits=_figure(guesses.log_score))
    if guesses.reliability is not None:
        yield from _reliability(guesses.reliability)
    yield from _block(say("learning.confusions"), _confusions(knowledge, lesson))
    yield from _block(say("learning.unheard_of"), (f"{words} ({count})" for words, count in lesson.unheard_of))
    idle = (say("learning.idle", check=one.check, idle=one.idle, asked=one.asked) for one in lesson.idle)
    yield from _block(say("learning.idle_checks"), idle)
    yield from _block(say("learning.shares"), _shares(lesson))
    yield from _block(say("learning.answers"), _answers(lesson))
    yield ""


def tried_lines(found: CallsTried) -> Iterator[str]:
    """What the proposals would do to the worked calls."""
    yield say("learning.calls.tried", calls=found.calls, now=found.right_now, then=found.right_then)
    yield from _block(say("learning.calls.right"), iter(found.turned_right))
    yield from _block(say("learning.calls.wrong"), iter(found.turned_wrong))


def _block(heading: str, lines: Iterator[str]) -> Iterator[str]:
    found = list(lines)
    if not found:
        return
    yield f"  {heading}"
    yield from (f"    {line}" for line in found[:_MOST])
    if len(found) > _MOST:
        yield f"    {say('learning.more', count=len(found) - _MOST)}"


def _reliability(found: Reliability) -> Iterator[str]:
    """The diagram as text: what was promised, and what came true, as a bar of a share."""
    yield "  " + say(
        "learning.reliability",
        miscalibration=f"{found.miscalibration:.3f}",
        discrimination=f"{found.discrimination:.3f}",
        uncertainty=f"{found.uncertainty:.3f}",
    )
    for step in found.steps:
        bar = "#" * round(step.came_true * _BAR)
        promised = f"{100 * step.promised_from:3.0f}-{100 * step.promised_to:3.0f} %"
        yield f"    {promised}  {100 * step.came_true:3.0f} %  {bar:<{_BAR}}  {step.guesses}"


def _confusions(knowledge: Knowledge, lesson: TreeLesson) -> Iterator[str]:
    for one in lesson.confusions:
        believed, was = _named(knowledge, one.believed), _named(knowledge, one.was)
        yield say("learning.confused", believed=believed, was=was, count=one.jobs)


def _named(knowledge: Knowledge, causes: Sequence[str]) -> str:
    if not causes:
        return say("asking.something_else")
    return " + ".join((*knowledge.causes[cause].names, cause.replace("_", " "))[0] for cause in causes)


def _shares(lesson: TreeLesson) -> Iterator[str]:
    for one in lesson.shares:
        if one.differs:
            cause = say("asking.something_else") if one.cause == SOMETHING_ELSE else one.cause
            now, jobs = f"{100 * one.now:.3g}", f"{one.jobs:.0f}"
            yield say("learning.share", cause=cause, now=now, proposed=_percent(one.proposed), jobs=jobs)


def _answers(lesson: TreeLesson) -> Iterator[str]:
    for one in lesson.answers:
        if one.differs:
            fields = {"cause": one.cause, "check": one.check, "answer": one.answer, "jobs": one.jobs}
            yield say("learning.answer", now=f"{one.now:.2f}", proposed=_figure(one.proposed), **fields)


def _percent(estimate: Estimate) -> str:
    if math.isnan(estimate.value):
        return "?"
    return say(
        "learning.percent",
        value=f"{100 * estimate.value:.3g}",
        low=f"{100 * estimate.low:.3g}",
        high=f"{100 * estimate.high:.3g}",
    )


def _figure(estimate: Estimate) -> str:
    if not math.isfinite(estimate.low):
        return f"{estimate.value:.2f}"
    return say("learning.figure", value=f"{estimate.value:.2f}", low=f"{estimate.low:.2f}", high=f"{estimate.high:.2f}")
