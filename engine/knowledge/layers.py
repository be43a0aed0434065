"""A folder that holds only what it adds, changes and takes away, laid over those below it: by id and by field."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from importlib.resources.abc import Traversable
from pathlib import Path as FilePath
from typing import Any

from engine.foundation.problems import KnowledgeError, Problem, advice_for, under
from engine.foundation.text_catalog import LANGUAGES
from engine.foundation.texts import say
from engine.foundation.yaml_reader import Composed, Path, Place, YamlDocument, compose
from engine.knowledge.files import FILES, FileKind, contents_of
from engine.knowledge.format_version import refuse_other_versions
from engine.knowledge.overlay_file import OVERLAY_FILE, OverlayFile, stack_of


@dataclass(frozen=True)
class _Part:
    """One entry as one file says it, and the way to it there."""

    document: YamlDocument
    base: Path

    @property
    def data(self) -> Any:
        data: Any = self.document.data
        for step in self.base:
            data = data[step]
        return data


@dataclass
class _Entry:
    """An entry laid together: its data, the part that spoke of it last, and by field the part that says it."""

    file: str
    layer: int
    last: _Part
    data: Any
    said_by: dict[str, _Part] = field(default_factory=dict)

    def lay(self, part: _Part, layer: int) -> None:
        """Take over the fields that a folder above names; one with nothing behind it goes."""
        self.last, self.layer, self.data = part, layer, dict(self.data)
        for name, value in part.data.items():
            self.said_by[name] = part
            if value is None:
                self.data.pop(name, None)
            else:
                self.data[name] = value

    def at(self, path: Path) -> tuple[YamlDocument, Path]:
        """The document that says the part at this path, and the way to it there."""
        part = self.said_by.get(str(path[0]), self.last) if path else self.last
        return part.document, (*part.base, *path)


@dataclass(frozen=True)
class _LaidDocument(YamlDocument):
    """A document whose entries were laid together; each part is told where it really stands."""

    entries: tuple[_Entry, ...] = ()
    listed: bool = True

    def holder(self, path: Path) -> tuple[YamlDocument, Path]:
        if not self.listed:
            return self.entries[0].at(path)
        if path and isinstance(path[0], int):
            return self.entries[path[0]].at(path[1:])
        return (self.entries[0].last.document, ()) if self.entries else (YamlDocument(self.file, [], {}, {}), ())

    def place(self, path: Path, at_key: bool = False) -> Place:
        document, way = self.holder(path)
        return document.place(way, at_key)


_SaidAnew = Mapping[tuple[str, str], Sequence[tuple[int, str]]]
"""By kind and id, the lists and groups of an English entry that folders say anew: the number of each, and the field."""


@dataclass
class _Stack:
    """The entries of one kind, laid together from the lowest folder up."""

    kind: FileKind
    entries: list[_Entry] = field(default_factory=list)
    by_id: dict[str, _Entry] = field(default_factory=dict)
    said_anew: _SaidAnew = field(default_factory=dict)
    as_they_are: dict[str, YamlDocument] = field(default_factory=dict)
    """Files that do not have the form of their kind: whoever reads them tells."""
    contents: dict[str, bytes] = field(default_factory=dict)

    def add(self, file: str, content: bytes, document: YamlDocument, layer: int) -> None:
        """Lay one file of a folder over what was read before."""
        self.contents[file] = self.contents.get(file, b"") + content
        if isinstance(document.data, list) != self.kind.listed:
            self.as_they_are[file] = document
            return
        count = len(document.data) if isinstance(document.data, list) else 1
        for part in (_Part(document, (index,) if self.kind.listed else ()) for index in range(count)):
            self._add_entry(file, part, layer)

    def _add_entry(self, file: str, part: _Part, layer: int) -> None:
        entry_id = part.data.get(self.kind.name) if isinstance(part.data, dict) else None
        below = self.by_id.get(entry_id) if isinstance(entry_id, str) else None
        if below is not None and below.layer != layer:
            below.lay(part, layer)
            return
        entry = _Entry(file, layer, part, self._still_true(part.data, layer))
        self.entries.append(entry)
        if isinstance(entry_id, str) and below is None:
            entry.said_by = dict.fromkeys(part.data, part)
            self.by_id[entry_id] = entry

    def _still_true(self, said: Any, layer: int) -> Any:
        """A translation without the groups of texts that a folder above it says anew: they may have other parts now."""
        entry_id = said.get(self.kind.name) if isinstance(said, dict) else None
        anew = {name for above, name in self.said_anew.get((self.kind.name, str(entry_id)), ()) if above > layer}
        return {name: value for name, value in said.items() if name not in anew} if anew else said

    def take_away(self, overlay: OverlayFile) -> list[Problem]:
        """Leave out what a folder does without; what it does without and is not below is told."""
        problems = []
        for index, entry_id in enumerate(overlay.remove.get(self.kind.name, ())):
            entry = self.by_id.pop(entry_id, None)
            if entry is None:
                what = say("mistakes_files.overlay.not_below", kind=self.kind.name, id=entry_id)
                at = ("remove", self.kind.name, index)
                problems.append(overlay.document.problem(at, what, advice_for(entry_id, self.by_id)))
            else:
                self.entries.remove(entry)
        return problems

    def files(self) -> dict[str, bytes]:
        """The files that hold the entries, by name; each is read as the document that was laid together."""
        found: dict[str, bytes] = {
            name: Composed.of(self.contents[name], document) for name, document in self.as_they_are.items()
        }
        for name in self.contents:
            entries = tuple(entry for entry in self.entries if entry.file == name)
            if name in self.as_they_are:
                continue
            if self.kind.listed:
                laid = _LaidDocument(name, [entry.data for entry in entries], {}, {}, (), entries)
                found[name] = Composed.of(self.contents[name], laid)
            for number, entry in enumerate(() if self.kind.listed else entries):
                # A file of one entry may be called like another's below.
                one = name if not number else f"{name.removesuffix('.yaml')}.{number}.yaml"
                laid = _LaidDocument(one, entry.data, {}, {}, (), (entry,), listed=False)
                found[one] = Composed.of(self.contents[name], laid)
        return found


@dataclass(frozen=True)
class _Folder:
    """The own files of one folder of a stack, or of its part in a language."""

    name: str
    contents: Mapping[str, bytes]
    overlay: OverlayFile | None


def laid_contents(folder: Traversable | FilePath) -> tuple[dict[str, bytes], list[Problem]]:
    """The YAML files of a folder as `contents_of` gives them; of one that lies over others, laid together with those.

    An entry whose id stands below changes the fields that it names and no others; a field with nothing behind it goes.
    What `remove` of `overlay.yaml` lists goes whole. A language's folder lies over the same language below.

    Raises:
        KnowledgeError: as `contents_of` does; and where a stack cannot be made, or a file of it cannot be read.
    """
    stack = stack_of(folder)
    if len(stack) == 1:
        return contents_of(folder)
    problems: list[Problem] = []
    folders = []
    for layer in stack:
        contents, found = contents_of(layer.folder)
        refuse_other_versions(str(layer.folder), contents)
        problems += found
        folders.append(_Folder(str(layer.folder), contents, layer.overlay))
    laid, found = _laid_together(folders)
    return laid, [*problems, *under("files", found)]


def laid_language(folder: Traversable | FilePath, code: str) -> tuple[dict[str, bytes], list[Problem]]:
    """The same of a language's part of a faults folder; nothing where no folder of its stack has this language."""
    stack = stack_of(folder)
    places = [(layer, layer.folder.joinpath(LANGUAGES, code)) for layer in stack]
    if len(stack) == 1:
        return contents_of(places[0][1]) if places[0][1].is_dir() else ({}, [])
    problems: list[Problem] = []
    folders = []
    for layer, place in places:
        contents, found = contents_of(place) if place.is_dir() else ({}, [])
        problems += found
        folders.append(_Folder(str(place), contents, layer.overlay))
    english = [_Folder(str(layer.folder), contents_of(layer.folder)[0], layer.overlay) for layer in stack]
    # What is taken away below and was never translated is no mistake.
    return _laid_together(folders, _said_anew(english))[0], problems


