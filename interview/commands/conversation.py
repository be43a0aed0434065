"""One conversation held to its end, with what it brings beside its questions: the sheet, and what is remembered."""

from __future__ import annotations

from dataclasses import dataclass

from engine.session.journal import Journal
from engine.session.session import Session
from interview.command_line.context import Places, clock
from interview.command_line.job_sheet import JobSheet, keep_sheet
from interview.command_line.output import RenderOptions
from interview.dialogue.manager import DialogueManager
from interview.messages import FrontEnd, Request
from interview.storage import settings


@dataclass(frozen=True)
class Call:
    """What one call is held with: where, by whom, what is wished for its sheet, and the place that is usual here.

    `remember`: the place picked in it is usual from now on.
    """

    places: Places
    front: FrontEnd
    journal: Journal
    wish: RenderOptions | None = None
    piped: bool = False
    usual_role: str = ""
    remember: bool = False


def converse(call: Call, session: Session, first: Request | None = None) -> bool:
    """Hold the conversation to its end; whether the job is closed. Args: `first`, what was wanted before it began."""
    wanted, journal, places = call.wish or RenderOptions(), call.journal, call.places
    place = wanted.place(journal.path.parent, journal.job)
    again = places.command("sheet", journal.job)
    ending = DialogueManager(
        session,
        call.front,
        journal,
        clock,
        lambda now: JobSheet(now, clock().date(), wish=wanted, command=again),
        (lambda _: "") if call.piped else lambda sheet: keep_sheet(sheet, place),
        usual_role=call.usual_role,
    ).run(first)
    if call.remember and not call.piped and session.job.role is not None:
        settings.remember_role(session.job.role)
    return ending.closed
