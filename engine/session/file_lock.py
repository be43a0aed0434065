"""An open file kept for one process, on each platform by its own means."""

from __future__ import annotations

import os
import sys
from typing import Final

_LOCKED_BYTE: Final = 1 << 30
"""Behind the end of any journal: on Windows nobody else can read what is locked, and a journal must stay readable."""


def lock(file: int) -> None:
    """Keep the file for this process. Raises BlockingIOError where another one has it."""
    if sys.platform == "win32":
        import msvcrt

        os.lseek(file, _LOCKED_BYTE, os.SEEK_SET)
        try:
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        except OSError as error:
            raise BlockingIOError(error.errno, error.strerror) from error
    else:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


def unlock(file: int) -> None:
    """Give the file up, where closing it does not do so at once."""
    if sys.platform == "win32":
        import msvcrt

        os.lseek(file, _LOCKED_BYTE, os.SEEK_SET)
        msvcrt.locking(file, msvcrt.LK_UNLCK, 1)
