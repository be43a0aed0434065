"""What is drawn of a tree: its machine's states as nodes, its transitions as links, those that leave alike as one."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from engine.foundation.texts import say
from engine.knowledge.model import Knowledge, Wording
from engine.quantities.unit_systems import shown_in
from engine.session.machine import Chart, State, Transition, Walk

Kind = Literal["question", "repair", "state", "end", "group"]


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
    chart = Walk(knowledge.trees[tree]).chart
    groups = _groups(chart)
    links = _links(knowledge, chart, groups)
    ends = {state.name for state in chart.states} - {way.source for way in chart.transitions}
    nodes = [_node(knowledge, state, state.name in ends) for state in chart.states]
    used = {name for link in links for name in (link.source, link.goal)}
    title = say("pictures.tree.title", tree=tree, complaint=_spoken(knowledge.trees[tree].wording))
    return TreeDrawing(tree, title, (*nodes, *(node for node in groups if node.name in used)), links)


def _node(knowledge: Knowledge, state: State, is_end: bool) -> Node:
    if state.asks is not None:
        return Node(state.name, _spoken(knowledge.checks[state.asks].wording), "question")
    if state.proposes is not None:
        return Node(state.name, _spoken(knowledge.repairs[state.proposes].wording), "repair")
    return Node(state.name, say(f"pictures.tree.states.{state.name}"), "end" if is_end else "state")


def _spoken(wording: Wording) -> str:
    return shown_in(wording.technician, "metric")


def _groups(chart: Chart) -> list[Node]:
    """Sets of states that several transitions leave alike: where something is asked, and wherever the job is open."""
    leaving: dict[str, list[str]] = {}
    for way in chart.transitions:
        if way.trigger in ("isolate", "endanger") and way.source not in leaving.setdefault(way.trigger, []):
            leaving[way.trigger].append(way.source)
    names = [state.name for state in chart.states]
    named = (("isolate", "any_question"), ("endanger", "any_step"))
    return [
        Node(name, say(f"pictures.tree.groups.{name}"), "group", tuple(s for s in names if s in leaving[trigger]))
        for trigger, name in named
        if len(leaving.get(trigger, ())) > 1
    ]


def _links(knowledge: Knowledge, chart: Chart, groups: Sequence[Node]) -> tuple[Link, ...]:
    states = {state.name: state for state in chart.states}
    choosy = {way.source for way in chart.transitions if way.trigger == "answer" and way.answer is not None}
    drawn: dict[tuple[str, str], list[tuple[str, Transition]]] = {}
    left = list(chart.transitions)
    for group in sorted(groups, key=lambda node: -len(node.members)):
        for source, goal, ways in _alike(left, group):
            label = _label(knowledge, states, ways[0], choosy)
            drawn.setdefault((source, goal), []).extend((label, way) for way in ways)
            left = [way for way in left if way not in ways]
    for way in left:
        label = _label(knowledge, states, way, choosy)
        drawn.setdefault((way.source, way.goal), []).append((label, way))
    return tuple(
        Link(source, goal, tuple(dict.fromkeys(label for label, _ in found)), tuple(way for _, way in found))
        for (source, goal), found in drawn.items()
    )


def _alike(ways: Sequence[Transition], group: Node) -> Iterable[tuple[str, str, list[Transition]]]:
    """Transitions that leave every member for one state, or lead from one state back to every member."""
    members = set(group.members)
    out: dict[tuple[str, str], list[Transition]] = {}
    back: dict[str, list[Transition]] = {}
    for way in ways:
        if way.source in members and way.answer is None and way.trigger != "answer":
            out.setdefault((way.trigger, way.goal), []).append(way)
        elif way.trigger == "isolated" and way.goal in members:
            back.setdefault(way.source, []).append(way)
    for (_, goal), found in out.items():
        if {way.source for way in found} == members:
            yield group.name, goal, found
    for source, found in back.items():
        if {way.goal for way in found} == members:
            yield source, group.name, found


def _label(knowledge: Knowledge, states: Mapping[str, State], way: Transition, choosy: Collection[str]) -> str:
    """What makes a transition taken, in words."""
    if way.trigger != "answer":
        return say(f"pictures.tree.triggers.{way.trigger}")
    if way.answer is None:
        return say("pictures.tree.otherwise" if way.source in choosy else "pictures.tree.always")
    asked = states[way.source].asks
    answers = knowledge.checks[asked].answers if asked is not None else ()
    return next((_spoken(a.wording) for a in answers if a.id == way.answer), way.answer)
