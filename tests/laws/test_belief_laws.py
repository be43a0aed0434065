"""Laws of the belief over the shipped trees; each test's name is the law."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.findings.evidence import Observation, evidence
from engine.inference.belief import Evidence, TreeModel, posterior
from tests.shipped import knowledge, models

pytestmark = pytest.mark.no_cover  # thousands of runs through branches that other tests take too: counting them is dear

KNOWLEDGE = knowledge()
TREES = sorted(KNOWLEDGE.trees)
UNIT = KNOWLEDGE.units["default"]


@st.composite
def answer_sets(draw: st.DrawFn) -> dict[str, Observation]:
    names = draw(st.lists(st.sampled_from(sorted(KNOWLEDGE.checks)), max_size=12, unique=True))
    answers = {}
    for name in names:
        check = KNOWLEDGE.checks[name]
        if check.is_number:
            assert check.possible is not None
            answers[name] = Observation(draw(st.floats(*check.possible)))
        else:
            answers[name] = Observation(draw(st.sampled_from([a.id for a in check.answers])))
    return answers


def belief(tree: str, answers: dict[str, Observation]) -> np.ndarray:
    return posterior(models().tree(tree), evidence(KNOWLEDGE, UNIT, answers))


@settings(deadline=None)
@given(st.sampled_from(TREES), answer_sets())
def test_beliefs_sum_to_one_and_nothing_is_impossible_by_accident(tree: str, answers: dict[str, Observation]) -> None:
    found = belief(tree, answers)
    assert np.isfinite(found).all()
    assert abs(found.sum() - 1.0) < 1e-12


@settings(deadline=None)
@given(st.sampled_from(TREES), answer_sets(), st.randoms())
def test_the_order_of_findings_does_not_matter(tree: str, answers: dict[str, Observation], random: object) -> None:
    shuffled = list(answers.items())
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert np.abs(belief(tree, answers) - belief(tree, dict(shuffled))).max() < 1e-12


@settings(deadline=None)
@given(st.sampled_from(TREES), answer_sets(), st.sampled_from(sorted(KNOWLEDGE.checks)))
def test_a_finding_that_fits_every_answer_alike_says_nothing(
    tree: str, answers: dict[str, Observation], name: str
) -> None:
    """Weights all alike must leave the belief where it was, as columns sum to 1 over the given answers."""
    model: TreeModel = models().tree(tree)
    found = evidence(KNOWLEDGE, UNIT, answers)
    rows = model.given.get(name, range(len(model.tables[name])))
    even = Evidence(name, tuple(float(k in rows) for k in range(len(model.tables[name]))), (name,))
    assert np.abs(posterior(model, found) - posterior(model, [*found, even])).max() < 1e-12


@settings(deadline=None)
@given(st.sampled_from(TREES), st.sampled_from(sorted(KNOWLEDGE.checks)))
def test_an_unknown_answer_leaves_the_numbers_untouched_on_average(tree: str, name: str) -> None:
    """Law of total probability: what a check may show, weighed by how often it shows it, gives the prior back."""
    model = models().tree(tree)
    rows = model.given.get(name, range(len(model.tables[name])))
    total = np.zeros_like(model.prior)
    for row in rows:
        share = float(model.tables[name][row] @ model.prior)
        hard = Evidence(name, tuple(float(k == row) for k in range(len(model.tables[name]))), (name,))
        total += share * posterior(model, [hard])
    assert np.abs(total - model.prior / model.prior.sum()).max() < 1e-9


@settings(deadline=None)
@given(answer_sets())
def test_a_derived_finding_and_its_readings_never_count_twice(answers: dict[str, Observation]) -> None:
    found = evidence(KNOWLEDGE, UNIT, answers)
    ids = [item.id for item in found]
    assert len(ids) == len(set(ids))
    for finding in KNOWLEDGE.findings.values():
        if finding.id in ids:
            assert not set(finding.replaces) & set(ids)


@settings(deadline=None)
@given(answer_sets())
def test_weights_of_every_finding_sum_to_one(answers: dict[str, Observation]) -> None:
    for item in evidence(KNOWLEDGE, UNIT, answers):
        assert abs(sum(item.weights) - 1.0) < 1e-9
        assert min(item.weights) >= 0.0
