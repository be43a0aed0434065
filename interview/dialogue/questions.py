"""What the session wants next, as a question ready to be shown; pure."""

from __future__ import annotations

from dataclasses import replace

from engine.findings.plausible import plausible_range
from engine.foundation.texts import said, say
from engine.knowledge.model import DANGER_CHECK, REPORT_CHECK, Check
from engine.knowledge.required import DEFAULT_UNIT
from engine.quantities.quantity import figure, unit_shown
from engine.quantities.unit_systems import unit_asked_in
from engine.session.acts import Act
from engine.session.decisions import AT_HOME
from engine.session.session import Session
from interview.dialogue.explanation import question_figures
from interview.dialogue.opening import role_question
from interview.dialogue.phrasing import separates, set_up_text, steps_to_do, units_understood
from interview.dialogue.safety_questions import making_safe, plant_state, switching
from interview.dialogue.standing import caution_texts, choices_of, progress_line, ranked, role_of, standing_line, title
from interview.messages import Choice, Measure, Question
from reports.phrases import amount_in_words, whole_work
from reports.view.firm import close_call

_SALT_TEST = "tested_salt"


def question_for(session: Session, act: Act) -> Question:
    """The act as a question, in the words of the role. The act is none that concludes."""
    match act.kind:
        case "set_up":
            return _set_up(session, act)
        case "ask":
            return _ask(session, act)
        case "isolate" | "switch_on":
            return switching(session, act)
        case "find_plant" | "leave_plant":
            return plant_state(session, act)
        case "find_part":
            return _find_part(session, act)
        case "make_safe":
            return making_safe(session, act)
        case "perform":
            return _perform(session, act)
        case "verify":
            return _verify(session, act)
        case "conclude":
            raise ValueError("a conclusion is no question")


def _find_part(session: Session, act: Act) -> Question:
    """Whether a part for which somebody would come again is in the van after all."""
    words, part = said("asking.part"), session.knowledge.parts[act.about]
    return Question(
        kind="part",
        about=act.about,
        text=say("asking.part.text", part=part.wording.for_role(role_of(session))),
        choices=(Choice("here", words["here"]), Choice("not_here", words["not_here"])),
        why=(say("asking.part.why", work=title(session, act.repair or "")),),
        standing=standing_line(session),
        unknown=say("asking.part.unknown"),
    )


def conclusion(session: Session, headline: str, decision: str) -> Question:
    """Whether the job is to be closed, once its sheet has been shown; where something waits it usually stays open.

    Args: what the sheet decides, in short and by its id.
    """
    # Danger may end a job before its role is said, and then there is nothing to decide.
    started = session.job.complaint is not None and session.job.role is not None
    repair = session.conclude().repair if started else None
    at_home = session.job.role != "field" and decision in AT_HOME and repair is not None
    choices = [Choice("close", say("asking.close.yes")), Choice("keep", say("asking.close.no"))]
    text = say("asking.close.text", headline=headline)
    if session.job.danger is not None:
        on = "found_safe" if session.job.made_safe else "safe_now"
        choices.append(Choice(on, say(f"asking.close.{on}")))
    if session.job.waiting:
        waits = "; ".join(title(session, about).strip("¿?.") for about in session.job.waiting)
        text = say("talk.later.close", headline=headline, what=waits)
        # In the same order as where nothing waits: a number means the same at every end.
        choices = [Choice("close", say("talk.later.close_now")), Choice("keep", say("talk.later.keep_open"))]
    elif decision == "order_and_return" and repair is not None:
        # Kept open it waits for the part, and the next visit begins with fitting it.
        choices[1] = Choice("later", say("asking.close.next_visit"))
    elif at_home:
        choices.append(Choice("later", say("talk.later.choice")))
        if session.job.role == "phone" and decision == "check_at_home" and not session.job.danger_unsaid:
            choices.append(Choice("together", say("talk.together.choice")))
    return Question(
        kind="close",
        about=repair or "close",
        text=text,
        choices=tuple(choices),
        how=say("asking.close.how"),
        why=(say("asking.close.why"),),
        progress="" if session.job.made_safe else progress_line(session),
        standing=_in_short(session, repair),
        may_wait=at_home and not session.job.waiting,
        passes="keep" if session.job.waiting else "",
    )


def _in_short(session: Session, repair: str | None) -> str:
    """What the sheet comes to, said once more where its beginning may have scrolled away."""
    if session.job.danger is not None or repair is None or repair in session.job.verified:
        return ""
    first = say("asking.close.first", what=title(session, repair))
    return " ".join(part for part in (standing_line(session), first, close_call(session, repair)) if part)


def _set_up(session: Session, act: Act) -> Question:
    knowledge, role = session.knowledge, role_of(session)
    words: dict[str, dict[str, str]] = {
        "role": {name: item.wording.customer for name, item in knowledge.roles.items()},
        "unit": {name: item.wording.for_role(role) for name, item in knowledge.units.items()},
        "complaint": {name: item.wording.for_role(role) for name, item in knowledge.trees.items()},
        "brought": dict(said("asking.brought")),
    }
    if act.about == "role":
        return role_question(words["role"].items())
    unknown = {
        "unit": say("asking.unknown.unit", answer=words["unit"].get(DEFAULT_UNIT, DEFAULT_UNIT)),
        "brought": say("asking.unknown.brought"),
    }
    return Question(
        kind="set_up",
        about=act.about,
        text=set_up_text(act.about, session.job.role),
        choices=tuple(Choice(option, words[act.about].get(option, option)) for option in act.options),
        why=(say(f"asking.why.{act.about}"),),
        progress=progress_line(session),
        unknown=unknown.get(act.about, ""),
        harmless=True,
        # A story may begin with a figure, too.
        free=act.about == "complaint",
    )


