"""The one gate from a faults folder to the model: all its files read, checked and built, or all problems at once."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path as FilePath
from typing import Any

from pydantic import ValidationError

from engine.foundation.bounded_read import read_at_most
from engine.foundation.hand_slips import with_slips
from engine.foundation.problems import KnowledgeError, Problem, under
from engine.foundation.text_catalog import ENGLISH, LANGUAGES, languages_of
from engine.foundation.texts import say, told
from engine.foundation.yaml_reader import MOST_BYTES, Composed, Path, YamlDocument, compose
from engine.knowledge.build import build
from engine.knowledge.catalogue import Folder, Placed
from engine.knowledge.files import FILES, FileKind
from engine.knowledge.format_version import refuse_other_versions
from engine.knowledge.layers import laid_contents, laid_language
from engine.knowledge.model import Knowledge
from engine.knowledge.rules import rule_problems
from engine.knowledge.schema import NumberCheckForm
from engine.knowledge.schema_errors import form_problems
from engine.knowledge.second_look import dangers_of
from engine.knowledge.shared_lines import shared_out
from engine.knowledge.translation import overlay_of

_DANGERS = "dangers.yaml"


@dataclass
class _Reading:
    """What has been read so far, and what was wrong with it."""

    entries: dict[str, dict[str, Placed[Any]]]
    declared: dict[str, dict[str, tuple[str, int]]]
    unread: set[str] = field(default_factory=set)
    problems: list[Problem] = field(default_factory=list)


def load_knowledge(folder: Traversable | FilePath, language: str = ENGLISH) -> Knowledge:
    """The knowledge of a faults folder, complete and checked.

    Args:
        folder: the folder, as a path or as a package's resources.
        language: the code of a language, such as `es`. Where the folder has no texts in it, the English ones stand.
            The fingerprint is the same in every language.

    Raises:
        KnowledgeError: with every problem of every file, in order of place; of languages not in use nothing is told.
    """
    contents, problems = laid_contents(folder)
    english = _checked(str(folder), contents, problems)
    in_use = _in_language(english, folder, language) if language != ENGLISH else english
    others = {code: _its_dangers(english, folder, code) for code in languages_of(folder) if code != language}
    if language != ENGLISH:
        others[ENGLISH] = english
    return replace(build(in_use, fingerprint_of(contents), others), folder=folder)


def _checked(name: str, contents: Mapping[str, bytes], problems: Sequence[Problem]) -> Folder:
    """The entries of a folder in which nothing is wrong and no danger is left unanswered."""
    folder = without_mistakes(name, contents, problems)
    # What is in danger is asked of what is sound: a slip in one entry makes others look unwarned.
    dangers = dangers_of(folder)
    if dangers:
        raise KnowledgeError(dangers)
    return folder


def without_mistakes(name: str, contents: Mapping[str, bytes], problems: Sequence[Problem]) -> Folder:
    """The entries of a folder in which nothing is wrong for certain; what may hurt somebody is not looked for.

    Args and raises as `knowledge_from`.
    """
    refuse_other_versions(name, contents)
    folder, found = read_folder(name, contents)
    every = [*problems, *found, *rule_problems(folder)]
    if every:
        raise KnowledgeError(every)
    return folder


def _in_language(english: Folder, folder: Traversable | FilePath, language: str) -> Folder:
    """The folder with the texts of a language; as it is where there are none."""
    contents, unread = laid_language(folder, language)
    if not contents and not unread:
        return english
    overlay = overlay_of(english, str(folder.joinpath(LANGUAGES, language)), contents)
    if unread or overlay.problems:
        raise KnowledgeError([*unread, *overlay.problems])
    return overlay.folder


def _its_dangers(english: Folder, folder: Traversable | FilePath, code: str) -> Folder:
    """The dangers alone in a language that is not in use, as far as they can be read: nobody is told of the rest."""
    nothing: dict[str, Any] = {f"{kind.name}s": {} for kind in FILES.values() if kind.name != "danger"}
    for place in (folder, files("faults")):
        with suppress(OSError):
            said = {_DANGERS: read_at_most(place.joinpath(LANGUAGES, code, _DANGERS), MOST_BYTES + 1)}
            return overlay_of(replace(english, **nothing), code, said).folder
    return english


def knowledge_from(name: str, contents: Mapping[str, bytes], problems: Sequence[Problem] = ()) -> Knowledge:
    """The knowledge that files hold, complete and checked.

    Args:
        name: the folder's name, as messages give it.
        contents: the files by their names inside the folder, such as `causes/cell.yaml`.
        problems: what was wrong already while the files were fetched.

    Raises:
        KnowledgeError: with those problems and every other one, in order of place; of a folder of another version, with
            that alone.
    """
    return build(_checked(name, contents, problems), fingerprint_of(contents))


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
    return folder, under("form", reading.problems)


def _missing(folder: str, where: str) -> Problem:
    if where.endswith("/"):
        return Problem(f"{folder}/{where[:-1]}", 1, 1, *told("mistakes_files.none_inside", folder=where), "files")
    return Problem(f"{folder}/{where}", 1, 1, *told("mistakes_files.missing"), "files")


def _read_file(reading: _Reading, kind: FileKind, file: str, content: bytes) -> None:
    try:
        documents = compose(file, content)
    except KnowledgeError as error:
        reading.unread.add(kind.name)
        reading.problems += under("text", error.problems)
        return
    document, twice = shared_out(documents[0]) if kind.name == "tree" else (documents[0], [])
    before = len(reading.problems)
    reading.problems += twice
    reading.problems += under("text", (problem for each in documents for problem in each.problems))
    _read_entries(reading, kind, document)
    if len(reading.problems) > before and not isinstance(content, Composed):
        # Where the text cannot be decoded it was refused before.
        reading.problems[before:] = with_slips(reading.problems[before:], content.decode("utf-8-sig"))


def _read_entries(reading: _Reading, kind: FileKind, document: YamlDocument) -> None:
    if not kind.listed:
        _read_entry(reading, kind, document, ())
    elif isinstance(document.data, list):
        for index in range(len(document.data)):
            _read_entry(reading, kind, document, (index,))
    else:
        reading.unread.add(kind.name)
        reading.problems.append(document.problem((), *told("mistakes_form.not_list", kind=kind.name)))


def _read_entry(reading: _Reading, kind: FileKind, document: YamlDocument, base: Path) -> None:
    data: Any = document.data
    for part in base:
        data = data[part]
    if not isinstance(data, dict):
        reading.unread.add(kind.name)
        reading.problems.append(document.problem(base, *told("mistakes_form.no_entry", kind=kind.name)))
        return
    entry_id = data.get(kind.name)
    if not isinstance(entry_id, str):
        reading.unread.add(kind.name)
    elif entry_id in reading.declared[kind.name]:
        file, line = reading.declared[kind.name][entry_id]
        what = say(f"mistakes_form.id_taken.{kind.name}", id=entry_id, file=file, line=line)
        # The id that was meant is missing; what speaks of it is no mistake.
        reading.unread.add(kind.name)
        reading.problems.append(document.problem((*base, kind.name), what, say("mistakes_form.other_id")))
        return
    else:
        holder, way = document.holder((*base, kind.name))
        reading.declared[kind.name][entry_id] = (holder.file, holder.place(way)[0])
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


def fingerprint_of(contents: Mapping[str, bytes]) -> str:
    """The first 12 hexadecimal digits of a SHA-256 over the files' names and contents, in order of name."""
    digest = hashlib.sha256()
    for name in sorted(contents):
        digest.update(f"{name}\0{len(contents[name])}\0".encode() + contents[name])
    return digest.hexdigest()[:12]
