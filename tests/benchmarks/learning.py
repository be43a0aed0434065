"""How fast and how true `brinecall learn` is: jobs drawn from a folder with some shares changed on purpose.

    python -m tests.benchmarks.learning [--jobs 5000] [--shops 20] [--speed 2000] [--rounds 3]

Prints for several simulated shops how many of the intervals of 95 % hold the true shares, and how often the first cause
is right with the wrong shares, with the proposed ones and with the true ones; then jobs a second with one process, with
two and on a cluster of two, in one run.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from engine.knowledge.model import SOMETHING_ELSE, Knowledge
from engine.learning.lessons import PriorWeight, lessons
from engine.learning.replayed import replayed
from engine.session.models import Models
from engine.store.connect import Store, open_store
from engine.store.filing import JobRecord, file_job
from engine.store.identity import Writer
from engine.store.rows import FiledEvent
from interview.command_line.context import Places
from interview.command_line.many_jobs import Workers
from interview.commands.learn import _replayed
from tests.drawn_jobs import drawn_jobs
from tests.shipped import knowledge, models

TREE = "low-salt"


def changed(known: Knowledge, seed: int) -> Knowledge:
    """The knowledge with four of the larger shares of a tree wrong by a factor of two or three."""
    drawn, tree = np.random.default_rng(seed), known.trees[TREE]
    large = sorted(tree.singles, key=lambda cause: -tree.singles[cause])[:8]
    factors = dict(zip(drawn.choice(large, 4, replace=False), drawn.choice([1 / 3, 1 / 2, 2, 3], 4), strict=True))
    wrong = {cause: share * float(factors.get(cause, 1.0)) for cause, share in tree.singles.items()}
    total = sum(wrong.values())
    singles = {cause: share / total for cause, share in wrong.items()}
    return replace(known, trees={**known.trees, TREE: replace(tree, singles=singles)})


def one_shop(jobs: int, seed: int) -> tuple[int, int, float, float, float]:
    """Intervals that hold the truth and all of them; first right with the wrong, proposed and true shares."""
    wrong = Models(changed(knowledge(), seed))
    drawn = list(drawn_jobs(models(), TREE, jobs, seed, untold=0.3))
    found = [job for job in (replayed(wrong, *one) for one in drawn) if job is not None]
    (lesson,) = lessons(wrong, found, PriorWeight(50.0, 20.0))
    tree = knowledge().trees[TREE]
    total = sum(tree.singles.values())
    held = [one.proposed.low <= tree.singles[one.cause] / total <= one.proposed.high for one in lesson.shares]
    best = [job for job in (replayed(models(), *one) for one in drawn) if job is not None]
    (true_lesson,) = lessons(models(), best, PriorWeight(1e9, 20.0))
    guesses = lesson.guesses
    return sum(held), len(held), guesses.first.value, guesses.first_after.value, true_lesson.guesses.first.value


def speed(jobs: int, rounds: int) -> dict[str, float]:
    """Jobs a second of `learn` with one process, with two and on a cluster of two, by its name: the most of each.

    The jobs come out of a store. Each round takes them all in turn, and counts from the first handful that is back.
    """
    from distributed import LocalCluster

    with TemporaryDirectory() as folder, LocalCluster(2, threads_per_worker=1, dashboard_address=None) as cluster:
        work = {"one": Workers(1), "two": Workers(2), "cluster": Workers(1, cluster.scheduler_address)}
        with closing(open_store(str(Path(folder, "store.sqlite")))) as store:
            _filled(store, jobs)
            rates = {
                name: max(_rate(store, Path(folder), workers) for _ in range(rounds)) for name, workers in work.items()
            }
    return rates


def _filled(store: Store, jobs: int) -> None:
    writer = Writer("maria", "north shop")
    with store.writing() as connection:
        for job, events in drawn_jobs(models(), TREE, jobs, 1):
            rows = tuple(FiledEvent(number, event, writer) for number, event in enumerate(events, start=1))
            file_job(connection, JobRecord(job, job, rows))


def _rate(store: Store, folder: Path, workers: Workers) -> float:
    begun, seen = 0.0, 0
    for _ in _replayed(store, models(), Places(jobs=folder), "", workers):
        begun = begun or time.perf_counter()
        seen += 1
    return (seen - 1) / (time.perf_counter() - begun)


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=5000)
    parser.add_argument("--shops", type=int, default=20)
    parser.add_argument("--speed", type=int, default=2000)
    parser.add_argument("--rounds", type=int, default=3)
    asked = parser.parse_args(arguments)
    assert SOMETHING_ELSE in knowledge().trees[TREE].singles
    shops = [one_shop(asked.jobs, seed) for seed in range(asked.shops)]
    held, of = sum(shop[0] for shop in shops), sum(shop[1] for shop in shops)
    lines = []
    if shops:
        told = f"{asked.shops} shops of {asked.jobs} jobs: {held} of {of} intervals hold the truth"
        lines.append(f"{told} ({100 * held / of:.1f} %)")
        for name, place in (("wrong", 2), ("proposed", 3), ("true", 4)):
            right = np.mean([shop[place] for shop in shops])
            lines.append(f"first cause right with the {name} shares: {100 * right:.2f} %")
    if asked.speed:
        rates = speed(asked.speed, asked.rounds)
        beside = (f"{name} {rate:.0f} ({rate / rates['one']:.2f} x)" for name, rate in rates.items())
        lines.append(f"jobs a second, from the first handful on: {', '.join(beside)}")
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
