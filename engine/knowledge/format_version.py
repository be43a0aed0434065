"""Which form a faults folder has: the version that stands in its `format.yaml`, and whether this program reads it."""

from __future__ import annotations

from collections.abc import Mapping

from engine.foundation.problems import KnowledgeError, Problem
from engine.foundation.texts import say, told
from engine.foundation.yaml_reader import read_document

FORMAT_FILE = "format.yaml"
PRESENT = 2
"""The form that this program reads. A folder without `format.yaml` has the first one."""


def version_of(name: str, contents: Mapping[str, bytes]) -> int:
    """The version of a folder's form, 1 or more.

    Args:
        name: the folder's name, as messages give it.
        contents: its files by their names inside it.

    Raises:
        KnowledgeError: where `format.yaml` does not say it.
    """
    if FORMAT_FILE not in contents:
        return 1
    document = read_document(f"{name}/{FORMAT_FILE}", contents[FORMAT_FILE])
    data = document.data
    version = data.get("version") if isinstance(data, dict) and len(data) == 1 else None
    if not isinstance(version, int) or version < 1:
        raise KnowledgeError([document.problem((), *told("mistakes_files.format.unreadable", version=PRESENT))])
    return version


def refuse_other_versions(name: str, contents: Mapping[str, bytes]) -> None:
    """Raise KnowledgeError, with one problem, where the folder has another form than the one this program reads."""
    if not contents:
        return
    version = version_of(name, contents)
    if version == PRESENT:
        return
    key = "older" if version < PRESENT else "later"
    what = say(f"mistakes_files.format.{key}.what", version=version, present=PRESENT)
    advice = say(f"mistakes_files.format.{key}.advice", folder=name)
    raise KnowledgeError([Problem(f"{name}/{FORMAT_FILE}", 1, 1, what, advice, "files")])
