"""Who may read jobs and their papers: their owner alone, or by a setting the owner's group; nobody else."""

from __future__ import annotations

import os
import re
from contextlib import suppress
from pathlib import Path

from interview.storage.settings import group_may_read

FILE, FOLDER = 0o600, 0o700
"""Rights of what is its owner's alone, whatever is set."""
_GROUP_READS, _GROUP_ENTERS = 0o040, 0o050
_OTHERS = 0o077
PAPERS = r"(\.label)?\.(txt|html|pdf|json|md|csv|eml|ics)"
"""How the names of papers end that are kept beside a job."""
_OF_A_JOB = re.compile(rf"[0-9]{{4}}-[0-9]{{2}}-[0-9]{{2}}-[0-9]{{4}}(-[0-9]+)?(\.jsonl|{PAPERS})")


def file_rights() -> int:
    """The rights of a job's file or a paper."""
    return FILE | (_GROUP_READS if group_may_read() else 0)


def folder_rights() -> int:
    """The rights of the program's own folder of jobs."""
    return FOLDER | (_GROUP_ENTERS if group_may_read() else 0)


def tighten(folder: Path, *, ours: bool) -> None:
    """Give the jobs and papers of a folder their rights, and the folder where it is `ours` alone: none beside them.

    Whatever else lies there is left as it is, and so is what belongs to somebody else.
    """
    if os.name == "nt":
        return
    rights = file_rights()
    with suppress(OSError):
        if ours:
            _settle(folder, folder.stat().st_mode, folder_rights())
        with os.scandir(folder) as entries:
            for entry in entries:
                if _OF_A_JOB.fullmatch(entry.name) and entry.is_file(follow_symlinks=False):
                    _settle(Path(entry.path), entry.stat(follow_symlinks=False).st_mode, rights)


def _settle(path: Path, mode: int, rights: int) -> None:
    """Leave to the owner what the owner has, and to all others what `rights` give them."""
    if (mode & _OTHERS) != (rights & _OTHERS):
        with suppress(OSError):
            path.chmod((mode & 0o7700) | (rights & _OTHERS))
