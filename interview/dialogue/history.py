"""What has been said so far, in words; pure."""

from __future__ import annotations

from dataclasses import dataclass

from engine.foundation.texts import said, say
from engine.quantities.unit_systems import show_in
from engine.session.availability import asked_checks
from engine.session.job import SET_UP
from engine.session.session import Session
from interview.dialogue.questions import question_for
from interview.dialogue.standing import title


@dataclass(frozen=True)
class _Line:
    about: str
    text: str


def listed(session: Session) -> tuple[tuple[str, str], ...]:
    """What has been said: what each line is about, and the line."""
    job = session.job
    lines = [_Line(name, value_words(session, name, value)) for name, value in _start_said(session).items()]
    lines += [_Line(name, value_words(session, name, item.reading.value)) for name, item in job.answers.items()]
    lines += [_Line(name, say("heeding.listed.unknown")) for name in job.unknown]
    lines += [_Line(name, say("heeding.listed.cannot", reason=reason)) for name, reason in job.cannot.items()]
    lines += [
        _Line(name, say("talk.later.listed_when", when=when) if when else say("talk.later.listed"))
        for name, when in job.waiting.items()
    ]
    return tuple((line.about, f"{name_of(session, line.about)}: {line.text}") for line in lines)


def all_listed(session: Session) -> str:
    """What has been said, a numbered line each; or that nothing has."""
    lines = (f"{number}. {line}" for number, (_, line) in enumerate(listed(session), start=1))
    return "\n".join(lines) or say("heeding.nothing_said")


def names_known(session: Session) -> list[str]:
    """Every name by which something may be asked for or changed, those of the start first."""
    start = [name.strip() for names in said("asking.set_up_names").values() for name in names.split(",")]
    checks = [name for check in asked_checks(session.knowledge) for name in (*check.names, title(session, check.id))]
    return [name.strip("¿?") for name in dict.fromkeys((*start, *checks))]


def value_words(session: Session, about: str, value: str | float) -> str:
    """An answer in the words of the role, or a number with its unit."""
    knowledge, role = session.knowledge, session.job.role or "counter"
    check = knowledge.checks.get(about)
    if check is not None and check.unit is not None and not isinstance(value, str):
        return show_in(value, check.unit)
    if check is not None:
        return check.said(value, lambda wording: wording.for_role(role))
    if about in SET_UP:
        choices = question_for(session, session.act_for(about)).choices
        return next((choice.text for choice in choices if choice.id == value), str(value))
    return str(value)


def _start_said(session: Session) -> dict[str, str]:
    job = session.job
    said: dict[str, str | None] = {"role": job.role, "unit": job.unit, "complaint": job.complaint}
    if job.brought_said:
        said["brought"] = "+".join(job.brought) or "nothing"
    return {name: value for name, value in said.items() if value is not None}


def name_of(session: Session, about: str) -> str:
    """What something said was about, by its first name; in the field by the trade's words."""
    check = session.knowledge.checks.get(about)
    if check is not None and check.from_record:
        # Its question is one that nobody is asked.
        return check.wording.technician
    if check is not None and check.names and session.job.role != "field":
        return check.names[0]
    if about in SET_UP:
        return said("asking.set_up_names")[about].partition(",")[0]
    return title(session, about).strip("¿?")
