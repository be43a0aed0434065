"""What can be right and is hardly meant: dangers and doubts, each answered once in the entry that it is found in."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from inspect import isfunction
from types import ModuleType
from typing import Any

from engine.foundation.problems import Grade, Problem
from engine.knowledge.catalogue import Folder
from engine.knowledge.second_look import causes, checks, quantities, repairs, safety, spoken, texts, trees, unused
from engine.knowledge.second_look.doubt import Doubt
from engine.knowledge.second_look.needless import answers_are_needed

__all__ = ["DOUBTS", "dangers_of", "findings_of", "id_of"]

_Rule = Callable[[Folder], Iterator[Doubt]]

_GRADES: Mapping[Grade, tuple[ModuleType, ...]] = {
    "danger": (safety, spoken, quantities),
    "look again": (trees, causes, checks, repairs, texts, unused),
}


def id_of(rule: Callable[..., Any]) -> str:
    """The id by which people speak of a rule."""
    return str(getattr(rule, "__name__", rule)).replace("_", "-")


DOUBTS: Mapping[str, tuple[Grade, _Rule]] = {
    id_of(rule): (grade, rule)
    for grade, modules in _GRADES.items()
    for module in modules
    for name, rule in vars(module).items()
    if isfunction(rule) and rule.__module__ == module.__name__ and not name.startswith("_")
}
"""By its id, every rule that may be broken on purpose, which is every public function of these modules."""


def dangers_of(folder: Folder) -> list[Problem]:
    """What may hurt somebody and is answered nowhere: nobody is helped by such a folder."""
    return [found.problem() for found in _unanswered(folder, ["danger"])]


def findings_of(folder: Folder) -> list[Problem]:
    """Every danger and doubt of a folder that is not answered, and every answer to what is not found any more."""
    every = list(_every(folder, tuple(_GRADES)))
    needless = [replace(found, rule=id_of(answers_are_needed)) for found in answers_are_needed(folder, every)]
    return [found.problem() for found in (*every, *needless) if not found.is_answered()]


def _unanswered(folder: Folder, grades: Iterable[Grade]) -> Iterator[Doubt]:
    return (found for found in _every(folder, grades) if not found.is_answered())


def _every(folder: Folder, grades: Iterable[Grade]) -> Iterator[Doubt]:
    for rule_id, (grade, rule) in DOUBTS.items():
        if grade in grades:
            yield from (replace(found, rule=rule_id, grade=grade) for found in rule(folder))
