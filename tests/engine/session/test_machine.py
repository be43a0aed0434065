"""The machine is moved by events alone: it stands where the job stands, and each of its ways is taken by some job."""

from __future__ import annotations

import functools
from copy import copy
from pathlib import Path

import pytest

from engine.evaluation.calls import read_calls
from engine.evaluation.simulate import run_call
from engine.knowledge.model import DANGER_CHECK, Tree
from engine.session.journal import Event
from engine.session.machine import ENDS, FIXED_STATES, Transition
from engine.session.session import Session
from tests.engine.session.plain_state import plain_bands, plain_state
from tests.shipped import knowledge, models

AT = "2026-05-04T09:30:00Z"
TREES = list(knowledge().trees.values())
CALLS = Path(__file__).parents[3] / "faults" / "calls"
MOST_JOBS_A_STATE = 3
"""Jobs of each role that are led on from a state; what may have gone before differs between them.

As many as one likes are led on by `python -m tests.benchmarks.ways`.
"""


def said(about: str, value: str | float) -> Event:
    return Event("answered", AT, about=about, value=value)


def value_of(check: str, answer: str) -> str | float:
    """An answer of a choice; of a number a reading well inside its band."""
    item = knowledge().checks[check]
    return next(low for name, low, _ in plain_bands(item) if name == answer) if item.is_number else answer


def what_may_happen(tree: Tree) -> list[Event]:
    """Everything that moves a job, each in a few ways: what is said, switched, repaired, told later, ended, undone."""
    steps = [step for step in tree.steps.values() if step.ask is not None]
    other = next(name for name in knowledge().trees if name != tree.id)
    repair, second = list(knowledge().repairs)[:2]
    return [
        *(said(about, value) for about, value in (("unit", "default"), ("complaint", tree.id), ("brought", "nothing"))),
        *(said("role", role) for role in ("counter", "field")),
        *(said(DANGER_CHECK, answer.id) for answer in knowledge().checks[DANGER_CHECK].answers[:2]),
        *(Event("made_safe", AT, about=about) for about in (DANGER_CHECK, repair)),
        *(Event("danger_reported", AT, about=danger) for danger in list(knowledge().dangers)[:2]),
        *(Event("danger_cleared", AT, about=danger, value="technician") for danger in list(knowledge().dangers)[:2]),
        *(Event("dont_know", AT, about=step.ask or "") for step in steps),
        *(said(step.ask or "", value_of(step.ask or "", answer)) for step in steps for answer in step.then),
        *(Event("deferred", AT, about=step.ask or "") for step in steps[:1]),
        *(Event("cant", AT, about=step.ask or "", reason="seized") for step in steps),
        *(Event("lifted", AT, about=step.ask or "") for step in steps),
        *(Event("repaired", AT, about=about, value="done") for about in (repair, second)),
        *(Event("repaired", AT, about=repair, value=value) for value in ("could_not",)),
        *(Event("verified", AT, about=repair, value=value) for value in ("helped", "not_helped")),
        Event("deferred", AT, about=repair, text="tomorrow"),
        Event("noted", AT, text="gate code 12"),
        Event("taken_back", AT),
        said("complaint", other),
        Event("closed", AT, value="repair_here"),
        Event("handed_on", AT, value="send_technician"),
    ]


@functools.cache
def led_on(tree_id: str, most: int = MOST_JOBS_A_STATE) -> list[Session]:
    """Jobs by everything that may happen in every state, again and again, until no state is new."""
    tree = knowledge().trees[tree_id]
    found: list[Session] = []
    seen: dict[tuple[str, str | None, str | None], int] = {}
    begun = [said(*each) for each in (("role", "field"), (DANGER_CHECK, "none"), ("unit", "default"))]
    open_jobs = [Session(models(), [said("complaint", tree.id), *before]) for before in ([], begun)]
    while open_jobs:
        job = open_jobs.pop(0)
        for event in what_may_happen(tree):
            # Led on: that a job told from its beginning stands where it stood is a law of the interview.
            after = copy(job)
            after.record(event)
            found.append(after)
            key = (after.walk.state, after.job.role, after.job.complaint)
            if after.walk.state not in ENDS and after.job.complaint == tree.id:
                seen[key] = seen.get(key, 0) + 1
                if seen[key] <= most:
                    open_jobs.append(after)
    return found


