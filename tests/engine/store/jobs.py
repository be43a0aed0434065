"""Jobs as journals hold them, made up: any order of events that a journal can have, with the free words people type."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from hypothesis import strategies as st

from engine.session.journal import Event, JournalContent
from engine.session.record import FACTS, MINUTES, TEXTS

_BEGINS = datetime(2026, 3, 2, 9, tzinfo=UTC)
_WORDS = st.text(
    st.characters(codec="utf-8", exclude_categories=("C", "Zl", "Zp")), min_size=1, max_size=12
).filter(str.strip)  # fmt: skip
_NEW_ID = st.builds(lambda: str(uuid.uuid4()))
"""Another one in every example: those of a test share one store."""


def _event(kind: str, **fields: st.SearchStrategy[object]) -> st.SearchStrategy[Event]:
    return st.builds(Event, kind=st.just(kind), at=st.just(""), **fields)


_ANY = st.one_of(
    _event("answered", about=st.sampled_from(["unit_power", "tested_salt"]), value=st.sampled_from(["lit", 3200.0]),
           text=_WORDS, by=st.sampled_from(["", "strip"])),
    _event("answered", about=st.sampled_from(["role", "complaint", "unit"]), value=st.just("field")),
    _event("cant", about=st.just("cell_current"), reason=_WORDS),
    _event("dont_know", about=st.just("unit_power")),
    _event("noted", text=_WORDS),
    _event("repaired", about=st.just("acid_clean"), value=st.sampled_from(["done", "could_not"]), reason=_WORDS),
    _event("recorded", about=st.sampled_from(TEXTS), value=_WORDS),
    _event("recorded", about=st.sampled_from(MINUTES), value=st.floats(0, 500, width=16)),
    _event("recorded", about=st.sampled_from(FACTS), value=st.sampled_from(["cell_scaled", "yes", "2026-12-04"])),
    _event("recorded", about=st.just("part:cell"), value=st.just(1.0), text=st.sampled_from(["", "L"])),
    _event("taken_back", value=st.sampled_from([None, "noted", "recorded"])),
    _event("closed", value=st.just("repair_here")),
)  # fmt: skip


@st.composite
def job_events(draw: st.DrawFn) -> list[Event]:
    """One job from its opening on, a minute from one event to the next."""
    job = draw(_NEW_ID)
    first = Event("opened", "", about=job, value="2026-03-02-0900", by="maria @ north shop")
    several = [first, *draw(st.lists(_ANY, max_size=25))]
    times = ((_BEGINS + timedelta(minutes=minute)).strftime("%Y-%m-%dT%H:%M:%SZ") for minute in range(len(several)))
    return [Event(**{**vars(event), "at": at}) for event, at in zip(several, times, strict=True)]


def journal_of(made: Sequence[Event]) -> JournalContent:
    """The events as they are read from a journal, a line each."""
    return JournalContent(tuple(made), tuple(range(1, len(made) + 1)))
