"""The figures behind a question: what it costs and saves, and how each answer would move the ranking; pure."""

from __future__ import annotations

from engine.foundation.texts import say
from engine.inference.speaking_for import decibans_moved
from engine.quantities.quantity import figure
from engine.session.session import Session
from interview.dialogue.phrasing import short_name

_MOST_CAUSES = 3
_LEAST_MOVE = 0.02


def question_figures(session: Session, check: str) -> tuple[str, ...]:
    """The figures of asking a check now: lines for the cost, what they mean, each answer; none where it is not open.

    Source: the weight of an answer is ten times the logarithm of the change of a cause's odds (decibans).
    """
    if session.job.complaint is None or session.job.role is None:
        return (say("talk.figures.none"),)
    try:
        found = session.explain(check)
    except LookupError:
        return (say("talk.figures.none"),)
    cost = found.appraisal
    lines = [
        say(
            "talk.figures.cost",
            minutes=figure(cost.minutes, ".1f"),
            chance=f"{100 * cost.chance:.0f}",
            gain=figure(cost.gain, ".1f"),
        )
    ]
    if found.settles:
        lines.append(say("talk.figures.settles"))
    lines.append(say("talk.figures.meaning"))
    words = {a.id: a.wording.for_role(session.role.id) for a in session.knowledge.checks[check].answers}
    for outcome in found.outcomes:
        answer = words.get(outcome.answer, outcome.answer).rstrip(".")
        chance = f"{100 * outcome.probability:.0f}"
        moves = ", ".join(_moves(session, outcome.causes)) or say("talk.figures.same")
        lines.append(f"   {say('talk.figures.answer', answer=answer, chance=chance)}: {moves}")
    return tuple(lines)


def _moves(session: Session, causes: tuple[tuple[str, float, float], ...]) -> list[str]:
    """The causes that an answer moves most, with their probabilities of 100 before and after."""
    moved = sorted(causes, key=lambda item: -abs(item[2] - item[1]))[:_MOST_CAUSES]
    return [
        say(
            "talk.figures.moved",
            cause=short_name(session.knowledge, (cause,)),
            before=f"{100 * before:.0f}",
            after=f"{100 * after:.0f}",
            decibans=figure(decibans_moved(before, after), "+.1f"),
        )
        for cause, before, after in moved
        if abs(after - before) >= _LEAST_MOVE
    ]
