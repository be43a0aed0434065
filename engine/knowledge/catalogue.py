"""Entries as they were written, each with its place in its file, and all that a faults folder declares."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from engine.foundation.problems import Problem, advice_for
from engine.foundation.yaml_reader import Path, YamlDocument
from engine.knowledge.schema import (
    CauseForm,
    CautionForm,
    CheckForm,
    DangerForm,
    FindingForm,
    Form,
    HazardousActForm,
    LimitForm,
    NumberCheckForm,
    PartForm,
    RepairForm,
    RoleForm,
    TreeForm,
    UnitForm,
)

FormType = TypeVar("FormType", bound=Form, covariant=True)


@dataclass(frozen=True)
class Placed(Generic[FormType]):
    """An entry that has the right form, and where it stands: its document and the way to it there."""

    form: FormType
    document: YamlDocument
    base: Path

    def problem(self, path: Path, what: str, advice: str, at_key: bool = False) -> Problem:
        """A problem with the part of this entry at `path` (or with its name, if `at_key`)."""
        return self.document.problem((*self.base, *path), what, advice, at_key)


@dataclass(frozen=True)
class Folder:
    """All entries of a faults folder that have the right form, by kind and id, in the order in which they were read.

    `declared` holds, by kind, every id with the file and line of its entry, also where that does not have the right
    form; `unread` the kinds of which some file could not be read. So no mistake in one entry makes others look unknown.
    """

    name: str
    checks: Mapping[str, Placed[CheckForm]]
    findings: Mapping[str, Placed[FindingForm]]
    causes: Mapping[str, Placed[CauseForm]]
    repairs: Mapping[str, Placed[RepairForm]]
    parts: Mapping[str, Placed[PartForm]]
    cautions: Mapping[str, Placed[CautionForm]]
    acts: Mapping[str, Placed[HazardousActForm]]
    limits: Mapping[str, Placed[LimitForm]]
    dangers: Mapping[str, Placed[DangerForm]]
    roles: Mapping[str, Placed[RoleForm]]
    units: Mapping[str, Placed[UnitForm]]
    trees: Mapping[str, Placed[TreeForm]]
    declared: Mapping[str, Mapping[str, tuple[str, int]]]
    unread: frozenset[str]

    def lacks(self, kind: str, id: str) -> bool:
        """Whether it is certain that no entry of this kind has this id."""
        return kind not in self.unread and id not in self.declared.get(kind, {})

    def is_whole(self, kind: str) -> bool:
        """Whether every entry of this kind was read and has the right form."""
        return kind not in self.unread and set(self.declared.get(kind, {})) == set(self.of_kind(kind))

    def of_kind(self, kind: str) -> Mapping[str, Placed[Form]]:
        """The entries of one kind, such as `check`."""
        entries: Mapping[str, Placed[Form]] = getattr(self, f"{kind}s")
        return entries

    def advice(self, id: str, *kinds: str) -> str:
        """What to write instead of an id that none of these kinds knows."""
        return advice_for(id, [known for kind in kinds for known in self.declared.get(kind, {})], next(iter(kinds), ""))


def observables(folder: Folder) -> dict[str, Placed[CheckForm] | Placed[FindingForm]]:
    """Checks and derived findings by id: all that causes can show."""
    found: dict[str, Placed[CheckForm] | Placed[FindingForm]] = {**folder.checks, **folder.findings}
    return found


def work_of(folder: Folder) -> list[Placed[CheckForm] | Placed[RepairForm]]:
    """Checks and repairs: all that somebody does at the plant."""
    return [*folder.checks.values(), *folder.repairs.values()]


def answers_of(folder: Folder, id: str) -> tuple[str, ...] | None:
    """The answers or bands of a check or derived finding; None where there is none of this id in the right form."""
    placed = observables(folder).get(id)
    if placed is None:
        return None
    form = placed.form
    if isinstance(form, (NumberCheckForm, FindingForm)):
        return tuple(form.bands)
    return tuple(getattr(form, "answers", ()))
