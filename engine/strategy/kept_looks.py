"""What can be looked at, kept from one question to the next: it changes with few of the readings."""

from __future__ import annotations

from collections.abc import Callable, Collection
from functools import cached_property, partial
from typing import Generic, TypeVar

from engine.inference.belief import Array, TreeModel
from engine.knowledge.model import Check, Knowledge, Role, UnitProfile
from engine.strategy.decision import Look
from engine.strategy.options import Situation, Terms, finding_looks, kin, outcomes, terms_of

Value = TypeVar("Value")
Key = tuple[object, ...]
Together = list[tuple[Look, tuple[str, ...]]]
"""Looks that take several checks at once, each with those checks."""
MOST_KEPT = 1000
"""So many tables and appraisals are kept at a time, as long as they are small."""
MOST_HYPOTHESES_KEPT = 500_000
"""Of large trees fewer are kept: so many times the hypotheses; a table has some four numbers for each, 16 MB in all."""


class MadeOnce(Generic[Value]):
    """What was made under a key, so many at most; then all is made anew. Several threads may use it at once."""

    def __init__(self, most: int) -> None:
        """Keep so many at most."""
        self._most = most
        self._found: dict[Key, Value] = {}

    def once(self, key: Key, make: Callable[[], Value]) -> Value:
        """What is kept under a key, else made and kept."""
        found = self._found.get(key)
        if found is None:
            found = make()
            if len(self._found) >= self._most:
                self._found.clear()
            self._found[key] = found
        return found


def role_key(role: Role) -> Key:
    """All of a role that decides what a check is worth; roles that pay otherwise are made up as they are needed."""
    return role.id, role.can_use, *role.minutes.values()


class KeptLooks:
    """The looks of one tree and unit profile."""

    def __init__(self, knowledge: Knowledge, tree: TreeModel, unit: UnitProfile) -> None:
        """Nothing is made before it is asked for."""
        self._knowledge, self._tree, self._unit = knowledge, tree, unit
        most = min(MOST_KEPT, max(MOST_HYPOTHESES_KEPT // len(tree.hypotheses), 1))
        self._tables: MadeOnce[Array] = MadeOnce(most)
        self._looks: MadeOnce[Look] = MadeOnce(most)
        self._together: MadeOnce[Together] = MadeOnce(max(most // max(len(knowledge.findings), 1), 1))
        self._terms: MadeOnce[dict[str, Terms]] = MadeOnce(MOST_KEPT)
        self._kin = {name: kin(knowledge, name) for name in knowledge.checks}
        self._inputs = tuple(dict.fromkeys(name for each in knowledge.findings.values() for name in each.inputs))

    @cached_property
    def of_singles(self) -> KeptLooks | None:
        """The looks of the same tree as if no two faults came together, where it has such."""
        return None if self._tree.singles is None else KeptLooks(self._knowledge, self._tree.singles, self._unit)

    def single(self, now: Situation, of: Collection[str] | None = None) -> list[Look]:
        """Every open check that the person asked may be able to say; `of` these alone, where they are given."""
        whose = (*role_key(now.role), *now.brought)
        terms = self._terms.once(whose, lambda: terms_of(self._knowledge, now.role, now.brought))
        looks = []
        for name in now.open_checks:
            if (found := terms.get(name)) is None or (of is not None and name not in of):
                continue
            key = (name, found.minutes, found.chance, self._readings_by(name, now))
            looks.append(self._looks.once(key, partial(self._single, name, found, now)))
        return looks

    def together(self, now: Situation, of: Collection[tuple[str, ...]] | None = None) -> Together:
        """Findings that lack several readings, with these readings; `of` these readings alone, where they are given.

        They hang on the readings of findings alone, said or still open.
        """
        opened = set(now.open_checks)
        said = tuple((name in opened, now.answers.get(name)) for name in self._inputs)
        key = (role_key(now.role), now.brought, said, None if of is None else frozenset(of))
        return self._together.once(key, lambda: finding_looks(self._knowledge, self._tree, self._unit, now, of))

    def outcomes(self, check: Check, now: Situation) -> Array:
        """P(outcome | hypothesis) of asking a check now, shape (outcomes, hypotheses); columns sum to 1."""
        key = (check.id, self._readings_by(check.id, now))
        return self._tables.once(key, lambda: outcomes(self._knowledge, self._tree, self._unit, check, now.answers))

    def _single(self, name: str, terms: Terms, now: Situation) -> Look:
        table = self.outcomes(self._knowledge.checks[name], now)
        return Look(name, terms.minutes, table, terms.chance, terms.leaves)

    def _readings_by(self, name: str, now: Situation) -> Key:
        """The readings on which it hangs what a check may show."""
        return tuple((near, now.answers[near].value) for near in self._kin[name] if near in now.answers)
