"""Questions of safety: switching the supply, how it is found and left, making a danger safe, going on after it."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import replace

from engine.foundation.texts import said, say
from engine.knowledge.model import DANGER_CHECK, Knowledge
from engine.quantities.quantity import figure
from engine.session.acts import Act
from engine.session.danger import Report, may_clear
from engine.session.journal import PLANT, EventKind
from engine.session.keeping_off import kept_off_by
from engine.session.session import Session
from interview.dialogue.standing import (
    caution_texts,
    choices_of,
    in_short,
    progress_line,
    ranked,
    role_of,
    standing_line,
    title,
)
from interview.messages import CautionText, Choice, Question

FOUND: Mapping[str, tuple[EventKind, EventKind, str]] = {
    "find_plant": ("found", "found", "off"),
    "leave_plant": ("left", "found", "off"),
    "find_part": ("part_found", "part_found", "not_here"),
}
"""By the act that asks: as what a reply is recorded, and as what don't know is."""


def switching(session: Session, act: Act) -> Question:
    """Switch the supply off or on, as a step of its own, with its cautions."""
    role = role_of(session)
    off = act.kind == "isolate"
    reader = "technician" if role == "field" else "customer"
    minutes = session.role.minutes["isolate" if off else "restore"]
    return Question(
        kind="confirm",
        about=act.about,
        text=say(f"asking.switch.off.{reader}" if off else f"asking.switch.on.{reader}"),
        choices=choices_of("confirm", "done", cannot="cannot"),
        details=(
            _switched_for(session, act.about),
            say("talk.switching.minutes", minutes=figure(minutes)),
        ),
        why=(say("asking.switch.why_off" if off else "asking.switch.why_on"),),
        progress=progress_line(session),
        standing=standing_line(session),
        ranked=ranked(session),
        cautions=caution_texts(session.knowledge, act.cautions, role),
        may_fail=True,
        # What was found keeps it off now; that is no work to be put off.
        may_wait=act.about != PLANT,
    )


def _switched_for(session: Session, about: str) -> str:
    """What the supply is switched for: a check, a repair, or what was found and keeps it off."""
    if about != PLANT:
        return say("asking.switch.for", what=title(session, about))
    role = role_of(session)
    found = [session.knowledge.checks[name] for name in kept_off_by(session.knowledge, session.job)]
    said_of = {check.id: session.job.answers[check.id].reading.value for check in found}
    answers = [
        f"{title(session, check.id).strip('¿?')}: {answer.wording.for_role(role)}"
        for check in found
        for answer in check.answers
        if answer.id == said_of[check.id]
    ]
    return say("asking.switch.stays_off", found="; ".join(answers))


def plant_state(session: Session, act: Act) -> Question:
    """The state of the supply, where nobody knows it in this visit; or how the visit leaves it."""
    role, leaving = role_of(session), act.kind == "leave_plant"
    reader = "technician" if role == "field" else "customer"
    key = "leave" if leaving else "find"
    words = said(f"asking.plant.{key}.{reader}")
    cautions = caution_texts(session.knowledge, act.cautions, role)
    return Question(
        kind="plant",
        about=PLANT,
        text=words["text"],
        choices=tuple(Choice(name, words[name]) for name in act.options or ("running", "off")),
        why=(say(f"asking.plant.{key}.why"),),
        details=() if not leaving or "on" in act.options else (say("asking.plant.leave.kept_off"),),
        progress="" if leaving else say("asking.plant.find.since"),
        standing=standing_line(session),
        cautions=cautions,
        unknown="" if leaving else say("asking.plant.find.unknown"),
    )


def making_safe(session: Session, act: Act) -> Question:
    """The first steps beside a danger, and whether they are done."""
    role, danger = role_of(session), session.knowledge.dangers[act.about]
    place = session.job.role or "unsaid"
    return Question(
        kind="confirm",
        about=DANGER_CHECK,
        text=say(f"asking.make_safe.{place}", what=danger.wording.for_role(role)),
        choices=choices_of("made_safe", "done", "not_done"),
        how=say("asking.make_safe.how"),
        why=(say("asking.make_safe.why"),),
        steps=danger.steps.for_role(role),
        steps_first=True,
        cautions=caution_texts(session.knowledge, act.cautions, role),
    )


def found_safe(session: Session, report: Report) -> Question:
    """Who found a danger safe, and what was found or done: whoever goes on says so."""
    danger = session.knowledge.dangers[report.danger]
    words, tells = said("asking.found_safe.by"), say("asking.found_safe.tells")
    who = (Choice(name, words[name], tells=tells) for name in may_clear(danger.kind, session.job.role))
    return Question(
        kind="clear",
        about=danger.id,
        text=say("asking.found_safe.text", what=danger.wording.for_role(role_of(session))),
        choices=(*who, Choice("not_yet", say("asking.found_safe.not_yet"))),
        how=say(f"asking.found_safe.how.{danger.kind}"),
        why=(say("asking.found_safe.why"),),
    )


def danger_cautions(knowledge: Knowledge) -> tuple[str, ...]:
    """What must be minded as long as danger has not been ruled out: the gravest of what is told beside each danger."""
    own = dict.fromkeys(caution for danger in knowledge.dangers.values() for caution in danger.cautions)
    return tuple(caution for caution in own if knowledge.cautions[caution].signal == "DANGER")


def danger_unsaid(session: Session, question: Question) -> tuple[str, tuple[CautionText, ...]]:
    """What is told where nobody can say whether there is danger: the signs of it, and what to mind meanwhile."""
    knowledge, role = session.knowledge, session.job.role or "counter"
    telling = {answer.id for answer in knowledge.checks[DANGER_CHECK].answers if answer.reports}
    signs = "; ".join(choice.text for choice in question.choices if choice.id in telling)
    return say("heeding.danger_unsaid", signs=signs), caution_texts(knowledge, danger_cautions(knowledge), role)


def signs_of_danger(session: Session) -> str:
    """What to look for, each danger in a few words."""
    check, role = session.knowledge.checks[DANGER_CHECK], role_of(session)
    telling = [answer for answer in check.answers if answer.reports]
    return ", ".join((*answer.names, answer.wording.for_role(role))[0] for answer in telling)


def unconfirmed(session: Session, question: Question, minded: Mapping[str, Set[str]]) -> Question:
    """The question with the cautions that were not confirmed for this act in this visit, where it asks for that.

    What was confirmed for another act comes in a line. Args: `minded`, the cautions confirmed in this visit, by act.
    """
    if not question.confirm_cautions or question.one_by_one:
        # Before steps that are read aloud all is said, whatever was said before.
        return question
    mine = minded.get(question.about, set())
    known = {caution for others in minded.values() for caution in others}
    left = [caution for caution in question.cautions if caution.id not in mine]
    told = tuple(
        in_short(session.knowledge, caution, role_of(session)) if caution.id in known else caution for caution in left
    )
    return replace(question, cautions=told, confirm_cautions=bool(told))
