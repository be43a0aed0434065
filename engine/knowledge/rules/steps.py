"""Rules for the written steps of a tree: each does one thing, leads somewhere, and comes to an end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.foundation.problems import Problem, advice_for
from engine.foundation.texts import say, told
from engine.foundation.yaml_reader import Path
from engine.knowledge.catalogue import Folder, Placed, answers_of
from engine.knowledge.rules.references import answer_is_known, entry_is_there
from engine.knowledge.schema import StepForm, TreeForm

RESERVED = (
    "choose",
    "opening",
    "choosing",
    "repairing",
    "verifying",
    "waiting",
    "solved",
    "making_safe",
    "made_safe",
    "handed_on",
    "closed",
)
"""States of every interview, whose names no written step may take."""


def _steps(folder: Folder) -> Iterator[tuple[Placed[TreeForm], str, StepForm]]:
    for placed in folder.trees.values():
        for step_id, step in placed.form.steps.items():
            yield placed, step_id, step


def _goals(step: StepForm) -> list[str]:
    return [*step.then.values(), *([step.else_] if step.else_ is not None else [])]


def steps_do_one_thing(folder: Folder) -> Iterator[Problem]:
    """A step asks, chooses or proposes, one of the three; only a step that asks leads on by `then` and `else`.

    Right: `first: {ask: salt_added, else: free}`.
    Wrong: `first: {ask: salt_added, propose: add_salt}`.
    """
    for placed, step_id, step in _steps(folder):
        done = [name for name in ("ask", "choose", "propose") if getattr(step, name) is not None]
        if len(done) != 1:
            yield placed.problem(("steps", step_id), _doing(step_id, done), say("mistakes_rules.steps.one_of"), True)
        elif step.ask is None and _goals(step):
            yield placed.problem(("steps", step_id), *told("mistakes_rules.steps.leads_on", step=step_id), at_key=True)


def _doing(step: str, done: Sequence[str]) -> str:
    """That a step does not do just one thing, but none, two or three."""
    match done:
        case []:
            return say("mistakes_rules.steps.does_nothing", step=step)
        case [first, second]:
            return say("mistakes_rules.steps.does_two", step=step, first=first, second=second)
        case _:
            return say("mistakes_rules.steps.does_three", step=step, first=done[0], second=done[1], third=done[2])


def step_names_are_free(folder: Folder) -> Iterator[Problem]:
    """No step has the name of a state that every interview has.

    Right: `steps: {free: {choose: any}}`.
    Wrong: `steps: {choose: {choose: any}}`.
    """
    for placed, step_id, _ in _steps(folder):
        if step_id in RESERVED:
            saying = told("mistakes_rules.steps.name_taken", step=step_id)
            yield placed.problem(("steps", step_id), *saying, at_key=True)


def steps_ask_what_is_known(folder: Folder) -> Iterator[Problem]:
    """A step asks a check, its `then` names answers of that check, and a step proposes a repair.

    Right: `first: {ask: salt_added, then: {within_a_day: mixing}, else: free}`.
    Wrong: `first: {ask: salt_added, then: {within_a_dya: mixing}, else: free}`.
    """
    for placed, step_id, step in _steps(folder):
        if step.ask is not None:
            yield from entry_is_there(folder, placed, ("steps", step_id, "ask"), "check", step.ask)
        known = answers_of(folder, step.ask) if step.ask is not None and step.ask in folder.checks else None
        for answer in step.then:
            yield from answer_is_known(placed, ("steps", step_id, "then", answer), step.ask, answer, known)
        if step.propose is not None:
            yield from entry_is_there(folder, placed, ("steps", step_id, "propose"), "repair", step.propose)


def steps_lead_to_steps(folder: Folder) -> Iterator[Problem]:
    """`then` and `else` lead to steps of this tree.

    Right: `steps: {first: {ask: salt_added, else: free}, free: {choose: any}}`.
    Wrong: `steps: {first: {ask: salt_added, else: fere}, free: {choose: any}}`.
    """
    for placed, step_id, step in _steps(folder):
        here: Path = ("steps", step_id)
        ways: list[tuple[Path, str]] = [((*here, "then", answer), goal) for answer, goal in step.then.items()]
        if step.else_ is not None:
            ways.append(((*here, "else"), step.else_))
        for path, goal in ways:
            if goal not in placed.form.steps:
                what = say("mistakes_rules.no_such.step", id=goal)
                yield placed.problem(path, what, advice_for(goal, placed.form.steps))


def steps_are_reached(folder: Folder) -> Iterator[Problem]:
    """Every step can be reached from the first one listed.

    Right: `steps: {first: {ask: salt_added, else: free}, free: {choose: any}}`.
    Wrong: `steps: {first: {choose: any}, lost: {ask: salt_added}}`.
    """
    for placed in folder.trees.values():
        steps = placed.form.steps
        first = next(iter(steps))
        reached, waiting = {first}, [first]
        while waiting:
            goals = [goal for goal in _goals(steps[waiting.pop()]) if goal in steps and goal not in reached]
            reached.update(goals)
            waiting += goals
        for step_id in steps:
            if step_id not in reached:
                saying = told("mistakes_rules.steps.not_reached", step=step_id, first=first)
                yield placed.problem(("steps", step_id), *saying, at_key=True)


def steps_come_to_an_end(folder: Folder) -> Iterator[Problem]:
    """No way through the steps comes back to a step that it has passed.

    Right: `steps: {first: {ask: salt_added, else: free}, free: {choose: any}}`.
    Wrong: `steps: {first: {ask: salt_added, else: second}, second: {ask: tested_salt, else: first}}`.
    """
    for placed in folder.trees.values():
        steps = placed.form.steps
        ended: set[str] = set()
        open_ids = list(steps)
        # A step is ended once all that it leads to is ended; what never ends lies on a circle or leads into one.
        while ending := [s for s in open_ids if all(goal in ended or goal not in steps for goal in _goals(steps[s]))]:
            ended.update(ending)
            open_ids = [step_id for step_id in open_ids if step_id not in ended]
        if open_ids:
            saying = told("mistakes_rules.steps.circle", step=open_ids[0])
            yield placed.problem(("steps", open_ids[0]), *saying, at_key=True)
