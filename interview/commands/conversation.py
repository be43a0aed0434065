"""One conversation held to its end, with what it brings beside its questions: the sheet, and what is remembered."""

from __future__ import annotations

from engine.session.session import Session
from interview.command_line.context import clock
from interview.command_line.job_sheet import JobSheet, keep_sheet
from interview.command_line.output import RenderOptions
from interview.command_line.pool_records import ShopRecords
from interview.commands.call import Call
from interview.dialogue.manager import DialogueManager
from interview.messages import Request
from interview.storage import settings


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
        records=ShopRecords(places, session.knowledge),
    ).run(first)
    if call.remember and not call.piped and session.job.role is not None:
        settings.remember_role(session.job.role)
    return ending.closed
