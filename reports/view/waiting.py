"""What is done later, at home or on another visit, and then told: one line each for the sheet."""

from __future__ import annotations

from engine.foundation.plain_text import cleaned
from engine.foundation.texts import say
from engine.session.acts import Waiting
from reports.phrases import whole_work
from reports.view.case import JobCase
from reports.view.model import WaitingLine


def waiting_lines(case: JobCase) -> tuple[WaitingLine, ...]:
    """What the job waits for, in the order in which it was put off."""
    return tuple(_line(case, item) for item in case.session.waiting())


def _line(case: JobCase, item: Waiting) -> WaitingLine:
    check, repair = case.check(item.about), case.repair(item.about)
    what, how = item.about, ""
    if check is not None:
        what, how = case.say(check.wording), case.say(check.how)
    elif repair is not None:
        what, how = (
            case.say(repair.wording),
            whole_work(repair, case.voice, case.units) if item.kind == "repair" else "",
        )
    when, first = cleaned(item.when), item.worth is not None and item.worth > 0
    theirs = item.kind == "repair" and (case.job.role == "field" or (repair is not None and "owner" not in repair.who))
    text = say("talk.waiting.repair_theirs" if theirs else f"talk.waiting.{item.kind}", what=what)
    if when:
        text = say("talk.waiting.when", line=text, when=when)
    if first:
        text = say("talk.waiting.first", line=text if text.endswith((".", "?")) else f"{text}.")
    return WaitingLine(item.kind, item.about, how, when, first, text)
