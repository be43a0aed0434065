"""Which worked calls an edit of the knowledge can touch: all others come out as before, and need not be run again."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from engine.evaluation.calls import WorkedCall
from engine.knowledge.model import Knowledge, Steps, Tree, Wording

_IN_WORDS = ("names", "source", "how", "folder", "fingerprint")
"""What people read and no reckoning does."""


def touched(old: Knowledge, new: Knowledge) -> Callable[[WorkedCall], bool]:
    """Whether a call may come out otherwise with the new knowledge than with the old one; where in doubt, it may.

    Wording moves nothing. What every interview goes by (checks, findings, cautions, limits) touches every call; a
    cause or a repair those behind the complaints that count it; a tree, a role, a kind of unit its own.
    """
    if _touches_all(old, new):
        return lambda _: True
    trees = {name for name in {*old.trees, *new.trees} if _tree_differs(old, new, name)}
    roles = _differing(old.roles, new.roles)
    units = _differing(old.units, new.units)
    return lambda call: call.complaint in trees or call.role in roles or call.unit in units


def _touches_all(old: Knowledge, new: Knowledge) -> bool:
    everywhere = ("cautions", "acts", "dangers", "limits", "parts")
    if any(bare(getattr(old, name)) != bare(getattr(new, name)) for name in everywhere):
        return True
    # What is usual of a check touches those who speak of it; all else of it every interview.
    for name in ("checks", "findings"):
        before, after = getattr(old, name), getattr(new, name)
        if [*before] != [*after]:
            return True
        if any(bare(one, ("usual",)) != bare(after[item], ("usual",)) for item, one in before.items()):
            return True
    if {name: unit.shows_numbers for name, unit in old.units.items()} != {
        name: unit.shows_numbers for name, unit in new.units.items()
    }:
        return True
    return _spoken_somewhere(old) != _spoken_somewhere(new) or _keeping_off(old) != _keeping_off(new)


def _spoken_somewhere(knowledge: Knowledge) -> tuple[set[str], set[str]]:
    """The checks by which some cause shows, and those that make some cause likelier."""
    causes = knowledge.causes.values()
    return {item for cause in causes for item in cause.shows}, {item for cause in causes for item in cause.likelier}


def _keeping_off(knowledge: Knowledge) -> dict[tuple[str, str], Any]:
    """What each cause shows of the checks whose answers keep a plant off."""
    checks = {check.id for check in knowledge.checks.values() if any(answer.keeps_off for answer in check.answers)}
    return {
        (cause.id, item): dict(said)
        for cause in knowledge.causes.values()
        for item, said in cause.shows.items()
        if item in checks
    }


def _tree_differs(old: Knowledge, new: Knowledge, name: str) -> bool:
    if name not in old.trees or name not in new.trees:
        return True
    before, after = old.trees[name], new.trees[name]
    if bare(before, ("told_by",)) != bare(after, ("told_by",)):
        return True
    near, near_before = _near(new, after), _near(old, before)
    if near != near_before or any(_one_differs(old, new, kind, near[kind]) for kind in near):
        return True
    moved = {i for i, c in old.checks.items() if dict(c.usual) != dict(new.checks[i].usual)}
    moved |= {i for i, f in old.findings.items() if dict(f.usual) != dict(new.findings[i].usual)}
    return bool(moved) and bool(moved & (_spoken_of(new, after) | {i for i in moved if _is_number(new, i)}))


def _one_differs(old: Knowledge, new: Knowledge, kind: str, ids: set[str]) -> bool:
    before, after = getattr(old, kind), getattr(new, kind)
    return any(bare(before.get(one)) != bare(after.get(one)) for one in ids)


def _near(knowledge: Knowledge, tree: Tree) -> dict[str, set[str]]:
    """The causes of a tree with their repairs, and the other causes that those repairs cure."""
    causes = tree.singles.keys() & knowledge.causes.keys()
    repairs = {repair for cause in causes for repair in knowledge.causes[cause].repairs}
    repairs |= {step.propose for step in tree.steps.values() if step.propose is not None}
    cured = {cause for repair in repairs if repair in knowledge.repairs for cause in knowledge.repairs[repair].cures}
    return {"causes": causes | cured, "repairs": repairs}


def _spoken_of(knowledge: Knowledge, tree: Tree) -> set[str]:
    """The checks and findings that a cause of the tree names; of all others every cause shows the same."""
    causes = [knowledge.causes[name] for name in tree.singles if name in knowledge.causes]
    here = {item for said in tree.here.values() for item in said}
    return here | {item for cause in causes for item in (*cause.shows, *cause.likelier)}


def _is_number(knowledge: Knowledge, item: str) -> bool:
    """Whether it may go into a derived finding, whose forecast hangs on what is usual of it."""
    return item in knowledge.findings or knowledge.checks[item].is_number


def _differing(old: Mapping[Any, Any], new: Mapping[Any, Any]) -> set[str]:
    return {name for name in {*old, *new} if bare(old.get(name)) != bare(new.get(name))}


def bare(value: Any, left_out: tuple[str, ...] = ()) -> Any:
    """A record as plain tuples, without its words and without the fields left out; equal where it reckons alike."""
    if isinstance(value, Wording | Steps):
        return None
    if is_dataclass(value) and not isinstance(value, type):
        names = (field.name for field in fields(value) if field.name not in (*_IN_WORDS, *left_out))
        return tuple((name, bare(getattr(value, name))) for name in names)
    if isinstance(value, Mapping):
        return tuple((name, bare(inside)) for name, inside in value.items())
    if isinstance(value, tuple | list):
        return tuple(bare(inside) for inside in value)
    return value
