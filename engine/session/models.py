"""What is worked out once for all the jobs of one knowledge: its trees as numbers, their machines, the strategies."""

from __future__ import annotations

from dataclasses import dataclass, field
from importlib.resources.abc import Traversable
from pathlib import Path

from engine.inference.belief import TreeModel
from engine.inference.compiling import compile_tree
from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import Knowledge, Role, UnitProfile
from engine.session.machine import TreeMachine
from engine.strategy import Planner
from engine.strategy.kept_looks import KeptLooks


@dataclass
class Models:
    """The compiled trees and planners of one knowledge, built when first asked for and kept: that is the slow part."""

    knowledge: Knowledge
    _trees: dict[str, TreeModel] = field(default_factory=dict)
    _machines: dict[str | None, TreeMachine] = field(default_factory=dict)
    _planners: dict[tuple[object, ...], Planner] = field(default_factory=dict)
    _looks: dict[tuple[str, str], KeptLooks] = field(default_factory=dict)

    def tree(self, name: str) -> TreeModel:
        """The tree of this id as numbers."""
        if name not in self._trees:
            self._trees[name] = compile_tree(self.knowledge, self.knowledge.trees[name])
        return self._trees[name]

    def machine(self, name: str | None) -> TreeMachine:
        """The machine of the tree of this id; None before the complaint, with the states of every interview alone."""
        if name not in self._machines:
            self._machines[name] = TreeMachine(self.knowledge.trees.get(name or ""))
        return self._machines[name]

    def planner(
        self,
        tree: str,
        role: Role,
        unit: UnitProfile,
        failed: tuple[str, ...],
        left: tuple[str, ...] = (),
        found: tuple[str, ...] = (),
    ) -> Planner:
        """The strategy for a tree, role and unit once these repairs have failed, and those `left` cannot be done.

        Args: `found`, parts that are in the van today though it usually lacks them.
        """
        key = (tree, role.id, unit.id, failed, left, found)
        if key not in self._planners:
            looks = self._looks.setdefault((tree, unit.id), KeptLooks(self.knowledge, self.tree(tree), unit))
            self._planners[key] = Planner(self.knowledge, self.tree(tree), role, unit, failed, left, found, looks)
        return self._planners[key]


def load_models(folder: Traversable | Path, language: str) -> Models:
    """The models of a faults folder in a language. Raises KnowledgeError with everything that is wrong in it."""
    return Models(load_knowledge(folder, language))
