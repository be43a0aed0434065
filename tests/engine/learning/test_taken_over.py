"""Proposals taken over in memory: the same as the file of proposals says, and what that does to worked calls."""

from __future__ import annotations

from dataclasses import replace

import pytest
import yaml

from engine.evaluation.scoring import score
from engine.knowledge.model import Knowledge, frozen
from engine.learning.lessons import PriorWeight, TreeLesson, lessons
from engine.learning.overlay import overlay_lines
from engine.learning.replayed import ReplayedJob, replayed
from engine.learning.taken_over import taken_over, tried
from engine.session.models import Models
from tests.drawn_jobs import drawn_jobs
from tests.shipped import knowledge, models, visible_calls

TREE = "low-salt"
pytestmark = pytest.mark.no_cover  # hundreds of jobs through branches that other tests take too


@pytest.fixture(scope="module")
def wrong() -> Knowledge:
    """The shipped knowledge with one share a thirtieth of what jobs are drawn by."""
    tree = knowledge().trees[TREE]
    most = max(tree.singles, key=tree.singles.__getitem__)
    given = tree.singles[most] * 29 / 30
    others = {name: share * (1 + given / (1 - tree.singles[most])) for name, share in tree.singles.items()}
    singles = {**others, most: tree.singles[most] - given}
    return replace(knowledge(), trees=frozen({**knowledge().trees, TREE: replace(tree, singles=frozen(singles))}))


@pytest.fixture(scope="module")
def found(wrong: Knowledge) -> tuple[TreeLesson, ...]:
    made = Models(wrong)
    jobs = [replayed(made, job, events) for job, events in drawn_jobs(models(), TREE, 300, 3, untold=0.2)]
    seen: list[ReplayedJob] = [job for job in jobs if job is not None]
    return lessons(made, seen, PriorWeight(50.0, 20.0))


def test_what_is_taken_over_is_what_the_file_of_proposals_says(wrong: Knowledge, found: tuple[TreeLesson, ...]) -> None:
    then = taken_over(wrong, found)
    written = list(
        yaml.safe_load_all(
            "\n".join(overlay_lines(found, "x", (50.0, 20.0)))
            .replace("\ntree:", "\n---\ntree:")
            .replace("\ncause:", "\n---\ncause:")
        )
    )
    (tree,) = [part for part in written if part and "tree" in part]
    assert {name: 100 * share for name, share in then.trees[TREE].singles.items() if name in tree["of_100_calls"]} == (
        pytest.approx(tree["of_100_calls"])
    )
    for part in written:
        for check, answers in (part or {}).get("shows", {}).items():
            # The file has two digits.
            assert dict(then.causes[part["cause"]].shows[check]) == pytest.approx(answers, abs=0.011)
    assert then.checks == wrong.checks
    assert {name: cause for name, cause in then.causes.items() if name not in str(written)} == (
        {name: cause for name, cause in wrong.causes.items() if name not in str(written)}
    )


def test_worked_calls_are_held_against_the_proposals_one_by_one(
    wrong: Knowledge, found: tuple[TreeLesson, ...]
) -> None:
    calls = [call for call in visible_calls() if call.complaint == TREE][:8]
    told: list[int] = []
    result = tried(Models(wrong), found, calls, told.append)
    then = Models(taken_over(wrong, found))
    before = [bool(score(Models(wrong), call).first) for call in calls]
    after = [bool(score(then, call).first) for call in calls]
    assert (result.calls, result.right_now, result.right_then) == (len(calls), sum(before), sum(after))
    turned = [call.name for call, one, other in zip(calls, before, after, strict=True) if one != other]
    assert sorted((*result.turned_right, *result.turned_wrong)) == sorted(turned)
    assert told == list(range(1, len(calls) + 1))


def test_where_the_jobs_speak_against_nothing_nothing_moves(found: tuple[TreeLesson, ...]) -> None:
    still = tuple(replace(lesson, shares=(), answers=()) for lesson in found)
    assert taken_over(knowledge(), still) == knowledge()
