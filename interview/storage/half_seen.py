"""Jobs that a broken-off `learn` had seen again already: kept until it is through, for the account alone.

A line of JSON for each job, with the number of events that it had; what was said in free words is left out, so that
nothing of a person stays here. What cannot be read is seen again.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

_NAME = "learning-{}.half"
_LEFT_OUT = "in_words"


class HalfSeen:
    """What was seen of the jobs of one folder by one knowledge, a line each, in a file that goes when all is done."""

    def __init__(self, folder: Path, fingerprint: str) -> None:
        """Args: the folder of the jobs; the fingerprint of the knowledge that sees them."""
        self._path = folder / _NAME.format(fingerprint)

    def taken(self) -> dict[tuple[str, int], Mapping[str, Any] | None]:
        """What was seen, by the job and the number of its events; None for a job that has nothing to tell."""
        found: dict[tuple[str, int], Mapping[str, Any] | None] = {}
        with suppress(OSError, UnicodeDecodeError), self._path.open(encoding="utf-8") as lines:
            for line in lines:
                # The last line may be torn where the program was ended while it was written.
                with suppress(ValueError, KeyError, TypeError):
                    row = json.loads(line)
                    found[row["job"], row["events"]] = row["seen"]
        return found

    def keep(self, rows: Iterable[tuple[str, int, Mapping[str, Any] | None]]) -> None:
        """Keep what was seen of some jobs; where there is no room, they will be seen again."""
        lines = [
            {"job": job, "events": events, "seen": seen and {k: v for k, v in seen.items() if k != _LEFT_OUT}}
            for job, events, seen in rows
        ]
        text = "".join(f"{json.dumps(line)}\n" for line in lines)
        with suppress(OSError):
            handle = os.open(self._path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(text)

    def let_go(self) -> None:
        """All is done: nothing is left to take up."""
        with suppress(OSError):
            self._path.unlink(missing_ok=True)
