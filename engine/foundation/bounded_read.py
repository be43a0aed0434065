"""Files read no further than they may be long, and only where they are files: a pipe or a device may never end."""

from __future__ import annotations

import errno
import stat
from importlib.resources.abc import Traversable
from pathlib import Path

from engine.foundation.texts import say


def read_at_most(file: Traversable | Path, most: int) -> bytes:
    """The first `most` bytes of a file; whoever asks for one more than it may hold sees that it is too long.

    Raises: OSError where it cannot be read, or is a folder, a pipe or a device.
    """
    if isinstance(file, Path):
        refuse_special(file)
    with file.open("rb") as opened:
        return opened.read(most)


def refuse_special(path: Path) -> None:
    """Raises OSError where no file stands at a path: nothing, a link to nothing, a folder, a pipe, a device."""
    kind = path.stat().st_mode
    if stat.S_ISDIR(kind):
        raise IsADirectoryError(errno.EISDIR, say("errors.system.EISDIR"), str(path))
    if not stat.S_ISREG(kind):
        raise OSError(errno.EINVAL, say("errors.special"), str(path))
