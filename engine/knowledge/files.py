"""The files of a faults folder: which belong there, their bytes by name, and what does not belong or cannot be read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from pathlib import Path as FilePath
from typing import Any

from engine.foundation.bounded_read import read_at_most
from engine.foundation.problems import KnowledgeError, Problem, advice_for, under, why_not
from engine.foundation.text_catalog import LANGUAGES, WORDS
from engine.foundation.texts import say, told
from engine.foundation.yaml_reader import MOST_BYTES
from engine.knowledge.format_version import FORMAT_FILE
from engine.knowledge.overlay_file import OVERLAY_FILE
from engine.knowledge.said import SAID
from engine.knowledge.schema import (
    CauseForm,
    CautionForm,
    ChoiceCheckForm,
    DangerForm,
    FindingForm,
    Form,
    HazardousActForm,
    LimitForm,
    PartForm,
    RepairForm,
    RoleForm,
    TreeForm,
    UnitForm,
)


@dataclass(frozen=True)
class FileKind:
    """Where the entries of one kind stand: the form, and whether a file holds one entry or a list of them."""

    name: str
    form: type[Form]
    listed: bool = True


FILES: Mapping[str, FileKind] = {
    "checks/": FileKind("check", ChoiceCheckForm),
    "findings.yaml": FileKind("finding", FindingForm),
    "causes/": FileKind("cause", CauseForm),
    "repairs.yaml": FileKind("repair", RepairForm),
    "parts.yaml": FileKind("part", PartForm),
    "cautions.yaml": FileKind("caution", CautionForm),
    "hazards.yaml": FileKind("act", HazardousActForm),
    "limits.yaml": FileKind("limit", LimitForm),
    "dangers.yaml": FileKind("danger", DangerForm),
    "roles.yaml": FileKind("role", RoleForm),
    "units/": FileKind("unit", UnitForm, listed=False),
    "trees/": FileKind("tree", TreeForm, listed=False),
}
"""What a faults folder holds: files, and folders of files."""

_NOT_KNOWLEDGE = {"calls", "schema", WORDS, LANGUAGES, SAID}


def inside(place: Traversable | FilePath) -> list[Traversable | FilePath]:
    """What stands in a folder, by name; nothing where there is no such folder."""
    return sorted(place.iterdir(), key=lambda item: item.name) if place.is_dir() else []


def contents_of(folder: Traversable | FilePath) -> tuple[dict[str, bytes], list[Problem]]:
    """The YAML files of a folder, by their names inside it, and what could not be read or does not belong there.

    Right: `causes/cell.yaml`.
    Wrong: `cause/cell.yaml`, or `causes/cell.yml`.

    Args:
        folder: a faults folder, or one of a language, which holds the same files.

    Raises:
        KnowledgeError: where there is no such folder, or it cannot be read.
    """
    contents: dict[str, bytes] = {}
    problems: list[Problem] = []
    for item in _listed(folder, str(folder)):
        if item.name in _NOT_KNOWLEDGE:
            continue
        if item.is_dir() and f"{item.name}/" in FILES:
            for file in _listed(item, f"{folder}/{item.name}"):
                if _is_ours(file):
                    _take(contents, problems, str(folder), f"{item.name}/{file.name}", file, known=True)
        elif item.is_dir() and item.name[:1] not in "._":
            advice = advice_for(f"{item.name}/", [name for name in FILES if name.endswith("/")])
            problems.append(Problem(f"{folder}/{item.name}", 1, 1, say("mistakes_files.unknown_folder"), advice))
        elif _is_ours(item):
            _take(
                contents, problems, str(folder), item.name, item, known=item.name in (*FILES, FORMAT_FILE, OVERLAY_FILE)
            )
    return contents, under("files", problems)


def _is_ours(item: Any) -> bool:
    """Whether it is to be read: a file, or what is called like one and is none, such as a link that leads nowhere."""
    return bool(item.is_file() or (item.name.endswith((".yaml", ".yml")) and not item.is_dir()))


def _listed(folder: Traversable | FilePath, name: str) -> list[Any]:
    try:
        return sorted(folder.iterdir(), key=lambda item: item.name)
    except (FileNotFoundError, NotADirectoryError):
        raise KnowledgeError([Problem(name, 0, 0, *told("mistakes_files.no_folder"), "files")]) from None
    except OSError as error:
        problem = Problem(name, 0, 0, *told("mistakes_files.unread_folder", why=why_not(error).lower()), "files")
        raise KnowledgeError([problem]) from None


def _take(contents: dict[str, bytes], problems: list[Problem], folder: str, name: str, file: Any, known: bool) -> None:
    """Read one file into `contents`, where it is one of ours."""
    place = (f"{folder}/{name}", 1, 1)
    if name.endswith(".yml"):
        problems.append(Problem(*place, *told("mistakes_files.wrong_ending")))
    elif name.endswith(".yaml") and not known:
        expected = [file_name for file_name in (*FILES, FORMAT_FILE) if not file_name.endswith("/")]
        problems.append(Problem(*place, say("mistakes_files.unknown_file"), advice_for(name, expected)))
    elif name.endswith(".yaml"):
        try:
            contents[name] = read_at_most(file, MOST_BYTES + 1)
        except OSError as error:
            problems.append(Problem(*place, *told("mistakes_files.unread_file", why=why_not(error).lower())))
