"""Many counters file at once, at the same pools: nobody is refused, and nothing is lost."""

from __future__ import annotations

import pytest

from tests.engine.store.crowd import at_once

pytestmark = pytest.mark.no_cover  # whole calls through branches that other tests take too


@pytest.mark.e2e
def test_nobody_is_refused_and_nothing_is_lost(address: str) -> None:
    at_once(address, processes=6, count=4)
