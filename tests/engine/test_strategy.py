"""The strategy against slow plain methods and published results."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.belief import posterior
from engine.costs import Remedy, fallback_minutes
from engine.model import RoleId
from engine.readings import Reading, evidence
from engine.strategy import Aim, Planner, Situation
from tests.shipped import knowledge, models

KNOWLEDGE = knowledge()
UNIT = KNOWLEDGE.units["default"]
TREES = sorted(KNOWLEDGE.trees)


def planner(tree: str, role: RoleId) -> Planner:
    return Planner(KNOWLEDGE, models().tree(tree), KNOWLEDGE.roles[role], UNIT)


def situation(role: RoleId, answers: dict[str, Reading] | None = None) -> Situation:
    found = answers or {}
    checks = [c for c in KNOWLEDGE.checks if c not in found and c != "danger_now"]
    return Situation(KNOWLEDGE.roles[role], "running", checks, found, ("water_sample", "cell"))


@st.composite
def beliefs(draw: st.DrawFn) -> tuple[str, RoleId, np.ndarray]:
    tree, role = draw(st.sampled_from(TREES)), draw(st.sampled_from(sorted(KNOWLEDGE.roles)))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    raw = rng.dirichlet(np.full(len(models().tree(tree).hypotheses), draw(st.sampled_from([0.02, 0.2, 1.0]))))
    return tree, role, raw


def plain_cost(plan: Planner, tree: str, belief: np.ndarray, order: list[str], tries: int) -> float:
    """Expected minutes of trying remedies in order, then handing on: one hypothesis after the other, no arrays."""
    remedies = {r.repair: r for r in plan.remedies}
    role = plan._role
    total = 0.0
    for hypothesis, share in zip(models().tree(tree).hypotheses, belief, strict=True):
        needed = {KNOWLEDGE.causes[c].repairs[0] for c in hypothesis}
        spent, open_faults = 0.0, set(needed)
        solved = False
        for repair in order[:tries]:
            open_faults.discard(repair)
            if needed and not open_faults:
                spent += remedies[repair].right
                solved = True
                break
            spent += remedies[repair].wrong
        if not solved:
            spent += fallback_minutes([KNOWLEDGE.repairs[KNOWLEDGE.causes[c].repairs[0]] for c in hypothesis], role)
        total += float(share) * spent
    return total


@settings(deadline=None, max_examples=40)
@given(beliefs(), st.sampled_from(["mend", "settle"]))
def test_the_quick_cost_is_the_plain_one_over_the_best_number_of_tries(
    case: tuple[str, RoleId, np.ndarray], aim: Aim
) -> None:
    tree, role, belief = case
    plan = planner(tree, role)
    order = [remedy.repair for remedy, _, _ in _by_share(plan, tree, belief)]
    most = 1 if aim == "settle" else len(order)
    expected = min(plain_cost(plan, tree, belief, order, tries) for tries in range(most + 1))
    assert plan.act_now(belief, aim)[1] == pytest.approx(expected, rel=1e-9)


def _by_share(plan: Planner, tree: str, belief: np.ndarray) -> list[tuple[Remedy, float, int]]:
    """Remedies by share over cost, a pair's share split between its two remedies, ties in catalogue order."""
    shares = {r.repair: 0.0 for r in plan.remedies}
    for hypothesis, share in zip(models().tree(tree).hypotheses, belief, strict=True):
        for cause in hypothesis:
            shares[KNOWLEDGE.causes[cause].repairs[0]] += float(share) / len(hypothesis)
    ranked = [(r, -shares[r.repair] / r.wrong, k) for k, r in enumerate(plan.remedies)]
    return sorted(ranked, key=lambda item: (item[1], item[2]))


def test_the_order_by_chance_over_cost_is_never_beaten_for_one_fault() -> None:
    """Jensen and others 2001, Theorem 1 (p/c order optimal for one fault and independent costs), by brute force.

    In our cost a failed try costs `wrong`, so the theorem is checked with a wrong remedy costing as much as a right one
    and no handing on: five of the shipped remedies, 120 orders, 50 random beliefs.
    """
    rng = np.random.default_rng(7)
    for _ in range(50):
        p, c = rng.dirichlet(np.ones(5)), rng.uniform(1.0, 20.0, 5)

        def cost(order: tuple[int, ...], p: np.ndarray = p, c: np.ndarray = c) -> float:
            return float(sum(p[k] * sum(c[j] for j in order[: place + 1]) for place, k in enumerate(order)))

        ours = tuple(int(k) for k in np.argsort(-p / c, kind="stable"))
        assert cost(ours) <= min(cost(order) for order in itertools.permutations(range(5))) + 1e-12


