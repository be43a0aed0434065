"""A faults folder in which one tree has grown: its causes, checks, repairs and named pairs so many times over.

The copies are entries of the folder like all others, so that `brinecall check` looks through them. A check that feeds a
finding, or of which code knows, has no copies: the copies of a cause speak of it as the cause does. Shares are split
among the copies, so that they add up.
"""

from __future__ import annotations

import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import yaml

from tests.benchmarks.plain_knowledge import FAULTS, LOADER

TREE = "no-output"
UNCOPIED = ("danger_now", "unit_report", "unit_power")
"""Checks of which code or the complaint knows by their names."""


def grow(folder: Path, times: int, tree: str = TREE) -> Path:
    """Write a faults folder of this size and give it back; the tree has so many times its causes."""
    shutil.copytree(FAULTS, folder, ignore=shutil.ignore_patterns("*.py", "__pycache__", "languages", "calls"))
    entries = {kind: _entries(folder, kind) for kind in ("causes/*.yaml", "checks/*.yaml", "repairs.yaml")}
    grown = _Grown(_read(folder / "trees" / f"{tree}.yaml"), entries, _fed(folder))
    for number in range(1, times):
        grown.copy(number)
    grown.write(folder, tree, times)
    return folder


class _Grown:
    """The tree and the copies of what it takes."""

    def __init__(self, tree: dict[str, Any], entries: Mapping[str, list[dict[str, Any]]], fed: set[str]) -> None:
        self.tree = tree
        causes, checks, repairs = entries.values()
        named = [each for each in causes if each["cause"] in tree["of_100_calls"]]
        needed = {name for each in repairs for name in each.get("waits_for", [])}
        meant = {about for each in named for answers in each.get("meant", {}).values() for about in answers}
        recorded = {each["check"] for each in checks if "from_record" in each}
        left = fed | {*UNCOPIED} | needed | meant | recorded | {*tree.get("given", {})}
        # What shows by nothing that has copies would be nobody's to tell from its copy.
        self.causes = {each["cause"]: each for each in named if {*each.get("shows", {})} - left}
        spoken = {name for each in self.causes.values() for said in _said(each) for name in said}
        self.checks = {each["check"]: each for each in checks if each["check"] in spoken - left}
        treated = {name for each in self.causes.values() for name in each["repairs"]}
        self.repairs = {each["repair"]: each for each in repairs if each["repair"] in treated}
        self.new: dict[str, list[dict[str, Any]]] = {"causes": [], "checks": [], "repairs": []}
        self.pairs: dict[str, Any] = {}
        self.here: dict[str, Any] = {}

    def copy(self, number: int) -> None:
        """One more of each."""
        self.new["causes"] += [self._cause(each, number) for each in self.causes.values()]
        self.new["checks"] += [self._check(each, number) for each in self.checks.values()]
        self.new["repairs"] += [self._repair(each, number) for each in self.repairs.values()]
        for pair in filter(self._has_copies, self.tree["two_faults"]):
            self.pairs[" + ".join(_named(name, number) for name in pair.split(" + "))] = self.tree["two_faults"][pair]
        for causes, said in self.tree.get("here", {}).items():
            copied = [_named(cause, number) for cause in causes.split(", ") if cause in self.causes]
            if copied:
                self.here[", ".join(copied)] = self._by_copies(said, number)

    def _has_copies(self, pair: str) -> bool:
        return " + " in pair and self.causes.keys() >= {*pair.split(" + ")}

    def _by_copies(self, said: Mapping[str, Any], number: int) -> dict[str, Any]:
        return {_named(name, number) if name in self.checks else name: value for name, value in said.items()}

    def _cause(self, entry: Mapping[str, Any], number: int) -> dict[str, Any]:
        copied = {**entry, "cause": _named(entry["cause"], number), **_worded(entry, number)}
        for field in ("shows", "likelier"):
            if field in entry:
                copied[field] = self._by_copies(entry[field], number)
        copied["repairs"] = [_named(name, number) for name in entry["repairs"]]
        if "not_with" in entry:
            copied["not_with"] = [_named(name, number) for name in entry["not_with"] if name in self.causes]
        return copied

    def _check(self, entry: Mapping[str, Any], number: int) -> dict[str, Any]:
        taken = ("tells", "from_record", "remembered", "renewed_by")
        kept = {name: value for name, value in entry.items() if name not in taken}
        return {**kept, "check": _named(entry["check"], number), **_worded(entry, number)}

    def _repair(self, entry: Mapping[str, Any], number: int) -> dict[str, Any]:
        cures = {_named(name, number): sure for name, sure in entry["cures"].items() if name in self.causes}
        kept = {name: value for name, value in entry.items() if name not in ("renews", "works_out")}
        return {**kept, "repair": _named(entry["repair"], number), **_worded(entry, number), "cures": cures}

    def write(self, folder: Path, tree: str, times: int) -> None:
        """Put the copies into the folder."""
        for kind in ("causes", "checks"):
            _write(folder / kind / "copies.yaml", self.new[kind]) if self.new[kind] else None
        repairs = [*_read(folder / "repairs.yaml"), *self.new["repairs"]]
        _write(folder / "repairs.yaml", repairs)
        calls, pairs = self.tree["of_100_calls"], self.tree["two_faults"]
        shares = {name: _share(share, times) if name in self.causes else share for name, share in calls.items()}
        copies = {_named(name, k): shares[name] for k in range(1, times) for name in self.causes}
        named = {name: _share(pairs[name], times) if self._has_copies(name) else pairs[name] for name in pairs}
        grown = {
            **self.tree,
            "of_100_calls": {**copies, **shares},
            "two_faults": {**{name: _share(share, times) for name, share in self.pairs.items()}, **named},
            "here": {**self.tree.get("here", {}), **self.here},
        }
        _write(folder / "trees" / f"{tree}.yaml", grown)


