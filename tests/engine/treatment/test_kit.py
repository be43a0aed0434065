"""What a visit packs: all that its work and the checks still open take, and nothing where nobody comes."""

from __future__ import annotations

from engine.session.acts import Act
from engine.session.outcome import outcome_of
from engine.treatment.kit import kit_for
from tests.reports.jobs import answers, job, opened
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
DARK = job(*opened("counter", "supply-fault"), *answers(unit_power="dark"))
SENT = Act("conclude", "send_technician", repair="renew_power_pack", why="settled")


def test_nobody_packs_where_nobody_comes() -> None:
    home = Act("conclude", "check_at_home", repair="restore_supply", why="settled")
    assert kit_for(outcome_of(DARK, home), ["restore_supply"]) is None


def test_every_part_of_the_work_is_packed_and_every_instrument_of_it_and_of_the_checks() -> None:
    kit = kit_for(outcome_of(DARK, SENT), ["renew_power_pack"])
    assert kit is not None
    repair = KNOWLEDGE.repairs["renew_power_pack"]
    assert [part for part, _ in kit.parts] == [need.part for need in repair.parts]
    assert {repair.needs, *(check.needs for check in kit.checks)} - {"nothing"} == set(kit.needs)


def test_what_was_answered_is_not_checked_again() -> None:
    kit = kit_for(outcome_of(DARK, SENT), ["renew_power_pack"])
    assert kit is not None
    assert "unit_power" not in {check.id for check in kit.checks}
    assert all(check.needs != "nothing" for check in kit.checks)
