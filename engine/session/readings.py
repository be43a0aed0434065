"""Several readings of one check, and which of them counts."""

from __future__ import annotations

from collections.abc import Sequence

from engine.knowledge.model import Check
from engine.session.job import Answered


def agree(check: Check, one: Answered, other: Answered) -> bool:
    """Whether two readings say the same: of a number, within the instrument's error on both sides."""
    first, second = one.reading.value, other.reading.value
    if isinstance(first, str) or isinstance(second, str) or check.error is None:
        return first == second
    return abs(first - second) <= check.error.of(first) + check.error.of(second)


def settled_on(check: Check, read: Sequence[Answered]) -> Answered:
    """Of several readings the last that another one bears out; where none is, the last.

    As long as two say different things, one that keeps the plant off stands: nothing is switched on by half a word.
    """
    borne_out = (one for one in reversed(read) if sum(agree(check, one, other) for other in read) > 1)
    if (found := next(borne_out, None)) is not None:
        return found
    return next((one for one in reversed(read) if check.keeps_off(one.reading.value)), read[-1])
