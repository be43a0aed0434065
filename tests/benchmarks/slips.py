"""M9: what calls cost, and how often the first decision is right, where people misread; through the real interview.

    python -m tests.benchmarks.slips [--cases N] [--slips 0,10] [--seed S] [--policies a,b] [--jobs N] [--json FILE]

Every policy meets the same pools, the same knowing and the same slips. Repairs are carried out and drawn; one that did
not help comes back as such. Costs are those of `engine.strategy.costs`.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from functools import lru_cache, partial
from pathlib import Path

import numpy as np

from engine.knowledge.model import DANGER_CHECK, ROLES, RoleId
from engine.session.availability import open_checks
from engine.session.acts import Act
from engine.session.journal import Event
from engine.session.session import Session
from engine.strategy import Planner
from engine.strategy.costs import check_minutes
from reports.card.boxes import Box, Card
from reports.card.branches import HELPED, NOT_HELPED, NOT_KNOWN
from reports.card.unroll import unroll
from tests.benchmarks.people import Call, Fault, Person, Reading, answer_for, drawn
from tests.benchmarks.policies import SURE
from tests.benchmarks.scoring import ratio_interval
from tests.shipped import models

AT = "2026-01-01T09:00:00Z"
POLICIES = ("program", "everything", "information", "card")
MOST_ACTS = 400


@dataclass
class Result:
    """One call by one policy: minutes in all, questions, whether the first decision was right, remedies in vain."""

    tree: str
    role: str
    policy: str
    slips: float
    minutes: float = 0.0
    questions: int = 0
    again: int = 0
    slipped: int = 0
    first: str | None = None
    right: bool = False
    handed_on: bool = False
    in_vain: int = 0
    claimed: float = 0.0


class Played:
    """One call as it is played: the session, the person, the fault, and what it has come to."""

    def __init__(self, call: Call, reading: Reading, policy: str) -> None:
        """Open the interview as it stands once complaint, unit and what was brought are said."""
        self.call, self.person, self.fault = call, Person(call, reading), Fault(call)
        self.result = Result(call.tree, call.role, policy, reading.slips)
        self.session = Session(models())
        for about, value in (
            ("role", call.role), (DANGER_CHECK, "none"), ("unit", "default"), ("complaint", call.tree),
            ("brought", "+".join(call.brought) or "nothing"),
        ):  # fmt: skip
            self.session.record(Event("answered", AT, about=about, value=value))

    def ask(self, check: str) -> str | float | None:
        """Put a check, at its cost; what was said."""
        item, session = models().knowledge.checks[check], self.session
        plant = item.plant if item.plant != "any" else ("running" if session.job.plant == "running" else "isolated")
        self.result.minutes += check_minutes(item, session.role, plant)
        self.result.questions += 1
        self.result.again += check in session.job.answers
        said = self.person.says(check)
        if said is None:
            session.record(Event("dont_know", AT, about=check))
        else:
            session.record(Event("answered", AT, about=check, value=said))
        return said

    def decide(self, repair: str | None) -> None:
        """Note what was decided first."""
        if self.result.first is not None:
            return
        causes = self.fault.causes
        self.result.first = repair or "hand_on"
        self.result.claimed = float(self.session.belief.max())
        self.result.handed_on = repair is None and bool(causes)
        cures = models().knowledge.repairs[repair].cures if repair else {}
        self.result.right = any(cause in cures for cause in causes) if repair else not causes
        self.result.slipped = len(self.person.slipped)

    def hand_on(self) -> None:
        """Give it up unknown, at its cost."""
        self.decide(None)
        self.result.minutes += float(self._planner.decision.hand_on[self.fault.place()])

    def remedy(self, repair: str, here: bool) -> bool:
        """Set a remedy going, at its cost; whether the plant works then."""
        self.decide(repair)
        session, model = self.session, self._planner.decision
        row, plant = model.repairs.index(repair), 0 if session.job.plant == "running" else 1
        works = self.fault.cured_by(repair)
        self.result.minutes += float((model.right if works else model.wrong)[plant, row])
        self.result.in_vain += not works
        if here:
            session.record(Event("repaired", AT, about=repair, value="done"))
            if session.job.plant != "running":
                session.record(Event("switched_on", AT, about=repair))
            session.record(Event("verified", AT, about=repair, value="helped" if works else "not_helped"))
        elif not works:
            session.record(Event("already_tried", AT, about=repair))
        return works

    @property
    def _planner(self) -> Planner:
        """The strategy of the call's beginning: its costs are those of every repair, tried already or not."""
        return models().planner(self.call.tree, self.session.role, self.session.unit, ())


