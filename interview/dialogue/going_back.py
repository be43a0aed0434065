"""Going back: the last thing is undone, whatever it was, and what was asked there is put again."""

from __future__ import annotations

from engine.foundation.texts import say
from engine.session.job import SET_UP
from engine.session.journal import RECORDED, Event
from engine.session.taken_back import NOTED, TAKEN_BACK_KINDS, effective
from interview.dialogue.history import listed
from interview.dialogue.standing import title
from interview.dialogue.state import DialogueState

_BESIDE = ("lifted", "already_tried", NOTED, RECORDED)
"""Kinds that answer no question."""


def go_back(talk: DialogueState) -> None:
    """Undo the last thing, and say so: something wanted, a line of facts as a whole, or whatever else it was."""
    if talk.wanted and not _said_since_wanted(talk):
        del talk.wanted[0]
        talk.front.tell(say("heeding.left"))
        return
    undone = [_take_back(talk) for _ in range(max(talk.together, 1))]
    if said := "\n".join(line for line in undone if line):
        talk.front.tell(said)


def _said_since_wanted(talk: DialogueState) -> bool:
    """Whether something was said beside the questions since something was wanted: then that is the last thing."""
    since = talk.session.events[talk.wanted_at :]
    return bool(since) and (since[-1].kind in _BESIDE or bool(since[-1].beside))


def _take_back(talk: DialogueState) -> str:
    """Undo one event, so that what was asked there is put again; a sentence that says so."""
    before = effective(talk.session.events)
    last = next((event.kind for event in reversed(before) if event.kind in (*TAKEN_BACK_KINDS, NOTED, RECORDED)), None)
    if last is None:
        return say("opening.nothing_to_take_back")
    value = last if last in (NOTED, RECORDED) else None
    after = effective([*talk.session.events, Event("taken_back", "", value=value)])
    undone = next((old for old, new in zip(before, after, strict=False) if old != new), before[-1])
    talk.record("taken_back", value=value)
    _put_again(talk, undone)
    if last == NOTED:
        return say("heeding.note_taken_back", note=undone.text)
    if last == RECORDED:
        return say("recording.taken_back", what=f"{undone.about}={undone.value}{undone.text}")
    if not undone.about:
        return ""
    stands = next((line for about, line in listed(talk.session) if about == undone.about), "")
    if stands:
        return say("heeding.stands_again", line=stands)
    return say("heeding.taken_back", what=title(talk.session, undone.about))


def _put_again(talk: DialogueState, undone: Event) -> None:
    """Have the question that was answered by what was undone put once more."""
    known = talk.session.knowledge
    askable = undone.about in known.checks or undone.about in known.repairs or undone.about in SET_UP
    talk.again = undone.about if askable and not undone.beside and undone.kind not in _BESIDE else ""
    talk.trouble_asked |= undone.about == "complaint"