def _share(whole: str, times: int) -> str:
    return f"{float(whole) / times:.12f}"


def _said(cause: Mapping[str, Any]) -> Sequence[Mapping[str, Any]]:
    return cause.get("shows") or {}, cause.get("likelier") or {}


def _worded(entry: Mapping[str, Any], number: int) -> dict[str, Any]:
    """The wording of a copy: no two entries are called the same."""
    worded: dict[str, Any] = {}
    for field in ("customer", "technician"):
        if isinstance(entry.get(field), str):
            text = entry[field]
            worded[field] = f"{text[:-1]} {number}{text[-1]}" if text[-1] in ".?" else f"{text} {number}"
    if "names" in entry:
        worded["names"] = [f"{name} {_letters(number)}" for name in entry["names"]]
    return worded


def _letters(number: int) -> str:
    return "copy" + "abcdefghij"[number]


def _named(name: str, number: int) -> str:
    return f"{name}_{number + 1}"


def _entries(folder: Path, pattern: str) -> list[dict[str, Any]]:
    return [entry for path in sorted(folder.glob(pattern)) for entry in _read(path)]


def _fed(folder: Path) -> set[str]:
    """The checks that feed a finding, and the findings."""
    findings = _read(folder / "findings.yaml")
    return {name for each in findings for name in (each["finding"], *each["from"])}


def _read(path: Path) -> Any:
    return yaml.load(path.read_text(encoding="utf-8"), Loader=LOADER)


class _Dumper(yaml.SafeDumper):
    """Writes every value as the text that was read, and what stands in two places twice."""

    def ignore_aliases(self, data: object) -> bool:
        """No anchors."""
        del data
        return True


_Dumper.yaml_implicit_resolvers = {}


def _write(path: Path, data: object) -> None:
    path.write_text(yaml.dump(data, None, _Dumper, allow_unicode=True, sort_keys=False, width=1000), encoding="utf-8")
