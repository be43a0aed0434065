"""The state machine that is the tree: its written steps and the states of every interview, moved by events."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from copy import copy
from dataclasses import dataclass, field

import numpy as np
from transitions import EventData, Machine

from engine.findings.evidence import evidence
from engine.knowledge.model import DANGER_CHECK, Knowledge, Step, Tree
from engine.knowledge.required import DEFAULT_UNIT
from engine.session.availability import may_say
from engine.session.folding import fold
from engine.session.job import Job
from engine.session.journal import Event
from engine.session.taken_back import effective

OPENING = "opening"
CHOOSING = "choosing"
REPAIRING = "repairing"
VERIFYING = "verifying"
WAITING = "waiting"
SOLVED = "solved"
MAKING_SAFE = "making_safe"
MADE_SAFE = "made_safe"
HANDED_ON = "handed_on"
CLOSED = "closed"
FIXED_STATES = (
    OPENING, CHOOSING, REPAIRING, VERIFYING, WAITING, SOLVED, MAKING_SAFE, MADE_SAFE, HANDED_ON, CLOSED
)  # fmt: skip
"""The states of every interview, beside the written steps of its tree."""
ENDS = (HANDED_ON, CLOSED)


@dataclass(frozen=True)
class Sight:
    """What a guard sees: the job with the event in it, and the written steps passed, each with where it led."""

    knowledge: Knowledge
    job: Job
    event: Event
    passed: tuple[tuple[Step, str], ...]


@dataclass(frozen=True)
class Transition:
    """A way from one state to another, taken where its guard `holds`; earlier ones win.

    `why` names the guard in words. `answer` is the one that a written step's way takes; None takes any other.
    """

    source: str
    goal: str
    why: str
    answer: str | None = None
    holds: Callable[[Sight], bool] = field(default=lambda _: True, compare=False, repr=False)


# --- guards -----------------------------------------------------------------------------------------------------------


def to_set_up(job: Job) -> str | None:
    """What of the start is still to be asked, if any; where there is danger, at most who asks, once it is made safe."""
    if _danger(job) and not job.made_safe:
        return None
    if job.role is None:
        return "role"
    if _danger(job):
        return None
    if job.danger_open:
        return DANGER_CHECK
    if job.unit is None and job.role == "field":
        return "unit"
    if job.complaint is None:
        return "complaint"
    return "brought" if job.role == "counter" and not job.brought_said else None


def _danger(job: Job) -> bool:
    return job.danger is not None


def _endangered(job: Job) -> bool:
    return _danger(job) and to_set_up(job) is None


def _cleared(sight: Sight) -> bool:
    return sight.event.kind == "danger_cleared" and not _danger(sight.job)


def _helped(job: Job) -> bool:
    return job.awaiting is None and "helped" in job.verified.values()


def _result_is_open(job: Job) -> bool:
    return job.awaiting is not None or "later" in job.verified.values()


def _result_shows_later(job: Job) -> bool:
    return _result_is_open(job) and (job.awaiting is None or job.awaiting in job.waiting) and not _helped(job)


def _tried(job: Job) -> bool:
    """Whether a repair was done whose result decides what is next: open, or that it helped."""
    return _result_is_open(job) or _helped(job)


def switched_for(knowledge: Knowledge, job: Job, event: Event) -> bool:
    """Whether the supply was switched for a repair just now: it is not given up for what the switching changed."""
    if event.kind not in ("made_safe", "switched_on") or job.role != "field":
        return False
    return event.about in knowledge.repairs and event.about not in (*job.repaired, *job.left)


def _passable(sight: Sight, step: Step) -> bool:
    """Whether a written step's check has had its turn, or is none for this person here."""
    check = step.ask or ""
    return sight.job.settled(check) or not may_say(sight.knowledge, sight.job, check)


def answer_of(knowledge: Knowledge, job: Job, check: str) -> str | None:
    """What a check says: the answer's id, or the band that fits a number best; None for don't know."""
    if check not in job.answers:
        return None
    reading, unit = job.answers[check].reading, knowledge.units[job.unit or DEFAULT_UNIT]
    if isinstance(reading.value, str):
        return reading.value
    for item in evidence(knowledge, unit, {check: reading}):
        if item.id == check:
            return knowledge.checks[check].answers[int(np.argmax(item.weights))].id
    return None


def _leads_to(sight: Sight, step: Step) -> str:
    answer = answer_of(sight.knowledge, sight.job, step.ask or "") if step.then else None
    return step.then.get(answer or "", step.otherwise or CHOOSING)


def _said_otherwise(tree: Tree) -> Callable[[Sight], bool]:
    """Whether a step that was passed would now be asked, or lead elsewhere: an answer is another one, or gone."""

    def otherwise(sight: Sight) -> bool:
        return any(
            not _passable(sight, step) or state_of(tree, _leads_to(sight, step)) != goal for step, goal in sight.passed
        )

    return otherwise


