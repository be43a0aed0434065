"""Which events a session takes in: those that name what its knowledge knows, with answers that can be."""

from __future__ import annotations

from engine.foundation.texts import say
from engine.knowledge.model import DANGER_CHECK, Knowledge
from engine.session.danger import CLEARERS
from engine.session.job import SET_UP
from engine.session.journal import Event


def refuse_unknown(event: Event, known: Knowledge) -> None:
    """Raises ValueError where an event names what the knowledge does not know, or gives what is no answer."""
    if event.kind in ("answered", "corrected"):
        if event.about in SET_UP:
            lists: dict[str, list[str]] = {
                "role": list(known.roles),
                "unit": list(known.units),
                "complaint": list(known.trees),
            }
            choices = lists.get(event.about)
            if choices is not None and event.value not in choices:
                known_ones = ", ".join(choices)
                raise ValueError(say("admitting.not_one_of", value=repr(event.value), known=known_ones))
        elif event.about not in known.checks:
            raise ValueError(say("admitting.no_check", name=repr(event.about)))
        else:
            _refuse_answer(event, known)
    if event.kind in ("repaired", "verified", "already_tried") and event.about not in known.repairs:
        raise ValueError(say("admitting.no_repair", name=repr(event.about)))
    if event.kind in ("danger_reported", "danger_cleared") and event.about not in known.dangers:
        raise ValueError(say("admitting.no_danger", name=repr(event.about)))
    if event.kind == "danger_cleared" and event.value not in CLEARERS:
        raise ValueError(say("admitting.not_one_of", value=repr(event.value), known=", ".join(CLEARERS)))
    later = {*known.checks, *known.repairs} - {DANGER_CHECK}
    if event.kind == "deferred" and event.about not in later:
        raise ValueError(say("admitting.cannot_wait", name=repr(event.about)))


def _refuse_answer(event: Event, known: Knowledge) -> None:
    check = known.checks[event.about]
    if check.is_number:
        assert check.possible is not None, check.id
        low, high = check.possible
        if not isinstance(event.value, int | float) or not low <= event.value <= high:
            limits = {"low": f"{low:g}", "high": f"{high:g}"}
            raise ValueError(say("admitting.no_number", value=repr(event.value), unit=check.unit, **limits))
    elif event.value not in [answer.id for answer in check.answers]:
        raise ValueError(say("admitting.no_answer", value=repr(event.value), check=check.id))
