"""Worked examples of the troubleshooting literature, run through the engine's own belief and strategy.

Beside each test stands where its numbers come from. Costs are in minutes; in the sources they are plain cost units.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from engine.inference.belief import Array, Evidence, TreeModel, causes_marginal, decibans, posterior
from engine.inference.compiling import combine_most_striking
from engine.strategy.decision import DecisionModel, Look, after_failure, decision_model
from engine.strategy.lookahead import Position, next_step
from engine.strategy.sequence import act
from tests.benchmarks.exact import Problem, optimum
from tests.benchmarks.policies import expected_minutes
from tests.benchmarks.scoring import brier_parts, huffman_length

NEVER = 1e6
"""What handing on costs in an example that knows no call for service."""


def single_faults(cures: Array, cost: Array, hand_on: float = NEVER) -> DecisionModel:
    count = cures.shape[1]
    return decision_model([(k,) for k in range(count)], cures, cost, cost, np.full(count, hand_on))


def start(model: DecisionModel, prior: list[float], *looks: Look) -> Position:
    return Position(np.array(prior), tuple(looks), np.ones(len(model.repairs), dtype=bool))


def without_looks(model: DecisionModel, prior: list[float]) -> tuple[float, int]:
    minutes, first = act(
        model, np.array([prior]), np.ones((1, len(model.repairs)), dtype=bool), np.zeros(1, dtype=np.intp)
    )
    return float(minutes[0]), int(first[0])


def yes_no(cost: float, yes: list[float]) -> Look:
    return Look("look", (cost,), np.array([yes, [1.0 - p for p in yes]]))


def test_order_by_chance_over_cost() -> None:
    """p = (.5, .3, .2), c = (10, 2, 1). Heckerman, Breese and Rommelse 1995, eq. 5, worked by hand: 3-2-1 costs
    .2*1 + .3*3 + .5*13 = 7.6, the least of the six orders (11.2, 11.1, 9.2, 7.7, 9.6, 7.6)."""
    model = single_faults(np.eye(3), np.array([10.0, 2.0, 1.0]))
    assert without_looks(model, [0.5, 0.3, 0.2]) == pytest.approx((7.6, 2))


def test_greedy_fails_where_repairs_overlap_and_looking_ahead_mends_it() -> None:
    """Jensen and others 2001, Fig. 1: greedy <A2, A1, A3> costs 1.50, the optimum <A3, A1> 1.45 (the figure's arcs
    as the text gives them)."""
    cures = np.array([[1.0, 1, 0, 0], [0, 1, 1, 0], [0, 0, 1, 1]])
    model, prior = single_faults(cures, np.ones(3)), [0.20, 0.25, 0.40, 0.15]
    assert without_looks(model, prior) == pytest.approx((1.50, 1))
    assert next_step(model, start(model, prior)) == ("repair", 2)
    assert expected_minutes(model, start(model, prior)) == pytest.approx(1.45)


def test_a_question_is_left_out_where_it_does_not_pay() -> None:
    """Lin 2014, Fig. 2: F = (1/2, 1/4, 1/4), unit costs. A1, then Q, then the right one costs 2.0; without Q 1.75."""
    model = single_faults(np.eye(3), np.ones(3))
    position = start(model, [0.5, 0.25, 0.25], yes_no(1.0, [0.5, 1.0, 0.0]))
    assert next_step(model, position) == ("repair", 0)
    assert expected_minutes(model, position) == pytest.approx(1.75)


@pytest.mark.parametrize(("m", "expected"), [(1, 3.0), (2, 11 / 3)])
def test_exact_cover_family(m: int, expected: float) -> None:
    """Vomlelova 2003, Theorem 4: 3(m+1) faults alike, unit costs, questions on triples of which m are disjoint.

    The optimum is 2 + m(m+3) / (2(m+1)); at least this, and at most 2 % more, is what the engine's steps cost.
    """
    count = 3 * (m + 1)
    triples = [set(range(3 * k, 3 * k + 3)) for k in range(m)] + [{0, 3, 5 if m == 1 else 6}]
    tables = [
        np.array([[float(f in t) for f in range(count)], [float(f not in t) for f in range(count)]]) for t in triples
    ]
    problem = Problem(
        np.full(count, 1 / count), np.eye(count), np.ones(count), tuple(tables), np.ones(len(tables)), NEVER
    )
    assert optimum(problem) == pytest.approx(expected)
    model = single_faults(np.eye(count), np.ones(count))
    looks = [Look("in", (1.0,), table) for table in tables]
    ours = expected_minutes(model, start(model, [1 / count] * count, *looks))
    assert expected - 1e-9 <= ours <= expected * 1.02


def test_two_steps_see_what_one_cannot() -> None:
    """Two looks that tell nothing alone and everything together (a parity); costs by hand: 1 + 1 + 10 = 12 against
    10 + 10/2 = 15."""
    model = decision_model([(0,), (0,), (1,), (1,)], np.eye(2), np.full(2, 10.0), np.full(2, 10.0), np.full(4, NEVER))
    bit, parity = yes_no(1.0, [0.0, 1.0, 0.0, 1.0]), yes_no(1.0, [0.0, 1.0, 1.0, 0.0])
    prior = [0.25] * 4
    assert without_looks(model, prior)[0] == pytest.approx(15.0)
    assert expected_minutes(model, start(model, prior, bit, parity)) == pytest.approx(12.0)


def test_a_noisy_look_worth_taking() -> None:
    """p = (.6, .3, .1), c = (6, 4, 10), look cost 1 with P(yes) = (.9, .1, .1): 8.60 without, 8.22 with; by Bayes'
    rule and eq. 5 of Heckerman, Breese and Rommelse 1995, by hand."""
    model, prior = single_faults(np.eye(3), np.array([6.0, 4.0, 10.0])), [0.6, 0.3, 0.1]
    position = start(model, prior, yes_no(1.0, [0.9, 0.1, 0.1]))
    assert without_looks(model, prior) == pytest.approx((8.60, 0))
    assert next_step(model, position) == ("look", 0)
    assert expected_minutes(model, position) == pytest.approx(8.22)


def test_call_service_and_repairs_that_may_fail() -> None:
    """2 + .46 * 4 + .19 * 20 = 7.64: A1, A2, then call; A3 never. Imperfect repairs: Jensen 2001, Prop. 2."""
    cures = np.diag([0.9, 0.9, 1.0])
    model = single_faults(cures, np.array([2.0, 4.0, 30.0]), hand_on=20.0)
    position = start(model, [0.6, 0.3, 0.1])
    assert without_looks(model, [0.6, 0.3, 0.1]) == pytest.approx((7.64, 0))
    assert expected_minutes(model, position) == pytest.approx(7.64)
    two = single_faults(np.diag([0.8, 0.8]), np.ones(2))
    left = after_failure(two, np.array([[0.6, 0.4]]), 0)[0]
    assert left / left.sum() == pytest.approx([0.2308, 0.7692], abs=5e-5)


def test_a_cover_is_opened_once() -> None:
    """Cost clusters, Ottosen and Jensen, arXiv 1203.3502. Opening costs 5; inside p = .4 at 2 and p = .3 at 1, outside
    p = .3 at 4. Best, of all six orders by hand: inside .3, inside .4, outside = 8.60; outside first is 9.20."""
    inside, outside, opening = [2.0, 1.0], 4.0, 5.0
    cost = np.array([[inside[0] + opening, inside[1] + opening, outside], [*inside, outside]])
    leaves = np.array([[1, 1, 0], [1, 1, 1]], dtype=np.intp)
    model = decision_model([(0,), (1,), (2,)], np.eye(3), cost, cost, np.full(3, NEVER), leaves=leaves)
    assert without_looks(model, [0.4, 0.3, 0.3]) == pytest.approx((8.60, 1))
    assert expected_minutes(model, start(model, [0.4, 0.3, 0.3])) == pytest.approx(8.60)


def test_meter_reading_as_soft_evidence() -> None:
    """Classes low, ok, high with prior .2, .7, .1, means 2400, 3200, 4000, sd 250, reading 2750 (numbers invented):
    Bayes' rule by hand gives (.351429, .648570, 1.74e-6), low against ok +2.7795 db."""
    density = np.exp(-0.5 * ((2750.0 - np.array([2400.0, 3200.0, 4000.0])) / 250.0) ** 2)
    model = TreeModel("salt", (("low",), ("ok",), ("high",)), np.array([0.2, 0.7, 0.1]), {"meter": np.eye(3)}, {})
    found = [Evidence("meter", tuple(float(d) for d in density), ("meter",))]
    assert posterior(model, found) == pytest.approx([0.351429, 0.648570, 1.74e-6], rel=2e-3, abs=1e-8)
    pair = TreeModel("salt", (("low",), ("ok",)), np.array([0.5, 0.5]), {"meter": np.eye(3)[:, :2]}, {})
    assert decibans(pair, found, "low")["meter"] == pytest.approx(2.7795, abs=5e-5)