def _answered(step: Step, answer: str | None) -> Callable[[Sight], bool]:
    def holds(sight: Sight) -> bool:
        return _passable(sight, step) and answer in (None, answer_of(sight.knowledge, sight.job, step.ask or ""))

    return holds


def written_end(tree: Tree, knowledge: Knowledge, job: Job) -> str | None:
    """The repair to which the written steps lead with what is known; None where they leave the choice free."""
    sight, step = Sight(knowledge, job, Event("noted", ""), ()), next(iter(tree.steps.values()), None)
    while step is not None and step.ask is not None and _passable(sight, step):
        step = tree.steps.get(_leads_to(sight, step))
    return None if step is None else step.propose


# --- the table --------------------------------------------------------------------------------------------------------


def table(tree: Tree | None) -> tuple[Transition, ...]:
    """Every transition of a tree (of no tree yet, before the complaint), as one readable table; earlier rows win.

    What leaves a state as it is, such as a note, stands in no row. Every way back into the tree leads to its first
    step, and past all that has had its turn.
    """
    asking = {} if tree is None else asking_steps(tree)
    first = first_state(tree)
    in_tree = (*asking, CHOOSING, REPAIRING)
    safe = (OPENING, *in_tree, VERIFYING, WAITING, SOLVED)
    unsafe = (MAKING_SAFE, MADE_SAFE)
    rows = [
        *_each((*safe, *unsafe), CLOSED, "close", lambda sight: sight.event.kind == "closed"),
        *_each((*safe, *unsafe), HANDED_ON, "hand_on", lambda sight: sight.event.kind == "handed_on"),
        *_each((*safe[1:], *unsafe), OPENING, "set_up", lambda sight: to_set_up(sight.job) is not None),
        *_each(safe, MAKING_SAFE, "endanger", lambda sight: _endangered(sight.job)),
        Transition(MADE_SAFE, first, "cleared", holds=_cleared),
        *_each(unsafe, first, "no_danger", lambda sight: not _danger(sight.job)),
        Transition(MADE_SAFE, MAKING_SAFE, "endanger_again", holds=lambda sight: not sight.job.made_safe),
        Transition(MAKING_SAFE, MADE_SAFE, "made_safe", holds=lambda sight: sight.job.made_safe),
        Transition(OPENING, first, "begin", holds=lambda sight: to_set_up(sight.job) is None),
        *_each(in_tree, VERIFYING, "repaired", lambda sight: _tried(sight.job)),
        Transition(VERIFYING, SOLVED, "helped", holds=lambda sight: _helped(sight.job)),
        Transition(VERIFYING, WAITING, "later", holds=lambda sight: _result_shows_later(sight.job)),
        Transition(VERIFYING, first, "not_helped", holds=lambda sight: not _tried(sight.job)),
        Transition(WAITING, VERIFYING, "due", holds=lambda sight: not _result_shows_later(sight.job)),
        Transition(SOLVED, VERIFYING, "reopened", holds=lambda sight: not _helped(sight.job)),
    ]
    if tree is not None:
        later = [state for state in in_tree if state not in (first, REPAIRING)]
        rows += _each(later, first, "anew", _said_otherwise(tree))
        for step in asking.values():
            goals: Iterable[tuple[str | None, str]] = (*step.then.items(), (None, step.otherwise or CHOOSING))
            rows += [
                Transition(step.id, state_of(tree, goal), "answer", answer, _answered(step, answer))
                for answer, goal in goals
            ]
    rows += [
        Transition(CHOOSING, REPAIRING, "switched", holds=lambda s: switched_for(s.knowledge, s.job, s.event)),
        Transition(REPAIRING, CHOOSING, "left", holds=lambda s: not switched_for(s.knowledge, s.job, s.event)),
    ]
    return tuple(rows)


def _each(sources: Sequence[str], goal: str, why: str, holds: Callable[[Sight], bool]) -> list[Transition]:
    return [Transition(source, goal, why, holds=holds) for source in sources]


def asking_steps(tree: Tree) -> dict[str, Step]:
    """The written steps that are states: a step that asks nothing is passed in an instant."""
    return {name: step for name, step in tree.steps.items() if step.ask is not None}


def first_state(tree: Tree | None) -> str:
    """Where a tree begins: its first step, or the free choice."""
    return CHOOSING if tree is None else state_of(tree, next(iter(tree.steps), CHOOSING))


def state_of(tree: Tree, step: str) -> str:
    """A step that asks nothing leaves the choice free."""
    written = tree.steps.get(step)
    return step if written is not None and written.ask is not None else CHOOSING


