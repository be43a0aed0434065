"""How the ranking moved, answer by answer: the job replayed up to each of its answers."""

from __future__ import annotations

from collections.abc import Mapping

from engine.foundation.texts import say
from engine.knowledge.model import SOMETHING_ELSE
from engine.session.journal import Event
from reports.view.case import JobCase
from reports.view.drawn import Movement, MovementLine
from reports.view.found import answer_said

_MOST_STEPS = 10
_MOST_LINES = 4
_MOVES = 0.01
"""A change of some cause's probability that counts as moving: what a reader could see."""
_LEADING = 0.02

Beliefs = Mapping[str, float]


def movement(case: JobCase) -> Movement | None:
    """The last answers that moved the ranking, and the leading causes before and after each; None where none moved."""
    if not case.judges:
        return None
    before, moved = _moves(case)
    if not moved:
        return None
    left_out = max(0, len(moved) - _MOST_STEPS)
    if left_out:
        before = moved[left_out - 1][1]
    kept = moved[left_out:]
    beliefs = [before, *(after for _, after in kept)]
    # What moved nothing by itself after the last step is in the last value, so that it is the one on the sheet.
    beliefs[-1] = case.judged.marginals()
    causes = case.knowledge.causes
    lines = tuple(
        MovementLine(name, case.say(causes[name].wording), tuple(belief[name] for belief in beliefs))
        for name in _leading(beliefs)
    )
    return Movement(tuple(text for text, _ in kept), lines, left_out)


def _moves(case: JobCase) -> tuple[Beliefs, list[tuple[str, Beliefs]]]:
    """The belief that the complaint that stands gives, and every event behind it after which it is another one."""
    start: Beliefs | None = None
    last: Beliefs = {}
    complaint: str | None = None
    moved: list[tuple[str, Beliefs]] = []
    for event, so_far in case.judged.along():
        if so_far.job.complaint is None or so_far.job.role is None:
            continue
        now = so_far.marginals()
        if start is None or so_far.job.complaint != complaint:
            # Another complaint has other causes: the way to the ranking begins anew.
            start, last, moved, complaint = now, now, [], so_far.job.complaint
        elif max(abs(now[cause] - last[cause]) for cause in now) >= _MOVES:
            moved.append((_told(case, event), now))
            last = now
    return (start or {}), moved


def _leading(beliefs: list[Beliefs]) -> list[str]:
    """The causes that lead at the end, most probable first, and the one that led at the beginning."""
    names = [name for name in beliefs[0] if name != SOMETHING_ELSE]
    last = sorted(names, key=lambda name: -beliefs[-1][name])
    leading = [name for name in last[:_MOST_LINES] if beliefs[-1][name] >= _LEADING] or last[:1]
    first = max(names, key=lambda name: beliefs[0][name])
    if first not in leading:
        leading = [*leading[: _MOST_LINES - 1], first]
    return leading


def _told(case: JobCase, event: Event) -> str:
    """An event that moved the ranking, in short."""
    check, repair = case.check(event.about), case.repair(event.about)
    if check is not None and event.value is not None:
        value = event.value if isinstance(event.value, str) else float(event.value)
        label = case.short(check)
        return f"{label[0].upper()}{label[1:]}: {answer_said(case, check, value)}"
    if repair is not None:
        return say("pictures.movement.no_help", repair=case.say(repair.wording).rstrip("."))
    return say("pictures.movement.changed")