def play(call: Call, reading: Reading, policy: str) -> Result:
    """One call to its end."""
    played = Played(call, reading, policy)
    if policy == "card":
        _by_card(played)
    else:
        _by_session(played, {"program": _program, "everything": _everything, "information": _information}[policy])
    return played.result


def _by_session(played: Played, choose: Callable[[Session], Act]) -> None:
    session = played.session
    repair_waits: str | None = None
    for _ in range(MOST_ACTS):
        act = choose(session)
        role = session.role
        match act.kind:
            case "ask":
                played.ask(act.about)
            case "isolate":
                # What a repair's switching costs is in the repair's minutes.
                played.result.minutes += 0.0 if act.repair else role.minutes["isolate"]
                if act.repair:
                    repair_waits = act.repair
                    if played.remedy(act.repair, here=True):
                        return
                    continue
                session.record(Event("made_safe", AT, about=act.about))
            case "switch_on":
                played.result.minutes += 0.0 if act.repair else role.minutes["restore"]
                session.record(Event("switched_on", AT, about=act.about))
            case "perform":
                if played.remedy(act.about, here=True):
                    return
            case "verify":
                raise AssertionError(f"{act} after {repair_waits}")
            case "find_part":
                session.record(Event("part_found", AT, about=act.about, value="not_here"))
            case "make_safe":
                return played.hand_on()
            case "conclude":
                if act.repair is None or act.why == "danger":
                    return played.hand_on()
                if played.remedy(act.repair, here=False):
                    return None
            case _:
                raise AssertionError(act)
    raise AssertionError("no end")


def _program(session: Session) -> Act:
    return session.next()


def _everything(session: Session) -> Act:
    due = session.next()
    if due.kind not in ("ask", "perform", "conclude", "isolate", "switch_on") or due.why == "kept_off":
        return due
    checks = models().knowledge.checks
    left = [check for check in open_checks(models().knowledge, session.job)]
    left.sort(key=lambda name: (check_minutes(checks[name], session.role, "running"), name))
    return session.act_for(left[0]) if left and not session.job.danger else _conclude(session)


def _information(session: Session) -> Act:
    due = session.next()
    if due.kind not in ("ask", "perform", "conclude", "isolate", "switch_on") or due.why == "kept_off":
        return due
    remedies = session.belief @ session.planner.decision.remedies
    enough = len(session.job.asked) >= session.role.limit or remedies.max() >= SURE or session.job.danger
    telling = [] if enough else [a for a in session.appraise() if a.bits > 1e-9]
    if not telling:
        return _conclude(session)
    best = max(telling, key=lambda a: (a.chance * a.bits / a.minutes, a.check))
    return session.act_for(best.check)


def _conclude(session: Session) -> Act:
    return session.conclude()


@lru_cache(maxsize=64)
def _card(tree: str, role: RoleId) -> Card:
    return unroll(models(), tree, role)


def _by_card(played: Played) -> None:
    """By the paper card alone: what it asks, in its order, to where it hands on."""
    call, known = played.call, models().knowledge
    boxes = {box.number: box for box in _card(call.tree, call.role).boxes}
    box = boxes[1]
    plant = "running"
    while True:
        plant = _switched(played, box, plant)
        if box.kind == "check":
            # Danger was asked about before all policies begin.
            said = "none" if box.about == DANGER_CHECK else played.ask(box.about)
            answer = NOT_KNOWN if said is None else answer_for(known.checks[box.about], said)
        elif box.kind == "repair" or (box.kind == "hand_on" and box.repair):
            works = played.remedy(box.about if box.kind == "repair" else str(box.repair), here=False)
            if works:
                return
            plant = "running"
            if box.kind == "hand_on":
                return played.hand_on()
            answer = NOT_HELPED
        else:
            return played.hand_on()
        box = boxes[_goal(box, answer)]