def test_twenty_heads_in_decibans() -> None:
    """Good's wartime report on Tunny, p. 39: prior 1 to 10^4, 20 heads in a row: 3 db each, 20 db after; exactly
    20.2060 db, odds 104.8576. A loaded die, six 1/3 against 1/6: +3.0103 db, another face -0.9691 db."""
    prior = np.array([1.0, 1e4]) / (1.0 + 1e4)
    heads = [f"toss{k}" for k in range(20)]
    model = TreeModel(
        "coin", (("two_headed",), ("fair",)), prior, {h: np.array([[1.0, 0.5], [0.0, 0.5]]) for h in heads}, {}
    )
    found = [Evidence(h, (1.0, 0.0), (h,)) for h in heads]
    weights = decibans(model, found, "two_headed")
    assert sum(weights.values()) == pytest.approx(60.2060, abs=5e-5)
    belief = posterior(model, found)
    assert belief[0] / belief[1] == pytest.approx(104.8576)
    die = TreeModel(
        "die", (("loaded",), ("fair",)), np.array([0.5, 0.5]), {"face": np.array([[1 / 3, 1 / 6], [2 / 3, 5 / 6]])}, {}
    )
    for weights_of_face, expected in (((1.0, 0.0), 3.0103), ((0.0, 1.0), -0.9691)):
        assert decibans(die, [Evidence("face", weights_of_face, ("face",))], "loaded")["face"] == pytest.approx(
            expected, abs=5e-5
        )


