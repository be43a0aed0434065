"""How firm the decision is, in words: by how many such jobs it would stand, and on which answer it turns."""

from __future__ import annotations

from engine.foundation.texts import say
from engine.session.firmness import Firmness, TurningAnswer, firmness
from engine.session.session import Session

CLOSE = 0.75
"""A decision that stands in fewer jobs of 1 than this is called a close call: judgement."""


def firm_line(session: Session, repair: str | None) -> str:
    """How firm it is to set this repair going (None: to hand on); empty where the belief does not decide."""
    found = firmness(session, repair)
    if found is None:
        return ""
    if found.stands >= CLOSE:
        return say("view.firm.stands", stands=_of_ten(found))
    close = say("view.firm.close", stands=_of_ten(found))
    told = {(event.about, event.value) for event in session.events if event.kind in ("answered", "corrected")}
    # What was found before a repair that did not help is read again, and sends nobody elsewhere; and no answer sends
    # anybody past the electrician.
    mains = repair is not None and "electrician" in session.knowledge.repairs[repair].who
    if found.turns is None or mains or (found.turns.check, found.turns.answer) in told:
        return close
    return f"{close} {_turns(session, found.turns)}"


def close_call(session: Session, repair: str | None) -> str:
    """The same where it is a close call, else nothing."""
    found = firmness(session, repair)
    return "" if found is None or found.stands >= CLOSE else firm_line(session, repair)


def _of_ten(found: Firmness) -> int:
    return round(10 * found.stands)


def _turns(session: Session, turns: TurningAnswer) -> str:
    known, role = session.knowledge, session.role.id
    check = known.checks[turns.check]
    answer = next(each for each in check.answers if each.id == turns.answer).wording.for_role(role)
    work = say("view.firm.handing_on")
    if turns.repair is not None:
        work = known.repairs[turns.repair].wording.for_role(role)
    name = check.wording.technician.rstrip(".?")
    return say("view.firm.turns", check=name.lstrip("¿"), answer=answer.rstrip("."), work=work.rstrip("."))
