"""What can be looked at now: open checks, and readings that tell only together, each with what it may show."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from engine.findings.evidence import Observation, derived, derived_at, size_of
from engine.findings.readings import band_weights
from engine.inference.belief import Array, TreeModel
from engine.knowledge.model import Check, Finding, Knowledge, Plant, Role, UnitProfile
from engine.strategy.costs import chance_to_say, check_minutes
from engine.strategy.decision import Look

PLANTS: tuple[Plant, ...] = ("running", "isolated")
"""The plant states of a look or repair, by their index."""

_STAY = tuple(range(len(PLANTS)))
"""What is looked at in any state leaves it as it is."""
NEAR_OUT, FAR_OUT = 0.25, 1.5
"""How far outside the outermost limits two readings stand for an open band, in widths of an inner one: judgement."""


@dataclass(frozen=True)
class Situation:
    """Where the job stands: who asks, the plant state, what may still be asked, what was said and brought."""

    role: Role
    plant: Plant
    open_checks: Sequence[str]
    answers: Mapping[str, Observation]
    brought: Collection[str]


@dataclass(frozen=True)
class Terms:
    """On what terms whoever is asked may say a check: minutes from either plant state, chance, the state left."""

    minutes: tuple[float, ...]
    chance: float
    leaves: tuple[int, ...]


def terms_of(knowledge: Knowledge, role: Role, brought: Collection[str]) -> dict[str, Terms]:
    """The terms of every check that this person may be able to say at all."""
    found = {}
    for check in knowledge.checks.values():
        if (chance := chance_to_say(check, role, brought)) > 0:
            minutes = tuple(check_minutes(check, role, plant) for plant in PLANTS)
            leaves = _STAY if check.plant == "any" else (PLANTS.index(check.plant),) * len(PLANTS)
            found[check.id] = Terms(minutes, chance, leaves)
    return found


def single_looks(knowledge: Knowledge, now: Situation, may_show: Callable[[Check, Situation], Array]) -> list[Look]:
    """Every open check that the person asked may be able to say; `may_show` gives what asking it may show."""
    terms = terms_of(knowledge, now.role, now.brought)
    return [
        Look(name, found.minutes, may_show(knowledge.checks[name], now), found.chance, found.leaves)
        for name in now.open_checks
        if (found := terms.get(name)) is not None
    ]


def kin(knowledge: Knowledge, check: str) -> tuple[str, ...]:
    """The checks whose answers bear on what this one may show: the inputs of every derived finding it goes into."""
    own = [f for f in knowledge.findings.values() if check in f.inputs]
    return tuple(sorted({name for f in own for name in f.inputs} - {check}))


def finding_looks(
    knowledge: Knowledge,
    model: TreeModel,
    unit: UnitProfile,
    now: Situation,
    of: Collection[tuple[str, ...]] | None = None,
) -> list[tuple[Look, tuple[str, ...]]]:
    """Derived findings that lack several readings, each too weak alone to be asked for: volume, rating, hours...

    With the readings they lack, `of` these alone where they are given. Their chance is the mean of the readings' own,
    as those that stay unknown are integrated over.
    """
    looks = []
    for finding in knowledge.findings.values():
        wanted = [i for i in finding.inputs if i in finding.replaces or i not in finding.assume]
        missing = [knowledge.checks[i] for i in wanted if i in now.open_checks]
        missing = [c for c in missing if chance_to_say(c, now.role, now.brought) > 0]
        known = {*now.answers, *finding.assume, *(c.id for c in missing)}
        if len(missing) < 2 or not all(i in known for i in wanted):
            continue
        if of is not None and tuple(c.id for c in missing) not in of:
            continue
        table = _completing(finding, knowledge, model, unit, now.answers)
        chance = sum(chance_to_say(c, now.role, now.brought) for c in missing) / len(missing)
        looks.append((_look(missing, now.role, table, chance), tuple(c.id for c in missing)))
    return looks


def outcomes(
    knowledge: Knowledge, model: TreeModel, unit: UnitProfile, check: Check, answers: Mapping[str, Observation]
) -> Array:
    """P(outcome | hypothesis) of asking a check now, shape (outcomes, hypotheses); columns sum to 1.

    Where a number completes a derived finding, that finding speaks too.
    """
    table = model.tables[check.id]
    given = model.given.get(check.id)
    plain = table if given is None else table[list(given)]
    if not check.is_number:
        return plain
    values = points(check, unit)
    # A reading of nothing completes no ratio; the others do.
    every = {
        f.id: derived_at(f, knowledge, unit, answers, check, values)
        for f in knowledge.findings.values()
        if check.id in f.inputs
    }
    completed = [knowledge.findings[name] for name, found in every.items() if any(one is not None for one in found)]
    if not completed:
        return plain
    order = [a.id for a in check.answers]
    error = check.error
    assert error is not None, check.id
    sizes = [(size_of(check, Observation(value)), error.of(value)) for value in values]
    weights = np.array([band_weights(check.bands, order, unit, size, sd) for size, sd in sizes])
    if any(check.id in f.replaces for f in completed):
        usual = np.array([check.usual[a] for a in order])
        rows = np.repeat((weights @ usual)[:, None], table.shape[1], axis=1)
    else:
        rows = weights @ table
    for finding in completed:
        there = [nth for nth, found in enumerate(every[finding.id]) if found is not None]
        rows[there] *= np.array([every[finding.id][nth] for nth in there]) @ model.tables[finding.id]
    raw = np.maximum(rows, 1e-12)
    return np.asarray(raw / raw.sum(axis=0))


def shown(model: TreeModel, check: Check, count: int) -> list[str]:
    """The answer id of each row of an outcomes table with so many rows: the answers given, or two rows a band."""
    ids = [answer.id for answer in check.answers]
    given = model.given.get(check.id, range(len(ids)))
    return [ids[k] for k in given] if count == len(given) else [b.id for b in check.bands for _ in range(2)]


def points(check: Check, unit: UnitProfile) -> list[float]:
    """Two readings to stand for each band: a quarter and three quarters through it; one near and far in an open one."""
    assert check.possible is not None, check.id
    low, high = check.possible
    edges = [b.under.value(unit) for b in check.bands if b.under is not None]
    width = max((edges[-1] - edges[0]) / max(len(edges) - 1, 1), 0.3 * max(abs(edges[-1]), abs(edges[0])))
    inner = [a + share * (b - a) for a, b in itertools.pairwise(edges) for share in (0.25, 0.75)]
    under = [max(low, edges[0] - share * width) for share in (FAR_OUT, NEAR_OUT)]
    over = [min(high, edges[-1] + share * width) for share in (NEAR_OUT, FAR_OUT)]
    return [*under, *inner, *over]


def _completing(
    finding: Finding, knowledge: Knowledge, model: TreeModel, unit: UnitProfile, answers: Mapping[str, Observation]
) -> Array:
    """What a derived finding may show once its readings are there, given what some of them say already."""
    table = model.tables[finding.id]
    partly = derived(finding, knowledge, unit, answers)
    if partly is None:
        return table
    weighed = np.maximum(np.asarray(partly.weights)[:, None] * table, 1e-12)
    return np.asarray(weighed / weighed.sum(axis=0))


def _look(checks: Sequence[Check], role: Role, table: Array, chance: float) -> Look:
    """One look that takes these checks together, from either plant state."""
    minutes = tuple(sum(check_minutes(c, role, plant) for c in checks) for plant in PLANTS)
    wanted = {c.plant for c in checks} - {"any"}
    leaves = tuple(PLANTS.index(next(iter(wanted))) if len(wanted) == 1 else k for k in range(len(PLANTS)))
    return Look(checks[0].id, minutes, table, chance, leaves)
