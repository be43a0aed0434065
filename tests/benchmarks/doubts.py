"""What the alarm for slips finds, and how true it is what a decision is said to stand by; through the real interview.

    python -m tests.benchmarks.doubts [--cases N] [--seed S] [--slips 10]

Calls are drawn as in `slips.py`, every answer taken as said, up to the first decision. For the alarm each call is
played without slips and with them; for the firmness all that the person can say besides is asked, and decided again.
"""

from __future__ import annotations

import argparse
import itertools
import sys
from collections.abc import Iterator, Sequence

import numpy as np

from engine.knowledge.model import Plant
from engine.session.availability import open_checks
from engine.session.doubting import likely_slip
from engine.session.firmness import firmness
from tests.benchmarks.people import Reading, drawn
from tests.benchmarks.slips import MOST_ACTS, Played, settings
from tests.shipped import models

EDGES = (0.0, 0.5, 0.7, 0.9, 1.01)


def decided(played: Played) -> str | None:
    """Ask up to the first decision: its repair, `""` for handing on, None where danger or what stays off ends it."""
    for _ in range(MOST_ACTS):
        act = played.session.next(again=False)
        if act.kind in ("perform", "conclude") or act.repair is not None:
            return act.repair or ""
        if act.kind == "make_safe" or act.why == "kept_off":
            return None
        played.go_on(act)
    raise AssertionError("no end")


def alarms(cases: int, seed: int, rate: float) -> tuple[list[bool], list[bool], list[bool]]:
    """Whether an alarm was raised: in calls without a slip, in those with one; and whether it then named a slip."""
    without: list[bool] = []
    slipped: list[bool] = []
    named: list[bool] = []
    for tree, role in settings():
        for number in range(cases):
            for reading in (Reading(), Reading(rate)):
                played = Played(drawn(tree, role, number, seed), reading, "takes as said")
                if decided(played) is None:
                    continue
                found = likely_slip(played.session)
                (slipped if played.person.slipped else without).append(found is not None)
                if found is not None and played.person.slipped:
                    named.append(found.check in played.person.slipped)
    return without, slipped, named


def standing(cases: int, seed: int) -> list[tuple[float, bool]]:
    """What a decision is said to stand by, and whether it stands when all else is answered."""
    found = []
    for tree, role in settings():
        for number in range(cases):
            played = Played(drawn(tree, role, number, seed), Reading(), "takes as said")
            repair, session = decided(played), played.session
            firm = None if repair is None else firmness(session, repair or None)
            if firm is None:
                continue
            while left := open_checks(models().knowledge, session.job):
                played.ask(left[0])
            if session.job.danger is None:
                remedy = session.planner.act_now(session.belief, "mend", _plant(played))[0]
                found.append((firm.stands, (remedy.repair if remedy else "") == repair))
    return found


def _plant(played: Played) -> Plant:
    return "running" if played.session.job.plant == "running" else "isolated"


def _told(cases: int, seed: int, rate: float) -> Iterator[str]:
    without, slipped, named = alarms(cases, seed, rate)
    right = f"the right answer in {np.mean(named):.3f}"
    yield f"alarm in {np.mean(slipped):.3f} of {len(slipped)} calls with a slip, {right}"
    yield f"      in {np.mean(without):.3f} of {len(without)} calls with none"
    firm = standing(cases, seed)
    yield from (_band(firm, low, high) for low, high in itertools.pairwise(EDGES))


def _band(firm: Sequence[tuple[float, bool]], low: float, high: float) -> str:
    inside = [each for each in firm if low <= each[0] < high]
    if not inside:
        return f"said to stand by {low:.1f} to {high:.1f}: none"
    said, stood = (float(np.mean([each[k] for each in inside])) for k in (0, 1))
    return (
        f"said to stand by {low:.1f} to {min(high, 1.0):.1f}: {len(inside)} calls, said {said:.3f}, stood {stood:.3f}"
    )


def main() -> None:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=12)
    parser.add_argument("--seed", type=int, default=404)
    parser.add_argument("--slips", type=float, default=10.0)
    given = parser.parse_args()
    for line in _told(given.cases, given.seed, given.slips / 100.0):
        sys.stdout.write(line + "\n")


if __name__ == "__main__":
    main()
