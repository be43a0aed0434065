"""The whole view of a job, joined from its parts; pure: no clock, no file."""

from __future__ import annotations

from dataclasses import replace

from engine.foundation.plain_text import cleaned
from engine.knowledge.model import RoleId
from engine.quantities.unit_systems import System
from engine.session.acts import Act
from engine.session.session import Session
from engine.treatment.order_of_work import order_of_work
from reports.letterhead import NO_SHOP, Letterhead
from reports.phrases import brought_thing
from reports.view.advice import advice, decision_line
from reports.view.believed import (
    cause_lines,
    conflict_line,
    cut_short_lines,
    in_doubt,
    not_done_lines,
    not_known_lines,
    still_open,
    together,
    would_help,
)
from reports.view.case import JobCase, case_of
from reports.view.dangers import danger_record, danger_said
from reports.view.firm import firm_line
from reports.view.found import derived_lines, found_lines, to_read
from reports.view.gauges import gauge_lines
from reports.view.left_over import left_over
from reports.view.model import Head, JobView
from reports.view.movement import movement
from reports.view.packing import home, packing
from reports.view.plan import maintenance_plan
from reports.view.record import job_record
from reports.view.safety import caution_boxes, concerns, in_a_line, paper_cautions
from reports.view.waiting import waiting_lines
from reports.view.work import actions, done_lines, known_numbers, part_lines


def job_view(
    session: Session,
    date: str,
    letterhead: Letterhead = NO_SHOP,
    act: Act | None = None,
    voice: RoleId | None = None,
    units: System = "metric",
) -> JobView:
    """What the sheet of a job says, at any moment of the job.

    Args:
        session: the job, open or closed.
        date: for the sheet's head, best as ISO 8601 (`2026-05-04`); days to come back are counted from it.
        letterhead: what the shop tells of itself.
        act: the conclusion that ended the questions, where the front end had one; by default the session's next act.
        voice: whose words it is told in; by default those of the role that the job was taken in.
        units: what every figure is shown in.

    Returns: the view.
    """
    case = replace(case_of(session, cleaned(date), act), units=units)
    case = case if voice is None else replace(case, voice=voice)
    work = order_of_work(case, case.voice)
    about = concerns(case, work, known_numbers(case))
    asked_for = would_help(case)
    doubted = in_doubt(case)
    again = () if doubted is None else (doubted.check,)
    advised = [*(line.check for line in asked_for), *still_open(case), *again]
    case = replace(case, live=about.shock and not about.danger)
    laid_out = actions(case, work)
    told = paper_cautions(case, work, advised, about)
    left = () if about.keep_away or about.may_infect else left_over(case, laid_out)
    case = replace(case, in_part=case.conclusion.solved and bool(left))
    their_own = home(case, work, about)
    return JobView(
        voice=case.voice,
        head=_head(case, letterhead),
        danger=danger_said(case),
        danger_record=danger_record(case),
        keep_away=about.keep_away,
        may_infect=about.may_infect,
        solved=case.conclusion.solved,
        cut_short=cut_short_lines(case),
        decision=decision_line(case, laid_out),
        causes=cause_lines(case),
        together=together(case),
        found=found_lines(case),
        to_read=to_read(case) if case.voice == "field" and not case.conclusion.solved else (),
        derived=derived_lines(case),
        conflict=conflict_line(case, doubted),
        firm=_firm(case),
        actions=laid_out,
        parts=part_lines(case, laid_out, about.by_hand),
        cautions=caution_boxes(case, told),
        in_a_line=in_a_line(case, told),
        advice=advice(case, laid_out, about, left, their_own.work == "leave" and their_own.steps),
        would_help=asked_for,
        waiting=waiting_lines(case),
        not_known=not_known_lines(case),
        not_done=not_done_lines(case),
        done=done_lines(case),
        plan=() if about.keep_away else maintenance_plan(case, work, known_numbers(case), about.adds_none),
        notes=tuple(note for text in case.job.notes if (note := cleaned(text))),
        home=their_own,
        packing=packing(case, work),
        movement=movement(case),
        gauges=gauge_lines(case),
        record=job_record(case),
    )


def _firm(case: JobCase) -> str:
    """How firm the decision is, where it is still to be carried out."""
    end = case.conclusion
    return firm_line(case.session, end.repair) if case.judges and not (end.solved or end.why == "unverified") else ""


def _head(case: JobCase, letterhead: Letterhead) -> Head:
    job, knowledge = case.job, case.knowledge
    roles: dict[RoleId, str] = {name: case.say(role.wording) for name, role in knowledge.roles.items()}
    complaint = knowledge.trees.get(job.complaint or "")
    return Head(
        shop=letterhead.head,
        telephone=cleaned(letterhead.telephone),
        address=cleaned(letterhead.address),
        licence=cleaned(letterhead.licence),
        hours=cleaned(letterhead.hours),
        closing=cleaned(letterhead.closing),
        date=case.date,
        job=cleaned(job.id),
        role=roles.get(job.role, "") if job.role is not None else "",
        unit=case.say(case.unit.wording) if complaint is not None or job.unit is not None else "",
        unit_assumed=job.unit_assumed,
        complaint="" if complaint is None else case.say(complaint.wording),
        brought=tuple(brought_thing(thing) for thing in job.brought),
        knowledge=knowledge.fingerprint,
        opened=cleaned(job.fingerprint) if job.fingerprint not in ("", knowledge.fingerprint) else "",
    )
