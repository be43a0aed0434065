"""Slips against all that could have been said, summed by hand; and what is read again before a remedy rests on it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from engine.knowledge.model import DANGER_CHECK
from engine.session.doubting import AGAIN, SLIPS, at_hand, doubts, likely_slip
from engine.session.journal import Event
from engine.session.session import Session
from tests.drawn_jobs import drawn_jobs
from tests.shipped import knowledge, models

AT = "2026-01-02T03:04:05Z"
PLATES = [
    ("role", "field"), ("danger_now", "none"), ("unit", "default"), ("complaint", "supply-fault"),
    ("brought", "nothing"),
    ("unit_power", "dark"), ("breaker", "not_tripped"), ("just_before", "power_cut"), ("other_load", "works"),
]  # fmt: skip


def said(about: str, value: str | float) -> Event:
    return Event("answered", AT, about=about, value=value)


def after(events: Sequence[Event]) -> Session:
    return Session(models(), events)


def by_hand(events: Sequence[Event]) -> dict[str, tuple[float, str]]:
    """P(slip) of each answer and what it then is, from the tree's own tables; only answers with few choices count."""
    session = after(events)
    model = session.model
    readings = {name: str(found.value) for name, found in session.job.readings.items()}
    # What another answer makes pointless tells nothing.
    kept = {item.id for item in session.evidence}
    readings = {name: value for name, value in readings.items() if name in kept}
    rows = {name: [answer.id for answer in knowledge().checks[name].answers] for name in readings}

    def weight(instead: dict[str, str]) -> float:
        total = model.prior.copy()
        for name, value in {**readings, **instead}.items():
            total = total * model.tables[name][rows[name].index(value)]
        return float(total.sum())

    as_said = weight({})
    odds, best = {}, {}
    for name, value in readings.items():
        if name == DANGER_CHECK:
            continue
        others = {other: weight({name: other}) for other in rows[name] if other != value}
        odds[name] = SLIPS / (1 - SLIPS) / len(others) * sum(others.values()) / as_said
        best[name] = max(others, key=lambda other, found=others: found[other])  # type: ignore[misc]
    whole = 1.0 + sum(odds.values())
    return {name: (odds[name] / whole, best[name]) for name in odds}


@pytest.mark.parametrize("tree", ["no-output", "flow-fault", "low-salt", "water-not-right"])
def test_a_slip_is_as_likely_as_all_other_answers_in_its_place_make_it(tree: str) -> None:
    """Source: Bayes' rule over one slip at most, each other answer as likely, summed here over every other answer."""
    compared = 0
    for _, events in drawn_jobs(models(), tree, 12, seed=4):
        told = [event for event in events if event.kind in ("opened", "answered")]
        wanted = by_hand(told)
        found = {doubt.check: doubt for doubt in doubts(after(told))}
        hangs_together = {name for name in wanted if _makes_pointless(name)}
        for name in wanted.keys() - hangs_together:
            if not hangs_together & wanted.keys():
                assert found[name].slip == pytest.approx(wanted[name][0], abs=1e-9)
                assert found[name].instead == wanted[name][1] or found[name].fits < 1e-6
                compared += 1
    assert compared > 5


def _makes_pointless(name: str) -> bool:
    """Whether another answer here would silence other checks: then more than one table changes with it."""
    checks = knowledge().checks
    return any(check.is_pointless({name: answer.id}) for check in checks.values() for answer in checks[name].answers)


def test_nothing_is_doubted_where_nothing_was_said() -> None:
    session = after([said(about, value) for about, value in PLATES[:5]])
    assert doubts(session) == []
    assert likely_slip(session) is None


def test_what_keeps_the_plant_off_or_tells_of_danger_is_never_called_a_slip() -> None:
    """Over answers that guard somebody, beside whatever else speaks against them."""
    guarding = [
        (check.id, answer.id)
        for check in knowledge().checks.values()
        for answer in check.answers
        if answer.keeps_off and check.id not in models().tree("supply-fault").given
    ]
    assert len(guarding) > 5
    for check, answer in guarding:
        session = after([*(said(about, value) for about, value in PLATES), said(check, answer)])
        found = likely_slip(session)
        assert found is None or found.check != check


def test_what_is_switched_on_or_reset_to_be_seen_is_never_repeated() -> None:
    """A breaker that tripped is reset once at most (common practice, no source), so its question comes once."""
    switching = [check for check in knowledge().checks.values() if check.work.energised_by]
    assert "breaker" in {check.id for check in switching}
    for role in ("counter", "phone", "field"):
        session = after([said("role", role), *(said(about, value) for about, value in PLATES[1:])])
        assert not any(at_hand(session, check) for check in switching)


