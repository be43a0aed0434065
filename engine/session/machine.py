"""The state machine that is the tree: its written steps plus a fixed few states, built from checked knowledge."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from transitions import EventData, Machine, MachineError

from engine.knowledge.model import Tree

CHOOSING = "choosing"
ISOLATING = "isolating"
REPAIRING = "repairing"
VERIFYING = "verifying"
MAKING_SAFE = "making_safe"
HANDED_ON = "handed_on"
CLOSED = "closed"
FIXED_STATES = (CHOOSING, ISOLATING, REPAIRING, VERIFYING, MAKING_SAFE, HANDED_ON, CLOSED)

Row = tuple[str, str, str, str | None]
"""Trigger, state it leaves, state it goes to, and the answer it takes (None: any other)."""


@dataclass(frozen=True)
class State:
    """A state of a tree's machine: a written step with the check it asks or the repair it proposes, or a fixed one."""

    name: str
    asks: str | None = None
    proposes: str | None = None


@dataclass(frozen=True)
class Transition:
    """A way from one state to another. `answer` is the one it takes; None takes any other."""

    trigger: str
    source: str
    goal: str
    answer: str | None


@dataclass(frozen=True)
class Chart:
    """A tree's machine as it stands: its states, the first one first, and its transitions, earlier ones winning."""

    tree: str
    states: tuple[State, ...]
    transitions: tuple[Transition, ...]


def table(tree: Tree) -> tuple[Row, ...]:
    """Every transition of this tree as one readable table; earlier rows win."""
    rows: list[Row] = []
    for step in tree.steps.values():
        here = _state(tree, step.id)
        if step.ask is not None:
            rows += [("answer", here, _state(tree, goal), answer) for answer, goal in step.then.items()]
            rows.append(("answer", here, _state(tree, step.otherwise or CHOOSING), None))
        elif step.propose is not None:
            rows.append(("go_on", here, CHOOSING, None))
    written = sorted({row[1] for row in rows})
    rows += [("choose", state, CHOOSING, None) for state in written]
    rows += [("isolate", state, ISOLATING, None) for state in (*written, CHOOSING)]
    # Isolating may come before any check, a written one too, and goes back to where it was called for.
    rows += [("isolated", ISOLATING, state, state) for state in (*written, CHOOSING)]
    rows += [
        ("repair", CHOOSING, REPAIRING, None),
        ("repaired", REPAIRING, VERIFYING, None),
        ("choose", REPAIRING, CHOOSING, None),
        ("choose", VERIFYING, CHOOSING, None),
        ("choose", CHOOSING, CHOOSING, None),
    ]
    open_states = [*written, CHOOSING, ISOLATING, REPAIRING, VERIFYING]
    rows += [("endanger", state, MAKING_SAFE, None) for state in open_states]
    rows += [("hand_on", state, HANDED_ON, None) for state in (*open_states, MAKING_SAFE)]
    rows += [("close", state, CLOSED, None) for state in (*open_states, MAKING_SAFE, HANDED_ON)]
    return tuple(rows)


class Walk:
    """One walk through a tree's machine. Hides the machine, whose triggers a type checker cannot see."""

    def __init__(self, tree: Tree) -> None:
        """Build the machine and stand at the tree's first step."""
        self._tree = tree
        self.state: str = _state(tree, next(iter(tree.steps), CHOOSING))
        rows = table(tree)
        states = list(dict.fromkeys([*(row[1] for row in rows), *(row[2] for row in rows), self.state]))
        self._machine = Machine(model=self, states=states, initial=self.state, auto_transitions=False, send_event=True)
        for trigger, source, goal, answer in rows:
            self._machine.add_transition(trigger, source, goal, conditions=_guard(answer))

    @property
    def asks(self) -> str | None:
        """The check that the written step at hand asks; None outside written questions."""
        step = self._tree.steps.get(self.state)
        return None if step is None else step.ask

    @property
    def proposes(self) -> str | None:
        """The repair that the written step at hand proposes, if any."""
        step = self._tree.steps.get(self.state)
        return None if step is None else step.propose

    @property
    def chart(self) -> Chart:
        """The machine read back: what would run, in the order in which it would be tried."""
        steps = self._tree.steps
        names = sorted(self._machine.states, key=lambda name: name != self._machine.initial)
        written = {name: steps[name] for name in names if name in steps and name != CHOOSING}
        states = [
            State(name, written[name].ask, written[name].propose) if name in written else State(name) for name in names
        ]
        ways = [
            Transition(trigger, way.source, way.dest, answer)
            for trigger, event in self._machine.events.items()
            for from_here in event.transitions.values()
            for way in from_here
            if way.dest is not None
            for answer in [next((c.func.answer for c in way.conditions if isinstance(c.func, _Fits)), None)]
        ]
        return Chart(self._tree.id, tuple(states), tuple(ways))

    def fire(self, trigger: str, answer: str | None = None) -> None:
        """Take a transition. Raises RuntimeError where the table has none from here: a fault of the program."""
        event = self._machine.events.get(trigger)
        try:
            taken = event is not None and event.trigger(self, answer=answer)
        except MachineError as error:
            raise RuntimeError(f"no way on from {self.state} by {trigger}") from error
        if not taken:
            raise RuntimeError(f"no way on from {self.state} by {trigger} with {answer!r}")


def _state(tree: Tree, step: str) -> str:
    """A step that leaves the choice free is the fixed state of choosing."""
    written = tree.steps.get(step)
    return step if written is not None and (written.ask or written.propose) else CHOOSING


def _guard(answer: str | None) -> list[str | Callable[..., bool | None]]:
    return [] if answer is None else [_Fits(answer)]


@dataclass(frozen=True)
class _Fits:
    """Whether the answer given is this one; a value rather than a function, so that a drawing can read it back."""

    answer: str

    def __call__(self, event: EventData) -> bool:
        given: Any = event.kwargs.get("answer")
        return bool(given == self.answer)
