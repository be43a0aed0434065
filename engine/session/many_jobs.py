"""The beliefs of many jobs, those of one tree worked out together."""

from __future__ import annotations

from collections.abc import Iterable

from engine.inference.belief import Array, Evidence, TreeModel
from engine.inference.many import posteriors
from engine.session.believed import BelievedJob


def beliefs(jobs: Iterable[BelievedJob]) -> list[Array]:
    """What each job makes believed, P(hypothesis) over its own tree, in the order of the jobs; as `belief` of each.

    Each job is looked at once, when its turn comes: one job that is led on from event to event will do.
    """
    found: dict[int, Array] = {}
    by_tree: dict[int, tuple[TreeModel, list[int], list[tuple[Evidence, ...]]]] = {}
    for number, job in enumerate(jobs):
        if _repairs_speak(job):
            found[number] = job.belief
            continue
        _, numbers, spoken = by_tree.setdefault(id(job.model), (job.model, [], []))
        numbers.append(number)
        spoken.append(job.evidence)
    for model, numbers, spoken in by_tree.values():
        found |= zip(numbers, posteriors(model, spoken), strict=True)
    return [found[number] for number in sorted(found)]


def _repairs_speak(job: BelievedJob) -> bool:
    """Whether more than the findings speaks: that a repair helped or did not, or what was read before one."""
    return bool(job.job.failed or job.job.stale or "helped" in job.job.verified.values())