@functools.cache
def worked() -> list[Session]:
    """Every worked call, as it is run without a person."""
    files = [(str(path), path.read_bytes()) for path in [CALLS / "visible.yaml"]]
    calls = [call for name, text in files for call in read_calls(name, text, knowledge(), {})]
    return [run_call(models(), call).session for call in calls]


def stray(jobs: list[Session]) -> list[tuple[str, list[tuple[str, str, object]]]]:
    """A few of the jobs that stand elsewhere than a plain chain of questions says, with what was told."""
    wrong = [job for job in jobs if job.walk.state != plain_state(knowledge(), job.job, job.events)]
    return [(job.walk.state, [(e.kind, e.about, e.value) for e in job.events]) for job in wrong[:3]]


@pytest.mark.no_cover  # thousands of jobs through branches that other tests take too
@pytest.mark.parametrize("tree", TREES, ids=lambda tree: tree.id)
def test_a_job_stands_where_it_would_by_a_plain_chain_of_questions(tree: Tree) -> None:
    jobs = led_on(tree.id)
    assert stray(jobs) == []
    assert {job.walk.state for job in jobs} >= set(FIXED_STATES)


def test_a_worked_call_stands_where_it_would_by_a_plain_chain_of_questions() -> None:
    for session in worked():
        part = Session(models())
        for event in session.events:
            part.record(event)
            assert part.walk.state == plain_state(knowledge(), part.job, part.events)


@pytest.mark.parametrize("tree", TREES, ids=lambda tree: tree.id)
def test_each_way_of_the_machine_is_taken_by_some_job_and_no_other(tree: Tree) -> None:
    jobs = [*led_on(tree.id), *(run for run in worked() if run.job.complaint == tree.id)]
    machine = set(map(key, models().machine(tree.id).transitions))
    taken: set[tuple[str, str, str, str | None]] = set()
    for job in jobs:
        if job.job.complaint == tree.id and not any(e.value != tree.id for e in job.events if e.about == "complaint"):
            taken |= set(map(key, job.walk.taken))
    assert taken - machine == set()
    assert machine - taken == set()


def key(way: Transition) -> tuple[str, str, str, str | None]:
    return (way.source, way.goal, way.why, way.answer)


@pytest.mark.parametrize("tree", TREES, ids=lambda tree: tree.id)
def test_some_job_rests_in_every_state_of_the_machine(tree: Tree) -> None:
    assert {job.walk.state for job in led_on(tree.id)} >= set(models().machine(tree.id).states)


@pytest.mark.parametrize("tree", TREES, ids=lambda tree: tree.id)
def test_states_are_the_steps_that_ask_and_those_of_every_interview(tree: Tree) -> None:
    asking = {step.id for step in tree.steps.values() if step.ask is not None}
    assert set(models().machine(tree.id).states) == asking | set(FIXED_STATES)


def test_an_answer_goes_where_the_tree_says_and_one_put_right_goes_the_other_way() -> None:
    begun = [("role", "field"), (DANGER_CHECK, "none"), ("unit", "default"), ("complaint", "low-salt")]
    begun.append(("just_before", "nothing"))
    session = Session(models(), [said(about, value) for about, value in begun])
    steps = {step.ask: step.id for step in knowledge().trees["low-salt"].steps.values()}
    assert session.walk.state == steps["salt_added"]
    session.record(said("salt_added", "within_a_day"))
    assert session.walk.state == "mixing"
    session.record(Event("corrected", AT, about="salt_added", value="not_lately"))
    assert session.walk.state == "tested"
    session.record(Event("dont_know", AT, about="tested_salt"))
    assert session.walk.state == "dripping"
    session.record(Event("taken_back", AT))
    assert session.walk.state == "tested"


def test_nothing_moves_a_job_that_is_closed() -> None:
    session = Session(models(), [said("role", "phone"), said(DANGER_CHECK, "none"), said("complaint", "low-salt")])
    session.record(Event("closed", AT, value="repair_here"))
    for event in what_may_happen(session.tree):
        if event.kind != "taken_back":
            assert Session(models(), [*session.events, event]).walk.state == "closed"
