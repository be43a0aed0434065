"""The one gate from a faults folder to the model: all its files read, checked and built, or all problems at once."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from importlib.resources.abc import Traversable
from pathlib import Path as FilePath
from typing import Any

from pydantic import ValidationError

from engine.errors import KnowledgeError, Problem, advice_for
from engine.loading.building import build
from engine.loading.entries import Folder, Placed
from engine.loading.formerrors import form_problems
from engine.loading.phrases import LANGUAGES, WORDS
from engine.loading.rules import rule_problems
from engine.loading.schema import (
    CauseForm,
    CautionForm,
    ChoiceCheckForm,
    FindingForm,
    Form,
    NumberCheckForm,
    PartForm,
    RepairForm,
    RoleForm,
    TreeForm,
    UnitForm,
)
from engine.loading.yamltext import Document, Path, compose
from engine.model import Knowledge

__all__ = ["FILES", "knowledge_from", "load_knowledge", "read_folder"]


@dataclass(frozen=True)
class _Kind:
    """Where the entries of one kind stand: the form, and whether a file holds one entry or a list of them."""

    name: str
    form: type[Form]
    listed: bool = True


FILES: Mapping[str, _Kind] = {
    "checks/": _Kind("check", ChoiceCheckForm),
    "findings.yaml": _Kind("finding", FindingForm),
    "causes/": _Kind("cause", CauseForm),
    "repairs.yaml": _Kind("repair", RepairForm),
    "parts.yaml": _Kind("part", PartForm),
    "cautions.yaml": _Kind("caution", CautionForm),
    "roles.yaml": _Kind("role", RoleForm),
    "units/": _Kind("unit", UnitForm, listed=False),
    "trees/": _Kind("tree", TreeForm, listed=False),
}
"""What a faults folder holds: files, and folders of files."""

_NOT_KNOWLEDGE = {"calls", WORDS, LANGUAGES}


@dataclass
class _Reading:
    """What has been read so far, and what was wrong with it."""

    entries: dict[str, dict[str, Placed[Any]]]
    declared: dict[str, dict[str, str]]
    unread: set[str] = field(default_factory=set)
    problems: list[Problem] = field(default_factory=list)


def load_knowledge(folder: Traversable | FilePath) -> Knowledge:
    """The knowledge of a faults folder, complete and checked.

    Args:
        folder: the folder, as a path or as a package's resources.

    Raises:
        KnowledgeError: with every problem of every file, in order of place.
    """
    contents, problems = _contents(folder)
    return knowledge_from(str(folder), contents, problems)


def knowledge_from(name: str, contents: Mapping[str, bytes], problems: Sequence[Problem] = ()) -> Knowledge:
    """The knowledge that files hold, complete and checked.

    Args:
        name: the folder's name, as messages give it.
        contents: the files by their names inside the folder, such as `causes/cell.yaml`.
        problems: what was wrong already while the files were fetched.

    Raises:
        KnowledgeError: with those problems and every other one, in order of place.
    """
    folder, found = read_folder(name, contents)
    every = [*problems, *found, *rule_problems(folder)]
    if every:
        raise KnowledgeError(every)
    return build(folder, _fingerprint(contents))


def read_folder(name: str, contents: Mapping[str, bytes]) -> tuple[Folder, list[Problem]]:
    """The entries of a folder's files that have the right form, and what is wrong with the others.

    Args:
        name: the folder's name, as messages give it.
        contents: the files by their names inside the folder, such as `causes/cell.yaml`.
    """
    reading = _Reading({kind.name: {} for kind in FILES.values()}, {kind.name: {} for kind in FILES.values()})
    for where, kind in FILES.items():
        files = [file for file in contents if file == where or (where.endswith("/") and file.startswith(where))]
        if not files:
            reading.unread.add(kind.name)
            reading.problems.append(_missing(name, where))
        for file in files:
            _read_file(reading, kind, f"{name}/{file}", contents[file])
    entries = {f"{kind}s": placed for kind, placed in reading.entries.items()}
    folder = Folder(name=name, declared=reading.declared, unread=frozenset(reading.unread), **entries)
    return folder, reading.problems


def _missing(folder: str, where: str) -> Problem:
    if where.endswith("/"):
        return Problem(f"{folder}/{where[:-1]}", 1, 1, f"no file stands in `{where}`", "write one that ends in `.yaml`")
    return Problem(f"{folder}/{where}", 1, 1, "this file is missing", "write it; faults/README.md says what it holds")


def _read_file(reading: _Reading, kind: _Kind, file: str, content: bytes) -> None:
    try:
        documents = compose(file, content)
    except KnowledgeError as error:
        reading.unread.add(kind.name)
        reading.problems += error.problems
        return
    document = documents[0]
    reading.problems += [problem for each in documents for problem in each.problems]
    if not kind.listed:
        _read_entry(reading, kind, document, ())
    elif isinstance(document.data, list):
        for index in range(len(document.data)):
            _read_entry(reading, kind, document, (index,))
    else:
        reading.unread.add(kind.name)
        advice = f"begin each entry with `- {kind.name}: ...`"
        reading.problems.append(document.problem((), "this is not a list of entries", advice))


def _read_entry(reading: _Reading, kind: _Kind, document: Document, base: Path) -> None:
    data: Any = document.data
    for part in base:
        data = data[part]
    if not isinstance(data, dict):
        reading.unread.add(kind.name)
        reading.problems.append(document.problem(base, "this is no entry", f"begin it with `{kind.name}: ...`"))
        return
    entry_id = data.get(kind.name)
    if not isinstance(entry_id, str):
        reading.unread.add(kind.name)
    elif entry_id in reading.declared[kind.name]:
        what = f"`{entry_id}` is the id of another {kind.name} already, {reading.declared[kind.name][entry_id]}"
        reading.problems.append(document.problem((*base, kind.name), what, "give one of the two another id"))
        return
    else:
        line, _ = document.place((*base, kind.name))
        reading.declared[kind.name][entry_id] = f"{document.file} line {line}"
    form = NumberCheckForm if kind.name == "check" and "answers" not in data and "answer_in" in data else kind.form
    try:
        reading.entries[kind.name][str(entry_id)] = Placed(form.model_validate(data), document, base)
    except ValidationError as error:
        errors = error.errors(include_url=False)
        if any(each["loc"] == (kind.name,) for each in errors):
            # What is no id cannot be told from what others mean by it.
            reading.unread.add(kind.name)
        # Where the text itself was refused, that problem explains what the form misses there.
        refused = {(problem.line, problem.column) for problem in document.problems}
        found = form_problems(form, errors, document, base)
        reading.problems += [problem for problem in found if (problem.line, problem.column) not in refused]


def _fingerprint(contents: Mapping[str, bytes]) -> str:
    """The first 12 hexadecimal digits of a SHA-256 over the files' names and contents, in order of name."""
    digest = hashlib.sha256()
    for name in sorted(contents):
        digest.update(f"{name}\0{len(contents[name])}\0".encode() + contents[name])
    return digest.hexdigest()[:12]


