"""Jobs and their papers are their owner's alone: rights that others have in them are taken away."""

from __future__ import annotations

import os
import re
from contextlib import suppress
from pathlib import Path

FILE, FOLDER = 0o600, 0o700
_OTHERS = 0o077
_OF_A_JOB = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}-[0-9]{4}(-[0-9]+)?\.(jsonl|txt|html|pdf|json|md)")


def tighten(folder: Path, *, ours: bool) -> None:
    """Take from others their rights in the jobs and papers of a folder, and in the folder where it is `ours` alone.

    Whatever else lies there is left as it is, and so is what belongs to somebody else.
    """
    if os.name == "nt":
        return
    with suppress(OSError):
        if ours and folder.stat().st_mode & _OTHERS:
            folder.chmod(FOLDER)
        with os.scandir(folder) as entries:
            for entry in entries:
                if _OF_A_JOB.fullmatch(entry.name) and entry.is_file(follow_symlinks=False):
                    _tighten_file(entry)


def _tighten_file(entry: os.DirEntry[str]) -> None:
    with suppress(OSError):
        if entry.stat(follow_symlinks=False).st_mode & _OTHERS:
            Path(entry.path).chmod(FILE)
