"""Knowledge that was taken from a bundle: where it lies, whether it is still as it was taken, what stood before it."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

from engine.foundation.bounded_read import read_at_most
from engine.foundation.yaml_reader import MOST_BYTES
from engine.knowledge.format_version import PRESENT
from interview.storage import settings
from interview.storage.jobs import JobError, default_folder

MANIFEST = "bundle.json"
_MOST_MANIFEST = 10_000_000
_KEPT = 4
"""So many are kept: the one in use, the one before it, and two more that somebody may ask for."""


def taken_place() -> Path:
    """Where what is taken lies, each in a folder called by its hash. Raises JobError where this user has no place."""
    return default_folder().with_name("knowledge")


def is_taken(folder: Path) -> bool:
    """Whether a folder is one that was taken from a bundle."""
    with suppress(JobError, OSError):
        return folder.resolve().parent.parent == taken_place().resolve()
    return False


def keep(hashed: str, manifest: bytes, files: Mapping[str, bytes], top: str) -> Path:
    """Put a bundle's files in their place, whole or not at all, and give the folder that lies over the others.

    Args: the hash, by which the place is called; the manifest; the files; the number of the topmost folder.

    Raises: OSError where they cannot be written, JobError where this user has no place.
    """
    place = taken_place()
    target = place / hashed[:16]
    if not is_as_taken(target / top):
        place.mkdir(parents=True, exist_ok=True)
        beside = Path(tempfile.mkdtemp(prefix=".taking-", dir=place))
        try:
            for name, content in ((MANIFEST, manifest), *files.items()):
                path = beside / name
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(content)
            # What lies there and is not as it was taken helps nobody.
            shutil.rmtree(target, ignore_errors=True)
            beside.rename(target)
        except BaseException:
            shutil.rmtree(beside, ignore_errors=True)
            raise
        is_as_taken.cache_clear()
    os.utime(target)
    return target / top


def clear_old(*in_use: Path) -> None:
    """Delete what was taken long ago, but never a folder that is in use."""
    with suppress(OSError, JobError):
        every = [path for path in taken_place().iterdir() if path.is_dir()]
        every.sort(key=lambda path: path.stat().st_mtime, reverse=True)
        kept = {path.resolve().parent for path in in_use}
        for path in every[_KEPT:]:
            if path.resolve() not in kept:
                shutil.rmtree(path, ignore_errors=True)


def manifest_of(folder: Path) -> dict[str, Any]:
    """What the bundle said from which a folder was taken; empty where that cannot be read."""
    with suppress(OSError, ValueError, RecursionError):
        said = json.loads(read_at_most(folder.parent / MANIFEST, _MOST_MANIFEST))
        return said if isinstance(said, dict) else {}
    return {}


@cache
def is_as_taken(folder: Path) -> bool:
    """Whether a taken folder, and those below it, hold what was taken and nothing else, in the form of this program."""
    said = manifest_of(folder)
    wanted = said.get("files")
    if said.get("form") != PRESENT or not isinstance(wanted, dict) or not folder.is_dir():
        return False
    try:
        found = {name: hashlib.sha256(content).hexdigest() for name, content in _files(folder.parent)}
    except OSError:
        return False
    return found == wanted


def good_before(folder: Path) -> Path | None:
    """The knowledge that was settled before a taken one, where it can be used; None for what came with the program."""
    before = settings.knowledge_before()
    return Path(before) if before and Path(before) != folder and is_usable(Path(before)) else None


def is_usable(folder: Path) -> bool:
    """Whether a folder is there and, where it was taken, as it was taken."""
    return folder.is_dir() and (not is_taken(folder) or is_as_taken(folder))


def _files(place: Path) -> Iterator[tuple[str, bytes]]:
    for path in sorted(place.rglob("*.yaml")):
        yield path.relative_to(place).as_posix(), read_at_most(path, MOST_BYTES + 1)
