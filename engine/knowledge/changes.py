"""What one state of a faults folder says otherwise than another, by entry and by field, as it is written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path as FilePath
from typing import Any, Literal

from engine.foundation.problems import KnowledgeError, Problem
from engine.foundation.yaml_reader import Path, YamlDocument, compose
from engine.knowledge.files import FILES, contents_of
from engine.knowledge.layers import laid_contents
from engine.knowledge.overlay_file import stack_of


@dataclass(frozen=True)
class Stated:
    """An entry as it is written: its fields, and where they stand."""

    data: Mapping[str, Any]
    document: YamlDocument
    base: Path

    def place(self, path: Path) -> tuple[str, int]:
        """File and line of a part."""
        document, way = self.document.holder((*self.base, *path))
        return document.file, document.place(way)[0]


Entries = Mapping[tuple[str, str], Stated]
"""Every entry by its kind and id."""


@dataclass(frozen=True)
class Change:
    """One thing that is said otherwise: a whole entry (`field` is empty), or a field of it, `.` between its parts.

    `was` and `now` are what is written, None where nothing is; `file` and `line` say where it stands now, or stood.
    """

    what: Literal["adds", "changes", "takes_away"]
    kind: str
    id: str
    field: str
    was: Any
    now: Any
    file: str
    line: int


def entries_of(folder: Traversable | FilePath) -> Entries:
    """The entries of a folder, laid over those below where it lies over any.

    Raises KnowledgeError where a file cannot be read; of entries without an id nothing is said.
    """
    return _entries(folder, *laid_contents(folder))


def own_entries(folder: FilePath) -> Entries:
    """The same of what a folder itself writes, with those fields alone that it names."""
    return _entries(folder, *contents_of(folder))


def _entries(folder: Traversable | FilePath, contents: Mapping[str, bytes], problems: list[Problem]) -> Entries:
    if problems:
        raise KnowledgeError(problems)
    found = {}
    for where, kind in FILES.items():
        for name, content in contents.items():
            if name == where or (where.endswith("/") and name.startswith(where)):
                document = compose(f"{folder}/{name}", content)[0]
                data: Any = document.data
                listed = data if kind.listed and isinstance(data, list) else [] if kind.listed else [data]
                for index, entry in enumerate(listed):
                    if isinstance(entry, dict) and isinstance(entry.get(kind.name), str):
                        base: Path = (index,) if kind.listed else ()
                        found[kind.name, entry[kind.name]] = Stated(entry, document, base)
    return found


def below(folder: Traversable | FilePath) -> Traversable | FilePath:
    """The folder that lies below one; what came with the program below a whole one."""
    stack = stack_of(folder)
    return stack[-2].folder if len(stack) > 1 else files("faults")


def changes(before: Entries, after: Entries) -> tuple[Change, ...]:
    """What `after` says otherwise than `before`, by kind and id: lists as a whole, groups part by part."""
    found: list[Change] = []
    for key in sorted(before.keys() | after.keys()):
        was, now = before.get(key), after.get(key)
        if was is None and now is not None:
            found.append(Change("adds", *key, "", None, now.data, *now.place(())))
        elif now is None and was is not None:
            found.append(Change("takes_away", *key, "", was.data, None, *was.place(())))
        elif was is not None and now is not None:
            found += _fields_changed(key, was, now)
    return tuple(found)


def _fields_changed(key: tuple[str, str], was: Stated, now: Stated) -> Iterator[Change]:
    former, present = dict(_leaves(was.data, ())), dict(_leaves(now.data, ()))
    for path in dict.fromkeys([*present, *former]):
        if path not in former:
            yield Change("adds", *key, ".".join(path), None, present[path], *now.place(path))
        elif path not in present:
            yield Change("takes_away", *key, ".".join(path), former[path], None, *now.place(path))
        elif former[path] != present[path]:
            yield Change("changes", *key, ".".join(path), former[path], present[path], *now.place(path))


def _leaves(data: Any, path: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], Any]]:
    if isinstance(data, dict) and data:
        for name, part in data.items():
            yield from _leaves(part, (*path, name))
    else:
        yield path, data
