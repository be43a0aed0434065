"""What was told of a job at a desk, where its journal was not at hand, among what its journal tells."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

_Told = TypeVar("_Told")


def in_time(journal: Sequence[_Told], told: Sequence[_Told], at: Callable[[_Told], str]) -> Iterator[_Told]:
    """Both in one order: what was told stands before what the journal tells of a later time.

    A journal keeps its own order, also where a clock was set back. Args: both, and the time of one in ISO 8601.
    """
    reached, left = "", list(told)
    for one in journal:
        reached = max(reached, at(one))
        while left and at(left[0]) < reached:
            yield left.pop(0)
        yield one
    yield from left
