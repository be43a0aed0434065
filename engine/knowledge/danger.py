"""What hurts people now, as the faults folder describes it."""

from __future__ import annotations

from dataclasses import dataclass

from engine.knowledge.properties import DangerKind
from engine.knowledge.wording import Steps, Wording


@dataclass(frozen=True)
class Danger:
    """What hurts people now: the first steps in order, its own cautions, and the words by which people say it.

    `kind` is what it does them by; `current_may_leak` where current may reach the water or the deck. A line with one of
    `words` reports it, one with one of `perhaps` is asked back; neither where one of `not_words` says something else.
    """

    id: str
    wording: Wording
    kind: DangerKind
    steps: Steps
    cautions: tuple[str, ...]
    source: str
    current_may_leak: bool = False
    words: tuple[str, ...] = ()
    perhaps: tuple[str, ...] = ()
    not_words: tuple[str, ...] = ()