@settings(deadline=None, max_examples=30)
@given(beliefs())
def test_information_never_costs(case: tuple[str, RoleId, np.ndarray]) -> None:
    """The expected cost to go is concave in the belief, so what a check tells is worth at least nothing."""
    tree, role, belief = case
    aims: tuple[Aim, ...] = ("mend", "settle")
    for aim in aims:
        for appraisal in planner(tree, role).appraise(belief, situation(role), aim):
            assert appraisal.gain >= 0.0
            assert appraisal.minutes >= 0.0
            assert 0.0 <= appraisal.chance <= 1.0


@settings(deadline=None, max_examples=30)
@given(beliefs())
def test_what_a_check_may_show_sums_to_one_whatever_the_fault(case: tuple[str, RoleId, np.ndarray]) -> None:
    tree, role, _ = case
    answers = {"unit_salt": Reading(2600.0), "unit_temp": Reading(9.0), "run_hours": Reading(6.0)}
    for check in KNOWLEDGE.checks.values():
        table = planner(tree, role).outcomes(check, situation(role, answers))
        assert table.sum(axis=0) == pytest.approx(np.ones(table.shape[1]))


def test_a_question_that_changes_nothing_is_not_worth_asking() -> None:
    """Lin 2014, Fig. 2, teaches that a solver must not ask what does not pay: a settled belief leaves nothing to ask."""
    model = models().tree("supply-fault")
    sure = np.array([0.9999 if h == ("supply_dead",) else 0.0 for h in model.hypotheses])
    sure = (sure + 1e-7) / (sure + 1e-7).sum()
    assert all(a.worth <= 0 for a in planner("supply-fault", "counter").appraise(sure, situation("counter"), "mend"))


def test_a_role_is_not_asked_for_what_it_cannot_meet() -> None:
    belief = models().tree("no-output").prior
    asked = {a.check for a in planner("no-output", "phone").appraise(belief, situation("phone"), "mend")}
    assert all(KNOWLEDGE.checks[name].needs == "nothing" for name in asked)
    assert asked


def test_a_cell_on_the_counter_can_be_looked_at_there() -> None:
    belief = models().tree("low-salt").prior
    plan, now = planner("low-salt", "counter"), situation("counter")
    assert "cell_plates" in {a.check for a in plan.appraise(belief, now, "mend")}
    empty_handed = Situation(now.role, now.plant, now.open_checks, now.answers, ())
    assert "cell_plates" not in {a.check for a in plan.appraise(belief, empty_handed, "mend")}


def test_switching_the_supply_is_paid_once_for_several_looks() -> None:
    """Cost clusters (Ottosen and Jensen, arXiv 1203.3502): with the supply isolated a second look costs no switching."""
    belief = models().tree("no-output").prior
    running = situation("field")
    isolated = Situation(running.role, "isolated", running.open_checks, running.answers, running.brought)
    plan = planner("no-output", "field")
    before = {a.check: a.minutes for a in plan.appraise(belief, running, "mend")}
    after = {a.check: a.minutes for a in plan.appraise(belief, isolated, "mend")}
    switch = KNOWLEDGE.roles["field"].minutes["isolate"]
    assert before["cell_lead"] - after["cell_lead"] == pytest.approx(switch)


def test_the_reading_that_completes_a_finding_is_worth_more_than_the_same_reading_alone() -> None:
    """With the unit's salt known, a salt test also tells whether the unit reads true."""
    model = models().tree("low-salt")
    plan = planner("low-salt", "counter")
    alone = {a.check: a.bits for a in plan.appraise(model.prior, situation("counter"), "settle")}
    shown = {"unit_salt": Reading(2500.0)}
    belief = posterior(model, evidence(KNOWLEDGE, UNIT, shown))
    both = {a.check: a.bits for a in plan.appraise(belief, situation("counter", shown), "settle")}
    assert both["tested_salt"] > alone["tested_salt"]
