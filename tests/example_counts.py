"""How many examples a property meets: as many as it asks for by hand, no more than the profile's in `.ci/run`."""

from __future__ import annotations

from hypothesis import settings


def up_to(count: int) -> int:
    """So many examples; where they are the same in every run, more of them than the profile has find nothing new."""
    profile = settings()
    return min(count, profile.max_examples) if profile.derandomize else count
