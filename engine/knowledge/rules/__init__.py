"""The rules that a whole faults folder must keep, one small function each; its docstring is its manual entry."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from engine.foundation.problems import Problem
from engine.knowledge.catalogue import Folder
from engine.knowledge.rules import (
    bands,
    causes,
    checks,
    findings,
    naming,
    profiles,
    repairs,
    required,
    safety,
    steps,
    trees,
)

__all__ = ["RULES", "rule_problems"]

Rule = Callable[[Folder], Iterator[Problem]]

RULES: tuple[Rule, ...] = (
    *naming.RULES,
    *checks.RULES,
    *bands.RULES,
    *findings.RULES,
    *causes.RULES,
    *repairs.RULES,
    *safety.RULES,
    *required.RULES,
    *trees.RULES,
    *steps.RULES,
    *profiles.RULES,
)
"""Every rule; each looks at the entries that have the right form and yields its problems at their places."""


def rule_problems(folder: Folder) -> list[Problem]:
    """Every breach of every rule in a folder."""
    return [problem for rule in RULES for problem in rule(folder)]
