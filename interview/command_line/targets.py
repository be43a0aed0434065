"""What a paper must never be written over: what the program reads, wherever and by whatever name it lies there."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from engine.foundation.problems import why_not
from engine.foundation.texts import say
from interview.command_line.context import Places
from interview.storage.jobs import JobError
from interview.storage.settings import preferences_file, shop_file

_READ = (".jsonl", ".yaml", ".yml")
"""Endings of jobs and of knowledge: no paper has one."""


@dataclass(frozen=True)
class Inputs:
    """What is read: folders, all of which is, and files by themselves."""

    folders: tuple[Path, ...] = ()
    files: tuple[Path, ...] = ()


def inputs_of(places: Places, *files: Path) -> Inputs:
    """What a command reads: knowledge, jobs, choices, and the `files` named for it."""
    kept = [preferences_file(), shop_file(), *files]
    with suppress(JobError, OSError):
        kept += places.jobs_folder.glob("*.jsonl")
    return Inputs((Path(str(places.faults_folder)),), tuple(kept))


def refusal_of(target: Path, inputs: Inputs) -> str:
    """Why no paper can be written to a file, in one sentence; empty where it can be as far as that is seen now."""
    try:
        place, there = target.resolve(), target.stat()
    except FileNotFoundError as error:
        if target.is_symlink():
            return say("sheet_command.no_target", path=target, why=why_not(error))
        place, there = target.resolve(), None
    except (OSError, RuntimeError) as error:
        # Links that lead round in a circle are a RuntimeError before Python 3.13.
        why = why_not(error) if isinstance(error, OSError) else say("errors.system.ELOOP")
        return say("sheet_command.no_target", path=target, why=why)
    if place.suffix.lower() in _READ or any(_inside(place, folder) for folder in inputs.folders):
        return say("sheet_command.is_input", path=target)
    if there is None or stat.S_ISDIR(there.st_mode):
        return ""
    if stat.S_ISBLK(there.st_mode) or stat.S_ISSOCK(there.st_mode):
        return say("sheet_command.no_target", path=target, why=say("errors.special"))
    if any(os.path.samestat(there, other) for other in _stats(inputs, there.st_nlink)):
        return say("sheet_command.is_input", path=target)
    return ""


def _inside(place: Path, folder: Path) -> bool:
    with suppress(OSError, RuntimeError):
        return place.is_relative_to(folder.resolve())
    return False


def _stats(inputs: Inputs, names: int) -> Iterator[os.stat_result]:
    """The files that are read; what lies in a folder only where a file has several names (hard links)."""
    inside: Iterable[Path] = (path for folder in inputs.folders for path in folder.rglob("*")) if names > 1 else ()
    for path in (*inputs.files, *inside):
        with suppress(OSError):
            yield path.stat()
