"""What a cause says of every check and finding: said, left as usual on purpose, or never looked at."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from engine.knowledge.model import DANGER_CHECK, Knowledge
from engine.session.availability import asked_checks

Said = Literal["shows", "here", "likelier", "as_usual", "never"]
"""Shown everywhere; shown behind some complaint only; makes the cause likelier; as usual on purpose; no word of it."""


@dataclass(frozen=True)
class Covered:
    """One check or finding and what the cause says of it.

    `others` is how many other causes behind the same complaints say something of it: the more, the likelier it is that
    this one was forgotten.
    """

    item: str
    said: Said
    others: int


def covered(knowledge: Knowledge, cause: str) -> tuple[Covered, ...]:
    """Every check and finding, in the order of the catalogue; of what was never looked at the likeliest to tell first.

    Raises: KeyError where there is no such cause.
    """
    spoken = Counter(item for other in _beside(knowledge, cause) for item in _spoken(knowledge, other))
    items = [check.id for check in asked_checks(knowledge) if check.id != DANGER_CHECK]
    found = [Covered(item, _said(knowledge, cause, item), spoken[item]) for item in (*items, *knowledge.findings)]
    # Sorting keeps the order of the catalogue where nothing else decides.
    return tuple(sorted(found, key=lambda one: -one.others if one.said == "never" else -len(knowledge.causes)))


def _said(knowledge: Knowledge, cause: str, item: str) -> Said:
    entry = knowledge.causes[cause]
    if item in entry.shows:
        return "shows"
    if item in entry.likelier:
        return "likelier"
    if any(item in tree.here.get(cause, {}) for tree in knowledge.trees.values()):
        return "here"
    return "as_usual" if item in entry.as_usual else "never"


def _beside(knowledge: Knowledge, cause: str) -> set[str]:
    """The other causes behind the complaints that count this one."""
    trees = [tree for tree in knowledge.trees.values() if cause in tree.singles]
    return {other for tree in trees for other in tree.singles if other in knowledge.causes} - {cause}


def _spoken(knowledge: Knowledge, cause: str) -> Iterator[str]:
    """The checks and findings that a cause names, each once."""
    entry = knowledge.causes[cause]
    here = {item for tree in knowledge.trees.values() for item in tree.here.get(cause, {})}
    yield from here | {*entry.shows, *entry.likelier}
