"""The laws of the interview can fail: with the switching off or the cautions of a repair left out, they are broken."""

from __future__ import annotations

from contextlib import nullcontext
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import run_state_machine_as_test

from engine.knowledge.model import Repair
from engine.session.acts import Act
from engine.session.session import Session
from tests.laws.test_session_laws import BASKETS_ON_THE_PHONE, Interview, dull

pytestmark = [
    pytest.mark.e2e,
    pytest.mark.no_cover,
]  # thousands of runs through branches that other tests take too: counting them is dear

FOUND_SOON = settings(
    max_examples=60,
    stateful_step_count=30,
    deadline=None,
    derandomize=True,
    database=None,
    # The first case that breaks the law is enough; a smaller one would only take time.
    phases=(Phase.generate,),
    suppress_health_check=list(HealthCheck),
)


def at_once(_: Session, repair: Repair, why: str) -> Act:
    """The repair with its supply left as it is."""
    return Act("perform", repair.id, repair.work.cautions.technician, repair=repair.id, why=why)


def untold(session: Session, name: str) -> Act:
    """What is next for a check or repair, with nothing said of its dangers."""
    return replace(TOLD(session, name), cautions=())


TOLD = Session.act_for
CARRIED_OUT = Session._carry_out


def uncautioned(session: Session, repair: Repair, why: str) -> Act:
    """The repair, switched off for, with nothing said of its dangers."""
    return replace(CARRIED_OUT(session, repair, why), cautions=())


@pytest.mark.parametrize(
    ("method", "broken", "law"),
    [
        ("_carry_out", at_once, "before its plant state"),
        ("_carry_out", uncautioned, "without its caution"),
        ("act_for", untold, "a caution was left out"),
    ],
)
def test_a_step_before_its_plant_state_or_caution_is_caught(
    monkeypatch: pytest.MonkeyPatch, method: str, broken: object, law: str
) -> None:
    monkeypatch.setattr(Session, method, broken)
    with pytest.raises(AssertionError, match=law):
        run_state_machine_as_test(Interview, settings=FOUND_SOON)


@pytest.mark.parametrize(("broken", "law"), [(uncautioned, "without its caution"), (CARRIED_OUT, "")])
def test_it_is_caught_where_a_repair_is_done_on_the_phone(
    monkeypatch: pytest.MonkeyPatch, broken: object, law: str
) -> None:
    monkeypatch.setattr(Session, "_carry_out", broken)
    interview = Interview()
    interview.begun(BASKETS_ON_THE_PHONE)
    with pytest.raises(AssertionError, match=law) if law else nullcontext():
        interview.does_it_together()
        for _ in range(3):
            interview.reply(dull)
    performed = [event.about for event in interview.conversation.session.events if event.kind == "repaired"]
    assert performed == ([] if law else ["empty_baskets"])
