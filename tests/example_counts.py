"""How many examples a property meets: no more than the profile's, or in the long one as many as it asks for."""

from __future__ import annotations

from hypothesis import settings


def up_to(count: int) -> int:
    """So many examples at most; the long profile has time for all of them."""
    return count if settings.get_current_profile_name() == "long" else min(count, settings().max_examples)
