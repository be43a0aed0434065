"""What a language still lacks of a faults folder, most spoken first, and skeletons with the English beside."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from engine.foundation.yaml_reader import Path, compose
from engine.knowledge.catalogue import Folder, Placed
from engine.knowledge.files import FILES
from engine.knowledge.schema import CauseForm, CheckForm, PartForm, RepairForm, TreeForm
from engine.knowledge.stamps import STAMP
from engine.knowledge.translation import flat, stamps_of, texts_of
from engine.knowledge.upgrade.text_edits import written

_OWN_WORDS = ("perhaps", "not_words")
"""What only may be meant is said otherwise in each language, in more words or in none."""
_READERS = ("customer", "technician")
_WORTH: Mapping[str, float] = {
    "danger": 4,
    "caution": 4,
    "tree": 3,
    "check": 2,
    "role": 2,
    "unit": 2,
    "repair": 1,
    "cause": 1,
    "part": 0.5,
    "finding": 0,
}
"""How early a kind is worth its translation: what keeps people from harm, then what is asked in every call."""


@dataclass(frozen=True)
class Lacking:
    """A text that a language does not say yet: its entry, the way to it there, the English, and how much it is said."""

    kind: str
    id: str
    path: Path
    english: str
    worth: float


@dataclass(frozen=True)
class Completeness:
    """Of each kind, how many texts there are and how many are said; and what is lacking, most spoken first."""

    counts: Mapping[str, tuple[int, int]]
    lacking: tuple[Lacking, ...]

    def per_cent(self) -> int:
        """How much of all texts is said; 100 only where nothing lacks."""
        total, said = (sum(each[part] for each in self.counts.values()) for part in (0, 1))
        return 100 if total == said else min(99, 100 * said // max(total, 1))


def progress_of(folder: Folder, laid: Mapping[str, bytes]) -> Completeness:
    """How far a language is. Args: the entries in English; the language's files, by their names inside it."""
    said = {(kind, str(entry[kind])): entry for kind, entry in _laid(laid)}
    counts: dict[str, tuple[int, int]] = {}
    lacking: list[Lacking] = []
    for each in FILES.values():
        total = known = 0
        for entry_id, placed in folder.of_kind(each.name).items():
            for path, english in flat(texts_of(placed.form)):
                total += 1
                if _is_said(said.get((each.name, entry_id)), path):
                    known += 1
                else:
                    worth = _worth(folder, each.name, placed)
                    lacking.append(Lacking(each.name, entry_id, path, english, worth))
        if total:
            counts[each.name] = (total, known)
    return Completeness(counts, tuple(sorted(lacking, key=lambda lack: -lack.worth)))


def skeletons_of(folder: Folder, laid: Mapping[str, bytes], lacking: tuple[Lacking, ...]) -> dict[str, bytes]:
    """The files of a language with every entry that it lacks whole, the English of each text in a remark in its place.

    Args: the entries, the language's files, and what it lacks. What it says already is not touched.
    """
    begun = {(kind, str(entry[kind])) for kind, entry in _laid(laid)}
    stamps = stamps_of(folder)
    files: dict[str, list[str]] = {}
    for kind, entry_id in dict.fromkeys((each.kind, each.id) for each in lacking):
        if (kind, entry_id) in begun:
            continue
        placed = folder.of_kind(kind)[entry_id]
        file = placed.document.file.removeprefix(f"{folder.name}/")
        listed = next(each.listed for each in FILES.values() if each.name == kind)
        texts = [each for each in lacking if (each.kind, each.id) == (kind, entry_id)]
        files.setdefault(file, []).append(_skeleton(kind, entry_id, stamps.get((kind, entry_id)), texts, listed))
    return {file: _joined(laid.get(file), parts) for file, parts in files.items()}


def _joined(before: bytes | None, parts: list[str]) -> bytes:
    kept = [] if before is None or not before.strip() else [before.decode().rstrip("\n") + "\n"]
    return "\n".join([*kept, *parts]).encode()


def _skeleton(kind: str, id: str, stamp: str | None, texts: list[Lacking], listed: bool) -> str:
    """An entry with its stamp, and for each text a remark with the English and one with the name of its field."""
    indent = "  " if listed else ""
    lines = [f"{'- ' if listed else ''}{kind}: {id}"]
    lines += [f"{indent}{STAMP}: {stamp}"] if stamp is not None else []
    above: Path = ()
    for each in texts:
        for depth, name in enumerate(each.path[:-1]):
            if each.path[: depth + 1] != above[: depth + 1]:
                lines.append(f"{indent}# {'  ' * depth}{name}:")
        above = each.path[:-1]
        inner = "  " * (len(each.path) - 1)
        name = "-" if isinstance(each.path[-1], int) else f"{each.path[-1]}:"
        lines.append(f"{indent}# {inner}{name} {written(' '.join(each.english.split()), flow=False)}")
    return "\n".join(lines) + "\n"


def _laid(laid: Mapping[str, bytes]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """The entries of a language's files with their kind. Raises KnowledgeError where one cannot be read."""
    for file, content in laid.items():
        kind = next((each for where, each in FILES.items() if file == where or file.startswith(where)), None)
        data = compose(file, content)[0].data if kind is not None else None
        for entry in data if isinstance(data, list) else [data]:
            if kind is not None and isinstance(entry, dict) and kind.name in entry:
                yield kind.name, entry


def _is_said(entry: Mapping[str, Any] | None, path: Path) -> bool:
    """Whether an entry of a language says the text at this place; one text or list may serve both readers."""
    part: Any = entry
    if path[0] in _OWN_WORDS and entry is not None:
        return True
    for step in path:
        if isinstance(part, Mapping) and step in part:
            part = part[step]
        elif isinstance(part, list) and isinstance(step, int):
            return bool(part)
        elif not (step in _READERS and isinstance(part, str | list)):
            return False
    return bool(part)


def _worth(folder: Folder, kind: str, placed: Placed[Any]) -> float:
    """How much an entry is said: its kind first, then in how many of 100 jobs it comes up."""
    form, more = placed.form, 0.0
    if isinstance(form, TreeForm):
        more = form.of_100_jobs / 100
    elif isinstance(form, CauseForm):
        more = _share(folder, form.cause)
    elif isinstance(form, RepairForm):
        more = sum(_share(folder, cause) for cause in form.cures)
    elif isinstance(form, PartForm):
        takers = [repair.form for repair in folder.repairs.values() if form.part in repair.form.parts]
        more = sum(_share(folder, cause) for repair in takers for cause in repair.cures)
    elif isinstance(form, CheckForm):
        speaking = sum(form.check in (*cause.form.shows, *cause.form.likelier) for cause in folder.causes.values())
        more = speaking / max(len(folder.causes), 1)
    return _WORTH.get(kind, 0) + min(more, 0.99)


def _share(folder: Folder, cause: str) -> float:
    """In how many of all jobs a cause is the one, as a share."""
    trees = [tree.form for tree in folder.trees.values()]
    return sum(tree.of_100_jobs / 100 * tree.of_100_calls.get(cause, 0) / 100 for tree in trees)
