"""The strategy against slow plain methods and published results."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.findings.evidence import Observation, evidence
from engine.inference.belief import posterior
from engine.knowledge.model import Plant, RoleId
from engine.strategy import Aim, Planner, Situation
from engine.strategy.sequence import MOST_TRIES
from tests.engine.strategy.plain_fallback import fallback_minutes
from tests.example_counts import up_to
from tests.shipped import knowledge, models

KNOWLEDGE = knowledge()
UNIT = KNOWLEDGE.units["default"]
TREES = sorted(KNOWLEDGE.trees)
AIMS: tuple[Aim, ...] = ("mend", "settle")


def planner(tree: str, role: RoleId) -> Planner:
    return Planner(KNOWLEDGE, models().tree(tree), KNOWLEDGE.roles[role], UNIT)


def situation(role: RoleId, answers: dict[str, Observation] | None = None) -> Situation:
    found = answers or {}
    checks = [c for c in KNOWLEDGE.checks if c not in found and c != "danger_now"]
    return Situation(KNOWLEDGE.roles[role], "running", checks, found, ("water_sample", "cell"))


@st.composite
def beliefs(draw: st.DrawFn) -> tuple[str, RoleId, np.ndarray]:
    tree, role = draw(st.sampled_from(TREES)), draw(st.sampled_from(sorted(KNOWLEDGE.roles)))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    raw = rng.dirichlet(np.full(len(models().tree(tree).hypotheses), draw(st.sampled_from([0.02, 0.2, 1.0]))))
    return tree, role, raw


def plain_cost(plan: Planner, tree: str, belief: np.ndarray, tries: int, plant: Plant) -> float:
    """Least expected minutes of repairing in greedy order, then handing on: hypothesis by hypothesis, no arrays.

    With the supply off already, the first repair that needs it off is not charged for the switching.
    """
    remedies = {r.repair: r for r in plan.remedies}
    hypotheses = models().tree(tree).hypotheses
    open_causes = [dict.fromkeys(h, 1.0) for h in hypotheses]
    handing_on = [
        fallback_minutes([KNOWLEDGE.repairs[KNOWLEDGE.causes[c].repairs[0]] for c in h], plan._role) for h in hypotheses
    ]
    left, spent = list(remedies), 0.0
    before = [1.0] * len(hypotheses)
    best = sum(float(b) * cost for b, cost in zip(belief, handing_on, strict=True))
    for nth in range(min(tries, len(left))):
        saved = {
            r: plan._role.minutes["isolate"]
            if (nth, plant, KNOWLEDGE.repairs[r].plant) == (0, "isolated", "isolated")
            and remedies[r].decision == "repair_here"
            else 0.0
            for r in left
        }
        chances = {
            r: sum(_share(r, h, b, o) for h, b, o in zip(hypotheses, belief, open_causes, strict=True)) for r in left
        }
        repair = max(left, key=lambda r: chances[r] / (remedies[r].wrong - saved[r]))
        left.remove(repair)
        for causes in open_causes:
            for cause in causes:
                causes[cause] *= 1.0 - KNOWLEDGE.repairs[repair].cures.get(cause, 0.0)
        after = [1.0 - math.prod(1.0 - share for share in causes.values()) if causes else 1.0 for causes in open_causes]
        for b, was, now in zip(belief, before, after, strict=True):
            spent += float(b) * ((was - now) * remedies[repair].right + now * remedies[repair].wrong)
            spent -= float(b) * was * saved[repair]
        handed = sum(float(b) * now * cost for b, now, cost in zip(belief, after, handing_on, strict=True))
        best, before = min(best, spent + handed), after
    return best


def _share(repair: str, hypothesis: tuple[str, ...], belief: float, open_causes: dict[str, float]) -> float:
    """The share of a hypothesis that a repair may cure; a pair counts half for each of its causes."""
    cures = KNOWLEDGE.repairs[repair].cures
    return sum(belief * open_causes[c] * cures.get(c, 0.0) / len(hypothesis) for c in hypothesis)


@settings(deadline=None, max_examples=up_to(40))
@given(beliefs(), st.sampled_from(["mend", "settle"]), st.sampled_from(["running", "isolated"]))
def test_the_quick_cost_is_the_plain_one_over_the_best_number_of_tries(
    case: tuple[str, RoleId, np.ndarray], aim: Aim, plant: Plant
) -> None:
    tree, role, belief = case
    plan = planner(tree, role)
    tries = 1 if aim == "settle" else MOST_TRIES
    assert plan.act_now(belief, aim, plant)[1] == pytest.approx(plain_cost(plan, tree, belief, tries, plant), rel=1e-9)


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


@settings(deadline=None, max_examples=up_to(30))
@given(beliefs())
def test_information_never_costs(case: tuple[str, RoleId, np.ndarray]) -> None:
    """The expected cost to go is concave in the belief, so what a check tells is worth at least nothing."""
    tree, role, belief = case
    for aim in AIMS:
        for appraisal in planner(tree, role).appraise(belief, situation(role), aim):
            assert appraisal.gain >= 0.0
            assert appraisal.minutes >= 0.0
            assert 0.0 <= appraisal.chance <= 1.0


@pytest.mark.parametrize("role", KNOWLEDGE.roles)
@pytest.mark.parametrize("tree", TREES)
def test_what_a_check_may_show_sums_to_one_whatever_the_fault(tree: str, role: RoleId) -> None:
    answers = {"unit_salt": Observation(2600.0), "unit_temp": Observation(9.0), "run_hours": Observation(6.0)}
    plan, now = planner(tree, role), situation(role, answers)
    for check in KNOWLEDGE.checks.values():
        assert np.abs(plan.outcomes(check, now).sum(axis=0) - 1.0).max() < 1e-9


def test_a_question_that_changes_nothing_is_not_worth_asking() -> None:
    """Lin 2014, Fig. 2: a solver must not ask what does not pay. A settled belief leaves nothing to ask."""
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
    """Cost clusters (Ottosen and Jensen, arXiv 1203.3502): with the supply off a second look costs no switching."""
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
    shown = {"unit_salt": Observation(2500.0)}
    belief = posterior(model, evidence(KNOWLEDGE, UNIT, shown))
    # The same belief, as if the unit's figure could not be held against the test.
    only_test = replace(situation("counter"), open_checks=["tested_salt"])
    alone = {a.check: a.bits for a in plan.appraise(belief, only_test, "settle")}
    both = {a.check: a.bits for a in plan.appraise(belief, situation("counter", shown), "settle")}
    assert both["tested_salt"] > alone["tested_salt"]


def test_to_name_a_remedy_it_makes_no_difference_how_surely_it_works_to_mend_it_does() -> None:
    half = {r.id: replace(r, cures={c: p / 2 for c, p in r.cures.items()}) for r in KNOWLEDGE.repairs.values()}
    unsure = Planner(replace(KNOWLEDGE, repairs=half), models().tree("low-salt"), KNOWLEDGE.roles["field"], UNIT)
    always = {r.id: replace(r, cures=dict.fromkeys(r.cures, 1.0)) for r in KNOWLEDGE.repairs.values()}
    certain = Planner(replace(KNOWLEDGE, repairs=always), models().tree("low-salt"), KNOWLEDGE.roles["field"], UNIT)
    sure, now = planner("low-salt", "field"), replace(situation("field"), open_checks=["cell_plates"])
    shares: dict[tuple[str, ...], float] = {("salt_low",): 0.9, ("cell_scaled",): 0.1}
    belief = np.array([shares.get(h, 0.0) for h in models().tree("low-salt").hypotheses])
    gains = {aim: [plan.appraise(belief, now, aim)[0].gain for plan in (sure, unsure, certain)] for aim in AIMS}
    assert gains["settle"] == pytest.approx([gains["settle"][2]] * 3)
    assert gains["mend"][0] < gains["mend"][1] - 1.0


@pytest.mark.parametrize("role", sorted(KNOWLEDGE.roles))
def test_only_a_repair_done_here_saves_switching_swaps_parts_and_goes_on(role: RoleId) -> None:
    plan = planner("no-output", role)
    switch = KNOWLEDGE.roles[role].minutes["isolate"]
    for index, remedy in enumerate(plan.remedies):
        repair, here = KNOWLEDGE.repairs[remedy.repair], remedy.decision == "repair_here"
        saved = switch if here and repair.plant == "isolated" else 0.0
        for minutes in (plan.decision.right, plan.decision.wrong):
            assert minutes[0, index] - minutes[1, index] == pytest.approx(saved)
        assert plan.decision.swaps[index] == (here and repair.swap_back is not None)
        assert plan.decision.goes_on[index] == (here and repair.result_shows == "at once")


@settings(deadline=None, max_examples=20)
@given(beliefs())
def test_the_order_of_work_is_by_chance_over_cost_with_each_remedys_share(case: tuple[str, RoleId, np.ndarray]) -> None:
    """Every cause goes by the first of its repairs; a pair counts once for a repair that both causes have."""
    tree, role, belief = case
    listed = planner(tree, role).order(belief)
    for remedy, share, causes in listed:
        mine = [c for c in models().tree(tree).causes if KNOWLEDGE.causes[c].repairs[0] == remedy.repair]
        assert sorted(causes) == sorted(mine)
        pairs = zip(models().tree(tree).hypotheses, belief, strict=True)
        assert share == pytest.approx(sum(float(b) for h, b in pairs if set(h) & set(mine)))
    worth = [share / remedy.wrong for remedy, share, _ in listed]
    assert worth == sorted(worth, reverse=True)
