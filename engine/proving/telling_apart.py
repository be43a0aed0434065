"""Which causes of a tree nobody can tell apart, by who asks, and which can never be named first."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from engine.inference.belief import Array, TreeModel
from engine.knowledge.model import DANGER_CHECK, Check, Knowledge, Need, Role
from engine.session.availability import HARDLY_EVER, asked_checks
from engine.session.models import Models
from engine.strategy.costs import chance_to_say

SEPARATES_DB = 3.0
"""A check that speaks this much on average, whichever of the two it is, tells them apart: judgement."""
OFTEN = 0.5
"""Causes are told apart where in half of the calls somebody can say a check that separates them: judgement."""
_ROUNDS = 60
_TINY = 1e-12


@dataclass(frozen=True)
class Alike:
    """Two causes that no check of this role tells apart, or too seldom.

    `chance` is in how many of 1 calls this role can say some check that does. `best` is what it can ask that tells most
    in all its calls, `decibans` how much on average where it is known, `known` how often that is. `would` is the check
    that tells most of all, whoever makes it, with what it `needs` and how much it tells; empty where none tells them
    apart either. `same_repair`: both go by the same remedy, so that nothing is lost.
    """

    first: str
    second: str
    best: str
    decibans: float
    known: float
    chance: float
    would: str
    needs: Need
    would_decibans: float
    same_repair: bool


@dataclass(frozen=True)
class NeverFirst:
    """A cause that is named first by no answers that were found; `behind` is what always stands before it then.

    `proved`: whatever is answered, it cannot come before that one.
    """

    cause: str
    behind: tuple[str, ...]
    proved: bool


def alike(models: Models, tree: str, role: Role) -> tuple[Alike, ...]:
    """The pairs of causes that this role cannot tell apart, those first that take different repairs."""
    knowledge, model = models.knowledge, models.tree(tree)
    checks = [check for check in asked_checks(knowledge) if check.id != DANGER_CHECK]
    own = {check.id: _chance(check, role) for check in checks if _can_say(check, role)}
    tells = {check.id: _told(model, check.id) for check in checks}
    found = _alike(knowledge, model, tells, own)
    return tuple(sorted(found, key=lambda one: (one.same_repair, one.chance, one.decibans)))


def _alike(
    knowledge: Knowledge, model: TreeModel, tells: Mapping[str, Array], own: Mapping[str, float]
) -> Iterator[Alike]:
    for (i, first), (j, second) in itertools.combinations(enumerate(model.causes), 2):
        by_check = {name: float(table[i, j]) for name, table in tells.items()}
        # Whether one check is known is taken as independent of whether another one is.
        chance = 1 - math.prod(1 - known for name, known in own.items() if by_check[name] >= SEPARATES_DB)
        if chance >= OFTEN:
            continue
        best = max(own, key=lambda name: by_check[name] * own[name], default="")
        would = max(by_check, key=lambda name: by_check[name])
        separates = by_check[would] >= SEPARATES_DB
        repairs = (knowledge.causes[cause].repairs[:1] for cause in (first, second))
        yield Alike(
            first, second, best, by_check.get(best, 0.0), own.get(best, 0.0), chance, would if separates else "",
            knowledge.checks[would].needs, by_check[would], next(repairs) == next(repairs),
        )  # fmt: skip


def _chance(check: Check, role: Role) -> float:
    """How often this role can say a check, with all that may be brought."""
    return chance_to_say(check, role, () if check.brought is None else (check.brought,))


def _can_say(check: Check, role: Role) -> bool:
    return _chance(check, role) > HARDLY_EVER


def _told(model: TreeModel, check: str) -> Array:
    """How much a check tells two causes apart on average, in decibans, shape (causes, causes).

    The mean of what it speaks for each where that one is so: half of Jeffreys' divergence (Jeffreys 1946, from memory).
    """
    table = np.maximum(_columns(model, check)[:, : len(model.causes)], _TINY)
    table = table / table.sum(axis=0)
    logs = np.log(table)
    own = (table * logs).sum(axis=0)
    crossed = table.T @ logs
    return np.asarray(10.0 / math.log(10.0) * (own[:, None] - crossed + own[None, :] - crossed.T) / 2.0)


def _columns(model: TreeModel, item: str) -> Array:
    """The table of a check over the answers that the complaint leaves open."""
    rows = model.given.get(item)
    return model.tables[item] if rows is None else model.tables[item][list(rows)]


def never_first(models: Models, tree: str, role: Role) -> tuple[NeverFirst, ...]:
    """The causes for which no answers of this role's checks were found that put them first, alone or in a pair.

    Proved is that from each check's best answer for it, taken together as if all could be had at once.
    """
    knowledge, model = models.knowledge, models.tree(tree)
    names = [c.id for c in asked_checks(knowledge) if c.id != DANGER_CHECK and _can_say(c, role)]
    findings = [f for f in knowledge.findings.values() if all(name in names or name in f.assume for name in f.inputs)]
    replaced = {name for finding in findings for name in finding.replaces}
    every = [_logs(model, name) for name in (*names, *(finding.id for finding in findings))]
    apart = [_logs(model, name) for name in names if name not in replaced]
    apart += [_logs(model, finding.id) for finding in findings]
    prior = np.log(np.maximum(model.prior, 1e-300))
    found = (_never(model, prior, every, apart, cause) for cause in model.causes)
    return tuple(one for one in found if one is not None)


def _logs(model: TreeModel, item: str) -> Array:
    return np.log(np.maximum(_columns(model, item), _TINY))


def _never(
    model: TreeModel, prior: Array, every: Sequence[Array], apart: Sequence[Array], cause: str
) -> NeverFirst | None:
    with_it = [k for k, h in enumerate(model.hypotheses) if cause in h]
    alone = with_it[0]
    # No hypothesis with the cause may be able to come before the rival, each with the answers that suit it best.
    rivals = [k for k, h in enumerate(model.hypotheses) if cause not in h]
    most = np.max([_most_for(prior, every, k) for k in with_it], axis=0)
    proof = next((k for k in sorted(rivals, key=lambda k: most[k]) if most[k] < 0), None)
    if proof is not None:
        return NeverFirst(cause, model.hypotheses[proof], True)
    before = _stands_before(model, prior, apart, cause, alone)
    return None if before is None else NeverFirst(cause, before, False)


def _most_for(prior: Array, tables: Sequence[Array], place: int) -> Array:
    """The most that any answers can speak for a hypothesis against each other one, with the share; in nats."""
    best = (np.maximum((table[:, [place]] - table).max(axis=0), 0.0) for table in tables)
    return np.asarray(prior[place] - prior + sum(best))


def _stands_before(
    model: TreeModel, prior: Array, tables: Sequence[Array], cause: str, place: int
) -> tuple[str, ...] | None:
    """What still stands first once each check answers as it best speaks against the likeliest rival; None for nothing.

    Answers are chosen one check at a time, each so that the hypothesis stands as high as it can, until nothing changes.
    """
    chosen = [int(np.argmax(table[:, place])) for table in tables]
    total = prior + sum((table[row] for table, row in zip(tables, chosen, strict=True)), np.zeros_like(prior))
    for _ in range(_ROUNDS):
        if cause in model.hypotheses[int(np.argmax(total))]:
            return None
        changed = False
        for k, table in enumerate(tables):
            rest = total - table[chosen[k]]
            leads = (rest + table)[:, place] - np.delete(rest + table, place, axis=1).max(axis=1)
            row = int(np.argmax(leads))
            if row != chosen[k] and leads[row] > leads[chosen[k]] + _TINY:
                chosen[k], total, changed = row, rest + table[row], True
        if not changed:
            break
    return model.hypotheses[int(np.argmax(total))] if cause not in model.hypotheses[int(np.argmax(total))] else None