def _units(check: Check) -> tuple[str, ...]:
    """What a number may be typed in."""
    if check.unit is None:
        return ()
    unit, understood = unit_shown(unit_asked_in(check.unit)), units_understood(check.unit)
    salt = check.id == _SALT_TEST
    if understood == unit:
        return (say("asking.units.only", unit=unit),)
    return (say("asking.units.salt" if salt else "asking.units.plain", unit=unit, understood=understood),)


def _water_c(session: Session) -> float | None:
    """The water's temperature: by thermometer, else as the unit shows it, else None."""
    readings = session.job.readings
    return next((float(readings[name].value) for name in ("water_temp", "unit_temp") if name in readings), None)


def measure_of(session: Session, check: Check) -> Measure:
    """The number that a check asks for, with what can be and what is likely on this unit."""
    assert check.unit is not None, check.id
    assert check.possible is not None, check.id
    likely = plausible_range(check, session.unit, session.knowledge.limits)
    measure = Measure(check.unit, check.wording.technician.lower(), check.possible, likely)
    salt = check.id == _SALT_TEST
    return replace(measure, by_conductivity=True, water_c=_water_c(session)) if salt else measure


def _ask(session: Session, act: Act) -> Question:
    check, role, unit = session.knowledge.checks[act.about], role_of(session), session.unit
    danger = check.id == DANGER_CHECK
    invited = not danger and not session.job.asked and not session.job.answers.keys() - {DANGER_CHECK}
    measure = measure_of(session, check) if check.is_number else None
    shown = unit.reports if check.id == REPORT_CHECK and not session.job.unit_assumed else {}
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
        details=(*_units(check), *((say("asking.known_already"),) if invited else ())),
        progress="" if danger else progress_line(session, counted=True),
        standing=standing_line(session),
        ranked=ranked(session),
        # What to do in danger is said when there is danger; said before the question it would only be read past.
        cautions=() if danger else caution_texts(session.knowledge, act.cautions, role),
        confirm_cautions=bool(act.cautions) and not danger and role == "field",
        unknown=say("asking.unknown.danger" if danger else "asking.unknown.check"),
        may_fail=not danger,
        may_wait=not danger,
        harmless=not danger,
        free=invited,
        figures=None if danger else lambda: question_figures(session, check.id),
    )


def _why(session: Session, check: Check) -> tuple[str, ...]:
    if check.id == DANGER_CHECK:
        return (say("asking.why.danger"),)
    if session.job.complaint is None:
        return ()
    likeliest = list(session.marginals())[:5]
    lines = separates(session.knowledge, session.tree, check, likeliest, role_of(session))
    return lines or (say("asking.why.the_way"),)


def _perform(session: Session, act: Act) -> Question:
    knowledge, role = session.knowledge, role_of(session)
    repair = knowledge.repairs[act.about]
    parts = [
        say(
            "asking.repair.part",
            part=knowledge.parts[need.part].wording.for_role(role),
            amount=amount_in_words(need.amount),
        )
        for need in repair.parts
    ]
    details = [say("talk.switching.minutes", minutes=figure(repair.minutes))]
    if parts:
        details.append(say("asking.repair.parts", parts=", ".join(parts)))
    waited = repair.id in session.job.waiting
    told = role == "counter" or (role == "phone" and waited)
    if told:
        text = say("talk.later.done_at_home", what=repair.wording.customer)
    elif role == "phone":
        text = say("talk.together.text", what=repair.wording.customer)
    else:
        text = say("asking.repair.text", what=repair.wording.technician)
    return Question(
        kind="perform",
        about=repair.id,
        text=text,
        choices=choices_of("outcome", "done", "not_done", cannot="could_not"),
        how=whole_work(repair, role),
        why=(say("talk.later.why"),) if waited else (said("asking.reasons").get(act.why, say("asking.likeliest")),),
        before_steps=repair.before_steps.for_role(role),
        steps=steps_to_do(repair, role),
        details=tuple(details),
        # Read aloud one at a time, each is done before the next is said.
        one_by_one=role == "phone" and not waited,
        progress=progress_line(session),
        standing=standing_line(session),
        ranked=ranked(session),
        cautions=caution_texts(knowledge, act.cautions, role),
        # Who did it at home had the cautions on the sheet; here they are read again, not minded.
        confirm_cautions=bool(act.cautions) and not told,
        may_fail=True,
        may_wait=True,
    )


def _still_shown(session: Session, repair: str) -> tuple[str, ...]:
    """The readings as left that speak against it that a repair helped."""
    checks = [title(session, name) for name in session.still_shown(repair)]
    return (say("asking.verify.still_shown", checks="; ".join(checks)),) if checks else ()


def _verify(session: Session, act: Act) -> Question:
    knowledge, role = session.knowledge, role_of(session)
    repair = knowledge.repairs[act.about]
    again = [knowledge.checks[name].wording.technician for name in repair.ask_again if name in knowledge.checks]
    return Question(
        kind="verify",
        about=repair.id,
        text=say("asking.verify.text", what=repair.wording.for_role(role)),
        choices=choices_of("helped", "helped", "not_helped", "later"),
        how=say("asking.verify.how", checks="; ".join(again)) if again else "",
        details=_still_shown(session, repair.id)
        if act.why == "still_shown"
        else ()
        if repair.result_shows == "at once"
        else (say(f"asking.verify.shows.{repair.result_shows.replace(' ', '_')}"),),
        why=(say("asking.verify.why"),),
        progress=progress_line(session),
        standing=standing_line(session),
        ranked=ranked(session),
        may_wait=True,
    )