class TreeMachine:
    """The machine of one tree, or of none yet. Hides `transitions`, whose triggers a type checker cannot see."""

    def __init__(self, tree: Tree | None) -> None:
        """Build the machine from the table, once for all the jobs of this tree."""
        self.tree = tree
        self._ways: dict[str, list[tuple[str, Transition]]] = {}
        self._machine = Machine(
            model=None,
            states=[OPENING, *(() if tree is None else asking_steps(tree)), *FIXED_STATES[1:]],
            initial=OPENING,
            auto_transitions=False,
            send_event=True,
        )
        for place, row in enumerate(table(tree)):
            # A trigger of its own for each row: tried all under one, they take most of a replay's time.
            self._ways.setdefault(row.source, []).append((str(place), row))
            self._machine.add_transition(
                str(place), row.source, row.goal, conditions=[_Guard(row)], after=[_Taken(row, first_state(tree))]
            )

    @property
    def states(self) -> tuple[str, ...]:
        """All states, the first one first."""
        return tuple(self._machine.states)

    @property
    def transitions(self) -> tuple[Transition, ...]:
        """The machine read back: what would run, in the order in which it would be tried."""
        ways = [way for event in self._machine.events.values() for ways in event.transitions.values() for way in ways]
        return tuple(c.func.row for way in ways for c in way.conditions if isinstance(c.func, _Guard))

    def asked_in(self, state: str) -> str | None:
        """The check that a written step asks; None in the states of every interview."""
        step = None if self.tree is None else self.tree.steps.get(state)
        return None if step is None else step.ask

    def move(self, walk: Walk, knowledge: Knowledge, job: Job, event: Event) -> bool:
        """Take the first transition whose guard holds, if any."""
        sight = Sight(knowledge, job, event, walk.passed)
        for place, row in self._ways.get(walk.state, ()):
            if row.holds(sight):
                return bool(self._machine.events[place].trigger(walk, sight=sight))
        return False


@dataclass(frozen=True)
class _Guard:
    """A row's guard as the library calls it; a value rather than a function, so that a drawing can read it back."""

    row: Transition

    def __call__(self, event: EventData) -> bool:
        return self.row.holds(event.kwargs["sight"])


@dataclass(frozen=True)
class _Taken:
    """Notes on a walk that it took this way; at the tree's first step nothing is passed yet."""

    row: Transition
    first: str

    def __call__(self, event: EventData) -> None:
        walk = event.model
        assert isinstance(walk, Walk)
        walk.note(self.row, self.first)


# --- one job's way through it -----------------------------------------------------------------------------------------


class Walk:
    """One job's way through its tree's machine: the state it stands in, and the transitions that it took."""

    def __init__(self, machine_of: Callable[[str | None], TreeMachine]) -> None:
        """Stand at the beginning. Args: `machine_of` gives the machine of a tree, and of None before the complaint."""
        self.state = OPENING
        self.passed: tuple[tuple[Step, str], ...] = ()
        self.taken: list[Transition] = []
        self._machine_of = machine_of
        self._machine = machine_of(None)

    def copied(self) -> Walk:
        """A walk of its own that stands where this one stands."""
        other = copy(self)
        other.taken = self.taken.copy()
        return other

    @property
    def asks(self) -> str | None:
        """The check that the written step at hand asks; None outside the written steps."""
        return self._machine.asked_in(self.state)

    def take(self, event: Event, job: Job, knowledge: Knowledge) -> None:
        """Follow an event that the job holds already. Another complaint opens another tree, at its opening."""
        if self.state in ENDS:
            return
        machine = self._machine_of(job.complaint)
        if machine is not self._machine:
            self._machine, self.state, self.passed = machine, OPENING, ()
        while machine.move(self, knowledge, job, event):
            pass

    def note(self, row: Transition, first: str) -> None:
        """Note a transition just taken."""
        self.taken.append(row)
        tree = self._machine.tree
        if row.goal == first or tree is None:
            self.passed = ()
        elif row.why == "answer":
            self.passed = (*self.passed, (tree.steps[row.source], row.goal))


def followed(
    events: Sequence[Event], knowledge: Knowledge, machine_of: Callable[[str | None], TreeMachine]
) -> tuple[Job, Walk]:
    """The job that these events amount to, and where it stands: nothing but the events decides either."""
    job, walk = Job(), Walk(machine_of)
    for event in effective(events):
        fold(job, event, knowledge)
        walk.take(event, job, knowledge)
    if events and events[-1].kind == "taken_back":
        # Whoever goes back thinks again: what the supply was switched for is open once more.
        walk.take(events[-1], job, knowledge)
    return job, walk


def stands(job: Job, event: Event, knowledge: Knowledge, machine_of: Callable[[str | None], TreeMachine]) -> Walk:
    """Where a job stands, whose last event this is, without its history."""
    walk = Walk(machine_of)
    walk.take(event, job, knowledge)
    return walk
