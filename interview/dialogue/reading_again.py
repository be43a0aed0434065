"""An answer on which a remedy rests, read again before the remedy is set going."""

from __future__ import annotations

from dataclasses import replace

from engine.foundation.texts import say
from engine.session.acts import Act
from engine.session.doubting import AGAIN
from engine.session.session import Session
from interview.dialogue.history import value_words
from interview.dialogue.standing import title
from interview.dialogue.state import DialogueState
from interview.messages import Given, Question, Reply


def asked_again(session: Session, act: Act, question: Question) -> Question:
    """The question of a check, with what was said and for which remedy it is read again; any other as it is."""
    if act.why != AGAIN:
        return question
    read = session.job.read.get(act.about, ())
    said = [value_words(session, act.about, each.reading.value).rstrip(".") for each in read]
    work = session.conclude().repair
    before = (
        say("asking.again.before", work=title(session, work).rstrip(".")) if work else say("asking.again.handing_on")
    )
    told = (
        say("asking.again.both", one=said[0], other=said[-1]) if len(said) > 1 else say("asking.again.said", it=said[0])
    )
    return replace(
        question,
        text=say("asking.again.text", question=question.text),
        why=(say("asking.again.why"), *question.why),
        details=(f"{before} {told}", *question.details),
        unknown=say("asking.again.unknown"),
        free=False,
        again=True,
    )


def take_read_again(talk: DialogueState, question: Question, reply: Reply) -> None:
    """What was read the second time; what was said first stands where nobody can look once more."""
    if isinstance(reply, Given):
        talk.record("answered", question.about, reply.value, text=reply.text)
    else:
        talk.record("noted", question.about, text=say("heeding.not_again", what=title(talk.session, question.about)))
        talk.front.tell(say("heeding.stands_as_said"))
