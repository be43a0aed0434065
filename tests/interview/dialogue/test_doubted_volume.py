"""A pool that no household has is asked back before it is taken."""

from __future__ import annotations

import pytest

from engine.session.models import Models
from engine.session.session import Session
from interview.dialogue.questions import measure_of
from interview.messages import Given
from interview.understanding.numbers import number_in
from interview.understanding.results import Refusal
from tests.shipped import knowledge


@pytest.mark.parametrize(("typed", "taken"), [("3 m3", False), ("30000 m3", False), ("48 m3", True)])
def test_a_volume_beyond_the_limits_is_asked_back(typed: str, taken: bool) -> None:
    """5 to 500 m³ stands in limits.yaml, as judgement."""
    session = Session(Models(knowledge()))
    found = number_in(typed, measure_of(session, knowledge().checks["pool_volume"]), False)
    assert isinstance(found, Given if taken else Refusal)
