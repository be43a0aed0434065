"""How the proof of an edit grows with the knowledge: `python -m tests.benchmarks.proving [--calls N] [--times 1 3 10]`.

The knowledge is multiplied as it grows in a shop: so many copies of every complaint, each with its own causes and its
own checks, in one catalogue. The calls are those of the first copy. Told are the processor time of a call at each
size, alone and held against an older state, and the exponent of the growth from the size before.
"""

from __future__ import annotations

import argparse
import math
import os
import sys
import time
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).parents[2]))

from engine.evaluation.calls import WorkedCall
from engine.evaluation.scoring import score
from engine.knowledge.model import DANGER_CHECK, SOMETHING_ELSE, Cause, Knowledge, Tree, frozen
from engine.proving.comparing import Comparison, outcome_of_score
from engine.proving.numbers import Number, with_number
from engine.session.models import Models
from tests.shipped import every_call, knowledge

EDITED = "low-salt"


def multiplied(known: Knowledge, times: int) -> Knowledge:
    """The knowledge with so many copies of every cause and check; the first copy keeps its id."""
    checks = {
        _named(name, k): replace(check, id=_named(name, k))
        for k in range(times)
        for name, check in known.checks.items()
        if k == 0 or name != DANGER_CHECK
    }
    causes = {_named(name, k): _copied(cause, k, known) for k in range(times) for name, cause in known.causes.items()}
    repairs = {
        name: replace(repair, cures=frozen({_named(c, k): p for k in range(times) for c, p in repair.cures.items()}))
        for name, repair in known.repairs.items()
    }
    trees = {_named(name, k): _copied_tree(tree, k, known) for k in range(times) for name, tree in known.trees.items()}
    return replace(known, checks=frozen(checks), causes=frozen(causes), repairs=frozen(repairs), trees=frozen(trees))


def _named(name: str, copy: int) -> str:
    return name if copy == 0 else f"{name}_{copy}"


def _copied(cause: Cause, copy: int, known: Knowledge) -> Cause:
    shows = {_named(item, copy) if item in known.checks else item: said for item, said in cause.shows.items()}
    likelier = {_named(item, copy) if item in known.checks else item: said for item, said in cause.likelier.items()}
    return replace(cause, id=_named(cause.id, copy), shows=frozen(shows), likelier=frozen(likelier))


def _copied_tree(tree: Tree, copy: int, known: Knowledge) -> Tree:
    if copy == 0:
        return tree

    def own(said: Mapping[str, Mapping[str, float]]) -> Mapping[str, Mapping[str, float]]:
        return frozen({_named(item, copy) if item in known.checks else item: shares for item, shares in said.items()})

    singles = {cause if cause == SOMETHING_ELSE else _named(cause, copy): p for cause, p in tree.singles.items()}
    return replace(
        tree,
        id=_named(tree.id, copy),
        singles=frozen(singles),
        pairs=frozen({(_named(one, copy), _named(two, copy)): p for (one, two), p in tree.pairs.items()}),
        here=frozen({_named(cause, copy): own(said) for cause, said in tree.here.items()}),
        given=frozen({_named(item, copy): answers for item, answers in tree.given.items()}),
    )


def seconds(known: Knowledge, calls: list[WorkedCall]) -> tuple[float, float]:
    """Processor seconds a call of `try`, and of `try --against --changed` with one share of one tree edited."""
    models = Models(known)
    begun = time.process_time()
    for call in calls:
        score(models, call)
    alone = (time.process_time() - begun) / len(calls)
    tree = known.trees[EDITED]
    edited = with_number(known, Number("tree", tree.id, ("of_100_calls", "cell_worn")), 0.001)
    held = Comparison(models, Models(edited), lambda made, call: outcome_of_score(score(made, call), {}))
    near = [call for call in calls if held.may_touch(call)]
    begun = time.process_time()
    for call in near:
        held.moved(call, held.look(held.new, call))
    return alone, (time.process_time() - begun) / max(len(near), 1)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--calls", type=int, default=24)
    parser.add_argument("--times", type=int, nargs="+", default=[1, 3, 10])
    wanted = parser.parse_args()
    every = sorted(every_call(), key=lambda call: call.complaint != EDITED)
    near = sum(call.complaint == EDITED for call in every)
    half = wanted.calls // 2
    calls = [*every[:half], *every[near :: max((len(every) - near) // half, 1)]]
    before: tuple[int, float, float] | None = None
    for times in wanted.times:
        known = multiplied(knowledge(), times)
        alone, against = seconds(known, calls)
        line = f"x{times}: {len(known.causes)} causes, {len(known.checks)} checks; "
        line += f"{alone * 1000:.0f} ms a call, {against * 1000:.0f} ms a touched call held against an older state"
        if before is not None:
            steps = math.log(times / before[0])
            grown = (math.log(alone / before[1]) / steps, math.log(against / before[2]) / steps)
            line += f"; exponents {grown[0]:.2f} and {grown[1]:.2f}"
        sys.stdout.write(f"{line}\n")
        sys.stdout.flush()
        before = (times, alone, against)


if __name__ == "__main__":
    main()
