"""A whole faults folder upgraded: its files, the steps from version to version, what is kept and written."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from engine.foundation.problems import KnowledgeError, Problem
from engine.foundation.text_catalog import ENGLISH, LANGUAGES, WORDS, Phrases
from engine.knowledge.files import FILES, contents_of
from engine.knowledge.format_version import FORMAT_FILE, PRESENT, refuse_other_versions, version_of
from engine.knowledge.upgrade.dangers_of_2 import DANGERS_FILE, asked_dangers, dangers_of
from engine.knowledge.upgrade.from_1 import Ends, done_words, upgrade_entries, upgrade_words
from engine.knowledge.upgrade.limits_of_2 import LIMITS_FILE, limits_text
from engine.knowledge.upgrade.own_words import take_out_stale
from engine.knowledge.upgrade.safety_of_2 import HAZARDS_FILE, Safety
from engine.knowledge.upgrade.text_edits import YamlText

_VIEW = "view.yaml"


@dataclass(frozen=True)
class Upgraded:
    """What was done: from which version, the files changed, where their former text is kept, and what is left to do.

    `files` are names inside the folder and `kept` is None where the folder had the present form already.
    """

    version: int
    files: tuple[str, ...] = ()
    kept: Path | None = None
    left: tuple[Problem, ...] = ()


def upgrade_folder(folder: Path) -> Upgraded:
    """Turn a folder into the present form, in place; the former text of each changed file is kept inside it.

    Raises:
        KnowledgeError: where a file cannot be read, or the folder has a later form; nothing is changed then.
        OSError: where a file cannot be written; `format.yaml` is written last, so that it can be done again.
    """
    contents, problems = contents_of(folder)
    if problems:
        raise KnowledgeError(problems)
    version = version_of(str(folder), contents)
    if version == PRESENT:
        return Upgraded(version)
    if version > PRESENT:
        refuse_other_versions(str(folder), contents)
    former: dict[str, bytes] = {}
    new: dict[str, bytes] = {}
    left: list[Problem] = []
    ends: Ends = {}
    safety = Safety(checks_of(folder), asked_dangers(contents))
    for place in (folder, *language_folders(folder)):
        texts = list(texts_of_place(place))
        language = place.name if place != folder else ENGLISH
        words = next((text for kind, text in texts if kind == WORDS and Path(text.file).name == _VIEW), None)
        done_when = done_words(words) or Phrases(language).say("view.work.done_when", what="").strip()
        for kind, text in texts:
            if kind == WORDS:
                upgrade_words(text)
                take_out_stale(text, Path(text.file).name)
            else:
                found = list(upgrade_entries(text, kind, done_when, ends, safety, language))
                left += map(text.moved, found)
            name = Path(text.file).relative_to(folder).as_posix()
            content = (folder / name).read_bytes()
            changed = text.edited_as(content)
            if changed != content:
                former[name], new[name] = content, changed
        if added := dangers_of(contents, language):
            new[(place / DANGERS_FILE).relative_to(folder).as_posix()] = added
    if HAZARDS_FILE not in contents:
        new[HAZARDS_FILE], unsaid = safety.hazards(f"{folder}/{HAZARDS_FILE}")
        left += unsaid
    kept = folder / f"_version-{version}"
    if LIMITS_FILE not in contents:
        new[LIMITS_FILE] = limits_text().encode()
    write_files(kept, former, over=False)
    write_files(folder, new, over=True)
    write_files(folder, {FORMAT_FILE: f"version: {PRESENT}\n".encode()}, over=True)
    return Upgraded(version, tuple(sorted(new)), kept, tuple(sorted(left)))


def language_folders(folder: Path) -> list[Path]:
    """The folders of the languages inside a faults folder."""
    place = folder / LANGUAGES
    found = sorted(place.iterdir()) if place.is_dir() else []
    return [item for item in found if item.is_dir() and item.name[:1] not in "._"]


def checks_of(folder: Path) -> frozenset[str]:
    """The ids of the checks of a folder."""
    return frozenset(name for kind, text in texts_of_place(folder) if kind == "check" for name, _ in text.entries(kind))


def texts_of_place(place: Path) -> Iterator[tuple[str, YamlText]]:
    """The files of a folder or of one of its languages that a step may change, each with the kind of its entries."""
    for name, content in contents_of(place)[0].items():
        kind = next((kind.name for where, kind in FILES.items() if name == where or name.startswith(where)), None)
        if kind is not None:
            yield kind, YamlText.read(str(place / name), content)
    words = place / WORDS
    for file in sorted(words.glob("*.yaml")) if words.is_dir() else ():
        yield WORDS, YamlText.read(str(file), file.read_bytes())


def write_files(folder: Path, files: dict[str, bytes], over: bool) -> None:
    """Write files by their names inside a folder, each whole or not at all; `over`: in the place of those that are."""
    for name, content in files.items():
        path = folder / name
        if path.exists() and not over:
            # What is kept already is older, and so what somebody will want back.
            continue
        path.parent.mkdir(parents=True, exist_ok=True)
        beside = path.with_name(f"{path.name}.new")
        beside.write_bytes(content)
        beside.replace(path)