def _goal(box: Box, answer: str) -> int:
    for way in box.ways:
        if answer in way.answers:
            return way.goal
    return next((way.goal for way in box.ways if NOT_KNOWN in way.answers), box.ways[0].goal)


def _switched(played: Played, box: Box, plant: str) -> str:
    """The switching before a check on the card; that of a repair is in its own minutes."""
    if box.before and box.kind == "check" and played.call.role != "counter":
        played.result.minutes += played.session.role.minutes["isolate" if box.before == "isolate" else "restore"]
    return plant


def settings() -> list[tuple[str, RoleId]]:
    """Every complaint by every role."""
    return [(tree, role) for tree in models().knowledge.trees for role in ROLES]


def _one(job: tuple[str, RoleId, int, int, tuple[float, ...], tuple[str, ...], float]) -> list[Result]:
    tree, role, number, seed, slips, policies, error = job
    call = drawn(tree, role, number, seed)
    return [play(call, Reading(rate, error), policy) for rate in slips for policy in policies]


def played(
    cases: int, seed: int, slips: Sequence[float], policies: Sequence[str], jobs: int, error: float = 1.0
) -> list[Result]:
    """So many calls of every complaint and role, by every policy at every rate of slips."""
    work = [(t, r, n, seed, tuple(slips), tuple(policies), error) for t, r in settings() for n in range(cases)]
    results: list[Result] = []
    with multiprocessing.Pool(jobs) as pool:
        for nth, found in enumerate(pool.imap(_one, work, chunksize=max(cases // 4, 1)), 1):
            results += found
            if sys.stderr.isatty():
                print(f"\r{nth} of {len(work)} calls", end="", file=sys.stderr)
    return results


def _rows(results: Sequence[Result]) -> Iterator[str]:
    by = lambda rate, policy: [r for r in results if r.slips == rate and r.policy == policy]  # noqa: E731
    policies = list(dict.fromkeys(r.policy for r in results))
    rates = sorted({r.slips for r in results})
    start = np.array([r.minutes for r in by(rates[0], policies[0])])
    yield "slips  policy        first  vain1  handed  cost/first policy      cost/own at least slips  questions again vain"
    for rate in rates:
        base = np.array([r.minutes for r in by(rate, policies[0])])
        for policy in policies:
            own = by(rate, policy)
            minutes = np.array([r.minutes for r in own])
            ratio, (low, high) = ratio_interval(minutes, base)
            at0 = np.array([r.minutes for r in by(rates[0], policy)])
            rise, (rl, rh) = ratio_interval(minutes, at0)
            mean = lambda f: float(np.mean([f(r) for r in own]))  # noqa: E731
            yield (
                f"{rate:5.2f}  {policy:12s}  {mean(lambda r: r.right):.3f}  "
                f"{mean(lambda r: not r.right and not r.handed_on):.3f}  {mean(lambda r: r.handed_on):.3f}  "
                f"{ratio:.3f} ({low:.3f}-{high:.3f})  {rise:.3f} ({rl:.3f}-{rh:.3f})  "
                f"{mean(lambda r: r.questions):5.2f} {mean(lambda r: r.again):.2f} {mean(lambda r: r.in_vain):.2f} "
                f"{minutes.mean():.1f} min"
            )
    assert len(start)


def main() -> None:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=23)
    parser.add_argument("--seed", type=int, default=9)
    parser.add_argument("--slips", default="0,5,10,20")
    parser.add_argument("--error", type=float, default=1.0)
    parser.add_argument("--policies", default=",".join(POLICIES))
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--json", type=Path)
    given = parser.parse_args()
    slips = [float(rate) / 100.0 for rate in given.slips.split(",")]
    results = played(given.cases, given.seed, slips, given.policies.split(","), given.jobs, given.error)
    print(*_rows(results), sep="\n")
    if given.json:
        given.json.write_text(json.dumps([asdict(r) for r in results]))


if __name__ == "__main__":
    main()
