"""Files that are written whole or not at all: beside their place first, then moved there."""

from __future__ import annotations

import errno
import os
import stat
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path


def write_whole(path: Path, content: bytes, rights: int | None = None) -> None:
    """Write a file, so that at every moment either the old content or the whole new one stands there.

    Args: as of `write_in_parts`; the content is the whole of it.

    Raises: OSError where it cannot be written; then nothing has changed.
    """
    write_in_parts(path, (content,), rights)


def write_in_parts(path: Path, parts: Iterable[bytes], rights: int | None = None) -> None:
    """Write a file whole or not at all, from parts that are made while it is written, so that none has to wait.

    Args:
        path: where to; a link is followed, a device or a pipe is written to as it is, a folder is an error.
        parts: the content, one after the other.
        rights: those of a new file; by default those that new files have here.

    Raises: OSError where it cannot be written; then nothing has changed.
    """
    if path.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    try:
        place = path.resolve()
    except RuntimeError as error:
        # Before Python 3.13; and nothing can be written there.
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP), str(path)) from error
    if place.exists() and not place.is_file():
        _hand_over(place, parts)
        return
    handle, name = tempfile.mkstemp(prefix=f".{place.name}.", dir=place.parent)
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.writelines(parts)
            file.flush()
            os.fsync(file.fileno())
        new = 0o666 & ~_umask() if rights is None else rights
        beside.chmod(place.stat().st_mode & 0o777 if place.exists() else new)
        beside.replace(place)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def _hand_over(place: Path, parts: Iterable[bytes]) -> None:
    """Give a device or a pipe its content; nothing must be put in its place. A pipe that nobody reads is an error."""
    opened = os.open(place, os.O_WRONLY | getattr(os, "O_NONBLOCK", 0))
    with os.fdopen(opened, "wb") as file:
        if sys.platform != "win32" and stat.S_ISFIFO(os.fstat(opened).st_mode):
            os.set_blocking(opened, True)
        file.writelines(parts)


def _umask() -> int:
    """What this process takes away from the rights of new files; it can only be read by setting it."""
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
