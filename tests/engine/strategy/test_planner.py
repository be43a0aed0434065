"""What the planner says of checks and remedies, against the same worked out slowly from the knowledge itself."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.findings.evidence import Observation
from engine.knowledge.model import RoleId
from engine.strategy import Aim, Planner
from engine.strategy.options import finding_looks, outcomes, points
from tests.engine.strategy.plain_fallback import fallback_minutes
from tests.engine.strategy.test_strategy import AIMS, KNOWLEDGE, UNIT, beliefs, planner, situation
from tests.shipped import models


def entropy(shares: dict[str, float]) -> float:
    return -sum(p * math.log2(p) for p in shares.values() if p > 0)


def by_remedy(tree: str, belief: np.ndarray) -> dict[str, float]:
    """The share of each remedy: a cause goes by the first of its repairs, a pair counts half for either."""
    shares: dict[str, float] = {}
    for hypothesis, share in zip(models().tree(tree).hypotheses, belief, strict=True):
        for cause in hypothesis or ("",):
            repair = KNOWLEDGE.causes[cause].repairs[0] if cause else "handed on"
            shares[repair] = shares.get(repair, 0.0) + float(share) / max(len(hypothesis), 1)
    return shares


def told(tree: str, belief: np.ndarray, table: np.ndarray) -> float:
    """Information of what a check shows on the remedy, in bits (Shannon 1948): entropy before less the mean after."""
    after = 0.0
    for row in table:
        if (chance := float(row @ belief)) > 0:
            after += chance * entropy(by_remedy(tree, row * belief / chance))
    return entropy(by_remedy(tree, belief)) - after


@settings(deadline=None, max_examples=15)
@given(beliefs(), st.sampled_from(AIMS), st.randoms(use_true_random=False))
def test_a_check_is_said_to_tell_what_it_tells_of_the_remedy(
    case: tuple[str, RoleId, np.ndarray], aim: Aim, random: Random
) -> None:
    tree, role, belief = case
    now, plan = situation(role, {"tested_salt": Observation(3300.0)}), planner(tree, role)
    for name in random.sample(list(now.open_checks), 6):
        table = plan.outcomes(KNOWLEDGE.checks[name], now)
        for appraisal in plan.appraise(belief, replace(now, open_checks=[name]), aim):
            assert appraisal.bits == pytest.approx(told(tree, belief, table), abs=2e-3)


@settings(deadline=None, max_examples=15)
@given(beliefs(), st.sampled_from(AIMS))
def test_each_check_is_listed_once_and_the_best_first(case: tuple[str, RoleId, np.ndarray], aim: Aim) -> None:
    tree, role, belief = case
    listed = planner(tree, role).appraise(belief, situation(role), aim)
    worth = [a.worth for a in listed]
    assert worth == sorted(worth, reverse=True)
    assert len({a.check for a in listed}) == len(listed) > 1


@pytest.mark.parametrize(
    ("role", "shares", "wanted"),
    [
        ("phone", {"output_short": 0.6, "unit_undersized": 0.4}, ("pool_volume", "rated_output")),
        ("field", {"power_pack_failed": 0.5, "salt_undissolved": 0.5}, ("cell_current", "tested_salt")),
    ],
)
def test_of_readings_wanted_together_the_one_that_tells_most_for_its_minutes_comes_first(
    role: RoleId, shares: dict[str, float], wanted: tuple[str, ...]
) -> None:
    """Each reading by itself, in bits a minute as often as the person asked can say; not the longest, nor the last."""
    tree, plan = models().tree("no-output"), planner("no-output", role)
    belief = np.array([shares.get(h[0], 0.0) if len(h) == 1 else 0.0 for h in tree.hypotheses])
    groups = finding_looks(KNOWLEDGE, tree, UNIT, situation(role))
    look, checks = next((look, checks) for look, checks in groups if set(wanted) <= set(checks))
    now = replace(situation(role), open_checks=list(checks))

    def alone(name: str) -> float:
        check = KNOWLEDGE.checks[name]
        bits = told("no-output", belief, plan.outcomes(check, now))
        return check.known[role] * bits / (check.minutes[role] + now.role.minutes["question"])

    for aim in AIMS:
        together = [a for a in plan.appraise(belief, now, aim) if a.minutes == pytest.approx(look.minutes[0])]
        assert [a.check for a in together] == [max(checks, key=alone)]


@pytest.mark.parametrize("role", sorted(KNOWLEDGE.roles))
def test_a_sure_fault_is_set_right_by_its_first_repair_and_an_unknown_one_is_handed_on(role: RoleId) -> None:
    """By hand: with a repair that always works, its minutes where right; else those of handing an unknown fault on."""
    tree = models().tree("low-salt")
    sure = {r.id: replace(r, cures=dict.fromkeys(r.cures, 1.0)) for r in KNOWLEDGE.repairs.values()}
    plan = Planner(replace(KNOWLEDGE, repairs=sure), tree, KNOWLEDGE.roles[role], UNIT)
    for hypothesis, shares in zip(tree.hypotheses, np.eye(len(tree.hypotheses)), strict=True):
        remedy, minutes = plan.act_now(shares, "settle")
        if not hypothesis:
            assert remedy is None
            assert minutes == pytest.approx(fallback_minutes([], KNOWLEDGE.roles[role]))
        elif len(hypothesis) == 1:
            wanted = next(r for r in plan.remedies if r.repair == KNOWLEDGE.causes[hypothesis[0]].repairs[0])
            assert minutes <= wanted.right + 1e-9
            assert remedy is not None
            assert hypothesis[0] in sure[remedy.repair].cures


def test_what_an_outcome_makes_or_unmakes_is_told() -> None:
    """Bayes by hand, outcome by outcome: a cause of note before or after is listed, one that is neither is not."""
    tree, plan, now = models().tree("low-salt"), planner("low-salt", "field"), situation("field")
    prior = tree.prior
    for check in ("cell_lead", "salt_added"):
        table, struck = plan.outcomes(KNOWLEDGE.checks[check], now), 0
        rows = {o.answer: o for o in plan.explain(prior, now, "mend", check).outcomes}
        for answer, likely in zip(KNOWLEDGE.checks[check].answers, table, strict=True):
            told_of = {cause: (before, after) for cause, before, after in rows[answer.id].causes}
            for cause in tree.causes:
                has = np.array([cause in h for h in tree.hypotheses])
                before, after = prior[has].sum(), (likely * prior)[has].sum() / (likely @ prior)
                if max(before, after) >= 0.01:
                    assert told_of[cause] == pytest.approx((before, after))
                    struck += before > 0.01 and after < 0.003
                elif max(before, after) < 0.001:
                    assert cause not in told_of
        assert struck >= 1


@pytest.mark.parametrize("id", sorted(KNOWLEDGE.findings))
def test_what_was_worked_out_for_another_answer_is_never_shown_again(id: str) -> None:
    """A planner that has answered many questions says of each the same as one that answers its first."""
    plan = planner("no-output", "field")
    checks = [check for name in KNOWLEDGE.findings[id].inputs if (check := KNOWLEDGE.checks[name]).is_number]
    usual = {check.id: Observation(points(check, UNIT)[3]) for check in checks}
    for check, other in itertools.permutations(checks, 2):
        rest = {name: reading for name, reading in usual.items() if name not in (check.id, other.id)}
        for said in [rest, *({**rest, other.id: Observation(value)} for value in points(other, UNIT)[1:4])]:
            fresh = outcomes(KNOWLEDGE, models().tree("no-output"), UNIT, check, said)
            assert np.array_equal(plan.outcomes(check, situation("field", said)), fresh)
