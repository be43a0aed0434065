"""What somebody says of twenty pools, as shares of answers with their range, and what a knowledge makes of that."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from engine.knowledge.model import Knowledge, frozen

OUT_OF = 20
"""People count twenty pools more easily than they say a share: judgement."""

_LEFT = 0.02
"""So much is left at least to answers that nobody spoke of: judgement."""


@dataclass(frozen=True)
class Counted:
    """Of twenty pools, how many show one answer: the fewest and the most that whoever says so would bet on."""

    low: float
    high: float

    @property
    def share(self) -> float:
        """The middle, of 1; never none or all: what twenty pools do not show may still be."""
        least = 0.5 / OUT_OF
        return min(max((self.low + self.high) / 2.0 / OUT_OF, least), 1.0 - least)

    def shown(self) -> str:
        """As it is typed: one figure, or two with a stroke between them."""
        return f"{self.low:g}" if self.low == self.high else f"{self.low:g}-{self.high:g}"


def counted(typed: str) -> Counted | None:
    """What is typed of twenty pools: `12`, or `10-14`; None where it is neither, or not of twenty."""
    parts = [part.strip() for part in typed.replace("\N{EN DASH}", "-").split("-")]
    try:
        numbers = [float(part.replace(",", ".")) for part in parts]
    except ValueError:
        return None
    if len(numbers) not in (1, 2) or not all(math.isfinite(n) and 0 <= n <= OUT_OF for n in numbers):
        return None
    return Counted(min(numbers), max(numbers))


def shares_of(knowledge: Knowledge, item: str, said: Mapping[str, Counted]) -> dict[str, float]:
    """The shares that counts of a check's answers come to, as the files want them, in three figures.

    They add up to 1 where every answer was counted, else to so much less that the others stay possible.
    """
    usual = knowledge.observable(item).usual
    left = [answer for answer in usual if answer not in said and usual[answer] > 0]
    shares = {answer: one.share for answer, one in said.items()}
    total, most = math.fsum(shares.values()), 1.0 - (_LEFT if left else 0.0)
    scale = most / total if total > most or not left else 1.0
    rounded = {answer: round(share * scale, 3) for answer, share in shares.items()}
    over = math.fsum(rounded.values()) - most
    if rounded and (not left or over > 0):
        largest = max(rounded, key=lambda answer: rounded[answer])
        rounded[largest] = round(rounded[largest] - over, 3)
    return rounded


def implied(knowledge: Knowledge, item: str, shares: Mapping[str, float]) -> dict[str, float]:
    """How often each answer shows then: what was not said shares the rest as is usual. Adds up to 1."""
    usual = knowledge.observable(item).usual
    left = {answer: share for answer, share in usual.items() if answer not in shares}
    rest, background = max(0.0, 1.0 - math.fsum(shares.values())), math.fsum(left.values())
    spread = {answer: rest * share / background if background > 0 else 0.0 for answer, share in left.items()}
    full = {answer: shares.get(answer, spread.get(answer, 0.0)) for answer in usual}
    total = math.fsum(full.values())
    return {answer: share / total if total > 0 else 0.0 for answer, share in full.items()}


def with_said(knowledge: Knowledge, cause: str, said: Mapping[str, Mapping[str, float]]) -> Knowledge:
    """The knowledge in which a cause shows these answers. Raises KeyError where there is no such cause."""
    entry = knowledge.causes[cause]
    shows = {item: answers for item, answers in entry.shows.items() if item not in said}
    shows |= {item: frozen(answers) for item, answers in said.items()}
    changed = replace(entry, shows=frozen(shows), as_usual=tuple(item for item in entry.as_usual if item not in said))
    return replace(knowledge, causes=frozen({**knowledge.causes, cause: changed}))
