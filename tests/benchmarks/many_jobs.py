"""How many jobs a second and core: `python -m tests.benchmarks.many_jobs [--jobs N]`.

Drawn jobs behind every complaint, six answers each. Told are jobs a second of processor time: their beliefs from the
findings at hand, one by one and together; from the events, one by one and together; what would be done with no further
question; the next step, which is that and what each check is worth; and a closed job seen again for learning.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).parents[2]))

from engine.inference.belief import posterior
from engine.inference.many import posteriors
from engine.learning.replayed import replayed
from engine.session.journal import Event
from engine.session.many_jobs import beliefs
from engine.session.models import Models
from engine.session.session import Session
from engine.strategy.kept_looks import MadeOnce
from tests.drawn_jobs import drawn_jobs
from tests.shipped import models

Jobs = Sequence[tuple[str, Sequence[Event]]]


def a_second(jobs: int, work: Callable[[], object]) -> float:
    """Jobs a second of processor time, the most of three."""
    times = []
    for _ in range(3):
        begun = time.process_time()
        work()
        times.append(time.process_time() - begun)
    return jobs / max(min(times), 1e-9)


def measured(made: Models, jobs: Jobs) -> dict[str, float]:
    """Jobs a second by what is wanted of them."""
    asked = [[event for event in events if event.kind in ("opened", "answered")] for _, events in jobs]
    sessions = [Session(made, events) for events in asked]
    found = [session.evidence for session in sessions]
    by_tree: dict[str, list[int]] = {}
    for number, session in enumerate(sessions):
        by_tree.setdefault(session.tree.id, []).append(number)
    together = {tree: [found[number] for number in numbers] for tree, numbers in by_tree.items()}

    def anew(work: Callable[[Session], object]) -> Callable[[], object]:
        return lambda: [work(Session(Models(made.knowledge, made._trees, made._machines), events)) for events in asked]

    def stepwise() -> None:
        # The planners' tables are kept as they are over many jobs; what a position is worth is worked out each time.
        for planner in made._planners.values():
            planner._appraised = MadeOnce(1)
        for events in asked:
            session = Session(made, events)
            session.appraise()
            session.conclude()

    return {
        "belief, findings at hand, one by one": a_second(
            len(jobs), lambda: [posterior(session.model, session.evidence) for session in sessions]
        ),
        "belief, findings at hand, together": a_second(
            len(jobs), lambda: [posteriors(made.tree(tree), each) for tree, each in together.items()]
        ),
        "belief, from the events, one by one": a_second(len(jobs), anew(lambda session: session.belief)),
        "belief, from the events, together": a_second(
            len(jobs), lambda: beliefs(Session(made, events) for events in asked)
        ),
        "what would be done": a_second(len(jobs), lambda: [Session(made, events).conclude() for events in asked]),
        "next step": a_second(len(jobs), stepwise),
        "seen again for learning": a_second(len(jobs), lambda: [replayed(made, job, events) for job, events in jobs]),
    }


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=100, help="jobs behind each complaint")
    wanted = parser.parse_args()
    made = models()
    jobs = [job for tree in made.knowledge.trees for job in drawn_jobs(made, tree, wanted.jobs, seed=1)]
    sys.stdout.write(f"{len(jobs)} jobs\n")
    for name, value in measured(made, jobs).items():
        sys.stdout.write(f"{name:40}{value:>10.0f} a second\n")


if __name__ == "__main__":
    main()
