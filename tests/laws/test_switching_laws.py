"""Laws of switching the supply: off and on no more than the looks and repairs need, on random visits."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from engine.knowledge.model import Plant
from engine.session.acts import Act
from engine.session.journal import Event
from engine.session.session import Session
from engine.strategy.options import points
from tests.shipped import knowledge, models

pytestmark = [
    pytest.mark.e2e,
    pytest.mark.no_cover,
]  # thousands of runs through branches that other tests take too: counting them is dear

KNOWLEDGE = knowledge()
AT = "2026-05-04T09:30:00Z"
MOST_STEPS = 150
RESULTS = ["done", "done", "could_not", "not_done"]
SWITCHED_TO: dict[str, Plant] = {"isolate": "isolated", "switch_on": "running"}


@dataclass(frozen=True)
class Step:
    """An act, and at a switching on the isolated looks that would have paid a switching off of their own before it."""

    act: Act
    paid_their_way: frozenset[str] = frozenset()


def visit(complaint: str, unit: str, data: st.DataObject) -> list[Step]:
    """A technician's visit with random findings, and random outcomes of the repairs."""
    session = Session(models())
    session.record(Event("opened", AT, value="job"))
    for about, value in (("role", "field"), ("danger_now", "none"), ("unit", unit), ("complaint", complaint)):
        session.record(Event("answered", AT, about=about, value=value))
    steps: list[Step] = []
    # A finding that reports a danger ends the visit there.
    while (act := session.next()).kind not in ("conclude", "make_safe"):
        assert len(steps) < MOST_STEPS, "a visit without end"
        steps.append(Step(act, paid_their_way(session) if act.kind == "switch_on" else frozenset()))
        session.record(outcome(session, act, data))
    return steps


def paid_their_way(session: Session) -> frozenset[str]:
    """Isolated looks worth one more switching off and on, and short of the best look by less than that costs."""
    switching = session.role.minutes["isolate"] + session.role.minutes["restore"]
    worth = {found.check: found.worth for found in session.appraise()}
    least = max(switching, max(worth.values(), default=0.0) - switching)
    return frozenset(name for name in worth if KNOWLEDGE.checks[name].plant == "isolated" and worth[name] > least)


def outcome(session: Session, act: Act, data: st.DataObject) -> Event:
    """What comes of an act."""
    match act.kind:
        case "isolate":
            return Event("made_safe", AT, about=act.about)
        case "switch_on":
            return Event("switched_on", AT, about=act.about)
        case "perform":
            return Event("repaired", AT, about=act.about, value=data.draw(st.sampled_from(RESULTS)), reason="seized")
        case "verify":
            helped = data.draw(st.sampled_from(["helped", "not_helped", "not_helped"]))
            return Event("verified", AT, about=act.about, value=helped)
    check = KNOWLEDGE.checks[act.about]
    if not data.draw(st.integers(0, 6)):
        return Event("dont_know", AT, about=check.id)
    # An answer that reports a danger ends the visit, which is another law's.
    chosen = [each.id for each in check.answers if each.reports is None]
    answers: list[str | float] = [*points(check, session.unit)] if check.is_number else [*chosen]
    return Event("answered", AT, about=check.id, value=data.draw(st.sampled_from(answers)))


def needs(act: Act) -> Plant:
    """The plant state that an act needs; a result is seen with the unit at work."""
    if act.kind == "verify":
        return "running"
    return KNOWLEDGE.repairs[act.about].plant if act.kind == "perform" else KNOWLEDGE.checks[act.about].plant


@pytest.mark.parametrize("complaint", sorted(KNOWLEDGE.trees))
@settings(
    max_examples=12,
    deadline=None,
    # What breaks the law is a whole visit; a smaller one would only take time.
    phases=[Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(unit=st.sampled_from(sorted(KNOWLEDGE.units)), data=st.data())
def test_the_supply_is_switched_only_for_what_needs_it_and_never_twice_for_the_same_looks(
    complaint: str, unit: str, data: st.DataObject
) -> None:
    steps = visit(complaint, unit, data)
    state, needed = "running", True
    for place, step in enumerate(steps):
        if step.act.kind not in SWITCHED_TO:
            wanted = needs(step.act)
            assert wanted in ("any", state), "an act in the wrong plant state"
            needed = needed or wanted == state
            continue
        assert needed, "switched, and switched back, with nothing between that needed it"
        assert SWITCHED_TO[step.act.kind] != state, "switched to where it was"
        # What was found may keep it off, whatever is looked at then.
        state, needed = SWITCHED_TO[step.act.kind], step.act.why == "kept_off"
        later = {other.act.about for other in steps[place:] if other.act.kind == "ask"}
        assert not later & step.paid_their_way, "switched off once more for a look that would have paid for it before"
    assert needed, f"switched at last for nothing: {[(s.act.kind, s.act.about, s.act.why) for s in steps[-4:]]}"
