"""Files that are written whole or not at all: beside their place first, then moved there."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def write_whole(path: Path, content: bytes) -> None:
    """Write a file, so that at every moment either the old content or the whole new one stands there.

    Args:
        path: where to; a link is followed, a device or a pipe is written to as it is, a folder is an error.
        content: the whole of it.

    Raises: OSError where it cannot be written; then nothing has changed.
    """
    if path.is_dir():
        raise IsADirectoryError(21, os.strerror(21), str(path))
    place = path.resolve()
    if place.exists() and not place.is_file():
        # A device or a pipe takes what it is given; nothing must be put in its place.
        place.write_bytes(content)
        return
    handle, name = tempfile.mkstemp(prefix=f".{place.name}.", dir=place.parent)
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.chmod(place.stat().st_mode & 0o777 if place.exists() else 0o666 & ~_umask())
        beside.replace(place)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def _umask() -> int:
    """What this process takes away from the rights of new files; it can only be read by setting it."""
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
