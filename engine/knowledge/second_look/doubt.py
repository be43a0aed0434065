"""A danger or doubt that a rule finds in an entry, and whether the entry answers it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from engine.foundation.problems import Grade, Problem
from engine.foundation.texts import told
from engine.foundation.yaml_reader import Path
from engine.knowledge.catalogue import Placed


@dataclass(frozen=True)
class Telling:
    """What is to be told of a doubt: the key of its words, and their fields. Most are answered, and never told."""

    key: str
    fields: Mapping[str, object]


def to_tell(key: str, /, **fields: object) -> Telling:
    """The words of a doubt, looked up when it is told."""
    return Telling(key, fields)


@dataclass(frozen=True)
class Doubt:
    """Something doubtful at a part of an entry.

    `about` is what it is about where an entry can have several, such as the check of which a cause speaks: by it one
    of them can be answered alone.
    """

    placed: Placed[Any]
    path: Path
    saying: Telling
    about: str = ""
    at_key: bool = False
    rule: str = ""
    grade: Grade = "look again"

    def is_answered(self) -> bool:
        """Whether the entry says why this is meant."""
        answer = self.placed.form.meant.get(self.rule)
        return self.about in answer if isinstance(answer, dict) else answer is not None

    def problem(self) -> Problem:
        """The finding as it is told."""
        problem = self.placed.problem(self.path, *told(self.saying.key, **self.saying.fields), self.at_key)
        return replace(problem, rule=self.rule, grade=self.grade)