FEVER = {(): 0.0, ("malaria",): 0.9, ("flu",): 0.8, ("flu", "malaria"): 0.98, ("cold",): 0.4}
FEVER |= {("cold", "malaria"): 0.94, ("cold", "flu"): 0.88, ("cold", "flu", "malaria"): 0.988}


@pytest.mark.parametrize("causes", sorted(FEVER))
def test_noisy_or_of_fever(causes: tuple[str, ...]) -> None:
    """The textbook's noisy-OR of cold, flu and malaria, inhibitors .6, .2, .1, no leak (numbers from memory)."""
    inhibitor = {"cold": 0.6, "flu": 0.2, "malaria": 0.1}
    assert _noisy_or([1.0 - inhibitor[c] for c in causes])[1] == pytest.approx(FEVER[causes])


def _noisy_or(chances: list[float]) -> Array:
    """(P(absent), P(present)) by the engine's rule for causes that act on one check."""
    together = np.array([[1.0], [0.0]])
    for chance in chances:
        together = combine_most_striking(together, np.array([[1.0 - chance], [chance]]))
    return np.asarray(together[:, 0])


def test_noisy_or_with_leak_against_quickscore() -> None:
    """Heckerman 1989 (arXiv 1304.1511), numbers by quickscore: P(evidence) .0181972717, posteriors .648616, .369254,
    .054619, for p = (.05, .02, .10), findings 1 and 2 present, 3 absent."""
    prior, leak = (0.05, 0.02, 0.10), (0.01, 0.02, 0.05)
    inhibits = ((0.8, 0.3, 0.0), (0.5, 0.9, 0.2), (0.0, 0.4, 0.7))
    hypotheses = [h for size in range(4) for h in itertools.combinations(range(3), size)]
    shares = np.array([np.prod([p if k in h else 1.0 - p for k, p in enumerate(prior)]) for h in hypotheses])
    tables = {
        f"f{f}": np.stack([_noisy_or([leak[f], *(inhibits[c][f] for c in h)]) for h in hypotheses], axis=1)
        for f in range(3)
    }
    model = TreeModel("quick", tuple(tuple(f"d{c}" for c in h) for h in hypotheses), shares, tables, {})
    found = [Evidence("f0", (0.0, 1.0), ()), Evidence("f1", (0.0, 1.0), ()), Evidence("f2", (1.0, 0.0), ())]
    joint = float((shares * tables["f0"][1] * tables["f1"][1] * tables["f2"][0]).sum())
    assert joint == pytest.approx(0.0181972717, abs=5e-11)
    marginal = causes_marginal(model, posterior(model, found))
    assert [marginal[f"d{c}"] for c in range(3)] == pytest.approx([0.648616, 0.369254, 0.054619], abs=5e-7)


CAR = ("flat", "no_oil", "empty", "fuel_line", "starter")
CAR_ROWS = [
    ((), (0.602884, 0.180090, 0.108054, 0.072036, 0.036018)),
    ((("lights", 0),), (0.986997, 0.015569, 0.009342, 0.006228, 0.003114)),
    ((("lights", 1),), (0.0, 0.438315, 0.262989, 0.175326, 0.087663)),
    ((("lights", 1), ("click", 1)), (0.0, 0.055070, 0.033042, 0.022028, 0.903998)),
    ((("lights", 1), ("gauge", 0)), (0.0, 0.025858, 0.972713, 0.010343, 0.005172)),
    ((("oil_lamp", 1),), (0.0, 0.998694, 0.006597, 0.004398, 0.002199)),
]


