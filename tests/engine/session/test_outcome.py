"""What a job came to: the same while it is open and once it is closed, judged by what was found before the mend."""

from __future__ import annotations

from engine.session.acts import Act
from engine.session.journal import Event
from engine.session.outcome import outcome_of, waiting_for
from tests.reports.jobs import AT, answers, job, opened

FOUND = [
    *opened("field", "low-salt"),
    *answers(tested_salt=3350.0, unit_salt=2450.0, cell_plates="white_scale", cell_current=11.5),
]
CLEANED = Event("repaired", AT, about="acid_clean", value="done")
NOTHING_PAYS = Act("conclude", "other_trade", why="no_check_pays")


def test_a_job_that_helped_is_judged_by_what_was_found_before_the_repair() -> None:
    after = answers(cell_current=18.4, unit_salt=3300.0)
    outcome = outcome_of(job(*FOUND, CLEANED, *after, Event("verified", AT, about="acid_clean", value="helped")), None)
    assert outcome.conclusion.solved
    assert (outcome.conclusion.decision, outcome.conclusion.repair) == ("repair_here", "acid_clean")
    assert outcome.judged.ranking() == job(*FOUND).ranking()
    assert outcome.numbers["cell_current"] == 11.5


def test_a_repair_nobody_has_looked_at_yet_is_no_mend() -> None:
    outcome = outcome_of(job(*FOUND, CLEANED), None)
    assert outcome.conclusion.why == "unverified"
    assert not outcome.conclusion.solved


def test_closing_a_job_changes_neither_its_repair_nor_its_decision() -> None:
    still_open = outcome_of(job(*FOUND), None).conclusion
    closing = Event("closed", AT, value=still_open.decision, reason="shut for the winter")
    closed = outcome_of(job(*FOUND, closing), None).conclusion
    assert (closed.decision, closed.repair) == (still_open.decision, still_open.repair)
    assert (still_open.reason, closed.reason) == ("", "shut for the winter")


def test_whoever_closes_the_job_has_the_last_word() -> None:
    closing = Event("closed", AT, value="call_electrician")
    assert outcome_of(job(*FOUND, closing), None).conclusion.decision == "call_electrician"


def test_before_the_complaint_there_is_nothing_to_judge() -> None:
    outcome = outcome_of(job(Event("opened", AT)), None)
    assert not outcome.judges
    assert outcome.conclusion.cut_short
    assert (outcome.conclusion.decision, outcome.conclusion.repair) == ("", None)


def test_a_job_is_stuck_where_nothing_pays_and_no_work_is_named() -> None:
    assert outcome_of(job(*FOUND), NOTHING_PAYS).stuck
    assert not outcome_of(job(*FOUND), Act("conclude", "other_trade", repair="restore_supply", why="settled")).stuck


def test_a_result_that_shows_later_is_waited_for() -> None:
    later = Event("verified", AT, about="add_salt", value="later")
    waits = job(*FOUND, Event("repaired", AT, about="add_salt", value="done"), later)
    assert waiting_for(waits.job) == ["add_salt"]
    assert outcome_of(waits, None).conclusion.repair == "add_salt"
