"""Where a faults folder speaks of an entry by its id: in its own files, its languages, its phrases and worked calls."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath

from engine.foundation.bounded_read import read_at_most
from engine.foundation.plain_text import without_accents
from engine.foundation.problems import KnowledgeError
from engine.foundation.text_catalog import LANGUAGES
from engine.foundation.yaml_reader import MOST_BYTES, Path, YamlDocument, compose
from engine.knowledge.files import FILES, contents_of, inside
from engine.knowledge.overlay_file import OVERLAY_FILE, stack_of
from engine.knowledge.said import SAID
from engine.knowledge.shared_lines import HERE, causes_in

CALLS = "calls"
_CHECKS = (
    "check.pointless_if.@",
    "check.waits_for.*",
    "check.from_record.earlier",
    "check.from_record.months_since",
    "finding.from.*",
    "finding.assume.@",
    "finding.replaces.*",
    "cause.shows.@",
    "cause.likelier.@",
    "cause.distrusts.*",
    "repair.pointless_if.@",
    "repair.waits_for.*",
    "repair.ask_again.*",
    "repair.amount_from.*",
    "unit.shows_numbers.*",
    "tree.given.@",
    "tree.told_by.@",
    "tree.here.*.@",
    "tree.steps.*.ask",
    "said.@",
    "calls.facts.@",
    "calls.cannot.*",
)
USES: Mapping[str, tuple[str, ...]] = {
    "check": _CHECKS,
    "finding": ("cause.shows.@", "cause.likelier.@", "tree.here.*.@"),
    "cause": (
        "cause.not_with.*",
        "repair.cures.@",
        "check.from_record.times",
        "tree.of_100_calls.@",
        "tree.two_faults.@",
        "tree.here.@",
        "calls.cause",
        "calls.cause.*",
    ),
    "repair": ("cause.repairs.*", "tree.steps.*.propose"),
    "part": ("repair.parts.@",),
    "caution": ("act.cautions.*", "act.cautions.*.*", "act.in_a_line.*", "act.in_a_line.*.*", "danger.cautions.*"),
    "act": ("check.does.*", "check.does.*.*", "repair.does.*", "repair.does.*.*"),
    "danger": ("check.answers.*.reports",),
    "unit": ("calls.unit",),
    "tree": ("calls.complaint", "said.complaint.@"),
    "limit": (),
    "role": ("calls.role", "said.role.@"),
}
"""By kind, where its ids stand: the kind of the entry or file, then its fields; `*` is any part, `@` a name there.

What a folder does without stands under `remove` of its `overlay.yaml`, by kind too.
"""
_OVERLAY = "overlay"
_MEANT = "meant"
_WORD = re.compile(r"[A-Za-z0-9_-]+")


@dataclass(frozen=True, order=True)
class Mention:
    """One place that speaks of an entry: the file's name inside the folder, line and column from 1, and how.

    `by` is the entry that does, as its kind and id, empty in phrases; `field` the way to the place inside it.
    """

    file: str
    line: int
    column: int
    by: tuple[str, str]
    field: str
    declares: bool


@dataclass(frozen=True)
class Written:
    """The documents of a faults folder, by the name of their file inside it, each with the kind of its entries."""

    contents: Mapping[str, bytes]
    documents: tuple[tuple[str, str, YamlDocument], ...]

    def ids(self, kind: str) -> frozenset[str]:
        """The ids of a kind's entries, in English."""
        return frozenset(
            str(entry[kind])
            for file, each, document in self.documents
            if each == kind and not file.startswith(LANGUAGES)
            for _, entry in _entries(document)
            if kind in entry
        )


def read_written(folder: FilePath) -> Written:
    """Read every file of a folder that may speak of entries. Raises KnowledgeError where one cannot be read."""
    contents: dict[str, bytes] = {}
    found: list[tuple[str, str, YamlDocument]] = []
    languages = [item for item in inside(folder / LANGUAGES) if item.is_dir() and item.name[:1] not in "._"]
    for place in (folder, *languages):
        base = "" if place == folder else f"{LANGUAGES}/{place.name}/"
        for name, content in contents_of(place)[0].items():
            kind = next((each.name for where, each in FILES.items() if name == where or name.startswith(where)), None)
            kind = _OVERLAY if name == OVERLAY_FILE and not base else kind
            if kind is not None:
                contents[f"{base}{name}"] = content
                found.append((f"{base}{name}", kind, compose(f"{folder}/{base}{name}", content)[0]))
        for part in (SAID, CALLS):
            for file in inside(place.joinpath(part)):
                if file.name.endswith(".yaml"):
                    name = f"{base}{part}/{file.name}"
                    contents[name] = read_at_most(file, MOST_BYTES + 1)
                    several = compose(f"{folder}/{name}", contents[name], several=True)
                    found += [(name, part, document) for document in several]
    problems = [problem for _, _, document in found for problem in document.problems]
    if problems:
        raise KnowledgeError(problems)
    return Written(contents, tuple(found))


def read_stack(folder: FilePath) -> list[tuple[FilePath, Written]]:
    """The same of a folder and of each one below it, with where it lies; the folder itself comes first."""
    layers = [FilePath(str(layer.folder)) for layer in reversed(stack_of(folder))]
    return [(layer, read_written(layer)) for layer in layers]


