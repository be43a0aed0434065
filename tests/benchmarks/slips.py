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
from functools import lru_cache
from pathlib import Path

import numpy as np

from engine.findings.evidence import telling
from engine.knowledge.model import DANGER_CHECK, ROLES, Plant, RoleId
from engine.session.acts import Act
from engine.session.availability import open_checks
from engine.session.journal import Event, EventKind
from engine.session.session import Session
from engine.strategy import Planner, Situation
from engine.strategy.costs import check_minutes
from engine.strategy.options import PLANTS, single_looks
from reports.card.boxes import Box, Card
from reports.card.branches import NOT_HELPED, NOT_KNOWN
from reports.card.unroll import unroll
from tests.benchmarks.edge_cutting import cut_a_minute
from tests.benchmarks.people import Call, Fault, Person, Reading, answer_for, drawn
from tests.benchmarks.policies import SURE
from tests.benchmarks.scoring import ratio_interval
from tests.shipped import models

AT = "2026-01-01T09:00:00Z"
POLICIES = ("program", "takes as said", "everything", "information", "edge cutting", "card")
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

    def go_on(self, act: Act) -> None:
        """Switch the supply, ask, or look into the van, which lacks the part."""
        match act.kind:
            case "ask":
                self.ask(act.about)
            case "isolate" | "switch_on":
                self.result.minutes += self.session.role.minutes["isolate" if act.kind == "isolate" else "restore"]
                kind: EventKind = "made_safe" if act.kind == "isolate" else "switched_on"
                self.session.record(Event(kind, AT, about=act.about))
            case "find_part":
                self.session.record(Event("part_found", AT, about=act.about, value="not_here"))
            case _:
                raise AssertionError(act)

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
        _by_session(played, _CHOOSING[policy])
    return played.result


def _by_session(played: Played, choose: Callable[[Session], Act]) -> None:
    """What the session proposes, or a rival in its place, to the end of the call."""
    for _ in range(MOST_ACTS):
        act = choose(played.session)
        repair = act.about if act.kind == "perform" else act.repair
        if act.kind in ("perform", "isolate", "conclude") and repair is not None and act.why != "danger":
            # What a repair's switching costs is in the repair's minutes.
            if played.remedy(repair, here=act.kind != "conclude"):
                return
        elif act.kind in ("make_safe", "conclude"):
            played.hand_on()
            return
        else:
            played.go_on(act)
    raise AssertionError("no end")


def _program(session: Session) -> Act:
    return session.next()


def _bound(session: Session) -> Act | None:
    """What no policy is free to leave: danger, what stays off, a part to look for; and nobody else reads again."""
    due = session.next(again=False)
    free = due.kind in ("ask", "perform", "conclude", "isolate", "switch_on") and due.why != "kept_off"
    return None if free and session.job.danger is None else due


def _left(session: Session) -> list[str]:
    return open_checks(models().knowledge, session.job)


def _plain(session: Session) -> Act:
    """The program where every answer is taken as it is."""
    return session.next(again=False)


def _everything(session: Session) -> Act:
    if (bound := _bound(session)) is not None:
        return bound
    checks = models().knowledge.checks
    left = sorted((check_minutes(checks[name], session.role, "running"), name) for name in _left(session))
    return session.act_for(left[0][1]) if left else session.conclude()


def _information(session: Session) -> Act:
    if (bound := _bound(session)) is not None:
        return bound
    remedies = session.planner.decision.by_remedy(session.belief[None, :])[0]
    enough = session.job.questions >= session.role.limit or remedies.max() >= SURE
    telling = [] if enough else [found for found in session.appraise() if found.bits > 1e-9]
    if not telling:
        return session.conclude()
    best = max(telling, key=lambda a: (a.chance * a.bits / a.minutes, a.check))
    return session.act_for(best.check)