def _contents(folder: Traversable | FilePath) -> tuple[dict[str, bytes], list[Problem]]:
    """The YAML files of a folder, by their names inside it, and what could not be read or does not belong there."""
    contents: dict[str, bytes] = {}
    problems: list[Problem] = []
    for item in _listed(folder, str(folder)):
        if item.name in _NOT_KNOWLEDGE:
            continue
        if item.is_dir() and f"{item.name}/" in FILES:
            for file in _listed(item, f"{folder}/{item.name}"):
                if file.is_file():
                    _take(contents, problems, str(folder), f"{item.name}/{file.name}", file, known=True)
        elif item.is_dir() and item.name[:1] not in "._":
            advice = advice_for(f"{item.name}/", [name for name in FILES if name.endswith("/")])
            problems.append(Problem(f"{folder}/{item.name}", 1, 1, "no folder of this name belongs here", advice))
        elif item.is_file():
            _take(contents, problems, str(folder), item.name, item, known=item.name in FILES)
    return contents, problems


def _listed(folder: Traversable | FilePath, name: str) -> list[Any]:
    try:
        return sorted(folder.iterdir(), key=lambda item: item.name)
    except (FileNotFoundError, NotADirectoryError):
        raise KnowledgeError([Problem(name, 1, 1, "there is no such folder", "name a folder of fault trees")]) from None
    except OSError as error:
        raise KnowledgeError([Problem(name, 1, 1, "this folder cannot be read", _why(error))]) from None


def _why(error: OSError) -> str:
    return f"the system says: {(error.strerror or 'no reason').lower()}"


def _take(contents: dict[str, bytes], problems: list[Problem], folder: str, name: str, file: Any, known: bool) -> None:
    """Read one file into `contents`, where it is one of ours."""
    place = (f"{folder}/{name}", 1, 1)
    if name.endswith(".yml"):
        problems.append(Problem(*place, "this file would not be read", "let its name end in `.yaml`"))
    elif name.endswith(".yaml") and not known:
        expected = [file_name for file_name in FILES if not file_name.endswith("/")]
        problems.append(Problem(*place, "no file of this name belongs here", advice_for(name, expected)))
    elif name.endswith(".yaml"):
        try:
            contents[name] = file.read_bytes()
        except OSError as error:
            problems.append(Problem(*place, "this file cannot be read", _why(error)))
