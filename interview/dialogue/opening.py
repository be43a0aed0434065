"""The first question of every call, which needs no knowledge: who is asked, and where."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from engine.foundation.texts import say
from interview.messages import Choice, Control, FrontEnd, Given, Note, Question, Request
from interview.understanding.normalize import without_accents


def role_question(roles: Iterable[tuple[str, str]]) -> Question:
    """The first question of every call. Args: each role's id with its words."""
    return Question(
        kind="set_up",
        about="role",
        text=say("opening.role"),
        choices=tuple(Choice(role, words) for role, words in roles),
        why=(say("opening.role_why"),),
        # What it says can be told only once the knowledge is there; nothing of several words is thrown away.
        says_more=lambda line: Request("say", line) if " " in line or _alarms(line) else None,
        harmless=True,
    )


def _alarms(line: str) -> bool:
    """Whether a single word may tell of danger: it needs the knowledge at once."""
    return without_accents(line).strip(" !.") in without_accents(say("danger_talk.first")).split()


def ask_role(
    front: FrontEnd, roles: Iterable[tuple[str, str]], shown: Callable[[], None], keep_note: Callable[[str], None]
) -> Given | Note | Request | None:
    """Ask the first question, until it is answered, noted upon, or something else is wanted (None: to leave).

    What is noted or wanted needs the knowledge, and so the conversation, which then asks this question again.

    Args: `keep_note` keeps a note; it lasts when that returns.
    """
    question = role_question(roles)
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
