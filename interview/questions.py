"""What the session wants next, as a question ready to be shown; pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from engine.loading.phrases import say
from engine.model import DANGER_CHECK, Check, Knowledge, RoleId
from engine.session import Act, Session
from interview.figures import figures
from interview.frontend import CautionText, Choice, Likely, Measure, Question
from interview.opening import role_question
from interview.wording import (
    BROUGHT,
    KNOWN_ALREADY,
    REASONS,
    SET_UP_WHY,
    numbered_steps,
    plausible,
    separates,
    set_up_text,
    standing,
    units_understood,
)

__all__ = [
    "caution_texts",
    "conclusion",
    "danger_cautions",
    "measure_of",
    "progress_line",
    "question_for",
    "ranked",
    "standing_line",
    "title",
]

_ASSUMED_UNIT = "default"
_AT_HOME = frozenset({"sell_and_treat", "check_at_home", "wait"})
"""Decisions by which the customer does it at home, and can say later how it went."""
_SALT_TEST = "tested_salt"
_CONFIRM = (Choice("done", "Done"), Choice("cannot", "It cannot be done (say why)", needs_reason=True))
_MADE_SAFE = (
    Choice("done", "Done: people are out and away, and it is off or left alone"),
    Choice("not_done", "Not done yet, or it cannot be reached dry"),
)
_OUTCOMES = (
    Choice("done", "Done"),
    Choice("not_done", "Not done"),
    Choice("could_not", "Could not (say why)", needs_reason=True),
)
_HELPED = (
    Choice("helped", "Yes, it helped"),
    Choice("not_helped", "No, the trouble is still there"),
    Choice("later", "It shows later; keep the job open until then"),
)


def question_for(session: Session, act: Act) -> Question:
    """The act as a question, in the words of the role. The act is none that concludes."""
    match act.kind:
        case "set_up":
            return _set_up(session, act)
        case "ask":
            return _ask(session, act)
        case "isolate" | "switch_on":
            return _switching(session, act)
        case "make_safe":
            return _make_safe(session, act)
        case "perform":
            return _perform(session, act)
        case "verify":
            return _verify(session, act)
        case "conclude":
            raise ValueError("a conclusion is no question")


def conclusion(session: Session, headline: str, decision: str) -> Question:
    """Whether the job is to be closed, once its sheet has been shown; where something waits it usually stays open.

    Args: what the sheet decides, in short and by its id.
    """
    repair = session.conclude().repair if session.job.complaint is not None else None
    at_home = session.job.role != "field" and decision in _AT_HOME and repair is not None
    choices = [Choice("close", "Close it"), Choice("keep", "Keep it open; there will be more to say")]
    text = f"{headline} Close this job?"
    if session.job.waiting:
        waits = "; ".join(title(session, about).rstrip("?.") for about in session.job.waiting)
        text = say("talk.later.close", headline=headline, what=waits)
        choices = [Choice("keep", say("talk.later.keep_open")), Choice("close", say("talk.later.close_now"))]
    elif at_home:
        choices.append(Choice("later", say("talk.later.choice")))
    return Question(
        kind="close",
        about=repair or "close",
        text=text,
        choices=tuple(choices),
        how="A job that is kept open can be taken up again later, with the result of what was done.",
        why=("The sheet stands above. Back takes the last answer back and goes on from there.",),
        may_wait=at_home and not session.job.waiting,
    )


def title(session: Session, about: str) -> str:
    """What an answer or an outcome was about, in the words of the role: a check, a repair, a question of the start."""
    knowledge, role = session.knowledge, session.job.role
    if about in knowledge.checks:
        return knowledge.checks[about].wording.for_role(role or "counter")
    if about in knowledge.repairs:
        return knowledge.repairs[about].wording.for_role(role or "counter")
    return set_up_text(about, role)


def caution_texts(knowledge: Knowledge, ids: Iterable[str], role: RoleId) -> tuple[CautionText, ...]:
    """Cautions in the words of this role, in the given order."""
    found = (knowledge.cautions[name] for name in ids)
    return tuple(CautionText(c.id, c.signal, c.wording.for_role(role)) for c in found)


def danger_cautions(knowledge: Knowledge) -> tuple[str, ...]:
    """What must be minded as long as danger has not been ruled out: every caution of the gravest kind."""
    return tuple(caution.id for caution in knowledge.cautions.values() if caution.signal == "DANGER")


def ranked(session: Session, most: int = 5) -> tuple[Likely, ...]:
    """The most probable hypotheses; none before there is evidence."""
    if not _has_evidence(session):
        return ()
    return tuple(Likely(causes, share) for causes, share in session.hypotheses()[:most])


def standing_line(session: Session) -> str:
    """The likeliest causes in one short line; empty before there is evidence."""
    if not _has_evidence(session):
        return ""
    unknown = sum(share for causes, share in session.hypotheses() if not causes)
    return standing(session.knowledge, session.marginals(), unknown)


def progress_line(session: Session, counted: bool = False) -> str:
    """What must be kept in mind (danger not ruled out, the supply off), and for a `counted` question how far along."""
    job = session.job
    parts = []
    if counted:
        parts.append(f"Question {min(len(job.asked) + 1, session.role.limit)} of at most {session.role.limit}.")
    if job.danger_unsaid:
        parts.append("Danger is not ruled out.")
    if job.plant == "isolated":
        parts.append("The supply is off.")
    return " ".join(parts)


def _role(session: Session) -> RoleId:
    """The role; before it was said, the words for everybody."""
    return session.job.role or "counter"


def _has_evidence(session: Session) -> bool:
    return session.job.complaint is not None and any(found.id != DANGER_CHECK for found in session.evidence)


def _set_up(session: Session, act: Act) -> Question:
    knowledge, role = session.knowledge, _role(session)
    words: dict[str, dict[str, str]] = {
        "role": {name: item.wording.customer for name, item in knowledge.roles.items()},
        "unit": {name: item.wording.for_role(role) for name, item in knowledge.units.items()},
        "complaint": {name: item.wording.for_role(role) for name, item in knowledge.trees.items()},
        "brought": dict(BROUGHT),
    }
    if act.about == "role":
        return role_question(words["role"].items())
    unknown = {
        "unit": f'the answer "{words["unit"].get(_ASSUMED_UNIT, _ASSUMED_UNIT)}" is assumed, and the sheet says so',
        "brought": "counts as nothing",
    }
    return Question(
        kind="set_up",
        about=act.about,
        text=set_up_text(act.about, session.job.role),
        choices=tuple(Choice(option, words[act.about].get(option, option)) for option in act.options),
        why=(SET_UP_WHY[act.about],),
        progress=progress_line(session),
        unknown=unknown.get(act.about, ""),
    )


def _units(check: Check) -> tuple[str, ...]:
    """What a number may be typed in."""
    if check.unit is None:
        return ()
    meter = "; a meter's conductivity too, such as 6.5 mS/cm at 24 C" if check.id == _SALT_TEST else ""
    return (f"In {check.unit}; understood: {units_understood(check.unit)}{meter}.",)


def _water_c(session: Session) -> float | None:
    """The water's temperature: by thermometer, else as the unit shows it, else None."""
    readings = session.job.readings
    return next((float(readings[name].value) for name in ("water_temp", "unit_temp") if name in readings), None)


