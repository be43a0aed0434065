"""The first screen of every call, which needs no knowledge: what the trouble is, or only who is asked, and where."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from engine.foundation.plain_text import without_accents
from engine.foundation.texts import say
from interview.messages import Choice, Control, FrontEnd, Given, Note, Question, Request
from interview.understanding.replies import slip


def role_question(roles: Iterable[tuple[str, str]], usual: str = "") -> Question:
    """Where the call is taken. Args: each role's id with its words; the one picked last, if any."""
    choices = tuple(Choice(role, words) for role, words in roles)
    return Question(
        kind="set_up",
        about="role",
        text=say("opening.role"),
        choices=choices,
        why=(say("opening.role_why"),),
        # What it says can be told only once the knowledge is there; nothing of several words is thrown away.
        says_more=lambda line: Request("say", line) if " " in line or _alarms(line) else None,
        harmless=True,
        passes=usual if usual in {choice.id for choice in choices} else "",
    )


def first_question(roles: Iterable[tuple[str, str]], usual: str = "") -> Question:
    """The trouble in people's own words, or only where the call is taken. Args: as for the question of the place."""
    question = replace(
        role_question(roles, usual),
        text=say("opening.trouble"),
        details=(say("opening.or_place"),),
        why=(say("opening.trouble_why"), say("opening.role_why")),
        free=True,
    )
    return replace(question, says_more=lambda line: _story(line, question))


def _story(line: str, question: Question) -> Request | None:
    """A line as something said; a single word that is a slip in a place or a command is asked back first."""
    if " " in line.strip() or _alarms(line) or not slip(line, question):
        return Request("say", line)
    return None


def first_words(job: str) -> str:
    """What stands above the first question, a sentence a line. Args: `job`, where the job is kept."""
    return "\n".join((say("opening.screen.name"), say("opening.screen.danger"), say("opening.screen.kept", path=job)))


def _alarms(line: str) -> bool:
    """Whether a single word may tell of danger: it needs the knowledge at once."""
    return without_accents(line).strip(" !.") in without_accents(say("danger_talk.first")).split()


def ask_role(
    front: FrontEnd, question: Question, shown: Callable[[], None], keep_note: Callable[[str], None]
) -> Given | Note | Request | None:
    """Ask the first question, until it is answered, noted upon, or something else is wanted (None: to leave).

    What is noted or wanted needs the knowledge, and so the conversation, which then asks this question again.

    Args: `keep_note` keeps a note; it lasts when that returns.
    """
    while True:
        reply = front.put(question, shown)
        match reply:
            case Given() | Request():
                return reply
            case Control.LEAVE:
                return None
            case Note(text) as note:
                keep_note(text)
                front.tell(say("opening.noted"))
                return note
            case Control.FINISH:
                front.tell(say("opening.no_sheet_yet"))
            case _:
                front.tell(say("opening.nothing_to_take_back"))
