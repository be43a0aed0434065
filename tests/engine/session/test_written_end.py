"""A written end of a tree proposes its remedy as long as that is to be tried, and changes nothing that is believed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.knowledge.model import Step
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.session import Session
from tests.shipped import knowledge

AT = "2026-05-04T09:30:00Z"
TREE, ASKED, PROPOSED = "low-salt", "tested_salt", "set_unit_right"
"""What nobody would believe in where the salt test is low."""


def models(*steps: Step) -> Models:
    tree = replace(knowledge().trees[TREE], steps={step.id: step for step in steps})
    return Models(replace(knowledge(), trees={**knowledge().trees, TREE: tree}))


WRITTEN = models(
    Step("first", ask=ASKED, then={"very_low": "end"}, otherwise="free"),
    Step("end", propose=PROPOSED),
    Step("free"),
)
FREE = models(Step("first", ask=ASKED, then={}, otherwise="free"), Step("free"))


def job(of: Models, role: str, salt: float | None, *more: Event) -> Session:
    said = [("role", role), ("danger_now", "none"), ("unit", "default"), ("complaint", TREE)]
    said += [("brought", "nothing")] if role == "counter" else []
    tested = Event("dont_know", AT, about=ASKED) if salt is None else Event("answered", AT, about=ASKED, value=salt)
    return Session(of, [*(Event("answered", AT, about=about, value=value) for about, value in said), tested, *more])


@pytest.mark.parametrize("role", ["counter", "phone", "field"])
def test_where_the_steps_end_their_remedy_is_next(role: str) -> None:
    act = job(WRITTEN, role, 1900.0).next()
    assert (act.repair or act.about) == PROPOSED
    assert act.kind != "ask"


@pytest.mark.parametrize("salt", [None, 5000.0])
def test_where_they_lead_elsewhere_or_nothing_is_known_the_choice_is_free(salt: float | None) -> None:
    written, free = (job(of, "field", salt).next() for of in (WRITTEN, FREE))
    assert written == free


def test_nothing_else_is_believed_for_it() -> None:
    written, free = (job(of, "field", 1900.0) for of in (WRITTEN, FREE))
    assert list(written.belief) == list(free.belief)


def test_once_it_did_not_help_it_is_proposed_no_more() -> None:
    tried = (
        Event("repaired", AT, about=PROPOSED, value="done"),
        Event("verified", AT, about=PROPOSED, value="not_helped"),
    )
    act = job(WRITTEN, "field", 1900.0, *tried).next()
    assert PROPOSED not in (act.repair, act.about)


def test_danger_comes_before_it() -> None:
    act = job(WRITTEN, "field", 1900.0, Event("danger_reported", AT, about="tingle")).next()
    assert act.kind == "make_safe"
