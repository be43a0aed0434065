"""Where the numbers of a faults folder stand: file and line."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.resources.abc import Traversable
from pathlib import Path as FilePath
from typing import Any

from engine.knowledge.catalogue import Placed
from engine.knowledge.layers import laid_contents
from engine.knowledge.loader import read_folder
from engine.proving.numbers import Number


class NumberPlaces:
    """The places of a folder's numbers; the folder's own name is left out of them."""

    def __init__(self, folder: Traversable | FilePath) -> None:
        """Args: a faults folder that was loaded before. Raises KnowledgeError where it cannot be read any more."""
        contents, _ = laid_contents(folder)
        found, _ = read_folder("", contents)
        self._entries: Mapping[str, Mapping[str, Placed[Any]]] = {
            "tree": found.trees,
            "cause": found.causes,
            "check": found.checks,
            "finding": found.findings,
            "repair": found.repairs,
            "role": found.roles,
            "unit": found.units,
        }

    def of(self, number: Number) -> str:
        """File and line, such as `trees/low-salt.yaml:23`; of what is not written, the line that it would stand in.

        Empty where the folder does not have the entry at all.
        """
        placed = self._entries[number.kind].get(number.entry)
        if placed is None:
            return ""
        document, way = placed.document.holder((*placed.base, *number.in_file))
        # Of folders that lie over each other, each place is told with its folder.
        file = document.file.lstrip("/") if document is placed.document else document.file
        return f"{file}:{document.place(way)[0]}"


def file_of_cause(contents: Mapping[str, bytes], cause: str) -> str:
    """The file of a folder that holds a cause, by its name inside it. Raises KeyError where there is none such."""
    found, _ = read_folder("", contents)
    return found.causes[cause].document.file.lstrip("/")
