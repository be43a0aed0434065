"""An event in two parts: what may be kept for ever, and what somebody said in free words, which can be erased."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace

from engine.session.journal import RECORDED, Event
from engine.session.record import FACTS, MINUTES, PART

_FREE = ("text", "reason")
"""Fields that people type as they like, and anything may stand in them."""


def in_two_parts(event: Event) -> tuple[dict[str, str | float], dict[str, str]]:
    """The event without its kind and time, and apart from it its free words; what is empty is left out."""
    # Its fields are plain: a deep copy of them took half the time of all filing.
    kept = {name: value for name, value in vars(event).items() if value not in ("", None)}
    del kept["kind"], kept["at"]
    words = {name: str(kept.pop(name)) for name in _free_fields(event) if name in kept}
    return kept, words


def _free_fields(event: Event) -> tuple[str, ...]:
    if event.kind == "opened":
        # Its text is the fingerprint of the knowledge.
        return ()
    if event.kind == RECORDED:
        # The text of a part is its unit.
        if event.about in (*FACTS, *MINUTES) or event.about.startswith(PART):
            return ("text",) if event.about == "cause" else ()
        # What this version does not know may tell of people too.
        return ("value", *_FREE)
    return _FREE


def in_one(kind: str, at: str, payload: str, words: Mapping[str, str]) -> Event | None:
    """The event again; None where nothing is left of it once its words were erased."""
    event = replace(Event("noted", at), **{"kind": kind}, **json.loads(payload), **words)  # type: ignore[arg-type]
    erased = (event.kind == "noted" and not event.text) or (event.kind == RECORDED and event.value is None)
    return None if erased else event
