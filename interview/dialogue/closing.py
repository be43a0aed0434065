"""The close of a job: what it turned out to be, and until when somebody must know."""

from __future__ import annotations

import datetime

from engine.foundation.texts import say
from engine.session.decisions import HANDED_ON
from engine.session.job import effective
from engine.session.journal import RECORDED
from engine.session.outcome import outcome_of
from engine.session.record import NEVER_KNOWN, SOMETHING_ELSE, recorded_by_hand
from engine.session.session import Session
from interview.dialogue.state import DialogueState
from interview.messages import Choice, Given, Question, Sheet, nothing_more

LATER = "later"
_ASK_AGAIN_DAYS = 7
"""After so many days it is asked what it was, where the sheet tells no day to come back: judgement."""
_MOST_CAUSES = 5


def close(talk: DialogueState, sheet: Sheet) -> None:
    """Close the job by its decision, and ask what it turned out to be."""
    decision = sheet.decision()
    in_a_week = talk.today + datetime.timedelta(days=_ASK_AGAIN_DAYS)
    # On that day it is asked what it was; it is due no more once that is said.
    keep_due(talk, sheet.day_due() or (in_a_week.isoformat() if _can_be_asked(talk.session) else ""))
    talk.record("handed_on" if decision in HANDED_ON else "closed", value=decision)
    ask_what_it_was(talk)


def ask_what_it_was(talk: DialogueState) -> None:
    """Ask what it turned out to be, where that can be asked and nobody said."""
    if not _can_be_asked(talk.session):
        return
    reply = talk.front.put(what_it_was(talk.session), nothing_more)
    if isinstance(reply, Given) and reply.value != LATER:
        talk.record(RECORDED, "cause", str(reply.value), text=reply.text if reply.value == SOMETHING_ELSE else "")


def _can_be_asked(session: Session) -> bool:
    """Whether there was a trouble and no danger, whose questions come alone, and nobody said what it was."""
    if session.job.danger is not None:
        return False
    started = session.job.complaint is not None and session.job.role is not None
    return started and not recorded_by_hand(effective(session.events)).causes


def unsigned(session: Session) -> bool:
    """Whether nobody said whose job it is; in danger that can wait."""
    if session.job.danger is not None:
        return False
    texts = recorded_by_hand(effective(session.events)).texts
    return not any(texts.get(name) for name in ("customer", "telephone", "site"))


def keep_due(talk: DialogueState, day: str) -> None:
    """Note the day (empty: none) on which somebody is to be called or comes back."""
    if day and recorded_by_hand(effective(talk.session.events)).facts.get("due") != day:
        talk.record(RECORDED, "due", day)


def what_it_was(session: Session) -> Question:
    """What the job turned out to be: the likeliest causes, each by one key; an empty line leaves it for later."""
    knowledge, role = session.knowledge, session.job.role or "counter"
    likely = list(outcome_of(session, None).judged.marginals())[:_MOST_CAUSES]
    return Question(
        kind="turned_out",
        about="cause",
        text=say("asking.turned_out.text"),
        choices=(
            *(Choice(cause, knowledge.causes[cause].wording.for_role(role)) for cause in likely),
            Choice(SOMETHING_ELSE, say("asking.turned_out.something_else"), tells=say("asking.turned_out.in_words")),
            Choice(NEVER_KNOWN, say("asking.turned_out.never_known")),
            Choice(LATER, say("asking.turned_out.later")),
        ),
        how=say("asking.turned_out.how"),
        why=(say("asking.turned_out.why"),),
        passes=LATER,
    )