def measure_of(session: Session, check: Check) -> Measure:
    """The number that a check asks for, with what can be and what is likely on this unit."""
    assert check.unit is not None, check.id
    assert check.possible is not None, check.id
    measure = Measure(check.unit, check.wording.technician.lower(), check.possible, plausible(check, session.unit))
    salt = check.id == _SALT_TEST
    return replace(measure, by_conductivity=True, water_c=_water_c(session)) if salt else measure


def _ask(session: Session, act: Act) -> Question:
    check, role, unit = session.knowledge.checks[act.about], _role(session), session.unit
    danger = check.id == DANGER_CHECK
    measure = measure_of(session, check) if check.is_number else None
    shown = unit.reports if check.id == "unit_report" and not session.job.unit_assumed else {}
    return Question(
        kind="ask",
        about=check.id,
        text=check.wording.for_role(role),
        choices=()
        if measure
        else tuple(Choice(a.id, a.wording.for_role(role), shown.get(a.id, "")) for a in check.answers),
        measure=measure,
        how=check.how.for_role(role),
        why=_why(session, check),
        details=(*_units(check), *(() if danger or session.job.asked else (KNOWN_ALREADY,))),
        progress="" if danger else progress_line(session, counted=True),
        standing=standing_line(session),
        ranked=ranked(session),
        # What to do in danger is said when there is danger; said before the question it would only be read past.
        cautions=() if danger else caution_texts(session.knowledge, act.cautions, role),
        confirm_cautions=bool(act.cautions) and not danger and role == "field",
        unknown="the job goes on as if there might be danger" if danger else "this check is passed by",
        may_fail=not danger,
        may_wait=not danger,
        figures=None if danger else lambda: figures(session, check.id),
    )


