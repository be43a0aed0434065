"""The close of a job: what it turned out to be, and until when somebody must know."""

from __future__ import annotations

import datetime
from collections.abc import Callable

from engine.foundation.texts import say
from engine.session.decisions import HANDED_ON
from engine.session.journal import RECORDED
from engine.session.outcome import outcome_of
from engine.session.record import NEVER_KNOWN, SOMETHING_ELSE, recorded_by_hand
from engine.session.session import Session
from engine.session.taken_back import effective
from interview.dialogue.requests import heed, take_note
from interview.dialogue.state import DialogueState
from interview.messages import Choice, Control, Given, Note, Question, Request, Sheet, nothing_more

Opened = Callable[[Question], Question]
"""A question, where a line that is no answer may say something else: facts, or a danger."""
LATER = "later"
_ASK_AGAIN_DAYS = 7
"""After so many days it is asked what it was, where the sheet tells no day to come back: judgement."""
_MOST_CAUSES = 5


def close(talk: DialogueState, sheet: Sheet, open_to_more: Opened) -> bool:
    """Ask what it turned out to be, and close the job by its decision; False where the person goes on instead."""
    in_a_week = talk.today + datetime.timedelta(days=_ASK_AGAIN_DAYS)
    # On that day it is asked what it was; it is due no more once that is said.
    keep_due(talk, sheet.day_due() or (in_a_week.isoformat() if _can_be_asked(talk.session) else ""))
    try:
        goes_on = ask_what_it_was(talk, open_to_more)
    except KeyboardInterrupt:
        # That it is closed was said before.
        _record_closed(talk, sheet)
        raise
    if not goes_on:
        _record_closed(talk, sheet)
    return not goes_on


def danger_told_of_closed(talk: DialogueState, open_to_more: Opened) -> bool:
    """Ask of a closed job what it was; whether a danger was told of instead, which its sheet must begin with."""
    before = talk.session.job.danger
    ask_what_it_was(talk, open_to_more)
    return talk.session.job.danger != before


def _record_closed(talk: DialogueState, sheet: Sheet) -> None:
    decision = sheet.decision()
    talk.record("handed_on" if decision in HANDED_ON else "closed", value=decision)


def ask_what_it_was(talk: DialogueState, open_to_more: Opened) -> bool:
    """Ask what it turned out to be, where that can be asked and nobody said.

    Whatever else is said here is kept. Returns whether the person goes on with the job instead: by going back, by
    something that the sheet does not know yet, or as a danger was told of.
    """
    endangered = talk.session.job.danger
    while _can_be_asked(talk.session):
        match talk.front.put(open_to_more(what_it_was(talk.session)), nothing_more):
            case Note() as note:
                take_note(talk, note)
            case Request(act) as request:
                goes_on = leads_on(talk, request)
                if talk.ends is not None:
                    # Said while something was asked back: what it was is left for later.
                    talk.ends = None
                    break
                if goes_on and act != "for":
                    return True
            case Control.BACK:
                return True
            case Given(value, text):
                if value != LATER:
                    words = text if value == SOMETHING_ELSE else ""
                    talk.record(RECORDED, "cause", str(value), text=words)
                return False
            case _:
                return False
    return talk.session.job.danger != endangered


def leads_on(talk: DialogueState, request: Request) -> bool:
    """Do what is wanted at the end; whether the person goes on with the job for it.

    What is recorded by hand, such as whose job it is, changes no decision; a danger told of beside it does.
    """
    before, endangered = len(talk.session.events), talk.session.job.danger
    heed(talk, request)
    told = any(event.kind != RECORDED for event in talk.session.events[before:])
    return told or bool(talk.wanted or talk.unclear) or talk.ends is not None or talk.session.job.danger != endangered


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
