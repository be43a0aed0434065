"""The numbers that a senior technician writes, by the way to each in the files, and the knowledge with one changed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal, cast

from engine.foundation.yaml_reader import Path
from engine.knowledge.model import Cause, Check, Finding, Knowledge, Repair, Role, RoleId, Tree, UnitProfile, frozen

Kind = Literal["tree", "cause", "check", "finding", "repair", "role", "unit"]
SHARE, PAIR, HERE, SHOWS, LIKELIER, USUAL = "of_100_calls", "two_faults", "here", "shows", "likelier", "usual"
ANY_PAIR = "any"
_LEAST = 1e-6
"""What gives way to another number keeps so much at least."""


@dataclass(frozen=True, order=True)
class Number:
    """One number of the files: the kind and id of its entry, and the way to it there."""

    kind: Kind
    entry: str
    path: tuple[str, ...]

    @property
    def scale(self) -> float:
        """What stands in the file for 1: shares of calls and what is usual are written of 100."""
        return 100.0 if self.path[0] in (SHARE, PAIR, USUAL) else 1.0

    @property
    def in_file(self) -> Path:
        """The way to it inside its entry, as the file has it."""
        return tuple(self.path[1].split(".")) if self.kind == "unit" else self.path

    def shown(self) -> str:
        """Its name in a line: entry, field and what is inside it."""
        return ".".join((self.entry, *self.path))


def numbers_of(knowledge: Knowledge) -> dict[Number, float]:
    """Every number that steers belief, cost or remedy, as it stands in the model (shares of 1)."""
    return dict(_all(knowledge))


def _all(knowledge: Knowledge) -> Iterator[tuple[Number, float]]:
    for tree in knowledge.trees.values():
        yield from _of_tree(tree)
    for cause in knowledge.causes.values():
        for field, said in ((SHOWS, cause.shows), (LIKELIER, cause.likelier)):
            yield from _nested("cause", cause.id, (field,), said)
    for check in knowledge.checks.values():
        yield from _flat("check", check.id, (USUAL,), check.usual)
        yield from _flat("check", check.id, ("minutes",), check.minutes)
        yield from _flat("check", check.id, ("known",), check.known)
    for finding in knowledge.findings.values():
        yield from _flat("finding", finding.id, (USUAL,), finding.usual)
    for repair in knowledge.repairs.values():
        yield from _flat("repair", repair.id, ("cures",), repair.cures)
        yield Number("repair", repair.id, ("minutes",)), repair.minutes
    for role in knowledge.roles.values():
        yield from _flat("role", role.id, ("minutes",), role.minutes)
        yield Number("role", role.id, ("limit",)), float(role.limit)
    for unit in knowledge.units.values():
        yield from _flat("unit", unit.id, ("values",), unit.values)


def _of_tree(tree: Tree) -> Iterator[tuple[Number, float]]:
    yield from _flat("tree", tree.id, (SHARE,), tree.singles)
    for (first, second), share in tree.pairs.items():
        yield Number("tree", tree.id, (PAIR, f"{first} + {second}")), share
    if tree.any_pair:
        yield Number("tree", tree.id, (PAIR, ANY_PAIR)), tree.any_pair
    for cause, said in tree.here.items():
        yield from _nested("tree", tree.id, (HERE, cause), said)


def _flat(kind: Kind, entry: str, path: tuple[str, ...], values: Mapping[Any, float]) -> Iterator[tuple[Number, float]]:
    for name, value in values.items():
        yield Number(kind, entry, (*path, str(name))), float(value)


def _nested(
    kind: Kind, entry: str, path: tuple[str, ...], said: Mapping[str, Mapping[str, float]]
) -> Iterator[tuple[Number, float]]:
    for item, answers in said.items():
        yield from _flat(kind, entry, (*path, item), answers)


def behind(knowledge: Knowledge, tree: Tree, cause: str | None, item: str, answer: str) -> Number:
    """The number that says how often a cause gives this answer behind this complaint.

    Where the cause names the item and not the answer, it is the line that leaves the rest to it; where it names
    neither, what is usual. None as the cause is something that the trees do not know.
    """
    kind: Kind = "check" if item in knowledge.checks else "finding"
    if cause is not None and cause in knowledge.causes:
        if item in tree.here.get(cause, {}):
            return Number("tree", tree.id, (HERE, cause, item, answer))
        if item in knowledge.causes[cause].shows:
            return Number("cause", cause, (SHOWS, item, answer))
        if answer in knowledge.causes[cause].likelier.get(item, {}):
            return Number("cause", cause, (LIKELIER, item, answer))
    return Number(kind, item, (USUAL, answer))


def share_of(tree: Tree, causes: tuple[str, ...], something_else: str) -> Number:
    """The number from which a hypothesis has its share: its own, that of its pair, or that of all pairs not named."""
    if len(causes) < 2:
        return Number("tree", tree.id, (SHARE, causes[0] if causes else something_else))
    for pair in (causes, causes[::-1]):
        if pair in tree.pairs:
            return Number("tree", tree.id, (PAIR, " + ".join(pair)))
    return Number("tree", tree.id, (PAIR, ANY_PAIR))


def with_number(knowledge: Knowledge, number: Number, value: float | None) -> Knowledge:
    """The knowledge with one number changed, None to take it away; what must add up to 1 gives way in proportion.

    Raises: KeyError where its entry is not there.
    """
    entry, path = number.entry, number.path
    match number.kind:
        case "tree":
            trees = {**knowledge.trees, entry: _with_tree(knowledge.trees[entry], path, value)}
            return replace(knowledge, trees=frozen(trees))
        case "cause":
            causes = {**knowledge.causes, entry: _with_cause(knowledge.causes[entry], path, value)}
            return replace(knowledge, causes=frozen(causes))
        case "check":
            checks = {**knowledge.checks, entry: _with_check(knowledge.checks[entry], path, value)}
            return replace(knowledge, checks=frozen(checks))
        case "finding":
            finding: Finding = knowledge.findings[entry]
            changed = replace(finding, usual=_adding_up(finding.usual, path[1], value))
            return replace(knowledge, findings=frozen({**knowledge.findings, entry: changed}))
        case "repair":
            repairs = {**knowledge.repairs, entry: _with_repair(knowledge.repairs[entry], path, value)}
            return replace(knowledge, repairs=frozen(repairs))
        case "role":
            role = knowledge.roles[cast(RoleId, entry)]
            return replace(knowledge, roles=frozen({**knowledge.roles, role.id: _with_role(role, path, value)}))
        case "unit":
            unit: UnitProfile = knowledge.units[entry]
            values = replace(unit, values=_put(unit.values, path[1], value))
            return replace(knowledge, units=frozen({**knowledge.units, entry: values}))


def _with_tree(tree: Tree, path: tuple[str, ...], value: float | None) -> Tree:
    if path[0] == SHARE:
        return replace(tree, singles=_put(tree.singles, path[1], value))
    if path[0] == PAIR and path[1] == ANY_PAIR:
        return replace(tree, any_pair=value or 0.0)
    if path[0] == PAIR:
        first, _, second = path[1].partition(" + ")
        pairs = {pair: share for pair, share in tree.pairs.items() if set(pair) != {first, second}}
        return replace(tree, pairs=frozen(pairs if value is None else {**pairs, (first, second): value}))
    _, cause, item, answer = path
    return replace(tree, here=_put_deep(tree.here, cause, _put_answer(tree.here.get(cause, {}), item, answer, value)))


def _with_cause(cause: Cause, path: tuple[str, ...], value: float | None) -> Cause:
    field, item, answer = path
    if field == SHOWS:
        return replace(cause, shows=_put_answer(cause.shows, item, answer, value))
    factors = _put(cause.likelier.get(item, {}), answer, value)
    return replace(cause, likelier=_put_deep(cause.likelier, item, factors))


def _with_check(check: Check, path: tuple[str, ...], value: float | None) -> Check:
    if path[0] == USUAL:
        return replace(check, usual=_adding_up(check.usual, path[1], value))
    role = cast(RoleId, path[1])
    if path[0] == "minutes":
        return replace(check, minutes=_put(check.minutes, role, value))
    return replace(check, known=_put(check.known, role, value))


def _with_repair(repair: Repair, path: tuple[str, ...], value: float | None) -> Repair:
    if path[0] == "cures":
        return replace(repair, cures=_put(repair.cures, path[1], value))
    return repair if value is None else replace(repair, minutes=value)


def _with_role(role: Role, path: tuple[str, ...], value: float | None) -> Role:
    if path[0] == "minutes":
        return replace(role, minutes=_put(role.minutes, path[1], value))
    return role if value is None else replace(role, limit=max(1, round(value)))


def _put(values: Mapping[Any, float], name: str, value: float | None) -> Mapping[Any, float]:
    if value is None:
        return frozen({key: kept for key, kept in values.items() if key != name})
    return frozen({**values, name: value})


def _put_deep(said: Mapping[str, Any], name: str, inside: Mapping[str, Any]) -> Mapping[str, Any]:
    """The mapping with what is inside one of its names; a name with nothing inside is gone."""
    return frozen({**said, name: inside} if inside else {key: kept for key, kept in said.items() if key != name})


def _put_answer(
    said: Mapping[str, Mapping[str, float]], item: str, answer: str, value: float | None
) -> Mapping[str, Mapping[str, float]]:
    """What is said with one answer of an item changed; no more than all answers together is left to the others."""
    now = said.get(item, {})
    others = {name: share for name, share in now.items() if name != answer}
    if value is None:
        return _put_deep(said, item, frozen(others))
    total = math.fsum(others.values())
    give = (1.0 - value) / total if total > 1.0 - value else 1.0
    kept = {name: max(share * give, _LEAST) if share else share for name, share in others.items()}
    # In the order of the file, so that nothing else looks changed.
    line = {name: value if name == answer else kept[name] for name in (*now, *(() if answer in now else (answer,)))}
    return _put_deep(said, item, frozen(line))


def _adding_up(usual: Mapping[str, float], answer: str, value: float | None) -> Mapping[str, float]:
    """What is usual with one answer changed and the others in proportion, so that all add up to 1 again."""
    if value is None:
        return usual
    left = math.fsum(share for name, share in usual.items() if name != answer)
    factor = (1.0 - value) / left if left > 0 else 0.0
    return frozen({name: value if name == answer else share * factor for name, share in usual.items()})