def _car() -> TreeModel:
    dead, charging = 0.02 * 0.99 + 0.98 * 0.01, 1.0 - 0.998 * 0.999 * 0.999
    prior = (1.0 - (1.0 - dead) * (1.0 - charging), 0.01, 0.006, 0.004, 0.002)
    hypotheses = [h for size in range(6) for h in itertools.combinations(CAR, size)]
    shares = np.array([np.prod([p if c in h else 1 - p for c, p in zip(CAR, prior, strict=True)]) for h in hypotheses])

    def table(chance: dict[tuple[str, ...], float]) -> Array:
        present = np.array([chance[h] for h in hypotheses])
        return np.stack([1.0 - present, present])

    gauge = {h: (0.99, 0.001, 0.0)[("flat" in h) + ("empty" in h)] for h in hypotheses}
    lamp = {h: 0.0 if "flat" in h else 0.98 if "no_oil" in h else 0.001 for h in hypotheses}
    tables = {
        "stands": table({h: 1.0 if h else 0.001 for h in hypotheses}),
        "lights": table({h: 0.0 if "flat" in h else 0.98 for h in hypotheses}),
        "click": table({h: 0.98 if "starter" in h else 0.01 for h in hypotheses}),
        "gauge": table(gauge),
        "oil_lamp": table(lamp),
    }
    return TreeModel("car", tuple(hypotheses), shares, tables, {})


@pytest.mark.parametrize(("answers", "expected"), CAR_ROWS)
def test_car_that_will_not_start(answers: tuple[tuple[str, int], ...], expected: tuple[float, ...]) -> None:
    """The published network simpleCar2.bif (data); expected numbers by pgmpy and pyAgrum. All sets of the five causes
    are hypotheses here."""
    model = _car()
    found = [Evidence(name, (1.0 - value, float(value)), (name,)) for name, value in (("stands", 1), *answers)]
    marginal = causes_marginal(model, posterior(model, found))
    assert [marginal[c] for c in CAR] == pytest.approx(expected, abs=1e-6)


def test_shares_learnt_from_closed_jobs() -> None:
    """Dirichlet weights (6, 3, 1) and closed jobs (1, 3, 1): means 7/15, 6/15, 2/15 (conjugate prior, by hand).

    Here by Bayes' rule over a fine grid of shares: each is a hypothesis, each closed job a finding whose answers have
    those shares.
    """
    steps = 150
    grid = np.array([(a, b, steps - a - b) for a in range(steps + 1) for b in range(steps + 1 - a)]) / steps
    density = np.prod(np.maximum(grid, 1e-12) ** (np.array([6.0, 3.0, 1.0]) - 1.0), axis=1)
    closed = [0, 1, 1, 1, 2]
    model = TreeModel(
        "shares",
        tuple((f"share{k}",) for k in range(len(grid))),
        density / density.sum(),
        {f"job{job}": grid.T for job in range(len(closed))},
        {},
    )
    found = [Evidence(f"job{j}", tuple(float(c == k) for k in range(3)), ()) for j, c in enumerate(closed)]
    assert posterior(model, found) @ grid == pytest.approx([7 / 15, 6 / 15, 2 / 15], abs=5e-4)


def test_brier_score_in_its_parts() -> None:
    """Murphy's split by hand: .9 ten times (9 true), .6 ten times (5), .2 ten times (3): reliability .006667,
    resolution .062222, uncertainty .245556, together .19."""
    claimed = [0.9] * 10 + [0.6] * 10 + [0.2] * 10
    right = [k < true for true in (9, 5, 3) for k in range(10)]
    reliability, resolution, uncertainty = brier_parts(claimed, right)
    assert (reliability, resolution, uncertainty) == pytest.approx((0.006667, 0.062222, 0.245556), abs=5e-7)
    assert reliability - resolution + uncertainty == pytest.approx(0.19)


@pytest.mark.parametrize(
    ("shares", "expected"),
    [((0.4, 0.2, 0.2, 0.1, 0.1), 2.2), ((0.7, 0.12, 0.1, 0.05, 0.03), 1.56), ((1 / 6,) * 6, 8 / 3)],
)
def test_huffman_length(shares: tuple[float, ...], expected: float) -> None:
    """Huffman 1952 (from memory), by hand."""
    assert huffman_length(shares) == pytest.approx(expected)
