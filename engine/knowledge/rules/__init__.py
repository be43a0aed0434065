"""The rules that a whole faults folder must keep, one small function each; its docstring is its manual entry."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from inspect import isfunction

from engine.foundation.problems import Problem, under
from engine.knowledge.catalogue import Folder
from engine.knowledge.rules import (
    answers,
    bands,
    causes,
    checks,
    dangers,
    findings,
    limits,
    naming,
    profiles,
    repairs,
    required,
    safety,
    steps,
    trees,
)
from engine.knowledge.second_look import id_of

__all__ = ["RULES", "rule_problems"]

Rule = Callable[[Folder], Iterator[Problem]]

RULES: tuple[Rule, ...] = tuple(
    rule
    for module in (
        naming,
        checks,
        bands,
        findings,
        causes,
        repairs,
        safety,
        dangers,
        required,
        trees,
        steps,
        profiles,
        limits,
        answers,
    )
    for name, rule in vars(module).items()
    if isfunction(rule) and rule.__module__ == module.__name__ and not name.startswith("_")
)
"""Every rule, which is every public function of these modules, in their order.

Each looks at the entries that have the right form and yields its problems at their places.
"""


def rule_problems(folder: Folder) -> list[Problem]:
    """Every breach of every rule in a folder."""
    return [problem for rule in RULES for problem in under(id_of(rule), rule(folder))]
