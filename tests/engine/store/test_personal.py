"""What may be kept for ever holds nothing that anybody typed as he liked, and with his words it is the event again."""

from __future__ import annotations

import json

from hypothesis import given
from hypothesis import strategies as st

from engine.session.journal import KINDS, RECORDED, Event
from engine.session.record import TEXTS
from engine.store.personal import in_one, in_two_parts
from tests.engine.store.jobs import job_events

FREE = st.text(st.characters(codec="utf-8"), max_size=8).map(lambda text: f"Zq{text}")
"""Begins as no id does."""


@given(made=job_events())
def test_an_event_is_the_same_again(made: list[Event]) -> None:
    for event in made:
        kept, words = in_two_parts(event)
        assert in_one(event.kind, event.at, json.dumps(kept, sort_keys=True, ensure_ascii=False), words) == event


@given(kind=st.sampled_from([kind for kind in KINDS if kind not in ("opened", RECORDED)]), text=FREE, reason=FREE)
def test_what_is_typed_beside_anything_is_apart(kind: str, text: str, reason: str) -> None:
    event = Event(kind, "2026-05-04T09:30:00Z", "plates", "white_scale", text, "strip", reason, "line")  # type: ignore[arg-type]
    kept, words = in_two_parts(event)
    assert (kept, words) == (
        {"about": "plates", "value": "white_scale", "by": "strip", "beside": "line"},
        {"text": text, "reason": reason},
    )


@given(about=st.sampled_from([*TEXTS, "cause", "what no version knows"]), free=FREE)
def test_what_is_recorded_of_people_is_apart(about: str, free: str) -> None:
    value = "cell_scaled" if about == "cause" else free
    event = Event(RECORDED, "2026-05-04T09:30:00Z", about, value, free if about == "cause" else "", by="maria @ north")
    kept, words = in_two_parts(event)
    assert "Zq" not in json.dumps(kept)
    assert list(words.values()) == [free]


def test_what_was_only_words_is_nothing_without_them() -> None:
    at = "2026-05-04T09:30:00Z"
    for event in (Event("noted", at, text="dog"), Event(RECORDED, at, "customer", "Garcia")):
        kept, _ = in_two_parts(event)
        assert in_one(event.kind, at, json.dumps(kept), {}) is None
