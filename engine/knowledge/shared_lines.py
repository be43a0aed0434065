"""Lines of a tree's `here` that several causes share: `cell_scaled, cell_worn: {tested_salt: {right: 0.93}}`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from engine.foundation.problems import Problem
from engine.foundation.texts import told
from engine.foundation.yaml_reader import Path, Place, YamlDocument

HERE = "here"
_PARTED = ","


def causes_in(name: str) -> list[str]:
    """The causes that a line of `here` speaks of."""
    return [cause.strip() for cause in name.split(_PARTED)]


@dataclass(frozen=True)
class _SharedDocument(YamlDocument):
    """A document whose shared lines were shared out: each part is told where it really stands."""

    inner: YamlDocument = field(default_factory=lambda: YamlDocument("", None, {}, {}))
    names: Mapping[tuple[object, ...], str] = field(default_factory=dict)
    """By the way to a cause, or to what it shows, below `here`: the name behind which it stands."""

    def holder(self, path: Path) -> tuple[YamlDocument, Path]:
        document, way = self.inner.holder(self._really(path))
        return (self, path) if document is self.inner else (document, way)

    def place(self, path: Path, at_key: bool = False) -> Place:
        return self.inner.place(self._really(path), at_key)

    def _really(self, path: Path) -> Path:
        if len(path) < 2 or path[0] != HERE:
            return path
        name = self.names.get(path[1:3], self.names.get(path[1:2], str(path[1])))
        return (HERE, name, *path[2:])


def shared_out(document: YamlDocument) -> tuple[YamlDocument, list[Problem]]:
    """A tree's document in which each cause has its own lines under `here`, and what is said twice of one.

    A document without shared lines is given back as it is.
    """
    data: Any = document.data
    here = data.get(HERE) if isinstance(data, dict) else None
    if not isinstance(here, dict) or not any(_PARTED in str(name) for name in here):
        return document, []
    out: dict[str, Any] = {}
    names: dict[tuple[object, ...], str] = {}
    problems: list[Problem] = []
    for name, shows in here.items():
        for cause in causes_in(name):
            names.setdefault((cause,), name)
            if not isinstance(shows, dict):
                out[cause] = shows
                continue
            own = out.setdefault(cause, {})
            for check, answers in shows.items():
                if not isinstance(own, dict) or check in own:
                    saying = told("mistakes_form.shown_twice", cause=cause, check=check)
                    problems.append(document.problem((HERE, name, check), *saying, at_key=True))
                else:
                    own[check] = answers
                    names[cause, check] = name
    said = {**data, HERE: out}
    return _SharedDocument(document.file, said, {}, {}, document.problems, document, names), problems
