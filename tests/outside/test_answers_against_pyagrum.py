"""Answers given to the interview, and what it then believes, against pyAgrum on a network read from the YAML alone.

Source of the expected numbers: pyAgrum's exact inference and, for a reading with its error, SciPy's normal
distribution, at test time. Readings of which a finding is worked out are left out: tests of the findings hold those.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from engine.inference.belief import Evidence
from engine.knowledge.model import DANGER_CHECK, Check
from engine.session.journal import Event
from engine.session.session import Session
from tests.benchmarks.oracle import agrum_posterior, network
from tests.example_counts import up_to
from tests.shipped import knowledge, models

pytestmark = pytest.mark.no_cover  # runs through branches that other tests take too: counting them is dear

AT = "2026-01-02T03:04:05Z"
KNOWN = knowledge()
OF_FINDINGS = {name for finding in KNOWN.findings.values() for name in finding.inputs}
ASKED = [
    check
    for check in KNOWN.checks.values()
    if check.id not in OF_FINDINGS and check.id != DANGER_CHECK and not check.from_record
    and not any(answer.reports for answer in check.answers)
]  # fmt: skip


@st.composite
def calls(draw: st.DrawFn) -> tuple[str, dict[str, str | float]]:
    """A complaint, and answers to up to eight checks: one of those to pick, or any reading that is possible."""
    tree = draw(st.sampled_from(sorted(KNOWN.trees)))
    checks = draw(st.lists(st.sampled_from(ASKED), min_size=1, max_size=8, unique_by=lambda check: check.id))
    said: dict[str, str | float] = {}
    for check in checks:
        if check.possible is not None:
            said[check.id] = draw(st.floats(*check.possible).map(lambda value: round(value, 2)))
        else:
            usual = [answer.id for answer in check.answers if check.usual[answer.id] > 0]
            said[check.id] = draw(st.sampled_from(usual))
    return tree, said


def weights(check: Check, value: str | float) -> tuple[float, ...]:
    """How well each answer fits: all or nothing, or the share of the reading's normal distribution in each band."""
    if isinstance(value, str):
        return tuple(float(answer.id == value) for answer in check.answers)
    assert check.error is not None
    value = abs(value) if check.unit in ("V", "A") else value
    edges = [-np.inf, *(b.under.value(KNOWN.units["default"]) for b in check.bands if b.under is not None), np.inf]
    below = norm.cdf(edges, loc=value, scale=check.error.of(value))
    shares = dict(zip((band.id for band in check.bands), np.diff(below), strict=True))
    return tuple(float(shares[answer.id]) for answer in check.answers)


def told(said: Mapping[str, str | float]) -> dict[str, str | float]:
    """What tells anything: not what another answer makes pointless."""
    return {name: value for name, value in said.items() if not KNOWN.checks[name].is_pointless(said)}


@settings(max_examples=up_to(100), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(calls())
def test_what_is_believed_after_these_answers_is_what_the_network_believes(
    call: tuple[str, dict[str, str | float]],
) -> None:
    tree, said = call
    session = Session(models())
    for about, value in itertools.chain(
        [("role", "field"), ("unit", "default"), ("complaint", tree), ("brought", "nothing")], said.items()
    ):
        session.record(Event("answered", AT, about=about, value=value))
    # Where nothing tells anything, the prior of the YAML is left.
    found = [Evidence(name, weights(KNOWN.checks[name], value), (name,)) for name, value in told(said).items()]
    assert np.abs(session.belief - agrum_posterior(network(tree), found)).max() <= 1e-9