def _edge_cutting(session: Session) -> Act:
    if (bound := _bound(session)) is not None:
        return bound
    decision, belief = session.planner.decision, session.belief
    remedies = decision.by_remedy(belief[None, :])[0]
    if session.job.questions >= session.role.limit or remedies.max() >= SURE:
        return session.conclude()
    known, job = session.knowledge, session.job
    plant: Plant = "running" if job.plant == "running" else "isolated"
    situation = Situation(session.role, plant, _left(session), telling(known, job.readings), job.brought)
    regions = decision.by_remedy(np.eye(len(belief)))
    worth = [
        (cut_a_minute(belief, regions, look, look.minutes[PLANTS.index(plant)]), look.id)
        for look in single_looks(known, situation, session.planner.outcomes)
    ]
    best = max(worth, default=(0.0, ""))
    return session.act_for(best[1]) if best[0] > 1e-9 else session.conclude()


_CHOOSING: dict[str, Callable[[Session], Act]] = {
    "program": _program,
    "takes as said": _plain,
    "everything": _everything,
    "information": _information,
    "edge cutting": _edge_cutting,
}


@lru_cache(maxsize=64)
def _card(tree: str, role: RoleId) -> Card:
    return unroll(models(), tree, role)


def _by_card(played: Played) -> None:
    """By the paper card alone: what it asks, in its order, to where it hands on."""
    call, known = played.call, models().knowledge
    boxes = {box.number: box for box in _card(call.tree, call.role).boxes}
    box = boxes[1]
    while True:
        if box.before and box.kind == "check" and call.role != "counter":
            # The switching before a repair is in its own minutes.
            played.result.minutes += played.session.role.minutes["isolate" if box.before == "isolate" else "restore"]
        if box.kind == "check":
            # Danger was asked about before all policies begin.
            said = "none" if box.about == DANGER_CHECK else played.ask(box.about)
            answer = NOT_KNOWN if said is None else answer_for(known.checks[box.about], said)
        elif box.mends_by is not None:
            if played.remedy(box.mends_by, here=False):
                return
            answer = NOT_HELPED
        if box.kind not in ("check", "repair"):
            played.hand_on()
            return
        box = boxes[_goal(box, answer)]


def _goal(box: Box, answer: str) -> int:
    ways = [way for way in box.ways if answer in way.answers] or [way for way in box.ways if NOT_KNOWN in way.answers]
    return (ways or list(box.ways))[0].goal


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
                sys.stderr.write(f"\r{nth} of {len(work)} calls")
    return results


def _rows(results: Sequence[Result]) -> Iterator[str]:
    """A line for each rate and policy: how often right, what it costs beside the first policy and the least slips."""
    policies = list(dict.fromkeys(each.policy for each in results))
    rates = sorted({each.slips for each in results})
    yield "slips  policy         right  vain  handed on  cost / first policy    cost / fewest slips    asked  again  min"  # noqa: E501
    for rate, policy in ((rate, policy) for rate in rates for policy in policies):
        own, base, fewest = _of(results, rate, policy), _of(results, rate, policies[0]), _of(results, rates[0], policy)
        yield (
            f"{rate:5.2f}  {policy:13s}  {_share(own, 'right'):.3f}  {_share(own, 'in_vain'):.2f}  "
            f"{_share(own, 'handed_on'):.3f}      {_ratio(own, base)}    {_ratio(own, fewest)}    "
            f"{_share(own, 'questions'):5.2f}  {_share(own, 'again'):.2f}  {_share(own, 'minutes'):6.1f}"
        )
    for rate, role in ((rate, role) for rate in rates for role in ROLES):
        group = [each for each in results if each.role == role]
        costs = {policy: _share(_of(group, rate, policy), "minutes") for policy in policies}
        beside = ", ".join(f"{policy} {cost / costs[policies[0]]:.3f}" for policy, cost in costs.items())
        yield f"{rate:5.2f}  {role}: {beside}"


def _of(results: Sequence[Result], rate: float, policy: str) -> list[Result]:
    return [each for each in results if each.slips == rate and each.policy == policy]


def _share(results: Sequence[Result], name: str) -> float:
    return float(np.mean([getattr(each, name) for each in results]))


def _ratio(own: Sequence[Result], base: Sequence[Result]) -> str:
    ratio, (low, high) = ratio_interval(*(np.array([each.minutes for each in group]) for group in (own, base)))
    return f"{ratio:.3f} ({low:.3f}-{high:.3f})"


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
    sys.stdout.write("\n".join(_rows(results)) + "\n")
    if given.json:
        given.json.write_text(json.dumps([asdict(each) for each in results]), encoding="utf-8")


if __name__ == "__main__":
    main()
