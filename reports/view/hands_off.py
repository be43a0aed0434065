"""What a reader keeps their hands off: the work of others, what is closed, what is live."""

from __future__ import annotations

from collections.abc import Sequence

from engine.foundation.texts import say
from engine.session.decisions import OTHERS_COME, OWN_WORK
from engine.treatment.cautions import Concerns
from reports.phrases import either, who_may
from reports.view.case import JobCase
from reports.view.model import Action
from reports.view.opening import own_work_energises, owners_first
from reports.view.safety import gravest_of_dosing, gravest_of_work


def hands_off(case: JobCase, laid_out: Sequence[Action], about: Concerns, never_told: bool) -> list[str]:
    """What is for others to do, and what nobody opens or switches back on.

    `never_told`: what nobody may do in the work itself is told, in the place of what nobody opens.
    """
    mine = ("technician", "owner") if case.voice == "field" else ("owner",)
    whose = {action.repair: case.knowledge.repairs[action.repair].who for action in laid_out}
    theirs = [
        {"work": action.title.rstrip("."), "who": either(who_may(who, case.reader) for who in whose[action.repair])}
        for action in laid_out
        if not set(mine) & set(whose[action.repair])
        # Nobody is warned off a work that a technician does on this visit.
        and (case.voice == "field" or (action.when == "also" and action.decision != "repair_here"))
    ]
    if case.voice == "field":
        return [say("view_advice.hands_off.field", **line) for line in theirs]
    lines = [say("view_advice.hands_off.work", **line) for line in theirs]
    lines += (worst := [] if never_told else _at_own_work(case, laid_out, about))
    # Where others come, or nobody says what the work itself must not come to, what nobody opens is told.
    if not (worst or never_told) or case.conclusion.decision in OTHERS_COME:
        opens = laid_out and laid_out[0].plant == "isolated" and case.conclusion.decision in (*OWN_WORK, "bring_cell")
        lines.append(say(f"view_advice.hands_off.{'opened' if opens else 'boxes'}"))
    if about.mains:
        resets = own_work_energises(case, laid_out)
        lines.append(say(f"view_advice.hands_off.{'mains_with_reset' if resets else 'mains'}"))
    return lines


def _at_own_work(case: JobCase, laid_out: Sequence[Action], about: Concerns) -> list[str]:
    """What the first work can do worst, where the customer does it, or else chlorine by hand until it is done."""
    first = owners_first(case, laid_out) if case.reader == "customer" and not case.live else None
    told = gravest_of_work(case, case.knowledge.repairs[first.repair]) if first is not None else ""
    told = told or (gravest_of_dosing(case) if about.by_hand and case.reader == "customer" else "")
    return list(filter(None, (told,)))
