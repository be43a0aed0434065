"""The file `overlay.yaml`, by which a faults folder says that it lies over another; and the folders of such a stack."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path as FilePath
from typing import Any

from engine.foundation.bounded_read import read_at_most
from engine.foundation.problems import KnowledgeError, Problem, advice_for, under, why_not
from engine.foundation.texts import say, told
from engine.foundation.yaml_reader import MOST_BYTES, YamlDocument, read_document
from engine.knowledge.format_version import FORMAT_FILE, PRESENT

OVERLAY_FILE = "overlay.yaml"
"""By this file a folder says that it lies over another one."""
SHIPPED = "shipped"
"""What stands under `over` for the folder that came with the program."""
_MOST_FOLDERS = 8
_NAME, _OVER, _OF, _REMOVE = "overlay", "over", "of", "remove"


@dataclass(frozen=True)
class OverlayFile:
    """What an `overlay.yaml` says, and where.

    `name` is the folder's own; `over` the folder below, `shipped` for the one that came with the program; `of` the
    fingerprint of what lay below when it was last looked at; `remove` by kind the ids of entries below to do without.
    """

    document: YamlDocument
    name: str
    over: str
    of: str
    remove: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True)
class Layer:
    """One folder of a stack; `overlay` is None for the lowest, which holds everything."""

    folder: Traversable | FilePath
    overlay: OverlayFile | None


def lies_over(folder: Traversable | FilePath) -> bool:
    """Whether a folder says that it lies over another."""
    return folder.joinpath(OVERLAY_FILE).is_file()


def stack_of(folder: Traversable | FilePath) -> tuple[Layer, ...]:
    """A folder with those below it, the lowest first; alone where it lies over none.

    Raises:
        KnowledgeError: an `overlay.yaml` cannot be used, names a folder that is not there, or one above itself.
    """
    stack: list[Layer] = []
    seen: set[str] = set()
    while lies_over(folder):
        overlay = _read(folder)
        stack.append(Layer(folder, overlay))
        seen.add(_really(folder))
        # A name is taken from where the folder lies, so that a stack can be moved as one.
        below = files("faults") if overlay.over == SHIPPED else FilePath(str(folder)) / overlay.over
        if not _is_there(below):
            raise _refused(overlay, ("over",), "no_folder")
        if _really(below) in seen or len(stack) >= _MOST_FOLDERS:
            raise _refused(overlay, ("over",), "circle")
        folder = below
    return tuple(reversed([*stack, Layer(folder, None)]))


def overlay_files(name: str, over: str, fingerprint: str) -> dict[str, bytes]:
    """The files of a new folder that changes nothing yet.

    Args: its name, the folder below as `over` has it, and that folder's fingerprint.
    """
    remarks = "".join(f"# {line}\n" for line in say("knowledge_command.begun").splitlines())
    # JSON is YAML, and any name can stand in it.
    said = "".join(
        f"{field}: {json.dumps(text, ensure_ascii=False)}\n"
        for field, text in (
            (_NAME, name),
            (_OVER, over),
            (_OF, fingerprint),
        )
    )
    return {OVERLAY_FILE: (remarks + said).encode(), FORMAT_FILE: f"version: {PRESENT}\n".encode()}


def _is_there(folder: Traversable | FilePath) -> bool:
    """Whether there is such a folder; a name that no folder can have, such as one far too long, is none."""
    try:
        return folder.is_dir()
    except (OSError, ValueError):
        return False


def _really(folder: Traversable | FilePath) -> str:
    return str(FilePath(str(folder)).resolve())


def _read(folder: Traversable | FilePath) -> OverlayFile:
    name = f"{folder}/{OVERLAY_FILE}"
    try:
        content = read_at_most(folder.joinpath(OVERLAY_FILE), MOST_BYTES + 1)
    except OSError as error:
        problem = Problem(name, 1, 1, *told("mistakes_files.unread_file", why=why_not(error).lower()), "files")
        raise KnowledgeError([problem]) from None
    document = read_document(name, content)
    said = document.data if isinstance(document.data, dict) else {}
    problems = [] if said else [document.problem((), *told("mistakes_files.overlay.unreadable"))]
    for field in said:
        if field not in (_NAME, _OVER, _OF, _REMOVE):
            advice = advice_for(field, (_NAME, _OVER, _OF, _REMOVE))
            problems.append(document.problem((field,), say("mistakes_files.overlay.no_field"), advice, at_key=True))
    no_text = [field for field in (_NAME, _OVER, _OF) if not isinstance(said.get(field, ""), str)]
    problems += [document.problem((field,), *told("mistakes_files.overlay.no_text")) for field in no_text]
    remove = said.get(_REMOVE, {})
    listed: dict[str, Any] = remove if isinstance(remove, dict) else {"": None}
    for kind, ids in listed.items():
        if not isinstance(ids, list) or not all(isinstance(each, str) for each in ids):
            problems.append(document.problem((_REMOVE, kind), *told("mistakes_files.overlay.no_ids")))
    if problems:
        raise KnowledgeError(under("form", problems))
    texts = (said.get(_NAME, ""), said.get(_OVER, SHIPPED), said.get(_OF, ""))
    return OverlayFile(document, *texts, {kind: tuple(ids) for kind, ids in listed.items()})


def _refused(overlay: OverlayFile, at: tuple[str, ...], key: str) -> KnowledgeError:
    said = told(f"mistakes_files.overlay.{key}", over=overlay.over)
    return KnowledgeError(under("files", [overlay.document.problem(at, *said)]))
