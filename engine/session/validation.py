"""Which events a job takes in: those that name what the knowledge knows, with answers that can be."""

from __future__ import annotations

from collections.abc import Iterable

from engine.foundation.texts import say
from engine.knowledge.model import DANGER_CHECK, Knowledge
from engine.knowledge.properties import DECISIONS
from engine.session.danger import CLEARERS
from engine.session.journal import PLANT, RECORDED, Event
from engine.session.record import refuse_record

_OUTCOMES = {
    "repaired": ("done", "not_done", "could_not"),
    "verified": ("helped", "not_helped", "later"),
    "found": ("running", "off", "unknown"),
    "left": ("on", "off"),
    "part_found": ("here", "not_here"),
}
_BROUGHT = ("nothing", "water_sample", "cell")


def refuse_unknown(event: Event, known: Knowledge) -> None:
    """Raises ValueError where an event names what the knowledge does not know, or gives what is no answer.

    What was done to the supply counts whatever it was done for, and a job that was closed is closed.
    """
    match event.kind:
        case "answered" | "corrected":
            _refuse_said(event, known)
        case "dont_know":
            if event.about not in ("unit", "brought"):
                _refuse_check(event, known.checks)
        case "repaired" | "verified" | "already_tried":
            _refuse_repair(event, known)
        case "cant" | "lifted":
            _refuse_check(event, {*known.checks, *known.repairs, PLANT} - {DANGER_CHECK})
        case "deferred":
            _refuse_waiting(event, known)
        case "found" | "left":
            _refuse_other_than(event, _OUTCOMES[event.kind])
        case "part_found" | "recorded":
            _refuse_part(event, known)
        case "danger_reported" | "danger_cleared":
            _refuse_danger(event, known)
        case "closed" | "handed_on":
            if event.value is not None:
                _refuse_other_than(event, DECISIONS)


def _refuse_repair(event: Event, known: Knowledge) -> None:
    if event.about not in known.repairs:
        raise ValueError(say("admitting.no_repair", name=repr(event.about)))
    if event.kind in _OUTCOMES:
        _refuse_other_than(event, _OUTCOMES[event.kind])


def _refuse_part(event: Event, known: Knowledge) -> None:
    if event.kind == RECORDED:
        refuse_record(event, known.parts)
        return
    if event.about not in known.parts:
        raise ValueError(say("admitting.no_part", name=repr(event.about)))
    _refuse_other_than(event, _OUTCOMES[event.kind])


def _refuse_waiting(event: Event, known: Knowledge) -> None:
    if event.about not in {*known.checks, *known.repairs} - {DANGER_CHECK}:
        raise ValueError(say("admitting.cannot_wait", name=repr(event.about)))


def _refuse_danger(event: Event, known: Knowledge) -> None:
    if event.about not in known.dangers:
        raise ValueError(say("admitting.no_danger", name=repr(event.about)))
    if event.kind == "danger_cleared":
        _refuse_other_than(event, CLEARERS)


def _refuse_said(event: Event, known: Knowledge) -> None:
    start: dict[str, Iterable[str]] = {"role": known.roles, "unit": known.units, "complaint": known.trees}
    if event.about == "brought":
        for thing in str(event.value).split("+"):
            if thing not in _BROUGHT:
                raise ValueError(say("admitting.not_one_of", value=repr(thing), known=", ".join(_BROUGHT)))
    elif event.about in start:
        _refuse_other_than(event, start[event.about])
    else:
        _refuse_check(event, known.checks)
        _refuse_answer(event, known)


def _refuse_other_than(event: Event, choices: Iterable[str]) -> None:
    if event.value not in (choices := tuple(choices)):
        raise ValueError(say("admitting.not_one_of", value=repr(event.value), known=", ".join(choices)))


def _refuse_check(event: Event, names: Iterable[str]) -> None:
    if event.about not in names:
        raise ValueError(say("admitting.no_check", name=repr(event.about)))


def _refuse_answer(event: Event, known: Knowledge) -> None:
    check = known.checks[event.about]
    if check.is_number:
        assert check.possible is not None, check.id
        low, high = check.possible
        if not isinstance(event.value, int | float) or not low <= event.value <= high:
            limits = {"low": f"{low:g}", "high": f"{high:g}"}
            raise ValueError(say("admitting.no_number", value=repr(event.value), unit=check.unit, **limits))
    elif not check.meant(event.value):
        raise ValueError(say("admitting.no_answer", value=repr(event.value), check=check.id))


def usable(event: Event, known: Knowledge) -> bool:
    """Whether the knowledge can make anything of an event; an older journal may name what there is no more."""
    try:
        refuse_unknown(event, known)
    except ValueError:
        return False
    return True


def as_said(event: Event) -> str:
    """An event that cannot be used any more, in a sentence for the paper: what was said stands, unweighed."""
    said = [event.text or ("" if event.value is None else str(event.value)), event.reason]
    about = event.about.replace("_", " ") or event.kind
    return say("admitting.set_aside", about=about, said="; ".join(part for part in said if part) or event.kind)
