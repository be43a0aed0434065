"""Which checks are open to whom: not what a unit does not show, nor what has become pointless."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.findings.evidence import Observation
from engine.knowledge.model import ROLES, RoleId
from engine.session.acts import Act
from engine.session.availability import for_amount, may_say, open_checks
from engine.session.job import Answered, Job
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
POINTLESS = [
    (check.id, about, answer)
    for check in KNOWLEDGE.checks.values()
    for about, answers in check.pointless_if.items()
    for answer in answers
]


def job(role: RoleId, unit: str | None = None, **answers: str) -> Job:
    said = {about: Answered(about, Observation(value), "", "") for about, value in answers.items()}
    return Job(role=role, unit=unit, unit_assumed=unit is None, answers=said)


@given(role=st.sampled_from(ROLES), case=st.sampled_from(POINTLESS))
def test_what_has_become_pointless_is_neither_open_nor_put_by_a_written_step(
    role: RoleId, case: tuple[str, str, str]
) -> None:
    check, about, answer = case
    others = [a.id for a in KNOWLEDGE.checks[about].answers if a.id not in KNOWLEDGE.checks[check].pointless_if[about]]
    assert check not in open_checks(KNOWLEDGE, job(role, **{about: answer}))
    assert not may_say(KNOWLEDGE, job(role, **{about: answer}), check)
    for other in others:
        left = open_checks(KNOWLEDGE, job(role, **{about: other}))
        assert (check in left) is (check in open_checks(KNOWLEDGE, job(role)))


def test_a_dark_unit_makes_no_gas_and_shows_no_figures() -> None:
    """No current flows without supply, so nothing is split at the plates: electrolysis, by definition."""
    left = open_checks(KNOWLEDGE, job("phone", unit_power="dark"))
    assert not {"cell_bubbles", "unit_report", "unit_salt", "unit_temp"} & set(left)


@pytest.mark.parametrize(("tree", "asked"), [("flow-fault", False), ("no-output", True), ("supply-fault", True)])
def test_what_the_complaint_has_said_makes_pointless_as_an_answer_does(tree: str, asked: bool) -> None:
    """A unit that has stopped for want of flow splits nothing at its plates, by definition."""
    assert ("cell_bubbles" in open_checks(KNOWLEDGE, replace(job("phone"), complaint=tree))) is asked


@pytest.mark.parametrize(
    ("unit", "asked"), [(None, True), ("default", True), ("number_display", True), ("tells_little", False)]
)
def test_a_figure_is_asked_only_of_a_unit_that_shows_it(unit: str | None, asked: bool) -> None:
    assert ("unit_salt" in open_checks(KNOWLEDGE, job("phone", unit))) is asked
    assert "tested_salt" in open_checks(KNOWLEDGE, job("field", unit))


def test_how_long_ago_something_was_done_is_not_asked_once_it_was_done_just_now() -> None:
    cleaned = Job(role="field", repaired={"acid_clean": "done"}, verified={"acid_clean": "not_helped"})
    left = open_checks(KNOWLEDGE, cleaned)
    assert "months_since_clean" in open_checks(KNOWLEDGE, job("field"))
    assert "months_since_clean" not in left
    # What the cleaning may have changed is looked at again.
    assert {"cell_plates", "unit_salt", "cell_current"} <= set(left)


def test_what_is_seen_is_looked_at_again_even_where_it_makes_other_causes_likelier() -> None:
    """A look that work waits for must not be left out because of what was done before."""
    causes = KNOWLEDGE.causes.values()
    both = {name for cause in causes for name in cause.likelier if any(name in other.shows for other in causes)}
    changed = {(name, repair) for repair, item in KNOWLEDGE.repairs.items() for name in both & set(item.ask_again)}
    assert ("union_leak", "new_temperature_sensor") in changed
    for name, repair in changed:
        done = Job(role="field", repaired={repair: "done"}, verified={repair: "not_helped"})
        assert (name in open_checks(KNOWLEDGE, done)) is (name in open_checks(KNOWLEDGE, job("field")))


def test_amounts_are_asked_for_only_where_the_repair_follows() -> None:
    def wanted(act: Act, **answers: str) -> str | None:
        return for_amount(KNOWLEDGE, job("counter", **answers), act)

    assert wanted(Act("conclude", "sell_and_treat", repair="add_salt")) == "pool_volume"
    assert wanted(Act("perform", "add_salt", repair="add_salt")) == "pool_volume"
    assert wanted(Act("conclude", "send_technician", repair="add_salt")) is None
    assert wanted(Act("conclude", "bring_cell", repair="acid_clean")) is None
    assert wanted(Act("conclude", "other_trade")) is None
    assert (
        for_amount(KNOWLEDGE, Job(role="counter", unknown=["pool_volume"]), Act("perform", "", repair="add_salt"))
        is None
    )