def _why(session: Session, check: Check) -> tuple[str, ...]:
    if check.id == DANGER_CHECK:
        return ("People come before pools: whoever is in danger is helped first, and the fault waits.",)
    if session.job.complaint is None:
        return ()
    likeliest = list(session.marginals())[:5]
    lines = separates(session.knowledge, session.tree, check, likeliest, _role(session))
    return lines or ("The way through this complaint asks it here.",)


def _switching(session: Session, act: Act) -> Question:
    knowledge, role = session.knowledge, _role(session)
    item = knowledge.checks.get(act.about) or knowledge.repairs[act.about]
    off = act.kind == "isolate"
    state = "off, locked off and proved dead" if off else "on again, closed up, with the pump running"
    minutes = session.role.minutes["isolate" if off else "restore"]
    plainly = "off and locked off" if off else "on again, with all lids closed"
    return Question(
        kind="confirm",
        about=item.id,
        text=f"First: switch the supply {state if role == 'field' else plainly}.",
        choices=_CONFIRM,
        details=(f"For: {item.wording.for_role(role)}", say("talk.switching.minutes", minutes=f"{minutes:g}")),
        why=("What comes next can only be done in this state." if off else "What comes next needs the unit at work.",),
        progress=progress_line(session),
        standing=standing_line(session),
        ranked=ranked(session),
        cautions=caution_texts(session.knowledge, act.cautions, role),
        may_fail=True,
        may_wait=True,
    )


def _make_safe(session: Session, act: Act) -> Question:
    role = _role(session)
    answers = session.knowledge.checks[DANGER_CHECK].answers
    said = next((a.wording.for_role(role) for a in answers if a.id == act.about), act.about)
    return Question(
        kind="confirm",
        about=DANGER_CHECK,
        text="Make it safe first." if role == "field" else "Tell the person there, word for word. Is it done?",
        choices=_MADE_SAFE,
        how="Do only what can be done dry and from a safe place. If in doubt, keep away and call for help.",
        why=(f"There is danger: {said}.", "No fault is looked for until it has been cleared."),
        cautions=caution_texts(session.knowledge, act.cautions, role),
    )


def _perform(session: Session, act: Act) -> Question:
    knowledge, role = session.knowledge, _role(session)
    repair = knowledge.repairs[act.about]
    parts = [f"{knowledge.parts[need.part].wording.for_role(role)} {need.amount}" for need in repair.parts]
    details = [f"About {repair.minutes:g} minutes."]
    at_home = role != "field"
    if parts:
        details.append(f"Parts: {', '.join(parts)}.")
    return Question(
        kind="perform",
        about=repair.id,
        text=say("talk.later.done_at_home", what=repair.wording.customer)
        if at_home
        else f"Repair: {repair.wording.for_role(role)}",
        choices=_OUTCOMES,
        how=repair.steps.for_role(role),
        why=(say("talk.later.why"),)
        if repair.id in session.job.waiting
        else (REASONS.get(act.why, "It is the likeliest to help for its minutes."),),
        details=(*numbered_steps(repair.steps.for_role(role)), *details),
        progress=progress_line(session),
        standing=standing_line(session),
        ranked=ranked(session),
        cautions=caution_texts(knowledge, act.cautions, role),
        # Who did it at home had the cautions on the sheet; here they are read again, not minded.
        confirm_cautions=bool(act.cautions) and not at_home,
        may_fail=True,
        may_wait=True,
    )


def _verify(session: Session, act: Act) -> Question:
    knowledge, role = session.knowledge, _role(session)
    repair = knowledge.repairs[act.about]
    again = [knowledge.checks[name].wording.technician for name in repair.ask_again if name in knowledge.checks]
    return Question(
        kind="verify",
        about=repair.id,
        text=f"Did it help? ({repair.wording.for_role(role)})",
        choices=_HELPED,
        how=f"Look again at: {'; '.join(again)}." if again else "",
        details=() if repair.result_shows == "at once" else (f"The result shows the {repair.result_shows}.",),
        why=("A repair that did not help says as much as a check.",),
        progress=progress_line(session),
        standing=standing_line(session),
        ranked=ranked(session),
        may_wait=True,
    )
