"""What is drawn of a tree: its machine's states as nodes, its transitions as links, those that leave alike as one."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

from engine.foundation.texts import say
from engine.knowledge.model import Knowledge, Tree, Wording
from engine.quantities.unit_systems import shown_in
from engine.session.machine import Transition, TreeMachine

Kind = Literal["question", "state", "end", "group"]

_GROUPS = {
    "close": "any_open",
    "hand_on": "any_open",
    "set_up": "any_begun",
    "endanger": "any_safe",
    "no_danger": "any_unsafe",
    "repaired": "any_in_tree",
    "anew": "any_later",
}
"""What is left alike from several states, and the name of their group."""


@dataclass(frozen=True)
class Node:
    """A box: a state of the machine, or (`group`) any of several states, which `members` names."""

    name: str
    text: str
    kind: Kind
    members: tuple[str, ...] = ()


@dataclass(frozen=True)
class Link:
    """An arrow between two nodes, with what makes it taken, and the machine's transitions that it stands for."""

    source: str
    goal: str
    labels: tuple[str, ...]
    stands_for: tuple[Transition, ...]


@dataclass(frozen=True)
class TreeDrawing:
    """A tree ready to be drawn in any form; the first node is where it begins."""

    tree: str
    title: str
    nodes: tuple[Node, ...]
    links: tuple[Link, ...]


def tree_drawing(knowledge: Knowledge, tree: str) -> TreeDrawing:
    """The drawing of a tree, read from the machine that an interview runs. Raises KeyError for an unknown tree."""
    machine = TreeMachine(knowledge.trees[tree])
    groups = _groups(machine)
    links = _links(knowledge, knowledge.trees[tree], machine, groups)
    ends = set(machine.states) - {way.source for way in machine.transitions}
    nodes = [_node(knowledge, machine, state, state in ends) for state in machine.states]
    title = say("pictures.tree.title", tree=tree, complaint=_spoken(knowledge.trees[tree].wording))
    return TreeDrawing(tree, title, (*nodes, *groups), links)


def _node(knowledge: Knowledge, machine: TreeMachine, state: str, is_end: bool) -> Node:
    if (asked := machine.asked_in(state)) is not None:
        return Node(state, _spoken(knowledge.checks[asked].wording), "question")
    return Node(state, say(f"pictures.tree.states.{state}"), "end" if is_end else "state")


def _spoken(wording: Wording) -> str:
    return shown_in(wording.technician, "metric")


def _groups(machine: TreeMachine) -> list[Node]:
    """Sets of states that are left alike for one and the same state."""
    leaving: dict[str, list[str]] = {}
    for way in machine.transitions:
        if way.why in _GROUPS and way.source not in leaving.setdefault(_GROUPS[way.why], []):
            leaving[_GROUPS[way.why]].append(way.source)
    return [
        Node(name, say(f"pictures.tree.groups.{name}"), "group", tuple(s for s in machine.states if s in sources))
        for name, sources in leaving.items()
        if len(sources) > 1
    ]


def _links(knowledge: Knowledge, tree: Tree, machine: TreeMachine, groups: Sequence[Node]) -> tuple[Link, ...]:
    choosy = {way.source for way in machine.transitions if way.answer is not None}
    grouped = {node.name for node in groups}
    drawn: dict[tuple[str, str], list[tuple[str, Transition]]] = {}
    for way in machine.transitions:
        group = _GROUPS.get(way.why, "")
        source = group if group in grouped else way.source
        label = _with_its_end(knowledge, tree, way, _label(knowledge, machine, way, choosy))
        drawn.setdefault((source, way.goal), []).append((label, way))
    return tuple(
        Link(source, goal, tuple(dict.fromkeys(label for label, _ in found)), tuple(way for _, way in found))
        for (source, goal), found in drawn.items()
    )


def _with_its_end(knowledge: Knowledge, tree: Tree, way: Transition, label: str) -> str:
    """What makes a transition taken, and the repair that the written step proposes to which it leads, if one does.

    No state stands for such a step: it is passed in an instant, and what it proposes is done where the choice is free.
    """
    asked = tree.steps.get(way.source)
    if way.why == "begin":
        led_to: str | None = next(iter(tree.steps), None)
    else:
        led_to = (
            asked.then.get(way.answer or "", asked.otherwise) if asked is not None and way.why == "answer" else None
        )
    proposed = tree.steps[led_to].propose if led_to is not None and led_to in tree.steps else None
    if proposed is None:
        return label
    return say("pictures.tree.proposing", way=label, repair=_spoken(knowledge.repairs[proposed].wording))


def _label(knowledge: Knowledge, machine: TreeMachine, way: Transition, choosy: Collection[str]) -> str:
    """What makes a transition taken, in words."""
    if way.why != "answer":
        return say(f"pictures.tree.ways.{way.why}")
    if way.answer is None:
        return say("pictures.tree.otherwise" if way.source in choosy else "pictures.tree.always")
    asked = machine.asked_in(way.source)
    answers = knowledge.checks[asked].answers if asked is not None else ()
    return next((_spoken(a.wording) for a in answers if a.id == way.answer), way.answer)