def burnt() -> Session:
    """A plug found burnt where all else speaks of something small: a costly repair rests on one look."""
    session = after([said(about, value) for about, value in PLATES])
    session.record(Event("made_safe", AT, about="cell_lead"))
    session.record(said("cell_plates", "bent_or_bridged"))
    return session


def to_the_end(session: Session, most: int = 40) -> tuple[list[str], object]:
    """Go on with don't know to all that is new, up to what is read again or decided."""
    asked: list[str] = []
    for _ in range(most):
        act = session.next()
        if act.why == AGAIN or act.kind in ("conclude", "perform") or act.repair is not None:
            return asked, act
        asked.append(act.about)
        kinds = {"isolate": "made_safe", "switch_on": "switched_on"}
        session.record(Event(kinds.get(act.kind, "dont_know"), AT, about=act.about))  # type: ignore[arg-type]
    raise AssertionError("no end")


def test_before_a_dear_repair_the_look_on_which_it_rests_is_taken_again() -> None:
    session = burnt()
    _, act = to_the_end(session)
    assert (act.why, act.about) == (AGAIN, "cell_plates")  # type: ignore[attr-defined]


def test_said_twice_it_stands_and_is_not_asked_a_third_time() -> None:
    session = burnt()
    to_the_end(session)
    session.record(said("cell_plates", "bent_or_bridged"))
    _, act = to_the_end(session)
    assert act.about != "cell_plates"  # type: ignore[attr-defined]
    assert "cell_plates" not in {doubt.check for doubt in doubts(session)}


def test_of_two_readings_that_differ_the_one_that_keeps_off_stands_until_a_third_decides() -> None:
    session = burnt()
    to_the_end(session)
    session.record(said("cell_plates", "clean"))
    assert session.job.answers["cell_plates"].reading.value == "bent_or_bridged"
    act = session.next()
    assert (act.kind, act.about, act.why) == ("ask", "cell_plates", AGAIN)
    session.record(said("cell_plates", "clean"))
    assert session.job.answers["cell_plates"].reading.value == "clean"


@pytest.mark.parametrize("kind", ["dont_know", "cant", "deferred", "noted"])
def test_who_cannot_look_again_leaves_what_was_said_and_is_not_asked_again(kind: str) -> None:
    session = burnt()
    to_the_end(session)
    session.record(Event(kind, AT, about="cell_plates", reason="gone", text="no light"))  # type: ignore[arg-type]
    assert session.job.answers["cell_plates"].reading.value == "bent_or_bridged"
    assert session.next().about != "cell_plates" or session.next().why != AGAIN


def test_a_correction_is_no_second_reading() -> None:
    session = burnt()
    session.record(Event("corrected", AT, about="cell_plates", value="clean"))
    assert session.job.answers["cell_plates"].reading.value == "clean"
    assert len(session.job.read["cell_plates"]) == 1


def test_numbers_agree_within_the_error_of_both() -> None:
    """A drop test of salt errs by 5 % or 100 ppm, as the check says: 3900 and 4100 are one reading, 3000 another."""
    session = after([said(about, value) for about, value in PLATES[:5]])
    for first, second, counts in ((3900.0, 4100.0, 4100.0), (3000.0, 4100.0, 4100.0)):
        session.record(Event("corrected", AT, about="tested_salt", value=first))
        session.record(said("tested_salt", second))
        assert session.job.answers["tested_salt"].reading.value == counts
    session.record(said("tested_salt", 3050.0))
    assert session.job.answers["tested_salt"].reading.value == 3050.0


def test_reading_again_counts_as_a_question() -> None:
    session = burnt()
    to_the_end(session)
    before = session.job.questions
    session.record(said("cell_plates", "bent_or_bridged"))
    assert session.job.questions == before + 1


def test_whoever_takes_every_answer_as_it_is_reads_nothing_again() -> None:
    session = burnt()
    to_the_end(session)
    assert session.next(again=False).why != AGAIN


def test_shares_of_slips_never_exceed_one() -> None:
    for _, events in drawn_jobs(models(), "supply-fault", 20, seed=8, asked=9):
        found = doubts(after([event for event in events if event.kind in ("opened", "answered")]))
        assert 0.0 <= sum(doubt.slip for doubt in found) < 1.0
        assert np.all(np.diff([doubt.slip for doubt in found]) <= 0)