def _said_anew(folders: Sequence[_Folder]) -> _SaidAnew:
    found: dict[tuple[str, str], list[tuple[int, str]]] = {}
    for number, each in enumerate(folders[1:], start=1):
        for where, kind in FILES.items():
            for name in _files_of(each, where):
                data = compose(f"{each.name}/{name}", each.contents[name])[0].data
                for entry in data if isinstance(data, list) else [data]:
                    if isinstance(entry, dict):
                        groups = [field for field, value in entry.items() if isinstance(value, dict | list)]
                        about = found.setdefault((kind.name, str(entry.get(kind.name))), [])
                        about += [(number, field) for field in groups]
    return found


def _files_of(folder: _Folder, where: str) -> list[str]:
    """The files of a folder that hold entries of the kind that stands there."""
    return [name for name in folder.contents if name == where or (where.endswith("/") and name.startswith(where))]


def _laid_together(
    folders: Sequence[_Folder], said_anew: _SaidAnew | None = None
) -> tuple[dict[str, bytes], list[Problem]]:
    """The files of a stack, the lowest folder first, as those of one folder."""
    laid = {name: content for each in folders for name, content in each.contents.items()}
    # Of what a folder in the middle takes away nothing else is left by which the whole could be known.
    laid[OVERLAY_FILE] = b"".join(each.contents.get(OVERLAY_FILE, b"") for each in folders)
    problems: list[Problem] = []
    unreadable: list[Problem] = []
    for where, form in FILES.items():
        stack = _Stack(form, said_anew=said_anew or {})
        for number, each in enumerate(folders):
            problems += stack.take_away(each.overlay) if each.overlay is not None else []
            for name in _files_of(each, where):
                laid.pop(name, None)
                try:
                    document = compose(f"{each.name}/{name}", each.contents[name])[0]
                except KnowledgeError as error:
                    unreadable += error.problems
                    continue
                unreadable += document.problems
                stack.add(name, each.contents[name], document, number)
        laid |= stack.files()
    if unreadable:
        raise KnowledgeError(under("text", unreadable))
    for overlay in (each.overlay for each in folders if each.overlay is not None):
        for kind in overlay.remove:
            if kind not in (kinds := [known.name for known in FILES.values()]):
                what = say("mistakes_files.overlay.no_kind", kind=kind)
                problems.append(overlay.document.problem(("remove", kind), what, advice_for(kind, kinds), at_key=True))
    return laid, problems
