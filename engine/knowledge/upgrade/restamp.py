"""New stamps for the translations of a faults folder, once somebody has read them beside the English."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from engine.foundation.problems import KnowledgeError, Problem
from engine.foundation.texts import say
from engine.knowledge.layers import laid_contents
from engine.knowledge.loader import read_folder
from engine.knowledge.stamps import STAMP, STAMPED
from engine.knowledge.translation import stamps_of
from engine.knowledge.upgrade.folder import language_folders, texts_of_place, write_files
from engine.knowledge.upgrade.text_edits import YamlText


def restamp(folder: Path) -> list[Problem]:
    """Write the stamp of the present English into each translation that lacks it or carries another one.

    Returns:
        What was stamped, each at its place: whoever stamps must have read it.

    Raises:
        KnowledgeError: where a file cannot be read; nothing is changed then.
        OSError: where a file cannot be written.
    """
    contents, problems = laid_contents(folder)
    english, mistakes = read_folder(str(folder), contents)
    if problems or mistakes:
        raise KnowledgeError([*problems, *mistakes])
    stamps = stamps_of(english)
    renewed: list[Problem] = []
    new: dict[str, bytes] = {}
    for place in language_folders(folder):
        for kind, text in texts_of_place(place):
            if kind in STAMPED:
                found = _renew(text, kind, stamps)
                renewed += found
                name = Path(text.file).relative_to(folder).as_posix()
                new |= {name: text.edited_as((folder / name).read_bytes())} if found else {}
    write_files(folder, new, over=True)
    return renewed


def _renew(text: YamlText, kind: str, stamps: Mapping[tuple[str, str], str]) -> list[Problem]:
    """Note the edits that renew the stamps of one file; give them as they will stand."""
    told: list[Problem] = []
    for entry_id, entry in text.entries(kind):
        stamp, found = stamps.get((kind, entry_id)), text.part(entry, STAMP)
        if stamp is None or (found is not None and found[1].value == stamp):
            continue
        if found is None:
            text.add_after(entry, kind, f"{STAMP}: {stamp}")
        else:
            text.replace(found[1], stamp)
        told.append(text.problem(entry, say("overlay.restamped", kind=kind, id=entry_id), say("overlay.restamp_read")))
    return [text.moved(problem) for problem in told]
