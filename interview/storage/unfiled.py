"""Which jobs have something that is not in the shop's store yet: a mark for each, set before anything is written."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

_FOLDER = "unfiled"
"""Beside the jobs; a file without content for each job."""


def mark(folder: Path, job: str) -> None:
    """Note that something of a job may not be in the store; where that cannot be noted, `jobs send --all` finds it."""
    with suppress(OSError):
        (folder / _FOLDER).mkdir(mode=0o700, exist_ok=True)
        (folder / _FOLDER / job).touch(mode=0o600)


def unmark(folder: Path, job: str) -> None:
    """Note that all of a job is in the store, or that there is no such job any more."""
    with suppress(OSError):
        (folder / _FOLDER / job).unlink(missing_ok=True)
        # It stays where others are marked.
        (folder / _FOLDER).rmdir()


def marked(folder: Path) -> list[str]:
    """The jobs that are marked, the oldest first."""
    try:
        return sorted(path.name for path in (folder / _FOLDER).iterdir())
    except OSError:
        return []
