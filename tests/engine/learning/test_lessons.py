"""What closed jobs teach, from jobs drawn from the shipped knowledge: guesses judged, nothing proposed for nothing."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
import yaml
from scipy.stats import binom

from engine.foundation.yaml_reader import compose
from engine.knowledge.model import DANGER_CHECK
from engine.learning.lessons import PriorWeight, lessons
from engine.learning.overlay import overlay_lines
from engine.learning.replayed import ReplayedJob, replayed
from engine.session.journal import Event
from engine.session.models import Models
from tests.drawn_jobs import drawn_jobs
from tests.shipped import knowledge, models

pytestmark = pytest.mark.e2e

TREE = "low-salt"
WEIGHT = PriorWeight(50.0, 20.0)


def seen(made: Models, *drawing: object, **more: float) -> list[ReplayedJob]:
    """Drawn jobs, seen again with a knowledge."""
    found = (replayed(made, job, events) for job, events in drawn_jobs(models(), TREE, *drawing, **more))  # type: ignore[arg-type]
    return [job for job in found if job is not None]


@pytest.fixture(scope="module")
def jobs() -> list[ReplayedJob]:
    """Jobs of which three in ten have no outcome told."""
    return seen(models(), 400, 7, untold=0.3)


def test_a_job_seen_again_believes_what_its_answers_said(jobs: list[ReplayedJob]) -> None:
    for job in jobs[:20]:
        assert sum(job.belief) == pytest.approx(1.0)
        assert len(job.answered) <= 7
        assert set(job.moved_nothing) <= set(job.asked)


def test_jobs_of_the_knowledge_itself_speak_against_little_of_it(jobs: list[ReplayedJob]) -> None:
    """Of intervals of 95 %, one in twenty misses the truth: no more than chance makes of so many (binomial)."""
    (lesson,) = lessons(models(), jobs, WEIGHT)
    assert lesson.guesses.jobs == len(jobs)
    assert 0.6 * len(jobs) < lesson.guesses.told < 0.8 * len(jobs)
    against = [one.differs for one in lesson.shares] + [one.differs for one in lesson.answers]
    assert len(against) > 20
    assert binom.sf(sum(against) - 1, len(against), 0.05) > 0.01
    assert lesson.guesses.reliability is not None
    # What is promised by the model that the jobs were drawn from comes true, but for the noise of some 260 guesses,
    # which isotonic regression fits too.
    assert lesson.guesses.reliability.miscalibration < 0.06


def test_a_share_that_was_changed_on_purpose_is_found() -> None:
    tree = knowledge().trees[TREE]
    wrong = {**tree.singles, "salt_low": tree.singles["salt_low"] / 3, "cell_worn": tree.singles["cell_worn"] * 3}
    total = sum(wrong.values())
    changed = replace(tree, singles={cause: share / total for cause, share in wrong.items()})
    made = Models(replace(knowledge(), trees={**knowledge().trees, TREE: changed}))
    (lesson,) = lessons(made, seen(made, 600, 11, untold=0.3), WEIGHT)
    against = {one.cause: one for one in lesson.shares if one.differs}
    assert {"salt_low", "cell_worn"} <= against.keys()
    total_now = sum(tree.singles.values())
    for cause in ("salt_low", "cell_worn"):
        true = tree.singles[cause] / total_now
        assert abs(against[cause].proposed.value - true) < abs(against[cause].now - true) / 2
    assert lesson.guesses.first_after.value >= lesson.guesses.first.value


def test_the_overlay_is_yaml_whose_shares_add_up(jobs: list[ReplayedJob]) -> None:
    found = lessons(models(), jobs, WEIGHT)
    text = "\n".join(overlay_lines(found, "abc", (50.0, 20.0)))
    (tree_part, *_) = re.split(r"\n(?=cause: )", text)
    data = yaml.safe_load(tree_part)
    assert data["tree"] == TREE
    assert data["of_100_calls"].keys() == knowledge().trees[TREE].singles.keys()
    assert sum(data["of_100_calls"].values()) == pytest.approx(100.0, abs=1e-9)
    for part in re.split(r"\n(?=cause: )", text):
        compose("overlay.yaml", part.encode())


def test_a_job_of_danger_or_of_no_complaint_teaches_nothing() -> None:
    at = "2026-01-05T09:00:00Z"
    start = [Event("opened", at, value="2026-01-05-0900"), Event("answered", at, about="role", value="field")]
    assert replayed(models(), "a", start) is None
    danger = [*start, Event("answered", at, about=DANGER_CHECK, value="tingle")]
    assert replayed(models(), "a", [*danger, Event("answered", at, about="complaint", value=TREE)]) is None


def test_a_cause_that_the_trees_lack_is_told_in_its_words() -> None:
    ((job, events),) = drawn_jobs(models(), TREE, 1, 3, untold=1.1)
    told = Event("recorded", events[-1].at, about="cause", value="something_else", text="A Frog  in the sensor")
    found = replayed(models(), job, (*events, told))
    assert found is not None
    (lesson,) = lessons(models(), [found], WEIGHT)
    assert lesson.unheard_of == (("a frog in the sensor", 1),)
    assert lesson.guesses.told == 1