def mentions_of(written: Written, kind: str, id: str) -> list[Mention]:
    """Every place that speaks of the entry of this kind and id, its own among them, by place."""
    found: set[Mention] = set()
    for file, each, document in written.documents:
        for base, entry in _entries(document):
            by = (each, str(entry.get(each, ""))) if each not in (SAID, CALLS) else (each, str(entry.get("call", "")))
            for path, at_key, text in _parts(entry, ()):
                declares = each == kind and path == (kind,) and not at_key
                if id not in _words(text) or not (declares or _is_use(kind, each, path, at_key, text, id)):
                    continue
                line, column = document.place((*base, *path), at_key)
                start = _start(written.contents[file], line, column, id)
                if start is not None:
                    found.add(Mention(file, line, start, by, ".".join(map(str, path)), declares))
    return sorted(found)


def text_of(written: Written, kind: str, id: str) -> str | None:
    """An entry as it is written in English, remarks among its lines and all; None where there is none of that id."""
    for file, each, document in written.documents:
        if each != kind or file.startswith(LANGUAGES):
            continue
        lines = written.contents[file].decode("utf-8-sig").splitlines(keepends=True)
        if not isinstance(document.data, list):
            if any(entry.get(kind) == id for _, entry in _entries(document)):
                return "".join(lines)
            continue
        for base, entry in _entries(document):
            if entry.get(kind) == id:
                start = document.place(base)[0] - 1
                after = (at for at in range(start + 1, len(lines)) if not lines[at].startswith((" ", "\n", "\r")))
                return "".join(lines[start : next(after, len(lines))]).rstrip() + "\n"
    return None


def worded(written: Written, words: str) -> list[tuple[Mention, str]]:
    """Every text of an entry that holds all these words, with its place, by place.

    A word may be the beginning of one; large and small letters, and accents, count alike. Names of fields, ids and
    other texts of one word are left out.
    """
    wanted = without_accents(words).split()
    found = []
    for file, each, document in written.documents:
        for base, entry in _entries(document):
            by = (each, str(entry.get(each, entry.get("call", ""))))
            for path, is_name, text in _parts(entry, ()):
                plain = f" {without_accents(text)}"
                if is_name or " " not in text or not all(f" {word}" in plain for word in wanted):
                    continue
                line, column = document.place((*base, *path))
                found.append((Mention(file, line, column, by, ".".join(map(str, path)), declares=False), text))
    return sorted(found) if wanted else []


def renamed(written: Written, mentions: list[Mention], old: str, new: str) -> dict[str, bytes]:
    """The files that change where an id is written anew at these places, each in full."""
    changed: dict[str, bytes] = {}
    for file in {mention.file for mention in mentions}:
        lines = written.contents[file].decode("utf-8-sig").splitlines(keepends=True)
        for mention in sorted((each for each in mentions if each.file == file), reverse=True):
            line, at = lines[mention.line - 1], mention.column - 1
            lines[mention.line - 1] = line[:at] + new + line[at + len(old) :]
        changed[file] = "".join(lines).encode()
    return changed


def _entries(document: YamlDocument) -> Iterator[tuple[Path, Mapping[str, object]]]:
    data = document.data
    if isinstance(data, list):
        yield from (((index,), entry) for index, entry in enumerate(data) if isinstance(entry, dict))
    elif isinstance(data, dict):
        yield (), data


def _parts(data: object, path: Path) -> Iterator[tuple[Path, bool, str]]:
    """Every name and every text of an entry: the way to it, whether it is a name, and what it says."""
    if isinstance(data, Mapping):
        for name, part in data.items():
            yield (*path, name), True, str(name)
            yield from _parts(part, (*path, name))
    elif isinstance(data, list):
        for index, part in enumerate(data):
            yield from _parts(part, (*path, index))
    elif isinstance(data, str):
        yield path, False, data


def _is_use(kind: str, of: str, path: Path, at_key: bool, text: str, id: str) -> bool:
    if path and path[0] == _MEANT and at_key and len(path) == 3:
        return id in text.split()
    way = (of, *(path[:-1] if at_key else path), *(["@"] if at_key else []))
    if not any(_fits(pattern.split("."), way) for pattern in (*USES[kind], f"{_OVERLAY}.remove.{kind}.*")):
        return False
    if path[0] == "two_faults":
        return id in text.split(" + ")
    return id in causes_in(text) if path[0] == HERE and at_key and len(path) == 2 else text == id


def _fits(pattern: list[str], way: tuple[object, ...]) -> bool:
    return len(pattern) == len(way) and all(
        want == have or (want == "*" and have != "@") for want, have in zip(pattern, way, strict=True)
    )


def _words(text: str) -> list[str]:
    return _WORD.findall(text)


def _start(content: bytes, line: int, column: int, id: str) -> int | None:
    """The column at which an id stands in the part that begins at a place."""
    written = content.decode("utf-8-sig").splitlines()[line - 1]
    found = re.compile(rf"(?<![\w-]){re.escape(id)}(?![\w-])").search(written, column - 1)
    return None if found is None else found.start() + 1
