"""Which worked calls an edit can touch, and how it moves them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engine.evaluation.calls import WorkedCall
from engine.evaluation.simulate import run_call
from engine.knowledge.catalogue import Folder
from engine.knowledge.mentions import USES
from engine.knowledge.model import Knowledge
from engine.session.models import Models

MOVED = 0.01
"""A share that moves by less is not told."""


@dataclass(frozen=True)
class Moved:
    """A call that an edit moves: its first cause or causes with their share, before and after; () for none listed."""

    call: str
    before: tuple[tuple[str, ...], float]
    after: tuple[tuple[str, ...], float]


def changed_entries(before: Folder, after: Folder) -> frozenset[tuple[str, str]]:
    """The entries that are new, gone or otherwise written, by kind and id."""
    found = set()
    for kind in USES:
        old, new = before.of_kind(kind), after.of_kind(kind)
        for name in old.keys() | new.keys():
            if name not in old or name not in new or old[name].form != new[name].form:
                found.add((kind, name))
    return frozenset(found)


def touched_by(
    calls: Sequence[WorkedCall], changed: frozenset[tuple[str, str]], knowledge: Knowledge
) -> list[WorkedCall]:
    """The calls that a change of these entries can touch, those first that turned out to be a changed cause.

    A check touches a call that tells its answer; a cause one behind whose complaint it is counted; a repair one with a
    cause that it cures; a tree, a unit and a role their own. What a call was never asked may move it too: that takes
    all of them.
    """
    causes = {name for kind, name in changed if kind == "cause"}
    causes |= {cause for kind, name in changed if kind == "repair" for cause in _cured(knowledge, name)}

    def is_touched(call: WorkedCall) -> bool:
        tree = knowledge.trees.get(call.complaint)
        own = {("tree", call.complaint), ("unit", call.unit), ("role", call.role)}
        own |= {("check", check) for check in call.facts}
        own |= {("finding", name) for name, each in knowledge.findings.items() if set(each.inputs) <= call.facts.keys()}
        return bool(own & changed) or (tree is not None and not causes.isdisjoint(tree.singles))

    found = [call for call in calls if is_touched(call)]
    return sorted(found, key=lambda call: causes.isdisjoint(call.causes or ()))


def moved(call: WorkedCall, before: Models, after: Models) -> Moved | None:
    """How a call is moved from one knowledge to another; None where it is not, or the former one cannot hold it."""
    if call.complaint not in before.knowledge.trees or not call.facts.keys() <= before.knowledge.checks.keys():
        return None
    first, second = (run_call(models, call).session.hypotheses()[0] for models in (before, after))
    if first[0] == second[0] and abs(first[1] - second[1]) < MOVED:
        return None
    return Moved(call.name, (first[0], first[1]), (second[0], second[1]))


def _cured(knowledge: Knowledge, repair: str) -> Sequence[str]:
    found = knowledge.repairs.get(repair)
    return tuple(found.cures) if found is not None else ()
